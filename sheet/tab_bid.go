package sheet

import (
	"strconv"
	"strings"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"wallbill/pricing"
	"wallbill/takeoff"
)

// The rows of the build-up on Bid; the amounts stand in column C.
const (
	bidDirect = firstRow + iota
	bidTaxable
	bidTax
	bidContingency
	bidOverhead
	bidCost
	bidProfit
	bidBond
	bidRounding
	bidTotal
	bidControl
)

// bidRows is where the further tables of Bid are: the row of the first line of each, below its header.
type bidRows struct {
	kinds, groups, levels, pours, figures, additions, alternates, exclusions, cautions int
}

// newBidRows counts the rows of the tables on Bid. Each has a blank row, a title and a header before it.
func newBidRows(b *pricing.Bid) bidRows {
	const before = 3
	var r bidRows
	row := bidControl + 1
	table := func(n int) int {
		first := row + before
		row = first + max(n, 1)
		return first
	}
	r.kinds = table(len(oneCase(b.Totals.ByKind)))
	r.groups = table(len(oneCase(b.Totals.ByGroup)))
	r.levels = table(len(b.Levels) + 1)
	r.pours = table(len(b.Pours) + 1)
	r.figures = table(len(b.PerUnit))
	r.additions = table(len(b.Extras))
	r.alternates = table(len(b.Alternates))
	r.exclusions = table(len(b.Exclusions))
	r.cautions = table(len(bidCautions))
	return r
}

