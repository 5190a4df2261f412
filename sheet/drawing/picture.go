package drawing

import (
	"image"
	"image/color"
	"math"
	"sync"

	"gonum.org/v1/plot/vg"
)

// The size of a PNG in pixels.
const (
	pixelsWide = int(Width * DPI / 72)
	pixelsHigh = int(Height * DPI / 72)
)

// picture is a canvas of pixels. The vector library's own spends 20 ms on a drawing, of which a job has dozens: it paints in
// four bytes a pixel, makes the outline of every line by joins and caps, works every letter out anew, and leaves the colours
// to be counted. This one has the one palette of all drawings, fills upright lines and rectangles at once, and keeps letters.
// Lines end square and meet in points, as in the other formats. What it is given is opaque and in one typeface.
type picture struct {
	lines  []byte // a PNG's: of each row its filter, 0, which stands for the pixels as they are, then its pixels; then a word
	pix    []byte // the same from the first pixel on
	washes []wash // of the inks, and one more of any other colour
	wash   *wash  // of the colour set
	raster raster
	pen    penState
	stack  []penState
	points []xy // of the line at work
	dash   []xy
	slants []slant
	bends  []bend
	sides  [2][]spot
	packer packer
	file   []byte
}

// penState is what Push keeps.
type penState struct {
	frame
	colour color.Color
	width  float64 // pixels
	dash   []float64
	offset float64
}

// stride is the number of bytes from a row to the next.
const stride = 1 + pixelsWide

const dots = DPI / 72.0 // pixels a point

// pictures are those not in use: each has three megabytes, and a job a hundred drawings.
var pictures = sync.Pool{New: func() any {
	p := &picture{lines: make([]byte, stride*pixelsHigh+word), washes: make([]wash, len(inks)+1)}
	p.pix = p.lines[1:]
	return p
}}

func newPicture() *picture {
	p := pictures.Get().(*picture)
	clear(p.lines)
	p.pen, p.stack = penState{frame: levelFrame}, p.stack[:0]
	p.slants = p.slants[:0] // another picture's may differ in their last bits
	vg.Initialize(p)
	return p
}

// free gives the pixels to the next picture.
func (p *picture) free() { pictures.Put(p) }

// image is what was painted.
func (p *picture) image() *image.Paletted {
	return &image.Paletted{Pix: p.pix, Stride: stride, Rect: image.Rect(0, 0, pixelsWide, pixelsHigh), Palette: palette()}
}

// SetLineWidth is vg.Canvas.
func (p *picture) SetLineWidth(w vg.Length) { p.pen.width = float64(w) * dots }

// SetLineDash is vg.Canvas.
func (p *picture) SetLineDash(pattern []vg.Length, offset vg.Length) {
	p.pen.dash = nil
	if len(pattern) > 0 {
		p.pen.dash = make([]float64, len(pattern))
	}
	for i, l := range pattern {
		p.pen.dash[i] = float64(l) * dots
	}
	p.pen.offset = float64(offset) * dots
}

// SetColor is vg.Canvas.
func (p *picture) SetColor(c color.Color) {
	if c == nil {
		c = color.Black
	}
	p.pen.colour = c
	n, ok := c.(color.NRGBA)
	if !ok {
		n = color.NRGBAModel.Convert(c).(color.NRGBA)
	}
	i, ok := inkPlaces()[n]
	if !ok {
		i = len(inks)
	}
	p.wash = &p.washes[i]
	if !p.wash.made || p.wash.full != n {
		p.wash.begin(n)
	}
}

// Rotate is vg.Canvas.
func (p *picture) Rotate(rad float64) { p.pen.rotate(rad) }

// Translate is vg.Canvas.
func (p *picture) Translate(pt vg.Point) { p.pen.translate(pt) }

// Scale is vg.Canvas.
func (p *picture) Scale(x, y float64) { p.pen.scale(x, y) }

// Push is vg.Canvas.
func (p *picture) Push() { p.stack = append(p.stack, p.pen) }

// Pop is vg.Canvas.
func (p *picture) Pop() {
	p.pen = p.stack[len(p.stack)-1]
	p.stack = p.stack[:len(p.stack)-1]
	p.SetColor(p.pen.colour)
}

// at is a point in pixels from the upper left.
func (p *picture) at(pt vg.Point) xy {
	q := p.pen.at(xy{float64(pt.X), float64(pt.Y)})
	return xy{q.x * dots, float64(pixelsHigh) - q.y*dots}
}

