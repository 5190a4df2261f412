package drawing

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// ft reads a length as a schedule types it; a bare number is in feet.
func ft(text string) length.Length {
	l, err := length.Parse(text, length.Foot)
	if err != nil {
		panic(text + ": " + err.Error())
	}
	return l
}

// site builds the jobs that tests draw.
type site struct{ job *takeoff.Job }

func newSite(name string) *site {
	s := &site{&takeoff.Job{
		Name: name, Revision: "B", Currency: "USD", MinorDigits: 2, LengthsIn: takeoff.InFeet, Settings: takeoff.NewSettings(length.FeetInches), FormLine: "M",
		PricesByItem: map[string][]*takeoff.PriceRow{},
	}}
	for _, c := range [][5]string{{"6in", `3'-0"`, `1'-9"`, `2'-5"`, `1'-5"`}, {"8in", `3'-2"`, `1'-11"`, `2'-6"`, `1'-6"`}} {
		s.job.Forms = append(s.job.Forms, &takeoff.FormRow{
			Line: "M", CoreName: c[0], Core: ft(c[0]), Foam: ft(`2 1/4"`), UnitLength: ft(`4'-2"`), CourseHeight: ft(`1'-3"`), HalfCourse: ft(`7 1/2"`),
			CornerLong: ft(c[1]), CornerShort: ft(c[2]), AngleLong: ft(c[3]), AngleShort: ft(c[4]), SmallestPiece: ft(`7"`),
		})
	}
	return s
}

func (s *site) form(core string) *takeoff.FormRow {
	for _, f := range s.job.Forms {
		if f.CoreName == core {
			return f
		}
	}
	panic("no core " + core)
}

// turn reads "corner", "corner 45", "inside", "straight", "end", "tee P", "tee P at 12-6".
func turn(text string) takeoff.Turn {
	word, rest, _ := strings.Cut(text, " ")
	kinds := map[string]takeoff.TurnKind{"corner": takeoff.TurnCorner, "inside": takeoff.TurnInside, "straight": takeoff.TurnStraight, "end": takeoff.TurnEnd, "tee": takeoff.TurnTee}
	t := takeoff.Turn{Kind: kinds[word]}
	switch t.Kind {
	case takeoff.TurnTee:
		mark, at, has := strings.Cut(rest, " at ")
		t.TeeWall = mark
		if has {
			t.TeeAt, t.HasTee = ft(at), true
		}
	case takeoff.TurnCorner, takeoff.TurnInside:
		t.MilliDegrees = 90_000
		if rest != "" {
			t.MilliDegrees = exact.Dec(decimal.RequireFromString(rest)).Times(1000).Floor()
		}
	}
	return t
}

// wall adds a wall as a row gives it. A change may be open("end"), to begin an open run.
func (s *site) wall(run, mark, long, high, core, far string, change ...func(*takeoff.Wall)) *takeoff.Wall {
	w := &takeoff.Wall{
		At: takeoff.Ref{Tab: "Walls", Row: len(s.job.Walls) + 2}, Run: run, Mark: mark, Level: "G", Pour: "1", PourAbove: "1", Length: ft(long),
		Height: ft(high), HeightEnd: ft(high), FormLine: "M", Forms: s.form(core), Turn: turn(far), Count: 1,
	}
	w.Core = w.Forms.Core
	for _, c := range change {
		c(w)
	}
	s.job.Walls = append(s.job.Walls, w)
	return w
}

func open(start string) func(*takeoff.Wall) {
	return func(w *takeoff.Wall) { t := turn(start); w.Start = &t }
}

func on(level, pour string) func(*takeoff.Wall) {
	return func(w *takeoff.Wall) { w.Level, w.Pour, w.PourAbove = level, pour, pour }
}

func grade(start, end string, c takeoff.Cover) func(*takeoff.Wall) {
	return func(w *takeoff.Wall) {
		w.BelowGrade, w.BelowGradeEnd, w.Cover, w.Drain = ft(start), ft(end), c, c != takeoff.CoverNone
	}
}

