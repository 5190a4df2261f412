package drawing

import "math"

// Slanted lines of pictures, of which hatches have thousands. How much such a line covers of a pixel hangs on how far the
// pixel's middle is from the line's middle, and at its ends on how far it is from these: both are looked up.

// slant is a way that lines go, down the picture, and their width.
type slant struct {
	way   xy // of length 1, y downwards
	half  float64
	reach float64 // how far the middle of a pixel may be from a side that passes through it
	// across is how much the line covers of a pixel by the distance from its middle, and end by that from its end, from the
	// outermost inwards.
	across, end []int32
	// Of a row: how far right the line's middle goes, and how far left the line across its end; how far from these pixels are
	// touched. In fixed point.
	right, left, wide, deep int
}

// fixedBits are the bits after the point of places in a row.
const fixedBits = 16

func toFixed(x float64) int { return int(x * (1 << fixedBits)) }

// stepBits are the places of a pixel in which these are kept, in bits, and spareBits what they are counted finer; all is the
// whole of a pixel in them.
const (
	stepBits  = 5
	spareBits = 10
	all       = 1 << 12
)

// cornerIn is how much of a pixel is on the inner side of a straight edge, its middle that far inside, where the edge's way
// has those parts.
func cornerIn(inside, steep, flat float64) float64 {
	// Seen along the edge a pixel is as high as a roof with a level ridge.
	out, ridge := (steep+flat)/2, (steep-flat)/2
	switch {
	case inside >= out:
		return 1
	case inside <= -out:
		return 0
	case inside > ridge:
		return 1 - (out-inside)*(out-inside)/(2*steep*flat)
	case inside < -ridge:
		return (out + inside) * (out + inside) / (2 * steep * flat)
	}
	return 0.5 + inside/steep
}

func newSlant(way xy, half float64) slant {
	const steps = 1 << stepBits
	steep, flat := max(math.Abs(way.x), way.y), min(math.Abs(way.x), way.y)
	reach := (steep + flat) / 2
	s := slant{way: way, half: half, reach: reach, right: toFixed(way.x / way.y), left: toFixed(way.y / way.x),
		wide: toFixed((half + reach) / way.y), deep: toFixed(reach / math.Abs(way.x))}
	for i := range int((half+s.reach)*steps) + 2 {
		at := float64(i) / steps
		s.across = append(s.across, int32(all*(cornerIn(half-at, steep, flat)+cornerIn(half+at, steep, flat)-1)+0.5))
	}
	for i := range int(2*s.reach*steps) + 2 {
		s.end = append(s.end, int32(all*cornerIn(float64(i)/steps-s.reach, steep, flat)+0.5))
	}
	return s
}

// slantOf a way and half a width: a drawing has few.
func (p *picture) slantOf(way xy, half float64) *slant {
	for i := range p.slants {
		s := &p.slants[i]
		if math.Abs(s.way.x-way.x) < 1e-9 && math.Abs(s.way.y-way.y) < 1e-9 && s.half == half {
			return s
		}
	}
	const most = 16
	if len(p.slants) == most {
		p.slants = p.slants[:0]
	}
	p.slants = append(p.slants, newSlant(way, half))
	return &p.slants[len(p.slants)-1]
}

// slanted paints a line from a to b, in pixels.
func (p *picture) slanted(a, b xy, half float64) {
	if a.y > b.y {
		a, b = b, a
	}
	d := b.sub(a)
	long := math.Sqrt(d.x*d.x + d.y*d.y)
	way := d.times(1 / long)
	s := p.slantOf(way, half)
	w := p.wash
	side := half*math.Abs(way.x) + 1
	row, end := max(int(math.Floor(a.y-side)), 0), min(int(math.Ceil(b.y+side)), pixelsHigh)
	// Where in the first row its middle is, and the lines across its ends.
	down := float64(row) + 0.5 - a.y
	middle := toFixed(a.x + down*way.x/way.y)
	from, to := a.x-down*way.y/way.x, a.x-down*way.y/way.x+long/way.x
	first, last := toFixed(min(from, to)), toFixed(max(from, to))
	// Of the pixel in that row over or under a: how far its middle is from the line's, and how far along the line. Distances
	// count in parts of a step, and half a one more so that they round.
	const one, halfStep = 1 << (stepBits + spareBits), 1 << (spareBits - 1)
	count := func(d float64) int { return int(math.Floor(d*one + 0.5)) }
	under := int(math.Floor(a.x))
	aside := float64(under) + 0.5 - a.x
	offUnder, onUnder := count(aside*way.y-down*way.x), count(aside*way.x+down*way.y)
	offStep, onStep, whole, reach := count(way.y), count(way.x), count(long), count(s.reach)
	for ; row < end; row++ {
		const halfPixel = 1 << (fixedBits - 1)
		x0 := max((max(middle-s.wide, first-s.deep)+halfPixel-1)>>fixedBits, 0)
		x1 := min((min(middle+s.wide, last+s.deep)-halfPixel)>>fixedBits, pixelsWide-1)
		off, on := offUnder+(x0-under)*offStep, onUnder+(x0-under)*onStep
		middle, first, last = middle+s.right, first-s.left, last-s.left
		offUnder, onUnder = offUnder-onStep, onUnder+offStep
		if x0 > x1 {
			continue
		}
		before, after := on+reach+halfStep, whole-on+reach+halfStep
		line := p.pix[row*stride:][x0 : x1+1]
		for x := range line {
			i, k, l := (max(off, -off)+halfStep)>>spareBits, before>>spareBits, after>>spareBits
			off, before, after = off+offStep, before+onStep, after-onStep
			if i >= len(s.across) || k < 0 || l < 0 {
				continue
			}
			cover := s.across[i]
			if k < len(s.end) || l < len(s.end) {
				cover = cover * (s.end[min(k, len(s.end)-1)] + s.end[min(l, len(s.end)-1)] - all) / all
			}
			if shade := (cover*shades + all/2) / all; shade > 0 {
				v := w.of[shade&shades][line[x]]
				if v == unknown {
					v = w.mix(int(shade), line[x])
				}
				line[x] = v
			}
		}
	}
}
