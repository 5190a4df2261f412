package drawing

import (
	"image/color"
	"math"
	"slices"
)

// hatch fills a figure with lines or dots; its angle is measured from the direction of what it fills.
type hatch struct {
	angles []float64 // degrees
	gap    float64   // points between lines
	colour color.NRGBA
	dash   []float64
	width  float64
}

// across is the gap of lines at so many degrees that stand a whole number of pixels apart along the level: the rows of a
// picture repeat themselves, which packs them smaller and sooner.
func across(pixels int, degrees float64) float64 {
	return float64(pixels) / dots * math.Sin(degrees*math.Pi/180)
}

// hatches are the looks of pours, in order. Those that follow one another differ in pattern and in colour.
var hatches = func() []hatch {
	patterns := []hatch{
		{angles: []float64{45}, gap: across(10, 45)},
		{angles: []float64{90}, gap: across(7, 90)},
		{angles: []float64{45, 135}, gap: across(13, 45)},
		{angles: []float64{135}, gap: across(10, 135)},
		{angles: []float64{60}, gap: across(7, 60), dash: []float64{0.9, 1.5}},
		{angles: []float64{90}, gap: across(13, 90)},
	}
	colours := []color.NRGBA{blue, orange, green, vermilion, sky, purple, black}
	var out []hatch
	for i := range len(patterns) * len(colours) {
		h := patterns[i%len(patterns)]
		h.colour, h.width = colours[i%len(colours)], thin
		out = append(out, h)
	}
	return out
}()

// hatched draws a hatch over a figure, over a light ground of its colour; along is the direction its angles count from.
func (p pen) hatched(h hatch, along float64, figure ...xy) {
	p.fill(tint(h.colour, tinted), figure...)
	p.strokes(h, along, figure)
}

// strokes draws the hatch's lines alone.
func (p pen) strokes(h hatch, along float64, figure []xy) {
	for _, a := range h.angles {
		p.lines(stroke{h.width, h.colour, h.dash}, hatchLines(figure, along+a*math.Pi/180, h.gap))
	}
}

// hatchLines are parallel lines that fill a figure, by pairs of points. They lie on one grid of the page, so that figures side
// by side match.
func hatchLines(figure []xy, angle, gap float64) []xy {
	if len(figure) < 3 || gap <= 0 {
		return nil
	}
	turned := make([]xy, len(figure))
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, q := range figure {
		turned[i] = q.turned(-angle)
		lo, hi = min(lo, turned[i].y), max(hi, turned[i].y)
	}
	out := make([]xy, 0, 2*max(int((hi-lo)/gap)+1, 0)) // of a convex one no more
	xs := make([]float64, 0, 8)
	for i := math.Ceil(lo / gap); i*gap < hi; i++ {
		y := i*gap + 1e-7 // off the corners of figures on the grid
		xs = xs[:0]
		for k, a := range turned {
			b := turned[(k+1)%len(turned)]
			if (a.y < y) != (b.y < y) {
				xs = append(xs, a.x+(b.x-a.x)*(y-a.y)/(b.y-a.y))
			}
		}
		slices.Sort(xs)
		for k := 0; k+1 < len(xs); k += 2 {
			out = append(out, xy{xs[k], y}.turned(angle), xy{xs[k+1], y}.turned(angle))
		}
	}
	return out
}

// clipped is the part of a convex or simple figure on the left of the line from a to b.
func clipped(figure []xy, a, b xy) []xy {
	out := make([]xy, 0, len(figure)+2) // of a convex one no more are left
	d := b.sub(a)
	side := func(q xy) float64 { return cross(d, q.sub(a)) }
	for i, q := range figure {
		r := figure[(i+1)%len(figure)]
		sq, sr := side(q), side(r)
		if sq >= 0 {
			out = append(out, q)
		}
		if sq > 0 && sr < 0 || sq < 0 && sr > 0 {
			out = append(out, q.to(r, sq/(sq-sr)))
		}
	}
	return out
}
