package pricing

import (
	"sort"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/unit"
)

// rates reads the settings of the build-up. A profit of all the price or more is an error: no price can carry it.
func (p *pricer) rates() {
	s := p.job.Settings
	r := Rates{
		SalesTax:      fraction(s.Num(takeoff.SetSalesTax)),
		Contingency:   fraction(s.Num(takeoff.SetContingency)),
		Overhead:      fraction(s.Num(takeoff.SetOverhead)),
		Profit:        fraction(s.Num(takeoff.SetProfit)),
		Bond:          fraction(s.Num(takeoff.SetBond)),
		ProfitOnPrice: s.Word(takeoff.SetProfitOn) == "price",
		RoundTo:       decimal.New(1, -p.job.MinorDigits),
	}
	if v := s.Value(takeoff.SetRoundBidTo); !v.Blank && v.Num.Sign() > 0 {
		r.RoundTo = fraction(v.Num)
	}
	if r.ProfitOnPrice && r.Profit.GreaterThanOrEqual(one) {
		p.bid.Findings = append(p.bid.Findings, takeoff.Finding{Severity: takeoff.Error, At: s.Value(takeoff.SetProfit).At, Rule: "P-BID",
			Subject: "Profit", Cell: s.Value(takeoff.SetProfit).Text, Message: "a profit of 100% of the price or more leaves nothing for the cost", Accepted: "below 100%, or Profit on cost"})
		r.Profit = decimal.Decimal{}
	}
	p.bid.Rates = r
}

// buildUp is P-BID: from direct cost and taxable extensions to the bid total, each step rounded to the minor unit.
func buildUp(direct, taxable decimal.Decimal, r Rates, minor int32) Totals {
	t := Totals{Direct: direct, Taxable: taxable}
	t.Tax = taxable.Mul(r.SalesTax).Round(minor)
	sum := direct.Add(t.Tax)
	t.Contingency = sum.Mul(r.Contingency).Round(minor)
	sum = sum.Add(t.Contingency)
	t.Overhead = sum.Mul(r.Overhead).Round(minor)
	t.Cost = sum.Add(t.Overhead)
	t.Profit = t.Cost.Mul(r.Profit).Round(minor)
	if r.ProfitOnPrice {
		t.Profit = exact.Dec(t.Cost).Mul(exact.Dec(r.Profit)).Div(exact.Dec(one.Sub(r.Profit))).Round(minor)
	}
	sum = t.Cost.Add(t.Profit)
	t.Bond = sum.Mul(r.Bond).Round(minor)
	sum = sum.Add(t.Bond)
	t.BidTotal = plain(exact.Dec(sum).Div(exact.Dec(r.RoundTo)).Round(0).Mul(r.RoundTo))
	t.Rounding = t.BidTotal.Sub(sum)
	return t
}

// places works out what of each item belongs to which level and pour, by its takeoff lines; concrete by pour by the
// pours' orders.
func (p *pricer) places() {
	minor := p.job.MinorDigits
	for i := range p.bid.Items {
		it, t := &p.bid.Items[i], p.tallies[i]
		it.LevelAll, it.Levels = p.shares(it, t, func(q *part) *spread { return &q.levels })
		if c := p.concrete[it.Key]; c != nil {
			it.PourAll = c.total.total()
			for k, place := range c.pours.places {
				it.Pours = append(it.Pours, Share{Place: place, Base: c.pours.sums[k].total()})
			}
			if beside, ok := p.besideOrders(t, it.TakeoffUnit); ok {
				it.PourAll = it.PourAll.Add(beside)
			}
		} else {
			it.PourAll, it.Pours = p.shares(it, t, func(q *part) *spread { return &q.pours })
		}
		for _, s := range [][]Share{it.Levels, it.Pours} {
			sort.Slice(s, func(a, b int) bool { return s[a].Place < s[b].Place })
		}
		if it.Extension != nil && !it.Extension.IsZero() {
			divide(*it.Extension, it.LevelAll, it.Levels, minor)
			divide(*it.Extension, it.PourAll, it.Pours, minor)
		}
	}
}

