package cutting

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// triplets makes n stock pieces of 1000 each filled exactly by three pieces, by
// the construction of Falkenauer 1996: the first from 380 to 490, the second
// from 250 to half of what is left, the third the rest. Nothing is left over, so
// n is the optimum.
func triplets(n int, seed uint64) Problem {
	r := rand.New(rand.NewPCG(seed, 1))
	p := Problem{Stock: []Stock{{1000, 1}}}
	for i := 0; i < n; i++ {
		a := 380 + r.Int64N(111)
		b := 250 + r.Int64N((1000-a)/2-250+1)
		for _, l := range []int64{a, b, 1000 - a - b} {
			p.Pieces = append(p.Pieces, Piece{l, 1})
		}
	}
	return p
}

func TestTripletsAreSolved(t *testing.T) {
	sizes := []int{5, 20, 40, 83}
	if !testing.Short() {
		sizes = append(sizes, 167)
	}
	for _, n := range sizes {
		for seed := uint64(1); seed <= 5; seed++ {
			t.Run(fmt.Sprintf("%d/%d", n, seed), func(t *testing.T) {
				plan := solved(t, triplets(n, seed), 1000)
				require.Equal(t, int64(n), plan.LeastCost)
				require.Equal(t, int64(n), plan.Cost)
				require.True(t, plan.Proven)
			})
		}
	}
}

// full makes stock pieces of several lengths filled exactly and prices them by
// length, so that the length of all pieces is the optimum.
func full(n int, seed uint64) (Problem, int64) {
	r := rand.New(rand.NewPCG(seed, 2))
	p := Problem{Stock: []Stock{{600, 600}, {960, 960}, {1440, 1440}}}
	total := int64(0)
	for i := 0; i < n; i++ {
		l := p.Stock[r.IntN(3)].Length
		total += l
		for l > 0 {
			x := 90 + r.Int64N(400)
			if l-x < 90 {
				x = l
			}
			p.Pieces = append(p.Pieces, Piece{x, 1})
			l -= x
		}
	}
	return p, total
}

func TestStockFilledExactlyIsFound(t *testing.T) {
	for seed := uint64(1); seed <= 10; seed++ {
		p, total := full(15, seed)
		plan := solved(t, p, 1000)
		require.Equal(t, total, plan.LeastCost)
		require.Equal(t, total, plan.Cost, "seed %d", seed)
	}
}
