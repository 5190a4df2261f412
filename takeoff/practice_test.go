package takeoff

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Each case is one reminder; nothing else is said of the wall. All are common practice without a published source.
func TestPractice(t *testing.T) {
	plain := func(s *site, high string, change ...func(*Wall)) *Wall {
		return s.wall("A", "W", "40", high, "8in", "end", append([]func(*Wall){open("end")}, change...)...)
	}
	lintel := &BarMark{Mark: "V", Layers: 1, Lintel: &Bar{Size: "#5"}, LintelBottom: 2, LintelDepth: ft(`16"`), PastOpening: ft(`24"`)}
	above := func(s *site, at, pour string) func(*Wall) {
		return func(w *Wall) {
			w.FormsAbove, w.CoreAbove, w.CoreChange, w.PourAbove = s.form("6in"), ft("6in"), ft(at), pour
		}
	}
	ledge := func(top, least string) func(*Wall) {
		return func(w *Wall) {
			w.Ledge = &LedgeMark{Mark: "L", Projection: ft(`5"`), FaceDepth: ft(`5"`), LeastCoreBelow: ft(least)}
			w.LedgeTop = ft(top)
		}
	}
	for _, c := range []struct {
		name  string
		build func(*site)
		want  string // "" says nothing
	}{
		{"low wall", func(s *site) { plain(s, "8") }, ""},
		{"16 in above a core change", func(s *site) { plain(s, `9'-4"`, above(s, "8", "1")) }, ""},
		{"more above a core change", func(s *site) { plain(s, `9'-5"`, above(s, "8", "1")) }, `warning Core changes at, wall W: one pour goes 1'-5" above the core change; at most 1'-4"`},
		{"another pour above", func(s *site) { plain(s, "16", above(s, "8", "2")) }, ""},
		{"ledge stop", func(s *site) { plain(s, "10", ledge("8", "0")) }, `note Brick ledge top, wall W: a pour that reaches a ledge stops 4 to 6 in above it: pour 1 between 8'-4" and 8'-6"`},
		{"ledge stop kept", func(s *site) { plain(s, "12", ledge("8", "0"), above(s, `8'-5"`, "2")) }, ""},
		{"ledge stop too low", func(s *site) { plain(s, "12", ledge("8", "0"), above(s, `8'-3"`, "2")) }, `note Brick ledge top, wall W: a pour`},
		{"ledge at the top", func(s *site) { plain(s, "8", ledge("8", "0")) }, ""},
		{"thin below a ledge", func(s *site) { plain(s, "8", ledge("8", `10"`)) }, `warning Brick ledge, wall W: the core under ledge L is 8"; at least 10"`},
		{"thick enough", func(s *site) { plain(s, "8", ledge("8", `8"`)) }, ""},
		{"brace spacing", func(s *site) { s.set(SetBraceSpacing, `6'-1"`); plain(s, "8") }, `warning Brace spacing: braces stand at most 6'-0" apart; the job says 6'-1"`},
		{"spreader spacing", func(s *site) { s.set(SetSpreaderSpacing, `3'-1"`); plain(s, "8") }, `warning Spreader spacing: spreaders stand at most 3'-0" apart`},
		{"4 ft of coating", func(s *site) { plain(s, "8", grade("4", "3", CoverCoating)) }, ""},
		{"narrow opening", func(s *site) { plain(s, "8"); s.opening("o", "W", `1'-11"`, "4", `3'-6"`, "4", 1) }, ""},
		{"7 in above", func(s *site) {
			plain(s, "8").Bars = lintel
			s.opening("o", "W", "2", "4", `3'-5"`, "4", 1)
		}, `warning opening o, wall W: 7" of concrete above an opening 2'-0" wide; at least 8"`},
		{"8 in above", func(s *site) {
			plain(s, "8").Bars = lintel
			s.opening("o", "W", "2", "4", `3'-4"`, "4", 1)
		}, ""},
		{"no lintel", func(s *site) { plain(s, "8"); s.opening("o", "W", "2", "4", "3", "", 3) }, `warning opening o, wall W: no lintel bars above`},
		{"lintel by the opening's own mark", func(s *site) { plain(s, "8"); s.opening("o", "W", "2", "4", "3", "", 3).Bars = lintel }, ""},
		{"open to the top", func(s *site) { plain(s, "8"); s.opening("o", "W", "6", "8", "0", "4", 1) }, ""},
		{"a storey apart", func(s *site) {
			plain(s, "8")
			s.wall("B", "U", "10", "8", "8in", "end", open("end"), func(w *Wall) { w.Base = ft("9") })
			s.wall("C", "V", "10", "8", "8in", "end", open("end"), func(w *Wall) { w.Base = ft("9") })
		}, `warning Base, wall U: pour 1 holds this wall and, 9'-0" lower, wall W`},
		{"a storey apart in two pours", func(s *site) {
			plain(s, "8")
			s.wall("B", "U", "10", "8", "8in", "end", open("end"), func(w *Wall) { w.Base, w.Pour, w.PourAbove = ft("9"), "2", "2" })
		}, ""},
		{"a step apart", func(s *site) {
			plain(s, "8")
			s.wall("B", "U", "10", "8", "8in", "end", open("end"), func(w *Wall) { w.Base = ft("4") })
		}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newSite()
			c.build(s)
			got := s.takeoff(t).notes("R-PRACTICE")
			if c.want == "" {
				require.Empty(t, got)
				return
			}
			require.Len(t, got, 1, strings.Join(got, "\n"))
			require.True(t, strings.HasPrefix(got[0], c.want), got[0])
			require.Contains(t, got[0], "common practice without a published source; the form maker's instructions come first")
		})
	}
	// Grade over 4 ft: the wall is listed for its backfill, and a cover that is no membrane is warned of.
	for _, cover := range []Cover{CoverNone, CoverMembrane, CoverBand, CoverCoating} {
		s := newSite()
		plain(s, "8", grade("3", `4'-1"`, cover))
		got := strings.Join(s.takeoff(t).notes("R-PRACTICE"), "\n")
		require.Contains(t, got, "no backfill before floor and strength")
		require.Equal(t, cover == CoverBand || cover == CoverCoating, strings.Contains(got, "soils that can saturate need membrane"), cover)
	}
}