func rake(end string) func(*takeoff.Wall) { return func(w *takeoff.Wall) { w.HeightEnd = ft(end) } }

func with(m *takeoff.BarMark, f *takeoff.FootingMark) func(*takeoff.Wall) {
	return func(w *takeoff.Wall) { w.Bars, w.Footing = m, f }
}

func (s *site) opening(mark, wall, wide, high, sill, at string, count int) *takeoff.Opening {
	o := &takeoff.Opening{At: takeoff.Ref{Tab: "Openings", Row: len(s.job.Openings) + 2}, Mark: mark, Wall: wall, Count: count, Width: ft(wide), Height: ft(high), Sill: ft(sill)}
	if at != "" {
		o.Place, o.Offset = takeoff.FromStart, ft(at)
	}
	s.job.Openings = append(s.job.Openings, o)
	return o
}

func (s *site) footing(mark, wide, deep string) *takeoff.FootingMark {
	f := &takeoff.FootingMark{Mark: mark, Width: ft(wide), Depth: ft(deep), CastWithWall: true, Along: takeoff.BarBySize("#4"), AlongBars: 2}
	s.job.Footings = append(s.job.Footings, f)
	return f
}

func (s *site) bars(mark string) *takeoff.BarMark {
	m := &takeoff.BarMark{
		Mark: mark, Layers: 1, Vertical: takeoff.BarBySize("#4"), VerticalSpacing: ft(`1'-6"`), Horizontal: takeoff.BarBySize("#4"), HorizontalSpacing: ft(`2'-6"`),
		TopWithin: ft(`12"`), BottomWithin: ft(`12"`), Cover: ft(`2"`), LapDiameters: decimal.NewFromInt(60), Dowel: takeoff.BarBySize("#4"),
		Jamb: takeoff.BarBySize("#5"), JambBars: 2, Lintel: takeoff.BarBySize("#5"), LintelTop: 1, LintelBottom: 2, LintelDepth: ft(`16"`), PastOpening: ft(`24"`),
		Stirrup: takeoff.BarBySize("#3"), StirrupSpacing: ft(`7"`), SillBars: 1,
	}
	s.job.Bars = append(s.job.Bars, m)
	return m
}

func (s *site) takeoff(t testing.TB) *takeoff.Takeoff {
	out := takeoff.Compute(s.job)
	for _, f := range out.Findings {
		require.NotEqual(t, takeoff.Error, f.Severity, f.At.String()+" "+f.Text())
	}
	return out
}

