package takeoff

import (
	"fmt"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A fault beside others reaches the one that waits, with where it arose, through two layers of it too.
func TestFaults(t *testing.T) {
	var outer Faults
	done := 0
	outer.Keep(func() {
		var inner Faults
		var wg sync.WaitGroup
		wg.Go(func() { inner.Keep(func() { panic("a rule went wrong") }) })
		wg.Go(func() { inner.Keep(func() { done++ }) })
		wg.Wait()
		inner.Raise()
		done = 100
	})
	assert.Equal(t, 1, done)
	defer func() {
		f, ok := recover().(*Fault)
		require.True(t, ok)
		assert.Equal(t, "a rule went wrong", f.String())
		assert.Contains(t, string(f.Stack), "fault_test.go")
		var none Faults
		none.Raise()
	}()
	outer.Raise()
}

// Every work is done once; a fault in one is raised where all were asked for, and says what it was.
func TestSideBySide(t *testing.T) {
	for _, n := range []int{0, 1, 2, 100} {
		done := make([]atomic.Int32, n)
		SideBySide(n, func(i int) { done[i].Add(1) })
		for i := range done {
			assert.EqualValues(t, 1, done[i].Load(), "work %d of %d", i, n)
		}
	}
	defer func() { assert.Equal(t, "a fault in work 7", fmt.Sprint(recover())) }()
	SideBySide(100, func(i int) {
		if i == 7 {
			panic("a fault in work 7")
		}
	})
	t.Error("no fault was raised")
}
