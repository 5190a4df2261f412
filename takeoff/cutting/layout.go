package cutting

import (
	"math"
	"slices"
)

// part is a number of pieces of one line of a demand.
type part struct {
	i int   // line
	k int64 // pieces
}

// cut is a pattern on a demand: parts in the order of the lines.
type cut struct {
	stock int // index into demand.size
	times int64
	parts []part
}

// layout is a complete set of cuts while the search goes on.
type layout struct {
	cuts  []cut
	price int64 // in units of demand.unit, saturating
	n     int64 // stock pieces, saturating
	drop  int64 // longest drop, in steps
}

// tidy merges equal cuts, takes for each the cheapest stock that holds it, puts
// them in a fixed order and adds up.
func (q *demand) tidy(cuts []cut) *layout {
	l := &layout{}
	for _, c := range cuts {
		load := int64(0)
		for _, x := range c.parts {
			load += q.w[x.i] * x.k
		}
		if len(c.parts) == 0 || c.times == 0 {
			continue
		}
		c.stock = q.holder(load)
		l.cuts = append(l.cuts, c)
		l.drop = max(l.drop, q.size[c.stock]-load)
	}
	slices.SortStableFunc(l.cuts, func(a, b cut) int {
		switch {
		case lessCut(a, b):
			return -1
		case lessCut(b, a):
			return 1
		}
		return 0
	})
	k := 0
	for i, c := range l.cuts {
		if i > 0 && sameParts(l.cuts[k-1].parts, c.parts) {
			l.cuts[k-1].times += c.times
			continue
		}
		l.cuts[k] = c
		k++
	}
	l.cuts = l.cuts[:k]
	for _, c := range l.cuts {
		l.price = satAdd(l.price, satMul(q.price[c.stock], c.times))
		l.n = satAdd(l.n, c.times)
	}
	return l
}

// lessCut orders cuts: the longer stock first, then the one with more of the
// longest piece in which they differ.
func lessCut(a, b cut) bool {
	if a.stock != b.stock {
		return a.stock > b.stock
	}
	for x := 0; x < len(a.parts) && x < len(b.parts); x++ {
		p, r := a.parts[x], b.parts[x]
		if p.i != r.i {
			return p.i < r.i
		}
		if p.k != r.k {
			return p.k > r.k
		}
	}
	return len(a.parts) > len(b.parts)
}

func sameParts(a, b []part) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// better tells whether a is to be preferred to b: cheaper, then fewer stock
// pieces, then fewer patterns, then the longer drop.
func (a *layout) better(b *layout) bool {
	switch {
	case b == nil:
		return true
	case a.price != b.price:
		return a.price < b.price
	case a.n != b.n:
		return a.n < b.n
	case len(a.cuts) != len(b.cuts):
		return len(a.cuts) < len(b.cuts)
	}
	return a.drop > b.drop
}

// plan puts a layout in the terms of the problem.
func (q *demand) plan(p Problem, l *layout) Plan {
	var out Plan
	for _, c := range l.cuts {
		t := Pattern{Stock: q.stock[c.stock], Times: c.times}
		load := int64(0)
		for _, x := range c.parts {
			t.Pieces = append(t.Pieces, Piece{Length: q.orig[x.i], Count: x.k})
			load += (q.orig[x.i] + p.Kerf) * x.k // no more than the stock with kerf
		}
		t.Drop = max(0, p.Stock[t.Stock].Length-load)
		out.Patterns = append(out.Patterns, t)
		out.Cost = satAdd(out.Cost, satMul(p.Stock[t.Stock].Price, c.times))
		out.Bought = satAdd(out.Bought, c.times)
	}
	return out
}

// repeat returns how often the parts can be cut from what is left.
func repeat(parts []part, left []int64) int64 {
	t := int64(math.MaxInt64)
	for _, x := range parts {
		t = min(t, left[x.i]/x.k)
	}
	return t
}
