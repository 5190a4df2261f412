package takeoff

import (
	"fmt"
	"slices"
	"strconv"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// The words of the Parts tab's Counted column.
const (
	countTieRow        = "tie row"
	countTop           = "top"
	countBase          = "base"
	countCourse        = "course"
	countCorner        = "corner"
	countInsideCorner  = "inside corner"
	countEnd           = "end"
	countBaseLength    = "base length"
	countTopLength     = "top length"
	countOpeningLength = "opening length"
	countUnit          = "unit"
)

// fits tells whether a row of Parts is of a form line and core.
func (r *PartRow) fits(f *FormRow) bool {
	return sameName(r.Line, f.Line) && (r.Core == 0 || r.Core == f.Core)
}

// item is <line>-<core>-<part>, without the core where the row has none.
func (r *PartRow) item() string {
	if r.Core == 0 {
		return ItemName(r.Line) + "-" + ItemName(r.Part)
	}
	return ItemName(r.Line) + "-" + r.CoreName + "-" + ItemName(r.Part)
}

// from names the row in derivations.
func (r *PartRow) from() string { return "Parts " + r.Part }

// parts is R-PART for a wall. Its lines carry the wall's pour.
func (l *layer) parts(w *WallLines) {
	if len(l.job.Parts) == 0 {
		return
	}
	at := place{Level: w.Level, Pour: w.Pour}
	for _, r := range l.job.Parts {
		if !sameName(r.Line, w.FormLine) {
			continue
		}
		value, how, u := exact.Num{}, How{}, unit.Each
		add := func(v exact.Num, h How) {
			if v.IsZero() {
				return
			}
			value = value.Add(v)
			how = joinHow(how, h)
		}
		lowest, highest := w.Zones[0], w.Zones[len(w.Zones)-1]
		switch counted := ItemKey(r.Counted); counted {
		case countTieRow, countCourse:
			if l.spaced(r) && (r.fits(lowest.Forms) || r.fits(highest.Forms)) {
				add(l.tieRows(w, r, counted == countCourse))
			}
		case countTop:
			if b := w.Bands[len(w.Bands)-1]; r.fits(highest.Forms) && l.spaced(r) {
				add(l.spacedHow([]alongRows{{1, w.clear(b, func(h *Hole) bool { return !w.concreteAbove(h) }, 0, b.Lc)}}, r.Spacing, l.words("Parts ", r.Part)))
			}
		case countBase:
			if r.fits(lowest.Forms) && l.spaced(r) {
				add(l.spacedHow([]alongRows{{1, w.clear(w.First(), func(h *Hole) bool { return h.Sill <= 0 }, 0, w.Lc0)}}, r.Spacing, l.words("Parts ", r.Part)))
			}
		case countCorner, countInsideCorner, countEnd:
			for i, z := range w.Zones {
				if t := &l.of(w).zones[i]; r.fits(z.Forms) {
					ends, what := t.outer, "exterior corners of wall "
					switch counted {
					case countInsideCorner:
						ends, what = t.inside, "inside corners of wall "
					case countEnd:
						ends, what = t.ends(), "free ends of wall "
					}
					add(l.endsHow(ends, what+w.Mark))
				}
			}
		case countBaseLength:
			if r.fits(lowest.Forms) {
				u = l.units.Length
				add(linesHow(l.units, w.Lo0, w.Li0, "lowest zone"))
			}
		case countTopLength:
			if b := w.Bands[len(w.Bands)-1]; r.fits(highest.Forms) {
				u = l.units.Length
				add(linesHow(l.units, b.Lo, b.Li, "highest zone"))
			}
		case countOpeningLength:
			u = l.units.Length
			for i, h := range w.Holes {
				if r.fits(w.ZoneAt(h.Sill).Forms) {
					add(w.perimeterHow(i, l.units))
				}
			}
		case countUnit:
			for i, z := range w.Zones {
				if t := &l.of(w).zones[i]; r.fits(z.Forms) {
					add(t.units, How{Formula: "units", Operands: []Operand{Num("units", t.units, "R-BLOCK, R-CORNER of wall "+w.Mark)}})
				}
			}
		}
		if value.IsZero() {
			continue
		}
		value, how = r.times(value, how)
		l.line(w, at, "R-PART", l.partItem(r), u, value, how)
	}
}

// times multiplies a count by the row's Each.
func (r *PartRow) times(v exact.Num, how How) (exact.Num, How) {
	each := exact.Dec(r.Each)
	if each.Cmp(exact.Int(1)) == 0 {
		return v, how
	}
	how.Formula = "(" + how.Formula + ")·each"
	how.Operands = append(how.Operands, Num("each", each, r.from()))
	return v.Mul(each), how
}

// spaced tells whether the row has the spacing its count needs; said once where it has not.
func (l *layer) spaced(r *PartRow) bool {
	if r.Spacing > 0 {
		return true
	}
	if key := l.partItem(r) + r.Counted; !l.missing[key] {
		l.missing[key] = true
		l.say(Error, r.At.At(r.Columns["spacing"]), "R-PART", "Spacing, part "+r.Part, "a part counted by %s needs a Spacing", r.Counted)
	}
	return false
}

// joinHow adds a derivation to another; names that stand in both get numbers.
func joinHow(a, b How) How {
	if a.Formula == "" {
		return b
	}
	taken := func(name string) bool {
		return slices.ContainsFunc(a.Operands, func(o Operand) bool { return o.Name == name })
	}
	renamed := map[string]string{}
	for i, o := range b.Operands {
		same := slices.ContainsFunc(a.Operands, func(x Operand) bool {
			return x.Name == o.Name && x.Unit == o.Unit && x.From == o.From && x.Value.Cmp(o.Value) == 0
		})
		if same || !taken(o.Name) {
			continue
		}
		name := o.Name
		for k := 2; taken(name); k++ {
			name = o.Name + "_" + strconv.Itoa(k)
		}
		renamed[o.Name] = name
		b.Operands[i].Name = name
	}
	for _, o := range b.Operands {
		if !taken(o.Name) {
			a.Operands = append(a.Operands, o)
		}
	}
	a.Formula += "+" + rename(b.Formula, renamed)
	return a
}

// rename puts other names for operands of a formula.
func rename(formula string, names map[string]string) string {
	if len(names) == 0 {
		return formula
	}
	out := make([]byte, 0, len(formula)+8)
	for i := 0; i < len(formula); {
		j := i
		for j < len(formula) && nameByte(formula[j], j > i) {
			j++
		}
		if j == i {
			out = append(out, formula[i])
			i++
			continue
		}
		word := formula[i:j]
		if other, ok := names[word]; ok {
			word = other
		}
		out = append(out, word...)
		i = j
	}
	return string(out)
}

// linesHow is the exterior and the inner line together.
func linesHow(u Units, lo, li length.Length, zone string) (exact.Num, How) {
	return u.Length.Of(exact.Len(lo + li)), How{Formula: "Lo+Li", Operands: []Operand{
		u.Len("Lo", lo, "R-GEOM exterior line, "+zone), u.Len("Li", li, "R-GEOM inner line, "+zone),
	}}
}

// perimeterHow is R-OPEN's buck perimeter of an opening.
func (w *WallLines) perimeterHow(i int, u Units) (exact.Num, How) {
	h := w.Holes[i]
	from := "Openings " + h.Mark
	n, sum := int64(0), exact.Len(2*h.Height)
	for _, framed := range [2]bool{w.concreteAbove(h), h.Sill > 0} {
		if framed {
			n++
			sum = sum.Add(exact.Len(h.Width))
		}
	}
	how := How{Formula: "2·height", Operands: []Operand{u.Len("height", h.Height, from)}}
	if n > 0 {
		how.Formula += "+sides·width"
		how.Operands = append(how.Operands, Count("sides", n, "head and sill of opening "+h.Mark), u.Len("width", h.Width, from))
	}
	return u.Length.Of(sum), how
}

// clear are the parts of a band's centreline between from and to that are clear of the openings chosen.
func (w *WallLines) clear(b *Band, cuts func(*Hole) bool, from, to length.Length) []length.Length {
	var out []length.Length
	for _, h := range w.Holes {
		if !cuts(h) {
			continue
		}
		a := b.OnLine(h, Centre).Length()
		if a+h.Width <= from {
			continue
		}
		if a >= to {
			break
		}
		if a > from {
			out = append(out, a-from)
		}
		from = a + h.Width
	}
	if from < to {
		out = append(out, to-from)
	}
	return out
}

// under is the part of a line of a band below the wall's sloping top at a height: from, to; empty when there is none.
func (w *WallLines) under(z, line length.Length) (from, to length.Length) {
	starts, ends := w.Height > z, w.HeightEnd > z
	switch {
	case starts && ends:
		return 0, line
	case starts:
		return 0, slopeAt(line, w.Height, w.HeightEnd, z)
	case ends:
		return slopeAt(line, w.Height, w.HeightEnd, z), line
	}
	return 0, 0
}

// alongRows are rows alike: how many, and the parts of the line that each has.
type alongRows struct {
	n     int64
	clear []length.Length
}

// tieRows counts parts along rows up the courses: tie rows at every course/Rows, the joint with the next course included,
// the top of the wall not; or once a course at mid-height.
func (l *layer) tieRows(w *WallLines, r *PartRow, mid bool) (exact.Num, How) {
	var rows []alongRows
	courses := l.inStretch(w.Stretch)
	n := int64(max(r.Rows, 1))
	if mid {
		n = 1
	}
	for i := range courses {
		c := &courses[i]
		f := w.Zones[c.zone].Forms
		if !r.fits(f) {
			continue
		}
		b := w.BandAt(c.bottom)
		for k := int64(1); k <= n; k++ {
			// Row heights in n-ths of a nanometre: up = n times the height above the course's bottom.
			up, parts := int64(f.CourseHeight)*k, n
			if mid {
				up, parts = int64(c.height), 2
			}
			if over := up - int64(c.height)*parts; over > 0 || over == 0 && i == len(courses)-1 {
				break
			}
			z := c.bottom + length.Length(up/parts)
			broken := up%parts != 0 // z is rounded down: an edge at z itself lies below the row
			crosses := func(h *Hole) bool { return (h.Sill < z || broken && h.Sill == z) && z < h.Head() }
			from, to := w.under(z, b.Lc)
			if from >= to {
				continue
			}
			clear := w.clear(b, crosses, from, to)
			at := slices.IndexFunc(rows, func(a alongRows) bool { return slices.Equal(a.clear, clear) })
			if at < 0 {
				rows = append(rows, alongRows{1, clear})
			} else {
				rows[at].n++
			}
		}
	}
	return l.spacedHow(rows, r.Spacing, l.words("Parts ", r.Part))
}

// fewRows is how many kinds of rows a derivation names one by one before it only gives their counts.
const fewRows = 6

// spacedHow counts floor(stretch/spacing) + 1 on each stretch of rows.
func (p *pass) spacedHow(rows []alongRows, spacing length.Length, from string) (exact.Num, How) {
	total := int64(0)
	operands := append(make([]Operand, 0, 8), p.units.Len("s", spacing, from))
	var known [8]length.Length
	lengths := known[:0]
	formula := ""
	for i, r := range rows {
		one, terms := int64(0), ""
		for _, x := range r.clear {
			one += int64(x/spacing) + 1
			k := slices.Index(lengths, x)
			if k < 0 {
				k = len(lengths)
				lengths = append(lengths, x)
				operands = append(operands, p.units.Len(p.words("L", strconv.Itoa(k+1)), x, "R-GEOM centreline between openings"))
			}
			plus := ""
			if terms != "" {
				plus = "+"
			}
			terms = p.words(terms, plus, "floor(L", strconv.Itoa(k+1), "/s)+1")
		}
		total += r.n * one
		if one == 0 {
			continue
		}
		plus := ""
		if formula != "" {
			plus = "+"
		}
		if len(rows) == 1 && r.n == 1 {
			formula = terms
			continue
		}
		name := p.words("rows", strconv.Itoa(i+1))
		formula = p.words(formula, plus, name, "·(", terms, ")")
		operands = append(operands, Count(name, r.n, "R-COURSE"))
	}
	if len(rows) > fewRows {
		return exact.Int(total), p.how("parts", Count("parts", total, fmt.Sprintf("floor(stretch/spacing)+1 on the stretches of %d kinds of rows", len(rows))))
	}
	return exact.Int(total), p.how(formula, operands...)
}

// poolParts is R-PART's parts counted by unit for the units a pool takes.
func (p *pass) poolParts(c *cutPool) {
	for _, r := range p.job.Parts {
		if ItemKey(r.Counted) != countUnit || !r.fits(c.forms) {
			continue
		}
		v, how := r.times(exact.Int(c.Plan.Bought), How{Formula: "units", Operands: []Operand{Count("units", c.Plan.Bought, "R-CUT "+c.Item)}})
		if v.IsZero() {
			continue
		}
		p.put(afterWalls, Line{Level: c.Level, Item: r.item(), Quantity: v.Quantity(), Unit: unit.Each, Rule: "R-PART", At: r.At, How: how})
	}
}
