package cutting

// polish improves a layout without raising its price, as the ties are broken:
// two stock pieces become one where a longer one costs no more, two patterns
// become one where their pieces can be shared out alike, and pieces move out of
// the stock piece with the longest drop where others have room.
func (q *demand) polish(l *layout) *layout {
	// Beyond this the ties are not worth the looking.
	if len(l.cuts) > 250 {
		return l
	}
	for {
		next := q.joined(l)
		if next == nil {
			next = q.alike(l)
		}
		if next == nil {
			break
		}
		l = next
	}
	for k := 0; k < 50; k++ {
		next := q.longerDrop(l)
		if next == nil {
			break
		}
		l = next
	}
	return l
}

func (q *demand) load(parts []part) int64 {
	s := int64(0)
	for _, x := range parts {
		s += q.w[x.i] * x.k
	}
	return s
}

// sum adds the parts of x times a and y times b.
func sum(x []part, a int64, y []part, b int64) []part {
	var out []part
	for len(x) > 0 || len(y) > 0 {
		switch {
		case len(y) == 0 || len(x) > 0 && x[0].i < y[0].i:
			out = append(out, part{x[0].i, a * x[0].k})
			x = x[1:]
		case len(x) == 0 || y[0].i < x[0].i:
			out = append(out, part{y[0].i, b * y[0].k})
			y = y[1:]
		default:
			out = append(out, part{x[0].i, a*x[0].k + b*y[0].k})
			x, y = x[1:], y[1:]
		}
	}
	return out
}

// joined puts the pieces of two stock pieces into one, as often as both are cut,
// when that is better; nil otherwise.
func (q *demand) joined(l *layout) *layout {
	for a := range l.cuts {
		x := l.cuts[a]
		load := q.load(x.parts)
		for b := a; b < len(l.cuts); b++ {
			y := l.cuts[b]
			j := q.holder(load + q.load(y.parts))
			if j < 0 || q.price[j] > q.price[x.stock]+q.price[y.stock] {
				continue
			}
			t := min(x.times, y.times)
			if a == b {
				t = x.times / 2
			}
			if t == 0 {
				continue
			}
			cuts := append([]cut(nil), l.cuts...)
			cuts[a].times -= t
			cuts[b].times -= t
			cuts = append(cuts, cut{j, t, sum(x.parts, 1, y.parts, 1)})
			if n := q.tidy(cuts); n.better(l) {
				return n
			}
		}
	}
	return nil
}

// alike makes one pattern of two whose pieces can be shared out evenly.
func (q *demand) alike(l *layout) *layout {
	for a := range l.cuts {
	pair:
		for b := a + 1; b < len(l.cuts); b++ {
			x, y := l.cuts[a], l.cuts[b]
			t := x.times + y.times
			all := sum(x.parts, x.times, y.parts, y.times)
			for i := range all {
				if all[i].k%t != 0 {
					continue pair
				}
				all[i].k /= t
			}
			j := q.holder(q.load(all))
			if j < 0 {
				continue
			}
			cuts := append([]cut(nil), l.cuts...)
			cuts[a] = cut{j, t, all}
			cuts[b].times = 0
			if n := q.tidy(cuts); n.better(l) {
				return n
			}
		}
	}
	return nil
}

// longerDrop moves a piece out of a stock piece with the longest drop into
// another, or exchanges one for a shorter one; nil when neither makes a longer
// drop at the same price, stock pieces and patterns.
func (q *demand) longerDrop(l *layout) *layout {
	try := func(a, b int, out, in int) *layout {
		x, y := l.cuts[a], l.cuts[b]
		minus := func(p []part, i int) []part {
			var r []part
			for _, z := range p {
				if z.i == i {
					z.k--
				}
				if z.k > 0 {
					r = append(r, z)
				}
			}
			return r
		}
		xp := minus(x.parts, out)
		yp := sum(y.parts, 1, []part{{out, 1}}, 1)
		if in >= 0 {
			xp = sum(xp, 1, []part{{in, 1}}, 1)
			yp = minus(yp, in)
		}
		if q.load(yp) > q.size[y.stock] || len(xp) == 0 {
			return nil
		}
		cuts := append([]cut(nil), l.cuts...)
		cuts[a].parts, cuts[b].parts = xp, yp
		if n := q.tidy(cuts); n.better(l) {
			return n
		}
		return nil
	}
	for a, x := range l.cuts {
		if x.times != 1 || q.size[x.stock]-q.load(x.parts) != l.drop {
			continue
		}
		for b, y := range l.cuts {
			if a == b || y.times != 1 {
				continue
			}
			room := q.size[y.stock] - q.load(y.parts)
			for _, o := range x.parts {
				if q.w[o.i] <= room {
					if n := try(a, b, o.i, -1); n != nil {
						return n
					}
				}
				for _, z := range y.parts {
					if gain := q.w[o.i] - q.w[z.i]; gain > 0 && gain <= room {
						if n := try(a, b, o.i, z.i); n != nil {
							return n
						}
					}
				}
			}
		}
	}
	return nil
}
