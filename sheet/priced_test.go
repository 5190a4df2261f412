package sheet

import (
	"bytes"
	"os"
	"sort"
	"strconv"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/unit"
)

func writeSite(t *testing.T, s *pricedSite) []byte {
	t.Helper()
	bid := priceSite(s)
	for _, f := range bid.Findings {
		require.NotEqual(t, "error", f.Severity.String(), f.Text())
	}
	f := scheduleBook()
	defer f.Close()
	var b bytes.Buffer
	_, err := WritePriced(&b, f, testRun, bid, PricedOptions{})
	require.NoError(t, err)
	return b.Bytes()
}

func TestWritePriced(t *testing.T) {
	b := writeSite(t, fullSite())
	if dir := os.Getenv("KEEP"); dir != "" {
		require.NoError(t, os.WriteFile(dir+"/full.xlsx", b, 0o644))
	}
}

func TestSpreadsheetComesToTheStoredValues(t *testing.T) {
	requireRecalculated(t, map[string][]byte{
		"full": writeSite(t, fullSite()), "beside tabs of the user": besideUsersTabs(t), "text like formulas": writeSite(t, textSite()), "groups like patterns": writeSite(t, groupSite()),
	})
}

// openRaw opens a workbook for looking at its stored values.
func openRaw(t *testing.T, b []byte) *excelize.File {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(b), excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	t.Cleanup(func() { _ = f.Close() })
	return f
}

// rewrite puts the same run over an earlier workbook of the job.
func rewrite(t *testing.T, s *pricedSite, f *excelize.File) ([]byte, error) {
	t.Helper()
	var b bytes.Buffer
	_, err := WritePriced(&b, f, testRun, priceSite(s), PricedOptions{})
	return b.Bytes(), err
}

func TestSameInputSameBytes(t *testing.T) {
	require.True(t, bytes.Equal(writeSite(t, fullSite()), writeSite(t, fullSite())))
}

// A later run starts from the workbook it replaces. Nothing piles up in it: the third run's bytes are the second's.
func TestRunOverEarlierResults(t *testing.T) {
	first := writeSite(t, fullSite())
	second, err := rewrite(t, fullSite(), openRaw(t, first))
	require.NoError(t, err)
	third, err := rewrite(t, fullSite(), openRaw(t, second))
	require.NoError(t, err)
	require.Empty(t, differentParts(t, first, second))
	require.Equal(t, partNames(t, second), partNames(t, third))
	require.Empty(t, differentParts(t, second, third))
	require.True(t, bytes.Equal(second, third))
	require.Equal(t, openRaw(t, first).GetSheetList(), openRaw(t, second).GetSheetList())
	requireSameCells(t, openRaw(t, first), openRaw(t, second))
}

func partNames(t *testing.T, b []byte) []string {
	t.Helper()
	var names []string
	editParts(t, b, func(name string, part []byte) []byte { names = append(names, name); return part })
	sort.Strings(names)
	return names
}

// differentParts are the parts of two workbooks that are not the same bytes.
func differentParts(t *testing.T, a, b []byte) []string {
	t.Helper()
	parts := map[string]string{}
	editParts(t, a, func(name string, part []byte) []byte { parts[name] = string(part); return part })
	var names []string
	editParts(t, b, func(name string, part []byte) []byte {
		if parts[name] != string(part) {
			names = append(names, name)
			if dir := os.Getenv("KEEP"); dir != "" {
				_ = os.WriteFile(dir+"/a", []byte(parts[name]), 0o644)
				_ = os.WriteFile(dir+"/b", part, 0o644)
			}
		}
		return part
	})
	return names
}

func requireSameCells(t *testing.T, a, b *excelize.File) {
	t.Helper()
	for _, tab := range a.GetSheetList() {
		x, err := a.GetRows(tab)
		require.NoError(t, err)
		y, err := b.GetRows(tab)
		require.NoError(t, err)
		require.Equal(t, x, y, tab)
	}
}

// What the user put beside the results stays: a tab with formulas that point at them, a chart, and the tab's place.
func TestUsersTabsStay(t *testing.T) { besideUsersTabs(t) }

