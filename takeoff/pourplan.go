package takeoff

import (
	"fmt"
	"slices"
	"sort"

	"github.com/shopspring/decimal"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// The words of a pour's pressure check.
const (
	UnderRating = "at or under rating"
	OverRating  = "OVER RATING"
	NotChecked  = "NOT CHECKED"
)

// pourNames are the pours with concrete, in order of tab Pours, then of first mention.
func (p *pass) pourNames() []string {
	var names []string
	seen := map[string]bool{}
	add := func(name string) {
		k := ItemKey(name)
		if pv := p.volumes.byKey[k]; pv == nil || seen[k] || pv.sum[wallKind].IsZero() && pv.sum[footingKind].IsZero() {
			return
		}
		seen[k] = true
		names = append(names, name)
	}
	for _, r := range p.job.Pours {
		add(r.Name)
	}
	for _, n := range p.volumes.names {
		add(n)
	}
	return names
}

// pourPlans is R-POUR, R-LIFT, R-TRUCK and R-PUMP.
func (p *pass) pourPlans() {
	for _, name := range p.pourNames() {
		pv := p.volumes.of(name)
		plan := PourPlan{
			Pour: name, Row: p.job.pourRow(name), Status: NotChecked,
			WallConcrete: pv.sum.finished(wallKind), FootingConcrete: pv.sum.finished(footingKind),
			WallItem: p.concreteItem(name, wallKind), FootingItem: p.concreteItem(name, footingKind),
			LevelShares: pv.shares(),
		}
		for _, w := range pv.walls {
			if w.Footing != nil && w.Footing.CastWithWall && sameName(w.Zones[0].Pour, name) {
				plan.CastTogether = true
			}
		}
		at := p.pourPlace(name, pv)
		p.orders(&plan)
		if !p.sums {
			p.lifts(&plan, pv)
		}
		p.trucks(&plan, at)
		p.pump(&plan, at)
		if !p.sums {
			p.sideFill(&plan, pv)
		}
		p.drive("pours", at, exact.Int(1))
		p.drive("trucks", at, exact.Int(plan.Trucks))
		p.out.Pours = append(p.out.Pours, plan)
	}
}

// pourPlace is where a pour's own lines belong: its level too when it has only one.
func (p *pass) pourPlace(name string, pv *pourVolume) place {
	at := place{Pour: name}
	if len(pv.levels) == 1 {
		at.Level = pv.levels[0].level
	}
	return at
}

// pourCell is the cell of a pour in tab Pours, its row when the column is not there, the tab when the pour has no row.
func pourCell(r *PourRow, column string) Ref {
	if r == nil {
		return Ref{Tab: "Pours"}
	}
	return r.At.At(r.Columns[column])
}

// orders is R-POUR: what is ordered of walls and footings.
func (p *pass) orders(plan *PourPlan) {
	step := p.units.Volume.Of(p.set.Num(SetOrderStep))
	prime := exact.Num{}
	if plan.Row != nil && plan.Row.Pump {
		prime = p.units.Volume.Of(p.set.Num(SetPumpPrime))
	}
	order := func(volume decimal.Decimal, waste SettingID) decimal.Decimal {
		if volume.Sign() <= 0 {
			return decimal.Decimal{}
		}
		v := exact.Dec(volume).Mul(exact.Int(1).Add(p.set.Num(waste))).Add(prime)
		prime = exact.Num{} // once a pumped pour
		steps := exact.Dec(v.Div(step).Round(6)).Ceil()
		return step.Times(steps).Quantity()
	}
	plan.WallOrder = order(plan.WallConcrete, SetConcreteWaste)
	plan.FootingOrder = order(plan.FootingConcrete, SetFootingWaste)
}

// rate is the pour's placing rate in nm³ an hour.
func (plan *PourPlan) rate() (exact.Num, bool) {
	if plan.Row == nil || plan.Row.Rate == nil || plan.Row.Rate.Sign() <= 0 {
		return exact.Num{}, false
	}
	return exact.Dec(*plan.Row.Rate).Mul(plan.Row.RateUnit.Base()), true
}

// part is a pour's part of a wall: its zones in the pour, from bottom to top above the wall's base.
type part struct {
	w           *WallLines
	bottom, top length.Length
}

// slice is a layer of a pour in which nothing changes.
type slice struct {
	bottom, top length.Length // above the parts' bottoms
	area        exact.Num     // nm², at its middle
}

// parts are the pour's parts of walls: one for each unbroken group of zones.
func parts(pv *pourVolume, name string) []part {
	var ps []part
	for _, w := range pv.walls {
		open := false
		for _, z := range w.Zones {
			if !sameName(z.Pour, name) {
				open = false
				continue
			}
			if open {
				ps[len(ps)-1].top = z.Top
			} else {
				ps = append(ps, part{w, z.Bottom, z.Top})
			}
			open = true
		}
	}
	return ps
}

// slices cuts the parts at every height where an area may change.
func slicesOf(ps []part, lift length.Length) []slice {
	var cuts []length.Length
	top := length.Length(0)
	for _, q := range ps {
		add := func(z length.Length) {
			if z >= q.bottom && z <= q.top {
				cuts = append(cuts, z-q.bottom)
			}
		}
		add(q.bottom)
		add(q.top)
		add(q.w.Height)
		add(q.w.HeightEnd)
		for _, b := range q.w.Bands {
			add(b.Bottom)
		}
		for _, h := range q.w.Holes {
			add(h.Sill)
			add(h.Head())
		}
		top = max(top, q.top-q.bottom)
	}
	for z := lift; z < top; z += lift {
		cuts = append(cuts, z)
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)
	if len(cuts) < 2 {
		return nil
	}
	out := make([]slice, len(cuts)-1)
	for i := range out {
		out[i] = slice{bottom: cuts[i], top: cuts[i+1]}
	}
	// Each part adds its area to the slices it reaches; the slices of a part are found by search, so that a pour of many
	// walls costs their slices, not all slices times all walls.
	for _, q := range ps {
		for i := sort.Search(len(out), func(i int) bool { return out[i].bottom >= 0 }); i < len(out) && out[i].bottom < q.top-q.bottom; i++ {
			out[i].area = out[i].area.Add(q.area(out[i]))
		}
	}
	return out
}

// area is the part's horizontal area in a slice, at the slice's middle for a raked top, repeats counted.
func (q part) area(s slice) exact.Num {
	w := q.w
	z := q.bottom + s.bottom
	b := w.BandAt(z)
	line := exact.Len(b.Lc + w.TeeGrowth(b))
	if lo, hi := w.Lesser(), w.Greater(); w.Raked() && z >= lo {
		mid := exact.Len(2*q.bottom + s.bottom + s.top).Div(exact.Int(2))
		line = line.Mul(exact.Len(hi).Sub(mid)).Div(exact.Len(hi - lo))
	}
	for _, h := range w.Holes {
		if h.Sill <= z && z < h.Head() {
			line = line.Sub(exact.Len(h.Width))
		}
	}
	return exact.Max(line, exact.Num{}).Mul(exact.Len(b.Zone.Forms.Core)).Times(w.Run.Count)
}

// lifts is R-LIFT: least area, rate of rise, lifts, and the pressure against the forms' rating.
func (p *pass) lifts(plan *PourPlan, pv *pourVolume) {
	ps := parts(pv, plan.Pour)
	if len(ps) == 0 {
		return
	}
	u, lift := p.units, p.set.Len(SetLiftHeight)
	all := slicesOf(ps, lift)
	least := -1
	for i := range all {
		if all[i].area.Sign() > 0 && (least < 0 || all[i].area.Cmp(all[least].area) < 0) {
			least = i
		}
	}
	if least < 0 {
		return
	}
	set := &InchPound
	if u.System == length.Metric {
		set = &SI
	}
	area := all[least].area
	plan.LeastArea = quantity(u.Area.Of(area))
	plan.AtHeight = quantity(u.Length.Of(exact.Len(all[least].bottom)))

	rate, haveRate := plan.rate()
	p.liftRows(plan, all, lift, rate, haveRate)

	height := length.Length(0)
	var rating *exact.Num
	rated := true
	for _, q := range ps {
		height = max(height, q.top-q.bottom)
		for _, z := range q.w.Zones {
			if !sameName(z.Pour, plan.Pour) {
				continue
			}
			if z.Forms.Rating == nil {
				rated = false
			} else if r := z.Forms.Rating.in(set); rating == nil || r.Cmp(*rating) < 0 {
				rating = &r
			}
		}
	}
	subject := "pour " + plan.Pour
	place := Placement{
		Height: u.Length.Of(exact.Len(height)), Weight: p.set.Num(SetConcreteDensity), Chemistry: p.set.Num(SetConcreteChemistry),
	}
	slump := length.Length(0)
	if plan.Row != nil {
		slump = plan.Row.Slump
	}
	place.FullHead = slump == 0 || slump > greatestSlump || lift > deepestVibration
	if slump > 0 && slump <= stayInPlaceSlump {
		p.say(Warning, pourCell(plan.Row, "slump"), "R-LIFT", subject,
			"slump of %s: IRC R608.5.1.4 (2018) asks for more than 6 in in stay-in-place forms", slump.Show(u.System))
	}
	var haveTemp bool
	if plan.Row != nil {
		place.Temp, haveTemp = plan.Row.temp(set)
		if haveTemp && place.Temp.Add(set.Shift).Sign() <= 0 {
			haveTemp = false
		}
	}
	if haveRate {
		place.Rise = u.Length.Of(rate.Div(area))
		plan.RateOfRise = quantity(place.Rise)
		if g := u.Length.Of(p.set.Num(SetGreatestRise)); place.Rise.Cmp(g) > 0 {
			p.say(Warning, pourCell(plan.Row, "placing rate"), "R-LIFT", subject,
				"rises %s %s/h at %s above its bottom; greatest rate of rise set to %s (common practice)",
				trimDecimal(place.Rise.Round(2)), u.Length, all[least].bottom.Show(u.System), trimDecimal(g.Round(2)))
		}
	}
	if place.FullHead || haveRate && (haveTemp || place.Rise.Cmp(set.Fastest) > 0) {
		v := set.Pressure(place)
		plan.Pressure = quantity(v)
		plan.PressureHow = set.how(place)
	}
	if rating != nil && rated {
		plan.Rating = quantity(*rating)
	}
	var missing []string
	if !haveRate {
		missing = append(missing, "Placing rate")
	}
	if !haveTemp {
		missing = append(missing, "Concrete temp")
	}
	if !rated {
		missing = append(missing, "Pressure rating of its forms")
	}
	if len(missing) > 0 {
		at := pourCell(plan.Row, map[bool]string{true: "concrete temp", false: "placing rate"}[haveRate])
		p.say(Warning, at, "R-LIFT", subject, "form pressure NOT CHECKED: %s missing", joinWords(missing))
		return
	}
	pressure := set.Pressure(place)
	plan.Status = UnderRating
	if pressure.Cmp(*rating) > 0 {
		plan.Status = OverRating
		p.say(Warning, pourCell(plan.Row, "placing rate"), "R-LIFT", subject, "form pressure OVER RATING: %s against %s %s",
			trimDecimal(pressure.Round(1)), trimDecimal(rating.Round(1)), set.unitName())
	}
	switch rise, any, none := set.GreatestRise(place, *rating); {
	case any:
		plan.Notes = append(plan.Notes, "any placing rate: the full liquid head is at or under the rating")
	case none:
		plan.GreatestRise, plan.GreatestRate = quantity(exact.Num{}), quantity(exact.Num{})
		plan.Notes = append(plan.Notes, "no placing rate keeps to the rating at this height")
	default:
		plan.GreatestRise = quantity(rise)
		plan.GreatestRate = quantity(u.Volume.Of(rise.Mul(u.Length.Base()).Mul(area)))
	}
}

func (s *PressureSet) unitName() string {
	if s.SI {
		return "kPa"
	}
	return "psf"
}

// how is the pressure's arithmetic in words.
func (s *PressureSet) how(p Placement) string {
	show := func(n exact.Num) string { return trimDecimal(n.Round(4)) }
	g := ""
	if s.SI {
		g = "·9.81/1000"
	}
	head := fmt.Sprintf("w·h = %s·%s%s", show(p.Weight), show(p.Height), g)
	if p.FullHead || p.Rise.Cmp(s.Fastest) > 0 {
		return "full liquid head " + head
	}
	cw := show(s.weightFactor(p.Weight))
	t := show(p.Temp)
	if s.SI {
		t = "(" + t + "+17.8)"
	}
	eq := fmt.Sprintf("%s+%s·%s/%s", show(s.Base), show(s.PerRate), show(p.Rise), t)
	if p.Rise.Cmp(s.SlowUnder) >= 0 || p.Height.Cmp(s.LowTo) > 0 {
		eq = fmt.Sprintf("%s+%s/%s+%s·%s/%s", show(s.Base), show(s.Tall), t, show(s.TallRate), show(p.Rise), t)
	}
	return fmt.Sprintf("Cw·Cc·(%s) = %s·%s·(%s), at least %s·Cw, at most %s", eq, cw, show(p.Chemistry), eq, show(s.Least), head)
}

// liftRows are the lifts of the pour: volume and minutes of each.
func (p *pass) liftRows(plan *PourPlan, all []slice, lift length.Length, rate exact.Num, haveRate bool) {
	least := p.set.Num(SetMinutesBetweenLifts)
	quick := 0
	for _, s := range all {
		k := int(s.bottom / lift)
		if k == len(plan.Lifts) {
			plan.Lifts = append(plan.Lifts, Lift{Number: k + 1, Bottom: s.bottom})
		}
		l := &plan.Lifts[k]
		l.Top = s.top
		l.volume = l.volume.Add(s.area.Mul(exact.Len(s.top - s.bottom)))
	}
	for i := range plan.Lifts {
		l := &plan.Lifts[i]
		l.Volume = p.units.Volume.Of(l.volume).Quantity()
		if haveRate {
			m := l.volume.Div(rate).Times(60)
			l.Minutes = quantity(m)
			if m.Cmp(least) < 0 && i+1 < len(plan.Lifts) {
				quick++
			}
		}
	}
	if quick > 0 {
		p.say(Warning, pourCell(plan.Row, "placing rate"), "R-LIFT", "pour "+plan.Pour,
			"%d of its %d lifts take under %s minutes before the next (common practice)", quick, len(plan.Lifts), trimDecimal(least.Round(1)))
	}
}

func quantity(n exact.Num) *decimal.Decimal {
	d := n.Quantity()
	return &d
}

// joinWords is "a", "a and b", "a, b and c".
func joinWords(words []string) string {
	switch n := len(words); n {
	case 0:
		return ""
	case 1:
		return words[0]
	default:
		s := words[0]
		for _, w := range words[1 : n-1] {
			s += ", " + w
		}
		return s + " and " + words[n-1]
	}
}

// trucks is R-TRUCK: equal loads of each mix, short loads, waiting.
func (p *pass) trucks(plan *PourPlan, at place) {
	u := p.units
	full, short := u.Volume.Of(p.set.Num(SetTruck)), u.Volume.Of(p.set.Num(SetShortLoadUnder))
	free := p.set.Num(SetFreeUnloading).Mul(u.Volume.Base()) // minutes per unit of volume
	type mix struct {
		item  string
		order decimal.Decimal
	}
	mixes := []mix{{plan.FootingItem, plan.FootingOrder}, {plan.WallItem, plan.WallOrder}} // footings first
	if sameName(plan.FootingItem, plan.WallItem) {
		mixes = []mix{{plan.WallItem, plan.FootingOrder.Add(plan.WallOrder)}}
	}
	rate, haveRate := plan.rate()
	if haveRate {
		rate = u.Volume.Of(rate)
	}
	wait := exact.Num{}
	shortUnit := unit.Each
	if rows := p.job.PricesByItem["short-load"]; len(rows) > 0 && rows[0].Unit.Dimension() == unit.Volume {
		shortUnit = u.Volume
	}
	for _, m := range mixes {
		if m.order.Sign() <= 0 {
			continue
		}
		order := exact.Dec(m.order)
		n := order.Div(full).Ceil()
		load := order.Div(exact.Int(n))
		l := Load{Item: m.item, Count: n, Each: load.Quantity(), Short: load.Cmp(short) < 0}
		plan.Loads = append(plan.Loads, l)
		plan.Trucks += n
		if l.Short {
			operands := []Operand{Count("n", n, "R-TRUCK loads"), {"load", load, u.Volume, m.item}, {"least", short, u.Volume, "Job Short load under"}}
			if shortUnit == unit.Each {
				p.put(afterWalls, Line{Level: at.Level, Pour: at.Pour, Item: "short-load", Unit: unit.Each, Rule: "R-TRUCK", Quantity: decimal.NewFromInt(n),
					How: How{Formula: "n", Operands: operands[:1], Note: m.item + " loads under the least"}})
			} else {
				p.put(afterWalls, Line{Level: at.Level, Pour: at.Pour, Item: "short-load", Unit: u.Volume, Rule: "R-TRUCK",
					Quantity: short.Sub(load).Times(n).Quantity(), How: How{Formula: "(least−load)·n", Operands: operands, Note: m.item}})
			}
		}
		if haveRate {
			minutes := load.Div(rate).Times(60)
			if plan.MinutesBetweenTrucks == nil || minutes.Cmp(exact.Dec(*plan.MinutesBetweenTrucks)) > 0 {
				plan.MinutesBetweenTrucks = quantity(minutes)
			}
			if over := minutes.Sub(load.Mul(free)); over.Sign() > 0 {
				wait = wait.Add(over.Times(n))
			}
		}
	}
	if !haveRate {
		return
	}
	hours := exact.Dec(plan.WallOrder.Add(plan.FootingOrder)).Div(rate)
	p.drive("pour-hours", at, hours)
	if wait.Sign() > 0 {
		plan.WaitHours = wait.Div(exact.Int(60)).Quantity()
		p.put(afterWalls, Line{Level: at.Level, Pour: at.Pour, Item: "truck-wait", Unit: unit.Hour, Rule: "R-TRUCK", Quantity: plan.WaitHours,
			How: How{Formula: "wait/60", Operands: []Operand{Num("wait", wait, "Σ load/rate − load × free unloading, minutes")}}})
	}
	if plan.CastTogether && plan.FootingOrder.Sign() > 0 {
		plan.FootingMinutes = quantity(exact.Dec(plan.FootingOrder).Div(rate).Times(60))
		plan.Notes = append(plan.Notes, fmt.Sprintf("footing first: %s minutes to place, then %s minutes before the walls",
			trimDecimal(plan.FootingMinutes.Round(0)), trimDecimal(p.set.Num(SetFootingSetTime).Round(1))))
	}
}

// pump is R-PUMP.
func (p *pass) pump(plan *PourPlan, at place) {
	rate, haveRate := plan.rate()
	if plan.Row == nil || !plan.Row.Pump {
		return
	}
	u := p.units
	orders := plan.WallOrder.Add(plan.FootingOrder)
	put := func(item string, un unit.Unit, q decimal.Decimal, how How) {
		p.put(afterWalls, Line{Level: at.Level, Pour: at.Pour, Item: item, Unit: un, Quantity: q, Rule: "R-PUMP", How: how, At: plan.Row.At})
	}
	put("pump-setup", unit.Each, decimal.NewFromInt(1), How{Formula: "1"})
	put("pump-volume", u.Volume, orders, How{Formula: "walls+footings", Operands: []Operand{
		{"walls", exact.Dec(plan.WallOrder), u.Volume, "R-POUR order"}, {"footings", exact.Dec(plan.FootingOrder), u.Volume, "R-POUR order"}}})
	least := p.set.Num(SetPumpMinimum)
	hours, how := least, How{Formula: "least", Operands: []Operand{Num("least", least, "Job Pump minimum")}}
	if haveRate {
		setup := p.set.Num(SetPumpSetup)
		hours = exact.Max(least, exact.Dec(orders).Div(u.Volume.Of(rate)).Add(setup))
		how = How{Formula: "max(least, orders/rate+setup)", Operands: []Operand{
			Num("least", least, "Job Pump minimum"), {"orders", exact.Dec(orders), u.Volume, "R-POUR"},
			Num("rate", u.Volume.Of(rate), "Pours Placing rate"), Num("setup", setup, "Job Pump set-up and wash-out")}}
	} else {
		p.say(Warning, pourCell(plan.Row, "placing rate"), "R-PUMP", "pour "+plan.Pour,
			"no Placing rate: pump hours are the minimum and waiting of trucks is not counted")
	}
	plan.PumpHours = hours.Quantity()
	put("pump-hours", unit.Hour, plan.PumpHours, how)
}

// sideFill warns of footings cast with walls that are too narrow to be filled from the sides (R-TRUCK).
func (p *pass) sideFill(plan *PourPlan, pv *pourVolume) {
	gap := p.set.Len(SetSidePourGap)
	for _, w := range pv.walls {
		f := w.Footing
		if f == nil || !f.CastWithWall || w.Greater() <= sidesFilledFromOver || !sameName(w.Zones[0].Pour, plan.Pour) {
			continue
		}
		if least := w.T + 2*gap; f.Width < least {
			p.say(Warning, w.Cell("footing"), "R-TRUCK", "Footing, wall "+w.Mark,
				"%s wide; to be filled from the sides under a wall over 4 ft it needs %s, the form and %s each side (common practice)",
				f.Width.Show(p.units.System), least.Show(p.units.System), gap.Show(p.units.System))
		}
	}
}
