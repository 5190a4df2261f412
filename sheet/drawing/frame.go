package drawing

import (
	"math"

	"gonum.org/v1/plot/vg"
)

// frame takes points of what is drawn to points of the page, both y upwards: what Rotate, Translate and Scale of a canvas
// come to.
type frame struct{ a, b, c, d, e, f float64 }

var levelFrame = frame{a: 1, d: 1}

func (t *frame) rotate(rad float64) {
	s, c := math.Sincos(rad)
	t.a, t.b, t.c, t.d = t.a*c+t.c*s, t.b*c+t.d*s, t.c*c-t.a*s, t.d*c-t.b*s
}

func (t *frame) translate(pt vg.Point) {
	x, y := float64(pt.X), float64(pt.Y)
	t.e, t.f = t.e+t.a*x+t.c*y, t.f+t.b*x+t.d*y
}

func (t *frame) scale(x, y float64) { t.a, t.b, t.c, t.d = t.a*x, t.b*x, t.c*y, t.d*y }

func (t *frame) at(q xy) xy {
	return xy{t.a*q.x + t.c*q.y + t.e, t.b*q.x + t.d*q.y + t.f}
}
