package drawing

import (
	"math"
	"strconv"

	"wallbill/takeoff/length"
)

// scale is a drawing scale.
type scale struct {
	name string
	k    float64 // points a nanometre
}

const pointsPerNM = 72.0 / 25_400_000 // a point is 1/72 in

// The scales drawings are made to, greatest first: inches a foot, or 1 : n.
var (
	imperialScales = func() []scale {
		var out []scale
		for _, s := range []struct {
			name   string
			inches float64
		}{
			{`1" = 1'-0"`, 1}, {`3/4" = 1'-0"`, 0.75}, {`1/2" = 1'-0"`, 0.5}, {`3/8" = 1'-0"`, 0.375}, {`1/4" = 1'-0"`, 0.25},
			{`3/16" = 1'-0"`, 0.1875}, {`1/8" = 1'-0"`, 0.125}, {`3/32" = 1'-0"`, 0.09375}, {`1/16" = 1'-0"`, 0.0625},
			{`1" = 20'`, 0.05}, {`1" = 30'`, 1.0 / 30}, {`1" = 40'`, 0.025}, {`1" = 50'`, 0.02}, {`1" = 60'`, 1.0 / 60}, {`1" = 100'`, 0.01},
			{`1" = 200'`, 0.005}, {`1" = 400'`, 0.0025}, {`1" = 1000'`, 0.001}, {`1" = 4000'`, 0.00025},
		} {
			out = append(out, scale{s.name, s.inches / 12 * pointsPerNM})
		}
		return out
	}()
	metricScales = func() []scale {
		var out []scale
		for _, n := range []int{10, 15, 20, 25, 33, 50, 75, 100, 125, 150, 200, 250, 300, 400, 500, 750, 1000, 1500, 2000, 5000, 10000, 50000} {
			out = append(out, scale{"1:" + strconv.Itoa(n), pointsPerNM / float64(n)})
		}
		return out
	}()
)

func scalesOf(s length.System) []scale {
	if s == length.Metric {
		return metricScales
	}
	return imperialScales
}

// greatest is the greatest scale that fits, else the smallest there is.
func greatest(s length.System, fits func(k float64) bool) scale {
	all := scalesOf(s)
	for _, c := range all {
		if fits(c.k) {
			return c
		}
	}
	return all[len(all)-1]
}

// show prints a length as drawings do.
func show(l length.Length, s length.System) string { return l.ShowNear(s) }

// scaleBar draws a bar of a round length with its name under the scale's, from its lower left, and gives its width.
func (p pen) scaleBar(at xy, sc scale, s length.System) float64 {
	steps := []length.Length{1, 2, 4, 5, 10, 20, 40, 50, 100, 200, 400, 500, 1000, 2000}
	unit := length.Foot
	if s == length.Metric {
		unit = length.Metre
	}
	long := steps[0] * unit
	for _, n := range steps {
		if float64(n*unit)*sc.k <= 96 {
			long = n * unit
		}
	}
	w := float64(long) * sc.k
	const high = 3
	for i := range 4 {
		x0, x1 := at.x+w*float64(i)/4, at.x+w*float64(i+1)/4
		c := white
		if i%2 == 0 {
			c = ink
		}
		p.fill(c, box(x0, at.y, x1, at.y+high)...)
	}
	p.outline(stroke{hairline, ink, nil}, box(at.x, at.y, at.x+w, at.y+high)...)
	small := letters{size: 6, colour: quiet}
	p.text(small, xy{at.x, at.y + high + 2.5}, "0")
	name := long.Show(s)
	if s == length.FeetInches {
		name = strconv.FormatInt(int64(long/length.Foot), 10) + "'"
	}
	small.align = atCentre
	p.text(small, xy{at.x + w, at.y + high + 2.5}, name)
	return w + textWidth(name, false, 6)/2
}

// nm of a length.
func nm(l length.Length) float64 { return float64(l) }

// rounded down to whole nanometres.
func lengthOf(x float64) length.Length { return length.Length(math.Round(x)) }
