package takeoff

import (
	"fmt"
	"strings"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// byPractice ends every finding of R-PRACTICE: none of these figures has a published source.
const byPractice = "common practice without a published source; the form maker's instructions come first"

// The figures of R-PRACTICE, all common practice without a published source; a storey is chosen here, as low as a
// habitable one can be.
const (
	ledgeStopLow       = 4 * length.Inch
	ledgeStopHigh      = 6 * length.Inch
	widestBracing      = 6 * length.Foot
	widestSpreaders    = 3 * length.Foot
	deepGrade          = 4 * length.Foot
	wideOpening        = 2 * length.Foot
	leastConcreteAbove = 8 * length.Inch
	storey             = 7 * length.Foot
)

// practice is R-PRACTICE: reminders, each at its cell, one of a kind for a wall, an opening's row or a pour; a note that says
// the same of many walls is one, at the first of them, and lists them.
func (p *pass) practice() {
	p.practiceSettings()
	var listed reminders
	lowest := p.lowestBases()
	said := map[string]bool{}
	for _, w := range p.geo.Walls {
		p.practiceCores(w)
		p.practiceLedge(w, &listed)
		p.practiceGrade(w)
		p.practiceOpenings(w)
		for _, z := range w.Zones {
			pour := ItemKey(z.Pour)
			if low := lowest[pour]; !said[pour] && w.Base-low.Base >= storey {
				said[pour] = true
				p.remind(Warning, w.Cell("base"), "Base, wall "+w.Mark, "pour %s holds this wall and, %s lower, wall %s; walls a storey apart are placed in pours of their own",
					z.Pour, p.show(w.Base-low.Base), low.Mark)
			}
		}
	}
	for _, r := range listed.inOrder {
		p.remind(Note, r.at, r.subject+", "+namedWalls(r.walls), "%s", r.message)
	}
	p.remindBackfill()
}

// reminder is a note that holds for each of some walls.
type reminder struct {
	at      Ref // of the first
	subject string
	message string
	walls   []string
}

// reminders are in the order of their first walls.
type reminders struct {
	inOrder []*reminder
	by      map[string]*reminder
}

func (rs *reminders) add(at Ref, subject, wall, message string) {
	key := subject + "\x00" + message
	r := rs.by[key]
	if r == nil {
		if rs.by == nil {
			rs.by = map[string]*reminder{}
		}
		r = &reminder{at: at, subject: subject, message: message}
		rs.by[key] = r
		rs.inOrder = append(rs.inOrder, r)
	}
	r.walls = append(r.walls, wall)
}

// remindBackfill lists the walls with grade high above their base in one note.
func (p *pass) remindBackfill() {
	var first *WallLines
	var walls []string
	least, most := length.Length(0), length.Length(0)
	for _, w := range p.geo.Walls {
		deep := w.grade().hi()
		if deep <= deepGrade {
			continue
		}
		if first == nil {
			first, least = w, deep
		}
		walls = append(walls, w.Mark)
		least, most = min(least, deep), max(most, deep)
	}
	if first == nil {
		return
	}
	high := p.show(most)
	if least < most {
		high = p.show(least) + " to " + high
	}
	p.remind(Note, first.Cell("below grade"), "Below grade, "+namedWalls(walls), "grade is %s above the base: no backfill before floor and strength", high)
}

// mostNamed is how many walls a note names; a longer list tells nothing that the column does not.
const mostNamed = 100

// namedWalls lists walls: wall A; walls A and B; walls A, B, C and 7 more.
func namedWalls(marks []string) string {
	if len(marks) == 1 {
		return "wall " + marks[0]
	}
	if len(marks) > mostNamed {
		return fmt.Sprintf("walls %s and %d more", strings.Join(marks[:mostNamed], ", "), len(marks)-mostNamed)
	}
	last := len(marks) - 1
	return "walls " + strings.Join(marks[:last], ", ") + " and " + marks[last]
}

// remind says a finding of R-PRACTICE.
func (p *pass) remind(s Severity, at Ref, subject, format string, args ...any) {
	p.say(s, at, "R-PRACTICE", subject, format+" ("+byPractice+")", args...)
}

// show prints a length as the job reports it.
func (p *pass) show(l length.Length) string { return l.Show(p.units.System) }

func (p *pass) practiceSettings() {
	for _, c := range []struct {
		id    SettingID
		most  length.Length
		where string
	}{
		{SetBraceSpacing, widestBracing, "braces stand"},
		{SetSpreaderSpacing, widestSpreaders, "spreaders stand"},
	} {
		if v := p.set.Value(c.id); v.Len > c.most {
			p.remind(Warning, v.At, Catalogue[c.id].Name, "%s at most %s apart; the job says %s", c.where, p.show(c.most), p.show(v.Len))
		}
	}
}

// lowestBases is the wall with the lowest Base in each pour, the first of equals.
func (p *pass) lowestBases() map[string]*WallLines {
	lowest := map[string]*WallLines{}
	for _, w := range p.geo.Walls {
		for _, z := range w.Zones {
			if low := lowest[ItemKey(z.Pour)]; low == nil || w.Base < low.Base {
				lowest[ItemKey(z.Pour)] = w
			}
		}
	}
	return lowest
}

func (p *pass) practiceCores(w *WallLines) {
	if len(w.Zones) < 2 || !sameName(w.Zones[0].Pour, w.Zones[1].Pour) {
		return
	}
	most := p.set.Len(SetAboveCoreChange)
	if above := w.Greater() - w.CoreChange; above > most {
		p.remind(Warning, w.Cell("core changes at"), "Core changes at, wall "+w.Mark, "one pour goes %s above the core change; at most %s above it in one pour",
			p.show(above), p.show(most))
	}
}

func (p *pass) practiceLedge(w *WallLines, listed *reminders) {
	if w.Ledge == nil {
		return
	}
	zone := w.BandUnder(w.LedgeTop).Zone
	if least := w.Ledge.LeastCoreBelow; zone.Forms.Core < least {
		p.remind(Warning, w.Cell("brick ledge"), "Brick ledge, wall "+w.Mark, "the core under ledge %s is %s; at least %s is asked there",
			w.Ledge.Mark, p.show(zone.Forms.Core), p.show(least))
	}
	stop := zone.Top
	for _, z := range w.Zones[zone.Index:] {
		if sameName(z.Pour, zone.Pour) {
			stop = z.Top
		}
	}
	above := stop - w.LedgeTop
	if above > ledgeStopHigh || above < ledgeStopLow && stop < w.Greater() {
		listed.add(w.Cell("brick ledge top"), "Brick ledge top", w.Mark, fmt.Sprintf("a pour that reaches a ledge stops 4 to 6 in above it: pour %s between %s and %s above the wall's base",
			zone.Pour, p.show(w.LedgeTop+ledgeStopLow), p.show(w.LedgeTop+ledgeStopHigh)))
	}
}

func (p *pass) practiceGrade(w *WallLines) {
	deep := w.grade().hi()
	if deep <= deepGrade {
		return
	}
	if w.Cover == CoverCoating || w.Cover == CoverBand {
		p.remind(Warning, w.Cell("below-grade cover"), "Below-grade cover, wall "+w.Mark, "%s with grade %s above the base: soils that can saturate need membrane",
			w.Cover, p.show(deep))
	}
}

func (p *pass) practiceOpenings(w *WallLines) {
	for i, h := range w.Holes {
		if h.Width < wideOpening || !w.concreteAbove(h) {
			continue // with no concrete above there is no lintel
		}
		if !w.firstUnderConcrete(i) {
			continue
		}
		least := w.leastAbove(h.Opening)
		subject := "opening " + h.Mark + ", wall " + w.Mark
		if least.Cmp(exact.Len(leastConcreteAbove)) < 0 {
			col := "height"
			if h.Columns["head"] > 0 {
				col = "head"
			}
			p.remind(Warning, h.Cell(col), subject, "%s of concrete above an opening %s wide; at least %s is usual",
				p.show(least.Length()), p.show(h.Width), p.show(leastConcreteAbove))
		}
		mark := h.Bars
		if mark == nil {
			mark = w.Bars
		}
		if mark == nil || mark.Lintel == nil || mark.LintelTop+mark.LintelBottom == 0 {
			p.remind(Warning, h.Cell("bars"), subject, "no lintel bars above an opening %s wide", p.show(h.Width))
		}
	}
}

// firstUnderConcrete tells whether a hole is the first of its row of Openings that has concrete above.
func (w *WallLines) firstUnderConcrete(i int) bool {
	for _, h := range w.Holes[:i] {
		if h.Opening == w.Holes[i].Opening && w.concreteAbove(h) {
			return false
		}
	}
	return true
}

// leastAbove is the least concrete above the openings of a row that have any.
func (w *WallLines) leastAbove(row *Opening) exact.Num {
	least, found := exact.Num{}, false
	for _, h := range w.Holes {
		if h.Opening != row || !w.concreteAbove(h) {
			continue
		}
		if above := w.lowestTop(h).Sub(exact.Len(h.Head())); !found || above.Cmp(least) < 0 {
			least, found = above, true
		}
	}
	return least
}
