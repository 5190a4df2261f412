package cutting

import (
	"encoding/binary"
	"math"
)

// master is the linear program over the patterns known so far: the least price
// of patterns, in any fractions, that cut every piece left and meet every row
// about the stock bought. It is solved by a revised simplex with an explicit
// inverse of the basis; columns are added while it runs.
//
// Rows are "at least". The right side is raised by a little, different for each
// row, against degenerate steps; plans and bounds are computed without it.
// Prices are divided by the highest one.
type master struct {
	q     *demand
	m     int // rows: the lines, then the rows about stock
	rhs   []float64
	eps   []float64
	left  []int64 // pieces left of each line
	cols  []column
	index map[string]int
	inv   []float64 // inverse of the basis, m by m
	base  []int     // column of each basis position; -1-i is the surplus of row i
	inb   []bool    // of each column
	x     []float64 // basic values, with the raised right side
	dual  []float64
	rows  []stockRow
	obj   []float64 // price of a stock piece of each size, the highest 1
	top   float64   // the highest price
	spent int64
	allow int64 // work that primal may do
	since int   // pivots since the inverse was computed anew
	u     []float64
	nz    []int
}

// stockRow demands that the stock pieces bought, each times its weight, reach
// at least a number. bound.go says how such rows are found.
type stockRow struct {
	weight []int64
	least  int64
	// guess marks a row that need not hold for every plan: no bound may rest on
	// it (lists.go).
	guess bool
}

type entry struct {
	row int32
	val float64
}

type column struct {
	a     []entry
	cost  float64
	stock int
	parts []part
	off   bool // may not enter
}

// Columns that are no patterns have these in place of a stock.
const (
	artificialStock = -1 - iota
	exchangeStock
)

const (
	tolGain  = 1e-9
	tolPivot = 1e-8
	tolX     = 1e-9
	bigM     = 1e3 // price of what must not stay in the basis
	refactor = 400
)

func newMaster(q *demand) *master {
	l := &master{q: q, m: len(q.w), index: map[string]int{}}
	l.left = append([]int64(nil), q.d...)
	l.obj = make([]float64, len(q.size))
	l.aim(q.price)
	for i := range q.w {
		l.rhs = append(l.rhs, float64(q.d[i]))
		l.eps = append(l.eps, raise(i))
	}
	for i := range q.w {
		j := q.holder(q.w[i])
		best, bj := math.Inf(1), j
		for ; j < len(q.size); j++ {
			k := min(q.d[i], q.size[j]/q.w[i])
			if c := l.price(j) / float64(k); c < best {
				best, bj = c, j
			}
		}
		l.add(bj, []part{{i, min(q.d[i], q.size[bj]/q.w[i])}})
	}
	l.restart()
	return l
}

// raise gives each row its own small number.
func raise(i int) float64 {
	h := uint64(i+1) * 0x9e3779b97f4a7c15
	h ^= h >> 29
	h *= 0xbf58476d1ce4e5b9
	return 1e-7 * (1 + float64(h>>40)/(1<<24))
}

func (l *master) price(j int) float64 { return l.obj[j] }

// aim sets the prices to be made least: those of the stock, or any weights.
func (l *master) aim(price []int64) {
	l.top = 0
	for _, p := range price {
		l.top = max(l.top, float64(p))
	}
	for j, p := range price {
		l.obj[j] = float64(p) / l.top
	}
	for c := range l.cols {
		if st := l.cols[c].stock; st >= 0 {
			l.cols[c].cost = l.obj[st]
		}
	}
	if l.base != nil {
		l.duals()
	}
}

// add puts a pattern in the pool, once, and returns its column.
func (l *master) add(stock int, parts []part) int {
	key := make([]byte, 0, 4*len(parts)+2)
	key = binary.AppendUvarint(key, uint64(stock))
	for _, x := range parts {
		key = binary.AppendUvarint(key, uint64(x.i))
		key = binary.AppendUvarint(key, uint64(x.k))
	}
	if c, ok := l.index[string(key)]; ok {
		return c
	}
	c := column{stock: stock, parts: parts, cost: l.price(stock)}
	for _, x := range parts {
		c.a = append(c.a, entry{int32(x.i), float64(x.k)})
	}
	for r, s := range l.rows {
		if s.weight[stock] != 0 {
			c.a = append(c.a, entry{int32(len(l.q.w) + r), float64(s.weight[stock])})
		}
	}
	l.cols = append(l.cols, c)
	l.inb = append(l.inb, false)
	l.index[string(key)] = len(l.cols) - 1
	return len(l.cols) - 1
}

