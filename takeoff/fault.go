package takeoff

import (
	"fmt"
	"runtime/debug"
	"sync"
)

// Fault is a fault of the program, with where it arose.
type Fault struct {
	What  any
	Stack []byte
}

// String is what went wrong, without where.
func (f *Fault) String() string { return fmt.Sprint(f.What) }

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
