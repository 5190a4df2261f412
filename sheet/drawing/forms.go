package drawing

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"wallbill/takeoff"
)

// The looks of form pieces: a whole unit is plain; a cut piece and a corner unit's leg have a hatch of their own.
var (
	pieceHatch  = hatch{angles: []float64{60}, gap: across(9, 60), colour: sky, width: hairline}
	cornerHatch = hatch{angles: []float64{0}, gap: across(6, 90), colour: orange, width: hairline}
	ledgeHatch  = hatch{angles: []float64{45, 135}, gap: across(11, 45), colour: purple, width: hairline}
	coverHatch  = hatch{angles: []float64{45}, gap: across(21, 45), colour: blue, width: hairline, dash: []float64{2.5, 1.5}}
	braceLine   = stroke{medium, green, dashDot}
	gradeLine   = stroke{heavy, ink, nil}
	ledgerLine  = stroke{medium, purple, dashed}
	changeLine  = stroke{medium, vermilion, dashDot}
	dimLine     = stroke{hairline, quiet, nil}
)

// forms draws the courses with what is fixed to them.
func (e *elevation) forms(v *view) {
	e.footing(v)
	for _, c := range e.courses {
		e.course(v, c)
	}
	e.cover(v)
	e.changes(v)
	e.bracing(v)
	e.openings(v, true)
	e.edge(v)
	e.grade(v)
	v.writeNames()
	e.formDimensions(v)
	v.writeRights()
	if !v.last {
		e.matchLine(v, v.to)
	}
	if !v.first {
		e.matchLine(v, v.from)
	}
}

// footing is the footing's side.
func (e *elevation) footing(v *view) {
	if e.w.Footing == nil {
		return
	}
	from, to := 0.0, nm(e.w.Length)
	for i := range e.w.Joints {
		if k := e.w.Joints[i].Kind; k == takeoff.TurnEnd || k == takeoff.TurnCorner {
			if i == 0 {
				from -= e.past
			} else {
				to += e.past
			}
		}
	}
	f := v.figure(box(from, -e.deep, to, 0))
	v.fill(tint(black, footingTint), f...)
	v.outline(stroke{thin, quiet, dashed}, f...)
}

// course draws the units of a course on this wall, and the corner units' legs at its ends.
func (e *elevation) course(v *view, c *takeoff.CourseRow) {
	w := e.w
	z0, z1 := nm(c.Bottom), nm(c.Bottom+c.Height)
	// Where the wall's line begins on the stretch's, at the course's bottom edge.
	at := 0.0
	band := w.BandAt(c.Bottom)
	for _, s := range w.Stretch.Walls {
		if s == w {
			break
		}
		at += nm(s.BandAt(c.Bottom).Lo)
	}
	shift := nm(band.Shorten[takeoff.Exterior][0].Length()) - at
	long := nm(band.Lo)
	unit := func(x0, x1 float64, h *hatch, name string) {
		x0, x1 = max(x0, 0), min(x1, nm(w.Length))
		if x1 <= x0 {
			return
		}
		// What is over the wall's top is not there: of a ripped course, of a course under a slope.
		f := v.figure(clipped(box(x0, z0, x1, z1), xy{nm(w.Length), nm(w.HeightEnd)}, xy{0, nm(w.Height)}))
		if len(f) < 3 {
			return
		}
		if h != nil {
			v.hatched(*h, 0, f...)
		}
		v.outline(stroke{hairline, quiet, nil}, f...)
		e.fitted(v, f, name)
	}
	// A leg reaches to the first unit, or to an opening that cuts it; a cut leg has no length to show.
	leg := func(x0, x1 float64, start bool) {
		name := e.show(lengthOf(x1 - x0))
		for _, h := range w.Holes {
			a, b := nm(h.Start.Length()), nm(h.End().Length())
			if nm(h.Sill) > z0 || nm(h.Head()) < z1 || b <= x0 || a >= x1 {
				continue
			}
			name = ""
			if start {
				x1 = min(x1, a)
			} else {
				x0 = max(x0, b)
			}
		}
		unit(x0, x1, &cornerHatch, name)
	}
	if len(c.Segments) > 0 {
		if w == w.Stretch.First() && w.Joints[0].Corner() {
			leg(shift, shift+nm(c.Segments[0].From), true)
		}
		if w == w.Stretch.Last() && w.Joints[1].Corner() {
			leg(shift+nm(c.Segments[len(c.Segments)-1].To), shift+at+long, false)
		}
	} else if w.Joints[0].Corner() || w.Joints[1].Corner() {
		unit(shift+at, shift+at+long, &cornerHatch, "")
	}
	for i := range c.Segments {
		for _, u := range c.Segments[i].Fill {
			x := shift + nm(u.Start)
			var h *hatch
			name := ""
			switch {
			case c.LedgeCourse && e.ledgeUnits(c):
				h = &ledgeHatch
			case !u.Whole:
				h = &pieceHatch
			}
			if !u.Whole {
				name = e.show(u.Length)
			}
			unit(x, x+nm(u.Length), h, name)
		}
	}
}

