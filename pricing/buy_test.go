package pricing

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

func (s *site) ordered(item, q string, u unit.Unit, l length.Length) {
	s.job.Ordered = append(s.job.Ordered, &takeoff.OrderedRow{Item: item, Quantity: dec(q), Unit: u, Length: l,
		At: takeoff.Ref{Tab: "Ordered", Row: len(s.job.Ordered) + 2}, Columns: map[string]int{"unit": 6}})
}

func order(t *testing.T, b *Bid, item string, l length.Length) *Order {
	t.Helper()
	for i := range b.Orders {
		if takeoff.ItemKey(b.Orders[i].Item) == item && b.Orders[i].Length == l {
			return &b.Orders[i]
		}
	}
	require.Failf(t, "no such order", "%s", item)
	return nil
}

// Hand-worked (P-BUY): 84 blocks (Pack 12) needed from pour B's Forms set 10 June less 7 days: 3 June; 60 ordered, 24 to
// order, 2 packs. Concrete by A's Pour date 4 June, no lead. Coating by A's Strip braces 20 June less 2. Sealant belongs to
// no pour: the first Forms set, 2 June. Bars: 20' 15 needed and 18 ordered, 3 over; 30' is not netted with them.
func TestOrders(t *testing.T) {
	s := newSite()
	s.pour("A", "2025-06-02", "2025-06-04", "2025-06-20")
	s.pour("B", "2025-06-10", "", "2025-06-24")
	s.line("R-BLOCK", "block", "70", unit.Each, "L1/B")
	s.line("R-CUT", "block", "13", unit.Each, "L1/")
	s.line("R-CORE", "concrete-wall", "10", unit.CuYard, "L1/A")
	s.t.Pours = []takeoff.PourPlan{{Pour: "A", WallItem: "concrete-wall", WallOrder: dec("11")}}
	s.line("R-COAT", "coating", "100", unit.SqFoot, "L1/A")
	s.line("R-FACTOR", "sealant", "5", unit.Each, "/")
	s.line("R-FACTOR", "setting", "5", unit.Hour, "/")
	s.line("R-FACTOR", "hours-without-price", "5", unit.Hour, "/")
	s.line("R-FACTOR", "stray", "5", unit.Each, "/")
	s.line("R-VERT", "bar-#4", "300", unit.Foot, "L1/A")
	twenty, thirty := 20*length.Foot, 30*length.Foot
	s.t.Cuts = []takeoff.CutPool{pool("A", []length.Length{twenty, thirty}, [2]int64{0, 15}, [2]int64{1, 4})}
	s.row("block", "ea", "20", by("Foam Yard"), pack("12"), lead(7), perLoad("100"))
	s.row("freight-foam-yard", "ea", "90", by("Foam Yard"))
	s.row("concrete-wall", "cy", "150", by("Mix Co"))
	s.row("coating", "sqft", "1", by("Mix Co"), lead(2))
	s.row("sealant", "ea", "9", by("Aard"))
	s.row("setting", "hr", "45", kind("labor"))
	s.row("bar-#4", "ea", "9", long(twenty), by("Steel"))
	s.row("bar-#4", "ea", "14", long(thirty), by("Steel"))
	s.row("old-thing", "ea", "1", by("Aard"))
	s.ordered("Block", "48", unit.Each, 0)
	s.ordered("block", "12", "", 0)
	s.ordered("bar-#4", "18", unit.Each, twenty)
	s.ordered("concrete-wall", "27", "cuft", 0)
	s.ordered("old-thing", "2", unit.Each, 0)
	s.ordered("old-thing", "3", unit.Each, 0)
	b := s.price()

	o := order(t, b, "block", 0)
	same(t, "84", o.Needed)
	same(t, "60", o.Ordered)
	same(t, "24", o.ToOrder)
	same(t, "2", *o.Packs)
	same(t, "480", *o.Extension)
	require.Equal(t, "2025-06-03", o.NeedBy.String())
	o = order(t, b, "concrete-wall", 0)
	same(t, "1", o.Ordered)
	same(t, "10", o.ToOrder)
	require.Equal(t, "2025-06-04", o.NeedBy.String())
	require.Nil(t, o.Packs)
	require.Equal(t, "2025-06-18", order(t, b, "coating", 0).NeedBy.String())
	require.Equal(t, "2025-06-02", order(t, b, "sealant", 0).NeedBy.String())
	o = order(t, b, "bar-#4", twenty)
	same(t, "3", o.Over)
	same(t, "0", o.ToOrder)
	same(t, "4", order(t, b, "bar-#4", thirty).ToOrder)
	o = order(t, b, "old-thing", 0)
	same(t, "5", o.Over)
	require.Equal(t, "Aard", o.Supplier)
	same(t, "5", order(t, b, "stray", 0).ToOrder)
	var have []string
	for _, o := range b.Orders {
		have = append(have, o.Supplier+" "+o.Item)
	}
	require.Equal(t, []string{"Aard sealant", "Aard old-thing", "Foam Yard block", "Mix Co concrete-wall", "Mix Co coating", "Steel bar-#4", "Steel bar-#4", " stray"}, have)

	sheets := b.OrdersToPlace()
	require.Len(t, sheets, 5)
	require.Equal(t, "foam-yard", sheets[1].Key)
	require.Equal(t, "no-supplier", sheets[4].Key)
	require.Len(t, sheets[0].Rows, 1) // what is over is no order

	b = Price(s.t, Options{Today: date("2025-06-03")})
	require.False(t, order(t, b, "block", 0).Late) // on the day is not late
	require.True(t, order(t, b, "sealant", 0).Late)
	for _, o := range b.Orders { // a need-by is the day to order
		if o.NeedBy.IsZero() {
			require.True(t, o.OnSite().IsZero(), o.Item)
			continue
		}
		require.Equal(t, o.NeedBy.Day()+takeoff.Day(o.LeadDays), o.OnSite().Day(), o.Item)
	}
	require.Equal(t, 7, order(t, b, "block", 0).LeadDays)
	said(t, b, takeoff.Warning, "P-BUY", "sealant: 5 ea to order by 2025-06-02, which is before 2025-06-03")
	b = Price(s.t, Options{Today: date("2025-06-04")})
	require.Equal(t, "Prices!M2", said(t, b, takeoff.Warning, "P-BUY", "block: 24 ea").At.String())
}

