package sheet

import (
	"github.com/shopspring/decimal"

	"wallbill/takeoff"
)

// howWidth is the width of the arithmetic's column; longer texts wrap.
const howWidth = 80

// takeoffTab is one row a line.
func (p *priced) takeoffTab() (*page, error) {
	pg := newPage(tabTakeoff, "Takeoff", p.under, "One row a quantity with its arithmetic: the formula, then the same with its numbers. Filter by wall, pour or item.")
	pg.table, pg.tableCols, pg.most = "TakeoffLines", 8, map[int]float64{7: howWidth}
	pg.head("Wall", "Level", "Pour", "Item", ">Quantity", "Unit", "How", "Rule")
	lines := p.t.Lines
	most := decimal.Decimal{}
	for i := range lines {
		if q := lines[i].Quantity; q.GreaterThan(most) {
			most = q
		}
	}
	pg.late = &lateRows{rows: len(lines), widths: []float64{
		widest("Wall", len(lines), func(i int) string { return lines[i].Wall }),
		widest("Level", len(lines), func(i int) string { return lines[i].Level }),
		widest("Pour", len(lines), func(i int) string { return lines[i].Pour }),
		widest("Item", len(lines), func(i int) string { return lines[i].Item }),
		max(float64(quantityCell(most).shown())+9, 14), 8, howWidth, 14,
	}, fill: func(i int, row []outCell) {
		l := &lines[i]
		row[0], row[1], row[2], row[3] = textCell(l.Wall), textCell(l.Level), textCell(l.Pour), textCell(l.Item)
		row[4], row[5], row[6], row[7] = quantityCell(l.Quantity), textCell(string(l.Unit)), textCell(l.How.String()), textCell(l.Rule)
		if p.spend {
			l.How = takeoff.How{}
		}
	}}
	return pg, nil
}
