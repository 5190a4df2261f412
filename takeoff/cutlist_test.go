package takeoff

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// The square of TestSquare: eight pieces of 29 in, one from each unit of 50, so one cut, eight times, each with a drop of
// 21 in, less than a piece. By area: 4 × 20 ft × 2 ft 6 in is 200 sq ft, ÷ (50 in × 15 in) is 38.4 units, with 5% 40.32, so
// 41; counted are 24 whole, 8 corner and 8 cut-plan units.
func TestCutListOfSquare(t *testing.T) {
	s := newSite()
	square(s, "A", "20", `2'-6"`, "8in")
	out := s.takeoff(t)
	cuts := out.CutList()
	require.Len(t, cuts, 1)
	c := cuts[0]
	assert.Equal(t, 1, c.Number)
	assert.EqualValues(t, 8, c.Pattern.Times)
	assert.False(t, c.Pool.Keep(length.Length(c.Pattern.Drop)))
	assert.True(t, c.Pool.Keep(ft(`29"`)))
	require.Len(t, c.For, 1)
	assert.Equal(t, []string{"A1 course 1, course 2; A2 course 1, course 2; A3 course 1, course 2; A4 course 1, course 2"}, UsesText(c.For[0], 1000))
	parts := UsesText(c.For[0], 30)
	assert.Equal(t, "A1 course 1, course 2", parts[0])
	assert.Len(t, parts, 4)

	whole, pieces := CutsOfCourses(cuts).Pieces(&out.Courses[0], "")
	assert.EqualValues(t, 3, whole)
	require.Len(t, pieces, 1)
	assert.Equal(t, `1 × 2'-5" (cut 1)`, pieces[0].Text(length.FeetInches))

	require.Len(t, out.ByArea, 1)
	a := out.ByArea[0]
	assert.Equal(t, "M", a.Line)
	assert.EqualValues(t, 41, a.Units)
	assert.Equal(t, "40", a.Counted.String())
}

// Laws, on the two worked jobs: over all cuts each use of a pool gets all its pieces, each cut all its purposes, and every
// piece of every course comes from a cut of its own item; cuts are numbered through.
func TestCutListLaws(t *testing.T) {
	for name, s := range map[string]*site{"annex": annex(), "store": store()} {
		t.Run(name, func(t *testing.T) {
			out := s.takeoff(t)
			cuts := out.CutList()
			require.NotEmpty(t, cuts)
			got, want := map[*CutPool]map[PieceUse]int64{}, map[*CutPool]map[PieceUse]int64{}
			for i := range out.Cuts {
				c := &out.Cuts[i]
				got[c], want[c] = map[PieceUse]int64{}, map[PieceUse]int64{}
				for _, u := range c.Uses {
					n := u.Count
					u.Count = 0
					want[c][u] += n
				}
			}
			for i := range cuts {
				c := &cuts[i]
				require.Equal(t, i+1, c.Number)
				for k, uses := range c.For {
					n := int64(0)
					for _, u := range uses {
						n += u.Count
						require.EqualValues(t, c.Pattern.Pieces[k].Length, u.Length)
						m := u.Count
						u.Count = 0
						got[c.Pool][u] += m
					}
					require.Equal(t, c.Pattern.Pieces[k].Count*c.Pattern.Times, n)
				}
			}
			require.Equal(t, want, got)
			from := CutsOfCourses(cuts)
			laid := int64(0)
			for i := range out.Courses {
				c := &out.Courses[i]
				_, pieces := from.Pieces(c, "")
				for _, p := range pieces {
					require.NotEmpty(t, p.From, "%s %s", c.Wall, c.What())
					for _, n := range p.From {
						require.Nil(t, cuts[n-1].Pool.Bar)
					}
					laid += p.Count
				}
			}
			require.Equal(t, out.driver("form-cuts"), decimalText(laid))
		})
	}
}

// Half courses count by their height beside the area: half a unit each where the half course is half a course.
func TestCountByAreaHalfCourses(t *testing.T) {
	s := newSite()
	half := ft(`7 1/2"`)
	for _, f := range s.job.Forms {
		f.HalfCourse = half
	}
	square(s, "A", "20", `1'-10 1/2"`, "8in") // one course and a half course
	out := s.takeoff(t)
	require.Len(t, out.ByArea, 1)
	var full, halves int64
	for _, l := range out.Lines {
		switch l.Item {
		case "M-8in-block", "M-8in-corner":
			full += l.Quantity.IntPart()
		case "M-8in-half", "M-8in-corner-half":
			halves += l.Quantity.IntPart()
		}
	}
	assert.Positive(t, halves)
	assert.Equal(t, ratText(2*full+halves, 2), out.ByArea[0].Counted.String())
}

func decimalText(n int64) string { return exact.Int(n).String() }

func ratText(a, b int64) string { return exact.Frac(a, b).String() }