// bidTab is the bid on one printed page.
func (p *priced) bidTab() (*page, error) {
	b, t := p.bid, &p.bid.Totals
	pg := newPage(tabBid, "Bid", p.under, "")
	pg.onePage, pg.landscape, pg.most = true, false, map[int]float64{1: 38, 5: 38}
	pg.flags = []string{"C" + strconv.Itoa(bidControl)}
	alternatesUnpriced := ""
	if len(b.Alternates) > 0 {
		alternatesUnpriced = "+SUM(" + colRange("", "L", p.layout.bidRows.alternates, p.layout.bidRows.alternates+len(b.Alternates)-1) + ")"
	}
	banner := ""
	if b.Unpriced > 0 {
		banner = "INCOMPLETE"
	}
	pg.rows[hintRow-1] = []outCell{calcTextCell(`IF(SUM(`+p.ofPriced(pricedUnpriced)+`)`+alternatesUnpriced+`>0,"INCOMPLETE","")`, banner, asBanner)}

	cur, m := textCell(p.currency()), p.minor()
	pg.head("Build-up", ">Rate", ">Amount", "Unit", "Note")
	rate := func(row int, d decimal.Decimal) outCell { return calcCell(cellRef(tabInputs, "B", row), d, asPercent) }
	line := func(label string, rate outCell, formula string, d decimal.Decimal, note string) {
		pg.add(textCell(label), rate, calcCell(formula, d, asMoney), cur, wrapCell(note))
	}
	r := b.Rates
	c := func(row int) string { return "C" + strconv.Itoa(row) }
	line("Direct cost", outCell{}, "ROUND(SUM("+p.ofPriced(pricedExtension)+"),"+m+")", t.Direct, "all of Priced items, extras included")
	line("of which taxable", outCell{}, "ROUND(SUMIFS("+p.ofPriced(pricedExtension)+","+p.ofPriced(pricedTaxable)+`,"yes"),`+m+")", t.Taxable, "")
	line("Sales tax", rate(inputTax, r.SalesTax), "ROUND(B"+strconv.Itoa(bidTax)+"*"+c(bidTaxable)+","+m+")", t.Tax, "on what is taxable")
	line("Contingency", rate(inputContingency, r.Contingency), "ROUND(B"+strconv.Itoa(bidContingency)+"*("+c(bidDirect)+"+"+c(bidTax)+"),"+m+")", t.Contingency, "on direct cost and tax")
	line("Overhead", rate(inputOverhead, r.Overhead), "ROUND(B"+strconv.Itoa(bidOverhead)+"*("+c(bidDirect)+"+"+c(bidTax)+"+"+c(bidContingency)+"),"+m+")", t.Overhead, "on direct cost, tax and contingency")
	pg.add(outCell{value: "Cost", look: asTotalText}, outCell{look: asTotalText},
		calcCell("ROUND("+c(bidDirect)+"+"+c(bidTax)+"+"+c(bidContingency)+"+"+c(bidOverhead)+","+m+")", t.Cost, asTotalMoney),
		outCell{value: p.currency(), look: asTotalText}, outCell{value: "direct cost, tax, contingency and overhead", look: asTotalText})
	on := "on cost"
	if r.ProfitOnPrice {
		on = "as a share of cost and profit together"
	}
	line("Profit", rate(inputProfit, r.Profit), p.profit(c(bidCost), "B"+strconv.Itoa(bidProfit)), t.Profit, on+" (Profit on: Bid inputs)")
	line("Bond", rate(inputBond, r.Bond), "ROUND(B"+strconv.Itoa(bidBond)+"*("+c(bidCost)+"+"+c(bidProfit)+"),"+m+")", t.Bond, "on cost and profit")
	before := c(bidCost) + "+" + c(bidProfit) + "+" + c(bidBond)
	line("Rounding", outCell{}, "ROUND("+c(bidTotal)+"-("+before+"),"+m+")", t.Rounding, "to the step of Round bid to (Bid inputs)")
	pg.add(outCell{value: "Bid total", look: asBidText}, outCell{look: asBidText},
		calcCell(p.rounded(before), t.BidTotal, asBidMoney), outCell{value: p.currency(), look: asBidText}, outCell{look: asBidText})
	pg.add(textCell("Control sums"), outCell{}, p.controlFlag(), outCell{}, wrapCell("each is on tab Checks"))

	rows := p.layout.bidRows
	p.kindTables(pg, rows)
	p.placeTables(pg, rows)
	p.figures(pg)
	p.additions(pg)
	p.alternates(pg)

	pg.section("Exclusions")
	pg.head("Not in the bid")
	for i := range b.Exclusions {
		x := &b.Exclusions[i]
		line := x.Line
		if x.Notes != "" {
			line += ": " + x.Notes
		}
		pg.add(outCell{value: line, look: asLong})
	}
	none(pg, len(b.Exclusions))
	pg.section("Cautions")
	pg.head("Read before use")
	for _, s := range bidCautions {
		pg.add(outCell{value: s, look: asLong})
	}
	p.costChart(pg, rows)
	return pg, nil
}

// none says in a table without rows that there are none.
func none(pg *page, rows int) {
	if rows == 0 {
		pg.add(textCell("none"))
	}
}

// profit is the profit on a cost: a markup, or a share of the price.
func (p *priced) profit(cost, rate string) string {
	return `ROUND(IF(` + cellFixed(tabInputs, "B", inputProfitOn) + `="price",` + cost + "*" + rate + "/(1-" + rate + ")," + cost + "*" + rate + ")," + p.minor() + ")"
}

// rounded is a sum rounded half up to the step of the bid.
func (p *priced) rounded(sum string) string {
	step := cellFixed(tabInputs, "B", inputRound)
	return "ROUND(ROUND(ROUND((" + sum + ")/" + step + ",6),0)*" + step + "," + p.minor() + ")"
}

// share is a part of the direct cost as a rate.
func (p *priced) share(row int, amount decimal.Decimal) outCell {
	direct := p.bid.Totals.Direct
	part := decimal.Decimal{}
	if !direct.IsZero() {
		part = quotient(amount, direct, 4)
	}
	c := "$C$" + strconv.Itoa(bidDirect)
	return calcCell("IF("+c+"=0,0,ROUND(C"+strconv.Itoa(row)+"/"+c+",4))", part, asPercent)
}

