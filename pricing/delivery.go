package pricing

import (
	"sort"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
)

// Delivery is what comes of a concrete for one pour, in the unit of its order: how much, on which day, in how many loads.
type Delivery struct {
	Pour      string       // empty: what belongs to no pour
	Date      takeoff.Date // blank: the pour has no typed date
	Needed    decimal.Decimal
	Ordered   decimal.Decimal // what was ordered so far goes to the first deliveries first
	ToOrder   decimal.Decimal
	Loads     int64
	ShortLoad decimal.Decimal // what short loads lack of the least load, all together; 0: none is short
}

// deliveries parts an order of concrete by pour, as the pour plan has it (R-TRUCK), the first day first.
func (p *pricer) deliveries(it *Item, ordered decimal.Decimal) []Delivery {
	times, over, ok := factor(it.TakeoffUnit, it.Unit, 0, nil)
	if !ok {
		return nil
	}
	least := p.t.Units.Volume.Of(p.job.Settings.Num(takeoff.SetShortLoadUnder))
	var out []Delivery
	rest := it.Order
	for i := range p.t.Pours {
		plan := &p.t.Pours[i]
		volume := decimal.Decimal{}
		if takeoff.ItemKey(plan.WallItem) == it.Key {
			volume = volume.Add(plan.WallOrder)
		}
		if takeoff.ItemKey(plan.FootingItem) == it.Key {
			volume = volume.Add(plan.FootingOrder)
		}
		if !volume.IsPositive() {
			continue
		}
		d := Delivery{Pour: plan.Pour, Needed: convert(volume, times, over)}
		rest = rest.Sub(d.Needed)
		short := exact.Num{}
		for _, l := range plan.Loads {
			if takeoff.ItemKey(l.Item) != it.Key {
				continue
			}
			d.Loads += l.Count
			if l.Short {
				short = short.Add(least.Sub(exact.Dec(l.Each)).Times(l.Count))
			}
		}
		d.ShortLoad = convert(short.Quantity(), times, over)
		if dates, ok := p.cal.Of(plan.Pour); ok && !dates.PourAssumed {
			d.Date = dates.Pour
		}
		out = append(out, d)
	}
	sort.SliceStable(out, func(i, j int) bool {
		x, y := &out[i].Date, &out[j].Date
		if x.IsZero() != y.IsZero() {
			return y.IsZero()
		}
		return !x.IsZero() && x.Day() < y.Day()
	})
	switch {
	case len(out) == 0 || rest.GreaterThan(decimal.New(1, -orderPlaces)):
		if rest.IsPositive() {
			out = append(out, Delivery{Needed: plain(rest)})
		}
	case rest.IsPositive(): // each pour was rounded
		out[len(out)-1].Needed = out[len(out)-1].Needed.Add(rest)
	default: // rounded, or taken out by extras of no pour
		for i := len(out) - 1; i >= 0 && rest.IsNegative(); i-- {
			q := decimal.Min(out[i].Needed, rest.Neg())
			out[i].Needed, rest = out[i].Needed.Sub(q), rest.Add(q)
		}
	}
	for i := range out {
		d := &out[i]
		d.Ordered = decimal.Min(ordered, d.Needed)
		ordered = ordered.Sub(d.Ordered)
		d.ToOrder = plain(d.Needed.Sub(d.Ordered))
	}
	return out
}
