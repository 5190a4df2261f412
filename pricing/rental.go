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

// itemDelivery is one trip of bracing to the site and back.
const itemDelivery = "brace-delivery"

// standing is what stands of an item of bracing, day by day, and its period rows; none: it is bought.
type standing struct {
	rows  []*takeoff.PriceRow
	steps []takeoff.Step
}

// readRentals works out what stands of each item of bracing (P-RENTAL).
func (p *pricer) readRentals() {
	p.stands = map[string]*standing{}
	var onRent []stay
	for _, item := range []string{takeoff.ItemBraceSet, takeoff.ItemBraceTall, takeoff.ItemPlank, takeoff.ItemRail} {
		rows := p.job.RentalRows(item)
		needs := p.cal.Needs(p.t.Braces, func(b *takeoff.BraceRow) int64 {
			switch item {
			case takeoff.ItemPlank:
				return b.Planks
			case takeoff.ItemRail:
				if len(rows) > 0 {
					return b.RailPieces
				}
				return int64(b.Rail)
			}
			if b.Item == item {
				return b.Count
			}
			return 0
		})
		if len(needs) == 0 && p.book.byKey[item] == nil {
			continue
		}
		p.book.rankAs(p.book.tally(item), "R-BRACE")
		s := &standing{rows: rows, steps: takeoff.Steps(needs)}
		p.stands[item] = s
		if len(needs) > 0 {
			p.bid.BraceNeeds = append(p.bid.BraceNeeds, BraceNeed{Item: item, Rented: len(rows) > 0, Steps: s.steps})
		}
		if len(rows) > 0 && (item == takeoff.ItemBraceSet || item == takeoff.ItemBraceTall) {
			onRent = append(onRent, stays(s.steps, p.idleDays())...)
		}
	}
	if n := spans(onRent); n > 0 {
		d := decimal.NewFromInt(n)
		p.delivery = &d
		p.book.rankAs(p.book.tally(itemDelivery), "R-BRACE")
	}
}

func (p *pricer) idleDays() takeoff.Day {
	return takeoff.Day(p.job.Settings.Whole(takeoff.SetRentalIdleDays))
}

// stay is like pieces on rent from the first to the last day, both included.
type stay struct {
	from, to takeoff.Day
	count    int64
}

// stays are the times on rent of all pieces: the k-th piece from the first to the last day on which k are needed, going
// back in between when idle for more than the idle days. Pieces that stay the same days are counted together; in order of
// the first day, then of the last.
func stays(steps []takeoff.Step, idle takeoff.Day) []stay {
	var levels []int64
	seen := map[int64]bool{0: true}
	for _, s := range steps {
		if !seen[s.Quantity] {
			seen[s.Quantity] = true
			levels = append(levels, s.Quantity)
		}
	}
	sort.Slice(levels, func(i, j int) bool { return levels[i] < levels[j] })
	counts := map[[2]takeoff.Day]int64{}
	below := int64(0)
	for _, level := range levels { // the pieces below+1 to level are needed on the same days
		n := level - below
		below = level
		var from, to takeoff.Day
		open := false
		for i := range steps {
			if steps[i].Quantity < level {
				continue
			}
			end := steps[i+1].From - 1 // the last step is 0, so there is a next one
			switch {
			case !open:
				from, to, open = steps[i].From, end, true
			case steps[i].From-to-1 <= idle:
				to = end
			default:
				counts[[2]takeoff.Day{from, to}] += n
				from, to = steps[i].From, end
			}
		}
		counts[[2]takeoff.Day{from, to}] += n
	}
	out := make([]stay, 0, len(counts))
	for days, n := range counts {
		out = append(out, stay{days[0], days[1], n})
	}
	sort.Slice(out, func(i, j int) bool {
		if out[i].from != out[j].from {
			return out[i].from < out[j].from
		}
		return out[i].to < out[j].to
	})
	return out
}

// spans is the number of unbroken spans of days that the stays cover together.
func spans(all []stay) int64 {
	sort.Slice(all, func(i, j int) bool { return all[i].from < all[j].from })
	n := int64(0)
	var end takeoff.Day
	for _, s := range all {
		if n == 0 || s.from > end+1 {
			n++
			end = s.to
		}
		end = max(end, s.to)
	}
	return n
}

// periodDays are the days of a period of rent.
func periodDays(u unit.Unit) int64 { return u.Base().Floor() }

