package pricing

import (
	"testing"

	"github.com/stretchr/testify/require"

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
