package drawing

import (
	"math"
	"slices"
)

// Lines of pictures: a line is the figure that its pen covers.

// mitreLimit is how far the point of a corner may stand out, in widths of the line, before it is cut off: that of SVG.
const mitreLimit = 4.0

// same tells whether two places are one, but for rounding.
func same(a, b float64) bool { return math.Abs(a-b) < 1.0/(4*parts) }

// stroke paints one line of straight parts.
func (p *picture) stroke(pts []xy, closed bool) {
	half := p.pen.width / 2
	if len(pts) == 2 {
		p.straight(pts[0], pts[1], half)
		return
	}
	if p.square(pts, closed, half) {
		return
	}
	p.raster.begin()
	p.outline(pts, closed, half)
	p.fill()
}

// straight paints a line from a to b.
func (p *picture) straight(a, b xy, half float64) {
	switch {
	case same(a.y, b.y):
		p.level(a, b, half)
	case same(a.x, b.x):
		p.plumb(a, b, half)
	default:
		p.slanted(a, b, half)
	}
}

func (p *picture) level(a, b xy, half float64) {
	s, t := spotAt(min(a.x, b.x), a.y-half), spotAt(max(a.x, b.x), a.y+half)
	p.box(s, t)
}

func (p *picture) plumb(a, b xy, half float64) {
	s, t := spotAt(a.x-half, min(a.y, b.y)), spotAt(a.x+half, max(a.y, b.y))
	p.box(s, t)
}

// square paints a line whose parts are level and plumb by turns, as most are: its corners, as far as the next whole pixel, and
// upright boxes between them. It tells whether the line was such a one.
func (p *picture) square(pts []xy, closed bool, half float64) bool {
	n := len(pts)
	sides := n - 1
	if closed {
		if sides = n; n%2 != 0 {
			return false
		}
	}
	flat := same(pts[0].y, pts[1].y)
	for i := range sides {
		a, b := pts[i], pts[(i+1)%n]
		long, off := b.x-a.x, b.y-a.y
		if flat == (i%2 == 1) {
			long, off = off, long
		}
		if !same(off, 0) || math.Abs(long) < p.pen.width+2 {
			return false
		}
	}
	// cut is where the corner at a ends on its way to b.
	cut := func(a, b float64) float64 {
		if b > a {
			return math.Ceil(a + half)
		}
		return math.Floor(a - half)
	}
	for i := range sides {
		a, b := pts[i], pts[(i+1)%n]
		from, to := a, b
		level := flat == (i%2 == 0)
		if closed || i > 0 {
			if level {
				from.x = cut(a.x, b.x)
			} else {
				from.y = cut(a.y, b.y)
			}
		}
		if !closed && i == sides-1 {
			p.side(level, from, to, half)
			continue
		}
		c := pts[(i+2)%n]
		ends := xy{cut(b.x, c.x), cut(b.y, a.y)}
		in := xy{math.Copysign(half, c.x-b.x), math.Copysign(half, a.y-b.y)}
		if level {
			to.x = cut(b.x, a.x)
			ends = xy{to.x, cut(b.y, c.y)}
			in = xy{math.Copysign(half, a.x-b.x), math.Copysign(half, c.y-b.y)}
		} else {
			to.y = ends.y
		}
		p.side(level, from, to, half)
		p.raster.begin()
		p.raster.figure(spotOf(b.sub(in)), spotAt(ends.x, b.y-in.y), spotAt(ends.x, b.y+in.y), spotOf(b.add(in)), spotAt(b.x+in.x, ends.y), spotAt(b.x-in.x, ends.y))
		p.fill()
	}
	return true
}

func (p *picture) side(level bool, a, b xy, half float64) {
	if level {
		p.level(a, b, half)
	} else {
		p.plumb(a, b, half)
	}
}

