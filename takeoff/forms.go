package takeoff

import (
	"fmt"
	"math/bits"
	"slices"
	"strconv"
	"strings"

	"wallbill/takeoff/cutting"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// layer divides every stretch into courses: R-COURSE.
func (p *pass) layer() *layer {
	l := &layer{pass: p, pieces: map[pieceKind]*cutPool{}, missing: map[string]bool{}, items: map[formItem]string{}, partItems: map[*PartRow]string{}}
	if n := len(p.geo.Walls); n > 0 { // in order; of a part of the job they need not start at 0, nor be all between
		l.firstWall, l.walls = p.geo.Walls[0].Order, make([]wallCourses, p.geo.Walls[n-1].Order-p.geo.Walls[0].Order+1)
	}
	if n := len(p.geo.Stretches); n > 0 {
		l.firstStretch, l.courses = p.geo.Stretches[0].Index, make([][]course, p.geo.Stretches[n-1].Index-p.geo.Stretches[0].Index+1)
	}
	for _, s := range p.geo.Stretches {
		courses := p.coursesOf(s)
		l.courses[s.Index-l.firstStretch] = courses
		for _, w := range s.Walls {
			n := w.ledgeCourse(courses)
			l.of(w).ledge = n
			if n == 0 && w.Ledge != nil && w.Ledge.ReplacesCourse {
				p.say(Warning, w.Cell("brick ledge top"), "R-LEDGE", "Brick ledge top, wall "+w.Mark, "no course of forms reaches the ledge's top at %s: no ledge units are counted", w.LedgeTop.Show(p.units.System))
			}
		}
	}
	return l
}

// forms lays the courses and counts their forms: R-CORNER, R-CAP, R-BLOCK, R-FACES, R-LEDGE's units, R-PART. Pieces go to
// the cut pools.
func (l *layer) forms() {
	p := l.pass
	rows := 0
	for _, s := range p.geo.Stretches {
		rows += (1 + btoi(s.First().Forms.Faces)) * len(l.inStretch(s))
	}
	l.rows = make([]CourseRow, 0, rows)
	for _, s := range p.geo.Stretches {
		l.stretch(s)
		for _, w := range s.Walls {
			l.lines(w)
			p.ledgeForms(w)
			l.parts(w)
		}
	}
	p.out.Courses = l.rows
}

// of is what is known of a wall's courses.
func (l *layer) of(w *WallLines) *wallCourses { return &l.walls[w.Order-l.firstWall] }

// inStretch are a stretch's courses.
func (l *layer) inStretch(s *Stretch) []course { return l.courses[s.Index-l.firstStretch] }

// layer lays the courses of a job.
type layer struct {
	*pass
	courses                 [][]course    // by Stretch.Index less firstStretch
	walls                   []wallCourses // by WallLines.Order less firstWall
	firstStretch, firstWall int
	pieces                  map[pieceKind]*cutPool
	missing                 map[string]bool // legs already said to be missing
	items                   map[formItem]string
	partItems               map[*PartRow]string
	rows                    []CourseRow
	whats                   [3][]string // names of courses: of units, of boards outside and inside

	// Of the stretch at hand.
	s       *Stretch
	courseN []course
	spans   [2][2]length.Length // base and top of the neighbour at the start and at the end, above the stretch's base
	met     [2]bool             // there is a neighbour
	at      []length.Length     // where each wall's line starts on the stretch's line, and the end of the last
	holes   []wallHoles
	short   []shortPiece
	tight   []int // courses whose legs are longer than the wall
	laid    []laid
	alike   []likeCourses // scratch
	// The pool asked for last.
	lastKind pieceKind
	lastPool *cutPool
	parted   [2][]coursePart
}

// pieceKind is what parts form pieces into pools: form line and core, kind of course, level.
type pieceKind struct {
	forms *FormRow
	half  bool
	ledge *LedgeMark
	level string
}

// wallCourses is what the courses of a wall count, by zone, and the number of its ledge course, 0 for none.
type wallCourses struct {
	ledge int
	zones [2]zoneTally
}

// zoneTally is what the courses of a zone of a wall count, for one repeat of its run.
type zoneTally struct {
	whole   [2][]courseCount // full and half courses: whole units by course
	ledge   []courseCount    // whole ledge units
	mitres  int64            // corners at which the ledge is mitred
	corners []cornerCount
	caps    [2]int64 // courses with a free end at the start and at the end
	pieces  int64
	units   exact.Num // whole and corner units
	// outer and inside count courses at corners for R-PART, those that belong to this wall; shared ones at the start apart.
	outer, inside [2]courseEnds
}

// courseEnds counts courses at an end of a wall; shared corners count as half.
type courseEnds struct {
	n      int64
	shared bool
}

// courseCount is a number of units in a course.
type courseCount struct {
	course int
	n      int64
}

// cornerCount is a kind of corner unit and the courses that have one, at the wall's start and at its end.
type cornerCount struct {
	part string // corner, corner-left, angle-half …
	at   [2]courseEnds
}

// wallHoles are the near jambs of a wall's openings on the exterior and inner line of a band.
type wallHoles struct {
	band  *Band
	jambs [2][]length.Length
	pasts [2][]exact.Num
}

// shortPiece is a segment shorter than the smallest piece.
type shortPiece struct {
	wall          *WallLines
	s, move       length.Length
	before, after *Hole // the opening before the segment, after it
	courses       []int
}

// endKind is how a part of a course ends.
type endKind uint8

const (
	atCorner  endKind = iota // a corner unit's leg lies here; no edge
	atLedge                  // a corner of ledge units; no legs, no edge
	atFree                   // free end: closure, edge
	atBarrier                // tee or bulkhead: edge
	atSlope                  // the sloping top: edge
)

// coursePart is a part of a course under the top line, on the stretch's line.
type coursePart struct {
	from, to length.Length
	kind     [2]endKind
	leg      [2]length.Length
	joint    [2]bool       // the end is an end of the stretch
	wall     [2]*WallLines // the wall it starts on and the wall it ends on
}

// stretch lays a stretch's courses.
func (l *layer) stretch(s *Stretch) {
	l.s, l.courseN = s, l.inStretch(s)
	for e, w := range [2]*WallLines{s.First(), s.Last()} {
		var base, top length.Length
		base, top, l.met[e] = w.neighbourSpan(e)
		l.spans[e] = [2]length.Length{base, top}
	}
	l.holes = l.holes[:0]
	for range s.Walls {
		l.holes = append(l.holes, wallHoles{})
	}
	l.short, l.tight = l.short[:0], l.tight[:0]
	for i := range l.courseN {
		l.course(&l.courseN[i])
	}
	l.warn()
}

// course lays one course: on the exterior line, and for loose boards on the inner one too.
func (l *layer) course(c *course) {
	first := l.s.First()
	z := first.Zones[c.zone]
	f := z.Forms
	row := CourseRow{
		Stretch: l.s.Index, Wall: first.Mark, Level: first.Level, Pour: z.Pour, Line: f.Line, CoreName: f.CoreName, Number: c.number,
		Bottom: c.bottom, Height: c.height, Half: c.half, Ripped: c.ripped, LedgeCourse: l.ledgeIn(c),
	}
	l.place(c, Exterior)
	parts := l.partsOf(c, l.parted[0][:0])
	l.parted[0] = parts
	for i := range parts {
		for e := range parts[i].kind {
			l.end(c, &parts[i], e, &row)
		}
	}
	if f.Faces {
		row.Face = "outer"
	}
	l.rows = append(l.rows, l.lay(c, parts, Exterior, row))
	if !f.Faces {
		return
	}
	l.place(c, Inner)
	row.Face, row.EndCaps, row.CornerUnits, row.LedgeCourse = "inner", 0, exact.Num{}, false
	inner := l.partsOf(c, l.parted[1][:0])
	l.parted[1] = inner
	for i := range inner {
		inner[i].kind = parts[i].kind
	}
	l.rows = append(l.rows, l.lay(c, inner, Inner, row))
}

// ledgeIn tells whether the course is a ledge course of any wall of the stretch.
func (l *layer) ledgeIn(c *course) bool {
	for _, w := range l.s.Walls {
		if l.of(w).ledge == c.number {
			return true
		}
	}
	return false
}

// place puts the walls of the stretch on a line, by their lengths at the course's bottom edge.
func (l *layer) place(c *course, line LineOf) {
	l.at = append(l.at[:0], 0)
	x := length.Length(0)
	for _, w := range l.s.Walls {
		x += w.BandAt(c.bottom).Len(line)
		l.at = append(l.at, x)
	}
}

// partsOf puts in out the parts of a course: where the top line is above its bottom. A vertical drop at a joint is a free end.
func (l *layer) partsOf(c *course, out []coursePart) []coursePart {
	walls := l.s.Walls
	open := false
	for i, w := range walls {
		starts, ends := w.Height > c.bottom, w.HeightEnd > c.bottom
		if !starts && !ends {
			continue
		}
		from, to := l.at[i], l.at[i+1]
		switch { // open is true only where this wall starts above the course's bottom
		case !starts:
			from += slopeAt(to-from, w.Height, w.HeightEnd, c.bottom)
			out = append(out, coursePart{from: from, kind: [2]endKind{0: atSlope}, wall: [2]*WallLines{0: w}})
		case !open:
			q := coursePart{from: from, kind: [2]endKind{0: atFree}, wall: [2]*WallLines{0: w}}
			q.joint[0] = i == 0
			out = append(out, q)
		}
		q := &out[len(out)-1]
		switch {
		case !ends:
			q.to, q.kind[1], open = l.at[i]+slopeAt(to-l.at[i], w.Height, w.HeightEnd, c.bottom), atSlope, false
		case i == len(walls)-1:
			q.to, q.joint[1], open = to, true, false
		case walls[i+1].Height > c.bottom:
			open = true
		default:
			q.to, q.kind[1], open = to, atFree, false
		}
		q.wall[1] = w
	}
	return out
}

// slopeAt is where a top that runs from height h0 to h1 along a line passes height z, rounded half up to the nanometre.
func slopeAt(line, h0, h1, z length.Length) length.Length {
	// line·(z−h0)/(h1−h0), by 128 bits; z lies between the heights.
	num, den := z-h0, h1-h0
	if den < 0 {
		num, den = -num, -den
	}
	hi, lo := bits.Mul64(uint64(line), uint64(num))
	lo, carry := bits.Add64(lo, uint64(den)/2, 0)
	q, _ := bits.Div64(hi+carry, lo, uint64(den))
	return length.Length(q)
}

// end settles what an end of a part is: what stands at the stretch's joint, its corner unit and leg (R-CORNER), its end
// closure (R-CAP).
func (l *layer) end(c *course, q *coursePart, e int, row *CourseRow) {
	w := q.wall[e]
	tally := &l.of(w).zones[c.zone]
	f := w.Zones[c.zone].Forms
	if q.joint[e] {
		j := &w.Joints[e]
		mid := c.twiceMid()
		switch free := l.met[e] && (mid >= 2*l.spans[e][1] || mid < 2*l.spans[e][0]); {
		case j.Kind == TurnEnd || free:
			q.kind[e] = atFree
		case j.Corner():
			l.corner(c, q, e, row)
			return
		default:
			q.kind[e] = atBarrier
			return
		}
	}
	if q.kind[e] == atFree {
		tally.caps[e]++
		if !f.Faces {
			row.EndCaps++
		}
	}
}

// corner is R-CORNER at an end of a course that meets a neighbour.
func (l *layer) corner(c *course, q *coursePart, e int, row *CourseRow) {
	w := q.wall[e]
	j := &w.Joints[e]
	own := w.Zones[c.zone].Forms
	n, met := w, c // a shared corner: the neighbour is like the wall itself
	if j.Other != nil {
		n = j.Other
		met = courseAt(l.inStretch(n.Stretch), c.twiceMid()+2*(w.Base-n.Base))
	}
	if met == nil {
		q.kind[e] = atBarrier
		return
	}
	if l.of(w).ledge == c.number || l.of(n).ledge == met.number {
		q.kind[e] = atLedge
		if l.of(w).ledge == c.number && e == 1 && j.Kind == TurnCorner {
			l.of(w).zones[c.zone].mitres++
		}
		return
	}
	ending, named := c, own // the course and the Forms row of the wall that ends here
	if e == 0 {
		ending, named = met, n.Zones[min(met.zone, len(n.Zones)-1)].Forms
	}
	tally := &l.of(w).zones[c.zone]
	if j.Counts {
		ends := &tally.outer[e]
		if j.Kind == TurnInside {
			ends = &tally.inside[e]
		}
		ends.n++
		ends.shared = j.Shared
	}
	if own.Faces || named.Faces {
		q.kind[e] = atBarrier
		return
	}
	q.kind[e] = atCorner
	longOnEnding := !ending.even()
	q.leg[e] = l.leg(c, w, n, j, (e == 1) == longOnEnding)
	if j.Counts {
		tally.corner(cornerPart(named, j, ending.half, longOnEnding), e, j.Shared)
		row.CornerUnits = row.CornerUnits.Add(j.Share())
	}
}

// cornerPart is what the corner unit's item ends in. Half courses of handed corners are handed too.
func cornerPart(f *FormRow, j *Joint, half, longOnEnding bool) string {
	name := "corner"
	if !j.Right() {
		name = "angle"
	}
	if half {
		name += "-half"
	}
	switch {
	case !f.Handed || !j.Right():
		return name
	case longOnEnding:
		return name + "-right"
	}
	return name + "-left"
}

func (t *zoneTally) corner(part string, e int, shared bool) {
	i := slices.IndexFunc(t.corners, func(k cornerCount) bool { return k.part == part })
	if i < 0 {
		i = len(t.corners)
		t.corners = append(t.corners, cornerCount{part: part})
	}
	t.corners[i].at[e].n++
	t.corners[i].at[e].shared = shared
}

// leg is the corner unit's leg on a wall, on the exterior face: shorter on an inside corner by
// (T_neighbour − T_self·cosθ)/sinθ, not below 0.
func (l *layer) leg(c *course, w, n *WallLines, j *Joint, long bool) length.Length {
	f := w.Zones[c.zone].Forms
	leg, column := f.CornerShort, "corner short leg"
	switch {
	case j.Right() && long:
		leg, column = f.CornerLong, "corner long leg"
	case !j.Right() && long:
		leg, column = f.AngleLong, "angle long leg"
	case !j.Right():
		leg, column = f.AngleShort, "angle short leg"
	}
	if leg <= 0 {
		if key := f.name() + column; !l.missing[key] {
			l.missing[key] = true
			l.say(Error, f.At.At(f.Columns[column]), "R-CORNER", upperFirst(column)+", "+f.name(),
				"wall %s has a corner of %s degrees and the form no leg for it", w.Mark, exact.Frac(j.MilliDegrees, 1000).Round(3))
		}
		return 0
	}
	if j.Kind != TurnInside {
		return leg
	}
	self := f.Thickness()
	other := n.ZoneAt(c.bottom + w.Base - n.Base).Thickness()
	if j.Right() {
		return max(leg-other, 0)
	}
	shorter := exact.Len(other).Sub(exact.Len(self).Mul(j.Cos)).Div(j.Sin)
	return max(exact.Len(leg).Sub(shorter).Length(), 0)
}

func upperFirst(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// lay fills the parts of a course on a line and returns its row.
func (l *layer) lay(c *course, parts []coursePart, line LineOf, row CourseRow) CourseRow {
	most := len(l.s.Walls) + len(parts)
	for _, w := range l.s.Walls {
		most += len(w.Holes)
	}
	l.segments = room(l.segments, most)
	firstSegment := len(l.segments)
	for i := range parts {
		q := &parts[i]
		from, to := q.from+q.leg[0], q.to-q.leg[1]
		if from > to && q.joint[0] && q.joint[1] {
			l.tight = append(l.tight, c.number)
		}
		l.between(c, line, from, to, q.kind[0] >= atFree || row.Face != "")
	}
	row.Segments = l.segments[firstSegment:len(l.segments):len(l.segments)]
	return row
}

// chunk is how many elements room takes at a time, at the first times fewer.
const chunk = 4096

// room is s with room for n more without being moved: the rows' slices point into it, so it is left and a new one begun.
func room[T any](s []T, n int) []T {
	if cap(s)-len(s) >= n {
		return s
	}
	return make([]T, 0, max(n, min(chunk, max(chunk/16, 2*cap(s)))))
}

// between cuts a part of a course by the openings that cover its full height.
func (l *layer) between(c *course, line LineOf, from, to length.Length, edge bool) {
	cursor := from
	var before *Hole
	var past exact.Num // of the cursor, before it was rounded
	for i, w := range l.s.Walls {
		if len(w.Holes) == 0 || l.at[i+1] <= from || l.at[i] >= to {
			continue
		}
		jambs, pasts := l.jambs(i, w.BandAt(c.bottom), line)
		for k, h := range w.Holes {
			if h.Sill > c.bottom || h.Head() < c.top() {
				continue
			}
			a := l.at[i] + jambs[k]
			b := a + h.Width
			if b <= cursor {
				continue
			}
			if a >= to {
				break
			}
			if a > cursor {
				l.segment(c, line, cursor, a, edge, before, h, past, pasts[k])
			}
			cursor, edge, before, past = b, true, h, pasts[k]
		}
	}
	if cursor < to {
		l.segment(c, line, cursor, to, edge, before, nil, past, exact.Num{})
	}
}

// jambs are the near jambs of a wall's openings on a line of a band, rounded half up to the nanometre, and what each is past
// its rounded place.
func (l *layer) jambs(i int, b *Band, line LineOf) ([]length.Length, []exact.Num) {
	at := &l.holes[i]
	if at.band != b {
		*at = wallHoles{band: b}
	}
	k := btoi(line == Inner)
	if at.jambs[k] == nil {
		w := l.s.Walls[i]
		at.jambs[k], at.pasts[k] = make([]length.Length, len(w.Holes)), make([]exact.Num, len(w.Holes))
		for m, h := range w.Holes {
			x := b.OnLine(h, line)
			at.jambs[k][m] = x.Length()
			at.pasts[k][m] = x.Sub(exact.Len(at.jambs[k][m]))
		}
	}
	return at.jambs[k], at.pasts[k]
}

// segment lays a segment; where walls of the stretch have other ledges it is parted at their joint, an edge. Its length is
// rounded once, from its exact ends: they lie startPast and endPast beyond the rounded ones, so that equal gaps between
// openings are filled alike.
func (l *layer) segment(c *course, line LineOf, from, to length.Length, edge bool, before, after *Hole, startPast, endPast exact.Num) {
	i := l.wallAt(0, from)
	for from < to {
		ledge, upTo := l.ledgeOn(i, c, line), to
		k := i
		for k+1 < len(l.s.Walls) && l.at[k+1] < to {
			if l.ledgeOn(k+1, c, line) != ledge {
				upTo = l.at[k+1]
				break
			}
			k++
		}
		h, past := after, endPast
		if upTo < to {
			h, past = nil, exact.Num{}
		}
		s := upTo - from + past.Sub(startPast).Length()
		l.filled(c, line, i, from, upTo, s, edge, ledge, before, h)
		from, edge, before, startPast, i = upTo, true, nil, exact.Num{}, k+1
	}
}

// ledgeOn is the ledge whose units replace the course on a wall of the stretch, on its exterior line; else nil.
func (l *layer) ledgeOn(i int, c *course, line LineOf) *LedgeMark {
	if w := l.s.Walls[i]; line == Exterior && l.of(w).ledge == c.number {
		return w.Ledge
	}
	return nil
}

// wallAt is the index of the wall on which x lies, from index i on; exactly on a joint it is the next.
func (l *layer) wallAt(i int, x length.Length) int {
	for i+1 < len(l.s.Walls) && l.at[i+1] <= x {
		i++
	}
	return i
}

// filled fills a segment of length s that starts on wall i: whole units count on the row in which they start, pieces go to the pool of
// its level.
func (l *layer) filled(c *course, line LineOf, i int, from, to, s length.Length, edge bool, ledge *LedgeMark, before, after *Hole) {
	f := l.s.Walls[i].Zones[c.zone].Forms
	fill := filling{f.UnitLength, f.SmallestPiece, f.CutStep}
	if ledge != nil {
		fill.unit = ledge.UnitLength
		if fill.unit <= 0 {
			if key := "ledge " + ledge.Mark; !l.missing[key] {
				l.missing[key] = true
				l.say(Error, ledge.At.At(ledge.Columns["unit length"]), "R-LEDGE", "Unit length, ledge "+ledge.Mark, "ledge units that replace a course need a length")
			}
			return
		}
		if !f.SmallestTyped {
			fill.smallest = exact.Len(fill.unit).Div(exact.Int(6)).Length()
		}
		fill.smallest = min(fill.smallest, fill.unit)
	}
	if s < fill.smallest && s <= fill.unit {
		l.tooShort(c, i, s, fill.smallest-s, before, after)
	}
	l.laid = fill.fill(s, c.even(), edge, l.laid[:0])
	l.fills = room(l.fills, len(l.laid))
	first := len(l.fills)
	x := from
	for _, u := range l.laid {
		i = l.wallAt(i, x)
		w := l.s.Walls[i]
		l.fills = append(l.fills, Unit{Wall: w.Mark, Start: x, Length: u.length, Cut: u.cut, Whole: u.whole, Ledge: ledge != nil})
		x += u.length
		tally := &l.of(w).zones[c.zone]
		if !u.whole {
			tally.pieces++
			l.pieceOf(w, f, c, ledge).want(u.cut, w.Run.Count, w.Mark, l.whatCourse(c.number, f.Faces, line))
			continue
		}
		counts := &tally.whole[btoi(c.half)]
		if ledge != nil {
			counts = &tally.ledge
		}
		if k := len(*counts); k > 0 && (*counts)[k-1].course == c.number {
			(*counts)[k-1].n++
		} else {
			*counts = append(*counts, courseCount{c.number, 1})
		}
	}
	l.segments = append(l.segments, Segment{From: from, To: to, Fill: l.fills[first:len(l.fills):len(l.fills)]})
}

// whatCourse says where a piece goes, as a crew finds it: course 3, course 3 inner face.
func (l *layer) whatCourse(number int, faces bool, line LineOf) string {
	where := 0
	if faces {
		where = 1 + btoi(line == Inner)
	}
	names := &l.whats[where]
	for len(*names) < number {
		*names = append(*names, "course "+strconv.Itoa(len(*names)+1)+[...]string{"", " outer face", " inner face"}[where])
	}
	return (*names)[number-1]
}

// pieceOf is the pool of a piece: form line and core, kind of course, level.
func (l *layer) pieceOf(w *WallLines, f *FormRow, c *course, ledge *LedgeMark) *cutPool {
	kind := pieceKind{f, c.half, ledge, w.Level}
	if l.lastPool != nil && kind == l.lastKind {
		return l.lastPool
	}
	pool := l.pieces[kind]
	if pool != nil {
		l.lastKind, l.lastPool = kind, pool
		return pool
	}
	item, stock, ref := l.unitItem(f, c.half), f.UnitLength, f.At
	if ledge != nil {
		item, stock, ref = ledge.unitItem(), ledge.UnitLength, ledge.At
	}
	pool = l.pool(poolKey{forms: f, item: ItemKey(item), level: ItemKey(w.Level)}, func(k *cutPool) {
		k.Item, k.Level, k.ref = item, w.Level, ref
		k.at = place{Level: w.Level, Line: f.Line, Core: f.Core}
		k.Problem.Stock = []cutting.Stock{{Length: int64(stock), Price: 1}}
		k.Problem.Kerf = int64(l.set.Len(SetFormKerf))
		k.forms, k.half = f, c.half
	})
	l.pieces[kind] = pool
	return pool
}

// unitItem is the item of a course's units.
func (l *layer) unitItem(f *FormRow, half bool) string {
	if half {
		return l.item(f, "half")
	}
	return l.item(f, "block")
}

// item is an item of a form row, worked out once.
func (l *layer) item(f *FormRow, part string) string {
	k := formItem{f, part}
	item, ok := l.items[k]
	if !ok {
		switch {
		case f.Faces && part == "half":
			item = ItemName(f.Line) + "-board-half"
		case f.Faces && part == "block":
			item = ItemName(f.Line) + "-board"
		default:
			item = f.item(part)
		}
		l.items[k] = item
	}
	return item
}

type formItem struct {
	forms *FormRow
	part  string
}

// partItem is the item of a row of Parts, worked out once.
func (l *layer) partItem(r *PartRow) string {
	item, ok := l.partItems[r]
	if !ok {
		item = r.item()
		l.partItems[r] = item
	}
	return item
}

// tooShort notes a segment shorter than the smallest piece; like ones of other courses join it.
func (l *layer) tooShort(c *course, i int, s, move length.Length, before, after *Hole) {
	w := l.s.Walls[i]
	for k := range l.short {
		if b := &l.short[k]; b.wall == w && b.s == s && b.before == before && b.after == after {
			if b.courses[len(b.courses)-1] != c.number {
				b.courses = append(b.courses, c.number)
			}
			return
		}
	}
	l.short = append(l.short, shortPiece{w, s, move, before, after, []int{c.number}})
}

// warn says what the courses of the stretch ran into.
func (l *layer) warn() {
	show := func(x length.Length) string { return x.Show(l.units.System) }
	if len(l.tight) > 0 {
		w := l.s.First()
		l.say(Warning, w.Cell("length"), "R-CORNER", "Length, wall "+w.Mark, "its corner units' legs are longer than the wall in %s: nothing is left to fill", coursesText(slices.Compact(l.tight)))
	}
	for _, b := range l.short {
		smallest := b.s + b.move
		h, which, way := b.after, "near", "end"
		if h == nil {
			h, which, way = b.before, "far", "start"
		}
		if h == nil {
			l.say(Warning, b.wall.Cell("length"), "R-BLOCK", "Length, wall "+b.wall.Mark, "a piece of %s is left in %s; the smallest is %s, and no jamb stands there to move: %s more wall clears it",
				show(b.s), coursesText(b.courses), show(smallest), show(b.move))
			continue
		}
		column := "at"
		if h.Place == Unplaced {
			column = "width"
		}
		l.say(Warning, h.Cell(column), "R-BLOCK", fmt.Sprintf("opening %s, wall %s", h.Mark, b.wall.Mark),
			"a piece of %s is left in %s at its %s jamb; the smallest is %s: the jamb %s nearer the wall's %s clears it",
			show(b.s), coursesText(b.courses), which, show(smallest), show(b.move), way)
	}
}

// coursesText names courses: course 3, courses 1, 3, 5.
func coursesText(numbers []int) string { return string(appendCourses(nil, numbers)) }

func appendCourses(b []byte, numbers []int) []byte {
	b = append(b, "course"...)
	if len(numbers) > 1 {
		b = append(b, 's')
	}
	for i, n := range numbers {
		if i > 0 {
			b = append(b, ',')
		}
		b = strconv.AppendInt(append(b, ' '), int64(n), 10)
	}
	return b
}
