package drawing

import (
	"fmt"
	"math"
	"strings"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// The parts of an elevation's page, in points.
const (
	elevFoot  = 104.0 // facts, legend, bars at the bottom
	leftRoom  = 74.0  // beside a panel, for heights and names
	rightRoom = 60.0
	formsLow  = 40.0 // under the footing of the forms panel, for dimension lines
	formsHigh = 10.0 // over it
	steelLow  = 22.0
	steelHigh = 8.0
	panelGap  = 6.0
	mostParts = 12 // sheets of one wall
)

// smallElevation is the scale under which a wall goes on several sheets rather than smaller: 1/16" = 1'-0", 1:200.
const smallElevation = pointsPerNM / 200

// Elevations draws each wall, seen from inside with its start at the left: its forms, and below or beside them its bars. A
// wall too long for one sheet goes on on the next.
func Elevations(t *takeoff.Takeoff) []*Sheet {
	all, _ := FirstElevations(t, math.MaxInt)
	return all
}

// FirstElevations are the first sheets of all, at most so many, and the walls that they do not show, or not wholly.
func FirstElevations(t *takeoff.Takeoff, most int) (sheets []*Sheet, left []*takeoff.WallLines) {
	rows := courseRows(t)
	braces := map[string]*takeoff.BraceRow{}
	for i := range t.Braces {
		braces[takeoff.ItemKey(t.Braces[i].Wall)] = &t.Braces[i]
	}
	bars := map[string][]*takeoff.BarRow{}
	for i := range t.Bars {
		k := takeoff.ItemKey(t.Bars[i].Wall)
		bars[k] = append(bars[k], &t.Bars[i])
	}
	var out []*Sheet
	for i, w := range t.Geometry.Walls {
		if len(out) >= most {
			left = t.Geometry.Walls[i:]
			break
		}
		k := takeoff.ItemKey(w.Mark)
		e := &elevation{t: t, w: w, sys: t.Job.Report, courses: rows[w.Stretch.Index], braces: braces[k], bars: bars[k]}
		e.lay()
		for i := range e.parts {
			s := &Sheet{Name: "elevation-" + w.Mark, Title: "Elevation of wall " + w.Mark, Level: w.Level, Wall: w.Mark, system: e.sys}
			if e.parts > 1 {
				s.Name += fmt.Sprintf("-%d", i+1)
				s.Title += fmt.Sprintf(", %d of %d", i+1, e.parts)
			}
			s.paint = func(p pen) { e.paint(p, i) }
			s.AltText = e.altText(s.Title)
			out = append(out, s)
		}
		if len(out) > most {
			out, left = out[:most], t.Geometry.Walls[i:]
			break
		}
	}
	named(out)
	return out, left
}

// courseRows are the courses by stretch; of loose boards the outer face's.
func courseRows(t *takeoff.Takeoff) map[int][]*takeoff.CourseRow {
	out := map[int][]*takeoff.CourseRow{}
	for i := range t.Courses {
		if c := &t.Courses[i]; c.Face != "inner" {
			out[c.Stretch] = append(out[c.Stretch], c)
		}
	}
	return out
}

// elevation is a wall's sheet.
type elevation struct {
	t       *takeoff.Takeoff
	w       *takeoff.WallLines
	sys     length.System
	courses []*takeoff.CourseRow // of its stretch
	braces  *takeoff.BraceRow
	bars    []*takeoff.BarRow

	sc     scale
	past   float64 // of the footing beyond the wall's ends, nanometres
	deep   float64 // of the footing
	high   float64 // of what stands over the base
	parts  int
	beside bool // the panels stand side by side
	steel  bool // there is a bars panel
}

// lay chooses how the panels stand: the arrangement with the greater scale, on as few sheets as the scale allows.
func (e *elevation) lay() {
	w := e.w
	e.high = max(nm(w.Greater()), nm(w.BelowGrade), nm(w.BelowGradeEnd))
	if w.Footing != nil {
		e.past, e.deep = max(nm(w.Footing.Width-w.T)/2, 0), nm(w.Footing.Depth)
	}
	e.steel = e.hasSteel()
	wide, room := e.area()
	fits := func(k float64, parts int, beside bool) bool {
		across := nm(w.Length)/float64(parts) + 2*e.past
		one := (e.deep + e.high) * k
		tall := one + formsLow + formsHigh
		columns := 1.0
		if e.steel && !beside {
			tall += one + steelLow + steelHigh + panelGap
		}
		if beside {
			columns = 2
		}
		return across*k+leftRoom+rightRoom <= wide/columns && tall <= room
	}
	for parts := 1; parts <= mostParts && (parts == 1 || e.sc.k < smallElevation*0.95); parts++ {
		for _, beside := range []bool{false, true} {
			if beside && !e.steel {
				continue
			}
			sc := greatest(e.sys, func(k float64) bool { return fits(k, parts, beside) })
			if sc.k > e.sc.k*1.01 {
				e.sc, e.parts, e.beside = sc, parts, beside
			}
		}
	}
}

// hasSteel tells whether there are bars in the wall itself.
func (e *elevation) hasSteel() bool {
	if e.w.Bars != nil {
		return true
	}
	for _, b := range e.bars {
		if b.Rule != "R-FTBAR" && b.Rule != "R-STEP" && b.Rule != "R-LEDGE" {
			return true
		}
	}
	return false
}

// area is the room for panels.
func (e *elevation) area() (wide, high float64) {
	return Width - 2*margin, Height - 2*margin - titleHigh - elevFoot
}

func (e *elevation) show(l length.Length) string { return show(l, e.sys) }

// altText describes the elevation to readers that do not see it.
func (e *elevation) altText(title string) string {
	w := e.w
	s := fmt.Sprintf("%s of job %s, seen from inside, start at the left: %s long, %s high", title, e.t.Job.Name, e.show(w.Length), e.show(w.Height))
	if w.Raked() {
		s += " at its start and " + e.show(w.HeightEnd) + " at its end"
	}
	s += fmt.Sprintf(", core %s, %s", w.Zones[0].Forms.CoreName, countOf(len(e.courses), "course"))
	if len(w.Holes) > 0 {
		var list []string
		for _, h := range w.Holes {
			list = append(list, h.Mark+" "+e.show(h.Width)+" by "+e.show(h.Height)+" at "+e.show(h.Start.Length()))
		}
		const most = 12
		if n := len(list); n > most {
			list = append(list[:most], fmt.Sprintf("and %d more", n-most))
		}
		s += ", openings " + strings.Join(list, "; ")
	}
	if e.braces != nil {
		s += ", " + countOf(len(e.braces.Positions), "brace")
	}
	if w.Bars != nil {
		s += ", bars " + w.Bars.Mark
	}
	if w.Footing != nil {
		s += ", footing " + w.Footing.Mark
	}
	return s + ". Scale " + e.sc.name + "."
}

// paint draws one of the wall's sheets.
func (e *elevation) paint(p pen, i int) {
	title := "Elevation of wall " + e.w.Mark
	if e.parts > 1 {
		title += fmt.Sprintf(", %d of %d", i+1, e.parts)
	}
	p.heading(title, "seen from inside, start at the left", e.t.Job)
	wide, room := e.area()
	one := (e.deep + e.high) * e.sc.k
	tall := one + formsLow + formsHigh
	below := tall + panelGap
	if e.steel && !e.beside {
		tall = below + one + steelLow + steelHigh
	}
	top := Height - margin - titleHigh - max(0, (room-tall)/2)
	v := &view{pen: p, e: e, k: e.sc.k, from: nm(e.w.Length) * float64(i) / float64(e.parts), to: nm(e.w.Length) * float64(i+1) / float64(e.parts), first: i == 0, last: i == e.parts-1}
	if v.first {
		v.from -= e.past
	}
	if v.last {
		v.to += e.past
	}
	column := wide
	if e.beside {
		column = wide / 2
	}
	across := (v.to - v.from) * v.k
	v.origin = xy{margin + leftRoom + (column-leftRoom-rightRoom-across)/2, top - formsHigh - e.high*v.k}
	e.forms(v)
	if e.steel {
		s := &view{pen: p, e: e, k: v.k, from: v.from, to: v.to, first: v.first, last: v.last, origin: v.origin}
		if e.beside {
			s.origin.x += column
		} else {
			s.origin.y = top - below - steelHigh - e.high*v.k
		}
		e.reinforcement(s)
	}
	e.foot(p)
}

// view is one panel, or a part of it: the wall's plane, x along its exterior face from its start, z above its base.
type view struct {
	pen
	e           *elevation
	k           float64 // points a nanometre
	origin      xy      // on the page, of from and z 0
	from, to    float64
	first, last bool // the part that has the wall's start, its end
	names       []name
	rights      []beside
}

// name is a text that goes over what is drawn, where it covers no opening.
type name struct {
	at   xy
	size float64
	s    string
}

// beside is a text at the right of the panel.
type beside struct {
	y float64
	s string
}

func (v *view) page(q xy) xy { return v.origin.add(xy{(q.x - v.from) * v.k, q.y * v.k}) }

// figure is the part of a figure that this view shows, on the page.
func (v *view) figure(pts []xy) []xy {
	pts = clipped(pts, xy{v.from, 1}, xy{v.from, 0})
	pts = clipped(pts, xy{v.to, 0}, xy{v.to, 1})
	out := make([]xy, len(pts))
	for i, q := range pts {
		out[i] = v.page(q)
	}
	return out
}

// seg draws the part of a line that this view shows.
func (v *view) seg(s stroke, a, b xy) {
	if q := v.cut(a, b); q != nil {
		v.line(s, q...)
	}
}

// cut is the part of a line that this view shows, on the page; nil when none.
func (v *view) cut(a, b xy) []xy {
	if a.x > b.x {
		a, b = b, a
	}
	if b.x < v.from || a.x > v.to {
		return nil
	}
	if a.x < v.from {
		a = a.to(b, (v.from-a.x)/(b.x-a.x))
	}
	if b.x > v.to {
		b = a.to(b, (v.to-a.x)/(b.x-a.x))
	}
	return []xy{v.page(a), v.page(b)}
}

func (v *view) shows(x float64) bool { return x >= v.from-1 && x <= v.to+1 }

// foot draws scale, facts, legend and the wall's bars.
func (e *elevation) foot(p pen) {
	top := margin + elevFoot - 6
	p.line(stroke{hairline, faint, nil}, xy{margin, top}, xy{Width - margin, top})
	const facts, legend, table = 196.0, 206.0, 294.0
	p.text(letters{size: 7, bold: true, colour: ink}, xy{margin, top - 11}, "Scale "+e.sc.name)
	p.scaleBar(xy{margin + 92, top - 12}, e.sc, e.sys)
	y := top - 25.0
	for _, f := range e.facts() {
		y = p.paragraph(letters{size: 6.5, colour: ink}, xy{margin, y}, facts-10, margin-8, f)
	}
	e.legend(p, xy{margin + facts, top - 11}, legend/2)
	e.table(p, xy{Width - margin - table, top - 11}, table)
}

// facts are what the drawing does not show in itself.
func (e *elevation) facts() []string {
	w := e.w
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	f := w.Zones[0].Forms
	pour := "pour " + w.Zones[0].Pour
	if len(w.Zones) > 1 && takeoff.ItemKey(w.Zones[1].Pour) != takeoff.ItemKey(w.Zones[0].Pour) {
		pour += ", above the core change " + w.Zones[1].Pour
	}
	say("Level %s, %s. Run %s.", w.Level, pour, w.Run.Name)
	if w.Run.Count > 1 {
		out[0] += fmt.Sprintf(" Stands %d times.", w.Run.Count)
	}
	kind := "units of"
	if f.Faces {
		kind = "loose boards of"
	}
	core := "core " + f.CoreName
	if len(w.Zones) > 1 {
		side := "outside"
		if w.FlushInside {
			side = "inside"
		}
		core += ", from " + e.show(w.CoreChange) + " core " + w.Zones[1].Forms.CoreName + ", flush " + side
	}
	say("Form line %s, %s (form %s thick); %s %s, courses of %s.", f.Line, core, e.show(f.Thickness()), kind, e.show(f.UnitLength), e.show(f.CourseHeight))
	say("Start: %s. End: %s.", jointWords(&w.Joints[0]), jointWords(&w.Joints[1]))
	if w.Footing != nil {
		say("Footing %s, %s wide, %s deep.", w.Footing.Mark, e.show(w.Footing.Width), e.show(w.Footing.Depth))
	}
	if w.Base != 0 {
		say("Base at elevation %s.", e.show(w.Base))
	}
	if w.Ledge != nil {
		say("Brick ledge %s, top at %s.", w.Ledge.Mark, e.show(w.LedgeTop))
	}
	if w.Cover != takeoff.CoverNone {
		say("Below grade: %s.", w.Cover)
	}
	if w.Plate {
		say("Top plate.")
	}
	half, ripped := false, false
	for _, c := range e.courses {
		half, ripped = half || c.Half, ripped || c.Ripped
	}
	switch {
	case half && ripped:
		say("½ marks a half course, r a course ripped lower.")
	case half:
		say("½ marks a half course.")
	case ripped:
		say("r marks a course ripped lower.")
	}
	if f.Faces {
		say("The boards drawn are the outer face's.")
	}
	return out
}

// jointWords says what is at an end.
func jointWords(j *takeoff.Joint) string {
	switch j.Kind {
	case takeoff.TurnStraight:
		return "in line with " + j.Other.Mark
	case takeoff.TurnEnd:
		return "free end"
	case takeoff.TurnTee:
		if j.Tee == nil {
			return "tee, wall not named"
		}
		return "tee against " + j.Tee.Mark
	}
	s := "corner"
	if j.Kind == takeoff.TurnInside {
		s = "inside corner"
	}
	if !j.Right() {
		s += " of " + trimmedDegrees(j.MilliDegrees) + "°"
	}
	if j.Other != nil {
		return s + " with " + j.Other.Mark
	}
	return s + " shared with another run"
}

// table lists the wall's bars, as the Bar list does.
func (e *elevation) table(p pen, at xy, wide float64) {
	head := letters{size: 6, bold: true, colour: quiet}
	body := letters{size: 6, colour: ink}
	if len(e.bars) == 0 {
		p.text(letters{size: 6.5, colour: quiet}, at, "No bars are counted on this wall.")
		return
	}
	columns := []struct {
		name  string
		x     float64
		align float64
	}{{"Mark", 0, atLeft}, {"Size", 44, atLeft}, {"Count", 92, atRight}, {"Length", 142, atRight}, {"Shape", 150, atLeft}, {"Opening", 204, atLeft}, {"For", 246, atLeft}}
	row := func(y float64, l letters, cells ...string) {
		for i, c := range columns {
			l.align = c.align
			room := wide - c.x
			if i+1 < len(columns) {
				room = columns[i+1].x - c.x - 4
			}
			if c.align == atRight {
				room = 48
			}
			p.text(l, xy{at.x + c.x, y}, shorten(cells[i], l.bold, l.size, room))
		}
	}
	names := make([]string, len(columns))
	for i, c := range columns {
		names[i] = c.name
	}
	row(at.y, head, names...)
	p.line(stroke{hairline, faint, nil}, xy{at.x, at.y - 2.5}, xy{at.x + wide, at.y - 2.5})
	y := at.y - 10
	const step = 7.6
	most := int((y - margin + 6) / step)
	for i, b := range e.bars {
		if i == most-1 && len(e.bars) > most {
			p.text(letters{size: 6, colour: quiet}, xy{at.x, y}, fmt.Sprintf("and %d more rows on tab Bar list", len(e.bars)-i))
			break
		}
		row(y, body, b.Mark, b.Bar.Size, fmt.Sprint(b.Count), e.show(b.Length), b.Shape, b.Opening, ruleWord(b.Rule))
		y -= step
	}
}

var ruleWords = map[string]string{
	"R-VERT": "verticals", "R-HORZ": "horizontals", "R-JAMB": "jambs", "R-DOWEL": "dowels", "R-BEND": "corners", "R-LINTEL": "lintel, sill",
	"R-FTBAR": "footing", "R-STEP": "footing step", "R-LEDGE": "ledge",
}

// ruleWord is what bars of a rule are.
func ruleWord(rule string) string {
	if s, ok := ruleWords[rule]; ok {
		return s
	}
	return strings.ToLower(strings.TrimPrefix(rule, "R-"))
}

// heights of the wall's top at x along its exterior face.
func (e *elevation) topAt(x float64) float64 {
	w := e.w
	if !w.Raked() || w.Length <= 0 {
		return nm(w.Height)
	}
	return nm(w.Height) + nm(w.HeightEnd-w.Height)*math.Min(math.Max(x/nm(w.Length), 0), 1)
}
