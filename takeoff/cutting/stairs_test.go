package cutting

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A row kept as stairs is cell by cell the row written out: the same sums, in the same order.
func TestStairsAreTheRowWrittenOut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		width := rapid.IntRange(1, 400).Draw(t, "cells")
		cells := make([]float64, width)
		var climb climber[float64]
		climb.flat()
		for range rapid.IntRange(1, 8).Draw(t, "lines") {
			w := rapid.IntRange(0, 450).Draw(t, "length")
			most := rapid.Int64Range(1, 30).Draw(t, "most")
			v := rapid.Float64Range(0, 1).Draw(t, "value")
			fillRow(cells, w, most, v)
			row := climb.fill(width, w, most, v)
			written := make([]float64, width)
			row.write(written)
			require.Equal(t, cells, written)
			for c := range cells {
				require.Equal(t, cells[c], row.at(c))
			}
		}
	})
}
