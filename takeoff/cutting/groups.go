package cutting

// manyLines is how many different lengths are planned in groups first, groupsOf
// how many groups are made of them.
const (
	manyLines = 300
	groupsOf  = 180
)

// grouped plans a demand of many different lengths by neighbours: with every
// length raised to the longest of its group a plan is a plan for the pieces
// themselves; with every length lowered to the shortest a bound is a bound for
// them.
func (s *search) grouped() {
	work := s.budget - s.spent
	up := s.q.groups(true)
	u := &search{q: up.demand, budget: work / 3}
	u.run()
	s.spent += u.spent
	s.keep(s.q.tidy(up.ungroup(s.q, u.best.cuts)))
	if s.done() {
		return
	}
	down := &search{q: s.q.groups(false).demand, budget: work / 5}
	down.run()
	s.spent += down.spent
	s.prove(down.least)
}

type groups struct {
	*demand
	first []int // first line of each group; the next one's first ends it
}

// groups merges neighbouring lines, about as many to each group.
func (q *demand) groups(up bool) groups {
	g := groups{demand: &demand{size: q.size, price: q.price}}
	n := len(q.w)
	for k := 0; k < groupsOf; k++ {
		a, b := k*n/groupsOf, (k+1)*n/groupsOf
		w, d := q.w[a], int64(0)
		if !up {
			w = q.w[b-1]
		}
		for _, x := range q.d[a:b] {
			d += x
		}
		g.first = append(g.first, a)
		g.w, g.d = append(g.w, w), append(g.d, d)
	}
	g.first = append(g.first, n)
	return g
}

// ungroup puts the pieces themselves in the places of their groups.
func (g groups) ungroup(q *demand, cuts []cut) []cut {
	left := append([]int64(nil), q.d...)
	var out []cut
	for _, c := range cuts {
		for t := c.times; t > 0; {
			var parts []part
			for _, x := range c.parts {
				k := x.k
				for i := g.first[x.i]; i < g.first[x.i+1] && k > 0; i++ {
					if m := min(k, left[i]); m > 0 {
						parts = append(parts, part{i, m})
						k -= m
					}
				}
			}
			n := min(t, repeat(parts, left))
			for _, x := range parts {
				left[x.i] -= n * x.k
			}
			out = append(out, cut{c.stock, n, parts})
			t -= n
		}
	}
	return out
}
