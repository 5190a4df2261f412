package takeoff

import (
	"slices"
	"strconv"
	"strings"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/unit"
)

// lines makes the takeoff lines and drivers of a wall from what its courses counted: R-CORNER, R-CAP, R-BLOCK or R-FACES,
// and R-LEDGE where its units replace a course.
func (l *layer) lines(w *WallLines) {
	n := w.Run.Count
	for i, z := range w.Zones {
		t, f, at := &l.of(w).zones[i], z.Forms, wallPlace(w, z)
		units := exact.Num{}
		for _, k := range t.corners {
			v, how := l.endsHow(k.at, "corners of wall "+w.Mark)
			l.line(w, at, "R-CORNER", l.item(f, k.part), unit.Each, v, how)
			units = units.Add(v)
			l.layUnits(f, strings.Contains(k.part, "-half"), v.Times(n))
		}
		l.drive("corners", at, units.Times(n))
		if caps := t.ends(); !f.Faces && caps[0].n+caps[1].n > 0 {
			v, how := l.endsHow(caps, "free ends of wall "+w.Mark)
			l.line(w, at, "R-CAP", l.item(f, "endcap"), unit.Each, v, how)
		}
		rule := "R-BLOCK"
		if f.Faces {
			rule = "R-FACES"
		}
		whole := int64(0)
		for half, counts := range t.whole {
			v, how := l.countsHow(counts, rule)
			l.line(w, at, rule, l.unitItem(f, half == 1), unit.Each, exact.Int(v), how)
			whole += v
			l.layUnits(f, half == 1, exact.Int(v*n))
		}
		if v, how := l.countsHow(t.ledge, "R-BLOCK"); v+t.mitres > 0 {
			whole += v
			if t.mitres > 0 {
				each := l.set.Whole(SetLedgeMitre)
				v += t.mitres * each
				if how.Formula != "" {
					how.Formula += "+"
				}
				how.Formula += "corners·mitre"
				how.Operands = append(how.Operands, Count("corners", t.mitres, "R-LEDGE, exterior corners at which the wall ends"), Count("mitre", each, "Job Ledge mitre"))
			}
			l.line(w, at, "R-LEDGE", w.Ledge.unitItem(), unit.Each, exact.Int(v), how)
			l.layUnits(f, false, exact.Int(v*n))
		}
		t.units = units.Add(exact.Int(whole))
		l.drive("form-units", at, t.units.Times(n))
		l.drive("form-cuts", at, exact.Int(t.pieces*n))
	}
}

// ends are the courses with a free end, as counts at both ends.
func (t *zoneTally) ends() [2]courseEnds { return [2]courseEnds{{n: t.caps[0]}, {n: t.caps[1]}} }

// endsHow counts courses at the two ends of a wall, a shared corner's as half.
func (p *pass) endsHow(at [2]courseEnds, what string) (exact.Num, How) {
	sum, formula, from := exact.Num{}, "", ""
	operands := make([]Operand, 0, 2)
	for _, e := range [2]int{1, 0} {
		if at[e].n == 0 {
			continue
		}
		name, half := [2]string{"at_start", "at_end"}[e], ""
		v := exact.Int(at[e].n)
		if at[e].shared {
			half, v = "/2", exact.Frac(at[e].n, 2)
		}
		if formula != "" {
			formula = p.words(formula, "+", name, half)
		} else {
			formula, from = p.words(name, half), "R-COURSE courses, "+what
		}
		operands = append(operands, Count(name, at[e].n, from))
		sum = sum.Add(v)
	}
	return sum, p.how(formula, operands...)
}

// countsHow adds units by course: courses alike are counted together.
func (l *layer) countsHow(counts []courseCount, rule string) (int64, How) {
	groups := l.alike[:0]
	total := int64(0)
next:
	for _, c := range counts {
		total += c.n
		for i := range groups {
			if g := &groups[i]; g.n == c.n {
				g.courses = append(g.courses, c.course)
				continue next
			}
		}
		groups = slices.Grow(groups, 1)[:len(groups)+1]
		g := &groups[len(groups)-1]
		g.n, g.courses = c.n, append(g.courses[:0], c.course)
	}
	l.alike = groups
	formula := ""
	operands := make([]Operand, 0, 6)
	for i, g := range groups {
		units, courses, plus := "units", "courses", ""
		if len(groups) > 1 {
			no := strconv.Itoa(i + 1)
			units, courses = l.words(units, no), l.words(courses, no)
		}
		if i > 0 {
			plus = "+"
		}
		formula = l.words(formula, plus, units, "·", courses)
		l.text = appendCourses(append(append(l.text[:0], rule...), " fill of "...), g.courses)
		fill := l.once(l.text)
		l.text = appendCourses(append(l.text[:0], "R-COURSE, "...), g.courses)
		operands = append(operands, Count(units, g.n, fill), Count(courses, int64(len(g.courses)), l.once(l.text)))
	}
	return total, l.how(formula, operands...)
}

// likeCourses are courses with so many units each.
type likeCourses struct {
	n       int64
	courses []int
}

// unitItem is the item of a ledge's units.
func (m *LedgeMark) unitItem() string { return "ledge-" + ItemName(m.Mark) + "-unit" }

// ledgeForms is R-LEDGE's units that replace no course, and its connectors.
func (p *pass) ledgeForms(w *WallLines) {
	l, ok := w.LedgeLength()
	if !ok || l <= 0 {
		return
	}
	m := w.Ledge
	at := wallPlace(w, w.BandUnder(w.LedgeTop).Zone)
	long := p.units.Len("L", l, "R-LEDGE length of ledge "+m.Mark+" on wall "+w.Mark)
	if !m.ReplacesCourse && m.UnitLength > 0 {
		p.line(w, at, "R-LEDGE", m.unitItem(), unit.Each, exact.Int(ceilDiv(int64(l), int64(m.UnitLength))), How{
			Formula: "ceil(L/unit)", Operands: []Operand{long, p.units.Len("unit", m.UnitLength, "Ledges "+m.Mark)},
		})
	}
	if s := m.ConnectorSpacing; s > 0 {
		p.line(w, at, "R-LEDGE", "ledge-"+ItemName(m.Mark)+"-connector", unit.Each, exact.Int(int64(l/s)+1), How{
			Formula: "floor(L/s)+1", Operands: []Operand{long, p.units.Len("s", s, "Ledges "+m.Mark)},
		})
	}
}
