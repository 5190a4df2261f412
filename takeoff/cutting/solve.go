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
	best := q.firstFit()
	plan := q.plan(p, best)
	if plan.Cost == maxTotal {
		return Plan{}, fmt.Errorf("%w: the stock would cost more than can be counted", ErrTooLarge)
	}
	plan.LeastCost = min(plan.Cost, q.bound(q.w, nil, nil)*q.unit)
	plan.Proven = plan.Cost == plan.LeastCost
	if err := Recount(p, plan); err != nil {
		return Plan{}, fmt.Errorf("cut plan failed its re-count: %w", err)
	}
	return plan, nil
}
