package cutting

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// filler finds the patterns worth most when each line has a value: a bounded
// knapsack by dynamic programming over room, one pass for all stock lengths.
//
// A row r of the table is the most that the first r lines in use can be worth in
// each room. Long stock is counted in cells of several steps, piece lengths
// rounded down: then the table is an upper limit, which steers an exact search by
// remaining room. The first rows are kept as stairs, from the first steep one on
// they are written out.
type filler struct {
	q     *demand
	cell  int64 // steps a cell
	width int   // cells of the longest stock, plus 1
	line  []int // lines with a positive value
	val   []float64
	most  []int64 // pieces of the line in one stock piece, at most
	rows  []stairs[float64]
	rises stairs[float64] // memory of the rows
	climb climber[float64]
	worth []float64 // the rows after those, width cells each
	spent int64

	// state of the exact search
	top   float64
	found []part
	stack []part
	nodes int64
}

// maxCells bounds the memory of the table (8 bytes a cell).
const maxCells = 1 << 22

// build fills the table for the values v and the pieces left; cells limits its
// width.
func (f *filler) build(v []float64, left []int64, cells int64) {
	f.fill(v, left, cells, 1e-11)
}

// buildAll is build with the lines of no value as well.
func (f *filler) buildAll(v []float64, left []int64, cells int64) {
	f.fill(v, left, cells, math.Inf(-1))
}

func (f *filler) fill(v []float64, left []int64, cells int64, over float64) {
	q := f.q
	long := q.size[len(q.size)-1]
	f.line, f.val, f.most = f.line[:0], f.val[:0], f.most[:0]
	for i := range v {
		if v[i] > over && left[i] > 0 {
			f.line = append(f.line, i)
			f.val = append(f.val, max(0, v[i]))
			f.most = append(f.most, min(left[i], long/q.w[i]))
		}
	}
	n := len(f.line)
	cells = max(16, min(cells, int64(maxCells/(n+1))))
	f.cell = (long + cells - 1) / cells
	f.width = int(long/f.cell) + 1
	f.rows, f.rises = f.rows[:0], f.rises[:0]
	row := f.climb.flat()
	r := 0
	for ; !row.steep(f.width); r++ {
		f.rises = append(f.rises, row...)
		f.rows = append(f.rows, f.rises[len(f.rises)-len(row):])
		if r == n {
			return
		}
		w := int(q.w[f.line[r]] / f.cell)
		row = f.climb.fill(f.width, w, f.most[r], f.val[r])
		f.spent += rowSteps(f.width, w, f.most[r]) + int64(f.width)/2
	}
	need := (n + 1 - r) * f.width
	if cap(f.worth) < need {
		f.worth = make([]float64, need)
	}
	f.worth = f.worth[:need]
	row.write(f.worth[:f.width])
	for cells := f.worth; r < n; r++ {
		var last []float64
		last, cells = cells[:f.width], cells[f.width:]
		copy(cells[:f.width], last)
		w := int(q.w[f.line[r]] / f.cell)
		fillRow(cells[:f.width], w, f.most[r], f.val[r])
		f.spent += rowSteps(f.width, w, f.most[r]) + int64(f.width)/2
	}
}

// fillRow adds up to most pieces of w cells and value v to a row of the table.
func fillRow[T int64 | float64](row []T, w int, most int64, v T) {
	switch {
	case w == 0:
		for c := range row {
			row[c] += T(v * T(most))
		}
	case most >= int64((len(row)-1)/w):
		if w < len(row) {
			from, to := row[:len(row)-w], row[w:] // the same cells: pieces are added to those added before
			for c, x := range to {
				if y := from[c] + v; y > x {
					to[c] = y
				}
			}
		}
	default:
		for k := int64(1); most > 0; k *= 2 {
			k = min(k, most)
			most -= k
			kw, kv := int(k)*w, T(T(k)*v)
			from, to := row[:len(row)-kw], row[kw:]
			for c := len(from) - 1; c >= 0; c-- {
				if x := from[c] + kv; x > to[c] {
					to[c] = x
				}
			}
		}
	}
}

// rowSteps is the work that filling a row of so many cells is counted as, however it is kept.
func rowSteps(width, w int, most int64) int64 {
	if w == 0 || most >= int64((width-1)/w) {
		return int64(width)
	}
	steps := int64(0)
	for k := int64(1); most > 0; k *= 2 {
		k = min(k, most)
		most -= k
		steps += int64(width - int(k)*w)
	}
	return steps
}

// limit returns the most that the first r lines can be worth in room, or more.
func (f *filler) limit(r int, room int64) float64 {
	c := int(room / f.cell)
	if r < len(f.rows) {
		return f.rows[r].at(c)
	}
	return f.worth[(r-len(f.rows))*f.width+c]
}

