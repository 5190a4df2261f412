package cmd

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"wallbill/sheet"
	"wallbill/takeoff"
	"wallbill/takeoff/schedule/drawn"
)

// someJobs writes n schedules of one house each into a folder.
func someJobs(tb testing.TB, n, runs int) string {
	tb.Helper()
	dir := tb.TempDir()
	text := drawn.Estate(4 * runs)
	for i := range n {
		path := filepath.Join(dir, fmt.Sprintf("job%04d.xlsx", i))
		require.NoError(tb, sheet.WriteFile(path, func(w io.Writer) error { return sheet.WritePlain(w, text) }))
	}
	return dir
}

// inProcess is the command line with its output caught.
func inProcess(args ...string) (status int, out, errs string) {
	var o, e bytes.Buffer
	status = Run(args, Streams{In: strings.NewReader(""), Out: &o, Err: &e})
	return status, o.String(), e.String()
}

// Jobs run side by side write the same bytes, and say the same, as one after another.
func TestSideBySideIsTheSame(t *testing.T) {
	dir := someJobs(t, 5, 2)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "job0002.xlsx"), []byte("no workbook"), 0o644))
	got := map[string]string{}
	for _, jobs := range []string{"1", "4"} {
		out := filepath.Join(t.TempDir(), "out")
		status, said, errs := inProcess("price", dir, "-o", out, "--no-drawings", "--jobs", jobs, "--time", "2026-11-25T09:30:00Z", "--pool-bars")
		require.Equal(t, exitFailed, status)
		files, err := os.ReadDir(out)
		require.NoError(t, err)
		require.Len(t, files, 5) // four jobs and batch.xlsx
		for _, f := range files {
			b, err := os.ReadFile(filepath.Join(out, f.Name()))
			require.NoError(t, err)
			if before, ok := got[f.Name()]; ok {
				require.True(t, before == string(b), "%s differs", f.Name())
			}
			got[f.Name()] = string(b)
		}
		said, errs = strings.ReplaceAll(said, out, "out"), strings.ReplaceAll(errs, out, "out")
		if got["said"] != "" {
			require.Equal(t, got["said"], said)
			require.Equal(t, got["errs"], errs)
		}
		got["said"], got["errs"] = said, errs
	}
}

// An interrupt while a batch runs: it ends with one line, what is finished is whole, no temporary file and no roll-up is
// left.
func TestInterrupt(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a process cannot send itself an interrupt there")
	}
	const n = 60
	dir := someJobs(t, n, 2)
	out := filepath.Join(t.TempDir(), "out")
	stop := make(chan struct{})
	go func() {
		for {
			select {
			case <-stop:
				return
			case <-time.After(2 * time.Millisecond):
			}
			if done, _ := filepath.Glob(filepath.Join(out, "*.priced.xlsx")); len(done) > 1 {
				_ = syscall.Kill(os.Getpid(), syscall.SIGINT)
				return
			}
		}
	}()
	status, _, errs := inProcess("price", dir, "-o", out, "--no-drawings")
	close(stop)
	require.Equal(t, exitFailed, status)
	require.Regexp(t, `interrupted: \d+ of 60 schedules were finished; their workbooks are whole`, errs)
	files, err := os.ReadDir(out)
	require.NoError(t, err)
	require.NotEmpty(t, files)
	require.Less(t, len(files), n)
	for _, f := range files {
		require.Regexp(t, `^job\d+\.priced\.xlsx$`, f.Name())
		_, err := sheet.Open(filepath.Join(out, f.Name()), sheet.DefaultLimits)
		require.NoError(t, err)
	}
}

// An interrupt while a file is written leaves the old one, and no other.
func TestInterruptedWrite(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.txt")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o644))
	ctx, cancel := context.WithCancel(t.Context())
	a := &app{ctx: ctx}
	err := a.write(path, func(w io.Writer) error {
		_, err := w.Write([]byte("half"))
		require.NoError(t, err)
		cancel()
		_, err = w.Write([]byte("more"))
		return err
	})
	require.ErrorIs(t, err, errInterrupted)
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "old", string(b))
	files, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, files, 1)
	require.ErrorIs(t, a.guarded(func() error { t.Error("begun after an interrupt"); return nil }), errInterrupted)
}

// A fault in one job is that job's error, with its place.
func TestFaultIsOneJobs(t *testing.T) {
	a := &app{ctx: t.Context()}
	err := a.guarded(func() error { panic("a rule went wrong") })
	require.ErrorContains(t, err, "a fault of wallbill: a rule went wrong")
	require.ErrorContains(t, err, "batch_test.go:")
	require.NoError(t, a.guarded(func() error { return nil }))
}

