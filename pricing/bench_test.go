package pricing

import (
	"fmt"
	"testing"

	"github.com/shopspring/decimal"

	"wallbill/takeoff/unit"
)

// BenchmarkPrice prices a job of ten thousand walls: three hundred thousand lines of sixty items in two hundred pours.
func BenchmarkPrice(b *testing.B) {
	s := newSite()
	const walls, lines, items, pours = 10_000, 30, 60, 200
	for p := range pours {
		s.pour(fmt.Sprint("P", p), fmt.Sprintf("2025-%02d-%02d", 1+p/28%12, 1+p%28), "", fmt.Sprintf("2026-%02d-%02d", 1+p/28%12, 1+p%28))
	}
	for i := range items {
		s.row(fmt.Sprint("item-", i), "ea", "1.25", pack("12"), waste("0.05"), by(fmt.Sprint("S", i%7)), perLoad("5000"))
	}
	for w := range walls {
		mark, pour := fmt.Sprint("W", w), fmt.Sprint("P", w*pours/walls)
		s.brace(mark, pour, "brace-set", 5, 8, 0, 8)
		for l := range lines {
			s.line("R-PART", fmt.Sprint("item-", (w+l)%items), decimal.New(int64(1_234_567_890+w*7+l), -9).String(), unit.Each, fmt.Sprintf("L%d/%s", 1+w%2, pour))
		}
	}
	s.row("brace-set", "day", "1")
	s.row("brace-set", "week", "4")
	s.row("plank", "week", "0.5")
	b.ResetTimer()
	b.ReportAllocs()
	for b.Loop() {
		s.price()
	}
}
