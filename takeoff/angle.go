package takeoff

import (
	"math"

	"wallbill/takeoff/exact"
)

// sinCos is the sine and cosine of an angle in thousandths of a degree: exact at right angles, else rounded to 12 decimals
// (R-GEOM). Twelve decimals are far coarser than the last bit of a float, so every machine rounds to the same value.
func sinCos(milliDegrees int64) (sin, cos exact.Num) {
	switch m := ((milliDegrees % 360_000) + 360_000) % 360_000; m {
	case 0:
		return exact.Int(0), exact.Int(1)
	case 90_000:
		return exact.Int(1), exact.Int(0)
	case 180_000:
		return exact.Int(0), exact.Int(-1)
	case 270_000:
		return exact.Int(-1), exact.Int(0)
	default:
		s, c := math.Sincos(float64(m) / 1000 * math.Pi / 180)
		return twelvePlaces(s), twelvePlaces(c)
	}
}

func twelvePlaces(f float64) exact.Num {
	return exact.Frac(int64(math.Round(f*1e12)), 1_000_000_000_000)
}
