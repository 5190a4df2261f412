package drawing

import (
	"fmt"
	"math"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// placed is a run in the plane of its cluster: turned clockwise from running east, then moved.
type placed struct {
	run  *takeoff.Run
	turn float64 // radians, clockwise
	at   xy      // of the first wall's start, nanometres
	// by is the end that placed it: 0 the run's start, 1 its end; -1 for a cluster's first run.
	by int
	// assumed says what of its place the schedule does not give.
	assumed string
}

// cluster is runs whose places relative to one another are known, by their tees.
type cluster struct{ runs []*placed }

// where is a point of a wall in the cluster's plane: x along its reference line, in from it to the right.
func (p *placed) where(w *takeoff.WallLines, x, in float64) xy {
	d := p.direction(w)
	return p.start(w).add(d.times(x)).add(d.right().times(in))
}

func (p *placed) start(w *takeoff.WallLines) xy {
	return p.at.add(xy{nm(w.X.Length()), nm(w.Y.Length())}.turned(-p.turn))
}

// direction is the way the wall runs.
func (p *placed) direction(w *takeoff.WallLines) xy {
	return xy{1, 0}.turned(-p.turn - radians(w.Heading))
}

// radians of thousandths of a degree; right angles come out exactly alike.
func radians(milliDegrees int64) float64 { return float64(milliDegrees) / 1000 * math.Pi / 180 }

// clusters groups a job's runs: a run that stands against another by a tee is placed by it; every other begins a cluster.
func clusters(g *takeoff.Geometry) []*cluster {
	done := map[*takeoff.Run]bool{}
	spread := assumedTees(g)
	var out []*cluster
	begin := func(r *takeoff.Run) {
		c := &cluster{runs: []*placed{{run: r, by: -1}}}
		done[r] = true
		out = append(out, c)
		for again := true; again; {
			again = false
			for _, s := range g.Runs {
				if !done[s] {
					if p := c.place(s, spread); p != nil {
						c.runs = append(c.runs, p)
						done[s], again = true, true
					}
				}
			}
		}
	}
	// What others stand against comes first: closed runs, then runs against nothing, then rings of runs against one another.
	for _, first := range []func(*takeoff.Run) bool{
		func(r *takeoff.Run) bool { return r.Closed },
		func(r *takeoff.Run) bool { return metAt(r, 0) == nil && metAt(r, 1) == nil },
		func(*takeoff.Run) bool { return true },
	} {
		for _, r := range g.Runs {
			if !done[r] && first(r) {
				begin(r)
			}
		}
	}
	return out
}

// jointOf is the run's outer joint: 0 its start, 1 its end.
func jointOf(r *takeoff.Run, end int) *takeoff.Joint {
	if end == 0 {
		return &r.Walls[0].Joints[0]
	}
	return &r.Walls[len(r.Walls)-1].Joints[1]
}

// metAt is the wall of another run that an open run stands against at an end.
func metAt(r *takeoff.Run, end int) *takeoff.WallLines {
	if r.Closed {
		return nil
	}
	if j := jointOf(r, end); j.Kind == takeoff.TurnTee && j.Tee != nil && j.Tee.Run != r {
		return j.Tee
	}
	return nil
}

// assumedTees spreads the tees without a place evenly along the wall that they meet.
func assumedTees(g *takeoff.Geometry) map[*takeoff.Joint]float64 {
	by := map[*takeoff.WallLines][]*takeoff.Joint{}
	for _, r := range g.Runs {
		for e := range 2 {
			if w := metAt(r, e); w != nil && !jointOf(r, e).HasTeeAt {
				by[w] = append(by[w], jointOf(r, e))
			}
		}
	}
	out := map[*takeoff.Joint]float64{}
	for w, joints := range by {
		for i, j := range joints {
			out[j] = nm(w.Length) * float64(i+1) / float64(len(joints)+1)
		}
	}
	return out
}

// of is the placed run of a wall, nil when it is not in the cluster.
func (c *cluster) of(w *takeoff.WallLines) *placed {
	for _, p := range c.runs {
		if p.run == w.Run {
			return p
		}
	}
	return nil
}

// place puts a run against the walls of the cluster that it meets, by a tee with a place before one without; nil when it
// meets none.
func (c *cluster) place(r *takeoff.Run, spread map[*takeoff.Joint]float64) *placed {
	var best *placed
	for _, given := range []bool{true, false} {
		for e := range 2 {
			w := metAt(r, e)
			if w == nil || jointOf(r, e).HasTeeAt != given {
				continue
			}
			on := c.of(w)
			if on == nil {
				continue
			}
			best = c.against(r, e, on, w, spread)
			if !given {
				best.assumed = fmt.Sprintf("run %s: its place along wall %s is not given", r.Name, w.Mark)
			}
			return best
		}
	}
	return nil
}

// against puts a run's end on a wall: inside it, or outside where only that keeps clear of the walls that stand already.
func (c *cluster) against(r *takeoff.Run, end int, on *placed, w *takeoff.WallLines, spread map[*takeoff.Joint]float64) *placed {
	j := jointOf(r, end)
	at, ok := spread[j]
	if !ok {
		at = nm(j.TeeAt.Length())
	}
	one := func(inside bool) *placed {
		in, turn := 0.0, on.turn+radians(w.Heading)-math.Pi/2
		if inside {
			z := w.Zones[0]
			in, turn = nm(z.Offset+z.Thickness()), turn+math.Pi
		}
		p := &placed{run: r, by: end}
		spot := on.where(w, at, in)
		if end == 0 {
			p.turn = turn
			p.at = spot
			return p
		}
		last := r.Walls[len(r.Walls)-1]
		p.turn = turn + math.Pi - radians(last.Heading)
		p.at = spot.sub(p.where(last, nm(last.Length), 0))
		return p
	}
	inside, outside := one(true), one(false)
	if c.strays(outside) < c.strays(inside) {
		return outside
	}
	return inside
}

// strays counts the walls that a run would cross, and how far, in lengths of 1 m, its other end would be from the wall it is
// to meet.
func (c *cluster) strays(p *placed) float64 {
	n := 0.0
	for _, w := range p.run.Walls {
		a, b := p.where(w, 0, nm(w.T)/2), p.where(w, nm(w.Length), nm(w.T)/2)
		a, b = a.to(b, 0.03), b.to(a, 0.03)
		for _, q := range c.runs {
			for _, v := range q.run.Walls {
				if segmentsCross(a, b, q.where(v, 0, nm(v.T)/2), q.where(v, nm(v.Length), nm(v.T)/2)) {
					n++
				}
			}
		}
	}
	if w := metAt(p.run, 1-p.by); w != nil && c.of(w) != nil {
		n += c.gap(p, 1-p.by, w) / 1e9
	}
	return n
}

// gap is how far the run's end is from the nearer face of a wall.
func (c *cluster) gap(p *placed, end int, w *takeoff.WallLines) float64 {
	v, x := p.run.Walls[0], 0.0
	if end == 1 {
		v = p.run.Walls[len(p.run.Walls)-1]
		x = nm(v.Length)
	}
	spot, on := p.where(v, x, 0), c.of(w)
	z := w.Zones[0]
	least := math.Inf(1)
	for _, in := range []float64{nm(z.Offset), nm(z.Offset + z.Thickness())} {
		least = min(least, toSegment(spot, on.where(w, 0, in), on.where(w, nm(w.Length), in)))
	}
	return least
}

func toSegment(q, a, b xy) float64 {
	d := b.sub(a)
	t := ((q.x-a.x)*d.x + (q.y-a.y)*d.y) / (d.x*d.x + d.y*d.y)
	return q.sub(a.to(b, min(max(t, 0), 1))).len()
}

func segmentsCross(a, b, c, d xy) bool {
	ab, cd := b.sub(a), d.sub(c)
	return cross(ab, c.sub(a))*cross(ab, d.sub(a)) < 0 && cross(cd, a.sub(c))*cross(cd, b.sub(c)) < 0
}

// face is a line of a wall's lowest form in plan, by its distance in from the exterior face.
type faceLine func(w *takeoff.WallLines) float64

var (
	exteriorFace faceLine = func(*takeoff.WallLines) float64 { return 0 }
	coreOuter    faceLine = func(w *takeoff.WallLines) float64 { return nm(w.Zones[0].Forms.Foam) }
	coreInner    faceLine = func(w *takeoff.WallLines) float64 {
		return nm(w.Zones[0].Forms.Foam + w.Zones[0].Forms.Core)
	}
	innerFace    faceLine = func(w *takeoff.WallLines) float64 { return nm(w.T) }
	footingOuter faceLine = func(w *takeoff.WallLines) float64 {
		if w.Footing == nil {
			return 0
		}
		return nm(w.T-w.Footing.Width) / 2
	}
	footingInner faceLine = func(w *takeoff.WallLines) float64 {
		if w.Footing == nil {
			return nm(w.T)
		}
		return nm(w.T+w.Footing.Width) / 2
	}
)

// reach is where a face line of a wall begins and ends along its reference line (R-GEOM): corners are mitred.
func reach(w *takeoff.WallLines, f faceLine) (from, to float64) {
	at := [2]float64{0, nm(w.Length)}
	for e := range w.Joints {
		j := &w.Joints[e]
		if !j.Corner() {
			continue
		}
		s := f(w)
		n := s
		if j.Other != nil {
			n = f(j.Other)
		}
		sin, cos := math.Sincos(radians(j.MilliDegrees))
		a := (n - s*cos) / sin
		if j.Kind == takeoff.TurnInside {
			a = -a
		}
		if e == 0 {
			at[e] += a
		} else {
			at[e] -= a
		}
	}
	return at[0], at[1]
}

// strip is the figure between two face lines of a wall.
func (p *placed) strip(w *takeoff.WallLines, a, b faceLine) []xy {
	a0, a1 := reach(w, a)
	b0, b1 := reach(w, b)
	return []xy{p.where(w, a0, a(w)), p.where(w, a1, a(w)), p.where(w, b1, b(w)), p.where(w, b0, b(w))}
}

// footing is the figure of a wall's footing: past a free end by as much as past the faces, short of a met footing at a tee.
func (p *placed) footing(w *takeoff.WallLines) []xy {
	f := p.strip(w, footingOuter, footingInner)
	past := nm(w.Footing.Width-w.T) / 2
	d := p.direction(w)
	for e := range w.Joints {
		j := &w.Joints[e]
		by := 0.0
		switch {
		case j.Kind == takeoff.TurnEnd:
			by = past
		case j.Kind == takeoff.TurnTee && j.Tee != nil && j.Tee.Footing != nil:
			by = -nm(j.Tee.Footing.Width-j.Tee.T) / 2
		}
		if e == 0 {
			f[0], f[3] = f[0].sub(d.times(by)), f[3].sub(d.times(by))
		} else {
			f[1], f[2] = f[1].add(d.times(by)), f[2].add(d.times(by))
		}
	}
	return f
}

// missed is the point where a closed run ends that should be where it began, and whether that is beyond the tolerance.
func missed(r *takeoff.Run, tolerance length.Length) bool {
	return r.Closed && (r.East > tolerance || r.East < -tolerance || r.North > tolerance || r.North < -tolerance)
}
