package cmd

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"unicode"

	"github.com/shopspring/decimal"

	"wallbill/sheet"
	"wallbill/takeoff"
	"wallbill/takeoff/cutting"
	"wallbill/takeoff/length"
	"wallbill/takeoff/number"
)

// The lists that cut reads: comma-separated text with a header row, its columns in any order. Everything wrong with a list is
// a finding at its line and column; all come at once.

// table is a list as read: its known columns and its rows.
type table struct {
	name     string // as findings call it
	bare     length.Length
	findings *[]takeoff.Finding
	columns  map[string]int // column of each name present, from 0
	width    int            // cells of the header row
	rows     []tableRow
}

type tableRow struct {
	line  int
	cells []string
}

// cutPiece is a row of the pieces.
type cutPiece struct {
	length length.Length
	typed  length.Length // the unit it was given in
	count  int64
	mark   string
	row    tableRow
}

// cutStock is a row of the stock.
type cutStock struct {
	length length.Length
	typed  length.Length // the unit it was given in
	price  decimal.Decimal
}

// readTable reads a list with its columns; the required ones come first. The error is of the file.
func (a *app) readTable(path, name string, bare length.Length, findings *[]takeoff.Finding, required int, columns ...string) (*table, error) {
	text, err := a.readText(path)
	if err != nil {
		return nil, err
	}
	t := &table{name: name, bare: bare, findings: findings, columns: map[string]int{}}
	r := csv.NewReader(bytes.NewReader(text))
	r.Comma = separator(text)
	r.FieldsPerRecord = -1
	r.LazyQuotes = true // inches are typed as 6 1/2"
	headed := false
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, &sheet.FileError{Path: path, Message: err.Error(), Err: err}
		}
		line, _ := r.FieldPos(0)
		if blank(record) {
			continue
		}
		if !headed {
			headed = true
			if !t.head(record, line, required, columns) {
				return t, nil
			}
			continue
		}
		if len(t.rows) == a.limits.Rows {
			return nil, &sheet.FileError{Path: path, Message: fmt.Sprintf("has more than %d rows (--max-rows raises it)", a.limits.Rows)}
		}
		t.rows = append(t.rows, tableRow{line, record})
	}
	if !headed {
		t.say(takeoff.Finding{Severity: takeoff.Error, At: takeoff.Ref{Tab: name}, Message: "the list is empty", Accepted: "a header row with " + strings.Join(columns, ", ") + ", then rows"})
	}
	return t, nil
}

// readText is a text file within the limits.
func (a *app) readText(path string) ([]byte, error) {
	refused := func(format string, args ...any) error {
		return &sheet.FileError{Path: path, Message: fmt.Sprintf(format, args...)}
	}
	f, err := os.Open(path)
	if err != nil {
		var p *os.PathError
		if errors.As(err, &p) {
			err = p.Err
		}
		return nil, &sheet.FileError{Path: path, Message: err.Error(), Err: err}
	}
	defer f.Close()
	if s, err := f.Stat(); err == nil && s.IsDir() {
		return nil, refused("is a folder")
	}
	text, err := io.ReadAll(io.LimitReader(f, a.limits.FileBytes+1))
	switch {
	case err != nil:
		return nil, &sheet.FileError{Path: path, Message: err.Error(), Err: err}
	case int64(len(text)) > a.limits.FileBytes:
		return nil, refused("is over the limit of %d MB a file (--max-file raises it)", a.limits.FileBytes>>20)
	case bytes.IndexByte(text, 0) >= 0:
		return nil, refused("is no comma-separated text; save it as CSV (UTF-8)")
	}
	return bytes.TrimPrefix(text, []byte("\ufeff")), nil
}

// separator is what parts the cells of the first line: spreadsheet programs of some countries write semicolons.
func separator(text []byte) rune {
	line, _, _ := bytes.Cut(bytes.TrimLeft(text, "\r\n"), []byte("\n"))
	best, most := ',', 0
	for _, c := range ",;\t" {
		if n := bytes.Count(line, []byte(string(c))); n > most {
			best, most = c, n
		}
	}
	return best
}

func blank(cells []string) bool {
	for _, c := range cells {
		if strings.TrimSpace(c) != "" {
			return false
		}
	}
	return true
}

func (t *table) say(f takeoff.Finding) { *t.findings = append(*t.findings, f) }

