package takeoff

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// Hand-worked, 0 to 5 over 10: over 0 all 10, over 2 it is 10·3/5 = 6, over 5 nothing. Below it 25; above 2 and below it a
// triangle 6·3/2 = 9, so 16 below 2. From 3 to 5 all of it is above 2: 10·(4 − 2) = 20.
func TestGraded(t *testing.T) {
	g := graded{10, 0, 5}
	for _, c := range []struct {
		got  exact.Num
		want int64
	}{
		{g.over(0), 10}, {g.over(2), 6}, {g.over(5), 0}, {g.over(6), 0}, {g.area(0), 25}, {g.area(2), 9}, {g.under(2), 16}, {g.area(7), 0}, {g.under(7), 25},
		{graded{10, 5, 0}.area(2), 9}, {graded{10, 3, 5}.area(2), 20}, {graded{10, 5, 3}.area(3), 10}, {graded{10, 2, 2}.area(2), 0},
		{graded{10, 2, 2}.over(2), 0}, // a level line is not over its own height
	} {
		require.Zero(t, c.got.Cmp(exact.Int(c.want)), "%s, want %d", c.got, c.want)
	}
}

// Law: cut anywhere, the two parts have the whole's lengths and areas.
func TestGradedInTwo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := func(name string, low int64) int64 { return rapid.Int64Range(low, 50).Draw(t, name) }
		// Heights at whole steps of a slope, so that the cut is whole too.
		a, b, slope, start, h := n("first", 1), n("second", 1), rapid.Int64Range(-3, 3).Draw(t, "slope"), 300+n("start", 0), n("height", 0)*8
		at := func(x int64) length.Length { return length.Length(start + slope*x) }
		whole := graded{length.Length(a + b), at(0), at(a + b)}
		one, two := graded{length.Length(a), at(0), at(a)}, graded{length.Length(b), at(a), at(a + b)}
		require.Zero(t, whole.over(length.Length(h)).Cmp(one.over(length.Length(h)).Add(two.over(length.Length(h)))))
		require.Zero(t, whole.area(length.Length(h)).Cmp(one.area(length.Length(h)).Add(two.area(length.Length(h)))))
		require.Zero(t, whole.under(length.Length(h)).Cmp(one.under(length.Length(h)).Add(two.under(length.Length(h)))))
	})
}

// below takes off one free-standing wall 10' high with that cover.
func below(t *testing.T, long, start, end string, cover Cover, footing bool, change ...func(*site)) *Takeoff {
	s := newSite()
	w := s.wall("A", "W", long, "10", "6in", "end", open("end"), grade(start, end, cover))
	if footing {
		w.Footing = s.footing("F", `1'-10"`, `9"`, true)
	}
	for _, c := range change {
		c(s)
	}
	return s.takeoff(t)
}

// A roll 36 in wide and 66'-8" long is 200 sq ft of sheet (common trade size, from memory). Hand-worked: sheet 2'-6" + 6" = 3'
// high is one row, not two (a second starts over 33.5 + 2.5 = 36 in): a wall of 66'-8" takes exactly one roll and 200 sq ft.
// A 64th more is a second roll, enough to 66'-8" + 66'-2" = 132'-10"; a 64th more than that a third.
func TestMembraneRolls(t *testing.T) {
	for _, c := range []struct{ long, rolls string }{
		{`10'-0"`, "1"}, {`66'-8"`, "1"}, {`66'-8 1/64"`, "2"}, {`132'-10"`, "2"}, {`132'-10 1/64"`, "3"},
	} {
		require.Equal(t, c.rolls, below(t, c.long, `2'-6"`, `2'-6"`, CoverMembrane, true).sum("", "membrane-roll"), c.long)
	}
	out := below(t, `66'-8"`, `2'-6"`, `2'-6"`, CoverMembrane, true)
	require.Equal(t, []string{"200", "66.666666667"}, []string{out.driver("membrane-area"), out.driver("membrane-length")})
	// A 64th higher and there are two rows: 133'-4", three rolls.
	require.Equal(t, "3", below(t, `66'-8"`, `2'-6 1/64"`, `2'-6 1/64"`, CoverMembrane, true).sum("", "membrane-roll"))
	// Without a footing nothing laps on it: 3' of grade is one row.
	require.Equal(t, "1", below(t, `66'-8"`, "3", "3", CoverMembrane, false).sum("", "membrane-roll"))
}

