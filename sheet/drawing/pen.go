package drawing

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
)

// xy is a point: of the page in points from its lower left, or of a job in nanometres, east and north.
type xy struct{ x, y float64 }

func (a xy) add(b xy) xy              { return xy{a.x + b.x, a.y + b.y} }
func (a xy) sub(b xy) xy              { return xy{a.x - b.x, a.y - b.y} }
func (a xy) times(k float64) xy       { return xy{a.x * k, a.y * k} }
func (a xy) len() float64             { return math.Hypot(a.x, a.y) }
func (a xy) to(b xy, k float64) xy    { return xy{a.x + (b.x-a.x)*k, a.y + (b.y-a.y)*k} }
func (a xy) turned(rad float64) xy    { s, c := math.Sincos(rad); return xy{a.x*c - a.y*s, a.x*s + a.y*c} }
func (a xy) point() vg.Point          { return vg.Point{X: vg.Length(a.x), Y: vg.Length(a.y)} }
func (a xy) unit() xy                 { l := a.len(); return xy{a.x / l, a.y / l} }
func (a xy) right() xy                { return xy{a.y, -a.x} }
func (a xy) angle() float64           { return math.Atan2(a.y, a.x) }
func cross(a, b xy) float64           { return a.x*b.y - a.y*b.x }
func box(x0, y0, x1, y1 float64) []xy { return []xy{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}} }

// Line widths in points.
const (
	hairline = 0.35
	thin     = 0.5
	medium   = 0.8
	heavy    = 1.2
)

// stroke is how a line looks.
type stroke struct {
	width  float64
	colour color.NRGBA
	dash   []float64
}

var (
	dashed  = []float64{3, 2}
	dotted  = []float64{0.8, 1.6}
	dashDot = []float64{5, 1.5, 1, 1.5}
)

// How a text stands on its point.
const (
	atLeft   = 0.0
	atCentre = 0.5
	atRight  = 1.0
)

// pen draws on a page whose lengths are points.
type pen struct {
	c    vg.Canvas
	path *vg.Path // of the last figure: no canvas keeps it
}

func newPen(c vg.Canvas) pen { return pen{c, new(vg.Path)} }

func (p pen) line(s stroke, pts ...xy) {
	if len(pts) < 2 {
		return
	}
	p.set(s)
	p.c.Stroke(p.through(pts, false))
}

// outline strokes a closed figure.
func (p pen) outline(s stroke, pts ...xy) {
	if len(pts) < 2 {
		return
	}
	p.set(s)
	p.c.Stroke(p.through(pts, true))
}

// lines strokes many separate lines at once, by pairs of points.
func (p pen) lines(s stroke, pairs []xy) {
	if len(pairs) < 2 {
		return
	}
	p.set(s)
	w := p.begin()
	for i := 0; i+1 < len(pairs); i += 2 {
		w.Move(pairs[i].point())
		w.Line(pairs[i+1].point())
	}
	p.c.Stroke(*w)
}

func (p pen) fill(c color.NRGBA, pts ...xy) {
	if len(pts) < 3 {
		return
	}
	p.c.SetColor(c)
	p.c.Fill(p.through(pts, true))
}

func (p pen) circle(s stroke, at xy, r float64) {
	p.set(s)
	w := p.begin()
	w.Move(xy{at.x + r, at.y}.point())
	w.Arc(at.point(), vg.Length(r), 0, 2*math.Pi)
	p.c.Stroke(*w)
}

func (p pen) set(s stroke) {
	p.c.SetColor(s.colour)
	p.c.SetLineWidth(vg.Length(s.width))
	dash := make([]vg.Length, len(s.dash))
	for i, d := range s.dash {
		dash[i] = vg.Length(d)
	}
	p.c.SetLineDash(dash, 0)
}

// begin gives the pen's path, empty.
func (p pen) begin() *vg.Path {
	*p.path = (*p.path)[:0]
	return p.path
}

// through is a line from point to point.
func (p pen) through(pts []xy, closed bool) vg.Path {
	w := p.begin()
	w.Move(pts[0].point())
	for _, q := range pts[1:] {
		w.Line(q.point())
	}
	if closed {
		w.Close()
	}
	return *w
}

// letters is how a text looks.
type letters struct {
	size   float64
	bold   bool
	colour color.NRGBA
	align  float64 // atLeft, atCentre, atRight
	turn   float64 // radians, counterclockwise
	ground bool    // on a white ground
}

// capHeight is about the height of a capital of Liberation Sans, in sizes.
const capHeight = 0.72

// text writes s with its baseline at a point.
func (p pen) text(l letters, at xy, s string) {
	if s == "" {
		return
	}
	w := textWidth(s, l.bold, l.size)
	from := at.sub(xy{w * l.align, 0}.turned(l.turn))
	if l.ground {
		const pad = 0.8
		corner := func(x, y float64) xy { return from.add(xy{x, y}.turned(l.turn)) }
		p.fill(white, corner(-pad, -0.22*l.size), corner(w+pad, -0.22*l.size), corner(w+pad, 0.85*l.size), corner(-pad, 0.85*l.size))
	}
	p.c.SetColor(l.colour)
	f := face(l.bold, l.size)
	if l.turn == 0 {
		p.c.FillString(f, from.point(), s)
		return
	}
	p.c.Push()
	p.c.Translate(from.point())
	p.c.Rotate(l.turn)
	p.c.FillString(f, vg.Point{}, s)
	p.c.Pop()
}

// middle writes s centred on a point, its height too.
func (p pen) middle(l letters, at xy, s string) {
	l.align = atCentre
	p.text(l, at.add(xy{0, -capHeight / 2 * l.size}.turned(l.turn)), s)
}

// upright turns a direction so that text along it is read from below or from the right.
func upright(rad float64) float64 {
	const almost = 1e-9
	for rad > math.Pi/2+almost {
		rad -= math.Pi
	}
	for rad <= -math.Pi/2+almost {
		rad += math.Pi
	}
	return rad
}

// shorten cuts a text to a width, with an ellipsis.
func shorten(s string, bold bool, size, width float64) string {
	if textWidth(s, bold, size) <= width {
		return s
	}
	r := []rune(s)
	for len(r) > 0 && textWidth(string(r)+"…", bold, size) > width {
		r = r[:len(r)-1]
	}
	return string(r) + "…"
}

// paragraph writes s in lines no wider than width, from the baseline of its first line down, and gives the baseline under
// its last; it stops at bottom with an ellipsis.
func (p pen) paragraph(l letters, at xy, width, bottom float64, s string) float64 {
	step := l.size * 1.3
	y := at.y
	for _, t := range wrapped(s, l.bold, l.size, width) {
		if y < bottom {
			break
		}
		p.text(l, xy{at.x, y}, t)
		y -= step
	}
	return y
}

// wrapped breaks a text at its spaces.
func wrapped(s string, bold bool, size, width float64) []string {
	var out []string
	line := ""
	for len(s) > 0 {
		word := s
		rest := ""
		for i := range s {
			if s[i] == ' ' {
				word, rest = s[:i], s[i+1:]
				break
			}
		}
		next := word
		if line != "" {
			next = line + " " + word
		}
		if line != "" && textWidth(next, bold, size) > width {
			out = append(out, line)
			next = word
		}
		line, s = next, rest
	}
	if line != "" {
		out = append(out, shorten(line, bold, size, width))
	}
	return out
}
