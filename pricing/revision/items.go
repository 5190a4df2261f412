package revision

import (
	"strconv"

	"github.com/shopspring/decimal"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/unit"
)

// convertedPlaces are the decimals of an old quantity or price put into another unit (P-UNIT).
const convertedPlaces = 9

// compareItems is section 2: the items whose order, price or extension changed, in the new run's order, those that are
// gone after them; and the totals beside the items.
func compareItems(old, new *Run) ([]ItemChange, []Difference) {
	was := map[string]*Line{}
	for i := range old.Lines {
		if l := &old.Lines[i]; l.Kind != pricing.KindExtra {
			was[lineKey(l)] = l
		}
	}
	var all []ItemChange
	met := map[*Line]bool{}
	for i := range new.Lines {
		l := &new.Lines[i]
		if l.Kind == pricing.KindExtra {
			continue
		}
		o := was[lineKey(l)]
		if o == nil {
			all = append(all, change(nil, l))
			continue
		}
		met[o] = true
		in, ok := inUnit(o, l.Unit)
		if !ok { // no common unit: one item went, another came
			all = append(all, change(o, nil), change(nil, l))
			continue
		}
		if c := change(in, l); !c.same() {
			all = append(all, c)
		}
	}
	for i := range old.Lines {
		if l := &old.Lines[i]; l.Kind != pricing.KindExtra && !met[l] {
			all = append(all, change(l, nil))
		}
	}
	var differences []Difference
	for _, name := range rest {
		differences = append(differences, Difference{Name: name, Old: old.Total(name), New: new.Total(name)})
	}
	return all, differences
}

// lineKey is what an item is the same by: its name, stock length, and the period of a rental.
func lineKey(l *Line) string {
	k := takeoff.ItemKey(l.Item) + "\x1f" + strconv.FormatInt(int64(l.Length), 10)
	if l.Unit.Dimension() == unit.Period {
		k += "\x1f" + string(l.Unit)
	}
	return k
}

// inUnit is a line with its order and price in another unit.
func inUnit(l *Line, to unit.Unit) (*Line, bool) {
	if l.Unit == to {
		return l, true
	}
	times, over, ok := unit.Convert(l.Unit, to)
	if !ok || times.IsZero() || over.IsZero() {
		return nil, false
	}
	c := *l
	c.Unit = to
	c.Order = plain(exact.Dec(l.Order).Mul(exact.Dec(times)).Div(exact.Dec(over)).Round(convertedPlaces))
	if l.Price != nil {
		p := plain(exact.Dec(*l.Price).Mul(exact.Dec(over)).Div(exact.Dec(times)).Round(convertedPlaces))
		c.Price = &p
	}
	return &c, true
}

// change is what became of an item; nil where a run has it not. A new item's old price is its price, a gone one's new
// price the one it had: they moved in quantity alone. An item without a price counts as price 0.
func change(old, new *Line) ItemChange {
	c := ItemChange{}
	set := func(l *Line) { c.Item, c.Length, c.Unit = l.Item, l.Length, l.Unit }
	if old != nil {
		set(old)
		c.Q0, c.P0, c.Old = old.Order, old.Price, amountOf(old.Extension)
	}
	if new != nil {
		set(new)
		c.Q1, c.P1, c.New = new.Order, new.Price, amountOf(new.Extension)
	}
	switch {
	case old == nil:
		c.P0 = c.P1
	case new == nil:
		c.P1 = c.P0
	}
	c.Quantity, c.PriceOnly = pricing.Effects(c.Q0, amountOf(c.P0), c.Q1, amountOf(c.P1))
	c.Quantity, c.PriceOnly = plain(c.Quantity), plain(c.PriceOnly)
	c.Rounding = plain(c.New.Sub(c.Old).Sub(c.Quantity).Sub(c.PriceOnly))
	return c
}

// same tells whether order, price and extension are what they were.
func (c *ItemChange) same() bool {
	priced := (c.P0 == nil) == (c.P1 == nil)
	return c.Q0.Equal(c.Q1) && priced && amountOf(c.P0).Equal(amountOf(c.P1)) && c.Old.Equal(c.New)
}

func amountOf(d *decimal.Decimal) decimal.Decimal {
	if d == nil {
		return decimal.Decimal{}
	}
	return *d
}
