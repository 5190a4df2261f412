package sheet

import (
	"bytes"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"wallbill/pricing"
	"wallbill/pricing/revision"
	"wallbill/takeoff"
	"wallbill/takeoff/schedule"
)

// runOf prices a worked schedule with cells of its changed, and gives the run and its bid.
func runOf(t *testing.T, name string, number int, edit func(f *excelize.File)) (*revision.Run, *pricing.Bid, *Source) {
	t.Helper()
	f, err := excelize.OpenFile(filepath.Join("..", "testdata", "worked", name+".xlsx"))
	require.NoError(t, err)
	if edit != nil {
		edit(f)
	}
	path := filepath.Join(t.TempDir(), name+".xlsx")
	require.NoError(t, f.SaveAs(path))
	require.NoError(t, f.Close())
	job, findings, source, err := ReadSchedule(path, DefaultLimits)
	require.NoError(t, err)
	require.False(t, takeoff.HasErrors(findings), "%v", findings)
	bid := pricing.Price(takeoff.Compute(job), pricing.Options{})
	require.False(t, takeoff.HasErrors(bid.Findings), "%v", bid.Findings)
	run := revision.Of(bid, source.Inputs())
	run.Number, run.Version, run.File = number, "test", name+".xlsx"
	run.Time = time.Date(2026, 11, 20, 10, 0, number, 0, time.UTC)
	return run, bid, source
}

// writeRun is the priced workbook of a run.
func writeRun(t *testing.T, run *revision.Run, bid *pricing.Bid, source *Source) []byte {
	t.Helper()
	base, err := source.OpenForResults()
	require.NoError(t, err)
	defer base.Close()
	var b bytes.Buffer
	_, err = WritePriced(&b, base, Run{Number: run.Number, Time: run.Time, Version: run.Version, InputFile: run.File, InputHash: run.InputHash}, bid, PricedOptions{Record: run})
	require.NoError(t, err)
	return b.Bytes()
}

func readRun(t *testing.T, book []byte) (*revision.Run, bool) {
	t.Helper()
	w, err := openBytes("run.xlsx", book, DefaultLimits, false)
	require.NoError(t, err)
	run, edited, err := w.ReadRecord()
	require.NoError(t, err)
	return run, edited
}

// changeStore are edits of every kind in the worked store.
func changeStore(t *testing.T) func(f *excelize.File) {
	return func(f *excelize.File) {
		set := func(tab, cell string, v any) { require.NoError(t, f.SetCellValue(tab, cell, v)) }
		set("Walls", "F3", `8'-9"`)
		set("Prices", "D3", 11.37)
		set("Prices", "A9", "concrete-wall")
		set("Prices", "B9", "cy")
		set("Prices", "D9", 171.255)
		set("Job", "A9", "Overhead")
		set("Job", "B9", "7.5%")
		set("Openings", "A9", "=X")
		set("Openings", "B9", "N")
		set("Openings", "C9", `2'`)
		set("Openings", "D9", `2'`)
		set("Openings", "E9", `3'`)
	}
}

// The Record comes back from the workbook as it was written: the same run, with the same bytes when written again.
func TestRecordComesBack(t *testing.T) {
	old, _, _ := runOf(t, "store", 1, nil)
	run, bid, source := runOf(t, "store", 2, changeStore(t))
	changes, err := revision.Compare(old, run, revision.Options{Version: "test"})
	require.NoError(t, err)
	run.Changes = changes
	book := writeRun(t, run, bid, source)
	read, edited := readRun(t, book)
	assert.False(t, edited)
	assert.Equal(t, run.Record(), read.Record())
	assert.Equal(t, run.Inputs, read.Inputs)
	assert.Equal(t, book, writeRun(t, read, bid, source))

	// The inputs of the Record are the schedule: they read and price to the same total.
	job, findings := schedule.Read(schedule.Books(read.Inputs))
	require.False(t, takeoff.HasErrors(findings), "%v", findings)
	assert.Equal(t, run.BidTotal().String(), pricing.Price(takeoff.Compute(job), pricing.Options{}).Totals.BidTotal.String())
}