// Hand-worked on 60' with a footing, grade 0 to 6':
//   - membrane: h = 6" to 6'-6". Row 0 60'; row 1 over 36": (6.5 − 3)/6 · 60 = 35'; row 2 over 69.5": (78 − 69.5)/72 · 60 =
//     7.08333'. Λ = 102.08333': 1 + ceil(35.41667/66.16667) = 2. Area 60 · 3.5 = 210. Primer under 12": h is under 1' over 5',
//     0.75 · 5 + 55 = 58.75. `all`: 210.
//   - drainage sheet, h = g: row 0 60'; row 1 over 42 + 6 = 48": (72 − 48)/72 · 60 = 20'. Λ = 80': 1 + ceil(30/49.5) = 2.
//   - band: g capped at 2', h to 2'-6": row 0 alone, one roll. Area 6" · 60 + (20 · 1 + 40 · 2) = 130. Coating above the band:
//     40 · 4/2 = 80. Drainage sheet is not capped: 2.
//   - coating: 60 · 3 = 180, no sheet, no primer.
func TestSheetUnderSlopingGrade(t *testing.T) {
	out := below(t, "60", "0", "6", CoverMembrane, true)
	require.Equal(t, []string{"2", "2", "210", "60", "58.75", "180", "0"}, []string{out.sum("", "membrane-roll"), out.sum("", "board-roll"),
		out.driver("membrane-area"), out.driver("membrane-length"), out.sum("W", "primer"), out.driver("board-area"), out.driver("coating-area")})
	out = below(t, "60", "0", "6", CoverMembrane, true, func(s *site) {
		s.job.Settings.Set(SetPrimerHeight, SettingValue{Typed: true, Text: "all", Word: "all"})
	})
	require.Equal(t, "210", out.driver("primer-area"))
	out = below(t, "60", "0", "6", CoverBand, true)
	require.Equal(t, []string{"1", "2", "130", "58.75", "80", "180"}, []string{out.sum("", "membrane-roll"), out.sum("", "board-roll"),
		out.driver("membrane-area"), out.driver("primer-area"), out.sum("W", "coating"), out.driver("board-area")})
	out = below(t, "60", "6", "0", CoverCoating, true)
	require.Equal(t, []string{"0", "0", "0", "180", "0"}, []string{out.sum("", "membrane-roll"), out.sum("", "board-roll"), out.driver("primer-area"),
		out.sum("W", "coating"), out.driver("membrane-length")})
	out = below(t, "60", "6", "6", CoverNone, true)
	require.Equal(t, []string{"0", "0", "0", "0"}, []string{out.sum("", "membrane-roll"), out.sum("", "board-roll"), out.driver("coating-area"), out.driver("drain-length")})
	out = below(t, "60", "0", "0", CoverMembrane, true)
	require.Equal(t, []string{"0", "0", "0"}, []string{out.sum("", "membrane-roll"), out.driver("primer-area"), out.driver("drain-length")})
}

// A sheet no wider than its lap would need rows without end: refused at the setting.
func TestSheetThatCannotBeLapped(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "60", "10", "6in", "end", open("end"), grade("6", "6", CoverMembrane))
	s.set(SetMembraneWidth, `6"`)
	s.set(SetSideLap, `6"`)
	out := Compute(s.job)
	require.True(t, HasErrors(out.Findings))
	require.Equal(t, []string{`error Side lap: membrane sheet of 6" cannot be lapped by 6"`}, out.notes("R-MEMB"))
}

