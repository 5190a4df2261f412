// Package exact is arithmetic on exact fractions, for positions, shares and areas under a slope that integers cannot hold.
//
// Nothing here rounds unless its name says so: Length rounds half up to the nanometre, Round half away from zero to the
// places given, Quantity as a finished takeoff line is rounded. It refuses division by zero by panicking: that is a bug of
// the caller. Read Num first, then small.go and wide.go for how fractions of 64 and 128 bits are kept out of big integers.
package exact

import (
	"math"
	"math/big"

	"github.com/shopspring/decimal"

	"wallbill/takeoff/length"
)

// Num is an exact fraction. The zero value is 0. Values are immutable; equal values are == as long as they fit 64 bits.
type Num struct {
	// n/(under+1) in lowest terms where r is nil; the zero Num is then 0/1. math.MinInt64 is not used for n.
	n, under int64
	r        *wide // the value where it does not fit; else nil
}

// rat is a as a big fraction; not to be changed.
func (a Num) rat() *big.Rat {
	if a.r == nil {
		return big.NewRat(a.n, a.under+1)
	}
	if a.r.big == nil {
		return a.r.rat()
	}
	return a.r.big
}

// Int is the whole number n.
func Int(n int64) Num {
	if n == math.MinInt64 {
		return fromBig(new(big.Rat).SetInt64(n))
	}
	return Num{n: n}
}

// Frac is a/b; b is not 0.
func Frac(a, b int64) Num {
	if x, ok := reduced(a, b); ok {
		return x
	}
	return fromBig(big.NewRat(a, b))
}

// Len is a length as a number of nanometres.
func Len(l length.Length) Num { return Int(int64(l)) }

// Dec is a decimal, exactly.
func Dec(d decimal.Decimal) Num {
	if e := d.Exponent(); e <= 0 && e > -int32(len(powersOfTen)) && d.NumDigits() < len(powersOfTen) {
		return Frac(d.CoefficientInt64(), powersOfTen[-e])
	}
	return fromBig(d.Rat())
}

// Add is a + b.
func (a Num) Add(b Num) Num {
	switch { // sums begin at 0, and a wide number is not made anew for it
	case a == Num{}:
		return b
	case b == Num{}:
		return a
	}
	if x, ok := addSmall(a, b); ok {
		return x
	}
	if x, ok := addWide(a, b); ok {
		return x
	}
	return fromBig(new(big.Rat).Add(a.rat(), b.rat()))
}

// Sub is a − b.
func (a Num) Sub(b Num) Num {
	if (b == Num{}) {
		return a
	}
	return a.Add(b.Neg())
}

// Mul is a × b.
func (a Num) Mul(b Num) Num {
	switch one := (Num{n: 1}); { // repeats of a run are mostly 1
	case b == one:
		return a
	case a == one:
		return b
	}
	if x, ok := mulSmall(a, b); ok {
		return x
	}
	if x, ok := mulWide(a, b); ok {
		return x
	}
	return fromBig(new(big.Rat).Mul(a.rat(), b.rat()))
}

// Div is a / b; b is not 0.
func (a Num) Div(b Num) Num {
	if (b == Num{n: 1}) {
		return a
	}
	if b.r == nil && b.n != 0 {
		if x, ok := mulSmall(a, b.inverse()); ok {
			return x
		}
	}
	if x, ok := divWide(a, b); ok {
		return x
	}
	return fromBig(new(big.Rat).Quo(a.rat(), b.rat()))
}

// Neg is −a.
func (a Num) Neg() Num {
	if a.r == nil {
		a.n = -a.n
		return a
	}
	w := *a.r
	if w.neg = !w.neg; w.big != nil {
		w.big = new(big.Rat).Neg(w.big)
	}
	return Num{r: &w}
}

// Times is a × n.
func (a Num) Times(n int64) Num { return a.Mul(Int(n)) }

// Cmp is −1, 0 or 1 as a is less than, equal to or greater than b.
func (a Num) Cmp(b Num) int {
	if c, ok := cmpSmall(a, b); ok {
		return c
	}
	if c, ok := cmpWide(a, b); ok {
		return c
	}
	return a.rat().Cmp(b.rat())
}

// Sign is −1, 0 or 1.
func (a Num) Sign() int {
	switch {
	case a.r != nil && a.r.neg, a.r == nil && a.n < 0:
		return -1
	case a.r != nil:
		return 1
	case a.n > 0:
		return 1
	}
	return 0
}

// IsZero tells whether a is 0.
func (a Num) IsZero() bool { return a.Sign() == 0 }

// Min is the lesser of a and b.
func Min(a, b Num) Num {
	if a.Cmp(b) <= 0 {
		return a
	}
	return b
}

