package drawing

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
	"pgregory.net/rapid"
)

// Pictures are painted on pixels that others used before, many at a time: each comes to the bytes it has alone.
func TestPicturesOnUsedPixels(t *testing.T) {
	sheets := All(estate(8).takeoff(t))
	alone := make([][]byte, len(sheets))
	for i, s := range sheets {
		pictures = sync.Pool{New: pictures.New}
		var b bytes.Buffer
		require.NoError(t, s.PNG(&b))
		alone[i] = b.Bytes()
	}
	for range 3 {
		var g sync.WaitGroup // a sheet is painted once at a time
		for i, s := range sheets {
			g.Go(func() {
				var b bytes.Buffer
				if err := s.PNG(&b); err != nil || !bytes.Equal(b.Bytes(), alone[i]) {
					t.Errorf("%s: other bytes than alone, or %v", s.Name, err)
				}
			})
		}
		g.Wait()
	}
}

// library is the vector library's own canvas of pixels, as a reference. It has two faults that the other formats have not,
// which are made good here: it kerns letters by the font's units whatever their size, so that letters are set one by one; and
// it leaves the corner open where a closed line begins and rounds the others, so that level and plumb parts of lines are drawn
// apart and as far as the corners' points. Turned letters it blurs: they are left out, or for another test.
type library struct {
	*vgimg.Canvas
	pushed int
	width  vg.Length
	dashed bool
}

func newLibrary() *library {
	return &library{Canvas: vgimg.NewWith(vgimg.UseWH(Width, Height), vgimg.UseDPI(DPI)), width: 1}
}

func (l *library) Push() { l.pushed++; l.Canvas.Push() }
func (l *library) Pop()  { l.pushed--; l.Canvas.Pop() }

func (l *library) SetLineWidth(w vg.Length) {
	l.width = w
	l.Canvas.SetLineWidth(w)
}

func (l *library) SetLineDash(pattern []vg.Length, offset vg.Length) {
	l.dashed = len(pattern) > 0
	l.Canvas.SetLineDash(pattern, offset)
}

func (l *library) FillString(f font.Face, at vg.Point, s string) {
	if l.pushed > 0 {
		return
	}
	for i, r := range s {
		l.Canvas.FillString(f, vg.Point{X: at.X + f.Width(s[:i+len(string(r))]) - f.Width(string(r)), Y: at.Y}, string(r))
	}
}

func (l *library) Stroke(p vg.Path) {
	closed := len(p) > 2 && p[len(p)-1].Type == vg.CloseComp
	if closed {
		p = append(slices.Clone(p[:len(p)-1]), vg.PathComp{Type: vg.LineComp, Pos: p[0].Pos})
	}
	square := len(p) > 2 && !l.dashed
	for i := 1; i < len(p); i++ {
		d := vg.Point{X: p[i].Pos.X - p[i-1].Pos.X, Y: p[i].Pos.Y - p[i-1].Pos.Y}
		square = square && p[i].Type == vg.LineComp && (math.Abs(float64(d.X)) < 1e-6) != (math.Abs(float64(d.Y)) < 1e-6)
	}
	if !square {
		l.Canvas.Stroke(p)
		return
	}
	var apart vg.Path
	for i := 1; i < len(p); i++ {
		a, b := p[i-1].Pos, p[i].Pos
		d := xy{float64(b.X - a.X), float64(b.Y - a.Y)}.unit().times(float64(l.width) / 2).point()
		if math.Abs(float64(d.X)) < math.Abs(float64(d.Y)) { // the corners are those of the level parts
			if math.Abs(float64(b.Y-a.Y)) <= float64(l.width) {
				continue
			}
			d = vg.Point{X: -d.X, Y: -d.Y}
		}
		if closed || i > 1 {
			a = a.Sub(d)
		}
		if closed || i < len(p)-1 {
			b = b.Add(d)
		}
		apart.Move(a)
		apart.Line(b)
	}
	l.Canvas.Stroke(apart)
}

// noTurned leaves turned letters out.
type noTurned struct{ *picture }

func (n noTurned) FillString(f font.Face, at vg.Point, s string) {
	if n.pen.frame == levelFrame {
		n.picture.FillString(f, at, s)
	}
}

// difference of two pictures in a part of them: the greatest of any pixel in any colour, of 255; the mean; and the part of
// the pixels that differ by more than near.
func difference(a, b image.Image, in image.Rectangle, near int) (most int, at image.Point, mean, far float64) {
	for y := in.Min.Y; y < in.Max.Y; y++ {
		for x := in.Min.X; x < in.Max.X; x++ {
			r, g, bl, _ := a.At(x, y).RGBA()
			r2, g2, b2, _ := b.At(x, y).RGBA()
			d := max(apart(r, r2), apart(g, g2), apart(bl, b2))
			if d > most {
				most, at = d, image.Pt(x, y)
			}
			mean += float64(d)
			if d > near {
				far++
			}
		}
	}
	n := float64(in.Dx() * in.Dy())
	return most, at, mean / n, far / n
}

func apart(a, b uint32) int {
	if a < b {
		a, b = b, a
	}
	return int((a - b) >> 8)
}

