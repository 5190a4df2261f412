package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"
	"time"
	"unicode/utf16"

	"wallbill/sheet/xmlscan"
	"wallbill/takeoff"
	"wallbill/takeoff/schedule"
)

// readStrings reads the table of shared texts.
func (r *reader) readStrings(key string) error {
	return r.scanPart(key, "sst", func(s *xmlscan.Scanner, name string) error {
		if name != "si" {
			return nil
		}
		if most := max(r.limits.Rows, DefaultLimits.Rows) * cellsPerRow; len(r.strings) == most {
			return refuse(r.path, nil, "is over the limit of %d texts (--max-rows raises it)", most)
		}
		text, err := readRich(s)
		r.strings = append(r.strings, text)
		return err
	})
}

// longestText bounds the text of a cell, in bytes as they stand in the file: the format allows 32,767 characters, each of at
// most 4 bytes, or 7 escaped.
const longestText = 256 << 10

var errLongText = errors.New("a text longer than a cell holds")

// pieces are a text that comes in pieces. Nearly always it is one.
type pieces struct {
	first string
	all   []byte // nil: the first is all
}

func (p *pieces) add(b []byte) error {
	switch {
	case len(p.first) == 0:
		p.first = string(b)
	case p.all == nil:
		p.all = append([]byte(p.first), b...)
	default:
		p.all = append(p.all, b...)
	}
	if max(len(p.first), len(p.all)) > longestText {
		return errLongText
	}
	return nil
}

func (p *pieces) String() string {
	if p.all == nil {
		return p.first
	}
	return string(p.all)
}

// readRich reads the text of an <si> or <is>: its <t>, or those of its runs. What stands in <rPh>, how a text is spoken,
// is no part of it.
func readRich(s *xmlscan.Scanner) (string, error) {
	outside := s.Depth() - 1
	var text pieces
	plain := true
	inText := 0 // depth of the <t> we are in
	for s.Depth() > outside {
		kind, err := s.Next()
		if err != nil {
			return "", err
		}
		switch kind {
		case xmlscan.Start:
			switch string(s.Name()) {
			case "t":
				inText = s.Depth()
			case "rPh":
				if err := s.Skip(); err != nil {
					return "", err
				}
			}
		case xmlscan.Text:
			if inText > 0 {
				if err := text.add(s.Text()); err != nil {
					return "", err
				}
				plain = plain && bytes.IndexByte(s.Text(), '_') < 0
			}
		case xmlscan.End:
			if s.Depth() < inText {
				inText = 0
			}
		}
	}
	if plain {
		return text.String(), nil
	}
	return unescapeText(text.String()), nil
}

// unescapeText resolves _x000D_ and its like: the format's way to hold characters that XML does not allow.
func unescapeText(s string) string {
	var b strings.Builder
	var wide []uint16
	flush := func() {
		b.WriteString(string(utf16.Decode(wide)))
		wide = wide[:0]
	}
	for i := 0; i < len(s); {
		if s[i] == '_' && i+7 <= len(s) && s[i+1] == 'x' && s[i+6] == '_' {
			if n, err := strconv.ParseUint(s[i+2:i+6], 16, 16); err == nil {
				wide = append(wide, uint16(n))
				i += 7
				continue
			}
		}
		if len(wide) > 0 {
			flush()
		}
		b.WriteByte(s[i])
		i++
	}
	flush()
	return b.String()
}

// mostFormats bounds the lists of formats: the format itself allows 65,490.
const mostFormats = 1 << 17

