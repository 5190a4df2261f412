package takeoff

import (
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// The steps of R-SHORE (common practice): a shore for each further 4 ft of width, buck spreaders in openings higher than
// 4 ft, one for each further 2 ft of height.
const (
	shoreStep        = 4 * length.Foot
	spreadersOver    = 4 * length.Foot
	buckSpreaderStep = 2 * length.Foot
)

// openings is R-OPEN and R-SHORE: the openings of a wall by their row, as many as the row's Count.
func (p *pass) openings(w *WallLines) {
	at, n := wallPlace(w, nil), w.Run.Count
	for i, h := range w.Holes {
		perimeter := exact.Len(2 * h.Height)
		if w.concreteAbove(h) {
			perimeter = perimeter.Add(exact.Len(h.Width))
		}
		if h.Sill > 0 {
			perimeter = perimeter.Add(exact.Len(h.Width))
		}
		p.drive("openings", at, exact.Int(n))
		p.drive("opening-perimeter", at, perimeter.Times(n))
		p.drive("opening-area", at, exact.Len(h.Width).Mul(exact.Len(h.Height)).Times(n))
		if first, alike, under := w.holesOfRow(i); first {
			p.shores(w, h.Opening, at, alike, under)
		}
	}
}

// concreteAbove tells whether an opening's head is below the wall's top, the lesser at its jambs.
func (w *WallLines) concreteAbove(h *Hole) bool {
	return exact.Len(h.Head()).Cmp(w.lowestTop(h)) < 0
}

// holesOfRow tells whether a hole is the first of its row of Openings, how many the row has, and how many of them have
// concrete above.
func (w *WallLines) holesOfRow(i int) (first bool, alike, under int64) {
	row := w.Holes[i].Opening
	for j, h := range w.Holes {
		if h.Opening != row {
			continue
		}
		if j < i {
			return false, 0, 0
		}
		alike++
		if w.concreteAbove(h) {
			under++
		}
	}
	return true, alike, under
}

// shores is R-SHORE for the openings of one row: alike of them, under of them with concrete above.
func (p *pass) shores(w *WallLines, o *Opening, at place, alike, under int64) {
	u := p.units
	if o.Width > p.set.Len(SetShoreOpeningsOver) && under > 0 {
		each := max(1, ceilDiv(int64(o.Width), int64(shoreStep))-1)
		p.openingLine(w, o, at, "R-SHORE", "shore", unit.Each, exact.Int(each*under), How{
			Formula: "n·max(1,ceil(width/step)−1)",
			Operands: []Operand{
				Count("n", under, "openings with concrete above"), u.Len("width", o.Width, o.Cell("width").String()), u.Len("step", shoreStep, "R-SHORE"),
			},
		})
	}
	if o.Height > spreadersOver {
		each := ceilDiv(int64(o.Height), int64(buckSpreaderStep)) - 1
		p.openingLine(w, o, at, "R-SHORE", "buck-spreader", unit.Each, exact.Int(each*alike), How{
			Formula: "n·(ceil(height/step)−1)",
			Operands: []Operand{
				Count("n", alike, "openings of this row"), u.Len("height", o.Height, o.Cell("height").String()), u.Len("step", buckSpreaderStep, "R-SHORE"),
			},
		})
	}
}

// openingLine is line for what belongs to a row of Openings.
func (p *pass) openingLine(w *WallLines, o *Opening, at place, rule, item string, u unit.Unit, value exact.Num, how How) {
	before := len(p.out.Lines)
	p.line(w, at, rule, item, u, value, how)
	for i := before; i < len(p.out.Lines); i++ {
		p.out.Lines[i].Opening, p.out.Lines[i].At = o.Mark, o.At
	}
}