// Whatever is drawn comes to what the library's canvas makes of it, but for rounding: it counts in 64ths of a pixel, and
// pictures have 15 steps from ground to ink. Letters stand on quarters of a pixel here, and curves are the library's coarser.
func TestPaintIsTheLibrarys(t *testing.T) {
	zone := image.Rect(40, pixelsHigh-200, 200, pixelsHigh-40)
	coordinate := rapid.Float64Range(20, 70)
	point := func(t *rapid.T, name string) xy {
		q := xy{coordinate.Draw(t, name), coordinate.Draw(t, name)}
		if rapid.Bool().Draw(t, "on a pixel") {
			q = xy{math.Round(q.x*dots) / dots, math.Round(q.y*dots) / dots}
		}
		return q
	}
	rapid.Check(t, func(t *rapid.T) {
		colours := rapid.SampledFrom(inks)
		ground := rapid.SampledFrom([]color.NRGBA{white, tint(black, footingTint), tint(sky, tinted), tint(orange, tinted), tint(green, tinted)}).Draw(t, "ground")
		s := stroke{rapid.SampledFrom([]float64{hairline, thin, medium, heavy, 2}).Draw(t, "width"), colours.Draw(t, "colour"), nil}
		kind := rapid.SampledFrom([]string{"line", "level", "plumb", "dashes", "box", "outline", "figure", "arc", "letters"}).Draw(t, "kind")
		a, b := point(t, "a"), point(t, "b")
		var more []xy
		for range rapid.IntRange(1, 4).Draw(t, "corners") {
			more = append(more, point(t, "corner"))
		}
		text := rapid.StringOfN(rapid.RuneFrom([]rune("AVWaefgjQ0183'\"/#½×é…Ж ")), 1, 5, -1).Draw(t, "text")
		size, bold := rapid.SampledFrom([]float64{4.5, 6, 6.5, 7, 13}).Draw(t, "size"), rapid.Bool().Draw(t, "bold")
		paint := func(c vg.Canvas) {
			p := newPen(c)
			p.fill(ground, box(10, 10, 80, 80)...)
			switch kind {
			case "line":
				p.line(s, a, b)
			case "level":
				p.line(s, a, xy{b.x, a.y})
			case "plumb":
				p.line(s, a, xy{a.x, b.y})
			case "dashes":
				d := s
				d.dash = dashDot
				p.line(d, a, b)
			case "box":
				p.fill(s.colour, box(a.x, a.y, b.x, b.y)...)
			case "outline":
				p.outline(s, box(a.x, a.y, a.x+2+math.Abs(b.x-a.x)/3, a.y+3)...)
			case "figure":
				p.fill(s.colour, append(more, a, b)...)
			case "arc":
				var w vg.Path
				w.Move(xy{45, 45}.point())
				w.Arc(xy{45, 45}.point(), vg.Length(3+math.Abs(b.x-a.x)/3), a.x, b.y/12)
				w.Close()
				c.SetColor(s.colour)
				c.Fill(w)
			case "letters":
				p.text(letters{size: size, bold: bold, colour: s.colour}, xy{min(a.x, 40), a.y}, text)
			}
		}
		got, want := newPicture(), newLibrary()
		defer got.free()
		paint(got)
		paint(want)
		near := map[string]int{"arc": 56, "letters": 64}[kind]
		if near == 0 {
			near = 32
		}
		if ground != white {
			near += 24 // where a colour over another's tint is not in the palette
		}
		if most, at, _, _ := difference(got.image(), want.Image(), zone, near); most > near {
			t.Fatalf("%s: pixel %v is %v, want %v", kind, at, got.image().At(at.X, at.Y), want.Image().At(at.X, at.Y))
		}
	})
}

// A sheet comes to what the library makes of it, but for rounding, which adds up where lines cross, and for the corners of
// slanted lines, which it rounds.
func TestSheetsAreTheLibrarys(t *testing.T) {
	sheets := slices.Concat(All(cottage().takeoff(t)), All(metres().takeoff(t)), All(estate(4).takeoff(t))[:3])
	for _, s := range sheets {
		got, want := newPicture(), newLibrary()
		s.Paint(noTurned{got})
		s.Paint(want)
		const near = 40
		most, at, mean, far := difference(got.image(), want.Image(), got.image().Bounds(), near)
		assert.LessOrEqual(t, most, 96, "%s: pixel %v", s.Name, at)
		assert.Less(t, mean, 0.6, s.Name)
		assert.Less(t, far, 0.0004, s.Name)
		got.free()
	}
}

// A PNG holds the pixels painted.
func TestPNGHoldsThePixels(t *testing.T) {
	for _, s := range All(estate(4).takeoff(t)) {
		var b bytes.Buffer
		require.NoError(t, s.PNG(&b))
		m, err := png.Decode(&b)
		require.NoError(t, err)
		p := newPicture()
		s.paint(newPen(p))
		got := m.(*image.Paletted)
		require.Equal(t, p.image().Palette, convert(got.Palette))
		for y := range pixelsHigh {
			require.True(t, bytes.Equal(p.pix[y*stride:y*stride+pixelsWide], got.Pix[y*got.Stride:y*got.Stride+pixelsWide]), "row %d", y)
		}
		p.free()
	}
}

