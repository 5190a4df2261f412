package cutting

import "math"

// finish looks for a better plan among the patterns that such a plan can use:
// with duals at their optimum, a plan cheaper than the best known by one unit of
// price has room for patterns of small reduced price only. When those are few
// they are all listed, and the plans made of them are searched by branching on
// how often a pattern is cut, at first with few departures from what the linear
// program suggests, then with more (limited discrepancy).
//
// It ends when the search is through, the work given is used up, or nothing is
// left to gain; through tells that no better plan is to be expected at all. It
// finds plans; it proves nothing, since it prunes by floating point.
func (c *columns) finish(root *state, work int64) (through bool) {
	l := c.l
	stop := min(c.budget, c.spent+work)
	l.restore(root)
	for !c.done() && c.spent < stop {
		target := c.best.price
		gap := (float64(target-1)-float64(l.value()*l.top))/l.top + 1e-7
		if gap < 0 {
			return true
		}
		pool := c.list(gap, maxListed)
		if pool == nil {
			return false
		}
		allowed := make([]bool, len(l.cols))
		for _, x := range pool {
			allowed[x] = true
		}
		for _, b := range l.base {
			if b >= 0 {
				allowed[b] = true
			}
		}
		t := &tree{columns: c, allowed: allowed, stop: stop, target: target}
		t.ban()
		l.primal()
		start := l.save()
		for d := 1; c.spent < stop; d *= 2 {
			t.cutShort = false
			l.restore(start)
			t.ban()
			t.branch(nil, 0, d, start)
			if c.best.price < target || !t.cutShort {
				break
			}
		}
		l.restore(root)
		if c.best.price == target {
			return !t.cutShort
		}
	}
	return false
}

// maxListed is how many patterns are few.
const maxListed = 30_000

// list prices in every pattern with a reduced price of at most gap and returns
// their columns, or nil when there are more than most.
func (c *columns) list(gap float64, most int) []int {
	l, q := c.l, c.q
	n := len(q.w)
	f := c.f
	f.buildAll(l.dual[:n], l.left, tableCells)
	c.settle()
	var out []int
	stack := make([]part, 0, 64)
	nodes := 100 * most
	ok := true
	var walk func(j, r int, room int64, need float64)
	walk = func(j, r int, room int64, need float64) {
		if nodes--; nodes < 0 || len(out) > most {
			ok = false
			return
		}
		if f.limit(r, room) < need {
			return
		}
		if r == 0 {
			if len(stack) == 0 {
				return
			}
			parts := orderParts(append([]part(nil), stack...))
			if q.holder(l.loadOf(parts)) == j {
				out = append(out, l.add(j, parts))
			}
			return
		}
		i := f.line[r-1]
		for k := min(f.most[r-1], room/q.w[i]); k >= 0 && ok; k-- {
			if k > 0 {
				stack = append(stack, part{i, k})
			}
			walk(j, r-1, room-k*q.w[i], need-float64(float64(k)*f.val[r-1]))
			if k > 0 {
				stack = stack[:len(stack)-1]
			}
		}
	}
	for j := range q.size {
		price := l.price(j)
		for r, s := range l.rows {
			price -= float64(max(0, l.dual[n+r]) * float64(s.weight[j]))
		}
		walk(j, len(f.line), q.size[j], price-gap)
	}
	c.spent += 4 * int64(100*most-nodes)
	if !ok {
		return nil
	}
	return out
}

// tree is one search over listed patterns.
type tree struct {
	*columns
	allowed  []bool
	stop     int64
	target   int64
	cutShort bool
}

// ban keeps all but the allowed columns out.
func (t *tree) ban() {
	for b := range t.l.cols {
		if b >= len(t.allowed) || !t.allowed[b] {
			t.l.cols[b].off = true
		}
	}
}

// branch searches below the stock pieces fixed, from state s, with at most d
// departures.
func (t *tree) branch(fixed []cut, price int64, d int, s *state) {
	c, l, q := t.columns, t.l, t.q
	c.settle()
	if c.spent >= t.stop || c.best.price < t.target || c.done() {
		t.cutShort = true
		return
	}
	if float64(price)+math.Ceil(float64(l.value()*l.top)-1e-6) >= float64(t.target) {
		return
	}
	x := l.exactX()
	pick, score, times := -1, 0.0, int64(0)
	whole := true
	for p, b := range l.base {
		if b < 0 || x[p] < 1e-6 {
			continue
		}
		if l.cols[b].stock < 0 || l.cols[b].cost >= bigM {
			return // what is left cannot be cut from these patterns
		}
		k := math.Floor(x[p] + 1e-6)
		f := x[p] - k
		if f > 1e-6 {
			whole = false
		} else {
			f = 0
		}
		// Nearly whole first; certain ones (whole already) cost no branch.
		if v := f; v > score {
			pick, score, times = b, v, int64(k)
		}
	}
	if whole || pick < 0 {
		cuts := append([]cut(nil), fixed...)
		left := append([]int64(nil), l.left...)
		for p, b := range l.base {
			if b < 0 || x[p] < 0.5 {
				continue
			}
			k := min(int64(math.Round(x[p])), repeat(l.cols[b].parts, left))
			if k <= 0 {
				continue
			}
			for _, y := range l.cols[b].parts {
				left[y.i] -= y.k * k
			}
			cuts = append(cuts, cut{l.cols[b].stock, k, l.cols[b].parts})
		}
		c.keep(q.tidy(q.fill(cuts, left, len(q.size)-1)))
		return
	}
	c.complete(fixed, price)
	parts, stock := l.cols[pick].parts, l.cols[pick].stock
	can := repeat(parts, l.left)
	// Once more than its floor, then its floor, then less.
	for k := times + 1; k >= 0; k-- {
		if k > can {
			continue
		}
		cost := 0
		if k <= times {
			cost = int(times - k + 1)
		}
		if cost > d {
			t.cutShort = true
			return
		}
		l.restore(s)
		t.ban()
		more := fixed
		if k > 0 {
			y := cut{stock, k, parts}
			l.take(y)
			more = append(append([]cut(nil), fixed...), y)
		}
		was := t.allowed[pick]
		if k <= times {
			t.allowed[pick] = false
		}
		t.ban()
		for b := range l.cols {
			col := &l.cols[b]
			if col.stock < 0 || l.fits(col.parts) && !(b == pick && k <= times) {
				continue
			}
			col.off = true
			if l.inb[b] {
				col.cost = bigM
			}
		}
		c.spent += int64(5*len(l.cols) + 2*l.m*l.m + 500)
		if l.dualSteps() {
			l.duals()
			l.primal()
			t.branch(more, price+k*q.price[stock], d-cost, l.save())
		}
		t.allowed[pick] = was
		if c.spent >= t.stop || c.best.price < t.target {
			t.cutShort = true
			return
		}
	}
}
