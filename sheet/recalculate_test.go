package sheet

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// alwaysRecalculate is a profile of the spreadsheet program that recalculates every file it loads; by default it shows the
// stored values.
const alwaysRecalculate = `<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
</oor:items>
`

// recalculate has a separate spreadsheet program load workbooks, compute every formula and save them again, all in one call,
// because starting it takes longest. Where the program is not installed the test is skipped, but not in CI.
func recalculate(t *testing.T, books ...[]byte) []*excelize.File {
	t.Helper()
	if testing.Short() {
		t.Skip("another program recalculates: not in a short run")
	}
	program, err := exec.LookPath("soffice")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("soffice is required in CI (Debian: libreoffice-calc-nogui)")
		}
		t.Skip("soffice is not installed (Debian: libreoffice-calc-nogui)")
	}
	dir := t.TempDir()
	profile := filepath.Join(dir, "profile")
	require.NoError(t, os.MkdirAll(filepath.Join(profile, "user"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(profile, "user", "registrymodifications.xcu"), []byte(alwaysRecalculate), 0o644))
	out := filepath.Join(dir, "out")
	args := []string{"-env:UserInstallation=file://" + profile, "--headless", "--norestore", "--nologo",
		"--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", out}
	for i, b := range books {
		in := filepath.Join(dir, "book-"+strconv.Itoa(i)+".xlsx")
		require.NoError(t, os.WriteFile(in, b, 0o644))
		args = append(args, in)
	}
	run := exec.Command(program, args...)
	run.Env = append(os.Environ(), "HOME="+dir)
	said, err := run.CombinedOutput()
	require.NoError(t, err, string(said))
	var files []*excelize.File
	for i := range books {
		f, err := excelize.OpenFile(filepath.Join(out, "book-"+strconv.Itoa(i)+".xlsx"), excelize.Options{RawCellValue: true})
		require.NoError(t, err)
		t.Cleanup(func() { _ = f.Close() })
		files = append(files, f)
	}
	return files
}

// storedFormula is a formula of a results tab with the value stored beside it.
type storedFormula struct{ tab, cell, formula, value string }

func storedFormulas(t *testing.T, f *excelize.File) []storedFormula {
	t.Helper()
	var all []storedFormula
	for _, r := range resultTabs {
		if r.fill == nil {
			continue
		}
		rows, err := f.GetRows(r.name)
		require.NoError(t, err)
		for i, row := range rows {
			for j := range row {
				name, err := excelize.CoordinatesToCellName(j+1, i+1)
				require.NoError(t, err)
				formula, err := f.GetCellFormula(r.name, name)
				require.NoError(t, err)
				if formula != "" {
					all = append(all, storedFormula{r.name, name, formula, row[j]})
				}
			}
		}
	}
	return all
}

func sameValue(a, b string) bool {
	if a == b {
		return true
	}
	x, err1 := strconv.ParseFloat(a, 64)
	y, err2 := strconv.ParseFloat(b, 64)
	return err1 == nil && err2 == nil && math.Abs(x-y) <= 1e-9*max(1, math.Abs(x), math.Abs(y))
}

// requireRecalculated is the proof that a spreadsheet comes to the stored values: each formula computed elsewhere gives what
// is stored, and a wrong value planted in each is replaced, so that the comparison is not of a file with itself.
func requireRecalculated(t *testing.T, books map[string][]byte) {
	t.Helper()
	names := sortedKeys(books)
	var wrong [][]byte
	for _, n := range names {
		wrong = append(wrong, plantWrong(t, books[n]))
	}
	for k, again := range recalculate(t, wrong...) {
		t.Run(names[k], func(t *testing.T) {
			formulas := storedFormulas(t, openRaw(t, books[names[k]]))
			require.NotEmpty(t, formulas)
			differ := 0
			for _, s := range formulas {
				value, err := again.GetCellValue(s.tab, s.cell)
				require.NoError(t, err)
				if !sameValue(s.value, value) {
					if differ++; differ <= 20 {
						t.Errorf("%s!%s =%s: stored %q, recalculated %q", s.tab, s.cell, s.formula, s.value, value)
					}
				}
			}
			require.Zero(t, differ, "of %d formulas", len(formulas))
			t.Logf("%d formulas recalculated", len(formulas))
		})
	}
}

// plantWrong puts a wrong value beside every formula of a workbook.
func plantWrong(t *testing.T, book []byte) []byte {
	t.Helper()
	return editParts(t, book, func(name string, part []byte) []byte {
		if !strings.HasPrefix(name, "xl/worksheets/sheet") {
			return part
		}
		return storedValue.ReplaceAll(part, []byte("$1<v>999.125</v>"))
	})
}
