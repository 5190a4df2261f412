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
			parts, steps := q.leastSlack(left, i, q.size[j], 2000)
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

// leastSlack fills room with one piece of line i and those after it that leave
// the least, looking at no more than nodes choices.
func (q *demand) leastSlack(left []int64, i int, room int64, nodes int) ([]part, int64) {
	left[i]--
	defer func() { left[i]++ }()
	room -= q.w[i]
	best := room
	var found, stack []part
	steps := int64(0)
	var walk func(h int, room int64)
	walk = func(h int, room int64) {
		if room < best {
			best = room
			found = append(found[:0], stack...)
		}
		for ; h < len(q.w) && best > 0 && nodes > 0; h++ {
			steps++
			k := min(left[h], room/q.w[h])
			if k == 0 {
				continue
			}
			for ; k > 0 && best > 0 && nodes > 0; k-- {
				nodes--
				stack = append(stack, part{h, k})
				walk(h+1, room-k*q.w[h])
				stack = stack[:len(stack)-1]
			}
		}
	}
	walk(i, room)
	parts := []part{{i, 1}}
	for _, x := range found {
		if x.i == i {
			parts[0].k += x.k
		} else {
			parts = append(parts, x)
		}
	}
	return parts, steps * 4
}
