package takeoff

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Remembered plans are the plans: a job taken off again with them comes out the same, and so does one beside it that
// shares some of its pools.
func TestPlansRemembered(t *testing.T) {
	var plans Plans
	a, b := bigSite(40), bigSite(40)
	b.job.Walls[0].Height += ft(`1'`)
	b.job.Walls[0].HeightEnd = b.job.Walls[0].Height
	for _, s := range []*site{a, b, a} {
		want, have := Compute(s.job), plans.Compute(s.job)
		require.Len(t, have.Cuts, len(want.Cuts))
		for i := range want.Cuts {
			assert.Equal(t, want.Cuts[i].Plan, have.Cuts[i].Plan)
		}
		assert.Equal(t, len(want.Lines), len(have.Lines))
	}
	once := len(plans.kept)
	plans.Compute(a.job)
	assert.Len(t, plans.kept, once)
	assert.Greater(t, once, 0)
}
