package sheet

import (
	"sort"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"wallbill/takeoff/length"
)

// courses is one row a course of a stretch of walls.
func (p *priced) courses() (*page, error) {
	pg := newPage(tabCourses, "Courses", p.under,
		"Courses from the bottom. Spans run along the outer face from the start of the stretch's first wall; pieces are cut from whole units.")
	pg.table, pg.tableCols = "Courses", 15
	pg.most = map[int]float64{11: 46, 13: 46}
	pg.head("Wall", "Level", "Pour", "Form line", "Core", ">Course", ">Bottom", ">Height", "Kind", "Face", "Spans", ">Whole units", "Pieces", ">Corner units", ">End closures")
	show := func(l length.Length) string { return l.Show(p.job.Report) }
	rows := p.t.Courses
	pg.late = &lateRows{rows: len(rows), widths: []float64{
		widest("Wall", len(rows), func(i int) string { return rows[i].Wall }),
		widest("Level", len(rows), func(i int) string { return rows[i].Level }),
		widest("Pour", len(rows), func(i int) string { return rows[i].Pour }),
		widest("Form line", len(rows), func(i int) string { return rows[i].Line }), 9, 10, 15, 12, 14, 9, 46, 10, 46, 10, 10,
	}, fill: func(i int, row []outCell) {
		c := &rows[i]
		kind := "full"
		switch {
		case c.LedgeCourse:
			kind = "ledge"
		case c.Half:
			kind = "half"
		}
		if c.Ripped {
			kind += ", ripped"
		}
		var spans []string
		units := int64(0)
		pieces := map[length.Length]int64{}
		for _, s := range c.Segments {
			spans = append(spans, show(s.From)+" to "+show(s.To))
			for _, u := range s.Fill {
				if u.Whole {
					units++
				} else {
					pieces[u.Length]++
				}
			}
		}
		copy(row, []outCell{textCell(c.Wall), textCell(c.Level), textCell(c.Pour), textCell(c.Line), textCell(c.CoreName), wholeCell(int64(c.Number)),
			rightCell(show(c.Bottom)), rightCell(show(c.Height)), textCell(kind), textCell(c.Face), textCell(strings.Join(spans, "; ")),
			wholeCell(units), textCell(countedLengths(pieces, p.job.Report)), quantityCell(trimmed(c.CornerUnits.Quantity())), wholeCell(c.EndCaps)})
	}}
	return pg, nil
}

// countedLengths lists pieces longest first: 2 × 1'-4"; 1 × 8".
func countedLengths(pieces map[length.Length]int64, s length.System) string {
	var lengths []length.Length
	for l := range pieces {
		lengths = append(lengths, l)
	}
	sort.Slice(lengths, func(i, j int) bool { return lengths[i] > lengths[j] })
	var list []string
	for _, l := range lengths {
		list = append(list, strconv.FormatInt(pieces[l], 10)+" × "+l.Show(s))
	}
	return strings.Join(list, "; ")
}

// trimmed is d without trailing zeros, so that a whole number shows as one.
func trimmed(d decimal.Decimal) decimal.Decimal {
	if d.IsInteger() {
		return d.Truncate(0)
	}
	return d
}
