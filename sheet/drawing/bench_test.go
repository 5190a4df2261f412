package drawing

import (
	"bytes"
	"fmt"
	"io"
	"testing"
	"time"
)

// estate is a job of n walls in closed runs of four.
func estate(n int) *site {
	s := newSite("Estate")
	f, m := s.footing("S1", `1'-10"`, `9"`), s.bars("V1")
	for i := range n {
		run, side := i/4, i%4
		long := []string{"33", `21'-4"`, "33", `21'-4"`}[side]
		mark := fmt.Sprintf("W%d", i+1)
		s.wall(fmt.Sprintf("R%d", run), mark, long, `7'-6"`, "6in", "corner", on(fmt.Sprintf("L%d", run%5), fmt.Sprintf("P%d", run%20)), with(m, f))
		if i%10 < 3 {
			s.opening("D", mark, "3", `6'-8"`, "0", "5", 1)
		}
	}
	return s
}

func BenchmarkDraw(b *testing.B) {
	t := estate(1000).takeoff(b)
	sheets := All(t)
	plan, wall := sheets[0], sheets[len(sheets)-1]
	b.Run("lay out 1000 walls", func(b *testing.B) {
		for b.Loop() {
			All(t)
		}
	})
	for name, s := range map[string]*Sheet{"plan": plan, "elevation": wall} {
		for format, write := range map[string]func(io.Writer) error{"PNG": s.PNG, "SVG": s.SVG, "PDF": func(w io.Writer) error { return PDF(w, "x", time.Time{}, []*Sheet{s}) }} {
			b.Run(format+" of "+name, func(b *testing.B) {
				var w bytes.Buffer
				for b.Loop() {
					w.Reset()
					if err := write(&w); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(float64(w.Len())/1000, "kB")
			})
		}
	}
	b.Run("PDF of all", func(b *testing.B) {
		for b.Loop() {
			if err := PDF(io.Discard, "x", time.Time{}, sheets); err != nil {
				b.Fatal(err)
			}
		}
	})
}
