package sheet

import (
	"embed"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"wallbill/takeoff"
	"wallbill/takeoff/schedule"
	"wallbill/takeoff/unit"
)

// Options says which starter is wanted.
type Options struct {
	Metric    bool // lengths in mm, round metric values
	PriceBook bool // a price book alone: the tabs that jobs share
}

//go:embed starter/*.txt
var starterRows embed.FS

// NewStarter writes a starter workbook at path, where no file may be: every tab with its columns explained, drop-downs that
// are enforced, and a small worked example that prices complete as it comes. The same options are the same bytes.
func NewStarter(path string, o Options) error {
	if _, err := os.Lstat(path); err == nil {
		return refuse(path, fs.ErrExist, "exists already: choose another name")
	}
	if !strings.HasSuffix(strings.ToLower(path), ".xlsx") {
		return refuse(path, nil, "give the workbook a name that ends in .xlsx")
	}
	return WriteFile(path, func(w io.Writer) error { return WriteStarter(w, o) })
}

// WriteStarter writes the starter workbook to w.
func WriteStarter(w io.Writer, o Options) error {
	s, err := newStarterBook(o)
	if err != nil {
		return err
	}
	defer s.f.Close()
	if err := s.build(); err != nil {
		return err
	}
	return Save(s.f, w)
}

// WriteSchedule writes a workbook of the starter's make, headers, help, drop-downs and formats, whose rows are those of text
// instead of the starter's example. Text is as readExample reads it; a part called How to, with one column, is the lead of
// the first tab. The same text is the same bytes.
func WriteSchedule(w io.Writer, text string, o Options) error {
	tabs, err := readExample(text)
	if err != nil {
		return err
	}
	s, err := exampleBook(o, tabs)
	if err != nil {
		return err
	}
	defer s.f.Close()
	if err := s.build(); err != nil {
		return err
	}
	return Save(s.f, w)
}

// exampleTab is a tab's part of the example: a column list and rows of texts as a person would type them.
type exampleTab struct {
	name    string
	columns []string
	rows    [][]string
}

// readExample reads the example's text: tabs apart by blank lines, each with its name, a line of columns and its rows, the
// cells of a line between bars.
func readExample(text string) ([]exampleTab, error) {
	var tabs []exampleTab
	var tab *exampleTab
	for i, line := range strings.Split(text, "\n") {
		switch {
		case strings.HasPrefix(line, "# "):
		case strings.TrimSpace(line) == "":
			tab = nil
		case tab == nil:
			tabs = append(tabs, exampleTab{name: line})
			tab = &tabs[len(tabs)-1]
		default:
			var cells []string
			for _, c := range strings.Split(line, "|") {
				cells = append(cells, strings.TrimSpace(c))
			}
			if tab.columns == nil {
				tab.columns = cells
				continue
			}
			if len(cells) > len(tab.columns) {
				return nil, fmt.Errorf("line %d: %d cells under %d columns", i+1, len(cells), len(tab.columns))
			}
			tab.rows = append(tab.rows, cells)
		}
	}
	return tabs, nil
}

// Places on a starter's tabs: header, help, first row of the example, last row a drop-down reaches, empty rows that look
// like input below the example.
const (
	starterHead  = 1
	starterHelp  = 2
	starterFirst = 3
	starterLast  = 2000
	starterSpare = 12
)

// The look: one font, one accent (the blue of Okabe and Ito's set) with its tint; what a person types is blue in a box.
const (
	starterFont   = "Arial"
	starterAccent = "0072B2"
	starterTint   = "E3EFF7"
	starterQuiet  = "595959"
	starterLine   = "BFBFBF"
)

// starterStyle is the library's number of a style.
type starterStyles struct {
	title, lead, heading, body, link int
	required, optional, help         int
	section, setting, note           int
	entry                            map[string]int // by number format and side
	column                           map[string]int // the same without a box, for the rows below
}

type starterBook struct {
	f       *excelize.File
	o       Options
	lead    string // the first tab's lead when the text gives one
	in      takeoff.LengthUnit
	example map[string]exampleTab
	tabs    []*schedule.TabSpec
	styles  starterStyles
	lists   []starterList
}

// starterList is a column of the tab Lists, which the longer drop-downs read.
type starterList struct {
	name  string
	words []string
}

