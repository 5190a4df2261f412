package pricing

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// Hand-worked (P-NET, P-UNIT, P-ORDER, P-PRICE, P-EXT): blocks 40 + 32.5 = 72.5 ea, a quantity extra takes 2.5: 70. Waste
// 5%: 73.5; Pack 12: 73.5/12 = 6.125, raised 7, order 84. Price 20, from 60 18: 84 × 18 = 1512.
func TestItemFromLines(t *testing.T) {
	s := newSite()
	s.line("R-BLOCK", "M-6in-block", "40", unit.Each, "L1/A")
	s.line("R-CUT", "M-6in-block", "32.5", unit.Each, "L1/")
	s.line("R-EXTRA", "m-6IN-block", "-2.5", unit.Each, "/")
	s.row("M-6in-block", "ea", "20", waste("0.05"), pack("12"), breaks("60", "18"), by("Foam Yard"), group("03 11"))
	b := s.price()
	quiet(t, b)
	require.True(t, b.Complete)
	require.Len(t, b.Items, 1)
	it := &b.Items[0]
	require.Equal(t, "M-6in-block", it.Name)
	same(t, "70", it.Sum)
	same(t, "70", it.Net)
	same(t, "84", it.Order)
	same(t, "18", *it.Price)
	same(t, "1512.00", *it.Extension)
	require.Nil(t, it.Planned)
	require.Equal(t, []string{"0", "60", "999000000000000"}, []string{it.From[0].String(), it.From[1].String(), it.From[2].String()})
	require.Equal(t, []string{"20", "18", "18"}, []string{it.Prices[0].String(), it.Prices[1].String(), it.Prices[2].String()})
	require.Equal(t, "material", it.Kind)
	require.Equal(t, "03 11", it.Group)
}

// Outside values: 1 yd3 = 27 ft3 exactly; 1 ft = 0.3048 m; 1 yd3 = 0.764554857984 m3; 1 lb = 0.45359237 kg; 1 ft2 =
// 0.09290304 m2 (NIST SP 811 appendix B; a US Navy conversion table for the foot and the pound). Computed here: the
// products, to 9 decimals half up, and pieces of 16': 100/16 = 6.25.
func TestUnitFactors(t *testing.T) {
	for _, c := range []struct {
		q          string
		from, to   unit.Unit
		piece      length.Length
		size       string
		times, ovr string
		want       string
	}{
		{"100", "ft", "m", 0, "", "0.3048", "1", "30.48"},
		{"100", "m", "ft", 0, "", "1", "0.3048", "328.083989501"},
		{"100", "cuft", "cy", 0, "", "1", "27", "3.703703704"},
		{"10", "cy", "m3", 0, "", "0.764554857984", "1", "7.64554858"},
		{"10", "sqft", "m2", 0, "", "0.09290304", "1", "0.9290304"},
		{"2000", "lb", "ton", 0, "", "0.0005", "1", "1"},
		{"100", "lb", "kg", 0, "", "0.45359237", "1", "45.359237"},
		{"3", "roll", "ea", 0, "", "1", "1", "3"},
		{"100", "ft", "ea", 16 * length.Foot, "", "1", "16", "6.25"},
		{"100", "ft", "roll", 200 * length.Inch, "", "0.06", "1", "6"}, // 16'-8" is 50/3 ft
		{"100", "m", "ea", 2400 * length.Millimetre, "", "1", "2.4", "41.666666667"},
		// #4 is 0.668 lb/ft (ASTM A615/A615M nominal).
		{"1000", "ft", "lb", 0, "#4", "0.668", "1", "668"},
		{"1000", "ft", "ton", 0, "#4", "0.000334", "1", "0.334"},
		{"1000", "ft", "kg", 0, "#4", "0.30299970316", "1", "302.99970316"},
	} {
		times, over, ok := factor(c.from, c.to, c.piece, takeoff.BarBySize(c.size))
		require.True(t, ok, "%s to %s", c.from, c.to)
		same(t, c.times, times, c.from, c.to)
		same(t, c.ovr, over, c.from, c.to)
		same(t, c.want, convert(dec(c.q), times, over), c.from, c.to)
	}
	for _, c := range [][2]unit.Unit{{"cy", "sqft"}, {"bag", "roll"}, {"ft", "ea"}, {"ft", "lb"}, {"hr", "day"}} {
		_, _, ok := factor(c[0], c[1], 0, nil)
		require.False(t, ok, "%s to %s", c[0], c[1])
	}
}

