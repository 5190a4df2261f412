package schedule

import (
	"strings"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/unit"
)

func itemKey(rec *record) string { return takeoff.ItemKey(rec.v("Item").word) }

func (r *reader) buildPrices() {
	r.job.PricesByItem = map[string][]*takeoff.PriceRow{}
	byItem := map[string][]*record{}
	for _, rec := range r.merged("Prices", itemKey) {
		item, u := rec.v("Item"), rec.v("Unit")
		if !item.has() {
			continue
		}
		if u.has() {
			for i, other := range byItem[itemKey(rec)] {
				if i == mostSuggestions {
					break
				}
				if !together(rec, other) {
					r.find(takeoff.Finding{Severity: takeoff.Error, At: item.at, Subject: "Item", Message: "the item stands on " + rowOf(other) + " already", Cell: item.cell,
						Accepted: "one row an item; more only with other Lengths, or for day, week and 4-week"})
					break
				}
			}
			byItem[itemKey(rec)] = append(byItem[itemKey(rec)], rec)
			r.nearUnit(rec)
		}
		p := &takeoff.PriceRow{
			At: rec.ref(), Item: item.word, Description: rec.v("Description").word, Group: rec.v("Group").word, Kind: rec.v("Kind").word,
			Supplier: rec.v("Supplier").word, Unit: u.unit, Pack: optional(rec.v("Pack")), Length: rec.v("Length").len,
			PerLoad: optional(rec.v("Per load")), Price: rec.v("Price").num, Waste: rec.v("Waste").num, HasWaste: rec.v("Waste").has(),
			Taxable: rec.v("Taxable").yes(true), ValidUntil: rec.v("Valid until").day, LeadDays: rec.v("Lead days").whole(0), Columns: rec.table.columns,
		}
		if v := rec.v("Supplier"); v.has() { // freight-<supplier> is an item
			if wrong := itemName(v.word); wrong != nil {
				r.fault(rec, "Supplier", strings.Replace(wrong.Message, "an item's name", "a supplier's name", 1), wrong.Accepted, wrong.Try)
			}
		}
		r.breaks(rec, p)
		r.job.Prices = append(r.job.Prices, p)
		key := takeoff.ItemKey(p.Item)
		r.job.PricesByItem[key] = append(r.job.PricesByItem[key], p)
	}
}

func optional(v *value) *decimal.Decimal {
	if !v.has() {
		return nil
	}
	d := v.num
	return &d
}

// together tells whether two rows of an item may stand side by side: with other lengths, or as rental periods.
func together(a, b *record) bool {
	la, lb := a.v("Length"), b.v("Length")
	if la.state == bad || lb.state == bad {
		return true
	}
	ua, ub := a.v("Unit").unit, b.v("Unit").unit
	if ua.Dimension() == unit.Period && ub.Dimension() == unit.Period {
		return ua != ub || la.len != lb.len
	}
	return la.has() && lb.has() && la.len != lb.len
}

// nearUnit notes a pack name that looks like a listed unit.
func (r *reader) nearUnit(rec *record) {
	v := rec.v("Unit")
	if v.unit.Known() {
		return
	}
	for wrong, right := range map[string]unit.Unit{
		"each": unit.Each, "sf": unit.SqFoot, "sq ft": unit.SqFoot, "sq. ft.": unit.SqFoot, "ft2": unit.SqFoot, "lf": unit.Foot, "lft": unit.Foot, "feet": unit.Foot, "foot": unit.Foot,
		"cf": unit.CuFoot, "cu ft": unit.CuFoot, "cu yd": unit.CuYard, "yd3": unit.CuYard, "cyd": unit.CuYard, "lbs": unit.Pound, "tons": unit.Ton, "tonne": unit.Tonne,
		"h": unit.Hour, "hour": unit.Hour, "hours": unit.Hour, "hrs": unit.Hour, "days": unit.Day, "weeks": unit.Week, "4 week": unit.Weeks4, "4week": unit.Weeks4, "m²": unit.SqMetre, "m³": unit.CuMetre,
	} {
		if string(v.unit) == wrong {
			r.note(rec, "Unit", "read as the name of a pack; did you mean '"+string(right)+"'?")
			return
		}
	}
	var listed []string
	for _, u := range unit.Listed {
		if len(u) > 2 {
			listed = append(listed, string(u))
		}
	}
	if near := takeoff.Nearest(string(v.unit), listed); near != "" {
		r.note(rec, "Unit", "read as the name of a pack; did you mean '"+near+"'?")
	}
}

