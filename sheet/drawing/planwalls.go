package drawing

import (
	"math"
	"slices"
	"strconv"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
)

// drawn is a group being drawn on its plan.
type drawn struct {
	*plan
	*group
}

// page is the place on the page of a point of the cluster's plane.
func (d *drawn) page(q xy) xy { return d.at.add(q.sub(d.lo).times(d.sc.k)) }

func (d *drawn) figure(pts []xy) []xy {
	out := make([]xy, len(pts))
	for i, q := range pts {
		out[i] = d.page(q)
	}
	return out
}

// walls draws footings, forms, cores, openings, joints.
func (d *drawn) walls() {
	for _, w := range d.met {
		f := d.figure(d.cluster.of(w).strip(w, exteriorFace, innerFace))
		d.outline(stroke{medium, faint, dotted}, f...)
	}
	for _, w := range d.group.walls {
		if w.Footing != nil {
			f := d.figure(d.cluster.of(w).footing(w))
			d.line(stroke{thin, quiet, dashed}, f[0], f[1])
			d.line(stroke{thin, quiet, dashed}, f[3], f[2])
			for e, side := range [2][2]xy{{f[0], f[3]}, {f[1], f[2]}} {
				if k := w.Joints[e].Kind; k == takeoff.TurnEnd || w.Joints[e].Shared {
					d.line(stroke{thin, quiet, dashed}, side[0], side[1])
				}
			}
		}
	}
	for _, w := range d.group.walls {
		p := d.cluster.of(w)
		shell := d.figure(p.strip(w, exteriorFace, innerFace))
		along := p.direction(w).angle()
		d.fill(white, shell...)
		core := d.figure(p.strip(w, coreOuter, coreInner))
		d.hatched(d.hatchOf(w.Zones[0].Pour), along, core...)
		d.line(stroke{hairline, ink, nil}, core[0], core[1])
		d.line(stroke{hairline, ink, nil}, core[3], core[2])
		d.line(stroke{medium, ink, nil}, shell[0], shell[1])
		d.line(stroke{medium, ink, nil}, shell[3], shell[2])
	}
	for _, w := range d.group.walls {
		for _, h := range w.Holes {
			d.opening(w, h)
		}
	}
	for _, w := range d.group.walls {
		d.ends(w)
	}
	for _, p := range d.cluster.runs {
		if !d.has(p.run) {
			continue
		}
		if missed(p.run, d.tolerance()) {
			last := p.run.Walls[len(p.run.Walls)-1]
			a, b := d.page(p.where(last, nm(last.Length), 0)), d.page(p.where(p.run.Walls[0], 0, 0))
			d.line(stroke{heavy, vermilion, dashed}, a, b)
			d.circle(stroke{medium, vermilion, nil}, a, 2.2)
			d.circle(stroke{medium, vermilion, nil}, b, 2.2)
		}
	}
}

func (d *drawn) has(r *takeoff.Run) bool {
	return slices.ContainsFunc(d.group.walls, func(w *takeoff.WallLines) bool { return w.Run == r })
}

// opening clears the wall between its jambs; a sill is two thin lines, a door's none.
func (d *drawn) opening(w *takeoff.WallLines, h *takeoff.Hole) {
	p := d.cluster.of(w)
	a, b := nm(h.Start.Length()), nm(h.End().Length())
	t := nm(w.T)
	f := d.figure([]xy{p.where(w, a, 0), p.where(w, b, 0), p.where(w, b, t), p.where(w, a, t)})
	d.fill(white, f...)
	d.line(stroke{medium, ink, nil}, f[0], f[3])
	d.line(stroke{medium, ink, nil}, f[1], f[2])
	if h.Sill > 0 {
		d.line(stroke{hairline, ink, nil}, f[0], f[1])
		d.line(stroke{hairline, ink, nil}, f[3], f[2])
		d.line(stroke{hairline, ink, nil}, f[0].to(f[3], 0.5), f[1].to(f[2], 0.5))
	}
}

