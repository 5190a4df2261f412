package takeoff

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// 9' at most 30 in apart within 12 in of top and bottom: ceil(84/30) + 1 = 4 rows at 12, 40, 68, 96 in; 12' less a cover at
// each free end.
func TestHorizontalsBySpacing(t *testing.T) {
	s := newSite()
	m := s.mark("V1", horizontal("#4", `30"`))
	s.wall("A", "W", "12", "9", "6in", "end", with(m), open("end"))
	require.Equal(t, `4 #4 11'-8"`, s.takeoff(t).barList("W", "R-HORZ"))
	require.Equal(t, []string{"304800000", "1016000000", "1727200000", "2438400000"}, heights(s, "W"))
	// A number wins; one row is at half the height, 54 in.
	m.HorizontalBars = 1
	require.Equal(t, `1 #4 11'-8"`, s.takeoff(t).barList("W", "R-HORZ"))
	require.Equal(t, []string{"1371600000"}, heights(s, "W"))
	// No room in 20 in: both rows at 10 in.
	m.HorizontalBars = 0
	s.job.Walls[0].Height, s.job.Walls[0].HeightEnd = ft(`20"`), ft(`20"`)
	require.Equal(t, `2 #4 11'-8"`, s.takeoff(t).barList("W", "R-HORZ"))
	require.Equal(t, []string{"254000000", "254000000"}, heights(s, "W"))
}

// heights are a wall's row heights in nanometres.
func heights(s *site, wall string) []string {
	g, _ := Trace(s.job)
	var all []string
	for _, z := range g.ByMark[ItemKey(wall)].RowHeights() {
		all = append(all, z.String())
	}
	return all
}

// A window 3' to 5', sill 40 in, head 96 in: rows at 12, 40, 68, 96: only the one at 68 is strictly between and cut:
// 3' − 2·2" = 2'-8" and 12' − 5' − 4" = 6'-8". Two layers.
func TestHorizontalsCutByAnOpening(t *testing.T) {
	s := newSite()
	m := s.mark("V1", horizontal("#4", `30"`), func(m *BarMark) { m.Layers = 2 })
	s.wall("A", "W", "12", "9", "6in", "end", with(m), open("end"))
	o := s.opening("a", "W", "2", `56"`, `40"`, "3", 1)
	require.Equal(t, `6 #4 11'-8", 2 #4 2'-8", 2 #4 6'-8"`, s.takeoff(t).barList("W", "R-HORZ"))
	// At 1' the piece before it would be 8 in: dropped. After it 12' − 3' − 4" = 8'-8".
	o.Offset = ft("1")
	require.Equal(t, `6 #4 11'-8", 2 #4 8'-8"`, s.takeoff(t).barList("W", "R-HORZ"))
}

// A rake from 8' to 13' over 12', free at both ends, 30 in: level rows ceil(72/30) + 1 = 4; floor(60/30) = 2 rows more at 84 + 30 =
// 114 in: 12' · (156 − 114)/60 = 100.8 in, less the cover at the high end, and at 144 in: 28.8 in less 2. The bar along the
// 5-12-13 slope: 13' less 2 covers.
func TestHorizontalsUnderARake(t *testing.T) {
	s := newSite()
	m := s.mark("V1", horizontal("#4", `30"`), func(m *BarMark) { m.RakeBar = true })
	w := s.wall("A", "W", "12", "8", "6in", "end", with(m), open("end"), rake("13"))
	out := s.takeoff(t)
	require.Equal(t, `4 #4 11'-8", 1 #4 8'-2.8", 1 #4 2'-2.8", 1 #4 12'-8"`, out.barList("W", "R-HORZ"))
	// Seen from the other end: the same.
	w.Height, w.HeightEnd = w.HeightEnd, w.Height
	require.Equal(t, out.feet("W", "R-HORZ", "bar-#4"), s.takeoff(t).feet("W", "R-HORZ", "bar-#4"))
	// A number of bars without spacing gives no rows under the slope, and says so.
	m.HorizontalBars, m.HorizontalSpacing = 3, 0
	out = s.takeoff(t)
	require.Equal(t, `3 #4 11'-8", 1 #4 12'-8"`, out.barList("W", "R-HORZ"))
	require.Contains(t, findingTexts(out), "Bars V1: no Horizontal spacing: no rows are counted under the slope of wall W and others like it")
}

