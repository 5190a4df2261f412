package pricing

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// Hand-worked (P-RENTAL). Day 2, week 8, 4-week 24. Wall 1, pour A, 1 to 10 June, 5 braces. Wall 2, pour B, 5 to 20 June, 3.
// Wall 3, pour C, 1 to 14 July, 4.
// Needed: 1 June 5, 5 June 8, 11 June 3, 21 June none, 1 July 4, 15 July none.
// Pieces 1 to 3: 1 to 20 June, then idle 10 days (21 to 30 June), at most 14: on rent to 14 July, 44 days.
// Piece 4: 1 to 10 June, idle 20 days: goes back; 1 to 14 July. Piece 5: 1 to 10 June. Pieces 6 to 8: 5 to 10 June.
// 44 days: 28 + 16: 24 + 2·8 + 2·2 = 44; 24 + 3·8 = 48; 2·24 = 48: 1, 2, 2. 10 days: 8 + 3·2 = 14; 2·8 = 16: 0, 1, 3. 14 days: 0, 2, 0
// for 16. 6 days: 12 by the day, 8 by the week: 0, 1, 0.
// Weeks: 3·2 + 2·1 (10 days) + 2 (14 days) + 3 (6 days) = 13; days 3·2 + 2·3 = 12; 4-weeks 3.
// Charges: 3·44 = 132, 2·14 = 28, 16, 3·8 = 24: 200 = 13·8 + 12·2 + 3·24.
// Delivered twice? All braces: 1 June to 14 July without a break: once.
func TestRental(t *testing.T) {
	s := newSite()
	s.pour("A", "2025-06-01", "", "2025-06-10")
	s.pour("B", "2025-06-05", "", "2025-06-20")
	s.pour("C", "2025-07-01", "", "2025-07-14")
	s.brace("W1", "A", "brace-set", 5, 0, 0, 0)
	s.brace("W2", "B", "brace-set", 3, 0, 0, 0)
	s.brace("W3", "C", "brace-set", 4, 0, 0, 0)
	s.line("R-BRACE", "brace-set", "5", unit.Each, "L1/A")
	s.line("R-BRACE", "brace-set", "3", unit.Each, "L1/B")
	s.line("R-BRACE", "brace-set", "4", unit.Each, "L1/C")
	s.row("brace-set", "day", "2", kind("rental"))
	s.row("brace-set", "week", "8", kind("rental"), waste("0.5"), pack("10"))
	s.row("brace-set", "4-week", "24", kind("rental"))
	s.row("brace-delivery", "ea", "75")
	b := s.price()
	quiet(t, b)
	same(t, "12", find(t, b, "brace-set", "day", 0).Order)
	same(t, "13", find(t, b, "brace-set", "week", 0).Order) // no waste, no pack
	same(t, "3", find(t, b, "brace-set", "4-week", 0).Order)
	same(t, "1", find(t, b, "brace-delivery", "", 0).Order)
	same(t, "275", b.Totals.Direct)
	type row struct {
		from, to string
		count    int64
		charge   string
	}
	var have []row
	for _, r := range b.Rentals {
		have = append(have, row{r.From.String(), r.To.String(), r.Count, r.Charge.String()})
		require.False(t, r.Assumed)
	}
	require.Equal(t, []row{
		{"2025-06-01", "2025-06-10", 2, "28"}, {"2025-06-01", "2025-07-14", 3, "132"}, {"2025-06-05", "2025-06-10", 3, "24"},
		{"2025-07-01", "2025-07-14", 1, "16"},
	}, have)
	require.Equal(t, "Bracing", b.Items[0].PlanTab)

	// Idle for no more than 9 days: the pieces go back; 20 June and 1 July are two spans.
	s.set(takeoff.SetRentalIdleDays, "9")
	b = s.price()
	same(t, "2", find(t, b, "brace-delivery", "", 0).Order)
	s.set(takeoff.SetRentalIdleDays, "10")
	same(t, "1", find(t, s.price(), "brace-delivery", "", 0).Order)
}

// Two braces one after the other without a day between are one span; a day between makes two.
func TestDeliverySpans(t *testing.T) {
	require.Equal(t, int64(1), spans([]stay{{11, 20, 1}, {1, 10, 1}}))
	require.Equal(t, int64(2), spans([]stay{{12, 20, 1}, {1, 10, 1}}))
	require.Equal(t, int64(1), spans([]stay{{1, 30, 1}, {5, 10, 1}, {31, 31, 1}}))
	require.Equal(t, int64(0), spans(nil))
}

