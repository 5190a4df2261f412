package sheet

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/schedule"
)

// pricedFile reads, counts and prices a schedule; it gives the bid and the findings of all three.
func pricedFile(t *testing.T, path string) (*pricing.Bid, []takeoff.Finding) {
	t.Helper()
	job, findings, source, err := ReadSchedule(path, DefaultLimits)
	require.NoError(t, err)
	require.False(t, takeoff.HasErrors(findings), "%v", findings)
	assert.Equal(t, filepath.Base(path), source.File)
	counted := takeoff.Compute(job)
	bid := pricing.Price(counted, pricing.Options{Today: job.BidDate})
	findings = append(findings, counted.Findings...)
	return bid, append(findings, bid.Findings...)
}

// changeStarter writes a starter with cells changed as a person would, by text.
func changeStarter(t *testing.T, path string, o Options, change func(f *excelize.File)) {
	t.Helper()
	f := starterFile(t, o)
	change(f)
	require.NoError(t, WriteFile(path, func(w io.Writer) error { return Save(f, w) }))
}

// TestStarterPricesComplete: what `new` writes is read without a finding and priced without a warning, as it comes and
// after another program has saved it.
func TestStarterPricesComplete(t *testing.T) {
	for _, o := range []Options{{}, {Metric: true}} {
		t.Run(fmt.Sprintf("metric %v", o.Metric), func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "job.xlsx")
			require.NoError(t, NewStarter(path, o))
			_, findings, _, err := ReadSchedule(path, DefaultLimits)
			require.NoError(t, err)
			assert.Empty(t, findings, "reading")
			bid, findings := pricedFile(t, path)
			for _, f := range findings {
				assert.Equal(t, takeoff.Note, f.Severity, f.Text())
			}
			assert.True(t, bid.Complete)
			// The example is there to show the trade: what a first job meets has its price.
			items := map[string]bool{}
			for _, it := range bid.Items {
				items[it.Name] = true
			}
			line, bar := "Stone-6in", "#4"
			if o.Metric {
				line, bar = "Stone-150mm", "12mm"
			}
			for _, want := range []string{line + "-block", line + "-corner", line + "-endcap", "Stone-clip", "bar-" + bar, "bent-" + bar, "concrete-wall",
				"concrete-footing", "footing-board", "stake", "brace-set", "plank", "rail", "brace-delivery", "shore", "buck-spreader", "membrane-roll", "primer",
				"board-roll", "drain-pipe", "drain-stone", "drain-fabric", "anchor-bolt", "plate", "sill-seal", "pump-setup", "pump-hours", "labor-forms"} {
				assert.True(t, items[want], "the example has no %s", want)
			}

			t.Run("saved by another program", func(t *testing.T) {
				again, findings := pricedFile(t, office(t, path, "xlsx:Calc MS Excel 2007 XML", "xlsx"))
				for _, f := range findings {
					assert.Equal(t, takeoff.Note, f.Severity, f.Text())
				}
				assert.True(t, again.Complete)
				assert.Equal(t, bid.Totals.BidTotal.String(), again.Totals.BidTotal.String())
			})
		})
	}
}

// removeBookTabs removes the tabs that the price book has.
func removeBookTabs(t *testing.T, f *excelize.File) {
	t.Helper()
	for i := range schedule.Tabs {
		if schedule.Tabs[i].Book {
			require.NoError(t, f.DeleteSheet(schedule.Tabs[i].Name))
		}
	}
}

func setJob(t *testing.T, f *excelize.File, setting, value string) {
	t.Helper()
	rows, err := f.GetRows("Job")
	require.NoError(t, err)
	for i, r := range rows {
		if len(r) > 0 && r[0] == setting {
			require.NoError(t, f.SetCellStr("Job", fmt.Sprintf("B%d", i+1), value))
			return
		}
	}
	t.Fatal("no setting", setting)
}

