package cutting

import (
	"fmt"
	"math"
	"math/big"
)

// Pattern is one way to cut one stock piece, and how often it is cut.
type Pattern struct {
	Stock  int   // index into Problem.Stock
	Times  int64 // stock pieces cut this way
	Pieces []Piece
	// Drop is what is left whole of one stock piece after the last cut: its
	// length less the pieces and one kerf for each, 0 when that is negative
	// (the last piece ends at the end of the stock).
	Drop int64
}

// Plan says what to buy and how to cut it.
type Plan struct {
	Patterns []Pattern
	Cost     int64 // of all stock pieces bought
	// LeastCost is a cost that no plan can go under.
	LeastCost int64
	Bought    int64 // stock pieces
	Proven    bool  // Cost == LeastCost
}

// Recount checks plan against p from nothing but the two: every piece wanted is
// cut once, no stock piece is overfilled, drops, cost and pieces bought add up,
// and the bound is not above the cost. It shares no code with the search.
func Recount(p Problem, plan Plan) error {
	want := map[int64]*big.Int{}
	for _, x := range p.Pieces {
		if x.Count == 0 {
			continue
		}
		if want[x.Length] == nil {
			want[x.Length] = new(big.Int)
		}
		want[x.Length].Add(want[x.Length], big.NewInt(x.Count))
	}
	cost, bought := new(big.Int), new(big.Int)
	kerf := big.NewInt(p.Kerf)
	for i, t := range plan.Patterns {
		if t.Stock < 0 || t.Stock >= len(p.Stock) {
			return fmt.Errorf("pattern %d: no stock %d", i, t.Stock)
		}
		if t.Times <= 0 {
			return fmt.Errorf("pattern %d: cut %d times", i, t.Times)
		}
		if len(t.Pieces) == 0 {
			return fmt.Errorf("pattern %d: nothing is cut from it", i)
		}
		s, times := p.Stock[t.Stock], big.NewInt(t.Times)
		load := new(big.Int)
		last := int64(math.MaxInt64)
		for _, x := range t.Pieces {
			if x.Length >= last && last != math.MaxInt64 {
				return fmt.Errorf("pattern %d: lengths do not fall", i)
			}
			last = x.Length
			if x.Count <= 0 {
				return fmt.Errorf("pattern %d: %d pieces of %d", i, x.Count, x.Length)
			}
			if want[x.Length] == nil {
				return fmt.Errorf("pattern %d: length %d is not wanted", i, x.Length)
			}
			n := big.NewInt(x.Count)
			one := new(big.Int).Add(big.NewInt(x.Length), kerf)
			load.Add(load, one.Mul(one, n))
			want[x.Length].Sub(want[x.Length], n.Mul(n, times))
		}
		room := new(big.Int).Sub(big.NewInt(s.Length), load)
		if new(big.Int).Add(room, kerf).Sign() < 0 {
			return fmt.Errorf("pattern %d: stock of %d is overfilled", i, s.Length)
		}
		if room.Sign() < 0 {
			room.SetInt64(0)
		}
		if room.Cmp(big.NewInt(t.Drop)) != 0 {
			return fmt.Errorf("pattern %d: drop is %v, not %d", i, room, t.Drop)
		}
		cost.Add(cost, new(big.Int).Mul(big.NewInt(s.Price), times))
		bought.Add(bought, times)
	}
	for l, n := range want {
		if n.Sign() != 0 {
			return fmt.Errorf("length %d: %v left to cut", l, n)
		}
	}
	if cost.Cmp(big.NewInt(plan.Cost)) != 0 {
		return fmt.Errorf("the stock costs %v, not %d", cost, plan.Cost)
	}
	if bought.Cmp(big.NewInt(plan.Bought)) != 0 {
		return fmt.Errorf("%v stock pieces are bought, not %d", bought, plan.Bought)
	}
	if plan.LeastCost < 0 || plan.LeastCost > plan.Cost {
		return fmt.Errorf("the bound %d is not within 0 and the cost %d", plan.LeastCost, plan.Cost)
	}
	if plan.Proven != (plan.Cost == plan.LeastCost) {
		return fmt.Errorf("proven is %v at cost %d and bound %d", plan.Proven, plan.Cost, plan.LeastCost)
	}
	return nil
}
