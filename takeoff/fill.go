package takeoff

import "wallbill/takeoff/length"

// filling is what a segment of a course is filled with (R-BLOCK): unit, smallest piece, and the step pieces are cut to.
type filling struct {
	unit, smallest, step length.Length
}

// laid is a unit or piece laid in a segment: how much of the segment it fills, and the length it is cut to.
type laid struct {
	length, cut length.Length
	whole       bool
}

// fill lays a segment from its start (R-BLOCK). edge tells that it starts at a jamb, slope, free end, tee or bulkhead. The
// result is appended to out.
func (f filling) fill(s length.Length, even, edge bool, out []laid) []laid {
	if s <= 0 {
		return out
	}
	if s <= f.unit {
		return append(out, f.piece(s))
	}
	rest := s
	if even && edge {
		half := (f.unit + 1) / 2 // half up to the nanometre
		out = append(out, f.piece(half))
		rest -= half
	}
	k, r := rest/f.unit, rest%f.unit
	short := 0 < r && r < f.smallest && k > 0
	if short {
		k--
	}
	for range k {
		out = append(out, laid{f.unit, f.unit, true})
	}
	switch {
	case short:
		// A piece under the smallest is made up from the last whole unit.
		out = append(out, f.piece(f.unit+r-f.smallest), f.piece(f.smallest))
	case r > 0:
		out = append(out, f.piece(r))
	}
	return out
}

// piece is a piece of that length, cut up to the next step, at most a unit; a piece of a unit is a whole unit.
func (f filling) piece(l length.Length) laid {
	cut := l
	if f.step > 0 {
		cut = min(length.Length(ceilDiv(int64(l), int64(f.step)))*f.step, f.unit)
	}
	return laid{l, cut, cut >= f.unit}
}