// outline adds the figure of a line to the raster: along one side of it and back along the other.
func (p *picture) outline(pts []xy, closed bool, half float64) {
	kept := pts[:1]
	for _, q := range pts[1:] { // what stands on the point before has no direction
		if q.sub(kept[len(kept)-1]).len() > 1.0/parts {
			kept = append(kept, q)
		}
	}
	if n := len(kept); closed && n > 1 && kept[n-1].sub(kept[0]).len() <= 1.0/parts {
		kept = kept[:n-1]
	}
	if len(kept) < 2 {
		return
	}
	p.bends = p.bends[:0]
	short := false
	for i := range kept {
		t := bendAt(kept, i, closed, half)
		short = short || t.short
		p.bends = append(p.bends, t)
	}
	if short {
		p.pieces(kept, closed)
		return
	}
	one, other := p.sides[0][:0], p.sides[1][:0]
	for _, t := range p.bends {
		one, other = t.alongside(one, 1), t.alongside(other, -1)
	}
	p.sides = [2][]spot{one, other}
	slices.Reverse(other)
	if closed {
		p.raster.figure(one...)
		p.raster.figure(other...)
		return
	}
	p.raster.figure(append(one, other...)...)
}

// bend is a corner of a line.
type bend struct {
	at            xy
	before, after xy      // from the middle of the pen to its right, coming and going
	point         float64 // how far on from the sum of these two the sides meet
	outer         float64 // the side that is longer: 1 right, -1 left, 0 none
	cut           bool    // its point is too far out
	short         bool    // a part beside it is too short for the sides to meet on the inner side
}

func bendAt(pts []xy, i int, closed bool, half float64) bend {
	n := len(pts)
	v := pts[i]
	from, to := v.sub(pts[(i+n-1)%n]), pts[(i+1)%n].sub(v)
	if !closed && i == 0 {
		from = to
	}
	if !closed && i == n-1 {
		to = from
	}
	a, b := from.unit(), to.unit()
	const least = 1e-9
	whole := max(1+a.x*b.x+a.y*b.y, least)
	t := bend{at: v, before: a.right().times(half), after: b.right().times(half), point: 1 / whole}
	if c := cross(a, b); c != 0 {
		t.outer = math.Copysign(1, c)
		t.cut = 2/whole > mitreLimit*mitreLimit
		t.short = half*math.Sqrt(max(2/whole-1, 0)) > min(from.len(), to.len())
	}
	return t
}

// alongside are the corner's spots on one side.
func (t *bend) alongside(to []spot, side float64) []spot {
	if t.cut && side == t.outer {
		return append(to, spotOf(t.at.add(t.before.times(side))), spotOf(t.at.add(t.after.times(side))))
	}
	return append(to, spotOf(t.at.add(t.before.add(t.after).times(side*t.point))))
}

// pieces adds a line to the raster whose parts are short beside the pen: each part and each corner for itself.
func (p *picture) pieces(pts []xy, closed bool) {
	n := len(pts)
	for i, t := range p.bends {
		if i < n-1 || closed {
			u := &p.bends[(i+1)%n]
			p.raster.figure(spotOf(t.at.add(t.after)), spotOf(u.at.add(u.before)), spotOf(u.at.sub(u.before)), spotOf(t.at.sub(t.after)))
		}
		if t.outer == 0 {
			continue
		}
		// From the middle along the outer side, in the sense that the parts go round.
		corner := append(t.alongside(nil, t.outer), spotOf(t.at))
		if !t.cut {
			corner = append([]spot{spotOf(t.at.add(t.before.times(t.outer)))}, corner[0], spotOf(t.at.add(t.after.times(t.outer))), spotOf(t.at))
		}
		if t.outer < 0 {
			slices.Reverse(corner)
		}
		p.raster.figure(corner...)
	}
}

// dashes paints the dashes of a line. A dash goes on round a corner.
func (p *picture) dashes(pts []xy) {
	whole := 0.0
	for _, d := range p.pen.dash {
		whole += d
	}
	if whole <= 0 {
		p.stroke(pts, false)
		return
	}
	// Where in the pattern the line begins.
	k, left := 0, math.Mod(p.pen.offset, whole)
	if left < 0 {
		left += whole
	}
	for left >= p.pen.dash[k%len(p.pen.dash)] {
		left -= p.pen.dash[k%len(p.pen.dash)]
		k++
	}
	left = p.pen.dash[k%len(p.pen.dash)] - left
	one := append(p.dash[:0], pts[0])
	end := func() {
		if k%2 == 0 && len(one) > 1 {
			p.stroke(one, false)
		}
		one = one[:0]
	}
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		long := b.sub(a).len()
		at := 0.0
		for long-at > left {
			at += left
			q := a.to(b, at/long)
			one = append(one, q)
			end()
			one = append(one, q)
			k++
			left = p.pen.dash[k%len(p.pen.dash)]
		}
		left -= long - at
		one = append(one, b)
	}
	end()
	p.dash = one
}
