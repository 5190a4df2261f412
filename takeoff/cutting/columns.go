package cutting

import "math"

// columns drives the master program: it prices new patterns in, certifies
// bounds, and dives for whole plans.
type columns struct {
	*search
	l      *master
	f      *filler
	until  int64 // generate stops when this much work is done
	known  []limits
	left   []int64   // scratch
	buf    []part    // scratch
	centre []float64 // duals of the best bound of the last generate
	exact  exactRow  // scratch
}

// tableCells is the usual width of the pricing table, nodeLimit the usual length
// of its exact search, smoothing how far duals are drawn to the best ones.
const (
	tableCells = 4000
	nodeLimit  = 20_000
	smoothing  = 0.3
)

// settle books the work done below.
func (c *columns) settle() {
	c.spent += c.l.spent + c.f.spent
	c.l.spent, c.f.spent = 0, 0
	c.l.allow = c.budget - c.spent
}

// generate prices patterns in until none pays any more (true), or the work is
// used up (false). The value of the program for what is left is then a bound for
// it, in floating point. Unless full is wanted it also stops when more patterns
// cannot change that bound, rounded up to whole prices.
//
// Patterns are priced at duals drawn towards those of the best bound so far
// (Wentges 1997), which swing less; at the duals themselves when that finds
// nothing.
func (c *columns) generate(full bool) bool {
	if full {
		return c.generateTo(math.Inf(-1))
	}
	return c.generateTo(math.NaN())
}

// generateTo is generate; it stops when the value falls to floor, or, when that
// is not a number, when the bound rounded up cannot change.
func (c *columns) generateTo(floor float64) bool {
	l, q := c.l, c.q
	n := len(q.w)
	price := make([]float64, len(q.size))
	best := make([]float64, len(q.size))
	at := make([]float64, l.m)
	var centre []float64
	bound, draw := math.Inf(-1), smoothing
	for {
		l.allow = min(c.budget, c.until) - c.spent
		l.primal()
		c.settle()
		if c.spent >= min(c.budget, c.until) {
			return false
		}
		copy(at, l.dual)
		drawn := centre != nil && draw > 0
		if drawn {
			for i := range at {
				at[i] = float64(draw*centre[i]) + float64((1-draw)*at[i])
			}
		}
		for j := range price {
			price[j] = l.price(j)
			for r, s := range l.rows {
				price[j] -= float64(max(0, at[n+r]) * float64(s.weight[j]))
			}
		}
		c.f.build(at[:n], l.left, tableCells)
		offers := c.f.offers(price, best, 8, nodeLimit)
		c.settle()
		if b := c.bound(at, price, best); b > bound {
			bound = b
			centre = append(centre[:0], at...)
			c.centre = centre
		}
		if v := float64(l.value() * l.top); v <= floor+1e-7 || bound >= v-float64(1e-9*math.Abs(v)) {
			return true
		}
		if math.IsNaN(floor) && math.Ceil(float64(l.value()*l.top)-1e-6) <= math.Ceil(bound-1e-6) {
			return true
		}
		fresh := false
		for _, o := range offers {
			n := len(l.cols)
			if x := l.add(o.stock, orderParts(o.parts)); x == n && l.reduced(x) < -tolGain {
				fresh = true
			}
		}
		switch {
		case fresh:
			draw = smoothing
		case drawn:
			draw = 0
		default:
			return true
		}
	}
}

// bound is what duals prove when a pattern of stock j is worth best[j] at most
// and its price net of the rows is price[j]; in floating point.
func (c *columns) bound(at, price, best []float64) float64 {
	l := c.l
	theta := 1.0
	for j := range price {
		if h := best[j] + l.price(j) - price[j]; h > l.price(j) {
			theta = min(theta, l.price(j)/h)
		}
	}
	s := 0.0
	for i, d := range at {
		s += float64(max(0, d) * l.rhs[i])
	}
	return s * theta * c.l.top
}

// certify turns the duals of the last generate into a bound at the prices
// given; it must not be asked while a dive has taken pieces away.
func (c *columns) certify(price []int64) int64 {
	cells := c.cells()
	best := int64(0)
	for _, dual := range [][]float64{c.l.dual, c.centre} {
		if len(dual) != c.l.m {
			continue
		}
		in, steps := c.q.inequality(dual, c.l.rows, cells, &c.exact)
		c.spent += steps
		c.known = append(c.known, in)
		best = max(best, c.q.least(in, price))
	}
	return best
}

// cells is the width of the exact table, a share of the work at most.
func (c *columns) cells() int64 {
	return max(4096, min(200_000, (c.budget/8)/int64(len(c.q.w))))
}

// state is what a dive changes in the master.
type state struct {
	base  []int
	inv   []float64
	dual  []float64
	rhs   []float64
	left  []int64
	since int
}

func (l *master) save() *state {
	return &state{
		base: append([]int(nil), l.base...), inv: append([]float64(nil), l.inv...),
		dual: append([]float64(nil), l.dual...), rhs: append([]float64(nil), l.rhs...),
		left: append([]int64(nil), l.left...), since: l.since,
	}
}

func (l *master) restore(s *state) {
	copy(l.base, s.base)
	copy(l.inv, s.inv)
	copy(l.dual, s.dual)
	copy(l.rhs, s.rhs)
	copy(l.left, s.left)
	l.since = s.since
	clear(l.inb)
	for _, b := range l.base {
		if b >= 0 {
			l.inb[b] = true
		}
	}
	for c := range l.cols {
		l.cols[c].off = l.cols[c].stock == exchangeStock
		if st := l.cols[c].stock; st >= 0 {
			l.cols[c].cost = l.price(st)
		}
	}
	l.values()
	l.duals()
}

