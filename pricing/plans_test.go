package pricing

import (
	"testing"

	"github.com/stretchr/testify/require"

	"wallbill/takeoff"
	"wallbill/takeoff/cutting"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

func pool(pour string, stock []length.Length, patterns ...[2]int64) takeoff.CutPool {
	c := takeoff.CutPool{Item: "bar-#4", Pour: pour, Bar: takeoff.BarBySize("#4")}
	for _, l := range stock {
		c.Problem.Stock = append(c.Problem.Stock, cutting.Stock{Length: int64(l), Price: 1})
	}
	for _, p := range patterns {
		c.Plan.Patterns = append(c.Plan.Patterns, cutting.Pattern{Stock: int(p[0]), Times: p[1]})
	}
	return c
}

// Hand-worked (P-BARS): pool A buys 10 of 20' and 3 of 30', pool B 5 of 20' in two patterns: 15 of 20', 3 of 30'. Row 20'
// in ea, waste 10%: 16.5, order 17 at 9. Row 30' by mass: 3 × 30 ft × 0.668 lb/ft = 60.12 lb at 0.80: 48.096, 48.10.
// Shares of 153: pour A 300 of 400 ft 114.75, B 38.25; of 48.10: 36.075, half up 36.08, and 12.025, 12.03.
func TestBarsByStockLength(t *testing.T) {
	s := newSite()
	s.line("R-VERT", "bar-#4", "300", unit.Foot, "L1/A")
	s.line("R-HORZ", "bar-#4", "100", unit.Foot, "L1/B")
	twenty, thirty := 20*length.Foot, 30*length.Foot
	s.t.Cuts = []takeoff.CutPool{
		pool("A", []length.Length{twenty, thirty}, [2]int64{0, 10}, [2]int64{1, 3}),
		pool("B", []length.Length{thirty, twenty}, [2]int64{1, 4}, [2]int64{1, 1}),
		{Item: "M-6in-block"},
	}
	s.row("bar-#4", "ea", "9", long(twenty), waste("0.1"))
	s.row("bar-#4", "lb", "0.80", long(thirty))
	s.row("Bar-#4", "ea", "30", long(40*length.Foot))
	b := s.price()
	quiet(t, b)
	require.Len(t, b.Items, 3)
	it := find(t, b, "bar-#4", "ea", twenty)
	same(t, "15", *it.Planned)
	require.Equal(t, "Cuts", it.PlanTab)
	same(t, "17", it.Order)
	same(t, "153", *it.Extension)
	same(t, "114.75", it.Pours[0].Amount)
	same(t, "38.25", it.Pours[1].Amount)
	it = find(t, b, "bar-#4", "lb", thirty)
	same(t, "60.12", it.Net)
	same(t, "48.10", *it.Extension)
	same(t, "36.08", it.Pours[0].Amount)
	same(t, "12.03", it.Pours[1].Amount)
	same(t, "0", find(t, b, "bar-#4", "ea", 40*length.Foot).Order)
	same(t, "201.10", b.Totals.Direct)
	// the rest stands under job, so that the column foots
	require.Equal(t, JobShare, b.Totals.ByPour[2].Name)
	same(t, "150.83", b.Totals.ByPour[0].Amount)
	same(t, "50.28", b.Totals.ByPour[1].Amount)
	same(t, "-0.01", b.Totals.ByPour[2].Amount)
}

// Hand-worked: a mass row without Length buys cut-and-bent steel: 1000 ft of #4 at 0.668 lb/ft and an extra of 32 lb is 700
// lb, 0.35 ton at 1500 is 525. Without the extra the net is a live sum with Times 0.000334.
func TestBarsByMass(t *testing.T) {
	s := newSite()
	s.line("R-VERT", "bar-#4", "1000", unit.Foot, "L1/A")
	s.row("bar-#4", "ton", "1500")
	it := find(t, s.price(), "bar-#4", "", 0)
	require.Nil(t, it.Planned)
	same(t, "0.000334", it.Times)
	same(t, "0.334", it.Net)
	same(t, "501", *it.Extension)
	s.line("R-EXTRA", "bar-#4", "32", unit.Pound, "/A")
	it = find(t, s.price(), "bar-#4", "", 0)
	same(t, "0.35", *it.Planned)
	same(t, "525", *it.Extension)
}

// A bent row takes the bent pieces: 12 + 8 counted, and 3 more by an extra; or 20 × 4 ft of them by mass.
func TestBentBars(t *testing.T) {
	bars := []takeoff.BarRow{
		{Bar: takeoff.BarBySize("#4"), Bent: true, Count: 12}, {Bar: takeoff.BarBySize("#4"), Bent: true, Count: 8},
		{Bar: takeoff.BarBySize("#4"), Count: 100}, {Bar: takeoff.BarBySize("#5"), Bent: true, Count: 50},
	}
	s := newSite()
	s.t.Bars = bars
	s.line("R-BEND", "bent-#4", "80", unit.Foot, "L1/A")
	s.line("R-EXTRA", "bent-#4", "3", unit.Each, "/")
	s.row("bent-#4", "ea", "6")
	b := s.price()
	quiet(t, b)
	it := find(t, b, "bent-#4", "", 0)
	same(t, "23", *it.Planned)
	require.Equal(t, "Bar list", it.PlanTab)

	s = newSite()
	s.t.Bars = bars
	s.line("R-BEND", "bent-#4", "80", unit.Foot, "L1/A")
	s.row("bent-#4", "lb", "2")
	it = find(t, s.price(), "bent-#4", "", 0)
	require.Nil(t, it.Planned)
	same(t, "53.44", it.Net)
}

func TestBarsThatNoPlanCovers(t *testing.T) {
	s := newSite()
	s.line("R-VERT", "bar-#4", "300", unit.Foot, "L1/A")
	s.row("bar-#4", "ea", "9", long(20*length.Foot))
	said(t, s.price(), takeoff.Error, "P-BARS", "no cut plan")

	s = newSite() // no row at all: feet without a price
	s.line("R-VERT", "bar-#4", "300", unit.Foot, "L1/A")
	b := s.price()
	same(t, "300", find(t, b, "bar-#4", "ft", 0).Net)
	require.False(t, b.Complete)

	s = newSite()
	s.line("R-FACTOR", "bar-#4", "300", unit.Foot, "L1/A")
	s.row("bar-#4", "ea", "9", long(20*length.Foot))
	said(t, s.price(), takeoff.Error, "P-BARS", "a Factor cannot add to it")
}

// Hand-worked (P-CONCRETE): orders 12.25 + 30.5 of walls, 8 of footings of the same mix: 50.75 cy, and an extra of 2 cy of
// no pour: 52.75. The extra in pour A is in A's order already. A Waste on the row is a note and not used. By pour: A 20.25,
// B 30.5 of 52.75: at 150 a cy 7912.50: 3037.50, 4575.00, the rest 300 under job.
func TestConcrete(t *testing.T) {
	s := newSite()
	for i, name := range []string{"A", "B"} {
		s.pour(name, "2025-06-01", "", "2025-06-10")
		s.job.Pours[i].Mix, s.job.Pours[i].FootingMix = "30MPa", []string{"30MPa", ""}[i]
	}
	s.line("R-CORE", "concrete-30MPa", "18", unit.CuYard, "L1/A")
	s.line("R-CORE", "concrete-30MPa", "27", unit.CuYard, "L2/B")
	s.line("R-EXTRA", "concrete-30MPa", "1", unit.CuYard, "/A")
	s.line("R-EXTRA", "concrete-30MPa", "2", unit.CuYard, "/")
	s.t.Pours = []takeoff.PourPlan{
		{Pour: "A", WallItem: "concrete-30MPa", WallOrder: dec("12.25"), FootingItem: "concrete-30MPa", FootingOrder: dec("8")},
		{Pour: "B", WallItem: "concrete-30MPa", WallOrder: dec("30.5"), FootingItem: "concrete-footing"},
	}
	s.row("concrete-30mpa", "cy", "150", waste("0.05"))
	b := s.price()
	require.Len(t, b.Items, 1)
	it := &b.Items[0]
	same(t, "52.75", *it.Planned)
	require.Equal(t, "Pour plan", it.PlanTab)
	same(t, "52.75", it.Order)
	require.True(t, it.Waste.IsZero())
	require.True(t, it.PoursByOrder)
	require.Equal(t, "Prices!K2", said(t, b, takeoff.Note, "P-ORDER", "Waste 5% is not used").At.String())
	same(t, "3037.5", b.Totals.ByPour[0].Amount)
	same(t, "4575", b.Totals.ByPour[1].Amount)
	same(t, "300", b.Totals.ByPour[2].Amount)
	same(t, "2967.19", b.Totals.ByLevel[0].Amount) // 18 of 48 cy of lines: 2967.1875

	s.job.PricesByItem["concrete-30mpa"][0].Unit = "sqft"
	f := said(t, s.price(), takeoff.Error, "P-UNIT", "concrete-30MPa is a volume; 'sqft' is an area")
	require.Equal(t, "Prices!B2", f.At.String())
}

// Hand-worked (P-FREIGHT): 176 blocks at 480 a load are 11/30 of one, shown as 0.37; 64 more make half a load, which is a part
// load still. From loads rounded to six places first, 0.366667, the room would hold 63 and no pack of 4 more than 60.
func TestFreightRoomIsExact(t *testing.T) {
	s := newSite()
	s.line("R-BLOCK", "block", "176", "ea", "")
	s.row("block", "ea", "20", by("Foam Yard"), perLoad("480"), pack("4"))
	s.row("freight-part-Foam-Yard", "ea", "200", by("Foam Yard"))
	said(t, s.price(), takeoff.Note, "P-FREIGHT", "0.37 loads; the last part load holds 36.7% of a truck; as much as 64 ea block more")
}

// Hand-worked (P-FREIGHT): 84 blocks at 40 a load and 30 boards at 100 a load are 2.1 + 0.3 = 2.4 loads: 3 full ones; with a
// part row 2 and a part (rest 0.4, at most 50%). In the room left, 0.1 of a truck: 4 blocks or 10 boards.
func TestFreight(t *testing.T) {
	build := func(part bool) *site {
		s := newSite()
		s.line("R-BLOCK", "block", "84", unit.Each, "L1/A")
		s.line("R-FACES", "board", "30", unit.Each, "L1/A")
		s.row("block", "ea", "20", by("Foam Yard"), perLoad("40"))
		s.row("board", "ea", "5", by("foam yard "), perLoad("100"))
		s.row("freight-Foam-Yard", "ea", "300", by("Foam Yard"))
		if part {
			s.row("freight-part-Foam-Yard", "ea", "200", by("Foam Yard"))
		}
		return s
	}
	b := build(false).price()
	same(t, "2.4", b.Freight[0].Loads)
	same(t, "3", find(t, b, "freight-foam-yard", "", 0).Order)
	require.Len(t, b.Items, 3)
	require.Equal(t, "freight-foam-yard", b.Items[2].Key)
	said(t, b, takeoff.Note, "P-FREIGHT", "holds 40% of a truck; as much as 24 ea block or 60 ea board more")

	b = build(true).price()
	same(t, "2", find(t, b, "freight-foam-yard", "", 0).Order)
	same(t, "1", find(t, b, "freight-part-foam-yard", "", 0).Order)
	said(t, b, takeoff.Note, "P-FREIGHT", "4 ea block or 10 ea board")
	same(t, "2630", b.Totals.Direct) // 1680 + 150 + 600 + 200

	s := build(true) // the rest above the part load's share
	s.set(takeoff.SetPartLoad, "0.39")
	b = s.price()
	same(t, "3", find(t, b, "freight-foam-yard", "", 0).Order)
	require.Len(t, b.Items, 3)
	require.True(t, b.Complete)

	s = newSite() // less than half a truck: a part load alone; whole loads have no row, which is no matter
	s.line("R-BLOCK", "block", "10", unit.Each, "L1/A")
	s.row("block", "ea", "20", by("Yard"), perLoad("40"))
	s.row("freight-part-yard", "ea", "200", by("Yard"))
	b = s.price()
	require.Len(t, b.Items, 2)
	require.True(t, b.Complete)

	s = newSite() // no row for freight: never silent
	s.line("R-BLOCK", "block", "10", unit.Each, "L1/A")
	s.row("block", "ea", "20", perLoad("40"))
	b = s.price()
	require.False(t, b.Complete)
	said(t, b, takeoff.Warning, "P-MISSING", "freight-no-supplier")
}

// A mass row without Length buys cut and bent, whatever lengths stand beside it; they are said to be unused.
func TestBarsCutAndBentBesideStock(t *testing.T) {
	s := newSite()
	s.line("R-VERT", "bar-#4", "1000", unit.Foot, "L1/A")
	s.row("bar-#4", "ea", "9", long(20*length.Foot))
	s.row("bar-#4", "lb", "1")
	b := s.price()
	require.Len(t, b.Items, 1)
	same(t, "668", b.Items[0].Net)
	require.Equal(t, "Prices!A2", said(t, b, takeoff.Note, "P-BARS", "not used").At.String())
}

// Extras of concrete: one of another mix than its pour's joins no order and stands beside them, 11 + 3 = 14; one that takes
// a pour below zero is an error at its row; concrete that only an extra names is concrete: no waste.
func TestExtrasOfConcrete(t *testing.T) {
	s := newSite()
	s.pour("A", "2025-06-01", "", "2025-06-10")
	s.job.Pours[0].Mix = "30 MPa"
	s.line("R-CORE", "concrete-30-MPa", "10", unit.CuYard, "L1/A")
	s.line("R-EXTRA", "concrete-30-mpa", "1", unit.CuYard, "/A")
	s.line("R-EXTRA", "concrete-30-mpa", "3", unit.CuYard, "/B") // B has no mix: concrete-wall
	s.line("R-EXTRA", "concrete-wall", "-2", unit.CuYard, "/B")
	s.t.Pours = []takeoff.PourPlan{{Pour: "A", WallItem: "concrete-30-MPa", WallConcrete: dec("10.5"), WallOrder: dec("11"), FootingItem: "concrete-footing"},
		{Pour: "B", WallItem: "concrete-wall", WallConcrete: dec("-2"), FootingItem: "concrete-footing"}}
	s.row("concrete-30-mpa", "cy", "150")
	s.row("concrete-wall", "cy", "150")
	b := s.price()
	same(t, "14", find(t, b, "concrete-30-mpa", "", 0).Order)
	require.Equal(t, "Extras!A5", said(t, b, takeoff.Error, "P-NET", "pour B has -2 cy").At.String())

	s = newSite()
	s.line("R-EXTRA", "concrete-footing", "27", unit.CuFoot, "/")
	s.row("concrete-footing", "cy", "150", waste("0.1"))
	same(t, "1", find(t, s.price(), "concrete-footing", "", 0).Order)
}
