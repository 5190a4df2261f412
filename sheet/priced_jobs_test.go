package sheet

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"wallbill/pricing"
	"wallbill/takeoff"
)

// priceFile goes the whole way from a schedule's file to the priced workbook.
func priceFile(t *testing.T, path string) ([]byte, *pricing.Bid) {
	t.Helper()
	job, findings, source, err := ReadSchedule(path, DefaultLimits)
	require.NoError(t, err)
	for _, f := range findings {
		require.NotEqual(t, takeoff.Error, f.Severity, f.At.String()+" "+f.Text())
	}
	bid := pricing.Price(takeoff.Compute(job), pricing.Options{})
	for _, f := range append(bid.Takeoff.Findings, bid.Findings...) {
		require.NotEqual(t, takeoff.Error, f.Severity, f.At.String()+" "+f.Text())
	}
	base, err := source.OpenForResults()
	require.NoError(t, err)
	defer base.Close()
	run := testRun
	run.InputFile = filepath.Base(path)
	var b bytes.Buffer
	_, err = WritePriced(&b, base, run, bid, PricedOptions{Findings: findings})
	require.NoError(t, err)
	if dir := os.Getenv("KEEP"); dir != "" {
		require.NoError(t, os.WriteFile(filepath.Join(dir, filepath.Base(path)), b.Bytes(), 0o644))
	}
	return b.Bytes(), bid
}

// jobFiles are whole schedules: both starters and the worked jobs.
func jobFiles(t *testing.T) map[string]string {
	t.Helper()
	dir := t.TempDir()
	files := map[string]string{"store": "../testdata/worked/store.xlsx", "annex": "../testdata/worked/annex.xlsx"}
	for name, o := range map[string]Options{"starter": {}, "metric": {Metric: true}} {
		path := filepath.Join(dir, name+".xlsx")
		require.NoError(t, NewStarter(path, o))
		files[name] = path
	}
	return files
}

func TestWholeJobsRecalculate(t *testing.T) {
	for name, path := range jobFiles(t) {
		t.Run(name, func(t *testing.T) {
			book, _ := priceFile(t, path)
			requireRecalculated(t, book)
		})
	}
}