// kindTables are the sums by kind and by group. The sums compare the label itself where SUMIFS would take it for a
// pattern.
func (p *priced) kindTables(pg *page, rows bidRows) {
	table := func(title, head, letter string, amounts []pricing.Amount, first int) {
		pg.section(title)
		pg.head(head, ">Share", ">Amount", "Unit")
		plain := plainLabels(amounts)
		for i, a := range amounts {
			row := first + i
			label := "A" + strconv.Itoa(row)
			formula := "SUMIFS(" + p.ofPriced(pricedExtension) + "," + p.ofPriced(letter) + "," + label + ")"
			if !plain {
				formula = "SUMPRODUCT(--(" + p.ofPriced(letter) + "=" + label + ")," + p.ofPriced(pricedExtension) + ")"
			}
			pg.add(textCell(a.Name), p.share(row, a.Amount), calcCell("ROUND("+formula+","+p.minor()+")", a.Amount, asMoney), textCell(p.currency()))
		}
		none(pg, len(amounts))
	}
	table("By kind", "Kind", pricedKind, oneCase(p.bid.Totals.ByKind), rows.kinds)
	table("By group", "Group", pricedGroup, oneCase(p.bid.Totals.ByGroup), rows.groups)
}

// oneCase puts together labels that differ in case only, as a spreadsheet's comparison does, under the first of them.
func oneCase(amounts []pricing.Amount) []pricing.Amount {
	var list []pricing.Amount
	at := map[string]int{}
	for _, a := range amounts {
		k := strings.ToLower(a.Name)
		if i, ok := at[k]; ok {
			list[i].Amount = list[i].Amount.Add(a.Amount)
			continue
		}
		at[k] = len(list)
		list = append(list, a)
	}
	return list
}

// mostCriterion is the most characters of a text that SUMIFS matches (from memory: more is #VALUE! in the large desktop program).
const mostCriterion = 255

// plainLabels tells whether SUMIFS matches each of the labels with itself alone: none is a pattern or a comparison or too
// long, and no two are the same number.
func plainLabels(amounts []pricing.Amount) bool {
	numbers := map[string]bool{}
	for _, a := range amounts {
		if a.Name == "" || len(a.Name) > mostCriterion || strings.ContainsAny(a.Name, "*?~") || strings.ContainsAny(a.Name[:1], "<>=") {
			return false
		}
		if f, err := strconv.ParseFloat(strings.TrimSpace(a.Name), 64); err == nil {
			k := strconv.FormatFloat(f, 'g', -1, 64)
			if numbers[k] {
				return false
			}
			numbers[k] = true
		}
	}
	return true
}

// placeTables are the sums by level and by pour, of tab Shares.
func (p *priced) placeTables(pg *page, rows bidRows) {
	cols := p.sharesColumns()
	table := func(title, head string, names []string, rest string, amounts []pricing.Amount, first, col int) {
		pg.section(title)
		pg.head(head, ">Share", ">Amount", "Unit")
		by := map[string]decimal.Decimal{}
		for _, a := range amounts[:max(len(amounts)-1, 0)] {
			by[takeoff.ItemKey(a.Name)] = a.Amount
		}
		last := decimal.Decimal{}
		if len(amounts) > 0 {
			last = amounts[len(amounts)-1].Amount
		}
		for i := 0; i <= len(names); i++ {
			name, amount := rest, last
			if i < len(names) {
				name, amount = names[i], by[takeoff.ItemKey(names[i])]
			}
			row := first + i
			sum := "ROUND(SUM(" + colRange(tabShares, takeoff.ColumnName(col+i), firstRow, p.layout.pricedLast) + ")," + p.minor() + ")"
			pg.add(textCell(name), p.share(row, amount), calcCell(sum, amount, asMoney), textCell(p.currency()))
		}
	}
	table("By level", "Level", p.bid.Levels, "the job (no level)", p.bid.Totals.ByLevel, rows.levels, cols.levels)
	table("By pour", "Pour", p.bid.Pours, "the job (no pour)", p.bid.Totals.ByPour, rows.pours, cols.pours)
}

