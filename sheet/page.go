package sheet

import (
	"math"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
)

// The rows every results tab begins with: title, what run it is, a hint, the header of its table.
const (
	titleRow = 1
	runRow   = 2
	hintRow  = 3
	headRow  = 4
	firstRow = 5
)

// outCell is what stands in a cell of a results tab. The zero outCell is blank.
type outCell struct {
	value   any // string, float64, int64 or time.Time; of a formula the value it has
	formula string
	look    look
	link    string // a place in the workbook: 'Walls'!E14
	file    string // the address of another file, as a link has it
}

func textCell(s string) outCell {
	if s == "" {
		return outCell{}
	}
	return outCell{value: s, look: asText}
}

func wrapCell(s string) outCell {
	if s == "" {
		return outCell{}
	}
	return outCell{value: s, look: asWrap}
}

// rightCell is a length in feet and inches, which is text that stands as numbers do.
func rightCell(s string) outCell { return outCell{value: s, look: asRightText} }

func wholeCell(n int64) outCell { return outCell{value: n, look: asWhole} }

func moneyCell(d decimal.Decimal) outCell { return outCell{value: storedNumber(d), look: asMoney} }

// quantityCell is a number with its decimals, none where it is whole.
func quantityCell(d decimal.Decimal) outCell {
	return outCell{value: storedNumber(d), look: quantityLook(d)}
}

func quantityLook(d decimal.Decimal) look {
	if d.IsInteger() {
		return asWhole
	}
	return asQuantity
}

func optionalCell(d *decimal.Decimal) outCell {
	if d == nil {
		return outCell{}
	}
	return quantityCell(*d)
}

func factorCell(d decimal.Decimal) outCell { return outCell{value: storedNumber(d), look: asFactor} }

func dateCell(d takeoff.Date) outCell {
	if d.IsZero() {
		return outCell{}
	}
	return outCell{value: d.Time, look: asDate}
}

func linkCell(s, place string) outCell { return outCell{value: s, look: asLink, link: place} }

// calcCell is a formula with its exact value stored.
func calcCell(formula string, value decimal.Decimal, l look) outCell {
	return outCell{value: storedNumber(value), formula: formula, look: l}
}

// calcTextCell is a formula that gives text.
func calcTextCell(formula, value string, l look) outCell {
	return outCell{value: value, formula: formula, look: l}
}

func (c outCell) as(l look) outCell { c.look = l; return c }

// storedNumber is d as a spreadsheet stores it: at most 15 significant digits, rounded half up in decimal first, because the
// library cuts the rest off.
func storedNumber(d decimal.Decimal) float64 {
	if e := d.Exponent(); e <= 0 && e >= -22 {
		if c := d.Coefficient(); c.IsInt64() {
			// both are exact in binary, so that the quotient is the number nearest to the decimal
			if n := c.Int64(); n > -1e15 && n < 1e15 {
				return float64(n) / math.Pow10(int(-e))
			}
		}
	}
	if digits := d.NumDigits(); digits > exact.SignificantDigits {
		d = d.Round(-d.Exponent() - int32(digits-exact.SignificantDigits))
	}
	return d.InexactFloat64()
}

// shown is about what a cell shows, for the width of its column.
func (c outCell) shown() int {
	switch v := c.value.(type) {
	case string:
		return utf8.RuneCountInString(v)
	case int64:
		return grouped(len(strconv.FormatInt(v, 10)), 0)
	case float64:
		places := 0
		switch c.look {
		case asMoney, asTotalMoney, asInMoney, asBidMoney:
			places = 3
		case asQuantity, asPrice, asInPrice:
			places = 5
		case asEffect:
			s := strconv.FormatFloat(v, 'f', -1, 64)
			if i := strings.IndexByte(s, '.'); i >= 0 {
				places = len(s) - i
			}
			places = max(places, 3)
		case asWhole, asInWhole:
		case asPercent, asInPercent:
			return 6
		case asFrom, asInFrom:
			if v >= unusedFrom {
				return 1 // shown as a dash
			}
			return len(strconv.FormatFloat(v, 'f', -1, 64))
		default:
			return len(strconv.FormatFloat(v, 'f', -1, 64))
		}
		n := grouped(len(strconv.FormatFloat(math.Trunc(v), 'f', -1, 64)), places)
		if c.look == asBidMoney {
			n = n * 3 / 2
		}
		return n
	case time.Time:
		return len("2026-01-01")
	}
	return 0
}

// grouped adds the commas of thousands to a number of digits.
func grouped(digits, places int) int { return digits + (digits-1)/3 + places }

