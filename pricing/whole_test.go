package pricing

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// building is a closed run of four walls on footings, with bars, bracing, a membrane and two pours, and a price row for
// everything that the takeoff of it makes.
func building() *site {
	s := newSite()
	foot, inch := length.Foot, length.Inch
	form := &takeoff.FormRow{Line: "M", CoreName: "6in", Core: 6 * inch, Foam: 9 * inch / 4, UnitLength: 50 * inch, CourseHeight: 15 * inch, CornerLong: 36 * inch, CornerShort: 21 * inch, SmallestPiece: 7 * inch}
	four := takeoff.BarBySize("#4")
	bars := &takeoff.BarMark{Mark: "B1", Layers: 1, Vertical: four, VerticalSpacing: 16 * inch, Horizontal: four, HorizontalSpacing: 32 * inch,
		TopWithin: 12 * inch, BottomWithin: 12 * inch, Cover: 2 * inch, LapDiameters: dec("60"), Dowel: four}
	footing := &takeoff.FootingMark{Mark: "F1", Width: 20 * inch, Depth: 10 * inch, Along: four, AlongBars: 2, Pour: "ftg"}
	s.job.Forms, s.job.Bars, s.job.Footings = []*takeoff.FormRow{form}, []*takeoff.BarMark{bars}, []*takeoff.FootingMark{footing}
	s.job.FormLine, s.job.LengthsIn = "M", takeoff.InFeet
	s.pour("ftg", "2025-05-20", "", "2025-05-22")
	s.pour("A", "2025-06-02", "2025-06-05", "2025-06-15")
	s.pour("B", "2025-06-12", "", "2025-06-25")
	for i, mark := range []string{"W1", "W2", "W3", "W4"} {
		pour := []string{"A", "A", "B", "B"}[i]
		s.job.Walls = append(s.job.Walls, &takeoff.Wall{
			At: takeoff.Ref{Tab: "Walls", Row: i + 2}, Run: "R1", Mark: mark, Level: "L1", Pour: pour, PourAbove: pour,
			Length: []length.Length{40, 24, 40, 24}[i] * foot, Height: 9 * foot, HeightEnd: 9 * foot, Core: form.Core, FormLine: "M", Forms: form,
			Turn: takeoff.Turn{Kind: takeoff.TurnCorner, MilliDegrees: 90_000}, Count: 1, Bars: bars, Footing: footing,
			BelowGrade: 6 * foot, BelowGradeEnd: 6 * foot, Cover: takeoff.CoverMembrane, Drain: true,
		})
	}
	s.job.Factors = []*takeoff.FactorRow{{Item: "setting", Per: "wall-area", Quantity: dec("0.04"), Unit: unit.Hour, At: takeoff.Ref{Tab: "Factors", Row: 2}}}
	s.job.Extras = []*takeoff.ExtraRow{
		{Line: "spare bars", Kind: takeoff.ExtraQuantity, Item: "bar-#4", Quantity: dec("100"), Unit: unit.Foot, Pour: "A", At: takeoff.Ref{Tab: "Extras", Row: 2}},
		{Line: "porch pad", Kind: takeoff.ExtraQuantity, Item: "concrete-footing", Quantity: dec("1"), Unit: unit.CuYard, Pour: "ftg", At: takeoff.Ref{Tab: "Extras", Row: 3}},
	}
	s.row("bar-#4", "ea", "9", long(20*foot))
	s.row("bar-#4", "lb", "0.9", long(30*foot))
	s.row("bent-#4", "ea", "4")
	s.row("brace-set", "day", "2")
	s.row("brace-set", "week", "8")
	s.row("plank", "week", "3", long(12*foot))
	s.row("rail", "ea", "14", long(16*foot))
	s.row("M-6in-block", "ea", "21", perLoad("60"), by("Yard"), pack("12"), waste("0.03"))
	t := takeoff.Compute(s.job)
	have := map[string]bool{}
	for _, l := range t.Lines {
		k := takeoff.ItemKey(l.Item)
		if len(s.job.PricesByItem[k]) == 0 && !have[k] {
			have[k] = true
			u := l.Unit
			s.row(l.Item, u, "3.35", taxable)
		}
	}
	s.row("freight-yard", "ea", "250")
	s.row("brace-delivery", "ea", "90")
	s.set(takeoff.SetSalesTax, "0.07")
	s.set(takeoff.SetProfit, "0.12")
	return s
}

