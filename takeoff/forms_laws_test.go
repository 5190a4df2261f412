package takeoff

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/takeoff/cutting"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// inches draws a whole number of half inches.
func inches(t *rapid.T, name string, from, to int64) length.Length {
	return length.Length(rapid.Int64Range(2*from, 2*to).Draw(t, name)) * length.Inch / 2
}

// drawnWall is a wall for laws: 20 to 40 ft long, 3 to 12 ft high, openings clear of its corners' legs and of each other.
func (s *site) drawnWall(t *rapid.T, run, mark, turn string, high length.Length, change ...func(*Wall)) *Wall {
	w := s.wall(run, mark, "20", "9", "8in", turn, change...)
	w.Length, w.Height, w.HeightEnd = inches(t, "length of "+mark, 240, 480), high, high
	at := inches(t, "first jamb", 40, 60)
	for i := range rapid.IntRange(0, 2).Draw(t, "openings") {
		o := s.opening(fmt.Sprint(mark, "-", i), mark, "3", "3", "0", "1", 1)
		o.Offset, o.Width = at, inches(t, "width", 12, 48)
		o.Sill = inches(t, "sill", 0, 30)
		o.Height = min(inches(t, "opening height", 12, 100), high-o.Sill)
		at += o.Width + inches(t, "pier", 1, 30)
	}
	return w
}

// Every course re-adds to its wall: legs, segments and the openings that cover it are the wall's length, and what is laid
// in a segment is the segment.
func TestCoursesReAdd(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := newSite()
		high := inches(t, "height", 36, 144)
		for _, m := range []string{"1", "2", "3", "4"} {
			s.drawnWall(t, "A", m, "corner", high)
		}
		for i, w := range s.job.Walls[:2] {
			s.job.Walls[i+2].Length = w.Length // the run closes; openings still fit or the case is dropped
		}
		out := Compute(s.job)
		if HasErrors(out.Findings) {
			t.Skip("an opening passes an end")
		}
		checkHow(t, out)
		walls := out.Geometry.ByMark
		for _, c := range out.Courses {
			sum := ft(`38"`) + ft(`23"`) // both legs, whichever way they lie
			for _, g := range c.Segments {
				sum += g.To - g.From
				x := g.From
				for _, u := range g.Fill {
					require.Equal(t, x, u.Start)
					x += u.Length
				}
				require.Equal(t, g.To, x)
			}
			w := walls[c.Wall]
			for _, h := range w.Holes {
				if h.Sill <= c.Bottom && h.Head() >= c.Bottom+c.Height {
					sum += h.Width
				}
			}
			require.Equal(t, w.Length, sum, "course %d of %s", c.Number, c.Wall)
		}
	})
}

// formTotals are the job's forms: whole units, corner units, closures by item, and the pieces of its pools.
func formTotals(out *Takeoff) map[string]string {
	sums := map[string]exact.Num{}
	for _, l := range out.Lines {
		switch l.Rule {
		case "R-BLOCK", "R-CORNER", "R-CAP", "R-CUT", "R-FACES":
			sums[l.Rule+" "+l.Item] = sums[l.Rule+" "+l.Item].Add(exact.Dec(l.Quantity))
		}
	}
	for _, k := range out.Cuts {
		for _, x := range k.Problem.Pieces {
			sums[fmt.Sprint(k.Item, " ", x.Length)] = exact.Int(x.Count)
		}
	}
	text := map[string]string{}
	for k, v := range sums {
		text[k] = v.String()
	}
	return text
}

// A straight wall cut in two rows joined straight is laid as one: every form and piece stays.
func TestSplittingAStraightWallKeepsItsForms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		high := inches(t, "height", 15, 144)
		endHigh := high
		if rapid.Bool().Draw(t, "raked") {
			endHigh = high / 2
		}
		long, cut := inches(t, "length", 80, 960), length.Length(0)
		cut = inches(t, "cut", 12, int64(long/length.Inch)-30)
		turn := rapid.SampledFrom([]string{"end", "corner", "corner 30", "inside"}).Draw(t, "turn")
		var wide, at length.Length
		if cut > 40*length.Inch {
			wide, at = inches(t, "door", 12, 36), length.Inch
		}
		build := func(split bool) *Takeoff {
			s := newSite()
			first := s.wall("A", "V", "20", "9", "8in", turn, open("end"))
			first.Length, first.Height, first.HeightEnd = long, high, endHigh
			if split {
				first.Turn = parseTurn("straight")
				first.Length = cut
				second := s.wall("A", "W", "20", "9", "8in", turn)
				second.Length, second.HeightEnd = long-cut, endHigh
				// The height at the cut must lie on the slope to the nanometre: level walls, or a cut in the middle.
				mid := high
				if endHigh != high {
					first.Length, second.Length = long/2, long-long/2
					mid = (high + endHigh) / 2
				}
				first.HeightEnd, second.Height = mid, mid
			}
			if wide > 0 && endHigh == high {
				o := s.opening("D", "V", "3", "1", "0", "1", 1)
				o.Width, o.Offset, o.Height = wide, at, min(high, 80*length.Inch)
			}
			return s.takeoff(t)
		}
		require.Equal(t, formTotals(build(false)), formTotals(build(true)))
	})
}

