package pricing

import (
	"fmt"
	"sort"
	"strings"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/cutting"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// JobOrders is what one of several jobs orders, and the bars it cuts.
type JobOrders struct {
	Job      string
	Currency string
	Orders   []Order
	Bars     []BarPool
}

// OrdersOf is what a bid contributes to what is bought across jobs; its bars only where they are asked for.
func OrdersOf(b *Bid, bars bool) JobOrders {
	job := b.Takeoff.Job
	j := JobOrders{Job: job.Name, Currency: job.Currency, Orders: b.Orders}
	if bars {
		j.Bars = barPools(b)
	}
	return j
}

// ToBuy is what several jobs together order of an item of a supplier in one unit: needs, what was ordered and what is left
// are each the sum of the jobs'. What is over at one job is not taken off another's.
type ToBuy struct {
	Supplier, Item string
	Length         length.Length
	Unit           unit.Unit
	Rental         bool // pieces, each time on rent counted
	Needed         decimal.Decimal
	Ordered        decimal.Decimal
	ToOrder        decimal.Decimal
	Over           decimal.Decimal
	Jobs           int          // that have something to order of it
	NeedBy         takeoff.Date // the earliest; blank: none is known
	Currency       string
	Extension      decimal.Decimal // at each job's price
	Unpriced       int             // orders without a price
}

// AcrossJobs sums the orders of several jobs by supplier, item, stock length, unit and currency. The rows stand by supplier,
// then in order of their first appearance.
func AcrossJobs(jobs []JobOrders) []ToBuy {
	type key struct {
		supplier, item, currency string
		length                   length.Length
		unit                     unit.Unit
		rental                   bool
	}
	place := map[key]int{}
	last := map[key]int{} // the job counted last, from 1
	var out []ToBuy
	for n, j := range jobs {
		for i := range j.Orders {
			o := &j.Orders[i]
			k := key{SupplierKey(o.Supplier), takeoff.ItemKey(o.Item), j.Currency, o.Length, o.Unit, o.Rental}
			at, ok := place[k]
			if !ok {
				at = len(out)
				place[k] = at
				out = append(out, ToBuy{Supplier: o.Supplier, Item: o.Item, Length: o.Length, Unit: o.Unit, Rental: o.Rental, Currency: j.Currency})
			}
			t := &out[at]
			t.Needed, t.Ordered = t.Needed.Add(o.Needed), t.Ordered.Add(o.Ordered)
			t.ToOrder, t.Over = t.ToOrder.Add(o.ToOrder), t.Over.Add(o.Over)
			if !o.ToOrder.IsPositive() {
				continue
			}
			if last[k] != n+1 {
				last[k] = n + 1
				t.Jobs++
			}
			if !o.NeedBy.IsZero() && (t.NeedBy.IsZero() || o.NeedBy.Day() < t.NeedBy.Day()) {
				t.NeedBy = o.NeedBy
			}
			if o.Extension == nil {
				t.Unpriced++
			} else {
				t.Extension = t.Extension.Add(*o.Extension)
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		x, y := SupplierKey(out[i].Supplier), SupplierKey(out[j].Supplier)
		if (x == noSupplier) != (y == noSupplier) {
			return y == noSupplier
		}
		return x < y
	})
	return out
}

// BarPool is a cut plan of bars that may be joined with those of other jobs: from the same stock at the same prices.
type BarPool struct {
	Item     string
	Supplier string
	Problem  cutting.Problem
	Scale    int32
	Bought   int64
	Cost     int64
}

// barPools are the bars' cut plans of a bid with their supplier.
func barPools(b *Bid) []BarPool {
	supplier := map[string]string{}
	for i := range b.Items {
		if it := &b.Items[i]; it.PlanTab == tabCuts && supplier[it.Key] == "" {
			supplier[it.Key] = it.Supplier
		}
	}
	var out []BarPool
	for i := range b.Takeoff.Cuts {
		c := &b.Takeoff.Cuts[i]
		if c.Bar == nil || len(c.Problem.Pieces) == 0 {
			continue
		}
		out = append(out, BarPool{Item: c.Item, Supplier: supplier[takeoff.ItemKey(c.Item)], Problem: c.Problem, Scale: c.PriceScale,
			Bought: c.Plan.Bought, Cost: c.Plan.Cost})
	}
	return out
}

// StockBought is how many pieces of a stock length are bought.
type StockBought struct {
	Length length.Length
	Count  int64
}

// Together is what bars of several jobs cost cut from one stock, against each job's own plans, before waste and packs.
type Together struct {
	Item, Supplier, Currency string
	Jobs                     int
	Pieces                   int64
	ApartBought              int64
	ApartCost                decimal.Decimal
	Bought                   int64
	Cost                     decimal.Decimal
	Least                    decimal.Decimal // no plan can cost less
	Saving                   decimal.Decimal
	Stock                    []StockBought
	Apart                    bool // no plan was found that costs less than the jobs' own
}

// PoolBars plans the bars of several jobs together, for each size, supplier, currency, kerf and list of stock lengths and
// prices that two jobs or more share. The work allowed is that of each pool.
func PoolBars(jobs []JobOrders, work cutting.Work) ([]Together, error) {
	type group struct {
		Together
		counts map[int64]int64
		first  *BarPool
		last   int
	}
	byKey := map[string]*group{}
	var order []*group
	for n, j := range jobs {
		for i := range j.Bars {
			p := &j.Bars[i]
			k := poolName(p, j.Currency)
			g := byKey[k]
			if g == nil {
				g = &group{Together: Together{Item: p.Item, Supplier: p.Supplier, Currency: j.Currency}, counts: map[int64]int64{}, first: p}
				byKey[k] = g
				order = append(order, g)
			}
			if g.last != n+1 {
				g.last = n + 1
				g.Jobs++
			}
			g.ApartBought += p.Bought
			g.ApartCost = g.ApartCost.Add(decimal.New(p.Cost, -p.Scale))
			for _, q := range p.Problem.Pieces {
				g.counts[q.Length] += q.Count
				g.Pieces += q.Count
			}
		}
	}
	var out []Together
	for _, g := range order {
		if g.Jobs < 2 {
			continue
		}
		problem := cutting.Problem{Stock: g.first.Problem.Stock, Kerf: g.first.Problem.Kerf}
		for l, n := range g.counts {
			problem.Pieces = append(problem.Pieces, cutting.Piece{Length: l, Count: n})
		}
		sort.Slice(problem.Pieces, func(i, j int) bool { return problem.Pieces[i].Length > problem.Pieces[j].Length })
		plan, err := cutting.Solve(problem, work)
		if err != nil {
			return nil, fmt.Errorf("cutting %s of %d jobs together: %w", g.Item, g.Jobs, err)
		}
		t := g.Together
		t.Bought, t.Cost, t.Least = plan.Bought, decimal.New(plan.Cost, -g.first.Scale), decimal.New(plan.LeastCost, -g.first.Scale)
		if t.Saving = t.ApartCost.Sub(t.Cost); t.Saving.IsNegative() {
			t.Apart, t.Bought, t.Cost, t.Saving = true, t.ApartBought, t.ApartCost, decimal.Decimal{}
		}
		if !t.Apart {
			bought := map[int]int64{}
			for _, q := range plan.Patterns {
				bought[q.Stock] += q.Times
			}
			for i, s := range problem.Stock {
				if bought[i] > 0 {
					t.Stock = append(t.Stock, StockBought{length.Length(s.Length), bought[i]})
				}
			}
		}
		t.ApartCost, t.Cost, t.Least, t.Saving = plain(t.ApartCost), plain(t.Cost), plain(t.Least), plain(t.Saving)
		out = append(out, t)
	}
	return out, nil
}

// poolName is the same for pools that may be joined.
func poolName(p *BarPool, currency string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\x00%s\x00%s\x00%d", takeoff.ItemKey(p.Item), SupplierKey(p.Supplier), currency, p.Problem.Kerf)
	var stock []string
	for _, s := range p.Problem.Stock {
		stock = append(stock, fmt.Sprintf("%d at %s", s.Length, plain(decimal.New(s.Price, -p.Scale))))
	}
	sort.Strings(stock)
	return b.String() + "\x00" + strings.Join(stock, ", ")
}