func TestOrderedInAnotherDimension(t *testing.T) {
	s := newSite()
	s.line("R-FACTOR", "sealant", "5", unit.Each, "/")
	s.row("sealant", "ea", "9")
	s.ordered("sealant", "5", "ft", 0)
	require.Equal(t, "Ordered!F2", said(t, s.price(), takeoff.Error, "P-BUY", "sealant is a count; 'ft' is a length").At.String())
}

// Boards in pieces of 16', ordered as 32 ft of that length: 2 of the 3 needed.
func TestOrderedByTheFoot(t *testing.T) {
	s := newSite()
	s.line("R-LEDGER", "ledger-board", "40", unit.Foot, "/")
	s.row("ledger-board", "ea", "8", long(16*length.Foot))
	s.ordered("ledger-board", "32", unit.Foot, 16*length.Foot)
	o := order(t, s.price(), "ledger-board", 16*length.Foot)
	same(t, "2", o.Ordered)
	same(t, "1", o.ToOrder)
}

// Assumed dates give no need-by; a typed Pour date does, for concrete.
func TestNeedByOfAssumedDates(t *testing.T) {
	s := newSite()
	s.pour("A", "", "2025-06-04", "")
	s.line("R-BLOCK", "block", "70", unit.Each, "L1/A")
	s.line("R-CORE", "concrete-wall", "10", unit.CuYard, "L1/A")
	s.t.Pours = []takeoff.PourPlan{{Pour: "A", WallItem: "concrete-wall", WallOrder: dec("11")}}
	s.row("block", "ea", "20", lead(3))
	s.row("concrete-wall", "cy", "150")
	b := s.price()
	o := order(t, b, "block", 0)
	require.True(t, o.NeedBy.IsZero())
	require.Contains(t, o.NeedByNote, "assumed")
	require.Equal(t, "2025-06-04", order(t, b, "concrete-wall", 0).NeedBy.String())
	s.job.Pours[0].FormsSet = date("2025-06-01") // Strip is assumed now, Forms set is typed
	require.Equal(t, "2025-05-29", order(t, s.price(), "block", 0).NeedBy.String())
	s.job.Pours[0].FormsSet, s.job.Pours[0].Strip, s.job.Pours[0].PourDate = takeoff.Date{}, date("2025-06-30"), takeoff.Date{}
	require.True(t, order(t, s.price(), "concrete-wall", 0).NeedBy.IsZero())
}

