package drawing

import (
	"fmt"
	"math"
	"strings"

	"wallbill/takeoff"
)

// The looks of bars.
var (
	verticalLine   = stroke{medium, vermilion, nil}
	horizontalLine = stroke{medium, blue, nil}
	jambLine       = stroke{medium, purple, nil}
	lintelLine     = stroke{1.1, green, nil}
	stirrupLine    = stroke{thin, quiet, nil}
	dowelLine      = stroke{1.1, orange, nil}
)

// barGap is how far bars of one place stand apart in a drawing, in points.
const barGap = 2.0

// reinforcement draws the bars in the wall's outline.
func (e *elevation) reinforcement(v *view) {
	e.footing(v)
	e.openings(v, false)
	e.edge(v)
	w := e.w
	if w.Bars != nil {
		e.horizontals(v)
		e.verticals(v)
	}
	for _, h := range w.Holes {
		e.openingBars(v, h)
	}
	if !v.last {
		e.matchLine(v, v.to)
	}
	if !v.first {
		e.matchLine(v, v.from)
	}
	if v.last {
		low := v.page(xy{v.from, -e.deep})
		x := v.page(xy{v.from, 0}).x
		if e.beside {
			x = Width / 2
		}
		room := Width - margin - x
		s := e.steelWords()
		lines := wrapped(s, false, 6.5, room)
		for i, t := range lines {
			if i > 1 {
				break
			}
			v.text(letters{size: 6.5, colour: ink}, xy{x, low.y - 11 - 8.5*float64(i)}, t)
		}
	}
}

// clearIn are the parts of a span between openings: those that the span crosses at a place across it.
type part struct{ from, to float64 }

// without takes a gap out of parts.
func without(parts []part, from, to float64) []part {
	var out []part
	for _, p := range parts {
		if to <= p.from || from >= p.to {
			out = append(out, p)
			continue
		}
		if from > p.from {
			out = append(out, part{p.from, from})
		}
		if to < p.to {
			out = append(out, part{to, p.to})
		}
	}
	return out
}

// centreShift is where the centreline begins along the exterior face: bars are placed on it.
func (e *elevation) centreShift() float64 {
	return nm(e.w.First().Shorten[takeoff.Centre][0].Length())
}

// verticals draws R-VERT's bars and their dowels.
func (e *elevation) verticals(v *view) {
	w, m := e.w, e.w.Bars
	if m.VerticalSpacing <= 0 || w.Lc0 <= 0 || m.Vertical == nil && m.Dowel == nil {
		return
	}
	n := takeoff.Spaces(w.Lc0, m.VerticalSpacing)
	first := int64(1)
	if k := w.Joints[0].Kind; w.Index == 0 && !w.Run.Closed && (k == takeoff.TurnEnd || k == takeoff.TurnTee) {
		first = 0
	}
	cover, shortest := nm(m.Cover), nm(e.t.Job.Settings.Len(takeoff.SetShortestBar))
	shift, lc := e.centreShift(), nm(w.Lc0)
	dowel := e.dowelTop("")
	for i := first; i <= n; i++ {
		u := lc * float64(i) / float64(n)
		x := shift + u
		if !v.shows(x) {
			continue
		}
		top := nm(w.Height) + nm(w.HeightEnd-w.Height)*float64(i)/float64(n)
		parts := []part{{0, top - cover}}
		door := false
		for _, h := range w.Holes {
			a := nm(h.Start.Length())
			if a < x && x < a+nm(h.Width) {
				parts = without(parts, nm(h.Sill)-cover, nm(h.Head())+cover)
				door = door || h.Sill <= 0
			}
		}
		if m.Vertical != nil {
			for _, p := range parts {
				if len(parts) > 1 && p.to-p.from < shortest || p.to <= p.from {
					continue
				}
				v.seg(verticalLine, xy{x, p.from}, xy{x, p.to})
			}
		}
		if dowel > 0 && !door && m.Dowel != nil {
			e.dowel(v, x, dowel)
		}
	}
}