// ledgeUnits tells whether the course is this wall's ledge course.
func (e *elevation) ledgeUnits(c *takeoff.CourseRow) bool {
	w := e.w
	return w.Ledge != nil && w.Ledge.ReplacesCourse && c.Bottom < w.LedgeTop && w.LedgeTop <= c.Bottom+c.Height
}

// fitted puts a text in the middle of a figure when it has room: of what openings leave of it.
func (e *elevation) fitted(v *view, f []xy, s string) {
	if s == "" {
		return
	}
	a := around(f, 0)
	for _, h := range e.w.Holes {
		shown := v.figure(box(nm(h.Start.Length()), nm(h.Sill), nm(h.End().Length()), nm(h.Head())))
		if len(shown) == 0 {
			continue
		}
		o := around(shown, 0.5)
		if !a.meets(o) {
			continue
		}
		// The greatest part beside, over or under the opening.
		best := area{}
		for _, part := range []area{
			{a.lo, xy{min(a.hi.x, o.lo.x), a.hi.y}}, {xy{max(a.lo.x, o.hi.x), a.lo.y}, a.hi},
			{a.lo, xy{a.hi.x, min(a.hi.y, o.lo.y)}}, {xy{a.lo.x, max(a.lo.y, o.hi.y)}, a.hi},
		} {
			if w, z := part.hi.x-part.lo.x, part.hi.y-part.lo.y; w > 0 && z > 0 && w*z > (best.hi.x-best.lo.x)*(best.hi.y-best.lo.y) {
				best = part
			}
		}
		a = best
	}
	wide, high := a.hi.x-a.lo.x, a.hi.y-a.lo.y
	for _, size := range []float64{6, 5, 4.5} {
		if textWidth(s, false, size) <= wide-2 && size*capHeight <= high-1.5 {
			v.names = append(v.names, name{a.lo.to(a.hi, 0.5), size, s})
			return
		}
	}
}

// writeNames writes the texts that go over the drawing.
func (v *view) writeNames() {
	for _, n := range v.names {
		v.middle(letters{size: n.size, colour: ink, ground: true}, n.at, n.s)
	}
}

// right puts a text at the right of the panel, at height z.
func (v *view) right(z float64, s string) {
	if v.last {
		v.rights = append(v.rights, beside{v.page(xy{0, z}).y, s})
	}
}

// writeRights writes the texts at the right, apart from one another, in the order of their heights.
func (v *view) writeRights() {
	const size, step = 6.0, 7.2
	slices.SortStableFunc(v.rights, func(a, b beside) int { return cmp.Compare(a.y, b.y) })
	x := v.page(xy{v.to, 0}).x + 14
	low := math.Inf(-1)
	for _, r := range v.rights {
		y := max(r.y, low+step)
		low = y
		if y != r.y {
			v.line(stroke{hairline, faint, nil}, xy{x - 12, r.y}, xy{x - 2, y})
		}
		v.text(letters{size: size, colour: ink}, xy{x, y - capHeight/2*size}, shorten(r.s, false, size, rightRoom-14))
	}
}