func besideUsersTabs(t *testing.T) []byte {
	t.Helper()
	f := openRaw(t, writeSite(t, fullSite()))
	_, err := f.NewSheet("Summary")
	require.NoError(t, err)
	require.NoError(t, f.SetCellFormula("Summary", "A1", "bid_total*2"))
	require.NoError(t, f.SetCellFormula("Summary", "A2", "'Priced items'!O5"))
	require.NoError(t, f.AddChart("Summary", "C3", &excelize.Chart{Type: excelize.Col, Series: []excelize.ChartSeries{{Name: "Mine", Values: "Bid!$C$5:$C$9"}}}))
	require.NoError(t, f.MoveSheet("Summary", tabBid))
	mine, err := f.WriteToBuffer()
	require.NoError(t, err)
	before := openRaw(t, mine.Bytes()).GetSheetList()

	again, err := rewrite(t, fullSite(), openRaw(t, mine.Bytes()))
	require.NoError(t, err)
	g := openRaw(t, again)
	require.Equal(t, before, g.GetSheetList())
	formula, err := g.GetCellFormula("Summary", "A1")
	require.NoError(t, err)
	require.Equal(t, "bid_total*2", formula)
	charts := 0
	editParts(t, again, func(name string, part []byte) []byte {
		if strings.HasPrefix(name, "xl/charts/chart") && bytes.Contains(part, []byte("Mine")) {
			charts++
		}
		return part
	})
	require.Equal(t, 1, charts)
	twice, err := rewrite(t, fullSite(), openRaw(t, again))
	require.NoError(t, err)
	require.Equal(t, partNames(t, again), partNames(t, twice))
	return twice
}

func TestUsersTabWithAResultsName(t *testing.T) {
	f := scheduleBook()
	_, err := f.NewSheet("bid")
	require.NoError(t, err)
	_, err = rewrite(t, fullSite(), f)
	require.ErrorContains(t, err, "tab bid")
}

func TestUsersNameIsKept(t *testing.T) {
	f := scheduleBook()
	require.NoError(t, f.SetDefinedName(&excelize.DefinedName{Name: "Profit", RefersTo: "'My notes'!$A$1"}))
	var b bytes.Buffer
	said, err := WritePriced(&b, f, testRun, priceSite(fullSite()), PricedOptions{})
	require.NoError(t, err)
	require.Len(t, said, 1)
	require.Equal(t, takeoff.Warning, said[0].Severity)
	names := map[string]string{}
	for _, d := range openRaw(t, b.Bytes()).GetDefinedName() {
		names[d.Name] = d.RefersTo
	}
	require.Equal(t, "'My notes'!$A$1", names["Profit"])
	require.NotContains(t, names, "profit")
	require.Equal(t, "'Bid'!$C$14", names["bid_total"])
}

// The amounts behind the workbook's names are those of the bid.
func TestNamedTotals(t *testing.T) {
	b := writeSite(t, fullSite())
	f := openRaw(t, b)
	totals := priceSite(fullSite()).Totals
	for name, want := range map[string]decimal.Decimal{"direct": totals.Direct, "tax": totals.Tax, "contingency": totals.Contingency, "overhead": totals.Overhead,
		"cost": totals.Cost, "profit": totals.Profit, "bond": totals.Bond, "rounding": totals.Rounding, "bid_total": totals.BidTotal} {
		found := false
		for _, d := range f.GetDefinedName() {
			if d.Name != name {
				continue
			}
			found = true
			tab, cell, _ := strings.Cut(d.RefersTo, "!")
			v, err := f.GetCellValue(strings.Trim(tab, "'"), strings.ReplaceAll(cell, "$", ""))
			require.NoError(t, err)
			require.True(t, want.Equal(dec(v)), "%s: %s, stored %s", name, want, v)
		}
		require.True(t, found, name)
	}
}

