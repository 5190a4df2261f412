package takeoff

import (
	"sort"
	"strconv"
	"strings"
	"unicode"
)

// Ref is where something was typed: file (empty for the schedule itself), tab, row and column, both from 1. Column 0
// means the whole row, row 0 the whole tab.
type Ref struct {
	File string
	Tab  string
	Row  int
	Col  int
}

// String is the cell's address as findings print it: Walls!E14, or prices.xlsx Prices!B3 in a price book.
func (r Ref) String() string {
	s := r.Tab
	if r.Row > 0 {
		s += "!"
		if r.Col > 0 {
			s += ColumnName(r.Col)
		} else {
			s += "A"
		}
		s += strconv.Itoa(r.Row)
	}
	if r.File != "" {
		s = r.File + " " + s
	}
	return s
}

// At is the ref's row at another column.
func (r Ref) At(col int) Ref { r.Col = col; return r }

// ColumnName is a spreadsheet column's letters: 1 is A, 27 is AA.
func ColumnName(col int) string {
	s := ""
	for col > 0 {
		col--
		s = string(rune('A'+col%26)) + s
		col /= 26
	}
	return s
}

// Severity of a finding.
type Severity uint8

// Notes and warnings let the job be priced; an error does not.
const (
	Note Severity = iota
	Warning
	Error
)

// String is the word findings print.
func (s Severity) String() string { return [...]string{"note", "warning", "error"}[s] }

// Finding is one thing said about a cell: what was found, what is accepted, and where it helps the nearest valid value.
type Finding struct {
	Severity Severity
	At       Ref
	Subject  string // what the cell is: "Height, wall W-07"; empty when the message says it
	Message  string // what is wrong, lower case: "the inches are 12 or more"
	Cell     string // the cell's text as found; empty when it adds nothing
	Accepted string // the accepted forms; empty when the message says them
	Try      string // a valid value near the one found; empty when none is plain
	Rule     string // rule id, empty for reading
}

// Text is the finding's message in one line, as JSON and the Checks tab give it.
func (f Finding) Text() string {
	s := f.Message
	if f.Subject != "" {
		s = f.Subject + ": " + s
	}
	if f.Cell != "" {
		s += "; found " + strconv.Quote(f.Cell)
	}
	if f.Accepted != "" {
		s += "; accepted: " + f.Accepted
	}
	if f.Try != "" {
		s += "; try " + f.Try
	}
	return s
}

// HasErrors tells whether any finding is an error.
func HasErrors(fs []Finding) bool {
	for _, f := range fs {
		if f.Severity == Error {
			return true
		}
	}
	return false
}

// SortFindings puts findings in the order of the workbook: by tab, row, column, those of other files last.
func SortFindings(fs []Finding, tabs []string) {
	order := make(map[string]int, len(tabs))
	for i, t := range tabs {
		order[ItemKey(t)] = i + 1
	}
	rank := func(r Ref) int {
		n := order[ItemKey(r.Tab)]
		if n == 0 {
			n = len(tabs) + 1
		}
		return n
	}
	sort.SliceStable(fs, func(i, j int) bool {
		a, b := fs[i].At, fs[j].At
		if a.File != b.File {
			return a.File < b.File
		}
		if x, y := rank(a), rank(b); x != y {
			return x < y
		}
		if a.Tab != b.Tab {
			return a.Tab < b.Tab
		}
		if a.Row != b.Row {
			return a.Row < b.Row
		}
		return a.Col < b.Col
	})
}

// Print is the finding as the terminal shows it: a line that says where and what, then the cell as found, a value to try,
// and what is accepted. file names the schedule; a finding in a price book carries its own.
func (f Finding) Print(file string) string {
	at := f.At
	if at.File != "" {
		file, at.File = at.File, ""
	}
	var b strings.Builder
	if file != "" {
		b.WriteString(file + ": ")
	}
	b.WriteString(f.Severity.String() + ": ")
	if where := at.String(); where != "" {
		b.WriteString(onOneLine(where))
		if f.Subject != "" {
			b.WriteString(" (" + onOneLine(f.Subject) + ")")
		}
		b.WriteString(": ")
	} else if f.Subject != "" {
		b.WriteString(onOneLine(f.Subject) + ": ")
	}
	b.WriteString(onOneLine(f.Message) + "\n")
	for _, line := range [][2]string{{"cell  ", f.Cell}, {"try   ", f.Try}, {"ok    ", f.Accepted}} {
		if line[1] != "" {
			b.WriteString("    " + line[0] + onOneLine(line[1]) + "\n")
		}
	}
	return b.String()
}

// onOneLine keeps a name of the schedule's, with a line end or another control character in it, from looking like a line of
// ours or steering the terminal.
func onOneLine(s string) string {
	if !strings.ContainsFunc(s, unicode.IsControl) {
		return s
	}
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n', r == '\r', r == '\t':
			return ' '
		case unicode.IsControl(r):
			return unicode.ReplacementChar
		}
		return r
	}, s)
}
