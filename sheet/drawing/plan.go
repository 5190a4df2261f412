package drawing

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// The parts of a page, in points.
const (
	margin    = 12.0
	titleHigh = 30.0 // title and its line, at the top
	planFoot  = 66.0 // legend, scale and notes of a plan, at the bottom
	planRoom  = 27.0 // round each group of a plan, for its marks and lengths
)

// level is a job's level with its walls.
type level struct {
	name  string
	key   string
	walls []*takeoff.WallLines
}

// levelsOf are the levels with walls: as tab Levels has them, then in order of first mention.
func levelsOf(t *takeoff.Takeoff) []*level {
	by := map[string]*level{}
	var out []*level
	add := func(name string) *level {
		k := takeoff.ItemKey(name)
		if by[k] == nil {
			by[k] = &level{name: name, key: k}
			out = append(out, by[k])
		}
		return by[k]
	}
	for _, l := range t.Job.Levels {
		add(l.Name)
	}
	for _, w := range t.Geometry.Walls {
		l := add(w.Level)
		l.walls = append(l.walls, w)
	}
	return slices.DeleteFunc(out, func(l *level) bool { return len(l.walls) == 0 })
}

// group is a cluster's walls on one level, in place.
type group struct {
	cluster *cluster
	walls   []*takeoff.WallLines
	met     []*takeoff.WallLines // walls of other levels that its runs stand against
	lo, hi  xy                   // nanometres, footings and misclosure within
	at      xy                   // where lo goes on the page
}

// hold makes the group's rectangle hold a figure.
func (g *group) hold(figure []xy) {
	for _, q := range figure {
		g.lo, g.hi = xy{min(g.lo.x, q.x), min(g.lo.y, q.y)}, xy{max(g.hi.x, q.x), max(g.hi.y, q.y)}
	}
}

func (g *group) size(k float64) xy {
	return g.hi.sub(g.lo).times(k).add(xy{2 * planRoom, 2 * planRoom})
}

// groupsOf are the groups of a level, in order of their first wall.
func groupsOf(all []*cluster, l *level) []*group {
	var out []*group
	for _, c := range all {
		g := &group{cluster: c, lo: xy{math.Inf(1), math.Inf(1)}, hi: xy{math.Inf(-1), math.Inf(-1)}}
		for _, w := range l.walls {
			p := c.of(w)
			if p == nil {
				continue
			}
			g.walls = append(g.walls, w)
			figure := p.strip(w, exteriorFace, innerFace)
			if w.Footing != nil {
				figure = append(figure, p.footing(w)...)
			}
			g.hold(figure)
			for e := range w.Joints {
				m := w.Joints[e].Tee
				if m == nil || takeoff.ItemKey(m.Level) == l.key || slices.Contains(g.met, m) {
					continue
				}
				if q := c.of(m); q != nil {
					g.met = append(g.met, m)
					g.hold(q.strip(m, exteriorFace, innerFace))
				}
			}
		}
		if len(g.walls) > 0 {
			out = append(out, g)
		}
	}
	slices.SortStableFunc(out, func(a, b *group) int { return a.walls[0].Order - b.walls[0].Order })
	return out
}

// planArea is where a plan's walls go.
func planArea() (lo, hi xy) {
	return xy{margin, margin + planFoot}, xy{Width - margin, Height - margin - titleHigh}
}

// shelve puts groups on shelves from the top left at a scale; it returns how many fit on one page.
func shelve(groups []*group, k float64) int {
	lo, hi := planArea()
	x, y, deep := lo.x, hi.y, 0.0
	for i, g := range groups {
		s := g.size(k)
		if x > lo.x && x+s.x > hi.x {
			x, y, deep = lo.x, y-deep, 0
		}
		if x+s.x > hi.x || y-s.y < lo.y {
			return i
		}
		g.at = xy{x + planRoom, y - s.y + planRoom}
		x += s.x
		deep = max(deep, s.y)
	}
	return len(groups)
}

// centre moves the groups of a page to its middle.
func centre(groups []*group, k float64) {
	lo, hi := planArea()
	right, low := lo.x, hi.y
	for _, g := range groups {
		right = max(right, g.at.x-planRoom+g.size(k).x)
		low = min(low, g.at.y-planRoom)
	}
	by := xy{(hi.x - right) / 2, -(low - lo.y) / 2}
	for _, g := range groups {
		g.at = g.at.add(by)
	}
}

