package pricing

import "github.com/shopspring/decimal"

// Effects splits the change of quantity × price from q0 × p0 to q1 × p1 as an accountant does: the quantity effect
// (q1 − q0)·p0 at the old price and the price effect (p1 − p0)·q1 at the new quantity. The two add up exactly; what the
// rounded extensions differ by beside them is the rounding.
func Effects(q0, p0, q1, p1 decimal.Decimal) (quantity, price decimal.Decimal) {
	return q1.Sub(q0).Mul(p0), p1.Sub(p0).Mul(q1)
}
