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
			places = append(places, at.Show(p.job.Report))
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
		pg.head("Day", "Dates")
		none(pg, 0)
		return
	}
	head := []string{"Day", "Dates"}
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
	gap := uint(20)
	beside := takeoff.ColumnName(max(6, len(head)+2)) + strconv.Itoa(first-1) // right of the table of days
	pg.charts = append(pg.charts, chartAt{beside, &excelize.Chart{
		Type: excelize.ColStacked, VaryColors: oneColour, Dimension: excelize.ChartDimension{Width: 620, Height: 320}, GapWidth: &gap,
		Format: excelize.GraphicOptions{AltText: "Column chart of the braces that stand on each day; its numbers stand in the table Need by day", Positioning: "oneCell"},
		Title:  chartTitle("Braces standing, by day"), Legend: excelize.ChartLegend{Position: "bottom"}, Series: series,
		XAxis: excelize.ChartAxis{Font: chartFont(), NumFmt: excelize.ChartNumFmt{CustomNumFmt: dateFormat}, TickLabelSkip: max(1, len(days)/10)},
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
			periods = append(periods, strconv.FormatInt(q.Count, 10)+" × "+string(q.Unit)+" at "+q.Price.String())
		}
		pg.add(textCell(s.Item), textCell(dates), dateCell(s.From), dateCell(s.To), wholeCell(s.Days), wholeCell(s.Count), moneyCell(s.Charge),
			textCell(p.currency()), textCell(strings.Join(periods, "; ")))
	}
	none(pg, len(p.bid.Rentals))
}

// pourPlan is concrete, trucks, lifts and form pressure by pour.
func (p *priced) pourPlan() (*page, error) {
	pg := newPage(tabPourPlan, "Pour plan", p.under,
		"Pouring too fast, cold or retarded concrete, or deep vibration can burst a form: NOT CHECKED is no approval. The form maker's instructions govern.")
	pg.most = map[int]float64{15: 60}
	u := p.t.Units
	volume, per, press, rise, area, run := string(u.Volume), string(u.Volume)+"/h", "psf", "ft/h", string(u.Area), string(u.Length)
	if u.System == length.Metric {
		press, rise = "kPa", "m/h"
	}
	with := func(s, unit string) string { return ">" + s + " (" + unit + ")" }
	pg.head("Pour", "Dates", ">Forms set", ">Pour date", ">Strip braces", with("Walls", volume), with("Footings", volume), with("Walls ordered", volume),
		with("Footings ordered", volume), "Mix", ">Trucks", with("Pump", "hr"), with("Truck wait", "hr"), with("Between trucks", "min"), "Notes")
	first := pg.next()
	for i := range p.t.Pours {
		q := &p.t.Pours[i]
		dates := "typed"
		if q.Dates.Assumed {
			dates = "assumed"
		}
		mix := q.WallItem
		if q.FootingItem != "" && q.FootingItem != mix && q.FootingOrder.IsPositive() {
			mix = strings.TrimPrefix(mix+"; "+q.FootingItem, "; ")
		}
		notes := append([]string(nil), q.Notes...)
		if q.CastTogether {
			s := "footings cast with the walls: footings first"
			if q.FootingMinutes != nil {
				s += ", " + trimmed(*q.FootingMinutes).String() + " min"
			}
			notes = append([]string{s}, notes...)
		}
		pump, wait := outCell{}, outCell{}
		if q.PumpHours.IsPositive() {
			pump = quantityCell(q.PumpHours)
		}
		if q.Row != nil && q.Row.Rate != nil {
			wait = quantityCell(q.WaitHours)
		}
		pg.add(textCell(q.Pour), textCell(dates), dateCell(q.Dates.FormsSet), dateCell(q.Dates.Pour), dateCell(q.Dates.Strip),
			quantityCell(q.WallConcrete), quantityCell(q.FootingConcrete), quantityCell(q.WallOrder), quantityCell(q.FootingOrder), textCell(mix),
			wholeCell(q.Trucks), pump, wait, optionalCell(q.MinutesBetweenTrucks), textCell(strings.Join(notes, "; ")))
	}
	none(pg, len(p.t.Pours))
	last := pg.next() - 1

	pg.section("Form pressure")
	pg.head("Pour", "Status", with("Least area", area), with("At height", run), with("Rate of rise", rise), with("Pressure", press), with("Rating", press),
		with("Greatest rise", rise), with("Greatest rate", per), "Worked out")
	for i := range p.t.Pours {
		q := &p.t.Pours[i]
		status := textCell(q.Status)
		if q.Status != "at or under rating" {
			status.look = asFlag
		}
		pg.add(textCell(q.Pour), status, optionalCell(q.LeastArea), optionalCell(q.AtHeight), optionalCell(q.RateOfRise), optionalCell(q.Pressure),
			optionalCell(q.Rating), optionalCell(q.GreatestRise), optionalCell(q.GreatestRate), outCell{value: q.PressureHow, look: asLong})
	}
	none(pg, len(p.t.Pours))

	pg.section("Loads")
	pg.head("Pour", "Mix", ">Loads", with("Each", volume), "Short load")
	n := 0
	for i := range p.t.Pours {
		for _, l := range p.t.Pours[i].Loads {
			short := "no"
			if l.Short {
				short = "yes"
			}
			pg.add(textCell(p.t.Pours[i].Pour), textCell(l.Item), wholeCell(l.Count), quantityCell(l.Each), textCell(short))
			n++
		}
	}
	none(pg, n)

	pg.section("Lifts")
	pg.head("Pour", "Lift", ">Bottom", ">Top", with("Volume", volume), ">Minutes")
	n = 0
	for i := range p.t.Pours {
		for _, l := range p.t.Pours[i].Lifts {
			pg.add(textCell(p.t.Pours[i].Pour), textCell(strconv.Itoa(l.Number)), rightCell(l.Bottom.Show(p.job.Report)), rightCell(l.Top.Show(p.job.Report)),
				quantityCell(l.Volume), optionalCell(rounded(l.Minutes, 1)))
			n++
		}
	}
	none(pg, n)
	p.concreteChart(pg, first, last)
	return pg, nil
}

