package takeoff

import (
	"fmt"
	"strings"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// close walks each run: headings, where each wall starts, and for a closed run what it misses by (R-CLOSE).
func (t *tracer) close() {
	tolerance := t.job.Settings.Len(SetClosureTolerance)
	for _, r := range t.g.Runs {
		x, y := exact.Num{}, exact.Num{}
		heading := int64(0)
		var east, west, north, south exact.Num
		for _, w := range r.Walls {
			w.Heading, w.X, w.Y = heading, x, y
			dx, dy := w.along(exact.Len(w.Length))
			x, y = x.Add(dx), y.Add(dy)
			east, west = split(east, west, dx)
			north, south = split(north, south, dy)
			heading += w.Joints[1].turn()
		}
		r.TurnSum = heading
		if !r.Closed {
			continue
		}
		r.East, r.North = x.Length(), y.Length()
		first := r.Walls[0]
		at, subject := first.Cell("turn"), "run "+r.Name
		switch {
		case heading == -360_000:
			t.say(Warning, at, "R-CLOSE", subject, "its turns add to −360°: the rows go counterclockwise; list the walls clockwise round the building seen from above")
		case heading != 360_000:
			t.say(Warning, at, "R-CLOSE", subject, "its turns add to %s°, a closed run's to 360°; check the Turn of each wall", milli(heading))
		}
		if within(x, tolerance) && within(y, tolerance) {
			continue
		}
		show := func(n exact.Num) string { return n.Length().Show(t.job.Report) }
		msg := fmt.Sprintf("does not close: it misses by %s and %s, first wall running east; the walls run %s east and %s west, %s north and %s south",
			compass(x, "east", "west", show), compass(y, "north", "south", show), show(east), show(west), show(north), show(south))
		if heading == 360_000 {
			msg += t.wouldClose(r, x, y, tolerance)
		}
		t.say(Warning, first.Cell("length"), "R-CLOSE", subject, "%s", msg)
	}
}

// along is the vector of a length along the wall's heading: east, north.
func (w *WallLines) along(l exact.Num) (east, north exact.Num) {
	sin, cos := sinCos(w.Heading)
	return l.Mul(cos), l.Mul(sin).Neg()
}

// turn is the joint's turn in thousandths of a degree, clockwise positive.
func (j *Joint) turn() int64 {
	switch j.Kind {
	case TurnCorner:
		return j.MilliDegrees
	case TurnInside:
		return -j.MilliDegrees
	}
	return 0
}

// split adds a signed amount to one of two sums.
func split(plus, minus, d exact.Num) (exact.Num, exact.Num) {
	if d.Sign() < 0 {
		return plus, minus.Sub(d)
	}
	return plus.Add(d), minus
}

func within(n exact.Num, tolerance length.Length) bool {
	return n.Cmp(exact.Len(tolerance)) <= 0 && n.Neg().Cmp(exact.Len(tolerance)) <= 0
}

func compass(n exact.Num, plus, minus string, show func(exact.Num) string) string {
	if n.Sign() < 0 {
		return show(n.Neg()) + " " + minus
	}
	return show(n) + " " + plus
}

// milli prints thousandths of a degree.
func milli(m int64) string { return trimDecimal(exact.Frac(m, 1000).Round(3)) }

// wouldClose names the walls whose length, changed by the misclosure, would close the run: one wall along the
// misclosure, or else one east-west and one north-south.
func (t *tracer) wouldClose(r *Run, x, y exact.Num, tolerance length.Length) string {
	change := func(x, y exact.Num) string {
		var names []string
		for _, w := range r.Walls {
			ux, uy := w.along(exact.Int(1))
			d := x.Mul(ux).Add(y.Mul(uy)).Neg() // the change of length that takes the misclosure away
			if within(x.Add(d.Mul(ux)), tolerance) && within(y.Add(d.Mul(uy)), tolerance) {
				if to := w.Length + d.Length(); to > 0 {
					names = append(names, fmt.Sprintf("%s (%s)", w.Mark, to.Show(t.job.Report)))
				}
			}
		}
		return strings.Join(names, " or ")
	}
	if one := change(x, y); one != "" {
		return "; one of these lengths would close it: " + one
	}
	zero := exact.Num{}
	ew, ns := change(x, zero), change(zero, y)
	if ew != "" && ns != "" {
		return "; two lengths would close it: " + ew + ", and " + ns
	}
	return ""
}
