package drawn

import (
	"sort"
	"strconv"
	"strings"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
	"wallbill/takeoff/schedule"
	"wallbill/takeoff/unit"
)

// need is an item that the takeoff has a line of, with the unit of its first line.
type need struct {
	item string
	unit unit.Unit
}

// needs are the items of the job so far, and whether it could be taken off at all.
func (a *artist) needs() ([]need, bool) {
	job, findings := schedule.Read(a.s.Book(), nil)
	if takeoff.HasErrors(findings) {
		return nil, false
	}
	out := takeoff.Compute(job)
	if takeoff.HasErrors(out.Findings) {
		return nil, false
	}
	units := map[string]unit.Unit{}
	names := map[string]string{}
	var keys []string
	add := func(item string, u unit.Unit) {
		k := takeoff.ItemKey(item)
		if _, ok := units[k]; !ok {
			units[k], names[k] = u, item
			keys = append(keys, k)
		}
	}
	for _, l := range out.Lines {
		add(l.Item, l.Unit)
	}
	for _, p := range out.Pours {
		add(p.WallItem, out.Units.Volume)
		add(p.FootingItem, out.Units.Volume)
	}
	add("brace-delivery", unit.Each)
	add("short-load", unit.Each)
	sort.Strings(keys)
	var list []need
	for _, k := range keys {
		if k != "" {
			list = append(list, need{names[k], units[k]})
		}
	}
	return list, true
}

var suppliers = []string{"North Yard", "Steel & Sons", "River Ready Mix", ""}

// money draws prices for what the job needs, then extras, rates and orders.
func (a *artist) money() {
	needs, ok := a.needs()
	if !ok {
		return
	}
	for _, n := range needs {
		if a.chance(2, "unpriced") {
			continue
		}
		a.priceRows(n)
	}
	loads := map[string]bool{}
	for _, r := range a.s.Rows["Prices"] {
		if s := r.Text("Supplier"); s != "" && !r["Per load"].Blank() {
			loads[s] = true
		}
	}
	for _, s := range suppliers {
		if loads[s] {
			name := strings.ReplaceAll(s, " ", "-")
			a.s.Add("Prices", Row{"Item": Text("freight-" + name), "Unit": Text("ea"), "Price": Number(a.hundredths(5000, 60000, "freight"))})
			if a.chance(50, "part freight") {
				a.s.Add("Prices", Row{"Item": Text("freight-part-" + name), "Unit": Text("ea"), "Price": Number(a.hundredths(5000, 30000, "part freight price"))})
			}
		}
	}
	a.extras(needs)
	if len(needs) > 0 && a.chance(30, "ordered") {
		n := pick(a, "ordered item", needs...)
		a.s.Add("Ordered", Row{"Date": Cell{Stored: schedule.Cell{Kind: schedule.Date, Value: "2026-03-01"}}, "Order number": Text("17"), "Item": Text(n.item), "Quantity": Whole(int64(a.whole(-2, 40, "ordered quantity")))})
		if row := a.priced(n.item); row != nil {
			a.s.Rows["Ordered"][0]["Length"] = row["Length"]
		}
	}
}

// priced is an item's first price row.
func (a *artist) priced(item string) Row {
	for _, r := range a.s.Rows["Prices"] {
		if r.Is("Item", item) {
			return r
		}
	}
	return nil
}

// price draws a price: mostly cents, now and then tenths of them.
func (a *artist) price() Cell {
	if a.chance(15, "tenths of cents") {
		return Number(decimals(a.whole(0, 500000, "price"), 3))
	}
	return Number(a.hundredths(0, 40000, "price"))
}

// priceRow is a row with what any item may have.
func (a *artist) priceRow(item, u string) Row {
	r := Row{"Item": Text(item), "Unit": Text(u), "Price": a.price(), "Group": Text(pick(a, "group", "03 11 19", "03 30 00", "0330", "")),
		"Kind": Text(pick(a, "kind", "", "material", "labor", "equipment", "subcontract")), "Supplier": Text(pick(a, "supplier", suppliers...))}
	if a.chance(30, "untaxed") {
		r["Taxable"] = Text("no")
	}
	if a.chance(30, "waste") {
		r["Waste"] = Text(decimals(a.whole(0, 2000, "waste"), 2) + "%")
	}
	if a.chance(25, "breaks") {
		from := a.whole(1, 300, "from 2")
		r["From 2"], r["Price 2"] = Whole(int64(from)), a.price()
		if a.chance(50, "second break") {
			r["From 3"], r["Price 3"] = Number(strconv.Itoa(from+a.whole(1, 500, "from 3"))+".5"), a.price()
		}
	}
	if a.chance(10, "description") {
		r["Description"] = Text(pick(a, "words", "=as drawn", "+ with screws", "blue, 20 kg"))
	}
	if a.chance(10, "valid until") {
		r["Valid until"] = Cell{Stored: schedule.Cell{Kind: schedule.Date, Value: pick(a, "day", "2026-02-01", "2026-12-31")}}
	}
	if a.chance(10, "lead days") {
		r["Lead days"] = Whole(int64(a.whole(0, 30, "days")))
	}
	if r.Text("Supplier") != "" && a.chance(15, "per load") {
		r["Per load"] = Whole(int64(a.whole(1, 400, "a load")))
	}
	return r
}

