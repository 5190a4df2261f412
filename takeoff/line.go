package takeoff

import (
	"strings"

	"github.com/shopspring/decimal"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// Line is one takeoff line: a quantity with where it belongs, its item, its unit, the arithmetic in words and its rule.
type Line struct {
	Wall, Opening string
	Level, Pour   string
	Item          string
	Quantity      decimal.Decimal // finished: rounded half up to 9 decimals of its unit
	Unit          unit.Unit
	How           How
	Rule          string
	At            Ref // the row it came from
}

// How is a line's derivation: a formula of named operands. Filled with the operands' values it is the explanation that a
// checker follows by hand. The quantity itself is computed from exact types, never from this text; a test proves that the
// two agree within the rounding of the operands shown.
//
// A formula uses operand names (ASCII letters, digits, underscore), numbers, + − · / with their usual ranks, parentheses,
// ceil( ), floor( ), min( , ) and max( , ). Operands carry units, so a formula that mixes them says the factor (a core in
// ft, not in; /27 from cubic feet to cubic yards). Its value is in the line's Unit.
type How struct {
	Formula  string
	Operands []Operand
	Note     string // doubts and remarks that travel with the line
}

// Operand is a named value of a formula with where it came from.
type Operand struct {
	Name  string
	Value exact.Num // in Unit
	Unit  unit.Unit // "" for a plain number
	From  string    // cell or rule: "Walls!F4", "R-GEOM", "Forms M 6in"
}

// Num is a plain number operand.
func Num(name string, v exact.Num, from string) Operand { return Operand{name, v, "", from} }

// Count is a whole-number operand.
func Count(name string, n int64, from string) Operand { return Operand{name, exact.Int(n), "", from} }

// String is the derivation: formula = filled (notes).
func (h How) String() string { return h.text("") }

// Explained is the line's derivation with its result: formula = filled = quantity unit; notes.
func (l *Line) Explained() string { return l.How.text(trimDecimal(l.Quantity) + " " + string(l.Unit)) }

func (h How) text(result string) string {
	if h.Formula == "" {
		return h.Note
	}
	var b strings.Builder
	b.Grow(4 * len(h.Formula))
	b.WriteString(h.Formula)
	filled := h.Filled()
	if filled != h.Formula {
		b.WriteString(" = ")
		b.WriteString(filled)
	}
	if result != "" && filled != result && filled+" ea" != result {
		b.WriteString(" = ")
		b.WriteString(result)
	}
	if h.Note != "" {
		b.WriteString("; ")
		b.WriteString(h.Note)
	}
	return b.String()
}

// Filled is the formula with each operand's value in place of its name.
func (h How) Filled() string {
	var b strings.Builder
	f := h.Formula
	for i := 0; i < len(f); {
		j := i
		for j < len(f) && nameByte(f[j], j > i) {
			j++
		}
		if j == i {
			b.WriteByte(f[i])
			i++
			continue
		}
		name := f[i:j]
		i = j
		found := false
		for k := range h.Operands {
			if h.Operands[k].Name == name {
				b.WriteString(h.Operands[k].Shown())
				found = true
				break
			}
		}
		if !found {
			b.WriteString(name)
		}
	}
	return b.String()
}

// nameByte tells whether c can stand in an operand's name: ASCII letters and _, digits not first.
func nameByte(c byte, inside bool) bool {
	return c == '_' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || inside && c >= '0' && c <= '9'
}

// Shown is the operand's value with its unit: feet and inches where a length in feet is a whole number of sixty-fourths of
// an inch, else a decimal to 9 places at most.
func (o Operand) Shown() string {
	if o.Unit == unit.Foot {
		if l := o.Value.Mul(exact.Len(length.Foot)); l.IsInt() {
			if n := length.Length(l.Floor()); n%length.Inch64 == 0 && n >= 0 {
				return n.FtIn()
			}
		}
	}
	s := trimDecimal(o.Value.Quantity())
	if o.Value.Sign() < 0 {
		s = "(" + s + ")"
	}
	if o.Unit != "" && o.Unit != unit.Each {
		s += " " + string(o.Unit)
	}
	return s
}

// trimDecimal prints d without trailing zeros.
func trimDecimal(d decimal.Decimal) string {
	s := d.String()
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// Units are the reporting units of a job.
type Units struct {
	Length, Area, Volume, Mass unit.Unit
	System                     length.System
}

// UnitsOf are the units a job reports in: ft, sqft, cy, lb, or m, m2, m3, kg.
func UnitsOf(s length.System) Units {
	if s == length.Metric {
		return Units{unit.Metre, unit.SqMetre, unit.CuMetre, unit.Kilo, s}
	}
	return Units{unit.Foot, unit.SqFoot, unit.CuYard, unit.Pound, s}
}

// Len is a length operand in the job's unit of length.
func (u Units) Len(name string, l length.Length, from string) Operand {
	per := length.Metre
	if u.System != length.Metric {
		per = length.Foot
	}
	return Operand{name, exact.Frac(int64(l), int64(per)), u.Length, from}
}

// sameName tells whether names match as ItemKey has it.
func sameName(a, b string) bool { return a == b || ItemKey(a) == ItemKey(b) }

// ItemKey is how item names match: without case.
func ItemKey(item string) string { return strings.ToLower(strings.TrimSpace(item)) }