// leastCharge is the cheapest way to cover that many days with whole periods of the rows, at their first prices; of equal
// cost the one of fewest periods, then of the longest (P-RENTAL). It gives how many periods of each row.
//
// With the number of longer periods given, the cost is linear in the number of the next shorter one, and so are the ties'
// measures; so only none, as many as fit, and enough to cover all need to be looked at, at each length.
func leastCharge(days int64, rows []*takeoff.PriceRow) []int64 {
	order := make([]int, len(rows)) // longest first
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool { return periodDays(rows[order[i]].Unit) > periodDays(rows[order[j]].Unit) })
	best := make([]int64, len(rows))
	var bestCost decimal.Decimal
	bestPeriods := int64(-1)
	counts := make([]int64, len(rows))
	var try func(k int, rest int64, cost decimal.Decimal, periods int64)
	try = func(k int, rest int64, cost decimal.Decimal, periods int64) {
		if k == len(order) {
			if rest > 0 {
				return
			}
			c := -1
			if bestPeriods >= 0 {
				c = cost.Cmp(bestCost)
			}
			if c < 0 || c == 0 && (periods < bestPeriods || periods == bestPeriods && longer(counts, best, order)) {
				copy(best, counts)
				bestCost, bestPeriods = cost, periods
			}
			return
		}
		d := periodDays(rows[order[k]].Unit)
		fit := max(rest, 0) / d
		for i, n := range [...]int64{0, fit, fit + 1} {
			if i == 1 && n == 0 || i == 2 && (rest <= 0 || rest%d == 0) {
				continue
			}
			counts[order[k]] = n
			try(k+1, rest-n*d, cost.Add(rows[order[k]].Price.Mul(decimal.NewFromInt(n))), periods+n)
		}
		counts[order[k]] = 0
	}
	try(0, days, decimal.Decimal{}, 0)
	return best
}

// longer tells whether a has more of the longest periods than b, the first that differs.
func longer(a, b []int64, order []int) bool {
	for _, k := range order {
		if a[k] != b[k] {
			return a[k] > b[k]
		}
	}
	return false
}

// rentedItem is P-RENTAL for an item with period rows: a row of Priced items each, its net the periods charged.
func (p *pricer) rentedItem(t *tally, s *standing) {
	rows := p.periodRows(t, s)
	charged := make([]int64, len(rows))
	byDays := map[int64][]int64{}
	for _, st := range stays(s.steps, p.idleDays()) {
		days := int64(st.to - st.from + 1)
		counts := byDays[days]
		if counts == nil {
			counts = leastCharge(days, rows)
			byDays[days] = counts
		}
		out := Stretch{Item: t.name, From: st.from.Date(), To: st.to.Date(), Days: days, Count: st.count, Assumed: !p.typedFormsSet(st.from)}
		for i, n := range counts {
			charged[i] += n * st.count
			if n > 0 {
				out.Periods = append(out.Periods, PeriodCount{rows[i].Unit, n, rows[i].Price})
				out.Charge = out.Charge.Add(rows[i].Price.Mul(decimal.NewFromInt(n * st.count)))
			}
		}
		sort.SliceStable(out.Periods, func(i, j int) bool { return periodDays(out.Periods[i].Unit) > periodDays(out.Periods[j].Unit) })
		out.Charge = out.Charge.Round(p.job.MinorDigits)
		p.bid.Rentals = append(p.bid.Rentals, out)
	}
	beside := p.besideRental(t, rows)
	for i, r := range rows {
		it := p.start(t, r)
		it.Rental = true
		if !t.mixed() {
			it.Sum = t.sum()
		}
		it.plan(decimal.NewFromInt(charged[i]).Add(beside[i]), tabBracing)
		p.finish(t, it)
	}
}

// periodRows are the rows that charge: one a period, of the length that the pieces have.
func (p *pricer) periodRows(t *tally, s *standing) []*takeoff.PriceRow {
	piece := p.job.PieceLength(t.key, 0)
	var rows []*takeoff.PriceRow
	have := map[unit.Unit]bool{}
	for _, r := range s.rows {
		if have[r.Unit] || r.Length > 0 && r.Length != piece {
			p.say(takeoff.Note, cell(r, "item"), "P-RENTAL", "%s: not used: pieces of %s are rented by the first row of each period", t.name, piece.Show(p.job.Report))
			continue
		}
		have[r.Unit] = true
		rows = append(rows, r)
	}
	for _, r := range p.rows(t.key) {
		if !r.Rental() {
			p.say(takeoff.Note, cell(r, "item"), "P-RENTAL", "%s: not used: the item has rental rows", t.name)
		}
	}
	return rows
}

