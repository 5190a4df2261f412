package sheet

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"wallbill/pricing/revision"
	"wallbill/takeoff/length"
)

// waterfallEdits is how many edits the chart shows; the others stand together.
const waterfallEdits = 10

// changeRows is where on Changes the sums stand that Checks compares; zero where nothing was compared.
type changeRows struct {
	firstEdit, lastEdit int
	difference          int // new total less old total, column B
	items               int // items and totals together, column M
}

// changes is what changed since the run before: what each edit cost, the items, the cells.
func (p *priced) changes() (*page, error) {
	pg := newPage(tabChanges, "Changes", p.under, "What changed since the run before and what each edit cost: the bid recomputed after each, in this order.")
	pg.most = map[int]float64{1: 60, 4: 24, 5: 24}
	if c := p.record.Changes; c == nil || c.Note != "" || c.Same() {
		pg.least = map[int]float64{1: 80} // the hint above has no other columns to run over
	}
	pg.head("What each edit cost", ">Cost", ">Bid after", "Unit")
	writeChanges(pg, p.record.Changes, changesLook{tab: tabChanges, currency: p.currency(), minor: p.job.MinorDigits, system: p.job.Report,
		link: func(text string, x *revision.InputChange) outCell { return p.linkTo(text, x.NewAt) }}, &p.layout.changes)
	return pg, nil
}

// changesLook is how a Changes tab is written: in the priced workbook, or in one of its own.
type changesLook struct {
	tab, currency string
	minor         int32
	system        length.System
	link          func(string, *revision.InputChange) outCell
}

// writeChanges puts the three sections below the header of the first.
func writeChanges(pg *page, c *revision.Changes, o changesLook, at *changeRows) {
	w := &changesPage{pg: pg, c: c, changesLook: o, at: at, m: strconv.Itoa(int(o.minor))}
	switch {
	case c == nil:
		pg.add(outCell{value: "no earlier run", look: asLong})
	case c.Note != "":
		pg.add(outCell{value: c.Note, look: asLong})
	case c.Same():
		pg.add(outCell{value: "nothing changed: " + c.To + " compared with " + c.From, look: asLong})
	default:
		w.edits()
		w.controls()
		w.waterfall()
		w.items()
		w.cells()
	}
}

type changesPage struct {
	pg *page
	c  *revision.Changes
	changesLook
	at *changeRows
	m  string // decimals of the currency
}

func (w *changesPage) round(formula string) string { return "ROUND(" + formula + "," + w.m + ")" }

func (w *changesPage) money() outCell { return textCell(w.currency) }

// edits is section 1: from the old total through every edit to the new one.
func (w *changesPage) edits() {
	c, pg := w.c, w.pg
	total := c.OldTotal
	row := pg.add(outCell{value: "Old total: " + c.From, look: asTotalText}, outCell{look: asTotalMoney}, moneyCell(total).as(asTotalMoney), outCell{value: w.currency, look: asTotalText})
	w.at.firstEdit = row + 1
	for _, e := range c.Edits {
		total = total.Add(e.Cost)
		row = pg.next()
		pg.add(wrapCell(e.Name), moneyCell(e.Cost), calcCell(w.round("C"+strconv.Itoa(row-1)+"+B"+strconv.Itoa(row)), total, asMoney), w.money())
	}
	w.at.lastEdit = max(row, w.at.firstEdit)
	if len(c.Edits) == 0 {
		pg.add(textCell("no edit that could cost anything"), moneyCell(decimal.Decimal{}), moneyCell(total), w.money())
	}
	row = pg.next()
	pg.add(outCell{value: "New total: " + c.To, look: asTotalText},
		calcCell(w.round("SUM("+colRange("", "B", w.at.firstEdit, w.at.lastEdit)+")"), c.EditSum(), asTotalMoney),
		calcCell(w.round("C"+strconv.Itoa(w.at.firstEdit-1)+"+B"+strconv.Itoa(row)), total, asTotalMoney), outCell{value: w.currency, look: asTotalText})
}

// controls are the sums that must agree.
func (w *changesPage) controls() {
	c, pg := w.c, w.pg
	pg.section("Control totals")
	pg.head("Sum", ">Amount", "Result", "Unit")
	first := pg.add(textCell("Old total"), moneyCell(c.OldTotal), outCell{}, w.money())
	pg.add(textCell("New total"), moneyCell(c.NewTotal), outCell{}, w.money())
	f := strconv.Itoa(first)
	w.at.difference = pg.add(outCell{value: "New total less old total", look: asTotalText},
		calcCell(w.round("B"+strconv.Itoa(first+1)+"-B"+f), c.Difference(), asTotalMoney), outCell{look: asTotalText}, outCell{value: w.currency, look: asTotalText})
	d := strconv.Itoa(w.at.difference)
	check := func(label, formula string, value decimal.Decimal) {
		row := strconv.Itoa(pg.next())
		pg.add(textCell(label), calcCell(formula, value, asMoney),
			calcTextCell(`IF(ROUND(B`+row+`-B`+d+`,`+w.m+`)=0,"`+checkPass+`","`+checkFail+`")`, passOrFail(value.Equal(c.Difference())), asText), w.money())
	}
	check("The edits add up to", w.round("SUM("+colRange("", "B", w.at.firstEdit, w.at.lastEdit)+")"), c.EditSum())
	// The items stand below the chart's table; where their sum stands follows from the rows between.
	w.at.items = w.itemsFoot()
	check("Items and the totals beside them add up to", "M"+strconv.Itoa(w.at.items), c.ItemSum())
}

