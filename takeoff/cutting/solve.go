package cutting

import (
	"fmt"
	"math"
	"sync"
)

// Work counts elementary steps of the search. It takes the place of time, so
// that the answer is the same on every machine.
type Work int64

// perMilli is the work of a thousandth of effort 1: measured at about half a
// second an effort on a machine of 2026, so a second on a small one.
const perMilli = 600_000

// EffortMilli returns the work of an effort given in thousandths: 1000 is
// effort 1, about a second on a small machine at worst and nearly always far
// less; 50 is effort 0.05.
func EffortMilli(milli int64) Work {
	if milli <= 0 {
		return 0
	}
	if milli > math.MaxInt64/perMilli {
		return math.MaxInt64
	}
	return Work(milli * perMilli)
}

// Solve plans p with the work allowed. With little work the plan is simple and
// the bound plain, but both hold.
func Solve(p Problem, w Work) (Plan, error) {
	plan, _, err := solve(p, w)
	return plan, err
}

// solve also returns the work done.
func solve(p Problem, w Work) (Plan, Work, error) {
	q, err := read(p)
	if err != nil {
		return Plan{}, 0, err
	}
	if len(q.w) == 0 {
		return Plan{Proven: true}, 0, nil
	}
	best, least, spent := q.least0(int64(w))
	plan := q.plan(p, best)
	if plan.Cost == math.MaxInt64 || plan.Bought == math.MaxInt64 {
		return Plan{}, 0, fmt.Errorf("%w: the stock would cost more than can be counted", ErrTooLarge)
	}
	plan.LeastCost = least * q.unit // not above the cost, which fits
	plan.Proven = plan.Cost == plan.LeastCost
	if err := Recount(p, plan); err != nil {
		return Plan{}, 0, fmt.Errorf("cut plan failed its re-count: %w", err)
	}
	return plan, Work(spent), nil
}

// least0 plans a demand whose shortest stock may cost nothing. Then the pieces
// that fit it are free: the others are planned first, free pieces go into what
// those leave, and the rest into as few free stock pieces as can be.
func (q *demand) least0(work int64) (*layout, int64, int64) {
	if q.price[0] > 0 {
		s := &search{q: q, budget: work}
		s.run()
		return s.best, s.least, s.spent
	}
	m := 0
	for m < len(q.w) && q.w[m] > q.size[0] {
		m++
	}
	var cuts []cut
	least, spent := int64(0), int64(0)
	left := append([]int64(nil), q.d...)
	if m > 0 {
		paid := &demand{w: q.w[:m], d: q.d[:m], size: q.size[1:], price: q.price[1:]}
		s := &search{q: paid, budget: work / 2}
		s.run()
		least, spent = s.least, s.spent
		for _, c := range s.best.cuts {
			c.stock++
			room := q.size[c.stock]
			c.parts = append([]part(nil), c.parts...)
			for _, x := range c.parts {
				room -= q.w[x.i] * x.k
			}
			for i := m; i < len(q.w); i++ {
				if k := min(room/q.w[i], left[i]/c.times); k > 0 {
					c.parts = append(c.parts, part{i, k})
					room -= k * q.w[i]
					left[i] -= k * c.times
				}
			}
			cuts = append(cuts, c)
		}
	}
	free := &demand{size: q.size[:1], price: []int64{1}}
	var line []int
	for i := m; i < len(q.w); i++ {
		if left[i] > 0 {
			free.w, free.d = append(free.w, q.w[i]), append(free.d, left[i])
			line = append(line, i)
		}
	}
	if len(line) > 0 {
		s := &search{q: free, budget: work - spent}
		s.run()
		spent += s.spent
		for _, c := range s.best.cuts {
			x := cut{stock: 0, times: c.times}
			for _, y := range c.parts {
				x.parts = append(x.parts, part{line[y.i], y.k})
			}
			cuts = append(cuts, x)
		}
	}
	return q.tidy(cuts), least, spent
}