// Stroke is vg.Canvas.
func (p *picture) Stroke(path vg.Path) {
	if p.pen.width <= 0 {
		return
	}
	p.each(path, func(pts []xy, closed bool) {
		if len(p.pen.dash) == 0 {
			p.stroke(pts, closed)
			return
		}
		if closed {
			pts = append(pts, pts[0])
		}
		p.dashes(pts)
	})
}

// Fill is vg.Canvas.
func (p *picture) Fill(path vg.Path) {
	p.raster.begin()
	p.each(path, func(pts []xy, _ bool) {
		if len(pts) == 4 && len(path) <= 5 && uprightBox(pts) {
			a, b := pts[0], pts[2]
			p.box(spotAt(min(a.x, b.x), min(a.y, b.y)), spotAt(max(a.x, b.x), max(a.y, b.y)))
			return
		}
		last := spotOf(pts[len(pts)-1])
		for _, q := range pts {
			s := spotOf(q)
			p.raster.side(last, s)
			last = s
		}
	})
	p.fill()
}

// uprightBox tells whether four corners are a rectangle of level and plumb sides.
func uprightBox(c []xy) bool {
	return same(c[0].x, c[1].x) && same(c[1].y, c[2].y) && same(c[2].x, c[3].x) && same(c[3].y, c[0].y) ||
		same(c[0].y, c[1].y) && same(c[1].x, c[2].x) && same(c[2].y, c[3].y) && same(c[3].x, c[0].x)
}

// fill paints what the raster has.
func (p *picture) fill() { p.raster.fill(p.wash, p.pix, pixelsWide, pixelsHigh, stride) }

// box paints an upright rectangle, from its upper left to its lower right.
func (p *picture) box(a, b spot) { p.wash.box(p.pix, pixelsWide, pixelsHigh, stride, a, b) }

// each gives the lines of a path, in pixels, with what is curved as short straight ones, and whether they close.
func (p *picture) each(path vg.Path, do func(pts []xy, closed bool)) {
	pts := p.points[:0]
	end := func(closed bool) {
		if n := len(pts); closed && n > 1 && pts[0] == pts[n-1] {
			pts = pts[:n-1]
		}
		if len(pts) > 1 {
			do(pts, closed)
		}
		p.points, pts = pts, pts[:0]
	}
	for _, c := range path {
		switch c.Type {
		case vg.MoveComp:
			end(false)
			pts = append(pts, p.at(c.Pos))
		case vg.LineComp:
			pts = append(pts, p.at(c.Pos))
		case vg.ArcComp:
			// A chord strays from an arc of radius r by r(1-cos(angle/2)).
			r := math.Abs(float64(c.Radius)) * dots
			n := max(int(math.Ceil(math.Abs(c.Angle)/2/math.Acos(1-min(straying/max(r, straying), 1)))), 1)
			for i := range n + 1 {
				s, co := math.Sincos(c.Start + c.Angle*float64(i)/float64(n))
				q := p.at(vg.Point{X: c.Pos.X + c.Radius*vg.Length(co), Y: c.Pos.Y + c.Radius*vg.Length(s)})
				if len(pts) == 0 || pts[len(pts)-1].sub(q).len() > 1e-6 {
					pts = append(pts, q)
				}
			}
		case vg.CurveComp:
			if len(pts) == 0 {
				continue
			}
			a, z := pts[len(pts)-1], p.at(c.Pos)
			b := p.at(c.Control[0])
			d := z
			if len(c.Control) > 1 {
				d = p.at(c.Control[1])
			} else { // the cubic that a quadratic is
				b, d = a.to(b, 2.0/3), z.to(b, 2.0/3)
			}
			n := curveSteps(max(a.sub(b.times(2)).add(d).len(), b.sub(d.times(2)).add(z).len()) * 3)
			for i := 1; i <= n; i++ {
				t := float64(i) / float64(n)
				ab, bd, dz := a.to(b, t), b.to(d, t), d.to(z, t)
				pts = append(pts, ab.to(bd, t).to(bd.to(dz, t), t))
			}
		case vg.CloseComp:
			var first xy
			if len(pts) > 0 {
				first = pts[0]
			}
			end(true)
			pts = append(pts, first) // what follows without a move begins there
		}
	}
	end(false)
}

// DrawImage is vg.Canvas; drawings hold no pictures.
func (p *picture) DrawImage(vg.Rectangle, image.Image) { panic("drawing: a picture in a drawing") }

// straying is how far, in pixels, straight lines may stand from a curve.
const straying = 0.03

// curveSteps is how many straight lines stand for a curve: one strays by an eighth of the curve's second difference.
func curveSteps(second float64) int {
	const most = 64
	return min(max(int(math.Ceil(math.Sqrt(second/8/straying))), 1), most)
}