// belowChart are the rows the chart takes beside the tables.
const belowChart = 24

// waterfallRows is the number of rows of the chart's table: old total, the largest edits, the others, new total.
func (w *changesPage) waterfallRows() int {
	_, others, _ := w.c.Largest(waterfallEdits)
	n := min(len(w.c.Edits), waterfallEdits) + 2
	if others > 0 {
		n++
	}
	return n
}

// itemsHead is the row of the header of section 2, counted when one row of Control totals is still to be written.
func (w *changesPage) itemsHead() int {
	row := w.pg.next() + 1 // below the last control total
	row += 3 + w.waterfallRows()
	return max(row, belowChart) + 2
}

func (w *changesPage) itemsFoot() int {
	return w.itemsHead() + max(len(w.c.Items), 1) + len(w.c.Rest) + 1
}

// waterfall is the chart with its table: columns that stand on an unfilled base.
func (w *changesPage) waterfall() {
	c, pg := w.c, w.pg
	largest, others, rest := c.Largest(waterfallEdits)
	pg.section("From the old total to the new one: the largest edits")
	head := pg.head("Step", ">Change", ">Bid after", ">Base", ">Total", ">Rise", ">Fall")
	rowOf := map[string][]int{}
	for i, e := range c.Edits {
		rowOf[e.Name] = append(rowOf[e.Name], w.at.firstEdit+i)
	}
	total, zero := c.OldTotal, decimal.Decimal{}
	end := func(label, formula string, amount decimal.Decimal) {
		row := strconv.Itoa(pg.next())
		pg.add(textCell(label), outCell{}, calcCell(formula, amount, asMoney), moneyCell(zero), calcCell("C"+row, amount, asMoney), moneyCell(zero), moneyCell(zero))
	}
	step := func(label, formula string, cost decimal.Decimal) {
		row, before := strconv.Itoa(pg.next()), strconv.Itoa(pg.next()-1)
		after := total.Add(cost)
		base := decimal.Max(decimal.Min(total, after), zero)
		pg.add(textCell(shortened(label)), calcCell(formula, cost, asMoney), calcCell(w.round("C"+before+"+B"+row), after, asMoney),
			calcCell("MAX(MIN(C"+before+",C"+row+"),0)", base, asMoney), moneyCell(zero),
			calcCell("MAX(B"+row+",0)", decimal.Max(cost, zero), asMoney), calcCell("MAX(-B"+row+",0)", decimal.Max(cost.Neg(), zero), asMoney))
		total = after
	}
	end("Old total", "C"+strconv.Itoa(w.at.firstEdit-1), c.OldTotal)
	first := pg.next()
	for _, e := range largest {
		rows := rowOf[e.Name]
		step(e.Name, "B"+strconv.Itoa(rows[0]), e.Cost)
		rowOf[e.Name] = rows[1:]
	}
	if others > 0 {
		step("other ("+strconv.Itoa(others)+")", w.round("B"+strconv.Itoa(w.at.difference)+"-SUM("+colRange("", "B", first, pg.next()-1)+")"), rest)
	}
	end("New total", "C"+strconv.Itoa(pg.next()-1), total)
	last := pg.next() - 1
	gap := uint(30)
	var series []excelize.ChartSeries
	for i, fill := range []excelize.Fill{{Type: "pattern"}, solid(chartColours[0]), solid(chartColours[1]), solid(chartColours[2])} {
		letter := string(rune('D' + i))
		series = append(series, excelize.ChartSeries{Name: cellFixed(w.tab, letter, head), Categories: colRange(w.tab, "A", head+1, last),
			Values: colRange(w.tab, letter, head+1, last), Fill: fill})
	}
	title := "From " + c.From + " to " + c.To + " (" + w.currency + ")"
	axis := excelize.ChartAxis{Font: chartFont(), MajorGridLines: true, NumFmt: excelize.ChartNumFmt{CustomNumFmt: wholeFormat}}
	if from := axisFrom(c.OldTotal, largest, rest); from > 0 {
		least := float64(from)
		axis.Minimum = &least
		title += ", the axis begins at " + groupedWhole(from)
	}
	pg.charts = append(pg.charts, chartAt{"I4", &excelize.Chart{
		Type: excelize.ColStacked, VaryColors: oneColour, Dimension: excelize.ChartDimension{Width: 500, Height: 360}, GapWidth: &gap,
		Format: excelize.GraphicOptions{AltText: "Waterfall chart from the old total through the largest edits to the new total; its numbers stand in the table beside it", Positioning: "oneCell"},
		Title:  chartTitle(title), Legend: excelize.ChartLegend{Position: "none"}, Series: series,
		XAxis: excelize.ChartAxis{Font: chartFont()},
		YAxis: axis,
	}})
	for pg.next() <= belowChart {
		pg.add()
	}
}

