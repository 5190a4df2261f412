package pricing

import (
	"strings"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// The items of reinforcement: bar-#4 by stock length or mass, bent-#4 cut and bent (P-BARS).
const (
	itemBar  = "bar-"
	itemBent = "bent-"
)

// barSize is the size that an item key names, nil when it is no bar; bent tells that it is the bent one.
func barSize(key string) (size *takeoff.Bar, bent bool) {
	if s, ok := strings.CutPrefix(key, itemBar); ok {
		return takeoff.BarBySize(s), false
	}
	if s, ok := strings.CutPrefix(key, itemBent); ok {
		return takeoff.BarBySize(s), true
	}
	return nil, false
}

// stockRow tells whether a row of a bar is a stock length of its cut plan: counted or by mass, with a Length.
func stockRow(r *takeoff.PriceRow) bool {
	d := r.Unit.Dimension()
	return r.Length > 0 && (d == unit.Count || d == unit.Mass)
}

// barItem is P-BARS: with stock lengths a row a length, its net the pieces that the cut plans buy of it (or their nominal
// mass); else by mass or length, the sum of its lines.
func (p *pricer) barItem(t *tally, bar *takeoff.Bar, rows []*takeoff.PriceRow) {
	var stock []*takeoff.PriceRow
	var byMass *takeoff.PriceRow
	for _, r := range rows {
		switch {
		case stockRow(r):
			stock = append(stock, r)
		case byMass == nil && r.Length == 0 && r.Unit.Dimension() == unit.Mass:
			byMass = r
		}
	}
	if byMass != nil { // cut-and-bent steel: no cut plan
		for _, r := range rows {
			if r != byMass {
				p.say(takeoff.Note, cell(r, "item"), "P-BARS", "%s: not used: the row by mass without a Length buys it cut and bent", t.name)
			}
		}
		p.sumItem(t, []*takeoff.PriceRow{byMass}, bar, "")
		return
	}
	if len(stock) == 0 {
		p.sumItem(t, rows, bar, "")
		return
	}
	for _, r := range rows {
		if !stockRow(r) {
			p.say(takeoff.Note, cell(r, "item"), "P-BARS", "%s: not used: the rows with a Length are the cut plan's stock", t.name)
		}
	}
	if t.factor >= 0 {
		p.say(takeoff.Error, p.t.Lines[t.factor].At, "P-BARS", "%s is bought by its cut plan: a Factor cannot add to it; an Extras row of kind quantity can", t.name)
	}
	pieces := map[length.Length]int64{}
	bought := int64(0)
	for i := range p.t.Cuts {
		pool := &p.t.Cuts[i]
		if pool.Bar == nil || takeoff.ItemKey(pool.Item) != t.key {
			continue
		}
		for _, pattern := range pool.Plan.Patterns {
			pieces[length.Length(pool.Problem.Stock[pattern.Stock].Length)] += pattern.Times
			bought += pattern.Times
		}
	}
	for _, r := range stock {
		n := pieces[r.Length]
		bought -= n
		delete(pieces, r.Length)
		it := p.start(t, r)
		it.Sum = p.barSum(t)
		net := decimal.NewFromInt(n)
		if r.Unit.Dimension() == unit.Mass {
			net = r.Unit.Of(bar.MassOf(exact.Len(r.Length)).Times(n)).Round(netPlaces)
		}
		it.plan(net, tabCuts)
		p.finish(t, it)
	}
	if bought > 0 || p.nothingCut(t, stock) {
		p.say(takeoff.Error, t.at, "P-BARS", "%s: no cut plan from the lengths of Prices covers it", t.name)
	}
}

// barSum is the sum of a bar's lines where they are in one unit; a stock row's net does not come from it.
func (p *pricer) barSum(t *tally) decimal.Decimal {
	if t.mixed() {
		return decimal.Decimal{}
	}
	return t.sum()
}

// nothingCut tells that a bar has lines and its stock rows buy nothing. Lines are rounded one by one: what extras took out
// whole may leave some billionths of a foot.
func (p *pricer) nothingCut(t *tally, stock []*takeoff.PriceRow) bool {
	for _, it := range p.bid.Items[len(p.bid.Items)-len(stock):] {
		if !it.Net.IsZero() {
			return false
		}
	}
	for i := range t.parts {
		if t.parts[i].sum.total().Round(3).IsPositive() {
			return true
		}
	}
	return false
}

// bentItem is P-BARS for a row bent-<size>: pieces of the bar list when counted, else the nominal mass of its lines.
func (p *pricer) bentItem(t *tally, bar *takeoff.Bar, rows []*takeoff.PriceRow) {
	row, _ := p.choose(t, rows)
	if row == nil || row.Unit.Dimension() != unit.Count {
		p.sumItem(t, rows, bar, "")
		return
	}
	pieces := int64(0)
	for i := range p.t.Bars {
		if b := &p.t.Bars[i]; b.Bent && b.Bar != nil && b.Bar.Size == bar.Size {
			pieces += b.Count
		}
	}
	it := p.start(t, row)
	net := decimal.NewFromInt(pieces)
	beside, ok := p.converted(t, row, row.Unit, nil, func(q *part) decimal.Decimal { return q.extra.total().Add(q.factor.total()) })
	if ok {
		net = net.Add(beside)
	}
	it.plan(net, tabBars)
	p.finish(t, it)
}