// Max is the greater of a and b.
func Max(a, b Num) Num {
	if a.Cmp(b) >= 0 {
		return a
	}
	return b
}

// Floor is the greatest whole number not above a. It panics outside int64.
func (a Num) Floor() int64 {
	if a.r == nil {
		return floorDiv(a.n, a.under+1)
	}
	if w := a.r; w.big == nil {
		if q, r := w.n.QuoRem(w.d); q.Hi == 0 && q.Lo < math.MaxInt64 {
			whole := int64(q.Lo)
			if !w.neg {
				return whole
			}
			if r.IsZero() {
				return -whole
			}
			return -whole - 1
		}
	}
	r := a.rat()
	q := new(big.Int).Div(r.Num(), r.Denom()) // Euclidean; the denominator is positive, so this is floor
	if !q.IsInt64() {
		panic("exact: whole part out of range")
	}
	return q.Int64()
}

// Ceil is the least whole number not below a. It panics outside int64.
func (a Num) Ceil() int64 { return -a.Neg().Floor() }

// IsInt tells whether a is a whole number.
func (a Num) IsInt() bool {
	if a.r == nil {
		return a.under == 0
	}
	return a.rat().IsInt()
}

// Length rounds a, in nanometres, half up to a whole nanometre.
func (a Num) Length() length.Length {
	if a.r == nil && a.under == 0 {
		return length.Length(a.n)
	}
	return length.Length(a.Add(Num{n: 1, under: 1}).Floor())
}

// Round is a rounded half away from zero to that many decimals, as a decimal.
func (a Num) Round(places int32) decimal.Decimal {
	if n, ok := a.roundSmall(places); ok {
		return decimal.New(n, -places)
	}
	if n, ok := a.roundWide(places); ok {
		return decimal.New(n, -places)
	}
	r := a.rat()
	scale := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil)
	n := new(big.Int).Mul(r.Num(), scale)
	neg := n.Sign() < 0
	n.Abs(n)
	n.Mul(n, big.NewInt(2))
	n.Add(n, r.Denom())
	n.Quo(n, new(big.Int).Mul(big.NewInt(2), r.Denom()))
	if neg {
		n.Neg(n)
	}
	return decimal.NewFromBigInt(n, -places)
}

// QuantityPlaces is the most decimals a finished line, driver or quotient carries; SignificantDigits the most digits a
// spreadsheet keeps of a number.
const (
	QuantityPlaces    = 9
	SignificantDigits = 15
)

// Quantity is a rounded as a finished line is: half up to 9 decimals, fewer where that passes 15 significant digits.
func (a Num) Quantity() decimal.Decimal {
	if a.r == nil && a.under == 0 && 0 <= a.n && a.n < int64(len(counts)) {
		return counts[a.n]
	}
	return a.Round(a.quantityPlaces())
}

func (a Num) quantityPlaces() int32 {
	if n := a.wholeDigits(); n+QuantityPlaces > SignificantDigits {
		return int32(max(SignificantDigits-n, 0))
	}
	return QuantityPlaces
}

// Finished is the quantity as a whole number of 10^−places; ok is false where that does not fit, and Quantity tells it.
func (a Num) Finished() (n int64, places int32, ok bool) {
	places = a.quantityPlaces()
	if n, ok = a.roundSmall(places); !ok {
		n, ok = a.roundWide(places)
	}
	return n, places, ok
}

// counts are the finished quantities of small whole numbers: those of about half of all lines. A decimal is never changed,
// so one stands for all of its value.
var counts = func() (d [256]decimal.Decimal) {
	for n := range d {
		d[n] = Int(int64(n)).Round(QuantityPlaces)
	}
	return d
}()

// wholeDigits is the number of digits before the decimal point; 0 for a fraction below 1.
func (a Num) wholeDigits() int {
	if a.r == nil {
		n := 0
		for q := a.n / (a.under + 1); q != 0; q /= 10 {
			n++
		}
		return n
	}
	if w := a.r; w.big == nil {
		if q := w.n.Div(w.d); q.Hi == 0 {
			n := 0
			for q := q.Lo; q != 0; q /= 10 {
				n++
			}
			return n
		}
	}
	r := a.rat()
	whole := new(big.Int).Quo(r.Num(), r.Denom())
	if whole.Sign() == 0 {
		return 0
	}
	return len(whole.Abs(whole).String())
}

// Rat is a as a new big.Rat.
func (a Num) Rat() *big.Rat { return new(big.Rat).Set(a.rat()) }

// String prints a as a fraction, for messages in tests.
func (a Num) String() string { return a.rat().RatString() }

// FromRat is r, copied.
func FromRat(r *big.Rat) Num { return fromBig(new(big.Rat).Set(r)) }
