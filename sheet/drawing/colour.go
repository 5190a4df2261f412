package drawing

import "image/color"

// The colours are those of M. Okabe and K. Ito, "Color Universal Design", 2002, revised 2008, which readers with any of the
// common colour deficiencies tell apart.
var (
	black     = color.NRGBA{0x00, 0x00, 0x00, 0xFF}
	orange    = color.NRGBA{0xE6, 0x9F, 0x00, 0xFF}
	sky       = color.NRGBA{0x56, 0xB4, 0xE9, 0xFF}
	green     = color.NRGBA{0x00, 0x9E, 0x73, 0xFF}
	blue      = color.NRGBA{0x00, 0x72, 0xB2, 0xFF}
	vermilion = color.NRGBA{0xD5, 0x5E, 0x00, 0xFF}
	purple    = color.NRGBA{0xCC, 0x79, 0xA7, 0xFF}
)

// Greys for what is not the matter itself: outlines of units, dimension lines, notes.
var (
	white = color.NRGBA{0xFF, 0xFF, 0xFF, 0xFF}
	ink   = color.NRGBA{0x26, 0x26, 0x26, 0xFF}
	quiet = color.NRGBA{0x59, 0x59, 0x59, 0xFF}
	faint = color.NRGBA{0xB4, 0xB4, 0xB4, 0xFF}
)

// tint is a colour mixed with white: part 1 is the colour itself. Mixing, not transparency, keeps the three formats alike.
func tint(c color.NRGBA, part float64) color.NRGBA {
	mix := func(v uint8) uint8 { return uint8(255 - (255-float64(v))*part + 0.5) }
	return color.NRGBA{mix(c.R), mix(c.G), mix(c.B), 0xFF}
}
