package cutting

// fillAll plans a demand of very many different lengths: for each size as the
// one to cut from, the longest piece left is joined by those that fill the rest
// of the stock best (minimum slack, Fleszar and Hindi 2002, with a limit on the
// looking).
func (s *search) fillAll() {
	q := s.q
	n := len(q.w)
	for main := range q.size {
		if s.done() {
			return
		}
		left := append([]int64(nil), q.d...)
		fill := slack{demand: q, left: left}
		var cuts []cut
		for i := 0; i < n; {
			if left[i] == 0 {
				i++
				continue
			}
			if s.spent >= s.budget {
				cuts = q.fill(cuts, left, main)
				break
			}
			j := main
			for q.size[j] < q.w[i] {
				j++
			}
			parts, steps := fill.fullest(i, q.size[j], 2000)
			s.spent += steps
			t := repeat(parts, left)
			for _, x := range parts {
				left[x.i] -= t * x.k
			}
			cuts = append(cuts, cut{stock: j, times: t, parts: parts})
		}
		s.keep(q.tidy(cuts))
	}
}

// fillFirst tries fillBest on the whole demand, with a share of the work.
func (s *search) fillFirst() {
	for nodes := 200; nodes <= 5000 && !s.done(); nodes *= 5 {
		if s.spent > s.budget/20 {
			return
		}
		left := append([]int64(nil), s.q.d...)
		cuts, price, steps := s.q.fillBest(left, s.best.price, nodes, max(s.budget/10, 100_000))
		s.spent += steps
		if price <= s.best.price {
			s.keep(s.q.tidy(cuts))
		}
	}
}

// fillBest fills what is left with, one after the other, the longest piece and
// those that fill a stock piece best, in the stock that costs least for the
// length it then holds. It gives up when the price passes limit, or its steps most:
// the price is then above limit.
func (q *demand) fillBest(left []int64, limit int64, nodes int, most int64) (cuts []cut, price, steps int64) {
	fill := slack{demand: q, left: left}
	for i := 0; i < len(q.w); {
		if left[i] == 0 {
			i++
			continue
		}
		var best cut
		bp, bl := int64(0), int64(0)
		for j := range q.size {
			if q.size[j] < q.w[i] {
				continue
			}
			parts, st := fill.fullest(i, q.size[j], nodes)
			steps += st
			load := q.load(parts)
			h := q.holder(load)
			if best.parts == nil || float64(float64(q.price[h])*float64(bl)) < float64(float64(bp)*float64(load)) {
				best, bp, bl = cut{stock: h, parts: parts}, q.price[h], load
			}
		}
		best.times = repeat(best.parts, left)
		for _, x := range best.parts {
			left[x.i] -= best.times * x.k
		}
		price = satAdd(price, satMul(bp, best.times))
		cuts = append(cuts, best)
		if price > limit {
			break
		}
		if steps > most {
			return nil, satAdd(limit, 1), steps
		}
	}
	return cuts, price, steps
}

// slack fills stock with what leaves the least of it.
type slack struct {
	*demand
	left         []int64 // pieces that may be taken
	best         int64   // the least left yet
	found, stack []part
	nodes        int // choices that may yet be looked at
	steps        int64
}

// fullest fills room with one piece of line i and those after it that leave the least, looking at no more than nodes choices.
func (s *slack) fullest(i int, room int64, nodes int) ([]part, int64) {
	s.left[i]--
	room -= s.w[i]
	s.best, s.nodes, s.steps = room, nodes, 0
	s.found, s.stack = s.found[:0], s.stack[:0]
	s.walk(i, room)
	s.left[i]++
	parts := make([]part, 1, len(s.found)+1)
	parts[0] = part{i, 1}
	for _, x := range s.found {
		if x.i == i {
			parts[0].k += x.k
		} else {
			parts = append(parts, x)
		}
	}
	return parts, s.steps * 4
}

func (s *slack) walk(h int, room int64) {
	if room < s.best {
		s.best = room
		s.found = append(s.found[:0], s.stack...)
	}
	for ; h < len(s.w) && s.best > 0 && s.nodes > 0; h++ {
		s.steps++
		for k := min(s.left[h], room/s.w[h]); k > 0 && s.best > 0 && s.nodes > 0; k-- {
			s.nodes--
			s.stack = append(s.stack, part{h, k})
			s.walk(h+1, room-k*s.w[h])
			s.stack = s.stack[:len(s.stack)-1]
		}
	}
}
