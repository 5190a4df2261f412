package drawing

import (
	"cmp"
	"image/color"
	"math"
	"slices"
	"sync"
)

// Every picture has one palette, so that it is painted in bytes from the start: the colours of drawings in full, and what the
// edges between two of them come to. A colour that is not in it, as where three meet in a pixel, is painted as the nearest.

// shades is the number of steps from the ground's colour to the ink's at an edge: a pixel covered by half takes the middle one.
const shades = 15

// tinted is the part of a pour's colour in its ground, under its hatch; footingTint that of black in a footing.
const (
	tinted      = 0.16
	footingTint = 0.07
)

var (
	hues = []color.NRGBA{orange, sky, green, blue, vermilion, purple}
	// inks are the colours that drawings are painted with.
	inks = func() []color.NRGBA {
		all := append([]color.NRGBA{white, ink, quiet, faint, black, tint(black, tinted), tint(black, footingTint)}, hues...)
		for _, c := range hues {
			all = append(all, tint(c, tinted))
		}
		return all
	}()
)

// palette are the colours of pictures: at most mostColours, white first.
var palette = sync.OnceValue(func() color.Palette {
	var out color.Palette
	have := map[color.NRGBA]bool{}
	add := func(c color.NRGBA) {
		if !have[c] && len(out) < mostColours {
			have[c] = true
			out = append(out, c)
		}
	}
	between := func(a, b color.NRGBA, steps int) {
		for i := 1; i < steps; i++ {
			add(mixed(a, b, i, steps))
		}
	}
	for _, c := range inks {
		add(c)
	}
	for _, c := range hues { // lines on paper, and hatches on their own ground
		between(white, c, shades)
	}
	for v := 0; v < 256; v += 8 { // letters and thin lines on paper
		add(color.NRGBA{uint8(v), uint8(v), uint8(v), 0xFF})
	}
	for _, c := range hues { // letters and thin lines on a hatch's ground and over coloured lines
		between(tint(c, tinted), ink, 7)
		between(c, ink, 4)
	}
	for i, a := range hues { // coloured lines over one another
		for _, b := range hues[i+1:] {
			between(a, b, 3)
		}
	}
	for _, a := range hues { // and over other grounds
		for _, b := range []color.NRGBA{tint(sky, tinted), tint(orange, tinted)} {
			between(a, b, 3)
		}
	}
	return out
})

// unknown stands for a mix not worked out yet: no palette has so many colours.
const (
	unknown     = 0xFF
	mostColours = unknown
)

// inkPlaces are the places of the inks, which are those of their colours in the palette.
var inkPlaces = sync.OnceValue(func() map[color.NRGBA]int {
	out := map[color.NRGBA]int{}
	for i, c := range inks {
		out[c] = i
	}
	return out
})

// mixed is the i-th of steps from a to b.
func mixed(a, b color.NRGBA, i, steps int) color.NRGBA {
	mix := func(a, b uint8) uint8 { return uint8((int(a)*(steps-i) + int(b)*i + steps/2) / steps) }
	return color.NRGBA{mix(a.R, b.R), mix(a.G, b.G), mix(a.B, b.B), 0xFF}
}

// nearest is the place of the palette's colour that differs least, in squares of red, green and blue; of several the first.
func nearest(c color.NRGBA) uint8 {
	by := byGreen()
	// From the green that is nearest on, both ways, until green alone differs more.
	up, _ := slices.BinarySearchFunc(by, c, func(p greens, c color.NRGBA) int { return cmp.Compare(p.green, int(c.G)) })
	down := up - 1
	best, at := math.MaxInt, 0
	look := func(p *greens) bool {
		r, g, b := p.red-int(c.R), p.green-int(c.G), p.blue-int(c.B)
		if d := r*r + g*g + b*b; d < best || d == best && p.place < at {
			best, at = d, p.place
		}
		return g*g <= best
	}
	for ; up < len(by) && look(&by[up]); up++ {
	}
	for ; down >= 0 && look(&by[down]); down-- {
	}
	return uint8(at)
}

// greens is a colour of the palette in the order of their greens.
type greens struct{ green, red, blue, place int }

var byGreen = sync.OnceValue(func() []greens {
	var out []greens
	for i, c := range paletteColours() {
		out = append(out, greens{int(c.G), int(c.R), int(c.B), i})
	}
	slices.SortFunc(out, func(a, b greens) int { return cmp.Or(cmp.Compare(a.green, b.green), cmp.Compare(a.place, b.place)) })
	return out
})

var paletteColours = sync.OnceValue(func() []color.NRGBA {
	var out []color.NRGBA
	for _, c := range palette() {
		out = append(out, c.(color.NRGBA))
	}
	return out
})

// wash is what an ink makes of each colour of the palette in each shade, from none to full; worked out when it is first met.
type wash struct {
	full  color.NRGBA
	made  bool
	place uint8 // of the ink in the palette
	of    [shades + 1][256]uint8
}

func (w *wash) begin(c color.NRGBA) {
	w.full, w.made, w.place = c, true, nearest(c)
	for s := range w.of {
		for g := range w.of[s] {
			switch s {
			case 0:
				w.of[s][g] = uint8(g)
			case shades:
				w.of[s][g] = w.place
			default:
				w.of[s][g] = unknown
			}
		}
	}
}

// mix works one out.
func (w *wash) mix(shade int, ground uint8) uint8 {
	m := nearest(mixed(paletteColours()[ground], w.full, shade, shades))
	w.of[shade][ground] = m
	return m
}