// One warning of a kind for a wall or an opening's row, however often it stands there; a note that says the same of many
// walls is one, at the first, and lists them.
func TestPracticeDoesNotDrown(t *testing.T) {
	s := newSite()
	for i := range 50 {
		s.wall("A", fmt.Sprint(i), "40", "10", "8in", "corner", grade("6", "6", CoverCoating))
		s.opening("o", fmt.Sprint(i), "2", "4", "3", "", 5)
	}
	out := Compute(s.job)
	said := out.notes("R-PRACTICE")
	require.Len(t, said, 101) // cover and lintel of each wall, backfill of all
	require.Contains(t, said[100], "note Below grade, walls 0, 1, 2")
	require.Contains(t, said[100], `48 and 49: grade is 6'-0" above the base: no backfill before floor and strength`)
}

// Walls of other grades are listed together, those under 4 ft are not; ledges of one height are listed by pour.
func TestPracticeListsWalls(t *testing.T) {
	s := newSite()
	for i, g := range []string{"6", `4'-1"`, "4", "5"} {
		s.wall(fmt.Sprint("R", i), fmt.Sprint("W", i), "40", "10", "8in", "end", open("end"), grade(g, "0", CoverNone), func(w *Wall) {
			w.Ledge, w.LedgeTop = &LedgeMark{Mark: "L", Projection: ft(`5"`), FaceDepth: ft(`5"`)}, ft("8")
			if i == 3 {
				w.Pour, w.PourAbove = "2", "2"
			}
		})
	}
	said := s.takeoff(t).notes("R-PRACTICE")
	require.Len(t, said, 3, strings.Join(said, "\n"))
	require.Contains(t, said[0], `note Brick ledge top, walls W0, W1 and W2: a pour that reaches a ledge stops 4 to 6 in above it: pour 1 between 8'-4" and 8'-6"`)
	require.Contains(t, said[1], "note Brick ledge top, wall W3: a pour that reaches a ledge stops 4 to 6 in above it: pour 2 between")
	require.Contains(t, said[2], `note Below grade, walls W0, W1 and W3: grade is 4'-1" to 6'-0" above the base: no backfill`)
}

// A list of very many walls is cut short.
func TestNamedWalls(t *testing.T) {
	require.Equal(t, "wall A", namedWalls([]string{"A"}))
	require.Equal(t, "walls A and B", namedWalls([]string{"A", "B"}))
	marks := make([]string, mostNamed+5)
	for i := range marks {
		marks[i] = fmt.Sprint("W", i)
	}
	require.True(t, strings.HasSuffix(namedWalls(marks), fmt.Sprintf(", W%d and 5 more", mostNamed-1)))
	require.True(t, strings.HasSuffix(namedWalls(marks[:mostNamed]), fmt.Sprintf(" and W%d", mostNamed-1)))
}
