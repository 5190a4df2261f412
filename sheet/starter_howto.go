package sheet

import (
	"strconv"

	"github.com/xuri/excelize/v2"

	"wallbill/takeoff"
)

// howToLine is a row of the first tab: a heading, a text over the whole width, or a pair of which the first may be a link
// to a tab.
type howToLine struct {
	heading string
	text    string
	left    string
	right   string
	tab     string
}

func (s *starterBook) howToLines() (title, lead string, lines []howToLine) {
	head := func(t string) { lines = append(lines, howToLine{heading: t}) }
	pair := func(l, r string) { lines = append(lines, howToLine{left: l, right: r}) }
	if s.o.PriceBook {
		title = "Price book"
		lead = "What jobs share: form systems, marks, factors and prices. Name this file on a job's tab Job, row Price book. A row of the job wins over the row of the same name here."
	} else {
		title = "Wall schedule"
		lead = "One workbook is one job. Type what the plans say on the tabs that follow; wallbill counts, prices and explains it. The example, a garden workshop, prices complete as it is: try it, then type over it."
	}
	if s.lead != "" {
		lead = s.lead
	}
	head("In four steps")
	if s.o.PriceBook {
		pair("1", "Put your own form systems on Forms and Parts, your suppliers' prices on Prices. Every name and figure here is invented: replace them all.")
		pair("2", "In a job's schedule, name this file on the tab Job, row Price book; the path is taken from the schedule's folder.")
		pair("3", "wallbill check on the job says what is missing, with the cell.")
		pair("4", "wallbill price on the job writes the priced workbook; its Prices used tab says where each price came from.")
	} else {
		pair("1", "Job: name it, set tax, overhead and profit. Walls: one row a wall, clockwise round the building seen from above; Turn says what is at its far end.")
		pair("2", "Replace the invented form system, marks and prices by your own, or keep them in a price book for all jobs and name it on the tab Job.")
		pair("3", "wallbill check FILE lists every mistake with its cell.")
		pair("4", "wallbill price FILE writes FILE.priced.xlsx beside this workbook. This workbook is only read. Change it and price again: the Changes tab says what each change cost.")
	}
	head("How the tabs are made")
	pair("Headers", "Row 1 names the columns. White on blue is required; blue on pale is optional. A unit in brackets is the unit of a bare number. Columns may stand in any order.")
	pair("Help", "Row 2 explains each column. A row whose first cell begins with # is a remark and is skipped, this one too; delete it if it is in the way.")
	pair("Cells", "What you type stands in blue, in boxes. Blank rows are skipped. A tab or column of your own is left alone; a misspelt column is said.")
	if !s.o.PriceBook {
		pair("Blanks", "A blank cell of a wall takes its level's value, then the Job's, then the default in row 2.")
	}
	head("What cells accept")
	if s.o.Metric {
		pair("Lengths", "7.5 m, 750 cm, 7500 mm, or a bare number in the unit of the header; 24'-6 1/2\" is read too. Length cells are text, so that nothing is turned into a date.")
		pair("Bar sizes", "12mm (ISO), 15M (CSA G30.18), #4 (ASTM A615). Laps: 60d for 60 diameters, or a length.")
	} else {
		pair("Lengths", "24'-6 1/2\", 24' 6.5\", 24-6, 6 1/2\", 24 ft 6 in, 7.5 m, or a bare number in the unit of the header. Length cells are text, so that 24-6 is not turned into a date.")
		pair("Bar sizes", "#4 (ASTM A615), 15M (CSA G30.18), 12mm (ISO). Laps: 60d for 60 diameters, or a length.")
	}
	pair("Percentages", "5%, or 0.05; never a bare 5.")
	pair("Dates", "a date cell, or 2027-04-16.")
	if !s.o.PriceBook {
		pair("Place of an opening", "the distance to its near jamb from the wall's start; c and a length to its centre; e and a length from the wall's end; blank: placed for you.")
	}
	head("Tabs")
	for _, t := range s.tabs {
		help := t.Help
		if t.Required {
			help += " (required)"
		}
		lines = append(lines, howToLine{left: t.Name, right: help, tab: t.Name})
	}
	lines = append(lines, howToLine{left: listsTab, right: "words that the drop-downs offer", tab: listsTab})
	head("What it does not do")
	lines = append(lines, howToLine{text: "It counts what is typed and designs nothing. Reinforcement, lintels and ledgers come from a licensed engineer; local code and the form maker's instructions govern; bracing, access and placing need a competent person on site. The marks and prices of the example are invented and fit no building."})
	return title, lead, lines
}

// writeHowTo fills the first tab. It belongs to the user: no reader looks at it.
func (s *starterBook) writeHowTo() error {
	const tab = howToTab
	const left, right = 22.0, 96.0
	f := s.f
	if err := f.SetColWidth(tab, "A", "A", left); err != nil {
		return err
	}
	if err := f.SetColWidth(tab, "B", "B", right); err != nil {
		return err
	}
	title, lead, lines := s.howToLines()
	row := 0
	add := func(a, b string, styleA, styleB int, height float64) error {
		row++
		n := strconv.Itoa(row)
		for i, text := range []string{a, b} {
			if text == "" {
				continue
			}
			if err := f.SetCellStr(tab, takeoff.ColumnName(i+1)+n, text); err != nil {
				return err
			}
		}
		if err := s.style(tab, 1, row, 1, row, styleA); err != nil {
			return err
		}
		if err := s.style(tab, 2, row, 2, row, styleB); err != nil {
			return err
		}
		return f.SetRowHeight(tab, row, height)
	}
	// A text over both columns is merged; no table stands on this tab.
	wide := func(text string, style int) error {
		if err := add(text, "", style, style, 14*float64(wrappedLines(text, left+right))+3); err != nil {
			return err
		}
		n := strconv.Itoa(row)
		return f.MergeCell(tab, "A"+n, "B"+n)
	}
	if err := add(title, "", s.styles.title, s.styles.title, 28); err != nil {
		return err
	}
	if err := wide(lead, s.styles.lead); err != nil {
		return err
	}
	for _, l := range lines {
		var err error
		switch {
		case l.heading != "":
			err = add(l.heading, "", s.styles.heading, s.styles.heading, 26)
		case l.text != "":
			err = wide(l.text, s.styles.body)
		default:
			style := s.styles.body
			if l.tab != "" {
				style = s.styles.link
			}
			err = add(l.left, l.right, style, s.styles.body, 14*float64(wrappedLines(l.right, right*1.05))+1)
			if err == nil && l.tab != "" {
				err = f.SetCellHyperLink(tab, "A"+strconv.Itoa(row), "'"+l.tab+"'!A1", "Location")
			}
		}
		if err != nil {
			return err
		}
	}
	off := false
	if err := f.SetSheetView(tab, 0, &excelize.ViewOptions{ShowGridLines: &off}); err != nil {
		return err
	}
	fit := true
	if err := f.SetSheetProps(tab, &excelize.SheetPropsOptions{FitToPage: &fit}); err != nil {
		return err
	}
	return s.printSetup(tab, left+right, 0)
}
