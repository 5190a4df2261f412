package pricing

import (
	"fmt"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// netPlaces are the decimals of a net (P-UNIT), as of a takeoff line.
const netPlaces = 9

// factor is P-UNIT: q in from is q × times / over in to. Beside what unit.Convert knows, a length is a number of pieces of
// that length, and a length of bar is its nominal mass (P-BARS).
func factor(from, to unit.Unit, piece length.Length, bar *takeoff.Bar) (times, over decimal.Decimal, ok bool) {
	if times, over, ok = unit.Convert(from, to); ok || from.Dimension() != unit.Length {
		return times, over, ok
	}
	switch to.Dimension() {
	case unit.Count:
		if piece <= 0 {
			return times, over, false
		}
		run := from.Of(exact.Len(piece)) // pieces of 16': 1 and 16
		if d := fraction(run); exact.Dec(d).Cmp(run) == 0 {
			return one, d, true
		}
		times, over = unit.Ratio(exact.Int(1).Div(run))
		return times, over, true
	case unit.Mass:
		if bar == nil {
			return times, over, false
		}
		times, over = unit.Ratio(bar.MassOf(from.Base()).Div(to.Base()))
		return times, over, true
	}
	return times, over, false
}

// convert is round(q × times / over, 9).
func convert(q, times, over decimal.Decimal) decimal.Decimal {
	if over.Equal(one) {
		if times.Equal(one) {
			return plain(q.Round(netPlaces))
		}
		return plain(q.Mul(times).Round(netPlaces))
	}
	return plain(exact.Dec(q).Mul(exact.Dec(times)).Div(exact.Dec(over)).Round(netPlaces))
}

// articles name a dimension in a message.
var articles = map[unit.Dimension]string{
	unit.Count: "a count", unit.Length: "a length", unit.Area: "an area", unit.Volume: "a volume", unit.Mass: "a mass",
	unit.Time: "a time", unit.Period: "a rental period", unit.Sum: "a lump sum",
}

// mismatch says why an item in from cannot be in to: "concrete-wall is a volume; 'sqft' is an area".
func mismatch(item string, from, to unit.Unit) string {
	switch {
	case from.Dimension() == unit.Count && to.Dimension() == unit.Count:
		return fmt.Sprintf("%s is counted by the %s; '%s' is another pack", item, from, to)
	case from.Dimension() == unit.Length && to.Dimension() == unit.Count:
		return fmt.Sprintf("%s is a length; '%s' is a count and needs a Length", item, to)
	}
	return fmt.Sprintf("%s is %s; '%s' is %s", item, articles[from.Dimension()], to, articles[to.Dimension()])
}
