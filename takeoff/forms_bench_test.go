package takeoff

import (
	"fmt"
	"testing"

	"github.com/shopspring/decimal"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// manyWalls is a job of that many walls in closed runs of four, half of them with a door or windows.
func manyWalls(n int) *site {
	s := newSite()
	f := s.footing("S1", `1'-10"`, `9"`, true)
	s.job.Parts = append(s.job.Parts,
		&PartRow{Line: "M", Part: "tie", Counted: "tie row", Rows: 1, Spacing: ft(`8"`), Each: decimal.NewFromInt(1), At: Ref{Tab: "Parts", Row: 2}},
		&PartRow{Line: "M", Part: "cap", Counted: "top", Spacing: ft(`2'`), Each: decimal.NewFromInt(1), At: Ref{Tab: "Parts", Row: 3}})
	for i := range n {
		side := 20*length.Foot + length.Length((i/4*7+i%2*13)%97)*length.Inch
		w := s.wall(fmt.Sprint("R", i/4), fmt.Sprint("W", i), "20", "9", "8in", "corner", grade("4", "4", CoverMembrane))
		w.Length, w.Footing, w.Level = side, f, fmt.Sprint("L", i/1000)
		switch i % 4 {
		case 1:
			s.opening("D", w.Mark, "3", "7", "0", "6", 1)
		case 2:
			s.opening("G", w.Mark, "3", "4", "3", "", 2)
		}
	}
	return s
}

func BenchmarkTenThousandWalls(b *testing.B) {
	job := manyWalls(10_000).job
	for b.Loop() {
		Compute(job)
	}
}

func BenchmarkFormsOfTenThousandWalls(b *testing.B) {
	job := manyWalls(10_000).job
	g, _ := Trace(job)
	for b.Loop() {
		p := &pass{job: job, set: job.Settings, units: UnitsOf(job.Report), geo: g, out: &Takeoff{}, drivers: map[driverKey]exact.Num{}}
		p.layer().forms()
	}
}
