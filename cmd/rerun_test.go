package cmd

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"wallbill/sheet"
)

// ownTab is a tab of the user's that points at the results.
var ownTab = map[string]string{
	"A1": "Bid!C14", "A2": "SUM('Priced items'!$K$5:$K$40)", "A3": "bid_total", "A4": "IF(Bid!A3=\"\",\"done\",Bid!A3)", "A5": "Walls!F2",
}

// A workbook whose own tab refers to Bid and Priced items has the references whole after three runs, in place and in the
// priced workbook, and every workbook that was replaced is kept.
func TestOwnTabAfterThreeRuns(t *testing.T) {
	for _, inPlace := range []bool{true, false} {
		t.Run(fmt.Sprintf("in place %v", inPlace), func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "store.xlsx")
			worked, err := os.ReadFile(filepath.Join("..", "testdata", "worked", "store.xlsx"))
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(path, worked, 0o644))
			args, out := []string{"price", path, "--no-drawings"}, filepath.Join(dir, "store.priced.xlsx")
			if inPlace {
				args, out = append(args, "--in-place"), path
			}
			price := func() {
				var said bytes.Buffer
				status := Run(args, Streams{Out: &said, Err: &said})
				require.Contains(t, []int{exitDone, exitIncomplete}, status, said.String())
			}
			edit := func(file string, change func(f *excelize.File)) {
				f, err := excelize.OpenFile(file)
				require.NoError(t, err)
				change(f)
				require.NoError(t, f.Save())
				require.NoError(t, f.Close())
			}
			price()
			edit(out, func(f *excelize.File) {
				_, err := f.NewSheet("Mine")
				require.NoError(t, err)
				for cell, formula := range ownTab {
					require.NoError(t, f.SetCellFormula("Mine", cell, formula))
				}
				require.NoError(t, f.SetCellStr("Mine", "B1", "my bid"))
				require.NoError(t, f.SetDefinedName(&excelize.DefinedName{Name: "MyItems", RefersTo: "'Priced items'!$A$5:$K$40"}))
			})
			totals := map[string]bool{}
			for i, height := range []string{`8'-0"`, `8'-9"`, `9'-0"`} {
				edit(path, func(f *excelize.File) {
					require.NoError(t, f.SetCellStr("Walls", "F2", height))
					require.NoError(t, f.SetCellFloat("Prices", "D3", 20+float64(i), 2, 64))
				})
				price()
				f, err := excelize.OpenFile(out)
				require.NoError(t, err)
				for cell, formula := range ownTab {
					have, err := f.GetCellFormula("Mine", cell)
					require.NoError(t, err)
					assert.Equal(t, formula, strings.TrimPrefix(have, "="))
				}
				label, err := f.GetCellValue("Mine", "B1")
				require.NoError(t, err)
				assert.Equal(t, "my bid", label)
				names := map[string]string{}
				for _, n := range f.GetDefinedName() {
					names[n.Name] = n.RefersTo
				}
				assert.Equal(t, "'Priced items'!$A$5:$K$40", names["MyItems"])
				assert.Contains(t, names["bid_total"], "$C$14")
				title, err := f.GetCellValue("Bid", "A14")
				require.NoError(t, err)
				assert.Equal(t, "Bid total", title)
				total, err := f.GetCellValue("Bid", "C14", excelize.Options{RawCellValue: true})
				require.NoError(t, err)
				totals[total] = true
				renewed, err := f.GetCellValue("Walls", "F2")
				require.NoError(t, err)
				assert.Equal(t, height, renewed)
				head, err := f.GetCellValue("Priced items", "A4")
				require.NoError(t, err)
				assert.NotEmpty(t, head)
				require.NoError(t, f.Close())

				w, err := sheet.Open(out, sheet.DefaultLimits)
				require.NoError(t, err)
				run, edited, err := w.ReadRecord()
				require.NoError(t, err)
				assert.False(t, edited)
				assert.Equal(t, i+2, run.Number)
				require.NotNil(t, run.Changes)
				assert.True(t, run.Changes.EditSum().Equal(run.Changes.Difference()))
			}
			assert.Len(t, totals, 3)
			kept, err := filepath.Glob(filepath.Join(dir, "store.runs", "*.xlsx"))
			require.NoError(t, err)
			want := 3
			if inPlace {
				want = 4 // the schedule as it was before it held results
			}
			assert.Len(t, kept, want, "%v", kept)
			left, err := filepath.Glob(filepath.Join(dir, ".wallbill-*"))
			require.NoError(t, err)
			assert.Empty(t, left)
		})
	}
}

// A Record edited by hand is said, and so is one that cannot be read.
func TestRecordEditedIsSaid(t *testing.T) {
	dir := t.TempDir()
	path, out := filepath.Join(dir, "store.xlsx"), filepath.Join(dir, "store.priced.xlsx")
	worked, err := os.ReadFile(filepath.Join("..", "testdata", "worked", "store.xlsx"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, worked, 0o644))
	price := func() string {
		var said bytes.Buffer
		Run([]string{"price", path, "--no-drawings"}, Streams{Out: &said, Err: &said})
		return said.String()
	}
	change := func(find, to string) {
		f, err := excelize.OpenFile(out)
		require.NoError(t, err)
		rows, err := f.GetRows("Record")
		require.NoError(t, err)
		for i, r := range rows {
			if len(r) > 1 && r[0] == find {
				require.NoError(t, f.SetCellStr("Record", fmt.Sprintf("B%d", i+1), to))
			}
		}
		require.NoError(t, f.Save())
		require.NoError(t, f.Close())
	}
	price()
	change("bid_total", "5")
	assert.Contains(t, price(), "the Record of run 1 was edited by hand")
	assert.NotContains(t, price(), "edited by hand")
	change("Run", "many")
	said := price()
	assert.Contains(t, said, `"many" is no whole number`)
	assert.FileExists(t, filepath.Join(dir, "store.runs", "000.xlsx"))
	assert.Contains(t, said, "run 2", "the number of a run does not return")
}
