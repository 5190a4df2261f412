package takeoff

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// mark adds a row of Bars with the schedule's defaults.
func (s *site) mark(name string, change ...func(*BarMark)) *BarMark {
	m := &BarMark{
		At: Ref{Tab: "Bars", Row: len(s.job.Bars) + 2}, Mark: name, Layers: 1, TopWithin: ft(`12"`), BottomWithin: ft(`12"`), Cover: ft(`2"`),
		LapDiameters: decimal.NewFromInt(60), LintelDepth: ft(`16"`), PastOpening: ft(`24"`), Columns: map[string]int{"lap": 9, "horizontal spacing": 5},
	}
	for _, c := range change {
		c(m)
	}
	s.job.Bars = append(s.job.Bars, m)
	return m
}

// stock adds a Prices row of bars in pieces of a length.
func (s *site) stock(item, long, price string) *PriceRow {
	return s.price(&PriceRow{Item: item, Unit: unit.Each, Length: ft(long), Price: decimal.RequireFromString(price), Columns: map[string]int{"length": 6}})
}

func (s *site) price(r *PriceRow) *PriceRow {
	r.At = Ref{Tab: "Prices", Row: len(s.job.Prices) + 2}
	s.job.Prices = append(s.job.Prices, r)
	s.job.PricesByItem[ItemKey(r.Item)] = append(s.job.PricesByItem[ItemKey(r.Item)], r)
	return r
}

// barred gives a worked job its two Bars marks, V1 on every wall but those named, and its stock.
func barred(s *site, v2 ...string) *site {
	four, five := BarBySize("#4"), BarBySize("#5")
	m1 := s.mark("V1", func(m *BarMark) {
		m.Vertical, m.VerticalSpacing = four, ft(`1'-6"`)
		m.Horizontal, m.HorizontalSpacing = four, ft(`2'-6"`)
		m.Dowel, m.Jamb, m.JambBars = four, four, 2
		m.Lintel, m.LintelTop, m.LintelBottom, m.SillBars = five, 1, 2, 1
		m.Stirrup, m.StirrupSpacing = BarBySize("#3"), ft(`7"`)
	})
	m2 := s.mark("V2", func(m *BarMark) {
		m.Vertical, m.VerticalSpacing = five, ft(`1'-8"`)
		m.Horizontal, m.HorizontalBars = five, 4
		m.LapDiameters = decimal.NewFromInt(48)
		m.Dowel, m.Jamb, m.JambBars = five, five, 1
		m.Lintel, m.LintelBottom = five, 3
		m.ContinuesAbove = true
	})
	for _, w := range s.job.Walls {
		w.Bars = m1
		for _, name := range v2 {
			if w.Mark == name {
				w.Bars = m2
			}
		}
	}
	for _, o := range s.job.Openings {
		if o.Mark == "c" {
			o.Bars = m2
		}
	}
	for _, f := range s.job.Footings {
		switch f.Mark {
		case "S1":
			f.Along, f.AlongBars, f.Across, f.AcrossSpacing = four, 2, four, ft(`1'-8"`)
		case "S2":
			f.Along, f.AlongBars = five, 3
		}
	}
	for _, size := range []string{"#3", "#4", "#5"} {
		s.stock("bar-"+size, "20'", "10")
	}
	return s
}

// feet is the total of a wall's lines of a rule and item.
func (t *Takeoff) feet(wall, rule, item string) string {
	total := decimal.Zero
	for _, l := range t.Lines {
		if l.Wall == wall && l.Rule == rule && l.Item == item {
			total = total.Add(l.Quantity)
		}
	}
	return total.String()
}

