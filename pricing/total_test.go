package pricing

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/takeoff"
	"wallbill/takeoff/unit"
)

// Outside values (published markup and margin table of a construction-accounting page): cost 80,000, markup 20%: 96,000;
// margin 20%: 100,000. Cost 1,000 with markup 10, 15, 20, 25, 30, 35, 40, 50, 100%.
func TestProfitOnCostAndOnPrice(t *testing.T) {
	price := func(cost, profit string, onPrice bool) decimal.Decimal {
		return buildUp(dec(cost), decimal.Decimal{}, Rates{Profit: dec(profit), ProfitOnPrice: onPrice, RoundTo: dec("0.01")}, 2).BidTotal
	}
	same(t, "96000", price("80000", "0.2", false))
	same(t, "100000", price("80000", "0.2", true))
	for markup, want := range map[string]string{"0.10": "1100", "0.15": "1150", "0.20": "1200", "0.25": "1250", "0.30": "1300", "0.35": "1350", "0.40": "1400", "0.50": "1500", "1": "2000"} {
		same(t, want, price("1000", markup, false), markup)
	}
	// The same table's margins as markups, in hundredths of a percent: margin 5% is markup 5.26% …
	for margin, markup := range map[string]string{"0.05": "5.26", "0.10": "11.11", "0.15": "17.65", "0.20": "25.00", "0.25": "33.33", "0.30": "42.86", "0.35": "53.85", "0.40": "66.67", "0.45": "81.82", "0.50": "100"} {
		b := buildUp(dec("10000"), decimal.Decimal{}, Rates{Profit: dec(margin), ProfitOnPrice: true, RoundTo: dec("0.01")}, 2)
		same(t, markup, b.Profit.Shift(-2).Round(2), margin)
	}
}

// Outside values: sales tax is carried to the third decimal and rounded up when that is above four (Streamlined Sales and
// Use Tax Agreement s.324), which is half up on exact decimals. The seven price, rate and total rows are a published
// table; the others are computed here.
func TestTaxRounding(t *testing.T) {
	tax := func(price, rate string) decimal.Decimal {
		return buildUp(dec(price), dec(price), Rates{SalesTax: dec(rate), RoundTo: dec("0.01")}, 2).Tax
	}
	for _, c := range [][3]string{
		{"1", "0.0449", "0.04"}, {"1", "0.0450", "0.05"}, {"1", "0.0648", "0.06"},
		{"10.00", "0.0825", "0.83"}, {"19.99", "0.0725", "1.45"}, {"1.08", "0.07", "0.08"}, {"3.24", "0.07", "0.23"},
	} {
		same(t, c[2], tax(c[0], c[1]), c)
	}
	cents := decimal.Decimal{}
	for _, c := range [][3]string{
		{"245.60", "0.07505", "264.03"}, {"239.29", "0.10367", "264.10"}, {"120.32", "0.13673", "136.77"}, {"138.27", "0.07645", "148.84"},
		{"128.82", "0.04124", "134.13"}, {"222.56", "0.10107", "245.05"}, {"192.84", "0.11161", "214.36"},
	} {
		total := dec(c[0]).Add(tax(c[0], c[1]))
		same(t, c[2], total, c)
		cents = cents.Add(total)
	}
	same(t, "1407.28", cents)
}

// Hand-worked (P-BID): direct 10,000.50, of it 6,000.25 taxable at 8.25%: 495.020625, 495.02. Contingency 3% of 10,495.52:
// 314.8656, 314.87. Overhead 10% of 10,810.39: 1,081.039, 1,081.04. Cost 11,891.43. Profit 15% of the price: 11,891.43 ×
// 0.15/0.85 = 2,098.487647…, 2,098.49. Bond 1.5% of 13,989.92: 209.8488, 209.85. Sum 14,199.77; to the next 50: 14,200, rounding 0.23.
func TestBuildUp(t *testing.T) {
	r := Rates{SalesTax: dec("0.0825"), Contingency: dec("0.03"), Overhead: dec("0.1"), Profit: dec("0.15"), ProfitOnPrice: true, Bond: dec("0.015"), RoundTo: dec("50")}
	b := buildUp(dec("10000.50"), dec("6000.25"), r, 2)
	for i, v := range []decimal.Decimal{b.Tax, b.Contingency, b.Overhead, b.Cost, b.Profit, b.Bond, b.BidTotal, b.Rounding} {
		same(t, []string{"495.02", "314.87", "1081.04", "11891.43", "2098.49", "209.85", "14200", "0.23"}[i], v, i)
	}
	// To a multiple of 50, half up: 25 goes to 50, 24.99 to 0.
	same(t, "50", buildUp(dec("25"), dec("0"), Rates{RoundTo: dec("50")}, 2).BidTotal)
	same(t, "-24.99", buildUp(dec("24.99"), dec("0"), Rates{RoundTo: dec("50")}, 2).Rounding)
}