// edge is the wall's outline.
func (e *elevation) edge(v *view) {
	w, l := e.w, nm(e.w.Length)
	s := stroke{heavy, ink, nil}
	v.seg(s, xy{0, nm(w.Height)}, xy{l, nm(w.HeightEnd)})
	v.seg(s, xy{0, 0}, xy{l, 0})
	for i, x := range []float64{0, l} {
		if !v.shows(x) || i == 0 && !v.first || i == 1 && !v.last {
			continue
		}
		t := s
		if w.Joints[i].Kind == takeoff.TurnEnd {
			t.width = 2
		}
		v.seg(t, xy{x, 0}, xy{x, nm(w.HeightAtEnd(i))})
	}
}

// cover hatches what is covered below grade.
func (e *elevation) cover(v *view) {
	w := e.w
	if w.Cover == takeoff.CoverNone || max(w.BelowGrade, w.BelowGradeEnd) <= 0 {
		return
	}
	low := 0.0
	if w.Footing != nil && w.Cover != takeoff.CoverCoating {
		low = -nm(e.t.Job.Settings.Len(takeoff.SetFootingOverlap))
	}
	l := nm(w.Length)
	f := []xy{{0, low}, {l, low}, {l, nm(w.BelowGradeEnd)}, {0, nm(w.BelowGrade)}}
	if w.Cover == takeoff.CoverBand {
		z := nm(e.t.Job.Settings.Len(takeoff.SetBandHeight))
		f = clipped(f, xy{1, z}, xy{0, z})
	}
	v.strokes(coverHatch, 0, v.figure(f))
}

// changes draws core change, brick ledge and floor ledgers.
func (e *elevation) changes(v *view) {
	w, l := e.w, nm(e.w.Length)
	if len(w.Zones) > 1 {
		z := nm(w.Zones[1].Bottom)
		v.seg(changeLine, xy{0, z}, xy{l, z})
		v.right(z+4/v.k, w.Zones[1].Forms.CoreName+" core")
		v.right(z-4/v.k, w.Zones[0].Forms.CoreName+" core")
	}
	if w.Ledge != nil {
		z := nm(w.LedgeTop)
		f := v.figure(box(0, z-nm(w.Ledge.FaceDepth), l, z))
		v.strokes(ledgeHatch, 0, f)
		v.outline(stroke{medium, purple, nil}, f...)
		if t := nm(w.Ledge.Taper); t > 0 {
			v.outline(stroke{thin, purple, dashed}, v.figure(box(0, z-nm(w.Ledge.FaceDepth)-t, l, z-nm(w.Ledge.FaceDepth)))...)
		}
		v.right(z, "ledge "+w.Ledge.Mark)
	}
	for _, z := range w.Ledgers {
		v.seg(ledgerLine, xy{0, nm(z)}, xy{l, nm(z)})
		v.right(nm(z), "ledger")
	}
}

// openings clears the openings and names them.
func (e *elevation) openings(v *view, named bool) {
	for _, h := range e.w.Holes {
		x0, x1 := nm(h.Start.Length()), nm(h.End().Length())
		z0, z1 := nm(h.Sill), nm(h.Head())
		f := v.figure(box(x0, z0, x1, z1))
		if len(f) < 3 {
			continue
		}
		v.fill(white, f...)
		v.outline(stroke{medium, ink, nil}, f...)
		a := around(f, 0)
		const inset = 2
		if a.hi.x-a.lo.x > 3*inset && a.hi.y-a.lo.y > 3*inset {
			v.outline(stroke{hairline, ink, nil}, box(a.lo.x+inset, a.lo.y+inset, a.hi.x-inset, a.hi.y-inset)...)
		}
		texts := []string{h.Mark}
		if named {
			texts = append(texts, show(h.Width, e.sys)+" × "+show(h.Height, e.sys))
			if h.Sill > 0 {
				texts = append(texts, "sill "+e.show(h.Sill))
			}
		}
		e.inside(v, a, texts)
	}
}

