package takeoff

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// part adds a row of Parts for form line M.
func (s *site) part(name, counted, spacing, each string, change ...func(*PartRow)) *PartRow {
	r := &PartRow{At: Ref{Tab: "Parts", Row: len(s.job.Parts) + 2}, Line: "M", Part: name, Counted: counted, Rows: 1, Each: decimal.RequireFromString(each), Columns: map[string]int{"spacing": 6}}
	if spacing != "" {
		r.Spacing = ft(spacing)
	}
	for _, c := range change {
		c(r)
	}
	s.job.Parts = append(s.job.Parts, r)
	return r
}

// ofCore gives a Parts row a core.
func (s *site) ofCore(core string) func(*PartRow) {
	return func(r *PartRow) { r.Core, r.CoreName = s.form(core).Core, core }
}

// One wall of 20 ft between free ends, 5 ft high: four courses of 15 in, Lc = 20 ft. A window 4 ft wide from 8 ft on, sill 20 in,
// head 50 in. By hand:
//   - tie rows, 1 a course, 8 in: at 15, 30, 45 in (60 is the top of the wall). 15: 240/8 + 1 = 31; 30 and 45 cross the window:
//     96/8 + 1 = 13 twice: 26 each. 31 + 52 = 83.
//   - 2 a course: at 7.5, 15, 22.5, … 52.5: 7.5, 15 and 52.5: 31 each; 22.5, 30, 37.5, 45: 26 each: 93 + 104 = 197.
//   - once a course at mid-height, 7.5, 22.5, 37.5, 52.5: 31 + 26 + 26 + 31 = 114.
//   - top, 2 ft: 240/24 + 1 = 11; base the same.
//   - ends: 4 courses at both: 8, each 2: 16.
//   - base and top length: 20 + 20 ft. Window's buck: 2·30 + 2·48 = 156 in = 13 ft.
func TestParts(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "20", "5", "8in", "end", open("end"))
	s.opening("G", "W", "4", `30"`, `20"`, "8", 1)
	for _, c := range []struct {
		counted, spacing, each, want string
		rows                         int
	}{
		{"tie row", `8"`, "1", "83", 1},
		{"tie row", `8"`, "1", "197", 2},
		{"tie row", `8"`, "0.5", "41.5", 1},
		{"course", `8"`, "1", "114", 1},
		{"top", `2'`, "1", "11", 1},
		{"base", `2'`, "3", "33", 1},
		{"end", "", "2", "16", 1},
		{"corner", "", "1", "0", 1},
		{"base length", "", "1", "40", 1},
		{"top length", "", "1.1", "44", 1},
		{"opening length", "", "1", "13", 1},
	} {
		s.job.Parts = nil
		s.part("pin", c.counted, c.spacing, c.each, func(r *PartRow) { r.Rows = c.rows })
		assert.Equal(t, c.want, s.takeoff(t).sum("W", "M-pin"), "%+v", c)
	}
}

// Openings that reach the top or stand on the base are left out there: 8 ft, 4 ft and 8 ft of 20: 96/24 + 1 = 5 twice.
func TestPartsAlongTopAndBase(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "20", "5", "8in", "end", open("end"))
	s.opening("D", "W", "4", "5", "0", "8", 1)
	s.part("top clip", "top", `2'`, "1")
	s.part("track", "base", `2'`, "1")
	out := s.takeoff(t)
	assert.Equal(t, "10", out.sum("W", "M-top-clip"))
	assert.Equal(t, "10", out.sum("W", "M-track"))
}