// TestPriceBook: a job whose marks, forms and prices stand in the price book costs what it costs with them in the job.
func TestPriceBook(t *testing.T) {
	dir := t.TempDir()
	whole := filepath.Join(dir, "whole.xlsx")
	require.NoError(t, NewStarter(whole, Options{}))
	want, _ := pricedFile(t, whole)

	require.NoError(t, os.Mkdir(filepath.Join(dir, "shared"), 0o755))
	require.NoError(t, NewStarter(filepath.Join(dir, "shared", "prices.xlsx"), Options{PriceBook: true}))
	job := filepath.Join(dir, "job.xlsx")
	changeStarter(t, job, Options{}, func(f *excelize.File) {
		removeBookTabs(t, f)
		setJob(t, f, "Price book", `shared\prices.xlsx`)
	})
	got, _ := pricedFile(t, job)
	assert.Equal(t, want.Totals.BidTotal.String(), got.Totals.BidTotal.String())
	_, _, source, err := ReadSchedule(job, DefaultLimits)
	require.NoError(t, err)
	require.NotNil(t, source.PriceBook)
	assert.Len(t, source.PriceBook.SHA256, 64)
	assert.NotEqual(t, source.Schedule.SHA256, source.PriceBook.SHA256)
	f, err := source.OpenForResults()
	require.NoError(t, err)
	assert.Contains(t, f.GetSheetList(), "Walls")
	require.NoError(t, f.Close())
}

// TestPriceBookThatCannotBeUsed: a finding at the Job's cell among the others, never an end of reading.
func TestPriceBookThatCannotBeUsed(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "text.xlsx"), []byte("Item,Price\n"), 0o644))
	for _, c := range []struct{ name, book, want string }{
		{"missing", "absent.xlsx", "the price book cannot be used: there is no such file"},
		{"no workbook", "text.xlsx", "the price book cannot be used: not a workbook: plain text under the name of one"},
		{"a folder", ".", "the price book cannot be used: is a folder"},
		{"itself", "job.xlsx", "the price book is this schedule itself"},
		{"absolute", filepath.Join(dir, "text.xlsx"), "the path is not relative to the schedule"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(dir, "job.xlsx")
			changeStarter(t, path, Options{}, func(f *excelize.File) {
				setJob(t, f, "Price book", c.book)
				require.NoError(t, f.SetCellStr("Walls", "F3", "24'-13\""))
			})
			job, findings, source, err := ReadSchedule(path, DefaultLimits)
			require.NoError(t, err)
			assert.NotNil(t, job)
			assert.Nil(t, source.PriceBook)
			require.Len(t, findings, 2, "%v", findings)
			assert.Equal(t, "Job", findings[0].At.Tab)
			assert.Equal(t, 2, findings[0].At.Col)
			assert.True(t, strings.HasPrefix(findings[0].Message, c.want), findings[0].Message)
			assert.NotContains(t, findings[0].Message, dir)
			assert.Equal(t, takeoff.Error, findings[0].Severity)
			assert.Equal(t, "Walls!F3", findings[1].At.String())
		})
	}
}

func TestInsertFinding(t *testing.T) {
	book := schedule.Book{Tabs: []schedule.Tab{{Name: "Walls"}, {Name: "Job"}, {Name: "Bars"}}}
	at := func(file, tab string, row, col int) takeoff.Finding {
		return takeoff.Finding{At: takeoff.Ref{File: file, Tab: tab, Row: row, Col: col}}
	}
	all := []takeoff.Finding{at("", "Walls", 9, 1), at("", "Job", 3, 2), at("", "Job", 20, 2), at("", "Bars", 2, 1), at("prices.xlsx", "Bars", 2, 1)}
	got := insertFinding(book, all, at("", "Job", 15, 2))
	var refs []string
	for _, f := range got {
		refs = append(refs, f.At.String())
	}
	assert.Equal(t, []string{"Walls!A9", "Job!B3", "Job!B15", "Job!B20", "Bars!A2", "prices.xlsx Bars!A2"}, refs)
	assert.Len(t, insertFinding(book, nil, at("", "Job", 1, 1)), 1)
}

// A tab of the estimator's own that has a results tab's name is an error before anything is written, in whatever case; one
// that an earlier run wrote is not.
func TestTabNameTaken(t *testing.T) {
	path := filepath.Join(t.TempDir(), "job.xlsx")
	changeStarter(t, path, Options{}, func(f *excelize.File) {
		_, err := f.NewSheet("pour plan")
		require.NoError(t, err)
		require.NoError(t, f.SetCellStr("pour plan", "A1", "who pours when"))
	})
	_, findings, _, err := ReadSchedule(path, DefaultLimits)
	require.NoError(t, err)
	require.Len(t, findings, 1)
	assert.Equal(t, takeoff.Error, findings[0].Severity)
	assert.Equal(t, "pour plan", findings[0].At.String())
}
