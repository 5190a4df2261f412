package sheet

import (
	"unicode/utf8"

	"github.com/shopspring/decimal"
)

// howWidth is the width of the arithmetic's column; longer texts wrap.
const howWidth = 70

// takeoffTab is one row a line. There may be hundreds of thousands, so that its rows are made one by one and the widths
// come from the short columns only.
func (p *priced) takeoffTab() (*page, error) {
	pg := newPage(tabTakeoff, "Takeoff", p.under, "One row a quantity with its arithmetic: the formula, then the same with its numbers. Filter by wall, pour or item.")
	pg.table, pg.tableCols = "TakeoffLines", 8
	pg.head("Wall", "Level", "Pour", "Item", ">Quantity", "Unit", "How", "Rule")
	lines := p.t.Lines
	pg.lazyRows = len(lines)
	widest := [4]int{4, 5, 4, 4}
	most := decimal.Decimal{}
	for i := range lines {
		l := &lines[i]
		for j, s := range [4]string{l.Wall, l.Level, l.Pour, l.Item} {
			if len(s) > widest[j] {
				widest[j] = utf8.RuneCountInString(s)
			}
		}
		if l.Quantity.Abs().GreaterThan(most) {
			most = l.Quantity.Abs()
		}
	}
	w := make([]float64, 8)
	for j, n := range widest {
		w[j] = min(float64(n)+4, 40) // room for the filter's button
	}
	w[4] = max(float64(quantityCell(most).shown())+9, 14)
	w[5], w[6], w[7] = 8, howWidth, 14
	pg.lazyWidths = w
	pg.lazy = func(emit func([]outCell) error) error {
		row := make([]outCell, 8)
		for i := range lines {
			l := &lines[i]
			row[0], row[1], row[2], row[3] = textCell(l.Wall), textCell(l.Level), textCell(l.Pour), textCell(l.Item)
			row[4], row[5], row[6], row[7] = quantityCell(l.Quantity), textCell(string(l.Unit)), textCell(l.Explained()), textCell(l.Rule)
			if err := emit(row); err != nil {
				return err
			}
		}
		return nil
	}
	return pg, nil
}