// inside writes lines in the middle of a rectangle, as many as fit.
func (e *elevation) inside(v *view, a area, texts []string) {
	wide, high := a.hi.x-a.lo.x-6, a.hi.y-a.lo.y-6
	for n := len(texts); n > 0; n-- {
		for _, size := range []float64{7, 6, 5} {
			step := size * 1.25
			fit := float64(n)*step <= high
			for i, s := range texts[:n] {
				fit = fit && textWidth(s, i == 0, size) <= wide
			}
			if !fit {
				continue
			}
			y := (a.lo.y+a.hi.y)/2 + step*float64(n-1)/2
			for i, s := range texts[:n] {
				v.middle(letters{size: size, bold: i == 0, colour: ink}, xy{(a.lo.x + a.hi.x) / 2, y - step*float64(i)}, s)
			}
			return
		}
	}
	// No room: the mark over it.
	v.middle(letters{size: 5, bold: true, colour: ink, ground: true}, xy{(a.lo.x + a.hi.x) / 2, a.hi.y + 4}, texts[0])
}

// grade is finished grade with its earth.
func (e *elevation) grade(v *view) {
	w, l := e.w, nm(e.w.Length)
	g0, g1 := nm(w.BelowGrade), nm(w.BelowGradeEnd)
	if max(g0, g1) <= 0 {
		return
	}
	ext := 10 / v.k
	slope := (g1 - g0) / l
	a, b := xy{0, g0}, xy{l, g1}
	wide := *v
	if v.first {
		a, wide.from, wide.origin.x = xy{-ext, g0 - slope*ext}, v.from-ext, v.origin.x-ext*v.k
	}
	if v.last {
		b, wide.to = xy{l + ext, g1 + slope*ext}, v.to+ext
	}
	q := wide.cut(a, b)
	if q == nil {
		return
	}
	v.line(gradeLine, q...)
	// Earth under its ends.
	d := q[1].sub(q[0]).unit()
	var ticks []xy
	for i := range 3 {
		for _, end := range []struct {
			on   bool
			at   xy
			sign float64
		}{{v.first, q[0], 1}, {v.last, q[1], -1}} {
			if end.on {
				p := end.at.add(d.times(end.sign * float64(i) * 3.2)).add(xy{1.5, 0})
				ticks = append(ticks, p, p.add(xy{-3, -3.6}))
			}
		}
	}
	v.lines(stroke{thin, ink, nil}, ticks)
	if v.first {
		at := xy{v.page(xy{v.from, 0}).x - 39, q[0].y + 1}
		v.text(letters{size: 6, colour: ink, align: atRight}, at, "grade")
		v.text(letters{size: 6, colour: ink, align: atRight}, at.add(xy{0, -7}), e.show(w.BelowGrade))
	}
	if v.last {
		v.right(g1, "grade "+e.show(w.BelowGradeEnd))
	}
}

// bracing draws a line and a foot at each brace of the inner face.
func (e *elevation) bracing(v *view) {
	if e.braces == nil {
		return
	}
	shift := nm(e.w.First().Shorten[takeoff.Inner][0].Length())
	for _, at := range e.braces.Positions {
		x := shift + nm(at)
		if !v.shows(x) || v.shows(v.from) && x == v.from && !v.first {
			continue
		}
		top := e.topAt(x)
		if e.braces.Item == "kicker" {
			top *= 0.6
		}
		v.seg(braceLine, xy{x, 0}, xy{x, top})
		q := v.page(xy{x, -e.deep})
		v.fill(green, q.add(xy{0, -1.5}), q.add(xy{-2.8, -6.5}), q.add(xy{2.8, -6.5}))
	}
}

