package takeoff

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Hand-worked, wall 10' high:
//   - door 3' × 6'-8" at the base: two sides and a head, 2 × 6'-8" + 3' = 16'-4"; window 4' × 3', sill 3': all round, 14'.
//   - open to the top 5' × 10': two sides, 20'; window 4' × 3', sill 7': head at the top: 2 × 3' + 4' = 10'.
func TestOpeningPerimeter(t *testing.T) {
	for _, c := range []struct{ wide, high, sill, perimeter, area string }{
		{"3", `6'-8"`, "0", "16.333333333", "20"},
		{"4", "3", "3", "14", "12"},
		{"5", "10", "0", "20", "50"},
		{"4", "3", "7", "10", "12"},
	} {
		s := newSite()
		s.wall("A", "W", "30", "10", "6in", "end", open("end"))
		s.opening("o", "W", c.wide, c.high, c.sill, "4", 1)
		out := s.takeoff(t)
		require.Equal(t, []string{"1", c.perimeter, c.area}, []string{out.driver("openings"), out.driver("opening-perimeter"), out.driver("opening-area")})
	}
	// A row of two, on a run of three: six.
	s := newSite()
	s.wall("A", "W", "30", "10", "6in", "end", open("end"), func(w *Wall) { w.Count = 3 })
	s.opening("o", "W", "4", "3", "3", "", 2)
	out := s.takeoff(t)
	require.Equal(t, []string{"6", "84", "72"}, []string{out.driver("openings"), out.driver("opening-perimeter"), out.driver("opening-area")})
}

// Hand-worked: shores max(1, ceil(width/4') − 1) over 4' wide with concrete above; spreaders ceil(height/2') − 1 over 4' high.
// 4' wide: none. 4'-1": max(1, 2 − 1) = 1. 8': 1. 8'-1": 2. 16': 3. Height 4': none; 4'-1": 2; 6': 2; 8': 3.
func TestShoresAndSpreaders(t *testing.T) {
	for _, c := range []struct{ wide, high, shores, spreaders string }{
		{"4", "4", "0", "0"},
		{`4'-1"`, `4'-1"`, "1", "2"},
		{"8", "6", "1", "2"},
		{`8'-1"`, "8", "2", "3"},
		{"16", "10", "0", "4"}, // open to the top: nothing to hold up
		{"16", `9'-11"`, "3", "4"},
	} {
		s := newSite()
		s.wall("A", "W", "40", "10", "6in", "end", open("end"))
		s.opening("o", "W", c.wide, c.high, "0", "4", 1)
		out := s.takeoff(t)
		require.Equal(t, []string{c.shores, c.spreaders}, []string{out.sum("W", "shore"), out.sum("W", "buck-spreader")}, c.wide+" × "+c.high)
		for _, l := range out.Lines {
			if l.Rule == "R-SHORE" {
				require.Equal(t, []string{"o", "Openings!A2"}, []string{l.Opening, l.At.String()})
			}
		}
	}
}
