package sheet

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"wallbill/pricing"
	"wallbill/pricing/revision"
	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// The results tabs, in their order.
const (
	tabAbout     = "About"
	tabBid       = "Bid"
	tabChanges   = "Changes"
	tabTakeoff   = "Takeoff"
	tabPriced    = "Priced items"
	tabInputs    = "Bid inputs"
	tabShares    = "Shares"
	tabPrices    = "Prices used"
	tabOrders    = "Orders"
	tabCourses   = "Courses"
	tabBars      = "Bar list"
	tabCuts      = "Cuts"
	tabBracing   = "Bracing"
	tabPourPlan  = "Pour plan"
	tabDrawings  = "Drawings"
	tabChecks    = "Checks"
	tabBasis     = "Basis"
	tabRecord    = "Record"
	ownerOfFiles = "wallbill"
)

// Run says which run of a job a priced workbook is.
type Run struct {
	Number      int
	Time        time.Time // UTC
	Version     string    // of wallbill
	InputFile   string    // the schedule's file name
	InputHash   string    // SHA-256 of the inputs as read, hexadecimal
	FileHash    string    // SHA-256 of the schedule's file; empty where the results stand in it
	PreviousRun int       // 0: none
}

// PricedOptions are what else a priced workbook may carry.
type PricedOptions struct {
	Findings []takeoff.Finding // said beside those of the takeoff and the bid, as of reading
	Record   *revision.Run     // the run with its inputs and changes; nil: of the bid alone, without inputs
	Draw     bool              // plans and elevations on tab Drawings
	Painted  *Paintings        // of them, where they are begun already
	// Spend lets the arithmetic of lines and the segments of courses go as they are written, for the memory of a big job:
	// the takeoff is of no further use for those.
	Spend bool
}

// resultTab is one of the results: what it shows, for About, and how it is filled.
type resultTab struct {
	name, shows string
	fill        func(*priced) (*page, error)
}

// resultTabs lists the results in order. A tab without fill is not written.
var resultTabs []resultTab

func init() {
	resultTabs = []resultTab{
		{tabAbout, "what this workbook is, how to read it, its tabs", (*priced).about},
		{tabBid, "from direct cost to the bid total; by kind, group, level, pour; alternates, exclusions, figures per unit", (*priced).bidTab},
		{tabChanges, "what changed since the run before, and what each change cost", (*priced).changes},
		{tabTakeoff, "every quantity: where it belongs, its arithmetic, its rule", (*priced).takeoffTab},
		{tabPriced, "every item: net, waste, order, price, extension", (*priced).pricedItems},
		{tabInputs, "rates of the build-up, to change and see; the job's drivers", (*priced).inputs},
		{tabShares, "what of each item belongs to a level, to a pour", (*priced).shares},
		{tabPrices, "prices, breaks, waste and packs in use, to change and see; where each came from", (*priced).pricesUsed},
		{tabOrders, "what to order, by supplier and day", (*priced).orders},
		{tabCourses, "form units and cut pieces by wall and course", (*priced).courses},
		{tabBars, "every bar: size, count, length, shape, place", (*priced).barList},
		{tabCuts, "how stock is cut, and what is bought against the least that any plan could cost", (*priced).cuts},
		{tabBracing, "braces by wall with their places; need by day; time on rent", (*priced).bracing},
		{tabPourPlan, "concrete, trucks, lifts and form pressure by pour", (*priced).pourPlan},
		{tabDrawings, "plan of each level, elevation of each wall", (*priced).drawings},
		{tabChecks, "control sums, and every finding with its cell", (*priced).checks},
		{tabBasis, "settings and rules used with their sources, what was inherited, what is not counted, cautions", (*priced).basis},
		{tabRecord, "inputs as read and results, for the next run", (*priced).recordTab},
	}
}

// priced is a priced workbook being written.
type priced struct {
	f        *excelize.File
	ids      *styles
	run      Run
	bid      *pricing.Bid
	t        *takeoff.Takeoff
	job      *takeoff.Job
	under    string // job, revision and run, as row 2 of each tab has it
	findings []takeoff.Finding
	layout   layout
	draw     bool
	cutsMade []takeoff.Cut   // by cutList
	spend    bool            // what is written is let go
	tables   map[string]bool // lower-case names of tables and defined names that are taken

	paintings *Paintings // nil: none are drawn

	record     *revision.Run
	recordHash string // of the Record tab, once it is filled
}