// bestOf returns the pattern worth most, over floor, among the first r lines in
// room; nil when there is none or the search was cut short without one.
func (f *filler) bestOf(r int, room int64, floor float64, nodes int64) ([]part, float64) {
	f.top, f.found, f.stack, f.nodes = floor, nil, f.stack[:0], nodes
	f.descend(r, room, 0)
	f.spent += 4 * (nodes - f.nodes)
	return f.found, f.top
}

func (f *filler) descend(r int, room int64, have float64) {
	f.nodes--
	if have > f.top+1e-11 {
		f.top = have
		f.found = append([]part(nil), f.stack...)
	}
	for ; r > 0; r-- {
		if have+f.limit(r, room) <= f.top+1e-11 || f.nodes < 0 {
			return
		}
		i := f.line[r-1]
		w := f.q.w[i]
		k := min(f.most[r-1], room/w)
		if k == 0 {
			continue
		}
		// Take the number with the greatest limit first.
		bk, bv := int64(0), f.limit(r-1, room)
		for x := int64(1); x <= k; x++ {
			if v := float64(float64(x)*f.val[r-1]) + f.limit(r-1, room-x*w); v > bv+1e-12 {
				bk, bv = x, v
			}
		}
		f.nodes -= k / 4
		if f.cell == 1 && bk == 0 {
			continue // the table is exact: not taking any loses nothing
		}
		try := func(x int64) {
			if x > 0 {
				f.stack = append(f.stack, part{i, x})
			}
			f.descend(r-1, room-x*w, have+float64(float64(x)*f.val[r-1]))
			if x > 0 {
				f.stack = f.stack[:len(f.stack)-1]
			}
		}
		try(bk)
		if f.cell == 1 {
			return
		}
		for x := k; x >= 0; x-- {
			if x != bk && have+float64(float64(x)*f.val[r-1])+f.limit(r-1, room-x*w) > f.top+1e-11 {
				try(x)
			}
		}
		return
	}
}

// offer is a pattern found by pricing.
type offer struct {
	stock int
	parts []part
	gain  float64 // value over the price
}

// offers returns, for the prices given, the patterns worth more than their
// stock: for each stock the best, then some that use other lines, the one of
// the greatest gain first. best[j] is set to the most a pattern of stock j is
// worth, or more.
func (f *filler) offers(price, best []float64, few int, nodes int64) []offer {
	q := f.q
	n := len(f.line)
	var out []offer
	for j := range q.size {
		best[j] = f.limit(n, q.size[j])
		if best[j] <= price[j]+1e-9 {
			continue
		}
		parts, v := f.bestOf(n, q.size[j], price[j]+1e-9, nodes)
		if f.cell > 1 && f.nodes >= 0 {
			best[j] = v
		}
		if parts != nil {
			out = append(out, offer{j, parts, v - price[j]})
		}
	}
	if len(out) == 0 {
		return nil
	}
	slices.SortStableFunc(out, func(a, b offer) int { return cmp.Compare(b.gain, a.gain) })
	// More from the same table: the best pattern whose last line is r, for every
	// r, kept when it wants other pieces than those kept before.
	used := map[int]int64{}
	for _, o := range out {
		for _, x := range o.parts {
			used[x.i] += x.k
		}
	}
	type last struct {
		r, j int
		gain float64
	}
	var lasts []last
	for r := 1; r <= n; r++ {
		w, v := q.w[f.line[r-1]], f.val[r-1]
		for j := range q.size {
			if q.size[j] < w {
				continue
			}
			if g := v + f.limit(r-1, q.size[j]-w) - price[j]; g > 1e-9 {
				lasts = append(lasts, last{r, j, g})
			}
		}
	}
	f.spent += int64(n * len(q.size))
	slices.SortStableFunc(lasts, func(a, b last) int { return cmp.Compare(b.gain, a.gain) })
	for _, c := range lasts {
		if few <= 0 {
			break
		}
		i := f.line[c.r-1]
		if used[i] >= f.most[c.r-1] {
			continue
		}
		w, v := q.w[i], f.val[c.r-1]
		parts, have := f.bestOf(c.r-1, q.size[c.j]-w, price[c.j]-v+1e-9, nodes/16)
		if parts == nil {
			continue
		}
		fresh := true
		for _, x := range parts {
			if used[x.i]+x.k > f.mostOf(x.i) {
				fresh = false
			}
		}
		if !fresh {
			continue
		}
		parts = append([]part{{i, 1}}, parts...)
		for _, x := range parts {
			used[x.i] += x.k
		}
		out = append(out, offer{c.j, parts, have + v - price[c.j]})
		few--
	}
	return out
}

func (f *filler) mostOf(i int) int64 {
	r := sort.SearchInts(f.line, i)
	return f.most[r]
}

// orderParts sorts parts by line, the longest piece first.
func orderParts(p []part) []part {
	slices.SortFunc(p, func(a, b part) int { return cmp.Compare(a.i, b.i) })
	return p
}