// wrong is an error at a column of a row.
func (t *table) wrong(r tableRow, column, message, accepted, try string) {
	t.say(takeoff.Finding{Severity: takeoff.Error, At: takeoff.Ref{Tab: t.name, Row: r.line, Col: t.columns[column] + 1}, Subject: t.subject(r, column),
		Message: message, Cell: oneLine(t.cell(r, column)), Accepted: accepted, Try: try})
}

// subject names a cell: line 3, length, mark V1.
func (t *table) subject(r tableRow, column string) string {
	s := fmt.Sprintf("line %d, %s", r.line, column)
	if m := oneLine(t.cell(r, "mark")); m != "" {
		s += ", mark " + m
	}
	return s
}

// head reads the header row; ok is false where a required column is missing.
func (t *table) head(record []string, line, required int, columns []string) (ok bool) {
	at := func(col int) takeoff.Ref { return takeoff.Ref{Tab: t.name, Row: line, Col: col} }
	t.width = len(record)
	var strangers []int
	for i, cell := range record {
		key := headerKey(cell)
		known := false
		for _, c := range columns {
			known = known || c == key
		}
		first, twice := t.columns[key]
		switch {
		case key == "":
		case !known:
			strangers = append(strangers, i)
		case twice:
			t.say(takeoff.Finding{Severity: takeoff.Error, At: at(i + 1), Message: "the column '" + key + "' stands here and at " + at(first+1).String(), Accepted: "one column of that name"})
			return false
		default:
			t.columns[key] = i
		}
	}
	var absent []string
	for _, c := range columns {
		if _, present := t.columns[c]; !present {
			absent = append(absent, c)
		}
	}
	for _, i := range strangers {
		message := "not a column of this list: '" + oneLine(record[i]) + "'"
		if near := takeoff.Nearest(headerKey(record[i]), absent); near != "" {
			message += "; did you mean '" + near + "'?"
		}
		t.say(takeoff.Finding{Severity: takeoff.Note, At: at(i + 1), Message: message})
	}
	ok = true
	for _, c := range columns[:required] {
		if _, present := t.columns[c]; !present {
			t.say(takeoff.Finding{Severity: takeoff.Error, At: at(0), Message: "the column '" + c + "' is missing",
				Accepted: "a header row with " + strings.Join(columns, ", ") + ", in any order"})
			ok = false
		}
	}
	return ok
}

// headerKey is a header without case, spaces around it and a unit in brackets: Length (in) is length.
func headerKey(s string) string {
	s, _, _ = strings.Cut(s, "(")
	return strings.ToLower(strings.TrimSpace(s))
}

// cell is a row's text in a column, "" where there is none.
func (t *table) cell(r tableRow, column string) string {
	i, ok := t.columns[column]
	if !ok || i >= len(r.cells) {
		return ""
	}
	return strings.TrimSpace(r.cells[i])
}

// whole tells whether a row stands on one line, under the header row's columns: a quotation mark that is not closed would take the rows below into its cell.
func (t *table) whole(r tableRow) bool {
	for i, c := range r.cells {
		if strings.ContainsAny(c, "\n\r") {
			t.say(takeoff.Finding{Severity: takeoff.Error, At: takeoff.Ref{Tab: t.name, Row: r.line, Col: i + 1}, Subject: fmt.Sprintf("line %d", r.line),
				Message: "a quotation mark is not closed: the cell runs on over the line's end", Cell: oneLine(c), Accepted: `6 1/2" as it is, or in quotation marks with its own doubled: "6 1/2"""`})
			return false
		}
		if i >= t.width && strings.TrimSpace(c) != "" {
			t.say(takeoff.Finding{Severity: takeoff.Error, At: takeoff.Ref{Tab: t.name, Row: r.line, Col: i + 1}, Subject: fmt.Sprintf("line %d", r.line),
				Message: "more cells than the header row has columns", Cell: oneLine(c), Accepted: "numbers without grouping; text with a comma in quotation marks"})
			return false
		}
	}
	return true
}

// length reads a row's length, above 0.
func (t *table) length(r tableRow) (length.Length, bool) {
	text := t.cell(r, "length")
	if text == "" {
		t.wrong(r, "length", "the length is missing", length.Accepted, "")
		return 0, false
	}
	l, err := length.Parse(text, t.bare)
	var bad *length.Error
	switch {
	case errors.As(err, &bad):
		t.wrong(r, "length", bad.Message, bad.Accepted, bad.Try)
		return 0, false
	case l == 0:
		t.wrong(r, "length", "a length of nothing", "a length above 0", "")
		return 0, false
	}
	return l, true
}

