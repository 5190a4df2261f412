package sheet

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/cutting"
	"wallbill/takeoff/length"
)

// sampleBatch is two priced jobs of 8 and 12 walls, one with errors and one that failed.
func sampleBatch(t *testing.T, folder string) Batch {
	t.Helper()
	b := Batch{Folder: folder, Pooled: true, Time: time.Date(2026, 11, 25, 9, 30, 0, 0, time.UTC), Version: "0"}
	var orders []pricing.JobOrders
	for i, n := range []int{8, 12} {
		job, findings, _, err := ReadSchedule(bigFile(t, n), DefaultLimits)
		require.NoError(t, err)
		require.False(t, takeoff.HasErrors(findings))
		bid := pricing.Price(takeoff.Compute(job), pricing.Options{})
		name := []string{"first job", "#2"}[i]
		j := BatchJob{Path: filepath.Join("jobs", name+".xlsx"), Out: filepath.Join(folder, "out", name+".priced.xlsx"), Job: name, Run: 1, Priced: true, Complete: i == 0,
			Unpriced: i, Currency: job.Currency, Minor: job.MinorDigits, Report: job.Report, Total: bid.Totals.BidTotal, Direct: bid.Totals.Direct,
			Figures: bid.PerUnit, Orders: pricing.OrdersOf(bid, true)}
		b.Jobs = append(b.Jobs, j)
		orders = append(orders, j.Orders)
	}
	b.Jobs = append(b.Jobs, BatchJob{Path: "jobs/=bad.xlsx", Job: "Bad", Findings: [3]int{0, 1, 2}, Message: "Walls!D2: the inches are 12 or more"},
		BatchJob{Path: "jobs/none.xlsx", Message: "there is no such file"})
	var err error
	b.Together, err = pricing.PoolBars(orders, cutting.EffortMilli(50))
	require.NoError(t, err)
	return b
}

// A row a job in order; the sums of To buy are those of By job, which are the jobs' own; the links are relative; the same
// batch is the same bytes; a later batch knows the file.
func TestBatchBook(t *testing.T) {
	dir := t.TempDir()
	b := sampleBatch(t, dir)
	var out, again bytes.Buffer
	require.NoError(t, WriteBatch(&out, b))
	require.NoError(t, WriteBatch(&again, b))
	require.Equal(t, out.Bytes(), again.Bytes())
	path := filepath.Join(dir, "batch.xlsx")
	require.NoError(t, os.WriteFile(path, out.Bytes(), 0o644))
	require.True(t, IsBatch(path, DefaultLimits))
	w, err := Open(path, DefaultLimits)
	require.NoError(t, err)
	tabs := map[string][][]string{}
	for _, tab := range w.Book().Tabs {
		for _, r := range tab.Rows {
			if r.Number < headRow {
				continue
			}
			cells := make([]string, 20)
			for i, c := range r.Cells {
				cells[i] = c.Value
			}
			tabs[tab.Name] = append(tabs[tab.Name], cells)
		}
	}
	jobs := tabs["Jobs"]
	require.Len(t, jobs, 5)
	require.Equal(t, []string{"jobs/first job.xlsx", "first job", "", "1", "complete", "USD", b.Jobs[0].Total.String()}, jobs[1][:7])
	require.Equal(t, "INCOMPLETE", jobs[2][4])
	require.Equal(t, []string{"jobs/=bad.xlsx", "Bad", "", "", "errors", "", "", ""}, jobs[3][:8])
	require.Equal(t, "failed", jobs[4][4])
	require.Equal(t, "there is no such file", jobs[4][16])
	require.Equal(t, "Bid per sqft of gross wall", jobs[0][8])
	require.Equal(t, b.Jobs[0].Figures[0].Amount.String(), jobs[1][8])
	require.Equal(t, "Labour hours per sqft of gross wall", jobs[0][12])
	require.Equal(t, b.Jobs[0].Total.Add(b.Jobs[1].Total).String(), tabs["Sums"][1][4])

	sum := func(rows [][]string, supplier, item, size string, cols [5]int) decimal.Decimal {
		total := decimal.Decimal{}
		for _, r := range rows[1:] {
			if r[cols[0]] == supplier && r[cols[1]] == item && r[cols[2]] == size {
				total = total.Add(decimal.RequireFromString(r[cols[3]]))
			}
		}
		return total
	}
	require.Greater(t, len(tabs["To buy"]), 10)
	for _, r := range tabs["To buy"][1:] {
		want := sum(tabs["By job"], r[0], r[1], r[2], [5]int{2, 3, 4, 6})
		require.True(t, want.Equal(decimal.RequireFromString(r[3])), "%s: %s, by job %s", r[1], r[3], want)
		own := decimal.Decimal{}
		for _, j := range b.Jobs {
			for _, o := range j.Orders.Orders {
				size := ""
				if o.Length > 0 {
					size = o.Length.Show(length.FeetInches)
				}
				if o.Supplier == r[0] && o.Item == r[1] && size == r[2] {
					own = own.Add(o.ToOrder)
				}
			}
		}
		require.True(t, own.Equal(want), r[1])
	}
	require.Greater(t, len(tabs["Bars together"]), 2)
	text := ""
	editParts(t, out.Bytes(), func(name string, part []byte) []byte {
		if name == "xl/worksheets/_rels/sheet1.xml.rels" {
			text = string(part)
		}
		return part
	})
	require.Contains(t, text, `out/first%20job.priced.xlsx`)
	require.Contains(t, text, `out/%232.priced.xlsx`)
}

// What a spreadsheet program computes of Sums is what stands there.
func TestBatchSumsRecalculate(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, WriteBatch(&out, sampleBatch(t, t.TempDir())))
	again := recalculate(t, plantWrong(t, out.Bytes()))[0]
	f := openRaw(t, out.Bytes())
	n := 0
	for _, cell := range strings.Fields("B5 C5 D5 E5 F5") {
		formula, err := f.GetCellFormula("Sums", cell)
		require.NoError(t, err)
		require.NotEmpty(t, formula)
		want, err := f.GetCellValue("Sums", cell)
		require.NoError(t, err)
		have, err := again.GetCellValue("Sums", cell)
		require.NoError(t, err)
		require.True(t, sameValue(want, have), "%s: %s, recalculated %s", cell, want, have)
		n++
	}
	require.Equal(t, 5, n)
}
