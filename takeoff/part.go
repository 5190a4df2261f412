package takeoff

import (
	"cmp"
	"runtime"
	"slices"
	"sync"

	"wallbill/takeoff/exact"
)

// jobPart is what walls that hang together add to a job, before anything is rounded up or bought together.
type jobPart struct {
	pass            *pass
	steel           *steel
	membrane, board *rolled
	first           int   // order of its first wall
	to              []int // where each line goes among the part's; nil: where it is
	pooled          bool  // its bars are in pools of its own
	// said are the findings by the step that said them: walls, courses, forms, bars, bracing, covers.
	said [6][]Finding
}

// spare is memory of parts before, for the next part: that of one put together with the others, and what a part left of
// its rooms.
type spare struct {
	lines     []Line
	order, to []int
	bars      []BarRow
	rooms     rooms
}

// countPart counts the walls of a part of the geometry. It takes over the memory, if any.
func (p *pass) countPart(g *Geometry, top string, memory spare) *jobPart {
	q := newPass(p.job, g, nil)
	q.out.Lines, q.order, q.out.Bars = memory.lines, memory.order, memory.bars
	q.rooms, q.near = memory.rooms, &drivenNear{}
	a := &jobPart{pass: q, steel: q.newSteel(top), first: g.Walls[0].Order}
	a.membrane, a.board = q.sheets()
	var l *layer
	for i, step := range [len(a.said)]func(){
		q.walls, func() { l = q.layer() }, func() { l.forms() }, a.steel.walls, q.bracing, func() { q.covers(a.membrane, a.board) },
	} {
		step()
		a.said[i], q.out.Findings = q.out.Findings, nil
	}
	if a.pooled = !p.sums; a.pooled { // of a sum none but the whole is pooled
		a.steel.poolOwn()
	}
	a.to = q.places(memory.to)
	return a
}

// together is a job as its parts are put together.
type together struct {
	*pass
	steel           *steel
	membrane, board *rolled
	said            [len(jobPart{}.said)][]Finding
	pooled          int // rows of the bar list that parts have put in pools
}

func (p *pass) newTogether() *together {
	p.near = &drivenNear{}
	t := &together{pass: p, steel: p.newSteel(p.topLevel())}
	t.membrane, t.board = p.sheets()
	return t
}

// roomLike makes room for a job whose other parts are like the first.
func (t *together) roomLike(a *jobPart) {
	walls, all := len(a.pass.geo.Walls), len(t.geo.Walls)
	of := func(n int) int { return n*all/walls + n*all/walls/64 + 64 }
	out := a.pass.out
	t.out.Lines, t.order = slices.Grow(t.out.Lines, of(len(out.Lines))), slices.Grow(t.order, of(len(out.Lines)))
	const halves = 1024 // of corner bars, raised over all walls
	t.out.Bars, t.out.Courses, t.out.Braces = slices.Grow(t.out.Bars, of(len(out.Bars))+halves), slices.Grow(t.out.Courses, of(len(out.Courses))), slices.Grow(t.out.Braces, all)
}

// take adds a part, whose walls have moved by so many places since it was counted.
func (t *together) take(a *jobPart, moved int) {
	q := a.pass
	t.takeLines(a, moved)
	t.out.Bars = append(t.out.Bars, q.out.Bars...)
	t.out.Courses = append(t.out.Courses, q.out.Courses...)
	t.out.Braces = append(t.out.Braces, q.out.Braces...)
	for i, said := range a.said {
		t.said[i] = append(t.said[i], said...)
	}
	for k, n := range q.drivers { // of parts put together before
		t.drive(k.name, k.place, n)
	}
	for _, d := range q.near.all() {
		for _, s := range d.sums {
			t.drive(s.name, d.at, s.amount)
		}
	}
	if a.pooled {
		t.pooled = len(t.out.Bars)
		for _, c := range q.pools.bars {
			t.steel.barPool(t.steel.supplyOf(c.Bar), c.Level, c.Pour).take(c)
		}
	}
	for _, c := range q.pools.forms {
		t.takePool(q.job, c)
	}
	for _, name := range q.volumes.names {
		t.volumes.take(name, q.volumes.byKey[ItemKey(name)]) // remembered parts are not changed: others take them too
	}
	s := t.steel
	for k, n := range a.steel.totals {
		have := s.total(k, n.bar)
		have.length, have.bars = have.length.Add(n.length), have.bars.Add(n.bars)
	}
	for i := range a.steel.halfRow {
		s.takeHalf(&a.steel.halfRow[i])
	}
	t.membrane.take(a.membrane)
	t.board.take(a.board)
}

