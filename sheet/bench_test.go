package sheet

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/schedule/drawn"
)

func bigFile(tb testing.TB, n int) string {
	path := filepath.Join(tb.TempDir(), "many.xlsx")
	require.NoError(tb, WriteFile(path, func(w io.Writer) error { return WritePlain(w, drawn.Estate(n)) }))
	return path
}

// BenchmarkWhole is a job from file to file: reading, takeoff, pricing, writing, and the whole.
func BenchmarkWhole(b *testing.B) {
	for _, n := range []int{40, 1000, 10000} {
		b.Run(fmt.Sprintf("walls=%d", n), func(b *testing.B) {
			path := bigFile(b, n)
			var read, count, price, write time.Duration
			var size int
			for b.Loop() {
				t0 := time.Now()
				job, findings, source, err := ReadSchedule(path, DefaultLimits)
				require.NoError(b, err)
				require.False(b, takeoff.HasErrors(findings), findings)
				t1 := time.Now()
				out := takeoff.Compute(job)
				t2 := time.Now()
				bid := pricing.Price(out, pricing.Options{})
				t3 := time.Now()
				require.True(b, bid.Complete)
				base, err := source.OpenForResults()
				require.NoError(b, err)
				var buf bytes.Buffer
				_, err = WritePriced(&buf, base, Run{Number: 1, Version: "0"}, bid, PricedOptions{})
				require.NoError(b, err)
				require.NoError(b, base.Close())
				t4 := time.Now()
				read, count, price, write = read+t1.Sub(t0), count+t2.Sub(t1), price+t3.Sub(t2), write+t4.Sub(t3)
				size = buf.Len()
			}
			per := func(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 / float64(b.N) }
			b.ReportMetric(per(read), "read-ms")
			b.ReportMetric(per(count), "takeoff-ms")
			b.ReportMetric(per(price), "price-ms")
			b.ReportMetric(per(write), "write-ms")
			b.ReportMetric(float64(size)/1e6, "MB")
		})
	}
}
