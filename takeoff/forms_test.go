package takeoff

import (
	"fmt"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wallbill/takeoff/cutting"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// ruleLines are the lines of some rules by wall, rule and item.
func (t *Takeoff) ruleLines(rules ...string) map[string]string {
	sums := map[string]decimal.Decimal{}
	for _, l := range t.Lines {
		for _, r := range rules {
			if l.Rule == r {
				k := l.Wall + " " + l.Rule + " " + l.Item
				sums[k] = sums[k].Add(l.Quantity)
			}
		}
	}
	out := map[string]string{}
	for k, v := range sums {
		out[k] = v.String()
	}
	return out
}

// The form units of the two worked jobs, worked independently of the program in exact fractions (computed here, by the
// rules' words).
func TestWorkedFormUnits(t *testing.T) {
	for _, c := range []struct {
		name string
		site *site
		want map[string]string
	}{
		{"annex", annex(), map[string]string{
			"K1 R-BLOCK M-6in-block": "3", "K1 R-BLOCK M-6in-half": "1", "K1 R-CORNER M-6in-angle": "3", "K1 R-CORNER M-6in-angle-half": "1",
			"K2 R-CAP M-6in-endcap": "4", "P R-BLOCK M-8in-block": "13", "P R-CORNER M-8in-corner": "8", "Q R-BLOCK M-8in-block": "24",
			"Q R-CORNER M-8in-corner": "8", "R R-BLOCK M-8in-block": "8", "R R-CORNER M-8in-corner": "8", "T R-CORNER M-8in-corner": "8",
			"U R-BLOCK M-8in-block": "16", "U R-CORNER M-8in-corner": "8", "X R-BLOCK M-8in-block": "30", "X R-CORNER M-8in-corner": "8",
			"Y1 R-BLOCK M-6in-block": "39", "Y1 R-CAP M-6in-endcap": "6", "Y2 R-BLOCK M-6in-block": "29", "Y2 R-CAP M-6in-endcap": "6",
		}},
		{"store", store(), map[string]string{
			"E R-BLOCK M-6in-block": "18", "E R-CORNER M-6in-corner": "6", "N R-BLOCK M-6in-block": "36", "N R-CORNER M-6in-corner": "6",
			"S R-BLOCK M-6in-block": "29", "S R-CORNER M-6in-corner": "6", "W R-BLOCK M-6in-block": "18", "W R-CORNER M-6in-corner": "6",
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			out := c.site.takeoff(t)
			assert.Equal(t, c.want, out.ruleLines("R-BLOCK", "R-CORNER", "R-CAP"))
			for _, k := range out.Cuts {
				require.NoError(t, cutting.Recount(k.Problem, k.Plan))
			}
		})
	}
}

// square is a closed run of four walls of that length and height, exterior corners.
func square(s *site, run, long, high, core string, change ...func(*Wall)) {
	for _, m := range []string{"1", "2", "3", "4"} {
		s.wall(run, run+m, long, high, core, "corner", change...)
	}
}

// pool is the pieces of a pool: "count×length" longest first, and the units bought.
func (t *Takeoff) pool(item, level string) (pieces string, bought int64) {
	for _, k := range t.Cuts {
		if k.Item == item && k.Level == level {
			for _, x := range k.Problem.Pieces {
				pieces += fmt.Sprintf(" %d×%s", x.Count, length.Length(x.Length).FtIn())
			}
			return strings.TrimSpace(pieces), k.Plan.Bought
		}
	}
	return "", 0
}

// A square of 20 ft and 2 courses, 8 in core: legs 38 and 23 in at the ends of each wall, 240 − 61 = 179 = 3·50 + 29: three
// units and a piece of 29 a course and wall. 8 pieces of 29 in 50 in units: 8 units.
func TestSquare(t *testing.T) {
	s := newSite()
	square(s, "A", "20", `2'-6"`, "8in")
	out := s.takeoff(t)
	for _, w := range []string{"A1", "A2", "A3", "A4"} {
		assert.Equal(t, "6", out.sum(w, "M-8in-block"), w)
		assert.Equal(t, "2", out.sum(w, "M-8in-corner"), w)
	}
	pieces, bought := out.pool("M-8in-block", "G")
	assert.Equal(t, `8×2'-5"`, pieces)
	assert.EqualValues(t, 8, bought)
	assert.Equal(t, map[string]string{" R-CUT M-8in-block": "8"}, out.ruleLines("R-CUT"))
	assert.Equal(t, "40", out.driver("form-units")) // 24 whole, 8 corner, 8 cut-plan
	assert.Equal(t, "8", out.driver("form-cuts"))
	assert.Equal(t, "8", out.driver("corners"))
	require.Len(t, out.Cuts[0].Uses, 8)
	assert.Equal(t, PieceUse{"A1", "course 1", 1, ft(`29"`)}, out.Cuts[0].Uses[0])
	// Course 1 of A1: short leg 23 at the start (A4 ends there with the long one), long leg 38 at the end.
	first := out.Courses[0].Segments[0]
	assert.Equal(t, ft(`23"`), first.From)
	assert.Equal(t, ft("20")-ft(`38"`), first.To)
	require.Len(t, first.Fill, 4)
	assert.Equal(t, Unit{"A1", ft(`173"`), ft(`29"`), ft(`29"`), false, false}, first.Fill[3])
	assert.Equal(t, "1", out.Courses[0].CornerUnits.String())
}

// The run's Count multiplies lines, drivers and pieces: the square four times.
func TestCountRepeatsForms(t *testing.T) {
	s := newSite()
	square(s, "A", "20", `2'-6"`, "8in")
	s.job.Walls[0].Count = 4
	out := s.takeoff(t)
	assert.Equal(t, "24", out.sum("A1", "M-8in-block"))
	assert.Equal(t, "8", out.sum("A2", "M-8in-corner"))
	pieces, bought := out.pool("M-8in-block", "G")
	assert.Equal(t, `32×2'-5"`, pieces)
	assert.EqualValues(t, 32, bought)
	assert.Equal(t, "160", out.driver("form-units"))
}

// Corners of one wall, worked by hand.
func TestCorners(t *testing.T) {
	t.Run("handed", func(t *testing.T) {
		// 37 1/2 in: two full courses and a half one. Odd courses have the long leg on the wall that ends: right.
		s := newSite()
		s.form("8in").Handed = true
		square(s, "A", "20", `37 1/2"`, "8in")
		out := s.takeoff(t)
		assert.Equal(t, map[string]string{
			"A1 R-CORNER M-8in-corner-right": "1", "A1 R-CORNER M-8in-corner-left": "1", "A1 R-CORNER M-8in-corner-half-right": "1",
		}, onWall(out.ruleLines("R-CORNER"), "A1"))
	})
	t.Run("shared", func(t *testing.T) {
		// Start and turn are corners with other runs: half a unit a course at each, 2·1/2 + 2·1/2.
		s := newSite()
		s.wall("A", "W", "20", `2'-6"`, "8in", "corner", open("corner"))
		out := s.takeoff(t)
		assert.Equal(t, "2", out.sum("W", "M-8in-corner"))
		assert.Equal(t, "6", out.sum("W", "M-8in-block"))
		assert.Equal(t, "1", out.Courses[0].CornerUnits.String())
		// Course 1: the long leg at the wall's end, the short one at its start, as in a closed run.
		assert.Equal(t, ft(`23"`), out.Courses[0].Segments[0].From)
		assert.Equal(t, ft(`38"`), out.Courses[1].Segments[0].From)
	})
	t.Run("shared end only", func(t *testing.T) {
		s := newSite()
		s.wall("A", "W", "20", `1'-3"`, "8in", "corner", open("end"))
		out := s.takeoff(t)
		assert.Equal(t, "0.5", out.sum("W", "M-8in-corner"))
		assert.Equal(t, "1", out.sum("W", "M-8in-endcap"))
		assert.Equal(t, "0.5", out.driver("corners"))
	})
	t.Run("inside", func(t *testing.T) {
		// Both walls 12 1/2 in thick: the legs on the exterior face are 38 − 12.5 = 25.5 and 23 − 12.5 = 10.5. V ends at an
		// inside corner: course 1 has the long leg on it, W the short one; course 2 the other way.
		s := newSite()
		s.wall("A", "V", "20", `2'-6"`, "8in", "inside", open("end"))
		s.wall("A", "W", "20", `2'-6"`, "8in", "end")
		out := s.takeoff(t)
		assert.Equal(t, ft("20")-ft(`25 1/2"`), out.Courses[0].Segments[0].To)
		assert.Equal(t, ft("20")-ft(`10 1/2"`), out.Courses[1].Segments[0].To)
		assert.Equal(t, ft(`10 1/2"`), out.Courses[2].Segments[0].From)
		assert.Equal(t, ft(`25 1/2"`), out.Courses[3].Segments[0].From)
		assert.Equal(t, "2", out.sum("V", "M-8in-corner"))
		assert.Equal(t, "0", out.sum("W", "M-8in-corner"))
	})
	t.Run("inside at 45 degrees", func(t *testing.T) {
		// Own T 12 1/2, neighbour's 14 1/2 in: an angle leg of 30 is shorter by (14.5 − 12.5·cos 45)/sin 45
		// = (14.5 − 8.838834764838)/0.707106781187 = 8.0060966544 in, so 21.9939033456 in (558.645145 mm).
		s := newSite()
		s.wall("A", "V", "20", `1'-3"`, "8in", "inside 45", open("end"))
		s.wall("A", "W", "20", `1'-3"`, "10in", "end")
		out := s.takeoff(t)
		leg := ft("20") - out.Courses[0].Segments[0].To
		assert.InDelta(t, 558_645_145, int64(leg), 1)
		assert.Equal(t, "1", out.sum("V", "M-8in-angle"))
	})
	t.Run("leg of nothing", func(t *testing.T) {
		// A neighbour 24 in thick leaves nothing of the short leg: the fill begins at the corner, which is no edge.
		s := newSite()
		s.form("10in").Core = ft(`24"`)
		s.wall("A", "V", "20", `2'-6"`, "10in", "inside", open("end"))
		s.wall("A", "W", "20", `2'-6"`, "8in", "end")
		out := s.takeoff(t)
		assert.Equal(t, ft("0"), out.Courses[2].Segments[0].From)
		assert.Equal(t, ft(`9 1/2"`), out.Courses[3].Segments[0].From) // 38 − 28.5
	})
	t.Run("above the neighbour", func(t *testing.T) {
		// W is 2 courses high, V 4: courses 3 and 4 of V have a free end; course 3 has its mid-height above W's top.
		s := newSite()
		s.wall("A", "V", "20", "5", "8in", "corner", open("end"))
		s.wall("A", "W", "20", `2'-6"`, "8in", "end")
		out := s.takeoff(t)
		assert.Equal(t, "2", out.sum("V", "M-8in-corner"))
		assert.Equal(t, "6", out.sum("V", "M-8in-endcap")) // 4 at the start, 2 at the corner
		assert.Equal(t, "2", out.sum("W", "M-8in-endcap"))
	})
	t.Run("bases half a course apart", func(t *testing.T) {
		// W stands 15 in higher. V's course 1 is below W's base: free. W's course 1 meets V's course 2: even, so the long leg
		// lies on W, which starts.
		s := newSite()
		s.wall("A", "V", "20", `3'-9"`, "8in", "corner", open("end"))
		s.wall("A", "W", "20", `2'-6"`, "8in", "end", func(w *Wall) { w.Base = ft(`15"`) })
		out := s.takeoff(t)
		assert.Equal(t, "2", out.sum("V", "M-8in-corner"))
		assert.Equal(t, "4", out.sum("V", "M-8in-endcap"))
		assert.Equal(t, ft(`38"`), out.Courses[3].Segments[0].From)
		assert.Equal(t, ft(`23"`), out.Courses[4].Segments[0].From)
	})
	t.Run("other cores", func(t *testing.T) {
		// V (8 in) ends, W (6 in) starts: the unit is V's; each takes its leg from its own row: 38 on V, 21 on W.
		s := newSite()
		s.wall("A", "V", "20", `1'-3"`, "8in", "corner", open("end"))
		s.wall("A", "W", "20", `1'-3"`, "6in", "end")
		out := s.takeoff(t)
		assert.Equal(t, "1", out.sum("V", "M-8in-corner"))
		assert.Equal(t, ft("20")-ft(`38"`), out.Courses[0].Segments[0].To)
		assert.Equal(t, ft(`21"`), out.Courses[1].Segments[0].From)
	})
	t.Run("legs longer than the wall", func(t *testing.T) {
		// 38 + 23 = 61 in on a wall of 5 ft.
		s := newSite()
		square(s, "A", "5", `2'-6"`, "8in")
		out := s.takeoff(t)
		assert.Equal(t, "0", out.sum("", "M-8in-block"))
		assert.Equal(t, "8", out.sum("", "M-8in-corner"))
		assert.Equal(t, "its corner units' legs are longer than the wall in courses 1, 2: nothing is left to fill", findingOf(out, "R-CORNER"))
	})
	t.Run("missing angle legs", func(t *testing.T) {
		s := newSite()
		f := s.form("8in")
		f.At, f.Columns, f.AngleLong, f.AngleShort = Ref{Tab: "Forms", Row: 3}, map[string]int{"angle long leg": 10, "angle short leg": 11}, 0, 0
		s.wall("A", "V", "20", `2'-6"`, "8in", "corner 45", open("end"))
		s.wall("A", "W", "20", `2'-6"`, "8in", "end")
		out := Compute(s.job)
		require.True(t, HasErrors(out.Findings))
		var said []string
		for _, f := range out.Findings {
			if f.Rule == "R-CORNER" {
				said = append(said, f.At.String())
			}
		}
		assert.Equal(t, []string{"Forms!J3", "Forms!K3"}, said)
	})
}

// onWall keeps the lines of one wall.
func onWall(lines map[string]string, wall string) map[string]string {
	out := map[string]string{}
	for k, v := range lines {
		if strings.HasPrefix(k, wall+" ") {
			out[k] = v
		}
	}
	return out
}

// Walls joined in line, worked by hand.
func TestStretches(t *testing.T) {
	t.Run("units belong to the row in which they start", func(t *testing.T) {
		// 12 ft 6 in and 12 ft 6 in = 300 = 6·50: units start at 0, 50, 100 on V; at 150, exactly on the joint, on W.
		s := newSite()
		s.wall("A", "V", `12'-6"`, `1'-3"`, "8in", "straight", open("end"))
		s.wall("A", "W", `12'-6"`, `1'-3"`, "8in", "end")
		out := s.takeoff(t)
		assert.Equal(t, "3", out.sum("V", "M-8in-block"))
		assert.Equal(t, "3", out.sum("W", "M-8in-block"))
		require.Len(t, out.Courses, 1)
	})
	t.Run("a drop is a free end", func(t *testing.T) {
		// V 3 courses, W 1: courses 2 and 3 of V end free at the joint.
		s := newSite()
		s.wall("A", "V", "10", `3'-9"`, "8in", "straight", open("end"))
		s.wall("A", "W", "10", `1'-3"`, "8in", "end")
		out := s.takeoff(t)
		assert.Equal(t, "5", out.sum("V", "M-8in-endcap"))
		assert.Equal(t, "1", out.sum("W", "M-8in-endcap"))
		assert.Equal(t, ft("20"), out.Courses[0].Segments[0].To)
		assert.Equal(t, ft("10"), out.Courses[1].Segments[0].To)
	})
	t.Run("other cores in line are a bulkhead", func(t *testing.T) {
		// Course 2 of W starts at an edge: 120 in from a bulkhead: a half of 25, one unit, 45. No closures there.
		s := newSite()
		s.wall("A", "V", "10", `2'-6"`, "8in", "straight", open("end"))
		s.wall("A", "W", "10", `2'-6"`, "6in", "end")
		out := s.takeoff(t)
		assert.Equal(t, "2", out.sum("V", "M-8in-endcap"))
		assert.Equal(t, "2", out.sum("W", "M-6in-endcap"))
		assert.Equal(t, ft(`25"`), out.Courses[3].Segments[0].Fill[0].Length)
	})
	t.Run("a step is a free end below the neighbour", func(t *testing.T) {
		// W's base is one course higher: V's course 1 ends free, W's last course too.
		s := newSite()
		s.wall("A", "V", "10", `2'-6"`, "8in", "straight", open("end"))
		s.wall("A", "W", "10", `2'-6"`, "8in", "end", func(w *Wall) { w.Base = ft(`15"`) })
		out := s.takeoff(t)
		assert.Equal(t, "3", out.sum("V", "M-8in-endcap"))
		assert.Equal(t, "3", out.sum("W", "M-8in-endcap"))
	})
	t.Run("a rake", func(t *testing.T) {
		// From 15 in at the start to 45 in at 10 ft: course 2 (from 15) begins at the start's top, at 0: a slope there; course 3
		// (from 30) begins half way, at 60 in. Only course 1 reaches the start.
		s := newSite()
		s.wall("A", "V", "10", `1'-3"`, "8in", "end", open("end"), rake(`3'-9"`))
		out := s.takeoff(t)
		assert.Equal(t, "4", out.sum("V", "M-8in-endcap"))
		assert.Equal(t, ft("0"), out.Courses[1].Segments[0].From)
		assert.Equal(t, ft("5"), out.Courses[2].Segments[0].From)
		assert.Equal(t, 50*length.Inch, out.Courses[2].Segments[0].Fill[0].Length) // odd: no half
	})
	t.Run("a tee lower than the wall", func(t *testing.T) {
		// V stops against W, 2 courses high, with 3 courses: its third has a free end there.
		s := newSite()
		s.wall("A", "V", "10", `3'-9"`, "8in", "tee W", open("end"))
		s.wall("B", "W", "20", `2'-6"`, "8in", "end", open("end"))
		out := s.takeoff(t)
		assert.Equal(t, "4", out.sum("V", "M-8in-endcap"))
	})
}

// A door of 3 ft from 10 ft on, 3 ft 9 in high, in a wall of 20 ft and 4 courses: it covers courses 1 to 3. Odd: 120 = 2·50 + 20
// before it, 84 = 50 + 34 behind. Course 2: 25 + 50 + 45 before, 84 − 25 = 59 = 50 + 9 behind. Course 4 runs through: even from
// a free end, 25, then 215 = 4·50 + 15. Whole units: 3 + 2 + 3 + 4.
func TestOpeningsCutCourses(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "20", "5", "8in", "end", open("end"))
	s.opening("D", "W", "3", `3'-9"`, "0", "10", 1)
	out := s.takeoff(t)
	assert.Equal(t, "12", out.sum("W", "M-8in-block"))
	pieces, _ := out.pool("M-8in-block", "G")
	assert.Equal(t, `1×3'-9" 2×2'-10" 3×2'-1" 2×1'-8" 1×1'-3" 1×9"`, pieces)
	require.Len(t, out.Courses[0].Segments, 2)
	require.Len(t, out.Courses[3].Segments, 1)

	// An inch higher it still covers only full courses; an inch lower it covers two.
	s.job.Openings[0].Height = ft(`3'-8"`)
	out = s.takeoff(t)
	assert.Len(t, out.Courses[2].Segments, 1)
}

