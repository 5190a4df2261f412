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

// readPours gathers the pours' orders by concrete item (P-CONCRETE).
func (p *pricer) readPours() {
	p.concrete = map[string]*concreteOrder{}
	add := func(item, pour string, order decimal.Decimal) {
		if item == "" || order.IsZero() && p.book.byKey[takeoff.ItemKey(item)] == nil {
			return
		}
		t := p.book.tally(item)
		c := p.concrete[t.key]
		if c == nil {
			c = &concreteOrder{}
			p.concrete[t.key] = c
			p.book.rankAs(t, "R-CORE")
		}
		c.total.add(order)
		if i := p.book.pours.index(pour); i >= 0 {
			c.pours.add(i, order)
		}
	}
	for i := range p.t.Pours {
		plan := &p.t.Pours[i]
		add(plan.WallItem, plan.Pour, plan.WallOrder)
		add(plan.FootingItem, plan.Pour, plan.FootingOrder)
	}
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
