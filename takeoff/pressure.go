package takeoff

import (
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// PressureSet is one of the two published sets of wall equations of ACI 347R-14 (4.2.2). They are not conversions of one
// another: each is used in its own units.
type PressureSet struct {
	SI bool
	// Base + PerRate·R/(T+Shift) is the equation for slow, low placements; BaseTall + Tall/(T+Shift) + TallRate·R/(T+Shift)
	// the other.
	Base, PerRate, Tall, TallRate, Shift exact.Num
	SlowUnder, Fastest                   exact.Num // rates of rise
	LowTo                                exact.Num // placement height of the first equation
	Least                                exact.Num // times Cw
	LightUnder, HeavyOver, Reference     exact.Num // unit weights of Cw
	HeadPerWeight                        exact.Num // pressure of a unit of depth, per unit of weight
}

// InchPound is in psf, ft/h, °F, ft and pcf; SI in kPa, m/h, °C, m and kg/m3 (g = 9.81 m/s²).
var (
	InchPound = PressureSet{
		Base: exact.Int(150), PerRate: exact.Int(9000), Tall: exact.Int(43400), TallRate: exact.Int(2800),
		SlowUnder: exact.Int(7), Fastest: exact.Int(15), LowTo: exact.Int(14), Least: exact.Int(600),
		LightUnder: exact.Int(140), HeavyOver: exact.Int(150), Reference: exact.Int(145), HeadPerWeight: exact.Int(1),
	}
	SI = PressureSet{
		SI:   true,
		Base: exact.Frac(72, 10), PerRate: exact.Int(785), Tall: exact.Int(1156), TallRate: exact.Int(244), Shift: exact.Frac(178, 10),
		SlowUnder: exact.Frac(21, 10), Fastest: exact.Frac(45, 10), LowTo: exact.Frac(42, 10), Least: exact.Int(30),
		LightUnder: exact.Int(2240), HeavyOver: exact.Int(2400), Reference: exact.Int(2320), HeadPerWeight: exact.Frac(981, 100_000),
	}
)

// Placement is what the pressure of fresh concrete on a wall form depends on, in the units of a set.
type Placement struct {
	Rise, Temp     exact.Num // rate of rise, temperature of the concrete
	Height, Weight exact.Num
	Chemistry      exact.Num // Cc
	FullHead       bool      // slump over 7 in or unknown, vibration deeper than 4 ft: w·h without coefficients
}

// weightFactor is Cw.
func (s *PressureSet) weightFactor(w exact.Num) exact.Num {
	switch {
	case w.Cmp(s.LightUnder) < 0:
		half := exact.Frac(1, 2)
		return exact.Max(half.Add(half.Mul(w).Div(s.Reference)), exact.Frac(8, 10))
	case w.Cmp(s.HeavyOver) > 0:
		return w.Div(s.Reference)
	}
	return exact.Int(1)
}

// head is the full liquid head w·h.
func (s *PressureSet) head(p Placement) exact.Num {
	return p.Weight.Mul(p.Height).Mul(s.HeadPerWeight)
}

// Pressure is the lateral pressure of fresh concrete on a wall form. The temperature with the set's shift is above 0.
func (s *PressureSet) Pressure(p Placement) exact.Num {
	head := s.head(p)
	if p.FullHead || p.Rise.Cmp(s.Fastest) > 0 {
		return head
	}
	cw := s.weightFactor(p.Weight)
	t := p.Temp.Add(s.Shift)
	v := s.Base.Add(s.PerRate.Mul(p.Rise).Div(t))
	if p.Rise.Cmp(s.SlowUnder) >= 0 || p.Height.Cmp(s.LowTo) > 0 {
		v = s.Base.Add(s.Tall.Div(t)).Add(s.TallRate.Mul(p.Rise).Div(t))
	}
	v = exact.Max(cw.Mul(p.Chemistry).Mul(v), s.Least.Mul(cw))
	return exact.Min(v, head)
}

// GreatestRise is the greatest rate of rise whose pressure is at or under the rating. any tells that every rate is, none
// that no rate is.
func (s *PressureSet) GreatestRise(p Placement, rating exact.Num) (rise exact.Num, any, none bool) {
	if s.head(p).Cmp(rating) <= 0 {
		return rise, true, false
	}
	cw := s.weightFactor(p.Weight)
	if p.FullHead || rating.Cmp(s.Least.Mul(cw)) < 0 {
		return rise, false, true
	}
	t := p.Temp.Add(s.Shift)
	over := rating.Div(cw.Mul(p.Chemistry)).Sub(s.Base)
	slow := exact.Min(over.Mul(t).Div(s.PerRate), s.SlowUnder)
	tall := exact.Min(over.Sub(s.Tall.Div(t)).Mul(t).Div(s.TallRate), s.Fastest)
	low := p.Height.Cmp(s.LowTo) <= 0
	switch {
	case low && tall.Cmp(s.SlowUnder) >= 0, !low:
		rise = tall
	case slow.Cmp(s.SlowUnder) == 0: // the second equation starts above the rating at the joint of the two (SI only)
		rise = slow.Sub(exact.Frac(1, 1_000_000_000))
	default:
		rise = slow
	}
	return rise, false, rise.Sign() <= 0
}

// poundForcePerSqFoot is 1 psf in kPa, exact: 4.4482216152605 N over 0.09290304 m² (NIST SP 811).
var poundForcePerSqFoot = exact.Frac(44_482_216_152_605, 929_030_400_000_000)

// in gives a rating in the unit of the set: psf or kPa.
func (r *Pressure) in(s *PressureSet) exact.Num {
	v := exact.Dec(r.Value)
	switch {
	case r.Metric == s.SI:
		return v
	case s.SI:
		return v.Mul(poundForcePerSqFoot)
	default:
		return v.Div(poundForcePerSqFoot)
	}
}

// temp is the concrete temperature in °F or, for SI, °C.
func (r *PourRow) temp(s *PressureSet) (exact.Num, bool) {
	five, nine := exact.Frac(5, 9), exact.Frac(9, 5)
	switch {
	case r.TempC != nil && s.SI:
		return exact.Dec(*r.TempC), true
	case r.TempC != nil:
		return exact.Dec(*r.TempC).Mul(nine).Add(exact.Int(32)), true
	case r.TempF != nil && s.SI:
		return exact.Dec(*r.TempF).Sub(exact.Int(32)).Mul(five), true
	case r.TempF != nil:
		return exact.Dec(*r.TempF), true
	}
	return exact.Num{}, false
}

// The limits of the equations that lengths are compared with: slump and lift, 347R-14 4.2.2.
const (
	greatestSlump       = 7 * length.Inch
	deepestVibration    = 4 * length.Foot
	stayInPlaceSlump    = 6 * length.Inch // IRC R608.5.1.4 (2018): more than this in stay-in-place forms
	sidesFilledFromOver = 4 * length.Foot // R-TRUCK, common practice
)
