package drawing

import (
	"bytes"
	"encoding/xml"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

var update = flag.Bool("update", false, "write testdata/*.svg anew")

func byName(t *testing.T, sheets []*Sheet, name string) *Sheet {
	t.Helper()
	for _, s := range sheets {
		if s.Name == name {
			return s
		}
	}
	t.Fatalf("no drawing %s", name)
	return nil
}

func svg(t testing.TB, s *Sheet) string {
	t.Helper()
	var b strings.Builder
	require.NoError(t, s.SVG(&b))
	return b.String()
}

// The drawings of the cottage: a changed drawing shows as a changed file. Look at it before writing it anew.
func TestGolden(t *testing.T) {
	sheets := All(cottage().takeoff(t))
	for _, name := range []string{"plan-G", "plan-U", "elevation-P", "elevation-Y1", "elevation-D1", "elevation-K2"} {
		have := svg(t, byName(t, sheets, name))
		file := filepath.Join("testdata", "cottage-"+name+".svg")
		if *update {
			require.NoError(t, os.MkdirAll("testdata", 0o755))
			require.NoError(t, os.WriteFile(file, []byte(have), 0o644))
		}
		want, err := os.ReadFile(file)
		require.NoError(t, err, "write it with -update")
		a, b := strings.Split(string(want), "\n"), strings.Split(have, "\n")
		for i := range min(len(a), len(b)) {
			require.Equal(t, a[i], b[i], "%s line %d", name, i+1)
		}
		require.Len(t, b, len(a))
	}
}

// The same job is the same bytes in each format, drawn anew.
func TestSameBytes(t *testing.T) {
	made := time.Date(2026, 11, 25, 9, 30, 0, 0, time.UTC)
	draw := func() (files [][]byte) {
		sheets := All(cottage().takeoff(t))
		for _, s := range []*Sheet{sheets[0], sheets[len(sheets)-1]} {
			for _, f := range []func(io.Writer) error{s.PNG, s.SVG} {
				var b bytes.Buffer
				require.NoError(t, f(&b))
				files = append(files, b.Bytes())
			}
		}
		var b bytes.Buffer
		require.NoError(t, PDF(&b, "Cottage", made, sheets))
		require.True(t, bytes.HasPrefix(b.Bytes(), []byte("%PDF-")))
		require.Contains(t, b.String(), "/CreationDate (D:20261125093000)")
		require.Equal(t, len(sheets), len(regexp.MustCompile(`/Type /Page\b`).FindAll(b.Bytes(), -1)))
		return append(files, b.Bytes())
	}
	a, b := draw(), draw()
	for i := range a {
		assert.True(t, bytes.Equal(a[i], b[i]), "file %d", i)
	}
}

// A PNG has the size and the colours of its drawing: paper white, and the accent in its title's line.
func TestPNG(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, All(cottage().takeoff(t))[0].PNG(&b))
	m, err := png.Decode(&b)
	require.NoError(t, err)
	require.Equal(t, image.Rect(0, 0, 1920, 1248), m.Bounds())
	require.Equal(t, color.NRGBA{255, 255, 255, 255}, color.NRGBAModel.Convert(m.At(3, 3)))
	found := false
	for y := range 200 {
		found = found || color.NRGBAModel.Convert(m.At(960, y)) == blue
	}
	require.True(t, found, "the line under the title")
}

var xmlText = regexp.MustCompile(`<text[^>]*>([^<]*)</text>`)

// texts are what a drawing writes.
func texts(t *testing.T, s *Sheet) []string {
	var out []string
	for _, m := range xmlText.FindAllStringSubmatch(svg(t, s), -1) {
		out = append(out, strings.NewReplacer("&#39;", "'", "&#34;", `"`, "&amp;", "&", "&lt;", "<", "&gt;", ">").Replace(m[1]))
	}
	return out
}

func count(list []string, s string) int {
	n := 0
	for _, x := range list {
		if x == s {
			n++
		}
	}
	return n
}

// An elevation shows what was counted. Wall P by hand: 28 ft with an opening of 12 ft at 13 ft, so jambs of 13, 12 and 3 ft;
// 8 courses of 15 in; the pieces of the takeoff's courses stand in it by their lengths.
func TestElevationShowsTheTakeoff(t *testing.T) {
	take := cottage().takeoff(t)
	sheets := Elevations(take)
	p := texts(t, byName(t, sheets, "elevation-P"))
	for _, s := range []string{`28'-0"`, `13'-0"`, `12'-0"`, `3'-0"`, `10'-0"`, `9"`, "8", "1", "c", `12'-0" × 8'-0"`, "brace-set, 4", "#4 verticals", "#5 jamb bars"} {
		assert.Contains(t, p, s)
	}
	assert.NotContains(t, p, "9", "no ninth course")
	pieces := map[string]int{}
	for _, c := range take.Courses {
		if c.Wall != "D2" {
			continue
		}
		for _, s := range c.Segments {
			for _, u := range s.Fill {
				if !u.Whole {
					pieces[u.Length.FtIn()]++
				}
			}
		}
	}
	require.NotEmpty(t, pieces)
	d2 := texts(t, byName(t, sheets, "elevation-D2"))
	for l, n := range pieces {
		assert.GreaterOrEqual(t, count(d2, l), n, "pieces of %s", l)
	}
	// What the schedule does not give is said, not drawn.
	for _, s := range sheets {
		assert.NotEmpty(t, s.AltText)
		assert.Contains(t, s.AltText, s.Wall)
	}
}

