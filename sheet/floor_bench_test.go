package sheet

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/schedule"
)

// floorTab is a results tab's cells, as the library's stream takes them.
type floorTab struct {
	name string
	rows [][]any
}

// resultCells are the cells of the results tabs of a priced workbook. Formulas are stand-ins of a usual length: what they
// cost to write is their characters.
func resultCells(b *testing.B, data []byte) []floorTab {
	path := filepath.Join(b.TempDir(), "priced.xlsx")
	require.NoError(b, os.WriteFile(path, data, 0o600))
	w, err := Open(path, Limits{FileBytes: 1 << 30, UnpackedBytes: 2 << 30, Rows: 1 << 20})
	require.NoError(b, err)
	own := map[string]bool{}
	for _, t := range resultTabs {
		own[t.name] = true
	}
	var tabs []floorTab
	for _, tab := range w.Book().Tabs {
		if !own[tab.Name] {
			continue
		}
		t := floorTab{name: tab.Name}
		next := 1
		for _, row := range tab.Rows {
			for ; next < row.Number; next++ {
				t.rows = append(t.rows, nil)
			}
			next++
			cells := make([]any, len(row.Cells))
			for c, v := range row.Cells {
				cell := excelize.Cell{StyleID: 1 + c%20, Value: v.Value}
				if v.Kind == schedule.Number {
					cell.Value, err = strconv.ParseFloat(v.Value, 64)
					require.NoError(b, err)
				}
				if v.Formula {
					cell.Formula = "ROUND(SUMIFS(G5:G999,D5:D999,B5)*K5/L5,9)"
				}
				if v.Kind != schedule.Blank {
					cells[c] = cell
				}
			}
			t.rows = append(t.rows, cells)
		}
		tabs = append(tabs, t)
	}
	return tabs
}

// BenchmarkFloor sets a whole run beside the floor of the format: the same library reading the same schedule row by row and
// writing the same cells and formulas by its streams, with no computing. The figure that counts is whole/floor. The steps
// of the run stand beside it; cuts is the part of takeoff that makes the cut plans. Garbage is collected as in the program.
func BenchmarkFloor(b *testing.B) {
	defer debug.SetGCPercent(debug.SetGCPercent(400))
	for _, n := range []int{40, 1000, 10000} {
		b.Run(fmt.Sprintf("walls=%d", n), func(b *testing.B) {
			path := bigFile(b, n)
			var out bytes.Buffer
			spent := map[string]time.Duration{}
			start := time.Now()
			lap := func(step string) {
				spent[step] += time.Since(start)
				start = time.Now()
			}
			whole := func() {
				start = time.Now()
				begun := start
				job, _, source, err := ReadSchedule(path, DefaultLimits)
				require.NoError(b, err)
				lap("read")
				counted := takeoff.Compute(job)
				lap("takeoff")
				bid := pricing.Price(counted, pricing.Options{})
				lap("price")
				base, err := source.OpenForResults()
				require.NoError(b, err)
				out.Reset()
				_, err = WritePriced(&out, base, Run{Number: 1, Version: "0"}, bid, PricedOptions{})
				require.NoError(b, err)
				require.NoError(b, base.Close())
				lap("write")
				spent["whole"] += time.Since(begun)
			}
			whole()
			tabs := resultCells(b, out.Bytes())
			job, _, _, err := ReadSchedule(path, DefaultLimits)
			require.NoError(b, err)
			var memo takeoff.Memo
			memo.Compute(job)
			clear(spent)
			for b.Loop() {
				whole()
				start = time.Now()
				memo.Compute(job) // its plans are remembered
				lap("without cuts")
				rows := readRows(b, path)
				writeFloor(b, path, tabs)
				lap("floor")
				spent["rows"] += rows
			}
			share := func(a, b string) float64 { return spent[a].Seconds() / spent[b].Seconds() }
			b.ReportMetric(share("whole", "floor"), "whole/floor")
			b.ReportMetric(share("takeoff", "whole")+share("price", "whole"), "count/whole")
			b.ReportMetric(share("read", "rows"), "read/rows")
			spent["cuts"] = max(0, spent["takeoff"]-spent["without cuts"])
			for _, step := range []string{"read", "takeoff", "cuts", "price", "write", "whole", "floor"} {
				b.ReportMetric(float64(spent[step].Microseconds())/1000/float64(b.N), step+"-ms")
			}
		})
	}
}

// readRows reads every tab with the library's row iterator.
func readRows(b *testing.B, path string) time.Duration {
	start := time.Now()
	f, err := excelize.OpenFile(path, excelize.Options{RawCellValue: true})
	require.NoError(b, err)
	defer f.Close()
	for _, name := range f.GetSheetList() {
		rows, err := f.Rows(name)
		require.NoError(b, err)
		for rows.Next() {
			_, err := rows.Columns()
			require.NoError(b, err)
		}
		require.NoError(b, rows.Close())
	}
	return time.Since(start)
}

// writeFloor adds the tabs to the schedule by the library's streams.
func writeFloor(b *testing.B, path string, tabs []floorTab) {
	f, err := excelize.OpenFile(path, excelize.Options{RawCellValue: true})
	require.NoError(b, err)
	defer f.Close()
	for range 60 {
		_, err := f.NewStyle(&excelize.Style{Font: &excelize.Font{Size: 10}})
		require.NoError(b, err)
	}
	for _, t := range tabs {
		_, err := f.NewSheet(t.name)
		require.NoError(b, err)
		sw, err := f.NewStreamWriter(t.name)
		require.NoError(b, err)
		for r, row := range t.rows {
			require.NoError(b, sw.SetRow(fmt.Sprintf("A%d", r+1), row))
		}
		require.NoError(b, sw.Flush())
	}
	require.NoError(b, f.Write(io.Discard))
}