// readStyles learns which cell formats show a date.
func (r *reader) readStyles(key string) error {
	codes := map[int]string{}
	inCellXfs := 0
	var ids []int
	err := r.scanPart(key, "styleSheet", func(s *xmlscan.Scanner, name string) error {
		switch name {
		case "numFmt":
			id, _ := s.Attr("numFmtId")
			code, _ := s.Attr("formatCode")
			if n, err := strconv.Atoi(id); err == nil && s.Depth() == 3 {
				if codes[n] = code; len(codes) > mostFormats {
					return refuse(r.path, nil, "is over the limit of %d cell formats", mostFormats)
				}
			}
		case "cellXfs":
			inCellXfs = s.Depth()
		case "cellStyleXfs", "cellStyles", "dxfs":
			inCellXfs = 0
		case "xf":
			if inCellXfs > 0 && s.Depth() == inCellXfs+1 {
				id, _ := s.Attr("numFmtId")
				n, _ := strconv.Atoi(id)
				if ids = append(ids, n); len(ids) > mostFormats {
					return refuse(r.path, nil, "is over the limit of %d cell formats", mostFormats)
				}
			}
		}
		return nil
	})
	for _, id := range ids {
		code, own := codes[id]
		r.dates = append(r.dates, own && showsDate(code) || !own && builtinDate(id))
	}
	return err
}

// builtinDate tells the formats that have a number and no code (ECMA-376 part 1, 18.8.30, with the date formats of East
// Asian programs).
func builtinDate(id int) bool {
	return id >= 14 && id <= 22 || id >= 27 && id <= 36 || id >= 45 && id <= 47 || id >= 50 && id <= 58
}

// showsDate tells whether a format code shows a date or a time: one of its letters y m d h s stands outside quotes,
// escapes and brackets, or a bracket holds elapsed time.
func showsDate(code string) bool {
	code = strings.ToLower(code)
	for i := 0; i < len(code); i++ {
		switch c := code[i]; c {
		case '"':
			j := strings.IndexByte(code[i+1:], '"')
			if j < 0 {
				return false
			}
			i += 1 + j
		case '\\', '_', '*':
			i++
		case '[':
			j := strings.IndexByte(code[i:], ']')
			if j < 0 {
				return false
			}
			if in := code[i+1 : i+j]; in != "" && (strings.Trim(in, "h") == "" || strings.Trim(in, "m") == "" || strings.Trim(in, "s") == "") {
				return true
			}
			i += j
		case ';':
			return false // the part for negative numbers tells nothing new
		case 'y', 'm', 'd', 'h', 's':
			return true
		}
	}
	return false
}

// mergedRange is a merged range.
type mergedRange struct{ row1, col1, row2, col2 int }