// Column widths in characters. Text that is wider wraps.
const (
	leastWidth = 6
	mostWidth  = 60
)

// page is a results tab being written.
type page struct {
	name, title, hint string
	landscape         bool
	onePage           bool            // printed on one page; else one page wide
	a4                bool            // metric paper; else letter
	most              map[int]float64 // greatest width of a column, where it is not mostWidth
	rows              [][]outCell     // from titleRow on
	table             string          // name of the tab's one table; empty where several stand under one another
	tableCols         int
	charts            []chartAt
	flags             []string // ranges in which the word FAIL is to be seen
	late              *lateRows
	choices           []*excelize.DataValidation
	least             map[int]float64 // least width of a column, where it is not leastWidth
	printCols         int             // columns printed, the rest are workings; 0: all
	percent           uint            // scale of the print; 0: as wide as the page
	repeat            int             // rows repeated on every printed page; 0: to the header
	pictures          []pictureAt
	breaks            []int // rows that begin a printed page
}

// chartAt is a native chart with its top left cell.
type chartAt struct {
	cell  string
	chart *excelize.Chart
}

// newPage begins a tab with its title, the run's line and a hint.
func newPage(name, title, under, hint string) *page {
	p := &page{name: name, title: title, hint: hint, landscape: true}
	p.add(outCell{value: title, look: asTitle})
	p.add(outCell{value: under, look: asUnder})
	if hint == "" {
		p.add()
	} else {
		p.add(outCell{value: hint, look: asHint})
	}
	return p
}

// add puts a row below the others and gives its number.
func (p *page) add(cells ...outCell) int {
	p.rows = append(p.rows, cells)
	return len(p.rows)
}

// next is the number of the row that add would put.
func (p *page) next() int { return len(p.rows) + 1 }

// head is a header row; a name with a > before it stands at the right, over numbers.
func (p *page) head(names ...string) int {
	cells := make([]outCell, len(names))
	for i, n := range names {
		l := asHead
		if rest, ok := strings.CutPrefix(n, ">"); ok {
			n, l = rest, asHeadRight
		}
		cells[i] = outCell{value: n, look: l}
	}
	return p.add(cells...)
}

// section begins a further table: a blank row and its title.
func (p *page) section(title string) {
	p.add()
	p.add(outCell{value: title, look: asSection})
}

// widths fits every column to what stands in it.
func (p *page) widths() []float64 {
	var w []float64
	if p.late != nil {
		w = append(w, p.late.widths...)
	}
	for i, row := range p.rows {
		if i < headRow-1 {
			continue // these run over the columns at their right
		}
		for len(w) < len(row) {
			w = append(w, leastWidth)
		}
		for j, c := range row {
			n := float64(c.shown())
			switch c.look {
			case asSection, asBanner, asHint, asLong:
				continue
			case asHead, asHeadRight:
				n = longestWord(c.value.(string)) * 1.1
			case asTotalText, asTotalMoney, asBidText:
				n *= 1.15
			}
			if c.look.atRight() {
				n += 0.5 // the room of a letter at the right; points and commas are narrower than the digits counted
			}
			w[j] = max(w[j], n+2)
		}
	}
	for j := range w {
		most := float64(mostWidth)
		if m, ok := p.most[j+1]; ok {
			most = m
		}
		w[j] = max(min(w[j], most), p.least[j+1])
	}
	return w
}

// atRight tells whether a look stands at the right of its cell, with an indent.
func (l look) atRight() bool {
	switch l {
	case asRightText, asHeadRight, asWhole, asQuantity, asMoney, asPrice, asEffect, asPercent, asFactor, asDate, asFrom, asTotalMoney, asBidMoney,
		asInWhole, asInQuantity, asInPrice, asInMoney, asInPercent, asInFrom:
		return true
	}
	return false
}

// longestWord is the width of a header that may break between words.
func longestWord(s string) float64 {
	n := 0
	for _, word := range strings.Fields(s) {
		n = max(n, utf8.RuneCountInString(word))
	}
	return float64(n)
}

// columns is the number of columns the page uses.
func (p *page) columns() int {
	n := 1
	for _, r := range p.rows {
		n = max(n, len(r))
	}
	return n
}

