package sheet

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/exact"
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

// jobFiles are whole schedules: both starters, the samples and the worked jobs.
func jobFiles(t *testing.T) map[string]string {
	t.Helper()
	dir := t.TempDir()
	files := map[string]string{"store": "../testdata/worked/store.xlsx", "annex": "../testdata/worked/annex.xlsx",
		"cottage": "../samples/cottage.xlsx", "mill": "../samples/mill.xlsx", "pumphouse": "../samples/pumphouse.xlsx"}
	for name, o := range map[string]Options{"starter": {}, "metric": {Metric: true}} {
		path := filepath.Join(dir, name+".xlsx")
		require.NoError(t, NewStarter(path, o))
		files[name] = path
	}
	return files
}

func TestWholeJobsRecalculate(t *testing.T) {
	books := map[string][]byte{}
	for name, path := range jobFiles(t) {
		books[name], _ = priceFile(t, path)
	}
	requireRecalculated(t, books)
}

// Whole jobs written over their own results are the same bytes again.
func TestWholeJobsOverTheirResults(t *testing.T) {
	for name, path := range jobFiles(t) {
		t.Run(name, func(t *testing.T) {
			first, bid := priceFile(t, path)
			job, findings, _, err := ReadSchedule(path, DefaultLimits)
			require.NoError(t, err)
			require.NotNil(t, job)
			run := testRun
			run.InputFile = filepath.Base(path)
			var b bytes.Buffer
			_, err = WritePriced(&b, openRaw(t, first), run, bid, PricedOptions{Findings: findings})
			require.NoError(t, err)
			require.Empty(t, differentParts(t, first, b.Bytes()))
		})
	}
}

// 300,000 lines are about what 10,000 walls have.
func BenchmarkWritePriced300kLines(b *testing.B) {
	s := fullSite()
	for len(s.t.Lines) < 300_000 {
		n := len(s.t.Lines)
		s.line("R-CORE", "concrete-wall", strconv.Itoa(n%97+1)+".123456789", "cy", "W"+strconv.Itoa(n/30)+"/L1/P1")
		s.t.Lines[n].How = takeoff.How{Formula: "(Lc·h−open)·core/27", Operands: []takeoff.Operand{takeoff.Num("Lc", exact.Frac(139, 6), "R-GEOM"), takeoff.Count("h", 8, "Walls!G4"),
			takeoff.Num("open", exact.Frac(259, 3), "Openings"), takeoff.Num("core", exact.Frac(1, 2), "Walls!H4")}}
	}
	bid := pricing.Price(s.t, pricing.Options{})
	for b.Loop() {
		f := scheduleBook()
		if _, err := WritePriced(io.Discard, f, testRun, bid, PricedOptions{}); err != nil {
			b.Fatal(err)
		}
		f.Close()
	}
}
