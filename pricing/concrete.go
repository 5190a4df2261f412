package pricing

import (
	"github.com/shopspring/decimal"

	"wallbill/takeoff"
)

// concreteOrder is what the pours order of a concrete item, in the job's unit of volume.
type concreteOrder struct {
	total sum
	pours spread
}

// readPours gathers the pours' orders by concrete item (P-CONCRETE), and what extras add to one outside any pour's order.
func (p *pricer) readPours() {
	p.concrete = map[string]*concreteOrder{}
	open := func(t *tally) *concreteOrder {
		c := p.concrete[t.key]
		if c == nil {
			c = &concreteOrder{}
			p.concrete[t.key] = c
			p.book.rankAs(t, "R-CORE")
		}
		return c
	}
	add := func(item, pour string, volume, order decimal.Decimal) {
		k := takeoff.ItemKey(item)
		if k == "" || order.IsZero() && p.book.byKey[k] == nil {
			return
		}
		t := p.book.tally(item)
		c := open(t)
		if volume.IsNegative() {
			p.belowZeroIn(t, pour, volume)
		}
		c.total.add(order)
		if i := p.book.pours.index(pour); i >= 0 {
			c.pours.add(i, order)
		}
	}
	byPour := map[string][2]string{} // the concrete items of each pour, as keys
	for i := range p.t.Pours {
		plan := &p.t.Pours[i]
		byPour[takeoff.ItemKey(plan.Pour)] = [2]string{takeoff.ItemKey(plan.WallItem), takeoff.ItemKey(plan.FootingItem)}
		add(plan.WallItem, plan.Pour, plan.WallConcrete, plan.WallOrder)
		add(plan.FootingItem, plan.Pour, plan.FootingConcrete, plan.FootingOrder)
	}
	// Concrete that only extras and factors name is concrete too.
	items := func(pour string) [2]string {
		k := takeoff.ItemKey(pour)
		of, ok := byPour[k]
		if !ok {
			walls, footings := p.job.ConcreteItems(pour)
			of = [2]string{takeoff.ItemKey(walls), takeoff.ItemKey(footings)}
			byPour[k] = of
		}
		return of
	}
	for _, name := range append([]string{""}, p.cal.Pours...) {
		for _, k := range items(name) {
			if t := p.book.byKey[k]; t != nil {
				open(t)
			}
		}
	}
	for key := range p.concrete {
		t := p.book.byKey[key]
		for _, k := range t.extras {
			line := &p.t.Lines[k]
			if of := items(line.Pour); line.Pour == "" || of[0] != key && of[1] != key {
				t.part(unitOf(p.job, line)).loose.add(line.Quantity)
			}
		}
	}
}

// belowZeroIn is P-NET's error for a pour: at the last extra that takes from its concrete.
func (p *pricer) belowZeroIn(t *tally, pour string, volume decimal.Decimal) {
	at := t.at
	for _, k := range t.extras {
		if l := &p.t.Lines[k]; takeoff.ItemKey(l.Pour) == takeoff.ItemKey(pour) && l.Quantity.IsNegative() {
			at = p.extraCell(k, "quantity")
		}
	}
	p.say(takeoff.Error, at, "P-NET", "%s: pour %s has %s %s, below zero", t.name, pour, volume, p.t.Units.Volume)
}

// concreteItem is P-CONCRETE: the net is the sum of the pours' orders, with extras of no pour and factors beside it.
func (p *pricer) concreteItem(t *tally, rows []*takeoff.PriceRow) {
	row, _ := p.choose(t, rows)
	it := p.start(t, row)
	it.Concrete, it.placed, it.PoursByOrder = true, true, true
	it.TakeoffUnit = p.t.Units.Volume
	if row == nil {
		it.Unit = it.TakeoffUnit
	}
	orders := p.concrete[t.key]
	times, over, ok := factor(it.TakeoffUnit, it.Unit, 0, nil)
	if !ok {
		p.say(takeoff.Error, cell(row, "unit"), "P-UNIT", "%s", mismatch(t.name, it.TakeoffUnit, row.Unit))
		it.Row, it.Unit = nil, it.TakeoffUnit
		times, over = one, one
	}
	net := convert(orders.total.total(), times, over)
	beside, ok := p.converted(t, it.Row, it.Unit, nil, func(q *part) decimal.Decimal {
		return q.loose.total().Add(q.factor.total())
	})
	if ok {
		net = net.Add(beside)
	}
	it.plan(net, tabPours)
	p.finish(t, it)
}
