package takeoff

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// braces are a wall's braces: "item: positions".
func (t *Takeoff) braces(wall string) string {
	for _, b := range t.Braces {
		if b.Wall != wall {
			continue
		}
		s := b.Item + ":"
		for _, x := range b.Positions {
			s += " " + x.FtIn()
		}
		return s
	}
	return "none"
}

func (t *Takeoff) notes(rule string) []string {
	var out []string
	for _, f := range t.Findings {
		if f.Rule == rule {
			out = append(out, f.Severity.String()+" "+f.Text())
		}
	}
	return out
}

// Hand-worked, a free-standing wall (Li0 = length):
//   - 30': between the braces 2' from the ends 26' are left, ceil(26/6) = 5 spaces of 5'-2 13/32", here as 5.2'.
//     Two rows of planks ceil((30 − 1)/(10 − 1)) = 4; rails 2 × 30'.
//   - 28' with 3' from 12': solid 0–12 and 15–28: 12 − 2 − 1 = 9, 2 spaces: 2', 6'-6", 11'; 13 − 1 − 2 = 10, 2 spaces: 16', 21', 26'.
//   - 28' with 1'-11" from 12': narrower than 2', ignored: 24' in 4 spaces.
//   - 28' with 3' from 2'-6": the part 0–2'-6" is no longer than 2' + 1': one in its middle, 1'-3". 5'-6"–28': 19'-6" in 4 spaces of 4'-10 1/2".
//   - 28' with 3' from 7": the first part is under 8": none, with a note. 3'-7"–28': 21'-5" in 4 spaces of 5'-4 1/4".
//   - 28' with two openings that overlap in plan, 12'–15' low and 14'–17' high: one gap 12'–17': 2', 6'-6", 11' and 18', 22', 26'.
func TestBracesBesideOpenings(t *testing.T) {
	for _, c := range []struct {
		name     string
		openings [][2]string // width, at
		want     string
		notes    int
	}{
		{"one narrow", [][2]string{{`1'-11"`, "12"}}, `brace-set: 2'-0" 8'-0" 14'-0" 20'-0" 26'-0"`, 0},
		{"one wide", [][2]string{{"3", "12"}}, `brace-set: 2'-0" 6'-6" 11'-0" 16'-0" 21'-0" 26'-0"`, 0},
		{"short part", [][2]string{{"3", `2'-6"`}}, `brace-set: 1'-3" 6'-6" 11'-4 1/2" 16'-3" 21'-1 1/2" 26'-0"`, 0},
		{"too short a part", [][2]string{{"3", `7"`}}, `brace-set: 4'-7" 9'-11 1/4" 15'-3 1/2" 20'-7 3/4" 26'-0"`, 1},
		{"eight inches", [][2]string{{"3", `8"`}}, `brace-set: 4" 4'-8" 10'-0" 15'-4" 20'-8" 26'-0"`, 0},
		{"stacked", [][2]string{{"3", "12"}, {"3", "14"}}, `brace-set: 2'-0" 6'-6" 11'-0" 18'-0" 22'-0" 26'-0"`, 0},
		{"at the end", [][2]string{{"4", "0"}, {"4", "24"}}, `brace-set: 5'-0" 11'-0" 17'-0" 23'-0"`, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newSite()
			s.wall("A", "W", "28", "10", "6in", "end", open("end"))
			for i, o := range c.openings {
				s.opening("o", "W", o[0], "3", fmt.Sprint(4*i), o[1], 1)
			}
			out := s.takeoff(t)
			require.Equal(t, c.want, out.braces("W"))
			require.Len(t, out.notes("R-BRACE"), c.notes)
		})
	}
	s := newSite()
	s.wall("A", "W", "30", "10", "6in", "end", open("end"))
	out := s.takeoff(t)
	require.Equal(t, []string{"6", "8", "60"}, []string{out.sum("W", "brace-set"), out.sum("W", "plank"), out.sum("W", "rail")})
	require.Equal(t, "30", out.driver("walkway-length"))
	require.Equal(t, 5*length.Foot+5*length.Foot/25, out.Braces[0].Positions[1]-out.Braces[0].Positions[0])
	require.Equal(t, int64(6), out.Braces[0].RailPieces) // 2 rows of ceil(30/10), no lap
}