// A piece of 3 in between a jamb and a wall's end: the smallest is 7, so the jamb must move by 4.
func TestShortPieceNamesTheJambToMove(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "20", `2'-6"`, "8in", "end", open("end"))
	s.opening("D", "W", "3", `2'-6"`, "0", `0'-3"`, 1)
	out := s.takeoff(t)
	assert.Equal(t, `a piece of 3" is left in courses 1, 2 at its near jamb; the smallest is 7": the jamb 4" nearer the wall's end clears it`, findingOf(out, "R-BLOCK"))

	s.job.Openings[0].Offset = ft(`16'-9"`)
	out = s.takeoff(t)
	assert.Equal(t, `a piece of 3" is left in courses 1, 2 at its far jamb; the smallest is 7": the jamb 4" nearer the wall's start clears it`, findingOf(out, "R-BLOCK"))
}

// Pieces are pooled by level, and half courses apart.
func TestPoolsByLevelAndKind(t *testing.T) {
	s := newSite()
	s.wall("A", "V", "5", `1'-3"`, "8in", "end", open("end"))
	s.wall("B", "W", "5", `22 1/2"`, "8in", "end", open("end"), func(w *Wall) { w.Level = "U" })
	out := s.takeoff(t)
	// 60 = 50 + 10, and 7 is the smallest: 10 stays. Course 2 is even and a half course: 25 first, rest 35.
	for _, c := range []struct{ item, level, want string }{{"M-8in-block", "G", `1×10"`}, {"M-8in-block", "U", `1×10"`}, {"M-8in-half", "U", `1×2'-11" 1×2'-1"`}} {
		pieces, _ := out.pool(c.item, c.level)
		assert.Equal(t, c.want, pieces, c)
	}
	for _, l := range out.Lines {
		if l.Rule == "R-CUT" {
			assert.Empty(t, l.Wall)
			assert.NotEmpty(t, l.Level)
		}
	}
	assert.Equal(t, map[string]string{" R-CUT M-8in-block": "2", " R-CUT M-8in-half": "2"}, out.ruleLines("R-CUT"))
}