// ends draws what is at a wall's ends: mitres, tees, the joint of rows in line, free and open ends.
func (d *drawn) ends(w *takeoff.WallLines) {
	p := d.cluster.of(w)
	f := d.figure(p.strip(w, exteriorFace, innerFace))
	for e, side := range [2][2]xy{{f[0], f[3]}, {f[1], f[2]}} {
		j := &w.Joints[e]
		switch {
		case j.Kind == takeoff.TurnEnd:
			d.line(stroke{2, ink, nil}, side[0], side[1])
		case j.Kind == takeoff.TurnTee:
			d.line(stroke{medium, ink, nil}, side[0], side[1])
		case j.Kind == takeoff.TurnStraight && e == 1:
			s := stroke{hairline, ink, nil}
			if w.Stretch != j.Other.Stretch {
				s = stroke{medium, ink, nil} // a bulkhead or a step
			}
			d.line(s, side[0], side[1])
		case j.Corner():
			d.line(stroke{hairline, ink, nil}, side[0], side[1])
		}
		if openJoint(j) {
			d.openMark(side[0].to(side[1], 0.5))
		}
	}
}

// texts draws marks, lengths, names of runs and openings, angles.
func (d *drawn) texts() {
	for _, w := range d.group.walls {
		f := d.figure(d.cluster.of(w).strip(w, exteriorFace, innerFace))
		d.labels = append(d.labels, f)
	}
	for _, w := range d.met {
		p := d.cluster.of(w)
		turn := upright(p.direction(w).angle())
		spot := d.page(p.where(w, nm(w.Length)/2, nm(w.T)/2))
		d.middle(letters{size: 6, colour: quiet, turn: turn, ground: true}, spot, w.Mark+", level "+w.Level)
		d.labels = append(d.labels, d.figure(p.strip(w, exteriorFace, innerFace)))
	}
	for _, w := range d.group.walls {
		d.length(w)
	}
	for _, p := range d.cluster.runs {
		if d.has(p.run) && missed(p.run, d.tolerance()) {
			d.misclosure(p)
		}
	}
	for _, w := range d.group.walls {
		d.openingMarks(w)
		d.angles(w)
	}
	for _, p := range d.cluster.runs {
		if d.has(p.run) {
			d.runName(p)
		}
	}
}

// around is the upright rectangle round points, grown by pad.
func around(pts []xy, pad float64) area {
	a := area{pts[0], pts[0]}
	for _, q := range pts {
		a.lo, a.hi = xy{min(a.lo.x, q.x), min(a.lo.y, q.y)}, xy{max(a.hi.x, q.x), max(a.hi.y, q.y)}
	}
	return area{a.lo.sub(xy{pad, pad}), a.hi.add(xy{pad, pad})}
}

// textBox is what a text centred on a point, turned, takes.
func textBox(at xy, width, size, turn float64) []xy {
	pts := box(-width/2-0.5, -0.5*size, width/2+0.5, 0.5*size)
	for i, c := range pts {
		pts[i] = at.add(c.turned(turn))
	}
	return pts
}

// free tells whether nothing stands in a convex figure yet.
func (d *drawn) free(f []xy) bool {
	return !slices.ContainsFunc(d.labels, func(g []xy) bool { return meet(f, g) })
}

// meet tells whether two convex figures overlap: no side of either parts them.
func meet(a, b []xy) bool {
	for _, pair := range [2][2][]xy{{a, b}, {b, a}} {
		f, g := pair[0], pair[1]
		for i, q := range f {
			side := f[(i+1)%len(f)].sub(q)
			if side.len() < 1e-9 {
				continue
			}
			n := side.right().unit()
			loF, hiF := span(f, n)
			loG, hiG := span(g, n)
			if hiF <= loG || hiG <= loF {
				return false
			}
		}
	}
	return true
}