// cottage is a small house: a stepped outline with an inside corner, an interior run between two tees, a shed at an angle,
// openings, a ledge, a core change, a run that does not close, an upper level with a raked pair.
func cottage() *site {
	s := newSite("Cottage at the lane")
	f, m := s.footing("S1", `1'-10"`, `9"`), s.bars("V1")
	on2 := func(w *takeoff.Wall) { w.Level, w.Pour, w.PourAbove = "G", "2", "2" }
	s.wall("A", "P", "28", "10", "8in", "corner", with(m, f), grade("5", "1", takeoff.CoverMembrane))
	s.wall("A", "Q", "19", "10", "8in", "corner", with(m, f), grade("1", "1", takeoff.CoverCoating))
	s.wall("A", "R", "12", "10", "8in", "inside", with(m, f), on2)
	s.wall("A", "T", "8", "10", "8in", "corner", with(m, f), on2)
	s.wall("A", "U", "16", "10", "8in", "corner", with(m, f), on2)
	s.wall("A", "X", "27", "10", "8in", "corner", with(m, f), grade("0", "5", takeoff.CoverBand))
	s.wall("I", "I1", `24'-11"`, "10", "6in", "tee U at 4", open("tee P at 12"), with(m, nil))
	s.wall("B", "K1", "9", "4", "6in", "corner 45", open("tee U at 5"), on("G", "3"), with(nil, f))
	s.wall("B", "K2", "6", "4", "6in", "end", on("G", "3"), with(nil, f))
	s.wall("C", "Y1", "20", `7'-6"`, "6in", "straight", rake(`12'-6"`), on("U", "4"), open("end"), with(m, nil))
	s.wall("C", "Y2", "20", `12'-6"`, "6in", "end", rake(`7'-6"`), on("U", "4"), with(m, nil))
	s.wall("D", "D1", "20", "9", "8in", "corner", on("U", "5"), func(w *takeoff.Wall) {
		w.FormsAbove, w.CoreAbove, w.CoreChange = s.form("6in"), ft(`6"`), ft("5")
		w.Ledge = &takeoff.LedgeMark{Mark: "L1", Projection: ft(`4"`), FaceDepth: ft(`8"`), ReplacesCourse: true, UnitLength: ft("4")}
		w.LedgeTop = ft(`3'-9"`)
	})
	s.wall("D", "D2", "14", "9", "8in", "corner", on("U", "5"))
	s.wall("D", "D3", "19", "9", "8in", "corner", on("U", "6"))
	s.wall("D", "D4", "14", "9", "8in", "corner", on("U", "6"))
	s.wall("E", "E1", "10", "9", "6in", "corner", on("U", "6"), open("corner"))
	s.wall("E", "E2", "8", "9", "6in", "tee", on("U", "6"))
	s.opening("a", "T", "3", "7", "0", "2", 1)
	s.opening("b", "X", `3'-6"`, "4", "3", "", 3)
	s.opening("c", "P", "12", "8", "0", "13", 1)
	s.opening("d", "Y1", "4", "3", "6", "12", 1)
	return s
}

// metres is a small metric job with one wall of 62 m.
func metres() *site {
	s := newSite("Halle am Fluß")
	s.job.Report, s.job.LengthsIn, s.job.Settings = length.Metric, takeoff.InMetres, takeoff.NewSettings(length.Metric)
	f := &takeoff.FormRow{Line: "N", CoreName: "150mm", Core: ft("150 mm"), Foam: ft("60 mm"), UnitLength: ft("1.25 m"), CourseHeight: ft("400 mm"),
		CornerLong: ft("900 mm"), CornerShort: ft("500 mm"), SmallestPiece: ft("200 mm")}
	s.job.Forms = []*takeoff.FormRow{f}
	m := s.bars("B1")
	m.Vertical, m.Horizontal, m.Dowel = takeoff.BarBySize("12mm"), takeoff.BarBySize("10mm"), nil
	m.VerticalSpacing, m.HorizontalSpacing, m.Cover = ft("400 mm"), ft("500 mm"), ft("40 mm")
	m.Jamb, m.Lintel, m.Stirrup = nil, takeoff.BarBySize("16mm"), nil
	for _, w := range [][2]string{{"1", "62 m"}, {"2", "12.5 m"}, {"3", "62 m"}, {"4", "12.5 m"}} {
		s.wall("A", w[0], w[1], "3.2 m", "150mm", "corner", with(m, nil))
	}
	s.opening("T", "1", "1.2 m", "2.1 m", "0 m", "5 m", 1)
	s.opening("F", "1", "2 m", "1.2 m", "0.9 m", "", 6)
	return s
}

// TestShow writes every drawing of the sample jobs to the folder SHOW_DRAWINGS names, to be looked at.
func TestShow(t *testing.T) {
	dir := os.Getenv("SHOW_DRAWINGS")
	if dir == "" {
		t.Skip("SHOW_DRAWINGS names no folder")
	}
	for name, s := range map[string]*site{"cottage": cottage(), "metres": metres()} {
		sheets := All(s.takeoff(t))
		for _, d := range sheets {
			f, err := os.Create(filepath.Join(dir, fmt.Sprintf("%s-%s.png", name, d.Name)))
			require.NoError(t, err)
			require.NoError(t, d.PNG(f))
			require.NoError(t, f.Close())
		}
	}
}