// A kerf of 1/8 in: four pieces of 12 1/2 in leave no room for three cuts in a unit of 50.
func TestFormKerf(t *testing.T) {
	s := newSite()
	for _, run := range []string{"A", "B", "C", "D"} {
		s.wall(run, run, `62 1/2"`, `1'-3"`, "8in", "end", open("end"))
	}
	_, bought := s.takeoff(t).pool("M-8in-block", "G")
	assert.EqualValues(t, 1, bought)
	s.set(SetFormKerf, `1/8"`)
	_, bought = s.takeoff(t).pool("M-8in-block", "G")
	assert.EqualValues(t, 2, bought)
}

// Loose boards of 8 ft by 12 in, foam 2 in, core 8 in: T = 12 in. A square of 20 ft, 2 courses: outside 240 = 2·96 + 48; even courses
// start with 48: rest 192 = 2·96. Inside 240 − 24 = 216 = 2·96 + 24; even: 48, rest 168 = 96 + 72. No corner units, no closures.
func TestLooseBoards(t *testing.T) {
	s := newSite()
	f := &FormRow{Line: "B", CoreName: "8in", Faces: true, Core: ft(`8"`), Foam: ft(`2"`), UnitLength: ft("8"), CourseHeight: ft("1"), SmallestPiece: ft(`16"`)}
	s.job.Forms = append(s.job.Forms, f)
	square(s, "A", "20", "2", "8in", func(w *Wall) { w.FormLine, w.Forms = "B", f })
	out := s.takeoff(t)
	assert.Equal(t, map[string]string{"A1 R-FACES B-board": "7"}, onWall(out.ruleLines("R-FACES", "R-BLOCK", "R-CORNER", "R-CAP"), "A1"))
	pieces, _ := out.pool("B-board", "G")
	assert.Equal(t, `4×6'-0" 12×4'-0" 4×2'-0"`, pieces) // 72; 48 of odd outside, 48 of even on both faces; 24
	require.Len(t, out.Courses, 16)
	assert.Equal(t, "outer", out.Courses[0].Face)
	assert.Equal(t, "inner", out.Courses[1].Face)
	assert.Equal(t, "course 2 inner face", out.Cuts[0].Uses[3].What)
}

