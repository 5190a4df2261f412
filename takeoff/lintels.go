package takeoff

import (
	"strconv"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// oneLegUpTo is the greatest core whose lintel stirrups have one leg where the mark does not say.
const oneLegUpTo = 6 * length.Inch

// StirrupLength is the cut length of a lintel stirrup of that depth in that core (R-LINTEL): one leg
// D − 2·cover + 2·hook; two legs 2·(core − 2·stirrup cover) + 2·(D − 2·cover) + 2·hook, no term below 0.
func (b *Bar) StirrupLength(legs int, depth, core, cover, stirrupCover length.Length) length.Length {
	leg, hook := max(depth-2*cover, 0), b.StirrupHook()
	if legs == 1 {
		return leg + 2*hook
	}
	return 2*max(core-2*stirrupCover, 0) + 2*leg + 2*hook
}

// lintels is R-LINTEL, by each opening's own mark: bars over its head, stirrups, bars under its sill.
func (s *steel) lintels(w *WallLines) {
	for _, h := range w.Holes {
		m := w.markOf(h)
		if m == nil {
			continue
		}
		near, far := w.jambTops(h)
		over := min(near, far) - h.Head()
		if m.Lintel != nil && (m.LintelTop+m.LintelBottom > 0 || m.SillBars > 0) {
			s.lintelBars(w, h, m, over)
		}
		if over > 0 && m.Stirrup != nil && m.StirrupSpacing > 0 {
			s.stirrups(w, h, m, over)
		}
	}
}

func (s *steel) lintelBars(w *WallLines, h *Hole, m *BarMark, over length.Length) {
	x := w.first.OnLine(h, Centre)
	from := exact.Max(x.Sub(exact.Len(m.PastOpening)), exact.Num{})
	to := exact.Min(x.Add(exact.Len(h.Width+m.PastOpening)), exact.Len(w.Lc0))
	g := barGroup{rule: "R-LINTEL", mark: m.Mark, opening: h.Mark, bar: m.Lintel, lap: s.lap(m, m.Lintel), mk: m,
		length: to.Sub(from).Length(), lengthFrom: "width + 2 past the opening, within the wall"}
	if g.length == h.Width+2*m.PastOpening {
		g.lengthBy = s.by("width+2·past", s.units.Len("width", h.Width, h.Cell("width").String()), s.units.Len("past", m.PastOpening, s.words("Bars ", m.Mark, " Past opening")))
	}
	if over > 0 {
		g.count, g.countFrom = int64(m.LintelTop+m.LintelBottom), s.words("lintel bars of ", m.Mark)
		s.add(g)
	}
	if h.Sill >= s.set.Len(SetShortestBar) {
		g.count, g.countFrom = int64(m.SillBars), s.words("sill bars of ", m.Mark)
		s.add(g)
	}
}

func (s *steel) stirrups(w *WallLines, h *Hole, m *BarMark, over length.Length) {
	b, core := m.Stirrup, w.ZoneAt(h.Head()).Forms.Core
	legs := m.StirrupLegs
	if legs == 0 {
		legs = 2
		if core <= oneLegUpTo {
			legs = 1
		}
	}
	depth, inset := min(m.LintelDepth, over), s.set.Len(SetStirrupCover)
	g := barGroup{
		rule: "R-LINTEL", mark: m.Mark, opening: h.Mark, bar: b, mk: m,
		count: int64(h.Width/m.StirrupSpacing) + 1, countFrom: "floor(width/spacing)+1 stirrups",
		countBy:    s.by("floor(width/s)+1", s.units.Len("width", h.Width, h.Cell("width").String()), s.units.Len("s", m.StirrupSpacing, s.words("Bars ", m.Mark, " Stirrup spacing"))),
		length:     b.StirrupLength(legs, depth, core, m.Cover, inset),
		lengthFrom: strconv.Itoa(legs) + "-leg stirrup " + depth.Show(s.units.System) + " deep",
		shape:      shapeStirrup1,
	}
	leg := max(depth-2*m.Cover, 0)
	g.legs = []length.Length{b.StirrupHook(), leg, b.StirrupHook()}
	if legs == 2 {
		across := max(core-2*inset, 0)
		g.shape = shapeStirrup2
		g.legs = []length.Length{b.StirrupHook(), leg, across, leg, across, b.StirrupHook()}
	}
	if u, ofMark := s.units, s.words("Bars ", m.Mark); depth >= 2*m.Cover && core >= 2*inset {
		f := s.by("D−2·cover+2·hook", u.Len("D", depth, s.words("lesser of the lintel depth of ", m.Mark, " and top − head")),
			u.Len("cover", m.Cover, ofMark), u.Len("hook", b.StirrupHook(), "greater of 6 d and 3 in"))
		if legs == 2 {
			f.text = "2·(core−2·inset)+2·(D−2·cover)+2·hook"
			f.operands = s.aside(f.operands, []Operand{u.Len("core", core, "core at the head"), u.Len("inset", inset, "Job Stirrup cover")})
		}
		g.lengthBy = f
	}
	s.add(g)
}
