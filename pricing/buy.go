package pricing

import (
	"sort"
	"strings"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// Order is a row of Orders: an item of a supplier, with what is needed, what was ordered so far and what is left to order
// (P-BUY). A rented item has a row a stretch.
type Order struct {
	Supplier    string // empty: no supplier
	Item        string
	Description string
	Length      length.Length
	Unit        unit.Unit
	Pack        *decimal.Decimal // above 1 only
	Needed      decimal.Decimal
	Ordered     decimal.Decimal
	ToOrder     decimal.Decimal
	Over        decimal.Decimal  // ordered and not needed
	Packs       *decimal.Decimal // of ToOrder, raised to whole packs
	NeedBy      takeoff.Date     // blank: see NeedByNote
	NeedByNote  string
	LeadDays    int
	Late        bool
	Charge      bool // what a truck or the pump will cost beside its goods, reckoned: nobody orders it
	Rental      bool
	From, To    takeoff.Date     // of a rental, both days included
	Price       *decimal.Decimal // of a rental: for one piece
	Extension   *decimal.Decimal // of ToOrder
	Deliveries  []Delivery       // of concrete: by pour, the first day first
	At          takeoff.Ref      // the price row's, or the Ordered row's
	item        int              // in Bid.Items, −1: only ordered
}

// OnSite is the day an order is used: its need-by and the lead days after it. Blank where the need-by is.
func (o *Order) OnSite() takeoff.Date {
	if o.NeedBy.IsZero() {
		return takeoff.Date{}
	}
	return (o.NeedBy.Day() + takeoff.Day(o.LeadDays)).Date()
}

// buy is P-BUY: what is needed of each item, less what was ordered of it, by supplier and need-by.
func (p *pricer) buy(today takeoff.Date) {
	b := p.bid
	firstForms := p.firstForms()
	ordered := map[string][]*takeoff.OrderedRow{}
	for _, o := range p.job.Ordered {
		k := takeoff.ItemKey(o.Item)
		ordered[k] = append(ordered[k], o)
	}
	used := map[*takeoff.OrderedRow]bool{}
	count := map[string]int{} // rows of an item that are bought by Length
	for i := range b.Items {
		count[b.Items[i].Key]++
	}
	rented := map[string]bool{}
	for i := range b.Items {
		it := &b.Items[i]
		if it.Kind == KindLabor || it.Freight || it.Row == nil && it.Unit.Dimension() == unit.Time {
			for _, o := range ordered[it.Key] {
				if !used[o] {
					p.say(takeoff.Note, o.At.At(o.Columns["item"]), "P-BUY", "%s: labor and freight are not ordered: the row is left out", it.Name)
				}
				used[o] = true
			}
			continue
		}
		if it.Rental {
			if !rented[it.Key] {
				rented[it.Key] = true
				p.rentalOrders(it, i, ordered[it.Key], used)
			}
			continue
		}
		o := p.newOrder(it, i)
		o.Needed = it.Order
		for _, row := range ordered[it.Key] {
			if used[row] || !(row.Length == it.Length || count[it.Key] == 1 && (row.Length == 0 || it.Length == 0)) {
				continue
			}
			used[row] = true
			if q, ok := p.orderedIn(row, it.Name, it.Unit, it.Length); ok {
				o.Ordered = o.Ordered.Add(q)
			}
		}
		if o.Needed.IsZero() && o.Ordered.IsZero() {
			continue
		}
		o.settle()
		if it.Price != nil {
			ext := extend(o.ToOrder, *it.Price, p.job.MinorDigits)
			o.Price, o.Extension = it.Price, &ext
		}
		o.NeedBy, o.NeedByNote = p.needBy(it, p.tallies[i], firstForms)
		p.lead(&o, it)
		if it.Concrete {
			o.Deliveries = p.deliveries(it, o.Ordered)
		}
		b.Orders = append(b.Orders, o)
	}
	// What was ordered of something that is not needed, or not in that length.
	over := map[string]int{}
	for _, row := range p.job.Ordered {
		if used[row] {
			continue
		}
		p.notUsed(row)
		o := Order{Item: row.Item, Length: row.Length, Unit: row.Unit, At: row.At, item: -1, Ordered: plain(row.Quantity)}
		for _, r := range p.rows(takeoff.ItemKey(row.Item)) {
			if r.Length == row.Length || o.Supplier == "" {
				o.Supplier, o.Description = r.Supplier, r.Description
				if o.Unit == "" {
					o.Unit = r.Unit
				}
			}
		}
		k := takeoff.ItemKey(row.Item) + "\x00" + string(o.Unit) + "\x00" + row.Length.MM()
		if i, ok := over[k]; ok {
			b.Orders[i].Ordered = b.Orders[i].Ordered.Add(o.Ordered)
			b.Orders[i].settle()
			continue
		}
		o.settle()
		over[k] = len(b.Orders)
		b.Orders = append(b.Orders, o)
	}
	spelled := map[string]string{} // a supplier as its first price row has it
	for _, r := range p.job.Prices {
		if k := SupplierKey(r.Supplier); spelled[k] == "" {
			spelled[k] = strings.TrimSpace(r.Supplier)
		}
	}
	for i := range b.Orders {
		o := &b.Orders[i]
		o.Supplier = spelled[SupplierKey(o.Supplier)]
		o.Late = !today.IsZero() && !o.NeedBy.IsZero() && o.ToOrder.IsPositive() && o.NeedBy.Day() < today.Day()
		if o.Late {
			at := o.At
			if r := b.Items[o.item].Row; r != nil {
				at = cell(r, "lead days")
			}
			p.say(takeoff.Warning, at, "P-BUY", "%s: %s %s to order by %s, which is before %s", p.title(&b.Items[o.item]), o.ToOrder, o.Unit, o.NeedBy, today)
		}
	}
	sort.SliceStable(b.Orders, func(i, j int) bool {
		x, y := &b.Orders[i], &b.Orders[j]
		if (x.Supplier == "") != (y.Supplier == "") {
			return y.Supplier == ""
		}
		if a, c := SupplierKey(x.Supplier), SupplierKey(y.Supplier); a != c {
			return a < c
		}
		if x.NeedBy.IsZero() != y.NeedBy.IsZero() {
			return y.NeedBy.IsZero()
		}
		return !x.NeedBy.IsZero() && x.NeedBy.Day() < y.NeedBy.Day()
	})
}

// notUsed says that something was ordered which the job does not use, or not in that length.
func (p *pricer) notUsed(row *takeoff.OrderedRow) {
	if key := takeoff.ItemKey(row.Item); p.book.byKey[key] != nil {
		var lengths []string
		for i := range p.bid.Items {
			if it := &p.bid.Items[i]; it.Key == key && it.Length > 0 {
				lengths = append(lengths, it.Length.Show(p.job.Report))
			}
		}
		what := "without a length"
		if row.Length > 0 {
			what = "in " + row.Length.Show(p.job.Report)
		}
		p.say(takeoff.Warning, row.At.At(row.Columns["length"]), "P-BUY", "%s %s: ordered %s, and the job buys it in %s: all of it is over",
			row.Quantity, row.Item, what, strings.Join(lengths, ", "))
		return
	}
	p.say(takeoff.Warning, row.At.At(row.Columns["item"]), "P-BUY", "%s: ordered, and the job does not use it: all of it is over", row.Item)
}

// newOrder is an order of an item with nothing in it.
func (p *pricer) newOrder(it *Item, i int) Order {
	o := Order{Supplier: it.Supplier, Item: it.Name, Description: it.Description, Length: it.Length, Unit: it.Unit, At: p.tallies[i].at, item: i}
	if it.Row != nil {
		o.At, o.LeadDays = it.Row.At, it.Row.LeadDays
	}
	o.Charge = it.placed && !it.Concrete && it.Key != "pump-setup"
	if it.Pack != nil && !it.Pack.Equal(one) {
		o.Pack = it.Pack
	}
	return o
}

// settle is what is left to order, or over.
func (o *Order) settle() {
	o.ToOrder, o.Over, o.Packs = decimal.Decimal{}, decimal.Decimal{}, nil
	switch d := o.Needed.Sub(o.Ordered); d.Sign() {
	case 1:
		o.ToOrder = plain(d)
	case -1:
		o.Over = plain(d.Neg())
	}
	if o.Pack != nil {
		n := exact.Dec(o.ToOrder).Div(exact.Dec(*o.Pack)).Round(orderPlaces).Ceil()
		o.Packs = &n
	}
}

// orderedIn is an Ordered row's quantity in the item's unit; not convertible is an error at its unit.
func (p *pricer) orderedIn(row *takeoff.OrderedRow, item string, to unit.Unit, piece length.Length) (decimal.Decimal, bool) {
	if row.Unit == "" {
		return row.Quantity, true
	}
	times, over, ok := factor(row.Unit, to, piece, takeoff.BarOfItem(item))
	if !ok {
		p.say(takeoff.Error, row.At.At(row.Columns["unit"]), "P-BUY", "%s", mismatch(item, to, row.Unit))
		return decimal.Decimal{}, false
	}
	return convert(row.Quantity, times, over), true
}

// rentalOrders are the pieces of a rented item, a row a stretch. What was ordered, in pieces, fills them in order of their
// first day.
func (p *pricer) rentalOrders(it *Item, i int, rows []*takeoff.OrderedRow, used map[*takeoff.OrderedRow]bool) {
	have := decimal.Decimal{}
	for _, row := range rows {
		used[row] = true
		if row.Unit.Dimension() == unit.Period {
			p.say(takeoff.Warning, row.At.At(row.Columns["unit"]), "P-BUY", "%s is rented: orders of it count pieces (ea); a row in '%s' is left out", it.Name, row.Unit)
			continue
		}
		if q, ok := p.orderedIn(row, it.Name, unit.Each, it.Length); ok {
			have = have.Add(q)
		}
	}
	last := -1
	for k := range p.bid.Rentals {
		s := &p.bid.Rentals[k]
		if takeoff.ItemKey(s.Item) != it.Key {
			continue
		}
		o := p.newOrder(it, i)
		o.Rental, o.Unit, o.Pack, o.From, o.To = true, unit.Each, nil, s.From, s.To
		o.Needed = decimal.NewFromInt(s.Count)
		o.Ordered = decimal.Min(have, o.Needed)
		have = have.Sub(o.Ordered)
		o.settle()
		each := decimal.Decimal{}
		for _, c := range s.Periods {
			each = each.Add(c.Price.Mul(decimal.NewFromInt(c.Count)))
		}
		ext := extend(o.ToOrder, each, p.job.MinorDigits)
		o.Price, o.Extension = &each, &ext
		if s.Assumed {
			o.NeedByNote = assumedNote
		} else {
			o.NeedBy = s.From
		}
		p.lead(&o, it)
		last = len(p.bid.Orders)
		p.bid.Orders = append(p.bid.Orders, o)
	}
	if have.IsZero() {
		return
	}
	if last < 0 {
		o := p.newOrder(it, i)
		o.Rental, o.Unit, o.Pack = true, unit.Each, nil
		last = len(p.bid.Orders)
		p.bid.Orders = append(p.bid.Orders, o)
	}
	o := &p.bid.Orders[last]
	o.Ordered = o.Ordered.Add(have)
	o.settle()
}

// The notes of an order without a need-by.
const (
	assumedNote = "dates assumed (P-RENTAL): type Forms set on Pours"
	noPourNote  = "the job has no pour"
)

// lead takes the lead days off a need-by.
func (p *pricer) lead(o *Order, it *Item) {
	if !o.NeedBy.IsZero() && it.Row != nil {
		o.NeedBy = (o.NeedBy.Day() - takeoff.Day(it.Row.LeadDays)).Date()
	}
}

// earliest keeps the first of several dates; a date that is only assumed and comes first leaves none.
type earliest struct {
	day      takeoff.Day
	any      bool
	assumed  takeoff.Day
	anyGuess bool
}

func (e *earliest) see(d takeoff.Date, assumed bool) {
	switch {
	case d.IsZero():
	case assumed:
		if !e.anyGuess || d.Day() < e.assumed {
			e.assumed, e.anyGuess = d.Day(), true
		}
	case !e.any || d.Day() < e.day:
		e.day, e.any = d.Day(), true
	}
}

func (e *earliest) date() (takeoff.Date, string) {
	switch {
	case e.anyGuess && (!e.any || e.assumed < e.day):
		return takeoff.Date{}, assumedNote
	case e.any:
		return e.day.Date(), ""
	}
	return takeoff.Date{}, noPourNote
}

// firstForms is the job's first Forms set.
func (p *pricer) firstForms() *earliest {
	e := &earliest{}
	for i := range p.cal.Dates {
		e.see(p.cal.Dates[i].FormsSet, p.cal.Dates[i].FormsAssumed)
	}
	return e
}

// needBy is the earliest Forms set of the pours that use an item; the Pour date for concrete and its pump, Strip braces for
// below-grade goods. What belongs to no pour is needed at the job's first Forms set.
func (p *pricer) needBy(it *Item, t *tally, firstForms *earliest) (takeoff.Date, string) {
	e := &earliest{}
	seen := false
	for _, s := range it.Pours {
		d, ok := p.cal.Of(p.book.pours.names[s.Place])
		if !ok || s.Base.IsZero() {
			continue
		}
		seen = true
		switch {
		case it.placed:
			e.see(d.Pour, d.PourAssumed)
		case it.belowGrade:
			e.see(d.Strip, d.StripAssumed)
		default:
			e.see(d.FormsSet, d.FormsAssumed)
		}
	}
	if !seen {
		return firstForms.date()
	}
	return e.date()
}

// ToPlace are the orders that are still to be placed with one supplier, as an order sheet lists them.
type ToPlace struct {
	Supplier string // as first written; empty: no supplier
	Key      string // as item and file names carry it
	Rows     []Order
}

// OrdersToPlace are the rows with something to order, by supplier: what an order sheet shows of them is quantities, with
// prices only where asked for; never margins, taxes or the bid.
func (b *Bid) OrdersToPlace() []ToPlace {
	var out []ToPlace
	for _, o := range b.Orders {
		if !o.ToOrder.IsPositive() {
			continue
		}
		k := SupplierKey(o.Supplier)
		if len(out) == 0 || out[len(out)-1].Key != k {
			out = append(out, ToPlace{Supplier: o.Supplier, Key: k})
		}
		out[len(out)-1].Rows = append(out[len(out)-1].Rows, o)
	}
	return out
}
