package takeoff

import (
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// cubicFeet is a wall's concrete of a rule in cubic feet, to 6 decimals.
func (t *Takeoff) cubicFeet(wall, rule string) string {
	sum := exact.Num{}
	for _, l := range t.Lines {
		if l.Wall == wall && l.Rule == rule && strings.HasPrefix(l.Item, "concrete-") {
			sum = sum.Add(exact.Dec(l.Quantity).Times(27))
		}
	}
	return trimDecimal(sum.Round(6))
}

// Concrete, footings and their boards of the two worked jobs, worked independently of the program in exact fractions.
func TestConcreteOfWorkedJobs(t *testing.T) {
	for _, c := range []struct {
		name    string
		site    *site
		core    map[string]string // R-CORE, cuft
		foot    map[string]string // R-FOOT, cuft
		boards  map[string]string // ft
		drivers map[string]string
	}{
		{"annex", annex(),
			map[string]string{"K1": "18.012563", "K2": "11.637563", "P": "94.388889", "Q": "119.722222", "R": "80", "T": "39.333333", "U": "99.722222", "X": "145.055556", "Y1": "94", "Y2": "100"},
			map[string]string{"K1": "19.653546", "K2": "15.278546", "P": "37.067708", "Q": "24.692708", "R": "16.5", "T": "11", "U": "20.567708", "X": "35.692708"},
			map[string]string{"K1": "16.845896", "K2": "15.42923", "P": "53.916667", "T": "16"},
			map[string]string{"wall-area": "1560", "form-area": "1357", "footing-length": "120.80423"}},
		{"store", store(),
			map[string]string{"E": "71.71875", "N": "120.46875", "S": "110.46875", "W": "76.71875"},
			map[string]string{"E": "28.130208", "N": "44.171875", "S": "44.171875", "W": "28.130208"},
			map[string]string{"E": "40.916667", "N": "64.25"},
			map[string]string{"wall-area": "815", "form-area": "785", "footing-length": "105.166667"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			out := c.site.takeoff(t)
			for wall, want := range c.core {
				near(t, want, out.cubicFeet(wall, "R-CORE"), wall)
			}
			for wall, want := range c.foot {
				near(t, want, out.cubicFeet(wall, "R-FOOT"), wall)
			}
			for wall, want := range c.boards {
				near(t, want, out.sum(wall, "footing-board"), wall)
			}
			for name, want := range c.drivers {
				near(t, want, out.driver(name), name)
			}
		})
	}
}

// near compares to 6 decimals, as the figures are given.
func near(t require.TestingT, want, have, what string) {
	w, h := decimal.RequireFromString(want), decimal.RequireFromString(have)
	require.Equal(t, w.Round(5).String(), h.Round(5).String(), what)
}

// freeWall is a wall that stands alone, without a footing.
func freeWall(long, high, core string, change ...func(*Wall)) *site {
	s := newSite()
	s.job.Forms = append(s.job.Forms, formRow("12in", `3'-6"`, `2'-3"`, `2'-8"`, `1'-8"`))
	s.wall("A", "W", long, high, core, "end", append(change, open("end"))...)
	return s
}

// Published volume examples that a schedule can express.
func TestPublishedVolumes(t *testing.T) {
	// An engineering forum's wall: 40 ft × 12 in × 10 ft, 14.8 cu yd (exact 14.815).
	out := freeWall("40", "10", "12in").takeoff(t)
	require.Equal(t, "14.814814815", out.sum("W", "concrete-wall"))

	// US Army EN5466, retaining wall 75 ft long, its trapezoid's mean 10 in by 14 ft 9 in: 1,720.6 cu ft with 8 in taken as
	// 0.67 ft; exact 1,718.75 with the footing of 1.25 × 8.5 ft (796.875). The mean core stands for the trapezoid.
	s := freeWall("75", `14'-9"`, "10in")
	f := s.footing("F", `8'-6"`, `1'-3"`, false)
	s.job.Walls[0].Footing = f
	s.job.Walls[0].Length = ft("75")
	out = s.takeoff(t)
	require.Equal(t, "34.143518519", out.sum("W", "concrete-wall")) // 75·14.75·10/12/27
	// R-FOOT reaches past a free end by half its width less the form: 75 + 8.5 − 14.5/12.
	near(t, "32.383294", out.sum("W", "concrete-footing"), "footing") // 82.291667·8.5·1.25/27
}

// Published volume and order examples whose shape is not a wall schedule: the rule's own functions, R-FOOT, R-PAD's volume and
// R-POUR's order.
func TestPublishedVolumesByFunction(t *testing.T) {
	yards := func(v exact.Num) string { return trimDecimal(unit.CuYard.Of(v).Round(3)) }
	box := func(a, b, c string) exact.Num { return volume(ft(a), ft(b), ft(c)) }
	// Navy NAVEDTRA 14070: 20 × 32 ft building, foundation walls 8 in by 2 ft, footing 2 × 1 ft, slab 4 in. Exact
	// dimensions (the manual's 0.67 and 0.33 ft rounded): 528.59 cu ft, 21.535 cu yd with 10%; it calls 580.14 cu ft 21 cu yd.
	walls := box("32", `8"`, "2").Times(2).Add(box(`18'-8"`, `8"`, "2").Times(2))
	footings := box(`33'-4"`, "2", "1").Times(2).Add(box(`17'-4"`, "2", "1").Times(2))
	slab := box(`18'-8"`, `30'-8"`, `4"`)
	all := walls.Add(footings).Add(slab)
	require.Equal(t, "528.593", trimDecimal(unit.CuFoot.Of(all).Round(3)))
	require.Equal(t, "21.535", yards(all.Mul(exact.Frac(11, 10))))
	// Textbook grade beam 12 × 14 in × 20 ft, 8% waste: 0.86, 0.93 cu yd, "use 1".
	beam := box(`12"`, `14"`, "20")
	require.Equal(t, "0.864", yards(beam))
	require.Equal(t, "0.933", yards(beam.Mul(exact.Frac(108, 100))))
	require.Equal(t, "1", orderOf(t, "0.8641975309", "8", "1"))
	// Textbook continuous footing 119.33 ft × 30 in × 12 in, 7% waste: 12 cu yd.
	require.Equal(t, "12", orderOf(t, yards(exact.Frac(11933, 100).Mul(exact.Len(length.Foot)).Mul(exact.Len(ft(`30"`))).Mul(exact.Len(ft(`12"`)))), "7", "1"))
	// Textbook strip footings 110 × 3 × 1 + 131 × 2 × 1 ft, 1% waste: 21.926, 22.145 cu yd.
	strips := box("110", "3", "1").Add(box("131", "2", "1"))
	require.Equal(t, "21.926", yards(strips))
	require.Equal(t, "22.145", yards(strips.Mul(exact.Frac(101, 100))))
	// University lecture: foundation wall 1,200 ft × 2 ft × 8 in + 100 cu ft of footings, 63.26 cu yd with 8 in as 0.67 ft;
	// exact 62.963.
	found := box("1200", "2", `8"`).Add(box("100", "1", "1"))
	require.Equal(t, "62.963", yards(found))
	// Exam-study slab 9,000 sq ft × 5 in, 7% extra, 25 cu yd/h, 10 cu yd trucks: 139, about 150 cu yd, 15 trucks, 6 h, 24 min apart.
	pad := box("90", "100", `5"`)
	require.Equal(t, "138.889", yards(pad))
	require.Equal(t, "148.611", yards(pad.Mul(exact.Frac(107, 100))))
	// A course assignment's footing 75 ft × 24 in × 10 in, 10% waste, quarter-yard orders: 5.25 (computed).
	require.Equal(t, "5.25", orderOf(t, yards(box("75", `24"`, `10"`)), "10", "0.25"))
}

// orderOf is R-POUR's order of a volume in cubic yards with that waste in percent and step.
func orderOf(t *testing.T, volume, waste, step string) string {
	s := newSite()
	set := s.job.Settings
	pct, err := decimal.NewFromString(waste)
	require.NoError(t, err)
	set.Set(SetConcreteWaste, SettingValue{Num: exact.Dec(pct).Div(exact.Int(100))})
	set.Set(SetOrderStep, SettingValue{Num: exact.Dec(decimal.RequireFromString(step)).Mul(unit.CuYard.Base())})
	p := &pass{job: s.job, set: set, units: UnitsOf(length.FeetInches)}
	plan := PourPlan{WallConcrete: decimal.RequireFromString(volume)}
	p.orders(&plan)
	return plan.WallOrder.String()
}

// The slab above as trucks: 150 cu yd at 25 an hour are 15 loads of 10, 24 minutes apart, 6 hours.
func TestTrucksOfPublishedSlab(t *testing.T) {
	s := newSite()
	rate := decimal.NewFromInt(25)
	p := &pass{job: s.job, set: s.job.Settings, units: UnitsOf(length.FeetInches), out: &Takeoff{}, drivers: map[driverKey]exact.Num{}}
	plan := PourPlan{Pour: "S", Row: &PourRow{Rate: &rate, RateUnit: unit.CuYard}, WallOrder: decimal.NewFromInt(150), WallItem: "concrete-wall"}
	p.trucks(&plan, place{Pour: "S"})
	require.EqualValues(t, 15, plan.Trucks)
	require.Equal(t, "24", plan.MinutesBetweenTrucks.String())
	require.Equal(t, "6", trimDecimal(p.drivers[driverKey{"pour-hours", place{Pour: "S"}}].Round(6)))
	require.Empty(t, p.out.Lines, "no short load, no waiting: 24 min for 10 cu yd at 6 free minutes each")
}

// A rake by hand: 20 ft from 7'-6" to 12'-6", 6 in core: 20·10·0.5 = 100 cu ft. Split at 10 ft by a core change it is the same.
func TestRake(t *testing.T) {
	out := freeWall("20", `7'-6"`, "6in", rake(`12'-6"`)).takeoff(t)
	require.Equal(t, "100", out.cubicFeet("W", "R-CORE"))
	w := out.Geometry.Walls[0]
	// Under 10 ft: 20·10 − 20·2.5²/(2·5) = 187.5 sq ft; above it 12.5.
	sq := func(v exact.Num) string { return trimDecimal(unit.SqFoot.Of(v).Round(6)) }
	require.Equal(t, "187.5", sq(w.Area(w.Lo0, 0, ft("10"))))
	require.Equal(t, "12.5", sq(w.Area(w.Lo0, ft("10"), ft(`12'-6"`))))
}

// A core change flush outside: 30 × 20 ft, 10 in core to 4 ft, 6 in above, 8 ft high.
// Lower: T = 14.5 in, Lc = 30 − 14.5/12 = 28.791667; upper T = 10.5, Lc = 30 − 10.5/12 = 29.125.
// N: (28.791667·4·10 + 29.125·4·6)/12 = 95.972222 + 58.25.
// Flush inside the upper zone's face stands o = 4 in further in, c = 4 + 5.25 = 9.25 in: Lc = 30 − 2·9.25/12 = 28.458333.
func TestCoreChange(t *testing.T) {
	for inside, want := range map[bool]string{false: "154.222222", true: "152.888889"} {
		s := newSite()
		for _, w := range []struct{ mark, long string }{{"N", "30"}, {"E", "20"}, {"S", "30"}, {"W", "20"}} {
			s.wall("A", w.mark, w.long, "8", "10in", "corner", func(w *Wall) {
				w.FormsAbove, w.CoreAbove, w.CoreChange, w.FlushInside, w.PourAbove = s.form("6in"), ft(`6"`), ft("4"), inside, "2"
			})
		}
		out := s.takeoff(t)
		near(t, want, out.cubicFeet("N", "R-CORE"), "N")
		require.Equal(t, []string{"1", "2"}, []string{out.Pours[0].Pour, out.Pours[1].Pour})
	}
}

// A lower neighbour: N is 10 ft high, its neighbours 6 ft: above 6 ft its ends are free and its centreline is the whole 30 ft.
// (30 − 10.5/12)·6·0.5 + 30·4·0.5 = 87.375 + 60.
func TestAboveALowerNeighbour(t *testing.T) {
	s := newSite()
	for _, w := range []struct{ mark, long, high string }{{"N", "30", "10"}, {"E", "20", "6"}, {"S", "30", "6"}, {"W", "20", "6"}} {
		s.wall("A", w.mark, w.long, w.high, "6in", "corner")
	}
	out := s.takeoff(t)
	require.Equal(t, "147.375", out.cubicFeet("N", "R-CORE"))
	w := out.Geometry.Walls[0]
	require.False(t, w.FreeAt(1, ft(`5'-11"`)))
	require.True(t, w.FreeAt(1, ft("6")))
}

// A tee: 12 ft of 6 in core against a wall of 2 1/4 in foam; the concrete runs on through the foam: (12 + 2.25/12)·8·0.5 = 48.75.
func TestTeeGrowsByTheFoamMet(t *testing.T) {
	s := newSite()
	for _, w := range []struct{ mark, long string }{{"N", "30"}, {"E", "20"}, {"S", "30"}, {"W", "20"}} {
		s.wall("A", w.mark, w.long, "8", "8in", "corner")
	}
	s.wall("B", "T", "12", "8", "6in", "end", open("tee N"))
	out := s.takeoff(t)
	require.Equal(t, "48.75", out.cubicFeet("T", "R-CORE"))
	require.Equal(t, "1", out.driver("tees"))
	require.Equal(t, "4", out.driver("building-corners"))
}

// Dimensions to the core face: 29'-7 1/2" of core and 2 1/4 in of foam at each corner is 30'-0" of form.
func TestCoreFaceDimensions(t *testing.T) {
	s := newSite()
	s.job.CoreFace = true
	for _, w := range []struct{ mark, long string }{{"N", `29'-7 1/2"`}, {"E", `19'-7 1/2"`}, {"S", `29'-7 1/2"`}, {"W", `19'-7 1/2"`}} {
		s.wall("A", w.mark, w.long, "8", "6in", "corner")
	}
	out := s.takeoff(t)
	require.Equal(t, "100", out.driver("wall-length"))
}

// A brick ledge by hand: wall 30 ft with two exterior corners, ledge L of 5 in projection from the form face, 8 in face and
// 6 in taper, top at 4 ft, 2 1/4 in foam: p = 7.25 in, d = 3.625 − 2.25 = 1.375 in a corner end, so
// 30 + 2.75/12 = 30.229167 ft; section 7.25·(8 + 3)/144 = 0.553819 sq ft; 16.7415 cu ft.
func TestLedge(t *testing.T) {
	s := newSite()
	for _, w := range []struct{ mark, long string }{{"N", "30"}, {"E", "20"}, {"S", "30"}, {"W", "20"}} {
		s.wall("A", w.mark, w.long, "8", "6in", "corner")
	}
	s.job.Walls[0].Ledge, s.job.Walls[0].LedgeTop = &LedgeMark{Mark: "L", Projection: ft(`5"`), FaceDepth: ft(`8"`), Taper: ft(`6"`)}, ft("4")
	out := s.takeoff(t)
	near(t, "16.7415", out.cubicFeet("N", "R-LEDGE"), "N")
	near(t, "30.229167", out.driver("ledge-length"), "length")
}

// A footing step: bases 2 ft apart, 1'-10" × 9" footing: 1.833·0.75·2 = 2.75 cu ft on the wall that ends; 2 ft is no multiple
// of the 15 in course.
func TestFootingStep(t *testing.T) {
	s := newSite()
	f := s.footing("S1", `1'-10"`, `9"`, true)
	s.wall("A", "W1", "20", "10", "6in", "straight", open("end"), func(w *Wall) { w.Footing = f })
	s.wall("A", "W2", "20", "8", "6in", "end", func(w *Wall) { w.Footing, w.Base = f, ft("2") })
	out := s.takeoff(t)
	require.Equal(t, "2.75", out.cubicFeet("W1", "R-STEP"))
	require.Equal(t, "0", out.cubicFeet("W2", "R-STEP"))
	require.Equal(t, "1", out.sum("W1", "footing-step"))
	require.Contains(t, said(out, Warning), "no multiple")
}

// said is the texts of the findings of a severity.
func said(t *Takeoff, s Severity) string {
	var out []string
	for _, f := range t.Findings {
		if f.Severity == s {
			out = append(out, f.At.String()+" "+f.Text())
		}
	}
	return strings.Join(out, "\n")
}

// Closure: N 2 in too long; the run misses by 2 in east and shortening N or lengthening S closes it.
func TestClosureNamesTheWalls(t *testing.T) {
	s := newSite()
	for _, w := range []struct{ mark, long string }{{"N", `30'-2"`}, {"E", "20"}, {"S", "30"}, {"W", "20"}} {
		s.wall("A", w.mark, w.long, "8", "6in", "corner")
	}
	text := said(s.takeoff(t), Warning)
	require.Contains(t, text, `2" east and 0" north`)
	require.Contains(t, text, `N (30'-0") or S (30'-2")`)

	// The same rows backwards go counterclockwise: every corner is an inside one.
	s = newSite()
	for _, w := range []string{"N", "W", "S", "E"} {
		s.wall("A", w, "20", "8", "6in", "inside")
	}
	require.Contains(t, said(Compute(s.job).out(), Warning), "counterclockwise")
}

func (t *Takeoff) out() *Takeoff { return t }

// A closed run's concrete equals its polygon's: the core's ring has area perimeter of its centreline times the core, and by
// the shoelace formula the outer core polygon less the inner one.
func TestClosedRunEqualsPolygon(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		// A U-shaped, L-shaped or plain rectangle by notches: sides of a rectilinear polygon from four numbers.
		a := rapid.Int64Range(20*64*12, 60*64*12).Draw(rt, "a")
		b := rapid.Int64Range(20*64*12, 60*64*12).Draw(rt, "b")
		c := rapid.Int64Range(6*64*12, 10*64*12).Draw(rt, "c")
		d := rapid.Int64Range(6*64*12, 10*64*12).Draw(rt, "d")
		core := rapid.SampledFrom([]string{"6in", "8in", "10in"}).Draw(rt, "core")
		s := newSite()
		l := func(n int64) string { return (length.Length(n) * length.Inch64).FtIn() }
		// L-shape: a east, b−d south, c west… the notch at the south-east corner.
		for i, w := range []struct {
			long int64
			turn string
		}{{a, "corner"}, {b - d, "corner"}, {c, "inside"}, {d, "corner"}, {a - c, "corner"}, {b, "corner"}} {
			s.wall("A", string(rune('A'+i)), l(w.long), "8", core, w.turn)
		}
		out := s.takeoff(rt)
		f := s.form(core)
		foam, in := exact.Len(f.Foam), exact.Len(f.Core)
		// Offsetting an L-shape inward by t shortens both sides of its bounding box by 2t and keeps the notch's.
		area := func(t exact.Num) exact.Num {
			two := t.Times(2)
			box := exact.Int(a).Mul(exact.Len(length.Inch64)).Sub(two).Mul(exact.Int(b).Mul(exact.Len(length.Inch64)).Sub(two))
			notch := exact.Int(c).Mul(exact.Len(length.Inch64)).Mul(exact.Int(d).Mul(exact.Len(length.Inch64)))
			return box.Sub(notch)
		}
		ring := area(foam).Sub(area(foam.Add(in)))
		want := unit.CuYard.Of(ring.Mul(exact.Len(ft("8"))))
		have := exact.Num{}
		for _, line := range out.Lines {
			if line.Rule == "R-CORE" {
				have = have.Add(exact.Dec(line.Quantity))
			}
		}
		diff := want.Sub(have)
		require.LessOrEqual(rt, exact.Max(diff, diff.Neg()).Cmp(exact.Frac(4, 1_000_000_000)), 0, "want %s have %s", want.Round(9), have.Round(9))
		require.Zero(rt, out.Geometry.Runs[0].East)
		require.Zero(rt, out.Geometry.Runs[0].North)
	})
}