func newStarterBook(o Options) (*starterBook, error) {
	ending := ".txt"
	if o.Metric {
		ending = "-metric.txt"
	}
	names := []string{"starter/book" + ending}
	if !o.PriceBook {
		names = append(names, "starter/job"+ending)
	}
	var all []exampleTab
	for _, name := range names {
		b, err := starterRows.ReadFile(name)
		if err != nil {
			return nil, err
		}
		tabs, err := readExample(string(b))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		all = append(all, tabs...)
	}
	return exampleBook(o, all)
}

// exampleBook is a workbook of the starter's make that holds these tabs' rows.
func exampleBook(o Options, tabs []exampleTab) (*starterBook, error) {
	s := &starterBook{f: excelize.NewFile(), o: o, in: takeoff.InFeet, example: map[string]exampleTab{}}
	if o.Metric {
		s.in = takeoff.InMM
	}
	for i := range schedule.Tabs {
		if t := &schedule.Tabs[i]; t.Book || !o.PriceBook {
			s.tabs = append(s.tabs, t)
		}
	}
	var drivers, bars, units, settings []string
	if per := schedule.TabNamed("Factors").Column("Per"); per != nil {
		drivers = per.Choices
	}
	for _, b := range takeoff.BarSizes {
		bars = append(bars, b.Size)
	}
	for _, u := range unit.Listed {
		units = append(units, string(u))
	}
	units = append(units, "roll", "box", "bag", "can", "bundle", "pallet")
	for _, set := range takeoff.Catalogue {
		settings = append(settings, set.Name)
	}
	s.lists = []starterList{{"Bar sizes", bars}, {"Units", units}, {"Drivers", drivers}}
	if !o.PriceBook {
		s.lists = append(s.lists, starterList{"Settings", settings})
	}
	for _, t := range tabs {
		switch {
		case t.name == howToTab:
			for _, row := range t.rows {
				s.lead = strings.TrimSpace(s.lead + " " + strings.Join(row, " "))
			}
		case s.has(t.name):
			s.example[t.name] = t
			for _, row := range t.rows {
				if t.name == "Job" && settingNamed(row[0]) == nil {
					return nil, fmt.Errorf("no setting is called %s", row[0])
				}
			}
		default:
			return nil, fmt.Errorf("no tab is called %s", t.name)
		}
	}
	return s, nil
}

const (
	howToTab = "How to"
	listsTab = "Lists"
)

func (s *starterBook) build() error {
	f := s.f
	steps := []func() error{
		func() error { return f.SetDefaultFont(starterFont) },
		s.makeStyles,
		func() error { return f.SetSheetName("Sheet1", howToTab) },
		func() error {
			for _, t := range s.tabs {
				if _, err := f.NewSheet(t.Name); err != nil {
					return err
				}
			}
			_, err := f.NewSheet(listsTab)
			return err
		},
		func() error {
			for _, t := range s.tabs {
				if err := s.writeTab(t); err != nil {
					return fmt.Errorf("tab %s: %w", t.Name, err)
				}
			}
			return nil
		},
		s.writeLists,
		s.writeHowTo,
		func() error {
			title := "Wall schedule"
			if s.o.PriceBook {
				title = "Price book"
			}
			day := "2026-01-01T00:00:00Z" // fixed, so that the same starter is the same bytes
			return f.SetDocProps(&excelize.DocProperties{Title: title, Creator: "wallbill", LastModifiedBy: "wallbill", Created: day, Modified: day})
		},
	}
	for _, step := range steps {
		if err := step(); err != nil {
			return err
		}
	}
	f.SetActiveSheet(0)
	return nil
}

// formats of the cells a person types into.
const (
	textCells    = "@"
	plainCells   = "General"
	moneyCells   = "#,##0.00##"
	percentCells = "0.##%"
	dateCells    = "yyyy-mm-dd"
)

