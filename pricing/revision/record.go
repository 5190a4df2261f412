package revision

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
	"wallbill/takeoff/schedule"
	"wallbill/takeoff/unit"
)

// recordFormat is the first line of a record: what reads it must know the format.
const recordFormat = "1"

// RecordMark is that line's name. It tells a Record from a user's tab of that name.
const RecordMark = "Record format"

// The tables of a record, each with its title, one header row and its rows, a blank row before it. The first table has no
// title: it says which run it is.
const (
	tableInputs      = "Inputs of tab"
	tableLines       = "Priced lines"
	tableTotals      = "Totals"
	tableChanges     = "Changes"
	tableEdits       = "Edits"
	tableItems       = "Items changed"
	tableDifferences = "Differences beside the items"
	tableCells       = "Cells changed"
)

// RowKind says how a row of a record looks.
type RowKind uint8

// The kinds of rows of a record.
const (
	BlankRow RowKind = iota
	TitleRow
	HeaderRow
	DataRow
)

// RecordRow is a row of the Record tab, all text.
type RecordRow struct {
	Kind  RowKind
	Cells []string
}

// recordWriter gathers rows.
type recordWriter struct{ rows []RecordRow }

func (w *recordWriter) put(kind RowKind, cells ...string) {
	for i := range cells {
		cells[i] = escape(cells[i])
	}
	for len(cells) > 0 && cells[len(cells)-1] == "" {
		cells = cells[:len(cells)-1]
	}
	w.rows = append(w.rows, RecordRow{kind, cells})
}

func (w *recordWriter) table(title []string, header ...string) {
	w.put(BlankRow)
	w.put(TitleRow, title...)
	w.put(HeaderRow, header...)
}

// Record is the run as rows of text, readable by a person; ReadRecord gives the same run.
func (r *Run) Record() []RecordRow {
	w := &recordWriter{}
	w.put(HeaderRow, "Name", "Value")
	for _, v := range [][2]string{
		{RecordMark, recordFormat}, {"Run", itoa(r.Number)}, {"Time (UTC)", r.Time.UTC().Format(time.RFC3339Nano)}, {"Version", r.Version},
		{"Schedule", r.File}, {"Inputs, SHA-256", r.InputHash}, {"Cut effort of the run", r.Effort}, {"Currency", r.Currency},
		{"Decimals", itoa(int(r.Minor))}, {"Complete", yesNo(r.Complete)},
	} {
		w.put(DataRow, v[0], v[1])
	}
	for i := range r.Inputs {
		w.inputs(&r.Inputs[i])
	}
	w.table([]string{tableLines}, "Item", "Length", "Group", "Kind", "Supplier", "Net", "Order", "Unit", "Price", "Extension")
	for i := range r.Lines {
		l := &r.Lines[i]
		w.put(DataRow, l.Item, lengthText(l.Length), l.Group, l.Kind, l.Supplier, l.Net.String(), l.Order.String(), string(l.Unit), optional(l.Price), optional(l.Extension))
	}
	w.table([]string{tableTotals}, "Total", "Amount")
	for _, t := range r.Totals {
		w.put(DataRow, t.Name, t.Amount.String())
	}
	if r.Changes != nil {
		w.changes(r.Changes)
	}
	return w.rows
}

// inputs are the rows of a tab as read: the columns that the tab has, in its order.
func (w *recordWriter) inputs(t *schedule.InputTab) {
	order := columnOrder(t)
	letters := ""
	if t.Source != nil {
		for _, c := range order {
			letters += takeoff.ColumnName(t.Source[c]) + " "
		}
		letters = strings.TrimSpace(letters)
	}
	header := []string{"Tab", "Key", "Row"}
	for _, c := range order {
		header = append(header, t.Spec.Columns[c].Name)
	}
	w.table([]string{tableInputs, t.Spec.Name, "as spelled", t.Name, "of file", t.File, "columns", letters}, header...)
	for i := range t.Rows {
		row := &t.Rows[i]
		cells := []string{t.Spec.Name, row.Key, itoa(row.Row)}
		for _, c := range order {
			cells = append(cells, cell(row, c))
		}
		w.put(DataRow, cells...)
	}
}

// columnOrder is a tab's catalogue columns in the order of its sheet; of no sheet all of them.
func columnOrder(t *schedule.InputTab) []int {
	var order []int
	if t.Source == nil {
		for c := range t.Spec.Columns {
			order = append(order, c)
		}
		return order
	}
	last := 0
	for _, at := range t.Source {
		last = max(last, at)
	}
	by := make([]int, last+1)
	for c, at := range t.Source {
		if at > 0 {
			by[at] = c + 1
		}
	}
	for _, c := range by {
		if c > 0 {
			order = append(order, c-1)
		}
	}
	return order
}

