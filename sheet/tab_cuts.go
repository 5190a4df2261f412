package sheet

import (
	"fmt"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// cuts is how stock is cut: what each plan buys against the least any plan could cost, what a rule of thumb would have
// bought, then its patterns with what each piece is for.
func (p *priced) cuts() (*page, error) {
	hint := "Each pool is cut from its own stock. Proven: no plan can cost less. Keep: the drop is as long as the shortest piece of its pool, or longer."
	for _, k := range []struct {
		what    string
		setting takeoff.SettingID
	}{{"bars", takeoff.SetBarKerf}, {"form units", takeoff.SetFormKerf}} {
		if kerf := p.job.Settings.Len(k.setting); kerf > 0 {
			hint += " Kerf of " + k.what + ": " + kerf.Show(p.job.Report) + "."
		}
	}
	pg := newPage(tabCuts, "Cuts", p.under, hint)
	pg.most = map[int]float64{10: 50}
	pg.head("Item", "Level", "Pour", ">Pieces", ">Bought", ">Bought by total length", ">Cost", ">Least cost", "Unit", "Against the least")
	for i := range p.t.Cuts {
		c := &p.t.Cuts[i]
		n := int64(0)
		for _, q := range c.Problem.Pieces {
			n += q.Count
		}
		proof := "proven least"
		if !c.Plan.Proven {
			proof = "at most " + p.poolCost(c, c.Plan.Cost-c.Plan.LeastCost).String() + " " + p.poolUnit(c) + " over the least"
		}
		pg.add(textCell(c.Item), textCell(c.Level), textCell(c.Pour), wholeCell(n), wholeCell(c.Plan.Bought), wholeCell(c.RuleOfThumb),
			p.costCell(c, c.Plan.Cost), p.costCell(c, c.Plan.LeastCost), textCell(p.poolUnit(c)), textCell(proof))
	}
	none(pg, len(p.t.Cuts))
	p.ruleOfThumb(pg)
	p.patterns(pg)
	return pg, nil
}

// ruleOfThumb sets the plain rules beside the counts: for bars the total length over the longest stock, for form units the
// area over a unit's area and a waste.
func (p *priced) ruleOfThumb(pg *page) {
	pg.section("Beside the rules of thumb")
	pg.head("Item", "Level", "Pour", ">Rule buys", ">Plan buys", ">Cost by the rule", ">Cost by the plan", ">Plan less rule", "Unit", "Rule of thumb")
	rows := 0
	for i := range p.t.Cuts {
		c := &p.t.Cuts[i]
		if c.Bar == nil {
			continue
		}
		rows++
		total, longest := length.Length(0), -1
		for _, q := range c.Problem.Pieces {
			total += length.Length(q.Length * q.Count)
		}
		for k, s := range c.Problem.Stock {
			if longest < 0 || s.Length > c.Problem.Stock[longest].Length {
				longest = k
			}
		}
		if longest < 0 {
			continue
		}
		s := c.Problem.Stock[longest]
		by := s.Price * c.RuleOfThumb
		pg.add(textCell(c.Item), textCell(c.Level), textCell(c.Pour), wholeCell(c.RuleOfThumb), wholeCell(c.Plan.Bought), p.costCell(c, by), p.costCell(c, c.Plan.Cost), p.costCell(c, c.Plan.Cost-by),
			textCell(p.poolUnit(c)), textCell(fmt.Sprintf("total length %s over %s, the longest stock, rounded up", total.Near(p.job.Report).ShowStock(p.job.Report), length.Length(s.Length).ShowStock(p.job.Report))))
	}
	for i := range p.t.ByArea {
		a := &p.t.ByArea[i]
		rows++
		area := p.t.Units.Area
		counted := a.Counted.Quantity()
		pg.add(textCell(takeoff.ItemName(a.Line)+"-"+a.CoreName), outCell{}, outCell{}, wholeCell(a.Units), quantityCell(trimmed(counted)), outCell{}, outCell{},
			quantityCell(trimmed(counted.Sub(decimal.NewFromInt(a.Units)))), textCell("units"),
			textCell(fmt.Sprintf("%s %s over %s × %s and %d%% waste (common practice), rounded up; the plan's corner units, cut units and half courses included",
				area.Of(a.Area).Quantity().Round(2), area, a.UnitLength.ShowPiece(p.job.Report), a.CourseHeight.ShowPiece(p.job.Report), a.WastePercent)))
	}
	none(pg, rows)
}

// cutRow is a row of the patterns: a length of a cut, or what more of its pieces are for.
type cutRow struct {
	cut         *takeoff.Cut
	piece       int32
	first, lead bool // of the cut, of the length
	uses        string
}

// usesWidth is how many bytes of a row say what pieces are for; more go on in the next row.
const usesWidth = 240

// patterns is the plans as the saw follows them: a row a length of each cut, with what its pieces are for.
func (p *priced) patterns(pg *page) {
	pg.section("Patterns")
	pg.head("Item", "Level", "Pour", ">Cut", ">Times", ">Stock", ">Of one", ">Piece", ">In all", "For", ">Drop", "Keep")
	var rows []cutRow
	list := p.cutList()
	for i := range list {
		c := &list[i]
		for k := range c.Pattern.Pieces {
			uses := takeoff.UsesText(c.For[k], usesWidth)
			if len(uses) == 0 {
				uses = []string{""}
			}
			for j, u := range uses {
				rows = append(rows, cutRow{c, int32(k), k == 0 && j == 0, j == 0, u})
			}
		}
	}
	none(pg, len(rows))
	widths := []float64{
		widest("Item", len(rows), func(i int) string { return rows[i].cut.Pool.Item }),
		widest("Level", len(rows), func(i int) string { return rows[i].cut.Pool.Level }),
		widest("Pour", len(rows), func(i int) string { return rows[i].cut.Pool.Pour }), 9, 8, 14, 8, 14, 8, 50, 14, 7,
	}
	show := func(nm int64) outCell { return rightCell(length.Length(nm).ShowPiece(p.job.Report)) }
	pg.late = &lateRows{rows: len(rows), widths: widths, fill: func(i int, row []outCell) {
		r := &rows[i]
		c, q := r.cut.Pool, r.cut.Pattern
		copy(row, []outCell{textCell(c.Item), textCell(c.Level), textCell(c.Pour), wholeCell(int64(r.cut.Number))})
		row[9] = textCell(r.uses)
		if r.lead {
			x := q.Pieces[r.piece]
			row[6], row[7], row[8] = wholeCell(x.Count), show(x.Length), wholeCell(x.Count*q.Times)
		}
		if r.first {
			row[4], row[5], row[10] = wholeCell(q.Times), show(c.Problem.Stock[q.Stock].Length), show(q.Drop)
			if c.Keep(length.Length(q.Drop)) {
				row[11] = textCell("keep")
			}
		}
	}}
}

// cutList is the takeoff's cuts, numbered, made once.
func (p *priced) cutList() []takeoff.Cut {
	if p.cutsMade == nil {
		p.cutsMade = p.t.CutList()
	}
	return p.cutsMade
}

// poolUnit is what a plan's cost is in: money, or pieces where stock had no price.
func (p *priced) poolUnit(c *takeoff.CutPool) string {
	if c.Priced {
		return p.currency()
	}
	return "stock pieces"
}

// poolCost is a plan's cost in money, or in pieces where stock had no price.
func (p *priced) poolCost(c *takeoff.CutPool, cost int64) decimal.Decimal {
	return trimmed(decimal.New(cost, -c.PriceScale))
}

func (p *priced) costCell(c *takeoff.CutPool, cost int64) outCell {
	l := asMoney
	if !c.Priced {
		l = asWhole
	}
	return outCell{value: storedNumber(p.poolCost(c, cost)), look: l}
}