// besideOrders is what a concrete item has beside the pours' orders, in the job's unit of volume.
func (p *pricer) besideOrders(t *tally, to unit.Unit) (decimal.Decimal, bool) {
	var total sum
	for i := range t.parts {
		q := &t.parts[i]
		times, over, ok := factor(q.unit, to, 0, nil)
		if !ok {
			return decimal.Decimal{}, false
		}
		total.add(convert(q.loose.total().Add(q.factor.total()), times, over))
	}
	return total.total(), true
}

// shares are an item's quantities by place, all of them together first; lines of several units are converted to the row's.
func (p *pricer) shares(it *Item, t *tally, pick func(*part) *spread) (all decimal.Decimal, out []Share) {
	if !t.mixed() && len(t.parts) > 0 {
		if len(t.parts) == 1 {
			s := pick(&t.parts[0])
			out = make([]Share, len(s.places))
			for k, place := range s.places {
				out[k] = Share{Place: place, Base: s.sums[k].total()}
			}
			return t.sum(), out
		}
	}
	var total spread
	var sumAll sum
	bar, _ := barSize(t.key)
	it.Mixed = it.Mixed || t.mixed()
	for i := range t.parts {
		q := &t.parts[i]
		times, over := one, one
		if it.Mixed {
			var ok bool
			if times, over, ok = factor(q.unit, it.Unit, it.Length, bar); !ok {
				continue
			}
		}
		sumAll.add(convert(q.sum.total(), times, over))
		s := pick(q)
		for k, place := range s.places {
			total.add(place, convert(s.sums[k].total(), times, over))
		}
	}
	for k, place := range total.places {
		out = append(out, Share{Place: place, Base: total.sums[k].total()})
	}
	return sumAll.total(), out
}

// divide is round(extension × base / all, minor unit) of each share; with nothing in all, nothing belongs anywhere.
func divide(extension, all decimal.Decimal, shares []Share, minor int32) {
	if all.IsZero() {
		return
	}
	per := exact.Dec(extension).Div(exact.Dec(all))
	for i := range shares {
		shares[i].Amount = per.Mul(exact.Dec(shares[i].Base)).Round(minor)
	}
}

// totals is the bid's build-up with its subtotals, and the alternates' bids.
func (p *pricer) totals() {
	b := p.bid
	minor := p.job.MinorDigits
	items, taxable := decimal.Decimal{}, decimal.Decimal{}
	kinds, groups := amounts{}, amounts{}
	levels := make([]decimal.Decimal, len(p.book.levels.names))
	pours := make([]decimal.Decimal, len(p.book.pours.names))
	for i := range b.Items {
		it := &b.Items[i]
		if it.Extension == nil {
			continue
		}
		items = items.Add(*it.Extension)
		if it.Taxable {
			taxable = taxable.Add(*it.Extension)
		}
		kinds.add(it.Kind, *it.Extension)
		groups.add(it.Group, *it.Extension)
		for _, s := range it.Levels {
			levels[s.Place] = levels[s.Place].Add(s.Amount)
		}
		for _, s := range it.Pours {
			pours[s.Place] = pours[s.Place].Add(s.Amount)
		}
	}
	extras := extraTotal(b.Extras)
	direct := items.Add(extras)
	b.Totals = buildUp(direct, taxable, b.Rates, minor)
	b.Totals.Items, b.Totals.Extras = items, extras
	if len(b.Extras) > 0 {
		kinds.add(KindExtra, extras)
		groups.add(KindExtra, extras)
	}
	b.Totals.ByKind = kinds.sorted(kindRank)
	b.Totals.ByGroup = groups.sorted(groupRank)
	b.Totals.ByLevel = placed(p.book.levels.names, levels, direct)
	b.Totals.ByPour = placed(p.book.pours.names, pours, direct)
	for i := range b.Alternates {
		a := &b.Alternates[i]
		if a.Extension == nil {
			continue
		}
		a.Totals = buildUp(direct.Add(*a.Extension), taxable, b.Rates, minor)
		total := a.Totals.BidTotal
		a.BidTotal = &total
	}
}