// figures are the bid and the hours of labour per unit of a driver.
func (p *priced) figures(pg *page) {
	pg.section("Per unit")
	pg.head("Figure", ">Divided by", ">Amount", "Unit", "Note")
	for i := range p.bid.PerUnit {
		f := &p.bid.PerUnit[i]
		row := strconv.Itoa(pg.next())
		by := quantityCell(f.By)
		if formula, ok := p.driverSum(f.Driver); ok {
			by = calcCell(formula, f.By, quantityLook(f.By))
		}
		l, unit, of := asQuantity, "hr/"+string(f.Unit), p.labourHours(f.Of)
		if f.IsMoney {
			l, unit, of = asMoney, p.currency()+"/"+string(f.Unit), "$C$"+strconv.Itoa(bidTotal)
		}
		if f.Places > p.job.MinorDigits && f.IsMoney {
			l = asPrice
		}
		amount := moneyOrBlank("IF(B"+row+`=0,"",ROUND(`+of+"/B"+row+","+strconv.Itoa(int(f.Places))+"))", f.Amount, l)
		note := ""
		if f.By.IsZero() {
			note = "n/a: the job has none"
		}
		pg.add(textCell(f.Name), by, amount, textCell(unit), textCell(note))
	}
	none(pg, len(p.bid.PerUnit))
}

// labourHours is the sum of the orders of labour in hours.
func (p *priced) labourHours(decimal.Decimal) string {
	return "SUMIFS(" + p.ofPriced(pricedOrder) + "," + p.ofPriced(pricedKind) + `,"labor",` + p.ofPriced(pricedUnit) + `,"hr")`
}

// driverSum is the cells of drivers on Bid inputs, added.
func (p *priced) driverSum(names string) (string, bool) {
	var cells []string
	for _, n := range strings.Split(names, "+") {
		row, ok := p.layout.driverRow[strings.TrimSpace(n)]
		if !ok {
			return "", false
		}
		cells = append(cells, cellRef(tabInputs, "B", row))
	}
	return strings.Join(cells, "+"), true
}

// additions lists additions and allowances, which are in the direct cost.
func (p *priced) additions(pg *page) {
	pg.section("Additions and allowances (in the direct cost)")
	pg.head("Line", ">Quantity", ">Amount", "Unit", "Note")
	for i := range p.bid.Extras {
		x := &p.bid.Extras[i]
		from := cellRef(tabPriced, pricedExtension, firstRow+len(p.bid.Items)+i)
		note := string(x.Extra.Kind)
		if x.Extra.Notes != "" {
			note += ": " + x.Extra.Notes
		}
		pg.add(wrapCell(x.Line), quantityCell(x.Quantity), moneyOrBlank(from, x.Extension, asMoney), textCell(p.currency()), wrapCell(note))
	}
	none(pg, len(p.bid.Extras))
}