// Openings: past the end, past the top, overlapping; unplaced ones stand with equal gaps in the longest free stretch.
func TestOpeningsInPlace(t *testing.T) {
	s := freeWall("20", "8", "6in")
	s.opening("door", "W", "3", "7", "0", "2", 1)
	s.opening("win", "W", "2", "3", "3", "", 3)
	out := s.takeoff(t)
	// Free from 5 to 20: 15 less 6 leaves gaps of 2.25: 7.25, 11.5, 15.75.
	var at []string
	for _, h := range out.Geometry.Walls[0].Holes {
		at = append(at, trimDecimal(unit.Foot.Of(h.Start).Round(6)))
	}
	require.Equal(t, []string{"2", "7.25", "11.5", "15.75"}, at)

	for name, bad := range map[string]func(*site){
		"the wall is 20'-0\" long":      func(s *site) { s.opening("a", "W", "3", "7", "0", "18", 1) },
		"the wall's top is at 8'-0\"":   func(s *site) { s.opening("a", "W", "3", "7", "2", "4", 1) },
		"overlaps opening a":            func(s *site) { s.opening("a", "W", "3", "7", "0", "4", 1); s.opening("b", "W", "3", "3", "3", "6", 1) },
		"its longest free stretch is":   func(s *site) { s.opening("a", "W", "8", "7", "0", "", 3) },
		"shorter than its corners take": func(s *site) { s.wall("B", "X", `1'-0"`, "8", "6in", "corner", open("corner")) },
	} {
		s := freeWall("20", "8", "6in")
		bad(s)
		require.Contains(t, said(Compute(s.job), Error), name)
	}
}
