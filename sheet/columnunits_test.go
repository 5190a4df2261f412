package sheet

import (
	"bytes"
	"path/filepath"
	"regexp"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"wallbill/pricing"
	"wallbill/takeoff"
)

// A list of lengths is in one unit from its top to its foot, also where its cells hold several.
func TestMetricColumnsHaveOneUnit(t *testing.T) {
	f := pricedSample(t, "pumphouse")
	lengths := regexp.MustCompile(`\d (mm|m)\b`)
	seen := 0
	for _, tab := range []string{tabPriced, tabShares, tabPrices, tabOrders, tabCourses, tabBars, tabCuts, tabBracing, tabPourPlan} {
		rows, err := f.GetRows(tab)
		require.NoError(t, err)
		units := map[int]string{}
		for i, row := range rows {
			if i < headRow {
				continue
			}
			if len(row) == 0 {
				units = map[int]string{} // another table
			}
			for col, text := range row {
				if tab == tabPriced && col == 2 || tab == tabOrders && (col == 4 || col == 16) || tab == tabPrices && col > 10 || tab == tabCuts && col == 9 {
					continue // words of the user's, a sentence
				}
				for _, m := range lengths.FindAllStringSubmatch(text, -1) {
					seen++
					if units[col] == "" {
						units[col] = m[1]
					}
					require.Equal(t, units[col], m[1], "%s row %d: %s", tab, i+1, text)
				}
			}
		}
	}
	require.Greater(t, seen, 500)
}

// The areas of the rule of thumb are shown as areas are, in two decimals at most.
func TestRuleOfThumbAreas(t *testing.T) {
	n := 0
	for _, name := range []string{"cottage", "mill", "pumphouse"} {
		rows, err := pricedSample(t, name).GetRows(tabCuts)
		require.NoError(t, err)
		for _, row := range rows {
			if len(row) < 10 {
				continue
			}
			if m := regexp.MustCompile(`^([0-9.]+) (sqft|m2) over `).FindStringSubmatch(row[9]); m != nil {
				n++
				require.Regexp(t, `^\d+(\.\d\d?)?$`, m[1], name)
			}
		}
	}
	require.Greater(t, n, 3)
}

// pricedSample is a sample's priced workbook, without drawings.
func pricedSample(t *testing.T, name string) *excelize.File {
	t.Helper()
	job, findings, source, err := ReadSchedule(filepath.Join("..", "samples", name+".xlsx"), DefaultLimits)
	require.NoError(t, err)
	require.False(t, takeoff.HasErrors(findings), findings)
	base, err := source.OpenForResults()
	require.NoError(t, err)
	var out bytes.Buffer
	_, err = WritePriced(&out, base, Run{Number: 1, Time: time.Date(2026, 11, 25, 9, 30, 0, 0, time.UTC), Version: "0"},
		pricing.Price(takeoff.Compute(job), pricing.Options{Today: job.BidDate}), PricedOptions{})
	require.NoError(t, err)
	require.NoError(t, base.Close())
	f, err := excelize.OpenReader(&out)
	require.NoError(t, err)
	t.Cleanup(func() { f.Close() })
	return f
}