// A square of 20 ft, 45 in high (3 courses), with an inside corner's wall apart: corners and inside corners by course, shared
// ones half; units: 3·3 whole and 3 corner units a wall, and the units of the level's cut plan.
func TestPartsAtCornersAndByUnit(t *testing.T) {
	s := newSite()
	square(s, "A", "20", `3'-9"`, "8in")
	s.wall("B", "V", "20", `3'-9"`, "8in", "inside", open("corner"))
	s.wall("B", "W", "20", `3'-9"`, "8in", "end")
	s.part("strap", "corner", "", "2")
	s.part("brace", "inside corner", "", "1")
	s.part("clip", "unit", "", "4")
	out := s.takeoff(t)
	assert.Equal(t, "6", out.sum("A1", "M-strap"))
	assert.Equal(t, "3", out.sum("V", "M-strap")) // 3 courses, half, 2 each
	assert.Equal(t, "3", out.sum("V", "M-brace"))
	assert.Equal(t, "0", out.sum("W", "M-brace"))
	assert.Equal(t, "48", out.sum("A1", "M-clip")) // (9 + 3)·4
	_, bought := out.pool("M-8in-block", "G")
	pool := decimal.Zero
	for _, l := range out.Lines {
		if l.Item == "M-clip" && l.Wall == "" {
			pool = pool.Add(l.Quantity)
			assert.Equal(t, "G", l.Level)
		}
	}
	assert.True(t, decimal.NewFromInt(4*bought).Equal(pool))
	units := decimal.RequireFromString(out.driver("form-units")).Mul(decimal.NewFromInt(4))
	assert.Equal(t, units.String(), out.sum("", "M-clip"))
}

// A part of one core counts in that core's zone alone and carries the core in its name; its line has the wall's pour. The
// wall is 8 ft high, 8 in core to 45 in, 6 in above. Tie rows at 15, 30 and 45 in (the joint with the next course) belong to
// the lower zone; above: 45 + 15·k = 60, 75, 90, with the top at 96 in: 6 in are left, a half course ripped to 6 that has no
// row of its own. 31 each on the lower, 31 on the upper.
func TestPartsByCore(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "20", "8", "8in", "end", open("end"), s.coreAbove("6in", `45"`))
	s.part("tie", "tie row", `8"`, "1", s.ofCore("6in"))
	s.part("tie", "tie row", `8"`, "1", s.ofCore("8in"))
	s.part("sill", "base length", "", "1", s.ofCore("6in"))
	out := s.takeoff(t)
	assert.Equal(t, "93", out.sum("W", "M-8in-tie"))
	assert.Equal(t, "93", out.sum("W", "M-6in-tie"))
	assert.Equal(t, "0", out.sum("W", "M-6in-sill"))
	for _, l := range out.Lines {
		if l.Rule == "R-PART" {
			assert.Equal(t, "1", l.Pour)
		}
	}
}

// Under a slope from 15 to 45 in over 10 ft: the row at 15 in lies under it all along, from the start's top on: 120/8 + 1 = 16; at
// 30 in from half way: 60/8 + 1 = 8 (7.5 down to 7); at 45 in nothing.
func TestPartsUnderASlope(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "10", `1'-3"`, "8in", "end", open("end"), rake(`3'-9"`))
	s.part("tie", "tie row", `8"`, "1")
	assert.Equal(t, "24", s.takeoff(t).sum("W", "M-tie"))
}

// Ties between corners stand on the centreline: 20 ft less half of 12 1/2 in at both ends: 227 1/2 in: floor(227.5/8) + 1 = 29.
func TestTiesOnTheCentreline(t *testing.T) {
	s := newSite()
	square(s, "A", "20", `2'-6"`, "8in")
	s.part("tie", "tie row", `8"`, "1")
	assert.Equal(t, "29", s.takeoff(t).sum("A1", "M-tie"))
}

func TestPartWithoutItsSpacing(t *testing.T) {
	s := newSite()
	square(s, "A", "20", `2'-6"`, "8in")
	s.part("tie", "tie row", "", "1")
	out := Compute(s.job)
	require.True(t, HasErrors(out.Findings))
	n := 0
	for _, f := range out.Findings {
		if f.Rule == "R-PART" {
			n++
			assert.Equal(t, "Parts!F2", f.At.String())
		}
	}
	assert.Equal(t, 1, n)
}
