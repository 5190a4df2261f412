package takeoff

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A free wall 20' long, T 10 1/2 in, footing 22 1/2 in: 6 in longer at each end, 21'. Along 2 bars, spliced with 30 in: 20'
// and 21' + 30" − 20' = 3'-6"; across ceil(252/20) + 1 = 14 of 22 1/2 − 6 = 16 1/2 in. No corner bars.
func TestFootingBarsOfAFreeWall(t *testing.T) {
	s := newSite()
	f := s.footing("S1", `22 1/2"`, `9"`, true)
	f.Along, f.AlongBars, f.Across, f.AcrossSpacing = BarBySize("#4"), 2, BarBySize("#4"), ft(`20"`)
	s.wall("A", "W", "20", "9", "6in", "end", open("end"), func(w *Wall) { w.Footing = f })
	out := s.takeoff(t)
	require.Equal(t, `2 #4 20'-0", 2 #4 3'-6", 14 #4 1'-4 1/2"`, out.barList("W", "R-FTBAR"))
	require.Equal(t, "66.25", out.feet("W", "R-FTBAR", "bar-#4"))
}

// An in-line joint adds a lap to the wall that ends there; where its base is 2'-6" under the other's a step takes along bars
// of 30 in and 2 laps. Corner bars by a shared corner at the end of the second: 2 halves, one bar.
func TestFootingBarsOverAStep(t *testing.T) {
	s := newSite()
	f := s.footing("S1", `10 1/2"`, `9"`, true)
	f.Along, f.AlongBars = BarBySize("#4"), 2
	on := func(base string) func(*Wall) {
		return func(w *Wall) { w.Footing, w.Base = f, ft(base) }
	}
	s.wall("A", "low", "10", "9", "6in", "straight", open("end"), on("0"))
	s.wall("A", "high", "10", `6'-6"`, "6in", "corner", on(`2'-6"`))
	out := s.takeoff(t)
	require.Equal(t, `2 #4 12'-6"`, out.barList("low", "R-FTBAR"))
	require.Equal(t, `2 #4 7'-6"`, out.barList("low", "R-STEP"))
	require.Equal(t, `2 #4 9'-6 3/4"`, out.barList("high", "R-FTBAR"))
	require.Equal(t, `1 #4 4'-11" corner`, out.barList("", "R-FTBAR"))
	require.Equal(t, "15", out.feet("low", "R-STEP", "bar-#4"))
}

// Grade beam of a published takeoff (a construction estimating textbook's exercise, seen second hand): 35 ft, #3 ties at 6
// in of 32 in: 71, 189 ft, 71 lb; 4 #4 long bars, 140 ft, 93.5 lb. Here a ledge along a free wall, bars placed at their full length.
func TestLedgeBarsOfAPublishedTakeoff(t *testing.T) {
	s := newSite()
	s.set(SetLongestBarPlaced, "40")
	l := &LedgeMark{Mark: "L1", Projection: ft(`5"`), FaceDepth: ft(`10"`), Stirrup: BarBySize("#3"), StirrupSpacing: ft(`6"`), StirrupLength: ft(`32"`),
		Along: BarBySize("#4"), AlongBars: 4, UnitLength: ft("4"), ConnectorSpacing: ft("1")}
	s.wall("A", "W", "35", "9", "6in", "end", open("end"), func(w *Wall) { w.Ledge, w.LedgeTop = l, ft("7") })
	out := s.takeoff(t)
	require.Equal(t, `71 #3 2'-8" stirrup, 4 #4 35'-0"`, out.barList("W", "R-LEDGE"))
	require.Equal(t, "189.333333333", out.feet("W", "R-LEDGE", "bar-#3"))
	require.Equal(t, "71.189333333", out.Bars[0].Mass.String())
	require.Equal(t, "93.52", out.Bars[1].Mass.String())
}

// Two spread footings of a published takeoff (the same exercises): 8 #4 bars of 26 in each, 23.2 lb: pads of 32 in with 4
// bars each way and 3 in of cover.
func TestPadBarsOfAPublishedTakeoff(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "10", "9", "6in", "end", open("end"))
	s.job.Pads = []*Pad{{Mark: "F1", Pour: "1", Count: 2, Length: ft(`32"`), Width: ft(`32"`), Depth: ft(`12"`), Bar: BarBySize("#4"), BarsEachWay: 4}}
	out := s.takeoff(t)
	require.Equal(t, `16 #4 2'-2"`, out.barList("", "R-FTBAR"))
	require.Equal(t, "34.666666667", out.feet("", "R-FTBAR", "bar-#4"))
	near(t, "23.157333", out.driver("bar-mass"), "34 2/3 ft of 0.668 lb")
}