// axisFrom is where the chart's axis begins so that edits that are small beside the total can be seen: a round number below
// all totals, 0 where they are not small.
func axisFrom(total decimal.Decimal, edits []revision.Edit, rest decimal.Decimal) int64 {
	low, high := total, total
	for _, cost := range append(costs(edits), rest) {
		total = total.Add(cost)
		low, high = decimal.Min(low, total), decimal.Max(high, total)
	}
	span := high.Sub(low).IntPart() + 1
	if low.LessThan(decimal.NewFromInt(4 * span)) {
		return 0
	}
	step := int64(1)
	for step*10 <= span {
		step *= 10
	}
	return max((low.IntPart()-span/2)/step*step, 0)
}

func costs(edits []revision.Edit) (all []decimal.Decimal) {
	for _, e := range edits {
		all = append(all, e.Cost)
	}
	return all
}

// groupedWhole is a whole number with commas at its thousands.
func groupedWhole(n int64) string {
	s := strconv.FormatInt(n, 10)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}

// shortened is a text that fits under a column of a chart.
func shortened(s string) string {
	const most = 40
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	return strings.TrimSpace(string([]rune(s)[:most-1])) + "…"
}

// effectPlaces are the decimals the effects are shown and stored with.
const effectPlaces = 6

// items is section 2: orders and prices, old and new, what quantity and price changed; below them the other totals.
func (w *changesPage) items() {
	c, pg := w.c, w.pg
	pg.section("Items")
	pg.head("Item", ">Length", "Unit", ">Old order", ">New order", ">Old price", ">New price", ">Quantity effect", ">Price effect", ">Rounding",
		">Old extension", ">New extension", ">Difference")
	first := pg.next()
	price := func(d *decimal.Decimal) outCell {
		if d == nil {
			return outCell{}
		}
		return outCell{value: storedNumber(*d), look: asPrice}
	}
	for i := range c.Items {
		x := &c.Items[i]
		row := strconv.Itoa(pg.next())
		stock := outCell{}
		if x.Length > 0 {
			stock = rightCell(x.Length.ShowStock(w.system))
		}
		quantity, onPrice := x.Quantity.Round(effectPlaces), x.PriceOnly.Round(effectPlaces)
		difference := x.New.Sub(x.Old)
		pg.add(textCell(x.Item), stock, textCell(string(x.Unit)), quantityCell(x.Q0), quantityCell(x.Q1), price(x.P0), price(x.P1),
			calcCell("ROUND((E"+row+"-D"+row+")*F"+row+",6)", quantity, asEffect),
			calcCell("ROUND((G"+row+"-F"+row+")*E"+row+",6)", onPrice, asEffect),
			calcCell("ROUND(M"+row+"-H"+row+"-I"+row+",6)", difference.Sub(quantity).Sub(onPrice).Round(effectPlaces), asEffect),
			moneyCell(x.Old), moneyCell(x.New), calcCell(w.round("L"+row+"-K"+row), difference, asMoney))
	}
	if len(c.Items) == 0 {
		pg.add(textCell("none changed"))
	}
	for _, d := range c.Rest {
		row := strconv.Itoa(pg.next())
		pg.add(textCell(d.Name), outCell{}, outCell{}, outCell{}, outCell{}, outCell{}, outCell{}, outCell{}, outCell{}, outCell{},
			moneyCell(d.Old), moneyCell(d.New), calcCell(w.round("L"+row+"-K"+row), d.New.Sub(d.Old), asMoney))
	}
	total := outCell{look: asTotalText}
	pg.add(outCell{value: "Together", look: asTotalText}, total, total, total, total, total, total, total, total, total, total, total,
		calcCell(w.round("SUM("+colRange("", "M", first, pg.next()-1)+")"), c.ItemSum(), asTotalMoney))
}

// cells is section 3: every cell of the inputs that changed.
func (w *changesPage) cells() {
	pg := w.pg
	pg.section("Inputs")
	pg.head("Row", "Tab", "Column", "Old", "New", "Old cell", "New cell")
	for i := range w.c.Inputs {
		x := &w.c.Inputs[i]
		place := func(text string) outCell { return textCell(text) }
		oldAt, newAt := outCell{}, outCell{}
		if x.OldAt.Tab != "" {
			oldAt = place(x.OldAt.String())
		}
		if x.NewAt.Tab != "" {
			newAt = place(x.NewAt.String())
			if w.link != nil && i < linksAtMost {
				newAt = w.link(x.NewAt.String(), x)
			}
		}
		pg.add(wrapCell(x.Key), textCell(x.Tab), textCell(x.Column), wrapCell(x.Old), wrapCell(x.New), oldAt, newAt)
	}
	none(pg, len(w.c.Inputs))
}