// A wall of 62 m goes over two sheets at 1:200, each a half.
func TestLongWall(t *testing.T) {
	sheets := Elevations(metres().takeoff(t))
	a, b := texts(t, byName(t, sheets, "elevation-1-1")), texts(t, byName(t, sheets, "elevation-1-2"))
	assert.Contains(t, a, "Elevation of wall 1, 1 of 2")
	assert.Contains(t, a, "0 mm to 31 m of 62 m")
	assert.Contains(t, b, "31 m to 62 m of 62 m")
	assert.Contains(t, a, "Scale 1:200")
	// Six windows of 2 m with gaps of 6.257 m after a door that ends at 6.2 m: the third ends at 30.97 m, so that three stand
	// on each sheet, in two panels.
	assert.Equal(t, 6, count(a, "F"))
	assert.Equal(t, 6, count(b, "F"))
}

// Runs are placed by their tees. By hand: A runs from 0, 0 east; I begins at the tee on P, 12 ft along it, at P's inner face
// (form 12 1/2 in), and runs south, its left face at 12 ft; U's inner face is 27 ft − 12 1/2 in south: there I ends.
func TestRunsByTheirTees(t *testing.T) {
	g := cottage().takeoff(t).Geometry
	all := clusters(g)
	i1, k1 := g.ByMark["i1"], g.ByMark["k1"]
	c := all[0]
	require.Len(t, c.runs, 3)
	p := c.of(i1)
	require.NotNil(t, p)
	foot := float64(length.Foot)
	near := func(x, y float64, q xy) {
		t.Helper()
		assert.InDelta(t, x*foot, q.x, 2)
		assert.InDelta(t, y*foot, q.y, 2)
	}
	near(12, -12.5/12, p.where(i1, 0, 0))
	near(12, -27+12.5/12, p.where(i1, nm(i1.Length), 0))
	assert.InDelta(t, 0, c.gap(p, 1, g.ByMark["u"]), 2)
	// B stands against U: inside it would cross I, so it stands outside, at U's exterior face, 5 ft from U's start at 16, −27.
	near(11, -27, c.of(k1).where(k1, 0, 0))
	near(11, -36, c.of(k1).where(k1, nm(k1.Length), 0))
	// The others are clusters of their own.
	require.Len(t, all, 4)
}

// Mitres by hand at 90°: wall P with form 12 1/2 in begins on its inner face 12 1/2 in from its exterior corner.
func TestReach(t *testing.T) {
	g := cottage().takeoff(t).Geometry
	inch := float64(length.Inch)
	from, to := reach(g.ByMark["p"], innerFace)
	assert.InDelta(t, 12.5*inch, from, 1)
	assert.InDelta(t, 28*12*inch-12.5*inch, to, 1)
	// R ends in an inside corner: its inner face is longer there.
	from, to = reach(g.ByMark["r"], innerFace)
	assert.InDelta(t, 12.5*inch, from, 1)
	assert.InDelta(t, 12*12*inch+12.5*inch, to, 1)
}

// What does not close, does not reach, or has no place is said on the plan.
func TestPlanNotes(t *testing.T) {
	plan := byName(t, Plans(cottage().takeoff(t)), "plan-U")
	all := strings.Join(plan.Notes, "\n")
	assert.Contains(t, all, "Run D does not close: it misses by 1'-0\" along its first wall.")
	assert.Contains(t, all, "laid out side by side")
	assert.Contains(t, all, "No north is given")
	assert.Contains(t, texts(t, plan), `misses by 1'-0"`)
	assert.Contains(t, texts(t, plan), "open: corner or tee with a wall not named")

	s := newSite("short")
	for _, w := range [][2]string{{"N", "20"}, {"E", "10"}, {"S", "20"}, {"W", "10"}} {
		s.wall("A", w[0], w[1], "8", "6in", "corner")
	}
	s.wall("B", "X", "6", "8", "6in", "tee S", open("tee N"))
	notes := strings.Join(Plans(s.takeoff(t))[0].Notes, "\n")
	assert.Contains(t, notes, "Run B: its place along wall N is not given")
	// 10 ft less two forms of 10 1/2 in is 8'-3": a wall of 6 ft is 2'-3" short.
	assert.Contains(t, notes, `Run B does not reach wall S as placed: it is off by 2'-3".`)
}