// At exterior corners the inner face is shorter: 30' less 10 1/2" at each end is 28'-3", 24'-3" in 5 spaces; an opening at 12'
// begins at 11'-1 1/2" on it.
func TestBracesStandOnTheInnerFace(t *testing.T) {
	s := newSite()
	for _, m := range []string{"N", "E", "S", "W"} {
		s.wall("A", m, "30", "10", "6in", "corner")
	}
	s.opening("o", "E", "4", "7", "0", "12", 1)
	out := s.takeoff(t)
	require.Equal(t, `brace-set: 2'-0" 6'-0 3/4" 10'-1 1/2" 16'-1 1/2" 21'-2 1/4" 26'-3"`, out.braces("E"))
	require.Equal(t, "6", out.sum("N", "brace-set"))
	require.Equal(t, "113", out.driver("walkway-length")) // 4 × 28'-3"
}

func TestWhatAWallTakesByItsHeight(t *testing.T) {
	for _, c := range []struct {
		high   string
		braced BracedChoice
		item   string
		rail   string
	}{
		{`4'-11"`, BracedByHeight, "kicker", "0"},
		{"5", BracedByHeight, "brace-set", "0"},
		{"6", BracedByHeight, "brace-set", "0"},
		{`6'-1"`, BracedByHeight, "brace-set", "32"},
		{"12", BracedByHeight, "brace-set", "32"},
		{`12'-1"`, BracedByHeight, "brace-tall", "32"},
		{"4", BracedYes, "brace-set", "0"},
		{"10", BracedKicker, "kicker", "0"},
		{"10", BracedNo, "", "0"},
	} {
		s := newSite()
		s.wall("A", "W", "16", c.high, "6in", "end", open("end"), func(w *Wall) { w.Braced = c.braced })
		out := s.takeoff(t)
		// 16': 12' in 2 spaces is 3 braces; kickers ceil(16/8) + 1 = 3.
		for _, item := range []string{"kicker", "brace-set", "brace-tall"} {
			want := "0"
			if item == c.item {
				want = "3"
			}
			require.Equal(t, want, out.sum("W", item), "%s high, %d: %s", c.high, c.braced, item)
		}
		require.Equal(t, c.rail, out.sum("W", "rail"), c.high)
		if c.item == "kicker" || c.item == "" {
			require.Equal(t, "0", out.sum("W", "plank"))
			require.Equal(t, "0", out.driver("brace-positions"))
		} else {
			require.Equal(t, "3", out.driver("brace-positions"))
		}
	}
}

// Hand-worked: rows of 7' and 7' in line are one stretch of 14': 10' in 2 spaces: 2', 7', 12'; 7' is exactly on the joint and
// belongs to the next row. Planks ceil((14 − 1)/9) = 2 a row of planks, starting at 0' and 9': one in each row. The greatest
// height, 13', makes all of them tall. Kickers on rows of 8' and 8': 0', 8', 16'.
func TestBracesOfRowsInLine(t *testing.T) {
	s := newSite()
	s.wall("A", "W1", "7", "8", "6in", "straight", open("end"))
	s.wall("A", "W2", "7", "8", "6in", "end", rake("13"))
	out := s.takeoff(t)
	require.Equal(t, `brace-tall: 2'-0"`, out.braces("W1"))
	require.Equal(t, `brace-tall: 0" 5'-0"`, out.braces("W2"))
	require.Equal(t, []string{"2", "2", "14", "14"}, []string{out.sum("W1", "plank"), out.sum("W2", "plank"), out.sum("W1", "rail"), out.sum("W2", "rail")})

	s = newSite()
	s.wall("A", "K1", "8", "4", "6in", "straight", open("end"))
	s.wall("A", "K2", "8", "4", "6in", "end")
	out = s.takeoff(t)
	require.Equal(t, `kicker: 0"`, out.braces("K1"))
	require.Equal(t, `kicker: 0" 8'-0"`, out.braces("K2"))
}

// Planks of 16' from their price row: ceil((30 − 1)/(16 − 1)) = 2 a row. A lap as long as the plank is refused.
func TestPlankLengthFromItsPrice(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "30", "10", "6in", "end", open("end"))
	s.job.PricesByItem["plank"] = []*PriceRow{{Item: "plank", Unit: unit.Week, Length: ft("16")}}
	require.Equal(t, "4", s.takeoff(t).sum("W", "plank"))
	s.set(SetPlankOverlap, "16")
	out := Compute(s.job)
	require.True(t, HasErrors(out.Findings))
	require.Contains(t, out.notes("R-BRACE")[0], `a plank of 16'-0" cannot be lapped by 16'-0"`)
}

