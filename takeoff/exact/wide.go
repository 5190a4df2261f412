package exact

import (
	"math"
	"math/big"

	"lukechampine.com/uint128"
)

// Areas in square nanometres pass 64 bits at nine square metres, volumes always: they are fractions of 128-bit integers
// here. The functions say when a result does not fit these either, so that the caller takes big integers.

// wide is a fraction that does not fit 64 bits. Values are immutable.
type wide struct {
	neg  bool
	n, d uint128.Uint128 // |value| in lowest terms where big is nil
	big  *big.Rat        // the value where it does not fit 128 bits; else nil
}

// parts is a as a fraction of 128-bit integers.
func (a Num) parts() (w wide, ok bool) {
	if a.r != nil {
		return *a.r, a.r.big == nil
	}
	n := uint64(a.n)
	if a.n < 0 {
		n = -n
	}
	return wide{neg: a.n < 0, n: uint128.From64(n), d: uint128.From64(uint64(a.under) + 1)}, true
}

// num is w, in lowest terms and not big, as a Num: small where it fits.
func (w wide) num() Num {
	if w.n.Hi == 0 && w.d.Hi == 0 && w.n.Lo <= math.MaxInt64 && w.d.Lo <= math.MaxInt64 {
		n := int64(w.n.Lo)
		if w.neg {
			n = -n
		}
		return Num{n: n, under: int64(w.d.Lo) - 1}
	}
	big := w // a copy, so that a small one takes no memory
	return Num{r: &big}
}

// rat is w as a new big fraction.
func (w *wide) rat() *big.Rat {
	if w.big != nil {
		return new(big.Rat).Set(w.big)
	}
	n := w.n.Big()
	if w.neg {
		n.Neg(n)
	}
	return new(big.Rat).SetFrac(n, w.d.Big())
}

// fits tells whether a product of integers of these many bits is sure to fit 128.
func fits(a, b uint128.Uint128) bool { return a.Len()+b.Len() <= 128 }

// addWide is a + b: with g = gcd(c, d), a/c + b/d = (a·(d/g) ± b·(c/g)) / (c·(d/g)).
func addWide(a, b Num) (Num, bool) {
	x, ok1 := a.parts()
	y, ok2 := b.parts()
	if !ok1 || !ok2 {
		return Num{}, false
	}
	under := x.d
	if x.d != y.d {
		g := gcd128(x.d, y.d)
		p, q := y.d.Div(g), x.d.Div(g)
		if !fits(x.n, p) || !fits(y.n, q) || !fits(x.d, p) {
			return Num{}, false
		}
		x.n, y.n, under = x.n.Mul(p), y.n.Mul(q), x.d.Mul(p)
	}
	sum := wide{neg: x.neg, d: under}
	switch c := x.n.Cmp(y.n); {
	case x.neg == y.neg:
		if x.n.Len() == 128 || y.n.Len() == 128 {
			return Num{}, false
		}
		sum.n = x.n.Add(y.n)
	case c == 0:
		return Num{}, true
	case c > 0:
		sum.n = x.n.Sub(y.n)
	default:
		sum.n, sum.neg = y.n.Sub(x.n), y.neg
	}
	if sum.d != one {
		if g := gcd128(sum.n, sum.d); g != one {
			sum.n, sum.d = sum.n.Div(g), sum.d.Div(g)
		}
	}
	return sum.num(), true
}

var one = uint128.From64(1)

// mulWide is a × b.
func mulWide(a, b Num) (Num, bool) {
	x, ok1 := a.parts()
	y, ok2 := b.parts()
	if !ok1 || !ok2 {
		return Num{}, false
	}
	return product(x, y)
}

// divWide is a / b; b is not 0.
func divWide(a, b Num) (Num, bool) {
	x, ok1 := a.parts()
	y, ok2 := b.parts()
	if !ok1 || !ok2 || y.n.IsZero() {
		return Num{}, false
	}
	y.n, y.d = y.d, y.n
	return product(x, y)
}

func product(x, y wide) (Num, bool) {
	if x.n.IsZero() || y.n.IsZero() {
		return Num{}, true
	}
	x.n, y.d = lowest(x.n, y.d)
	y.n, x.d = lowest(y.n, x.d)
	if !fits(x.n, y.n) || !fits(x.d, y.d) {
		return Num{}, false
	}
	return wide{neg: x.neg != y.neg, n: x.n.Mul(y.n), d: x.d.Mul(y.d)}.num(), true
}

// lowest is n/d in lowest terms, n not 0.
func lowest(n, d uint128.Uint128) (uint128.Uint128, uint128.Uint128) {
	if d == one {
		return n, d
	}
	if g := gcd128(n, d); g != one {
		return n.Div(g), d.Div(g)
	}
	return n, d
}

// gcd128 is the greatest common divisor of a and b, neither 0.
func gcd128(a, b uint128.Uint128) uint128.Uint128 {
	for b.Hi != 0 || a.Hi != 0 {
		if a.Cmp(b) < 0 {
			a, b = b, a
		}
		if b.Hi == 0 { // one step brings both below 64 bits
			r := a.Mod64(b.Lo)
			if r == 0 {
				return b
			}
			a, b = b, uint128.From64(r)
			break
		}
		r := a.Mod(b)
		if r.IsZero() {
			return b
		}
		a, b = b, r
	}
	return uint128.From64(gcd64(a.Lo, b.Lo))
}

// cmpWide compares a and b.
func cmpWide(a, b Num) (int, bool) {
	if s, t := a.Sign(), b.Sign(); s != t {
		return compare(s, t), true
	}
	x, ok1 := a.parts()
	y, ok2 := b.parts()
	if !ok1 || !ok2 {
		return 0, false
	}
	if x.d != y.d {
		if !fits(x.n, y.d) || !fits(y.n, x.d) {
			return 0, false
		}
		x.n, y.n = x.n.Mul(y.d), y.n.Mul(x.d)
	}
	if x.neg {
		return y.n.Cmp(x.n), true
	}
	return x.n.Cmp(y.n), true
}

func compare(a, b int) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// roundWide is Round in whole 10^−places, where 128 bits hold the numerator: floor((n·10^places + d/2) / d), which is the same as rounding the
// half away from zero since half of an odd d is never reached.
func (a Num) roundWide(places int32) (int64, bool) {
	w, ok := a.parts()
	if !ok || places < 0 || int(places) >= len(powersOfTen) {
		return 0, false
	}
	scale := uint128.From64(uint64(powersOfTen[places]))
	if !fits(w.n, scale) {
		return 0, false
	}
	n, half := w.n.Mul(scale), w.d.Rsh(1)
	if n.Len() == 128 || half.Len() == 128 {
		return 0, false
	}
	q := n.Add(half).Div(w.d)
	if q.Hi != 0 || q.Lo > math.MaxInt64 {
		return 0, false
	}
	if w.neg {
		return -int64(q.Lo), true
	}
	return int64(q.Lo), true
}