// Two rows in line, 10' and 8': each row of the first is 10' − 2" + 30", of the second 8' − 2".
func TestHorizontalsOverAnInLineJoint(t *testing.T) {
	s := newSite()
	m := s.mark("V1", horizontal("#4", `30"`), func(m *BarMark) { m.HorizontalBars = 3 })
	s.wall("A", "first", "10", "9", "6in", "straight", with(m), open("end"))
	s.wall("A", "second", "8", "9", "6in", "end", with(m))
	out := s.takeoff(t)
	require.Equal(t, `3 #4 12'-4"`, out.barList("first", "R-HORZ"))
	require.Equal(t, `3 #4 7'-10"`, out.barList("second", "R-HORZ"))
}

// Corner bars on the wall that ends: of a closed run one a row each; a tee at Start is that wall's. #4 at 60 d: 2·30 − 1.25 = 58.75, raised
// to 59 in.
func TestCornerBars(t *testing.T) {
	s := newSite()
	m := s.mark("V1", horizontal("#4", `30"`), func(m *BarMark) { m.HorizontalBars = 3 })
	s.wall("A", "a", "20", "9", "6in", "corner", with(m))
	s.wall("A", "b", "20", "9", "6in", "corner", with(m))
	s.wall("A", "c", "20", "9", "6in", "corner", with(m))
	s.wall("A", "d", "20", "9", "6in", "corner", with(m))
	s.wall("B", "e", "10", "9", "6in", "tee c", with(m), open("tee a"))
	out := s.takeoff(t)
	require.Equal(t, `3 #4 4'-11" corner`, out.barList("b", "R-BEND"))
	require.Equal(t, `6 #4 4'-11" corner`, out.barList("e", "R-BEND"))
}

// A shared corner is half a bar a row on each of the two runs: 3 rows are 1.5 bars on each line. The halves of one pour,
// size and length are added before they are raised: 3 + 3 halves are 3 bars; 3 halves alone would be 2.
func TestHalfCornerBars(t *testing.T) {
	s := newSite()
	s.stock("bar-#4", "20'", "10")
	m := s.mark("V1", horizontal("#4", `30"`), func(m *BarMark) { m.HorizontalBars = 3 })
	s.wall("A", "a", "10", "9", "6in", "corner", with(m), open("end"))
	b := s.wall("B", "b", "10", "9", "6in", "end", with(m), open("corner"))
	out := s.takeoff(t)
	require.Equal(t, "7.375", out.feet("a", "R-BEND", "bar-#4"))
	require.Equal(t, "7.375", out.feet("b", "R-BEND", "bar-#4"))
	require.Equal(t, `3 #4 4'-11" corner`, out.barList("", "R-BEND"))
	require.Equal(t, int64(3), pieceCount(out, `4'-11"`))
	b.Pour, b.PourAbove = "2", "2"
	out = s.takeoff(t)
	require.Equal(t, `2 #4 4'-11" corner, 2 #4 4'-11" corner`, out.barList("", "R-BEND"))
	require.Equal(t, int64(4), pieceCount(out, `4'-11"`))
}

// pieceCount is how many pieces of a length all bar pools cut.
func pieceCount(out *Takeoff, l string) int64 {
	n := int64(0)
	for _, c := range out.Cuts {
		for _, x := range c.Problem.Pieces {
			if c.Bar != nil && x.Length == int64(ft(l)) {
				n += x.Count
			}
		}
	}
	return n
}
