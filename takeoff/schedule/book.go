// Package schedule reads a schedule: from the cells of a workbook's tabs to a takeoff.Job and the findings about them.
//
// It knows no file format: a Book is plain values, which package sheet fills from a workbook. Everything that a schedule
// may hold stands as data in Tabs (catalogue.go), which the starter workbook, the record and the reader share. It refuses,
// with a finding at the cell, whatever the catalogue does not accept; reading goes on, so one run lists every finding.
// Quantities, and checks that need geometry (closure, openings past an end), are package takeoff's. Read Book, Tabs and
// Read first.
package schedule

// CellKind says what a workbook stores in a cell.
type CellKind uint8

// The kinds of cells.
const (
	Blank   CellKind = iota
	Text             // Value is the text
	Number           // Value is the number as stored, up to 17 digits
	Bool             // Value is TRUE or FALSE
	Date             // Value is ISO: 2026-11-02, or 2026-11-02T10:30:00
	Failed           // Value is the error: #REF!
	NoValue          // a formula whose value was never computed; Value is empty
)

// Cell is a cell as stored. The zero Cell is blank.
type Cell struct {
	Kind    CellKind
	Value   string
	Formula bool // the value is a formula's stored result
}

// Row is a row of a tab. Cells[0] is column A; a row may be shorter than the header.
type Row struct {
	Number int // as the spreadsheet numbers it, from 1
	Cells  []Cell
}

// Tab is a worksheet. Rows ascend by Number; a row without cells may be left out.
type Tab struct {
	Name string
	Rows []Row
}

// Book is a workbook's tabs in their order. File is what findings call it; for a schedule it is left out of addresses.
type Book struct {
	File string
	Tabs []Tab
}

// cell is the row's cell in a sheet column, counted from 1; blank beyond the row's end.
func (r Row) cell(col int) Cell {
	if col < 1 || col > len(r.Cells) {
		return Cell{}
	}
	return r.Cells[col-1]
}

// header is the tab's row 1.
func (t Tab) header() Row {
	for _, r := range t.Rows {
		if r.Number == 1 {
			return r
		}
	}
	return Row{Number: 1}
}
