package takeoff

import (
	"math/big"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// defaultLapDiameters is the lap where no Bars mark gives one: the IRC's for Grade 60 (Table R608.5.4(1)).
const defaultLapDiameters = 60

// step is what a bar's lap in diameters and its bent lengths are raised to: an inch, 10 mm for metric sizes.
func (b *Bar) step() length.Length {
	if b.Metric() {
		return length.Centimetre
	}
	return length.Inch
}

// Lap is a bar's lap by its mark: a typed length as it is, diameters raised to the next inch (10 mm). A nil mark laps the
// default 60 diameters. No lap is designed here: it is the engineer's.
func (m *BarMark) Lap(b *Bar) length.Length {
	d := exact.Int(defaultLapDiameters)
	if m != nil {
		if m.LapLength > 0 {
			return m.LapLength
		}
		if m.LapDiameters.IsPositive() {
			d = exact.Dec(m.LapDiameters)
		}
	}
	return length.Length(d.Mul(exact.Len(b.Diameter)).Div(exact.Len(b.step())).Ceil()) * b.step()
}

// The bar diameters up to which a hook's bend is 6 d (#8, 25 mm) and 8 d (#11) inside; above it is 10 d (ACI 318-19 Table
// 25.3.1).
const (
	bend6Diameters length.Length = length.Inch
	bend8Diameters length.Length = 141 * length.Inch / 100
)

// hook is the geometry of a 90-degree standard hook: its leg J out to out in diameters, and what the bend takes from the
// sum of two legs, in hundredths of a diameter (R-DOWEL). J is half the bend's inside diameter, the bar and 12 d.
func (b *Bar) hook() (legDiameters, deductHundredths int64) {
	switch {
	case b.Diameter <= bend6Diameters:
		return 16, 250
	case b.Diameter <= bend8Diameters:
		return 17, 293
	}
	return 18, 336
}

// HookLeg is J, a standard 90-degree hook's leg out to out.
func (b *Bar) HookLeg() length.Length {
	n, _ := b.hook()
	return length.Length(n) * b.Diameter
}

// BentLength is the cut length of a bar of two legs out to out with one 90-degree bend: their sum less the bend, raised to
// the inch (10 mm).
func (b *Bar) BentLength(leg1, leg2 length.Length) length.Length {
	_, deduct := b.hook()
	hundredths := 100*int64(leg1+leg2) - deduct*int64(b.Diameter)
	step := int64(b.step())
	return length.Length(ceilDiv(max(hundredths, 0), 100*step) * step)
}

// StirrupHook is a stirrup's hook extension: 6 d, at least 3 in (R-LINTEL).
func (b *Bar) StirrupHook() length.Length { return max(6*b.Diameter, 3*length.Inch) }

// Splice is R-RUN: a bar longer than can be placed is k pieces, k − 1 of the longest and the rest, each lapped on the next.
// The total length is l + (k − 1)·lap. ok is false when the longest is not above the lap.
func Splice(l, lap, longest length.Length) (pieces int64, total length.Length, ok bool) {
	if l <= longest {
		return 1, l, true
	}
	if longest <= lap {
		return 1, l, false
	}
	k := ceilDiv(int64(l-lap), int64(longest-lap))
	return k, l + length.Length(k-1)*lap, true
}

// slope is the length of a straight line over a run and a rise, rounded half up to the nanometre.
func slope(run, rise length.Length) length.Length {
	a, b := big.NewInt(int64(run)), big.NewInt(int64(rise))
	n := a.Mul(a, a).Add(a, b.Mul(b, b))
	root := new(big.Int).Sqrt(n)
	// Half up: the root is over r + ½ when n > r² + r, all whole numbers.
	if over := new(big.Int).Mul(root, root); n.Cmp(over.Add(over, root)) > 0 {
		root.Add(root, big.NewInt(1))
	}
	return length.Length(root.Int64())
}
