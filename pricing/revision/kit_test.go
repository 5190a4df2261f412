package revision

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/schedule"
)

const testVersion = "test"

// rowsOf is a schedule as lists of cells by tab, the first row of each its header.
type rowsOf struct {
	tabs []string
	rows map[string][][]string
}

// sheetOf reads the text form of a schedule: "== Tab" opens a tab, every other line is a row of cells separated by |.
// A tab "Prices = book.xlsx" is of the price book.
func sheetOf(text string) *rowsOf {
	s := &rowsOf{rows: map[string][][]string{}}
	tab := ""
	for _, line := range strings.Split(strings.TrimSpace(text), "\n") {
		if name, ok := strings.CutPrefix(line, "== "); ok {
			tab = name
			s.tabs = append(s.tabs, tab)
			continue
		}
		var cells []string
		for _, c := range strings.Split(line, "|") {
			cells = append(cells, strings.TrimSpace(c))
		}
		s.rows[tab] = append(s.rows[tab], cells)
	}
	return s
}

func (s *rowsOf) clone() *rowsOf {
	c := &rowsOf{tabs: s.tabs, rows: map[string][][]string{}}
	for k, rows := range s.rows {
		for _, r := range rows {
			c.rows[k] = append(c.rows[k], append([]string(nil), r...))
		}
	}
	return c
}

// col is a column's place in a tab.
func (s *rowsOf) col(tab, name string) int {
	for i, h := range s.rows[tab][0] {
		if h == name {
			return i
		}
	}
	panic(tab + " has no " + name)
}

// set puts a cell of the row whose first cells are key.
func (s *rowsOf) set(tab, key, column, value string) *rowsOf {
	c := s.clone()
	i := c.col(tab, column)
	for _, r := range c.rows[tab][1:] {
		for _, cell := range r {
			if cell == key {
				r[i] = value
				return c
			}
		}
	}
	panic(tab + " has no row " + key)
}

// add puts a row below the others.
func (s *rowsOf) add(tab, row string) *rowsOf {
	c := s.clone()
	one := sheetOf("== T\n" + row).rows["T"][0]
	for len(one) < len(c.rows[tab][0]) {
		one = append(one, "")
	}
	c.rows[tab] = append(c.rows[tab], one)
	return c
}

// drop takes the rows away that have a cell key.
func (s *rowsOf) drop(tab, key string) *rowsOf {
	c := s.clone()
	kept := c.rows[tab][:1:1]
	for _, r := range c.rows[tab][1:] {
		has := false
		for _, cell := range r {
			has = has || cell == key
		}
		if !has {
			kept = append(kept, r)
		}
	}
	c.rows[tab] = kept
	return c
}

func (s *rowsOf) books() (schedule.Book, *schedule.Book) {
	var job schedule.Book
	var book *schedule.Book
	for _, tab := range s.tabs {
		name, file, isBook := strings.Cut(tab, " = ")
		t := schedule.Tab{Name: name}
		for i, r := range s.rows[tab] {
			row := schedule.Row{Number: i + 1}
			for _, c := range r {
				cell := schedule.Cell{}
				if c != "" {
					cell = schedule.Cell{Kind: schedule.Text, Value: c}
					if _, err := strconv.ParseFloat(c, 64); err == nil {
						cell.Kind = schedule.Number
					}
				}
				row.Cells = append(row.Cells, cell)
			}
			t.Rows = append(t.Rows, row)
		}
		if isBook {
			if book == nil {
				book = &schedule.Book{File: file}
			}
			book.Tabs = append(book.Tabs, t)
			continue
		}
		job.Tabs = append(job.Tabs, t)
	}
	return job, book
}

// priced is the schedule priced as a run; nil when it has errors.
func (s *rowsOf) priced(number int) (*Run, []takeoff.Finding) {
	a, b := s.books()
	job, findings := schedule.Read(a, b)
	if takeoff.HasErrors(findings) {
		return nil, findings
	}
	t := takeoff.Compute(job)
	if takeoff.HasErrors(t.Findings) {
		return nil, t.Findings
	}
	bid := pricing.Price(t, pricing.Options{})
	if takeoff.HasErrors(bid.Findings) {
		return nil, bid.Findings
	}
	r := Of(bid, schedule.Inputs(a, b))
	r.Number, r.Version, r.File = number, testVersion, "walls.xlsx"
	return r, nil
}

