package sheet

import (
	"strconv"

	"github.com/shopspring/decimal"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// Columns of Priced items, Prices used and Bid inputs that formulas of other tabs name.
const (
	pricedItem      = "B"
	pricedPlanned   = "E"
	pricedTimes     = "G"
	pricedOver      = "H"
	pricedNet       = "I"
	pricedWaste     = "J"
	pricedPack      = "K"
	pricedOrder     = "L"
	pricedUnit      = "M"
	pricedPrice     = "N"
	pricedExtension = "O"
	pricedGroup     = "A"
	pricedKind      = "R"
	pricedTaxable   = "S"
	pricedUnpriced  = "T"

	pricesWaste  = "D"
	pricesPack   = "E"
	pricesFrom1  = "F"
	pricesFrom3  = "H"
	pricesPrice1 = "I"
	pricesPrice3 = "K"

	takeoffLevel    = "B"
	takeoffPour     = "C"
	takeoffItem     = "D"
	takeoffQuantity = "E"
	takeoffRule     = "H"
)

// planExtras is where the number of an addition or allowance comes from.
const planExtras = "Extras"

// ofPriced is a column of Priced items, for formulas of other tabs.
func (p *priced) ofPriced(letter string) string {
	return colRange(tabPriced, letter, firstRow, p.layout.pricedLast)
}

// lookedUp is the price at a quantity, by the breaks of a row of Prices used.
func lookedUp(quantity string, row int) string {
	r := strconv.Itoa(row)
	block := func(from, to string) string { return prefix(tabPrices) + "$" + from + r + ":$" + to + r }
	return "INDEX(" + block(pricesPrice1, pricesPrice3) + ",1,MATCH(" + quantity + "," + block(pricesFrom1, pricesFrom3) + ",1))"
}

// extended is order × price, blank without a price.
func (p *priced) extended(order, price string) string {
	return `IF(` + price + `="","",ROUND(` + order + "*" + price + "," + p.minor() + "))"
}

// moneyOrBlank is a formula's amount, or the empty text it gives without a price.
func moneyOrBlank(formula string, d *decimal.Decimal, l look) outCell {
	if d == nil {
		return calcTextCell(formula, "", l)
	}
	return calcCell(formula, *d, l)
}

// pricedItems is one row an item, one formula a column.
func (p *priced) pricedItems() (*page, error) {
	pg := newPage(tabPriced, "Priced items", p.under,
		"Net, order, price and extension are formulas; prices, waste and packs stand on Prices used. A planned number stays until the next run.")
	pg.table, pg.most = "PricedItems", map[int]float64{2: 22, 3: 22, 16: 18, 17: 14}
	money := " (" + p.currency() + ")"
	pg.tableCols = 20
	pg.head("Group", "Item", "Description", ">Length", ">Planned", "Planned on", ">Times", ">Over", ">Net", ">Waste", ">Pack", ">Order", "Unit",
		">Price"+money, ">Extension"+money, "Supplier", "Price from", "Kind", "Taxable", ">Unpriced")
	for i := range p.bid.Items {
		it := &p.bid.Items[i]
		taxable := "no"
		if it.Taxable {
			taxable = "yes"
		}
		p.pricedRow(pg, pricedLine{
			group: it.Group, item: it.Name, description: it.Description, length: it.Length, planned: it.Planned, plan: it.PlanTab,
			times: it.Times, over: it.Over, net: it.Net, waste: it.Waste, pack: it.Pack, order: it.Order, unit: string(it.Unit),
			price: it.Price, extension: it.Extension, supplier: it.Supplier, source: rowSource(it.Row), kind: it.Kind, taxable: taxable,
		})
	}
	one := decimal.NewFromInt(1)
	for i := range p.bid.Extras {
		x := &p.bid.Extras[i]
		line := pricedLine{
			group: pricing.KindExtra, item: x.Line, description: x.Extra.Notes, planned: &x.Quantity, plan: planExtras, times: one, over: one,
			net: x.Quantity, order: x.Quantity, unit: string(x.Unit), price: x.Price, extension: x.Extension,
			source: extraSource(x), kind: pricing.KindExtra, taxable: "no",
		}
		if x.Row != nil {
			line.supplier = x.Row.Supplier
		}
		p.pricedRow(pg, line)
	}
	return pg, nil
}

// pricedLine is what a row of Priced items holds.
type pricedLine struct {
	group, item, description string
	length                   length.Length
	planned                  *decimal.Decimal
	plan                     string
	times, over, net, waste  decimal.Decimal
	pack                     *decimal.Decimal
	order                    decimal.Decimal
	unit                     string
	price, extension         *decimal.Decimal
	supplier, source, kind   string
	taxable                  string
}

func (p *priced) pricedRow(pg *page, l pricedLine) {
	row := pg.next()
	r := strconv.Itoa(row)
	here := func(letter string) string { return letter + r }
	there := func(letter string) string { return cellRef(tabPrices, letter, row) }

	net := `IF(` + here(pricedPlanned) + `<>"",` + here(pricedPlanned) + `,ROUND(SUMIFS(` +
		colRange(tabTakeoff, takeoffQuantity, firstRow, p.layout.takeoffLast) + "," +
		colRange(tabTakeoff, takeoffItem, firstRow, p.layout.takeoffLast) + "," + here(pricedItem) + ")*" +
		here(pricedTimes) + "/" + here(pricedOver) + ",9))"
	grown := here(pricedNet) + "*(1+" + here(pricedWaste) + ")"
	pack := here(pricedPack)
	order := `IF(` + pack + `="",ROUND(` + grown + `,6),ROUNDUP(ROUND(` + grown + "/" + pack + ",6),0)*" + pack + ")"
	price := lookedUp(here(pricedOrder), row)
	unpriced := int64(0)
	if l.price == nil {
		unpriced = 1
	}
	packShown := calcTextCell(`IF(`+there(pricesPack)+`="","",`+there(pricesPack)+`)`, "", asFactor)
	orderLook := quantityLook(l.order)
	if l.pack != nil {
		packShown = calcCell(packShown.formula, *l.pack, asFactor)
		if !l.pack.IsInteger() {
			orderLook = asQuantity
		}
	}
	pg.add(
		textCell(l.group), textCell(l.item), wrapCell(l.description), p.lengthCell(l.length), optionalCell(l.planned), textCell(l.plan),
		factorCell(l.times), factorCell(l.over),
		calcCell(net, l.net, quantityLook(l.net)),
		calcCell(there(pricesWaste), l.waste, asPercent),
		packShown,
		calcCell(order, l.order, orderLook),
		textCell(l.unit),
		moneyOrBlank(`IF(`+price+`="","",`+price+`)`, l.price, asPrice),
		moneyOrBlank(p.extended(here(pricedOrder), here(pricedPrice)), l.extension, asMoney),
		textCell(l.supplier), textCell(l.source), textCell(l.kind), textCell(l.taxable),
		calcCell(`IF(`+here(pricedPrice)+`="",1,0)`, decimal.NewFromInt(unpriced), asWhole),
	)
}

// lengthCell shows a length as the job reports lengths; none is blank.
func (p *priced) lengthCell(l length.Length) outCell {
	if l == 0 {
		return outCell{}
	}
	return rightCell(l.ShowStock(p.job.Report))
}

func rowSource(r *takeoff.PriceRow) string {
	if r == nil {
		return ""
	}
	return r.At.At(r.Columns["price"]).String()
}

func extraSource(x *pricing.Extra) string {
	if x.Row != nil {
		return rowSource(x.Row)
	}
	return x.Extra.At.At(x.Extra.Columns["price"]).String()
}

// pricesUsed is one row a row of Priced items, at the same height, then one an alternate: the cells to play with.
func (p *priced) pricesUsed() (*page, error) {
	pg := newPage(tabPrices, "Prices used", p.under,
		"Boxed cells are yours to change: the bid follows, but a number marked plan kept stays until the next run, which reads the schedule and the price book.")
	pg.table, pg.tableCols, pg.most = "PricesUsed", 17, map[int]float64{12: 30}
	money := " (" + p.currency() + ")"
	pg.head("Item", ">Length", "Unit", ">Waste", ">Pack", ">From 1", ">From 2", ">From 3", ">Price 1"+money, ">Price 2"+money, ">Price 3"+money,
		"File", "Cell", "Status", ">Valid until", "Supplier", "Plan")
	for i := range p.bid.Items {
		it := &p.bid.Items[i]
		l := pricesLine{item: it.Name, length: it.Length, unit: string(it.Unit), pack: it.Pack, from: it.From, prices: it.Prices, row: it.Row,
			supplier: it.Supplier, plan: it.PlanKept, waste: it.Waste, fixedWaste: it.Concrete || it.Rental}
		p.pricesRow(pg, l)
	}
	for i := range p.bid.Extras {
		p.pricesRow(pg, extraPrices(&p.bid.Extras[i]))
	}
	if len(p.bid.Items)+len(p.bid.Extras) == 0 {
		pg.add()
	}
	for i := range p.bid.Alternates {
		l := extraPrices(&p.bid.Alternates[i].Extra)
		l.alternate = true
		p.pricesRow(pg, l)
	}
	return pg, nil
}

// alternateRow is an alternate's row of Prices used.
func (p *priced) alternateRow(i int) int { return p.layout.pricedLast + 1 + i }

type pricesLine struct {
	item       string
	length     length.Length
	unit       string
	waste      decimal.Decimal
	fixedWaste bool // the plan has its own
	pack       *decimal.Decimal
	from       [3]decimal.Decimal
	prices     [3]*decimal.Decimal
	row        *takeoff.PriceRow
	extra      *takeoff.ExtraRow
	supplier   string
	plan       bool
	alternate  bool
}

// extraPrices is an extra's own price, or the item's row with its breaks.
func extraPrices(x *pricing.Extra) pricesLine {
	l := pricesLine{item: x.Line, unit: string(x.Unit), from: [3]decimal.Decimal{{}, pricing.UnusedFrom, pricing.UnusedFrom},
		row: x.Row, extra: x.Extra, fixedWaste: true}
	switch {
	case x.Row != nil:
		l.supplier = x.Row.Supplier
		l.prices[0] = &x.Row.Price
		for i := 1; i < 3; i++ {
			l.prices[i] = l.prices[i-1]
			if i <= len(x.Row.Breaks) {
				l.from[i], l.prices[i] = x.Row.Breaks[i-1].From, &x.Row.Breaks[i-1].Price
			}
		}
	case x.Price != nil:
		l.prices = [3]*decimal.Decimal{x.Price, x.Price, x.Price}
	}
	return l
}

func (p *priced) pricesRow(pg *page, l pricesLine) {
	waste := outCell{value: storedNumber(l.waste), look: asInPercent}
	if l.fixedWaste {
		waste.look = asPercent
	}
	pack := outCell{look: asInQuantity}
	if l.extra != nil {
		pack = outCell{}
	} else if l.pack != nil {
		pack.value = storedNumber(*l.pack)
	}
	var prices [3]outCell
	for i, d := range l.prices {
		prices[i].look = asInPrice
		if d != nil {
			prices[i].value = storedNumber(*d)
		}
	}
	var from [3]outCell
	for i, d := range l.from {
		from[i] = outCell{value: storedNumber(d), look: asInFrom}
	}
	from[0].look = asFrom

	at, typed, valid := takeoff.Ref{}, "typed", takeoff.Date{}
	switch {
	case l.row != nil:
		at, valid = l.row.At.At(l.row.Columns["price"]), l.row.ValidUntil
	case l.extra != nil && l.prices[0] != nil:
		at = l.extra.At.At(l.extra.Columns["price"])
	default:
		typed = "MISSING: type it in Price 1"
	}
	if l.alternate {
		typed += "; alternate"
	}
	plan := ""
	if l.plan {
		plan = "plan kept"
	}
	pg.add(textCell(l.item), p.lengthCell(l.length), textCell(l.unit), waste, pack, from[0], from[1], from[2], prices[0], prices[1], prices[2],
		textCell(p.fileOf(at)), p.placeCell(at), textCell(typed), dateCell(valid), textCell(l.supplier), textCell(plan))
}

// fileOf is the file a ref is in: the price book, else the schedule.
func (p *priced) fileOf(at takeoff.Ref) string {
	if at.Tab == "" {
		return ""
	}
	if at.File == "" {
		return p.run.InputFile
	}
	return at.File
}

// placeCell shows a ref, as a link where it is in this workbook.
func (p *priced) placeCell(at takeoff.Ref) outCell {
	if at.Tab == "" {
		return outCell{}
	}
	shown := at
	shown.File = ""
	if at.File != "" {
		return textCell(shown.String())
	}
	return p.linkTo(shown.String(), at)
}

// linkTo is text that leads to a cell of the schedule's tabs.
func (p *priced) linkTo(s string, at takeoff.Ref) outCell {
	if at.File != "" || at.Tab == "" {
		return textCell(s)
	}
	if i, err := p.f.GetSheetIndex(at.Tab); err != nil || i < 0 {
		return textCell(s)
	}
	row, col := max(at.Row, 1), max(at.Col, 1)
	return linkCell(s, quoteTab(at.Tab)+"!"+takeoff.ColumnName(col)+strconv.Itoa(row))
}
