package cutting

import "math"

// FirstFit is the rule of thumb to compare a plan with: the longest piece left
// goes into the first stock piece with room. With several stock lengths the
// rule is tried with each as the one to cut from (longer pieces take the
// shortest stock that holds them), every stock piece is then exchanged for the
// cheapest that holds its load, and the cheapest result counts. LeastCost is the
// least by total length. A problem that Solve refuses gives an empty plan.
func FirstFit(p Problem) Plan {
	q, err := read(p)
	if err != nil || len(q.w) == 0 {
		return Plan{Proven: true}
	}
	plan := q.plan(p, q.firstFit())
	if plan.Cost < math.MaxInt64 {
		plan.LeastCost = min(plan.Cost, satMul(q.least(q.byLength(), q.price), q.unit))
	}
	plan.Proven = plan.Cost == plan.LeastCost
	return plan
}

// firstFit packs by first-fit-decreasing. Filling one stock piece after the
// other with the longest pieces that fit gives the same packing, and lets equal
// stock pieces be counted instead of repeated.
func (q *demand) firstFit() *layout {
	var best *layout
	for j := range q.size {
		left := append([]int64(nil), q.d...)
		if l := q.tidy(q.fill(nil, left, j)); l.better(best) {
			best = l
		}
	}
	return best
}

// fill packs what is left into stock j, or the shortest longer one for pieces
// that do not fit, and appends to cuts.
func (q *demand) fill(cuts []cut, left []int64, j int) []cut {
	for i := 0; i < len(q.w); {
		if left[i] == 0 {
			i++
			continue
		}
		s := j
		for q.size[s] < q.w[i] {
			s++
		}
		room := q.size[s]
		var parts []part
		for h := i; h < len(q.w) && room > 0; h++ {
			if k := min(left[h], room/q.w[h]); k > 0 {
				parts = append(parts, part{h, k})
				room -= k * q.w[h]
			}
		}
		t := repeat(parts, left)
		for _, x := range parts {
			left[x.i] -= t * x.k
		}
		cuts = append(cuts, cut{stock: s, times: t, parts: parts})
	}
	return cuts
}

// fillPrice is what fill would cost, with each stock piece exchanged for the
// cheapest that holds its load, and how many stock pieces it would take. It gives
// up when the price passes limit. left is used up; buf is scratch.
func (q *demand) fillPrice(left []int64, j int, limit int64, buf []part) (price, n, steps int64, _ []part) {
	for i := 0; i < len(q.w); {
		if left[i] == 0 {
			i++
			continue
		}
		s := j
		for q.size[s] < q.w[i] {
			s++
		}
		room := q.size[s]
		buf = buf[:0]
		for h := i; h < len(q.w) && room > 0; h++ {
			if left[h] == 0 || q.w[h] > room {
				continue
			}
			k := min(left[h], room/q.w[h])
			buf = append(buf, part{h, k})
			room -= k * q.w[h]
		}
		steps += int64(len(q.w) - i + 20)
		t := repeat(buf, left)
		for _, x := range buf {
			left[x.i] -= t * x.k
		}
		price = satAdd(price, satMul(t, q.price[q.holder(q.size[s]-room)]))
		n += t
		if price > limit {
			return price, n, steps, buf
		}
	}
	return price, n, steps, buf
}