// takeLines adds a part's lines, each at its place; lines of a sum have no order.
func (t *together) takeLines(a *jobPart, moved int) {
	q := a.pass
	if len(q.order) == 0 {
		t.out.Lines = append(t.out.Lines, q.out.Lines...)
		return
	}
	first, n := len(t.order), len(q.order)
	t.out.Lines, t.order = slices.Grow(t.out.Lines, n)[:first+n], slices.Grow(t.order, n)[:first+n]
	lines, order := t.out.Lines[first:], t.order[first:]
	for i := range q.out.Lines {
		k := i
		if a.to != nil {
			k = a.to[i]
		}
		lines[k], order[k] = q.out.Lines[i], q.order[i]+moved
	}
}

// rest counts what is rounded up or bought over all walls.
func (t *together) rest() {
	for _, said := range t.said {
		t.out.Findings = append(t.out.Findings, said...)
	}
	for _, pools := range [2][]*cutPool{t.pools.bars, t.pools.forms} {
		for _, c := range pools {
			c.join()
		}
	}
	t.settle()
	t.steel.rest(t.pooled)
	t.rolls(t.membrane)
	t.rolls(t.board)
}

// leastInPieces is how many walls a job has at least to be counted on several processors.
const leastInPieces = 32

// countWalls counts all walls: big jobs in pieces of whole parts, side by side. The result is the same whatever the number
// of pieces, to the order of its lines.
func (p *pass) countWalls() {
	var pieces []*Geometry
	n := len(p.geo.Walls)
	if n > 0 {
		pieces = []*Geometry{p.geo}
	}
	if n >= leastInPieces && runtime.GOMAXPROCS(0) > 1 {
		pieces = p.geo.pieces(max(leastInPieces/2, n/(16*runtime.GOMAXPROCS(0))))
	}
	p.countPieces(pieces)
}

// countPieces counts the walls of all pieces of the geometry. Parts are put together in their order, each as soon as those
// before it are, so that few are held twice, by whoever has counted the one that was missing.
func (p *pass) countPieces(pieces []*Geometry) {
	t := p.newTogether()
	j := joiner{t: t, parts: make([]*jobPart, len(pieces))}
	SideBySide(len(pieces), func(i int) { j.join(i, p.countPart(pieces[i], t.steel.top, j.memory())) })
	t.rest()
}

// joiner puts the parts of a job together.
type joiner struct {
	mu     sync.Mutex
	t      *together
	parts  []*jobPart // counted and not yet put together
	next   int        // to be put together
	spares []spare
	rooms  []rooms
}

// memory is what parts before have left, for another.
func (j *joiner) memory() (m spare) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if n := len(j.spares); n > 0 {
		m, j.spares = j.spares[n-1], j.spares[:n-1]
	}
	if n := len(j.rooms); n > 0 {
		m.rooms, j.rooms = j.rooms[n-1], j.rooms[:n-1]
	}
	return m
}

// join hands in part i.
func (j *joiner) join(i int, a *jobPart) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.rooms = append(j.rooms, a.pass.rooms)
	j.parts[i] = a
	for ; j.next < len(j.parts) && j.parts[j.next] != nil; j.next++ {
		a, t := j.parts[j.next], j.t
		j.parts[j.next] = nil
		if j.next == 0 {
			t.roomLike(a)
		}
		t.take(a, 0)
		q := a.pass
		j.spares = append(j.spares, spare{lines: q.out.Lines[:0], order: q.order[:0], to: a.to, bars: q.out.Bars[:0]})
	}
}