func mustPrice(t testing.TB, s *rowsOf, number int) *Run {
	t.Helper()
	r, findings := s.priced(number)
	require.NotNil(t, r, "%v", findings)
	return r
}

func compared(t testing.TB, old, new *rowsOf) *Changes {
	t.Helper()
	ch, err := Compare(mustPrice(t, old, 1), mustPrice(t, new, 2), Options{Version: testVersion})
	require.NoError(t, err)
	return ch
}

// names are the edits' names.
func (c *Changes) names() []string {
	var names []string
	for _, e := range c.Edits {
		names = append(names, e.Name)
	}
	return names
}

// house is a small job: a closed run, a partition, openings, steel, prices, rates.
const house = `
== Job
Setting | Value
Job | House
Form line | M
Bid date | 2026-11-02
Overhead | 10%
Profit | 8%
Sales tax | 6%
Cut effort | 0.001
== Levels
Level | Height | Core | Bars | Footing
L1 | 8' | 6" | V1 | S1
L2 | 9' | 6" | V1 |
== Forms
Form line | Kind | Core | Foam | Unit length | Course height | Half course | Corner long leg | Corner short leg | Angle long leg | Angle short leg | Smallest piece
M | block | 6" | 2 1/4" | 4'-2" | 1'-3" | 7 1/2" | 3'-0" | 1'-9" | 2'-5" | 1'-5" | 7"
M | block | 8" | 2 1/4" | 4'-2" | 1'-3" | 7 1/2" | 3'-2" | 1'-11" | 2'-6" | 1'-6" | 7"
== Bars
Mark | Vertical bar | Vertical spacing | Horizontal bar | Horizontal spacing | Dowel bar | Jamb bar | Jamb bars | Lintel bar | Lintel bottom bars
V1 | #4 | 1'-6" | #4 | 2'-0" | #4 | #4 | 1 | #5 | 2
== Footings
Mark | Width | Depth | Along bar | Along bars
S1 | 1'-8" | 10" | #4 | 2
== Walls
Run | Wall | Level | Length | Height | Turn | Start | Notes
A | A1 | L1 | 30' |  | corner | |
A | A2 | L1 | 20' |  | corner | |
A | A3 | L1 | 30' | 8' | corner | |
A | A4 | L1 | 20' |  | corner | |
B | B1 | L1 | 12' |  | end | tee A1 |
C | C1 | L2 | 24' |  | corner | |
C | C2 | L2 | 18' |  | corner | |
C | C3 | L2 | 24' |  | corner | |
C | C4 | L2 | 18' |  | corner | |
== Openings
Opening | Wall | Width | Height | Sill | At
W1 | A1 | 3' | 4' | 3' | 6'
D1 | A3 | 3' | 6'-8" | 0 | 10'
W3 | C1 | 4' | 4' | 3' | c 12'
== Pours
Pour | Placing rate
L1 | 15 cy
L2 | 15 cy
== Factors
Item | Per | Quantity | Unit
set-forms | wall-area | 0.05 | hr
sealer | wall-area | 0.01 | ea
== Prices
Item | Unit | Length | Price | Kind | Waste
bar-#4 | ea | 20' | 9.17 | | 3%
bar-#5 | ea | 20' | 14.03 | |
M-6in-block | ea | | 21.35 | | 2%
M-6in-corner | ea | | 24.5 | |
concrete-wall | cy | | 171.25 | |
concrete-footing | cy | | 165 | |
set-forms | hr | | 48.5 | labor |
== Extras
Line | Kind | Quantity | Price
Permit | add | 1 | 350
== Ordered
Order number | Item | Length | Quantity
17 | bar-#4 | 20' | 40
`
