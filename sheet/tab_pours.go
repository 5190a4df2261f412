package sheet

import (
	"strconv"
	"strings"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"wallbill/takeoff/length"
)

// pourPlan is concrete, trucks, lifts and form pressure by pour.
func (p *priced) pourPlan() (*page, error) {
	pg := newPage(tabPourPlan, "Pour plan", p.under,
		"Pouring too fast, cold or retarded concrete, or deep vibration can burst a form: NOT CHECKED is no approval. The form maker's instructions govern.")
	pg.most = map[int]float64{10: 38, 15: 36}
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
		mix := ""
		if q.WallOrder.IsPositive() {
			mix = q.WallItem
		}
		if q.FootingItem != mix && q.FootingOrder.IsPositive() {
			mix = strings.TrimPrefix(mix+"; "+q.FootingItem, "; ")
		}
		notes := append([]string(nil), q.Notes...)
		if q.CastTogether {
			s := "footings cast with the walls"
			if q.FootingMinutes == nil { // else a note says it
				s += ": footings first"
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
			optionalCell(q.Rating), optionalCell(q.GreatestRise), optionalCell(q.GreatestRate), textCell(q.PressureHow))
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
			pg.add(textCell(p.t.Pours[i].Pour), textCell(strconv.Itoa(l.Number)), rightCell(l.Bottom.ShowPiece(p.job.Report)), rightCell(l.Top.ShowPiece(p.job.Report)),
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
