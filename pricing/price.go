package pricing

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// Price prices a takeoff: nets in the units of the price rows, orders, prices, extensions; then freight, which counts
// loads of those orders; then the build-up and what belongs to levels and pours; then the orders to place. With an error
// among the findings the bid is not to be used.
func Price(t *takeoff.Takeoff, opts Options) *Bid {
	cal := t.Calendar()
	p := &pricer{
		job: t.Job, t: t, cal: cal, book: gather(t, cal),
		bid: &Bid{Takeoff: t, Calendar: cal}, quoted: map[*takeoff.PriceRow]bool{},
	}
	p.bid.Findings = checkBreaks(p.job.Prices)
	p.readPours()
	p.readRentals()
	p.freightItems()
	p.book.sort()
	for _, it := range p.book.items {
		if !p.freight[it.key].named {
			p.item(it)
		}
	}
	p.priceFreight()
	p.extras()
	p.misspelt()
	p.rates()
	p.places()
	p.totals()
	p.perUnit()
	p.buy(opts.Today)
	p.bid.Levels, p.bid.Pours = p.book.levels.names, p.book.pours.names
	p.bid.Complete = p.bid.Unpriced == 0
	return p.bid
}

// pricer is one run of Price.
type pricer struct {
	job  *takeoff.Job
	t    *takeoff.Takeoff
	cal  *takeoff.Calendar
	book *ledger
	bid  *Bid

	concrete map[string]*concreteOrder // by item key
	stands   map[string]*standing      // by item key
	delivery *decimal.Decimal          // unbroken spans on which a brace is on rent
	freight  map[string]freightItem    // by item key
	tallies  []*tally                  // of each of bid.Items
	quoted   map[*takeoff.PriceRow]bool
	near     int // unpriced items whose near names were looked for
}

// say adds a finding.
func (p *pricer) say(s takeoff.Severity, at takeoff.Ref, rule, format string, args ...any) {
	p.bid.Findings = append(p.bid.Findings, takeoff.Finding{Severity: s, At: at, Rule: rule, Message: fmt.Sprintf(format, args...)})
}

// cell is a price row's cell in a column.
func cell(r *takeoff.PriceRow, column string) takeoff.Ref { return r.At.At(r.Columns[column]) }

// rows are an item's price rows.
func (p *pricer) rows(key string) []*takeoff.PriceRow { return p.job.PricesByItem[key] }

// item makes the rows of one item.
func (p *pricer) item(t *tally) {
	rows := p.rows(t.key)
	size, bent := barSize(t.key)
	stand := p.stands[t.key]
	switch {
	case p.concrete[t.key] != nil:
		p.concreteItem(t, rows)
	case stand != nil && len(stand.rows) > 0:
		p.rentedItem(t, stand)
	case stand != nil:
		p.bracingItem(t, stand, rows)
	case t.key == itemDelivery:
		p.deliveryItem(t, rows)
	case size != nil && bent:
		p.bentItem(t, size, rows)
	case size != nil:
		p.barItem(t, size, rows)
	case t.key == "membrane-roll" || t.key == "board-roll":
		p.sumItem(t, rows, nil, tabTakeoff)
	default:
		p.sumItem(t, rows, nil, "")
	}
}

// The tabs that plans stand on.
const (
	tabTakeoff  = "Takeoff"
	tabCuts     = "Cuts"
	tabBars     = "Bar list"
	tabPours    = "Pour plan"
	tabBracing  = "Bracing"
	tabPriced   = "Priced items"
	tabOrders   = "Orders"
	itemFreight = "freight-"
)

// sumItem is P-NET for an item that its takeoff lines sum up to; planTab is the tab of the plan that made those lines.
func (p *pricer) sumItem(t *tally, rows []*takeoff.PriceRow, bar *takeoff.Bar, planTab string) {
	row, several := p.choose(t, rows)
	it := p.start(t, row)
	it.PlanKept = several || planTab != ""
	if t.mixed() {
		net, ok := p.converted(t, row, it.Unit, bar, func(q *part) decimal.Decimal { return q.sum.total() })
		if !ok {
			it = p.start(t, nil)
			it.Unit, it.Net = t.parts[0].unit, t.parts[0].sum.total()
			p.finish(t, it)
			return
		}
		it.Planned, it.PlanTab, it.Mixed, it.PlanKept = &net, tabTakeoff, true, true
		it.Net = net
		p.finish(t, it)
		return
	}
	it.Sum = t.sum()
	if row != nil {
		times, over, ok := factor(it.TakeoffUnit, row.Unit, row.Length, bar)
		if !ok {
			p.say(takeoff.Error, cell(row, "unit"), "P-UNIT", "%s", mismatch(t.name, it.TakeoffUnit, row.Unit))
			it = p.start(t, nil)
			it.Sum = t.sum()
		} else {
			it.Times, it.Over = times, over
		}
	}
	it.Net = convert(it.Sum, it.Times, it.Over)
	if planTab != "" {
		net := it.Net
		it.Planned, it.PlanTab = &net, planTab
	}
	p.finish(t, it)
}