// write puts the page into its tab of f, but for its late rows. What a stream does not take by its own calls (layout, protection, links, charts)
// is set on the tab before the stream is closed, which the library then writes in the right order.
func (p *page) write(f *excelize.File, ids *styles, footer string) error {
	tab := p.name
	cols := p.columns()
	last := len(p.rows) + p.late.count()
	if err := p.setUp(f, footer, cols, last); err != nil {
		return err
	}
	sw, err := f.NewStreamWriter(tab)
	if err != nil {
		return err
	}
	widths := p.widths()
	for j := len(widths) - 1; j >= 0; j-- { // the library puts each before the others
		if err := sw.SetColWidth(j+1, j+1, math.Ceil(widths[j])); err != nil {
			return err
		}
	}
	if err := sw.SetPanes(&excelize.Panes{Freeze: true, YSplit: headRow, TopLeftCell: "A5", ActivePane: "bottomLeft",
		Selection: []excelize.Selection{{SQRef: "A1", ActiveCell: "A1", Pane: "bottomLeft"}}}); err != nil {
		return err
	}
	values := make([]any, 0, cols)
	cells := make([]excelize.Cell, cols)
	for i, r := range p.rows {
		row := i + 1
		high := p.fit(r, row, widths)
		values = values[:0]
		for j := range r {
			c := &r[j]
			if c.blank() {
				values = append(values, nil)
				continue
			}
			cells[j] = excelize.Cell{StyleID: ids[c.look], Formula: c.formula, Value: c.value}
			values = append(values, &cells[j])
			if c.file != "" {
				if err := f.SetCellHyperLink(tab, takeoff.ColumnName(j+1)+strconv.Itoa(row), c.file, "External"); err != nil {
					return err
				}
			}
			if c.link != "" {
				if err := f.SetCellHyperLink(tab, takeoff.ColumnName(j+1)+strconv.Itoa(row), c.link, "Location"); err != nil {
					return err
				}
			}
		}
		if err := sw.SetRow("A"+strconv.Itoa(row), values, excelize.RowOpts{Height: high}); err != nil {
			return err
		}
	}
	if p.table != "" && last > headRow {
		striped := false
		if err := sw.AddTable(&excelize.Table{Range: cellArea(1, headRow, p.tableCols, last), Name: p.table, ShowRowStripes: &striped}); err != nil {
			return err
		}
	}
	if len(p.flags) > 0 {
		red, err := conditionalStyle(f, &excelize.Style{Font: &excelize.Font{Bold: true, Color: wrongColour}})
		if err != nil {
			return err
		}
		for _, ref := range p.flags {
			if err := f.SetConditionalFormat(tab, ref, []excelize.ConditionalFormatOptions{{Type: "cell", Criteria: "==", Value: `"` + checkFail + `"`, Format: &red}}); err != nil {
				return err
			}
		}
	}
	for _, c := range p.choices {
		if err := f.AddDataValidation(tab, c); err != nil {
			return err
		}
	}
	for _, c := range p.charts {
		if err := f.AddChart(tab, c.cell, c.chart); err != nil {
			return err
		}
	}
	for _, c := range p.pictures {
		if err := f.AddPictureFromBytes(tab, c.cell, c.picture); err != nil {
			return err
		}
	}
	for _, row := range p.breaks {
		if err := f.InsertPageBreak(tab, "A"+strconv.Itoa(row)); err != nil {
			return err
		}
	}
	return sw.Flush()
}

// The format's numbers of paper sizes.
const (
	paperLetter = 1
	paperA4     = 9
)

// Heights in points: of a line of text, and the most the format allows a row.
const (
	lineHeight = 15.75
	mostHeight = 405
)

// blank tells whether nothing stands in a cell, not even a look.
func (c *outCell) blank() bool { return c.value == nil && c.formula == "" && c.look == asText }

// fit wraps the texts of a row that are wider than their columns. It gives the row's height, 0 for that of one line.
func (p *page) fit(r []outCell, row int, widths []float64) float64 {
	lines := 1
	for j := range r {
		c := &r[j]
		s, ok := c.value.(string)
		if !ok || row < headRow || j >= len(widths) || len(s) < int(widths[j]) {
			continue
		}
		switch c.look {
		case asText:
			c.look = asWrap
			fallthrough
		case asWrap, asHead, asHeadRight:
			lines = max(lines, linesOf(s, int(widths[j])-1))
		}
	}
	high := 0.0
	if lines > 1 {
		high = float64(lines) * lineHeight
	}
	if len(r) > 0 {
		high = max(high, r[0].look.tall())
	}
	return min(high, mostHeight)
}

// tall is the height of a row that begins with larger letters; 0: as others.
func (l look) tall() float64 {
	switch l {
	case asTitle:
		return 24
	case asBanner, asSection:
		return 18
	case asBidText:
		return 20
	}
	return 0
}

