package sheet

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
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
// writing the same cells and formulas by its streams, with no computing. The figure that counts is whole/floor.
func BenchmarkFloor(b *testing.B) {
	for _, n := range []int{1000, 10000} {
		b.Run(fmt.Sprintf("walls=%d", n), func(b *testing.B) {
			path := bigFile(b, n)
			var out bytes.Buffer
			whole := func() (count, read time.Duration) {
				start := time.Now()
				job, _, source, err := ReadSchedule(path, DefaultLimits)
				require.NoError(b, err)
				read = time.Since(start)
				start = time.Now()
				bid := pricing.Price(takeoff.Compute(job), pricing.Options{})
				count = time.Since(start)
				base, err := source.OpenForResults()
				require.NoError(b, err)
				out.Reset()
				_, err = WritePriced(&out, base, Run{Number: 1, Version: "0"}, bid, PricedOptions{})
				require.NoError(b, err)
				require.NoError(b, base.Close())
				return count, read
			}
			whole()
			tabs := resultCells(b, out.Bytes())
			var tWhole, tFloor, tCount, tRead, tRows time.Duration
			for b.Loop() {
				start := time.Now()
				count, read := whole()
				tWhole += time.Since(start)
				tCount += count
				tRead += read
				start = time.Now()
				tRows += readRows(b, path)
				writeFloor(b, path, tabs)
				tFloor += time.Since(start)
			}
			b.ReportMetric(tWhole.Seconds()/tFloor.Seconds(), "whole/floor")
			b.ReportMetric(tCount.Seconds()/tWhole.Seconds(), "count/whole")
			b.ReportMetric(tRead.Seconds()/tRows.Seconds(), "read/rows")
			b.ReportMetric(float64(tWhole.Milliseconds())/float64(b.N), "whole-ms")
			b.ReportMetric(float64(tFloor.Milliseconds())/float64(b.N), "floor-ms")
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