func (w *recordWriter) changes(c *Changes) {
	w.table([]string{tableChanges}, "Name", "Value")
	for _, v := range [][2]string{
		{"From run", itoa(c.FromRun)}, {"To run", itoa(c.ToRun)}, {"From", c.From}, {"To", c.To}, {"Old total", c.OldTotal.String()},
		{"New total", c.NewTotal.String()}, {"Decimals", itoa(int(c.Minor))}, {"Note", c.Note},
	} {
		w.put(DataRow, v[0], v[1])
	}
	w.table([]string{tableEdits}, "Cost", "Edit")
	for _, e := range c.Edits {
		w.put(DataRow, e.Cost.String(), e.Name)
	}
	w.table([]string{tableItems}, "Item", "Length", "Unit", "Old order", "New order", "Old price", "New price", "Old extension", "New extension",
		"Quantity effect", "Price effect", "Rounding")
	for i := range c.Items {
		x := &c.Items[i]
		w.put(DataRow, x.Item, lengthText(x.Length), string(x.Unit), x.Q0.String(), x.Q1.String(), optional(x.P0), optional(x.P1), x.Old.String(),
			x.New.String(), x.Quantity.String(), x.PriceOnly.String(), x.Rounding.String())
	}
	w.table([]string{tableDifferences}, "Total", "Old", "New")
	for _, d := range c.Rest {
		w.put(DataRow, d.Name, d.Old.String(), d.New.String())
	}
	w.table([]string{tableCells}, "Tab", "Key", "Column", "Old", "New", "Old place", "New place", "Old file", "New file")
	for _, x := range c.Inputs {
		w.put(DataRow, x.Tab, x.Key, x.Column, x.Old, x.New, placeText(x.OldAt), placeText(x.NewAt), x.OldAt.File, x.NewAt.File)
	}
}

// RecordHash is the SHA-256 of a record's rows, hexadecimal; blank rows and cells at the end of a row are no part of it.
func RecordHash(rows [][]string) string {
	h := sha256.New()
	for _, r := range rows {
		for len(r) > 0 && r[len(r)-1] == "" {
			r = r[:len(r)-1]
		}
		if len(r) == 0 {
			continue
		}
		h.Write([]byte(strings.Join(r, "\x1f") + "\x1e"))
	}
	return hex.EncodeToString(h.Sum(nil))
}

// ReadRecord reads the rows of a record, blank ones empty.
func ReadRecord(rows [][]string) (r *Run, err error) {
	p := &recordReader{rows: rows}
	defer func() {
		if p.err != nil {
			r, err = nil, p.err
		}
	}()
	return p.run(), nil
}

// recordReader reads a record row by row; the first thing wrong ends it.
type recordReader struct {
	rows [][]string
	at   int
	row  []string
	err  error
}

func (p *recordReader) wrong(format string, args ...any) {
	if p.err == nil {
		p.err = fmt.Errorf("row %d of the record: "+format, append([]any{p.at}, args...)...)
	}
}

// next is the next row of the table being read, false at its end: a blank row, or no more.
func (p *recordReader) next() bool {
	if p.err != nil || p.at >= len(p.rows) {
		return false
	}
	p.row = p.rows[p.at]
	p.at++
	for _, c := range p.row {
		if c != "" {
			return true
		}
	}
	return false
}

// cell is a cell of the row.
func (p *recordReader) cell(i int) string {
	if i >= len(p.row) {
		return ""
	}
	s, ok := unescape(p.row[i])
	if !ok {
		p.wrong("%q is no text of a record", p.row[i])
	}
	return s
}

func (p *recordReader) number(i int) decimal.Decimal {
	d, err := decimal.NewFromString(p.cell(i))
	if err != nil {
		p.wrong("%q is no number", p.cell(i))
	}
	return d
}

func (p *recordReader) optional(i int) *decimal.Decimal {
	if p.cell(i) == "" {
		return nil
	}
	d := p.number(i)
	return &d
}

func (p *recordReader) whole(s string) int {
	n, err := strconv.Atoi(s)
	if err != nil {
		p.wrong("%q is no whole number", s)
	}
	return n
}

func (p *recordReader) length(i int) length.Length {
	s := p.cell(i)
	if s == "" {
		return 0
	}
	l, err := length.Parse(s, length.Foot)
	if err != nil {
		p.wrong("%q is no length", s)
	}
	return l
}