// search holds the best plan and bound met so far.
type search struct {
	q      *demand
	budget int64
	spent  int64
	best   *layout
	least  int64
}

func (s *search) keep(l *layout) {
	if l.better(s.best) {
		s.best = l
	}
}

func (s *search) prove(least int64) {
	s.least = max(s.least, least)
}

// done tells whether nothing is left to gain, or no work left to gain it with.
func (s *search) done() bool { return s.least >= s.best.price || s.spent >= s.budget }

// maxLines is how many different lengths the linear program takes; its memory
// grows with the square. Beyond it, pieces so different fill stock well anyway.
const maxLines = 700

// run plans: first-fit and the bound by length, then, while there is something
// to gain and work left, patterns by linear programming and its exact bound,
// rows about the stock, dives for whole plans, and the search of listed patterns.
func (s *search) run() {
	s.keep(s.q.firstFit())
	s.prove(s.q.least(s.q.byLength(), s.q.price))
	if s.best.price < math.MaxInt64 && s.best.n < math.MaxInt64 && !s.done() {
		s.fillFirst()
	}
	if s.best.price < math.MaxInt64 && s.best.n < math.MaxInt64 && !s.done() {
		if len(s.q.w) > manyLines {
			s.grouped()
		}
		if len(s.q.w) > maxLines {
			s.fillAll()
		} else if !s.done() {
			s.columns()
		}
	}
	s.keep(s.q.polish(s.best))
}

// tables is the memory of the pricing tables: a job's pools are solved one after another, each with about the same.
var tables = sync.Pool{New: func() any { return new(tableMemory) }}

// keptCells is how large a table is kept for another pool.
const keptCells = 1 << 18

type tableMemory struct {
	worth      []float64
	rises      stairs[float64]
	climb      climber[float64]
	cells      []int64
	exactClimb climber[int64]
}

func (s *search) columns() {
	c := &columns{search: s, l: newMaster(s.q), until: math.MaxInt64}
	memory := tables.Get().(*tableMemory)
	defer func() { // what it holds is written before it is read, whoever had it
		*memory = tableMemory{c.f.worth, c.f.rises, c.f.climb, c.exact.cells, c.exact.climb}
		if cap(memory.worth) <= keptCells {
			tables.Put(memory)
		}
	}()
	c.f = &filler{q: s.q, worth: memory.worth, rises: memory.rises, climb: memory.climb}
	c.exact.cells, c.exact.climb = memory.cells, memory.exactClimb
	for _, x := range s.best.cuts {
		c.l.add(x.stock, x.parts)
	}
	c.start()
	s.prove(c.certify(s.q.price))
	if len(s.q.size) > 1 && !s.done() {
		root := c.l.save()
		c.dive(0)
		c.l.restore(root)
		c.stockRows()
		if !s.done() {
			c.lists((s.budget - s.spent) / listShare(len(s.q.size)))
		}
	}
	root := c.l.save()
	full := false
	complete := func() {
		full = true
		c.l.restore(root)
		c.generate(true)
		s.prove(c.certify(s.q.price))
		root = c.l.save()
	}
	for r := 0; !s.done(); r++ {
		c.l.restore(root)
		if math.Ceil(float64(c.l.value()*c.l.top)-1e-6) >= float64(s.best.price) {
			// The program says that nothing is cheaper; see whether that can be
			// proven.
			if full {
				return
			}
			complete()
			continue
		}
		c.dive(r)
		switch r {
		case 3, 12, 48, 200:
			if !full {
				complete()
			}
			if c.finish(root, (s.budget-s.spent)/4) {
				return
			}
		}
	}
}

// start solves the program for the whole demand, or as far as some two thirds of
// the work go: the rest is for finding a plan.
func (c *columns) start() {
	c.until = c.spent + (c.budget-c.spent)/3*2
	defer func() { c.until = math.MaxInt64 }()
	c.l.exchange()
	c.generate(false)
	c.l.settleExchange()
	c.generate(false)
}
