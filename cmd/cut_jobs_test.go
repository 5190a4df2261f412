package cmd

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var samples = []string{"cottage", "mill", "pumphouse"}

// priceSample prices a sample into a folder of the test and gives its JSON.
func priceSample(t *testing.T, name string, flags ...string) jsonRun {
	t.Helper()
	args := append([]string{"price", filepath.Join("..", "samples", name+".xlsx"), "-o", t.TempDir(), "-q", "--no-drawings", "--json", "-"}, flags...)
	status, out, errs := run(t, args...)
	require.Contains(t, []int{exitDone, exitIncomplete}, status, errs)
	var r jsonRun
	require.NoError(t, json.Unmarshal([]byte(out), &r))
	return r
}

func amountOf(t *testing.T, s string) decimal.Decimal {
	d, err := decimal.NewFromString(s)
	require.NoError(t, err)
	return d
}

// What Priced items buy is what the cut plans say: of bars each stock length's net is the number of its stock pieces over all
// plans; of form units the lines of rule R-CUT are the plans' and the net is they with the whole units. Each pool has one
// bound, its cost is the price of what it buys, and every bar of the list that a plan buys is cut once.
func TestBoughtIsPlanned(t *testing.T) {
	for _, name := range samples {
		t.Run(name, func(t *testing.T) {
			r := priceSample(t, name)
			require.NotEmpty(t, r.Cuts)
			planned := map[string]int64{} // by item, and of bars stock length
			cut := map[string]int64{}     // by item and piece length
			for _, c := range r.Cuts {
				item := c.Item
				if strings.HasPrefix(item, "bar-") {
					item += " " + c.Stock
				}
				planned[item] += c.Times
				for _, p := range c.Pieces {
					cut[c.Item+" "+p.Length] += p.Count * c.Times
				}
			}
			bought, whole, seen := map[string]decimal.Decimal{}, map[string]decimal.Decimal{}, map[string]bool{}
			for _, l := range r.Lines {
				if l.Rule == "R-CUT" {
					bought[l.Item] = bought[l.Item].Add(amountOf(t, l.Quantity))
					assert.Nil(t, l.Wall)
				} else {
					whole[l.Item] = whole[l.Item].Add(amountOf(t, l.Quantity))
				}
			}
			for _, i := range r.Items {
				switch {
				case strings.HasPrefix(i.Item, "bar-") && i.Length != nil && i.Unit == "ea":
					key := i.Item + " " + *i.Length
					seen[key] = true
					assert.Equal(t, decimal.NewFromInt(planned[key]).String(), i.Net, key)
				case planned[i.Item] > 0 && i.Unit == "ea":
					seen[i.Item] = true
					assert.Equal(t, decimal.NewFromInt(planned[i.Item]).String(), bought[i.Item].String(), i.Item)
					assert.Equal(t, bought[i.Item].Add(whole[i.Item]).String(), i.Net, i.Item)
				}
			}
			for key := range planned {
				assert.True(t, seen[key], "no item for the plan of %s", key)
			}
			listed := map[string]int64{}
			for _, b := range r.Bars {
				listed["bar-"+b.Size+" "+b.Length] += b.Count
			}
			for key, n := range cut {
				if strings.HasPrefix(key, "bar-") {
					assert.Equal(t, listed[key], n, key)
				}
			}
			pools := map[string]bool{}
			for _, b := range r.CutBounds {
				key := b.Item + " " + text(b.Level) + " " + text(b.Pour)
				if !strings.Contains(key, "-board") { // boards of two cores are one item and two pools
					assert.False(t, pools[key], "two plans of %s", key)
				}
				pools[key] = true
				cost, least := amountOf(t, b.Cost), amountOf(t, b.LeastCost)
				assert.True(t, least.LessThanOrEqual(cost), key)
				assert.Equal(t, cost.Equal(least), b.Proven, key)
			}
			for _, c := range r.Cuts {
				assert.True(t, pools[c.Item+" "+text(c.Level)+" "+text(c.Pour)])
			}
		})
	}
}

func text(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

// --effort is the work all plans of a job have together: with more of it no plan costs more here, and no bound is lower.
func TestEffort(t *testing.T) {
	little, much := priceSample(t, "mill", "--effort", "0.001"), priceSample(t, "mill", "--effort", "2")
	require.Equal(t, len(little.CutBounds), len(much.CutBounds))
	for i, a := range little.CutBounds {
		b := much.CutBounds[i]
		require.Equal(t, a.Item, b.Item)
		assert.True(t, amountOf(t, b.Cost).LessThanOrEqual(amountOf(t, a.Cost)), "%s: %s after %s", a.Item, b.Cost, a.Cost)
		assert.True(t, amountOf(t, b.LeastCost).GreaterThanOrEqual(amountOf(t, a.LeastCost)), a.Item)
	}
	proven := func(r jsonRun) (n int) {
		for _, b := range r.CutBounds {
			if b.Proven {
				n++
			}
		}
		return n
	}
	assert.Greater(t, proven(much), proven(little), "effort makes no difference")
}
