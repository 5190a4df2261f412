package cutting

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// published returns the folder of the published instances; without it the test
// is skipped, but not where CI=true.
func published(t testing.TB) string {
	dir := publishedFolder(t)
	if dir == "" {
		if os.Getenv("CI") == "true" {
			t.Fatal("the published instances (shared/reference/cuts/single) must be present in CI")
		}
		t.Skip("the published instances (shared/reference/cuts/single) are other people's collections and not part of this project; not found above this folder")
	}
	return dir
}

func solved(t testing.TB, p Problem, milli int64) Plan {
	t.Helper()
	plan, err := Solve(p, EffortMilli(milli))
	require.NoError(t, err)
	require.NoError(t, Recount(p, plan))
	return plan
}

// The instances and their optima are those of testdata/index.csv, which names
// the source of each (Falkenauer 1996 and OR-Library; Scholl, Klein and Juergens
// 1997; Waescher and Gau 1996; Schwerin and Waescher 1997; Schoenfield 2002).
// Those of class easy must be solved at effort 1, all but two of all at effort
// 10, and no bound may pass an optimum.
func TestPublishedOptima(t *testing.T) {
	dir := published(t)
	all, optimal, proven, firstFit, worst := 0, 0, 0, 0, int64(0)
	for _, r := range table(t, "testdata/index.csv") {
		milli := int64(1000)
		if r["class"] != "easy" {
			if testing.Short() {
				continue
			}
			milli = 10_000
		}
		p := readSingle(t, filepath.Join(dir, filepath.Base(r["file"])))
		optimum := number(t, r["optimum"])
		plan := solved(t, p, milli)
		all++
		over := plan.Cost - optimum
		worst = max(worst, over)
		if over == 0 {
			optimal++
		} else {
			t.Logf("%s: %d, optimum %d, bound %d", r["name"], plan.Cost, optimum, plan.LeastCost)
		}
		if plan.Proven {
			proven++
		}
		f := FirstFit(p)
		require.NoError(t, Recount(p, f))
		require.Equal(t, number(t, r["ffd"]), f.Cost, "first-fit-decreasing of %s", r["name"])
		if f.Cost == optimum {
			firstFit++
		}
		require.GreaterOrEqual(t, over, int64(0), r["name"])
		require.LessOrEqual(t, plan.LeastCost, optimum, "false bound of %s", r["name"])
		require.LessOrEqual(t, over, int64(1), r["name"])
		if r["class"] == "easy" {
			require.Zero(t, over, "%s at effort 1", r["name"])
		}
	}
	require.GreaterOrEqual(t, optimal, all-2)
	t.Logf("%d instances: %d at the optimum, %d proven, worst %d over; first-fit-decreasing %d at the optimum", all, optimal, proven, worst, firstFit)
}

// Effort 1 on the instances called hard: valid plans and true bounds; how near it
// comes is logged.
func TestPublishedHardAtEffortOne(t *testing.T) {
	if testing.Short() {
		t.Skip("short: some seconds")
	}
	dir := published(t)
	for _, r := range table(t, "testdata/index.csv") {
		if r["class"] == "easy" {
			continue
		}
		plan := solved(t, readSingle(t, filepath.Join(dir, filepath.Base(r["file"]))), 1000)
		optimum := number(t, r["optimum"])
		require.GreaterOrEqual(t, plan.Cost, optimum)
		require.LessOrEqual(t, plan.LeastCost, optimum)
		t.Logf("%s: %d, optimum %d, bound %d", r["name"], plan.Cost, optimum, plan.LeastCost)
	}
}

// Priced sets with several stock lengths: testdata/index_multi.csv gives the
// best cost known and a lower bound, proven with an integer solver where it says
// so; the worked examples are published numbers, named in the first line of each
// file, the others were made for this project.
func TestPricedStock(t *testing.T) {
	rows := table(t, "testdata/index_multi.csv")
	best, near, proven, worst, first := 0, 0, 0, 0.0, 0.0
	for _, r := range rows {
		p := readMulti(t, filepath.Join("testdata", r["file"]))
		plan := solved(t, p, 1000)
		known := number(t, r["best_cost"])
		over := 100 * float64(plan.Cost-known) / float64(known)
		worst = max(worst, over)
		first += 100 * float64(FirstFit(p).Cost-known) / float64(known)
		if over <= 0 {
			best++
		}
		if over <= 0.1 {
			near++
		}
		if plan.Proven {
			proven++
		} else {
			t.Logf("%s: %d, best known %d, bound %d", r["name"], plan.Cost, known, plan.LeastCost)
		}
		require.GreaterOrEqual(t, plan.Cost, number(t, r["lower_bound"]), r["name"])
		require.LessOrEqual(t, plan.LeastCost, known, "false bound of %s", r["name"])
		require.LessOrEqual(t, over, 0.5, r["name"])
	}
	require.GreaterOrEqual(t, float64(near), 0.95*float64(len(rows)))
	t.Logf("%d sets: %d at the best cost known, %d within 0.1%%, %d proven, worst %.3f%% over; first-fit-decreasing %.2f%% over on average", len(rows), best, near, proven, worst, first/float64(len(rows)))
}

func BenchmarkPublished(b *testing.B) {
	dir := published(b)
	families := map[string][]Problem{}
	var names []string
	for _, r := range table(b, "testdata/index.csv") {
		if families[r["family"]] == nil {
			names = append(names, r["family"])
		}
		families[r["family"]] = append(families[r["family"]], readSingle(b, filepath.Join(dir, filepath.Base(r["file"]))))
	}
	for _, n := range names {
		b.Run(n, func(b *testing.B) { benchmark(b, families[n]) })
	}
}

func BenchmarkPriced(b *testing.B) {
	families := map[string][]Problem{}
	var names []string
	for _, r := range table(b, "testdata/index_multi.csv") {
		if families[r["family"]] == nil {
			names = append(names, r["family"])
		}
		families[r["family"]] = append(families[r["family"]], readMulti(b, filepath.Join("testdata", r["file"])))
	}
	for _, n := range names {
		b.Run(n, func(b *testing.B) { benchmark(b, families[n]) })
	}
}

// benchmark reports time and work a plan at effort 1.
func benchmark(b *testing.B, ps []Problem) {
	work := Work(0)
	for i := 0; i < b.N; i++ {
		for _, p := range ps {
			_, w, err := solve(p, EffortMilli(1000))
			if err != nil {
				b.Fatal(err)
			}
			work += w
		}
	}
	plans := float64(b.N * len(ps))
	b.ReportMetric(b.Elapsed().Seconds()*1000/plans, "ms/plan")
	b.ReportMetric(float64(work)/1e6/plans, "Mwork/plan")
}
