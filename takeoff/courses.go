package takeoff

import (
	"fmt"
	"slices"

	"wallbill/takeoff/length"
)

// course is a course of a stretch (R-COURSE). Heights are above the stretch's base.
type course struct {
	number         int // from the base, from 1, through the zones
	zone           int // index of the zone in each wall of the stretch
	bottom, height length.Length
	half, ripped   bool
}

// top of the course; a ripped course is as high as what is left.
func (c *course) top() length.Length { return c.bottom + c.height }

// twiceMid is twice the course's mid-height: half nanometres occur.
func (c *course) twiceMid() length.Length { return 2*c.bottom + c.height }

// even courses break the joints of the odd ones by half a unit.
func (c *course) even() bool { return c.number%2 == 0 }

// mostCourses is how many courses room is made for at once.
const mostCourses = 1024

// coursesOf lays the courses of a stretch, by its greatest height (R-COURSE).
func (p *pass) coursesOf(s *Stretch) []course {
	first := s.First()
	var out []course
	for i, z := range first.Zones {
		f, top := z.Forms, z.Top
		if i == len(first.Zones)-1 {
			top = s.Greatest()
		}
		if f.CourseHeight <= 0 || f.UnitLength <= 0 {
			p.say(Error, f.At, "R-COURSE", f.name(), "a form needs a Course height and a Unit length")
			continue
		}
		h := top - z.Bottom
		n, r := h/f.CourseHeight, h%f.CourseHeight
		out = slices.Grow(out, max(0, min(int(n), mostCourses))+1)
		bottom := z.Bottom
		add := func(high length.Length, half, ripped bool) {
			out = append(out, course{number: len(out) + 1, zone: i, bottom: bottom, height: high, half: half, ripped: ripped})
			bottom += high
		}
		for range n {
			add(f.CourseHeight, false, false)
		}
		switch {
		case r == 0:
		case r <= p.set.Len(SetCourseTolerance):
			p.say(Note, first.Cell("height"), "R-COURSE", "Height, wall "+first.Mark,
				"%d courses stand %s lower than %s; no course is added for so little, and the concrete keeps the typed height",
				n, r.Show(p.units.System), [...]string{"the core change", "the top"}[btoi(i == len(first.Zones)-1)])
		case f.HalfCourse > 0 && r <= f.HalfCourse:
			add(r, true, r < f.HalfCourse)
		default:
			add(r, false, true)
		}
	}
	return out
}

// courseAt is the course at twice a height above the stretch's base, a boundary belonging to the upper one; where there is
// none, its last (R-CORNER). It is nil when the stretch has no courses.
func courseAt(courses []course, twice length.Length) *course {
	for i := range courses {
		if c := &courses[i]; 2*c.bottom <= twice && twice < 2*c.top() {
			return c
		}
	}
	if len(courses) == 0 {
		return nil
	}
	return &courses[len(courses)-1]
}

// ledgeCourse is the number of the course that a wall's ledge units replace: bottom < z ≤ top (R-LEDGE); 0 when there is none.
func (w *WallLines) ledgeCourse(courses []course) int {
	if w.Ledge == nil || !w.Ledge.ReplacesCourse {
		return 0
	}
	for i := range courses {
		if c := &courses[i]; c.bottom < w.LedgeTop && w.LedgeTop <= c.top() {
			return c.number
		}
	}
	return 0
}

// name is the row as messages and derivations name it: Forms M 6in.
func (f *FormRow) name() string { return fmt.Sprintf("Forms %s %s", f.Line, f.CoreName) }

// item is an item of the row: <line>-<core>-<part>.
func (f *FormRow) item(part string) string { return ItemName(f.Line) + "-" + f.CoreName + "-" + part }

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}