// A brick ledge at 30 in of a square of 20 ft: course 2 (15 to 30 in) of A1 is filled with ledge units of 4 ft.
func ledgeSite(long string, replaces bool) *site {
	s := newSite()
	square(s, "A", "20", `3'-9"`, "8in")
	m := &LedgeMark{Mark: "L1", Projection: ft(`4"`), FaceDepth: ft(`8"`), ReplacesCourse: replaces, UnitLength: ft(long), ConnectorSpacing: ft(`8"`)}
	s.job.Ledges = append(s.job.Ledges, m)
	s.job.Walls[0].Ledge, s.job.Walls[0].LedgeTop = m, ft(`30"`)
	return s
}

func TestLedgeUnits(t *testing.T) {
	// No legs at either end of A1 in course 2, and the corner is no edge: 240 = 5·48; the corner at A1's end adds one mitred
	// unit. A4 and A1 have no corner unit in course 2. A2's course 2 has no leg at its start: 240 − 23 = 217 = 4·50 + 17.
	s := ledgeSite("4", true)
	out := s.takeoff(t)
	assert.Equal(t, map[string]string{
		"A1 R-CORNER M-8in-corner": "2", "A1 R-BLOCK M-8in-block": "6", "A1 R-LEDGE ledge-L1-unit": "6",
	}, onWall(without(out.ruleLines("R-CORNER", "R-BLOCK", "R-LEDGE"), "A1 R-LEDGE concrete-wall", "A1 R-LEDGE ledge-L1-connector"), "A1"))
	assert.Equal(t, "3", out.sum("A2", "M-8in-corner"))
	assert.Equal(t, "2", out.sum("A4", "M-8in-corner"))
	assert.Equal(t, "10", out.sum("A2", "M-8in-block"))
	assert.Equal(t, "9", out.sum("A4", "M-8in-block")) // 240 − 38 = 202 = 4·50 + 2: 3 whole, 45 and 7; odd ones 3 each
	assert.True(t, out.Courses[1].LedgeCourse)
	// The ledge's line: d = (4 + 2 1/4)/2 − 2 1/4 = 7/8 in more at both exterior corners: 241 3/4 in; connectors floor(241.75/8) + 1.
	assert.Equal(t, "31", out.sum("A1", "ledge-L1-connector"))

	// Units of 4 ft 2 in: 240 = 4·50 + 40. The piece of 40 is a pool of its own.
	out = ledgeSite(`4'-2"`, true).takeoff(t)
	pieces, bought := out.pool("ledge-L1-unit", "G")
	assert.Equal(t, `1×3'-4"`, pieces)
	assert.EqualValues(t, 1, bought)
	assert.Equal(t, "6", out.sum("", "ledge-L1-unit")) // 4 whole, 1 mitred, 1 of the plan

	// The least piece of ledge units is a sixth of theirs, 8 in of 48, not of the Forms row's: the wall 2 in longer is
	// 5·48 + 2: 4 whole, 42 and 8. A typed one, 7 in, holds for both: 43 and 7.
	s = ledgeSite("4", true)
	s.job.Walls[0].Length, s.job.Walls[2].Length = ft(`20'-2"`), ft(`20'-2"`)
	pieces, _ = s.takeoff(t).pool("ledge-L1-unit", "G")
	assert.Equal(t, `1×3'-6" 1×8"`, pieces)
	s.form("8in").SmallestTyped = true
	pieces, _ = s.takeoff(t).pool("ledge-L1-unit", "G")
	assert.Equal(t, `1×3'-7" 1×7"`, pieces)

	// Ledge units that replace no course: ceil(241.75/48); the course keeps its units.
	out = ledgeSite("4", false).takeoff(t)
	assert.Equal(t, "6", out.sum("A1", "ledge-L1-unit"))
	assert.Equal(t, "9", out.sum("A1", "M-8in-block"))
}

func without(lines map[string]string, keys ...string) map[string]string {
	for _, k := range keys {
		delete(lines, k)
	}
	return lines
}

// Equal gaps between unplaced openings are filled alike, also where their jambs fall between nanometres: a free wall of
// 21'-3" with two openings of 40 in to its top leaves three gaps of 58 1/3 in; a unit of 50 in and the smallest piece, its
// sixth, fill each on the odd courses: 3 whole units a course, 9 on courses 1, 3 and 5. On even courses half a unit goes
// first and the other 33 1/3 in are a piece.
func TestEqualGapsAreFilledAlike(t *testing.T) {
	s := freeWall(`21'-3"`, `7'-6"`, "6in")
	s.form("6in").SmallestPiece = exact.Len(ft(`4'-2"`)).Div(exact.Int(6)).Length()
	s.opening("door", "W", `3'-4"`, `7'-6"`, "0", "", 2)
	require.Equal(t, "9", s.takeoff(t).sum("W", "M-6in-block"))
}
