package sheet

import (
	"strings"

	"github.com/shopspring/decimal"
)

// barList is one row a like lot of bars.
func (p *priced) barList() (*page, error) {
	pg := newPage(tabBars, "Bar list", p.under, "Cut lengths, laps and splices in; legs are out to out. Mass raised: half a bar more than was counted, where halves of shared corners came to an odd number. Check it against the engineer's drawings before you order.")
	pg.table, pg.tableCols = "BarList", 15
	pg.head("Mark", "Size", ">Count", ">Length", "Shape", "Legs", "Bending", ">Mass", "Unit", "Wall", "Opening", "Level", "Pour", "Rule", ">Mass raised")
	bars := p.t.Bars
	pg.late = &lateRows{rows: len(bars), widths: []float64{
		widest("Mark", len(bars), func(i int) string { return bars[i].Mark }), 9, 10, 16,
		widest("Shape", len(bars), func(i int) string { return bars[i].Shape }), 26, 11, 16, 7,
		widest("Wall", len(bars), func(i int) string { return bars[i].Wall }),
		widest("Opening", len(bars), func(i int) string { return bars[i].Opening }),
		widest("Level", len(bars), func(i int) string { return bars[i].Level }),
		widest("Pour", len(bars), func(i int) string { return bars[i].Pour }), 13, 14,
	}, fill: func(i int, row []outCell) {
		b := &bars[i]
		bent := "straight"
		if b.Bent {
			bent = "bent"
		}
		var legs []string
		for _, l := range b.Legs {
			legs = append(legs, l.ShowPiece(p.job.Report))
		}
		size := ""
		if b.Bar != nil {
			size = b.Bar.Size
		}
		copy(row, []outCell{textCell(b.Mark), textCell(size), wholeCell(b.Count), rightCell(b.Length.ShowPiece(p.job.Report)), textCell(b.Shape), textCell(strings.Join(legs, " + ")),
			textCell(bent), quantityCell(b.Mass), textCell(string(p.t.Units.Mass)), textCell(b.Wall), textCell(b.Opening), textCell(b.Level), textCell(b.Pour), textCell(b.Rule), raisedCell(b.Raised)})
	}}
	return pg, nil
}

// raisedCell is blank where nothing was raised.
func raisedCell(d decimal.Decimal) outCell {
	if d.IsZero() {
		return outCell{}
	}
	return quantityCell(d)
}
