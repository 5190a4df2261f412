package sheet

import (
	"strconv"
	"strings"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// daysAtMost is how many days the need is listed for day by day; over longer times only the days on which it changes are.
const daysAtMost = 400

// chartRows is how many rows a chart is high.
const chartRows = 16

// bracing is braces by wall, what stands day by day, and the times on rent.
func (p *priced) bracing() (*page, error) {
	pg := newPage(tabBracing, "Bracing", p.under,
		"Braces stand on the inner face; places are from the wall's start along it. Braces hold alignment: they are no design for wind or for the load of fresh concrete.")
	pg.most = map[int]float64{9: 60}
	pg.head("Wall", "Level", "Pour", "Item", ">Count", ">Planks", ">Rail", ">Rail pieces", "Places")
	for i := range p.t.Braces {
		b := &p.t.Braces[i]
		var places []string
		for _, at := range b.Positions {
			places = append(places, at.Near(p.job.Report).ShowPiece(p.job.Report))
		}
		pg.add(textCell(b.Wall), textCell(b.Level), textCell(b.Pour), textCell(b.Item), wholeCell(b.Count), wholeCell(b.Planks),
			p.lengthCell(b.Rail), wholeCell(b.RailPieces), textCell(strings.Join(places, "; ")))
	}
	none(pg, len(p.t.Braces))
	p.needByDay(pg)
	p.rentals(pg)
	return pg, nil
}

// needByDay lists what stands on each day, with the chart of the braces.
func (p *priced) needByDay(pg *page) {
	pg.section("Need by day")
	needs := p.bid.BraceNeeds
	if len(needs) == 0 {
		pg.head(">Day", "Dates")
		none(pg, 0)
		return
	}
	head := []string{">Day", "Dates"}
	for _, n := range needs {
		title := ">" + n.Item
		if n.Item == takeoff.ItemRail && !n.Rented {
			title += " (" + string(p.t.Units.Length) + ")"
		}
		head = append(head, title)
	}
	pg.head(head...)
	first := pg.next()
	days := needDays(needs)
	for _, d := range days {
		cells := []outCell{dateCell(d.Date()), textCell(p.dayNote(d))}
		for _, n := range needs {
			q := standing(n.Steps, d)
			if n.Item == takeoff.ItemRail && !n.Rented {
				cells = append(cells, quantityCell(p.t.Units.Length.Of(exact.Len(length.Length(q))).Quantity()))
			} else {
				cells = append(cells, wholeCell(q))
			}
		}
		pg.add(cells...)
	}
	if len(days) == 0 {
		none(pg, 0)
		return
	}
	last := pg.next() - 1
	var series []excelize.ChartSeries
	for j, n := range needs {
		if n.Item != takeoff.ItemBraceSet && n.Item != takeoff.ItemBraceTall {
			continue
		}
		col := takeoff.ColumnName(3 + j)
		series = append(series, excelize.ChartSeries{Name: cellFixed(tabBracing, col, first-1), Categories: colRange(tabBracing, "A", first, last),
			Values: colRange(tabBracing, col, first, last), Fill: solid(chartColours[len(series)%len(chartColours)])})
	}
	if len(series) == 0 {
		return
	}
	for range chartRows - len(days) {
		pg.add() // the chart stands beside this table, not over the next
	}
	gap := uint(20)
	slant := 0
	if len(days) > 10 {
		slant = -45 // level ones are all drawn, over one another, by a program that leaves none out
	}
	beside := takeoff.ColumnName(max(6, len(head)+2)) + strconv.Itoa(first-1) // right of the table of days
	pg.charts = append(pg.charts, chartAt{beside, &excelize.Chart{
		Type: excelize.ColStacked, VaryColors: oneColour, Dimension: excelize.ChartDimension{Width: 620, Height: 320}, GapWidth: &gap,
		Format: excelize.GraphicOptions{AltText: "Column chart of the braces that stand on each day; its numbers stand in the table Need by day", Positioning: "oneCell"},
		Title:  chartTitle("Braces standing, by day"), Legend: excelize.ChartLegend{Position: "bottom"}, Series: series,
		XAxis: excelize.ChartAxis{Font: chartFont(), NumFmt: excelize.ChartNumFmt{CustomNumFmt: "d mmm"}, TickLabelSkip: 1 + len(days)/8,
			Alignment: excelize.Alignment{TextRotation: slant}},
		YAxis: excelize.ChartAxis{Font: chartFont(), MajorGridLines: true, NumFmt: excelize.ChartNumFmt{CustomNumFmt: wholeFormat}},
	}})
}

// needDays are the days to list: each day of the time, or of a long time the days on which something changes.
func needDays(needs []pricing.BraceNeed) []takeoff.Day {
	var from, to takeoff.Day
	some := false
	changes := map[takeoff.Day]bool{}
	for _, n := range needs {
		for _, s := range n.Steps {
			changes[s.From] = true
			if !some || s.From < from {
				from = s.From
			}
			if !some || s.From > to {
				to = s.From
			}
			some = true
		}
	}
	var days []takeoff.Day
	if !some {
		return days
	}
	for d := from; d <= to; d++ {
		if int(to-from) <= daysAtMost || changes[d] {
			days = append(days, d)
		}
	}
	return days
}

// standing is how much stands on a day.
func standing(steps []takeoff.Step, d takeoff.Day) int64 {
	q := int64(0)
	for _, s := range steps {
		if s.From > d {
			break
		}
		q = s.Quantity
	}
	return q
}

// dayNote says whether a day is in the bracing time of a pour whose dates are assumed.
func (p *priced) dayNote(d takeoff.Day) string {
	if p.bid.Calendar == nil {
		return ""
	}
	var names []string
	for i, dates := range p.bid.Calendar.Dates {
		if dates.Assumed && dates.FormsSet.Day() <= d && d <= dates.Strip.Day() {
			names = append(names, p.bid.Calendar.Pours[i])
		}
	}
	if len(names) == 0 {
		return "typed"
	}
	if len(names) > 3 {
		names = append(names[:3], "…")
	}
	return "assumed: pour " + strings.Join(names, ", ")
}

// shownPrice is a price with at least the decimals of the currency.
func (p *priced) shownPrice(d decimal.Decimal) string {
	if -d.Exponent() <= p.job.MinorDigits {
		return d.StringFixed(p.job.MinorDigits)
	}
	return d.String()
}

// rentals are the times on rent with what each is charged.
func (p *priced) rentals(pg *page) {
	pg.section("On rent")
	pg.head("Item", "Dates", ">From", ">To", ">Days", ">Pieces", ">Charge", "Unit", "Periods of a piece")
	for _, s := range p.bid.Rentals {
		dates := "typed"
		if s.Assumed {
			dates = "assumed"
		}
		var periods []string
		for _, q := range s.Periods {
			periods = append(periods, strconv.FormatInt(q.Count, 10)+" × "+string(q.Unit)+" at "+p.shownPrice(q.Price))
		}
		pg.add(textCell(s.Item), textCell(dates), dateCell(s.From), dateCell(s.To), wholeCell(s.Days), wholeCell(s.Count), moneyCell(s.Charge),
			textCell(p.currency()), textCell(strings.Join(periods, "; ")))
	}
	none(pg, len(p.bid.Rentals))
}
