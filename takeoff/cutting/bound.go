package cutting

import "math/big"

// bound returns a price that no plan goes under, in units of q.unit, from any
// values v of the lines: where a stock piece of size j can hold pieces worth at
// most most[j], a plan with n[j] of them holds at most sum(n[j]*most[j]), which
// must reach sum(d*v). So the price is at least sum(d*v) times the least
// price[j]/most[j], rounded up because prices are whole units.
func (q *demand) bound(v, most []int64, _ []int64) int64 {
	if most == nil {
		most = q.size
	}
	worth := new(big.Int)
	for i := range v {
		x := big.NewInt(v[i])
		worth.Add(worth, x.Mul(x, big.NewInt(q.d[i])))
	}
	var least *big.Int
	for j := range most {
		if most[j] == 0 {
			continue
		}
		x := new(big.Int).Mul(worth, big.NewInt(q.price[j]))
		m := big.NewInt(most[j])
		x.Add(x, m).Sub(x, big.NewInt(1)).Quo(x, m)
		if least == nil || x.Cmp(least) < 0 {
			least = x
		}
	}
	if least == nil || !least.IsInt64() {
		return 0
	}
	return least.Int64()
}