// amounts are sums of money by name.
type amounts map[string]decimal.Decimal

func (a amounts) add(name string, d decimal.Decimal) { a[name] = a[name].Add(d) }

func (a amounts) sorted(rank func(string) int) []Amount {
	out := make([]Amount, 0, len(a))
	for name, d := range a {
		out = append(out, Amount{name, d})
	}
	sort.Slice(out, func(i, j int) bool {
		if x, y := rank(out[i].Name), rank(out[j].Name); x != y {
			return x < y
		}
		return out[i].Name < out[j].Name
	})
	return out
}

// kindRank is the order of kinds as the schedule names them, extras last.
func kindRank(kind string) int {
	for i, k := range [...]string{KindMaterial, KindLabor, "equipment", "rental", "subcontract"} {
		if k == kind {
			return i
		}
	}
	if kind == KindExtra {
		return 99
	}
	return 98
}

// groupRank puts rows without a group after all groups, extras last.
func groupRank(group string) int {
	switch group {
	case NoGroup:
		return 1
	case KindExtra:
		return 2
	}
	return 0
}

// placed are the amounts by place with what belongs to none, under job, last.
func placed(names []string, sums []decimal.Decimal, direct decimal.Decimal) []Amount {
	out := make([]Amount, 0, len(names)+1)
	rest := direct
	for i, name := range names {
		out = append(out, Amount{name, sums[i]})
		rest = rest.Sub(sums[i])
	}
	return append(out, Amount{JobShare, rest})
}

// labourPlaces are the decimals of hours per area.
const labourPlaces = 4

// perUnit are the figures an estimator checks a bid by: the total per area, length and volume, and labour hours per area.
func (p *pricer) perUnit() {
	drivers := map[string]takeoff.Driver{}
	for _, d := range p.t.Drivers {
		drivers[d.Name] = d
	}
	hours := decimal.Decimal{}
	for i := range p.bid.Items {
		if it := &p.bid.Items[i]; it.Kind == KindLabor && it.Unit.Dimension() == unit.Time {
			hours = hours.Add(it.Order)
		}
	}
	u := p.t.Units
	volume := drivers["wall-concrete"].Quantity.Add(drivers["footing-concrete"].Quantity)
	figure := func(name, driver string, by decimal.Decimal, of unit.Unit) {
		f := Figure{Name: name, Places: p.job.MinorDigits, Of: p.bid.Totals.BidTotal, By: by, Driver: driver, Unit: of, IsMoney: true}
		p.bid.PerUnit = append(p.bid.PerUnit, f.divided())
	}
	figure("bid per "+string(u.Area)+" of gross wall", "wall-area", drivers["wall-area"].Quantity, u.Area)
	figure("bid per "+string(u.Area)+" of net wall", "form-area", drivers["form-area"].Quantity, u.Area)
	figure("bid per "+string(u.Length)+" of wall", "wall-length", drivers["wall-length"].Quantity, u.Length)
	figure("bid per "+string(u.Volume)+" of concrete", "wall-concrete + footing-concrete", volume, u.Volume)
	labour := Figure{Name: "labour hours per " + string(u.Area) + " of gross wall", Places: labourPlaces, Of: hours, By: drivers["wall-area"].Quantity,
		Driver: "wall-area", Unit: u.Area, OfLabour: true}
	p.bid.PerUnit = append(p.bid.PerUnit, labour.divided())
}

// divided is the figure with its amount, where there is something to divide by.
func (f Figure) divided() Figure {
	if f.By.IsPositive() {
		a := exact.Dec(f.Of).Div(exact.Dec(f.By)).Round(f.Places)
		f.Amount = &a
	}
	return f
}
