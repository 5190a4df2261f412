package sheet

import (
	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// cuts is how stock is cut: what each plan buys against the least any plan could cost, then its patterns.
func (p *priced) cuts() (*page, error) {
	pg := newPage(tabCuts, "Cuts", p.under, "Each pool is cut from its own stock. Proven: no plan can cost less.")
	pg.most = map[int]float64{9: 50}
	pg.head("Item", "Level", "Pour", ">Pieces", ">Bought", ">Bought by total length", ">Cost", "Unit", "Against the least")
	for i := range p.t.Cuts {
		c := &p.t.Cuts[i]
		n := int64(0)
		for _, q := range c.Problem.Pieces {
			n += q.Count
		}
		cost, least := p.poolCost(c, c.Plan.Cost), p.poolCost(c, c.Plan.LeastCost)
		unit, proof := p.currency(), "proven least"
		if !c.Priced {
			unit = "stock pieces"
		}
		if !c.Plan.Proven {
			proof = "at most " + trimmed(cost.Sub(least)).String() + " " + unit + " over the least"
		}
		costLook := asMoney
		if !c.Priced {
			costLook = asWhole
		}
		pg.add(textCell(c.Item), textCell(c.Level), textCell(c.Pour), wholeCell(n), wholeCell(c.Plan.Bought), wholeCell(c.RuleOfThumb),
			outCell{value: storedNumber(cost), look: costLook}, textCell(unit), textCell(proof))
	}
	none(pg, len(p.t.Cuts))
	pg.section("Patterns")
	pg.head("Item", "Level", "Pour", ">Times", ">Stock", ">Drop", ">Pieces of one", ">Drop in all", "Lengths of one")
	patterns := 0
	for i := range p.t.Cuts {
		c := &p.t.Cuts[i]
		for _, q := range c.Plan.Patterns {
			pieces, each := map[length.Length]int64{}, int64(0)
			for _, x := range q.Pieces {
				pieces[length.Length(x.Length)] += x.Count
				each += x.Count
			}
			patterns++
			pg.add(textCell(c.Item), textCell(c.Level), textCell(c.Pour), wholeCell(q.Times), rightCell(length.Length(c.Problem.Stock[q.Stock].Length).Show(p.job.Report)),
				rightCell(length.Length(q.Drop).Show(p.job.Report)), wholeCell(each),
				rightCell(length.Length(q.Drop*q.Times).Show(p.job.Report)), textCell(countedLengths(pieces, p.job.Report)))
		}
	}
	none(pg, patterns)
	return pg, nil
}

// poolCost is a plan's cost in money, or in pieces where stock had no price.
func (p *priced) poolCost(c *takeoff.CutPool, cost int64) decimal.Decimal {
	return trimmed(decimal.New(cost, -c.PriceScale))
}