// Rented pieces are ordered by stretch; what was ordered fills the first first: 5 from 1 June, 4 from 1 August; 7 ordered: 2
// to order, at two weeks of 10: 20 each.
func TestOrdersOfRentals(t *testing.T) {
	s := newSite()
	s.pour("A", "2025-06-01", "", "2025-06-10")
	s.pour("B", "2025-08-01", "", "2025-08-14")
	s.brace("W1", "A", "brace-set", 5, 0, 0, 0)
	s.brace("W2", "B", "brace-set", 4, 0, 0, 0)
	s.row("brace-set", "week", "10", by("Rent Co"), lead(4))
	s.row("brace-set", "day", "5", by("Rent Co"), lead(4))
	s.row("brace-delivery", "ea", "75", by("Rent Co"))
	s.ordered("brace-set", "7", unit.Each, 0)
	b := s.price()
	require.Len(t, b.Orders, 3)
	o := b.Orders[0]
	same(t, "5", o.Needed)
	same(t, "0", o.ToOrder)
	require.Equal(t, "2025-05-28", o.NeedBy.String())
	o = b.Orders[1]
	require.Equal(t, "brace-delivery", o.Item) // the job's first Forms set
	o = b.Orders[2]
	same(t, "2", o.ToOrder)
	same(t, "20", *o.Price)
	same(t, "40", *o.Extension)
	require.Equal(t, "2025-08-01 2025-08-14", o.From.String()+" "+o.To.String())
	require.Equal(t, unit.Each, o.Unit)
	s.ordered("brace-set", "10", unit.Each, 0)
	b = s.price()
	same(t, "8", b.Orders[2].Over)
	s.ordered("brace-set", "1", unit.Week, 0)
	said(t, s.price(), takeoff.Warning, "P-BUY", "orders of it count pieces")
}

// What was ordered and is not used is over, and said at its cell.
func TestOrderedAndNotUsed(t *testing.T) {
	s := newSite()
	s.line("R-FACTOR", "sealant", "5", unit.Each, "/")
	s.line("R-FACTOR", "setting", "5", unit.Hour, "/")
	s.line("R-VERT", "bar-#4", "300", unit.Foot, "/")
	s.t.Cuts = []takeoff.CutPool{pool("A", []length.Length{20 * length.Foot}, [2]int64{0, 15})}
	s.row("sealant", "ea", "9")
	s.row("setting", "hr", "45", kind("labor"))
	s.row("bar-#4", "ea", "9", long(20*length.Foot))
	s.ordered("old-thing", "2", unit.Each, 0)
	s.ordered("bar-#4", "4", unit.Each, 30*length.Foot)
	s.ordered("setting", "3", unit.Hour, 0)
	for _, o := range s.job.Ordered {
		o.Columns = map[string]int{"item": 3, "length": 4, "unit": 6}
	}
	b := s.price()
	require.Equal(t, "Ordered!C2", said(t, b, takeoff.Warning, "P-BUY", "old-thing: ordered, and the job does not use it").At.String())
	require.Equal(t, "Ordered!D3", said(t, b, takeoff.Warning, "P-BUY", "4 bar-#4: ordered in 30'-0\", and the job buys it in 20'-0\"").At.String())
	require.Equal(t, "Ordered!C4", said(t, b, takeoff.Note, "P-BUY", "setting: labor and freight are not ordered").At.String())
	same(t, "2", order(t, b, "old-thing", 0).Over)
	same(t, "4", order(t, b, "bar-#4", 30*length.Foot).Over)
}