// Hand-worked, 6in walls (10 1/2") on a footing of 1'-10": d = (22 − 10.5)/2 + 6 = 11.75".
//   - A rectangle 30' × 20', grade everywhere: 100' + 4 corners of 2d each = 107'-10"; 4 drain corners. Stone × 1.5 sq ft / 27,
//     fabric × 6'.
//   - An L, five exterior corners and one inside: the same 8d.
//   - A wall with free ends: its length. A 45° corner: d·tan 22.5° = 11.75" · 0.41421356.
//   - No footing: d is the offset alone, 6".
func TestDrain(t *testing.T) {
	ring := func(footing bool, walls ...[2]string) *Takeoff {
		s := newSite()
		f := s.footing("F", `1'-10"`, `9"`, true)
		for i, w := range walls {
			s.wall("A", fmt.Sprint(i), w[0], "10", "6in", w[1], grade("6", "6", CoverMembrane), func(w *Wall) {
				if footing {
					w.Footing = f
				}
			})
		}
		return s.takeoff(t)
	}
	out := ring(true, [2]string{"30", "corner"}, [2]string{"20", "corner"}, [2]string{"30", "corner"}, [2]string{"20", "corner"})
	require.Equal(t, []string{"107.833333333", "4"}, []string{out.driver("drain-length"), out.driver("drain-corners")})
	// Of the 30' walls: 31'-11 1/2" of pipe, 47.9375 cu ft of stone, 191.75 sq ft of fabric.
	require.Equal(t, []string{"31.958333333", "1.775462963", "191.75"}, []string{out.sum("0", "drain-pipe"), out.sum("0", "drain-stone"), out.sum("0", "drain-fabric")})
	out = ring(false, [2]string{"30", "corner"}, [2]string{"20", "corner"}, [2]string{"30", "corner"}, [2]string{"20", "corner"})
	require.Equal(t, "104", out.driver("drain-length"))
	out = ring(true, [2]string{"30", "corner"}, [2]string{"30", "corner"}, [2]string{"10", "corner"}, [2]string{"10", "inside"}, [2]string{"20", "corner"}, [2]string{"20", "corner"})
	require.Equal(t, []string{"127.833333333", "6"}, []string{out.driver("drain-length"), out.driver("drain-corners")})
	require.Equal(t, "60", below(t, "60", "0", "6", CoverBand, true).driver("drain-length"))

	s := newSite()
	f := s.footing("F", `1'-10"`, `9"`, true)
	on := func(w *Wall) { w.Footing = f }
	s.wall("A", "W", "30", "10", "6in", "corner 45", open("end"), grade("6", "6", CoverMembrane), on)
	s.wall("A", "V", "30", "10", "6in", "end", grade("0", "6", CoverMembrane), on)
	out = s.takeoff(t)
	// Grade is 0 at the start of V: its side of the corner is not counted. 30' + 30' + 0.979166667' · 0.414213562.
	require.Equal(t, "60.405584113", out.driver("drain-length"))
	require.Equal(t, "0.5", out.driver("drain-corners"))

	// Drain no: nothing. Drain yes without a cover, below grade: pipe all the same.
	s = newSite()
	s.wall("A", "W", "30", "10", "6in", "end", open("end"), grade("6", "6", CoverMembrane), func(w *Wall) { w.Drain = false })
	s.wall("B", "V", "30", "10", "6in", "end", open("end"), grade("6", "6", CoverNone), func(w *Wall) { w.Drain = true })
	require.Equal(t, "30", s.takeoff(t).driver("drain-length"))
}

// Hand-worked: 8' × 1'-6".
func TestParge(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "8", "10", "6in", "end", open("end"), func(w *Wall) { w.PargeHeight = ft(`1'-6"`) })
	out := s.takeoff(t)
	require.Equal(t, []string{"12", "12"}, []string{out.sum("W", "parge"), out.driver("parge-area")})
}