func span(f []xy, n xy) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, q := range f {
		d := q.x*n.x + q.y*n.y
		lo, hi = min(lo, d), max(hi, d)
	}
	return lo, hi
}

// length draws the dimension line of a wall on its exterior side with its mark, length and core, beyond its footing.
func (d *drawn) length(w *takeoff.WallLines) {
	p := d.cluster.of(w)
	dir := p.direction(w)
	out := dir.right().times(-1)
	a, b := d.page(p.where(w, 0, 0)), d.page(p.where(w, nm(w.Length), 0))
	off := max(0, -footingOuter(w)*d.sc.k) + 5
	a2, b2 := a.add(out.times(off)), b.add(out.times(off))
	room := b.sub(a).len()
	turn := upright(dir.angle())
	const size = 7
	mark := shorten(w.Mark, true, size, 80)
	long := show(w.Length, d.sys)
	core := w.Zones[0].Forms.CoreName
	if len(w.Zones) > 1 {
		core += "/" + w.Zones[1].Forms.CoreName
	}
	dim := func(a, b xy) {
		d.line(stroke{hairline, quiet, nil}, a, b)
		for _, q := range []xy{a, b} {
			d.line(stroke{thin, quiet, nil}, q.sub(dir.add(out).times(1.6)), q.add(dir.add(out).times(1.6)))
			d.line(stroke{hairline, faint, nil}, q.sub(out.times(off-1.5)), q.add(out.times(1.5)))
		}
	}
	// As much of the label as the wall has room for; the rest is on the wall's elevation.
	const between = 4.0
	for _, rest := range []string{long + " · " + core, long, ""} {
		wide := textWidth(mark, true, size)
		if rest != "" {
			wide += between + textWidth(rest, false, size)
		}
		if wide > room-3 && rest != "" {
			continue
		}
		for i, spot := range []xy{
			a2.to(b2, 0.5).add(out.times(5)),
			a.to(b, 0.5).sub(out.times(max(footingInner(w), nm(w.T))*d.sc.k + 6)),
			a2.to(b2, 0.5).add(out.times(13)),
			a2.to(b2, 0.28).add(out.times(5)),
			a2.to(b2, 0.72).add(out.times(5)),
		} {
			ar := textBox(spot, wide, size, turn)
			if !d.free(ar) && (rest != "" || i < 4) {
				continue
			}
			if i != 1 && room > 8 {
				dim(a2, b2)
				d.labels = append(d.labels, []xy{a2, b2, b2.add(out), a2.add(out)})
			}
			d.labels = append(d.labels, ar)
			from := spot.sub(xy{wide / 2, capHeight / 2 * size}.turned(turn))
			d.text(letters{size: size, bold: true, colour: ink, turn: turn}, from, mark)
			d.text(letters{size: size, colour: ink, turn: turn}, from.add(xy{textWidth(mark, true, size) + between, 0}.turned(turn)), rest)
			return
		}
	}
}

// openingMarks names the openings of a wall on its inner side.
func (d *drawn) openingMarks(w *takeoff.WallLines) {
	p := d.cluster.of(w)
	dir := p.direction(w)
	turn := upright(dir.angle())
	const size = 6
	for _, h := range w.Holes {
		mid := nm(h.Start.Add(h.End()).Div(exact.Int(2)).Length())
		for _, off := range []float64{5, 11, -nm(w.T)*d.sc.k - 5} {
			spot := d.page(p.where(w, mid, nm(w.T))).add(dir.right().times(off))
			s := shorten(h.Mark, false, size, 60)
			ar := textBox(spot, textWidth(s, false, size), size, turn)
			if !d.free(ar) {
				continue
			}
			d.labels = append(d.labels, ar)
			d.middle(letters{size: size, colour: quiet, turn: turn, ground: true}, spot, s)
			break
		}
	}
}

