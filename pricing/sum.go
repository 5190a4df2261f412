package pricing

import (
	"math"

	"github.com/shopspring/decimal"

	"wallbill/takeoff/exact"
)

// sum adds quantities exactly. Finished lines carry 9 decimals at most, so nearly all fit whole billionths in an int64; what
// does not goes to a decimal beside it. A job of ten thousand walls adds some hundred thousand lines.
type sum struct {
	billionths int64
	rest       *decimal.Decimal
}

var pow10 = [...]int64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9}

// amount is a quantity to be added to several sums: in whole billionths where they hold it.
type amount struct {
	decimal.Decimal
	billionths int64
	fits       bool
}

func amountOf(d decimal.Decimal) amount {
	a := amount{Decimal: d}
	if e := d.Exponent(); e >= -9 && e <= 0 && d.NumDigits() <= 18 {
		c, f := d.CoefficientInt64(), pow10[9+e]
		if c <= math.MaxInt64/4/f && c >= math.MinInt64/4/f {
			a.billionths, a.fits = c*f, true
		}
	}
	return a
}

// add adds d.
func (s *sum) add(d decimal.Decimal) { s.addAmount(amountOf(d)) }

func (s *sum) addAmount(a amount) {
	if a.fits && s.billionths < math.MaxInt64/2 && s.billionths > math.MinInt64/2 {
		s.billionths += a.billionths
		return
	}
	r := a.Decimal
	if s.rest != nil {
		r = s.rest.Add(r)
	}
	s.rest = &r
}

// total is the sum.
func (s *sum) total() decimal.Decimal {
	d := decimal.New(s.billionths, -9)
	if s.rest != nil {
		d = d.Add(*s.rest)
	}
	return plain(d)
}

// plain is d without trailing zeros, so that equal values look and print alike.
func plain(d decimal.Decimal) decimal.Decimal {
	e := d.Exponent()
	if e >= 0 {
		return d
	}
	if d.NumDigits() <= 18 {
		c := d.CoefficientInt64()
		for e < 0 && c%10 == 0 {
			c, e = c/10, e+1
		}
		return decimal.New(c, e)
	}
	for p := int32(0); p < -e; p++ {
		if t := d.Truncate(p); t.Equal(d) {
			return t
		}
	}
	return d
}

// fraction is an exact number as a decimal where it is one, else rounded to 15 places.
func fraction(n exact.Num) decimal.Decimal {
	for p := int32(0); p < 15; p++ {
		if d := n.Round(p); exact.Dec(d).Cmp(n) == 0 {
			return d
		}
	}
	return n.Round(15)
}

// spread is quantities by place: levels or pours. Lines of one item come wall by wall, so the last place is looked at first.
type spread struct {
	places []int
	sums   []sum
	at     map[int]int
	last   int
}

func (s *spread) add(place int, d decimal.Decimal) { s.addAmount(place, amountOf(d)) }

func (s *spread) addAmount(place int, a amount) {
	if len(s.places) > 0 && s.places[s.last] == place {
		s.sums[s.last].addAmount(a)
		return
	}
	i, ok := s.at[place]
	if !ok {
		if s.at == nil {
			s.at = map[int]int{}
		}
		i = len(s.places)
		s.at[place] = i
		s.places = append(s.places, place)
		s.sums = append(s.sums, sum{})
	}
	s.last = i
	s.sums[i].addAmount(a)
}
