package takeoff

import (
	"fmt"
	"runtime"
	"runtime/debug"
	"sync"
	"sync/atomic"
)

// Fault is a fault of the program, with where it arose.
type Fault struct {
	What  any
	Stack []byte
}

// String is what went wrong, without where.
func (f *Fault) String() string { return fmt.Sprint(f.What) }

// SideBySide does n works, as many at a time as there are processors, each begun in its order. A fault is raised here, when
// what was begun is done.
func SideBySide(n int, do func(i int)) {
	workers := min(runtime.GOMAXPROCS(0), n)
	if workers < 2 {
		for i := range n {
			do(i)
		}
		return
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	var faults Faults
	for range workers {
		wg.Go(func() {
			faults.Keep(func() {
				for i := next.Add(1) - 1; i < int64(n); i = next.Add(1) - 1 {
					do(int(i))
				}
			})
		})
	}
	wg.Wait()
	faults.Raise()
}

// Faults keeps the first fault of work done side by side, for the one that waits for it all: raised in a goroutine of its own
// it would end the process, with every other job of a batch.
type Faults struct {
	mu    sync.Mutex
	first *Fault
}

// Keep does work; a fault in it ends the work and is kept.
func (f *Faults) Keep(work func()) {
	defer func() {
		p := recover()
		if p == nil {
			return
		}
		fault, ok := p.(*Fault)
		if !ok {
			fault = &Fault{p, debug.Stack()}
		}
		f.mu.Lock()
		defer f.mu.Unlock()
		if f.first == nil {
			f.first = fault
		}
	}()
	work()
}

// Raise raises the fault that was kept, if any, once all the work is done.
func (f *Faults) Raise() {
	if f.first != nil {
		panic(f.first)
	}
}
