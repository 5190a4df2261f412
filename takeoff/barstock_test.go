package takeoff

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"wallbill/takeoff/cutting"
	"wallbill/takeoff/unit"
)

// twoPours is a free wall in each of two pours of two levels, with 3 rows of #4, 12' less two covers, and dowels.
func twoPours() *site {
	s := newSite()
	f := s.footing("S1", `30"`, `10"`, false)
	m := s.mark("V1", horizontal("#4", `30"`), vertical("#4", "4'"), func(m *BarMark) {
		m.HorizontalBars, m.Vertical, m.Dowel = 3, nil, BarBySize("#4")
	})
	for _, x := range []struct{ mark, level, pour string }{{"a", "B", "1"}, {"b", "B", "2"}, {"c", "M", "2"}} {
		s.wall(x.mark, x.mark, "12", "9", "6in", "end", with(m), open("end"), func(w *Wall) {
			w.Level, w.Pour, w.PourAbove, w.Footing = x.level, x.pour, x.pour, f
		})
	}
	return s
}

// pools are the bar pools as item, level, pour and pieces wanted.
func barPools(out *Takeoff) []string {
	var all []string
	for _, c := range out.Cuts {
		if c.Bar == nil {
			continue
		}
		n := int64(0)
		for _, x := range c.Problem.Pieces {
			n += x.Count
		}
		all = append(all, c.Item+"/"+c.Level+"/"+c.Pour+"/"+decimal.NewFromInt(n).String())
	}
	return all
}

// Pieces share stock by pour, level or job: 3 rows and 4 dowels a wall.
func TestBarsAreCutTogether(t *testing.T) {
	s := twoPours()
	s.stock("bar-#4", "20'", "10")
	require.Equal(t, []string{"bar-#4//1/7", "bar-#4//2/14"}, barPools(s.takeoff(t)))
	v := s.job.Settings.Value(SetCutBarsBy)
	v.Word = "level"
	s.job.Settings.Set(SetCutBarsBy, v)
	require.Equal(t, []string{"bar-#4/B//14", "bar-#4/M//7"}, barPools(s.takeoff(t)))
	v.Word = "job"
	s.job.Settings.Set(SetCutBarsBy, v)
	require.Equal(t, []string{"bar-#4///21"}, barPools(s.takeoff(t)))
}

// Without a row with a Length there is no plan; a row by mass with a Length is stock at its mass, 20' of #4 = 13.36 lb at 0.62 =
// 8.2832; a row by mass without one buys cut-and-bent steel.
func TestBarStock(t *testing.T) {
	s := twoPours()
	require.Empty(t, barPools(s.takeoff(t)))
	s.price(&PriceRow{Item: "bar-#4", Unit: unit.Foot, Price: decimal.RequireFromString("0.5")})
	require.Empty(t, barPools(s.takeoff(t)))
	s = twoPours()
	s.stock("bar-#4", "40'", "16.5")
	s.price(&PriceRow{Item: "BAR-#4", Unit: unit.Pound, Length: ft("20"), Price: decimal.RequireFromString("0.62")})
	out := s.takeoff(t)
	require.Equal(t, []cutting.Stock{{Length: int64(ft("40")), Price: 165000}, {Length: int64(ft("20")), Price: 82832}}, out.Cuts[0].Problem.Stock)
	require.Equal(t, int32(4), out.Cuts[0].PriceScale)
	s = twoPours()
	s.price(&PriceRow{Item: "bar-#4", Unit: unit.Ton, Price: decimal.RequireFromString("1900")})
	require.Empty(t, barPools(s.takeoff(t)))
}

// Bars are spliced from the lesser of the longest stock and the longest bar placed.
func TestStockLimitsSplices(t *testing.T) {
	s := twoPours()
	s.stock("bar-#4", "10'", "5")
	// 11'-8" from 10' bars: 10' and 1'-8" + 30" = 4'-2".
	require.Equal(t, `3 #4 10'-0", 3 #4 4'-2"`, s.takeoff(t).barList("a", "R-HORZ"))
	s.stock("bar-#4", "60'", "40")
	require.Equal(t, `3 #4 11'-8"`, s.takeoff(t).barList("a", "R-HORZ"))
	s.set(SetLongestBarPlaced, "10")
	require.Equal(t, `3 #4 10'-0", 3 #4 4'-2"`, s.takeoff(t).barList("a", "R-HORZ"))
}

// A lap as long as the longest bar is an error at the mark's Lap, said once.
func TestLapAsLongAsABar(t *testing.T) {
	s := twoPours()
	s.job.Bars[0].LapLength, s.job.Bars[0].Dowel = ft("10"), nil
	s.stock("bar-#4", "10'", "5")
	n := 0
	for _, f := range Compute(s.job).Findings {
		if f.Severity == Error {
			n++
			require.Equal(t, "Bars!I2", f.At.String())
			require.Equal(t, `lap of #4, V1: the longest bar that can be had and placed, 10'-0", is not above its lap of 10'-0"`, f.Text())
		}
	}
	require.Equal(t, 1, n)
}

