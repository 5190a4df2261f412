package cutting

import (
	"errors"
	"fmt"
	"math"
	"math/bits"
	"sort"
	"strings"
)

// Piece is a length wanted, or a length cut in a pattern, and how many.
type Piece struct{ Length, Count int64 }

// Stock is a length that can be bought in any number at a price each.
type Stock struct{ Length, Price int64 }

// Problem is a list of pieces to be cut from stock. Lines of equal length are
// one demand; lines with Count 0 ask for nothing.
type Problem struct {
	Pieces []Piece
	Stock  []Stock
	// Kerf is the width of the saw cut, in the unit of the lengths.
	Kerf int64
}

// TooLong is returned when pieces are longer than every stock length.
type TooLong struct {
	// Lengths holds each such length once, the longest first.
	Lengths []int64
	// Longest is the longest stock length.
	Longest int64
}

func (e *TooLong) Error() string {
	s := make([]string, len(e.Lengths))
	for i, l := range e.Lengths {
		s[i] = fmt.Sprint(l)
	}
	return fmt.Sprintf("pieces longer than the longest stock (%d): %s", e.Longest, strings.Join(s, ", "))
}

var (
	// ErrNoStock is returned when pieces are wanted and there is nothing to cut.
	ErrNoStock = errors.New("no stock to cut the pieces from")
	// ErrTooLarge is returned when a total would not fit in 63 bits.
	ErrTooLarge = errors.New("numbers too large to plan")
)

// demand is a problem made ready for the search: kerf added, equal lengths
// merged, lengths divided by their common divisor, stock that a longer one at
// no higher price replaces left out.
type demand struct {
	w    []int64 // length with kerf in steps, longest first, all different
	d    []int64 // how many of each, at least 1
	orig []int64 // the length asked for, of each

	size  []int64 // stock length with kerf in steps, shortest first
	price []int64 // in units of unit; rises with size
	stock []int   // index into Problem.Stock
	unit  int64   // greatest common divisor of the prices kept, at least 1
}

// read checks p and returns it merged and scaled. A problem that asks for
// nothing gives a demand without lengths.
func read(p Problem) (*demand, error) {
	if p.Kerf < 0 {
		return nil, fmt.Errorf("the kerf %d is negative", p.Kerf)
	}
	count := map[int64]int64{}
	for _, x := range p.Pieces {
		if x.Length <= 0 {
			return nil, fmt.Errorf("the piece length %d is not positive", x.Length)
		}
		if x.Count < 0 {
			return nil, fmt.Errorf("the count %d of length %d is negative", x.Count, x.Length)
		}
		if x.Count == 0 {
			continue
		}
		if x.Length > math.MaxInt64-p.Kerf || count[x.Length] > math.MaxInt64-x.Count {
			return nil, fmt.Errorf("%w: piece length %d, count %d", ErrTooLarge, x.Length, x.Count)
		}
		count[x.Length] += x.Count
	}
	var longest int64
	for _, s := range p.Stock {
		if s.Length <= 0 {
			return nil, fmt.Errorf("the stock length %d is not positive", s.Length)
		}
		if s.Price < 0 {
			return nil, fmt.Errorf("the price %d of stock length %d is negative", s.Price, s.Length)
		}
		if s.Length > math.MaxInt64-p.Kerf {
			return nil, fmt.Errorf("%w: stock length %d", ErrTooLarge, s.Length)
		}
		longest = max(longest, s.Length)
	}
	q := &demand{}
	for l := range count {
		q.orig = append(q.orig, l)
	}
	sort.Slice(q.orig, func(i, j int) bool { return q.orig[i] > q.orig[j] })
	if len(q.orig) == 0 {
		return q, nil
	}
	if len(p.Stock) == 0 {
		return nil, ErrNoStock
	}
	var long []int64
	for _, l := range q.orig {
		if l > longest {
			long = append(long, l)
		}
	}
	if long != nil {
		return nil, &TooLong{Lengths: long, Longest: longest}
	}
	step := int64(0)
	for _, l := range q.orig {
		step = gcd(step, l+p.Kerf)
	}
	total, n := int64(0), int64(0)
	for _, l := range q.orig {
		w, d := (l+p.Kerf)/step, count[l]
		q.w = append(q.w, w)
		q.d = append(q.d, d)
		total = satAdd(total, satMul(w, d))
		n = satAdd(n, d)
	}
	if total >= math.MaxInt64/4 || n >= math.MaxInt64/4 {
		return nil, fmt.Errorf("%w: the pieces add up to more than can be counted", ErrTooLarge)
	}
	// Stock that holds not even the shortest piece is no choice; nor is one when
	// another holds at least as much for no more money.
	order := make([]int, 0, len(p.Stock))
	for j := range p.Stock {
		if (p.Stock[j].Length+p.Kerf)/step >= q.w[len(q.w)-1] {
			order = append(order, j)
		}
	}
	sort.SliceStable(order, func(a, b int) bool {
		x, y := p.Stock[order[a]], p.Stock[order[b]]
		if x.Length != y.Length {
			return x.Length > y.Length
		}
		return x.Price < y.Price
	})
	for _, j := range order {
		k := len(q.stock)
		if k > 0 && p.Stock[j].Price >= p.Stock[q.stock[k-1]].Price {
			continue
		}
		q.stock = append(q.stock, j)
	}
	for a, b := 0, len(q.stock)-1; a < b; a, b = a+1, b-1 {
		q.stock[a], q.stock[b] = q.stock[b], q.stock[a]
	}
	for _, j := range q.stock {
		q.size = append(q.size, (p.Stock[j].Length+p.Kerf)/step)
		q.price = append(q.price, p.Stock[j].Price)
		q.unit = gcd(q.unit, p.Stock[j].Price)
	}
	if q.unit == 0 {
		q.unit = 1
	}
	for j := range q.price {
		q.price[j] /= q.unit
	}
	return q, nil
}

// holder returns the cheapest stock that holds load, or -1.
func (q *demand) holder(load int64) int {
	for j, s := range q.size {
		if s >= load {
			return j
		}
	}
	return -1
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// satAdd and satMul stop at the largest int64; their arguments are not negative.
func satAdd(a, b int64) int64 {
	if a > math.MaxInt64-b {
		return math.MaxInt64
	}
	return a + b
}

func satMul(a, b int64) int64 {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	if hi != 0 || lo > math.MaxInt64 {
		return math.MaxInt64
	}
	return int64(lo)
}