// Who edits the Record by hand is found out; a workbook that was never priced has none.
func TestRecordEdited(t *testing.T) {
	run, bid, source := runOf(t, "store", 1, nil)
	f := openRaw(t, writeRun(t, run, bid, source))
	rows, err := f.GetRows(tabRecord)
	require.NoError(t, err)
	done := false
	for i, r := range rows {
		if len(r) == 2 && r[0] == "bid_total" {
			cell, err := excelize.CoordinatesToCellName(2, i+1)
			require.NoError(t, err)
			require.NoError(t, f.SetCellStr(tabRecord, cell, "1"))
			done = true
		}
	}
	require.True(t, done)
	var b bytes.Buffer
	require.NoError(t, f.Write(&b))
	read, edited := readRun(t, b.Bytes())
	assert.True(t, edited)
	assert.Equal(t, "1", read.BidTotal().String())

	_, _, err = source.Schedule.ReadRecord()
	assert.ErrorIs(t, err, ErrNoRecord)
}

// The Changes tab: every formula comes to its stored value in another program, the checks pass, the chart stands.
func TestChangesTab(t *testing.T) {
	old, _, _ := runOf(t, "store", 1, nil)
	run, bid, source := runOf(t, "store", 2, changeStore(t))
	changes, err := revision.Compare(old, run, revision.Options{Version: "test"})
	require.NoError(t, err)
	run.Changes = changes
	book := writeRun(t, run, bid, source)
	f := openRaw(t, book)
	rows, err := f.GetRows(tabChanges)
	require.NoError(t, err)
	text := ""
	for _, r := range rows {
		for _, c := range r {
			text += c + "|"
		}
		text += "\n"
	}
	assert.Contains(t, text, `E: height 7'-6" → 8'-9"`)
	assert.Contains(t, text, "N: opening =X added")
	assert.NotContains(t, text, "FAIL")
	assert.Contains(t, text, "PASS")
	t.Log("\n" + text)
	checks, err := f.GetRows(tabChecks)
	require.NoError(t, err)
	found := 0
	for _, r := range checks {
		if len(r) > 2 && bytes.Contains([]byte(r[2]), []byte("of Changes")) {
			assert.Equal(t, checkPass, r[0])
			found++
		}
	}
	assert.Equal(t, 2, found)
	requireRecalculated(t, map[string][]byte{"changes": book})
}

// A program that drops a workbook's properties leaves the Record, which tells that the results tabs are wallbill's.
func TestResultsWithoutProperties(t *testing.T) {
	run, bid, source := runOf(t, "store", 1, nil)
	f := openRaw(t, writeRun(t, run, bid, source))
	props, err := f.GetCustomProps()
	require.NoError(t, err)
	require.NotEmpty(t, props)
	for _, p := range props {
		require.NoError(t, f.SetCustomProps(excelize.CustomProperty{Name: p.Name}))
	}
	ours, err := ownTabs(f)
	require.NoError(t, err)
	assert.True(t, ours["bid"])
	path := filepath.Join(t.TempDir(), "job.xlsx")
	require.NoError(t, f.SaveAs(path))
	w, err := Open(path, DefaultLimits)
	require.NoError(t, err)
	assert.True(t, w.Priced())
	assert.Empty(t, w.taken())
	read, edited, err := w.ReadRecord()
	require.NoError(t, err)
	assert.True(t, edited, "its hash is gone")
	assert.Equal(t, run.BidTotal().String(), read.BidTotal().String())
}

// The results of an earlier run are more rows than its schedule: they are not looked at where a run reads the workbook
// again, the Record apart, so that no limit of rows holds for them.
func TestResultsAreOverNoLimit(t *testing.T) {
	run, bid, source := runOf(t, "store", 1, nil)
	book := writeRun(t, run, bid, source)
	whole, err := openBytes("store.priced.xlsx", book, DefaultLimits, false)
	require.NoError(t, err)
	rows := map[string]int{}
	for _, tab := range whole.tabs {
		rows[tab.Name] = len(tab.Rows)
	}
	most := max(rows[tabRecord], rows["Walls"], rows["Prices"])
	require.Greater(t, rows[tabTakeoff], most)
	few := DefaultLimits
	few.Rows = most
	_, err = openBytes("store.priced.xlsx", book, few, false)
	require.ErrorContains(t, err, "tab Takeoff is over the limit")
	w, err := openBytes("store.priced.xlsx", book, few, true)
	require.NoError(t, err)
	assert.Equal(t, whole.tabNames(), w.tabNames())
	assert.True(t, w.Priced())
	again, edited, err := w.ReadRecord()
	require.NoError(t, err)
	assert.False(t, edited)
	assert.Equal(t, run.BidTotal().String(), again.BidTotal().String())
	for i := range w.tabs {
		if name := w.tabs[i].Name; name == tabRecord || schedule.TabNamed(name) != nil {
			assert.Equal(t, whole.tabs[i], w.tabs[i])
		} else {
			assert.Empty(t, w.tabs[i].Rows, name)
		}
	}
}
