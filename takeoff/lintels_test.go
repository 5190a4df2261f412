package takeoff

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// lintelled gives a mark a #5 lintel of 1 + 2 bars, a sill bar and #3 stirrups at 8 in.
func lintelled(m *BarMark) {
	m.Lintel, m.LintelTop, m.LintelBottom, m.SillBars = BarBySize("#5"), 1, 2, 1
	m.Stirrup, m.StirrupSpacing = BarBySize("#3"), ft(`8"`)
}

// A 4' window of sill 3', head 7', in a 9' wall of 6 in: 3 bars over it and one under it of 4' + 2·24" = 8'. Stirrups
// floor(48/8) + 1 = 7, D = lesser of 16 in and 24 in: one leg 16 − 4 + 2·3 = 18 in.
func TestLintel(t *testing.T) {
	s := newSite()
	m := s.mark("V1", lintelled)
	s.wall("A", "W", "20", "9", "6in", "end", with(m), open("end"))
	o := s.opening("a", "W", "4", "4", "3", "8", 1)
	require.Equal(t, `4 #5 8'-0", 7 #3 1'-6" stirrup 1 leg`, s.takeoff(t).barList("W", "R-LINTEL"))
	// Near the start the bars are clipped at 0: from 18 in they run to 18 + 48 + 24 = 7'-6".
	o.Offset = ft(`18"`)
	require.Equal(t, `4 #5 7'-6", 7 #3 1'-6" stirrup 1 leg`, s.takeoff(t).barList("W", "R-LINTEL"))
	// A sill under 12 in takes no sill bars.
	o.Sill, o.Height = ft(`11"`), ft(`73"`)
	require.Equal(t, `3 #5 7'-6", 7 #3 1'-6" stirrup 1 leg`, s.takeoff(t).barList("W", "R-LINTEL"))
	// Only 8 in over the head: 8 − 4 + 6 = 10 in.
	o.Height = ft(`89"`)
	require.Equal(t, `3 #5 7'-6", 7 #3 10" stirrup 1 leg`, s.takeoff(t).barList("W", "R-LINTEL"))
	// 3 in over the head: the leg is no less than nothing, two hooks of 3 in are left.
	o.Height = ft(`94"`)
	require.Equal(t, `3 #5 7'-6", 7 #3 6" stirrup 1 leg`, s.takeoff(t).barList("W", "R-LINTEL"))
	// An opening that reaches the top has no lintel; its sill has its bar.
	o.Sill, o.Height = ft("3"), ft("6")
	require.Equal(t, `1 #5 7'-6"`, s.takeoff(t).barList("W", "R-LINTEL"))
}

// In an 8 in core stirrups have two legs: 2·(8 − 1 1/2) + 2·(16 − 4) + 2·3 = 43 in; a mark may ask for one. A #5 stirrup's
// hook is 6 d = 3.75 in: 13 + 24 + 7.5 = 44 1/2 in.
func TestLintelStirrupLegs(t *testing.T) {
	s := newSite()
	m := s.mark("V1", lintelled)
	s.wall("A", "W", "20", "9", "8in", "end", with(m), open("end"))
	s.opening("a", "W", "4", "4", "3", "8", 1)
	require.Contains(t, s.takeoff(t).barList("W", "R-LINTEL"), `7 #3 3'-7" stirrup 2 legs`)
	m.Stirrup = BarBySize("#5")
	require.Contains(t, s.takeoff(t).barList("W", "R-LINTEL"), `7 #5 3'-8 1/2" stirrup 2 legs`)
	m.Stirrup, m.StirrupLegs = BarBySize("#3"), 1
	require.Contains(t, s.takeoff(t).barList("W", "R-LINTEL"), `7 #3 1'-6" stirrup 1 leg`)
}

// The core at the head decides: 8 in to 5', 6 in above.
func TestLintelCoreAtTheHead(t *testing.T) {
	s := newSite()
	m := s.mark("V1", lintelled)
	w := s.wall("A", "W", "20", "9", "8in", "end", with(m), open("end"))
	w.FormsAbove, w.CoreAbove, w.CoreChange = s.form("6in"), ft(`6"`), ft("5")
	o := s.opening("a", "W", "4", "4", "1", "8", 1)
	require.Contains(t, s.takeoff(t).barList("W", "R-LINTEL"), "stirrup 1 leg")
	o.Height = ft("3")
	require.Contains(t, s.takeoff(t).barList("W", "R-LINTEL"), "stirrup 2 legs")
}

// An opening's own mark decides on a wall without one; a 20' door's bars of 24' are spliced by its own lap of 48 d #5 = 30
// in: k = ceil((288 − 30)/(240 − 30)) = 2, 20' and 6'-6".
func TestLintelByItsOwnMark(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "40", "12", "8in", "end", open("end"))
	o := s.opening("a", "W", "20", "8", "0", "10", 1)
	o.Bars = s.mark("own", lintelled, func(m *BarMark) { m.LapLength, m.Stirrup = ft(`30"`), nil })
	require.Equal(t, `3 #5 20'-0", 3 #5 6'-6"`, s.takeoff(t).barList("W", "R-LINTEL"))
}
