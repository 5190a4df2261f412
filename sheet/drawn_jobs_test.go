package sheet

import (
	"bytes"
	"flag"
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/schedule"
	"wallbill/takeoff/schedule/drawn"
)

var (
	drawnJobs = flag.Int("drawn", 50, "how many random jobs another program recalculates")
	drawnFrom = flag.Int("drawn-from", 1, "the seed of the first")
)

// bookFile writes a schedule's cells as a workbook, as a program that knows nothing of schedules would.
func bookFile(t testing.TB, b schedule.Book) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	day, err := f.NewStyle(&excelize.Style{NumFmt: 14})
	require.NoError(t, err)
	for i, tab := range b.Tabs {
		if i == 0 {
			require.NoError(t, f.SetSheetName("Sheet1", tab.Name))
		} else {
			_, err := f.NewSheet(tab.Name)
			require.NoError(t, err)
		}
		for _, row := range tab.Rows {
			for j, c := range row.Cells {
				at, err := excelize.CoordinatesToCellName(j+1, row.Number)
				require.NoError(t, err)
				switch c.Kind {
				case schedule.Blank:
				case schedule.Text:
					require.NoError(t, f.SetCellStr(tab.Name, at, c.Value))
				case schedule.Number:
					require.NoError(t, f.SetCellDefault(tab.Name, at, c.Value))
				case schedule.Bool:
					require.NoError(t, f.SetCellBool(tab.Name, at, c.Value == "TRUE"))
				case schedule.Date:
					d, err := time.Parse(time.DateOnly, c.Value)
					require.NoError(t, err)
					require.NoError(t, f.SetCellValue(tab.Name, at, d))
					require.NoError(t, f.SetCellStyle(tab.Name, at, at, day))
				default:
					t.Fatalf("%s!%s: a cell of kind %d", tab.Name, at, c.Kind)
				}
			}
		}
	}
	var out bytes.Buffer
	require.NoError(t, f.Write(&out))
	return out.Bytes()
}

// drawnJob is a random job with its priced workbook.
type drawnJob struct {
	seed   int
	drawn  *drawn.Schedule
	bid    *pricing.Bid
	priced []byte
}

func (j *drawnJob) name() string { return "seed-" + strconv.Itoa(j.seed) }

// priceDrawn goes the whole way with a drawn schedule: cells, workbook, takeoff, bid, priced workbook. It is nil where the
// schedule has an error, which some of those drawn have.
func priceDrawn(t testing.TB, dir string, seed int, s *drawn.Schedule) *drawnJob {
	t.Helper()
	path := filepath.Join(dir, "drawn-"+strconv.Itoa(seed)+".xlsx")
	require.NoError(t, os.WriteFile(path, bookFile(t, s.Book()), 0o644))
	job, findings, source, err := ReadSchedule(path, DefaultLimits)
	require.NoError(t, err)
	if takeoff.HasErrors(findings) {
		return nil
	}
	out := takeoff.Compute(job)
	bid := pricing.Price(out, pricing.Options{Today: job.BidDate})
	if takeoff.HasErrors(out.Findings) || takeoff.HasErrors(bid.Findings) {
		return nil
	}
	base, err := source.OpenForResults()
	require.NoError(t, err)
	defer base.Close()
	run := testRun
	run.InputFile = filepath.Base(path)
	var b bytes.Buffer
	_, err = WritePriced(&b, base, run, bid, PricedOptions{Findings: findings})
	require.NoError(t, err)
	return &drawnJob{seed, s, bid, b.Bytes()}
}

// drawnPriced are so many random jobs, always the same ones for the same seeds.
func drawnPriced(t testing.TB, from, n int) []*drawnJob {
	t.Helper()
	dir := t.TempDir()
	var jobs []*drawnJob
	for seed := from; len(jobs) < n; seed++ {
		require.Less(t, seed-from, 2*n+20, "too many of the drawn schedules have errors")
		if j := priceDrawn(t, dir, seed, drawn.Draw(drawn.Options{}).Example(seed)); j != nil {
			jobs = append(jobs, j)
		}
	}
	return jobs
}