// restart goes back to a basis of one pattern a line.
func (l *master) restart() {
	m := l.m
	l.inv = make([]float64, m*m)
	l.base = make([]int, m)
	l.x = make([]float64, m)
	l.dual = make([]float64, m)
	l.u = make([]float64, m)
	for c := range l.inb {
		l.inb[c] = false
	}
	for i := range l.q.w {
		l.base[i] = i // the first columns are the single-line patterns, in order
		l.inb[i] = true
	}
	for r := range l.rows {
		l.base[len(l.q.w)+r] = l.artificial(r)
		l.inb[l.base[len(l.q.w)+r]] = true
	}
	l.invert()
}

// artificial returns the column that meets row r at a price no plan would pay.
func (l *master) artificial(r int) int {
	row := int32(len(l.q.w) + r)
	for c := range l.cols {
		if l.cols[c].stock == artificialStock && l.cols[c].a[0].row == row {
			return c
		}
	}
	w := int64(1)
	for _, x := range l.rows[r].weight {
		w = max(w, x, -x)
	}
	l.cols = append(l.cols, column{stock: artificialStock, cost: bigM, a: []entry{{row, float64(w)}}})
	l.inb = append(l.inb, false)
	return len(l.cols) - 1
}

// exchange adds, for each line but the last, the column that lets a longer piece
// serve as the next shorter one for nothing. The value of pieces then falls with
// their length from the start, as at the optimum it does, which spares many steps
// (Valerio de Carvalho 2005). settleExchange takes the columns out again.
func (l *master) exchange() {
	for i := 0; i+1 < len(l.q.w); i++ {
		l.cols = append(l.cols, column{stock: exchangeStock, a: []entry{{int32(i), -1}, {int32(i + 1), 1}}})
		l.inb = append(l.inb, false)
	}
}

func (l *master) settleExchange() {
	for c := range l.cols {
		if l.cols[c].stock == exchangeStock {
			l.cols[c].off = true
			l.cols[c].cost = bigM
		}
	}
	l.duals()
}

// addRow adds a row about the stock bought, met at first by its artificial
// column. The basis stays a basis.
func (l *master) addRow(s stockRow) {
	l.rows = append(l.rows, s)
	r := l.m
	l.m++
	l.rhs = append(l.rhs, float64(s.least))
	if s.guess {
		l.eps = append(l.eps, -raise(r))
	} else {
		l.eps = append(l.eps, raise(r))
	}
	for c := range l.cols {
		if st := l.cols[c].stock; st >= 0 && s.weight[st] != 0 {
			l.cols[c].a = append(l.cols[c].a, entry{int32(r), float64(s.weight[st])})
		}
	}
	a := l.artificial(len(l.rows) - 1)
	l.inb[a] = true
	l.base = append(l.base, a)
	l.inv = make([]float64, l.m*l.m)
	l.x = make([]float64, l.m)
	l.dual = make([]float64, l.m)
	l.u = make([]float64, l.m)
	l.invert()
	if l.x[r] < 0 {
		// The row holds already: its surplus is basic instead.
		l.inb[a] = false
		l.base[r] = -1 - r
		l.invert()
	}
}