// Every bar of the two worked jobs, worked independently of the program in exact fractions: feet by wall, rule and size,
// splices in.
func TestBarsOfWorkedJobs(t *testing.T) {
	for _, c := range []struct {
		name, mass string
		site       *site
		want       string
	}{
		{"annex", "2454.450432", barred(annex(), "R", "T", "U", "X", "K1", "K2"), `
			K1,R-BEND,bar-#5,39.333333 K1,R-DOWEL,bar-#5,28 K1,R-FTBAR,bar-#5,40.018845 K1,R-HORZ,bar-#5,35.275126 K1,R-VERT,bar-#5,44.333333
			K2,R-DOWEL,bar-#5,16 K2,R-FTBAR,bar-#5,19.643845 K2,R-HORZ,bar-#5,22.60846 K2,R-VERT,bar-#5,25.333333
			P,R-BEND,bar-#4,24.583333 P,R-DOWEL,bar-#4,25.083333 P,R-DOWEL,bar-#5,7.5 P,R-FTBAR,bar-#4,92.75 P,R-HORZ,bar-#4,71.958333
			P,R-JAMB,bar-#5,24.666667 P,R-LINTEL,bar-#5,60 P,R-VERT,bar-#4,87.166667
			Q,R-BEND,bar-#4,24.583333 Q,R-DOWEL,bar-#4,43 Q,R-FTBAR,bar-#4,61.75 Q,R-HORZ,bar-#4,89.791667 Q,R-VERT,bar-#4,118
			R,R-BEND,bar-#5,19.666667 R,R-DOWEL,bar-#5,30 R,R-FTBAR,bar-#4,43.833333 R,R-HORZ,bar-#5,48 R,R-VERT,bar-#5,98.666667
			T,R-BEND,bar-#5,19.666667 T,R-DOWEL,bar-#5,18.75 T,R-FTBAR,bar-#4,31.833333 T,R-HORZ,bar-#5,22 T,R-JAMB,bar-#5,24.666667
			T,R-LINTEL,bar-#5,21 T,R-VERT,bar-#5,47.333333
			U,R-BEND,bar-#5,19.666667 U,R-DOWEL,bar-#5,33.75 U,R-FTBAR,bar-#4,51.083333 U,R-HORZ,bar-#5,59.833333 U,R-VERT,bar-#5,111
			X,R-BEND,bar-#5,19.666667 X,R-DOWEL,bar-#5,82.5 X,R-FTBAR,bar-#4,86.416667 X,R-HORZ,bar-#5,85.833333 X,R-JAMB,bar-#5,74
			X,R-LINTEL,bar-#5,67.5 X,R-VERT,bar-#5,167
			Y1,R-HORZ,bar-#4,115.5 Y1,R-JAMB,bar-#4,43.333333 Y1,R-LINTEL,bar-#3,10.5 Y1,R-LINTEL,bar-#5,32 Y1,R-VERT,bar-#4,137.5
			Y2,R-HORZ,bar-#4,97.333333 Y2,R-VERT,bar-#4,135.166667`},
		{"store", "1264.168333", barred(store()), `
			E,R-BEND,bar-#4,19.666667 E,R-DOWEL,bar-#4,78.833333 E,R-FTBAR,bar-#4,74.416667 E,R-HORZ,bar-#4,83.666667 E,R-JAMB,bar-#4,58.666667
			E,R-LINTEL,bar-#3,15 E,R-LINTEL,bar-#5,52 E,R-VERT,bar-#4,93.333333
			N,R-BEND,bar-#4,19.666667 N,R-DOWEL,bar-#4,78.833333 N,R-FTBAR,bar-#4,107.083333 N,R-HORZ,bar-#4,138.5 N,R-VERT,bar-#4,161.333333
			S,R-BEND,bar-#4,19.666667 S,R-DOWEL,bar-#4,86 S,R-FTBAR,bar-#4,107.083333 S,R-HORZ,bar-#4,125.166667 S,R-JAMB,bar-#4,29.333333
			S,R-LINTEL,bar-#3,6 S,R-LINTEL,bar-#5,21 S,R-VERT,bar-#4,146.666667
			W,R-BEND,bar-#4,19.666667 W,R-DOWEL,bar-#4,50.166667 W,R-FTBAR,bar-#4,74.416667 W,R-HORZ,bar-#4,91.833333 W,R-VERT,bar-#4,102.666667`},
	} {
		t.Run(c.name, func(t *testing.T) {
			out := c.site.takeoff(t)
			named := map[string]bool{}
			for _, row := range strings.Fields(c.want) {
				f := strings.Split(row, ",")
				have := decimal.RequireFromString(out.feet(f[0], f[1], f[2]))
				assert.Equal(t, decimal.RequireFromString(f[3]).StringFixed(6), have.StringFixed(6), row)
				named[strings.Join(f[:3], ",")] = true
			}
			for _, l := range out.Lines {
				if strings.HasPrefix(l.Item, "bar-") {
					assert.True(t, named[l.Wall+","+l.Rule+","+l.Item], "%s %s of %s is not among the worked lines: %s", l.Rule, l.Item, l.Wall, l.How)
				}
			}
			assert.Equal(t, c.mass, decimal.RequireFromString(out.driver("bar-mass")).StringFixed(6))
			requireBarsAddUp(t, out)
		})
	}
}