// jobsToTry is the number of random jobs, or a part of it. The other program works beside the tests that follow, one job in
// about a second.
func jobsToTry(t *testing.T, part int) int {
	if testing.Short() {
		return 2
	}
	t.Parallel()
	return max(1, *drawnJobs/part)
}

// batches of workbooks go to the other program together, since starting it takes longest.
const batchOfBooks = 25

// Random jobs, recalculated by another program over wrong stored values: every formula comes to the value that is stored, no
// cell is an error, every control sum passes.
func TestDrawnJobsRecalculate(t *testing.T) {
	n := jobsToTry(t, 1)
	formulas, incomplete := 0, 0
	for first := 0; first < n; first += batchOfBooks {
		jobs := drawnPriced(t, *drawnFrom+1000*first, min(batchOfBooks, n-first))
		var wrong [][]byte
		for _, j := range jobs {
			wrong = append(wrong, plantWrong(t, j.priced))
		}
		for k, again := range recalculate(t, wrong...) {
			j := jobs[k]
			stored := storedFormulas(t, openRaw(t, j.priced))
			differ := 0
			for _, s := range stored {
				value, err := again.GetCellValue(s.tab, s.cell)
				require.NoError(t, err)
				if !sameValue(s.value, value) || strings.HasPrefix(value, "#") {
					if differ++; differ <= 5 {
						t.Errorf("%s: %s!%s =%s: stored %q, recalculated %q", j.name(), s.tab, s.cell, s.formula, s.value, value)
					}
				}
				if s.tab == tabChecks && strings.HasPrefix(s.cell, "A") && !strings.Contains(s.formula, "no item is without") && value == checkFail {
					if what, _ := again.GetCellValue(s.tab, "C"+s.cell[1:]); what != "no item is without a price" {
						t.Errorf("%s: control sum %q fails", j.name(), what)
					}
				}
			}
			if !j.bid.Complete {
				incomplete++
			}
			formulas += len(stored)
		}
	}
	t.Logf("%d formulas of %d random jobs recalculated, %d of the jobs incomplete", formulas, n, incomplete)
}

// played is a change that an estimator tries in the priced workbook, and the same change of the schedule.
type played struct {
	tab, cell string
	value     float64
	words     string
}

// play draws changes of a job: prices, wastes and break quantities of rows without a plan and without Per load, and the rate
// of overhead. It gives the cells of the priced workbook and the schedule that has the same in it.
func play(t *testing.T, j *drawnJob, rng *rand.Rand) ([]played, *drawn.Schedule) {
	t.Helper()
	changed := j.drawn.Copy()
	var cells []played
	taken := map[string]bool{} // by an extra, whose own row on Prices used would have to change too
	for _, x := range changed.Rows["Extras"] {
		taken[takeoff.ItemKey(x.Text("Item"))] = true
	}
	for i := range j.bid.Items {
		it := &j.bid.Items[i]
		if it.Row == nil || it.PlanKept || it.Planned != nil || it.Row.PerLoad != nil || it.Rental || it.Concrete || taken[it.Key] {
			continue
		}
		row := changed.Rows["Prices"][it.Row.At.Row-2]
		require.True(t, strings.EqualFold(row.Text("Item"), it.Name), "%s is not %s", row.Text("Item"), it.Name)
		r := strconv.Itoa(firstRow + i)
		set := func(what, column, letter string, n int) {
			d := decimal.New(int64(n), -2)
			f, _ := d.Float64()
			row[column] = drawn.Number(d.String())
			cells = append(cells, played{tabPrices, letter + r, f, it.Name + " " + what})
		}
		if rng.Intn(2) == 0 {
			set("price", "Price", "I", rng.Intn(30000))
			if len(it.Row.Breaks) == 0 { // an unused break repeats the price before it
				cells = append(cells, played{tabPrices, "J" + r, cells[len(cells)-1].value, ""}, played{tabPrices, "K" + r, cells[len(cells)-1].value, ""})
			}
		}
		if rng.Intn(2) == 0 {
			n := rng.Intn(99)
			f, _ := decimal.New(int64(n), -2).Float64()
			row["Waste"] = drawn.Text(strconv.Itoa(n) + "%")
			cells = append(cells, played{tabPrices, "D" + r, f, it.Name + " waste"})
		}
		if len(it.Row.Breaks) > 0 && rng.Intn(2) == 0 {
			from, _ := it.Row.Breaks[0].From.Float64()
			set("from", "From 2", "G", 1+rng.Intn(max(1, int(100*from))))
		}
	}
	rate := rng.Intn(3000)
	f, _ := decimal.New(int64(rate), -4).Float64()
	changed.Set("Overhead", drawn.Text(decimal.New(int64(rate), -2).String()+"%"))
	return append(cells, played{tabInputs, "B" + strconv.Itoa(inputOverhead), f, "overhead"}), changed
}

