package pricing

import (
	"testing"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// Outside values, as published in two cost-accounting textbooks' answers (variance analysis; favourable is negative here):
// SQ 430 at 6.90, AQ 450 at 6.50: quantity +138, price −180, total −42. SQ 185,000 lb at 6.00, AQ 183,200 lb at 5.80:
// quantity −10,800, price −36,640, total −47,440.
func TestEffectsPublished(t *testing.T) {
	q, p := Effects(dec("430"), dec("6.90"), dec("450"), dec("6.50"))
	same(t, "138", q)
	same(t, "-180", p)
	same(t, "-42", q.Add(p))
	q, p = Effects(dec("185000"), dec("6.00"), dec("183200"), dec("5.80"))
	same(t, "-10800", q)
	same(t, "-36640", p)
	same(t, "-47440", q.Add(p))
}

func TestEffectsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := func(name string) decimal.Decimal { return decimal.New(rapid.Int64Range(0, 1e9).Draw(t, name), -4) }
		q0, p0, q1, p1 := n("q0"), n("p0"), n("q1"), n("p1")
		q, p := Effects(q0, p0, q1, p1)
		if want := q1.Mul(p1).Sub(q0.Mul(p0)); !q.Add(p).Equal(want) {
			t.Fatalf("%s and %s are not %s", q, p, want)
		}
	})
}
