package cutting

import (
	"fmt"
	"math"
)

// Work counts elementary steps of the search. It takes the place of time, so
// that the answer is the same on every machine.
type Work int64

// perMilli is the work of a thousandth of effort 1.
const perMilli = 400_000

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

const maxTotal = math.MaxInt64

// Solve plans p with the work allowed. With little work the plan is simple and
// the bound plain, but both hold.
func Solve(p Problem, w Work) (Plan, error) {
	q, err := read(p)
	if err != nil {
		return Plan{}, err
	}
	if len(q.w) == 0 {
		return Plan{Proven: true}, nil
	}
	s := &search{q: q, budget: int64(w)}
	s.keep(q.firstFit())
	if satMul(s.best.price, q.unit) == maxTotal {
		return Plan{}, fmt.Errorf("%w: the stock would cost more than can be counted", ErrTooLarge)
	}
	s.prove(q.least(q.byLength(), q.price))
	s.run()
	plan := q.plan(p, s.best)
	plan.LeastCost = s.least * q.unit // not above the cost, which fits
	plan.Proven = plan.Cost == plan.LeastCost
	if err := Recount(p, plan); err != nil {
		return Plan{}, fmt.Errorf("cut plan failed its re-count: %w", err)
	}
	return plan, nil
}

// search holds the best plan and bound met so far.
type search struct {
	q      *demand
	budget int64
	spent  int64
	best   *layout
	least  int64
	debug  func(string, ...any)
}

func (s *search) keep(l *layout) {
	if l.better(s.best) {
		if s.debug != nil && s.best != nil && l.price != s.best.price {
			s.debug("plan %d (was %d) at %dM", l.price, s.best.price, s.spent/1e6)
		}
		s.best = l
	}
}

func (s *search) prove(least int64) {
	if least > s.least {
		s.least = least
	}
}

// done tells whether nothing is left to gain, or no work left to gain it with.
func (s *search) done() bool { return s.least >= s.best.price || s.spent >= s.budget }

var debugf func(string, ...any)

func (s *search) run() {
	s.debug = debugf
	if s.done() {
		return
	}
	c := &columns{search: s, l: newMaster(s.q), f: newFiller(s.q)}
	for _, x := range s.best.cuts {
		c.l.add(x.stock, x.parts)
	}
	c.generate(false)
	s.prove(c.certify(s.q.price))
	if s.debug != nil {
		s.debug("root %.6f cols %d prices %d least %d at %dM", c.l.value()*c.l.top, len(c.l.cols), c.rounds, s.least, s.spent/1e6)
	}
	if len(s.q.size) > 1 {
		root := c.l.save()
		c.dive(0)
		c.l.restore(root)
		c.stockRows()
		if s.debug != nil {
			s.debug("rows %d %.6f least %d cols %d at %dM", len(c.l.rows), c.l.value()*c.l.top, s.least, len(c.l.cols), s.spent/1e6)
		}
	}
	root := c.l.save()
	full := false
	for r := 0; !s.done(); r++ {
		c.l.restore(root)
		if math.Ceil(c.l.value()*c.l.top-1e-6) >= float64(s.best.price) {
			// The program cannot be beaten; see whether that can be proven.
			if full {
				break
			}
			full = true
			c.generate(true)
			s.prove(c.certify(s.q.price))
			root = c.l.save()
			continue
		}
		c.dive(r)
		if r == 3 || r == 12 || r == 48 || r == 200 {
			if !full {
				full = true
				c.l.restore(root)
				c.generate(true)
				s.prove(c.certify(s.q.price))
				root = c.l.save()
			}
			before := s.spent
			through := c.finish(root, (s.budget-s.spent)/4)
			if s.debug != nil {
				s.debug("finish %v: best %d, work %dM", through, s.best.price, (s.spent-before)/1e6)
			}
			if through {
				break
			}
		}
	}
	if s.debug != nil {
		s.debug("end best %d least %d at %dM rounds %d", s.best.price, s.least, s.spent/1e6, c.rounds)
	}
}
