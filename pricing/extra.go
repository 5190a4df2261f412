package pricing

import (
	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/unit"
)

// extras prices the rows of Extras that are money: add and allowance join direct, alternates are reckoned apart,
// exclusions are listed. Those of kind quantity are takeoff lines.
func (p *pricer) extras() {
	for _, x := range p.job.Extras {
		switch x.Kind {
		case takeoff.ExtraAdd, takeoff.ExtraAllowance:
			p.bid.Extras = append(p.bid.Extras, p.extra(x))
		case takeoff.ExtraAlternate:
			p.bid.Alternates = append(p.bid.Alternates, Alternate{Extra: p.extra(x)})
		case takeoff.ExtraExclusion:
			p.bid.Exclusions = append(p.bid.Exclusions, *x)
		}
	}
}

// extra is a row's Quantity × Price, rounded. A blank Price with an Item takes that item's price row at the Quantity, in
// the row's unit; none is P-MISSING.
func (p *pricer) extra(x *takeoff.ExtraRow) Extra {
	e := Extra{Line: x.Line, Extra: x, Quantity: plain(x.Quantity), Unit: x.Unit, Price: x.Price}
	if e.Price == nil {
		e.Row = p.extraRow(x)
		if e.Row == nil {
			p.bid.Unpriced++
			at := x.At.At(x.Columns["price"])
			if x.Item == "" {
				p.say(takeoff.Warning, at, "P-MISSING", "%s has no Price and no Item to take one from: it counts nothing and the bid is INCOMPLETE", x.Line)
			} else {
				p.say(takeoff.Warning, at, "P-MISSING", "%s has no Price and %s no row of Prices: it counts nothing and the bid is INCOMPLETE", x.Line, x.Item)
			}
			return e
		}
		if e.Unit == "" {
			e.Unit = e.Row.Unit
		}
		times, over, ok := factor(e.Unit, e.Row.Unit, e.Row.Length, nil)
		if !ok {
			p.say(takeoff.Error, x.At.At(x.Columns["unit"]), "P-UNIT", "%s", mismatch(x.Item, e.Row.Unit, e.Unit))
			e.Row = nil
			p.bid.Unpriced++
			return e
		}
		e.Quantity, e.Unit = convert(e.Quantity, times, over), e.Row.Unit
		e.Price = priceAt(e.Row, e.Quantity)
		p.quote(e.Row)
	}
	ext := extend(e.Quantity, *e.Price, p.job.MinorDigits)
	e.Extension = &ext
	return e
}

// extraRow is the price row of an extra's item: in the extra's unit where one is, else of the same dimension; of several
// Lengths the cheapest by length.
func (p *pricer) extraRow(x *takeoff.ExtraRow) *takeoff.PriceRow {
	rows := p.rows(takeoff.ItemKey(x.Item))
	if x.Item == "" || len(rows) == 0 {
		return nil
	}
	fit := func(ok func(unit.Unit) bool) *takeoff.PriceRow {
		var some []*takeoff.PriceRow
		for _, r := range rows {
			if ok(r.Unit) {
				some = append(some, r)
			}
		}
		if len(some) == 0 {
			return nil
		}
		if r := takeoff.CheapestByLength(some); r != nil {
			return r
		}
		return some[0]
	}
	if x.Unit != "" {
		if r := fit(func(u unit.Unit) bool { return u == x.Unit }); r != nil {
			return r
		}
		if r := fit(func(u unit.Unit) bool { return u.Dimension() == x.Unit.Dimension() }); r != nil {
			return r
		}
	}
	return fit(func(unit.Unit) bool { return true })
}

// extraTotal is the extras' sum.
func extraTotal(extras []Extra) decimal.Decimal {
	total := decimal.Decimal{}
	for i := range extras {
		if extras[i].Extension != nil {
			total = total.Add(*extras[i].Extension)
		}
	}
	return total
}
