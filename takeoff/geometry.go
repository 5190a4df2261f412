package takeoff

import (
	"cmp"
	"fmt"
	"slices"
	"sort"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// Geometry is the traced lines of a job's walls: runs, joints, zones and bands, openings in place, stretches.
type Geometry struct {
	Runs      []*Run
	Walls     []*WallLines // in order of the schedule's rows
	Stretches []*Stretch   // in order of their first wall
	ByMark    map[string]*WallLines
}

// Run is a run's walls in order, clockwise round the building seen from above.
type Run struct {
	Name   string
	Walls  []*WallLines
	Count  int64
	Closed bool
	// TurnSum is the sum of the run's turns in thousandths of a degree, exterior corners positive.
	TurnSum int64
	// Misclosure is what the run's vectors add to, first wall running east: 0, 0 when it closes.
	East, North length.Length
}

// LineOf is one of the three lines of a wall.
type LineOf uint8

// The lines of a wall: exterior face of the form, centre of the core, inner face of the form.
const (
	Exterior LineOf = iota
	Centre
	Inner
)

// Joint is what is at an end of a wall.
type Joint struct {
	Kind         TurnKind
	Shared       bool  // a corner with another run, the neighbour taken to be like the wall itself; counted as half
	MilliDegrees int64 // of a corner
	Sin, Cos     exact.Num
	Other        *WallLines // the neighbour in the run; nil at ends, tees and shared corners
	OtherAtEnd   bool       // the joint is at Other's far end
	Tee          *WallLines // wall met at a tee; nil when its mark was omitted
	TeeAt        exact.Num  // place along Tee's exterior line, when HasTeeAt
	HasTeeAt     bool
	Counts       bool // the joint is counted here: on the wall that ends, or at the Start of an open run
	Closing      bool // joins the last wall of a closed run to its first
}

// Corner tells whether the joint is a corner of any angle, exterior or inside.
func (j *Joint) Corner() bool { return j.Kind == TurnCorner || j.Kind == TurnInside }

// Right tells whether the corner is a right angle.
func (j *Joint) Right() bool { return j.MilliDegrees == 90_000 }

// Share is how much of the joint belongs to this wall's run: a half for shared corners, else 1.
func (j *Joint) Share() exact.Num {
	if j.Shared {
		return exact.Frac(1, 2)
	}
	return exact.Int(1)
}

// TanHalf is the tangent of half the corner's angle, from its rounded sine and cosine.
func (j *Joint) TanHalf() exact.Num { return exact.Int(1).Sub(j.Cos).Div(j.Sin) }

// CoreZone is a wall's part of one core (R-ZONE).
type CoreZone struct {
	Index       int           // 0 lower, 1 upper
	Bottom, Top length.Length // above the wall's base; Top of the highest zone is the greater height
	Forms       *FormRow
	Pour        string
	Offset      length.Length // o, of the exterior face, inward
}

// Thickness of the zone's form.
func (z *CoreZone) Thickness() length.Length { return z.Forms.Thickness() }

// offset of a line inward from the reference line, exact (half nanometres occur on centrelines).
func (z *CoreZone) offset(l LineOf) exact.Num {
	switch l {
	case Exterior:
		return exact.Len(z.Offset)
	case Centre:
		return exact.Len(z.Offset).Add(exact.Frac(int64(z.Thickness()), 2))
	default:
		return exact.Len(z.Offset + z.Thickness())
	}
}

// Band is a part of a zone over which its neighbours do not change: the unit of lengths and concrete.
type Band struct {
	Zone        *CoreZone
	Bottom, Top length.Length
	// Lo, Lc, Li are the lengths of the exterior, centre and inner line, finished.
	Lo, Lc, Li length.Length
	// Shorten is how much each line is shortened at the start and at the end, by line; negative where lengthened.
	Shorten [3][2]exact.Num
	// Free tells, by end, that the joint is a free end here: typed end, or above the neighbour's top or below its base.
	Free [2]bool
}

// Len is the finished length of a line.
func (b *Band) Len(l LineOf) length.Length {
	switch l {
	case Exterior:
		return b.Lo
	case Centre:
		return b.Lc
	}
	return b.Li
}

// Hole is an opening in place: an opening row with Count 3 has three.
type Hole struct {
	*Opening
	Index int       // 0-based among the row's Count
	Start exact.Num // near jamb along the wall's exterior line, from the wall's start
}

// End is the far jamb.
func (h *Hole) End() exact.Num { return h.Start.Add(exact.Len(h.Width)) }

// WallLines is a wall with its place in the run.
type WallLines struct {
	*Wall
	Order  int // among Job.Walls
	Run    *Run
	Index  int           // in the run
	Length length.Length // of the exterior reference line, to form faces
	Joints [2]Joint      // at the start, at the end
	Zones  []*CoreZone   // lower first
	Bands  []*Band       // bottom to top
	Holes  []*Hole       // by Start, then Sill
	T      length.Length // of the lowest zone's form
	// Lo0, Lc0, Li0 are the lines of the lowest zone with its joints as typed.
	Lo0, Lc0, Li0 length.Length
	first         Band // the lines of Lo0 … with their shortenings
	texts         wallTexts
	Stretch       *Stretch
	Heading       int64 // thousandths of a degree clockwise from the first wall of its run
	// X, Y is the start of the reference line, first wall of the run from 0, 0 running east.
	X, Y exact.Num
}

// wallTexts are where operands of many of a wall's lines come from, put together at their first use.
type wallTexts struct{ centreline, innerFace, underWall, height string }

func (w *WallLines) centreline() string {
	return textOf(&w.texts.centreline, "R-GEOM centreline of wall ", w.Mark)
}
func (w *WallLines) innerFace() string {
	return textOf(&w.texts.innerFace, "R-GEOM inner face of wall ", w.Mark)
}
func (w *WallLines) underWall() string {
	return textOf(&w.texts.underWall, "R-FOOT length under wall ", w.Mark)
}

func (w *WallLines) heightCell() string {
	if w.texts.height == "" {
		w.texts.height = w.Cell("height").String()
	}
	return w.texts.height
}

func textOf(text *string, what, mark string) string {
	if *text == "" {
		*text = what + mark
	}
	return *text
}

// First is the band of the lowest zone with the joints as typed: Lo0, Lc0, Li0 and their shortenings. All bars, braces and
// below-grade lines use it.
func (w *WallLines) First() *Band { return &w.first }

// Greater and Lesser are the wall's greater and lesser height.
func (w *WallLines) Greater() length.Length { return max(w.Height, w.HeightEnd) }

// Lesser is the wall's lesser height.
func (w *WallLines) Lesser() length.Length { return min(w.Height, w.HeightEnd) }

// Raked tells whether the top is not level.
func (w *WallLines) Raked() bool { return w.Height != w.HeightEnd }

// TopAt is the wall's top above its base at x along a line of that length (R-RAKE).
func (w *WallLines) TopAt(x exact.Num, line length.Length) exact.Num {
	if !w.Raked() || line <= 0 {
		return exact.Len(w.Height)
	}
	return exact.Len(w.Height).Add(exact.Len(w.HeightEnd - w.Height).Mul(x).Div(exact.Len(line)))
}

// HeightAtEnd is the typed height at an end: 0 the start, 1 the end.
func (w *WallLines) HeightAtEnd(end int) length.Length {
	if end == 0 {
		return w.Height
	}
	return w.HeightEnd
}

// ZoneAt is the zone at height z above the wall's base, clamped to its lowest or highest zone; a boundary belongs to the
// upper zone.
func (w *WallLines) ZoneAt(z length.Length) *CoreZone {
	for i := len(w.Zones) - 1; i > 0; i-- {
		if z >= w.Zones[i].Bottom {
			return w.Zones[i]
		}
	}
	return w.Zones[0]
}

// BandAt is the band at height z above the wall's base, clamped; a boundary belongs to the upper band.
func (w *WallLines) BandAt(z length.Length) *Band {
	for i := len(w.Bands) - 1; i > 0; i-- {
		if z >= w.Bands[i].Bottom {
			return w.Bands[i]
		}
	}
	return w.Bands[0]
}

// BandUnder is the band just under height z.
func (w *WallLines) BandUnder(z length.Length) *Band {
	for i := len(w.Bands) - 1; i > 0; i-- {
		if z > w.Bands[i].Bottom {
			return w.Bands[i]
		}
	}
	return w.Bands[0]
}

// Neighbour is the wall at the joint: the next or previous wall of the run, or the wall met at a tee; nil when there is
// none or it is like the wall itself.
func (j *Joint) Neighbour() *WallLines {
	if j.Other != nil {
		return j.Other
	}
	return j.Tee
}

// neighbourSpan is the neighbour's base and top at the joint, above this wall's base. ok is false without a neighbour.
func (w *WallLines) neighbourSpan(end int) (base, top length.Length, ok bool) {
	j := &w.Joints[end]
	n := j.Neighbour()
	if n == nil {
		return 0, 0, false
	}
	base = n.Base - w.Base
	switch {
	case j.Other != nil && j.OtherAtEnd:
		top = base + n.HeightEnd
	case j.Other != nil:
		top = base + n.Height
	case j.HasTeeAt:
		top = base + n.TopAt(j.TeeAt, n.Length).Length()
	default:
		top = base + n.Greater()
	}
	return base, top, true
}

// FreeAt tells whether the wall has a free end at that end at height z above its base: typed end, or at or above the
// neighbour's top at the joint, or below its base.
func (w *WallLines) FreeAt(end int, z length.Length) bool {
	j := &w.Joints[end]
	if j.Kind == TurnEnd {
		return true
	}
	base, top, ok := w.neighbourSpan(end)
	return ok && (z >= top || z < base)
}

// shorten is how much a line of zone z is shortened at an end, at height h above the wall's base, with the joint as typed.
func (w *WallLines) shorten(l LineOf, z *CoreZone, end int, h length.Length) exact.Num {
	j := &w.Joints[end]
	if !j.Corner() {
		return exact.Num{}
	}
	s := z.offset(l)
	n := s
	if j.Other != nil {
		n = j.Other.ZoneAt(h + w.Base - j.Other.Base).offset(l)
	}
	return cornerShift(j, s, n)
}

// cornerShift is (n − s·cosθ)/sinθ, negative at an inside corner (R-GEOM).
func cornerShift(j *Joint, s, n exact.Num) exact.Num {
	a := n
	if !j.Right() { // a right angle's sine is 1, its cosine 0
		a = n.Sub(s.Mul(j.Cos)).Div(j.Sin)
	}
	if j.Kind == TurnInside {
		return a.Neg()
	}
	return a
}

// Stretch is rows joined in line that are laid out and braced as one (R-STRETCH).
type Stretch struct {
	Index int
	Walls []*WallLines
}

// First is the stretch's first wall, Last its last.
func (s *Stretch) First() *WallLines { return s.Walls[0] }

// Last is the stretch's last wall.
func (s *Stretch) Last() *WallLines { return s.Walls[len(s.Walls)-1] }

// Greatest is the stretch's greatest height.
func (s *Stretch) Greatest() length.Length {
	h := s.Walls[0].Greater()
	for _, w := range s.Walls[1:] {
		h = max(h, w.Greater())
	}
	return h
}

// Trace works out the lines of a job's walls. Findings are the checks that need them: tees that are not there, closure,
// openings past an end or the top or overlapping, walls shorter than their corners take.
func Trace(job *Job) (*Geometry, []Finding) {
	g := &Geometry{}
	t := tracer{job: job, g: g}
	t.runs()
	t.joints()
	t.lengths()
	t.zones()
	t.bands()
	t.stretches()
	t.close()
	t.openings()
	return g, t.findings
}

type tracer struct {
	job      *Job
	g        *Geometry
	findings []Finding
}

func (t *tracer) say(s Severity, at Ref, rule, subject, format string, args ...any) {
	t.findings = append(t.findings, Finding{Severity: s, At: at, Rule: rule, Subject: subject, Message: fmt.Sprintf(format, args...)})
}

// runs gathers the rows of each run in row order.
func (t *tracer) runs() {
	byName := map[string]*Run{}
	n := len(t.job.Walls)
	lines := make([]WallLines, n)
	t.g.Walls, t.g.ByMark = make([]*WallLines, 0, n), make(map[string]*WallLines, n)
	var r *Run
	for i, row := range t.job.Walls {
		w := &lines[i]
		w.Wall, w.Order, w.Length = row, i, row.Length
		if r == nil || r.Name != row.Run { // a run's rows mostly follow one another
			r = byName[ItemKey(row.Run)]
		}
		if r == nil {
			r = &Run{Name: row.Run, Count: int64(max(row.Count, 1)), Closed: row.Start == nil}
			byName[ItemKey(row.Run)] = r
			t.g.Runs = append(t.g.Runs, r)
		}
		w.Run, w.Index = r, len(r.Walls)
		r.Walls = append(r.Walls, w)
		t.g.Walls = append(t.g.Walls, w)
		t.g.ByMark[ItemKey(row.Mark)] = w
	}
}

// joints says what is at each end of each wall.
func (t *tracer) joints() {
	for _, r := range t.g.Runs {
		n := len(r.Walls)
		for i, w := range r.Walls {
			last := i == n-1
			end := t.joint(w, &w.Wall.Turn)
			end.Counts = true
			switch {
			case end.Kind == TurnEnd || end.Kind == TurnTee:
			case !last || r.Closed:
				next := r.Walls[(i+1)%n]
				start := end
				start.Counts = false
				end.Other, end.OtherAtEnd = next, false
				start.Other, start.OtherAtEnd = w, true
				end.Closing, start.Closing = last, last
				next.Joints[0] = start
			case end.Corner():
				end.Shared = true
			default: // straight on the last row of an open run: refused when read
				end.Kind = TurnEnd
			}
			w.Joints[1] = end
			if i == 0 && !r.Closed {
				start := t.joint(w, w.Wall.Start)
				start.Counts = true
				start.Shared = start.Corner()
				w.Joints[0] = start
			}
		}
	}
}

func (t *tracer) joint(w *WallLines, turn *Turn) Joint {
	j := Joint{Kind: turn.Kind, MilliDegrees: turn.MilliDegrees}
	if j.Corner() {
		if j.MilliDegrees == 0 {
			j.MilliDegrees = 90_000
		}
		j.Sin, j.Cos = sinCos(j.MilliDegrees)
	}
	if j.Kind == TurnTee {
		if turn.TeeWall != "" {
			j.Tee = t.g.ByMark[ItemKey(turn.TeeWall)]
		}
		if turn.HasTee {
			j.TeeAt, j.HasTeeAt = exact.Len(turn.TeeAt), true
		}
	}
	return j
}

// lengths turns typed lengths into form-face lengths (Dimensions to core face, R-GEOM).
func (t *tracer) lengths() {
	if !t.job.CoreFace {
		return
	}
	for _, w := range t.g.Walls {
		grow := exact.Num{}
		foam := exact.Len(w.Forms.Foam)
		for e := range w.Joints {
			j := &w.Joints[e]
			switch {
			case j.Corner():
				n := foam
				if j.Other != nil {
					n = exact.Len(j.Other.lowestFormsAt(w.Base).Foam)
				}
				grow = grow.Add(cornerShift(j, foam, n))
			case j.Kind == TurnTee:
				met := foam
				if j.Tee != nil {
					met = exact.Len(j.Tee.lowestFormsAt(w.Base).Foam)
				}
				grow = grow.Sub(met)
			}
		}
		w.Length = exact.Len(w.Length).Add(grow).Length()
	}
}

// lowestFormsAt is the Forms row of the wall at an elevation, before zones are made.
func (w *WallLines) lowestFormsAt(elevation length.Length) *FormRow {
	if w.FormsAbove != nil && elevation-w.Base >= w.CoreChange {
		return w.FormsAbove
	}
	return w.Forms
}

// zones splits walls at their core change.
func (t *tracer) zones() {
	zones, at := make([]CoreZone, len(t.g.Walls)), make([]*CoreZone, len(t.g.Walls))
	for i, w := range t.g.Walls {
		top := w.Greater()
		lower := &zones[i]
		*lower = CoreZone{Bottom: 0, Top: top, Forms: w.Forms, Pour: w.Pour}
		at[i] = lower
		w.Zones = at[i : i+1 : i+1]
		w.T = lower.Thickness()
		if w.FormsAbove != nil && w.CoreChange > 0 && w.CoreChange < top {
			lower.Top = w.CoreChange
			upper := &CoreZone{Index: 1, Bottom: w.CoreChange, Top: top, Forms: w.FormsAbove, Pour: w.PourAbove}
			if w.FlushInside {
				upper.Offset = lower.Thickness() - upper.Thickness()
			}
			w.Zones = append(w.Zones, upper)
		}
	}
}

// bands splits zones at the neighbours' core changes, tops and bases, and works out the lines of each.
func (t *tracer) bands() {
	bands, at := make([]Band, 0, len(t.g.Walls)), make([]*Band, 0, len(t.g.Walls))
	var cuts []length.Length
	for _, w := range t.g.Walls {
		top := w.Greater()
		cuts = append(cuts[:0], 0, top)
		for _, z := range w.Zones[1:] {
			cuts = append(cuts, z.Bottom)
		}
		for e := range w.Joints {
			j := &w.Joints[e]
			if base, ntop, ok := w.neighbourSpan(e); ok && j.Kind != TurnStraight {
				cuts = append(cuts, base, ntop)
				for _, z := range j.Neighbour().Zones[1:] {
					cuts = append(cuts, base+z.Bottom)
				}
			}
		}
		slices.Sort(cuts)
		cuts = slices.Compact(cuts)
		before := len(at)
		for i := 0; i+1 < len(cuts); i++ {
			if cuts[i] < 0 || cuts[i+1] > top {
				continue
			}
			bands = room(bands, 1)
			bands = append(bands, w.band(cuts[i], cuts[i+1], true))
			at = append(at, &bands[len(bands)-1])
		}
		w.Bands = at[before:len(at):len(at)]
		w.first = w.band(0, w.Zones[0].Top, false)
		w.Lo0, w.Lc0, w.Li0 = w.first.Lo, w.first.Lc, w.first.Li
		if w.Lc0 <= 0 || w.Li0 <= 0 {
			t.say(Error, w.Cell("length"), "R-GEOM", "Length, wall "+w.Mark, "the wall is shorter than its corners take")
		}
	}
}

// band works out the lines of a band; withEnds makes joints above the neighbour's top or below its base free ends.
func (w *WallLines) band(bottom, top length.Length, withEnds bool) Band {
	b := Band{Zone: w.ZoneAt(bottom), Bottom: bottom, Top: top}
	for e := range w.Joints {
		b.Free[e] = w.Joints[e].Kind == TurnEnd || withEnds && w.Joints[e].Kind != TurnStraight && w.FreeAt(e, bottom)
		if b.Free[e] {
			continue
		}
		for _, l := range [...]LineOf{Exterior, Centre, Inner} {
			b.Shorten[l][e] = w.shorten(l, b.Zone, e, bottom)
		}
	}
	full := exact.Len(w.Length)
	b.Lo = full.Sub(b.Shorten[Exterior][0]).Sub(b.Shorten[Exterior][1]).Length()
	b.Lc = full.Sub(b.Shorten[Centre][0]).Sub(b.Shorten[Centre][1]).Length()
	b.Li = full.Sub(b.Shorten[Inner][0]).Sub(b.Shorten[Inner][1]).Length()
	return b
}

// OnLine is an opening's near jamb on a line of the band, from the line's start.
func (b *Band) OnLine(h *Hole, l LineOf) exact.Num { return h.Start.Sub(b.Shorten[l][0]) }

// stretches joins rows in line that are alike. A closed run may begin in the middle of one.
func (t *tracer) stretches() {
	joined := func(w *WallLines) bool {
		p := w.Joints[0].Other
		return w.Joints[0].Kind == TurnStraight && p != nil && alike(p, w)
	}
	for _, r := range t.g.Runs {
		n := len(r.Walls)
		from := 0
		for from < n && joined(r.Walls[from]) {
			from++
		}
		for k := range n {
			w := r.Walls[(from+k)%n]
			if k > 0 && joined(w) {
				w.Stretch = w.Joints[0].Other.Stretch
				w.Stretch.Walls = append(w.Stretch.Walls, w)
				continue
			}
			w.Stretch = &Stretch{Walls: []*WallLines{w}}
			t.g.Stretches = append(t.g.Stretches, w.Stretch)
		}
	}
	slices.SortStableFunc(t.g.Stretches, func(a, b *Stretch) int { return cmp.Compare(a.First().Order, b.First().Order) })
	for i, s := range t.g.Stretches {
		s.Index = i
	}
}

func alike(a, b *WallLines) bool {
	return a.Base == b.Base && sameName(a.Pour, b.Pour) && sameName(a.PourAbove, b.PourAbove) && sameName(a.FormLine, b.FormLine) && a.Core == b.Core && a.CoreAbove == b.CoreAbove &&
		a.CoreChange == b.CoreChange && a.FlushInside == b.FlushInside && len(a.Zones) == len(b.Zones)
}

// Area is the area under the wall's top between two heights, over a line of that length, in square nanometres (R-RAKE).
func (w *WallLines) Area(line, bottom, top length.Length) exact.Num {
	return w.areaUnder(line, top).Sub(w.areaUnder(line, bottom))
}

func (w *WallLines) areaUnder(line, z length.Length) exact.Num {
	lo, hi := w.Lesser(), w.Greater()
	l := exact.Len(line)
	switch {
	case z <= lo:
		return l.Mul(exact.Len(z))
	case lo == hi:
		return l.Mul(exact.Len(lo))
	case z >= hi:
		return l.Mul(exact.Len(lo + hi)).Div(exact.Int(2))
	}
	over := exact.Len(z - lo)
	return l.Mul(exact.Len(z)).Sub(l.Mul(over).Mul(over).Div(exact.Len(2 * (hi - lo))))
}

// openings puts each opening in its place and checks it.
func (t *tracer) openings() {
	for _, o := range t.job.Openings {
		w := t.g.ByMark[ItemKey(o.Wall)]
		if w == nil {
			continue // said when read
		}
		n := max(o.Count, 1)
		for i := range n {
			h := &Hole{Opening: o, Index: i}
			switch o.Place {
			case FromStart:
				h.Start = exact.Len(o.Offset)
			case FromCentre:
				h.Start = exact.Len(o.Offset).Sub(exact.Frac(int64(o.Width), 2))
			case FromEnd:
				h.Start = exact.Len(w.Length - o.Offset - o.Width)
			}
			w.Holes = append(w.Holes, h)
		}
	}
	for _, w := range t.g.Walls {
		if len(w.Holes) == 0 {
			continue
		}
		t.place(w)
		sort.SliceStable(w.Holes, func(i, j int) bool {
			if c := w.Holes[i].Start.Cmp(w.Holes[j].Start); c != 0 {
				return c < 0
			}
			return w.Holes[i].Sill < w.Holes[j].Sill
		})
		t.checkHoles(w)
	}
}

// place puts a wall's unplaced openings, in row order with equal gaps, in its longest free stretch, the first of equals.
func (t *tracer) place(w *WallLines) {
	var loose, fixed []*Hole
	for _, h := range w.Holes {
		if h.Place == Unplaced {
			loose = append(loose, h)
		} else {
			fixed = append(fixed, h)
		}
	}
	if len(loose) == 0 {
		return
	}
	sort.SliceStable(fixed, func(i, j int) bool { return fixed[i].Start.Cmp(fixed[j].Start) < 0 })
	full := exact.Len(w.Length)
	at := exact.Num{}
	from, free := exact.Num{}, exact.Int(-1)
	try := func(upTo exact.Num) {
		if l := upTo.Sub(at); l.Cmp(free) > 0 {
			from, free = at, l
		}
	}
	for _, h := range fixed {
		try(h.Start)
		at = exact.Max(at, h.End())
	}
	try(full)
	wide := exact.Num{}
	for _, h := range loose {
		wide = wide.Add(exact.Len(h.Width))
	}
	gap := free.Sub(wide).Div(exact.Int(int64(len(loose) + 1)))
	if gap.Sign() < 0 {
		o := loose[0].Opening
		t.say(Error, o.Cell("width"), "R-OPEN", fmt.Sprintf("opening %s, wall %s", o.Mark, w.Mark),
			"the wall's unplaced openings are %s wide together; its longest free stretch is %s",
			wide.Length().Show(t.job.Report), free.Length().Show(t.job.Report))
		gap = exact.Num{}
	}
	x := from
	for _, h := range loose {
		x = x.Add(gap)
		h.Start = x
		x = x.Add(exact.Len(h.Width))
	}
}

func (t *tracer) checkHoles(w *WallLines) {
	show := func(l length.Length) string { return l.Show(t.job.Report) }
	full := exact.Len(w.Length)
	for i, h := range w.Holes {
		subject := fmt.Sprintf("opening %s, wall %s", h.Mark, w.Mark)
		at := h.Cell("at")
		if h.Place == Unplaced {
			at = h.Cell("width")
		}
		if h.Place != Unplaced && (h.Start.Sign() < 0 || h.End().Cmp(full) > 0) {
			t.say(Error, at, "R-OPEN", subject, "the opening runs from %s to %s; the wall is %s long",
				show(h.Start.Length()), show(h.End().Length()), show(w.Length))
		}
		if top := w.lowestTop(h); exact.Len(h.Head()).Cmp(top) > 0 {
			col := "height"
			if h.Columns["head"] > 0 && h.Columns["sill"] == 0 {
				col = "head"
			}
			t.say(Error, h.Cell(col), "R-OPEN", subject, "its head is %s above the wall's base; the wall's top is at %s there",
				show(h.Head()), show(top.Length()))
		}
		for _, k := range w.Holes[:i] {
			if h.Start.Cmp(k.End()) < 0 && k.Start.Cmp(h.End()) < 0 && h.Sill < k.Head() && k.Sill < h.Head() {
				t.say(Error, at, "R-OPEN", subject, "overlaps opening %s (%s)", k.Mark, k.Opening.At)
			}
		}
	}
}

// lowestTop is the lesser height of the wall's top at an opening's jambs.
func (w *WallLines) lowestTop(h *Hole) exact.Num {
	return exact.Min(w.TopAt(h.Start, w.Length), w.TopAt(h.End(), w.Length))
}