// Without a period row the most at once is bought: A and B overlap: 8, not 12. Rail: 100 ft and 60 ft at once, pieces of
// 16': 160/16 = 10.
func TestBracingBought(t *testing.T) {
	s := newSite()
	s.pour("A", "2025-06-01", "", "2025-06-10")
	s.pour("B", "2025-06-10", "", "2025-06-20")
	s.pour("C", "2025-07-01", "", "2025-07-14")
	for i, p := range []string{"A", "B", "C"} {
		n := []int64{5, 3, 4}[i]
		s.brace("W"+p, p, "brace-set", n, 2*n, length.Length(20*n)*length.Foot, 99)
		s.line("R-BRACE", "brace-set", decimal.NewFromInt(n).String(), unit.Each, "L1/"+p)
		s.line("R-BRACE", "plank", decimal.NewFromInt(2*n).String(), unit.Each, "L1/"+p)
		s.line("R-BRACE", "rail", decimal.NewFromInt(20*n).String(), unit.Foot, "L1/"+p)
	}
	s.line("R-EXTRA", "brace-set", "2", unit.Each, "/")
	s.row("brace-set", "ea", "100")
	s.row("plank", "ea", "30", long(10*length.Foot))
	s.row("rail", "ea", "9", long(16*length.Foot))
	b := s.price()
	quiet(t, b)
	same(t, "10", find(t, b, "brace-set", "", 0).Net)
	same(t, "16", find(t, b, "plank", "", 0).Net)
	same(t, "10", find(t, b, "rail", "", 0).Net)
	require.Empty(t, b.Rentals)
	require.Len(t, b.Items, 3) // nothing on rent: no delivery

	// A rented rail counts pieces.
	s.job.PricesByItem["rail"] = nil
	s.row("rail", "week", "1", long(16*length.Foot))
	b = s.price()
	// A and B overlap on one day: 198 pieces at once, of which 99 from 1 to 20 June (20 days, 3 weeks) … and idle 10 days to 14
	// July: 44 days, 7 weeks; 99 on the day both stand, 1 week.
	same(t, "792", find(t, b, "rail", "week", 0).Order)
}

// Kind rental without a row by day, week or 4-week is bought, and said at the row's unit.
func TestRentalWithoutPeriods(t *testing.T) {
	s := newSite()
	s.pour("A", "2025-06-01", "", "2025-06-10")
	s.brace("W1", "A", "brace-set", 5, 0, 0, 0)
	s.line("R-BRACE", "brace-set", "5", unit.Each, "L1/A")
	s.row("brace-set", "ea", "100", kind("rental"))
	b := s.price()
	require.Equal(t, s.job.Prices[0].At.Tab, said(t, b, takeoff.Warning, "P-RENTAL", "brace-set is of kind rental and has no row by day, week or 4-week: it is bought").At.Tab)
	same(t, "5", find(t, b, "brace-set", "", 0).Order)
	require.Empty(t, b.Rentals)
}

// What is added to a rental is in its periods.
func TestExtrasOfRentals(t *testing.T) {
	s := newSite()
	s.pour("A", "2025-06-01", "", "2025-06-07")
	s.brace("W1", "A", "brace-tall", 5, 0, 0, 0)
	s.row("brace-tall", "week", "10")
	s.row("brace-delivery", "ea", "0")
	s.line("R-EXTRA", "brace-tall", "2", unit.Week, "/")
	b := s.price()
	quiet(t, b)
	same(t, "7", find(t, b, "brace-tall", "", 0).Order)
	s.line("R-EXTRA", "brace-tall", "7", unit.Day, "/")
	same(t, "8", find(t, s.price(), "brace-tall", "", 0).Order)
	s.line("R-EXTRA", "brace-tall", "2", unit.Each, "/")
	f := said(t, s.price(), takeoff.Error, "P-UNIT", "brace-tall is rented; 'ea' is a count")
	require.Equal(t, "Extras!A4", f.At.String())
}

// Breaks apply to the total, not to how a stretch is charged.
func TestRentalBreaks(t *testing.T) {
	s := newSite()
	s.pour("A", "2025-06-01", "", "2025-06-07")
	s.brace("W1", "A", "brace-set", 20, 0, 0, 0)
	s.row("brace-set", "week", "10", breaks("20", "9"))
	s.row("brace-delivery", "ea", "0")
	b := s.price()
	same(t, "200", b.Rentals[0].Charge)
	same(t, "180", b.Totals.Direct)
}

// Equal cost: the fewest periods, then the longest. Day 1, week 7: 7 days is 7 either way: one week. Week 7, 4-week 28: 28
// days is one 4-week. A free day row takes days only if it is fewest.
func TestLeastChargeTies(t *testing.T) {
	rows := []*takeoff.PriceRow{{Unit: unit.Day, Price: dec("1")}, {Unit: unit.Week, Price: dec("7")}, {Unit: unit.Weeks4, Price: dec("28")}}
	require.Equal(t, []int64{0, 1, 0}, leastCharge(7, rows))
	require.Equal(t, []int64{0, 0, 1}, leastCharge(28, rows))
	require.Equal(t, []int64{1, 1, 1}, leastCharge(36, rows))
	zero := []*takeoff.PriceRow{{Unit: unit.Day}, {Unit: unit.Week}, {Unit: unit.Weeks4}}
	require.Equal(t, []int64{0, 0, 1}, leastCharge(3, zero))
	require.Equal(t, []int64{2}, leastCharge(8, rows[1:2]))
}

