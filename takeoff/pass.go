package takeoff

import (
	"fmt"
	"slices"

	"github.com/shopspring/decimal"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// Compute takes a job off: every quantity with its rule. Findings of the pass are in the result; with an error among them
// the quantities are not to be used.
func Compute(job *Job) *Takeoff { return compute(job, nil, nil) }

func compute(job *Job, memo *Memo, key PartKey) *Takeoff {
	g, findings := Trace(job)
	p := newPass(job, g, memo)
	p.out.Findings = findings
	if HasErrors(findings) {
		return p.out
	}
	if key != nil {
		p.sumParts(key)
	} else {
		p.countWalls()
	}
	p.jobWide()
	return p.out
}

// jobWide counts what needs all walls.
func (p *pass) jobWide() {
	p.pads()
	p.extraQuantities()
	p.cutPlans()
	p.pourPlans()
	p.calendar()
	p.factors()
	if !p.sums {
		p.practice()
	}
	p.countByArea()
	p.finish()
}

// newPass begins a pass over a geometry. With a memo plans are remembered; nil: none are.
func newPass(job *Job, g *Geometry, memo *Memo) *pass {
	return &pass{
		job: job, set: job.Settings, units: UnitsOf(job.Report), geo: g, memo: memo,
		out:     &Takeoff{Job: job, Units: UnitsOf(job.Report), Geometry: g},
		drivers: map[driverKey]exact.Num{}, concreteItems: map[concreteKey]string{},
	}
}

// walls counts what each wall has by itself.
func (p *pass) walls() {
	if p.out.Lines == nil {
		n := linesOfAWall * len(p.geo.Walls)
		p.out.Lines, p.order = make([]Line, 0, n), make([]int, 0, n) // room for what most walls have
	}
	for _, w := range p.geo.Walls {
		p.wallConcrete(w)
		p.ledgeConcrete(w)
		p.footing(w)
		p.parge(w)
		p.ledgers(w)
		p.openings(w)
		p.plates(w)
	}
}

// linesOfAWall is about how many lines a wall makes.
const linesOfAWall = 24

// pass is one run of the rules over a job. Rules add lines with line and drivers with drive.
type pass struct {
	job           *Job
	set           *Settings
	units         Units
	geo           *Geometry
	out           *Takeoff
	drivers       map[driverKey]exact.Num
	order         []int // for each line, what it sorts by: wall order, then emission
	cal           *Calendar
	pools         pools                  // of pieces to be cut
	memo          *Memo                  // of earlier takeoffs; nil: none
	sums          bool                   // what costs nothing is left out: Memo.Sums
	near          *drivenNear            // drivers place by place, until all parts are put together
	concreteItems map[concreteKey]string // worked out once
	rooms
	// volumes gathers R-POUR's volumes by pour.
	volumes pourVolumes
}

// rooms is memory that lines and rows cut their slices from, and texts made once. It goes on from part to part.
type rooms struct {
	operands  []Operand
	segments  []Segment
	fills     []Unit
	lengths   []length.Length
	made      map[string]string // texts by themselves
	recent    *[512]string      // those made lately, by their words
	text      []byte            // scratch of words
	decimals  *[512]knownDecimal
	masses    *[256]knownMass
	positions []exact.Num // scratch of bracing
}

// calendar dates the pours; the braces driver is the most braces needed on one day.
func (p *pass) calendar() {
	c, findings := NewCalendar(p.job)
	p.cal, p.out.dated = c, dated{p.job, c}
	p.out.Findings = append(p.out.Findings, findings...)
	for i := range p.out.Pours {
		p.out.Pours[i].Dates, _ = c.Of(p.out.Pours[i].Pour)
	}
	p.drive("braces", place{}, exact.Int(c.MostBraces(p.out.Braces)))
}

// place is where a quantity belongs: what R-FACTOR filters by.
type place struct {
	Level, Pour, Line string
	Core              length.Length
}

type driverKey struct {
	name string
	place
}

// afterWalls is the sort key of lines that belong to no wall.
const afterWalls = 1 << 30

// wallPlace is the place of a zone of a wall; nil zone: the wall's lowest.
func wallPlace(w *WallLines, z *CoreZone) place {
	if z == nil {
		z = w.Zones[0]
	}
	return place{Level: w.Level, Pour: z.Pour, Line: w.FormLine, Core: z.Forms.Core}
}

// drive adds an amount of a driver at a place: in the base of its dimension (nm, nm², nm³, 10⁻⁸ kg), counts as they are.
// The amount is already multiplied by the run's count.
func (p *pass) drive(name string, at place, amount exact.Num) {
	switch {
	case amount.IsZero():
	case p.near != nil:
		p.near.add(name, at, amount)
	default:
		k := driverKey{name, at}
		p.drivers[k] = p.drivers[k].Add(amount)
	}
}

// drivenNear is what walls add to drivers, by place. A wall drives about twenty in one place, two with that of its forms:
// finding the place by the last two and the driver among so few costs less than a lookup by both.
type drivenNear struct {
	places  []*drivenAt
	byPlace map[place]*drivenAt
	last    [2]*drivenAt
}

type drivenAt struct {
	at   place
	sums []drivenSum
	next int // after the one driven last: walls mostly drive the same, one after the other
}

type drivenSum struct {
	name   string
	amount exact.Num
}

func (d *drivenNear) of(at place) *drivenAt {
	for _, p := range d.last {
		if p != nil && p.at == at {
			return p
		}
	}
	p := d.byPlace[at]
	if p == nil {
		if d.byPlace == nil {
			d.byPlace = map[place]*drivenAt{}
		}
		p = &drivenAt{at: at, sums: make([]drivenSum, 0, 24)}
		d.byPlace[at] = p
		d.places = append(d.places, p)
	}
	d.last[0], d.last[1] = p, d.last[0]
	return p
}

// settle puts what was driven place by place with the job's drivers.
func (p *pass) settle() {
	near := p.near.all()
	p.near = nil
	for _, d := range near {
		for _, s := range d.sums {
			p.drive(s.name, d.at, s.amount)
		}
	}
}

// all is what was added, in order of first mention; none where d is nil.
func (d *drivenNear) all() []*drivenAt {
	if d == nil {
		return nil
	}
	return d.places
}

func (d *drivenNear) add(name string, at place, amount exact.Num) {
	p := d.of(at)
	i := p.next
	if i >= len(p.sums) || p.sums[i].name != name {
		i = slices.IndexFunc(p.sums, func(s drivenSum) bool { return s.name == name })
	}
	if i < 0 {
		i = len(p.sums)
		p.sums = append(p.sums, drivenSum{name: name})
	}
	p.sums[i].amount = p.sums[i].amount.Add(amount)
	p.next = i + 1
}

// line adds a takeoff line of one wall's repeat: value in u, not yet multiplied by the run's count. A zero value adds no line.
func (p *pass) line(w *WallLines, at place, rule, item string, u unit.Unit, value exact.Num, how How) {
	if value.IsZero() {
		return
	}
	if n := w.Run.Count; n > 1 {
		value = value.Times(n)
		how.Formula = "(" + how.Formula + ")·repeats"
		how.Operands = append(how.Operands[:len(how.Operands):len(how.Operands)], Count("repeats", n, "Walls Count of run "+w.Run.Name))
	}
	p.put(w.Order, Line{Wall: w.Mark, Level: at.Level, Pour: at.Pour, Item: item, Quantity: p.rooms.finish(value), Unit: u, How: how, Rule: rule, At: w.At})
}

// put adds a finished line; order is the wall's order, afterWalls for what belongs to no wall.
func (p *pass) put(order int, l Line) {
	p.out.Lines = append(p.out.Lines, l)
	p.order = append(p.order, order)
}

// kept is a copy of a line's operands in memory shared with other lines.
func (p *pass) kept(operands []Operand) []Operand {
	p.operands = room(p.operands, len(operands))
	n := len(p.operands)
	p.operands = append(p.operands, operands...)
	return p.operands[n:len(p.operands):len(p.operands)]
}

// how is a derivation by that formula, its operands in memory shared with other lines.
func (p *pass) how(formula string, operands ...Operand) How {
	return How{Formula: formula, Operands: p.kept(operands)}
}

// words are joined to a text that is made once: formulas and names of definitions come again with every wall.
func (r *rooms) words(words ...string) string {
	n, h := 0, uint(0)
	for _, w := range words {
		n += len(w)
		if len(w) > 0 {
			h = 31*h + uint(w[0]) + uint(w[len(w)-1])<<2 + uint(len(w))
		}
	}
	if r.recent == nil {
		r.recent = new([512]string)
	}
	recent := &r.recent[(31*h+uint(n))%uint(len(r.recent))]
	if len(*recent) == n && joins(*recent, words) {
		return *recent
	}
	r.text = r.text[:0]
	for _, w := range words {
		r.text = append(r.text, w...)
	}
	*recent = r.once(r.text)
	return *recent
}

// joins tells whether a text is the words, which are as long together.
func joins(text string, words []string) bool {
	for _, w := range words {
		if text[:len(w)] != w {
			return false
		}
		text = text[len(w):]
	}
	return true
}

// once is a text, the same memory each time.
func (r *rooms) once(text []byte) string {
	s, ok := r.made[string(text)]
	if !ok {
		if r.made == nil {
			r.made = map[string]string{}
		}
		s = string(text)
		r.made[s] = s
	}
	return s
}

// finish is a finished quantity. Walls and bars alike have equal ones, and those met lately share a decimal.
func (r *rooms) finish(v exact.Num) decimal.Decimal {
	n, places, ok := v.Finished()
	if !ok {
		return v.Quantity()
	}
	if r.decimals == nil {
		r.decimals = new([512]knownDecimal)
	}
	known := &r.decimals[uint64(n)*0x9e3779b97f4a7c15>>55]
	if known.n != n || known.places != places {
		*known = knownDecimal{n, places, decimal.New(n, -places)}
	}
	return known.value
}

type knownDecimal struct {
	n      int64
	places int32
	value  decimal.Decimal
}

// howNaming is how with those of the operands that the formula names.
func (p *pass) howNaming(formula string, operands ...Operand) How {
	h := How{Formula: formula}
	p.operands = room(p.operands, len(operands))
	n := len(p.operands)
	for i := range operands {
		if h.names(operands[i].Name) {
			p.operands = append(p.operands, operands[i])
		}
	}
	h.Operands = p.operands[n:len(p.operands):len(p.operands)]
	return h
}

// say adds a finding.
func (p *pass) say(s Severity, at Ref, rule, subject, format string, args ...any) {
	p.out.Findings = append(p.out.Findings, Finding{Severity: s, At: at, Rule: rule, Subject: subject, Message: fmt.Sprintf(format, args...)})
}

// finish puts lines in order and totals the drivers. Equal findings are said once.
func (p *pass) finish() {
	if !p.sums {
		p.inOrder()
	}
	p.out.Drivers = p.driverTotals()
	seen := make(map[Finding]bool, len(p.out.Findings))
	p.out.Findings = slices.DeleteFunc(p.out.Findings, func(f Finding) bool {
		again := seen[f]
		seen[f] = true
		return again
	})
}

// inOrder puts lines in the order of the walls, each wall's as they were added, those of no wall last.
func (p *pass) inOrder() {
	to := p.places(nil)
	for i := range to {
		for j := to[i]; j != i; j = to[i] { // round the cycle, each line to its place
			p.out.Lines[i], p.out.Lines[j] = p.out.Lines[j], p.out.Lines[i]
			p.order[i], p.order[j] = p.order[j], p.order[i]
			to[i], to[j] = to[j], j
		}
	}
}

// places is where each line goes in that order, in the memory given; nil where they are in it.
func (p *pass) places(to []int) []int {
	if slices.IsSorted(p.order) {
		return nil
	}
	first := p.geo.Walls[0].Order
	last := 0
	for _, o := range p.order {
		if o != afterWalls {
			last = max(last, o-first)
		}
	}
	next := make([]int, last+3) // the last slot is for what belongs to no wall
	slot := func(order int) int { return min(order-first, last+1) }
	for _, o := range p.order {
		next[slot(o)+1]++
	}
	for i := range next[1:] {
		next[i+1] += next[i]
	}
	to = slices.Grow(to[:0], len(p.order))[:len(p.order)]
	for i, o := range p.order {
		k := slot(o)
		to[i] = next[k]
		next[k]++
	}
	return to
}