// smallPlan is the scale under which a level goes on several pages rather than smaller: 1/16" = 1'-0".
const smallPlan = 0.0625 / 12 * pointsPerNM

// Plans draws the plan of each level: one sheet, or several where a level has more runs than one holds.
func Plans(t *takeoff.Takeoff) []*Sheet {
	all := clusters(t.Geometry)
	var out []*Sheet
	for _, l := range levelsOf(t) {
		groups := groupsOf(all, l)
		sys := t.Job.Report
		sc := greatest(sys, func(k float64) bool { return shelve(groups, k) == len(groups) })
		if sc.k < smallPlan && len(groups) > 1 {
			// That scale, or the greatest under it at which the greatest group fits a page.
			sc = greatest(sys, func(k float64) bool {
				if k > smallPlan*1.05 {
					return false
				}
				for i := range groups {
					if shelve(groups[i:i+1], k) == 0 {
						return false
					}
				}
				return true
			})
		}
		var pages [][]*group
		for rest := groups; len(rest) > 0; {
			n := max(shelve(rest, sc.k), 1)
			pages = append(pages, rest[:n])
			rest = rest[n:]
		}
		for i, page := range pages {
			shelve(page, sc.k)
			centre(page, sc.k)
			v := &plan{t: t, level: l, groups: page, all: len(groups), sc: sc, sys: sys}
			v.pours()
			v.note()
			s := &Sheet{Name: "plan-" + l.name, Title: "Plan of level " + l.name, Level: l.name, system: sys, paint: v.paint}
			if len(pages) > 1 {
				s.Name += fmt.Sprintf("-%d", i+1)
				s.Title += fmt.Sprintf(", %d of %d", i+1, len(pages))
			}
			v.title = s.Title
			s.Notes = v.notes
			s.AltText = v.altText()
			out = append(out, s)
		}
	}
	named(out)
	return out
}

// plan is a page of a level's plan.
type plan struct {
	t      *takeoff.Takeoff
	level  *level
	title  string
	groups []*group
	all    int // groups of the level, on all its pages
	sc     scale
	sys    length.System
	pour   map[string]int // hatch by pour
	names  []string       // of the pours on the page
	notes  []string

	pen
	labels [][]xy // figures that texts keep clear of
}

// area is an upright rectangle that is taken.
type area struct{ lo, hi xy }

func (a area) meets(b area) bool {
	return a.lo.x < b.hi.x && b.lo.x < a.hi.x && a.lo.y < b.hi.y && b.lo.y < a.hi.y
}

// pours gives each pour of the job its hatch, by the order of the pour plan, so that it looks the same on every level.
func (v *plan) pours() {
	v.pour = map[string]int{}
	add := func(name string) {
		if k := takeoff.ItemKey(name); k != "" {
			if _, ok := v.pour[k]; !ok {
				v.pour[k] = len(v.pour)
			}
		}
	}
	for _, q := range v.t.Pours {
		add(q.Pour)
	}
	for _, w := range v.t.Geometry.Walls {
		add(w.Zones[0].Pour)
	}
	seen := map[string]bool{}
	for _, g := range v.groups {
		for _, w := range g.walls {
			if k := takeoff.ItemKey(w.Zones[0].Pour); !seen[k] {
				seen[k] = true
				v.names = append(v.names, w.Zones[0].Pour)
			}
		}
	}
	slices.SortStableFunc(v.names, func(a, b string) int { return v.pour[takeoff.ItemKey(a)] - v.pour[takeoff.ItemKey(b)] })
}

func (v *plan) hatchOf(pour string) hatch { return hatches[v.pour[takeoff.ItemKey(pour)]%len(hatches)] }

// tolerance of closure.
func (v *plan) tolerance() length.Length {
	return v.t.Job.Settings.Len(takeoff.SetClosureTolerance)
}