func (s *starterBook) makeStyles() error {
	font := func(size float64, colour string, bold, italic bool) *excelize.Font {
		return &excelize.Font{Family: starterFont, Size: size, Color: colour, Bold: bold, Italic: italic}
	}
	fill := func(colour string) excelize.Fill {
		return excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}
	}
	box := func(colour string) []excelize.Border {
		var b []excelize.Border
		for _, side := range []string{"left", "right", "top", "bottom"} {
			b = append(b, excelize.Border{Type: side, Color: colour, Style: 1})
		}
		return b
	}
	top := &excelize.Alignment{Vertical: "top", WrapText: true}
	middle := &excelize.Alignment{Vertical: "center", WrapText: true}
	var err error
	style := func(x excelize.Style) int {
		n, e := s.f.NewStyle(&x)
		err = errors.Join(err, e)
		return n
	}
	black := "000000"
	s.styles = starterStyles{
		title:    style(excelize.Style{Font: font(16, starterAccent, true, false), Alignment: &excelize.Alignment{Vertical: "center"}}),
		lead:     style(excelize.Style{Font: font(10, starterQuiet, false, false), Alignment: top}),
		heading:  style(excelize.Style{Font: font(12, starterAccent, true, false), Alignment: &excelize.Alignment{Vertical: "bottom"}}),
		body:     style(excelize.Style{Font: font(10, black, false, false), Alignment: top}),
		link:     style(excelize.Style{Font: &excelize.Font{Family: starterFont, Size: 10, Color: starterAccent, Underline: "single"}, Alignment: top}),
		required: style(excelize.Style{Font: font(10, "FFFFFF", true, false), Fill: fill(starterAccent), Alignment: middle, Border: box(starterAccent)}),
		optional: style(excelize.Style{Font: font(10, starterAccent, true, false), Fill: fill(starterTint), Alignment: middle, Border: box(starterAccent)}),
		help:     style(excelize.Style{Font: font(8, starterQuiet, false, true), Alignment: top, Border: []excelize.Border{{Type: "bottom", Color: starterAccent, Style: 1}}}),
		section:  style(excelize.Style{Font: font(10, starterAccent, true, false), Fill: fill(starterTint), Alignment: &excelize.Alignment{Vertical: "center"}}),
		setting:  style(excelize.Style{Font: font(10, black, false, false), Alignment: &excelize.Alignment{Vertical: "top"}}),
		note:     style(excelize.Style{Font: font(9, starterQuiet, false, false), Alignment: top}),
		entry:    map[string]int{},
		column:   map[string]int{},
	}
	for _, format := range []string{textCells, plainCells, moneyCells, percentCells, dateCells} {
		for _, side := range []string{"left", "right"} {
			align := &excelize.Alignment{Horizontal: side, Vertical: "top", Indent: 1}
			s.styles.entry[format+side] = style(excelize.Style{Font: font(10, starterAccent, false, false), CustomNumFmt: &format, Alignment: align, Border: box(starterLine)})
			s.styles.column[format+side] = style(excelize.Style{Font: font(10, starterAccent, false, false), CustomNumFmt: &format, Alignment: align})
		}
	}
	return err
}

// cellFormat is the number format of a column's cells and the side they stand at. Lengths are text: a spreadsheet would
// turn 24-6 into a date.
func cellFormat(c *schedule.ColumnSpec) (format, side string) {
	switch c.Kind {
	case schedule.LengthColumn, schedule.LapColumn:
		return textCells, "right"
	case schedule.CountColumn, schedule.NumberColumn:
		return plainCells, "right"
	case schedule.MoneyColumn:
		return moneyCells, "right"
	case schedule.PercentColumn:
		return percentCells, "right"
	case schedule.DateColumn:
		return dateCells, "right"
	case schedule.TextColumn:
		return plainCells, "left"
	}
	return textCells, "left"
}

// put writes a cell as a person's typing of text would leave it under that format.
func (s *starterBook) put(tab string, col, row int, text, format string) error {
	name, err := excelize.CoordinatesToCellName(col, row)
	if err != nil || text == "" {
		return err
	}
	switch format {
	case plainCells, moneyCells:
		if isNumber(text) {
			return s.f.SetCellDefault(tab, name, text)
		}
	case percentCells:
		if p, ok := strings.CutSuffix(text, "%"); ok {
			n, err := strconv.ParseFloat(p, 64)
			if err != nil {
				return fmt.Errorf("%s: %q is no percentage", name, text)
			}
			return s.f.SetCellDefault(tab, name, strconv.FormatFloat(n/100, 'f', -1, 64))
		}
	case dateCells:
		day, err := time.Parse("2006-01-02", text)
		if err != nil {
			return fmt.Errorf("%s: %q is no date", name, text)
		}
		return s.f.SetCellDefault(tab, name, strconv.Itoa(int(day.Sub(time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)).Hours())/24))
	}
	return s.f.SetCellStr(tab, name, text)
}

