package takeoff

import (
	"testing"

	"github.com/stretchr/testify/require"

	"wallbill/takeoff/length"
)

// Hand-worked: between exterior corners of 6in walls (10 1/2" thick) the inner face of 24' is 22'-3". Two floors:
// 44'-6" of board; brackets floor(22'-3"/16") + 1 = 16 + 1 = 17 each.
func TestLedgers(t *testing.T) {
	s := newSite()
	s.set(SetLedgerBracketSpacing, `16"`)
	for _, m := range []string{"N", "E", "S", "W"} {
		s.wall("A", m, "24", "20", "6in", "corner", func(w *Wall) {
			if m == "N" {
				w.Ledgers = []length.Length{ft("9"), ft("18")}
			}
		})
	}
	out := s.takeoff(t)
	require.Equal(t, []string{"44.5", "34", "44.5"}, []string{out.sum("N", "ledger-board"), out.sum("N", "ledger-bracket"), out.driver("ledger-length")})
	require.Equal(t, "0", out.sum("E", "ledger-board"))

	// 8in below 10', 6in above: at 9' the inner face is 24' less 2 × 1'-0 1/2", at 10' and above less 2 × 10 1/2".
	s = newSite()
	s.set(SetLedgerBracketSpacing, `16"`)
	for _, m := range []string{"N", "E", "S", "W"} {
		s.wall("A", m, "24", "20", "8in", "corner", func(w *Wall) {
			w.FormsAbove, w.CoreAbove, w.CoreChange = s.form("6in"), ft("6in"), ft("10")
			if m == "N" {
				w.Ledgers = []length.Length{ft("9"), ft("18")}
			}
		})
	}
	out = s.takeoff(t)
	require.Equal(t, []string{"44.166666667", "34"}, []string{out.driver("ledger-length"), out.sum("N", "ledger-bracket")})
}

func TestLedgerWithoutTheEngineersSpacing(t *testing.T) {
	s := newSite()
	s.wall("A", "W", "24", "20", "6in", "end", open("end"), func(w *Wall) { w.Ledgers = []length.Length{ft("9")} })
	out := Compute(s.job)
	require.True(t, HasErrors(out.Findings))
	require.Equal(t, []string{"error Floor ledger at, wall W: the job gives no Ledger bracket spacing: the engineer's number goes on tab Job"}, out.notes("R-LEDGER"))
}
