package sheet

import (
	"strconv"

	"github.com/shopspring/decimal"

	"wallbill/pricing"
	"wallbill/takeoff"
)

// Results of a control sum.
const (
	checkPass = "PASS"
	checkFail = "FAIL"
)

// controlSum is one sum that must come out the same in two ways, as live formulas on Checks.
type controlSum struct {
	what, rule string
	first      func(*priced) (string, decimal.Decimal)
	second     func(*priced) (string, decimal.Decimal) // no formula: the number as this run had it
	quantity   bool                                    // equal to six decimals; else to the minor unit of the currency
}

// places are the decimals to which the two ways agree. Quantities are sums of rows that were each rounded to nine decimals.
func (c *controlSum) places(p *priced) int32 {
	if c.quantity {
		return 6
	}
	return p.job.MinorDigits
}

// passes tells whether the two ways agree as this run has them.
func (c *controlSum) passes(p *priced) bool {
	_, a := c.first(p)
	_, b := c.second(p)
	return a.Sub(b).Round(c.places(p)).IsZero()
}

var controlSums []controlSum

func init() {
	direct := func(p *priced) (string, decimal.Decimal) {
		return cellRef(tabBid, "C", bidDirect), p.bid.Totals.Direct
	}
	listed := func(amounts func(*pricing.Totals) []pricing.Amount, first func(bidRows) int, rows func(*priced) int) func(*priced) (string, decimal.Decimal) {
		return func(p *priced) (string, decimal.Decimal) {
			sum := decimal.Decimal{}
			for _, a := range amounts(&p.bid.Totals) {
				sum = sum.Add(a.Amount)
			}
			from := first(p.layout.bidRows)
			return "ROUND(SUM(" + colRange(tabBid, "C", from, from+max(rows(p), 1)-1) + ")," + p.minor() + ")", sum
		}
	}
	count := func(n int) decimal.Decimal { return decimal.NewFromInt(int64(n)) }
	zero := func(*priced) (string, decimal.Decimal) { return "", decimal.Decimal{} }
	controlSums = []controlSum{
		{"the sums by kind add up to the direct cost", "P-BID",
			listed(func(t *pricing.Totals) []pricing.Amount { return t.ByKind }, func(r bidRows) int { return r.kinds }, func(p *priced) int { return len(oneCase(p.bid.Totals.ByKind)) }), direct, false},
		{"the sums by group add up to the direct cost", "P-BID",
			listed(func(t *pricing.Totals) []pricing.Amount { return t.ByGroup }, func(r bidRows) int { return r.groups }, func(p *priced) int { return len(oneCase(p.bid.Totals.ByGroup)) }), direct, false},
		{"the sums by level add up to the direct cost", "P-BID",
			listed(func(t *pricing.Totals) []pricing.Amount { return t.ByLevel }, func(r bidRows) int { return r.levels }, func(p *priced) int { return len(p.bid.Levels) + 1 }), direct, false},
		{"the sums by pour add up to the direct cost", "P-BID",
			listed(func(t *pricing.Totals) []pricing.Amount { return t.ByPour }, func(r bidRows) int { return r.pours }, func(p *priced) int { return len(p.bid.Pours) + 1 }), direct, false},
		{"the parts of the bid add up to the bid total", "P-BID",
			func(p *priced) (string, decimal.Decimal) {
				t := &p.bid.Totals
				sum := t.Direct.Add(t.Tax).Add(t.Contingency).Add(t.Overhead).Add(t.Profit).Add(t.Bond).Add(t.Rounding)
				cell := func(row int) string { return cellRef(tabBid, "C", row) }
				return "ROUND(" + cell(bidDirect) + "+" + cell(bidTax) + "+" + cell(bidContingency) + "+" + cell(bidOverhead) + "+" + cell(bidProfit) + "+" +
					cell(bidBond) + "+" + cell(bidRounding) + "," + p.minor() + ")", sum
			},
			func(p *priced) (string, decimal.Decimal) {
				return cellRef(tabBid, "C", bidTotal), p.bid.Totals.BidTotal
			}, false},
		{"Takeoff has as many rows as lines were taken off", "P-NET",
			func(p *priced) (string, decimal.Decimal) {
				return "COUNTA(" + colRange(tabTakeoff, takeoffItem, firstRow, p.layout.takeoffLast) + ")", count(len(p.t.Lines))
			},
			func(p *priced) (string, decimal.Decimal) { return "", count(len(p.t.Lines)) }, true},
		{"Priced items has as many rows as items were priced", "P-NET",
			func(p *priced) (string, decimal.Decimal) {
				return "COUNTA(" + p.ofPriced(pricedItem) + ")", count(len(p.bid.Items) + len(p.bid.Extras))
			},
			func(p *priced) (string, decimal.Decimal) { return "", count(len(p.bid.Items) + len(p.bid.Extras)) }, true},
		{"every line of Takeoff is in an item: all quantities added, whatever their units", "P-NET", (*priced).itemsOfLines, (*priced).allLines, true},
		{"whole units of Courses, ledges apart, are those of Takeoff", "R-BLOCK", (*priced).unitsOfCourses, (*priced).unitLines, true},
		{"corner units of Courses are those of Takeoff", "R-CORNER", (*priced).cornersOfCourses, byRules("R-CORNER"), true},
		{"end closures of Courses are those of Takeoff", "R-CAP", (*priced).closuresOfCourses, byRules("R-CAP"), true},
		{"the mass of Bar list, extras and what was raised apart, is the driver bar-mass", "R-MASS", (*priced).massOfBars, (*priced).massDriver, true},
		{"the concrete of Pour plan is that of Takeoff", "R-POUR", (*priced).concreteOfPours, (*priced).concreteLines, true},
		{"no net is below zero", "P-NET",
			func(p *priced) (string, decimal.Decimal) {
				n := 0
				for i := range p.bid.Items {
					if p.bid.Items[i].Net.IsNegative() {
						n++
					}
				}
				for i := range p.bid.Extras {
					if p.bid.Extras[i].Quantity.IsNegative() {
						n++
					}
				}
				return "COUNTIF(" + p.ofPriced(pricedNet) + `,"<0")`, count(n)
			}, zero, true},
		{"no item is without a price", "P-MISSING",
			func(p *priced) (string, decimal.Decimal) {
				n := 0
				for i := range p.bid.Items {
					if p.bid.Items[i].Price == nil {
						n++
					}
				}
				for i := range p.bid.Extras {
					if p.bid.Extras[i].Price == nil {
						n++
					}
				}
				return "SUM(" + p.ofPriced(pricedUnpriced) + ")", count(n)
			}, zero, true},
	}
}