// Minor units (ISO 4217): JPY has none, KWD three.
func TestMinorUnits(t *testing.T) {
	for digits, want := range map[int32]string{0: "17", 2: "16.67", 3: "16.665"} {
		s := newSite()
		s.job.MinorDigits = digits
		s.line("R-PART", "ties", "3", unit.Each, "L1/")
		s.row("ties", "ea", "5.555")
		b := s.price()
		same(t, want, b.Totals.BidTotal, digits)
		require.True(t, b.Rates.RoundTo.Equal(decimal.New(1, -digits)))
	}
}

func TestProfitOfTheWholePriceIsAnError(t *testing.T) {
	s := newSite()
	s.set(takeoff.SetProfit, "1")
	v := s.job.Settings.Value(takeoff.SetProfitOn)
	v.Word = "price"
	s.job.Settings.Set(takeoff.SetProfitOn, v)
	b := s.price()
	require.True(t, takeoff.HasErrors(b.Findings))
	require.Equal(t, "Job!B9", b.Findings[0].At.String())
	v.Word = "cost"
	s.job.Settings.Set(takeoff.SetProfitOn, v)
	quiet(t, s.price())
}

// Hand-worked: ties 100, from 50 at 1.10: 110, taxed; labour 10 hr × 45 = 450. An allowance of 1 × 250, an add of 8 at the
// ties' row, 1.20: 9.60. Direct 819.60, tax 10% of 110: 11, bid 830.60. An alternate of −50: 780.60; one of 100 ties at the
// break's 1.10, 110 untaxed: 940.60. By kind: material 110, labour 450, extra 259.60.
func TestExtrasAndAlternates(t *testing.T) {
	s := newSite()
	s.set(takeoff.SetSalesTax, "0.1")
	s.line("R-PART", "ties", "100", unit.Each, "L1/A")
	s.line("R-FACTOR", "setting", "10", unit.Hour, "L1/")
	s.row("ties", "ea", "1.20", breaks("50", "1.10"), taxable, group("03 11 19"))
	s.row("setting", "hr", "45", kind("Labor"))
	columns := map[string]int{"price": 5, "unit": 4}
	extra := func(line string, kind takeoff.ExtraKind, item, q string, u unit.Unit, price string) *takeoff.ExtraRow {
		x := &takeoff.ExtraRow{Line: line, Kind: kind, Item: item, Quantity: dec(q), Unit: u, At: takeoff.Ref{Tab: "Extras", Row: len(s.job.Extras) + 2}, Columns: columns}
		if price != "" {
			x.Price = ptr(price)
		}
		s.job.Extras = append(s.job.Extras, x)
		return x
	}
	extra("Site visits", takeoff.ExtraAllowance, "", "1", "", "250")
	extra("Spare ties", takeoff.ExtraAdd, "TIES", "8", "", "")
	extra("No patching", takeoff.ExtraAlternate, "", "1", "", "-50")
	extra("More ties", takeoff.ExtraAlternate, "ties", "100", unit.Each, "")
	extra("Permit", takeoff.ExtraExclusion, "", "1", "", "")
	b := s.price()
	require.True(t, b.Complete)
	same(t, "110", *b.Items[0].Extension)
	same(t, "819.60", b.Totals.Direct)
	same(t, "9.60", *b.Extras[1].Extension)
	require.Equal(t, unit.Each, b.Extras[1].Unit)
	same(t, "11", b.Totals.Tax)
	same(t, "830.60", b.Totals.BidTotal)
	same(t, "780.60", *b.Alternates[0].BidTotal)
	same(t, "940.60", *b.Alternates[1].BidTotal)
	require.Equal(t, "Permit", b.Exclusions[0].Line)
	require.Equal(t, []string{"material", "labor", "extra"}, names(b.Totals.ByKind))
	same(t, "259.60", b.Totals.ByKind[2].Amount)
	require.Equal(t, []string{"03 11 19", "no group", "extra"}, names(b.Totals.ByGroup))
	require.Equal(t, []string{"L1", "L2", "job"}, names(b.Totals.ByLevel))
	same(t, "560", b.Totals.ByLevel[0].Amount)
	same(t, "259.60", b.Totals.ByLevel[2].Amount)

	// None to take a price from: never silent.
	extra("Sealant", takeoff.ExtraAllowance, "sealant", "3", "", "")
	b = s.price()
	require.False(t, b.Complete)
	require.Equal(t, "Extras!E7", said(t, b, takeoff.Warning, "P-MISSING", "Sealant").At.String())
	// Another dimension is an error at the extra's unit; another unit of the same converts.
	s.job.Extras[5].Item, s.job.Extras[5].Unit = "ties", unit.Foot
	require.Equal(t, "Extras!D7", said(t, s.price(), takeoff.Error, "P-UNIT", "ties is a count; 'ft' is a length").At.String())
}