func (a *artist) packed(r Row) Row {
	if a.chance(35, "pack") {
		r["Pack"] = Number(pick(a, "pack of", "2", "6", "10", "12.5", "0.25", "50"))
	}
	return r
}

// priceRows draws an item's rows in a unit that its lines convert to.
func (a *artist) priceRows(n need) {
	add := func(r Row) { a.s.Add("Prices", r) }
	key := takeoff.ItemKey(n.item)
	if strings.HasPrefix(key, "bar-") {
		a.barRows(n.item, key)
		return
	}
	switch key {
	case takeoff.ItemBraceSet, takeoff.ItemBraceTall, "plank", "rail":
		if a.chance(60, "rented") {
			for _, period := range []string{"day", "week", "4-week"} {
				if a.chance(65, "period") {
					r := Row{"Item": Text(n.item), "Unit": Text(period), "Price": a.price(), "Kind": Text("rental"), "Supplier": Text("Hire Yard")}
					if key == "plank" {
						r["Length"] = Long(a.in(8 * 12))
					}
					add(r)
				}
			}
			if len(a.s.Rows["Prices"]) > 0 && a.s.Rows["Prices"][len(a.s.Rows["Prices"])-1].Is("Item", n.item) {
				return
			}
		}
	}
	of := func(units ...string) string { return pick(a, "unit", units...) }
	switch n.unit {
	case unit.Foot, unit.Metre:
		if a.chance(30, "by the piece") {
			for _, feet := range []int64{8, 12, 16}[:a.whole(1, 3, "stock lengths")] {
				r := a.packed(a.priceRow(n.item, "ea"))
				r["Length"] = Long(a.in(feet * 12))
				add(r)
			}
			return
		}
		add(a.packed(a.priceRow(n.item, of("ft", "m"))))
	case unit.SqFoot, unit.SqMetre:
		add(a.packed(a.priceRow(n.item, of("sqft", "m2"))))
	case unit.CuYard, unit.CuMetre:
		r := a.priceRow(n.item, of("cy", "m3", "cuft"))
		if !strings.HasPrefix(key, "concrete-") {
			a.packed(r)
		}
		add(r)
	case unit.Pound, unit.Kilo:
		add(a.packed(a.priceRow(n.item, of("lb", "kg", "ton", "t"))))
	case unit.Hour:
		add(a.packed(a.priceRow(n.item, "hr")))
	case unit.Each:
		add(a.packed(a.priceRow(n.item, of("ea", "ea", "box", "bag"))))
	default:
		add(a.packed(a.priceRow(n.item, of("ea", string(n.unit)))))
	}
}

// barRows draws stock lengths of a bar, or steel by mass; its bent bars now and then apart.
func (a *artist) barRows(item, key string) {
	add := func(r Row) { a.s.Add("Prices", r) }
	switch pick(a, "bars bought", "stock", "stock", "stock", "mass", "mass of stock") {
	case "stock":
		lengths := []length.Length{a.in(20 * 12), a.in(40 * 12), a.in(60 * 12)}
		for _, l := range lengths[:a.whole(1, 3, "stock lengths")] {
			r := a.priceRow(item, "ea")
			r["Length"] = Long(l)
			add(r)
		}
	case "mass":
		add(a.priceRow(item, pick(a, "mass unit", "lb", "kg", "ton")))
	case "mass of stock":
		r := a.priceRow(item, pick(a, "mass unit", "lb", "kg"))
		r["Length"] = Long(a.in(20 * 12))
		add(r)
	}
	if a.chance(30, "bent apart") {
		add(a.priceRow("bent-"+strings.TrimPrefix(key, "bar-"), pick(a, "bent unit", "ea", "lb")))
	}
}

func (a *artist) extras(needs []need) {
	for i := range a.whole(0, 4, "extras") {
		kind := pick(a, "extra", "add", "allowance", "alternate", "exclusion", "quantity")
		r := Row{"Line": Text(pick(a, "line", "Mobilise", "=Deduct", "Without the garage", "+Testing", "Line") + " " + strconv.Itoa(i+1)), "Kind": Text(kind)}
		switch kind {
		case "quantity":
			if len(needs) == 0 {
				continue
			}
			n := pick(a, "more of", needs...)
			r["Item"], r["Unit"] = Text(n.item), Text(string(n.unit))
			r["Quantity"] = Number(a.hundredths(1, 5000, "more"))
			if n.unit == unit.Each {
				r["Quantity"] = Whole(int64(a.whole(1, 30, "more")))
			}
			switch a.whole(0, 3, "where") {
			case 0:
				r["Level"] = Text(a.levels[0].name)
			case 1:
				r["Pour"] = Text("P" + a.levels[0].name)
			case 2:
				r["Wall"] = Text("W1")
			}
		case "add", "allowance", "alternate":
			low := 0
			if kind == "alternate" {
				low = -500000
			}
			if a.chance(60, "quantity") {
				r["Quantity"] = Number(a.hundredths(0, 4000, "of it"))
			}
			r["Price"] = Number(a.hundredths(low, 500000, "extra price"))
			if len(needs) > 0 && a.chance(30, "at an item's price") {
				n := pick(a, "priced as", needs...)
				if row := a.priced(n.item); row != nil && row["Length"].Blank() && !row.Is("Kind", "rental") {
					delete(r, "Price")
					r["Item"], r["Unit"] = Text(n.item), row["Unit"]
				}
			}
		}
		a.s.Add("Extras", r)
	}
}