// choose picks the price row of an item that has one net: the only one; of several Lengths the cheapest by length, then
// the longest; of several periods the one in the unit of its lines.
func (p *pricer) choose(t *tally, rows []*takeoff.PriceRow) (row *takeoff.PriceRow, several bool) {
	switch len(rows) {
	case 0:
		return nil, false
	case 1:
		return rows[0], false
	}
	u := t.unit()
	if u.Dimension() == unit.Period {
		for _, r := range rows {
			if r.Unit == u {
				return r, true
			}
		}
	}
	if r := takeoff.CheapestByLength(rows); r != nil {
		return r, true
	}
	for _, r := range rows {
		if r.Unit.Dimension() == u.Dimension() {
			return r, true
		}
	}
	return rows[0], true
}

// converted is the sum of what is picked of each unit of an item's lines, each converted to the row's unit. Not
// convertible is an error at the row, without a row at the item's first line.
func (p *pricer) converted(t *tally, row *takeoff.PriceRow, to unit.Unit, bar *takeoff.Bar, pick func(*part) decimal.Decimal) (decimal.Decimal, bool) {
	var total sum
	piece := length.Length(0)
	at := t.at
	if row != nil {
		piece, at = row.Length, cell(row, "unit")
	}
	for i := range t.parts {
		q := pick(&t.parts[i])
		if q.IsZero() {
			continue
		}
		times, over, ok := factor(t.parts[i].unit, to, piece, bar)
		if !ok {
			if odd, ok := p.added(t, &t.parts[i]); ok {
				p.say(takeoff.Error, odd, "P-UNIT", "%s", mismatch(t.name, to, t.parts[i].unit))
			} else {
				p.say(takeoff.Error, at, "P-UNIT", "%s", mismatch(t.name, t.parts[i].unit, to))
			}
			return decimal.Decimal{}, false
		}
		total.add(convert(q, times, over))
	}
	return total.total(), true
}

// extraCell is a cell of the row of Extras that made a line.
func (p *pricer) extraCell(line int, column string) takeoff.Ref {
	at := p.t.Lines[line].At
	for _, x := range p.job.Extras {
		if x.At == at {
			return at.At(x.Columns[column])
		}
	}
	return at
}

// added is the unit's cell of the first Extras or Factors row that brings a unit to an item which is counted in another; ok
// is false where something else is counted in it.
func (p *pricer) added(t *tally, q *part) (unitCell takeoff.Ref, ok bool) {
	if len(t.parts) < 2 {
		return takeoff.Ref{}, false
	}
	switch sum := q.sum.total(); {
	case sum.Equal(q.extra.total()):
		for _, k := range t.extras {
			if unitOf(p.job, &p.t.Lines[k]) == q.unit {
				return p.extraCell(k, "unit"), true
			}
		}
	case sum.Equal(q.factor.total()):
		for _, f := range p.job.Factors {
			if f.Unit == q.unit && takeoff.ItemKey(f.Item) == t.key {
				return f.At.At(f.Columns["unit"]), true
			}
		}
	}
	return takeoff.Ref{}, false
}

// start begins a row of an item under a price row, which may be nil.
func (p *pricer) start(t *tally, row *takeoff.PriceRow) *Item {
	it := &Item{Name: t.name, Key: t.key, Row: row, Rule: t.rule(), TakeoffUnit: t.unit(), Times: one, Over: one, Group: NoGroup, Kind: KindMaterial}
	it.Unit = it.TakeoffUnit
	if row != nil {
		it.Unit, it.Length, it.Description, it.Supplier, it.Taxable = row.Unit, row.Length, row.Description, row.Supplier, row.Taxable
		if row.Group != "" {
			it.Group = row.Group
		}
		if row.Kind != "" {
			it.Kind = strings.ToLower(row.Kind)
		}
	}
	switch it.Rule {
	case "R-MEMB", "R-BOARD", "R-PRIMER", "R-COAT", "R-DRAIN", "R-PARGE":
		it.belowGrade = true
	case "R-TRUCK", "R-PUMP":
		it.placed = true
	}
	return it
}

