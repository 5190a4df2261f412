package schedule

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/unit"
)

// The two worked jobs from their cells to their quantities: every figure that was worked independently of the program in exact
// fractions (wall, rule, item, quantity, unit; concrete in cubic feet, braces of both kinds together), to 6 decimals.
func TestWorkedQuantities(t *testing.T) {
	for _, name := range []string{"annex", "store"} {
		t.Run(name, func(t *testing.T) {
			job, findings := Read(worked(t, name), nil)
			require.Empty(t, findings)
			out := takeoff.Compute(job)
			require.False(t, takeoff.HasErrors(out.Findings))
			have := map[string]exact.Num{}
			add := func(key string, q exact.Num) { have[key] = have[key].Add(q) }
			for _, l := range out.Lines {
				item, q := l.Item, exact.Dec(l.Quantity)
				switch {
				case strings.HasPrefix(item, "concrete-"):
					item, q = "concrete", unit.CuFoot.Of(q.Mul(l.Unit.Base()))
				case strings.HasPrefix(item, "brace-"):
					item = "brace-set + brace-tall"
				}
				add(l.Wall+","+l.Rule+","+item, q)
			}
			for _, d := range out.Drivers {
				add(",driver,"+d.Name, exact.Dec(d.Quantity))
			}
			file, err := os.Open(filepath.Join("testdata", name+".csv"))
			require.NoError(t, err)
			defer file.Close()
			rows, err := csv.NewReader(file).ReadAll()
			require.NoError(t, err)
			require.Greater(t, len(rows), 50)
			for _, row := range rows[1:] {
				key := strings.Join(row[:3], ",")
				gap := have[key].Sub(exact.Dec(decimal.RequireFromString(row[3])))
				if gap.Sign() < 0 {
					gap = gap.Neg()
				}
				assert.True(t, gap.Cmp(exact.Frac(1, 1_000_000)) <= 0, "%s: %s, worked %s", key, have[key].Round(9), row[3])
			}
		})
	}
}