// note gathers what a reader of the plan has to know.
func (v *plan) note() {
	say := func(format string, args ...any) { v.notes = append(v.notes, fmt.Sprintf(format, args...)) }
	if v.all > 1 {
		say("The schedule does not say where the %d groups of runs stand to one another: they are laid out side by side.", v.all)
	}
	for _, g := range v.groups {
		for _, p := range g.cluster.runs {
			if !slices.ContainsFunc(g.walls, func(w *takeoff.WallLines) bool { return w.Run == p.run }) {
				continue
			}
			if p.assumed != "" {
				say("%s: drawn evenly along it.", upperFirst(p.assumed))
			}
			if missed(p.run, v.tolerance()) {
				say("Run %s does not close: it misses by %s.", p.run.Name, v.misses(p.run))
			}
			if p.by >= 0 {
				if w := metAt(p.run, 1-p.by); w != nil && g.cluster.of(w) != nil {
					if by := g.cluster.gap(p, 1-p.by, w); by > nm(v.tolerance()) {
						say("Run %s does not reach wall %s as placed: it is off by %s.", p.run.Name, w.Mark, show(lengthOf(by), v.sys))
					}
				}
			}
			if p.run.Count > 1 {
				say("Run %s stands %d times.", p.run.Name, p.run.Count)
			}
		}
	}
	if len(v.t.Job.Pads) > 0 {
		say("Pads are not drawn: the schedule gives them no place.")
	}
	if len(v.groups) == 1 {
		say("No north is given: the first wall of run %s runs to the right.", v.groups[0].cluster.runs[0].run.Name)
	} else {
		say("No north is given: the first wall of each group's first run runs to the right.")
	}
}

