package cutting

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// The index names what another program's first-fit-decreasing costs. With one
// stock length the rule leaves no choice, so the two must agree; with several
// the other program tries fewer stock lengths to cut from.
func TestFirstFitAgreesWithTheIndex(t *testing.T) {
	for _, r := range table(t, "testdata/index_multi.csv") {
		p := readMulti(t, filepath.Join("testdata", r["file"]))
		plan := FirstFit(p)
		require.NoError(t, Recount(p, plan), r["name"])
		require.LessOrEqual(t, plan.LeastCost, number(t, r["best_cost"]), r["name"])
		if len(p.Stock) == 1 {
			require.Equal(t, number(t, r["ffd_cost"]), plan.Cost, r["name"])
		} else {
			require.LessOrEqual(t, plan.Cost, number(t, r["ffd_cost"]), r["name"])
		}
	}
}