// besideRental is what extras and factors add to each period row: in its own unit, else converted to the first row's.
func (p *pricer) besideRental(t *tally, rows []*takeoff.PriceRow) []decimal.Decimal {
	beside := make([]decimal.Decimal, len(rows))
	for i := range t.parts {
		q := t.parts[i].extra.total().Add(t.parts[i].factor.total())
		if q.IsZero() {
			continue
		}
		u := t.parts[i].unit
		if u.Dimension() != unit.Period {
			at := t.at
			if t.factor >= 0 && p.t.Lines[t.factor].Unit == u {
				at = p.t.Lines[t.factor].At
			}
			for _, k := range t.extras {
				if p.t.Lines[k].Unit == u {
					at = p.extraCell(k, "unit")
				}
			}
			p.say(takeoff.Error, at, "P-UNIT", "%s is rented; '%s' is %s and what is added to it is in day, week or 4-week", t.name, u, articles[u.Dimension()])
			continue
		}
		to := 0
		for k, r := range rows {
			if r.Unit == u {
				to = k
			}
		}
		times, over, _ := unit.Convert(u, rows[to].Unit)
		beside[to] = beside[to].Add(convert(q, times, over))
	}
	return beside
}

// typedFormsSet tells whether that day is a Forms set that was typed.
func (p *pricer) typedFormsSet(d takeoff.Day) bool {
	for i := range p.cal.Dates {
		if f := &p.cal.Dates[i]; !f.FormsAssumed && f.FormsSet.Day() == d {
			return true
		}
	}
	return false
}

// bracingItem is an item of bracing without period rows: the most needed at once is bought.
func (p *pricer) bracingItem(t *tally, s *standing, rows []*takeoff.PriceRow) {
	most := int64(0)
	for _, step := range s.steps {
		most = max(most, step.Quantity)
	}
	row, _ := p.choose(t, rows)
	it := p.start(t, row)
	it.TakeoffUnit = unit.Each
	it.Sum = decimal.NewFromInt(most)
	if t.key == takeoff.ItemRail {
		it.TakeoffUnit = p.t.Units.Length
		it.Sum = p.t.Units.Length.Of(exact.Len(length.Length(most))).Quantity()
	}
	if row == nil {
		it.Unit = it.TakeoffUnit
	} else if strings.EqualFold(row.Kind, KindRental) && most > 0 {
		p.say(takeoff.Warning, cell(row, "unit"), "P-RENTAL",
			"%s is of kind rental and has no row by day, week or 4-week: it is bought, as many as stand at once", t.name)
	}
	times, over, ok := factor(it.TakeoffUnit, it.Unit, it.Length, nil)
	if !ok {
		p.say(takeoff.Error, cell(row, "unit"), "P-UNIT", "%s", mismatch(t.name, it.TakeoffUnit, row.Unit))
		it.Row, it.Unit = nil, it.TakeoffUnit
		times, over = one, one
	}
	net := convert(it.Sum, times, over)
	beside, ok := p.converted(t, it.Row, it.Unit, nil, func(q *part) decimal.Decimal { return q.extra.total().Add(q.factor.total()) })
	if ok {
		net = net.Add(beside)
	}
	it.plan(net, tabBracing)
	p.finish(t, it)
}

// deliveryItem is brace-delivery: one an unbroken span of days on which any brace is on rent.
func (p *pricer) deliveryItem(t *tally, rows []*takeoff.PriceRow) {
	p.countedItem(t, rows, p.delivery, tabBracing, false)
}

// countedItem is an item that a plan counts, with what its lines add.
func (p *pricer) countedItem(t *tally, rows []*takeoff.PriceRow, count *decimal.Decimal, tab string, freight bool) {
	row, _ := p.choose(t, rows)
	it := p.start(t, row)
	it.Freight = freight
	if _, _, ok := factor(unit.Each, it.Unit, 0, nil); row != nil && !ok {
		p.say(takeoff.Error, cell(row, "unit"), "P-UNIT", "%s", mismatch(t.name, unit.Each, row.Unit))
		it = p.start(t, nil)
		it.Freight = freight
	}
	net := decimal.Decimal{}
	if count != nil {
		net = *count
	}
	if beside, ok := p.converted(t, it.Row, it.Unit, nil, func(q *part) decimal.Decimal { return q.sum.total() }); ok {
		net = net.Add(beside)
	}
	it.plan(net, tab)
	p.finish(t, it)
}
