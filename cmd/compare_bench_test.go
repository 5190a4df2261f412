package cmd

import (
	"fmt"
	"io"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"wallbill/sheet"
	"wallbill/takeoff/schedule/drawn"
)

// BenchmarkProcessCompare is the program comparing two priced revisions of a job of 1,000 walls, 200 rows of which differ,
// from its start to the workbook of the changes: every edit is priced by itself. runs/50 is that time for fifty edits over the
// time of pricing the job once without pictures.
func BenchmarkProcessCompare(b *testing.B) {
	dir := b.TempDir()
	program := filepath.Join(dir, "wallbill")
	said, err := exec.Command("go", "build", "-o", program, "wallbill/cmd/wallbill").CombinedOutput()
	require.NoError(b, err, string(said))
	run := func(args ...string) time.Duration {
		start := time.Now()
		c := exec.Command(program, args...)
		said, err := c.CombinedOutput()
		spent := time.Since(start)
		if c.ProcessState.ExitCode() != exitIncomplete { // tall braces have no price
			require.NoError(b, err, string(said))
		}
		return spent
	}
	const walls, edits = 1000, 200
	var books []string
	for i, text := range []string{drawn.Estate(walls), editedEstate(walls, edits)} {
		name := []string{"old", "new"}[i]
		job, out := filepath.Join(dir, name+".xlsx"), filepath.Join(dir, name+".priced.xlsx")
		require.NoError(b, sheet.WriteFile(job, func(w io.Writer) error { return sheet.WritePlain(w, text) }))
		run("price", job, "-o", out, "--no-drawings", "--quiet")
		books = append(books, out)
	}
	job, priced := filepath.Join(dir, "old.xlsx"), filepath.Join(dir, "again.xlsx")
	var once, all time.Duration
	for i := 0; b.Loop(); i++ {
		once += run("price", job, "-o", strings.Replace(priced, ".xlsx", fmt.Sprintf("%d.xlsx", i), 1), "--no-drawings", "--quiet")
		all += run("compare", books[0], books[1], "-o", filepath.Join(dir, fmt.Sprintf("changes%d.xlsx", i)))
	}
	b.ReportMetric(float64(all.Milliseconds())/float64(b.N), "compare-ms")
	b.ReportMetric(float64(once.Milliseconds())/float64(b.N), "price-ms")
	b.ReportMetric(all.Seconds()/once.Seconds()/edits*50, "runs/50")
}

// editedEstate is a job of n walls with so many rows changed: heights of walls, widths of openings, prices.
func editedEstate(n, edits int) string {
	lines := strings.Split(drawn.Estate(n), "\n")
	first := map[string]int{} // the first row below a tab's header
	for i, l := range lines {
		if i > 0 && lines[i-1] == "" || i == 0 {
			first[l] = i + 2
		}
	}
	change := func(row int, old, new string) {
		if !strings.Contains(lines[row], old) {
			panic("no " + old + " in " + lines[row])
		}
		lines[row] = strings.Replace(lines[row], old, new, 1)
	}
	for i := range edits {
		wall := first["Walls"] + i*5
		switch k := i % 20; {
		case k < 15:
			change(wall, `7'-6" | 6"`, []string{`8'-9" | 6"`, `10'-0" | 6"`, `11'-3" | 6"`}[i%3])
		case k < 19:
			change(first["Openings"]+i, `3'-0"`, fmt.Sprintf(`%d'-0"`, 4+i%2))
		default:
			row := first["Prices"] + i/20
			cells := strings.Split(lines[row], "|")
			cells[3] = fmt.Sprintf(" %d.25 ", 10+i)
			lines[row] = strings.Join(cells, "|")
		}
	}
	return strings.Join(lines, "\n")
}
