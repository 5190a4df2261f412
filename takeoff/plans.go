package takeoff

import (
	"encoding/binary"
	"sync"

	"wallbill/takeoff/cutting"
)

// Plans remembers cut plans, so that takeoffs of jobs that differ little plan each pool once: a plan follows from the pool
// and the work allowed alone. It may be used by several takeoffs at a time. The zero Plans remembers none yet.
type Plans struct {
	mu   sync.Mutex
	kept map[string]*keptPlan
}

type keptPlan struct {
	once sync.Once
	plan cutting.Plan
	err  error
}

// Compute is Compute with the plans remembered, to the same result.
func (k *Plans) Compute(job *Job) *Takeoff { return compute(job, k) }

// solve is cutting.Solve, once for each problem; k may be nil.
func (k *Plans) solve(p cutting.Problem, w cutting.Work) (cutting.Plan, error) {
	if k == nil {
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
	k.mu.Lock()
	if k.kept == nil {
		k.kept = map[string]*keptPlan{}
	}
	of := k.kept[string(key)]
	if of == nil {
		of = &keptPlan{}
		k.kept[string(key)] = of
	}
	k.mu.Unlock()
	of.once.Do(func() { of.plan, of.err = cutting.Solve(p, w) })
	return of.plan, of.err
}