// matchLine is where a long wall goes on in the next part.
func (e *elevation) matchLine(v *view, x float64) {
	a, b := v.page(xy{x, -e.deep}).add(xy{0, -3}), v.page(xy{x, e.high}).add(xy{0, 6})
	v.line(stroke{thin, quiet, dashDot}, a, b)
	v.middle(letters{size: 6, colour: quiet, ground: true}, b, "at "+e.show(lengthOf(x)))
}

// dimension draws a dimension line between two points of the page with its text; the line's text stands over it.
func (v *view) dimension(a, b xy, s string) {
	d := b.sub(a)
	if d.len() < 1 {
		return
	}
	u := d.unit()
	n := xy{-u.y, u.x}
	v.line(dimLine, a, b)
	for _, q := range []xy{a, b} {
		v.line(stroke{thin, quiet, nil}, q.sub(u.add(n).times(1.6)), q.add(u.add(n).times(1.6)))
	}
	turn := upright(u.angle())
	size := 6.5
	for size > 4.5 && textWidth(s, false, size) > d.len()-2 {
		size -= 0.5
	}
	if textWidth(s, false, size) > d.len()+4 {
		return
	}
	up := xy{0, 1}.turned(turn)
	v.text(letters{size: size, colour: ink, align: atCentre, turn: turn}, a.to(b, 0.5).add(up.times(1.5)), s)
}

// formDimensions are the jambs along the base, the length, the heights at both ends, the courses' numbers.
func (e *elevation) formDimensions(v *view) {
	w, l := e.w, nm(e.w.Length)
	low := v.page(xy{v.from, -e.deep}).y
	// Jambs.
	stops := []float64{0, l}
	for _, h := range w.Holes {
		stops = append(stops, nm(h.Start.Length()), nm(h.End().Length()))
	}
	stops = sortedUnique(stops)
	y := low - 16
	if len(stops) > 2 {
		for i := 0; i+1 < len(stops); i++ {
			a, b := max(stops[i], v.from, 0), min(stops[i+1], v.to, l)
			if b <= a {
				continue
			}
			v.dimension(xy{v.page(xy{a, 0}).x, y}, xy{v.page(xy{b, 0}).x, y}, e.show(lengthOf(stops[i+1]-stops[i])))
		}
		y -= 12
	}
	// Length; of a wall on several sheets the part shown.
	name := e.show(w.Length)
	if e.parts > 1 {
		name = fmt.Sprintf("%s to %s of %s", e.show(lengthOf(max(v.from, 0))), e.show(lengthOf(min(v.to, l))), name)
	}
	v.dimension(xy{v.page(xy{max(v.from, 0), 0}).x, y}, xy{v.page(xy{min(v.to, l), 0}).x, y}, name)
	// Heights.
	if v.first {
		x := v.page(xy{v.from, 0}).x - 26
		v.dimension(xy{x, v.page(xy{0, 0}).y}, xy{x, v.page(xy{0, nm(w.Height)}).y}, e.show(w.Height))
		if e.deep > 0 {
			v.dimension(xy{x, v.page(xy{0, -e.deep}).y}, xy{x, v.page(xy{0, 0}).y}, e.show(w.Footing.Depth))
		}
	}
	if v.last && w.Raked() {
		x := v.page(xy{v.to, 0}).x + 22
		if len(v.rights) > 0 {
			x += rightRoom - 26
		}
		v.dimension(xy{x, v.page(xy{0, 0}).y}, xy{x, v.page(xy{0, nm(w.HeightEnd)}).y}, e.show(w.HeightEnd))
	}
	// Course numbers.
	x := v.page(xy{v.from, 0}).x - 13
	for _, c := range e.courses {
		if nm(c.Bottom) >= nm(w.Greater()) {
			continue
		}
		mid := nm(c.Bottom) + nm(c.Height)/2
		s := fmt.Sprint(c.Number)
		if c.Half {
			s += "½"
		}
		if c.Ripped {
			s += "r"
		}
		if nm(c.Height)*v.k > 5.5 {
			v.middle(letters{size: 6, colour: quiet}, xy{x, v.page(xy{0, mid}).y}, s)
		}
	}
}

