package sheet

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"wallbill/pricing"
	"wallbill/takeoff"
)

// Each sample printed by a separate spreadsheet program: pages are numbered, Bid stands on one page, and no cell shows ####.
func TestSamplesPrint(t *testing.T) {
	office, err := exec.LookPath("soffice")
	reader, err2 := exec.LookPath("pdftotext")
	if err != nil || err2 != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("LibreOffice and pdftotext are required in CI")
		}
		t.Skip("LibreOffice or pdftotext is not installed")
	}
	if testing.Short() {
		t.Skip("prints three workbooks: not in a short run")
	}
	dir := t.TempDir()
	var files []string
	for _, name := range []string{"cottage", "mill", "pumphouse"} {
		job, findings, source, err := ReadSchedule(filepath.Join("..", "samples", name+".xlsx"), DefaultLimits)
		require.NoError(t, err)
		require.False(t, takeoff.HasErrors(findings), findings)
		bid := pricing.Price(takeoff.Compute(job), pricing.Options{Today: job.BidDate})
		base, err := source.OpenForResults()
		require.NoError(t, err)
		var out bytes.Buffer
		_, err = WritePriced(&out, base, Run{Number: 1, Time: time.Date(2026, 11, 25, 9, 30, 0, 0, time.UTC), Version: "0"}, bid, PricedOptions{Draw: name == "cottage"})
		require.NoError(t, err)
		require.NoError(t, base.Close())
		file := filepath.Join(dir, name+".xlsx")
		require.NoError(t, os.WriteFile(file, out.Bytes(), 0o600))
		files = append(files, file)
	}
	home := filepath.Join(dir, "home")
	require.NoError(t, os.MkdirAll(home, 0o755))
	print := exec.Command(office, append([]string{"-env:UserInstallation=file://" + filepath.Join(dir, "profile"), "--headless", "--norestore", "--nologo",
		"--convert-to", "pdf", "--outdir", dir}, files...)...)
	print.Env = append(os.Environ(), "HOME="+home)
	said, err := print.CombinedOutput()
	require.NoError(t, err, string(said))

	numbered := regexp.MustCompile(`Page\s+\d+\s+of\s+\d+`)
	for _, file := range files {
		text, err := exec.Command(reader, "-layout", strings.TrimSuffix(file, ".xlsx")+".pdf", "-").Output()
		require.NoError(t, err)
		require.NotContains(t, string(text), "###", file)
		pages, numbers, bids := strings.Split(strings.TrimSuffix(string(text), "\f"), "\f"), 0, 0
		for _, page := range pages {
			if numbered.MatchString(page) {
				numbers++
			}
			if strings.Contains(page, "Build-up") && strings.Contains(page, "Bid total") {
				bids++
			}
		}
		require.Equal(t, 1, bids, "%s: Bid prints on one page", file)
		require.GreaterOrEqual(t, numbers, len(resultTabs), "%s: pages are numbered", file)
		require.Less(t, len(pages), 150, file)
		t.Log(filepath.Base(file), len(pages), "pages,", numbers, "with a number")
	}
}

// No printed tab of the samples is smaller than 55 % of its size: columns are narrow enough for one page's width. The Record
// is for the next run, and as wide as the widest tab of a schedule.
func TestPrintIsReadable(t *testing.T) {
	const inch, margins = 96.0, 1.0
	for _, name := range []string{"cottage", "mill", "pumphouse"} {
		f := pricedSample(t, name)
		printed := map[string]int{}
		for _, d := range f.GetDefinedName() {
			if d.Name == "_xlnm.Print_Area" {
				_, last, _ := strings.Cut(d.RefersTo[strings.LastIndex(d.RefersTo, "!")+1:], ":")
				col, _, err := excelize.CellNameToCoordinates(strings.ReplaceAll(last, "$", ""))
				require.NoError(t, err)
				printed[d.Scope] = col
			}
		}
		for _, r := range resultTabs {
			if i, err := f.GetSheetIndex(r.name); r.name == tabRecord || err != nil || i < 0 {
				continue
			}
			rows, err := f.GetRows(r.name)
			require.NoError(t, err)
			cols := printed[r.name]
			if cols == 0 {
				for _, row := range rows {
					cols = max(cols, len(row))
				}
			}
			wide := 0.0
			for c := 1; c <= cols; c++ {
				letter, err := excelize.ColumnNumberToName(c)
				require.NoError(t, err)
				w, err := f.GetColWidth(r.name, letter)
				require.NoError(t, err)
				wide += w * 7 / inch
			}
			layout, err := f.GetPageLayout(r.name)
			require.NoError(t, err)
			page := map[int]float64{paperLetter: 8.5, paperA4: 8.27}[*layout.Size]
			if *layout.Orientation == "landscape" {
				page = map[int]float64{paperLetter: 11, paperA4: 11.69}[*layout.Size]
			}
			require.GreaterOrEqual(t, (page-margins)/wide, 0.55, "%s %s", name, r.name)
		}
	}
}