// leastByDay is the least charge worked out day by day: best of covering d days is one period more than the best of
// covering what is left. The cost, then the number of periods, then the periods from the longest.
func leastByDay(days int64, rows []*takeoff.PriceRow) []int64 {
	type best struct {
		cost    decimal.Decimal
		periods int64
		counts  [3]int64 // 4-week, week, day
	}
	slot := map[unit.Unit]int{unit.Weeks4: 0, unit.Week: 1, unit.Day: 2}
	table := make([]best, days+1)
	for d := int64(1); d <= days; d++ {
		first := true
		for _, r := range rows {
			b := table[max(0, d-periodDays(r.Unit))]
			b.cost, b.periods = b.cost.Add(r.Price), b.periods+1
			b.counts[slot[r.Unit]]++
			old := table[d]
			c := b.cost.Cmp(old.cost)
			longer := b.counts[0] > old.counts[0] || b.counts[0] == old.counts[0] && b.counts[1] > old.counts[1]
			if first || c < 0 || c == 0 && (b.periods < old.periods || b.periods == old.periods && longer) {
				table[d], first = b, false
			}
		}
	}
	out := make([]int64, len(rows))
	for i, r := range rows {
		out[i] = table[days].counts[slot[r.Unit]]
	}
	return out
}

func TestLeastChargeIsTheLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var rows []*takeoff.PriceRow
		mask := rapid.IntRange(1, 7).Draw(t, "rows")
		for i, u := range []unit.Unit{unit.Day, unit.Week, unit.Weeks4} {
			if mask>>i&1 == 1 {
				rows = append(rows, &takeoff.PriceRow{Unit: u, Price: decimal.New(rapid.Int64Range(0, 60).Draw(t, "price"), -1)})
			}
		}
		days := rapid.Int64Range(1, 200).Draw(t, "days")
		have, want := leastCharge(days, rows), leastByDay(days, rows)
		for i := range want {
			if have[i] != want[i] {
				t.Fatalf("%d days: %v, by day %v", days, have, want)
			}
		}
	})
}

// Every day on which k pieces are needed is covered by k stays; no stay begins or ends on a day that does not need it; and
// no gap within a stay is longer than the idle days.
func TestStaysCoverTheNeed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		needs := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) takeoff.Need {
			from := rapid.IntRange(0, 40).Draw(t, "from")
			return takeoff.Need{From: takeoff.Day(from), To: takeoff.Day(from + rapid.IntRange(0, 9).Draw(t, "days")), Quantity: rapid.Int64Range(1, 4).Draw(t, "count")}
		}), 1, 6).Draw(t, "needs")
		idle := takeoff.Day(rapid.IntRange(0, 10).Draw(t, "idle"))
		need := make([]int64, 60)
		most := int64(0)
		for _, n := range needs {
			for d := n.From; d <= n.To; d++ {
				need[d] += n.Quantity
				most = max(most, need[d])
			}
		}
		// brute force, piece by piece and day by day
		want := map[[2]takeoff.Day]int64{}
		for k := int64(1); k <= most; k++ {
			from, last := takeoff.Day(-1), takeoff.Day(-1)
			for d := takeoff.Day(0); d < 60; d++ {
				if need[d] < k {
					continue
				}
				if from >= 0 && d-last-1 > idle {
					want[[2]takeoff.Day{from, last}]++
					from = -1
				}
				if from < 0 {
					from = d
				}
				last = d
			}
			want[[2]takeoff.Day{from, last}]++
		}
		have := stays(takeoff.Steps(needs), idle)
		if len(have) != len(want) {
			t.Fatalf("%v, want %v", have, want)
		}
		for _, s := range have {
			if want[[2]takeoff.Day{s.from, s.to}] != s.count {
				t.Fatalf("%v, want %v", have, want)
			}
		}
	})
}

// A sum of charges is the extension where there are no breaks.
func TestChargesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := newSite()
		n := rapid.IntRange(1, 5).Draw(t, "pours")
		for i := range n {
			name := string(rune('A' + i))
			from := takeoff.NewDate(2025, 6, 1).Day() + takeoff.Day(rapid.IntRange(0, 90).Draw(t, "from"))
			s.pour(name, from.Date().String(), "", (from + takeoff.Day(rapid.IntRange(0, 40).Draw(t, "days"))).Date().String())
			s.brace("W"+name, name, "brace-set", rapid.Int64Range(1, 30).Draw(t, "braces"), 0, 0, 0)
		}
		s.row("brace-set", "day", "1.5")
		s.row("brace-set", "week", "7.25")
		s.row("brace-set", "4-week", "20")
		b := s.price()
		charges := exact.Num{}
		for _, r := range b.Rentals {
			charges = charges.Add(exact.Dec(r.Charge))
		}
		if charges.Cmp(exact.Dec(b.Totals.Direct)) != 0 {
			t.Fatalf("charges %s, direct %s", charges, b.Totals.Direct)
		}
	})
}