func convert(p color.Palette) color.Palette {
	var out color.Palette
	for _, c := range p {
		out = append(out, color.NRGBAModel.Convert(c))
	}
	return out
}

// Turned letters are the level ones, turned.
func TestTurnedLetters(t *testing.T) {
	const text = "Wall 12'-6\" é"
	level, turned := newPicture(), newPicture()
	defer level.free()
	defer turned.free()
	c := 300.0 / dots // the middle of both, on a pixel's corner
	l := letters{size: 9, colour: ink}
	newPen(level).text(l, xy{c - 30, c - 6}, text)
	l.turn = math.Pi / 2
	newPen(turned).text(l, xy{c + 6, c - 30}, text)
	for y := -100; y < 100; y++ {
		for x := -100; x < 100; x++ {
			a := level.pix[(pixelsHigh-300+y)*stride+300+x]
			b := turned.pix[(pixelsHigh-300-1-x)*stride+300+y]
			ca, cb := paletteColours()[a], paletteColours()[b]
			require.InDelta(t, int(ca.R), int(cb.R), 64, "%d, %d", x, y)
		}
	}
	assert.NotEqual(t, make([]byte, 200), level.pix[(pixelsHigh-300)*stride+200:][:200])
}

// The inks are in the palette in full, white first, and drawings use no other colour.
func TestPalette(t *testing.T) {
	all := paletteColours()
	require.LessOrEqual(t, len(all), mostColours)
	for i, c := range inks {
		require.Equal(t, c, all[i])
	}
	for _, s := range slices.Concat(All(cottage().takeoff(t)), All(metres().takeoff(t)), All(estate(100).takeoff(t))) {
		p := newPicture()
		s.Paint(onlyInks{p, t})
		p.free()
	}
}

// The nearest colour is the one that a look at all of them finds.
func TestNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := color.NRGBA{rapid.Byte().Draw(t, "red"), rapid.Byte().Draw(t, "green"), rapid.Byte().Draw(t, "blue"), 0xFF}
		least, want := math.MaxInt, 0
		for i, p := range paletteColours() {
			r, g, b := int(p.R)-int(c.R), int(p.G)-int(c.G), int(p.B)-int(c.B)
			if d := r*r + g*g + b*b; d < least {
				least, want = d, i
			}
		}
		require.Equal(t, want, int(nearest(c)))
	})
}

type onlyInks struct {
	*picture
	t *testing.T
}

func (o onlyInks) SetColor(c color.Color) {
	assert.Contains(o.t, inks, c)
	o.picture.SetColor(c)
}

// What a wash comes to is near what it is to be, and exact from paper to an ink: no picture's place in the order of pictures
// changes it.
func TestWashes(t *testing.T) {
	var w wash
	for _, c := range inks {
		w.begin(c)
		for shade := range shades + 1 {
			for _, g := range inks {
				at := uint8(inkPlaces()[g])
				w.dot(&at, shade)
				got, want := paletteColours()[at], mixed(g, c, shade, shades)
				most := max(apart8(got.R, want.R), apart8(got.G, want.G), apart8(got.B, want.B))
				require.LessOrEqual(t, most, 40, "%v over %v, %d: %v, want %v", c, g, shade, got, want)
				if g == white && slices.Contains(hues, c) {
					require.Equal(t, want, got)
				}
			}
		}
	}
}

func apart8(a, b uint8) int { return apart(uint32(a)<<8, uint32(b)<<8) }

// Whatever passes the page is cut, and letters of any size are painted.
func TestBeyondThePage(t *testing.T) {
	p := newPicture()
	defer p.free()
	d := newPen(p)
	far := []float64{-1e9, -500, -3, 0, Width / 2, Height, Width + 3, 2000, 1e9}
	for _, x := range far {
		for _, y := range far {
			d.fill(blue, box(x, y, x+40, y+40)...)
			d.fill(sky, xy{x, y}, xy{x + 30, y + 90}, xy{Width / 2, Height / 2})
			d.line(stroke{heavy, ink, nil}, xy{x, y}, xy{x + 55, y + 31})
			d.line(stroke{heavy, ink, nil}, xy{x, y}, xy{x + 55, y})
			d.outline(stroke{2, ink, nil}, box(x, y, x+70, y+30)...)
			d.circle(stroke{medium, vermilion, nil}, xy{x, y}, 12)
			for _, size := range []float64{6, 200, 3000} {
				d.text(letters{size: size, colour: ink}, xy{x, y}, "Q1")
			}
			d.text(letters{size: 9, colour: ink, turn: 1}, xy{x, y}, "Q1")
		}
	}
	d.line(stroke{thin, ink, dashed}, xy{-100, -50}, xy{Width + 100, Height + 50})
	for y := range pixelsHigh {
		require.Zero(t, p.lines[y*stride], "the filter of row %d", y)
	}
	require.Equal(t, make([]byte, word), p.lines[len(p.lines)-word:])
}
