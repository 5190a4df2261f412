package takeoff

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wallbill/takeoff/cutting"
)

// ruleLines are the lines of some rules by wall, rule and item.
func (t *Takeoff) ruleLines(rules ...string) map[string]string {
	sums := map[string]decimal.Decimal{}
	for _, l := range t.Lines {
		for _, r := range rules {
			if l.Rule == r {
				k := l.Wall + " " + l.Rule + " " + l.Item
				sums[k] = sums[k].Add(l.Quantity)
			}
		}
	}
	out := map[string]string{}
	for k, v := range sums {
		out[k] = v.String()
	}
	return out
}

// The form units of the two worked jobs, worked independently of the program in exact fractions (computed here, by the
// rules' words).
func TestWorkedFormUnits(t *testing.T) {
	for _, c := range []struct {
		name string
		site *site
		want map[string]string
	}{
		{"annex", annex(), map[string]string{
			"K1 R-BLOCK M-6in-block": "3", "K1 R-BLOCK M-6in-half": "1", "K1 R-CORNER M-6in-angle": "3", "K1 R-CORNER M-6in-angle-half": "1",
			"K2 R-CAP M-6in-endcap": "4", "P R-BLOCK M-8in-block": "13", "P R-CORNER M-8in-corner": "8", "Q R-BLOCK M-8in-block": "24",
			"Q R-CORNER M-8in-corner": "8", "R R-BLOCK M-8in-block": "8", "R R-CORNER M-8in-corner": "8", "T R-CORNER M-8in-corner": "8",
			"U R-BLOCK M-8in-block": "16", "U R-CORNER M-8in-corner": "8", "X R-BLOCK M-8in-block": "30", "X R-CORNER M-8in-corner": "8",
			"Y1 R-BLOCK M-6in-block": "39", "Y1 R-CAP M-6in-endcap": "6", "Y2 R-BLOCK M-6in-block": "29", "Y2 R-CAP M-6in-endcap": "6",
		}},
		{"store", store(), map[string]string{
			"E R-BLOCK M-6in-block": "18", "E R-CORNER M-6in-corner": "6", "N R-BLOCK M-6in-block": "36", "N R-CORNER M-6in-corner": "6",
			"S R-BLOCK M-6in-block": "29", "S R-CORNER M-6in-corner": "6", "W R-BLOCK M-6in-block": "18", "W R-CORNER M-6in-corner": "6",
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			out := c.site.takeoff(t)
			assert.Equal(t, c.want, out.ruleLines("R-BLOCK", "R-CORNER", "R-CAP"))
			for _, k := range out.Cuts {
				require.NoError(t, cutting.Recount(k.Problem, k.Plan))
			}
		})
	}
}