// invert computes the inverse of the basis anew, and with it values and duals.
// Columns that depend on others are replaced by surplus columns.
func (l *master) invert() {
	m := l.m
	l.since = 0
	// Gauss-Jordan on [B | I], a row of each kept together.
	b := make([]float64, m*m)
	inv := l.inv
	clear(inv)
	for i := 0; i < m; i++ {
		inv[i*m+i] = 1
	}
	for p, c := range l.base {
		if c < 0 {
			b[(-1-c)*m+p] = -1
			continue
		}
		for _, e := range l.cols[c].a {
			b[int(e.row)*m+p] = e.val
		}
	}
	done := make([]bool, m)
	at := make([]int, m) // row that pivots on position p
	nb, ni := make([]int, 0, m), make([]int, 0, m)
	for p := 0; p < m; p++ {
		r, top := -1, 1e-9
		for i := 0; i < m; i++ {
			if v := math.Abs(b[i*m+p]); !done[i] && v > top {
				r, top = i, v
			}
		}
		if r < 0 {
			// Dependent: take the surplus of a row not used yet.
			for i := 0; i < m; i++ {
				if !done[i] {
					r = i
					break
				}
			}
			if l.base[p] >= 0 {
				l.inb[l.base[p]] = false
			}
			l.base[p] = -1 - r
			// The column of a surplus after the eliminations so far is minus the
			// r-th column of inv.
			for i := 0; i < m; i++ {
				b[i*m+p] = -inv[i*m+r]
			}
		}
		done[r], at[p] = true, r
		f := 1 / b[r*m+p]
		br, ir := b[r*m:r*m+m], inv[r*m:r*m+m]
		for k := range br {
			br[k] *= f
			ir[k] *= f
		}
		nb, ni = nb[:0], ni[:0]
		for k := p; k < m; k++ {
			if br[k] != 0 {
				nb = append(nb, k)
			}
		}
		for k := range ir {
			if ir[k] != 0 {
				ni = append(ni, k)
			}
		}
		for i := 0; i < m; i++ {
			g := b[i*m+p]
			if i == r || g == 0 {
				continue
			}
			for _, k := range nb {
				b[i*m+k] -= float64(g * br[k])
			}
			for _, k := range ni {
				inv[i*m+k] -= float64(g * ir[k])
			}
			l.spent += int64(len(nb) + len(ni))
		}
	}
	// Put the rows in the order of the positions.
	out := make([]float64, m*m)
	for p := 0; p < m; p++ {
		copy(out[p*m:p*m+m], inv[at[p]*m:at[p]*m+m])
	}
	l.inv = out
	l.spent += int64(2 * m * m)
	l.values()
	l.duals()
}

// values computes the basic values from the right side.
func (l *master) values() {
	m := l.m
	for p := 0; p < m; p++ {
		s := 0.0
		row := l.inv[p*m : p*m+m]
		for i, v := range row {
			if v != 0 {
				s += float64(v * (l.rhs[i] + l.eps[i]))
			}
		}
		l.x[p] = s
	}
	l.spent += int64(m * m)
}

// exactX returns the basic values of the right side that is not raised.
func (l *master) exactX() []float64 {
	m := l.m
	x := make([]float64, m)
	for p := range x {
		s := 0.0
		for i, v := range l.inv[p*m : p*m+m] {
			if v != 0 {
				s += float64(v * l.rhs[i])
			}
		}
		x[p] = s
	}
	l.spent += int64(m * m)
	return x
}

func (l *master) costOf(c int) float64 {
	if c < 0 {
		return 0
	}
	return l.cols[c].cost
}

func (l *master) duals() {
	m := l.m
	clear(l.dual)
	for p := 0; p < m; p++ {
		c := l.costOf(l.base[p])
		if c == 0 {
			continue
		}
		for i, v := range l.inv[p*m : p*m+m] {
			l.dual[i] += float64(c * v)
		}
	}
	l.spent += int64(m * m)
}

// reduced returns the price of a column less what its pieces are worth.
func (l *master) reduced(c int) float64 {
	s := l.cols[c].cost
	for _, e := range l.cols[c].a {
		s -= float64(l.dual[e.row] * e.val)
	}
	return s
}

// ftran sets l.u to the column in terms of the basis.
func (l *master) ftran(c int) {
	m := l.m
	if c < 0 {
		i := -1 - c
		for p := 0; p < m; p++ {
			l.u[p] = -l.inv[p*m+i]
		}
		l.spent += int64(m)
		return
	}
	a := l.cols[c].a
	for p := 0; p < m; p++ {
		row := l.inv[p*m : p*m+m]
		s := 0.0
		for _, e := range a {
			s += float64(row[e.row] * e.val)
		}
		l.u[p] = s
	}
	l.spent += int64(m * len(a))
}