// breaks reads the quantity breaks (P-PRICE): From 3 > From 2 > 0, each with its price.
func (r *reader) breaks(rec *record, p *takeoff.PriceRow) {
	for _, n := range []string{"2", "3"} {
		from, price := rec.v("From "+n), rec.v("Price "+n)
		if from.has() {
			r.missing(rec, "Price "+n, "is missing where a From "+n+" is given")
		}
		if price.has() {
			r.missing(rec, "From "+n, "is missing where a Price "+n+" is given")
		}
		if from.has() && price.has() {
			p.Breaks = append(p.Breaks, takeoff.Break{From: from.num, Price: price.num})
		}
	}
	two, three := rec.v("From 2"), rec.v("From 3")
	switch {
	case !three.has():
	case two.state == blank:
		r.missing(rec, "From 2", "is missing where a From 3 is given")
	case two.has() && three.num.LessThanOrEqual(two.num):
		r.fault(rec, "From 3", "not over From 2", "over "+two.text, "")
	}
}

func factorKey(rec *record) string {
	return itemKey(rec) + "\x00" + fold(rec.v("Per").word) + "\x00" + fold(rec.v("Level").word) + "\x00" + fold(rec.v("Pour").word) + "\x00" + formRowKey(rec)
}

func (r *reader) buildFactors() {
	first := map[string]*record{}
	for _, rec := range r.merged("Factors", factorKey) {
		item, per := rec.v("Item"), rec.v("Per")
		if !item.has() || !per.has() {
			continue
		}
		if f := first[factorKey(rec)]; f != nil {
			r.warn(rec, "Item", "the same item, driver and filters stand on "+rowOf(f)+" already; both rows count")
		} else {
			first[factorKey(rec)] = rec
		}
		driver, _ := takeoff.DriverByName(per.word)
		f := &takeoff.FactorRow{
			At: rec.ref(), Item: item.word, Per: driver.Name, Quantity: rec.v("Quantity").num, Unit: rec.v("Unit").unit,
			DriverUnit: takeoff.UnitsOf(r.job.Report).Unit(driver.Dimension), Level: rec.v("Level").word, Pour: rec.v("Pour").word,
			FormLine: rec.v("Form line").word, Core: rec.v("Core").len, Notes: rec.v("Notes").word, Columns: rec.table.columns,
		}
		if v := rec.v("Driver unit"); v.has() {
			f.DriverUnit = v.unit
			if _, _, ok := unit.Convert(f.DriverUnit, takeoff.UnitsOf(r.job.Report).Unit(driver.Dimension)); !ok {
				r.fault(rec, "Driver unit", driver.Name+" is "+withArticle(string(driver.Dimension))+"; '"+string(v.unit)+"' is "+dimensionWords(v.unit), unitsOf(driver.Dimension), "")
			}
		}
		f.Level = r.levelFilter(rec)
		f.Pour = r.pourFilter(rec)
		f.FormLine = r.lineFilter(rec)
		r.job.Factors = append(r.job.Factors, f)
	}
}

// dimensionWords says what a unit measures.
func dimensionWords(u unit.Unit) string {
	if !u.Known() {
		return "the name of a pack"
	}
	return withArticle(string(u.Dimension()))
}

func withArticle(noun string) string {
	if strings.ContainsAny(noun[:1], "aeiou") {
		return "an " + noun
	}
	return "a " + noun
}

// unitsOf lists the units of a dimension.
func unitsOf(d unit.Dimension) string {
	var names []string
	for _, u := range unit.Listed {
		if u.Dimension() == d {
			names = append(names, string(u))
		}
	}
	return strings.Join(names, ", ")
}