// plan sets a plan's number as the net.
func (it *Item) plan(net decimal.Decimal, tab string) {
	net = plain(net.Round(netPlaces))
	it.Planned, it.PlanTab, it.PlanKept, it.Net = &net, tab, true, net
}

// finish orders, prices and extends a row whose net is known, and adds it to the bid.
func (p *pricer) finish(t *tally, it *Item) {
	row := it.Row
	if it.Net.IsNegative() {
		p.belowZero(t, it)
	}
	it.From, it.Prices = blocks(row)
	it.Pack = packOf(row, it.Unit)
	if row != nil {
		it.Waste = row.Waste
	}
	switch {
	case it.Rental:
		it.Waste, it.Pack = decimal.Decimal{}, nil
	case it.Concrete && !it.Waste.IsZero():
		p.say(takeoff.Note, cell(row, "waste"), "P-ORDER", "%s: Waste %s%% is not used: concrete has its own waste by pour (R-POUR)", it.Name, plain(it.Waste.Shift(2)))
		it.Waste = decimal.Decimal{}
	}
	it.Order = raise(it.Net, it.Waste, it.Pack)
	if row == nil {
		p.bid.Unpriced++
		p.missing(t, it)
	} else {
		it.Price = priceAt(row, it.Order)
		ext := extend(it.Order, *it.Price, p.job.MinorDigits)
		it.Extension = &ext
		if it.Order.IsPositive() {
			p.quote(row)
			if !it.Rental {
				if q, ok := cheaperLarger(row, it.Order, it.Pack, p.job.MinorDigits); ok {
					p.say(takeoff.Note, cell(row, "price"), "P-PRICE", "%s: %s costs less than %s (%s and %s)", p.title(it), q, it.Order,
						p.money(extend(q, *priceAt(row, q), p.job.MinorDigits)), p.money(ext))
				}
			}
		}
	}
	p.bid.Items = append(p.bid.Items, *it)
	p.tallies = append(p.tallies, t)
}

// title is an item's name with its stock length.
func (p *pricer) title(it *Item) string {
	if it.Length > 0 {
		return it.Name + " " + it.Length.Show(p.job.Report)
	}
	return it.Name
}

// money prints an amount with its minor digits.
func (p *pricer) money(d decimal.Decimal) string { return d.StringFixed(p.job.MinorDigits) }

// quote is P-QUOTE: a price valid until a day before the bid date, once a row.
func (p *pricer) quote(r *takeoff.PriceRow) {
	if r.ValidUntil.IsZero() || p.job.BidDate.IsZero() || r.ValidUntil.Day() >= p.job.BidDate.Day() || p.quoted[r] {
		return
	}
	p.quoted[r] = true
	p.say(takeoff.Warning, cell(r, "valid until"), "P-QUOTE", "the price of %s was valid until %s; the bid date is %s", r.Item, r.ValidUntil, p.job.BidDate)
}

// belowZero is P-NET's error: at the extra after which the item stays below zero.
func (p *pricer) belowZero(t *tally, it *Item) {
	at := t.at
	if it.Row != nil {
		at = it.Row.At
	}
	if len(t.extras) > 0 {
		net := exact.Dec(it.Net)
		line := func(k int) exact.Num {
			l := &p.t.Lines[k]
			times, over, ok := factor(unitOf(p.job, l), it.Unit, it.Length, nil)
			if !ok {
				return exact.Num{}
			}
			return exact.Dec(l.Quantity).Mul(exact.Dec(times)).Div(exact.Dec(over))
		}
		for i := len(t.extras) - 1; i >= 0; i-- { // taken off from the last until it is at zero again
			q := line(t.extras[i])
			if q.Sign() < 0 {
				at = p.extraCell(t.extras[i], "quantity")
			}
			if net = net.Sub(q); net.Sign() >= 0 {
				break
			}
		}
	}
	p.say(takeoff.Error, at, "P-NET", "%s: the net is %s %s, below zero", it.Name, it.Net, it.Unit)
}
