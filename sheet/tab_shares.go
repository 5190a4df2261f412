package sheet

import (
	"strconv"

	"github.com/shopspring/decimal"

	"wallbill/pricing"
	"wallbill/takeoff"
)

// The first columns of Shares: item, length, extension. Shares of levels follow, then those of pours, then the quantities
// behind them.
const sharesFirst = 4

// sharesColumns is where on Shares the levels' and pours' columns are.
type sharesColumns struct {
	levels, levelRest, pours, pourRest     int
	levelAll, levelBase, pourAll, pourBase int
	last                                   int
}

func (p *priced) sharesColumns() sharesColumns {
	n, m := len(p.bid.Levels), len(p.bid.Pours)
	c := sharesColumns{levels: sharesFirst}
	c.levelRest = c.levels + n
	c.pours = c.levelRest + 1
	c.pourRest = c.pours + m
	c.levelAll = c.pourRest + 1
	c.levelBase = c.levelAll + 1
	c.pourAll = c.levelBase + n
	c.pourBase = c.pourAll + 1
	c.last = c.pourBase + m // the unit of the quantities
	return c
}

// shares is one row an item: what of its extension belongs to a level and to a pour, by the quantities at the right.
func (p *priced) shares() (*page, error) {
	pg := newPage(tabShares, "Shares", p.under,
		"A share is the extension times the quantity there over all quantity (at the right); the rest belongs to the job.")
	cols := p.sharesColumns()
	pg.table, pg.tableCols = "Shares", cols.last
	pg.printCols = cols.pourRest // the quantities behind the shares are read on the screen: with them the print would be tiny
	money := " (" + p.currency() + ")"
	head := []string{"Item", ">Length", ">Extension" + money}
	for _, n := range p.bid.Levels {
		head = append(head, ">Level "+n+money)
	}
	head = append(head, ">No level: the job"+money)
	for _, n := range p.bid.Pours {
		head = append(head, ">Pour "+n+money)
	}
	head = append(head, ">No pour: the job"+money, ">Quantity by levels")
	for _, n := range p.bid.Levels {
		head = append(head, ">Quantity level "+n)
	}
	head = append(head, ">Quantity by pours")
	for _, n := range p.bid.Pours {
		head = append(head, ">Quantity pour "+n)
	}
	pg.head(uniqueHeads(append(head, "Unit"))...)

	for i := range p.bid.Items {
		it := &p.bid.Items[i]
		unit := it.TakeoffUnit
		if it.Mixed {
			unit = it.Unit
		}
		p.sharesRow(pg, cols, it.Name, p.lengthCell(it.Length), it.Extension, it.Levels, it.LevelAll, it.Pours, it.PourAll, string(unit))
	}
	for i := range p.bid.Extras {
		x := &p.bid.Extras[i]
		p.sharesRow(pg, cols, x.Line, outCell{}, x.Extension, nil, decimal.Decimal{}, nil, decimal.Decimal{}, "")
	}
	return pg, nil
}

func (p *priced) sharesRow(pg *page, cols sharesColumns, item string, long outCell, extension *decimal.Decimal,
	levels []pricing.Share, levelAll decimal.Decimal, pours []pricing.Share, pourAll decimal.Decimal, unit string) {
	row := pg.next()
	r := strconv.Itoa(row)
	cells := make([]outCell, cols.last)
	cells[0], cells[1] = textCell(item), long
	ext := decimal.Decimal{}
	if extension != nil {
		ext = *extension
	}
	from := cellRef(tabPriced, pricedExtension, row)
	cells[2] = calcCell(`IF(`+from+`="",0,`+from+`)`, ext, asMoney)
	part := func(shares []pricing.Share, all decimal.Decimal, first, rest, allCol, baseCol int) {
		sum := decimal.Decimal{}
		allRef := "$" + takeoff.ColumnName(allCol) + r
		for j := first; j < rest; j++ {
			base := takeoff.ColumnName(baseCol+j-first) + r
			cells[j-1] = calcCell("IF("+allRef+"=0,0,ROUND($C"+r+"*"+base+"/"+allRef+","+p.minor()+"))", decimal.Decimal{}, asMoney)
		}
		for _, s := range shares {
			if all.IsZero() {
				break
			}
			cells[first+s.Place-1].value = storedNumber(s.Amount)
			cells[baseCol+s.Place-1] = quantityCell(s.Base)
			sum = sum.Add(s.Amount)
		}
		of := ""
		if rest > first {
			of = "-SUM(" + takeoff.ColumnName(first) + r + ":" + takeoff.ColumnName(rest-1) + r + ")"
		}
		cells[rest-1] = calcCell("ROUND($C"+r+of+","+p.minor()+")", ext.Sub(sum), asMoney)
		cells[allCol-1] = quantityCell(all)
	}
	part(levels, levelAll, cols.levels, cols.levelRest, cols.levelAll, cols.levelBase)
	part(pours, pourAll, cols.pours, cols.pourRest, cols.pourAll, cols.pourBase)
	cells[cols.last-1] = textCell(unit)
	pg.add(cells...)
}

// uniqueHeads tells headers apart that would be the same: names that differ in case only.
func uniqueHeads(heads []string) []string {
	seen := map[string]int{}
	for i, h := range heads {
		k := takeoff.ItemKey(h)
		seen[k]++
		if n := seen[k]; n > 1 {
			heads[i] = h + " [" + strconv.Itoa(n) + "]"
		}
	}
	return heads
}