// rounded is d with fewer decimals, for reading.
func rounded(d *decimal.Decimal, places int32) *decimal.Decimal {
	if d == nil {
		return nil
	}
	r := d.Round(places)
	return &r
}

// concreteChart is what is ordered for walls and footings, by pour.
func (p *priced) concreteChart(pg *page, first, last int) {
	if len(p.t.Pours) == 0 {
		return
	}
	series := func(col, colour string) excelize.ChartSeries {
		return excelize.ChartSeries{Name: cellFixed(tabPourPlan, col, headRow), Categories: colRange(tabPourPlan, "A", first, last),
			Values: colRange(tabPourPlan, col, first, last), Fill: solid(colour)}
	}
	pg.charts = append(pg.charts, chartAt{"A" + strconv.Itoa(pg.next()+1), &excelize.Chart{
		Type: excelize.ColStacked, VaryColors: oneColour, Dimension: excelize.ChartDimension{Width: 620, Height: 320},
		Format: excelize.GraphicOptions{AltText: "Column chart of the concrete ordered for walls and footings of each pour; its numbers stand in the first table", Positioning: "oneCell"},
		Title:  chartTitle("Concrete ordered by pour (" + string(p.t.Units.Volume) + ")"), Legend: excelize.ChartLegend{Position: "bottom"},
		Series: []excelize.ChartSeries{series("H", chartColours[0]), series("I", chartColours[1])},
		XAxis:  excelize.ChartAxis{Font: chartFont()},
		YAxis:  excelize.ChartAxis{Font: chartFont(), MajorGridLines: true, NumFmt: excelize.ChartNumFmt{CustomNumFmt: wholeFormat}},
	}})
}
