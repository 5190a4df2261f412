package drawing

import (
	"math"
	"sync/atomic"

	stdfont "golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// The letters of pictures. A drawing has a thousand, in a few sizes: each is worked out once for every quarter of a pixel, to
// the right and down, that it may stand at, and kept for all pictures.

const (
	phaseBits = 2
	phases    = 1 << phaseBits
	mostKept  = 72 // points; greater letters than any drawing has are not kept
)

// glyph is a letter in pixels: how much of each it covers, in shades.
type glyph struct {
	x, y, wide, high int // of its upper left from the pixel that its pen stands in
	of               []byte
}

// glyphs are the common letters of a typeface in a size, by the quarters of a pixel that they stand at.
type glyphs [commonEnd - commonFrom][phases * phases]atomic.Pointer[glyph]

// inSize are the glyphs of a size in points.
func (t *typeface) inSize(points float64) *glyphs {
	g, ok := t.sizes.Load(points)
	if !ok {
		g, _ = t.sizes.LoadOrStore(points, new(glyphs))
	}
	return g.(*glyphs)
}

// outline of a letter, in units of the font with its pen at 0, 0 and y downwards.
func (t *typeface) outline(l letter) []sfnt.Segment {
	kept, ok := t.outlines.Load(l.glyph)
	if !ok {
		var b sfnt.Buffer
		s, err := t.file.LoadGlyph(&b, l.glyph, t.em, nil)
		if err != nil {
			panic("drawing: the built-in typeface: " + err.Error())
		}
		kept, _ = t.outlines.LoadOrStore(l.glyph, []sfnt.Segment(s))
	}
	return kept.([]sfnt.Segment)
}

// letter adds an outline to the raster; put takes its units to pixels.
func (r *raster) letter(outline []sfnt.Segment, put frame) {
	var last xy
	var first, now spot
	line := func(to xy) {
		s := spotOf(to)
		r.side(now, s)
		last, now = to, s
	}
	for _, s := range outline {
		var arg [2]xy
		for i := range arg {
			arg[i] = put.at(xy{float64(s.Args[i].X), float64(s.Args[i].Y)})
		}
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			r.side(now, first)
			last, first = arg[0], spotOf(arg[0])
			now = first
		case sfnt.SegmentOpLineTo:
			line(arg[0])
		case sfnt.SegmentOpQuadTo:
			a := last
			n := curveSteps(a.sub(arg[0].times(2)).add(arg[1]).len() * 2)
			for i := 1; i < n; i++ {
				k := float64(i) / float64(n)
				line(a.to(arg[0], k).to(arg[0].to(arg[1], k), k))
			}
			line(arg[1])
		}
	}
	r.side(now, first)
}

// shaded paints shades themselves, on pixels that are 0.
var shaded = func() *wash {
	w := &wash{place: shades}
	for s := range w.of {
		for g := range w.of[s] {
			w.of[s][g] = uint8(s)
		}
	}
	return w
}()

// newGlyph works a letter out, its pen at x and y in the pixel at 0, 0.
func (r *raster) newGlyph(outline []sfnt.Segment, size, x, y float64) *glyph {
	if len(outline) == 0 {
		return new(glyph)
	}
	lo, hi := xy{math.Inf(1), math.Inf(1)}, xy{math.Inf(-1), math.Inf(-1)}
	for _, s := range outline {
		n := 1
		if s.Op == sfnt.SegmentOpQuadTo {
			n = 2
		}
		for _, a := range s.Args[:n] {
			q := xy{x + float64(a.X)*size, y + float64(a.Y)*size}
			lo, hi = xy{min(lo.x, q.x), min(lo.y, q.y)}, xy{max(hi.x, q.x), max(hi.y, q.y)}
		}
	}
	lo, hi = xy{math.Floor(lo.x), math.Floor(lo.y)}, xy{math.Ceil(hi.x), math.Ceil(hi.y)}
	g := &glyph{x: int(lo.x), y: int(lo.y), wide: int(hi.x - lo.x), high: int(hi.y - lo.y)}
	g.of = make([]byte, g.wide*g.high)
	r.begin()
	r.letter(outline, frame{a: size, d: size, e: x - lo.x, f: y - lo.y})
	r.fill(shaded, g.of, g.wide, g.high, g.wide)
	return g
}

// FillString is vg.Canvas. A character that the typeface has not stays blank.
func (p *picture) FillString(f font.Face, at vg.Point, s string) {
	t := typefaceOf(f.Font.Weight == stdfont.WeightBold)
	points := float64(f.Font.Size) / float64(t.em) // a unit of the font
	kept := t.inSize(float64(f.Font.Size))
	put := frame{a: p.pen.a, b: -p.pen.b, c: -p.pen.c, d: p.pen.d}
	put.a, put.b, put.c, put.d = put.a*points*dots, put.b*points*dots, put.c*points*dots, put.d*points*dots
	level := p.pen.a == 1 && p.pen.b == 0 && p.pen.c == 0 && p.pen.d == 1 && f.Font.Size <= mostKept
	units, before, last := 0, rune(-1), letter{}
	for _, c := range s {
		l := t.of(c)
		if before >= 0 {
			units += t.kern(before, c, last, l)
		}
		q := p.at(vg.Point{X: at.X + vg.Length(float64(units)*points), Y: at.Y})
		units += l.advance
		before, last = c, l
		switch {
		case l.glyph == 0:
		case level && c >= commonFrom && c < commonEnd:
			x, y := int(math.Floor(q.x*phases+0.5)), int(math.Floor(q.y*phases+0.5))
			right, down := x&(phases-1), y&(phases-1)
			slot := &kept[c-commonFrom][right*phases+down]
			g := slot.Load()
			if g == nil {
				g = p.raster.newGlyph(t.outline(l), points*dots, float64(right)/phases, float64(down)/phases)
				slot.Store(g) // another drawing may have stored the same meanwhile
			}
			p.glyph(g, x>>phaseBits, y>>phaseBits)
		default:
			put.e, put.f = q.x, q.y
			p.raster.begin()
			p.raster.letter(t.outline(l), put)
			p.fill()
		}
	}
}

// glyph paints a letter, its pen in that pixel.
func (p *picture) glyph(g *glyph, x, y int) {
	x, y = x+g.x, y+g.y
	left, right := max(-x, 0), min(pixelsWide-x, g.wide)
	if left >= right {
		return
	}
	w := p.wash
	for k := max(-y, 0); k < min(g.high, pixelsHigh-y); k++ {
		shade := g.of[k*g.wide+left : k*g.wide+right]
		row := p.pix[(y+k)*stride+x+left:]
		row = row[:len(shade)]
		for i, s := range shade {
			v := w.of[s&shades][row[i]]
			if v == unknown {
				v = w.mix(int(s), row[i])
			}
			row[i] = v
		}
	}
}