// What-if: prices, wastes, break quantities and the rate of overhead changed in the workbook and recalculated by another
// program give every total that a run on the changed schedule gives, to the cent.
func TestDrawnJobsPlayed(t *testing.T) {
	n := jobsToTry(t, 2)
	changes, moved := 0, 0
	dir := t.TempDir()
	for first := 0; first < n; first += batchOfBooks {
		jobs := drawnPriced(t, *drawnFrom+1000*first, min(batchOfBooks, n-first))
		var books [][]byte
		var runs []*drawnJob
		var tried [][]played
		for _, j := range jobs {
			cells, s := play(t, j, rand.New(rand.NewSource(int64(j.seed))))
			run := priceDrawn(t, dir, j.seed, s)
			require.NotNil(t, run, "%s: the changed schedule has an error", j.name())
			f := openRaw(t, j.priced)
			for _, c := range cells {
				require.NoError(t, f.SetCellValue(c.tab, c.cell, c.value))
				if c.words != "" {
					changes++
				}
			}
			b, err := f.WriteToBuffer()
			require.NoError(t, err)
			books, runs, tried = append(books, b.Bytes()), append(runs, run), append(tried, cells)
		}
		for k, again := range recalculate(t, books...) {
			totals := &runs[k].bid.Totals
			have := namedTotals(t, again)
			for name, want := range map[string]decimal.Decimal{"direct": totals.Direct, "tax": totals.Tax, "contingency": totals.Contingency, "overhead": totals.Overhead,
				"cost": totals.Cost, "profit": totals.Profit, "bond": totals.Bond, "rounding": totals.Rounding, "bid_total": totals.BidTotal} {
				if !want.Equal(have[name]) {
					t.Errorf("%s: %s is %s in the workbook, %s in a run; changed: %s", jobs[k].name(), name, have[name], want, fmt.Sprint(tried[k]))
				}
			}
			if !totals.BidTotal.Equal(jobs[k].bid.Totals.BidTotal) {
				moved++
			}
		}
	}
	require.Greater(t, 10*moved, 8*n, "few of the changes moved the bid")
	t.Logf("%d changes in %d random jobs", changes, n)
}

// namedTotals are the totals behind the workbook's names.
func namedTotals(t *testing.T, f *excelize.File) map[string]decimal.Decimal {
	t.Helper()
	have := map[string]decimal.Decimal{}
	for _, d := range f.GetDefinedName() {
		tab, cell, ok := strings.Cut(d.RefersTo, "!")
		if !ok || strings.Trim(tab, "'$") != tabBid || strings.Contains(cell, ":") {
			continue
		}
		v, err := f.GetCellValue(tabBid, strings.ReplaceAll(cell, "$", ""))
		require.NoError(t, err)
		have[d.Name], err = decimal.NewFromString(v)
		require.NoError(t, err, "%s = %q", d.Name, v)
	}
	return have
}