// A bent row takes the dowels out of the stock plan: 4 of 3'-8" a wall, a line of their own in feet whatever the row's unit.
func TestBentBars(t *testing.T) {
	s := twoPours()
	s.stock("bar-#4", "20'", "10")
	s.price(&PriceRow{Item: "bent-#4", Unit: unit.Each, Price: decimal.RequireFromString("3")})
	out := s.takeoff(t)
	require.Equal(t, []string{"bar-#4//1/3", "bar-#4//2/6"}, barPools(out))
	require.Equal(t, "14.666666667", out.feet("a", "R-DOWEL", "bent-#4"))
	require.Equal(t, "0", out.feet("a", "R-DOWEL", "bar-#4"))
	require.Equal(t, `4 #4 3'-8" hook 90`, out.barList("a", "R-DOWEL"))
}

// A bent bar longer than every stock length cannot be cut: a dowel of 8 + 7 + 60 − bend in from 5' stock.
func TestBentBarLongerThanStock(t *testing.T) {
	s := twoPours()
	s.stock("bar-#4", "5'", "2")
	s.job.Bars[0].Horizontal, s.job.Bars[0].LapLength = nil, ft(`55"`)
	out := Compute(s.job)
	require.True(t, HasErrors(out.Findings))
	require.Contains(t, findingTexts(out), `bar-#4: no stock length is as long as the 5'-9" hook 90 of V1, wall a`)
}

// Quantity extras on a bar: 30 ft joins pour 1 as a run, 20' and 12'-6"; 2 ea are two stock lengths; a mass is a length of
// the nominal mass, 6.68 lb of #4 = 10'.
func TestExtraBars(t *testing.T) {
	s := twoPours()
	s.stock("bar-#4", "20'", "10")
	extra := func(quantity string, u unit.Unit) *Takeoff {
		s.job.Extras = []*ExtraRow{{At: Ref{Tab: "Extras", Row: 2}, Line: "spare", Kind: ExtraQuantity, Item: "bar-#4", Quantity: decimal.RequireFromString(quantity), Unit: u, Pour: "1",
			Columns: map[string]int{"quantity": 4, "unit": 5}}}
		return Compute(s.job)
	}
	out := extra("30", unit.Foot)
	require.Equal(t, `1 #4 20'-0", 1 #4 12'-6"`, out.barList("", "R-EXTRA"))
	require.Equal(t, []string{"bar-#4//1/9", "bar-#4//2/14"}, barPools(out))
	require.Equal(t, `2 #4 20'-0"`, extra("2", unit.Each).barList("", "R-EXTRA"))
	require.Equal(t, `1 #4 10'-0"`, extra("6.68", unit.Pound).barList("", "R-EXTRA"))
	// Less 15 ft: one row of 11'-8" goes, and 3'-4" of another: 8'-4" is left of it.
	out = extra("-15", unit.Foot)
	require.Equal(t, []cutting.Piece{{Length: int64(ft(`11'-8"`)), Count: 1}, {Length: int64(ft(`8'-4"`)), Count: 1}, {Length: int64(ft(`3'-8"`)), Count: 4}}, out.Cuts[0].Problem.Pieces)
	require.False(t, HasErrors(out.Findings))
	// 3·11'-8" + 4·3'-8" = 49'-8": all of it leaves nothing, a foot more is an error at the extra.
	require.False(t, HasErrors(extra("-49.666666667", unit.Foot).Findings))
	out = extra("-50.666666667", unit.Foot)
	require.True(t, HasErrors(out.Findings))
	require.Contains(t, findingTexts(out)[0]+findingTexts(out)[len(out.Findings)-1], "takes more bar-#4 than there is")
	// Without a pour it takes from all: less 60 ft, pour 1 gives 3·11'-8" + 4·3'-8" = 49'-8", pour 2 gives 2·3'-8" and 3'-0" of
	// an 11'-8", 8'-8" is left of it. More than the 149 ft there are is an error.
	out = extra("-60", unit.Foot)
	require.True(t, HasErrors(out.Findings), "pour 1 has no more")
	s.job.Extras[0].Pour = ""
	out = Compute(s.job)
	require.False(t, HasErrors(out.Findings))
	require.Equal(t, []string{"bar-#4//1/0", "bar-#4//2/12"}, barPools(out)[:2])
	last := out.Cuts[1]
	require.Equal(t, []cutting.Piece{{Length: int64(ft(`11'-8"`)), Count: 5}, {Length: int64(ft(`8'-8"`)), Count: 1}, {Length: int64(ft(`3'-8"`)), Count: 6}}, last.Problem.Pieces)
	require.Equal(t, "2", last.Pour)
	s.job.Extras[0].Quantity = decimal.NewFromInt(-150)
	require.True(t, HasErrors(Compute(s.job).Findings))
	// No area is bar.
	require.True(t, HasErrors(extra("5", unit.SqFoot).Findings))
}

func TestBarOfItem(t *testing.T) {
	require.Equal(t, BarBySize("#4"), BarOfItem(" Bar-#4"))
	require.Equal(t, BarBySize("10M"), BarOfItem("bent-10m"))
	require.Nil(t, BarOfItem("bar-#2"))
	require.Nil(t, BarOfItem("crowbar-#4"))
}
