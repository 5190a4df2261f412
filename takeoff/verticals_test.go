package takeoff

import (
	"testing"

	"github.com/stretchr/testify/require"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// 8' of free wall, 24 in: 4 spaces, 5 bars with the one at the free start; 9'-0" less 2 in of cover is 8'-10". Two layers
// double them, Continues above adds the #4 lap of 30 in.
func TestVerticalsOfAFreeWall(t *testing.T) {
	s := newSite()
	plain := s.mark("V1", vertical("#4", `24"`))
	s.wall("A", "plain", "8", "9", "6in", "end", with(plain), open("end"))
	double := s.mark("V2", vertical("#4", `24"`), func(m *BarMark) { m.Layers, m.ContinuesAbove = 2, true })
	s.wall("B", "double", "8", "9", "6in", "end", with(double), open("end"))
	out := s.takeoff(t)
	require.Equal(t, `5 #4 8'-10"`, out.barList("plain", "R-VERT"))
	require.Equal(t, `10 #4 11'-4"`, out.barList("double", "R-VERT"))
	require.Equal(t, "44.166666667", out.feet("plain", "R-VERT", "bar-#4"))
	var at []string
	for _, x := range out.Geometry.ByMark["plain"].VerticalPositions() {
		at = append(at, x.Div(exact.Len(length.Foot)).String())
	}
	require.Equal(t, []string{"0", "2", "4", "6", "8"}, at)
}

// A run that starts at a shared corner has no bar at its start: 8' less 5 1/4 in at each corner is 7'-1 1/2", 4 spaces of 24 in, 4 bars.
func TestVerticalsFromASharedCorner(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "8", "9", "6in", "corner", with(s.mark("V1", vertical("#4", `24"`))), open("corner"))
	require.Equal(t, `4 #4 8'-10"`, s.takeoff(t).barList("W", "R-VERT"))
}

// Bars every 12 in of a 10' free wall 12' high; a window from 2' to 5' (bars at 3' and 4' strictly inside, those at 2' and 5'
// on its jambs are whole) of sill 3', head 6', and another above it of sill 8', head 11'-6": below 3' − 2" = 2'-10"; between
// 8' − 6' − 4" = 1'-8"; above 12' − 11'-6" − 4" = 2", dropped. 11 positions, 9 whole of 11'-10".
func TestVerticalsBetweenStackedOpenings(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "10", "12", "6in", "end", with(s.mark("V1", vertical("#4", `12"`), func(m *BarMark) { m.ContinuesAbove = true })), open("end"))
	s.opening("low", "W", "3", "3", "3", "2", 1)
	s.opening("high", "W", "3", `3'-6"`, "8", "2", 1)
	out := s.takeoff(t)
	require.Equal(t, `2 #4 2'-10", 2 #4 1'-8", 9 #4 14'-4"`, out.barList("W", "R-VERT"))
	// The sill at 12 in leaves 10 in, under the shortest bar; at 14 in the piece is 12 in and stays.
	s.job.Openings[0].Sill, s.job.Openings[0].Height = ft(`12"`), ft("5")
	require.Equal(t, `2 #4 1'-8", 9 #4 14'-4"`, s.takeoff(t).barList("W", "R-VERT"))
	s.job.Openings[0].Sill, s.job.Openings[0].Height = ft(`14"`), ft(`4'-10"`)
	require.Equal(t, `2 #4 1'-0", 2 #4 1'-8", 9 #4 14'-4"`, s.takeoff(t).barList("W", "R-VERT"))
}

// A rake from 8' to 10' over 8': bars at 0, 4', 8' of 8', 9', 10' less 2 in. Listed from the start.
func TestVerticalsUnderARake(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "8", "8", "6in", "end", with(s.mark("V1", vertical("#4", "4'"))), open("end"), rake("10"))
	require.Equal(t, `1 #4 7'-10", 1 #4 8'-10", 1 #4 9'-10"`, s.takeoff(t).barList("W", "R-VERT"))
}

// A 24' wall: bars of 23'-10" and a lap of 30 in above, 26'-4", are spliced: k = ceil((316 − 30)/(240 − 30)) = 2 of 20' and
// 26'-4" + 30" − 20' = 8'-10".
func TestTallVerticalsAreSpliced(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "8", "24", "6in", "end", with(s.mark("V1", vertical("#4", "4'"), func(m *BarMark) { m.ContinuesAbove = true })), open("end"))
	out := s.takeoff(t)
	require.Equal(t, `3 #4 20'-0", 3 #4 8'-10"`, out.barList("W", "R-VERT"))
	require.Equal(t, "86.5", out.feet("W", "R-VERT", "bar-#4"))
	require.Equal(t, "6", out.driver("bars"))
}

// Two jamb bars each side of two windows: 8 bars, 9' − 2"; the opening's own mark wins: 1 each side, cover 3 in.
func TestJambs(t *testing.T) {
	s := newSite()
	jambs := func(n int, cover string) func(*BarMark) {
		return func(m *BarMark) { m.Jamb, m.JambBars, m.Cover = BarBySize("#5"), n, ft(cover) }
	}
	s.wall("A", "W", "20", "9", "6in", "end", with(s.mark("V1", jambs(2, `2"`))), open("end"))
	s.opening("a", "W", "3", "3", "3", "", 2)
	out := s.takeoff(t)
	require.Equal(t, `8 #5 8'-10"`, out.barList("W", "R-JAMB"))
	s.job.Openings[0].Bars = s.mark("own", jambs(1, `3"`))
	require.Equal(t, `4 #5 8'-9"`, s.takeoff(t).barList("W", "R-JAMB"))
}

