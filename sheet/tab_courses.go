package sheet

import (
	"strings"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// courses is one row a course of a stretch of walls.
func (p *priced) courses() (*page, error) {
	pg := newPage(tabCourses, "Courses", p.under,
		"Courses from the bottom. Spans run along the outer face from the start of the stretch's first wall; pieces come from the cuts numbered on Cuts. Times is the Count of the run.")
	pg.table, pg.tableCols = "Courses", 17
	pg.most = map[int]float64{11: 32, 14: 38}
	pg.head("Wall", "Level", "Pour", "Form line", "Core", ">Course", ">Bottom", ">Height", "Kind", "Face", "Spans", ">Whole units", ">Ledge units", "Pieces", ">Corner units", ">End closures", ">Times")
	show := func(l length.Length) string { return l.ShowPiece(p.job.Report) }
	rows, cuts := p.t.Courses, p.cutList()
	var from takeoff.CourseCuts
	pg.late = &lateRows{rows: len(rows), widths: []float64{
		widest("Wall", len(rows), func(i int) string { return rows[i].Wall }),
		widest("Level", len(rows), func(i int) string { return rows[i].Level }),
		widest("Pour", len(rows), func(i int) string { return rows[i].Pour }),
		widest("Form line", len(rows), func(i int) string { return rows[i].Line }), 9, 9, 12, 10, 12, 8, 32, 9, 9, 38, 9, 9, 8,
	}, begin: func() { from = takeoff.CutsOfCourses(cuts) }, fill: func(i int, row []outCell) {
		c := &rows[i]
		var spans []string
		ledge := int64(0)
		for _, s := range c.Segments {
			spans = append(spans, show(s.From)+" to "+show(s.To))
			for _, u := range s.Fill {
				if u.Whole && u.Ledge {
					ledge++
				}
			}
		}
		units, pieces := from.Pieces(c, "")
		list := make([]string, len(pieces))
		for k := range pieces {
			list[k] = pieces[k].Text(p.job.Report)
		}
		copy(row, []outCell{textCell(c.Wall), textCell(c.Level), textCell(c.Pour), textCell(c.Line), textCell(c.CoreName), wholeCell(int64(c.Number)),
			rightCell(show(c.Bottom)), rightCell(show(c.Height)), textCell(c.Kind()), textCell(c.Face), textCell(strings.Join(spans, "; ")),
			wholeCell(units - ledge), wholeCell(ledge), textCell(strings.Join(list, "; ")), quantityCell(trimmed(c.CornerUnits.Quantity())), wholeCell(c.EndCaps), wholeCell(p.runCount(c.Wall))})
		if p.spend {
			c.Segments = nil
		}
	}}
	return pg, nil
}

// runCount is how often the run of a wall is built.
func (p *priced) runCount(wall string) int64 {
	if p.t.Geometry != nil {
		if w := p.t.Geometry.ByMark[takeoff.ItemKey(wall)]; w != nil {
			return w.Run.Count
		}
	}
	return 1
}

// trimmed is d without trailing zeros, so that a whole number shows as one.
func trimmed(d decimal.Decimal) decimal.Decimal {
	if d.IsInteger() {
		return d.Truncate(0)
	}
	return d
}