func TestUnitErrorsAtThePriceRow(t *testing.T) {
	for _, c := range []struct {
		item       string
		from, to   unit.Unit
		words      string
		incomplete bool
	}{
		{"screed", "cy", "sqft", "screed is a volume; 'sqft' is an area", true},
		{"ties", "bag", "roll", "ties is counted by the bag; 'roll' is another pack", true},
		{"board", "ft", "ea", "board is a length; 'ea' is a count and needs a Length", true},
		{"labour", "hr", "day", "labour is a time; 'day' is a rental period", true},
	} {
		s := newSite()
		s.line("R-FACTOR", c.item, "5", c.from, "/")
		s.row(c.item, c.to, "2")
		b := s.price()
		f := said(t, b, takeoff.Error, "P-UNIT", c.words)
		require.Equal(t, "Prices!B2", f.At.String())
		require.False(t, b.Complete)
		require.Len(t, b.Findings, 1)
	}
}

// Hand-worked: 10 ft and an extra of 2 m (6.561679790 ft) of an item sold by the foot: 16.56167979 ft. An extra of 5 ea of
// the same, sold in pieces of 16': 10/16 + 5 = 5.625, order 6.
func TestLinesOfSeveralUnits(t *testing.T) {
	s := newSite()
	s.line("R-LEDGER", "ledger-board", "10", unit.Foot, "L1/A")
	s.line("R-EXTRA", "ledger-board", "2", unit.Metre, "L1/A")
	s.row("ledger-board", "ft", "1")
	it := find(t, s.price(), "ledger-board", "", 0)
	same(t, "16.56167979", *it.Planned)
	same(t, "16.56168", it.Order)
	require.True(t, it.Mixed)
	same(t, "16.56", it.Levels[0].Amount)

	s = newSite()
	s.line("R-LEDGER", "ledger-board", "10", unit.Foot, "L1/A")
	s.line("R-EXTRA", "ledger-board", "5", unit.Each, "/")
	s.row("ledger-board", "ea", "8", long(16*length.Foot))
	it = find(t, s.price(), "ledger-board", "", 0)
	same(t, "5.625", it.Net)
	same(t, "6", it.Order)
	same(t, "5.33", it.Levels[0].Amount) // 48 × 0.625/5.625

	s = newSite()
	s.line("R-LEDGER", "ledger-board", "10", unit.Foot, "L1/A")
	s.line("R-EXTRA", "ledger-board", "5", unit.Pound, "/")
	s.row("ledger-board", "ft", "8")
	f := said(t, s.price(), takeoff.Error, "P-UNIT", "ledger-board is a length; 'lb' is a mass")
	require.Equal(t, "Extras", f.At.Tab)

	// an extra that names no unit is in the price row's
	s = newSite()
	s.line("R-LEDGER", "ledger-board", "16", unit.Foot, "L1/A")
	s.line("R-EXTRA", "ledger-board", "5", "", "/")
	s.row("ledger-board", "ea", "8", long(16*length.Foot))
	b := s.price()
	quiet(t, b)
	same(t, "6", find(t, b, "ledger-board", "", 0).Net)

	// a pack name and pieces count alike
	s = newSite()
	s.line("R-FACTOR", "tape", "3", "roll", "L1/A")
	s.line("R-EXTRA", "tape", "2", unit.Each, "/")
	s.row("tape", "ea", "1")
	it = find(t, s.price(), "tape", "", 0)
	require.Nil(t, it.Planned)
	same(t, "5", it.Net)
	require.Equal(t, unit.Unit("roll"), it.TakeoffUnit)
}

// Hand-worked: 100 ft. Pieces of 12' at 15 (1.25 a foot) or of 16' at 20 (1.25) or 10' at 13 (1.30): equal, so the longest:
// 6.25 pieces, waste 10% 6.875, order 7.
func TestSeveralLengths(t *testing.T) {
	s := newSite()
	s.line("R-FORM-FOOT", "footing-board", "100", unit.Foot, "L1/A")
	s.row("footing-board", "ea", "15", long(12*length.Foot))
	s.row("footing-board", "ea", "20", long(16*length.Foot), waste("0.1"))
	s.row("footing-board", "ea", "13", long(10*length.Foot))
	b := s.price()
	quiet(t, b)
	require.Len(t, b.Items, 1)
	it := &b.Items[0]
	require.Equal(t, 16*length.Foot, it.Length)
	same(t, "1", it.Times)
	same(t, "16", it.Over)
	same(t, "6.25", it.Net)
	same(t, "7", it.Order)
	same(t, "140", *it.Extension)
	require.True(t, it.PlanKept)
}