// layout is where on the tabs the formulas of other tabs find things.
type layout struct {
	takeoffLast int // last row of the lines
	pricedLast  int // last row of Priced items; Prices used and Shares have the same rows
	driverRow   map[string]int
	bidRows     bidRows
	checksLast  int // last row of the control sums
	changes     changeRows
}

// WritePriced writes the priced workbook of a run: the tabs of base, which is the schedule or the workbook to be
// replaced, and the results. Results tabs that base already has are rewritten where they stand; a tab of the user's that
// has such a tab's name is an error that names it. The findings are what there was to say about the workbook itself.
func WritePriced(w io.Writer, base *excelize.File, run Run, bid *pricing.Bid, opts PricedOptions) ([]takeoff.Finding, error) {
	if takeoff.HasErrors(bid.Findings) || takeoff.HasErrors(bid.Takeoff.Findings) {
		return nil, errors.New("a bid with errors is not written")
	}
	p := &priced{f: base, run: run, bid: bid, t: bid.Takeoff, job: bid.Takeoff.Job, draw: opts.Draw, spend: opts.Spend}
	if p.draw {
		if p.paintings = opts.Painted; p.paintings == nil {
			p.paintings = Paint(p.t)
		}
		defer p.paintings.Drop()
	}
	if p.record = opts.Record; p.record == nil {
		p.record = recordOfBid(p)
	}
	if err := p.makeTabs(); err != nil {
		return nil, err
	}
	if err := completeParts(base); err != nil {
		return nil, err
	}
	holdNumbers(base)
	ids, err := registerStyles(base, p.job.MinorDigits)
	if err != nil {
		return nil, fmt.Errorf("registering styles: %w", err)
	}
	p.ids = ids
	p.under = p.runLine()
	p.place()
	said := p.nameTotals()
	p.findings = append(p.findings, opts.Findings...)
	p.findings = append(p.findings, p.t.Findings...)
	p.findings = append(p.findings, bid.Findings...)
	p.findings = append(p.findings, said...)
	p.takenNames()
	footer := p.footer()
	parts, err := tabParts(base)
	if err != nil {
		return nil, err
	}
	late := map[string]func(io.Writer) error{}
	held := tables{f: base, aside: map[string][]byte{}}
	order := slices.Clone(resultTabs)
	// The drawings last: they are still being painted.
	slices.SortStableFunc(order, func(a, b resultTab) int { return boolOrder(a.name == tabDrawings, b.name == tabDrawings) })
	for _, tab := range order {
		if tab.fill == nil {
			continue
		}
		page, err := tab.fill(p)
		if err != nil {
			return nil, fmt.Errorf("writing tab %s: %w", tab.name, err)
		}
		page.a4 = p.job.Report == length.Metric
		if n := len(page.rows) + page.late.count(); n > rowLimit {
			return nil, fmt.Errorf("tab %s would have %d rows; a workbook holds %d", tab.name, n, rowLimit)
		}
		if page.table != "" {
			page.table = p.freeName(page.table)
		}
		held.hold()
		if err := page.write(base, ids, footer); err != nil {
			return nil, fmt.Errorf("writing tab %s: %w", tab.name, err)
		}
		if page.late.count() > 0 {
			late[parts[tab.name]] = func(w io.Writer) error { return page.late.write(w, page, ids) }
		}
		if page.repeat == 0 && page.table == "" {
			page.repeat = runRow // the header is that of the first of several tables
		}
		if err := p.printTitles(tab.name, page.repeat); err != nil {
			return nil, fmt.Errorf("writing tab %s: %w", tab.name, err)
		}
	}
	if err := p.properties(); err != nil {
		return nil, fmt.Errorf("writing the document's properties: %w", err)
	}
	if err := p.setRecordHash(); err != nil {
		return nil, err
	}
	full := true
	if err := base.SetCalcProps(&excelize.CalcPropsOptions{FullCalcOnLoad: &full}); err != nil {
		return nil, err
	}
	held.free()
	freeNumbers(base)
	if err := OpenOn(base, tabAbout); err != nil {
		return nil, err
	}
	return said, saveWith(base, w, late)
}