// Hand-worked (R-TRUCK, P-BUY): B on 3 June takes 24 cy in 3 loads of 8, A on 10 June 13 + 3 cy (walls and footings of one
// mix) in 2 loads, C has no date: 3 cy in 1 load, 1 short of 4. 2 cy belong to no pour. 30 cy ordered: all of B, 6 of A.
func TestDeliveries(t *testing.T) {
	s := newSite()
	s.pour("A", "2025-06-08", "2025-06-10", "2025-06-20")
	s.pour("B", "2025-06-02", "2025-06-03", "2025-06-20")
	s.line("R-CORE", "concrete-wall", "40", unit.CuYard, "L1/A")
	s.line("R-EXTRA", "concrete-wall", "2", unit.CuYard, "/")
	load := func(n int64, each string, short bool) takeoff.Load {
		return takeoff.Load{Item: "concrete-wall", Count: n, Each: dec(each), Short: short}
	}
	s.t.Pours = []takeoff.PourPlan{
		{Pour: "A", WallItem: "concrete-wall", FootingItem: "Concrete-Wall", WallOrder: dec("13"), FootingOrder: dec("3"), Loads: []takeoff.Load{load(2, "8", false)}},
		{Pour: "B", WallItem: "concrete-wall", WallOrder: dec("24"), Loads: []takeoff.Load{load(3, "8", false)}},
		{Pour: "C", WallItem: "concrete-wall", WallOrder: dec("3"), Loads: []takeoff.Load{load(1, "3", true)}},
	}
	s.row("concrete-wall", "cy", "150")
	s.ordered("concrete-wall", "30", unit.CuYard, 0)
	o := order(t, s.price(), "concrete-wall", 0)
	same(t, "45", o.Needed)
	same(t, "15", o.ToOrder)
	type row struct {
		pour, date, needed, order string
		loads                     int64
		short                     string
	}
	var have []row
	for _, d := range o.Deliveries {
		have = append(have, row{d.Pour, d.Date.String(), d.Needed.String(), d.ToOrder.String(), d.Loads, d.ShortLoad.String()})
	}
	require.Equal(t, []row{
		{"B", "2025-06-03", "24", "0", 3, "0"}, {"A", "2025-06-10", "16", "10", 2, "0"}, {"C", "", "3", "3", 1, "1"}, {"", "", "2", "2", 0, "0"},
	}, have)
}

// Law: the deliveries of an order add up to it, and what is left of them to what is left of it.
func TestDeliveriesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := newSite()
		n := rapid.IntRange(1, 5).Draw(t, "pours")
		for i := range n {
			name := string(rune('A' + i))
			if rapid.Bool().Draw(t, "dated") {
				s.pour(name, "", "2025-06-0"+string(rune('1'+rapid.IntRange(0, 8).Draw(t, "day"))), "")
			}
			q := decimal.New(rapid.Int64Range(0, 4000).Draw(t, "order"), -2)
			s.line("R-CORE", "concrete-wall", q.String(), unit.CuYard, "L1/"+name)
			s.t.Pours = append(s.t.Pours, takeoff.PourPlan{Pour: name, WallItem: "concrete-wall", WallOrder: q})
		}
		if rapid.Bool().Draw(t, "loose") {
			s.line("R-EXTRA", "concrete-wall", decimal.New(rapid.Int64Range(-100, 2000).Draw(t, "of no pour"), -2).String(), unit.CuYard, "/")
		}
		s.row("concrete-wall", "m3", "150")
		s.ordered("concrete-wall", decimal.New(rapid.Int64Range(1, 9000).Draw(t, "ordered"), -2).String(), unit.CuMetre, 0)
		b := s.price()
		if takeoff.HasErrors(b.Findings) {
			t.Skip("below zero")
		}
		for _, o := range b.Orders {
			needed, left := decimal.Decimal{}, decimal.Decimal{}
			last := takeoff.Date{}
			for i, d := range o.Deliveries {
				needed, left = needed.Add(d.Needed), left.Add(d.ToOrder)
				if i > 0 && !d.Date.IsZero() && (last.IsZero() || d.Date.Day() < last.Day()) {
					t.Fatalf("out of order: %v", o.Deliveries)
				}
				last = d.Date
			}
			if o.Needed.IsPositive() && (!needed.Equal(o.Needed) || !left.Equal(o.ToOrder)) {
				t.Fatalf("%s of %s, %s of %s", needed, o.Needed, left, o.ToOrder)
			}
		}
	})
}