// Laws: seen from the other side the same braces stand mirrored; a run of Count n is n runs; a wall split in two rows in
// line takes what the whole wall takes.
func TestBracingLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		inch := func(name string, low, high int) length.Length {
			return length.Length(rapid.IntRange(low, high).Draw(t, name)) * length.Inch
		}
		long := inch("length", 24, 900)
		high := inch("height", 36, 200)
		type opening struct{ at, width length.Length }
		var openings []opening
		for at := inch("first", 0, 60); ; {
			w := inch("width", 12, 120)
			if at+w > long {
				break
			}
			openings = append(openings, opening{at, w})
			at += w + inch("gap", 1, 200)
		}
		n := rapid.IntRange(1, 4).Draw(t, "count")
		build := func(mirror bool, count, runs int, split length.Length) *Takeoff {
			s := newSite()
			for r := range runs {
				run := fmt.Sprintf("R%d", r)
				size := func(l length.Length) func(*Wall) {
					return func(w *Wall) { w.Length, w.Height, w.HeightEnd = l, high, high }
				}
				turn, first := "end", long
				if split > 0 {
					turn, first = "straight", split
				}
				s.wall(run, run+"a", "1", "1", "6in", turn, open("end"), size(first), func(w *Wall) { w.Count = count })
				if split > 0 {
					s.wall(run, run+"b", "1", "1", "6in", "end", size(long-split))
				}
				for i, o := range openings {
					row := s.opening(fmt.Sprint(i), run+"a", "1", "2", "0", "0", 1)
					row.Width, row.Offset = o.width, o.at
					if mirror {
						row.Offset = long - o.at - o.width
					}
					if split > 0 && o.at >= split {
						row.Wall, row.Offset = run+"b", o.at-split
					}
				}
			}
			return s.takeoff(t)
		}
		items := []string{"kicker", "brace-set", "brace-tall", "plank"}
		// Feet of rail are compared before they are rounded to a line.
		rail := func(t *Takeoff) (long length.Length, pieces int64) {
			for _, b := range t.Braces {
				long += b.Rail
				pieces += b.RailPieces
			}
			return long, pieces
		}
		sameRail := func(a, b *Takeoff) {
			long, pieces := rail(a)
			long2, pieces2 := rail(b)
			require.Equal(t, long, long2)
			require.Equal(t, pieces, pieces2)
		}
		plain, mirrored := build(false, 1, 1, 0), build(true, 1, 1, 0)
		for _, item := range items {
			require.Equal(t, plain.sum("", item), mirrored.sum("", item), item)
		}
		p, m := plain.Braces[0].Positions, mirrored.Braces[0].Positions
		for i := range p {
			require.InDelta(t, int64(p[i]), int64(long-m[len(m)-1-i]), 1)
		}
		repeated, several := build(false, n, 1, 0), build(false, 1, n, 0)
		for _, item := range items {
			require.Equal(t, several.sum("", item), repeated.sum("", item), item)
		}
		sameRail(repeated, several)
		for _, d := range []string{"brace-positions", "walkway-length", "braces"} {
			require.Equal(t, several.driver(d), repeated.driver(d), d)
		}
		cut := inch("split", 12, int(long/length.Inch)-12)
		for _, o := range openings {
			if o.at < cut && cut < o.at+o.width {
				return
			}
		}
		halves := build(false, 1, 1, cut)
		for _, item := range items {
			require.Equal(t, plain.sum("", item), halves.sum("", item), item)
		}
		sameRail(plain, halves)
	})
}

// The part behind the window of a 20' wall that starts at a skewed inside corner is 10' long, whatever the nanometre that its
// face is rounded to: 10' − 1' − 2' = 7', one space of 7', two braces. The part before it is 7' and a little: 7' − 2' − 1' is
// one space too.
func TestBracesBehindASkewedCorner(t *testing.T) {
	for _, turn := range []string{"inside 30", "inside 45", "inside 60", "inside 50", "inside 40"} {
		for _, cores := range [][2]string{{"8in", "6in"}, {"6in", "6in"}, {"10in", "8in"}} {
			s := newSite()
			s.set(SetBraceSpacing, "7'")
			s.wall("A", "V", "20", "9", cores[0], turn, open("end"))
			s.wall("A", "W", "20", "9", cores[1], "end")
			s.opening("w", "W", "3", "4", "2", "7", 1)
			require.Equal(t, "4", s.takeoff(t).sum("W", ItemBraceSet), "%s %v", turn, cores)
		}
	}
}
