package takeoff

import (
	"slices"
	"strconv"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// HorizontalRows is R-HORZ's number of level rows of a mark on a wall whose lesser height is lo; 0 without number and
// spacing.
func (m *BarMark) HorizontalRows(lo length.Length) int64 {
	switch {
	case m.HorizontalBars > 0:
		return int64(m.HorizontalBars)
	case m.HorizontalSpacing > 0:
		room := max(lo-m.TopWithin-m.BottomWithin, 0)
		return max(2, ceilDiv(int64(room), int64(m.HorizontalSpacing))+1)
	}
	return 0
}

// rowHeight is row i's height above the base as a fraction over den: evenly from Bottom within to lo − Top within; one row,
// or no room: at lo/2.
func (m *BarMark) rowHeight(lo length.Length, rows, i int64) (over, den int64) {
	room := lo - m.TopWithin - m.BottomWithin
	if rows < 2 || room < 0 {
		return int64(lo), 2
	}
	return int64(m.BottomWithin)*(rows-1) + i*int64(room), rows - 1
}

// RowHeights are the heights of a wall's horizontal rows above its base, level rows first, then those under a rake; without
// the bar along the slope.
func (w *WallLines) RowHeights() []exact.Num {
	m := w.Bars
	if m == nil || m.Horizontal == nil {
		return nil
	}
	lo := w.Lesser()
	var rows []exact.Num
	n := m.HorizontalRows(lo)
	for i := range n {
		rows = append(rows, exact.Frac(m.rowHeight(lo, n, i)))
	}
	for i := range m.rakeRows(w) {
		rows = append(rows, exact.Len(lo-m.TopWithin+length.Length(i+1)*m.HorizontalSpacing))
	}
	return rows
}

// rakeRows is the number of rows that a rake adds.
func (m *BarMark) rakeRows(w *WallLines) int64 {
	if !w.Raked() || m.HorizontalSpacing <= 0 {
		return 0
	}
	return int64((w.Greater() - w.Lesser()) / m.HorizontalSpacing)
}

// rowSpan is a row's reach along the centreline.
type rowSpan struct {
	from, to           exact.Num
	atStart, atEnd     bool // reaches the wall's start, its end
	coverFrom, coverTo length.Length
}

// horizontals is R-HORZ and R-BEND.
func (s *steel) horizontals(w *WallLines) {
	m := w.Bars
	if m == nil || m.Horizontal == nil || w.Lc0 <= 0 {
		return
	}
	lo, hi := w.Lesser(), w.Greater()
	rows := m.HorizontalRows(lo)
	if rows == 0 {
		return
	}
	b := m.Horizontal
	g := barGroup{rule: "R-HORZ", mark: m.Mark, bar: b, lap: s.lap(m, b), mk: m}
	end := length.Length(0) // the lap over an in-line joint, on the wall that ends there
	if w.Joints[1].Kind == TurnStraight {
		end = g.lap
	}
	free := func(e int) length.Length {
		if w.Joints[e].Kind == TurnEnd {
			return m.Cover
		}
		return 0
	}
	full := rowSpan{to: exact.Len(w.Lc0), atStart: true, atEnd: true, coverFrom: free(0), coverTo: free(1)}
	s.levelRows(w, m, g, full, rows, end)
	if w.Raked() {
		s.rakedRows(w, m, g, full, end)
		if m.RakeBar {
			g.count, g.countFrom = layers(m, 1, "Rake bar of "+m.Mark)
			g.length, g.lengthFrom = slope(w.Lc0, hi-lo)-full.coverFrom-full.coverTo+end, "along the slope, less cover at free ends"
			s.add(g)
		}
	}
	s.bends(w, m, rows)
}

// levelRows adds the level rows: those that the same openings cut together.
func (s *steel) levelRows(w *WallLines, m *BarMark, g barGroup, full rowSpan, rows int64, end length.Length) {
	lo := w.Lesser()
	type cut struct {
		holes []*Hole
		rows  int64
	}
	var cuts []cut
	for i := range rows {
		var holes []*Hole
		if len(w.Holes) > 0 {
			z, den := m.rowHeight(lo, rows, i)
			for _, h := range w.Holes {
				if int64(h.Sill)*den < z && z < int64(h.Head())*den {
					holes = append(holes, h)
				}
			}
		}
		k := slices.IndexFunc(cuts, func(c cut) bool { return slices.Equal(c.holes, holes) })
		if k < 0 {
			k = len(cuts)
			cuts = append(cuts, cut{holes: holes})
		}
		cuts[k].rows++
	}
	for _, c := range cuts {
		of := strconv.FormatInt(rows, 10) + " rows"
		switch {
		case len(c.holes) > 0:
			s.row(w, m, g, c.rows, full, c.holes, end, "R-HORZ: of "+of+", cut by openings")
		case c.rows < rows:
			s.row(w, m, g, c.rows, full, nil, end, "R-HORZ: of "+of)
		default:
			g.countBy = s.rowsBy(w, m)
			s.row(w, m, g, c.rows, full, nil, end, "")
		}
	}
}

// rowsBy is the formula of the number of level rows.
func (s *steel) rowsBy(w *WallLines, m *BarMark) factor {
	u, of := s.units, s.words("Bars ", m.Mark)
	f := s.by("rows", Count("rows", int64(m.HorizontalBars), s.words(of, " Horizontal bars")))
	if m.HorizontalBars <= 0 {
		f = s.by("max(2,ceil(max(0,h−top−bottom)/s)+1)", u.Len("h", w.Lesser(), w.heightCell()), u.Len("top", m.TopWithin, s.words(of, " Top within")),
			u.Len("bottom", m.BottomWithin, s.words(of, " Bottom within")), u.Len("s", m.HorizontalSpacing, s.words(of, " Horizontal spacing")))
	}
	if m.Layers > 1 {
		f.text = "layers·" + f.text
		f.operands = s.aside(f.operands, []Operand{Count("layers", int64(m.Layers), of)})
	}
	return f
}

// rakedRows adds the rows under a slope, at its high end.
func (s *steel) rakedRows(w *WallLines, m *BarMark, g barGroup, full rowSpan, end length.Length) {
	lo, hi := w.Lesser(), w.Greater()
	n := m.rakeRows(w)
	if m.HorizontalSpacing <= 0 {
		key := "rake " + m.Mark
		if !s.said[key] {
			s.said[key] = true
			s.say(Warning, m.At.At(m.Columns["horizontal spacing"]), "R-HORZ", "Bars "+m.Mark,
				"no Horizontal spacing: no rows are counted under the slope of wall %s and others like it", w.Mark)
		}
	}
	for i := range n {
		z := lo - m.TopWithin + length.Length(i+1)*m.HorizontalSpacing
		r := full
		if z > lo {
			short := exact.Len(w.Lc0).Mul(exact.Len(hi - z)).Div(exact.Len(hi - lo))
			if short.Sign() <= 0 {
				continue
			}
			if w.HeightEnd > w.Height {
				r.from, r.atStart, r.coverFrom = full.to.Sub(short), false, 0
			} else {
				r.to, r.atEnd, r.coverTo = short, false, 0
			}
		}
		var holes []*Hole
		for _, h := range w.Holes {
			if h.Sill < z && z < h.Head() {
				holes = append(holes, h)
			}
		}
		s.row(w, m, g, 1, r, holes, end, "R-HORZ: rows under the slope")
	}
}

// row adds the pieces of so many like rows between the openings that cut them.
func (s *steel) row(w *WallLines, m *BarMark, g barGroup, rows int64, r rowSpan, holes []*Hole, end length.Length, from string) {
	shortest := s.set.Len(SetShortestBar)
	g.count, g.countFrom = layers(m, rows, from)
	piece := func(at, to exact.Num, less length.Length, last bool, words string) {
		l := to.Sub(at).Length() - less
		if l < shortest || l <= 0 {
			return
		}
		g.length, g.lengthFrom = l, words
		if last && end > 0 {
			g.length += end
			g.lengthFrom += " + lap over the in-line joint"
		}
		s.add(g)
	}
	at, cover := r.from, r.coverFrom
	for _, h := range holes {
		a := w.first.OnLine(h, Centre)
		b := a.Add(exact.Len(h.Width))
		if b.Cmp(at) <= 0 || a.Cmp(r.to) >= 0 {
			continue
		}
		piece(at, a, cover+m.Cover, false, "up to the jamb, less covers")
		at, cover = b, m.Cover
	}
	words := "to the end, less covers"
	switch {
	case !r.atStart || !r.atEnd:
		words = "at the high end"
	case len(holes) == 0:
		u := s.units
		g.lengthBy = s.by("Lc0", u.Len("Lc0", w.Lc0, w.centreline()))
		for _, c := range [...]length.Length{cover, r.coverTo} {
			if c > 0 {
				g.lengthBy = s.more(g.lengthBy, "−cover", u.Len("cover", c, s.words("Bars ", m.Mark)))
			}
		}
		if end > 0 {
			g.lengthBy = s.more(g.lengthBy, "+lap", s.lapOf(m, g.bar))
		}
	}
	piece(at, r.to, cover+r.coverTo, r.atEnd, words)
}

// bends is R-BEND: a corner bar a level row at each corner or tee, on the wall that ends there or starts an open run at it.
func (s *steel) bends(w *WallLines, m *BarMark, rows int64) {
	b := m.Horizontal
	lap := s.lap(m, b)
	g := barGroup{rule: "R-BEND", mark: m.Mark, bar: b, mk: m, shape: shapeCorner, legs: []length.Length{lap, lap},
		length: b.BentLength(lap, lap), lengthBy: s.bentBy(b, "2·lap", s.lapOf(m, b))}
	for e := range w.Joints {
		j := &w.Joints[e]
		if !j.Counts || !j.Corner() && j.Kind != TurnTee {
			continue
		}
		from := "R-BEND: level rows"
		if j.Shared {
			from = "R-BEND: level rows, half at a shared corner"
		}
		g.half = j.Shared
		g.count, g.countFrom = layers(m, rows, from)
		s.add(g)
	}
}
