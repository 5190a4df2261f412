package drawing

import (
	"cmp"
	"image"
	"image/color"
	"slices"
)

// paletted reduces a drawing to the 256 colours that most of its pixels have: a third of the bytes, and nothing that an eye
// would miss, for what else there is are edges between two of them. Equal pictures come to equal palettes.
func paletted(m *image.RGBA) *image.Paletted {
	counts := map[uint32]int{}
	last, run := uint32(0), 0
	each(m, func(c uint32) {
		if c == last {
			run++
			return
		}
		counts[last] += run
		last, run = c, 1
	})
	counts[last] += run
	colours := make([]uint32, 0, len(counts))
	for c, n := range counts {
		if n > 0 {
			colours = append(colours, c)
		}
	}
	slices.SortFunc(colours, func(a, b uint32) int {
		if d := cmp.Compare(counts[b], counts[a]); d != 0 {
			return d
		}
		return cmp.Compare(a, b)
	})
	index := make(map[uint32]uint8, len(colours))
	const most = 256
	pal := make(color.Palette, 0, most)
	for i, c := range colours {
		if i < most {
			index[c] = uint8(i)
			pal = append(pal, color.RGBA{uint8(c >> 24), uint8(c >> 16), uint8(c >> 8), uint8(c)})
			continue
		}
		index[c] = nearest(colours[:most], c)
	}
	out := image.NewPaletted(m.Bounds(), pal)
	i, at := 0, uint8(0)
	last = ^colours[0]
	each(m, func(c uint32) {
		if c != last {
			last, at = c, index[c]
		}
		out.Pix[i] = at
		i++
	})
	return out
}

// each calls f with every pixel, row by row, its bytes red first.
func each(m *image.RGBA, f func(uint32)) {
	b := m.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		row := m.Pix[m.PixOffset(b.Min.X, y):m.PixOffset(b.Max.X, y)]
		for x := 0; x+3 < len(row); x += 4 {
			f(uint32(row[x])<<24 | uint32(row[x+1])<<16 | uint32(row[x+2])<<8 | uint32(row[x+3]))
		}
	}
}

func nearest(among []uint32, c uint32) uint8 {
	best, at := int(^uint(0)>>1), 0
	for i, a := range among {
		d := 0
		for shift := 0; shift < 32; shift += 8 {
			e := int(a>>shift&0xFF) - int(c>>shift&0xFF)
			d += e * e
		}
		if d < best {
			best, at = d, i
		}
	}
	return uint8(at)
}