// requireBarsAddUp proves that the bar list, the lines, the mass and the pools speak of the same bars: no shared corners, no
// extras, every size planned.
func requireBarsAddUp(t require.TestingT, out *Takeoff) {
	list, lines, pooled := map[string]length.Length{}, map[string]decimal.Decimal{}, map[string]length.Length{}
	mass, count := decimal.Zero, int64(0)
	for _, r := range out.Bars {
		list[r.Bar.Size] += r.Length * length.Length(r.Count)
		mass = mass.Add(r.Mass)
		count += r.Count
	}
	for _, l := range out.Lines {
		if size, ok := strings.CutPrefix(l.Item, "bar-"); ok {
			lines[size] = lines[size].Add(l.Quantity)
		}
	}
	for _, c := range out.Cuts {
		if c.Bar != nil {
			for _, x := range c.Problem.Pieces {
				pooled[c.Bar.Size] += length.Length(x.Length * x.Count)
			}
		}
	}
	for size, total := range list {
		agree(t, out.Units.Len("", total, "").Value.Quantity(), lines[size].String(), "feet of "+size)
		require.Equal(t, total, pooled[size], "pooled "+size)
	}
	agree(t, mass, out.driver("bar-mass"), "mass")
	require.Equal(t, out.driver("bars"), decimal.NewFromInt(count).String(), "bars")
}

// barList is the bar list of a wall and rule: count, size, length and shape of each row.
func (t *Takeoff) barList(wall, rule string) string {
	var rows []string
	for _, r := range t.Bars {
		if r.Wall != wall || r.Rule != rule {
			continue
		}
		s := fmt.Sprintf("%d %s %s", r.Count, r.Bar.Size, r.Length.Show(t.Units.System))
		if r.Shape != shapeStraight {
			s += " " + r.Shape
		}
		rows = append(rows, s)
	}
	return strings.Join(rows, ", ")
}

// vertical gives a mark its vertical bars, horizontal its horizontal ones.
func vertical(size, spacing string) func(*BarMark) {
	return func(m *BarMark) { m.Vertical, m.VerticalSpacing = BarBySize(size), ft(spacing) }
}

func horizontal(size, spacing string) func(*BarMark) {
	return func(m *BarMark) { m.Horizontal, m.HorizontalSpacing = BarBySize(size), ft(spacing) }
}

func with(m *BarMark) func(*Wall) { return func(w *Wall) { w.Bars = m } }

