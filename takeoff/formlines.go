package takeoff

import (
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
			v, how := endsHow(k.at, "corners of wall "+w.Mark)
			l.line(w, at, "R-CORNER", f.item(k.part), unit.Each, v, how)
			units = units.Add(v)
			l.layUnits(f, strings.Contains(k.part, "-half"), v.Times(n))
		}
		l.drive("corners", at, units.Times(n))
		if caps := t.ends(); !f.Faces && caps[0].n+caps[1].n > 0 {
			v, how := endsHow(caps, "free ends of wall "+w.Mark)
			l.line(w, at, "R-CAP", f.item("endcap"), unit.Each, v, how)
		}
		rule := "R-BLOCK"
		if f.Faces {
			rule = "R-FACES"
		}
		whole := int64(0)
		for half, counts := range t.whole {
			v, how := countsHow(counts, rule)
			l.line(w, at, rule, l.unitItem(f, half == 1), unit.Each, exact.Int(v), how)
			whole += v
			l.layUnits(f, half == 1, exact.Int(v*n))
		}
		if v, how := countsHow(t.ledge, "R-BLOCK"); v+t.mitres > 0 {
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
func endsHow(at [2]courseEnds, what string) (exact.Num, How) {
	sum, how := exact.Num{}, How{}
	for _, e := range [2]int{1, 0} {
		if at[e].n == 0 {
			continue
		}
		name := [2]string{"at_start", "at_end"}[e]
		if how.Formula != "" {
			how.Formula += "+"
		}
		how.Formula += name
		v := exact.Int(at[e].n)
		if at[e].shared {
			how.Formula += "/2"
			v = exact.Frac(at[e].n, 2)
		}
		how.Operands = append(how.Operands, Count(name, at[e].n, "R-COURSE courses, "+what))
		sum = sum.Add(v)
	}
	return sum, how
}

// countsHow adds units by course: courses alike are counted together.
func countsHow(counts []courseCount, rule string) (int64, How) {
	type group struct {
		n       int64
		courses []int
	}
	var groups []group
	total := int64(0)
next:
	for _, c := range counts {
		total += c.n
		for i := range groups {
			if groups[i].n == c.n {
				groups[i].courses = append(groups[i].courses, c.course)
				continue next
			}
		}
		groups = append(groups, group{c.n, []int{c.course}})
	}
	how := How{}
	for i, g := range groups {
		suffix := ""
		if len(groups) > 1 {
			suffix = strconv.Itoa(i + 1)
		}
		if i > 0 {
			how.Formula += "+"
		}
		how.Formula += "units" + suffix + "·courses" + suffix
		where := coursesText(g.courses)
		how.Operands = append(how.Operands, Count("units"+suffix, g.n, rule+" fill of "+where), Count("courses"+suffix, int64(len(g.courses)), "R-COURSE, "+where))
	}
	return total, how
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
