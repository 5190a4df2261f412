package takeoff

import (
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// ft reads a length as the schedule types it; a bare number is in feet.
func ft(text string) length.Length {
	l, err := length.Parse(text, length.Foot)
	if err != nil {
		panic(text + ": " + err.Error())
	}
	return l
}

// site builds small jobs for tests, with the catalogue's defaults.
type site struct {
	job *Job
}

func newSite() *site {
	s := &site{job: &Job{Name: "site", Currency: "USD", MinorDigits: 2, LengthsIn: InFeet, Settings: defaults(), FormLine: "M", PricesByItem: map[string][]*PriceRow{}}}
	s.job.Forms = []*FormRow{
		formRow("6in", `3'-0"`, `1'-9"`, `2'-5"`, `1'-5"`),
		formRow("8in", `3'-2"`, `1'-11"`, `2'-6"`, `1'-6"`),
		formRow("10in", `3'-4"`, `2'-1"`, `2'-7"`, `1'-7"`),
	}
	return s
}

func formRow(core, long, short, angleLong, angleShort string) *FormRow {
	return &FormRow{
		Line: "M", CoreName: core, Core: ft(core), Foam: ft(`2 1/4"`), UnitLength: ft(`4'-2"`), CourseHeight: ft(`1'-3"`),
		HalfCourse: ft(`7 1/2"`), CornerLong: ft(long), CornerShort: ft(short), AngleLong: ft(angleLong), AngleShort: ft(angleShort),
		SmallestPiece: ft(`7"`),
	}
}

// defaults are the catalogue's defaults of a job in feet.
func defaults() *Settings {
	s := &Settings{}
	for _, c := range Catalogue {
		v := SettingValue{Text: c.Default, Word: strings.ToLower(c.Default), Blank: c.Default == ""}
		number, _, _ := strings.Cut(c.Default, " ")
		d, err := decimal.NewFromString(strings.TrimSuffix(number, "%"))
		switch {
		case v.Blank:
		case c.Kind == KindLength:
			v.Len = ft(c.Default)
		case err != nil:
		case c.Kind == KindPercent:
			v.Num = exact.Dec(d).Div(exact.Int(100))
		case c.Kind == KindVolume:
			v.Num = exact.Dec(d).Mul(unit.CuYard.Base())
		case c.Kind == KindArea:
			v.Num = exact.Dec(d).Mul(unit.SqFoot.Base())
		case c.Kind == KindMinutesPerVolume:
			v.Num = exact.Dec(d).Div(unit.CuYard.Base())
		case c.Kind == KindRise:
			v.Num = exact.Dec(d).Mul(unit.Foot.Base())
		default:
			v.Num = exact.Dec(d)
		}
		s.Set(c.ID, v)
	}
	return s
}

// set changes a length setting.
func (s *site) set(id SettingID, text string) {
	v := s.job.Settings.Value(id)
	v.Typed, v.Text, v.Len = true, text, ft(text)
	s.job.Settings.Set(id, v)
}

// wall adds a wall as a row gives it: run, mark, length, height, core, turn ("corner", "corner 45", "inside", "straight",
// "end", "tee P"). A first row with a start makes the run open.
func (s *site) wall(run, mark, long, high, core, turn string, change ...func(*Wall)) *Wall {
	w := &Wall{
		At: Ref{Tab: "Walls", Row: len(s.job.Walls) + 2}, Run: run, Mark: mark, Level: "G", Pour: "1", PourAbove: "1",
		Length: ft(long), Height: ft(high), HeightEnd: ft(high), FormLine: "M", Forms: s.form(core), Turn: parseTurn(turn), Count: 1,
		Columns: map[string]int{"run": 1, "wall": 2, "length": 3, "height": 4, "below grade": 5, "below grade at end": 6, "floor ledger at": 7, "base": 8},
	}
	w.Core = w.Forms.Core
	for _, c := range change {
		c(w)
	}
	s.job.Walls = append(s.job.Walls, w)
	return w
}

func (s *site) form(core string) *FormRow {
	for _, f := range s.job.Forms {
		if f.CoreName == core {
			return f
		}
	}
	panic("no core " + core)
}

func parseTurn(text string) Turn {
	word, rest, _ := strings.Cut(text, " ")
	kinds := map[string]TurnKind{"corner": TurnCorner, "inside": TurnInside, "straight": TurnStraight, "end": TurnEnd, "tee": TurnTee}
	t := Turn{Kind: kinds[word]}
	if t.Kind == TurnTee {
		t.TeeWall = rest
		return t
	}
	if t.Kind == TurnCorner || t.Kind == TurnInside {
		t.MilliDegrees = 90_000
		if rest != "" {
			t.MilliDegrees = exact.Dec(decimal.RequireFromString(rest)).Times(1000).Floor()
		}
	}
	return t
}

// open makes a wall the first row of an open run.
func open(start string) func(*Wall) {
	return func(w *Wall) { t := parseTurn(start); w.Start = &t }
}

// grade gives a wall its finished grade at both ends and its cover.
func grade(start, end string, cover Cover) func(*Wall) {
	return func(w *Wall) {
		w.BelowGrade, w.BelowGradeEnd, w.Cover, w.Drain = ft(start), ft(end), cover, cover != CoverNone
	}
}

// rake gives a wall another height at its end.
func rake(end string) func(*Wall) { return func(w *Wall) { w.HeightEnd = ft(end) } }

// opening adds a row of Openings: at "" leaves it unplaced.
func (s *site) opening(mark, wall, wide, high, sill, at string, count int) *Opening {
	o := &Opening{
		At: Ref{Tab: "Openings", Row: len(s.job.Openings) + 2}, Mark: mark, Wall: wall, Count: count, Width: ft(wide), Height: ft(high), Sill: ft(sill),
		Columns: map[string]int{"width": 3, "height": 4, "at": 6},
	}
	if at != "" {
		o.Place, o.Offset = FromStart, ft(at)
	}
	s.job.Openings = append(s.job.Openings, o)
	return o
}

// footing adds a footing mark.
func (s *site) footing(mark, width, depth string, cast bool) *FootingMark {
	f := &FootingMark{Mark: mark, Width: ft(width), Depth: ft(depth), CastWithWall: cast}
	s.job.Footings = append(s.job.Footings, f)
	return f
}

// takeoff takes the job off and fails the test on an error among its findings or a derivation that does not work out.
func (s *site) takeoff(t require.TestingT) *Takeoff {
	out := Compute(s.job)
	for _, f := range out.Findings {
		require.NotEqual(t, Error, f.Severity, f.At.String()+" "+f.Text())
	}
	checkHow(t, out)
	return out
}

// sum is the total of an item's lines; wall "" takes all walls.
func (t *Takeoff) sum(wall, item string) string {
	total := decimal.Zero
	for _, l := range t.Lines {
		if l.Item == item && (wall == "" || l.Wall == wall) {
			total = total.Add(l.Quantity)
		}
	}
	return total.String()
}

// driver is a driver's total.
func (t *Takeoff) driver(name string) string {
	for _, d := range t.Drivers {
		if d.Name == name {
			return d.Quantity.String()
		}
	}
	return "no driver " + name
}

// annex is the job of a building of six raked-grade walls, a low annex and two raked walls.
func annex() *site {
	s := newSite()
	s1, s2 := s.footing("S1", `1'-10"`, `9"`, true), s.footing("S2", `2'-4"`, `1'-0"`, false)
	on := func(f *FootingMark) func(*Wall) { return func(w *Wall) { w.Footing = f } }
	pour := func(level, pour string) func(*Wall) {
		return func(w *Wall) { w.Level, w.Pour, w.PourAbove = level, pour, pour }
	}
	s.wall("A", "P", "28", "10", "8in", "corner", on(s1), grade("5", "1", CoverMembrane))
	s.wall("A", "Q", "19", "10", "8in", "corner", on(s1), grade("1", "1", CoverCoating))
	s.wall("A", "R", "12", "10", "8in", "inside", on(s1))
	s.wall("A", "T", "8", "10", "8in", "corner", on(s1))
	s.wall("A", "U", "16", "10", "8in", "corner", on(s1))
	s.wall("A", "X", "27", "10", "8in", "corner", on(s1), grade("0", "5", CoverBand))
	s.wall("B", "K1", "9", "4", "6in", "corner 45", on(s2), pour("G", "2"), open("tee P"))
	s.wall("B", "K2", "6", "4", "6in", "end", on(s2), pour("G", "2"))
	s.wall("C", "Y1", "20", `7'-6"`, "6in", "straight", rake(`12'-6"`), pour("U", "3"), open("end"))
	s.wall("C", "Y2", "20", `12'-6"`, "6in", "end", rake(`7'-6"`), pour("U", "3"))
	s.opening("a", "T", "3", "7", "0", "2", 1)
	s.opening("b", "X", `3'-6"`, "4", "3", "", 3)
	s.opening("c", "P", "16", "8", "0", "7", 1)
	s.opening("d", "Y1", "4", "3", "6", "12", 1)
	return s
}

// store is the job of one basement of four walls.
func store() *site {
	s := newSite()
	s1 := s.footing("S1", `1'-10"`, `9"`, true)
	for _, w := range []struct{ mark, long string }{{"N", "33"}, {"E", `21'-4"`}, {"S", "33"}, {"W", `21'-4"`}} {
		s.wall("A", w.mark, w.long, `7'-6"`, "6in", "corner", grade("6", "6", CoverMembrane), func(w *Wall) { w.Footing, w.Level = s1, "B" })
	}
	s.opening("D", "S", "3", `6'-8"`, "0", "5", 1)
	s.opening("G", "E", `2'-6"`, "2", "4", "", 2)
	return s
}

// The figures of two jobs worked independently of the program in exact fractions (computed here, by the rules' words).
func TestWorkedJobs(t *testing.T) {
	for _, c := range []struct {
		name    string
		site    *site
		drivers map[string]string
		lines   map[string]string // wall/item
	}{
		{"annex", annex(), map[string]string{
			"coating-area": "43.3", "drain-length": "78.479166667", "membrane-area": "154.7", "membrane-length": "55", "opening-perimeter": "108", "primer-area": "54.325",
		}, map[string]string{
			"/board-roll": "2", "/membrane-roll": "2", "K1/kicker": "3", "K2/kicker": "2", "P/braces": "4", "Q/braces": "4", "R/braces": "3", "T/braces": "3",
			"U/braces": "3", "X/braces": "8", "Y1/braces": "4", "Y2/braces": "4",
		}},
		{"store", store(), map[string]string{
			"drain-length": "116.5", "membrane-area": "706.333333333", "membrane-length": "108.666666667", "opening-perimeter": "34.333333333", "primer-area": "108.666666667",
		}, map[string]string{
			"/board-roll": "5", "/membrane-roll": "5", "E/braces": "6", "N/braces": "6", "S/braces": "7", "W/braces": "4",
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			out := c.site.takeoff(t)
			for name, want := range c.drivers {
				require.Equal(t, want, out.driver(name), name)
			}
			for key, want := range c.lines {
				wall, item, _ := strings.Cut(key, "/")
				if item == "braces" {
					set, tall := decimal.RequireFromString(out.sum(wall, "brace-set")), decimal.RequireFromString(out.sum(wall, "brace-tall"))
					require.Equal(t, want, set.Add(tall).String(), key)
					continue
				}
				require.Equal(t, want, out.sum(wall, item), key)
			}
		})
	}
}
