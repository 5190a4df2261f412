package sheet

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Every control sum passes on whole jobs and on random ones; a missing price is the only one that may fail.
func TestControlSumsPass(t *testing.T) {
	requirePasses := func(name string, book []byte) {
		f := openRaw(t, book)
		rows, err := f.GetRows(tabChecks)
		require.NoError(t, err)
		n := 0
		for _, r := range rows[headRow:] {
			if len(r) < 6 {
				continue
			}
			n++
			if r[2] != "no item is without a price" && r[0] != checkPass {
				t.Errorf("%s: %s: %s against %s", name, r[2], r[4], r[5])
			}
		}
		require.GreaterOrEqual(t, n, 15)
	}
	for name, path := range jobFiles(t) {
		book, _ := priceFile(t, path)
		requirePasses(name, book)
	}
	n := 100
	if testing.Short() {
		n = 10
	}
	for _, j := range drawnPriced(t, 9001, n) {
		requirePasses(j.name(), j.priced)
	}
}
