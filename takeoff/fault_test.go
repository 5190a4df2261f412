package takeoff

import (
	"sync"
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
