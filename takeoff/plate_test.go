package takeoff

import (
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// Anchor bolts of one plate piece by IRC R403.1.6: at least two a piece, one within 12 in of each end, none over 6 ft apart
// (computed here from the code's text: max(2, ceil((L − 24)/72) + 1) for L in inches).
func TestAnchorBoltsOfAPiece(t *testing.T) {
	for _, c := range []struct {
		piece string
		want  int64
	}{{`1'-6"`, 2}, {"2", 2}, {"8", 2}, {`8'-1"`, 3}, {"10", 3}, {"12", 3}, {"14", 3}, {"16", 4}, {"20", 4}} {
		require.Equal(t, c.want, anchorBolts(ft(c.piece), ft("1"), ft("6")), c.piece)
	}
}

// Hand-worked: 40' is two pieces of 16' and one of 8': 3 pieces, 4 + 4 + 2 = 10 bolts, 40' of seal. With 6' open to the top
// from 10': 10' and 24': pieces 1 + 2, bolts 3 + (4 + 2) = 9, 34' of seal. A window below the top takes nothing out.
// Between exterior corners the plate is the exterior line, the typed length.
func TestPlates(t *testing.T) {
	plate := func(w *Wall) { w.Plate = true }
	for _, c := range []struct {
		name, high, sill string
		want             []string
	}{
		{"open to the top", "10", "0", []string{"3", "9", "34", "34"}},
		{"window", "4", "3", []string{"3", "10", "40", "40"}},
		{"window to the top", "4", "6", []string{"3", "9", "34", "34"}},
	} {
		s := newSite()
		s.wall("A", "W", "40", "10", "6in", "end", open("end"), plate)
		s.opening("o", "W", "6", c.high, c.sill, "10", 1)
		out := s.takeoff(t)
		require.Equal(t, c.want, []string{out.sum("W", "plate"), out.sum("W", "anchor-bolt"), out.sum("W", "sill-seal"), out.driver("plate-length")}, c.name)
	}
	s := newSite()
	s.wall("A", "N", "20", "10", "6in", "corner", plate)
	for _, m := range []string{"E", "S", "W"} {
		s.wall("A", m, "20", "10", "6in", "corner")
	}
	require.Equal(t, "20", s.takeoff(t).driver("plate-length"))
}

// Many parts: the derivation names the result, and pieces and bolts are still one by one. Hand-worked: 13 openings of 3' to
// the top, every 6' from 3': 14 parts of 3', one piece and two bolts each, 42' of seal; braced in the middle of the parts
// between (2' and 1' from the two ends leave nothing, 1' and 1' leave 1': two braces each): 2 + 12 · 2 = 26.
func TestManyParts(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "81", "10", "6in", "end", open("end"), func(w *Wall) { w.Plate, w.Count = true, 2 })
	for i := range 13 {
		s.opening("o", "W", "3", "10", "0", strconv.Itoa(3+6*i), 1)
	}
	out := s.takeoff(t)
	require.Equal(t, []string{"28", "56", "84", "52"}, []string{out.sum("W", "plate"), out.sum("W", "anchor-bolt"), out.sum("W", "sill-seal"), out.sum("W", "brace-set")})
}