// dowelTop is how high the wall's dowels of an opening, or of its verticals, reach; 0 when there are none.
func (e *elevation) dowelTop(opening string) float64 {
	for _, b := range e.bars {
		if b.Rule == "R-DOWEL" && b.Opening == opening && len(b.Legs) == 2 && e.w.Footing != nil {
			cover := nm(e.t.Job.Settings.Len(takeoff.SetFootingCover))
			return nm(b.Legs[1]) - max(e.deep-cover, 0)
		}
	}
	return 0
}

// dowel draws a hooked bar out of the footing, beside the bar it laps.
func (e *elevation) dowel(v *view, x, top float64) {
	low := -max(e.deep-nm(e.t.Job.Settings.Len(takeoff.SetFootingCover)), 0)
	a, b := v.page(xy{x, low}).add(xy{1.2, 0}), v.page(xy{x, top}).add(xy{1.2, 0})
	v.line(dowelLine, a.add(xy{3.5, 0}), a, b)
}

// horizontals draws R-HORZ's rows.
func (e *elevation) horizontals(v *view) {
	w, m := e.w, e.w.Bars
	if m.Horizontal == nil {
		return
	}
	cover, shortest := nm(m.Cover), nm(e.t.Job.Settings.Len(takeoff.SetShortestBar))
	shift, lc := e.centreShift(), nm(w.Lc0)
	lo, hi := nm(w.Lesser()), nm(w.Greater())
	ends := [2]float64{}
	for i := range ends {
		if w.Joints[i].Kind == takeoff.TurnEnd {
			ends[i] = cover
		}
	}
	free := math.Inf(-1) // where the next row's name has room
	for _, row := range w.RowHeights() {
		z := nm(row.Length())
		p := part{ends[0], lc - ends[1]}
		if z > lo {
			short := lc * (hi - z) / (hi - lo)
			if w.HeightEnd > w.Height {
				p.from = lc - short
			} else {
				p.to = short
			}
		}
		parts := []part{p}
		for _, h := range w.Holes {
			if nm(h.Sill) < z && z < nm(h.Head()) {
				a := nm(h.Start.Length()) - shift
				parts = without(parts, a-cover, a+nm(h.Width)+cover)
			}
		}
		for _, p := range parts {
			if p.to-p.from >= shortest {
				v.seg(horizontalLine, xy{shift + p.from, z}, xy{shift + p.to, z})
			}
		}
		if y := v.page(xy{0, z}).y; v.first && y >= free {
			free = y + 7
			v.text(letters{size: 5.5, colour: quiet, align: atRight}, v.page(xy{v.from, z}).add(xy{-4, -2}), m.Horizontal.Size)
		}
	}
	if m.RakeBar && w.Raked() {
		v.seg(horizontalLine, xy{shift + ends[0], nm(w.Height) - cover}, xy{shift + lc - ends[1], nm(w.HeightEnd) - cover})
	}
}

