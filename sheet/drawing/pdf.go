package drawing

import (
	"image"
	"image/color"
	"io"
	"math"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font"
	gonumfont "gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// document is a PDF of several pages as a canvas. The vector library's own PDF canvas dates every file by the clock and knows
// one code page only, so that marks in other letters would be lost; this one has the date it is given and the whole typeface.
type document struct {
	f     *fpdf.Fpdf
	high  float64
	stack []pdfState
}

// pdfState is the transform from canvas to page, y upwards, and the pen.
type pdfState struct {
	frame
	colour color.Color
	width  float64
	dash   []float64
	offset float64
}

const (
	pdfFamily   = "sans"
	pdfProducer = "wallbill"
)

func newDocument(title string, created time.Time) *document {
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", Size: fpdf.SizeType{Wd: 792, Ht: 612}})
	f.SetCreationDate(created)
	f.SetModificationDate(created)
	f.SetCatalogSort(true)
	f.SetProducer(pdfProducer, true)
	f.SetCreator(pdfProducer, true)
	f.SetTitle(title, true)
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	for i, style := range []string{"", "B"} {
		f.AddUTF8FontFromBytes(pdfFamily, style, typefaceOf(i == 1).ttf)
	}
	return &document{f: f, stack: []pdfState{{}}}
}

// page begins a page of that size in points.
func (d *document) page(wide, high float64) {
	d.f.AddPageFormat("P", fpdf.SizeType{Wd: wide, Ht: high})
	d.high = high
	d.stack = []pdfState{{frame: levelFrame, colour: color.Black, width: 1}}
	vg.Initialize(d)
}

// bookmark puts the page into the document's outline.
func (d *document) bookmark(title string) { d.f.Bookmark(title, 0, 0) }

func (d *document) write(w io.Writer) error { return d.f.Output(w) }

func (d *document) top() *pdfState { return &d.stack[len(d.stack)-1] }

// SetLineWidth is vg.Canvas.
func (d *document) SetLineWidth(w vg.Length) { d.top().width = float64(w) }

// SetLineDash is vg.Canvas.
func (d *document) SetLineDash(pattern []vg.Length, offset vg.Length) {
	s := d.top()
	s.dash = make([]float64, len(pattern))
	for i, l := range pattern {
		s.dash[i] = float64(l)
	}
	s.offset = float64(offset)
}

// SetColor is vg.Canvas.
func (d *document) SetColor(c color.Color) {
	if c == nil {
		c = color.Black
	}
	d.top().colour = c
}

// Rotate is vg.Canvas.
func (d *document) Rotate(rad float64) { d.top().rotate(rad) }

// Translate is vg.Canvas.
func (d *document) Translate(pt vg.Point) { d.top().translate(pt) }

// Scale is vg.Canvas.
func (d *document) Scale(x, y float64) { d.top().scale(x, y) }

// Push is vg.Canvas.
func (d *document) Push() { d.stack = append(d.stack, *d.top()) }

// Pop is vg.Canvas.
func (d *document) Pop() { d.stack = d.stack[:len(d.stack)-1] }

// at is a point on the page, y downwards as the library has it.
func (d *document) at(p vg.Point) (x, y float64) {
	q := d.top().frame.at(xy{float64(p.X), float64(p.Y)})
	return q.x, d.high - q.y
}

// Stroke is vg.Canvas.
func (d *document) Stroke(p vg.Path) {
	s := d.top()
	if s.width <= 0 {
		return
	}
	r, g, b := rgb(s.colour)
	d.f.SetDrawColor(r, g, b)
	d.f.SetLineWidth(s.width)
	d.f.SetDashPattern(s.dash, s.offset)
	d.path(p)
	d.f.DrawPath("D")
}

// Fill is vg.Canvas.
func (d *document) Fill(p vg.Path) {
	r, g, b := rgb(d.top().colour)
	d.f.SetFillColor(r, g, b)
	d.path(p)
	d.f.DrawPath("F")
}

func (d *document) path(p vg.Path) {
	for _, c := range p {
		x, y := d.at(c.Pos)
		switch c.Type {
		case vg.MoveComp:
			d.f.MoveTo(x, y)
		case vg.LineComp:
			d.f.LineTo(x, y)
		case vg.CloseComp:
			d.f.ClosePath()
		case vg.ArcComp:
			d.arc(c)
		case vg.CurveComp:
			x0, y0 := d.at(c.Control[0])
			if len(c.Control) == 1 {
				d.f.CurveTo(x0, y0, x, y)
				continue
			}
			x1, y1 := d.at(c.Control[1])
			d.f.CurveBezierCubicTo(x0, y0, x1, y1, x, y)
		}
	}
}

// arc draws an arc by cubic curves of at most a right angle each.
func (d *document) arc(c vg.PathComp) {
	n := int(math.Ceil(math.Abs(c.Angle) / (math.Pi / 2)))
	step := c.Angle / float64(max(n, 1))
	k := 4.0 / 3 * math.Tan(step/4)
	on := func(a, out float64) vg.Point {
		s, co := math.Sincos(a)
		r := float64(c.Radius)
		return vg.Point{X: c.Pos.X + vg.Length(r*(co-out*s)), Y: c.Pos.Y + vg.Length(r*(s+out*co))}
	}
	d.f.LineTo(d.at(on(c.Start, 0)))
	for i := range n {
		a := c.Start + float64(i)*step
		x0, y0 := d.at(on(a, k))
		x1, y1 := d.at(on(a+step, -k))
		x, y := d.at(on(a+step, 0))
		d.f.CurveBezierCubicTo(x0, y0, x1, y1, x, y)
	}
}

// FillString is vg.Canvas.
func (d *document) FillString(f gonumfont.Face, pt vg.Point, text string) {
	if f.Font.Size == 0 {
		return
	}
	t := d.top()
	r, g, b := rgb(t.colour)
	d.f.SetTextColor(r, g, b)
	style := ""
	if f.Font.Weight == font.WeightBold {
		style = "B"
	}
	d.f.SetFont(pdfFamily, style, float64(f.Font.Size))
	x, y := d.at(pt)
	if t.b == 0 && t.a > 0 {
		d.f.Text(x, y, text)
		return
	}
	d.f.TransformBegin()
	d.f.TransformRotate(math.Atan2(t.b, t.a)*180/math.Pi, x, y)
	d.f.Text(x, y, text)
	d.f.TransformEnd()
}

// DrawImage is vg.Canvas; drawings hold no pictures.
func (d *document) DrawImage(vg.Rectangle, image.Image) { panic("drawing: a picture in a drawing") }

func rgb(c color.Color) (r, g, b int) {
	if c == nil {
		return 0, 0, 0
	}
	r32, g32, b32, _ := c.RGBA()
	return int(r32 >> 8), int(g32 >> 8), int(b32 >> 8)
}