func (s *starterBook) style(tab string, col1, row1, col2, row2, style int) error {
	a, err := excelize.CoordinatesToCellName(col1, row1)
	if err != nil {
		return err
	}
	b, err := excelize.CoordinatesToCellName(col2, row2)
	if err != nil {
		return err
	}
	return s.f.SetCellStyle(tab, a, b, style)
}

// helpText is a column's line of help: required first, what it is, what a blank means.
func helpText(c *schedule.ColumnSpec) string {
	help := c.Help
	if c.Default != "" && !strings.Contains(help, "default") {
		help += "; default " + c.Default
	}
	switch {
	case c.Required:
		return "required: " + help
	case c.Or != "":
		return "here or on " + c.Or + ": " + help
	}
	return help
}

func (s *starterBook) writeTab(t *schedule.TabSpec) error {
	f, tab := s.f, t.Name
	colour := starterTint
	if t.Required {
		colour = starterAccent
	}
	fit := true
	if err := f.SetSheetProps(tab, &excelize.SheetPropsOptions{TabColorRGB: &colour, FitToPage: &fit}); err != nil {
		return err
	}
	example := s.example[tab]
	var rows [][]string
	if tab == "Job" {
		rows = s.jobRows(example)
	} else {
		at := make([]int, len(example.columns))
		for i, name := range example.columns {
			for j := range t.Columns {
				if t.Columns[j].Name == name {
					at[i] = j + 1
				}
			}
			if at[i] == 0 {
				return fmt.Errorf("the example has a column %s", name)
			}
		}
		for _, typed := range example.rows {
			row := make([]string, len(t.Columns))
			for i, text := range typed {
				row[at[i]-1] = text
			}
			rows = append(rows, row)
		}
	}
	last := starterHelp + len(rows) + starterSpare
	lines := 1
	total := 0.0
	for i := range t.Columns {
		c, col := &t.Columns[i], i+1
		letter := takeoff.ColumnName(col)
		format, side := cellFormat(c)
		width := columnWidth(c, s.in, rows, i)
		total += width
		if err := f.SetColWidth(tab, letter, letter, width); err != nil {
			return err
		}
		if err := f.SetColStyle(tab, letter, s.styles.column[format+side]); err != nil {
			return err
		}
		if err := f.SetCellStr(tab, letter+strconv.Itoa(starterHead), c.Header(s.in)); err != nil {
			return err
		}
		head := s.styles.optional
		if c.Required {
			head = s.styles.required
		}
		if err := s.style(tab, col, starterHead, col, starterHead, head); err != nil {
			return err
		}
		help := helpText(c)
		if col == 1 {
			help = "# " + help
		}
		lines = max(lines, wrappedLines(help, width*1.35))
		if err := f.SetCellStr(tab, letter+strconv.Itoa(starterHelp), help); err != nil {
			return err
		}
		if err := s.style(tab, col, starterHelp, col, starterHelp, s.styles.help); err != nil {
			return err
		}
		if err := s.style(tab, col, starterFirst, col, last, s.styles.entry[format+side]); err != nil {
			return err
		}
		for j, row := range rows {
			if tab == "Job" {
				break
			}
			if err := s.put(tab, col, starterFirst+j, row[i], format); err != nil {
				return err
			}
		}
		if err := s.validate(tab, c, letter); err != nil {
			return err
		}
	}
	if tab == "Job" {
		if err := s.writeJob(rows, last); err != nil {
			return err
		}
	}
	// Some readers believe the size a sheet states, which the library leaves at one cell.
	if err := f.SetSheetDimension(tab, "A1:"+takeoff.ColumnName(len(t.Columns))+strconv.Itoa(last)); err != nil {
		return err
	}
	if err := f.SetRowHeight(tab, starterHead, 30); err != nil {
		return err
	}
	if err := f.SetRowHeight(tab, starterHelp, float64(lines)*10.5+4); err != nil {
		return err
	}
	frozen := 1
	if tab == "Walls" || tab == "Openings" {
		frozen = 2
	}
	corner := takeoff.ColumnName(frozen+1) + strconv.Itoa(starterFirst)
	if err := f.SetPanes(tab, &excelize.Panes{Freeze: true, XSplit: frozen, YSplit: starterHelp, TopLeftCell: corner, ActivePane: "bottomRight",
		Selection: []excelize.Selection{{Pane: "topRight"}, {Pane: "bottomLeft"}, {Pane: "bottomRight", ActiveCell: corner, SQRef: corner}}}); err != nil {
		return err
	}
	return s.printSetup(tab, total, frozen)
}

