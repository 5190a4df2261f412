package pricing

import (
	"fmt"
	"sort"
	"strings"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
)

// freightItem is an item of freight: named tells that a supplier's rows ask for it.
type freightItem struct {
	named    bool
	supplier string // key
	part     bool
}

// noSupplier stands for a blank Supplier in item and file names.
const noSupplier = "no-supplier"

// SupplierKey is a supplier as item names carry it, lower case: trimmed, spaces as hyphens.
func SupplierKey(supplier string) string {
	if k := takeoff.ItemKey(takeoff.ItemName(supplier)); k != "" {
		return k
	}
	return noSupplier
}

// freightItems names the items of freight that rows with Per load ask for (P-FREIGHT).
func (p *pricer) freightItems() {
	p.freight = map[string]freightItem{}
	for _, r := range p.job.Prices {
		if r.PerLoad == nil {
			continue
		}
		k := SupplierKey(r.Supplier)
		p.freight[itemFreight+k] = freightItem{named: true, supplier: k}
		p.freight[itemFreight+"part-"+k] = freightItem{named: true, supplier: k, part: true}
	}
}

// freightShown is how many items a note on freight lists.
const freightShown = 3

// priceFreight is P-FREIGHT: loads of each supplier's orders, the rest a part load where there is a row for it.
func (p *pricer) priceFreight() {
	type haul struct {
		name  string
		loads exact.Num
		items []int
	}
	hauls := map[string]*haul{}
	var keys []string
	for i := range p.bid.Items {
		it := &p.bid.Items[i]
		if it.Row == nil || it.Row.PerLoad == nil || !it.Row.PerLoad.IsPositive() {
			continue
		}
		k := SupplierKey(it.Supplier)
		h := hauls[k]
		if h == nil {
			h = &haul{name: takeoff.ItemName(it.Supplier)}
			if h.name == "" {
				h.name = noSupplier
			}
			hauls[k] = h
			keys = append(keys, k)
		}
		h.loads = h.loads.Add(exact.Dec(it.Order).Div(exact.Dec(*it.Row.PerLoad)))
		h.items = append(h.items, i)
	}
	for k, f := range p.freight { // items of freight that extras or factors name, of suppliers without an order
		if t := p.book.byKey[k]; t != nil && hauls[f.supplier] == nil {
			hauls[f.supplier] = &haul{name: f.supplier}
			keys = append(keys, f.supplier)
		}
	}
	sort.Strings(keys)
	partShare := p.job.Settings.Num(takeoff.SetPartLoad)
	for _, k := range keys {
		h := hauls[k]
		loads := h.loads.Round(orderPlaces)
		full := loads.Floor()
		rest := loads.Sub(full)
		part := decimal.Decimal{}
		fullKey, partKey := itemFreight+k, itemFreight+"part-"+k
		partRow := len(p.rows(partKey)) > 0
		room := exact.Num{}
		if rest.IsPositive() {
			over := h.loads.Sub(exact.Dec(full)) // not rounded, so that what fills the truck is in the room
			room = exact.Int(1).Sub(over)
			if partRow && exact.Dec(rest).Cmp(partShare) <= 0 {
				part = one
				room = partShare.Sub(over)
			} else {
				full = full.Add(one)
			}
		}
		f := Freight{Supplier: h.name, Loads: loads, Full: full.IntPart(), Part: part.IntPart()}
		if full.IsPositive() || p.book.byKey[fullKey] != nil {
			t := p.book.tally(itemFreight + h.name)
			f.Item = t.name
			p.haul(t, h.items, full)
		}
		if part.IsPositive() || p.book.byKey[partKey] != nil {
			t := p.book.tally(itemFreight + "part-" + h.name)
			f.PartItem = t.name
			p.haul(t, h.items, part)
		}
		if rest.IsPositive() {
			f.Note = p.freightNote(h.name, loads, rest, part.IsPositive(), room, h.items)
			at := p.bid.Items[h.items[0]].Row
			p.say(takeoff.Note, cell(at, "per load"), "P-FREIGHT", "%s", f.Note)
		}
		p.bid.Freight = append(p.bid.Freight, f)
	}
}

// haul adds an item of freight; where it has no line of its own, findings point at the first row that asks for it.
func (p *pricer) haul(t *tally, items []int, loads decimal.Decimal) {
	if len(t.parts) == 0 && len(items) > 0 {
		t.at = cell(p.bid.Items[items[0]].Row, "per load")
	}
	p.countedItem(t, p.rows(t.key), &loads, tabOrders, true)
}

// freightNote says how full the last load is and what would ride free in the room left.
func (p *pricer) freightNote(supplier string, loads, rest decimal.Decimal, part bool, room exact.Num, items []int) string {
	kind := "load"
	if part {
		kind = "part load"
	}
	note := fmt.Sprintf("freight of %s: %s loads; the last %s holds %s%% of a truck", supplier, loads.Round(2), kind, plain(rest.Shift(2).Round(1)))
	var free []string
	more := 0
	for _, i := range items {
		it := &p.bid.Items[i]
		q := exact.Dec(*it.Row.PerLoad).Mul(room)
		step := one
		if it.Pack != nil {
			step = *it.Pack
		}
		packs := q.Div(exact.Dec(step)).Floor()
		if packs <= 0 {
			continue
		}
		if len(free) == freightShown {
			more++
			continue
		}
		free = append(free, fmt.Sprintf("%s %s %s", plain(step.Mul(decimal.NewFromInt(packs))), it.Unit, p.title(it)))
	}
	if len(free) == 0 {
		return note + "; nothing more rides free"
	}
	note += "; as much as " + strings.Join(free, " or ") + " more would ride free"
	if more > 0 {
		note += fmt.Sprintf(" (or of %d other items)", more)
	}
	return note
}
