package sheet

import (
	"sort"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// courses is one row a course of a stretch of walls.
func (p *priced) courses() (*page, error) {
	pg := newPage(tabCourses, "Courses", p.under,
		"Courses from the bottom. Spans run along the outer face from the start of the stretch's first wall; pieces are cut from whole units.")
	pg.table, pg.tableCols = "Courses", 15
	pg.most = map[int]float64{11: 44, 13: 44}
	pg.head("Wall", "Level", "Pour", "Form line", "Core", ">Course", ">Bottom", ">Height", "Kind", "Face", "Spans", ">Whole units", "Pieces", ">Corner units", ">End closures")
	show := func(l length.Length) string { return l.Show(p.job.Report) }
	for i := range p.t.Courses {
		c := &p.t.Courses[i]
		kind := "full"
		switch {
		case c.LedgeCourse:
			kind = "ledge"
		case c.Half:
			kind = "half"
		}
		if c.Ripped {
			kind += ", ripped"
		}
		var spans []string
		units := int64(0)
		pieces := map[length.Length]int64{}
		for _, s := range c.Segments {
			spans = append(spans, show(s.From)+" to "+show(s.To))
			for _, u := range s.Fill {
				if u.Whole {
					units++
				} else {
					pieces[u.Length]++
				}
			}
		}
		pg.add(textCell(c.Wall), textCell(c.Level), textCell(c.Pour), textCell(c.Line), textCell(c.CoreName), wholeCell(int64(c.Number)),
			rightCell(show(c.Bottom)), rightCell(show(c.Height)), textCell(kind), textCell(c.Face), textCell(strings.Join(spans, "; ")),
			wholeCell(units), textCell(countedLengths(pieces, p.job.Report)), quantityCell(trimmed(c.CornerUnits.Quantity())), wholeCell(c.EndCaps))
	}
	return pg, nil
}

// countedLengths lists pieces longest first: 2 × 1'-4"; 1 × 8".
func countedLengths(pieces map[length.Length]int64, s length.System) string {
	var lengths []length.Length
	for l := range pieces {
		lengths = append(lengths, l)
	}
	sort.Slice(lengths, func(i, j int) bool { return lengths[i] > lengths[j] })
	var list []string
	for _, l := range lengths {
		list = append(list, strconv.FormatInt(pieces[l], 10)+" × "+l.Show(s))
	}
	return strings.Join(list, "; ")
}

// trimmed is d without trailing zeros, so that a whole number shows as one.
func trimmed(d decimal.Decimal) decimal.Decimal {
	if d.IsInteger() {
		return d.Truncate(0)
	}
	return d
}

// barList is one row a like lot of bars.
func (p *priced) barList() (*page, error) {
	pg := newPage(tabBars, "Bar list", p.under, "Cut lengths, laps and splices in; legs are out to out. Check it against the engineer's drawings before you order.")
	pg.table, pg.tableCols = "BarList", 14
	pg.head("Mark", "Size", ">Count", ">Length", "Shape", "Legs", "Bending", ">Mass", "Unit", "Wall", "Opening", "Level", "Pour", "Rule")
	for i := range p.t.Bars {
		b := &p.t.Bars[i]
		bent := "straight"
		if b.Bent {
			bent = "bent"
		}
		var legs []string
		for _, l := range b.Legs {
			legs = append(legs, l.Show(p.job.Report))
		}
		size := ""
		if b.Bar != nil {
			size = b.Bar.Size
		}
		pg.add(textCell(b.Mark), textCell(size), wholeCell(b.Count), rightCell(b.Length.Show(p.job.Report)), textCell(b.Shape), textCell(strings.Join(legs, " + ")),
			textCell(bent), quantityCell(b.Mass), textCell(string(p.t.Units.Mass)), textCell(b.Wall), textCell(b.Opening), textCell(b.Level), textCell(b.Pour), textCell(b.Rule))
	}
	return pg, nil
}

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