// controlSums are the sums of this workbook: those of the changes too, where two runs were compared.
func (p *priced) controlSums() []controlSum {
	c := p.record.Changes
	if c == nil || c.Note != "" || c.Same() {
		return controlSums
	}
	difference := func(p *priced) (string, decimal.Decimal) {
		return cellRef(tabChanges, "B", p.layout.changes.difference), c.Difference()
	}
	return append(controlSums[:len(controlSums):len(controlSums)],
		controlSum{"the edits of Changes add up to new total less old total", "P-BID", func(p *priced) (string, decimal.Decimal) {
			r := p.layout.changes
			return "ROUND(SUM(" + colRange(tabChanges, "B", r.firstEdit, r.lastEdit) + ")," + p.minor() + ")", c.EditSum()
		}, difference, false},
		controlSum{"the items of Changes and the totals beside them add up to the same", "P-BID", func(p *priced) (string, decimal.Decimal) {
			return cellRef(tabChanges, "M", p.layout.changes.items), c.ItemSum()
		}, difference, false})
}

// checks is the control sums, then every finding with its cell.
func (p *priced) checks() (*page, error) {
	pg := newPage(tabChecks, "Checks", p.under,
		"Control sums first: each sum made in two ways, alive. Then what was found in the schedule, with its cell as a link.")
	pg.table, pg.tableCols, pg.most = "Checks", 6, map[int]float64{3: 80}
	pg.flags = []string{cellArea(1, firstRow, 1, p.layout.checksLast)}
	pg.head("Result", "Cell", "What", "Rule", ">One way", ">The other way")
	for _, s := range p.controlSums() {
		row := pg.next()
		r := strconv.Itoa(row)
		first, a := s.first(p)
		second, b := s.second(p)
		one := quantityLook(a)
		if s.rule == "P-BID" {
			one = asMoney
		}
		other := quantityCell(b).as(one)
		if second != "" {
			other = calcCell(second, b, one)
		}
		pg.add(calcTextCell(`IF(ROUND(E`+r+`-F`+r+`,`+strconv.Itoa(int(s.places(p)))+`)=0,"`+checkPass+`","`+checkFail+`")`, passOrFail(s.passes(p)), asText),
			outCell{}, textCell(s.what), textCell(s.rule), calcCell(first, a, one), other)
	}
	sorted := append([]takeoff.Finding(nil), p.findings...)
	takeoff.SortFindings(sorted, p.f.GetSheetList())
	for i := range sorted {
		f := &sorted[i]
		place := outCell{}
		if f.At.Tab != "" {
			place = p.linkTo(f.At.String(), f.At)
		}
		if i >= linksAtMost {
			place = textCell(f.At.String())
		}
		pg.add(textCell(f.Severity.String()), place, wrapCell(f.Text()), textCell(f.Rule))
	}
	return pg, nil
}

// linksAtMost keeps a tab well below the format's own limit of links; the library looks through all of them for each new one.
const linksAtMost = 20_000

func passOrFail(pass bool) string {
	if pass {
		return checkPass
	}
	return checkFail
}

// controlFlag is the one flag of all control sums, for Bid.
func (p *priced) controlFlag() outCell {
	pass := true
	for _, s := range p.controlSums() {
		pass = pass && s.passes(p)
	}
	return calcTextCell(`IF(COUNTIF(`+colRange(tabChecks, "A", firstRow, p.layout.checksLast)+`,"`+checkFail+`")=0,"`+checkPass+`","`+checkFail+`")`, passOrFail(pass), asRightText)
}