// A run with Count n counts n times its forms, and asks for n times its pieces; so do n runs alike.
func TestCountIsRepetition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 4).Draw(t, "count")
		high, long := inches(t, "height", 15, 144), inches(t, "length", 70, 480)
		core := rapid.SampledFrom([]string{"6in", "8in"}).Draw(t, "core")
		add := func(s *site, run string) *Wall {
			first := s.wall(run, run+"1", "20", "9", core, "corner", open("corner"))
			second := s.wall(run, run+"2", "20", "9", core, "end")
			for _, w := range []*Wall{first, second} {
				w.Length, w.Height, w.HeightEnd = long, high, high
			}
			return first
		}
		once, many := newSite(), newSite()
		add(once, "A").Count = n
		for i := range n {
			add(many, fmt.Sprint("R", i))
		}
		a, b := once.takeoff(t), many.takeoff(t)
		require.Equal(t, formTotals(b), formTotals(a))
		for _, d := range []string{"form-units", "form-cuts", "corners"} {
			require.Equal(t, b.driver(d), a.driver(d), d)
		}
	})
}

// A closed run without openings seen in a mirror has the same forms: only left and right change.
func TestMirroredRunKeepsItsForms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		high := inches(t, "height", 15, 144)
		a, b := inches(t, "length", 70, 480), inches(t, "width", 70, 480)
		build := func(sides ...length.Length) *Takeoff {
			s := newSite()
			for i, l := range sides {
				w := s.wall("A", fmt.Sprint(i), "20", "9", "8in", "corner")
				w.Length, w.Height, w.HeightEnd = l, high, high
			}
			return s.takeoff(t)
		}
		sides := []length.Length{a, b, a, b}
		out := build(sides...)
		slices.Reverse(sides)
		require.Equal(t, formTotals(out), formTotals(build(sides...)))
	})
}

// The order of the rows of other runs is no change.
func TestOrderOfRunsIsNoChange(t *testing.T) {
	build := func(runs ...string) *Takeoff {
		s := newSite()
		for _, r := range runs {
			square(s, r, map[string]string{"A": "20", "B": "31", "C": "17"}[r], "9", "8in")
		}
		return s.takeoff(t)
	}
	require.Equal(t, formTotals(build("A", "B", "C")), formTotals(build("C", "A", "B")))
}

// Where a closed run begins is no change, though it begins in the middle of a wall typed as two rows.
func TestWhereARunBeginsIsNoChange(t *testing.T) {
	rows := []struct{ long, turn string }{{"13", "corner"}, {"21", "corner"}, {"30", "corner"}, {"21", "corner"}, {"17", "straight"}}
	build := func(from int) *Takeoff {
		s := newSite()
		for i := range rows {
			k := (from + i) % len(rows)
			s.wall("A", fmt.Sprint("W", k), rows[k].long, "9", "8in", rows[k].turn)
		}
		s.opening("D", "W0", "3", "7", "0", "2", 1)
		return s.takeoff(t)
	}
	want := build(0)
	require.Len(t, want.Geometry.Stretches, 4)
	for from := range rows {
		out := build(from)
		require.Equal(t, formTotals(want), formTotals(out), from)
		require.Equal(t, want.ruleLines("R-BLOCK", "R-CORNER", "R-BRACE"), out.ruleLines("R-BLOCK", "R-CORNER", "R-BRACE"), from)
	}
}

