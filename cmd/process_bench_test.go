package cmd

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"wallbill/sheet"
	"wallbill/takeoff/schedule/drawn"
)

// BenchmarkProcess is the program as it is run, from its start to the finished file, on jobs of 40, 1,000 and 10,000 walls
// with 0.3 openings a wall, without pictures; peak-MB is the most memory it held; with-pictures-ms and with-pictures-MB are
// the same of a run that draws, as it does unless told not to. Beside it, where it is installed, another program loads the
// workbook without pictures, recalculates it and saves it: other/own is how many times as long that takes.
func BenchmarkProcess(b *testing.B) {
	program := filepath.Join(b.TempDir(), "wallbill")
	said, err := exec.Command("go", "build", "-o", program, "wallbill/cmd/wallbill").CombinedOutput()
	require.NoError(b, err, string(said))
	for _, n := range []int{40, 1000, 10000} {
		if testing.Short() && n > 1000 {
			continue
		}
		b.Run(fmt.Sprintf("walls=%d", n), func(b *testing.B) {
			dir := b.TempDir()
			job := filepath.Join(dir, "job.xlsx")
			require.NoError(b, sheet.WriteFile(job, func(w io.Writer) error { return sheet.WritePlain(w, drawn.Estate(n)) }))
			out := filepath.Join(dir, "out.xlsx")
			var own, pictured, other time.Duration
			var most, mostPictured int64
			once := func(took *time.Duration, memory *int64, flags ...string) {
				_ = os.Remove(out)
				run := exec.Command(program, append([]string{"price", job, "-o", out, "--quiet"}, flags...)...)
				start := time.Now()
				said, err := run.CombinedOutput()
				*took += time.Since(start)
				require.NoError(b, err, string(said))
				if use, ok := run.ProcessState.SysUsage().(*syscall.Rusage); ok {
					*memory = max(*memory, use.Maxrss) // in kilobytes on this system
				}
			}
			for b.Loop() {
				once(&pictured, &mostPictured)
				once(&own, &most, "--no-drawings")
				if !testing.Short() {
					other += recalculation(b, out)
				}
			}
			b.ReportMetric(float64(own.Microseconds())/1000/float64(b.N), "own-ms")
			b.ReportMetric(float64(most)/1024, "peak-MB")
			b.ReportMetric(float64(pictured.Microseconds())/1000/float64(b.N), "with-pictures-ms")
			b.ReportMetric(float64(mostPictured)/1024, "with-pictures-MB")
			if other > 0 {
				b.ReportMetric(other.Seconds()/own.Seconds(), "other/own")
			}
		})
	}
}

// recalculation is how long another spreadsheet program takes to load a workbook, recalculate and save it; 0 where it is not
// installed.
func recalculation(b *testing.B, book string) time.Duration {
	office, err := exec.LookPath("soffice")
	if err != nil {
		return 0
	}
	dir := b.TempDir()
	user := filepath.Join(dir, "profile", "user")
	require.NoError(b, os.MkdirAll(user, 0o755))
	const always = `<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
</oor:items>
`
	require.NoError(b, os.WriteFile(filepath.Join(user, "registrymodifications.xcu"), []byte(always), 0o644))
	run := exec.Command(office, "-env:UserInstallation=file://"+filepath.Dir(user), "--headless", "--norestore", "--nologo",
		"--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", filepath.Join(dir, "out"), book)
	run.Env = append(os.Environ(), "HOME="+dir)
	start := time.Now()
	said, err := run.CombinedOutput()
	require.NoError(b, err, string(said))
	return time.Since(start)
}