// barSite is any job the laws hold for: a building of four walls, a free wall, an in-line pair, openings, marks of all sorts.
// Every length is in whole inches.
func barSite(t *rapid.T) *site {
	s := newSite()
	inches := func(label string, from, to int) string {
		return fmt.Sprintf(`%d"`, rapid.IntRange(from, to).Draw(t, label))
	}
	size := func(label string) *Bar {
		return BarBySize(rapid.SampledFrom([]string{"#3", "#4", "#5", "#6"}).Draw(t, label))
	}
	mark := func(name string) *BarMark {
		return s.mark(name, vertical(size(name+" vertical").Size, inches("vertical spacing", 6, 60)), horizontal(size(name+" horizontal").Size, inches("horizontal spacing", 8, 60)), func(m *BarMark) {
			m.Layers = rapid.IntRange(1, 2).Draw(t, "layers")
			m.ContinuesAbove, m.RakeBar = rapid.Bool().Draw(t, "continues"), rapid.Bool().Draw(t, "rake bar")
			m.HorizontalBars = rapid.IntRange(0, 5).Draw(t, "horizontal bars")
			m.Dowel, m.Jamb, m.JambBars = size("dowel"), size("jamb"), rapid.IntRange(0, 2).Draw(t, "jamb bars")
			m.Lintel, m.LintelTop, m.LintelBottom, m.SillBars = size("lintel"), rapid.IntRange(0, 2).Draw(t, "top"), 2, rapid.IntRange(0, 1).Draw(t, "sill bars")
			m.Stirrup, m.StirrupSpacing = BarBySize("#3"), ft(`7"`)
		})
	}
	m1, m2 := mark("V1"), mark("V2")
	f := s.footing("S1", inches("footing", 14, 30), `9"`, true)
	f.Along, f.AlongBars, f.Across, f.AcrossSpacing = size("along"), 2, size("across"), ft(`20"`)
	on := func(m *BarMark) func(*Wall) { return func(w *Wall) { w.Bars, w.Footing = m, f } }
	long, wide, high := inches("long", 120, 480), inches("wide", 120, 480), inches("high", 96, 144)
	s.wall("A", "N", long, high, "6in", "corner", on(m1))
	s.wall("A", "E", wide, high, "8in", "corner", on(m2))
	s.wall("A", "S", long, high, "6in", "corner", on(m1))
	s.wall("A", "W", wide, high, "8in", "corner", on(m2))
	s.wall("B", "F", inches("free", 120, 480), inches("free height", 96, 144), "6in", "end", on(m1), rake(inches("free end height", 96, 144)), open("end"))
	for _, w := range []string{"N", "E", "F"} {
		if rapid.Bool().Draw(t, "opening in "+w) {
			s.opening("o"+w, w, "30\"", inches("opening height", 12, 60), inches("sill", 0, 36), inches("at", 12, 80), 1)
		}
	}
	return s
}

// The bar list, the lines, the mass and the cut pools speak of the same bars.
func TestBarsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := barSite(t)
		for _, b := range []string{"#3", "#4", "#5", "#6"} {
			s.stock("bar-"+b, "20'", "10")
		}
		requireBarsAddUp(t, s.takeoff(t))
	})
}

// barTotals are the feet by rule and item, to 6 decimals, and the bar drivers.
func barTotals(out *Takeoff) map[string]string {
	sums := map[string]decimal.Decimal{}
	for _, l := range out.Lines {
		if BarOfItem(l.Item) != nil {
			sums[l.Rule+" "+l.Item] = sums[l.Rule+" "+l.Item].Add(l.Quantity)
		}
	}
	totals := map[string]string{}
	for k, v := range sums {
		totals[k] = v.Round(6).String()
	}
	for _, d := range []string{"bar-mass", "bars", "bar-caps"} {
		totals[d] = decimal.RequireFromString(out.driver(d)).Round(5).String()
	}
	return totals
}

// agree compares sums of finished lines: each is rounded to 9 decimals.
func agree(t require.TestingT, want decimal.Decimal, have, what string) {
	gap := want.Sub(decimal.RequireFromString(have)).Abs()
	require.True(t, gap.LessThan(decimal.New(1, -4)), "%s: %s, not %s", what, have, want)
}

// A run with Count n has the bars of n such runs.
func TestBarsOfACountAreRepetition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := barSite(t)
		n := rapid.IntRange(2, 4).Draw(t, "count")
		once := barTotals(s.takeoff(t))
		s.job.Walls[0].Count, s.job.Walls[4].Count = n, n
		times := barTotals(s.takeoff(t))
		require.Len(t, times, len(once))
		for k, v := range once {
			agree(t, decimal.RequireFromString(v).Mul(decimal.NewFromInt(int64(n))), times[k], k)
		}
	})
}

