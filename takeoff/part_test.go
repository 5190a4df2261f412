package takeoff

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A job counted in pieces is the job counted in one, to the last field and the order of every row: 40 walls in closed runs
// of four, cut into pieces of one run, of two, and of all.
func TestPiecesAreTheWhole(t *testing.T) {
	s := bigSite(40)
	counted := func(walls int) *Takeoff { return InPieces(s.job, walls) }
	whole := counted(40)
	require.Equal(t, allText(Compute(s.job)), allText(whole))
	for _, walls := range []int{1, 5} {
		require.Equal(t, allText(whole), allText(counted(walls)))
	}
	g, _ := Trace(s.job)
	require.Len(t, g.pieces(1), 10)
	require.Len(t, g.pieces(5), 5)
	require.Len(t, g.pieces(1000), 1)
}

// allText is all of a takeoff but its geometry, as text.
func allText(t *Takeoff) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%+v\n%+v\n%+v\n%+v\n%+v\n%+v\n", t.Drivers, t.Bars, t.Courses, t.Braces, t.ByArea, t.Findings)
	for i := range t.Lines {
		l := &t.Lines[i]
		fmt.Fprintln(&b, l.Wall, l.Opening, l.Level, l.Pour, l.Item, l.Quantity, l.Unit, l.How.String(), l.Rule, l.At)
	}
	for i := range t.Cuts {
		c := &t.Cuts[i]
		fmt.Fprintln(&b, c.Item, c.Level, c.Pour, c.Problem, c.Plan, c.Uses, c.RuleOfThumb)
	}
	for _, p := range t.Pours {
		fmt.Fprintln(&b, p.Pour, p.WallOrder, p.FootingOrder, p.Trucks, p.PumpHours, p.Dates)
	}
	return b.String()
}

// What goes wrong in a piece reaches whoever asked for the takeoff, on their own goroutine: a folder of jobs goes on.
func TestTroubleInAPiece(t *testing.T) {
	s := bigSite(8)
	g, _ := Trace(s.job)
	g.Walls[5].Zones = nil
	require.Panics(t, func() { newPass(s.job, g, nil).countPieces(g.pieces(4)) })
}