func upperFirst(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// misses is a run's misclosure in words.
func (v *plan) misses(r *takeoff.Run) string {
	part := func(l length.Length, plus, minus string) string {
		if l < 0 {
			return show(-l, v.sys) + " " + minus
		}
		return show(l, v.sys) + " " + plus
	}
	along, across := part(r.East, "along its first wall", "back along its first wall"), part(r.North, "to its left", "to its right")
	switch {
	case r.North == 0:
		return along
	case r.East == 0:
		return across
	}
	return along + " and " + across
}

// altText describes the plan to readers that do not see it.
func (v *plan) altText() string {
	n, open := 0, 0
	var marks []string
	for _, g := range v.groups {
		n += len(g.walls)
		for _, w := range g.walls {
			open += len(w.Holes)
			marks = append(marks, w.Mark+" "+w.Length.Show(v.sys))
		}
	}
	const most = 24
	if len(marks) > most {
		marks = append(marks[:most], fmt.Sprintf("and %d more", n-most))
	}
	s := fmt.Sprintf("%s of job %s: %s with %s, scale %s. Walls: %s. Pours: %s.", v.title, v.t.Job.Name, countOf(n, "wall"), countOf(open, "opening"), v.sc.name, strings.Join(marks, ", "), strings.Join(v.names, ", "))
	for _, note := range v.notes[:len(v.notes)-1] {
		s += " " + note
	}
	return s
}

func countOf(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// paint draws the page.
func (v *plan) paint(p pen) {
	v.pen, v.labels = p, nil
	p.heading(v.title, "", v.t.Job)
	for _, g := range v.groups {
		d := &drawn{plan: v, group: g}
		d.walls()
	}
	for _, g := range v.groups {
		d := &drawn{plan: v, group: g}
		d.texts()
	}
	v.foot()
}

// heading draws the sheet's title, job and revision over a line.
func (p pen) heading(title, how string, job *takeoff.Job) {
	y := Height - margin - 15
	title = shorten(title, true, 13, 380)
	p.text(letters{size: 13, bold: true, colour: blue}, xy{margin, y}, title)
	p.text(letters{size: 8, colour: quiet}, xy{margin + textWidth(title, true, 13) + 8, y}, how)
	s := job.Name
	if job.Number != "" {
		s += " (" + job.Number + ")"
	}
	if job.Revision != "" {
		s += " · Revision " + job.Revision
	}
	p.text(letters{size: 8, colour: quiet, align: atRight}, xy{Width - margin, y}, shorten(s, false, 8, 230))
	p.line(stroke{medium, blue, nil}, xy{margin, y - 6}, xy{Width - margin, y - 6})
}

// foot draws scale, legend and notes.
func (v *plan) foot() {
	top := margin + planFoot - 4
	v.line(stroke{hairline, faint, nil}, xy{margin, top}, xy{Width - margin, top})
	// Scale.
	v.text(letters{size: 7, bold: true, colour: ink}, xy{margin, top - 11}, "Scale "+v.sc.name)
	v.scaleBar(xy{margin, top - 28}, v.sc, v.sys)
	v.text(letters{size: 5.5, colour: quiet}, xy{margin, top - 37}, "true where the sheet is 10 in wide; else by the bar")
	v.text(letters{size: 5.5, colour: quiet}, xy{margin, top - 46}, "at a wall: mark, length outside, core; at an opening: its mark")
	// Legend: pours, then lines, in columns.
	x, y := margin+172, top-11
	column := 0.0
	next := func(width float64) {
		column = max(column, width)
		y -= 11
		if y < margin {
			x, y, column = x+column+14, top-11, 0
		}
	}
	const swatch = 22
	for i, name := range v.names {
		if i == 14 && len(v.names) > 15 {
			s := fmt.Sprintf("and %d more pours", len(v.names)-i)
			v.text(letters{size: 6.5, colour: quiet}, xy{x, y}, s)
			next(textWidth(s, false, 6.5))
			break
		}
		v.hatched(v.hatchOf(name), 0, box(x, y-1.5, x+swatch, y+6)...)
		v.outline(stroke{thin, ink, nil}, box(x, y-1.5, x+swatch, y+6)...)
		s := shorten("pour "+name, false, 6.5, 90)
		v.text(letters{size: 6.5, colour: ink}, xy{x + swatch + 4, y}, s)
		next(swatch + 4 + textWidth(s, false, 6.5))
	}
	footings, shared, free, missing, other := v.present()
	row := func(s string, mark func(at xy)) {
		mark(xy{x, y + 2.2})
		v.text(letters{size: 6.5, colour: ink}, xy{x + swatch + 4, y}, s)
		next(swatch + 4 + textWidth(s, false, 6.5))
	}
	if footings {
		row("footing", func(at xy) { v.line(stroke{thin, quiet, dashed}, at, at.add(xy{swatch, 0})) })
	}
	if free {
		row("free end", func(at xy) { v.line(stroke{2, ink, nil}, at.add(xy{swatch / 2, -3.5}), at.add(xy{swatch / 2, 3.5})) })
	}
	if shared {
		row("open: corner or tee with a wall not named", func(at xy) { v.openMark(at.add(xy{swatch / 2, 0})) })
	}
	if missing {
		row("misclosure", func(at xy) { v.line(stroke{heavy, vermilion, dashed}, at, at.add(xy{swatch, 0})) })
	}
	if other {
		row("wall of another level", func(at xy) { v.line(stroke{medium, faint, dotted}, at, at.add(xy{swatch, 0})) })
	}
	row("where a run begins, and its way", func(at xy) { v.arrow(at.add(xy{swatch / 2, 0}), xy{1, 0}) })
	x += column + 18
	// Notes.
	left := max(x, 430)
	y = top - 11
	for _, n := range v.notes {
		y = v.paragraph(letters{size: 6.5, colour: ink}, xy{left, y}, Width-margin-left, margin-8, n)
	}
}

// present says what of the legend the page shows.
func (v *plan) present() (footings, shared, free, missing, other bool) {
	for _, g := range v.groups {
		other = other || len(g.met) > 0
		for _, w := range g.walls {
			footings = footings || w.Footing != nil
			for e := range w.Joints {
				j := &w.Joints[e]
				free = free || j.Kind == takeoff.TurnEnd
				shared = shared || openJoint(j)
			}
			missing = missing || missed(w.Run, v.tolerance())
		}
	}
	return
}

// openJoint tells whether the schedule does not say what wall an end meets.
func openJoint(j *takeoff.Joint) bool {
	return j.Shared || j.Kind == takeoff.TurnTee && j.Tee == nil
}

func (p pen) openMark(at xy) {
	p.fill(white, box(at.x-2, at.y-2, at.x+2, at.y+2)...)
	p.circle(stroke{medium, vermilion, nil}, at, 3.2)
}

// arrow is a small solid triangle that points along d.
func (p pen) arrow(at, d xy) {
	n := d.right()
	p.fill(ink, at.add(d.times(4)), at.sub(d.times(2.5)).add(n.times(2.6)), at.sub(d.times(2.5)).sub(n.times(2.6)))
}