// alternates lists alternates with the bid as it would be with each: the build-up with the amount added to the direct cost,
// worked in the columns at the right.
func (p *priced) alternates(pg *page) {
	pg.section("Alternates (not in the bid)")
	if len(p.bid.Alternates) == 0 {
		pg.head("Line", ">Amount", ">Bid with it", "Unit", "Note")
		none(pg, 0)
		return
	}
	pg.head("Line", ">Amount", ">Bid with it", "Unit", "Note", ">Quantity", ">Contingency", ">Overhead", ">Cost", ">Profit", ">Bond", ">Unpriced")
	for i := range p.bid.Alternates {
		a := &p.bid.Alternates[i]
		r := strconv.Itoa(pg.next())
		m := p.minor()
		c := func(row int) string { return "$C$" + strconv.Itoa(row) }
		b := func(row int) string { return "$B$" + strconv.Itoa(row) }
		quantity := "$F" + r
		price := lookedUp(quantity, p.alternateRow(i))
		// SUM passes over the amount's empty text where there is no price: the workings are then those of the bid itself.
		direct := "SUM($B" + r + "," + c(bidDirect) + "," + c(bidTax) + ")"
		some := a.Extension != nil
		calc := func(formula string, d decimal.Decimal) outCell { return calcCell(formula, d, asMoney) }
		unpriced := decimal.NewFromInt(1)
		total := decimal.Decimal{}
		if some {
			unpriced = decimal.Decimal{}
		}
		if a.BidTotal != nil {
			total = *a.BidTotal
		}
		t := &a.Totals
		if !some {
			t = &p.bid.Totals
		}
		with := p.rounded("I" + r + "+J" + r + "+K" + r)
		withCell := calcTextCell(`IF($B`+r+`="","",`+with+`)`, "", asMoney)
		if some {
			withCell = calcCell(withCell.formula, total, asMoney)
		}
		note := a.Extra.Extra.Notes
		if a.Quantity.String() != "1" {
			note = strings.TrimSuffix(a.Quantity.String()+" "+string(a.Unit)+"; "+note, "; ")
		}
		pg.add(wrapCell(a.Line),
			moneyOrBlank(`IF(`+price+`="","",ROUND(`+quantity+"*"+price+","+m+"))", a.Extension, asMoney),
			withCell, textCell(p.currency()), wrapCell(note), quantityCell(a.Quantity),
			calc("ROUND("+b(bidContingency)+"*"+direct+","+m+")", t.Contingency),
			calc("ROUND("+b(bidOverhead)+"*("+direct+"+G"+r+"),"+m+")", t.Overhead),
			calc("ROUND("+direct+"+G"+r+"+H"+r+","+m+")", t.Cost),
			calc(p.profit("I"+r, b(bidProfit)), t.Profit),
			calc("ROUND("+b(bidBond)+"*(I"+r+"+J"+r+"),"+m+")", t.Bond),
			calcCell(`IF($B`+r+`="",1,0)`, unpriced, asWhole))
	}
}

// The notes column of Bid, where the chart stands, and its width in characters.
const (
	chartColumn      = 5
	chartColumnWidth = 64
)

// costChart is the direct cost by group, by kind where no row has a group.
func (p *priced) costChart(pg *page, rows bidRows) {
	amounts, first, by := oneCase(p.bid.Totals.ByGroup), rows.groups, "group"
	grouped := false
	for _, a := range amounts {
		grouped = grouped || a.Name != pricing.NoGroup && a.Name != pricing.KindExtra
	}
	if !grouped {
		amounts, first, by = oneCase(p.bid.Totals.ByKind), rows.kinds, "kind"
	}
	if len(amounts) == 0 {
		return
	}
	last := first + len(amounts) - 1
	// Beside the tables by kind and group, whose notes column is empty; the workings of the alternates, further right, are not printed.
	pg.least, pg.printCols = map[int]float64{chartColumn: chartColumnWidth}, chartColumn
	pg.charts = append(pg.charts, chartAt{takeoff.ColumnName(chartColumn) + strconv.Itoa(rows.kinds-2), &excelize.Chart{
		Type: excelize.Bar, VaryColors: oneColour,
		Dimension: excelize.ChartDimension{Width: 430, Height: 320},
		Format:    excelize.GraphicOptions{AltText: "Bar chart of the direct cost by " + by + "; its numbers stand in the table By " + by, Positioning: "oneCell"},
		Title:     chartTitle("Direct cost by " + by + " (" + p.currency() + ")"),
		Legend:    excelize.ChartLegend{Position: "none"},
		Series: []excelize.ChartSeries{{
			Name: cellFixed(tabBid, "C", first-1), Categories: colRange(tabBid, "A", first, last), Values: colRange(tabBid, "C", first, last), Fill: solid(chartColours[0]),
		}},
		XAxis: excelize.ChartAxis{ReverseOrder: true, Font: chartFont()},
		YAxis: excelize.ChartAxis{MajorGridLines: true, Font: chartFont(), NumFmt: excelize.ChartNumFmt{CustomNumFmt: wholeFormat}},
	}})
}
