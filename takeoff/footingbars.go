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
			countFrom: "across bars: ceil(L/spacing)+1 over " + l.Show(s.units.System), lengthFrom: "footing width − 2 covers"})
	}
}

func (s *steel) alongBars(w *WallLines, l length.Length) {
	f := w.Footing
	b := f.Along
	lap := s.lap(w.Bars, b)
	n := int64(f.AlongBars)
	along := barGroup{rule: "R-FTBAR", mark: f.Mark, bar: b, lap: lap, mk: w.Bars, count: n, length: l,
		countFrom: "along bars of " + f.Mark, lengthFrom: "R-FOOT length"}
	if w.Joints[1].Kind == TurnStraight {
		along.length += lap
		along.lengthFrom += " + lap over the in-line joint"
	}
	s.add(along)
	corner := barGroup{rule: "R-FTBAR", mark: f.Mark, bar: b, mk: w.Bars, count: n, shape: shapeCorner,
		legs: []length.Length{lap, lap}, length: b.BentLength(lap, lap),
		lengthFrom: "corner bar: 2 laps of " + lap.Show(s.units.System) + " − bend, raised"}
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
			countFrom: "along bars of " + f.Mark, lengthFrom: "rise " + rise.Show(s.units.System) + " + 2 laps"})
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
			countFrom: "ledge stirrups: ceil(L/spacing)+1 over " + l.Show(s.units.System), lengthFrom: "Stirrup length of ledge " + m.Mark})
	}
	if m.Along != nil {
		s.add(barGroup{rule: "R-LEDGE", mark: m.Mark, bar: m.Along, lap: s.lap(w.Bars, m.Along), mk: w.Bars,
			count: int64(m.AlongBars), length: l, countFrom: "along bars of ledge " + m.Mark, lengthFrom: "R-LEDGE length"})
	}
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
				countFrom: "pads " + d.Mark + ", bars each way", lengthFrom: "side − 2 covers"})
		}
		s.emitPad(d, place{Pour: d.Pour})
	}
}
