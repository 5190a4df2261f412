package cutting

import (
	"math"
	"math/big"
)

// A bound rests on values of the lines and weights of rows, nothing else.
//
// Let v[i] be any whole numbers, not negative, and most[j] at least what the
// pieces cut from one stock piece of size j can be worth. A plan buying n[j] of
// size j cuts d[i] of each line, so sum(n[j]*most[j]) >= sum(d[i]*v[i]). Rows
// already known to hold for every plan, sum(n[j]*weight[j]) >= least, may be
// added, each times a whole number y. So with
//
//	hold[j] = most[j] + sum(y*weight[j]),  worth = sum(d*v) + sum(y*least)
//
// every plan has sum(n*hold) >= worth, and costs at least
// worth * min(price[j]/hold[j]), rounded up because prices are whole units.
// Prices may be any weights: the same argument with other prices gives new rows
// (stockrows.go).

// limits is one such inequality: sum(n[j]*hold[j]) >= worth.
type limits struct {
	hold  []int64
	worth *big.Int
}

// least returns what a plan costs at least at the prices given, 0 when nothing
// follows.
func (q *demand) least(l limits, price []int64) int64 {
	var least *big.Int
	for j, h := range l.hold {
		if h == 0 {
			continue
		}
		x := new(big.Int).Mul(l.worth, big.NewInt(price[j]))
		m := big.NewInt(h)
		x.Add(x, m).Sub(x, big.NewInt(1)).Quo(x, m)
		if least == nil || x.Cmp(least) < 0 {
			least = x
		}
	}
	if least == nil || !least.IsInt64() {
		return 0
	}
	return least.Int64()
}

// byLength is the plainest inequality: stock holds no more than its length.
func (q *demand) byLength() limits {
	l := limits{hold: q.size, worth: new(big.Int)}
	for i, w := range q.w {
		l.worth.Add(l.worth, new(big.Int).Mul(big.NewInt(w), big.NewInt(q.d[i])))
	}
	return l
}

// scale of the whole-number duals; the dearest stock is worth about this much.
const dualScale = 1e12

// inequality rounds duals (in terms of the dearest stock) down to whole numbers
// and computes what they prove. cells limits the knapsack's table: longer stock
// is counted in cells of several steps with lengths rounded down, which can only
// raise most.
func (q *demand) inequality(dual []float64, rows []stockRow, cells int64, row *exactRow) (limits, int64) {
	n := len(q.w)
	long := q.size[len(q.size)-1]
	scale := dualScale
	// No overflow: a stock piece holds at most long/shortest pieces.
	top := 0.0
	for _, v := range dual {
		top = max(top, v)
	}
	for scale > 1 && scale*max(top, 1)*float64(long/q.w[n-1]+1) > 1<<60 {
		scale /= 10
	}
	cell := max(1, (long+cells-1)/cells)
	row.start(int(long/cell) + 1)
	l := limits{hold: make([]int64, len(q.size)), worth: new(big.Int)}
	steps := int64(0)
	for i := 0; i < n; i++ {
		v := int64(math.Floor(max(0, dual[i]) * scale))
		if v == 0 {
			continue
		}
		l.worth.Add(l.worth, new(big.Int).Mul(big.NewInt(v), big.NewInt(q.d[i])))
		steps += row.fill(int(q.w[i]/cell), min(q.d[i], long/q.w[i]), v)
	}
	for j, s := range q.size {
		l.hold[j] = row.at(int(s / cell))
	}
	for r, s := range rows {
		if s.guess {
			continue
		}
		y := int64(math.Floor(max(0, dual[n+r]) * scale))
		for j := range l.hold {
			l.hold[j] = satAdd(l.hold[j], satMul(y, s.weight[j]))
		}
		l.worth.Add(l.worth, new(big.Int).Mul(big.NewInt(y), big.NewInt(s.least)))
	}
	return l, steps
}

// exactRow is the one row that a bound needs of the table: stairs, until they are steep.
type exactRow struct {
	width   int
	climb   climber[int64]
	stairs  stairs[int64]
	cells   []int64 // memory of the row written out
	written bool
}

func (r *exactRow) start(width int) {
	r.width, r.stairs, r.written = width, r.climb.flat(), false
}

// fill is fillRow, and returns the steps it is counted as.
func (r *exactRow) fill(w int, most, v int64) int64 {
	if !r.written && r.stairs.steep(r.width) {
		if cap(r.cells) < r.width {
			r.cells = make([]int64, r.width)
		}
		r.cells = r.cells[:r.width]
		r.stairs.write(r.cells)
		r.written = true
	}
	if r.written {
		fillRow(r.cells, w, most, v)
	} else {
		r.stairs = r.climb.fill(r.width, w, most, v)
	}
	return rowSteps(r.width, w, most)
}

func (r *exactRow) at(cell int) int64 {
	if r.written {
		return r.cells[cell]
	}
	return r.stairs.at(cell)
}
