// Package drawn draws whole schedules at random for tests: jobs with walls, openings, bars, pours and prices that mostly
// read without an error, so that the laws of quantities and money are tried far from the worked samples.
//
// A Schedule is kept as rows of cells, lengths apart from words, so that a law can change it as an estimator would (split
// a wall, mirror a run, scale everything) and still go the whole way through package schedule's reader. It is for tests
// alone; no command imports it. Read Schedule, Draw and the laws in laws_test.go first.
package drawn

import (
	"strconv"
	"strings"

	"wallbill/takeoff/length"
	"wallbill/takeoff/schedule"
)

// Cell is a cell of a drawn schedule: a length, or a cell as it is stored. The zero Cell is blank.
type Cell struct {
	Stored   schedule.Cell
	Length   length.Length
	IsLength bool
	Place    string // before a length of an opening's At: "c ", "e "
}

// Text is a cell of words; no words, no cell.
func Text(s string) Cell {
	if s == "" {
		return Cell{}
	}
	return Cell{Stored: schedule.Cell{Kind: schedule.Text, Value: s}}
}

// Number is a cell with a number, as it is stored.
func Number(s string) Cell { return Cell{Stored: schedule.Cell{Kind: schedule.Number, Value: s}} }

// Whole is a cell with a whole number.
func Whole(n int64) Cell { return Number(strconv.FormatInt(n, 10)) }

// Long is a cell with a length.
func Long(l length.Length) Cell { return Cell{Length: l, IsLength: true} }

// Blank tells whether nothing stands in the cell.
func (c Cell) Blank() bool { return !c.IsLength && c.Stored == schedule.Cell{} }

// String is what the cell holds, as it is typed in feet and inches.
func (c Cell) String() string { return c.stored(false).Value }

func (c Cell) stored(metric bool) schedule.Cell {
	if !c.IsLength {
		return c.Stored
	}
	s := c.Length.FtIn()
	if metric {
		s = c.Length.MM()
	}
	return schedule.Cell{Kind: schedule.Text, Value: c.Place + s}
}

// Row is a row's cells by column.
type Row map[string]Cell

// Text is what a column of the row says.
func (r Row) Text(column string) string { return r[column].Stored.Value }

// Is tells whether a column of the row says a word.
func (r Row) Is(column, word string) bool { return strings.EqualFold(r.Text(column), word) }

// Copy is the row again, to be changed.
func (r Row) Copy() Row {
	c := make(Row, len(r))
	for k, v := range r {
		c[k] = v
	}
	return c
}

// Schedule is a schedule's rows by tab.
type Schedule struct {
	Metric bool
	Rows   map[string][]Row
}

// Copy is the schedule again, to be changed.
func (s *Schedule) Copy() *Schedule {
	c := &Schedule{s.Metric, make(map[string][]Row, len(s.Rows))}
	for tab, rows := range s.Rows {
		for _, r := range rows {
			c.Rows[tab] = append(c.Rows[tab], r.Copy())
		}
	}
	return c
}

// Add adds a row to a tab.
func (s *Schedule) Add(tab string, r Row) { s.Rows[tab] = append(s.Rows[tab], r) }

// Set sets a Job setting, typed as c.
func (s *Schedule) Set(setting string, c Cell) {
	for _, r := range s.Rows["Job"] {
		if r.Is("Setting", setting) {
			r["Value"] = c
			return
		}
	}
	s.Add("Job", Row{"Setting": Text(setting), "Value": c})
}

// Walls are the rows of walls of a run.
func (s *Schedule) Run(run string) []Row {
	var rows []Row
	for _, r := range s.Rows["Walls"] {
		if r.Is("Run", run) {
			rows = append(rows, r)
		}
	}
	return rows
}

// Runs are the names of the runs in their order.
func (s *Schedule) Runs() []string {
	var names []string
	for i, r := range s.Rows["Walls"] {
		if i == 0 || names[len(names)-1] != r.Text("Run") {
			names = append(names, r.Text("Run"))
		}
	}
	return names
}

// Openings are the rows of a wall's openings.
func (s *Schedule) Openings(wall string) []Row {
	var rows []Row
	for _, r := range s.Rows["Openings"] {
		if r.Is("Wall", wall) {
			rows = append(rows, r)
		}
	}
	return rows
}

// Book is the schedule as the reader takes it: the tabs in the catalogue's order, their columns where a row has one.
func (s *Schedule) Book() schedule.Book {
	var b schedule.Book
	for i := range schedule.Tabs {
		spec := &schedule.Tabs[i]
		rows := s.Rows[spec.Name]
		if len(rows) == 0 {
			continue
		}
		t := schedule.Tab{Name: spec.Name}
		head := schedule.Row{Number: 1}
		var columns []string
		for j := range spec.Columns {
			c := &spec.Columns[j]
			used := c.Required
			for _, r := range rows {
				used = used || !r[c.Name].Blank()
			}
			if used {
				columns = append(columns, c.Name)
				head.Cells = append(head.Cells, schedule.Cell{Kind: schedule.Text, Value: c.Name})
			}
		}
		t.Rows = append(t.Rows, head)
		for n, r := range rows {
			row := schedule.Row{Number: n + 2}
			for _, c := range columns {
				row.Cells = append(row.Cells, r[c].stored(s.Metric))
			}
			t.Rows = append(t.Rows, row)
		}
		b.Tabs = append(b.Tabs, t)
	}
	return b
}

// String is the schedule in the text form of the tests' specimens.
func (s *Schedule) String() string {
	var b strings.Builder
	for _, t := range s.Book().Tabs {
		b.WriteString("== " + t.Name + "\n")
		for _, r := range t.Rows {
			for i, c := range r.Cells {
				if i > 0 {
					b.WriteString(" | ")
				}
				if c.Kind == schedule.Number || c.Kind == schedule.Date {
					b.WriteByte('=')
				}
				b.WriteString(c.Value)
			}
			b.WriteByte('\n')
		}
	}
	return b.String()
}
