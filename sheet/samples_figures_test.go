package sheet

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// sampleJobs are the samples that are jobs.
var sampleJobs = []string{"cottage", "mill", "pumphouse"}

func priceSample(t *testing.T, name string) (*pricing.Bid, []takeoff.Finding) {
	t.Helper()
	job, findings, _, err := ReadSchedule(filepath.Join("..", "samples", name+".xlsx"), DefaultLimits)
	require.NoError(t, err)
	require.False(t, takeoff.HasErrors(findings), findings)
	bid := pricing.Price(takeoff.Compute(job), pricing.Options{Today: job.BidDate})
	all := append(append(append([]takeoff.Finding(nil), findings...), bid.Takeoff.Findings...), bid.Findings...)
	require.False(t, takeoff.HasErrors(all), all)
	return bid, all
}

// The samples price complete, and warn of nothing but what the mill shows on purpose: plans that do not close and a
// quotation that has run out.
func TestSamplesPriceComplete(t *testing.T) {
	want := map[string][]string{"mill": {"R-CLOSE", "P-QUOTE"}}
	for _, name := range sampleJobs {
		bid, findings := priceSample(t, name)
		require.True(t, bid.Complete, name)
		var warnings []string
		for _, f := range findings {
			if f.Severity == takeoff.Warning {
				warnings = append(warnings, f.Rule)
			}
		}
		require.ElementsMatch(t, want[name], warnings, name)
		for _, p := range bid.Takeoff.Pours {
			if p.WallConcrete.IsPositive() {
				require.Equal(t, "at or under rating", p.Status, "%s, pour %s", name, p.Pour)
			}
		}
	}
}

// The samples' figures are those worked by hand in testdata/samples: where, rule, item, quantity.
func TestSamplesByHand(t *testing.T) {
	for _, name := range sampleJobs {
		t.Run(name, func(t *testing.T) {
			bid, _ := priceSample(t, name)
			have := sampleFigures(bid)
			f, err := os.Open(filepath.Join("..", "testdata", "samples", name+".csv"))
			require.NoError(t, err)
			defer f.Close()
			rows, err := csv.NewReader(f).ReadAll()
			require.NoError(t, err)
			require.Equal(t, []string{"where", "rule", "item", "quantity", "unit"}, rows[0])
			require.Greater(t, len(rows), 100)
			want := map[string]bool{}
			for _, r := range rows[1:] {
				key := strings.Join(r[:3], "|")
				require.False(t, want[key], "%s stands twice", key)
				want[key] = true
				q, ok := have[key]
				require.True(t, ok, "%s is not counted", key)
				require.Equal(t, r[3]+" "+r[4], q.quantity.Round(6).String()+" "+q.unit, key)
			}
			// What stands at a wall and was not worked is not counted either; cut plans share their units, and the units that a
			// part is counted by, between walls.
			for key, q := range have {
				at := strings.Split(key, "|")
				if bid.Takeoff.Geometry.ByMark[takeoff.ItemKey(at[0])] == nil || at[2] == "plank" || strings.HasSuffix(at[2], "-stiffener") {
					continue
				}
				require.True(t, want[key], "%s = %s was not worked", key, q.quantity)
			}
		})
	}
}

type sampleFigure struct {
	quantity decimal.Decimal
	unit     string
}

// sampleFigures are a bid's figures by where they belong (wall, level or pour), rule and item.
func sampleFigures(bid *pricing.Bid) map[string]sampleFigure {
	have := map[string]sampleFigure{}
	add := func(where, rule, item string, q decimal.Decimal, unit string) {
		key := where + "|" + rule + "|" + item
		have[key] = sampleFigure{have[key].quantity.Add(q), unit}
	}
	out := bid.Takeoff
	u := out.Units
	for _, l := range out.Lines {
		where, item := l.Wall, l.Item
		switch l.Rule {
		case "R-MEMB", "R-BOARD":
			where = l.Level
		case "R-TRUCK", "R-PUMP":
			where = l.Pour
		}
		if strings.HasPrefix(item, "concrete-") {
			item = "concrete"
		}
		add(where, l.Rule, item, l.Quantity, string(l.Unit))
		if item == "plank" {
			add("", l.Rule, item, l.Quantity, string(l.Unit)) // the stretches' together
		}
	}
	area, pressure, rise := "sqft", "psf", "ft/h"
	if u.System == length.Metric {
		area, pressure, rise = "m2", "kPa", "m/h"
	}
	for _, p := range out.Pours {
		add(p.Pour, "R-POUR", "wall-order", p.WallOrder, string(u.Volume))
		add(p.Pour, "R-POUR", "footing-order", p.FootingOrder, string(u.Volume))
		add(p.Pour, "R-TRUCK", "trucks", decimal.NewFromInt(p.Trucks), "ea")
		if p.Pressure != nil {
			add(p.Pour, "R-LIFT", "least-area", *p.LeastArea, area)
			add(p.Pour, "R-LIFT", "rate-of-rise", *p.RateOfRise, rise)
			add(p.Pour, "R-LIFT", "pressure", *p.Pressure, pressure)
		}
	}
	for _, it := range bid.Items {
		rule := "P-ORDER"
		if it.Freight {
			rule = "P-FREIGHT"
		}
		add("", rule, it.Name, it.Order, string(it.Unit))
	}
	money := out.Job.Currency
	for _, s := range bid.Rentals {
		add("", "P-RENTAL", s.Item, s.Charge, money)
	}
	t := bid.Totals
	for name, q := range map[string]decimal.Decimal{"direct": t.Direct, "tax": t.Tax, "contingency": t.Contingency, "overhead": t.Overhead, "cost": t.Cost,
		"profit": t.Profit, "bond": t.Bond, "bid_total": t.BidTotal} {
		add("", "P-BID", name, q, money)
	}
	return have
}
