// Package exact is arithmetic on exact fractions, for positions, shares and areas under a slope that integers cannot hold.
//
// Nothing here rounds unless its name says so: Length rounds half up to the nanometre, Round half away from zero to the
// places given, Quantity as a finished takeoff line is rounded. It refuses division by zero by panicking: that is a bug of
// the caller. Read Num first.
package exact

import (
	"math/big"

	"github.com/shopspring/decimal"

	"wallbill/takeoff/length"
)

// Num is an exact fraction. The zero value is 0. Values are immutable.
type Num struct{ r *big.Rat }

var zero = new(big.Rat)

func (a Num) rat() *big.Rat {
	if a.r == nil {
		return zero
	}
	return a.r
}

// Int is the whole number n.
func Int(n int64) Num { return Num{new(big.Rat).SetInt64(n)} }

// Frac is a/b; b is not 0.
func Frac(a, b int64) Num { return Num{big.NewRat(a, b)} }

// Len is a length as a number of nanometres.
func Len(l length.Length) Num { return Int(int64(l)) }

// Dec is a decimal, exactly.
func Dec(d decimal.Decimal) Num { return Num{d.Rat()} }

// Add is a + b.
func (a Num) Add(b Num) Num { return Num{new(big.Rat).Add(a.rat(), b.rat())} }

// Sub is a − b.
func (a Num) Sub(b Num) Num { return Num{new(big.Rat).Sub(a.rat(), b.rat())} }

// Mul is a × b.
func (a Num) Mul(b Num) Num { return Num{new(big.Rat).Mul(a.rat(), b.rat())} }

// Div is a / b; b is not 0.
func (a Num) Div(b Num) Num { return Num{new(big.Rat).Quo(a.rat(), b.rat())} }

// Neg is −a.
func (a Num) Neg() Num { return Num{new(big.Rat).Neg(a.rat())} }

// Times is a × n.
func (a Num) Times(n int64) Num { return a.Mul(Int(n)) }

// Cmp is −1, 0 or 1 as a is less than, equal to or greater than b.
func (a Num) Cmp(b Num) int { return a.rat().Cmp(b.rat()) }

// Sign is −1, 0 or 1.
func (a Num) Sign() int { return a.rat().Sign() }

// IsZero tells whether a is 0.
func (a Num) IsZero() bool { return a.rat().Sign() == 0 }

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
	q := new(big.Int).Div(a.rat().Num(), a.rat().Denom()) // Euclidean; the denominator is positive, so this is floor
	if !q.IsInt64() {
		panic("exact: whole part out of range")
	}
	return q.Int64()
}

// Ceil is the least whole number not below a. It panics outside int64.
func (a Num) Ceil() int64 { return -a.Neg().Floor() }

// IsInt tells whether a is a whole number.
func (a Num) IsInt() bool { return a.rat().IsInt() }

// Length rounds a, in nanometres, half up to a whole nanometre.
func (a Num) Length() length.Length {
	return length.Length(a.Add(Frac(1, 2)).Floor())
}

// Round is a rounded half away from zero to that many decimals, as a decimal.
func (a Num) Round(places int32) decimal.Decimal {
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
	places := int32(QuantityPlaces)
	whole := new(big.Int).Quo(a.rat().Num(), a.rat().Denom())
	if whole.Sign() != 0 {
		if n := len(new(big.Int).Abs(whole).String()); n+QuantityPlaces > SignificantDigits {
			places = int32(SignificantDigits - n)
		}
	}
	return a.Round(max(places, 0))
}

// Rat is a as a new big.Rat.
func (a Num) Rat() *big.Rat { return new(big.Rat).Set(a.rat()) }

// String prints a as a fraction, for messages in tests.
func (a Num) String() string { return a.rat().RatString() }

// FromRat is r, copied.
func FromRat(r *big.Rat) Num { return Num{new(big.Rat).Set(r)} }