// Whatever the job, the units laid in the courses are the lines': whole units by wall, pieces in the pools, closures and corner
// units by course; every segment is filled; every derivation works out.
func TestCoursesAgreeWithLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := newSite()
		boards := &FormRow{Line: "B", CoreName: "8in", Faces: true, Core: ft(`8"`), Foam: ft(`2"`), UnitLength: ft("8"), CourseHeight: ft("1"), HalfCourse: ft(`6"`), SmallestPiece: ft(`16"`)}
		s.job.Forms = append(s.job.Forms, boards)
		for _, f := range s.job.Forms {
			f.CutStep = inches(t, "cut step", 0, 4)
			f.Handed = rapid.Bool().Draw(t, "handed")
		}
		s.part("tie", "tie row", `8"`, "1", func(r *PartRow) { r.Rows = rapid.IntRange(1, 3).Draw(t, "rows") })
		s.part("clip", "unit", "", "1.5")
		s.part("strap", "corner", "", "2")
		s.part("nail", "course", `16"`, "1")
		s.part("buck", "opening length", "", "1")
		ledge := &LedgeMark{Mark: "L", Projection: ft(`4"`), FaceDepth: ft(`8"`), ReplacesCourse: true, UnitLength: ft("4")}
		for r := range rapid.IntRange(1, 3).Draw(t, "runs") {
			n := rapid.IntRange(1, 4).Draw(t, "walls")
			line := rapid.SampledFrom([]string{"M", "M", "B"}).Draw(t, "line")
			for i := range n {
				turn := rapid.SampledFrom([]string{"corner", "corner 40", "inside", "inside 60", "straight"}).Draw(t, "turn")
				if i == n-1 {
					turn = rapid.SampledFrom([]string{"end", "corner", "inside"}).Draw(t, "last turn")
				}
				core := rapid.SampledFrom([]string{"6in", "8in", "10in"}).Draw(t, "core")
				var change []func(*Wall)
				if i == 0 {
					change = append(change, open(rapid.SampledFrom([]string{"end", "corner", "tee"}).Draw(t, "start")))
				}
				w := s.wall(fmt.Sprint("R", r), fmt.Sprint("R", r, "W", i), "20", "9", core, turn, change...)
				w.Length = inches(t, "length", 60, 400)
				w.Height = inches(t, "height", 10, 150)
				w.HeightEnd = w.Height
				if rapid.IntRange(0, 2).Draw(t, "rake") == 0 {
					w.HeightEnd = inches(t, "height at end", 10, 150)
				}
				w.Base = inches(t, "base", 0, 2) * 15
				if line == "B" {
					w.FormLine, w.Forms, w.Core = "B", boards, boards.Core
				} else if rapid.IntRange(0, 3).Draw(t, "core change") == 0 {
					s.coreAbove("6in", "4")(w)
				}
				if rapid.IntRange(0, 3).Draw(t, "ledge") == 0 {
					w.Ledge, w.LedgeTop = ledge, min(w.Height, w.HeightEnd)-inches(t, "below the top", 0, 5)
				}
				if rapid.Bool().Draw(t, "opening") {
					o := s.opening("D", w.Mark, "1", "1", "0", "1", 1)
					o.Offset, o.Width = inches(t, "at", 0, 30), inches(t, "width", 5, 30)
					o.Height = min(inches(t, "opening height", 5, 100), w.Height, w.HeightEnd)
				}
				if i == 0 {
					w.Count = rapid.IntRange(1, 3).Draw(t, "count")
				}
			}
		}
		out := Compute(s.job)
		if HasErrors(out.Findings) {
			t.Skip("refused: ", out.Findings)
		}
		checkHow(t, out)
		whole, lines, corners := map[string]int64{}, map[string]exact.Num{}, exact.Num{}
		caps, pieces := int64(0), int64(0)
		for _, c := range out.Courses {
			n := out.Geometry.ByMark[ItemKey(c.Wall)].Run.Count
			caps += c.EndCaps * n
			corners = corners.Add(c.CornerUnits.Times(n))
			for _, g := range c.Segments {
				x := g.From
				for _, u := range g.Fill {
					require.Equal(t, x, u.Start)
					x += u.Length
					if u.Whole {
						whole[u.Wall] += n
					} else {
						pieces += n
					}
				}
				require.Equal(t, g.To, x)
			}
		}
		for _, l := range out.Lines {
			switch l.Rule {
			case "R-BLOCK", "R-FACES":
				lines[l.Wall] = lines[l.Wall].Add(exact.Dec(l.Quantity))
			case "R-LEDGE":
				if l.Item == "ledge-L-unit" {
					lines[l.Wall] = lines[l.Wall].Add(exact.Dec(l.Quantity))
					for _, o := range l.How.Operands {
						if o.Name == "corners" { // mitred units are laid in no segment
							lines[l.Wall] = lines[l.Wall].Sub(o.Value.Times(out.Geometry.ByMark[ItemKey(l.Wall)].Run.Count))
						}
					}
				}
			case "R-CORNER":
				corners = corners.Sub(exact.Dec(l.Quantity))
			case "R-CAP":
				caps -= l.Quantity.IntPart()
			}
		}
		for w, n := range whole {
			require.Equal(t, exact.Int(n).String(), lines[w].String(), w)
		}
		for w, n := range lines {
			require.Equal(t, exact.Int(whole[w]).String(), n.String(), w)
		}
		require.Zero(t, caps)
		require.Equal(t, "0", corners.String())
		for _, k := range out.Cuts {
			if k.Bar != nil {
				continue
			}
			want := int64(0)
			for _, x := range k.Problem.Pieces {
				want += x.Count
			}
			used := int64(0)
			for _, u := range k.Uses {
				used += u.Count
			}
			require.Equal(t, want, used)
			require.NoError(t, cutting.Recount(k.Problem, k.Plan))
			pieces -= want
		}
		require.Zero(t, pieces)
	})
}