// filter is a level, pour or form line that a row names, spelled as defined. A name that the job does not know is an error
// in the schedule; in the price book, which serves many jobs, it filters everything out and is no finding.
func (r *reader) filter(rec *record, column string, spelled func(key string) (string, bool), names func() []string) string {
	v := rec.v(column)
	if !v.has() {
		return ""
	}
	if s, ok := spelled(fold(v.word)); ok {
		return s
	}
	if rec.table.file == "" {
		r.unknown(v.at, rec.subject(column), strings.ToLower(column)+" "+v.word+" is not one of the job", v.cell, v.word, "", names)
	}
	return v.word
}

func (r *reader) levelFilter(rec *record) string {
	return r.filter(rec, "Level", func(key string) (string, bool) {
		if l := r.levels[key]; l != nil {
			return l.out.Name, true
		}
		return "", false
	}, r.levelNames)
}

func (r *reader) pourFilter(rec *record) string {
	return r.filter(rec, "Pour", func(key string) (string, bool) { s, ok := r.pours[key]; return s, ok }, r.pourNames)
}

func (r *reader) lineFilter(rec *record) string {
	return r.filter(rec, "Form line", func(key string) (string, bool) { s, ok := r.formLines[key]; return s, ok }, r.lineNames)
}

func (r *reader) buildExtras() {
	for _, rec := range r.own("Extras") {
		kind, item, quantity, price := rec.v("Kind"), rec.v("Item"), rec.v("Quantity"), rec.v("Price")
		if !rec.v("Line").has() || !kind.has() {
			continue
		}
		x := &takeoff.ExtraRow{
			At: rec.ref(), Line: rec.v("Line").word, Kind: takeoff.ExtraKind(kind.word), Item: item.word, Quantity: decimal.NewFromInt(1),
			Unit: rec.v("Unit").unit, Price: optional(price), Notes: rec.v("Notes").word, Columns: rec.table.columns,
		}
		if quantity.has() {
			x.Quantity = quantity.num
		}
		switch x.Kind {
		case takeoff.ExtraQuantity:
			r.missing(rec, "Item", "is missing: a quantity adds to an item")
			r.missing(rec, "Quantity", "is missing: a quantity needs its number")
			if rows := r.job.PricesByItem[takeoff.ItemKey(item.word)]; x.Unit == "" && item.has() {
				if len(rows) > 0 {
					x.Unit = rows[0].Unit
				} else {
					r.missing(rec, "Unit", "is missing, and no price row of the item gives one")
				}
			}
			if price.has() {
				r.warn(rec, "Price", "not used: a quantity takes the item's price")
				x.Price = nil
			}
		case takeoff.ExtraExclusion:
		default:
			if price.state == blank && item.state == blank {
				r.missing(rec, "Price", "is missing, and there is no Item whose price it could take")
			}
			if quantity.has() && quantity.num.Sign() < 0 {
				r.fault(rec, "Quantity", "below zero", "0 or more; only a quantity takes away", "")
			}
			if price.has() && price.num.Sign() < 0 && x.Kind != takeoff.ExtraAlternate {
				r.fault(rec, "Price", "below zero", "0 or more; only an alternate's price may be negative", "")
			}
		}
		if wall := rec.v("Wall"); wall.has() {
			if w := r.walls[fold(wall.word)]; w != nil {
				x.Wall = w.Mark
			} else {
				r.refer(wall, rec.subject("Wall"), "wall "+wall.word, "Walls", r.wallNames)
			}
		}
		x.Level = r.levelFilter(rec)
		x.Pour = r.pourFilter(rec)
		if x.Pour != "" {
			r.inUse[fold(x.Pour)] = true
		}
		r.job.Extras = append(r.job.Extras, x)
	}
}

func (r *reader) buildOrdered() {
	for _, rec := range r.own("Ordered") {
		item := rec.v("Item")
		if !item.has() {
			continue
		}
		r.job.Ordered = append(r.job.Ordered, &takeoff.OrderedRow{
			At: rec.ref(), Date: rec.v("Date").day, Number: rec.v("Order number").word, Item: item.word, Length: rec.v("Length").len,
			Quantity: rec.v("Quantity").num, Unit: rec.v("Unit").unit, Columns: rec.table.columns,
		})
	}
}
