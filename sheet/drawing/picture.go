package drawing

import (
	"image"
	"image/color"
	"image/png"
	"sync"

	"git.sr.ht/~sbinet/gg"
	stdfont "golang.org/x/image/font"
	"golang.org/x/image/math/fixed"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
)

// The size of a PNG in pixels.
const (
	pixelsWide = int(Width * DPI / 72)
	pixelsHigh = int(Height * DPI / 72)
)

// canvases are pictures to paint on that are not in use: each is of 10 MB, and a job has a hundred drawings.
var canvases = sync.Pool{New: func() any { return image.NewRGBA(image.Rect(0, 0, pixelsWide, pixelsHigh)) }}

// pngFast trades some bytes for most of the time of packing a picture.
var pngFast = png.Encoder{CompressionLevel: png.BestSpeed, BufferPool: &packers{}}

// packers keeps the encoder's tables, a megabyte a picture, for the next picture.
type packers struct{ pool sync.Pool }

func (p *packers) Get() *png.EncoderBuffer {
	b, _ := p.pool.Get().(*png.EncoderBuffer)
	return b // nil: the encoder makes one
}

func (p *packers) Put(b *png.EncoderBuffer) { p.pool.Put(b) }

// picture is a canvas of pixels. Level text, which is nearly all of it, it writes straight into them: the canvas below
// would put every letter through the matrix that turned text needs, to the same pixels.
type picture struct {
	*vgimg.Canvas
	pixels *image.RGBA
	ink    color.Color
	pushed int // 0: nothing is turned or moved
	faces  map[font.Font]stdfont.Face
}

func newPicture() *picture {
	m := canvases.Get().(*image.RGBA)
	c := gg.NewContextForRGBA(m)
	c.SetLineCapButt()
	c.InvertY()
	return &picture{Canvas: vgimg.NewWith(vgimg.UseImageWithContext(m, c), vgimg.UseDPI(DPI)), pixels: m, ink: color.Black, faces: map[font.Font]stdfont.Face{}}
}

// free gives the pixels to the next picture.
func (p *picture) free() { canvases.Put(p.pixels) }

// SetColor is vg.Canvas.
func (p *picture) SetColor(c color.Color) {
	p.ink = c
	p.Canvas.SetColor(c)
}

// Push is vg.Canvas.
func (p *picture) Push() {
	p.pushed++
	p.Canvas.Push()
}

// Pop is vg.Canvas.
func (p *picture) Pop() {
	p.pushed--
	p.Canvas.Pop()
}

// FillString is vg.Canvas.
func (p *picture) FillString(f font.Face, at vg.Point, s string) {
	if p.pushed > 0 {
		p.Canvas.FillString(f, at, s)
		return
	}
	face := p.faces[f.Font]
	if face == nil {
		face = f.FontFace(DPI)
		p.faces[f.Font] = face
	}
	const parts = 64 // of a pixel, as the letters' places count
	d := stdfont.Drawer{Dst: p.pixels, Src: image.NewUniform(p.ink), Face: face, Dot: fixed.Point26_6{
		X: fixed.Int26_6(at.X.Dots(DPI) * parts),
		Y: fixed.Int26_6((float64(pixelsHigh) - at.Y.Dots(DPI)) * parts),
	}}
	d.DrawString(s)
}
