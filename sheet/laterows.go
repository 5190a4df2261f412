package sheet

import (
	"bufio"
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"wallbill/takeoff"
)

// lateRows are the rows of a long tab below its header. There may be hundreds of thousands, so that each is made when it is
// written into the file and none is kept. They hold text and numbers only: no formulas, no links.
type lateRows struct {
	rows   int
	widths []float64                  // of the columns, at least
	begin  func()                     // makes what the rows need, just before the first; nil: nothing
	fill   func(i int, row []outCell) // puts row i, from 0
}

func (l *lateRows) count() int {
	if l == nil {
		return 0
	}
	return l.rows
}

// widest is the width for a column of short texts, with room for the filter's button in the header.
func widest(head string, n int, at func(i int) string) float64 {
	most := len(head) + 3
	for i := range n {
		if s := at(i); len(s) > most {
			most = max(most, utf8.RuneCountInString(s))
		}
	}
	return min(float64(most)+2, 40)
}

// write puts the rows as the format has them, from the row after the page's own. What they were made from is let go: they
// are written once.
func (l *lateRows) write(w io.Writer, p *page, ids *styles) error {
	defer func() { l.begin, l.fill = nil, nil }()
	if l.begin != nil {
		l.begin()
	}
	out := bufio.NewWriterSize(w, 1<<16)
	widths := p.widths()
	columns := make([]string, len(widths))
	for j := range columns {
		columns[j] = takeoff.ColumnName(j + 1)
	}
	cells := make([]outCell, len(widths))
	var b []byte
	var text escaper
	for i := range l.rows {
		clear(cells)
		l.fill(i, cells)
		row := len(p.rows) + i + 1
		number := strconv.Itoa(row)
		b = append(b[:0], `<row r="`...)
		b = append(b, number...)
		if high := p.fit(cells, row, widths); high > 0 {
			b = append(b, `" ht="`...)
			b = strconv.AppendFloat(b, high, 'f', -1, 64)
			b = append(b, `" customHeight="1`...)
		}
		b = append(b, `">`...)
		for j := range cells {
			c := &cells[j]
			if c.blank() {
				continue
			}
			b = append(b, `<c r="`...)
			b = append(b, columns[j]...)
			b = append(b, number...)
			b = append(b, `" s="`...)
			b = strconv.AppendInt(b, int64(ids[c.look]), 10)
			switch v := c.value.(type) {
			case float64:
				b = append(b, `"><v>`...)
				b = strconv.AppendFloat(b, v, 'f', -1, 64)
				b = append(b, `</v></c>`...)
			case int64:
				b = append(b, `"><v>`...)
				b = strconv.AppendInt(b, v, 10)
				b = append(b, `</v></c>`...)
			case string:
				b = append(b, `" t="inlineStr"><is><t`...)
				if v != strings.TrimSpace(v) {
					b = append(b, ` xml:space="preserve"`...)
				}
				b = append(b, '>')
				b = text.append(b, v)
				b = append(b, `</t></is></c>`...)
			case nil:
				b = append(b, `"/>`...)
			default:
				return fmt.Errorf("a late row holds text and numbers, not %T", v)
			}
		}
		b = append(b, `</row>`...)
		if _, err := out.Write(b); err != nil {
			return err
		}
	}
	return out.Flush()
}

// mostText is the most characters the format allows in a cell.
const mostText = 32767

// escaper puts texts in XML into a line, with memory used again.
type escaper struct{ in, out []byte }

func (e *escaper) Write(p []byte) (int, error) {
	e.out = append(e.out, p...)
	return len(p), nil
}

// append adds a text as it stands in XML. Most need no change.
func (e *escaper) append(b []byte, s string) []byte {
	if len(s) > mostText && utf8.RuneCountInString(s) > mostText {
		s = string([]rune(s)[:mostText])
	}
	for i := range len(s) {
		if c := s[i]; c < ' ' || c == '&' || c == '<' || c == '>' || c == '"' || c == '\'' || c >= utf8.RuneSelf {
			e.in, e.out = append(e.in[:0], s...), b
			_ = xml.EscapeText(e, e.in) // an escaper takes all
			return e.out
		}
	}
	return append(b, s...)
}