// Rolls are bought by level: two walls of 40' on one level are 80', two rolls; on two levels one roll each. Λ counts a
// run's repeats: 80' + 40' = 120' is two rolls, 120' + 40' = 160' three; 160' and 40'
// apart three and one.
func TestRollsByLevel(t *testing.T) {
	for _, c := range []struct {
		levels [2]string
		count  int
		want   string
	}{{[2]string{"G", "G"}, 1, "2"}, {[2]string{"G", "g"}, 1, "2"}, {[2]string{"G", "U"}, 1, "2"}, {[2]string{"G", "G"}, 2, "2"}, {[2]string{"G", "G"}, 3, "3"}, {[2]string{"G", "U"}, 4, "4"}} {
		s := newSite()
		for i, l := range c.levels {
			s.wall(fmt.Sprint(i), fmt.Sprint(i), "40", "10", "6in", "end", open("end"), grade(`2'-6"`, `2'-6"`, CoverMembrane), func(w *Wall) {
				w.Level = l
				if i == 0 {
					w.Count = c.count
				}
			})
		}
		out := s.takeoff(t)
		require.Equal(t, c.want, out.sum("", "membrane-roll"), "%v × %d", c.levels, c.count)
		for _, l := range out.Lines {
			if l.Item == "membrane-roll" {
				require.Empty(t, l.Wall)
				require.NotEmpty(t, l.Level)
			}
		}
	}
}

// Laws: the building seen in a mirror has the same quantities; a run of Count n is n runs; a straight wall in two rows,
// grade running on over both, keeps areas, lengths and rolls.
func TestBelowGradeLaws(t *testing.T) {
	drivers := []string{"membrane-area", "membrane-length", "primer-area", "coating-area", "board-area", "drain-length"}
	rapid.Check(t, func(t *rapid.T) {
		inch := func(name string, low, high int) length.Length {
			return length.Length(rapid.IntRange(low, high).Draw(t, name)) * length.Inch
		}
		cover := rapid.SampledFrom([]Cover{CoverMembrane, CoverBand, CoverCoating}).Draw(t, "cover")
		a, b := inch("first part", 12, 400), inch("second part", 12, 400)
		// Grade at the cut is whole: the slope is whole 64ths an inch.
		slope := rapid.Int64Range(-8, 8).Draw(t, "slope")
		start := length.Length(rapid.Int64Range(0, 64*96).Draw(t, "grade")) * length.Inch64
		at := func(x length.Length) length.Length { return start + length.Length(slope)*length.Inch64*(x/length.Inch) }
		if at(a+b) < 0 {
			t.Skip("grade below the base")
		}
		footing := rapid.Bool().Draw(t, "footing")
		n := rapid.IntRange(1, 4).Draw(t, "count")
		build := func(mirror bool, count, runs int, parts ...length.Length) *Takeoff {
			s := newSite()
			var f *FootingMark
			if footing {
				f = s.footing("F", "2", "1", true)
			}
			for r := range runs {
				x := length.Length(0)
				for i, part := range parts {
					turn := "straight"
					if i == len(parts)-1 {
						turn = "end"
					}
					g0, g1 := at(x), at(x+part)
					if mirror {
						g0, g1 = g1, g0
					}
					w := s.wall(fmt.Sprint(r), fmt.Sprint(r, i), "1", "40", "6in", turn, func(w *Wall) {
						w.Length, w.Footing, w.BelowGrade, w.BelowGradeEnd, w.Cover, w.Drain = part, f, g0, g1, cover, true
					})
					if i == 0 {
						open("end")(w)
						w.Count = count
					}
					x += part
				}
			}
			return s.takeoff(t)
		}
		same := func(x, y *Takeoff) {
			for _, d := range drivers {
				require.Equal(t, x.driver(d), y.driver(d), d)
			}
			for _, item := range []string{"membrane-roll", "board-roll"} {
				require.Equal(t, x.sum("", item), y.sum("", item), item)
			}
		}
		plain := build(false, 1, 1, a+b)
		same(plain, build(true, 1, 1, a+b))
		same(plain, build(false, 1, 1, a, b))
		same(build(false, n, 1, a, b), build(false, 1, n, a, b))
	})
}