// runLine is row 2 of every results tab.
func (p *priced) runLine() string {
	s := "Job: " + p.job.Name
	if p.job.Number != "" {
		s += " (" + p.job.Number + ")"
	}
	if p.job.Revision != "" {
		s += " · Revision " + p.job.Revision
	}
	return s + " · Run " + strconv.Itoa(p.run.Number) + " · " + p.run.Time.UTC().Format("2006-01-02 15:04 MST")
}

// footer is the printed footer: job and revision, run with its day and schedule, page, tab. An ampersand begins a code there, so that one is doubled.
func (p *priced) footer() string {
	s := p.job.Name
	if p.job.Revision != "" {
		s += " · Rev " + p.job.Revision
	}
	const tail = "&CPage &P of &N&R&A"
	// the format allows 255 characters
	of := " · Run " + strconv.Itoa(p.run.Number) + " · " + p.run.Time.UTC().Format(time.DateOnly) + " · "
	cut := func(s string, most int) string {
		if r := []rune(s); len(r) > most {
			s = string(r[:most])
		}
		return strings.ReplaceAll(s, "&", "&&")
	}
	file, most := p.run.InputFile, 90
	if strings.Contains(s+file, "&") {
		most = 45 // each may be doubled
	}
	if r := []rune(file); len(r) > most { // the end, with its ending
		file = string(r[len(r)-most:])
	}
	return "&L&8 " + cut(s, most) + of + cut(file, most) + tail
}

// place fixes where things stand before the tabs are written, so that they can refer to one another in any order.
func (p *priced) place() {
	l := &p.layout
	l.takeoffLast = headRow + max(len(p.t.Lines), 1)
	l.pricedLast = headRow + max(len(p.bid.Items)+len(p.bid.Extras), 1)
	l.driverRow = map[string]int{}
	for i, d := range p.t.Drivers {
		l.driverRow[d.Name] = firstRow + len(rateRows) + i
	}
	l.bidRows = newBidRows(p.bid)
	l.checksLast = headRow + len(p.controlSums())
}

// printTitles repeats the first rows on every printed page: so many, or to the header.
func (p *priced) printTitles(tab string, rows int) error {
	if rows == 0 {
		rows = headRow
	}
	return p.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", Scope: tab, RefersTo: quoteTab(tab) + "!$1:$" + strconv.Itoa(rows)})
}

// properties says in the file's properties what it is, and which tabs are results.
func (p *priced) properties() error {
	stamp := p.run.Time.UTC().Format(time.RFC3339)
	title := p.job.Name
	if p.job.Revision != "" {
		title += ", revision " + p.job.Revision
	}
	if err := p.f.SetDocProps(&excelize.DocProperties{
		Title: title, Subject: "Priced wall schedule, run " + strconv.Itoa(p.run.Number), Creator: ownerOfFiles,
		LastModifiedBy: ownerOfFiles, Description: "Made by " + ownerOfFiles + " " + p.run.Version + " from " + p.run.InputFile,
		Identifier: "xlsx", Version: p.run.Version, Created: stamp, Modified: stamp, Revision: strconv.Itoa(max(p.run.Number, 1)),
	}); err != nil {
		return err
	}
	for _, c := range []excelize.CustomProperty{
		{Name: "Job", Value: p.job.Name},
		{Name: "Revision", Value: p.job.Revision},
		{Name: "Run", Value: strconv.Itoa(p.run.Number)},
		{Name: "Input SHA-256", Value: p.run.InputHash},
		{Name: resultsProperty, Value: p.tabList()},
	} {
		if err := p.f.SetCustomProps(c); err != nil {
			return err
		}
	}
	return nil
}

// tabList names the results tabs written.
func (p *priced) tabList() string {
	var names []string
	for _, t := range resultTabs {
		if t.fill != nil {
			names = append(names, t.name)
		}
	}
	return strings.Join(names, "; ")
}

// currency is the unit of money.
func (p *priced) currency() string { return p.job.Currency }

// minor is the number of decimals of the currency, as formulas write it.
func (p *priced) minor() string { return strconv.Itoa(int(p.job.MinorDigits)) }