// Hand-worked (P-ORDER): 8.4 at Pack 1.2 is 7 packs, not 8; 6.0000004 pieces are 6 (rounded to 6 decimals first),
// 6.0000006 are 7; without a Pack 12.3456784 ft are 12.345678.
func TestRaise(t *testing.T) {
	same(t, "8.4", raise(dec("8.4"), dec("0"), ptr("1.2")))
	same(t, "6", raise(dec("6.0000004"), dec("0"), &one))
	same(t, "7", raise(dec("6.0000006"), dec("0"), &one))
	same(t, "12.345678", raise(dec("12.3456784"), dec("0"), nil))
	same(t, "0", raise(dec("0"), dec("0.1"), ptr("12")))
	same(t, "37.5", raise(dec("33"), dec("0.1"), ptr("2.5"))) // 36.3/2.5 = 14.52, 15 packs
}

func TestRaiseLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		net := exact.Frac(rapid.Int64Range(0, 1e12).Draw(t, "net"), 1e6).Round(6)
		w := exact.Frac(rapid.Int64Range(0, 100).Draw(t, "waste"), 100).Round(2)
		p := exact.Frac(rapid.Int64Range(1, 5000).Draw(t, "pack"), 100).Round(2)
		order := raise(net, w, &p)
		gross := exact.Dec(net).Mul(exact.Dec(w).Add(exact.Int(1)))
		packs := exact.Dec(order).Div(exact.Dec(p))
		slack := exact.Dec(p).Div(exact.Int(2_000_000)) // what rounding to 6 decimals of a pack can hide
		if exact.Dec(order).Add(slack).Cmp(gross) < 0 {
			t.Fatalf("order %s is below %s", order, gross)
		}
		if !packs.IsInt() {
			t.Fatalf("order %s is no whole number of %s", order, p)
		}
		if exact.Dec(order).Sub(exact.Dec(p)).Sub(slack).Cmp(gross) > 0 {
			t.Fatalf("order %s has a pack of %s too many for %s", order, p, gross)
		}
		// the price follows: the same item counted in as many parts orders the same
		if again := raise(plain(net), w, &p); !again.Equal(order) {
			t.Fatalf("%s and %s", again, order)
		}
	})
}

// Hand-worked (P-PRICE): 54 at 10 is 540; from 60 at 8.50 is 510: a note. At Pack 25 the least order that reaches 60 is 75:
// 637.50, dearer, no note.
func TestCheaperLargerOrderIsNoted(t *testing.T) {
	s := newSite()
	s.line("R-FACTOR", "anchor", "54", unit.Each, "/")
	s.row("anchor", "ea", "10", breaks("60", "8.5"))
	f := said(t, s.price(), takeoff.Note, "P-PRICE", "60 costs less than 54")
	require.Equal(t, "Prices!F2", f.At.String())

	s = newSite()
	s.line("R-FACTOR", "anchor", "54", unit.Each, "/")
	s.row("anchor", "ea", "10", breaks("60", "8.5"), pack("6"))
	said(t, s.price(), takeoff.Note, "P-PRICE", "60 costs less than 54")

	_, ok := cheaperLarger(&takeoff.PriceRow{Price: dec("10"), Breaks: []takeoff.Break{{From: dec("60"), Price: dec("8.5")}}}, dec("50"), ptr("25"), 2)
	require.False(t, ok)
}

func TestBreaksOutOfOrder(t *testing.T) {
	s := newSite()
	s.row("a", "ea", "10", breaks("60", "9", "60", "8"))
	s.row("b", "ea", "10", breaks("0", "9"))
	b := s.price()
	require.Equal(t, "Prices!I2", said(t, b, takeoff.Error, "P-PRICE", "break 3 is not above 60").At.String())
	require.Equal(t, "Prices!G3", said(t, b, takeoff.Error, "P-PRICE", "break 2 is not above 0").At.String())
}

func TestPriceAtTheBreak(t *testing.T) {
	r := &takeoff.PriceRow{Price: dec("10"), Breaks: []takeoff.Break{{From: dec("60"), Price: dec("9")}, {From: dec("100"), Price: dec("8")}}}
	for order, want := range map[string]string{"0": "10", "59.999999": "10", "60": "9", "99": "9", "100": "8", "1000": "8"} {
		same(t, want, *priceAt(r, dec(order)), order)
	}
}

// P-MISSING: never a silent zero.
func TestMissingPrice(t *testing.T) {
	s := newSite()
	s.line("R-PART", "ties", "12.4", unit.Each, "L1/A")
	b := s.price()
	it := find(t, b, "ties", "", 0)
	require.Nil(t, it.Price)
	require.Nil(t, it.Extension)
	same(t, "13", it.Order)
	require.False(t, b.Complete)
	require.Equal(t, 1, b.Unpriced)
	said(t, b, takeoff.Warning, "P-MISSING", "INCOMPLETE")
	same(t, "0", b.Totals.BidTotal)
	require.Equal(t, NoGroup, it.Group)

	s.row("ties", "ea", "0") // a typed 0 is a price
	require.True(t, s.price().Complete)
}