// take cuts parts from a stock piece a number of times: what is left shrinks.
func (l *master) take(x cut) {
	for _, p := range x.parts {
		l.left[p.i] -= p.k * x.times
		l.rhs[p.i] = float64(l.left[p.i])
	}
	for r, s := range l.rows {
		l.rhs[len(l.q.w)+r] -= float64(s.weight[x.stock]) * float64(x.times)
	}
}

// trim returns the part of a pattern that is still wanted.
func (l *master) trim(parts []part) []part {
	out := make([]part, 0, len(parts))
	for _, p := range parts {
		if k := min(p.k, l.left[p.i]); k > 0 {
			out = append(out, part{p.i, k})
		}
	}
	return out
}

func (l *master) fits(parts []part) bool {
	for _, p := range parts {
		if p.k > l.left[p.i] {
			return false
		}
	}
	return true
}

func (l *master) loadOf(parts []part) int64 {
	s := int64(0)
	for _, p := range parts {
		s += p.k * l.q.w[p.i]
	}
	return s
}

// dive fixes patterns of the program one after another, solving it anew for
// what is left, and completes the plan by first-fit at every step. Dive 0
// follows the fractions, later ones stray from them more and more.
func (c *columns) dive(r int) {
	l, q := c.l, c.q
	c.settle()
	c.spent += int64(5*len(l.cols) + 2*l.m*l.m + 500)
	var fixed []cut
	price := int64(0)
	book := func(x cut) {
		l.take(x)
		fixed = append(fixed, x)
		price = satAdd(price, satMul(q.price[x.stock], x.times))
	}
	for depth := 0; ; depth++ {
		if price+int64(math.Ceil(float64(l.value()*l.top)-1e-6)) >= c.best.price {
			return
		}
		x := l.exactX()
		for p, b := range l.base {
			if b < 0 || l.cols[b].stock < 0 {
				continue
			}
			k := int64(math.Floor(x[p] + 1e-6))
			if k = min(k, repeat(l.cols[b].parts, l.left)); k > 0 {
				book(cut{l.cols[b].stock, k, l.cols[b].parts})
				x[p] -= float64(k)
			}
		}
		rest := int64(0)
		for _, n := range l.left {
			rest += n
		}
		if rest == 0 {
			c.keep(q.tidy(append([]cut(nil), fixed...)))
			return
		}
		c.complete(fixed, price)
		if rest <= 100 {
			c.completeBest(fixed, price)
		}
		if c.done() {
			return
		}
		pick, score := -1, -1.0
		for p, b := range l.base {
			if b < 0 || l.cols[b].stock < 0 || x[p] < 1e-6 {
				continue
			}
			v := x[p]
			if r > 0 {
				v *= 1 - float64(min(0.9, 0.1+float64(0.02*float64(r)))*noise(r, depth, b))
			}
			if v > score {
				pick, score = b, v
			}
		}
		if pick < 0 {
			return
		}
		parts := l.trim(l.cols[pick].parts)
		if len(parts) == 0 {
			return
		}
		book(cut{q.holder(l.loadOf(parts)), 1, parts})
		for b := range l.cols {
			col := &l.cols[b]
			if col.stock < 0 || col.off || l.fits(col.parts) {
				continue
			}
			col.off = true
			if l.inb[b] {
				col.cost = bigM
				if parts := l.trim(col.parts); len(parts) > 0 {
					l.add(q.holder(l.loadOf(parts)), parts)
				}
			}
		}
		l.duals()
		if !l.dualSteps() {
			l.restartFor()
		}
		if !c.generate(false) {
			return
		}
	}
}

// complete fills up what is left after the cuts fixed by first-fit, with each
// stock to cut from, and keeps the plan when it is better.
func (c *columns) complete(fixed []cut, price int64) {
	l, q := c.l, c.q
	n := int64(0)
	for _, x := range fixed {
		n += x.times
	}
	if c.left == nil {
		c.left = make([]int64, len(q.w))
	}
	for j := range q.size {
		copy(c.left, l.left)
		more, m, steps, buf := q.fillPrice(c.left, j, c.best.price-price, c.buf)
		c.buf = buf
		c.spent += 2*steps + 100
		more = satAdd(price, more)
		if more > c.best.price || more == c.best.price && n+m > c.best.n {
			continue
		}
		copy(c.left, l.left)
		c.keep(q.tidy(q.fill(append([]cut(nil), fixed...), c.left, j)))
		c.spent += int64(200 * (len(fixed) + 10))
	}
}

// completeBest is complete with stock pieces filled as well as can be.
func (c *columns) completeBest(fixed []cut, price int64) {
	l, q := c.l, c.q
	copy(c.left, l.left)
	cuts, more, steps := q.fillBest(c.left, c.best.price-price, 300, c.budget)
	c.spent += steps + 500
	if satAdd(price, more) < c.best.price {
		c.keep(q.tidy(append(append([]cut(nil), fixed...), cuts...)))
	}
}

// restartFor starts again from patterns of one line for what is left.
func (l *master) restartFor() {
	for i := range l.q.w {
		l.inb[i] = false
		l.cols[i].off = false
	}
	l.restart()
}

// noise is a number in 0 to 1 that depends on its arguments only.
func noise(a, b, c int) float64 {
	h := uint64(a)*0x9e3779b97f4a7c15 ^ uint64(b)*0xbf58476d1ce4e5b9 ^ uint64(c)*0x94d049bb133111eb
	h ^= h >> 31
	h *= 0x9e3779b97f4a7c15
	h ^= h >> 29
	h *= 0xbf58476d1ce4e5b9
	h ^= h >> 32
	return float64(h>>11) / (1 << 53)
}
