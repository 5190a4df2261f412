package schedule

import (
	"flag"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wallbill/pricing"
	"wallbill/takeoff"
)

var update = flag.Bool("update", false, "write testdata/findings/README.md anew")

const findingsDir = "../../testdata/findings"

// example is a schedule of testdata/findings.
type example struct {
	name, words, text string
	priced            bool   // its findings are those of pricing it, not of reading it alone
	rules             string // where it is priced over base alone, the rules whose findings are shown
	schedule          Book
	book              *Book
}

// findings are the example's, as the command line gives them: what has errors goes no further.
func (e *example) findings() []takeoff.Finding {
	job, findings := Read(e.schedule, e.book)
	if !e.priced && e.rules == "" || takeoff.HasErrors(findings) {
		return findings
	}
	reading := len(findings)
	t := takeoff.Compute(job)
	findings = append(findings, t.Findings...)
	if !takeoff.HasErrors(findings) {
		findings = append(findings, pricing.Price(t, pricing.Options{Today: job.BidDate}).Findings...)
	}
	if e.rules != "" {
		findings = append(findings[:reading], slices.DeleteFunc(findings[reading:], func(f takeoff.Finding) bool {
			return f.Rule == "" || !strings.Contains(e.rules, f.Rule)
		})...)
	}
	var tabs []string
	for _, tab := range e.schedule.Tabs {
		tabs = append(tabs, tab.Name)
	}
	takeoff.SortFindings(findings, tabs)
	return findings
}

// examples reads the folder. Tabs that a schedule does not show are base's, of one that is priced those of priced first. A
// line "!without Tab" leaves one out, "!price" prices it, "!priced P-BUY" prices it over base alone and shows that rule's.
func examples(t testing.TB) []example {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(findingsDir, "*.txt"))
	require.NoError(t, err)
	sort.Strings(paths)
	shared := func(name string) Book {
		raw, err := os.ReadFile(filepath.Join(findingsDir, name))
		require.NoError(t, err)
		b, _ := specimen(t, string(raw))
		return b
	}
	base := shared("base.txt")
	whole := overlaid(base, shared("priced.txt"))
	var all []example
	for _, path := range paths {
		raw, err := os.ReadFile(path)
		require.NoError(t, err)
		e := example{name: strings.TrimSuffix(filepath.Base(path), ".txt")}
		i := strings.Index(string(raw), "== ")
		head, text := string(raw[:i]), string(raw[i:])
		var without string
		for _, line := range strings.Split(strings.TrimSpace(head), "\n") {
			if tab, ok := strings.CutPrefix(line, "!without "); ok {
				without = tab
				continue
			}
			if rules, ok := strings.CutPrefix(line, "!priced "); ok {
				e.rules = rules
				continue
			}
			if line == "!price" {
				e.priced = true
				continue
			}
			e.words = strings.TrimSpace(e.words + " " + line)
		}
		e.text = strings.TrimSpace(text)
		var own Book
		own, e.book = specimen(t, text)
		under := base
		if e.priced {
			under = whole
		}
		for _, tab := range overlaid(under, own).Tabs {
			if tab.Name != without {
				e.schedule.Tabs = append(e.schedule.Tabs, tab)
			}
		}
		all = append(all, e)
	}
	return all
}

// overlaid is a book with the tabs of another in place of its own, its further ones at the end.
func overlaid(base, over Book) Book {
	var b Book
	for _, tab := range base.Tabs {
		if replaced := findTab(over, tab.Name); replaced != nil {
			tab = *replaced
		}
		b.Tabs = append(b.Tabs, tab)
	}
	for _, tab := range over.Tabs {
		if findTab(base, tab.Name) == nil {
			b.Tabs = append(b.Tabs, tab)
		}
	}
	return b
}

const findingsHead = `# What wallbill says

Every finding of a schedule, of reading it, taking it off and pricing it, with a small schedule that has it. This page is made of the files of this folder by
` + "`go test ./takeoff/schedule -run TestFindings -update`" + `; a test keeps it so. A line "== Tab" opens a tab, "== Tab = file" one of a
price book; then a line is a row, its cells separated by |. A cell is text as it stands, but =1.5 is a number, =TRUE a
logical value, =2026-11-02 a date, =#REF! an error, =? a formula without a stored value, 'text the text behind the mark.
Tabs that a schedule does not show are those of ` + "`base.txt`" + `; where findings are those of pricing, too, of ` + "`priced.txt`" + ` first.
`

// Every message prints as the page shows it.
func TestFindings(t *testing.T) {
	var page strings.Builder
	page.WriteString(findingsHead)
	for _, e := range examples(t) {
		findings := e.findings()
		priced := ""
		if e.priced {
			priced = " (priced)"
		}
		page.WriteString("\n## " + e.name + "\n\n" + e.words + priced + "\n\n```\n" + e.text + "\n```\n\n")
		if len(findings) == 0 {
			page.WriteString("No finding.\n")
			continue
		}
		page.WriteString("```\n")
		for _, f := range findings {
			page.WriteString(f.Print("walls.xlsx"))
		}
		page.WriteString("```\n")
	}
	path := filepath.Join(findingsDir, "README.md")
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(page.String()), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), page.String(), "run with -update and read the difference")
}

// The base schedule has no findings; each other one has the finding it is named for, and base's tabs add none.
func TestFindingsStandAlone(t *testing.T) {
	for _, e := range examples(t) {
		findings := e.findings()
		if e.name == "base" || e.name == "priced" || e.name == "wall-mark-equals" {
			assert.Empty(t, findings, e.name)
		} else {
			assert.NotEmpty(t, findings, e.name)
		}
		for _, f := range findings {
			assert.NotEmpty(t, f.Message, e.name)
			assert.Equal(t, f.Message, strings.TrimSpace(f.Message), e.name)
		}
	}
}

// Law: a value that a finding says to try is accepted: typed in its cell, the finding is gone and no other stands there.
func TestTriesAreAccepted(t *testing.T) {
	tries := 0
	for _, e := range examples(t) {
		_, findings := Read(e.schedule, e.book)
		for _, f := range findings {
			if f.Try == "" || f.At.Col == 0 {
				continue
			}
			tries++
			schedule, book := retyped(e.schedule, e.book, f.At, f.Try)
			_, again := Read(schedule, book)
			for _, g := range again {
				if g.At == f.At && g.Severity == takeoff.Error {
					t.Errorf("%s: %s\nafter trying: %s", e.name, f.Print(""), g.Print(""))
				}
			}
		}
	}
	assert.Greater(t, tries, 20)
}

// retyped is the books with another text in one cell.
func retyped(schedule Book, book *Book, at takeoff.Ref, text string) (Book, *Book) {
	change := func(b Book) Book {
		tabs := append([]Tab(nil), b.Tabs...)
		for i := range tabs {
			if tabs[i].Name != at.Tab {
				continue
			}
			rows := append([]Row(nil), tabs[i].Rows...)
			for j := range rows {
				if rows[j].Number != at.Row {
					continue
				}
				cells := append([]Cell(nil), rows[j].Cells...)
				for len(cells) < at.Col {
					cells = append(cells, Cell{})
				}
				cells[at.Col-1] = Cell{Kind: Text, Value: text}
				rows[j].Cells = cells
			}
			tabs[i].Rows = rows
		}
		b.Tabs = tabs
		return b
	}
	if at.File == "" {
		return change(schedule), book
	}
	b := change(*book)
	return schedule, &b
}