// names reads a table of names and values.
func (p *recordReader) names() map[string]string {
	m := map[string]string{}
	p.next() // header
	for p.next() {
		m[p.cell(0)] = p.cell(1)
	}
	return m
}

func (p *recordReader) run() *Run {
	m := p.names()
	if p.err != nil {
		return nil
	}
	if f := m[RecordMark]; f != recordFormat {
		if f == "" {
			p.err = errors.New("it does not begin as a record does")
		} else {
			p.err = fmt.Errorf("its format is %s, this version reads %s", f, recordFormat)
		}
		return nil
	}
	r := &Run{Number: p.whole(m["Run"]), Version: m["Version"], File: m["Schedule"], InputHash: m["Inputs, SHA-256"], Effort: m["Cut effort of the run"],
		Currency: m["Currency"], Minor: int32(p.whole(m["Decimals"])), Complete: m["Complete"] == "yes"}
	t, err := time.Parse(time.RFC3339Nano, m["Time (UTC)"])
	if err != nil {
		p.wrong("%q is no time", m["Time (UTC)"])
	}
	r.Time = t.UTC()
	seen := map[string]bool{}
	for p.err == nil && p.at < len(p.rows) {
		if !p.next() {
			continue
		}
		title := p.cell(0)
		seen[title] = true
		if title == tableInputs {
			p.inputs(r)
			continue
		}
		if title == tableChanges {
			v := p.names()
			if p.err != nil {
				return nil
			}
			c := &Changes{FromRun: p.whole(v["From run"]), ToRun: p.whole(v["To run"]), From: v["From"], To: v["To"], Minor: int32(p.whole(v["Decimals"])), Note: v["Note"]}
			for name, to := range map[string]*decimal.Decimal{"Old total": &c.OldTotal, "New total": &c.NewTotal} {
				if *to, err = decimal.NewFromString(v[name]); err != nil {
					p.wrong("%q is no amount", v[name])
				}
			}
			r.Changes = c
			continue
		}
		p.next() // header
		for p.next() {
			p.line(r, title)
		}
	}
	for _, must := range []string{tableLines, tableTotals, tableInputs} {
		if !seen[must] {
			p.wrong("the table %q is missing", must)
		}
	}
	return r
}

// line reads a row of a table.
func (p *recordReader) line(r *Run, table string) {
	switch table {
	case tableLines:
		r.Lines = append(r.Lines, Line{Item: p.cell(0), Length: p.length(1), Group: p.cell(2), Kind: p.cell(3), Supplier: p.cell(4), Net: p.number(5),
			Order: p.number(6), Unit: unit.Unit(p.cell(7)), Price: p.optional(8), Extension: p.optional(9)})
		return
	case tableTotals:
		r.Totals = append(r.Totals, Total{p.cell(0), p.number(1)})
		return
	case tableEdits, tableItems, tableDifferences, tableCells:
	default:
		p.wrong("there is no table %q", table)
	}
	c := r.Changes
	if c == nil {
		p.wrong("%s without the table %q", table, tableChanges)
		return
	}
	switch table {
	case tableEdits:
		c.Edits = append(c.Edits, Edit{Cost: p.number(0), Name: p.cell(1)})
	case tableItems:
		c.Items = append(c.Items, ItemChange{Item: p.cell(0), Length: p.length(1), Unit: unit.Unit(p.cell(2)), Q0: p.number(3), Q1: p.number(4),
			P0: p.optional(5), P1: p.optional(6), Old: p.number(7), New: p.number(8), Quantity: p.number(9), PriceOnly: p.number(10), Rounding: p.number(11)})
	case tableDifferences:
		c.Rest = append(c.Rest, Difference{p.cell(0), p.number(1), p.number(2)})
	case tableCells:
		x := InputChange{Tab: p.cell(0), Key: p.cell(1), Column: p.cell(2), Old: p.cell(3), New: p.cell(4), OldAt: p.place(5), NewAt: p.place(6)}
		x.OldAt.File, x.NewAt.File = p.cell(7), p.cell(8)
		c.Inputs = append(c.Inputs, x)
	}
}