// linesOf is how many lines a text takes in a column that many characters wide, broken between words where it can be.
func linesOf(s string, width int) int {
	width = max(width*6/5, 1) // letters are narrower than the digits that widths count in
	lines, at := 1, 0
	for _, word := range strings.Split(s, " ") {
		n := utf8.RuneCountInString(word)
		switch {
		case at == 0:
			at = n
		case at+1+n <= width:
			at += 1 + n
		default:
			lines, at = lines+1, n
		}
		for at > width {
			lines, at = lines+1, at-width
		}
	}
	return lines
}

// setUp is what must stand before a tab's stream begins.
func (p *page) setUp(f *excelize.File, footer string, cols, last int) error {
	tab := p.name
	yes, no := true, false
	grid := &no
	fit := p.percent == 0
	if err := f.SetSheetView(tab, 0, &excelize.ViewOptions{ShowGridLines: grid}); err != nil {
		return err
	}
	colour, height := "FF"+accent, 15.75
	if err := f.SetSheetProps(tab, &excelize.SheetPropsOptions{FitToPage: &fit, TabColorRGB: &colour, DefaultRowHeight: &height, CustomHeight: &yes}); err != nil {
		return err
	}
	if err := f.SetSheetDimension(tab, cellArea(1, 1, cols, last)); err != nil {
		return err
	}
	orientation, wide, high, size := "portrait", 1, 0, paperLetter
	if p.a4 {
		size = paperA4
	}
	if p.landscape {
		orientation = "landscape"
	}
	if p.onePage {
		high = 1
	}
	layout := &excelize.PageLayoutOptions{Orientation: &orientation, FitToWidth: &wide, FitToHeight: &high, Size: &size}
	if !fit {
		layout = &excelize.PageLayoutOptions{Orientation: &orientation, AdjustTo: &p.percent, Size: &size}
	}
	if err := f.SetPageLayout(tab, layout); err != nil {
		return err
	}
	side, top, edge := 0.5, 0.6, 0.3
	if err := f.SetPageMargins(tab, &excelize.PageLayoutMarginsOptions{Left: &side, Right: &side, Top: &top, Bottom: &top, Header: &edge, Footer: &edge}); err != nil {
		return err
	}
	if err := f.SetHeaderFooter(tab, &excelize.HeaderFooterOptions{OddFooter: footer}); err != nil {
		return err
	}
	if p.printCols > 0 {
		area := &excelize.DefinedName{Name: "_xlnm.Print_Area", Scope: tab, RefersTo: quoteTab(tab) + "!$A$1:$" + takeoff.ColumnName(p.printCols) + "$" + strconv.Itoa(last)}
		if err := f.SetDefinedName(area); err != nil {
			return err
		}
	}
	return f.ProtectSheet(tab, &excelize.SheetProtectionOptions{AutoFilter: true, Sort: true, FormatColumns: true, FormatRows: true,
		SelectLockedCells: true, SelectUnlockedCells: true, EditObjects: true, EditScenarios: true})
}

// cellArea is a range of cells: A1:C7.
func cellArea(c1, r1, c2, r2 int) string {
	return takeoff.ColumnName(c1) + strconv.Itoa(r1) + ":" + takeoff.ColumnName(c2) + strconv.Itoa(r2)
}

// colRange is a column's cells from one row to another, fixed: $F$5:$F$90; of another tab with its name before it.
func colRange(tab, letter string, from, to int) string {
	return prefix(tab) + "$" + letter + "$" + strconv.Itoa(from) + ":$" + letter + "$" + strconv.Itoa(to)
}

// cellRef is a cell: F5, of another tab with its name before it.
func cellRef(tab, letter string, row int) string { return prefix(tab) + letter + strconv.Itoa(row) }

// cellFixed is a cell that does not move: $F$5.
func cellFixed(tab, letter string, row int) string {
	return prefix(tab) + "$" + letter + "$" + strconv.Itoa(row)
}

func prefix(tab string) string {
	if tab == "" {
		return ""
	}
	return quoteTab(tab) + "!"
}

// quoteTab is a tab's name as a formula or a link writes it.
func quoteTab(tab string) string { return "'" + strings.ReplaceAll(tab, "'", "''") + "'" }

// quotient is a / b rounded half away from zero to that many decimals; b is not 0.
func quotient(a, b decimal.Decimal, places int32) decimal.Decimal {
	return exact.Dec(a).Div(exact.Dec(b)).Round(places)
}
