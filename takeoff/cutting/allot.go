package cutting

// Lot is a number of pieces of one length that are wanted for one purpose: a wall's course, a mark on a list.
type Lot struct{ Length, Count int64 }

// Share is a number of a lot's pieces.
type Share struct {
	Lot   int // index into the lots
	Count int64
}

// Allot says which lots' pieces are cut by which pattern, so that each piece off the saw has its purpose: for each pattern
// and each of its lengths the shares of it, over all the times it is cut. Patterns take the lots of a length in the order
// of both, so that pieces of one lot come from as few patterns as that allows. Lots that ask for less than the patterns cut
// leave pieces without a purpose; what they ask for beyond is left out.
func Allot(patterns []Pattern, lots []Lot) [][][]Share {
	type queue struct {
		lots []int
		left int64 // of the first
	}
	queues := map[int64]*queue{}
	for i, l := range lots {
		if l.Count <= 0 {
			continue
		}
		q := queues[l.Length]
		if q == nil {
			q = &queue{left: l.Count}
			queues[l.Length] = q
		}
		q.lots = append(q.lots, i)
	}
	out := make([][][]Share, len(patterns))
	for i, p := range patterns {
		out[i] = make([][]Share, len(p.Pieces))
		for k, x := range p.Pieces {
			q := queues[x.Length]
			for n := x.Count * p.Times; n > 0 && q != nil && len(q.lots) > 0; {
				take := min(n, q.left)
				out[i][k] = append(out[i][k], Share{q.lots[0], take})
				n -= take
				if q.left -= take; q.left == 0 {
					if q.lots = q.lots[1:]; len(q.lots) > 0 {
						q.left = lots[q.lots[0]].Count
					}
				}
			}
		}
	}
	return out
}