func TestOldQuote(t *testing.T) {
	s := newSite()
	s.line("R-PART", "ties", "12", unit.Each, "L1/A")
	r := s.row("ties", "ea", "1")
	r.ValidUntil = date("2025-04-30")
	f := said(t, s.price(), takeoff.Warning, "P-QUOTE", "until 2025-04-30; the bid date is 2025-05-01")
	require.Equal(t, "Prices!L2", f.At.String())
	r.ValidUntil = date("2025-05-01")
	quiet(t, s.price())
}

// P-NET: 10 − 4 − 7 + 0.5 = −0.5: the second extra takes it below zero. Exactly zero stays as a row with order 0.
func TestNetBelowZero(t *testing.T) {
	s := newSite()
	s.line("R-PART", "ties", "10", unit.Each, "L1/A")
	s.line("R-EXTRA", "ties", "-4", unit.Each, "/")
	s.line("R-EXTRA", "ties", "-7", unit.Each, "/")
	s.line("R-EXTRA", "ties", "0.5", unit.Each, "/")
	s.row("ties", "ea", "1")
	require.Equal(t, "Extras!A4", said(t, s.price(), takeoff.Error, "P-NET", "below zero").At.String())

	s.line("R-EXTRA", "ties", "0.5", unit.Each, "/")
	b := s.price()
	quiet(t, b)
	same(t, "0", find(t, b, "ties", "", 0).Order)
	same(t, "0", b.Totals.BidTotal)
}

func TestRollsArePlanned(t *testing.T) {
	s := newSite()
	s.line("R-MEMB", "membrane-roll", "3", unit.Each, "L1/")
	s.line("R-MEMB", "membrane-roll", "1", unit.Each, "L2/")
	s.row("membrane-roll", "roll", "100", waste("0.1"))
	it := find(t, s.price(), "membrane-roll", "", 0)
	same(t, "4", *it.Planned)
	require.Equal(t, "Takeoff", it.PlanTab)
	same(t, "5", it.Order) // 4.4 raised
}

// The order of lines is no matter, nor is a line cut in two.
func TestOrderOfLinesIsNoChange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		type l struct{ item, rule, q, place string }
		lines := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) l {
			return l{
				rapid.SampledFrom([]string{"a", "b", "c"}).Draw(t, "item"), rapid.SampledFrom([]string{"R-PART", "R-FACTOR"}).Draw(t, "rule"),
				exact.Frac(rapid.Int64Range(1, 1e9).Draw(t, "q"), 1000).Round(3).String(), rapid.SampledFrom([]string{"L1/A", "L2/A", "L2/B", "/"}).Draw(t, "place"),
			}
		}), 1, 20).Draw(t, "lines")
		build := func(in []l, halves bool) *Bid {
			s := newSite()
			s.pour("A", "2025-06-01", "", "2025-06-10")
			s.pour("B", "2025-06-01", "", "2025-06-10")
			for _, x := range in {
				if halves {
					half := dec(x.q).Mul(dec("0.5"))
					s.line(x.rule, x.item, half.String(), unit.Each, x.place)
					s.line(x.rule, x.item, half.String(), unit.Each, x.place)
					continue
				}
				s.line(x.rule, x.item, x.q, unit.Each, x.place)
			}
			s.row("a", "ea", "1.37", waste("0.03"), taxable)
			s.row("b", "ea", "22.5", pack("12"), group("g"))
			s.row("c", "ea", "0.333", kind("labor"))
			s.set(takeoff.SetSalesTax, "0.0825")
			s.set(takeoff.SetProfit, "0.1")
			return s.price()
		}
		one, two := build(lines, false), build(rapid.Permutation(lines).Draw(t, "order"), true)
		if !one.Totals.BidTotal.Equal(two.Totals.BidTotal) {
			t.Fatalf("%s and %s", one.Totals.BidTotal, two.Totals.BidTotal)
		}
		for i := range one.Totals.ByPour {
			if !one.Totals.ByPour[i].Amount.Equal(two.Totals.ByPour[i].Amount) {
				t.Fatalf("pour %s: %s and %s", one.Totals.ByPour[i].Name, one.Totals.ByPour[i].Amount, two.Totals.ByPour[i].Amount)
			}
		}
	})
}