// angles writes the angle at corners that are no right angles, on the wall that ends there.
func (d *drawn) angles(w *takeoff.WallLines) {
	j := &w.Joints[1]
	if !j.Corner() || j.Right() {
		return
	}
	p := d.cluster.of(w)
	sign := 1.0
	if j.Kind == takeoff.TurnInside {
		sign = -1
	}
	dir := p.direction(w)
	// Away from the corner, on the side that the walls turn from.
	next := dir.turned(-sign * radians(j.MilliDegrees))
	away := dir.sub(next)
	if away.len() < 1e-6 {
		return
	}
	x, in := nm(w.Length), 0.0
	if sign < 0 {
		x, in = reachEnd(w, innerFace), nm(w.T)
	}
	s := trimmedDegrees(j.MilliDegrees) + "°"
	for _, off := range []float64{9, 14, 19, 25} {
		spot := d.page(p.where(w, x, in)).add(away.unit().times(off))
		if f := textBox(spot, textWidth(s, false, 6), 6, 0); d.free(f) || off > 24 {
			d.labels = append(d.labels, f)
			d.middle(letters{size: 6, colour: quiet, ground: true}, spot, s)
			return
		}
	}
}

func reachEnd(w *takeoff.WallLines, f faceLine) float64 { _, to := reach(w, f); return to }

func trimmedDegrees(milli int64) string {
	return strconv.FormatFloat(float64(milli)/1000, 'f', -1, 64)
}

// runName marks where a run begins and names it: a closed run in its middle.
func (d *drawn) runName(p *placed) {
	first := p.run.Walls[0]
	dir := p.direction(first)
	t := nm(first.T)
	x0, _ := reach(first, innerFace)
	start := d.page(p.where(first, max(x0, 0), t)).add(dir.right().times(4.5)).add(dir.times(6))
	d.arrow(start, dir)
	s := "run " + p.run.Name
	if p.run.Count > 1 {
		s += " × " + strconv.FormatInt(p.run.Count, 10)
	}
	size := 8.0
	spot := start.add(dir.times(12 + textWidth(s, false, size)/2)).add(dir.right().times(4))
	turn := upright(dir.angle())
	if p.run.Closed {
		sum := xy{}
		for _, w := range p.run.Walls {
			sum = sum.add(d.page(p.where(w, nm(w.Length)/2, 0)))
		}
		spot, turn = sum.times(1/float64(len(p.run.Walls))), 0
	}
	wide := textWidth(s, false, size)
	for _, by := range []xy{{}, {0, 14}, {0, -14}, {30, 0}, {-30, 0}, {0, 28}, {0, -28}, {50, 0}, {-50, 0}, {40, 20}, {-40, -20}} {
		if ar := textBox(spot.add(by), wide+2, size+2, turn); d.free(ar) {
			spot = spot.add(by)
			d.labels = append(d.labels, ar)
			break
		}
	}
	d.middle(letters{size: size, colour: quiet, turn: turn, ground: true}, spot, s)
}

// misclosure says beside its line by how much a run does not close.
func (d *drawn) misclosure(p *placed) {
	last := p.run.Walls[len(p.run.Walls)-1]
	mid := d.page(p.where(last, nm(last.Length), 0)).to(d.page(p.where(p.run.Walls[0], 0, 0)), 0.5)
	s := "misses by " + show(lengthOf(xy{nm(p.run.East), nm(p.run.North)}.len()), d.sys)
	const size = 6.5
	wide := textWidth(s, true, size)
	for _, off := range []float64{8, 14, 20, 28} {
		for _, by := range []xy{{-wide / 2, off}, {wide / 2, off}, {-wide/2 - off, 0}, {wide/2 + off, 0}, {-wide / 2, -off}, {wide / 2, -off}} {
			if f := textBox(mid.add(by), wide+2, size+2, 0); d.free(f) || off > 27 {
				d.labels = append(d.labels, f)
				d.middle(letters{size: size, bold: true, colour: vermilion, ground: true}, mid.add(by), s)
				return
			}
		}
	}
}
