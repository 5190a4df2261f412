// Package unit holds the units of quantities and prices with their exact factors.
//
// It refuses to convert between dimensions, and between two different pack names. Read Unit and Convert first.
// Factors: NIST SP 811, appendix B (1 in = 25.4 mm, 1 lb = 0.45359237 kg exactly).
package unit

import (
	"math/big"
	"strings"

	"github.com/shopspring/decimal"

	"wallbill/takeoff/exact"
)

// Unit is a unit's name as written in a Prices row (ft, sqft, cy, roll …). Pack names other than the listed ones are each
// their own Unit, lower case.
type Unit string

// The units that takeoff lines carry, and the others that price rows may use.
const (
	Each    Unit = "ea"
	Foot    Unit = "ft"
	Metre   Unit = "m"
	SqFoot  Unit = "sqft"
	SqMetre Unit = "m2"
	CuFoot  Unit = "cuft"
	CuYard  Unit = "cy"
	CuMetre Unit = "m3"
	Pound   Unit = "lb"
	Kilo    Unit = "kg"
	Ton     Unit = "ton"
	Tonne   Unit = "t"
	Hour    Unit = "hr"
	Day     Unit = "day"
	Week    Unit = "week"
	Weeks4  Unit = "4-week"
	Lump    Unit = "lump"
)

// Dimension is what a unit measures.
type Dimension string

// The dimensions of the units. Pack names are counts.
const (
	Count  Dimension = "count"
	Length Dimension = "length"
	Area   Dimension = "area"
	Volume Dimension = "volume"
	Mass   Dimension = "mass"
	Time   Dimension = "time"
	Period Dimension = "rental period"
	Sum    Dimension = "lump sum"
)

// size is a unit in the base of its dimension: nm, nm², nm³, 10⁻⁸ kg, hours, days.
type size struct {
	dim  Dimension
	base exact.Num
}

func whole(s string) exact.Num {
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		panic("unit: " + s)
	}
	return exact.FromRat(r)
}

var (
	sizeOfEach    = size{Count, whole("1")}
	sizeOfFoot    = size{Length, whole("304800000")}
	sizeOfMetre   = size{Length, whole("1000000000")}
	sizeOfSqFoot  = size{Area, whole("92903040000000000")}
	sizeOfSqMetre = size{Area, whole("1000000000000000000")}
	sizeOfCuFoot  = size{Volume, whole("28316846592000000000000000")}
	sizeOfCuYard  = size{Volume, whole("764554857984000000000000000")}
	sizeOfCuMetre = size{Volume, whole("1000000000000000000000000000")}
	sizeOfPound   = size{Mass, whole("45359237")}
	sizeOfKilo    = size{Mass, whole("100000000")}
	sizeOfTon     = size{Mass, whole("90718474000")}
	sizeOfTonne   = size{Mass, whole("100000000000")}
	sizeOfHour    = size{Time, whole("1")}
	sizeOfDay     = size{Period, whole("1")}
	sizeOfWeek    = size{Period, whole("7")}
	sizeOfWeeks4  = size{Period, whole("28")}
	sizeOfLump    = size{Sum, whole("1")}
)

// size of a listed unit; nil for a pack name. A takeoff asks some ten times a line, so it is a switch and no map.
func (u Unit) size() *size {
	switch u {
	case Each:
		return &sizeOfEach
	case Foot:
		return &sizeOfFoot
	case Metre:
		return &sizeOfMetre
	case SqFoot:
		return &sizeOfSqFoot
	case SqMetre:
		return &sizeOfSqMetre
	case CuFoot:
		return &sizeOfCuFoot
	case CuYard:
		return &sizeOfCuYard
	case CuMetre:
		return &sizeOfCuMetre
	case Pound:
		return &sizeOfPound
	case Kilo:
		return &sizeOfKilo
	case Ton:
		return &sizeOfTon
	case Tonne:
		return &sizeOfTonne
	case Hour:
		return &sizeOfHour
	case Day:
		return &sizeOfDay
	case Week:
		return &sizeOfWeek
	case Weeks4:
		return &sizeOfWeeks4
	case Lump:
		return &sizeOfLump
	}
	return nil
}

// Known tells whether u is one of the listed units (not a pack name).
func (u Unit) Known() bool { return u.size() != nil }

// Listed are the listed units in the order schedule pages name them.
var Listed = []Unit{Each, Foot, Metre, SqFoot, SqMetre, CuFoot, CuYard, CuMetre, Pound, Kilo, Ton, Tonne, Hour, Day, Week, Weeks4, Lump}

// Parse reads a unit cell: case and surrounding spaces do not matter; any other non-empty word is a pack name.
func Parse(s string) (Unit, bool) {
	s = strings.ToLower(strings.TrimSpace(s))
	return Unit(s), s != ""
}

// Dimension of u; a pack name is a count.
func (u Unit) Dimension() Dimension {
	if s := u.size(); s != nil {
		return s.dim
	}
	return Count
}

// Base is one u in the base of its dimension (nm, nm², nm³, 10⁻⁸ kg, hours, days; 1 for counts and packs).
func (u Unit) Base() exact.Num {
	if s := u.size(); s != nil {
		return s.base
	}
	return exact.Int(1)
}

// Convert gives exact times and over with q[to] = q[from] × times / over: over is 1 where the factor is a finite decimal
// (ft to m: 0.3048 and 1), times is 1 where its inverse is (m to ft: 1 and 0.3048; cuft to cy: 1 and 27), whole numbers
// otherwise. ok is false across dimensions and between two different pack names.
func Convert(from, to Unit) (times, over decimal.Decimal, ok bool) {
	one := decimal.NewFromInt(1)
	if from == to {
		return one, one, true
	}
	if from.Dimension() != to.Dimension() {
		return times, over, false
	}
	if from.Dimension() == Count {
		return one, one, from == Each || to == Each
	}
	times, over = Ratio(from.Base().Div(to.Base()))
	return times, over, true
}

// Ratio is r as times/over, in the form Convert describes.
func Ratio(r exact.Num) (times, over decimal.Decimal) {
	one := decimal.NewFromInt(1)
	if d, finite := finiteDecimal(r.Rat()); finite {
		return d, one
	}
	if d, finite := finiteDecimal(new(big.Rat).Inv(r.Rat())); finite {
		return one, d
	}
	q := r.Rat()
	return decimal.NewFromBigInt(q.Num(), 0), decimal.NewFromBigInt(q.Denom(), 0)
}

// finiteDecimal is r as a decimal, when its denominator has no prime factors but 2 and 5.
func finiteDecimal(r *big.Rat) (decimal.Decimal, bool) {
	d := new(big.Int).Set(r.Denom())
	places := int32(0)
	ten := big.NewInt(10)
	n := new(big.Int).Set(r.Num())
	for d.Cmp(big.NewInt(1)) != 0 {
		g := new(big.Int).GCD(nil, nil, d, ten)
		if g.Cmp(big.NewInt(1)) == 0 {
			return decimal.Decimal{}, false
		}
		d.Quo(d, g)
		n.Mul(n, new(big.Int).Quo(ten, g))
		places++
	}
	return decimal.NewFromBigInt(n, -places), true
}

// Of is a base amount (nm, nm², nm³, 10⁻⁸ kg …) counted in u.
func (u Unit) Of(base exact.Num) exact.Num { return base.Div(u.Base()) }
