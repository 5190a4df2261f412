package sheet

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"wallbill/takeoff"
)

// The two worked schedules give exactly their figures, to the six decimals in which they are given.
func TestWorkedSchedules(t *testing.T) {
	for _, name := range []string{"store", "annex"} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join("..", "testdata", "worked")
			job, findings, _, err := ReadSchedule(filepath.Join(dir, name+".xlsx"), DefaultLimits)
			require.NoError(t, err)
			require.False(t, takeoff.HasErrors(findings), findings)
			out := takeoff.Compute(job)
			require.False(t, takeoff.HasErrors(out.Findings), out.Findings)
			have := workedFigures(out)

			f, err := os.Open(filepath.Join(dir, name+".csv"))
			require.NoError(t, err)
			defer f.Close()
			rows, err := csv.NewReader(f).ReadAll()
			require.NoError(t, err)
			require.Greater(t, len(rows), 40)
			want := map[string]bool{}
			for _, r := range rows[1:] {
				key := strings.Join(r[:3], "|")
				want[key] = true
				q := decimal.RequireFromString(r[3])
				require.Equal(t, q.String(), have[key].Round(6).String(), key)
			}
			// Every figure of a rule that was worked is in the file: nothing is counted beside it.
			rules := map[string]bool{}
			for key := range want {
				rules[strings.Split(key, "|")[1]] = true
			}
			for key, q := range have {
				if rule := strings.Split(key, "|")[1]; rules[rule] && rule != "driver" && worked(key) {
					require.True(t, want[key], "%s = %s was not worked", key, q)
				}
			}
		})
	}
}

// worked tells whether a figure is of the kinds that were worked: stakes, spreaders, planks and rails were not.
func worked(key string) bool {
	for _, item := range []string{"|stake", "|spreader", "|plank", "|rail", "|walkway"} {
		if strings.HasSuffix(key, item) {
			return false
		}
	}
	return true
}

// workedFigures are a takeoff's figures by wall, rule and item as the files give them.
func workedFigures(out *takeoff.Takeoff) map[string]decimal.Decimal {
	have := map[string]decimal.Decimal{}
	add := func(wall, rule, item string, q decimal.Decimal) {
		key := wall + "|" + rule + "|" + item
		have[key] = have[key].Add(q)
	}
	for _, l := range out.Lines {
		item, q := l.Item, l.Quantity
		switch {
		case strings.HasPrefix(item, "concrete-"):
			item, q = "concrete", q.Mul(decimal.NewFromInt(27))
		case item == "brace-set" || item == "brace-tall":
			item = "brace-set + brace-tall"
		}
		add(l.Wall, l.Rule, item, q)
	}
	for _, d := range out.Drivers {
		add("", "driver", d.Name, d.Quantity)
	}
	return have
}
