package takeoff

import (
	"fmt"
	"strings"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// graded is something that runs straight from a height at the start of a wall's exterior line to another at its end:
// finished grade, the height of a sheet. Its lengths and areas are exact fractions in closed form.
type graded struct {
	line       length.Length // Lo0
	start, end length.Length
}

func (g graded) lo() length.Length { return min(g.start, g.end) }
func (g graded) hi() length.Length { return max(g.start, g.end) }

// over is the length on which it is higher than t.
func (g graded) over(t length.Length) exact.Num {
	switch {
	case g.hi() <= t:
		return exact.Num{}
	case g.lo() >= t:
		return exact.Len(g.line)
	}
	return exact.Len(g.line).Mul(exact.Len(g.hi() - t)).Div(exact.Len(g.hi() - g.lo()))
}

// area is the area below it and above height t.
func (g graded) area(t length.Length) exact.Num {
	switch {
	case g.hi() <= t:
		return exact.Num{}
	case g.lo() >= t && g.start == g.end:
		return exact.Len(g.line).Mul(exact.Len(g.start - t))
	case g.lo() >= t:
		return exact.Len(g.line).Mul(exact.Len(g.start + g.end - 2*t)).Div(exact.Int(2))
	}
	// A triangle over the length on which it is higher.
	return g.over(t).Mul(exact.Len(g.hi() - t)).Div(exact.Int(2))
}

// under is the area below it and not above height t.
func (g graded) under(t length.Length) exact.Num { return g.area(0).Sub(g.area(t)) }

// up is it raised by e.
func (g graded) up(e length.Length) graded { return graded{g.line, g.start + e, g.end + e} }

// grade is finished grade above the wall's base over its exterior line.
func (w *WallLines) grade() graded { return graded{w.Lo0, w.BelowGrade, w.BelowGradeEnd} }

// sheet is a rolled sheet's sizes.
type sheet struct{ width, roll, sideLap, endLap length.Length }

// usable tells whether rows and rolls of the sheet can be lapped.
func (s sheet) usable() bool { return s.width > s.sideLap && s.roll > s.endLap }

// row is the height over which row i runs (R-MEMB): 0 for the first.
func (s sheet) row(i int64) length.Length {
	if i == 0 {
		return 0
	}
	return length.Length(i)*(s.width-s.sideLap) + s.sideLap
}

// levelRows are the lengths of a sheet's rows over a level, repeats counted, lowest first.
type levelRows struct {
	level string
	at    Ref // of its first wall with the sheet
	rows  []exact.Num
}

// rolled gathers a sheet's rows by level.
type rolled struct {
	sheet
	rule, item string
	laps       [2]string // names of the settings in derivations: roll, end lap
	levels     []*levelRows
	byKey      map[string]*levelRows
	last       *levelRows // that length was added to
}

// add adds length to row i of a wall's level.
func (r *rolled) add(w *WallLines, i int, long exact.Num) {
	if long.IsZero() {
		return
	}
	l := r.last
	if l == nil || l.level != w.Level {
		l = r.byKey[ItemKey(w.Level)]
	}
	if l == nil {
		l = &levelRows{level: w.Level, at: w.At}
		r.byKey[ItemKey(w.Level)] = l
		r.levels = append(r.levels, l)
	}
	r.last = l
	for len(l.rows) <= i {
		l.rows = append(l.rows, exact.Num{})
	}
	l.rows[i] = l.rows[i].Add(long.Times(w.Run.Count))
}

// sheets are the two sheets that go on walls.
func (p *pass) sheets() (membrane, board *rolled) {
	membrane = &rolled{rule: "R-MEMB", item: "membrane-roll", laps: [2]string{"Job Membrane roll", "Job End lap"}, byKey: map[string]*levelRows{},
		sheet: sheet{p.set.Len(SetMembraneWidth), p.set.Len(SetMembraneRoll), p.set.Len(SetSideLap), p.set.Len(SetEndLap)}}
	board = &rolled{rule: "R-BOARD", item: "board-roll", laps: [2]string{"Job Board roll", "Job Board lap"}, byKey: map[string]*levelRows{},
		sheet: sheet{p.set.Len(SetBoardWidth), p.set.Len(SetBoardRoll), p.set.Len(SetBoardLap), p.set.Len(SetBoardLap)}}
	return membrane, board
}

// covers is what goes on each wall below grade: R-MEMB, R-BOARD, R-PRIMER, R-COAT, R-DRAIN. Rolls come after, over all walls.
func (p *pass) covers(membrane, board *rolled) {
	usable := p.lapped(membrane.sheet, "Membrane", SetSideLap, SetEndLap) && p.lapped(board.sheet, "Board", SetBoardLap, SetBoardLap)
	for _, w := range p.geo.Walls {
		if w.grade().hi() <= 0 || w.Lo0 <= 0 {
			continue
		}
		if usable {
			p.cover(w, membrane, board)
		}
		p.drain(w)
	}
}

// lapped checks that a sheet is wider than its side lap and longer than its end lap, where walls need it.
func (p *pass) lapped(s sheet, name string, side, end SettingID) bool {
	if s.usable() {
		return true
	}
	for _, w := range p.geo.Walls {
		if (w.Cover != CoverMembrane && w.Cover != CoverBand) || w.grade().hi() <= 0 {
			continue
		}
		id, size, lap := side, s.width, s.sideLap
		if size > lap {
			id, size, lap = end, s.roll, s.endLap
		}
		p.say(Error, p.set.Value(id).At, "R-MEMB", Catalogue[id].Name, "%s sheet of %s cannot be lapped by %s",
			strings.ToLower(name), size.Show(p.units.System), lap.Show(p.units.System))
		break
	}
	return false
}

// cover is what covers a wall below grade.
func (p *pass) cover(w *WallLines, membrane, board *rolled) {
	g, at, n := w.grade(), wallPlace(w, nil), w.Run.Count
	switch w.Cover {
	case CoverNone:
		return
	case CoverCoating:
		p.coating(w, at, g, 0)
		return
	}
	e := length.Length(0)
	if w.Footing != nil {
		e = p.set.Len(SetFootingOverlap)
	}
	// h is the sheet's height, no higher than limit: a band stops at the band height above the footing joint.
	h, limit := g.up(e), g.hi()+e
	band := p.set.Len(SetBandHeight)
	if w.Cover == CoverBand {
		limit = min(limit, band+e)
		p.coating(w, at, g, band)
	}
	for i := int64(0); ; i++ {
		t := membrane.row(i)
		long := exact.Num{}
		switch {
		case i == 0:
			long = g.over(0)
		case limit > t:
			long = h.over(t)
		}
		if long.IsZero() {
			break
		}
		membrane.add(w, int(i), long)
	}
	for i := int64(0); ; i++ {
		long := g.over(board.row(i))
		if long.IsZero() {
			break
		}
		board.add(w, int(i), long)
	}
	area := h.under(limit)
	p.drive("membrane-area", at, area.Times(n))
	p.drive("membrane-length", at, g.over(0).Times(n))
	p.drive("board-area", at, g.area(0).Times(n))
	p.primer(w, at, h, limit, area)
}

// primer is R-PRIMER: the sheet's height up to the primer height. Below the limit it has that area.
func (p *pass) primer(w *WallLines, at place, h graded, limit length.Length, area exact.Num) {
	v := p.set.Value(SetPrimerHeight)
	from := "R-MEMB height of the sheet"
	if v.Word != "all" && v.Len < limit {
		limit, from = v.Len, "Job Primer height"
		area = h.under(limit)
	}
	u := p.units
	formula := "L·top−L·(top−lo)·(top−lo)/(2·(hi−lo))"
	switch {
	case h.lo() >= limit:
		formula = "L·top"
	case h.hi() <= limit:
		formula = "L·(h0+h1)/2"
	}
	how := p.howNaming(formula,
		u.Len("L", h.line, "R-GEOM exterior line of wall "+w.Mark), u.Len("h0", h.start, "R-MEMB height of the sheet at the start"),
		u.Len("h1", h.end, "R-MEMB height of the sheet at the end"), u.Len("lo", h.lo(), "lesser of the sheet's heights"),
		u.Len("hi", h.hi(), "greater of the sheet's heights"), u.Len("top", limit, from))
	p.line(w, at, "R-PRIMER", "primer", u.Area, u.Area.Of(area), how)
	p.drive("primer-area", at, area.Times(w.Run.Count))
}

// coating is R-COAT: the area below grade and above height t.
func (p *pass) coating(w *WallLines, at place, g graded, t length.Length) {
	area := g.area(t)
	u := p.units
	formula := "L·(hi−band)·(hi−band)/(2·(hi−lo))"
	switch {
	case t == 0:
		formula = "L·(g0+g1)/2"
	case g.lo() >= t:
		formula = "L·((g0+g1)/2−band)"
	}
	how := p.howNaming(formula,
		u.Len("L", g.line, "R-GEOM exterior line of wall "+w.Mark), u.Len("g0", g.start, w.Cell("below grade").String()),
		u.Len("g1", g.end, w.Cell("below grade at end").String()), u.Len("lo", g.lo(), "lesser of the grades"),
		u.Len("hi", g.hi(), "greater of the grades"), u.Len("band", t, "Job Band height"))
	p.line(w, at, "R-COAT", "coating", u.Area, u.Area.Of(area), how)
	p.drive("coating-area", at, area.Times(w.Run.Count))
}

// drain is R-DRAIN: pipe outside the footing, longer round exterior corners and shorter in inside ones, with its stone and
// fabric.
func (p *pass) drain(w *WallLines) {
	if !w.Drain {
		return
	}
	u, at, n := p.units, wallPlace(w, nil), w.Run.Count
	d := exact.Len(p.set.Len(SetDrainOffset))
	from := "Job Drain offset"
	if w.Footing != nil {
		d = d.Add(exact.Frac(int64(w.Footing.Width-w.T), 2))
		from = p.words("(width-T)/2 of Footings ", w.Footing.Mark, " and Job Drain offset")
	}
	g := w.grade()
	sum := g.over(0)
	operands := append(make([]Operand, 0, 4),
		Operand{"L", u.Length.Of(sum), u.Length, "R-GEOM exterior line of wall " + w.Mark + " where grade is above the base"},
		Operand{"d", u.Length.Of(d), u.Length, from})
	formula := "L"
	for e := range w.Joints {
		j := &w.Joints[e]
		if !j.Corner() || [2]length.Length{g.start, g.end}[e] <= 0 {
			continue
		}
		bend, sign := d.Mul(j.TanHalf()), "+"
		if j.Kind == TurnInside {
			bend, sign = bend.Neg(), "−"
		}
		sum = sum.Add(bend)
		formula = p.words(formula, sign, "d")
		if !j.Right() {
			name := fmt.Sprintf("tan%d", e+1)
			formula = p.words(formula, "·", name)
			operands = append(operands, Num(name, j.TanHalf(), "tangent of half the corner's turn"))
		}
		p.drive("drain-corners", at, exact.Frac(n, 2))
	}
	p.line(w, at, "R-DRAIN", "drain-pipe", u.Length, u.Length.Of(sum), p.howNaming(formula, operands...))
	p.drive("drain-length", at, sum.Times(n))
	section, width := p.set.Num(SetDrainStoneSection), p.set.Len(SetDrainFabricWidth)
	l := Operand{"L", u.Length.Of(sum), u.Length, "R-DRAIN pipe of wall " + w.Mark}
	p.line(w, at, "R-DRAIN", "drain-stone", u.Volume, u.Volume.Of(sum.Mul(section)), p.how(p.words("L·section", p.perVolume()),
		l, Operand{"section", u.Area.Of(section), u.Area, "Job Drain stone section"}))
	p.line(w, at, "R-DRAIN", "drain-fabric", u.Area, u.Area.Of(sum.Mul(exact.Len(width))), p.how("L·width",
		l, u.Len("width", width, "Job Drain fabric width")))
}

// parge is R-PARGE.
func (p *pass) parge(w *WallLines) {
	if w.PargeHeight <= 0 {
		return
	}
	u, at := p.units, wallPlace(w, nil)
	area := exact.Len(w.Lo0).Mul(exact.Len(w.PargeHeight))
	p.line(w, at, "R-PARGE", "parge", u.Area, u.Area.Of(area), How{Formula: "L·h", Operands: []Operand{
		u.Len("L", w.Lo0, "R-GEOM exterior line of wall "+w.Mark), u.Len("h", w.PargeHeight, w.Cell("parge height").String()),
	}})
	p.drive("parge-area", at, area.Times(w.Run.Count))
}

// rolls are a sheet's rolls, a line a level: one, then one for each roll's length less its end lap.
func (p *pass) rolls(r *rolled) {
	u := p.units
	for _, l := range r.levels {
		var terms []string
		var operands []Operand
		sum := exact.Num{}
		for i, long := range l.rows {
			sum = sum.Add(long)
			name := fmt.Sprintf("row%d", i+1)
			terms = append(terms, name)
			operands = append(operands, Operand{name, u.Length.Of(long), u.Length, fmt.Sprintf("%s length of row %d on level %s", r.rule, i+1, l.level)})
		}
		rows := strings.Join(terms, "+")
		how := How{Formula: "ceil((" + rows + ")/roll)"}
		n := int64(1)
		if roll := exact.Len(r.roll); sum.Cmp(roll) > 0 {
			n = 1 + sum.Sub(roll).Div(exact.Len(r.roll-r.endLap)).Ceil()
			how.Formula = "1+ceil((" + rows + "−roll)/(roll−lap))"
		}
		how.Operands = append(operands, u.Len("roll", r.roll, r.laps[0]), u.Len("lap", r.endLap, r.laps[1]))
		p.put(afterWalls, Line{Level: l.level, Item: r.item, Quantity: exact.Int(n).Quantity(), Unit: unit.Each, Rule: r.rule, At: l.at, How: how.used()})
	}
}