// Groups of a page do not overlap, and none passes the page: for any number of runs of any size.
func TestGroupsStandApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := newSite("groups")
		for i := range rapid.IntRange(1, 30).Draw(t, "runs") {
			x := rapid.IntRange(4, 90).Draw(t, "x")
			y := rapid.IntRange(4, 90).Draw(t, "y")
			for k, l := range []int{x, y, x, y} {
				s.wall(fmt.Sprintf("R%d", i), fmt.Sprintf("W%d-%d", i, k), fmt.Sprint(l), "8", "6in", "corner")
			}
		}
		g, findings := takeoff.Trace(s.job)
		if takeoff.HasErrors(findings) {
			t.Fatal(findings)
		}
		groups := groupsOf(clusters(g), levelsOf(&takeoff.Takeoff{Job: s.job, Geometry: g})[0])
		sc := greatest(length.FeetInches, func(k float64) bool { return shelve(groups, k) == len(groups) })
		if shelve(groups, sc.k) != len(groups) {
			t.Fatal("not all placed")
		}
		centre(groups, sc.k)
		lo, hi := planArea()
		for i, a := range groups {
			boxA := area{a.at, a.at.add(a.hi.sub(a.lo).times(sc.k))}
			if boxA.lo.x < lo.x-1e-6 || boxA.lo.y < lo.y-1e-6 || boxA.hi.x > hi.x+1e-6 || boxA.hi.y > hi.y+1e-6 {
				t.Fatalf("group %d passes the page", i)
			}
			for _, b := range groups[:i] {
				if boxA.meets(area{b.at, b.at.add(b.hi.sub(b.lo).times(sc.k))}) {
					t.Fatalf("group %d stands on another", i)
				}
			}
		}
	})
}

// A level with more runs than one sheet holds goes on: every wall once.
func TestManyRuns(t *testing.T) {
	sheets := Plans(estate(1000).takeoff(t))
	seen := map[string]int{}
	for _, s := range sheets {
		for _, x := range texts(t, s) {
			if strings.HasPrefix(x, "W") {
				seen[x]++
			}
		}
	}
	require.Len(t, seen, 1000)
	for w, n := range seen {
		require.Equal(t, 1, n, w)
	}
	require.Equal(t, "plan-L0-1", sheets[0].Name)
}

// A hatch's lines lie in the figure, as far apart as its gap: their length times the gap is the figure's area.
func TestHatchFills(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.Float64Range(20, 200).Draw(t, "w"), rapid.Float64Range(20, 200).Draw(t, "h")
		angle := rapid.Float64Range(0, math.Pi).Draw(t, "angle")
		lines := hatchLines(box(0, 0, w, h), angle, 0.5)
		sum := 0.0
		for i := 0; i+1 < len(lines); i += 2 {
			for _, q := range lines[i : i+2] {
				if q.x < -1e-6 || q.x > w+1e-6 || q.y < -1e-6 || q.y > h+1e-6 {
					t.Fatalf("%v is outside", q)
				}
			}
			sum += lines[i+1].sub(lines[i]).len() * 0.5
		}
		if math.Abs(sum/(w*h)-1) > 0.05 {
			t.Fatalf("lines fill %.1f of %.1f", sum, w*h)
		}
	})
}

func TestClipped(t *testing.T) {
	// The unit square under its diagonal is half of it.
	half := clipped(box(0, 0, 1, 1), xy{1, 1}, xy{0, 0})
	sum := 0.0
	for i, q := range half {
		sum += cross(q, half[(i+1)%len(half)]) / 2
	}
	assert.InDelta(t, 0.5, math.Abs(sum), 1e-9)
	for _, q := range half {
		assert.GreaterOrEqual(t, q.x, q.y-1e-9)
	}
	assert.Empty(t, clipped(box(0, 0, 1, 1), xy{2, 1}, xy{2, 0}), "all on the right of a line that runs south at 2")
	assert.Len(t, clipped(box(0, 0, 1, 1), xy{2, 0}, xy{2, 1}), 4)
}

func TestMeet(t *testing.T) {
	turned := func(f []xy, by float64) []xy {
		var out []xy
		for _, q := range f {
			out = append(out, q.turned(by))
		}
		return out
	}
	assert.True(t, meet(box(0, 0, 2, 2), box(1, 1, 3, 3)))
	assert.False(t, meet(box(0, 0, 2, 2), box(2, 0, 3, 3)))
	// A thin bar at 45° passes a box that its upright rectangle covers.
	bar := turned(box(0, -0.1, 10, 0.1), math.Pi/4)
	assert.False(t, meet(bar, box(4, 0, 6, 2)))
	assert.True(t, meet(bar, box(4, 4, 6, 6)))
}

