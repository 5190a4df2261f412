package takeoff

import (
	"encoding/binary"
	"hash/fnv"
	"slices"
	"sync"

	"wallbill/takeoff/cutting"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
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

// Compute is Compute with cut plans remembered.
func (m *Memo) Compute(job *Job) *Takeoff { return compute(job, m, nil) }

// Sums is a takeoff for its cost alone, with cut plans and parts of the job remembered. Lines of one item and rule are one,
// so are bars of one size, length and place, and what costs nothing is left out: the places of lines, courses, uses of
// pieces, where braces stand, how bars are bent, what a pour's walls are, lifts and pressures, reminders. What a bid of it
// comes to is the same; how it is shared among levels and pours, and when what is needed, is not told.
func (m *Memo) Sums(job *Job, key PartKey) *Takeoff { return compute(job, m, key) }

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

// part is what the memo has under a key, made at the first time.
func (m *Memo) part(key string, make func() *jobPart) *jobPart {
	m.mu.Lock()
	if m.parts == nil {
		m.parts = map[string]*keptPart{}
	}
	of := m.parts[key]
	if of == nil {
		of = &keptPart{}
		m.parts[key] = of
	}
	m.mu.Unlock()
	of.once.Do(func() { of.part = make() })
	return of.part
}

// sumParts counts the job part by part. Parts and bundles of parts that are remembered are taken as they are: an edit of
// one wall counts its part and adds up its bundle, and then there are few bundles to add up.
func (p *pass) sumParts(key PartKey) {
	p.sums = true
	t := p.newTogether()
	var bundle []*Geometry
	var keys []string
	all := "" // of the bundle, each key with its length
	add := func() {
		a := p.memo.part("bundle "+all, func() *jobPart {
			of := newPass(p.job, p.geo, nil).newTogether()
			for i, g := range bundle {
				of.take(p.memo.part("part "+keys[i], func() *jobPart { return p.countPart(g, t.steel.top, spare{}).summedUp() }), 0)
			}
			return of.part().summedUp()
		})
		t.take(a, 0)
		bundle, keys, all = bundle[:0], keys[:0], ""
	}
	for _, g := range p.geo.parts() {
		k := t.steel.top + "\x00" + key(g.Walls)
		bundle, keys = append(bundle, g), append(keys, k)
		all += string(binary.AppendUvarint(nil, uint64(len(k)))) + k
		if endsBundle(k) {
			add()
		}
	}
	if len(bundle) > 0 {
		add()
	}
	t.rest()
}

// endsBundle tells whether a part is the last of its bundle: every sixteenth or so. It follows from the part alone, so that
// a part more or less leaves the bundles after it as they are.
func endsBundle(key string) bool {
	h := fnv.New32a()
	h.Write([]byte(key))
	return h.Sum32()%16 == 0
}

// part is what the parts put together add to a job.
func (t *together) part() *jobPart {
	return &jobPart{pass: t.pass, steel: t.steel, membrane: t.membrane, board: t.board, said: t.said}
}

// summedUp adds up lines of one item and rule and bars of one size, length and place, and drops what costs nothing.
// What is left holds nothing of the job it was counted for but its forms: many are kept.
func (a *jobPart) summedUp() *jobPart {
	q := a.pass
	type lineKey struct {
		rule, item string
		unit       unit.Unit
	}
	lineAt := map[lineKey]int{}
	var lines []Line
	for i := range q.out.Lines {
		l := &q.out.Lines[i]
		k := lineKey{l.Rule, l.Item, l.Unit}
		if at, ok := lineAt[k]; ok {
			lines[at].Quantity = lines[at].Quantity.Add(l.Quantity)
			continue
		}
		lineAt[k] = len(lines)
		lines = append(lines, Line{Rule: l.Rule, Item: l.Item, Unit: l.Unit, Quantity: l.Quantity})
	}
	type barKey struct {
		bar         *Bar
		long        length.Length
		bent        bool
		level, pour string
	}
	barAt := map[barKey]int{}
	var bars []BarRow
	for i := range q.out.Bars {
		b := &q.out.Bars[i]
		k := barKey{b.Bar, b.Length, b.Bent, b.Level, b.Pour}
		if at, ok := barAt[k]; ok {
			to := &bars[at]
			to.Count, to.Mass, to.Raised = to.Count+b.Count, to.Mass.Add(b.Mass), to.Raised.Add(b.Raised)
			continue
		}
		barAt[k] = len(bars)
		bars = append(bars, *b)
		bars[barAt[k]].Legs = nil
	}
	braces := slices.Clone(q.out.Braces)
	for i := range braces {
		braces[i].Positions = nil
	}
	for i := range a.steel.halfRow {
		a.steel.halfRow[i].row.Legs = nil
	}
	for _, c := range q.pools.forms {
		c.Uses = nil
	}
	for _, v := range q.volumes.byKey {
		v.walls = nil
	}
	return &jobPart{
		pass: &pass{
			job: &Job{Forms: q.job.Forms}, out: &Takeoff{Lines: slices.Clone(lines), Bars: slices.Clone(bars), Braces: braces},
			drivers: q.drivers, near: q.near, pools: pools{forms: q.pools.forms}, volumes: q.volumes,
		},
		steel:    &steel{totals: a.steel.totals, halfRow: a.steel.halfRow},
		membrane: &rolled{levels: a.membrane.levels}, board: &rolled{levels: a.board.levels},
		said: a.said,
	}
}
