package takeoff_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/takeoff"
	"wallbill/takeoff/schedule"
	"wallbill/takeoff/schedule/drawn"
)

// Random jobs, with tees between runs and runs that stand between each other's walls, come out the same in pieces.
func TestRandomJobsInPieces(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		job, findings := schedule.Read(drawn.Draw(drawn.Options{}).Draw(rt, "schedule").Book(), nil)
		if takeoff.HasErrors(findings) {
			return
		}
		require.Equal(rt, takeoff.AllText(takeoff.Compute(job)), takeoff.AllText(takeoff.InPieces(job, 1)))
	})
}
