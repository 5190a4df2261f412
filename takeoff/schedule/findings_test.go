package schedule

import (
	"flag"
	"os"
	"path/filepath"
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
	schedule          Book
	book              *Book
	rules             string // of the takeoff and the bid whose findings are shown; empty: those of reading alone
}

// examples reads the folder. Tabs that a schedule does not show are base's; a line "!without Tab" leaves one out; a line
// "!priced P-BUY" has the job priced and shows the findings of that rule.
func examples(t testing.TB) []example {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(findingsDir, "*.txt"))
	require.NoError(t, err)
	sort.Strings(paths)
	raw, err := os.ReadFile(filepath.Join(findingsDir, "base.txt"))
	require.NoError(t, err)
	base, _ := specimen(t, string(raw))
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
			e.words = strings.TrimSpace(e.words + " " + line)
		}
		e.text = strings.TrimSpace(text)
		var own Book
		own, e.book = specimen(t, text)
		for _, tab := range base.Tabs {
			if replaced := findTab(own, tab.Name); replaced != nil {
				tab = *replaced
			}
			if tab.Name != without {
				e.schedule.Tabs = append(e.schedule.Tabs, tab)
			}
		}
		for _, tab := range own.Tabs {
			if findTab(base, tab.Name) == nil {
				e.schedule.Tabs = append(e.schedule.Tabs, tab)
			}
		}
		all = append(all, e)
	}
	return all
}

const findingsHead = `# What wallbill says

Every finding of reading a schedule, and those of dates, rentals and orders, with a small schedule that has it. This page is made of the files of this folder by
` + "`go test ./takeoff/schedule -run TestFindings -update`" + `; a test keeps it so. A line "== Tab" opens a tab, "== Tab = file" one of a
price book; then a line is a row, its cells separated by |. A cell is text as it stands, but =1.5 is a number, =TRUE a
logical value, =2026-11-02 a date, =#REF! an error, =? a formula without a stored value, 'text the text behind the mark.
Tabs that a schedule does not show are those of ` + "`base.txt`" + `.
`

// said is every finding of an example: of reading, then of the takeoff and the bid where they are asked for.
func (e *example) said() []takeoff.Finding {
	job, findings := Read(e.schedule, e.book)
	if e.rules == "" || takeoff.HasErrors(findings) {
		return findings
	}
	t := takeoff.Compute(job)
	for _, f := range append(t.Findings, pricing.Price(t, pricing.Options{Today: job.BidDate}).Findings...) {
		if strings.Contains(e.rules, f.Rule) && f.Rule != "" {
			findings = append(findings, f)
		}
	}
	var tabs []string
	for _, tab := range e.schedule.Tabs {
		tabs = append(tabs, tab.Name)
	}
	takeoff.SortFindings(findings, tabs)
	return findings
}

// Every message prints as the page shows it.
func TestFindings(t *testing.T) {
	var page strings.Builder
	page.WriteString(findingsHead)
	for _, e := range examples(t) {
		findings := e.said()
		page.WriteString("\n## " + e.name + "\n\n" + e.words + "\n\n```\n" + e.text + "\n```\n\n")
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
		findings := e.said()
		if e.name == "base" || e.name == "wall-mark-equals" {
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