// readSheet reads a tab's cells. Rows and cells without values cost a look and no memory, however many a program wrote.
func (r *reader) readSheet(key, tab string) ([]schedule.Row, error) {
	var rows []schedule.Row
	var merged []mergedRange
	err := r.scanPart(key, "worksheet", func(s *xmlscan.Scanner, name string) error {
		switch {
		case name == "sheetData" && s.Depth() == 2:
			var err error
			rows, err = r.readRows(s, tab)
			return err
		case name == "mergeCell" && s.Depth() == 3:
			from, to, ok := strings.Cut(string(s.AttrBytes("ref")), ":")
			row1, col1 := cellAt([]byte(from))
			row2, col2 := cellAt([]byte(to))
			if ok && row1 > 0 && row2 >= row1 && col2 >= col1 && len(merged) < r.limits.Rows {
				merged = append(merged, mergedRange{row1, col1, row2, col2})
			}
		case name != "worksheet" && name != "mergeCells" && s.Depth() == 2:
			return s.Skip()
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return rows, r.fillMerged(rows, merged, tab)
}

// cellAt reads a cell's address; zeros for what is none.
func cellAt(b []byte) (row, col int) {
	i := 0
	for ; i < len(b) && b[i] == '$'; i++ {
	}
	for ; i < len(b) && (b[i]|0x20 >= 'a' && b[i]|0x20 <= 'z'); i++ {
		if col = col*26 + int(b[i]|0x20-'a') + 1; col > columnLimit {
			return 0, 0
		}
	}
	if i < len(b) && b[i] == '$' {
		i++
	}
	row, ok := parseDigits(b[i:])
	if !ok || row < 1 || row > rowLimit || col == 0 {
		return 0, 0
	}
	return row, col
}

func parseDigits(b []byte) (n int, ok bool) {
	if len(b) == 0 || len(b) > 9 {
		return 0, false
	}
	for _, c := range b {
		if c < '0' || c > '9' {
			return 0, false
		}
		n = n*10 + int(c-'0')
	}
	return n, true
}

func (r *reader) broken(tab string, format string, args ...any) error {
	return refuse(r.path, nil, "damaged: tab %s: %s", tab, fmt.Sprintf(format, args...))
}

func (r *reader) readRows(s *xmlscan.Scanner, tab string) ([]schedule.Row, error) {
	var rows []schedule.Row
	var cells []schedule.Cell // of the row being read; copied when it ends
	last := 0
	outside := s.Depth() - 1
	for s.Depth() > outside {
		kind, err := s.Next()
		if err != nil {
			return nil, err
		}
		if kind != xmlscan.Start {
			continue
		}
		if string(s.Name()) != "row" {
			if err := s.Skip(); err != nil {
				return nil, err
			}
			continue
		}
		number := last + 1
		if b := s.AttrBytes("r"); b != nil {
			n, ok := parseDigits(bytes.TrimSpace(b))
			if !ok {
				return nil, r.broken(tab, "a row numbered %q", clipBytes(b))
			}
			number = n
		}
		if number < 1 || number > rowLimit {
			return nil, r.broken(tab, "there is no row %d", number)
		}
		if number <= last {
			return nil, r.broken(tab, "row %d comes after row %d", number, last)
		}
		last = number
		cells = cells[:0]
		if cells, err = r.readRow(s, tab, number, cells); err != nil {
			return nil, err
		}
		if len(cells) == 0 {
			continue
		}
		if len(rows) == r.limits.Rows {
			return nil, refuse(r.path, nil, "tab %s is over the limit of %d rows (--max-rows raises it)", tab, r.limits.Rows)
		}
		if r.cells += len(cells); r.cells/cellsPerRow > r.limits.Rows {
			return nil, refuse(r.path, nil, "tab %s is over the limit of %d cells (--max-rows raises it)", tab, r.limits.Rows*cellsPerRow)
		}
		rows = append(rows, schedule.Row{Number: number, Cells: append(make([]schedule.Cell, 0, len(cells)), cells...)})
	}
	return rows, nil
}

func clipBytes(b []byte) []byte { return b[:min(len(b), 20)] }

// readRow reads the cells of a row that has just begun, up to its last one with something in it.
func (r *reader) readRow(s *xmlscan.Scanner, tab string, row int, cells []schedule.Cell) ([]schedule.Cell, error) {
	outside := s.Depth() - 1
	col := 0
	for s.Depth() > outside {
		kind, err := s.Next()
		if err != nil {
			return nil, err
		}
		if kind != xmlscan.Start {
			continue
		}
		if string(s.Name()) != "c" {
			if err := s.Skip(); err != nil {
				return nil, err
			}
			continue
		}
		col++
		if b := s.AttrBytes("r"); b != nil {
			var at int
			if at, col = cellAt(b); at != row {
				return nil, r.broken(tab, "a cell %q stands in row %d", clipBytes(b), row)
			}
		}
		if col > columnLimit {
			return nil, r.broken(tab, "row %d has too many cells", row)
		}
		cell, err := r.readCell(s, tab, row, col)
		if err != nil {
			return nil, err
		}
		if cell == (schedule.Cell{}) {
			continue
		}
		for len(cells) < col {
			cells = append(cells, schedule.Cell{})
		}
		if cells[col-1] != (schedule.Cell{}) {
			return nil, r.broken(tab, "cell %s%d stands in it twice", takeoff.ColumnName(col), row)
		}
		cells[col-1] = cell
	}
	return cells, nil
}

// readCell reads a <c> that has just begun.
func (r *reader) readCell(s *xmlscan.Scanner, tab string, row, col int) (schedule.Cell, error) {
	outside := s.Depth() - 1
	var kindBuf [12]byte
	kind := kindBuf[:copy(kindBuf[:], s.AttrBytes("t"))]
	date := false
	if b := s.AttrBytes("s"); b != nil {
		if n, ok := parseDigits(b); ok && n < len(r.dates) {
			date = r.dates[n]
		}
	}
	var cell schedule.Cell
	var value string
	hasValue, inline := false, false
	for s.Depth() > outside {
		k, err := s.Next()
		if err != nil {
			return cell, err
		}
		if k != xmlscan.Start {
			continue
		}
		switch string(s.Name()) {
		case "v":
			if value, hasValue, err = readValue(s); err != nil {
				return cell, err
			}
		case "is":
			if value, err = readRich(s); err != nil {
				return cell, err
			}
			inline = true
		case "f":
			cell.Formula = true
			err = s.Skip()
		default:
			err = s.Skip()
		}
		if err != nil {
			return cell, err
		}
	}
	where := func() string { return takeoff.ColumnName(col) + strconv.Itoa(row) }
	switch t := string(kind); {
	case inline:
		cell.Kind, cell.Value = schedule.Text, value
	case cell.Formula && (!hasValue || value == "" && t != "str"):
		// Written by a program that computes nothing: the value was never known.
		return schedule.Cell{Kind: schedule.NoValue, Formula: true}, nil
	case !hasValue:
		return schedule.Cell{}, nil
	case t == "s":
		n, ok := parseDigits([]byte(strings.TrimSpace(value)))
		if !ok || n >= len(r.strings) {
			return cell, r.broken(tab, "cell %s: its text is missing", where())
		}
		cell.Kind, cell.Value = schedule.Text, r.strings[n]
	case t == "str", t == "inlineStr":
		cell.Kind, cell.Value = schedule.Text, unescapeText(value)
	case t == "b":
		cell.Kind, cell.Value = schedule.Bool, "FALSE"
		if v := strings.TrimSpace(value); v == "1" || strings.EqualFold(v, "true") {
			cell.Value = "TRUE"
		}
	case t == "e":
		cell.Kind, cell.Value = schedule.Failed, strings.TrimSpace(value)
	case t == "d":
		cell.Kind, cell.Value = schedule.Date, isoDate(strings.TrimSpace(value))
	case t == "" || t == "n":
		cell.Value = strings.TrimSpace(value)
		switch {
		case cell.Value == "":
			return schedule.Cell{}, nil
		case !isNumber(cell.Value):
			cell.Kind = schedule.Text
		default:
			cell.Kind = schedule.Number
			if date {
				if iso, ok := serialDate(cell.Value, r.from1904); ok {
					cell.Kind, cell.Value = schedule.Date, iso
				}
			}
		}
	default:
		return cell, r.broken(tab, "cell %s is of an unknown type %q", where(), kind)
	}
	if cell.Kind == schedule.Text && cell.Value == "" {
		return schedule.Cell{}, nil // an empty text is a blank cell, a formula's too
	}
	return cell, nil
}

// readValue reads the text of a <v> that has just begun.
func readValue(s *xmlscan.Scanner) (string, bool, error) {
	outside := s.Depth() - 1
	var value pieces
	for s.Depth() > outside {
		k, err := s.Next()
		if err != nil {
			return "", false, err
		}
		if k == xmlscan.Text && s.Depth() == outside+1 {
			if err := value.add(s.Text()); err != nil {
				return "", false, err
			}
		}
	}
	return value.String(), true, nil
}

// isNumber tells a number as workbooks store it: digits, a point, an exponent that a double can have.
func isNumber(s string) bool {
	plain := true
	for i := range len(s) {
		switch c := s[i]; {
		case c >= '0' && c <= '9':
		case c == '.', c == '-', c == '+', c == 'e', c == 'E':
			plain = plain && c == '.'
		default:
			return false
		}
	}
	if plain && strings.Count(s, ".") <= 1 && s != "." && len(s) < 300 {
		return true
	}
	_, err := strconv.ParseFloat(s, 64)
	return err == nil
}

// serialDate turns a day number into a date: 1 is 1 January 1900 in a calendar that wrongly has a 29 February 1900, or 0
// is 1 January 1904. False for numbers that are no date of a spreadsheet.
func serialDate(s string, from1904 bool) (string, bool) {
	n, err := strconv.ParseFloat(s, 64)
	if err != nil || n < 0 || n >= 2958466 { // 1 January 10000
		return "", false
	}
	base := time.Date(1899, time.December, 30, 0, 0, 0, 0, time.UTC)
	switch {
	case from1904:
		base = time.Date(1904, time.January, 1, 0, 0, 0, 0, time.UTC)
	case n < 60:
		base = base.AddDate(0, 0, 1)
	}
	days := math.Floor(n)
	seconds := math.Round((n - days) * 86400)
	return showDate(base.AddDate(0, 0, int(days)).Add(time.Duration(seconds) * time.Second)), true
}

func showDate(t time.Time) string {
	if t.Hour() == 0 && t.Minute() == 0 && t.Second() == 0 {
		return t.Format("2006-01-02")
	}
	return t.Format("2006-01-02T15:04:05")
}

// isoDate is a date cell stored as ISO text, without a time of midnight.
func isoDate(s string) string {
	for _, layout := range []string{"2006-01-02T15:04:05Z07:00", "2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02"} {
		if t, err := time.Parse(layout, s); err == nil {
			return showDate(t)
		}
	}
	return s
}

// fillMerged gives the cells that a merged cell covers what the reader of the sheet sees there. Down a column of data each
// row takes the value: a blank would silently become the default. Along the header a covered column takes the name only
// when something stands in it. Rows that hold nothing else stay blank.
func (r *reader) fillMerged(rows []schedule.Row, merged []mergedRange, tab string) error {
	at := func(row, col int) *schedule.Cell {
		i := sort.Search(len(rows), func(i int) bool { return rows[i].Number >= row })
		if i < len(rows) && rows[i].Number == row && col <= len(rows[i].Cells) {
			return &rows[i].Cells[col-1]
		}
		return nil
	}
	var used []bool
	for _, m := range merged {
		top := at(m.row1, m.col1)
		if top == nil || *top == (schedule.Cell{}) {
			continue
		}
		value := *top
		if m.row1 == 1 {
			for col := m.col1 + 1; col <= m.col2; col++ {
				if r.fills++; r.fills/cellsPerRow > r.limits.Rows {
					return refuse(r.path, nil, "tab %s has too many merged cells", tab)
				}
				if used == nil {
					used = usedColumns(rows)
				}
				if col <= len(used) && used[col-1] {
					fillCell(&rows[0], col, value)
				}
			}
			continue
		}
		first := sort.Search(len(rows), func(i int) bool { return rows[i].Number > m.row1 })
		for i := first; i < len(rows) && rows[i].Number <= m.row2; i++ {
			if r.fills++; r.fills/cellsPerRow > r.limits.Rows {
				return refuse(r.path, nil, "tab %s has too many merged cells", tab)
			}
			fillCell(&rows[i], m.col1, value)
		}
	}
	return nil
}

func fillCell(row *schedule.Row, col int, value schedule.Cell) {
	for len(row.Cells) < col {
		row.Cells = append(row.Cells, schedule.Cell{})
	}
	if row.Cells[col-1] == (schedule.Cell{}) {
		row.Cells[col-1] = value
	}
}

// usedColumns tells by column, from 0, whether anything stands in it below the header.
func usedColumns(rows []schedule.Row) []bool {
	var used []bool
	for _, row := range rows {
		if row.Number == 1 {
			continue
		}
		for i, c := range row.Cells {
			for len(used) <= i {
				used = append(used, false)
			}
			used[i] = used[i] || c != (schedule.Cell{})
		}
	}
	return used
}