// columnWidth fits a column to its header, on two lines where it has several words, and to what the example holds.
func columnWidth(c *schedule.ColumnSpec, in takeoff.LengthUnit, rows [][]string, i int) float64 {
	widest := 0
	for _, word := range strings.Fields(c.Header(in)) {
		widest = max(widest, utf8.RuneCountInString(word)+1)
	}
	widest = max(widest, (utf8.RuneCountInString(c.Header(in))+1)/2+2)
	for _, row := range rows {
		widest = max(widest, utf8.RuneCountInString(row[i]))
	}
	low, high := 10, 34
	low = max(low, min(utf8.RuneCountInString(helpText(c))/6, 16)) // six lines of help
	if c.Kind == schedule.TextColumn {
		low, high = 16, 48
	}
	return float64(min(max(widest+1, low), high))
}

// wrappedLines is how many lines a text takes in a column of so many letters.
func wrappedLines(text string, width float64) int {
	lines, used := 1, 0
	for _, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		if used > 0 && float64(used+1+n) > width {
			lines, used = lines+1, n
			continue
		}
		if used > 0 {
			used++
		}
		used += n
	}
	return lines
}

// printSetup fits a tab to the page's width, wide ones to two pages with the frozen columns on both.
func (s *starterBook) printSetup(tab string, width float64, frozen int) error {
	landscape, wide := "landscape", 1
	if width < 90 {
		landscape = "portrait"
	}
	if width > 190 {
		wide = 2
	}
	paper, high := 1, 0 // Letter
	if tab == howToTab {
		landscape, high = "portrait", 1
	}
	if s.o.Metric {
		paper = 9 // A4
	}
	if err := s.f.SetPageLayout(tab, &excelize.PageLayoutOptions{Size: &paper, Orientation: &landscape, FitToWidth: &wide, FitToHeight: &high}); err != nil {
		return err
	}
	side, edge, head := 0.5, 0.6, 0.3
	if err := s.f.SetPageMargins(tab, &excelize.PageLayoutMarginsOptions{Left: &side, Right: &side, Top: &edge, Bottom: &edge, Header: &head, Footer: &head}); err != nil {
		return err
	}
	if err := s.f.SetHeaderFooter(tab, &excelize.HeaderFooterOptions{OddFooter: "&L&F&C&A&Rpage &P of &N"}); err != nil {
		return err
	}
	if tab == howToTab || tab == listsTab {
		return nil
	}
	return s.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", Scope: tab, RefersTo: fmt.Sprintf("'%s'!$A:$%s,'%s'!$%d:$%d", tab, takeoff.ColumnName(frozen), tab, starterHead, starterHead)})
}