// bareNumber is what a length without a unit is given in.
const bareNumber = length.Length(0)

// typed is the unit a row's length is given in.
func (t *table) typed(r tableRow) length.Length { return length.Typed(t.cell(r, "length"), bareNumber) }

// readPieces reads the pieces wanted.
func (a *app) readPieces(path, name string, bare length.Length, findings *[]takeoff.Finding) (*table, []cutPiece, error) {
	t, err := a.readTable(path, name, bare, findings, 2, "length", "quantity", "mark")
	if err != nil {
		return nil, nil, err
	}
	pieces := make([]cutPiece, 0, len(t.rows))
	for _, r := range t.rows {
		if !t.whole(r) {
			continue
		}
		l, ok := t.length(r)
		n, good := t.count(r)
		if ok && good {
			pieces = append(pieces, cutPiece{l, t.typed(r), n, oneLine(t.cell(r, "mark")), r})
		}
	}
	return t, pieces, nil
}

// count reads a row's quantity: a whole number, not negative.
func (t *table) count(r tableRow) (int64, bool) {
	const accepted = "a whole number, such as 12"
	text := t.cell(r, "quantity")
	if text == "" {
		t.wrong(r, "quantity", "the quantity is missing", accepted, "")
		return 0, false
	}
	d, ok := number.Plain(text)
	switch {
	case !ok:
		t.wrong(r, "quantity", "not a number", accepted, "")
	case d.Sign() < 0:
		t.wrong(r, "quantity", "a negative quantity", accepted, "")
	case !d.IsInteger():
		t.wrong(r, "quantity", "pieces are whole", accepted, "")
	case !d.BigInt().IsInt64():
		t.wrong(r, "quantity", "more than can be counted", accepted, "")
	default:
		return d.IntPart(), true
	}
	return 0, false
}

// readStock reads the stock; a price that is not given is 1.
func (a *app) readStock(path, name string, bare length.Length, findings *[]takeoff.Finding) ([]cutStock, bool, error) {
	t, err := a.readTable(path, name, bare, findings, 1, "length", "price")
	if err != nil {
		return nil, false, err
	}
	var stock []cutStock
	_, priced := t.columns["price"]
	for _, r := range t.rows {
		if !t.whole(r) {
			continue
		}
		l, ok := t.length(r)
		p, good := t.price(r, priced)
		if ok && good {
			stock = append(stock, cutStock{l, t.typed(r), p})
		}
	}
	if len(t.rows) == 0 && len(t.columns) > 0 && !takeoff.HasErrors(*findings) {
		t.say(takeoff.Finding{Severity: takeoff.Error, At: takeoff.Ref{Tab: name}, Message: "no stock to cut from", Accepted: "a row for each stock length"})
	}
	return stock, priced, nil
}

// price reads a row's price.
func (t *table) price(r tableRow, priced bool) (decimal.Decimal, bool) {
	one := decimal.NewFromInt(1)
	text := t.cell(r, "price")
	if text == "" {
		if priced {
			t.say(takeoff.Finding{Severity: takeoff.Note, At: takeoff.Ref{Tab: t.name, Row: r.line, Col: t.columns["price"] + 1}, Subject: t.subject(r, "price"), Message: "no price: 1 is taken"})
		}
		return one, true
	}
	d, ok := number.Plain(text)
	switch {
	case !ok:
		t.wrong(r, "price", "not a number", "a number without a currency or grouping, such as 1250.50", "")
	case d.Sign() < 0:
		t.wrong(r, "price", "a negative price", "0 or more", "")
	default:
		return d, true
	}
	return one, false
}

// listNames are what findings call the two lists: their names, their paths where the names are alike.
func listNames(pieces, stock string) (string, string) {
	p, s := filepath.Base(pieces), filepath.Base(stock)
	if p == s {
		return pieces, stock
	}
	return p, s
}

// oneLine keeps a list's text from breaking a line or steering the terminal.
func oneLine(s string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, s))
}

// wholePrices are prices as whole numbers of 10^−scale; ok is false where they are too large to count.
func wholePrices(stock []cutStock) (prices []cutting.Stock, scale int32, ok bool) {
	for _, s := range stock {
		scale = max(scale, -s.price.Exponent())
	}
	for _, s := range stock {
		n := s.price.Shift(scale).BigInt()
		if !n.IsInt64() {
			return nil, 0, false
		}
		prices = append(prices, cutting.Stock{Length: int64(s.length), Price: n.Int64()})
	}
	return prices, scale, true
}
