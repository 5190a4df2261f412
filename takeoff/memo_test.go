package takeoff

import (
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Remembered plans are the plans: a job taken off again with them comes out the same, and so does one beside it that
// shares some of its pools.
func TestPlansRemembered(t *testing.T) {
	var plans Memo
	a, b := bigSite(40), bigSite(40)
	b.job.Walls[0].Height += ft(`1'`)
	b.job.Walls[0].HeightEnd = b.job.Walls[0].Height
	for _, s := range []*site{a, b, a} {
		want, have := Compute(s.job), plans.Compute(s.job)
		require.Len(t, have.Cuts, len(want.Cuts))
		for i := range want.Cuts {
			assert.Equal(t, want.Cuts[i].Plan, have.Cuts[i].Plan)
		}
		assert.Equal(t, len(want.Lines), len(have.Lines))
	}
	once := len(plans.kept)
	plans.Compute(a.job)
	assert.Len(t, plans.kept, once)
	assert.Greater(t, once, 0)
}

// Parts remembered change no quantity: by item and unit the lines add up to the same, the pools are the same, and so are
// pours, drivers and braces. Two walls of the second job are higher; the other parts are those of the first.
func TestPartsRemembered(t *testing.T) {
	var memo Memo
	a, b := bigSite(40), bigSite(40)
	for _, i := range []int{5, 17} {
		b.job.Walls[i].Height += ft(`1'`)
		b.job.Walls[i].HeightEnd = b.job.Walls[i].Height
	}
	parts := 0
	for _, s := range []*site{a, b, a} {
		key := func(walls []*WallLines) string {
			k := ""
			for _, w := range walls {
				k += w.Mark + w.Height.MM() + " "
			}
			return k
		}
		want, have := Compute(s.job), memo.Sums(s.job, key)
		sums := func(t *Takeoff) map[string]string {
			m := map[string]decimal.Decimal{}
			for i := range t.Lines {
				l := &t.Lines[i]
				k := l.Item + "|" + string(l.Unit) + "|" + l.Rule
				m[k] = m[k].Add(l.Quantity)
			}
			out := map[string]string{}
			for k, q := range m {
				out[k] = q.String()
			}
			return out
		}
		assert.Equal(t, sums(want), sums(have))
		bars := func(t *Takeoff) map[string]int64 {
			m := map[string]int64{}
			for i := range t.Bars {
				b := &t.Bars[i]
				m[b.Bar.Size+"|"+b.Length.MM()+"|"+b.Level+"|"+b.Pour] += b.Count
			}
			return m
		}
		assert.Equal(t, bars(want), bars(have))
		assert.Less(t, len(have.Lines), len(want.Lines)/3)
		assert.Equal(t, want.Drivers, have.Drivers)
		for i := range want.Braces {
			want.Braces[i].Positions = nil
		}
		assert.Equal(t, want.Braces, have.Braces)
		require.Len(t, have.Pours, len(want.Pours))
		for i := range want.Pours {
			assert.Equal(t, want.Pours[i].WallOrder.String(), have.Pours[i].WallOrder.String())
			assert.Equal(t, want.Pours[i].PumpHours.String(), have.Pours[i].PumpHours.String())
			assert.Equal(t, want.Pours[i].Trucks, have.Pours[i].Trucks)
		}
		pools := func(t *Takeoff) map[string]int64 {
			m := map[string]int64{}
			for i := range t.Cuts {
				m[t.Cuts[i].Item+"|"+t.Cuts[i].Level+"|"+t.Cuts[i].Pour] = t.Cuts[i].Plan.Cost
			}
			return m
		}
		assert.Equal(t, pools(want), pools(have))
		parts = 0
		for k := range memo.parts {
			if strings.HasPrefix(k, "part ") {
				parts++
			}
		}
	}
	assert.Equal(t, 12, parts, "ten runs, two of them counted twice")
}