func names(as []Amount) []string {
	var out []string
	for _, a := range as {
		out = append(out, a.Name)
	}
	return out
}

// Hand-worked: a pack of 10 ft for 24, used 1 ft on L1, 2 ft on L2 and 0.5 ft nowhere: 24/3.5 = 6.857…: 6.86, 13.71, the rest 3.43.
func TestSharesByLevel(t *testing.T) {
	s := newSite()
	s.line("R-PART", "strap", "1", unit.Foot, "L1/A")
	s.line("R-PART", "strap", "2", unit.Foot, "l2/B")
	s.line("R-PART", "strap", "0.5", unit.Foot, "/")
	s.row("strap", "ft", "2.4", pack("10"))
	b := s.price()
	same(t, "24", b.Totals.Direct)
	for i, want := range []string{"6.86", "13.71", "3.43"} {
		same(t, want, b.Totals.ByLevel[i].Amount, i)
	}
	same(t, "3.5", b.Items[0].LevelAll)
	require.Equal(t, []string{"A", "B"}, b.Pours)
	require.Equal(t, 1, b.Items[0].Pours[1].Place)
}

// The sums of parts are the whole: kinds, groups, levels and pours each add up to direct; direct is items and extras; the
// steps add up to the bid total.
func TestPartsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := newSite()
		s.pour("A", "2025-06-01", "", "2025-06-10")
		n := rapid.IntRange(1, 6).Draw(t, "items")
		for i := range n {
			name := "item" + string(rune('a'+i))
			for range rapid.IntRange(1, 4).Draw(t, "lines") {
				s.line("R-PART", name, decimal.New(rapid.Int64Range(1, 1e6).Draw(t, "q"), -3).String(), unit.Each, rapid.SampledFrom([]string{"L1/A", "L2/B", "L1/", "/A", "/"}).Draw(t, "place"))
			}
			if rapid.IntRange(0, 5).Draw(t, "priced") > 0 {
				r := s.row(name, "ea", decimal.New(rapid.Int64Range(0, 1e6).Draw(t, "price"), -3).String())
				r.Kind = rapid.SampledFrom([]string{"", "labor", "rental"}).Draw(t, "kind")
				r.Group = rapid.SampledFrom([]string{"", "03", "07"}).Draw(t, "group")
				r.Taxable = rapid.Bool().Draw(t, "taxable")
			}
		}
		s.job.Extras = append(s.job.Extras, &takeoff.ExtraRow{Line: "x", Kind: takeoff.ExtraAdd, Quantity: dec("3"), Price: ptr("1.115")})
		for _, id := range []takeoff.SettingID{takeoff.SetSalesTax, takeoff.SetContingency, takeoff.SetOverhead, takeoff.SetProfit, takeoff.SetBond} {
			s.set(id, decimal.New(rapid.Int64Range(0, 300).Draw(t, "rate"), -3).String())
		}
		b := s.price()
		v := b.Totals
		for _, as := range [][]Amount{v.ByKind, v.ByGroup, v.ByLevel, v.ByPour} {
			total := decimal.Decimal{}
			for _, a := range as {
				total = total.Add(a.Amount)
			}
			if !total.Equal(v.Direct) {
				t.Fatalf("%v adds up to %s, direct is %s", as, total, v.Direct)
			}
		}
		sum := v.Items.Add(v.Extras).Add(v.Tax).Add(v.Contingency).Add(v.Overhead)
		if !sum.Equal(v.Cost) || !sum.Add(v.Profit).Add(v.Bond).Add(v.Rounding).Equal(v.BidTotal) {
			t.Fatalf("%+v does not add up", v)
		}
		if b.Complete != (b.Unpriced == 0) {
			t.Fatal("complete with unpriced rows")
		}
	})
}

// Hand-worked: a bid of 10,000 over 800 sqft gross: 12.50; over 640 net: 15.625, 15.63; 100 ft: 100; 12 + 8 cy: 500; 40 hours
// over 800 sqft: 0.05.
func TestPerUnit(t *testing.T) {
	s := newSite()
	s.t.Drivers = []takeoff.Driver{{Name: "wall-area", Quantity: dec("800"), Unit: "sqft"}, {Name: "form-area", Quantity: dec("640"), Unit: "sqft"},
		{Name: "wall-length", Quantity: dec("100"), Unit: "ft"}, {Name: "wall-concrete", Quantity: dec("12"), Unit: "cy"}, {Name: "footing-concrete", Quantity: dec("8"), Unit: "cy"}}
	s.line("R-FACTOR", "setting", "40", unit.Hour, "/")
	s.row("setting", "hr", "250", kind("labor"))
	b := s.price()
	for i, want := range []string{"12.50", "15.63", "100", "500", "0.05"} {
		same(t, want, *b.PerUnit[i].Amount, b.PerUnit[i].Name)
	}
	s.t.Drivers = nil
	require.Nil(t, s.price().PerUnit[0].Amount)
}