// inputs reads the rows of a tab. Columns that this version has not are left out, those it has more are blank.
func (p *recordReader) inputs(r *Run) {
	spec := schedule.TabNamed(p.cell(1))
	in := schedule.InputTab{Spec: spec, Name: p.cell(3), File: p.cell(5)}
	letters := strings.Fields(p.cell(7))
	if !p.next() {
		p.wrong("a tab without its header row")
		return
	}
	var columns []int // of the catalogue, -1 for one it has not
	for i := 3; i < len(p.row); i++ {
		at := -1
		if spec != nil {
			for c := range spec.Columns {
				if spec.Columns[c].Name == p.cell(i) {
					at = c
				}
			}
		}
		columns = append(columns, at)
	}
	if spec != nil && len(letters) > 0 {
		in.Source = make([]int, len(spec.Columns))
		for i, c := range columns {
			if c >= 0 && i < len(letters) {
				in.Source[c] = columnNumber(letters[i])
			}
		}
	}
	if spec != nil && len(columns) == 0 {
		in.Source = make([]int, len(spec.Columns))
	}
	for p.next() {
		if spec == nil {
			continue // a tab of another version
		}
		row := schedule.Input{Key: p.cell(1), Row: p.whole(p.cell(2)), Cells: make([]string, len(spec.Columns))}
		for i, c := range columns {
			if c >= 0 {
				row.Cells[c] = p.cell(3 + i)
			}
		}
		in.Rows = append(in.Rows, row)
	}
	if spec != nil {
		r.Inputs = append(r.Inputs, in)
	}
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func optional(d *decimal.Decimal) string {
	if d == nil {
		return ""
	}
	return d.String()
}

// lengthText prints a stock length so that it reads back exactly; none is empty.
func lengthText(l length.Length) string {
	if l == 0 {
		return ""
	}
	return l.FtIn()
}

// placeText is a cell without its file: Walls!E14, Walls!14 for a row.
func placeText(r takeoff.Ref) string {
	if r.Tab == "" {
		return ""
	}
	s := r.Tab + "!"
	if r.Col > 0 {
		s += takeoff.ColumnName(r.Col)
	}
	return s + itoa(r.Row)
}

func (p *recordReader) place(i int) takeoff.Ref {
	s := p.cell(i)
	if s == "" {
		return takeoff.Ref{}
	}
	k := strings.LastIndexByte(s, '!')
	if k < 0 {
		p.wrong("%q is no cell", s)
		return takeoff.Ref{}
	}
	letters := strings.TrimRight(s[k+1:], "0123456789")
	return takeoff.Ref{Tab: s[:k], Col: columnNumber(letters), Row: p.whole(s[k+1+len(letters):])}
}

// columnNumber is a column by its letters: A is 1.
func columnNumber(letters string) int {
	n := 0
	for _, c := range letters {
		if c < 'A' || c > 'Z' || n > 1<<20 {
			return 0
		}
		n = n*26 + int(c-'A') + 1
	}
	return n
}

// escape makes a text one that a workbook keeps as it is: characters it cannot hold or would change are written \u0007, a
// backslash twice.
func escape(s string) string {
	if plainText(s) {
		return s
	}
	var b strings.Builder
	for i, c := range s {
		switch {
		case c == '\\':
			b.WriteString(`\\`)
		case c == utf8.RuneError && !strings.HasPrefix(s[i:], "\uFFFD"):
			fmt.Fprintf(&b, `\x%02x`, s[i])
		case c < ' ', c == 0x7f, c >= 0xFFFE, c == 0xA0, c == ' ' && (i == 0 || i == len(s)-1), c == '_' && strings.HasPrefix(s[i:], "_x"):
			fmt.Fprintf(&b, `\u{%x}`, c)
		default:
			b.WriteRune(c)
		}
	}
	return b.String()
}

// plainText tells whether escape leaves a text as it is.
func plainText(s string) bool {
	if s == "" {
		return true
	}
	if s[0] == ' ' || s[len(s)-1] == ' ' || strings.Contains(s, "_x") || !utf8.ValidString(s) {
		return false
	}
	for _, c := range s {
		if c < ' ' || c == '\\' || c == 0x7f || c >= 0xFFFE || c == 0xA0 {
			return false
		}
	}
	return true
}

func unescape(s string) (string, bool) {
	if !strings.Contains(s, `\`) {
		return s, true
	}
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] != '\\' {
			b.WriteByte(s[i])
			continue
		}
		rest := s[i+1:]
		switch {
		case strings.HasPrefix(rest, `\`):
			b.WriteByte('\\')
			i++
		case strings.HasPrefix(rest, "x") && len(rest) >= 3:
			n, err := strconv.ParseUint(rest[1:3], 16, 8)
			if err != nil {
				return "", false
			}
			b.WriteByte(byte(n))
			i += 3
		case strings.HasPrefix(rest, "u{"):
			end := strings.IndexByte(rest, '}')
			if end < 0 {
				return "", false
			}
			n, err := strconv.ParseUint(rest[2:end], 16, 32)
			if err != nil || n > utf8.MaxRune {
				return "", false
			}
			b.WriteRune(rune(n))
			i += end + 1
		default:
			return "", false
		}
	}
	return b.String(), true
}
