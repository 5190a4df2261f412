package takeoff

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// coursesText of a wall: its courses' heights in inches, h for half courses, r for ripped ones.
func courseHeights(out *Takeoff) string {
	var b strings.Builder
	for _, c := range out.Courses {
		b.WriteString(" " + strings.TrimSuffix(c.Height.FtIn(), `"`))
		if c.Half {
			b.WriteByte('h')
		}
		if c.Ripped {
			b.WriteByte('r')
		}
	}
	return strings.TrimSpace(b.String())
}

// Courses of 15 in with half courses of 7 1/2 in, tolerance 1 in. By hand:
// 60 = 4·15. 61 leaves 1: no more course, the form stands 1 in low. 61 1/16 leaves more than the tolerance: a half course
// ripped to 1 1/16. 67 1/2 leaves a half course. 68 leaves 8 > 7 1/2: a full course ripped to 8.
func TestCourses(t *testing.T) {
	for _, c := range []struct{ high, want, note string }{
		{`5'`, `1'-3 1'-3 1'-3 1'-3`, ""},
		{`61"`, `1'-3 1'-3 1'-3 1'-3`, `4 courses stand 1" lower than the top; no course is added for so little, and the concrete keeps the typed height`},
		{`61 1/16"`, `1'-3 1'-3 1'-3 1'-3 1 1/16hr`, ""},
		{`67 1/2"`, `1'-3 1'-3 1'-3 1'-3 7 1/2h`, ""},
		{`68"`, `1'-3 1'-3 1'-3 1'-3 8r`, ""},
		{`1"`, ``, `0 courses stand 1" lower than the top; no course is added for so little, and the concrete keeps the typed height`},
	} {
		s := newSite()
		s.wall("A", "W", "20", c.high, "8in", "end", open("end"))
		out := s.takeoff(t)
		assert.Equal(t, c.want, courseHeights(out), c.high)
		assert.Equal(t, c.note, findingOf(out, "R-COURSE"), c.high)
	}
}

// findingOf is the message of the first finding of a rule.
func findingOf(out *Takeoff, rule string) string {
	for _, f := range out.Findings {
		if f.Rule == rule {
			return f.Message
		}
	}
	return ""
}

// A core change at 4 ft: 48 = 3·15 + 3, a half course ripped to 3; above it 5 ft = 4 courses, numbered on: 5 to 8.
func TestCoursesAreNumberedThroughZones(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "20", "9", "8in", "end", open("end"), s.coreAbove("6in", "4"))
	out := s.takeoff(t)
	assert.Equal(t, `1'-3 1'-3 1'-3 3hr 1'-3 1'-3 1'-3 1'-3`, courseHeights(out))
	assert.Equal(t, 8, out.Courses[7].Number)
	assert.Equal(t, ft("4"), out.Courses[4].Bottom)
	assert.Equal(t, "6in", out.Courses[4].CoreName)
	assert.Equal(t, "2", out.Courses[4].Pour)
}

// coreAbove gives a wall another core from a height on, placed in pour 2.
func (s *site) coreAbove(core, at string) func(*Wall) {
	return func(w *Wall) {
		w.FormsAbove, w.CoreAbove, w.CoreChange, w.PourAbove = s.form(core), s.form(core).Core, ft(at), "2"
	}
}
