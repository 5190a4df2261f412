package cutting

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strconv"
)

// stockRows looks for rows about the numbers of stock pieces bought, n[j] of
// size j, that every plan meets and the program at hand does not, adds them and
// solves it again.
//
// Two sources. The same program with other prices, whole numbers a, has a least
// value; sum(a*n) is a whole number, so it is at least that value rounded up:
// with a as all ones that says how many pieces are bought at least, with ones
// for the longer sizes how many of those, with the lengths how much in all. And
// any inequality sum(hold*n) >= worth of bound.go may be divided by any number
// and each term rounded up.
func (c *columns) stockRows() {
	l, q := c.l, c.q
	end := c.spent + (c.budget-c.spent)/3
	for round := 0; round < 8 && !c.done() && c.spent < end; round++ {
		added := 0
		for _, a := range c.weightings() {
			if c.spent >= end {
				break
			}
			n := c.bought()
			if have := dot(a, n); math.Ceil(have-1e-6)-have < 1e-4 {
				continue
			}
			l.aim(a)
			c.generateTo(math.Floor(dot(a, n)))
			least := c.certify(a)
			l.aim(q.price)
			if float64(least) > dot(a, n)+1e-6 {
				l.addRow(stockRow{weight: a, least: least})
				c.generate(true)
				added++
			} else {
				l.primal()
			}
		}
		c.generate(true)
		c.prove(c.certify(q.price))
		for k := 0; k < 3; k++ {
			row, ok := c.divided()
			if !ok {
				break
			}
			l.addRow(row)
			c.generate(true)
			added++
		}
		if added == 0 {
			break
		}
		c.prove(c.certify(q.price))
	}
	c.raise()
}

// bought is how many stock pieces of each size the program buys.
func (c *columns) bought() []float64 {
	n := make([]float64, len(c.q.size))
	for p, x := range c.l.exactX() {
		if b := c.l.base[p]; b >= 0 && c.l.cols[b].stock >= 0 {
			n[c.l.cols[b].stock] += x
		}
	}
	return n
}

func dot(a []int64, n []float64) float64 {
	s := 0.0
	for j := range n {
		s += float64(float64(a[j]) * n[j])
	}
	return s
}

// weightings are the prices to try.
func (c *columns) weightings() [][]int64 {
	q := c.q
	k := len(q.size)
	var out [][]int64
	seen := map[string]bool{}
	put := func(f func(j int) int64) {
		a := make([]int64, k)
		key := ""
		positive := false
		for j := range a {
			a[j] = f(j)
			positive = positive || a[j] > 0
			key += strconv.FormatInt(a[j], 10) + ","
		}
		if positive && !seen[key] {
			seen[key] = true
			out = append(out, a)
		}
	}
	for t := 0; t < k; t++ {
		put(func(j int) int64 {
			if j >= t {
				return 1
			}
			return 0
		})
	}
	long, dear := q.size[k-1], q.price[k-1]
	for m := int64(2); m <= 6; m++ {
		put(func(j int) int64 { return int64(math.Round(float64(m) * float64(q.size[j]) / float64(long))) })
		put(func(j int) int64 {
			return int64(math.Ceil(float64(float64(m)*float64(q.price[j])/float64(dear)) - 1e-9))
		})
	}
	for t := 1; t < k; t++ {
		put(func(j int) int64 { return int64(max(0, j-t+1)) })
	}
	return out
}

// divided returns the row most broken by the program at hand among those that
// dividing a known inequality gives.
func (c *columns) divided() (stockRow, bool) {
	n := c.bought()
	var best stockRow
	row := stockRow{weight: make([]int64, len(c.q.size))}
	top := 1e-4
	for _, in := range c.known {
		for j := range in.hold {
			for t := int64(1); t <= 12; t++ {
				d := in.hold[j] / t
				if d <= 0 || !in.divide(d, &row) {
					continue
				}
				size := 0.0
				for _, a := range row.weight {
					size = max(size, float64(a))
				}
				if gap := (float64(row.least) - dot(row.weight, n)) / size; gap > top {
					best, top = stockRow{weight: slices.Clone(row.weight), least: row.least}, gap
				}
			}
		}
	}
	return best, best.weight != nil
}

// divide rounds the terms of an inequality divided by d up to whole numbers, into row.
func (in limits) divide(d int64, row *stockRow) bool {
	for j, h := range in.hold {
		if row.weight[j] = (h + d - 1) / d; row.weight[j] > 1000 {
			return false
		}
	}
	if in.worth.IsInt64() && in.worth.Int64() <= math.MaxInt64-d {
		row.least = (in.worth.Int64() + d - 1) / d
		return true
	}
	x := new(big.Int).Add(in.worth, big.NewInt(d-1))
	x.Quo(x, big.NewInt(d))
	if !x.IsInt64() {
		return false
	}
	row.least = x.Int64()
	return true
}

// raise lifts the bound while no list of stock pieces at that price meets all
// that is known. It stops when one does, or when there are too many lists.
func (c *columns) raise() {
	for !c.done() {
		n, _, ok := c.listAt(c.least, nil)
		if n != nil || !ok {
			return
		}
		c.prove(c.least + 1)
	}
}

// listAt returns a list of stock pieces at the price that meets every known row
// and inequality, other than those in not, and whether one of those in not does
// too; ok is false when there were too many to look at.
func (c *columns) listAt(price int64, not map[string]bool) (list []int64, passed, ok bool) {
	q := c.q
	const most = 200_000
	n := make([]int64, len(q.size))
	look, checks := most, 0
	var try func(j int, left int64) bool
	try = func(j int, left int64) bool {
		if look--; look < 0 {
			return false
		}
		if j == 0 {
			if left%q.price[0] != 0 {
				return false
			}
			n[0] = left / q.price[0]
			checks++
			if !c.meets(n) {
				return false
			}
			if not[listKey(n)] {
				passed = true
				return false
			}
			return true
		}
		for n[j] = 0; n[j]*q.price[j] <= left; n[j]++ {
			if try(j-1, left-n[j]*q.price[j]) {
				return true
			}
		}
		return false
	}
	if try(len(n)-1, price) {
		list = n
	}
	c.spent += int64(most-look)*8 + int64(checks*len(n)*(len(c.known)+len(c.l.rows))*20)
	return list, passed, look >= 0
}

func listKey(n []int64) string { return fmt.Sprint(n) }

func (c *columns) meets(n []int64) bool {
	for _, r := range c.l.rows {
		if r.guess {
			continue
		}
		s := int64(0)
		for j, w := range r.weight {
			s = satAdd(s, satMul(w, n[j]))
		}
		if s < r.least {
			return false
		}
	}
	for i := len(c.known) - 1; i >= 0; i-- {
		s := new(big.Int)
		for j, h := range c.known[i].hold {
			s.Add(s, new(big.Int).Mul(big.NewInt(h), big.NewInt(n[j])))
		}
		if s.Cmp(c.known[i].worth) < 0 {
			return false
		}
	}
	return true
}
