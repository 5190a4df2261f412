package pricing

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/takeoff/cutting"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// Hand-worked: two jobs order blocks of Foam Yard, 24 from 3 June and 36 from 1 June: 60 for 1,200 in 2 jobs, from 1 June; what
// a third has over, 5, is not taken off. Another currency, another length, another unit stand apart; an order without a
// price is counted. Suppliers in order of their names, none last.
func TestAcrossJobs(t *testing.T) {
	d := func(s string) *decimal.Decimal { x := dec(s); return &x }
	block := func(supplier, need, order, over, by string, ext *decimal.Decimal) Order {
		return Order{Supplier: supplier, Item: "block", Unit: unit.Each, Needed: dec(need), ToOrder: dec(order), Over: dec(over), NeedBy: date(by), Extension: ext}
	}
	jobs := []JobOrders{
		{Job: "A", Currency: "USD", Orders: []Order{
			{Item: "stray", Unit: unit.Each, ToOrder: dec("1")},
			block("Foam Yard", "24", "24", "0", "2025-06-03", d("480")),
			{Supplier: "Aard", Item: "bar-#4", Length: 20 * length.Foot, Unit: unit.Each, ToOrder: dec("3"), Extension: d("27")},
			{Supplier: "Aard", Item: "bar-#4", Length: 30 * length.Foot, Unit: unit.Each, ToOrder: dec("2"), Extension: d("28")},
		}},
		{Job: "B", Currency: "USD", Orders: []Order{block("foam yard", "36", "36", "0", "2025-06-01", d("720")), block("Foam Yard", "4", "0", "5", "2025-05-01", d("0"))}},
		{Job: "C", Currency: "CAD", Orders: []Order{block("Foam Yard", "7", "7", "0", "2025-05-01", nil)}},
	}
	have := AcrossJobs(jobs)
	require.Len(t, have, 5)
	require.Equal(t, []string{"Aard", "Aard", "Foam Yard", "Foam Yard", ""}, []string{have[0].Supplier, have[1].Supplier, have[2].Supplier, have[3].Supplier, have[4].Supplier})
	same(t, "3", have[0].ToOrder)
	same(t, "2", have[1].ToOrder)
	b := have[2]
	same(t, "64", b.Needed)
	same(t, "60", b.ToOrder)
	same(t, "5", b.Over)
	same(t, "1200", b.Extension)
	require.Equal(t, 2, b.Jobs)
	require.Equal(t, "2025-06-01", b.NeedBy.String())
	require.Equal(t, "CAD", have[3].Currency)
	require.Equal(t, 1, have[3].Unpriced)
	require.Equal(t, 1, have[4].Unpriced)
}

func barPool(stockPrice int64, pieces ...cutting.Piece) BarPool {
	p := BarPool{Item: "bar-#4", Supplier: "Steel", Scale: 2, Problem: cutting.Problem{
		Pieces: pieces, Stock: []cutting.Stock{{Length: int64(20 * length.Foot), Price: stockPrice}}}}
	plan, err := cutting.Solve(p.Problem, cutting.EffortMilli(50))
	if err != nil {
		panic(err)
	}
	p.Bought, p.Cost = plan.Bought, plan.Cost
	return p
}

// Hand-worked: three jobs each want one bar of 7'; two come from a 20' bar of 9.00. Apart each buys one, 27.00; together 2
// are bought, 18.00: a saving of 9.00. A fourth job with another price, and a size that one job alone cuts, stay out.
func TestPoolBars(t *testing.T) {
	seven := cutting.Piece{Length: int64(7 * length.Foot), Count: 1}
	other := barPool(900, seven)
	other.Item = "bar-#5"
	jobs := []JobOrders{
		{Job: "A", Currency: "USD", Bars: []BarPool{barPool(900, seven), other}},
		{Job: "B", Currency: "USD", Bars: []BarPool{barPool(900, seven)}},
		{Job: "C", Currency: "USD", Bars: []BarPool{barPool(900, seven)}},
		{Job: "D", Currency: "USD", Bars: []BarPool{barPool(850, seven)}},
	}
	have, err := PoolBars(jobs, cutting.EffortMilli(50))
	require.NoError(t, err)
	require.Len(t, have, 1)
	p := have[0]
	require.Equal(t, 3, p.Jobs)
	require.Equal(t, int64(3), p.Pieces)
	require.Equal(t, int64(3), p.ApartBought)
	require.Equal(t, int64(2), p.Bought)
	same(t, "27", p.ApartCost)
	same(t, "18", p.Cost)
	same(t, "18", p.Least)
	same(t, "9", p.Saving)
	require.Equal(t, []StockBought{{20 * length.Foot, 2}}, p.Stock)
	for _, j := range jobs {
		j.Bars = nil
	}
	none, err := PoolBars([]JobOrders{{}, {}}, 0)
	require.NoError(t, err)
	require.Empty(t, none)
}

// Laws: together never costs more than apart, nor less than the proven least; the stock bought is the cost; with no work
// allowed too.
func TestPoolBarsNeverCostsMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var jobs []JobOrders
		for range rapid.IntRange(2, 4).Draw(t, "jobs") {
			var pieces []cutting.Piece
			for range rapid.IntRange(1, 5).Draw(t, "lengths") {
				pieces = append(pieces, cutting.Piece{Length: rapid.Int64Range(1, 20).Draw(t, "length") * int64(length.Foot), Count: rapid.Int64Range(1, 9).Draw(t, "count")})
			}
			jobs = append(jobs, JobOrders{Currency: "USD", Bars: []BarPool{barPool(900, pieces...)}})
		}
		all, err := PoolBars(jobs, cutting.EffortMilli(rapid.Int64Range(0, 5).Draw(t, "effort")))
		if err != nil || len(all) != 1 {
			t.Fatalf("%d pools, %v", len(all), err)
		}
		p := all[0]
		if p.Cost.GreaterThan(p.ApartCost) || p.Cost.LessThan(p.Least) || !p.Saving.Equal(p.ApartCost.Sub(p.Cost)) {
			t.Fatalf("%+v", p)
		}
		if !p.Apart && !decimal.NewFromInt(p.Stock[0].Count*9).Equal(p.Cost) {
			t.Fatalf("%+v", p)
		}
	})
}