// Typing a price where one is missing completes the bid: the banner goes, the total follows.
func TestTypedPriceCompletesTheBid(t *testing.T) {
	b := writeSite(t, fullSite())
	f := openRaw(t, b)
	missing := map[string]string{} // item to its cell
	rows, err := f.GetRows(tabPrices)
	require.NoError(t, err)
	for i, r := range rows {
		if len(r) > 13 && strings.HasPrefix(r[13], "MISSING") {
			missing[r[0]] = "I" + strconv.Itoa(i+1)
		}
	}
	require.Len(t, missing, 2)
	banner, err := f.GetCellValue(tabBid, "A3")
	require.NoError(t, err)
	require.Equal(t, "INCOMPLETE", banner)
	s := fullSite()
	for item, cell := range missing {
		require.NoError(t, f.SetCellValue(tabPrices, cell, 12.345))
		s.row(item, unit.Each, "12.345", func(r *takeoff.PriceRow) { r.Taxable = false })
	}
	played, err := f.WriteToBuffer()
	require.NoError(t, err)
	again := recalculate(t, played.Bytes())[0]
	banner, err = again.GetCellValue(tabBid, "A3")
	require.NoError(t, err)
	require.Empty(t, banner)
	total, err := again.GetCellValue(tabBid, "C14")
	require.NoError(t, err)
	want := priceSite(s)
	require.True(t, want.Complete)
	require.True(t, want.Totals.BidTotal.Equal(dec(total)), "typed %s, priced %s", total, want.Totals.BidTotal)
}

// A price, a waste and a rate changed in the workbook give the bid that a run with them gives.
func TestPlayingFollowsTheRun(t *testing.T) {
	f := openRaw(t, writeSite(t, fullSite()))
	rows, err := f.GetRows(tabPrices)
	require.NoError(t, err)
	s := fullSite()
	for i, r := range rows {
		row := strconv.Itoa(i + 1)
		switch {
		case len(r) > 0 && r[0] == "M-6in-block":
			require.NoError(t, f.SetCellValue(tabPrices, "J"+row, 17.995)) // the price of its second break
			require.NoError(t, f.SetCellValue(tabPrices, "D"+row, 0.115))
		case len(r) > 0 && r[0] == "coating":
			require.NoError(t, f.SetCellValue(tabPrices, "I"+row, 8.125))
		}
	}
	require.NoError(t, f.SetCellValue(tabInputs, "B8", 0.125))
	require.NoError(t, f.SetCellStr(tabInputs, "B9", "price"))
	for _, r := range s.job.Prices {
		switch r.Item {
		case "M-6in-block":
			r.Breaks[0].Price, r.Waste = dec("17.995"), dec("0.115")
		case "coating":
			r.Price = dec("8.125")
		}
	}
	s.set(takeoff.SetProfit, "0.125")
	s.set(takeoff.SetProfitOn, "0")
	v := s.job.Settings.Value(takeoff.SetProfitOn)
	v.Word = "price"
	s.job.Settings.Set(takeoff.SetProfitOn, v)
	played, err := f.WriteToBuffer()
	require.NoError(t, err)
	again := recalculate(t, played.Bytes())[0]
	total, err := again.GetCellValue(tabBid, "C14")
	require.NoError(t, err)
	want := priceSite(s).Totals
	require.True(t, want.BidTotal.Equal(dec(total)), "played %s, priced %s", total, want.BidTotal)
	profit, err := again.GetCellValue(tabBid, "C11")
	require.NoError(t, err)
	require.True(t, want.Profit.Equal(dec(profit)), "played %s, priced %s", profit, want.Profit)
}

// Text is data: what begins as a formula does stays text.
func TestTextIsNoFormula(t *testing.T) {
	for _, x := range storedFormulas(t, openRaw(t, writeSite(t, textSite()))) {
		require.NotContains(t, x.formula, "1+1")
		require.NotEqual(t, "A1", x.formula)
	}
}

