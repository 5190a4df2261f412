package exact

import (
	"math"
	"math/big"
	"math/bits"

	"lukechampine.com/uint128"
)

// Nearly every position and length fits a fraction of 64-bit integers: the functions here work on those and say when a
// result does not fit, so that the caller takes big integers. A value that fits is never kept big.

// powersOfTen are those that fit.
var powersOfTen = func() (p [19]int64) {
	p[0] = 1
	for i := 1; i < len(p); i++ {
		p[i] = 10 * p[i-1]
	}
	return p
}()

// fitting is r as a small fraction, where it fits.
func fitting(r *big.Rat) (Num, bool) {
	if !r.Num().IsInt64() || !r.Denom().IsInt64() || r.Num().Int64() == math.MinInt64 {
		return Num{}, false
	}
	return Num{n: r.Num().Int64(), under: r.Denom().Int64() - 1}, true
}

// fromBig takes r over.
func fromBig(r *big.Rat) Num {
	if x, ok := fitting(r); ok {
		return x
	}
	w := wide{neg: r.Sign() < 0, big: r}
	if r.Num().BitLen() <= 128 && r.Denom().BitLen() <= 128 {
		w.n, w.d, w.big = uint128.FromBig(new(big.Int).Abs(r.Num())), uint128.FromBig(r.Denom()), nil
	}
	return Num{r: &w}
}

// reduced is a/b in lowest terms with b positive.
func reduced(a, b int64) (Num, bool) {
	if b == 0 || a == math.MinInt64 || b == math.MinInt64 {
		return Num{}, false
	}
	if b < 0 {
		a, b = -a, -b
	}
	if b != 1 {
		if g := gcd(a, b); g > 1 {
			a, b = a/g, b/g
		}
	}
	return Num{n: a, under: b - 1}, true
}

// gcd is the greatest common divisor of |a| and b, b positive.
func gcd(a, b int64) int64 {
	if a < 0 {
		a = -a
	}
	return int64(gcd64(uint64(a), uint64(b)))
}

// gcd64 is the greatest common divisor of a and b, not both 0: by halving and taking away (Knuth, The Art of Computer
// Programming 2, 4.5.2, algorithm B).
func gcd64(a, b uint64) uint64 {
	if a == 0 || b == 0 {
		return a | b
	}
	twos := bits.TrailingZeros64(a | b)
	a >>= bits.TrailingZeros64(a)
	for b != 0 {
		b >>= bits.TrailingZeros64(b)
		if a > b {
			a, b = b, a
		}
		b -= a
	}
	return a << twos
}

// times is a × b.
func times(a, b int64) (int64, bool) {
	ua, ub := uint64(a), uint64(b)
	neg := (a < 0) != (b < 0)
	if a < 0 {
		ua = -ua
	}
	if b < 0 {
		ub = -ub
	}
	hi, lo := bits.Mul64(ua, ub)
	if hi != 0 || lo > math.MaxInt64 {
		return 0, false
	}
	if neg {
		return -int64(lo), true
	}
	return int64(lo), true
}

// plus is a + b.
func plus(a, b int64) (int64, bool) {
	c := a + b
	if (a >= 0) == (b >= 0) && (c >= 0) != (a >= 0) || c == math.MinInt64 {
		return 0, false
	}
	return c, true
}

func addSmall(a, b Num) (Num, bool) {
	if a.r != nil || b.r != nil {
		return Num{}, false
	}
	if a.under == b.under {
		n, ok := plus(a.n, b.n)
		if !ok {
			return Num{}, false
		}
		if a.under == 0 {
			return Num{n: n}, true
		}
		return reduced(n, a.under+1)
	}
	// a/c + b/d with g = gcd(c, d): (a·(d/g) + b·(c/g)) / (c·(d/g)).
	c, d := a.under+1, b.under+1
	g := gcd(c, d)
	x, ok1 := times(a.n, d/g)
	y, ok2 := times(b.n, c/g)
	under, ok3 := times(c, d/g)
	n, ok4 := plus(x, y)
	if !ok1 || !ok2 || !ok3 || !ok4 {
		return Num{}, false
	}
	return reduced(n, under)
}

func mulSmall(a, b Num) (Num, bool) {
	if a.r != nil || b.r != nil {
		return Num{}, false
	}
	an, ad, bn, bd := a.n, a.under+1, b.n, b.under+1
	if an == 0 || bn == 0 {
		return Num{}, true
	}
	if bd != 1 {
		g := gcd(an, bd)
		an, bd = an/g, bd/g
	}
	if ad != 1 {
		g := gcd(bn, ad)
		bn, ad = bn/g, ad/g
	}
	n, ok1 := times(an, bn)
	d, ok2 := times(ad, bd)
	return Num{n: n, under: d - 1}, ok1 && ok2
}

// inverse is 1/a; a is small and not 0.
func (a Num) inverse() Num {
	if a.n < 0 {
		return Num{n: -a.under - 1, under: -a.n - 1}
	}
	return Num{n: a.under + 1, under: a.n - 1}
}

func cmpSmall(a, b Num) (int, bool) {
	if a.r != nil || b.r != nil {
		return 0, false
	}
	x, y := a.n, b.n
	if a.under != b.under {
		if (a.n < 0) != (b.n < 0) || a.n == 0 || b.n == 0 {
			x, y = a.n, b.n // the signs tell
		} else {
			var ok1, ok2 bool
			x, ok1 = times(a.n, b.under+1)
			y, ok2 = times(b.n, a.under+1)
			if !ok1 || !ok2 {
				return 0, false
			}
		}
	}
	switch {
	case x < y:
		return -1, true
	case x > y:
		return 1, true
	}
	return 0, true
}

// floorDiv is floor(a/b), b positive.
func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// roundSmall is Round in whole 10^−places, where 128 bits hold the numerator.
func (a Num) roundSmall(places int32) (int64, bool) {
	if a.r != nil || places < 0 || int(places) >= len(powersOfTen) {
		return 0, false
	}
	n, d := uint64(a.n), uint64(a.under)+1
	if a.n < 0 {
		n = -n
	}
	hi, lo := bits.Mul64(n, uint64(powersOfTen[places]))
	lo, carry := bits.Add64(lo, d/2, 0)
	hi += carry
	if hi >= d {
		return 0, false
	}
	q, _ := bits.Div64(hi, lo, d)
	if q > math.MaxInt64 {
		return 0, false
	}
	if a.n < 0 {
		return -int64(q), true
	}
	return int64(q), true
}
