package takeoff

import (
	"fmt"
	"github.com/shopspring/decimal"
	"testing"
)

// bigSite is a job of n walls in closed runs of four, with 0.3 openings a wall, bars, footings and membrane.
func bigSite(n int) *site {
	s := newSite()
	f := s.footing("S1", `1'-10"`, `9"`, true)
	m := &BarMark{
		Mark: "V1", Layers: 1, Vertical: BarBySize("#4"), VerticalSpacing: ft(`1'-6"`), Horizontal: BarBySize("#4"), HorizontalSpacing: ft(`2'-6"`),
		TopWithin: ft(`12"`), BottomWithin: ft(`12"`), Cover: ft(`2"`), LapDiameters: decimal60, Dowel: BarBySize("#4"), Jamb: BarBySize("#4"), JambBars: 2,
		Lintel: BarBySize("#5"), LintelTop: 1, LintelBottom: 2, LintelDepth: ft(`16"`), PastOpening: ft(`24"`), Stirrup: BarBySize("#3"),
		StirrupSpacing: ft(`7"`), SillBars: 1,
	}
	for i := range n {
		run, side := i/4, i%4
		long := []string{"33", `21'-4"`, "33", `21'-4"`}[side]
		mark := fmt.Sprintf("W%d", i+1)
		s.wall(fmt.Sprintf("R%d", run), mark, long, `7'-6"`, "6in", "corner", grade("6", "4", CoverMembrane), func(w *Wall) {
			w.Footing, w.Bars, w.Level, w.Pour, w.PourAbove = f, m, fmt.Sprintf("L%d", run%5), fmt.Sprintf("P%d", run%20), fmt.Sprintf("P%d", run%20)
		})
		if i%10 < 3 {
			s.opening("D", mark, "3", `6'-8"`, "0", "5", 1)
		}
	}
	return s
}

var benchTakeoff *Takeoff

func BenchmarkCompute(b *testing.B) {
	for _, n := range []int{40, 1000, 10000} {
		b.Run(fmt.Sprintf("walls=%d", n), func(b *testing.B) {
			s := bigSite(n)
			b.ReportAllocs()
			for b.Loop() {
				benchTakeoff = Compute(s.job)
			}
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/float64(n), "µs/wall")
			b.ReportMetric(float64(len(benchTakeoff.Lines)), "lines")
		})
	}
}

var decimal60 = decimal.NewFromInt(60)
