package sheet

import (
	"strconv"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// about says what the workbook is and where things stand.
func (p *priced) about() (*page, error) {
	pg := newPage(tabAbout, "About this workbook", p.under, "")
	pg.table, pg.tableCols, pg.landscape = "About", 2, false
	pg.most = map[int]float64{1: 24, 2: 90}
	pg.head("What", "Value")
	say := func(what, value string) {
		if value != "" {
			pg.add(textCell(what), wrapCell(value))
		}
	}
	j := p.job
	say("Purpose", "A priced bid for concrete walls in stay-in-place forms, made from the wall schedule in this workbook: every quantity with its arithmetic, every total a live formula.")
	say("Job", j.Name)
	say("Job number", j.Number)
	say("Revision", j.Revision)
	say("Client", j.Client)
	say("Location", j.Location)
	say("Prepared by", j.PreparedBy)
	if !j.BidDate.IsZero() {
		pg.add(textCell("Bid date"), outCell{value: j.BidDate.Time, look: asLeftDate})
	}
	run := strconv.Itoa(p.run.Number)
	if p.run.PreviousRun > 0 {
		run += ", after run " + strconv.Itoa(p.run.PreviousRun)
	}
	say("Run", run)
	say("Made", p.run.Time.UTC().Format("2006-01-02 15:04:05")+" UTC by wallbill "+p.run.Version)
	say("Schedule", p.run.InputFile)
	say("Price book", j.PriceBook)
	say("Schedule, SHA-256", p.run.FileHash)
	say("Inputs, SHA-256", p.run.InputHash)
	say("Currency", j.Currency+" (ISO 4217), "+p.minor()+" decimals")
	u := p.t.Units
	lengths := "feet and inches in text, " + string(u.Length) + " in numbers"
	if u.System == length.Metric {
		lengths = "metres or millimetres, one of them in a column"
	}
	say("Units", "lengths "+lengths+"; areas "+string(u.Area)+", volumes "+string(u.Volume)+", masses "+string(u.Mass)+"; every quantity has its unit beside it")
	say("How to read", "Start at Bid. Each of its amounts is a formula over Priced items, each net there a sum over Takeoff, each row there has its arithmetic and its rule. Basis explains the rules and lists what is not counted.")
	say("To change", "Boxed cells on Prices used and Bid inputs are yours: the bid follows at once. Quantities change in the schedule's tabs, with a new run. The results are protected without a password.")
	say("Not a design", "This counts what the schedule says and designs nothing. Read the cautions on Basis.")
	for _, t := range resultTabs {
		if t.fill == nil {
			continue
		}
		pg.add(linkCell("Tab "+t.name, quoteTab(t.name)+"!A1"), wrapCell(t.shows))
	}
	for _, tab := range p.f.GetSheetList() {
		if !isResult(tab) {
			pg.add(linkCell("Tab "+tab, quoteTab(tab)+"!A1"), textCell("of the schedule, as it came"))
		}
	}
	return pg, nil
}

// isResult tells whether a tab is one of the results.
func isResult(tab string) bool {
	for _, t := range resultTabs {
		if takeoff.ItemKey(t.name) == takeoff.ItemKey(tab) {
			return true
		}
	}
	return false
}
