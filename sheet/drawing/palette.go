package drawing

import (
	"cmp"
	"encoding/binary"
	"image"
	"image/color"
	"iter"
	"slices"
)

// stretch is a number of pixels of one colour beside one another.
type stretch struct {
	colour uint32 // its bytes, red first
	pixels int
}

// paletted reduces a drawing to the 256 colours that most of its pixels have: a third of the bytes, and nothing that an eye
// would miss, for what else there is are edges between two of them. Equal pictures come to equal palettes.
func paletted(m *image.RGBA) *image.Paletted {
	counts := map[uint32]int{}
	for s := range stretches(m) {
		counts[s.colour] += s.pixels
	}
	colours := make([]uint32, 0, len(counts))
	for c := range counts {
		colours = append(colours, c)
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
	at := 0
	for s := range stretches(m) {
		if s.colour != colours[0] { // the colour of most pixels is 0, as the picture begins
			of := index[s.colour]
			part := out.Pix[at : at+s.pixels]
			for i := range part {
				part[i] = of
			}
		}
		at += s.pixels
	}
	return out
}

// stretches reads a picture row by row, a stretch going on in the next row.
func stretches(m *image.RGBA) iter.Seq[stretch] {
	return func(yield func(stretch) bool) {
		b := m.Bounds()
		var now stretch
		for y := b.Min.Y; y < b.Max.Y; y++ {
			row := m.Pix[m.PixOffset(b.Min.X, y):m.PixOffset(b.Max.X, y)]
			for len(row) >= 4 {
				c := binary.BigEndian.Uint32(row)
				if c != now.colour {
					if now.pixels > 0 && !yield(now) {
						return
					}
					now = stretch{colour: c}
				}
				n := 4
				two := uint64(c)<<32 | uint64(c)
				for len(row) >= n+8 && binary.BigEndian.Uint64(row[n:]) == two {
					n += 8
				}
				now.pixels += n / 4
				row = row[n:]
			}
		}
		if now.pixels > 0 {
			yield(now)
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
