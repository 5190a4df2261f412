package takeoff

import (
	"encoding/binary"
	"sync"

	"wallbill/takeoff/cutting"
	"wallbill/takeoff/exact"
)

// Memo remembers what takeoffs of jobs that differ little have in common: cut plans, which follow from a pool and the work
// allowed alone, and what the walls of runs add, where the caller can tell that they are the same. It may be used by
// several takeoffs at a time. The zero Memo remembers nothing yet.
type Memo struct {
	mu    sync.Mutex
	kept  map[string]*keptPlan
	parts map[string]*keptPart
}

type keptPlan struct {
	once sync.Once
	plan cutting.Plan
	err  error
}

type keptPart struct {
	once sync.Once
	part *jobPart
}

// PartKey tells walls that hang together, as runs and by tees, from all others: equal keys promise equal rows of the walls
// and their openings, in one order, and equal definitions and settings.
type PartKey func(walls []*WallLines) string

// Compute is Compute with cut plans remembered, and with a key parts of the job too. Then the result has no courses and its
// lines stand in another order; every quantity is the same.
func (m *Memo) Compute(job *Job, key PartKey) *Takeoff { return compute(job, m, key) }

// solve is cutting.Solve, once for each problem; m may be nil.
func (m *Memo) solve(p cutting.Problem, w cutting.Work) (cutting.Plan, error) {
	if m == nil {
		return cutting.Solve(p, w)
	}
	key := make([]byte, 0, 16*(len(p.Pieces)+len(p.Stock))+24)
	put := func(n int64) { key = binary.AppendVarint(key, n) }
	put(int64(w))
	put(p.Kerf)
	put(int64(len(p.Stock)))
	for _, s := range p.Stock {
		put(s.Length)
		put(s.Price)
	}
	for _, c := range p.Pieces {
		put(c.Length)
		put(c.Count)
	}
	m.mu.Lock()
	if m.kept == nil {
		m.kept = map[string]*keptPlan{}
	}
	of := m.kept[string(key)]
	if of == nil {
		of = &keptPlan{}
		m.kept[string(key)] = of
	}
	m.mu.Unlock()
	of.once.Do(func() { of.plan, of.err = cutting.Solve(p, w) })
	return of.plan, of.err
}

// jobPart is what the walls that hang together add to a job, before anything is rounded up or bought together.
type jobPart struct {
	pass            *pass
	steel           *steel
	membrane, board *rolled
	first           int // order of its first wall
}

// remembered counts the job part by part, those that are remembered from their first time.
func (p *pass) remembered(key PartKey) {
	s := p.newSteel(p.topLevel())
	membrane, board := p.sheets()
	geometries := p.geo.parts()
	parts := make([]*jobPart, len(geometries))
	lines, bars := 0, 0
	for i, g := range geometries {
		k := s.top + "\x00" + key(g.Walls)
		p.memo.mu.Lock()
		if p.memo.parts == nil {
			p.memo.parts = map[string]*keptPart{}
		}
		of := p.memo.parts[k]
		if of == nil {
			of = &keptPart{}
			p.memo.parts[k] = of
		}
		p.memo.mu.Unlock()
		of.once.Do(func() { of.part = p.countPart(g, s.top) })
		parts[i] = of.part
		lines, bars = lines+len(of.part.pass.out.Lines), bars+len(of.part.pass.out.Bars)
	}
	more := lines/8 + 64 // what belongs to no wall
	p.out.Lines, p.order, p.out.Bars = make([]Line, 0, lines+more), make([]int, 0, lines+more), make([]BarRow, 0, bars+more)
	for i, a := range parts {
		p.take(a, geometries[i].Walls[0].Order-a.first, s, membrane, board)
	}
	s.rest()
	p.rolls(membrane)
	p.rolls(board)
}

// countPart counts the walls of a part of the geometry.
func (p *pass) countPart(g *Geometry, top string) *jobPart {
	q := newPass(p.job, g, nil)
	a := &jobPart{pass: q, steel: q.newSteel(top), first: g.Walls[0].Order}
	q.walls()
	q.forms()
	a.steel.walls()
	q.bracing()
	a.membrane, a.board = q.sheets()
	q.covers(a.membrane, a.board)
	q.out.Courses = nil // nothing of the cost is in them
	return a
}

// take adds a part, whose walls have moved by so many places since it was counted.
func (p *pass) take(a *jobPart, moved int, s *steel, membrane, board *rolled) {
	q := a.pass
	p.out.Lines = append(p.out.Lines, q.out.Lines...)
	for _, o := range q.order {
		if o < afterWalls {
			o += moved
		}
		p.order = append(p.order, o)
	}
	p.out.Bars = append(p.out.Bars, q.out.Bars...)
	p.out.Braces = append(p.out.Braces, q.out.Braces...)
	p.out.Findings = append(p.out.Findings, q.out.Findings...)
	for k, n := range q.drivers {
		p.drivers[k] = p.drivers[k].Add(n)
	}
	for _, c := range q.pools.forms {
		p.takePool(q.job, c)
	}
	for _, name := range q.volumes.names {
		p.volumes.take(name, q.volumes.of(name))
	}
	for k, t := range a.steel.totals {
		have := s.totals[k]
		s.totals[k] = steelTotal{t.bar, have.length.Add(t.length), have.bars.Add(t.bars)}
	}
	for k, i := range a.steel.half {
		h := a.steel.halfRow[i]
		j, ok := s.half[k]
		if !ok {
			j = len(s.halfRow)
			s.half[k] = j
			s.halfRow = append(s.halfRow, halfBars{row: h.row})
		}
		s.halfRow[j].count += h.count
	}
	membrane.take(a.membrane)
	board.take(a.board)
}

// takePool adds a pool of form pieces that was counted for another job, whose rows of Forms are the same ones.
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
		k.CutPool, k.at, k.ref, k.forms = c.CutPool, c.at, c.ref, forms
		k.Uses = nil
	})
	for l, n := range c.counts {
		have.counts[l] += n
	}
	have.Uses = append(have.Uses, c.Uses...)
}

// take adds the volumes of a pour of a part.
func (v *pourVolumes) take(name string, of *pourVolume) {
	pv := v.of(name)
	for kind := range of.sum {
		pv.sum[kind] = pv.sum[kind].Add(of.sum[kind])
	}
	for _, l := range of.levels {
		at := -1
		for i := range pv.levels {
			if ItemKey(pv.levels[i].Level) == ItemKey(l.Level) {
				at = i
			}
		}
		if at < 0 {
			pv.levels = append(pv.levels, l)
			continue
		}
		pv.levels[at].WallConcrete = pv.levels[at].WallConcrete.Add(l.WallConcrete)
		pv.levels[at].FootingConcrete = pv.levels[at].FootingConcrete.Add(l.FootingConcrete)
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