// Dowels at the positions that are not in a door: 11 at 12 in over 10', less 2 in the door from 2' to 5'; a window keeps
// its. Footing 10 in deep: 10 − 3 + 30 = 37, J 8: 45 − 1.25 = 43.75, raised to 44 in. 2 layers: 18; one jamb bar a side of
// each opening: 4 more, of the opening's lap.
func TestDowels(t *testing.T) {
	s := newSite()
	m := s.mark("V1", vertical("#4", `12"`), func(m *BarMark) { m.Layers, m.Dowel, m.Jamb, m.JambBars = 2, BarBySize("#4"), BarBySize("#4"), 1 })
	f := s.footing("S1", `20"`, `10"`, false)
	s.wall("A", "W", "10", "9", "6in", "end", with(m), open("end"), func(w *Wall) { w.Footing = f })
	s.opening("door", "W", "3", "7", "0", "2", 1)
	s.opening("window", "W", "2", "3", "3", "7", 1)
	out := s.takeoff(t)
	require.Equal(t, `18 #4 3'-8" hook 90, 2 #4 3'-8" hook 90, 2 #4 3'-8" hook 90`, out.barList("W", "R-DOWEL"))
	require.Equal(t, "80.666666667", out.feet("W", "R-DOWEL", "bar-#4"))
	// J of 8 in is over half of 20 in less 3 in: a note, once.
	require.Contains(t, findingTexts(out), `footing S1: the #4 dowel's hook 8" is longer than half the footing less cover, 7"`)
	// A dowel needs no vertical bar in the mark, only the positions; none without a footing.
	m.Vertical = nil
	require.Equal(t, "80.666666667", s.takeoff(t).feet("W", "R-DOWEL", "bar-#4"))
	s.job.Walls[0].Footing = nil
	require.Equal(t, "0", s.takeoff(t).feet("W", "R-DOWEL", "bar-#4"))
}

// findingTexts are a takeoff's findings as text.
func findingTexts(out *Takeoff) []string {
	var all []string
	for _, f := range out.Findings {
		all = append(all, f.Text())
	}
	return all
}

// A metric wall of 12 mm bars: 2.4 m at 600 mm, 5 bars of 2700 − 50 + 720 mm; dowel legs 192 and 300 − 75 + 720 = 945:
// 1137 − 30 = 1107, raised to 1110 mm.
func TestMetricVerticals(t *testing.T) {
	s := newSite()
	s.job.Report = length.Metric
	s.set(SetFootingCover, "75 mm")
	m := s.mark("V1", vertical("12mm", "600 mm"), func(m *BarMark) { m.Cover, m.ContinuesAbove, m.Dowel = ft("50 mm"), true, BarBySize("12mm") })
	f := s.footing("S1", "600 mm", "300 mm", false)
	s.wall("A", "W", "2.4 m", "2.7 m", "6in", "end", with(m), open("end"), func(w *Wall) { w.Footing = f })
	out := s.takeoff(t)
	require.Equal(t, "5 12mm 3.37 m", out.barList("W", "R-VERT"))
	require.Equal(t, "5 12mm 1.11 m hook 90", out.barList("W", "R-DOWEL"))
	require.Equal(t, "16.85", out.feet("W", "R-VERT", "bar-12mm"))
	near(t, "19.8912", out.driver("bar-mass"), "0.888 kg/m × (16.85 + 5.55) m")
}

// A 10' wall that an inside corner of some angle makes a little longer on its centreline (2 to 10 in: 6 spaces of up to 24 in),
// with a window over its last 3', up to its free end. The last bar stands on the window's far jamb and is whole, whatever the
// nanometre that the line is rounded to; the one before it, about 21 in from the end, is strictly inside: below 2' − 2" = 1'-10",
// above 9' − 6' − 4" = 2'-8". The face has one solid part, 7' and a little, and no note of a part too short for a brace.
func TestOpeningUpToTheEndOfASkewedLine(t *testing.T) {
	for _, turn := range []string{"inside 30", "inside 45", "inside 60", "inside 50", "inside 40"} {
		for _, cores := range [][2]string{{"8in", "6in"}, {"6in", "6in"}, {"10in", "8in"}} {
			s := newSite()
			s.wall("A", "V", "20", "9", cores[0], turn, open("end"))
			s.wall("A", "W", "10", "9", cores[1], "end", with(s.mark("V1", vertical("#4", `24"`))))
			s.opening("w", "W", "3", "4", "2", "7", 1)
			out := s.takeoff(t)
			require.Equal(t, `1 #4 1'-10", 1 #4 2'-8", 5 #4 8'-10"`, out.barList("W", "R-VERT"), "%s %v", turn, cores)
			for _, f := range out.Findings {
				require.NotEqual(t, "R-BRACE", f.Rule, "%s %v: %s", turn, cores, f.Message)
			}
		}
	}
}

// A rake from 8' to 10' over 8', bars every 2', a door from 1' to 7' with its head at 8': over it the bars at 2', 4' and 6' would
// be 8'-6", 9' and 9'-6" less 8'-4": 2" and 8" are dropped, 1'-2" stands. Caps: that one and the whole bars at 0 and 8'.
func TestCapsUnderARakeAreOfBarsThatStand(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "8", "8", "6in", "end", with(s.mark("V1", vertical("#4", "2'"))), open("end"), rake("10"))
	s.opening("d", "W", "6", "8", "0", "1", 1)
	out := s.takeoff(t)
	require.Equal(t, `1 #4 7'-10", 1 #4 1'-2", 1 #4 9'-10"`, out.barList("W", "R-VERT"))
	require.Equal(t, "3", out.driver("bar-caps"))
}