// validate gives a column its drop-down or range. What is one of a few words is enforced; what names a row of another tab
// is offered and warned of, because that row may come from a price book.
func (s *starterBook) validate(tab string, c *schedule.ColumnSpec, letter string) error {
	dv := excelize.NewDataValidation(true)
	dv.Sqref = fmt.Sprintf("%s%d:%s%d", letter, starterFirst, letter, starterLast)
	title := c.Name
	if utf8.RuneCountInString(title) > 32 {
		title = title[:32]
	}
	switch {
	case c.Kind == schedule.SettingColumn:
		return nil // writeJob
	case c.Kind == schedule.BarColumn:
		dv.SetSqrefDropList(s.listRange("Bar sizes"))
		dv.SetError(excelize.DataValidationErrorStyleStop, title, "A bar size of the list: #4, 15M, 12mm.")
	case c.Kind == schedule.UnitColumn:
		dv.SetSqrefDropList(s.listRange("Units"))
		dv.SetError(excelize.DataValidationErrorStyleInformation, title, "Not a unit of the list: it is taken as a pack's name.")
	case c.Name == "Per" && tab == "Factors":
		dv.SetSqrefDropList(s.listRange("Drivers"))
		dv.SetError(excelize.DataValidationErrorStyleStop, title, "One of the drivers on the tab Lists.")
	case len(c.Choices) > 0:
		if err := dv.SetDropList(c.Choices); err != nil {
			return err
		}
		dv.SetError(excelize.DataValidationErrorStyleStop, title, "One of: "+strings.Join(c.Choices, ", ")+".")
	case c.Refers != "" && s.has(c.Refers):
		key := "A"
		if c.Refers == "Walls" {
			key = "B"
		}
		dv.SetSqrefDropList(fmt.Sprintf("'%s'!$%s$%d:$%s$%d", c.Refers, key, starterFirst, key, 300))
		dv.SetError(excelize.DataValidationErrorStyleWarning, title, "Not on the tab "+c.Refers+" yet. Go on if you will add it there or if it is in your price book.")
	case c.Kind == schedule.CountColumn:
		low, high := 0, 100000
		if n, err := strconv.Atoi(c.Min); err == nil {
			low = n
		}
		if n, err := strconv.Atoi(c.Max); err == nil {
			high = n
		}
		if err := dv.SetRange(low, high, excelize.DataValidationTypeWhole, excelize.DataValidationOperatorBetween); err != nil {
			return err
		}
		dv.SetError(excelize.DataValidationErrorStyleStop, title, fmt.Sprintf("A whole number from %d to %d.", low, high))
	case c.Kind == schedule.PercentColumn:
		if err := dv.SetRange(0, 0.99, excelize.DataValidationTypeDecimal, excelize.DataValidationOperatorBetween); err != nil {
			return err
		}
		dv.SetError(excelize.DataValidationErrorStyleStop, title, "A percentage such as 5%.")
	case c.Kind == schedule.NumberColumn, c.Kind == schedule.MoneyColumn:
		low := 0
		if c.Negative {
			low = -1000000000
		}
		if err := dv.SetRange(low, 1000000000, excelize.DataValidationTypeDecimal, excelize.DataValidationOperatorBetween); err != nil {
			return err
		}
		dv.SetError(excelize.DataValidationErrorStyleStop, title, "A number; units have a column of their own.")
	case c.Kind == schedule.DateColumn:
		if err := dv.SetRange(36526, 73050, excelize.DataValidationTypeDate, excelize.DataValidationOperatorBetween); err != nil { // 2000 to 2099
			return err
		}
		dv.SetError(excelize.DataValidationErrorStyleStop, title, "A date.")
	default:
		return nil
	}
	return s.f.AddDataValidation(tab, dv)
}

func (s *starterBook) has(tab string) bool {
	for _, t := range s.tabs {
		if t.Name == tab {
			return true
		}
	}
	return false
}

// listRange is where a list stands on the tab Lists.
func (s *starterBook) listRange(name string) string {
	for i, l := range s.lists {
		if l.name == name {
			letter := takeoff.ColumnName(i + 1)
			return fmt.Sprintf("'%s'!$%s$2:$%s$%d", listsTab, letter, letter, 1+len(l.words))
		}
	}
	return ""
}

func (s *starterBook) writeLists() error {
	f := s.f
	for i, l := range s.lists {
		letter := takeoff.ColumnName(i + 1)
		if err := f.SetColWidth(listsTab, letter, letter, 22); err != nil {
			return err
		}
		if err := f.SetCellStr(listsTab, letter+"1", l.name); err != nil {
			return err
		}
		if err := f.SetCellStyle(listsTab, letter+"1", letter+"1", s.styles.optional); err != nil {
			return err
		}
		for j, w := range l.words {
			cell := letter + strconv.Itoa(j+2)
			if err := f.SetCellStr(listsTab, cell, w); err != nil {
				return err
			}
			if err := f.SetCellStyle(listsTab, cell, cell, s.styles.setting); err != nil {
				return err
			}
		}
	}
	if err := f.SetPanes(listsTab, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	return s.printSetup(listsTab, 80, 0)
}
