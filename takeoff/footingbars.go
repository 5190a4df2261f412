package takeoff

import "wallbill/takeoff/length"

// footingBars is R-FTBAR of a wall's footing, with the along bars of a step (R-STEP).
func (s *steel) footingBars(w *WallLines) {
	f := w.Footing
	l := w.FootingLength()
	if l <= 0 {
		return
	}
	inset := 2 * s.set.Len(SetFootingCover)
	if f.Along != nil && f.AlongBars > 0 {
		s.alongBars(w, l)
	}
	if f.Across != nil && f.AcrossSpacing > 0 {
		s.add(barGroup{rule: "R-FTBAR", mark: f.Mark, bar: f.Across, lap: s.lap(w.Bars, f.Across), mk: w.Bars,
			count: Spaces(l, f.AcrossSpacing) + 1, length: f.Width - inset,
			countFrom: "across bars", lengthFrom: "footing width − 2 covers",
			countBy:  s.by("ceil(L/s)+1", s.footingLength(w, l), s.units.Len("s", f.AcrossSpacing, s.words("Footings ", f.Mark, " Across spacing"))),
			lengthBy: s.by("width−2·inset", s.units.Len("width", f.Width, s.words("Footings ", f.Mark)), s.units.Len("inset", inset/2, "Job Footing cover"))})
	}
}

// footingLength is a wall's footing length as an operand.
func (s *steel) footingLength(w *WallLines, l length.Length) Operand {
	return s.units.Len("L", l, w.underWall())
}

func (s *steel) alongBars(w *WallLines, l length.Length) {
	f := w.Footing
	b := f.Along
	lap := s.lap(w.Bars, b)
	n := int64(f.AlongBars)
	along := barGroup{rule: "R-FTBAR", mark: f.Mark, bar: b, lap: lap, mk: w.Bars, count: n, length: l,
		countBy: s.by("along", Count("along", n, s.words("Footings ", f.Mark, " Along bars"))), lengthBy: s.by("L", s.footingLength(w, l))}
	if w.Joints[1].Kind == TurnStraight {
		along.length += lap
		along.lengthBy = s.more(along.lengthBy, "+lap", s.lapOf(w.Bars, b))
	}
	s.add(along)
	corner := barGroup{rule: "R-FTBAR", mark: f.Mark, bar: b, mk: w.Bars, count: n, shape: shapeCorner,
		legs: []length.Length{lap, lap}, length: b.BentLength(lap, lap),
		lengthBy: s.bentBy(b, "2·lap", s.lapOf(w.Bars, b))}
	for e := range w.Joints {
		j := &w.Joints[e]
		if !j.Counts || !j.Corner() {
			continue
		}
		corner.half, corner.countFrom = j.Shared, "corner bars, one an along bar"
		if j.Shared {
			corner.countFrom += ", half at a shared corner"
		}
		s.add(corner)
	}
	if other := w.Joints[1].Other; other != nil && other.Footing != nil && other.Base != w.Base {
		rise := max(other.Base-w.Base, w.Base-other.Base)
		s.add(barGroup{rule: "R-STEP", mark: f.Mark, bar: b, lap: lap, mk: w.Bars, count: n, length: rise + 2*lap,
			countBy:  s.by("along", Count("along", n, s.words("Footings ", f.Mark, " Along bars"))),
			lengthBy: s.by("rise+2·lap", s.units.Len("rise", rise, "Base of walls "+w.Mark+" and "+other.Mark), s.lapOf(w.Bars, b))})
	}
}

// ledgeBars is the stirrups and along bars of a brick ledge (R-LEDGE).
func (s *steel) ledgeBars(w *WallLines) {
	m := w.Ledge
	l, _ := w.LedgeLength()
	if l <= 0 {
		return
	}
	if m.Stirrup != nil && m.StirrupSpacing > 0 {
		s.add(barGroup{rule: "R-LEDGE", mark: m.Mark, bar: m.Stirrup, mk: w.Bars, shape: shapeStirrup,
			count: Spaces(l, m.StirrupSpacing) + 1, length: m.StirrupLength,
			countBy:  s.by("ceil(L/s)+1", s.ledgeLength(w, l), s.units.Len("s", m.StirrupSpacing, "Ledges "+m.Mark+" Stirrup spacing")),
			lengthBy: s.by("stirrup", s.units.Len("stirrup", m.StirrupLength, "Ledges "+m.Mark+" Stirrup length"))})
	}
	if m.Along != nil {
		s.add(barGroup{rule: "R-LEDGE", mark: m.Mark, bar: m.Along, lap: s.lap(w.Bars, m.Along), mk: w.Bars,
			count: int64(m.AlongBars), length: l, countBy: s.by("along", Count("along", int64(m.AlongBars), "Ledges "+m.Mark+" Along bars")),
			lengthBy: s.by("L", s.ledgeLength(w, l))})
	}
}

// ledgeLength is a wall's ledge length as an operand.
func (s *steel) ledgeLength(w *WallLines, l length.Length) Operand {
	return s.units.Len("L", l, "R-LEDGE length of ledge "+w.Ledge.Mark+" on wall "+w.Mark)
}

// padBars is R-FTBAR of the pads: Bars each way both ways.
func (s *steel) padBars() {
	inset := 2 * s.set.Len(SetFootingCover)
	for _, d := range s.job.Pads {
		if d.Bar == nil || d.BarsEachWay <= 0 {
			continue
		}
		for _, side := range [...]length.Length{d.Length, d.Width} {
			s.add(barGroup{rule: "R-FTBAR", mark: d.Mark, bar: d.Bar, lap: s.lap(nil, d.Bar),
				count: int64(d.Count) * int64(d.BarsEachWay), length: side - inset,
				countBy:   s.by("pads·bars", Count("pads", int64(d.Count), "Pads "+d.Mark), Count("bars", int64(d.BarsEachWay), "Pads "+d.Mark+" Bars each way")),
				countFrom: "bars each way of pads " + d.Mark,
				lengthBy:  s.by("side−2·inset", s.units.Len("side", side, "Pads "+d.Mark), s.units.Len("inset", inset/2, "Job Footing cover"))})
		}
		s.emitPad(d, place{Pour: d.Pour})
	}
}
