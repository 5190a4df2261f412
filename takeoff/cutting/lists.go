package cutting

// lists goes through the lists of stock pieces that cost less than the best
// plan, the cheapest first, as far as all that is known allows them, and looks
// for a plan that buys exactly such a list or less. Where the program has no
// solution under a list, its duals give an inequality that rules the list out,
// and others with it: that is exact, and lifts the bound when all lists of a
// price are gone. A list with no plan found stays possible.
//
// It suits few stock lengths and steps of price that are large beside the gap.
func (c *columns) lists(work int64) {
	l, q := c.l, c.q
	first := len(l.rows)
	none := -float64(2*c.best.n + 10)
	for j := range q.size {
		w := make([]int64, len(q.size))
		w[j] = -1
		l.addRow(stockRow{weight: w, least: int64(none), guess: true})
	}
	c.generate(true)
	root := l.save()
	defer l.restore(root)
	stop := min(c.budget, c.spent+work)
	not := map[string]bool{}
	for price := c.least; price < c.best.price && c.spent < stop && !c.done(); {
		n, passed, ok := c.listAt(price, not)
		if !ok {
			return
		}
		if n == nil {
			if !passed && price == c.least {
				c.prove(price + 1)
			}
			price++
			continue
		}
		l.restore(root)
		under := func() {
			for j := range n {
				l.rhs[len(q.w)+first+j] = -float64(n[j])
			}
		}
		under()
		if !l.dualSteps() {
			l.restart()
		}
		c.generateTo(float64(price) - 0.5)
		if l.value()*l.top > float64(price)+1e-3 {
			in, steps := q.inequality(l.dual, l.rows, c.cells(), &c.exact)
			c.spent += steps
			c.known = append(c.known, in)
			if !c.meets(n) {
				continue
			}
			not[listKey(n)] = true
			continue
		}
		not[listKey(n)] = true
		start := l.save()
		for r := 0; r < 8 && c.best.price > price && c.spent < stop; r++ {
			l.restore(start)
			c.dive(r)
		}
	}
}

// listShare is the part of the work to give to lists: with many stock lengths
// there are too many lists for it to go far.
func listShare(sizes int) int64 {
	if sizes <= 3 {
		return 3
	}
	return 10
}