// A free wall seen from its other end has the same bars.
func TestBarsMirrored(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := barSite(t)
		s.job.Walls = s.job.Walls[4:]
		s.job.Openings = slices.DeleteFunc(s.job.Openings, func(o *Opening) bool { return o.Wall != "F" })
		there := barTotals(s.takeoff(t))
		w := s.job.Walls[0]
		w.Height, w.HeightEnd = w.HeightEnd, w.Height
		for _, o := range s.job.Openings {
			o.Offset = w.Length - o.Offset - o.Width
		}
		back := barTotals(s.takeoff(t))
		require.Len(t, back, len(there))
		for k, v := range there {
			agree(t, decimal.RequireFromString(v), back[k], k)
		}
	})
}

// A wall in two rows in line has the level rows of the whole and one lap more each; nothing else of it changes where the
// spaces come out whole.
func TestHorizontalsOfASplitWall(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Int64Range(24, 240).Draw(t, "first"), rapid.Int64Range(24, 240).Draw(t, "second")
		rows := rapid.IntRange(1, 6).Draw(t, "rows")
		build := func(parts ...int64) *Takeoff {
			s := newSite()
			s.set(SetLongestBarPlaced, "80")
			m := s.mark("V1", horizontal("#4", "30\""), vertical("#4", "12\""), func(m *BarMark) { m.HorizontalBars = rows })
			for i, inches := range parts {
				change, turn := []func(*Wall){with(m)}, "straight"
				if i == 0 {
					change = append(change, open("end"))
				}
				if i == len(parts)-1 {
					turn = "end"
				}
				s.wall("A", fmt.Sprint("W", i), fmt.Sprintf(`%d"`, inches), "8", "6in", turn, change...)
			}
			return s.takeoff(t)
		}
		whole, split := build(a+b).total("R-HORZ"), build(a, b).total("R-HORZ")
		agree(t, whole.Add(decimal.RequireFromString("2.5").Mul(decimal.NewFromInt(int64(rows)))), split.String(), "rows")
		a, b = a/12*12, b/12*12
		agree(t, build(a+b).total("R-VERT"), build(a, b).total("R-VERT").String(), "verticals")
	})
}

// total is the quantity of a rule's lines.
func (t *Takeoff) total(rule string) decimal.Decimal {
	sum := decimal.Zero
	for _, l := range t.Lines {
		if l.Rule == rule {
			sum = sum.Add(l.Quantity)
		}
	}
	return sum
}

// Caps stand on dowels, and on the verticals of the top level only: 12' at 12 in with a free start are 13 positions; levels
// B at 0 and M at 9', listed top first.
func TestBarCaps(t *testing.T) {
	s := newSite()
	s.job.Levels = []*Level{{Name: "M", Order: 0, Base: ft("9")}, {Name: "B", Order: 1}}
	m := s.mark("V1", vertical("#4", `12"`), func(m *BarMark) { m.Dowel = BarBySize("#4") })
	f := s.footing("S1", `20"`, `10"`, false)
	s.wall("A", "low", "12", "9", "6in", "end", with(m), open("end"), func(w *Wall) { w.Level, w.Footing = "B", f })
	s.wall("B", "high", "12", "9", "6in", "end", with(m), open("end"), func(w *Wall) { w.Level, w.Base = "M", ft("9") })
	require.Equal(t, "26", s.takeoff(t).driver("bar-caps"))
}

// A mass that 64 and 128 bits hold is the exact one.
func TestQuickMass(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.SampledFrom(BarSizes).Draw(t, "bar")
		l, n := rapid.Int64Range(1, int64(ft("80"))).Draw(t, "length"), rapid.Int64Range(1, 1_000_000_000).Draw(t, "count")
		for _, u := range []unit.Unit{unit.Pound, unit.Kilo} {
			if quick, ok := quickMass(b, u, l, n); ok {
				require.Equal(t, u.Of(b.MassOf(exact.Len(length.Length(l)).Times(n))).Quantity().String(), quick.String())
			}
		}
	})
}