func sortedUnique(x []float64) []float64 {
	out := x[:0:0]
	for len(out) < len(x) {
		least, found := 0.0, false
		for _, q := range x {
			if (len(out) == 0 || q > out[len(out)-1]) && (!found || q < least) {
				least, found = q, true
			}
		}
		if !found {
			break
		}
		out = append(out, least)
	}
	return out
}

// legend names the looks that the sheet uses.
func (e *elevation) legend(p pen, at xy, column float64) {
	w := e.w
	const swatch = 18
	y := at.y
	row := func(s string, mark func(lo, hi xy)) {
		if y < margin-2 {
			at.x, y = at.x+column, at.y
		}
		mark(xy{at.x, y - 1.5}, xy{at.x + swatch, y + 5.5})
		p.text(letters{size: 6.5, colour: ink}, xy{at.x + swatch + 4, y}, shorten(s, false, 6.5, column-swatch-8))
		y -= 10
	}
	filled := func(h *hatch) func(lo, hi xy) {
		return func(lo, hi xy) {
			f := box(lo.x, lo.y, hi.x, hi.y)
			if h != nil {
				p.hatched(*h, 0, f...)
			}
			p.outline(stroke{hairline, quiet, nil}, f...)
		}
	}
	across := func(s stroke) func(lo, hi xy) {
		return func(lo, hi xy) { p.line(s, xy{lo.x, (lo.y + hi.y) / 2}, xy{hi.x, (lo.y + hi.y) / 2}) }
	}
	whole, pieces, corners, ledge := e.kinds()
	if whole {
		row("whole unit", filled(nil))
	}
	if pieces {
		row("cut piece, length", filled(&pieceHatch))
	}
	if corners {
		row("corner unit, leg", filled(&cornerHatch))
	}
	if ledge {
		row("brick ledge", filled(&ledgeHatch))
	}
	if w.Cover != takeoff.CoverNone && max(w.BelowGrade, w.BelowGradeEnd) > 0 {
		row(w.Cover.String(), func(lo, hi xy) { p.strokes(coverHatch, 0, box(lo.x, lo.y, hi.x, hi.y)) })
	}
	if e.braces != nil {
		row(fmt.Sprintf("%s, %d", e.braces.Item, len(e.braces.Positions)), func(lo, hi xy) {
			x := (lo.x + hi.x) / 2
			p.line(braceLine, lo.to(xy{hi.x, lo.y}, 0.2).add(xy{0, 3.5}), xy{hi.x - 1, (lo.y + hi.y) / 2})
			p.fill(green, xy{x, hi.y}, xy{x - 2.8, lo.y + 1}, xy{x + 2.8, lo.y + 1})
		})
	}
	if len(w.Zones) > 1 {
		row("core change", across(changeLine))
	}
	if len(w.Ledgers) > 0 {
		row("floor ledger", across(ledgerLine))
	}
	e.steelLegend(p, row, across)
}

// kinds tells what pieces the wall's courses hold.
func (e *elevation) kinds() (whole, pieces, corners, ledge bool) {
	for _, c := range e.courses {
		for i := range c.Segments {
			for _, u := range c.Segments[i].Fill {
				whole = whole || u.Whole
				pieces = pieces || !u.Whole
			}
		}
		corners = corners || c.CornerUnits.Sign() > 0
	}
	corners = corners || e.w.Joints[0].Corner() || e.w.Joints[1].Corner()
	if f := e.w.Zones[0].Forms; f.Faces {
		corners = false
	}
	return whole, pieces, corners, e.w.Ledge != nil
}