// pieces are consecutive walls of about so many each, with all that hangs together in one piece.
func (g *Geometry) pieces(walls int) []*Geometry {
	var all []*Geometry
	last := -1 // of the piece at hand, the wall that stands last in the schedule
	for _, q := range g.parts() {
		first, end := q.Walls[0].Order, q.Walls[len(q.Walls)-1].Order
		if n := len(all); n == 0 || len(all[n-1].Walls) >= walls && first > last {
			all = append(all, &Geometry{ByMark: g.ByMark})
		}
		to := all[len(all)-1]
		to.Walls = append(to.Walls, q.Walls...)
		to.Stretches = append(to.Stretches, q.Stretches...)
		to.Runs = append(to.Runs, q.Runs...)
		last = max(last, end)
	}
	for _, q := range all { // parts that stand between each other's walls
		slices.SortFunc(q.Walls, func(a, b *WallLines) int { return cmp.Compare(a.Order, b.Order) })
		slices.SortFunc(q.Stretches, func(a, b *Stretch) int { return cmp.Compare(a.Index, b.Index) })
	}
	return all
}

// takePool adds a pool of form pieces that may have been counted for another job, whose rows of Forms are the same ones.
func (p *pass) takePool(of *Job, c *cutPool) {
	forms := c.forms
	if of != p.job {
		for i, f := range of.Forms {
			if f == forms {
				forms = p.job.Forms[i]
			}
		}
	}
	have := p.pool(poolKey{forms: forms, item: ItemKey(c.Item), level: ItemKey(c.Level)}, func(k *cutPool) {
		k.CutPool, k.at, k.ref, k.forms, k.half = c.CutPool, c.at, c.ref, forms, c.half
		k.Uses = nil
	})
	have.take(c)
}

// take adds the pieces of a part's pool, whose uses are no other part's.
func (c *cutPool) take(of *cutPool) {
	for l, n := range of.counts {
		c.counts[l] += n
	}
	c.taken = append(c.taken, of.Uses)
}

// join puts the uses of parts together, once all are there.
func (c *cutPool) join() {
	n := 0
	for _, uses := range c.taken {
		n += len(uses)
	}
	c.Uses = make([]PieceUse, 0, n)
	for _, uses := range c.taken {
		c.Uses = append(c.Uses, uses...)
	}
	c.taken = nil
}

// take adds the volumes of a pour of a part.
func (v *pourVolumes) take(name string, of *pourVolume) {
	pv := v.of(name)
	pv.sum.take(&of.sum)
	for i := range of.levels {
		pv.at(of.levels[i].level).take(&of.levels[i].sum)
	}
	pv.walls = append(pv.walls, of.walls...)
}

// take adds the rows of a part.
func (r *rolled) take(of *rolled) {
	for _, l := range of.levels {
		k := ItemKey(l.level)
		have := r.byKey[k]
		if have == nil {
			have = &levelRows{level: l.level, at: l.at}
			r.byKey[k] = have
			r.levels = append(r.levels, have)
		}
		for len(have.rows) < len(l.rows) {
			have.rows = append(have.rows, exact.Num{})
		}
		for i, long := range l.rows {
			have.rows[i] = have.rows[i].Add(long)
		}
	}
}

// parts are the walls that hang together: runs, and runs that meet at tees, in order of their first wall.
func (g *Geometry) parts() []*Geometry {
	group := map[*Run]*Run{} // to another of the group, the last to itself
	var root func(r *Run) *Run
	root = func(r *Run) *Run {
		up := group[r]
		if up == nil || up == r {
			return r
		}
		top := root(up)
		group[r] = top
		return top
	}
	join := func(r *Run, w *WallLines) {
		if w != nil && w.Run != nil {
			group[root(r)] = root(w.Run)
		}
	}
	for _, w := range g.Walls {
		for i := range w.Joints {
			join(w.Run, w.Joints[i].Other)
			join(w.Run, w.Joints[i].Tee)
		}
	}
	var all []*Geometry
	of := map[*Run]*Geometry{}
	part := func(w *WallLines) *Geometry {
		r := root(w.Run)
		if of[r] == nil {
			of[r] = &Geometry{ByMark: g.ByMark}
			all = append(all, of[r])
		}
		return of[r]
	}
	for _, w := range g.Walls {
		q := part(w)
		q.Walls = append(q.Walls, w)
	}
	for _, s := range g.Stretches {
		q := part(s.First())
		q.Stretches = append(q.Stretches, s)
	}
	for _, r := range g.Runs {
		if len(r.Walls) > 0 {
			q := part(r.Walls[0])
			q.Runs = append(q.Runs, r)
		}
	}
	return all
}
