package cutting

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func drawProblem(t *rapid.T) Problem {
	p := Problem{Kerf: rapid.Int64Range(0, 5).Draw(t, "kerf")}
	for k := rapid.IntRange(1, 4).Draw(t, "stocks"); k > 0; k-- {
		p.Stock = append(p.Stock, Stock{rapid.Int64Range(50, 300).Draw(t, "stock"), rapid.Int64Range(0, 900).Draw(t, "price")})
	}
	long := int64(0)
	for _, s := range p.Stock {
		long = max(long, s.Length)
	}
	for m := rapid.IntRange(1, 8).Draw(t, "lines"); m > 0; m-- {
		p.Pieces = append(p.Pieces, Piece{rapid.Int64Range(5, long).Draw(t, "length"), rapid.Int64Range(1, 20).Draw(t, "count")})
	}
	return p
}

const lawMilli = 100

func lawPlan(t *rapid.T, p Problem) Plan {
	plan, err := Solve(p, EffortMilli(lawMilli))
	require.NoError(t, err)
	require.NoError(t, Recount(p, plan))
	return plan
}

func TestSplittingALineChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		plan := lawPlan(t, p)
		i := rapid.IntRange(0, len(p.Pieces)-1).Draw(t, "line")
		k := rapid.Int64Range(0, p.Pieces[i].Count).Draw(t, "part")
		s := p
		s.Pieces = append([]Piece{{p.Pieces[i].Length, k}}, p.Pieces...)
		s.Pieces[i+1].Count -= k
		require.Equal(t, plan, lawPlan(t, s))
	})
}

func TestScalingLengthsChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		plan := lawPlan(t, p)
		f := rapid.SampledFrom([]int64{2, 7, 1000, 25_400_000, 1_587_500}).Draw(t, "factor")
		s := Problem{Kerf: p.Kerf * f}
		for _, x := range p.Pieces {
			s.Pieces = append(s.Pieces, Piece{x.Length * f, x.Count})
		}
		for _, x := range p.Stock {
			s.Stock = append(s.Stock, Stock{x.Length * f, x.Price})
		}
		for i := range plan.Patterns {
			plan.Patterns[i].Drop *= f
			for k := range plan.Patterns[i].Pieces {
				plan.Patterns[i].Pieces[k].Length *= f
			}
		}
		require.Equal(t, plan, lawPlan(t, s))
	})
}

func TestScalingPricesScalesTheCost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		plan := lawPlan(t, p)
		f := rapid.SampledFrom([]int64{2, 100, 1_000_000_000_000}).Draw(t, "factor")
		s := p
		s.Stock = append([]Stock(nil), p.Stock...)
		for j := range s.Stock {
			s.Stock[j].Price *= f
		}
		plan.Cost *= f
		plan.LeastCost *= f
		require.Equal(t, plan, lawPlan(t, s))
	})
}

// More stock to choose from never raises the least cost. What holds of every
// pair of plans is that the bound with more choice is not above the cost with
// less; where both are proven the costs follow the law.
func TestMoreStockNeverRaisesTheLeastCost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		plan := lawPlan(t, p)
		s := p
		s.Stock = append([]Stock{{rapid.Int64Range(1, 400).Draw(t, "more"), rapid.Int64Range(0, 900).Draw(t, "its price")}}, p.Stock...)
		more := lawPlan(t, s)
		require.LessOrEqual(t, more.LeastCost, plan.Cost)
		require.LessOrEqual(t, more.Cost, plan.Cost)
	})
}

// However little work is allowed, the plan holds and the bound is below it, and
// more work costs no more.
func TestAnyWorkGivesAPlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		small, err := Solve(p, Work(rapid.Int64Range(-1, 200_000).Draw(t, "work")))
		require.NoError(t, err)
		require.NoError(t, Recount(p, small))
		require.LessOrEqual(t, lawPlan(t, p).LeastCost, small.Cost)
		require.LessOrEqual(t, small.LeastCost, lawPlan(t, p).Cost)
	})
}

// FuzzSolve reads a problem from bytes: kerf, stocks of length and price, pieces
// of length and count, two bytes each.
func FuzzSolve(f *testing.F) {
	f.Add([]byte{1, 2, 0, 240, 5, 15, 1, 224, 10, 30, 0, 100, 0, 9, 0, 77, 0, 3})
	f.Add([]byte{0, 1, 0, 100, 0, 0, 0, 45, 0, 97, 0, 31, 1, 1})
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) < 2 || len(b) > 200 {
			return
		}
		p := Problem{Kerf: int64(b[0] % 8)}
		k := 1 + int(b[1]%5)
		b = b[2:]
		pair := func() (int64, int64, bool) {
			if len(b) < 4 {
				return 0, 0, false
			}
			x, y := int64(b[0])<<8|int64(b[1]), int64(b[2])<<8|int64(b[3])
			b = b[4:]
			return x, y, true
		}
		for ; k > 0; k-- {
			if x, y, ok := pair(); ok {
				p.Stock = append(p.Stock, Stock{x, y})
			}
		}
		for {
			x, y, ok := pair()
			if !ok {
				break
			}
			p.Pieces = append(p.Pieces, Piece{x, y % 50})
		}
		plan, err := Solve(p, EffortMilli(20))
		if err != nil {
			return
		}
		if err := Recount(p, plan); err != nil {
			t.Fatal(err)
		}
		if FirstFit(p).Cost < plan.LeastCost {
			t.Fatalf("first-fit at %d is under the bound %d", FirstFit(p).Cost, plan.LeastCost)
		}
	})
}
