package takeoff

import (
	"slices"
	"strconv"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// positions are where a wall's vertical bars stand (R-VERT): at i·Lc0/spaces for i from first to spaces.
type positions struct {
	first, spaces int64
	runs          []positionRun
}

// positionRun is positions in a row that the same openings interrupt, lowest first.
type positionRun struct {
	from, to int64
	holes    []*Hole
}

func (r *positionRun) count() int64 { return r.to - r.from + 1 }

// inDoor tells whether the positions are in an opening of sill 0, where no dowel stands.
func (r *positionRun) inDoor() bool { return len(r.holes) > 0 && r.holes[0].Sill <= 0 }

// positions are the vertical positions of a wall; none without a vertical spacing.
func (w *WallLines) positions() *positions {
	m := w.Bars
	if m == nil || m.VerticalSpacing <= 0 || w.Lc0 <= 0 {
		return nil
	}
	p := &positions{first: 1, spaces: Spaces(w.Lc0, m.VerticalSpacing)}
	if k := w.Joints[0].Kind; w.Index == 0 && !w.Run.Closed && (k == TurnEnd || k == TurnTee) {
		p.first = 0
	}
	if len(w.Holes) == 0 {
		p.runs = []positionRun{{from: p.first, to: p.spaces}}
		return p
	}
	type span struct {
		from, to int64
		hole     *Hole
	}
	var spans []span
	edges := []int64{p.first, p.spaces + 1}
	// The line unrounded: an opening up to the wall's end ends where the last bar stands.
	line := exact.Len(w.Length).Sub(w.first.Shorten[Centre][0]).Sub(w.first.Shorten[Centre][1])
	per := exact.Int(p.spaces).Div(line)
	for _, h := range w.Holes {
		a := w.first.OnLine(h, Centre)
		from := max(a.Mul(per).Floor()+1, p.first) // strictly inside: the first position after the jamb
		to := min(a.Add(exact.Len(h.Width)).Mul(per).Ceil()-1, p.spaces)
		if from <= to {
			spans = append(spans, span{from, to, h})
			edges = append(edges, from, to+1)
		}
	}
	slices.Sort(edges)
	edges = slices.Compact(edges)
	for i := 0; i+1 < len(edges); i++ {
		r := positionRun{from: edges[i], to: edges[i+1] - 1}
		for _, sp := range spans {
			if sp.from <= r.from && r.to <= sp.to {
				r.holes = append(r.holes, sp.hole)
			}
		}
		slices.SortStableFunc(r.holes, func(a, b *Hole) int { return int(min(max(a.Sill-b.Sill, -1), 1)) })
		p.runs = append(p.runs, r)
	}
	return p
}

// VerticalPositions are where a wall's vertical bars stand along its centreline, those in openings too.
func (w *WallLines) VerticalPositions() []exact.Num {
	p := w.positions()
	if p == nil {
		return nil
	}
	all := make([]exact.Num, 0, p.spaces-p.first+1)
	for i := p.first; i <= p.spaces; i++ {
		all = append(all, exact.Len(w.Lc0).Times(i).Div(exact.Int(p.spaces)))
	}
	return all
}

// Spaces is the number of equal spaces, none over the spacing, on a line.
func Spaces(line, spacing length.Length) int64 { return ceilDiv(int64(line), int64(spacing)) }

// topOver is the wall's top at position i less a length, rounded half up to the nanometre; the top runs straight over Lc0.
func (p *positions) topOver(w *WallLines, i int64, less length.Length) length.Length {
	if !w.Raked() {
		return w.Height - less
	}
	// (height − less) + rise·i/spaces, in halves for the rounding.
	n := 2*int64(w.HeightEnd-w.Height)*i + p.spaces
	q := n / (2 * p.spaces)
	if n < 0 && n%(2*p.spaces) != 0 {
		q--
	}
	return w.Height - less + length.Length(q)
}

// verticals is R-VERT, with the caps of the top level's bars.
func (s *steel) verticals(w *WallLines, at place, pos *positions) {
	m := w.Bars
	if pos == nil || m.Vertical == nil {
		return
	}
	b, lap := m.Vertical, s.lap(m, m.Vertical)
	above := length.Length(0)
	if m.ContinuesAbove {
		above = lap
	}
	shortest := s.set.Len(SetShortestBar)
	g := barGroup{rule: "R-VERT", mark: m.Mark, bar: b, lap: lap, mk: m}
	u, ofMark := s.units, s.words("Bars ", m.Mark)
	cover := u.Len("cover", m.Cover, ofMark)
	// piece adds n bars of a length, a lap longer where they continue above.
	piece := func(n int64, l, continued length.Length, from, lengthFrom string, count, long factor) {
		g.count, g.countFrom = layers(m, n, from)
		g.length, g.lengthFrom = l+continued, lengthFrom
		g.countBy, g.lengthBy = count, long
		if m.Layers > 1 && count.text != "" {
			g.countBy.text = "layers·(" + count.text + ")"
			g.countBy.operands = s.aside(g.countBy.operands, []Operand{Count("layers", int64(m.Layers), ofMark)})
		}
		if continued > 0 {
			g.lengthFrom += " + lap above"
			if long.text != "" {
				g.lengthBy = s.more(g.lengthBy, "+lap", s.lapOf(m, b))
			}
		}
		s.add(g)
	}
	caps, whole := int64(0), int64(0)
	for i := range pos.runs {
		r := &pos.runs[i]
		standing := int64(0) // positions at which a bar stands
		n := len(r.holes)
		switch {
		case n == 0 && !w.Raked():
			whole += r.count()
			if w.Height > m.Cover {
				standing = r.count()
			}
		case n == 0:
			standing = s.tops(w, pos, r, m.Cover, 1, func(n int64, l length.Length) {
				piece(n, l, above, "R-VERT: "+strconv.FormatInt(pos.spaces, 10)+" spaces", "top − cover", factor{}, factor{})
			})
		default:
			const from = "R-VERT: positions in openings"
			first, last := r.holes[0], r.holes[n-1]
			if l := first.Sill - m.Cover; l >= shortest && l > 0 {
				piece(r.count(), l, 0, from, "", factor{}, s.by("sill−cover", u.Len("sill", first.Sill, first.Cell("sill").String()), cover))
				standing = r.count()
			}
			for k := 1; k < n; k++ {
				if l := r.holes[k].Sill - r.holes[k-1].Head() - 2*m.Cover; l >= shortest && l > 0 {
					piece(r.count(), l, 0, from, "between openings, less 2 covers", factor{}, factor{})
					standing = r.count()
				}
			}
			var long factor
			if !w.Raked() {
				long = s.by("h−head−2·cover", u.Len("h", w.Height, w.heightCell()), u.Len("head", last.Head(), "head of opening "+last.Mark), cover)
			}
			standing = max(standing, s.tops(w, pos, r, last.Head()+2*m.Cover, shortest, func(n int64, l length.Length) {
				piece(n, l, above, from, "above: top − head − 2 covers", factor{}, long)
			}))
		}
		caps += standing
	}
	if whole > 0 && w.Height > m.Cover {
		piece(whole, w.Height-m.Cover, above, "", "", s.positionsBy(w, pos, whole),
			s.by("h−cover", u.Len("h", w.Height, w.heightCell()), cover))
	}
	if ItemKey(w.Level) == s.top {
		s.drive("bar-caps", at, exact.Int(caps*int64(max(m.Layers, 1))*w.Run.Count))
	}
}

// positionsBy is the formula of so many of a wall's vertical positions: those that are not in openings.
func (s *steel) positionsBy(w *WallLines, pos *positions, n int64) factor {
	u, m := s.units, w.Bars
	f := s.by("ceil(Lc0/s)", u.Len("Lc0", w.Lc0, w.centreline()), u.Len("s", m.VerticalSpacing, s.words("Bars ", m.Mark, " Vertical spacing")))
	all := pos.spaces
	if pos.first == 0 {
		f.text += "+1"
		all++
	}
	if n < all {
		f = s.more(f, "−open", Count("open", all-n, "positions in openings"))
	}
	return f
}

// tops gives the bars of a run of positions that reach the top less a length, where they are no shorter than the shortest,
// and says how many they are.
func (s *steel) tops(w *WallLines, pos *positions, r *positionRun, less, shortest length.Length, piece func(n int64, l length.Length)) int64 {
	if !w.Raked() {
		l := w.Height - less
		if l < shortest || l <= 0 {
			return 0
		}
		piece(r.count(), l)
		return r.count()
	}
	n := int64(0)
	for i := r.from; i <= r.to; i++ {
		if l := pos.topOver(w, i, less); l >= shortest && l > 0 {
			piece(1, l)
			n++
		}
	}
	return n
}

// markOf is the Bars mark of an opening: its own, else the wall's.
func (w *WallLines) markOf(h *Hole) *BarMark {
	if h.Bars != nil {
		return h.Bars
	}
	return w.Bars
}

// topAt is the wall's top above its base at x along its centreline, within its ends.
func (w *WallLines) topAt(x exact.Num) exact.Num {
	return w.TopAt(exact.Min(exact.Max(x, exact.Num{}), exact.Len(w.Lc0)), w.Lc0)
}

// jambTops are the wall's top at an opening's jambs.
func (w *WallLines) jambTops(h *Hole) (near, far length.Length) {
	if !w.Raked() {
		return w.Height, w.Height
	}
	x := w.first.OnLine(h, Centre)
	return w.topAt(x).Length(), w.topAt(x.Add(exact.Len(h.Width))).Length()
}

// jambs is R-JAMB: Jamb bars on each side of each opening.
func (s *steel) jambs(w *WallLines) {
	for _, h := range w.Holes {
		m := w.markOf(h)
		if m == nil || m.Jamb == nil || m.JambBars <= 0 {
			continue
		}
		g := barGroup{rule: "R-JAMB", mark: m.Mark, opening: h.Mark, bar: m.Jamb, lap: s.lap(m, m.Jamb), mk: m,
			count: int64(m.JambBars), countFrom: s.words("Jamb bars of ", m.Mark, ", each side"), lengthFrom: "top at the jamb − cover"}
		above := length.Length(0)
		if m.ContinuesAbove {
			above = g.lap
			g.lengthFrom += " + lap above"
		}
		near, far := w.jambTops(h)
		if near == far {
			g.count *= 2
			g.countBy = s.by("2·jambs", Count("jambs", int64(m.JambBars), s.words("Bars ", m.Mark, " Jamb bars")))
			g.lengthBy = s.by("h−cover", s.units.Len("h", near, "top at the jambs"), s.units.Len("cover", m.Cover, s.words("Bars ", m.Mark)))
			if above > 0 {
				g.lengthBy = s.more(g.lengthBy, "+lap", s.lapOf(m, m.Jamb))
			}
			if l := near - m.Cover; l > 0 {
				g.length = l + above
				s.add(g)
			}
			continue
		}
		for _, top := range [...]length.Length{near, far} {
			if l := top - m.Cover; l > 0 {
				g.length = l + above
				s.add(g)
			}
		}
	}
}

// dowels is R-DOWEL: hooked bars out of the footing at each vertical position not in an opening of sill 0, and at each jamb
// bar.
func (s *steel) dowels(w *WallLines, at place, pos *positions) {
	if w.Footing == nil {
		return
	}
	n := int64(0)
	if pos != nil && w.Bars.Dowel != nil {
		for i := range pos.runs {
			if r := &pos.runs[i]; !r.inDoor() {
				n += r.count()
			}
		}
		count, from := layers(w.Bars, n, "vertical positions not in a door")
		s.dowel(w, w.Bars, "", count, from)
		n = count
	}
	for _, h := range w.Holes {
		m := w.markOf(h)
		if m == nil || m.Jamb == nil || m.JambBars <= 0 || m.Dowel == nil {
			continue
		}
		s.dowel(w, m, h.Mark, 2*int64(m.JambBars), "jamb bars")
		n += 2 * int64(m.JambBars)
	}
	s.drive("bar-caps", at, exact.Int(n*w.Run.Count))
}

// dowel adds so many dowels of a mark.
func (s *steel) dowel(w *WallLines, m *BarMark, opening string, n int64, from string) {
	b := m.Dowel
	inset := s.set.Len(SetFootingCover)
	leg := max(w.Footing.Depth-inset, 0) + s.lap(m, b)
	j := b.HookLeg()
	s.add(barGroup{
		rule: "R-DOWEL", mark: m.Mark, opening: opening, bar: b, count: n, length: b.BentLength(j, leg), mk: m,
		shape: shapeHook, legs: []length.Length{j, leg}, countFrom: from,
		lengthBy: s.bentBy(b, "J+depth−inset+lap", s.units.Len("J", j, s.words("hook of ", b.Size, " out to out")),
			s.units.Len("depth", max(w.Footing.Depth, inset), s.words("Footings ", w.Footing.Mark)), s.units.Len("inset", inset, "Job Footing cover"), s.lapOf(m, b)),
	})
}

// hookNote is the doubt of a dowel whose hook is longer than half the footing less cover; it is said once a footing and size.
func (s *steel) hookNote(w *WallLines, b *Bar) string {
	f := w.Footing
	j, room := b.HookLeg(), f.Width/2-s.set.Len(SetFootingCover)
	if 2*j <= f.Width-2*s.set.Len(SetFootingCover) {
		return ""
	}
	show := func(l length.Length) string { return l.Show(s.units.System) }
	note := "hook " + show(j) + " is longer than half the footing less cover, " + show(room)
	if key := "hook " + f.Mark + " " + b.Size; !s.said[key] {
		s.said[key] = true
		s.say(Note, f.At.At(f.Columns["width"]), "R-DOWEL", "footing "+f.Mark, "the %s dowel's %s", b.Size, note)
	}
	return note
}
