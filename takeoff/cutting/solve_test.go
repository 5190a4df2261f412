package cutting

import (
	"errors"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

// Three pieces of 33 with a kerf of 1 take 33+1+33+1+33 = 101: they come out of
// a 101, not out of a 100.
func TestKerfIsOnceMoreThanTheStock(t *testing.T) {
	p := Problem{Pieces: []Piece{{33, 3}}, Stock: []Stock{{101, 1}}, Kerf: 1}
	plan := solved(t, p, 1000)
	require.Equal(t, Plan{Patterns: []Pattern{{Stock: 0, Times: 1, Pieces: []Piece{{33, 3}}, Drop: 0}}, Cost: 1, LeastCost: 1, Bought: 1, Proven: true}, plan)
	p.Stock[0].Length = 100
	plan = solved(t, p, 1000)
	require.Equal(t, int64(2), plan.Bought)
	// Two from one: 100 - 2·(33+1) = 32 left after the second cut.
	require.Equal(t, int64(32), plan.Patterns[0].Drop)
}

// By hand: 12 pieces of 8 ft and 6 of 4 ft from 10 ft at 9 and 20 ft at 16.
// A 20 holds 2 of 8 and 1 of 4; six of them hold everything: 96. The length
// asked for is 120 ft and no foot costs under 0.80, so 96 is least.
func TestHandWorkedPrices(t *testing.T) {
	p := Problem{Pieces: []Piece{{8, 12}, {4, 6}}, Stock: []Stock{{10, 9}, {20, 16}}}
	plan := solved(t, p, 1000)
	require.Equal(t, int64(96), plan.Cost)
	require.True(t, plan.Proven)
	require.Equal(t, []Pattern{{Stock: 1, Times: 6, Pieces: []Piece{{8, 2}, {4, 1}}}}, plan.Patterns)
}

// Two 10s cost as much as a 20: fewer stock pieces are bought.
func TestEqualCostTakesFewerStockPieces(t *testing.T) {
	plan := solved(t, Problem{Pieces: []Piece{{10, 4}}, Stock: []Stock{{10, 5}, {20, 10}}}, 1000)
	require.Equal(t, int64(20), plan.Cost)
	require.Equal(t, int64(2), plan.Bought)
}

// Two stock pieces of 10 hold 6, 3, 3, 2: as 6+3 and 3+2 they leave 1 and 5, as
// 6+2 and 3+3 only 2 and 4; the piece of 5 is kept.
func TestEqualCostKeepsTheLongestDrop(t *testing.T) {
	plan := solved(t, Problem{Pieces: []Piece{{6, 1}, {3, 2}, {2, 1}}, Stock: []Stock{{10, 1}}}, 1000)
	require.Equal(t, int64(2), plan.Bought)
	long := int64(0)
	for _, x := range plan.Patterns {
		long = max(long, x.Drop)
	}
	require.Equal(t, int64(5), long)
}

// Stock that costs nothing: the long piece pays, the short ones go into what it
// leaves and into free stock.
func TestStockWithoutPrice(t *testing.T) {
	p := Problem{Pieces: []Piece{{90, 2}, {40, 5}}, Stock: []Stock{{100, 7}, {80, 0}}}
	plan := solved(t, p, 1000)
	require.Equal(t, int64(14), plan.Cost)
	require.True(t, plan.Proven)
	require.Equal(t, int64(5), plan.Bought)
	p.Stock[0].Price = 0
	plan = solved(t, p, 1000)
	require.Zero(t, plan.Cost)
	require.True(t, plan.Proven)
	require.Equal(t, int64(5), plan.Bought)
}

func TestNothingWanted(t *testing.T) {
	plan := solved(t, Problem{Stock: []Stock{{100, 7}}, Pieces: []Piece{{500, 0}}}, 1000)
	require.Equal(t, Plan{Proven: true}, plan)
}

func TestRefused(t *testing.T) {
	_, err := Solve(Problem{Pieces: []Piece{{101, 1}, {300, 2}, {50, 1}, {300, 1}}, Stock: []Stock{{100, 1}, {90, 1}}, Kerf: 5}, 0)
	var long *TooLong
	require.True(t, errors.As(err, &long))
	require.Equal(t, &TooLong{Lengths: []int64{300, 101}, Longest: 100}, long)
	for name, p := range map[string]Problem{
		"no stock":       {Pieces: []Piece{{1, 1}}},
		"piece length":   {Pieces: []Piece{{0, 1}}, Stock: []Stock{{1, 1}}},
		"piece count":    {Pieces: []Piece{{1, -1}}, Stock: []Stock{{1, 1}}},
		"stock length":   {Pieces: []Piece{{1, 1}}, Stock: []Stock{{0, 1}}},
		"stock price":    {Pieces: []Piece{{1, 1}}, Stock: []Stock{{1, -1}}},
		"kerf":           {Pieces: []Piece{{1, 1}}, Stock: []Stock{{1, 1}}, Kerf: -1},
		"count too many": {Pieces: []Piece{{1, math.MaxInt64}, {1, 1}}, Stock: []Stock{{1, 1}}},
		"sum of lengths": {Pieces: []Piece{{math.MaxInt64 / 2, 9}, {1, 1}}, Stock: []Stock{{math.MaxInt64, 1}}},
		"kerf too wide":  {Pieces: []Piece{{2, 1}}, Stock: []Stock{{2, 1}}, Kerf: math.MaxInt64 - 1},
		"cost too high":  {Pieces: []Piece{{2, 9}}, Stock: []Stock{{2, math.MaxInt64 / 2}}},
	} {
		_, err := Solve(p, EffortMilli(10))
		require.Error(t, err, name)
	}
}

func TestVeryLargePrices(t *testing.T) {
	p := Problem{Pieces: []Piece{{60, 3}, {40, 3}}, Stock: []Stock{{100, math.MaxInt64 / 4}, {60, math.MaxInt64/4 - 3}}}
	plan := solved(t, p, 1000)
	require.Equal(t, int64(3), plan.Bought)
}

// 100,000 pieces of a length are planned with the work of 100, alone or among
// others; where the cost is too large to be proven the work allowed is kept to.
func TestManyEqualPiecesCostNoMore(t *testing.T) {
	rebar := []Stock{{240, 1295}, {480, 2590}, {720, 4120}}
	for _, lengths := range [][]int64{{463}, {57}, {240, 120}, {463, 372, 265, 135, 57}} {
		make := func(n int64) Problem {
			p := Problem{Stock: rebar}
			for i, l := range lengths {
				p.Pieces = append(p.Pieces, Piece{l, n * int64(1+i*3%4)})
			}
			return p
		}
		few, wFew, err := solve(make(100), EffortMilli(200))
		require.NoError(t, err)
		many, wMany, err := solve(make(100_000), EffortMilli(200))
		require.NoError(t, err)
		require.LessOrEqual(t, many.LeastCost, 1000*few.Cost)
		require.LessOrEqual(t, many.Cost-many.LeastCost, many.Cost/10_000)
		require.LessOrEqual(t, len(many.Patterns), 3*len(lengths))
		if many.Proven {
			require.LessOrEqual(t, wMany, 2*wFew+1_000_000)
		}
		require.LessOrEqual(t, wMany, EffortMilli(220))
	}
}

// Nanometres with an odd kerf: lengths without a common divisor.
func TestLengthsWithoutACommonDivisor(t *testing.T) {
	p := Problem{Kerf: 3_175_001, Stock: []Stock{{6_096_000_000, 1295}, {12_192_000_000, 2590}, {18_288_000_000, 4120}}}
	l := int64(9_000_000_123)
	for i := int64(0); i < 30; i++ {
		p.Pieces = append(p.Pieces, Piece{l, 1 + i*7%11})
		l -= 271_828_183 + i
	}
	plan := solved(t, p, 1000)
	require.LessOrEqual(t, plan.Cost-plan.LeastCost, plan.Cost/200)
}

// A great many different lengths: bounded memory, a plan, a bound.
func TestManyDifferentLengths(t *testing.T) {
	p := Problem{Stock: []Stock{{1_000_003, 1}}}
	for i := int64(0); i < 3000; i++ {
		p.Pieces = append(p.Pieces, Piece{50_000 + i*131, 1 + i%3})
	}
	plan := solved(t, p, 1000)
	require.LessOrEqual(t, plan.Cost-plan.LeastCost, plan.Cost/100)
}

func TestSameAnswerOnAnyNumberOfProcessors(t *testing.T) {
	p := readMulti(t, "testdata/multi/form02_2x4.txt")
	want := solved(t, p, 300)
	for _, n := range []int{1, 4} {
		old := runtime.GOMAXPROCS(n)
		got := solved(t, p, 300)
		runtime.GOMAXPROCS(old)
		require.Equal(t, want, got)
	}
}

func TestEffortIsWork(t *testing.T) {
	require.Equal(t, Work(0), EffortMilli(0))
	require.Equal(t, Work(0), EffortMilli(-5))
	require.Equal(t, 20*EffortMilli(50), EffortMilli(1000))
	require.Equal(t, Work(math.MaxInt64), EffortMilli(math.MaxInt64))
}

// Each way a plan can be wrong is found.
func TestRecountFindsFaults(t *testing.T) {
	p := Problem{Pieces: []Piece{{8, 12}, {4, 6}}, Stock: []Stock{{10, 9}, {20, 16}}}
	for name, spoil := range map[string]func(*Plan){
		"a piece short":      func(x *Plan) { x.Patterns[0].Pieces[1].Count = 0 },
		"a piece too many":   func(x *Plan) { x.Patterns[0].Pieces[0].Count = 3 },
		"overfilled":         func(x *Plan) { x.Patterns[0].Stock = 0 },
		"no such stock":      func(x *Plan) { x.Patterns[0].Stock = 2 },
		"times":              func(x *Plan) { x.Patterns[0].Times = 5 },
		"times 0":            func(x *Plan) { x.Patterns[0].Times = 0 },
		"drop":               func(x *Plan) { x.Patterns[0].Drop = 1 },
		"cost":               func(x *Plan) { x.Cost++ },
		"bought":             func(x *Plan) { x.Bought-- },
		"bound over cost":    func(x *Plan) { x.LeastCost++ },
		"proven without":     func(x *Plan) { x.LeastCost-- },
		"length not wanted":  func(x *Plan) { x.Patterns[0].Pieces[1].Length = 3 },
		"order":              func(x *Plan) { q := x.Patterns[0].Pieces; q[0], q[1] = q[1], q[0] },
		"pattern left out":   func(x *Plan) { x.Patterns = nil },
		"nothing in pattern": func(x *Plan) { x.Patterns = append(x.Patterns, Pattern{Times: 1}) },
	} {
		plan := solved(t, p, 100)
		require.NoError(t, Recount(p, plan))
		spoil(&plan)
		require.Error(t, Recount(p, plan), name)
	}
}
