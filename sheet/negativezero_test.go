package sheet

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"wallbill/pricing/revision"
	"wallbill/takeoff/unit"
)

var negativeZero = regexp.MustCompile(`^-0([.,]0+)?%?$`)

// One of 0.333 that becomes one of 0.334 is 0.33 before and after: the price's effect is 0.001, the rounding -0.001, and
// neither is shown as a zero, least of all as one below zero.
func TestNoNegativeZeroOnChanges(t *testing.T) {
	one, old, now, ext := dec("1"), dec("0.333"), dec("0.334"), dec("0.33")
	c := &revision.Changes{From: "run 1", To: "run 2", OldTotal: dec("10.33"), NewTotal: dec("10.33"), Edits: []revision.Edit{{Name: "Prices x: Price", Cost: decimal.Decimal{}}},
		Items: []revision.ItemChange{{Item: "x", Unit: unit.Each, Q0: one, Q1: one, P0: &old, P1: &now, Old: ext, New: ext, PriceOnly: dec("0.001"), Rounding: dec("-0.001")}},
		Rest:  []revision.Difference{{Name: "tax", Old: ext, New: ext}}}
	for _, minor := range []int32{0, 2, 3} {
		var b bytes.Buffer
		require.NoError(t, WriteChanges(&b, c, ChangesOptions{Currency: "USD", Minor: minor, Version: "0"}))
		f, err := excelize.OpenReader(&b)
		require.NoError(t, err)
		rows, err := f.GetRows(tabChanges)
		require.NoError(t, err)
		found := false
		for _, r := range rows {
			for _, s := range r {
				require.NotRegexp(t, negativeZero, strings.TrimSpace(s))
			}
			if len(r) > 9 && r[0] == "x" {
				found = true
				require.Equal(t, []string{"0.00", "0.001", "-0.001"}, []string{strings.TrimSpace(r[7]), strings.TrimSpace(r[8]), strings.TrimSpace(r[9])})
			}
		}
		require.True(t, found)
		require.NoError(t, f.Close())
	}
}

// No results tab of the samples shows a zero below zero.
func TestNoNegativeZero(t *testing.T) {
	for _, name := range []string{"cottage", "mill", "pumphouse"} {
		f := pricedSample(t, name)
		for _, tab := range f.GetSheetList() {
			rows, err := f.GetRows(tab)
			require.NoError(t, err)
			for i, r := range rows {
				for _, s := range r {
					require.NotRegexp(t, negativeZero, strings.TrimSpace(s), "%s %s row %d", name, tab, i+1)
				}
			}
		}
	}
}