// pivot exchanges the column at basis position r for c, whose ftran is in l.u
// and whose reduced price is rc.
func (l *master) pivot(r, c int, rc float64) {
	m := l.m
	f := 1 / l.u[r]
	pr := l.inv[r*m : r*m+m]
	l.nz = l.nz[:0]
	for k, v := range pr {
		if v != 0 {
			v *= f
			if math.Abs(v) < 1e-13 {
				v = 0
			} else {
				l.nz = append(l.nz, k)
			}
			pr[k] = v
		}
	}
	l.x[r] *= f
	for p := 0; p < m; p++ {
		g := l.u[p]
		if p == r || math.Abs(g) < 1e-13 {
			continue
		}
		row := l.inv[p*m : p*m+m]
		for _, k := range l.nz {
			row[k] -= float64(g * pr[k])
		}
		l.x[p] -= float64(g * l.x[r])
		l.spent += int64(len(l.nz))
	}
	for _, k := range l.nz {
		l.dual[k] += float64(rc * pr[k])
	}
	if b := l.base[r]; b >= 0 {
		l.inb[b] = false
	}
	l.base[r] = c
	if c >= 0 {
		l.inb[c] = true
	}
	l.spent += int64(4*m + 100)
	l.since++
	if l.since >= refactor {
		l.invert()
	}
}

// primal brings the program over the known columns to its optimum, from a basis
// with values not below 0. It gives up after many steps.
func (l *master) primal() {
	for step := 0; step < 50*l.m+1000; step++ {
		enter, rc := math.MinInt, -tolGain
		for c := range l.cols {
			if l.inb[c] || l.cols[c].off {
				continue
			}
			if d := l.reduced(c); d < rc {
				enter, rc = c, d
			}
		}
		l.spent += int64(6 * len(l.cols))
		for i := 0; i < l.m; i++ {
			if l.dual[i] < rc {
				enter, rc = -1-i, l.dual[i]
			}
		}
		if enter == math.MinInt || l.spent > l.allow {
			return
		}
		if !l.enter(enter, rc) {
			return
		}
	}
}

// enter brings a column into the basis by the primal ratio test.
func (l *master) enter(c int, rc float64) bool {
	l.ftran(c)
	r, best := -1, math.Inf(1)
	for p, u := range l.u {
		if u <= tolPivot {
			continue
		}
		t := max(0, l.x[p]) / u
		if t < best-1e-12 || t <= best+1e-12 && u > l.u[r] {
			r, best = p, min(t, best)
		}
	}
	if r < 0 {
		return false
	}
	l.pivot(r, c, rc)
	return true
}

// dualSteps mends values below 0 after the right side has changed, while
// reduced prices stay at 0 or above. It reports whether it could.
func (l *master) dualSteps() bool {
	l.values()
	for step := 0; step < 20*l.m+200; step++ {
		r, low := -1, -tolX
		for p, x := range l.x {
			if x < low {
				r, low = p, x
			}
		}
		if r < 0 {
			return true
		}
		row := l.inv[r*l.m : r*l.m+l.m]
		enter, ratio, size, rcIn := math.MinInt, math.Inf(1), 0.0, 0.0
		for c := range l.cols {
			if l.inb[c] || l.cols[c].off {
				continue
			}
			al, rc := 0.0, l.cols[c].cost
			for _, e := range l.cols[c].a {
				al += float64(row[e.row] * e.val)
				rc -= float64(l.dual[e.row] * e.val)
			}
			if al >= -tolPivot {
				continue
			}
			rc = max(rc, 0)
			if t := rc / -al; t < ratio-1e-12 || t <= ratio+1e-12 && -al > size {
				enter, ratio, size, rcIn = c, t, -al, rc
			}
		}
		l.spent += int64(10 * len(l.cols))
		for i := 0; i < l.m; i++ {
			al := -row[i]
			if al >= -tolPivot || l.basicSurplus(i) {
				continue
			}
			rc := max(l.dual[i], 0)
			if t := rc / -al; t < ratio-1e-12 || t <= ratio+1e-12 && -al > size {
				enter, ratio, size, rcIn = -1-i, t, -al, rc
			}
		}
		if enter == math.MinInt {
			return false
		}
		l.ftran(enter)
		if math.Abs(l.u[r]) < tolPivot {
			l.invert()
			continue
		}
		l.pivot(r, enter, rcIn)
	}
	return false
}

func (l *master) basicSurplus(i int) bool {
	for _, b := range l.base {
		if b == -1-i {
			return true
		}
	}
	return false
}

// value is the objective of the right side that is not raised.
func (l *master) value() float64 {
	s := 0.0
	for i, d := range l.dual {
		s += float64(d * l.rhs[i])
	}
	return s
}
