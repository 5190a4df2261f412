package schedule

import (
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/number"
)

// columnOf is a column of the catalogue.
func columnOf(t testing.TB, tab, column string) *ColumnSpec {
	t.Helper()
	spec := TabNamed(tab)
	for i := range spec.Columns {
		if spec.Columns[i].Name == column {
			return &spec.Columns[i]
		}
	}
	t.Fatalf("no column %s of %s", column, tab)
	return nil
}

// refused checks what a refusal says: what is wrong in one line, and a value to try that the column takes.
func refused(t *testing.T, r *reader, c *ColumnSpec, cell Cell, wrong *refusal) {
	t.Helper()
	if wrong.Message == "" || strings.ContainsAny(wrong.Message, "\n\r") {
		t.Fatalf("%s %v: the message is %q", c.Name, cell, wrong.Message)
	}
	if wrong.Try == "" {
		return
	}
	if again := r.read(&value{}, c, Cell{Kind: Text, Value: wrong.Try}); again != nil {
		t.Fatalf("%s %v: try %q: %s", c.Name, cell, wrong.Try, again.Message)
	}
}

// Laws of dates: a text that is read is the day it spells, and prints back to itself; a date cell may have a time behind
// its day and no other text; a suggestion is a day that is read, made of the numbers that were typed.
func FuzzDate(f *testing.F) {
	for _, s := range []string{"2026-11-02", "2024-02-29", "2026-02-29", "2026-2-3", "3/4/2026", "13/4/2026", "4.5.2026", "2 Jan 2026", "20261102", "1899-12-31", "2199-12-31", "2026-11-02T10:30:00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		r, c := newReader(), columnOf(t, "Pours", "Pour date")
		for _, kind := range []CellKind{Text, Date} {
			cell := Cell{Kind: kind, Value: text}
			if cell.blank() {
				continue
			}
			var v value
			if wrong := r.read(&v, c, cell); wrong != nil {
				refused(t, r, c, cell, wrong)
				for _, n := range strings.Split(wrong.Try, "-") {
					// 2 January has no number of its month, and 5 no nought before it
					if n = strings.TrimLeft(n, "0"); n != "" && !strings.Contains(text, n) && !strings.ContainsAny(text, "JFMASONDjfmasond") {
						t.Fatalf("%q: try %q", text, wrong.Try)
					}
				}
				continue
			}
			if len(v.text) != len("2026-11-02") || !strings.HasPrefix(strings.TrimSpace(text), v.text) || kind == Text && strings.TrimSpace(text) != v.text {
				t.Fatalf("%q is read as %q", text, v.text)
			}
			if y := v.day.Year(); y < 1900 || y > 2199 || v.day.Hour() != 0 {
				t.Fatalf("%q is read as %v", text, v.day.Time)
			}
			for _, again := range []CellKind{Text, Date} {
				var w value
				if wrong := r.read(&w, c, Cell{Kind: again, Value: v.text}); wrong != nil || !w.day.Equal(v.day.Time) || w.text != v.text {
					t.Fatalf("%q is read as %q, that as %q: %v", text, v.text, w.text, wrong)
				}
			}
		}
	})
}

