package cutting

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Two patterns: 3 times 2 of 40 and 1 of 20, once 1 of 40. Of seven 40s five are for lot 0 and two for lot 2: the first
// pattern cuts six, all five of lot 0 and one of lot 2, the second the other one.
func TestAllot(t *testing.T) {
	patterns := []Pattern{
		{Times: 3, Pieces: []Piece{{40, 2}, {20, 1}}},
		{Times: 1, Pieces: []Piece{{40, 1}}},
	}
	have := Allot(patterns, []Lot{{40, 5}, {20, 3}, {40, 2}, {30, 0}})
	require.Equal(t, [][][]Share{
		{{{0, 5}, {2, 1}}, {{1, 3}}},
		{{{2, 1}}},
	}, have)
}

// Laws: every piece cut has one purpose, and every lot gets all its pieces.
func TestAllotSharesEveryPiece(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Problem{Stock: []Stock{{100, 1}}}
		var lots []Lot
		for range rapid.IntRange(1, 12).Draw(t, "lots") {
			l := Lot{rapid.Int64Range(5, 60).Draw(t, "length"), rapid.Int64Range(0, 9).Draw(t, "count")}
			lots = append(lots, l)
			p.Pieces = append(p.Pieces, Piece(l))
		}
		plan, err := Solve(p, EffortMilli(1))
		require.NoError(t, err)
		got := make([]int64, len(lots))
		for i, shares := range Allot(plan.Patterns, lots) {
			require.Len(t, shares, len(plan.Patterns[i].Pieces))
			for k, of := range shares {
				x := plan.Patterns[i].Pieces[k]
				n := int64(0)
				for _, s := range of {
					require.Equal(t, x.Length, lots[s.Lot].Length)
					require.Positive(t, s.Count)
					n += s.Count
					got[s.Lot] += s.Count
				}
				require.Equal(t, x.Count*plan.Patterns[i].Times, n)
			}
		}
		for i, l := range lots {
			require.Equal(t, l.Count, got[i])
		}
	})
}
