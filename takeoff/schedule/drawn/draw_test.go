package drawn

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/schedule"
)

// Most of what is drawn is a job: it reads, is taken off and priced without an error.
func TestMostAreJobs(t *testing.T) {
	jobs, all, complete := 0, 0, 0
	said := map[string]int{}
	rapid.Check(t, func(rt *rapid.T) {
		s := Draw(Options{}).Draw(rt, "schedule")
		all++
		job, findings := schedule.Read(s.Book(), nil)
		if takeoff.HasErrors(findings) {
			count(said, findings)
			return
		}
		out := takeoff.Compute(job)
		if takeoff.HasErrors(out.Findings) {
			count(said, out.Findings)
			return
		}
		bid := pricing.Price(out, pricing.Options{})
		if takeoff.HasErrors(bid.Findings) {
			count(said, bid.Findings)
			return
		}
		jobs++
		if bid.Complete {
			complete++
		}
	})
	t.Logf("%d of %d are jobs, %d complete; errors: %v", jobs, all, complete, said)
	if all < few {
		return
	}
	require.Greater(t, jobs*100, all*70)
	require.Greater(t, complete*100, all*10)
}

func count(said map[string]int, findings []takeoff.Finding) {
	for _, f := range findings {
		if f.Severity == takeoff.Error {
			said[f.At.Tab+": "+f.Text()]++
		}
	}
}