// A fault while a file is written, in a goroutine beside others too, is an error that leaves the old file and nothing else.
func TestFaultWhileWriting(t *testing.T) {
	a := &app{ctx: t.Context()}
	dir := t.TempDir()
	path := filepath.Join(dir, "bid.xlsx")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o644))
	err := a.write(path, func(w io.Writer) error {
		_, _ = w.Write([]byte("half"))
		var faults takeoff.Faults
		var wg sync.WaitGroup
		wg.Go(func() { faults.Keep(func() { panic("a part went wrong") }) })
		wg.Wait()
		faults.Raise()
		return nil
	})
	require.ErrorContains(t, err, "a fault of wallbill: a part went wrong")
	require.ErrorContains(t, err, "batch_test.go:")
	have, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "old", string(have))
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 1)
}

// A schedule that vanishes, or turns into something else, after the folder was listed fails alone.
func TestFileTurnsUnreadable(t *testing.T) {
	dir := someJobs(t, 4, 1)
	a := &app{ctx: t.Context(), limits: sheet.DefaultLimits}
	var out, errs bytes.Buffer
	a.Out, a.Err = &out, &errs
	found := a.schedules([]string{dir})
	require.Len(t, found.jobs, 4)
	require.NoError(t, os.Remove(found.jobs[0].path))
	require.NoError(t, os.Truncate(found.jobs[2].path, 2000))
	err := a.priceBatch(found, priceFlags{noDrawings: true}, how{price: true, now: time.Now()})
	var exit *exitError
	require.ErrorAs(t, err, &exit)
	require.Equal(t, exitFailed, exit.status)
	require.Contains(t, errs.String(), "job0000.xlsx: there is no such file")
	require.Contains(t, errs.String(), "job0002.xlsx: damaged or cut off")
	lines := strings.Split(strings.TrimSpace(out.String()), "\n")
	require.Len(t, lines, 4)
	for i, want := range []string{"failed", "run 1", "failed", "run 1"} {
		require.Contains(t, lines[i], fmt.Sprintf("job%04d.xlsx: %s", i, want))
	}
}

// Every job is handed over once, in order; never more are kept than were let run ahead; done is told of each.
func TestSideBySideKeepsOrder(t *testing.T) {
	const n, workers = 500, 4
	var begun, handed atomic.Int64
	var mu sync.Mutex
	var order []int
	done := 0
	sideBySide(t.Context(), n, workers, func(i int) int {
		if most := begun.Add(1) - handed.Load(); most > int64(workers*ahead+workers) {
			t.Errorf("%d jobs are ahead", most)
		}
		if i%17 == 0 {
			time.Sleep(time.Millisecond)
		}
		return i * i
	}, func(int) { done++ }, func(i, v int) {
		mu.Lock()
		defer mu.Unlock()
		handed.Add(1)
		require.Equal(t, i*i, v)
		order = append(order, i)
	})
	require.Equal(t, n, done)
	require.Len(t, order, n)
	for i, k := range order {
		require.Equal(t, i, k)
	}
}

// BenchmarkBatch is a batch without drawings: 200 jobs of 40 walls, and how time grows to 1,000. It reports the seconds, and
// the most memory the process has held so far.
func BenchmarkBatch(b *testing.B) {
	sizes := []int{50, 200, 1000} // time and memory at 1,000 show how they grow
	if testing.Short() {
		sizes = sizes[:2]
	}
	for _, n := range sizes {
		b.Run(fmt.Sprintf("jobs=%d", n), func(b *testing.B) {
			dir := someJobs(b, n, 10)
			for b.Loop() {
				status, _, errs := inProcess("price", dir, "-o", filepath.Join(b.TempDir(), "out"), "--no-drawings", "--quiet")
				require.Equal(b, exitDone, status, errs)
			}
			b.ReportMetric(b.Elapsed().Seconds()*1000/float64(b.N)/float64(n), "ms/job")
			b.ReportMetric(peakMB(), "peak-MB")
		})
	}
}

// peakMB is the most memory this process has held, as the system counts it; 0 where it does not say.
func peakMB() float64 {
	text, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	for _, line := range strings.Split(string(text), "\n") {
		if rest, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			var kb float64
			_, _ = fmt.Sscan(rest, &kb)
			return kb / 1024
		}
	}
	return 0
}
