package sheet

import (
	"strconv"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// bidCautions are what the Bid says itself; Basis has them all.
var bidCautions = []string{
	"A count of what the schedule says, not a design. Bars, lintels, footings and ledgers come from a licensed engineer;",
	"the local code and the form maker's instructions govern; bracing, access and placing need a competent person on site.",
	"Tab Basis lists what is not counted and further cautions. The Pour plan is no approval of a pour.",
}

// cautions are read before a bid or a pour; the words are ours, the rules behind them in brackets.
var cautions = []struct{ what, words, source string }{
	{"No design", "wallbill counts what the schedule says and designs nothing. Wall thickness, bars, lintels, ledgers and footings come from the adopted code's tables in full or from a licensed engineer's sealed design.", "IRC R404.1.3, R608.1"},
	{"Limits of code tables", "A code's tables hold only inside their limits of height, wind, soil, backfill and support at top and bottom, and are not to be read between their lines.", "IRC R404.1.3, R608.1"},
	{"Who governs", "The local code with its amendments, the engineer and the form maker's instructions govern over every number here.", "common practice"},
	{"Form pressure", "Compare the pressure with the form maker's rated value. Pouring too fast, cold or retarded concrete, slump over 7 in or deep vibration can burst a form.", "ACI 347R-14 4.2.2"},
	{"Full liquid head", "Slump over 7 in, self-consolidating concrete and pumping from below load the form with the full liquid head; pumping from the base adds a quarter.", "ACI 347R-14 4.2.2"},
	{"Formwork and bracing", "They must carry every load expected. Plans on site; look over forms and bracing before, during and after the pour.", "29 CFR 1926.703"},
	{"Falls", "Protection from 6 ft on form and bar faces and over 10 ft on scaffolds and walkways; rails 38 to 45 in high.", "29 CFR 1926.501(b)(5), 1926.451(g)"},
	{"Upright bars", "Cap or guard every bar that someone could fall on.", "29 CFR 1926.701(b)"},
	{"Braces", "Braces hold alignment. They are no design for wind on the empty or fresh wall; leave them until the floor or roof ties the top.", "common practice"},
	{"Backfill", "No backfill before the concrete has its strength and the floor or other support is in place.", "IRC R404.1.7 (from memory)"},
	{"Foam and solvents", "No solvent-based product on foam forms.", "common practice"},
	{"Delivery time", "The time limit for placing is the one on the ticket or order, not always 90 minutes.", "ASTM C94-21"},
	{"Outside this count", "Local amendments, R-values of the energy code, termite rules (foam below grade is restricted where termites are very heavy) and the thermal barrier inside.", "IRC R318.4, R316.4"},
	{"Rules of rounding", "Waste, laps and raising to packs stand beside each number: on Takeoff, Priced items and in this tab's rules.", "chosen here"},
}

// notCounted are the things a reader might expect and that no rule counts.
var notCounted = []struct{ what, words string }{
	{"Excavation and backfill", "soil, gravel under footings and slabs, shoring of the pit"},
	{"Slabs, floors, roofs", "concrete, bars and forms other than of walls, footings, pads and ledges"},
	{"Finishes", "siding, stucco, plaster, paint and boards, inside or outside, but parging where the schedule says so"},
	{"Windows and doors", "the units themselves; bucks are counted by the foot"},
	{"Insulation beside the forms", "rim boards, slab edges, roofs"},
	{"Services", "sleeves, boxes, chases and what they displace"},
	{"Deductions", "ties and bars displace concrete and openings interrupt sheets below grade; neither is deducted"},
	{"Testing, permits, engineering", "unless added under Extras"},
	{"Labour and equipment", "only as the Factors and Extras of the schedule give them"},
	{"Crane, site set-up, winter measures", "unless added under Extras"},
}

// unitBeside is a setting's unit where its value, as text, has none: 6 min per cy has.
func unitBeside(value, unit string) string {
	if _, err := strconv.ParseFloat(value, 64); err != nil {
		return ""
	}
	return unit
}

// basis is what stands behind the numbers.
func (p *priced) basis() (*page, error) {
	pg := newPage(tabBasis, "Basis", p.under, "Cautions, what is not counted, the settings in force, the rules with their sources, and what blank cells took.")
	pg.table, pg.tableCols = "Basis", 7
	pg.most = map[int]float64{2: 34, 5: 24, 6: 40, 7: 70}
	pg.head("Part", "Name", ">Value", "Unit", "From", "Source", "Meaning")
	for _, c := range cautions {
		pg.add(textCell("caution"), textCell(c.what), outCell{}, outCell{}, outCell{}, wrapCell(c.source), wrapCell(c.words))
	}
	for _, c := range notCounted {
		pg.add(textCell("not counted"), textCell(c.what), outCell{}, outCell{}, outCell{}, outCell{}, wrapCell(c.words))
	}
	for i := range takeoff.Catalogue {
		s := &takeoff.Catalogue[i]
		if s.Rule == "" && s.Default == "" && len(s.Choices) == 0 {
			continue // the job's own names and dates stand on About
		}
		v := p.job.Settings.Value(s.ID)
		from := textCell("default")
		if v.Typed {
			from = p.placeCell(v.At)
		}
		unit := s.Unit
		if p.t.Units.System == length.Metric && s.MetricUnit != "" {
			unit = s.MetricUnit
		}
		value := v.Text
		if v.Blank {
			value = "none"
		}
		source := s.Source
		if s.Rule != "" {
			source = s.Rule + "; " + source
		}
		pg.add(textCell("setting"), textCell(s.Name), rightCell(value), textCell(unitBeside(value, unit)), from, wrapCell(source), wrapCell(s.Help))
	}
	for _, r := range takeoff.Rules {
		pg.add(textCell("rule"), textCell(r.ID+" "+r.Title), outCell{}, outCell{}, outCell{}, wrapCell(r.Source), wrapCell(r.Words))
	}
	blanks := p.job.Inherited
	pg.least = map[int]float64{5: min(widest("From", len(blanks), func(i int) string { return blanks[i].From }), pg.most[5])}
	pg.late = &lateRows{rows: len(blanks), fill: func(i int, row []outCell) {
		h := &blanks[i]
		row[0], row[1], row[2], row[4] = textCell("inherited"), textCell("wall "+h.Wall+": "+h.Column), rightCell(h.Value), textCell(h.From)
	}}
	return pg, nil
}
