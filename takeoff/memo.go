package takeoff

import (
	"encoding/binary"
	"sync"

	"wallbill/takeoff/cutting"
)

// Memo remembers what takeoffs of jobs that differ little have in common: cut plans, which follow from a pool and the work
// allowed alone, and what the walls of runs add, where the caller can tell that they are the same. It may be used by
// several takeoffs at a time. The zero Memo remembers nothing yet.
type Memo struct {
	mu    sync.Mutex
	kept  map[string]*keptPlan
	parts map[string]*keptPart
	spare []spare // memory of takeoffs that are done with
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

// Done takes back the memory of a takeoff of m's that nobody looks at any more, for the next one.
func (m *Memo) Done(t *Takeoff) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.spare = append(m.spare, spare{lines: t.Lines[:0], bars: t.Bars[:0]})
	t.Lines, t.Bars = nil, nil
}

// room is memory to put a takeoff in, if there is any.
func (m *Memo) room() (s spare) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if n := len(m.spare); n > 0 {
		s, m.spare = m.spare[n-1], m.spare[:n-1]
	}
	return s
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

// remembered counts the job part by part, those that are remembered from their first time.
func (p *pass) remembered(key PartKey) {
	t := p.newTogether()
	memory := p.memo.room()
	p.out.Lines, p.out.Bars = memory.lines, memory.bars
	geometries := p.geo.parts()
	parts := make([]*jobPart, len(geometries))
	for i, g := range geometries {
		k := t.steel.top + "\x00" + key(g.Walls)
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
		of.once.Do(func() {
			of.part = p.countPart(g, t.steel.top, spare{})
			of.part.pass.out.Courses = nil // nothing of the cost is in them
		})
		parts[i] = of.part
	}
	for i, a := range parts {
		if i == 0 {
			t.roomLike(a)
		}
		t.take(a, geometries[i].Walls[0].Order-a.first)
	}
	t.rest()
}