func textSite() *pricedSite {
	s := fullSite()
	s.job.Name = "=1+1"
	s.job.Client = "@SUM(A1)"
	for i := range s.t.Lines {
		s.t.Lines[i].Wall = "+W" + s.t.Lines[i].Wall
	}
	s.row("-paint", unit.Each, "2", func(r *takeoff.PriceRow) { r.Description, r.Group, r.Supplier = "\tx", "=A1", "\rcarriage" })
	s.line("R-FACTOR", "-paint", "3", unit.Each, "=W9/L1/P1")
	return s
}

// groupSite has groups that SUMIFS would read as patterns, comparisons or one number: they are summed by what they are.
func groupSite() *pricedSite {
	s := newPricedSite()
	for i, g := range []string{"*", "a?", ">5", "0330", "330", "3300", "Concrete", "concrete", "~", "", "1-2"} {
		item := "item-" + strconv.Itoa(i)
		s.row(item, unit.Each, strconv.Itoa(i+1)+".05", func(r *takeoff.PriceRow) { r.Group = g })
		s.line("R-FACTOR", item, strconv.Itoa(10+i), unit.Each, "W1/L1/P1")
	}
	return s
}

func TestStoredNumber(t *testing.T) {
	for text, want := range map[string]float64{"0.1": 0.1, "123456789.12": 123456789.12, "1.9999999999999998": 2, "999000000000000": 999000000000000,
		"0.000000001": 1e-9, "-2469.13": -2469.13, "333333333333333.333": 333333333333333, "123456789012345.6": 123456789012346} {
		require.Equal(t, want, storedNumber(dec(text)), text)
	}
}

// listing is every cell of the results in words: formulas with their stored values.
func listing(t *testing.T, f *excelize.File) string {
	t.Helper()
	var b strings.Builder
	for _, r := range resultTabs {
		if r.fill == nil {
			continue
		}
		b.WriteString("## " + r.name + "\n")
		rows, err := f.GetRows(r.name)
		require.NoError(t, err)
		for i, row := range rows {
			var cells []string
			for j, v := range row {
				name, err := excelize.CoordinatesToCellName(j+1, i+1)
				require.NoError(t, err)
				formula, err := f.GetCellFormula(r.name, name)
				require.NoError(t, err)
				if formula != "" {
					v = "=" + formula + " → " + v
				}
				if v != "" {
					cells = append(cells, name+" "+strconv.Quote(v))
				}
			}
			if len(cells) > 0 {
				b.WriteString(strings.Join(cells, "  ") + "\n")
			}
		}
	}
	return b.String()
}

// The listing of a small job: a changed tab shows as a changed line of testdata/priced-listing.txt.
func TestPricedListing(t *testing.T) {
	const golden = "testdata/priced-listing.txt"
	have := listing(t, openRaw(t, writeSite(t, fullSite())))
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(golden, []byte(have), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err, "write it with -update")
	a, b := strings.Split(string(want), "\n"), strings.Split(have, "\n")
	for i := range min(len(a), len(b)) {
		require.Equal(t, a[i], b[i], "line %d", i+1)
	}
	require.Len(t, b, len(a))
}

// A workbook of a takeoff that is let go as it is written is the workbook of one that is kept, to the byte.
func TestSpentTakeoffSameBytes(t *testing.T) {
	path := bigFile(t, 40)
	write := func(spend bool) ([]byte, *takeoff.Takeoff) {
		job, findings, source, err := ReadSchedule(path, DefaultLimits)
		require.NoError(t, err)
		require.False(t, takeoff.HasErrors(findings))
		counted := takeoff.Compute(job)
		base, err := source.OpenForResults()
		require.NoError(t, err)
		defer base.Close()
		var out bytes.Buffer
		_, err = WritePriced(&out, base, Run{Number: 1, Version: "0"}, pricing.Price(counted, pricing.Options{}), PricedOptions{Spend: spend})
		require.NoError(t, err)
		return out.Bytes(), counted
	}
	kept, whole := write(false)
	spent, rest := write(true)
	require.Equal(t, kept, spent)
	require.NotEmpty(t, whole.Lines[0].How.Formula)
	require.Empty(t, rest.Lines[0].How.Formula)
	require.NotEmpty(t, whole.Courses[0].Segments)
	require.Empty(t, rest.Courses[0].Segments)
}