// Lengths on drawings: to 1/16 in, or the millimetre.
func TestShownLengths(t *testing.T) {
	third := length.Foot / 3 / 7 // 14.514 mm, 0.571 in: 9/16 is the nearest
	assert.Equal(t, `9/16"`, show(third, length.FeetInches))
	assert.Equal(t, "15 mm", show(third, length.Metric))
	assert.Equal(t, `24'-6 1/2"`, show(ft(`24'-6 1/2"`), length.FeetInches))
	assert.Equal(t, `-1'-4"`, show(-ft(`1'-4"`), length.FeetInches))
}

// Scales are what they say: 1/4 in a foot draws 4 ft as 72 points; 1:100 draws a metre as 28.35.
func TestScales(t *testing.T) {
	for _, s := range imperialScales {
		if s.name == `1/4" = 1'-0"` {
			assert.InDelta(t, 72, nm(4*length.Foot)*s.k, 1e-6)
		}
	}
	for _, s := range metricScales {
		if s.name == "1:100" {
			assert.InDelta(t, 28.346457, nm(length.Metre)*s.k, 1e-5)
		}
	}
	for _, all := range [][]scale{imperialScales, metricScales} {
		for i := 1; i < len(all); i++ {
			assert.Less(t, all[i].k, all[i-1].k)
		}
	}
}

// File names hold nothing that a system refuses, and two marks that differ in case or in such characters stay two files.
func TestFileNames(t *testing.T) {
	sheets := []*Sheet{{Name: "elevation-W1"}, {Name: "elevation-w1"}, {Name: "elevation-W/1"}, {Name: "elevation-W:1"}, {Name: "elevation-Стена"}, {Name: "elevation-../../x"}, {Name: "elevation-W."}}
	named(sheets)
	seen := map[string]bool{}
	for _, s := range sheets {
		assert.Regexp(t, `^[A-Za-z0-9._-]+$`, s.Name)
		assert.False(t, seen[strings.ToLower(s.Name)], s.Name)
		assert.NotContains(t, s.Name, "/")
		assert.False(t, strings.HasSuffix(s.Name, "."))
		seen[strings.ToLower(s.Name)] = true
	}
}

// A hostile mark is text in each format.
func TestMarksAreText(t *testing.T) {
	s := newSite(`<script>&"`)
	for i, l := range []string{"20", "10", "20", "10"} {
		s.wall("A", fmt.Sprintf(`<b>&"%d</text>`, i), l, "8", "6in", "corner")
	}
	sheets := All(s.takeoff(t))
	for _, d := range sheets {
		text := svg(t, d)
		assert.NotContains(t, text, "<b>")
		assert.NotContains(t, text, "<script")
		dec := xml.NewDecoder(strings.NewReader(text))
		for {
			if _, err := dec.Token(); err == io.EOF {
				break
			} else {
				require.NoError(t, err)
			}
		}
	}
	require.NoError(t, PDF(io.Discard, "x", time.Time{}, sheets))
}

// Text that wraps keeps every word, none wider than its room but a single word.
func TestWrapped(t *testing.T) {
	s := "The schedule does not say where the groups of runs stand to one another"
	lines := wrapped(s, false, 7, 90)
	assert.Equal(t, s, strings.Join(lines, " "))
	for _, l := range lines {
		assert.LessOrEqual(t, textWidth(l, false, 7), 90.0)
	}
	assert.Greater(t, len(lines), 2)
}

// Pours that follow one another differ in pattern and in colour.
func TestHatchesDiffer(t *testing.T) {
	for i := 1; i < len(hatches); i++ {
		a, b := hatches[i-1], hatches[i]
		assert.NotEqual(t, fmt.Sprint(a.angles, a.gap, a.dash), fmt.Sprint(b.angles, b.gap, b.dash))
		assert.NotEqual(t, a.colour, b.colour)
	}
	seen := map[string]bool{}
	for _, h := range hatches {
		k := fmt.Sprint(h)
		assert.False(t, seen[k])
		seen[k] = true
	}
}

// The first drawings are those of all, and what is left begins with the first wall not wholly shown.
func TestFirstElevations(t *testing.T) {
	take := estate(12).takeoff(t)
	all := Elevations(take)
	for _, most := range []int{1, 5, len(all), len(all) + 1} {
		some, left := FirstElevations(take, most)
		require.Len(t, some, min(most, len(all)))
		for i, s := range some {
			require.Equal(t, all[i].Title, s.Title)
			require.Equal(t, all[i].AltText, s.AltText)
		}
		if most < len(all) {
			require.Equal(t, all[most].Wall, left[0].Mark)
		} else {
			require.Empty(t, left)
		}
	}
}