// openingBars draws jamb, lintel and sill bars and stirrups, by the opening's own mark.
func (e *elevation) openingBars(v *view, h *takeoff.Hole) {
	w, m := e.w, h.Bars
	if m == nil {
		m = w.Bars
	}
	if m == nil {
		return
	}
	x0, x1 := nm(h.Start.Length()), nm(h.End().Length())
	cover := nm(m.Cover)
	if m.Jamb != nil {
		dowel := e.dowelTop(h.Mark)
		for side, x := range []float64{x0, x1} {
			out := float64(2*side - 1)
			if !v.shows(x) {
				continue
			}
			for i := range m.JambBars {
				at := v.page(xy{x, 0}).add(xy{out * barGap * float64(i+1), 0})
				v.line(jambLine, at, xy{at.x, v.page(xy{x, e.topAt(x) - cover}).y})
				if dowel > 0 && m.Dowel != nil {
					e.dowel(v, x+out*barGap*float64(i+1)/v.k, dowel)
				}
			}
		}
	}
	shift := e.centreShift()
	from, to := max(x0-nm(m.PastOpening), shift), min(x1+nm(m.PastOpening), shift+nm(w.Lc0))
	over := min(e.topAt(x0), e.topAt(x1)) - nm(h.Head())
	bar := func(z float64, up float64, i int) {
		if q := v.cut(xy{from, z}, xy{to, z}); q != nil {
			by := xy{0, up * barGap * float64(i)}
			v.line(lintelLine, q[0].add(by), q[1].add(by))
		}
	}
	depth := min(nm(m.LintelDepth), over)
	if m.Lintel != nil && over > 0 {
		for i := range m.LintelBottom {
			bar(nm(h.Head())+min(cover, over/3), 1, i)
		}
		for i := range m.LintelTop {
			bar(nm(h.Head())+depth-min(cover, over/3), -1, i)
		}
	}
	if m.Lintel != nil && h.Sill >= e.t.Job.Settings.Len(takeoff.SetShortestBar) {
		for i := range m.SillBars {
			bar(nm(h.Sill)-cover, -1, i)
		}
	}
	if m.Stirrup != nil && m.StirrupSpacing > 0 && over > 0 {
		n := int(h.Width / m.StirrupSpacing)
		left := (x1 - x0 - float64(n)*nm(m.StirrupSpacing)) / 2
		var ticks []xy
		for i := range n + 1 {
			x := x0 + left + float64(i)*nm(m.StirrupSpacing)
			if v.shows(x) {
				ticks = append(ticks, v.page(xy{x, nm(h.Head()) + min(cover, over/4)}), v.page(xy{x, nm(h.Head()) + depth - min(cover, over/4)}))
			}
		}
		v.lines(stirrupLine, ticks)
	}
}

// steelWords say the wall's bars by its mark.
func (e *elevation) steelWords() string {
	w, m := e.w, e.w.Bars
	if m == nil {
		return "Bars: the wall has no mark."
	}
	var list []string
	say := func(format string, args ...any) { list = append(list, fmt.Sprintf(format, args...)) }
	if m.Vertical != nil && m.VerticalSpacing > 0 && w.Lc0 > 0 {
		n := takeoff.Spaces(w.Lc0, m.VerticalSpacing)
		say("%s verticals at %s (%d spaces, not over %s)", m.Vertical.Size, e.show(lengthOf(nm(w.Lc0)/float64(n))), n, e.show(m.VerticalSpacing))
	}
	if m.Horizontal != nil {
		if n := len(w.RowHeights()); n > 0 {
			say("%s horizontals, %d rows", m.Horizontal.Size, n)
		}
	}
	if m.Dowel != nil && w.Footing != nil {
		say("%s dowels", m.Dowel.Size)
	}
	s := "Bars " + m.Mark
	if m.Layers > 1 {
		s += fmt.Sprintf(", %d layers", m.Layers)
	}
	if len(list) == 0 {
		return s
	}
	return s + ": " + strings.Join(list, "; ")
}

// steelLegend names the bars that the sheet shows.
func (e *elevation) steelLegend(p pen, row func(string, func(lo, hi xy)), across func(stroke) func(lo, hi xy)) {
	size := map[string]string{}
	for _, b := range e.bars {
		if size[b.Rule] == "" {
			size[b.Rule] = b.Bar.Size + " "
		}
	}
	stirrup := ""
	for _, b := range e.bars {
		if b.Rule == "R-LINTEL" && b.Bent {
			stirrup = b.Bar.Size + " "
		}
	}
	for _, r := range []struct {
		rule, name string
		s          stroke
	}{
		{"R-VERT", "verticals", verticalLine}, {"R-HORZ", "horizontals", horizontalLine}, {"R-JAMB", "jamb bars", jambLine},
		{"R-LINTEL", "lintel, sill bars", lintelLine}, {"R-DOWEL", "dowels", dowelLine},
	} {
		if size[r.rule] != "" {
			row(size[r.rule]+r.name, across(r.s))
		}
	}
	if stirrup != "" {
		row(stirrup+"stirrups", func(lo, hi xy) {
			for i := range 4 {
				x := lo.x + 3 + float64(i)*4.5
				p.line(stirrupLine, xy{x, lo.y}, xy{x, hi.y})
			}
		})
	}
}
