package pricing

import (
	"fmt"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/unit"
)

// orderPlaces are the decimals at which P-ORDER rounds before it raises, and those of an order without a Pack.
const orderPlaces = 6

var one = decimal.NewFromInt(1)

// raise is P-ORDER: ceil(round(net × (1 + waste) / pack, 6)) × pack, without a pack round(net × (1 + waste), 6).
func raise(net, waste decimal.Decimal, pack *decimal.Decimal) decimal.Decimal {
	gross := net.Mul(one.Add(waste))
	if pack == nil {
		return plain(gross.Round(orderPlaces))
	}
	if pack.Equal(one) {
		return gross.Round(orderPlaces).Ceil()
	}
	return plain(exact.Dec(gross).Div(exact.Dec(*pack)).Round(orderPlaces).Ceil().Mul(*pack))
}

// packOf is the Pack in force of a row: its own, 1 for ea and pack names, else none.
func packOf(r *takeoff.PriceRow, u unit.Unit) *decimal.Decimal {
	if r != nil && r.Pack != nil && r.Pack.IsPositive() {
		return r.Pack
	}
	if u.Dimension() == unit.Count {
		return &one
	}
	return nil
}

// blocks are the row's breaks and prices as the live formula looks them up: three of each, an unused From above every
// order with its price repeated (P-PRICE).
func blocks(r *takeoff.PriceRow) (from [3]decimal.Decimal, prices [3]*decimal.Decimal) {
	from = [3]decimal.Decimal{{}, UnusedFrom, UnusedFrom}
	if r == nil {
		return from, prices
	}
	prices[0] = &r.Price
	for i := 1; i < 3; i++ {
		prices[i] = prices[i-1]
		if i <= len(r.Breaks) {
			from[i], prices[i] = r.Breaks[i-1].From, &r.Breaks[i-1].Price
		}
	}
	return from, prices
}

// priceAt is P-PRICE: the price of the highest break whose From is not above the order.
func priceAt(r *takeoff.PriceRow, order decimal.Decimal) *decimal.Decimal {
	p := &r.Price
	for i := range r.Breaks {
		if r.Breaks[i].From.LessThanOrEqual(order) {
			p = &r.Breaks[i].Price
		}
	}
	return p
}

// extend is P-EXT: order × price rounded half away from zero to the minor unit.
func extend(order, price decimal.Decimal, minor int32) decimal.Decimal {
	return order.Mul(price).Round(minor)
}

// checkBreaks is P-PRICE's order of breaks, on every price row whether used or not: From 3 > From 2 > 0.
func checkBreaks(rows []*takeoff.PriceRow) []takeoff.Finding {
	var findings []takeoff.Finding
	columns := [...]string{"from 2", "from 3"}
	for _, r := range rows {
		before := decimal.Decimal{}
		for i, b := range r.Breaks {
			if b.From.LessThanOrEqual(before) {
				column := columns[min(i, 1)]
				findings = append(findings, takeoff.Finding{Severity: takeoff.Error, Rule: "P-PRICE", At: r.At.At(r.Columns[column]),
					Subject: r.Item, Cell: b.From.String(), Message: fmt.Sprintf("break %d is not above %s: From 3 is above From 2 and From 2 above 0", i+2, before)})
			}
			before = b.From
		}
	}
	return findings
}

// cheaperLarger is the order at which a break makes a larger order cost less than this one: the least such, a whole number
// of packs; ok is false when there is none (P-PRICE).
func cheaperLarger(r *takeoff.PriceRow, order decimal.Decimal, pack *decimal.Decimal, minor int32) (larger decimal.Decimal, ok bool) {
	now := extend(order, *priceAt(r, order), minor)
	for _, b := range r.Breaks {
		if b.From.LessThanOrEqual(order) {
			continue
		}
		q := raise(b.From, decimal.Decimal{}, pack)
		if q.GreaterThan(order) && extend(q, *priceAt(r, q), minor).LessThan(now) {
			return q, true
		}
	}
	return larger, false
}