// Laws of turns and starts: what is read prints back to the same, whatever the job's units are by then; an angle is 1 to 135
// degrees; a place stands only behind a mark; no start goes straight on; a suggestion is read.
func FuzzTurn(f *testing.F) {
	for _, s := range []string{"corner", "Outside  Corner", "corner 45", "inside corner 22.5°", "inside 0.9", "corner 12.34567", "straight", "end", "tee", "tee W7", "tee W7 at 12-6", "tee at 3", "tee at at at 3 m", "conrer", "90", "tee W7 at 9'-15\""} {
		f.Add(s, byte(0))
	}
	f.Fuzz(func(t *testing.T, text string, units byte) {
		all := []takeoff.LengthUnit{takeoff.InFeet, takeoff.InInches, takeoff.InMetres, takeoff.InMM}
		r := newReader()
		r.lengthsIn = all[units%4]
		for _, c := range []*ColumnSpec{columnOf(t, "Walls", "Turn"), columnOf(t, "Walls", "Start")} {
			cell := Cell{Kind: Text, Value: text}
			if cell.blank() {
				return
			}
			var v value
			if wrong := r.read(&v, c, cell); wrong != nil {
				refused(t, r, c, cell, wrong)
				continue
			}
			turns := v.turn.Kind == takeoff.TurnCorner || v.turn.Kind == takeoff.TurnInside
			switch {
			case turns && (v.turn.MilliDegrees < 1_000 || v.turn.MilliDegrees > 135_000):
				t.Fatalf("%q turns %d thousandths of a degree", text, v.turn.MilliDegrees)
			case !turns && v.turn.MilliDegrees != 0:
				t.Fatalf("%q turns", text)
			case v.turn.Kind != takeoff.TurnTee && (v.turn.TeeWall != "" || v.turn.HasTee):
				t.Fatalf("%q meets wall %q", text, v.turn.TeeWall)
			case v.turn.HasTee && (v.turn.TeeWall == "" || v.turn.TeeAt < 0):
				t.Fatalf("%q is a place %d on wall %q", text, v.turn.TeeAt, v.turn.TeeWall)
			case v.turn.Kind == takeoff.TurnStraight && c.Kind == StartColumn:
				t.Fatalf("%q starts straight", text)
			}
			for _, u := range all {
				other := newReader()
				other.lengthsIn = u
				var w value
				if wrong := other.read(&w, c, Cell{Kind: Text, Value: v.text}); wrong != nil || *w.turn != *v.turn || w.text != v.text {
					t.Fatalf("%q is read as %q, that in %v as %q: %v", text, v.text, u, w.text, wrong)
				}
			}
		}
	})
}

// Laws of money: what is read is at most a trillion, prints without exponent or trailing noughts, and reads back to the same
// from a text and from a number cell; a suggestion is read, and has the digits that were typed.
func FuzzMoney(f *testing.F) {
	for _, s := range []string{"1.5", "$1,234.50", "1,5", "0.30000000000000004", "-0.01", "1e5", "1e-30", "1000000000000", "1000000000000.01", ".5", "12 345,67", "−3", "0x1p-2", "NaN", "Inf"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		r := newReader()
		for _, c := range []*ColumnSpec{columnOf(t, "Prices", "Price"), columnOf(t, "Extras", "Price")} {
			for _, kind := range []CellKind{Text, Number} {
				cell := Cell{Kind: kind, Value: text}
				if cell.blank() {
					continue
				}
				var v value
				if wrong := r.read(&v, c, cell); wrong != nil {
					refused(t, r, c, cell, wrong)
					if strings.Trim(wrong.Try, "-.,0123456789") != "" || digits(wrong.Try) != "" && !strings.Contains(digits(text), digits(wrong.Try)) {
						t.Fatalf("%s %q: try %q", c.Name, text, wrong.Try)
					}
					continue
				}
				if v.num.Abs().GreaterThan(decimal.New(1, 12)) || v.num.Sign() < 0 && !c.Negative {
					t.Fatalf("%q is read as %s", text, v.num)
				}
				if v.text != number.Text(v.num) || strings.Trim(v.text, "-.0123456789") != "" || strings.Contains(v.text, ".") && strings.HasSuffix(v.text, "0") {
					t.Fatalf("%q prints as %q", text, v.text)
				}
				var w value
				if wrong := r.read(&w, c, Cell{Kind: Text, Value: v.text}); wrong != nil || !w.num.Equal(v.num) || w.text != v.text {
					t.Fatalf("%q is read as %s, that as %s: %v", text, v.text, w.text, wrong)
				}
				if kind == Number { // its digits are a double's: at most 15 of them count
					if wrong := r.read(&w, c, Cell{Kind: Number, Value: v.text}); wrong != nil || !w.num.Equal(v.num) {
						t.Fatalf("%q is read as %s, that as the number %s: %v", text, v.text, w.text, wrong)
					}
				}
			}
		}
	})
}

// digits are a number's digits, without the noughts that say nothing.
func digits(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < '0' || r > '9' {
			return -1
		}
		return r
	}, s)
	return strings.Trim(s, "0")
}