// A whole job: no error, complete, every line's item priced, every formula of a row reworked from its parts.
func TestWholeJob(t *testing.T) {
	s := building()
	s.t = takeoff.Compute(s.job)
	for _, f := range s.t.Findings {
		require.NotEqual(t, takeoff.Error, f.Severity, f.Text())
	}
	b := s.price()
	for _, f := range b.Findings {
		require.NotEqual(t, takeoff.Error, f.Severity, f.Text())
	}
	require.True(t, b.Complete)
	rows := map[string]int{}
	sums := map[string]exact.Num{}
	for _, l := range s.t.Lines {
		sums[takeoff.ItemKey(l.Item)] = sums[takeoff.ItemKey(l.Item)].Add(exact.Dec(l.Quantity))
	}
	direct := decimal.Decimal{}
	for i := range b.Items {
		it := &b.Items[i]
		rows[it.Key]++
		// net, order, price and extension as the live formulas have them
		net := exact.Num{}
		if it.Planned != nil {
			net = exact.Dec(*it.Planned)
		} else {
			net = exact.Dec(sums[it.Key].Mul(exact.Dec(it.Times)).Div(exact.Dec(it.Over)).Round(9))
		}
		require.Zero(t, net.Cmp(exact.Dec(it.Net)), it.Name)
		gross := net.Mul(exact.Int(1).Add(exact.Dec(it.Waste)))
		order := gross.Round(6)
		if it.Pack != nil {
			order = gross.Div(exact.Dec(*it.Pack)).Round(6).Ceil().Mul(*it.Pack)
		}
		require.True(t, order.Equal(it.Order), it.Name)
		price := it.Prices[0]
		for k := range it.From {
			if it.From[k].LessThanOrEqual(order) {
				price = it.Prices[k]
			}
		}
		require.True(t, price.Equal(*it.Price), it.Name)
		require.True(t, order.Mul(*price).Round(2).Equal(*it.Extension), it.Name)
		direct = direct.Add(*it.Extension)
	}
	require.True(t, direct.Equal(b.Totals.Direct))
	for k := range sums {
		require.NotZero(t, rows[k], k)
	}
	require.Equal(t, 2, rows["bar-#4"])

	// the plans
	bought := int64(0)
	for i := range s.t.Cuts {
		if s.t.Cuts[i].Bar != nil {
			bought += s.t.Cuts[i].Plan.Bought
		}
	}
	thirty := find(t, b, "bar-#4", "lb", 30*length.Foot).Net
	pieces := find(t, b, "bar-#4", "ea", 20*length.Foot).Net.Add(exact.Dec(thirty).Div(exact.Dec(dec("20.04"))).Round(6)) // 30 × 0.668
	require.True(t, decimal.NewFromInt(bought).Equal(pieces), "%d bought, %s in rows", bought, pieces)
	orders := decimal.Decimal{}
	for _, p := range s.t.Pours {
		orders = orders.Add(p.WallOrder).Add(p.FootingOrder)
	}
	require.True(t, orders.Equal(find(t, b, "concrete-wall", "", 0).Order.Add(find(t, b, "concrete-footing", "", 0).Order)))
	require.NotZero(t, len(b.Rentals))
	require.NotZero(t, len(b.Orders))
	same(t, "1", find(t, b, "brace-delivery", "", 0).Order)

	// the same again
	again := Price(takeoff.Compute(s.job), Options{})
	require.Equal(t, len(b.Items), len(again.Items))
	for i := range b.Items {
		require.Equal(t, b.Items[i].Name, again.Items[i].Name)
	}
	require.True(t, again.Totals.BidTotal.Equal(b.Totals.BidTotal))
}
