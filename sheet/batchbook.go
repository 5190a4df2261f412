package sheet

import (
	"fmt"
	"io"
	"net/url"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// The tabs of the workbook that rolls up a batch. The first two mark a file as one of ours.
const (
	tabJobs     = "Jobs"
	tabSums     = "Sums"
	tabToBuy    = "To buy"
	tabByJob    = "By job"
	tabTogether = "Bars together"
)

// BatchJob is a job of a batch.
type BatchJob struct {
	Path    string // of the schedule
	Out     string // of its priced workbook; empty: nothing was written
	Message string // why nothing was written

	Job, Revision string
	Run           int
	Priced        bool
	Complete      bool
	Unpriced      int
	Currency      string
	Minor         int32
	Report        length.System
	Total, Direct decimal.Decimal
	Figures       []pricing.Figure
	Findings      [3]int // notes, warnings, errors
	Orders        pricing.JobOrders
}

// state is the job's in a word or two.
func (j *BatchJob) state() string {
	switch {
	case j.Priced && j.Complete:
		return "complete"
	case j.Priced:
		return "INCOMPLETE"
	case j.Findings[2] > 0:
		return "errors"
	}
	return "failed"
}

// Batch is what batch.xlsx holds.
type Batch struct {
	Jobs     []BatchJob
	Together []pricing.Together // bars of several jobs cut together
	Pooled   bool               // it was asked for
	Folder   string             // of the workbook: links to the jobs' are relative to it
	Time     time.Time          // UTC
	Version  string
}

// IsBatch tells whether the workbook at path is the roll-up of an earlier batch, which a new one may replace.
func IsBatch(path string, limits Limits) bool {
	tabs, err := TabNames(path, limits)
	return err == nil && isBatch(tabs)
}

func isBatch(tabs []string) bool {
	return len(tabs) > 2 && tabs[0] == tabJobs && tabs[1] == tabSums && tabs[2] == tabToBuy
}

// IsOutput tells by its tabs a workbook that wallbill wrote beside a priced one: an order sheet, the roll-up of a batch,
// changes.
func IsOutput(tabs []string) bool {
	return isBatch(tabs) || isOrder(tabs) || len(tabs) == 1 && tabs[0] == tabChanges
}

// batchBook is a batch's workbook being written.
type batchBook struct {
	Batch
	under      string
	minor      map[string]int32 // by currency
	report     length.System
	currencies []string
}

// WriteBatch writes the roll-up of a batch: a row a job, sums by currency, what to buy across the jobs, each job's own
// orders, and, where asked for, what cutting bars together saves.
func WriteBatch(w io.Writer, b Batch) error {
	bb := &batchBook{Batch: b, minor: map[string]int32{}, report: length.Metric}
	minor := int32(0)
	for i := range b.Jobs {
		j := &b.Jobs[i]
		if !j.Priced {
			continue
		}
		if _, known := bb.minor[j.Currency]; !known {
			bb.currencies = append(bb.currencies, j.Currency)
		}
		bb.minor[j.Currency] = j.Minor
		minor = max(minor, j.Minor)
		if j.Report == length.FeetInches {
			bb.report = length.FeetInches
		}
	}
	bb.under = fmt.Sprintf("%s · %s", counted(int64(len(b.Jobs)), "schedule"), b.Time.UTC().Format("2006-01-02 15:04 MST"))
	pages := []*page{bb.jobs(), bb.sums(), bb.toBuy(), bb.byJob()}
	if b.Pooled {
		pages = append(pages, bb.together())
	}
	return writeBook(w, pages, bookOf{title: "Batch of " + counted(int64(len(b.Jobs)), "schedule"), subject: "Roll-up of a batch", footer: "Batch",
		minor: minor, a4: bb.report == length.Metric, stamp: b.Time, version: b.Version})
}

// The columns of Jobs that Sums refers to.
const (
	colState    = "E"
	colCurrency = "F"
	colTotal    = "G"
	colDirect   = "H"
)

// jobs is a row a job, with its figures per unit, in columns that all jobs share.
func (b *batchBook) jobs() *page {
	pg := newPage(tabJobs, "Jobs", b.under, "A row a schedule in the order given; the file's name opens its priced workbook.")
	var names []string
	column := map[string]int{}
	for i := range b.Jobs {
		for _, f := range b.Jobs[i].Figures {
			if _, ok := column[f.Name]; !ok {
				column[f.Name] = len(names)
				names = append(names, f.Name)
			}
		}
	}
	head := []string{"File", "Job", "Revision", ">Run", "State", "Currency", ">Bid total", ">Direct cost"}
	for _, n := range names {
		head = append(head, ">"+strings.ToUpper(n[:1])+n[1:])
	}
	head = append(head, ">Errors", ">Warnings", ">Notes", "What is in the way")
	pg.table, pg.tableCols, pg.most = "Jobs", len(head), map[int]float64{1: 44, 2: 34, len(head): 60}
	pg.head(head...)
	for i := range b.Jobs {
		j := &b.Jobs[i]
		file := textCell(filepath.ToSlash(j.Path))
		if j.Out != "" {
			file = outCell{value: filepath.ToSlash(j.Path), look: asLink, file: b.address(j.Out)}
		}
		state := textCell(j.state())
		if j.state() != "complete" {
			state.look = asFlag
		}
		cells := []outCell{file, wrapCell(j.Job), textCell(j.Revision), {}, state, textCell(j.Currency), {}, {}}
		if j.Priced {
			cells[3], cells[6], cells[7] = wholeCell(int64(j.Run)), moneyCell(j.Total), moneyCell(j.Direct)
		}
		figures := make([]outCell, len(names))
		for _, f := range j.Figures {
			if f.Amount != nil {
				l := asQuantity
				if f.IsMoney {
					l = asMoney
				}
				figures[column[f.Name]] = outCell{value: storedNumber(*f.Amount), look: l}
			}
		}
		cells = append(cells, figures...)
		message := j.Message
		if j.Priced && !j.Complete {
			message = counted(int64(j.Unpriced), "item") + " without a price"
		}
		cells = append(cells, wholeCell(int64(j.Findings[2])), wholeCell(int64(j.Findings[1])), wholeCell(int64(j.Findings[0])), wrapCell(message))
		pg.add(cells...)
	}
	return pg
}

// address is a link to a file from the batch's folder.
func (b *batchBook) address(out string) string {
	to, err := filepath.Rel(b.Folder, out)
	if err != nil {
		to = out
	}
	parts := strings.Split(filepath.ToSlash(to), "/")
	for i := range parts {
		parts[i] = url.PathEscape(parts[i])
	}
	return strings.Join(parts, "/")
}

// sums are the totals by currency, live over Jobs.
func (b *batchBook) sums() *page {
	pg := newPage(tabSums, "Sums", b.under, "Sums of the bids of a currency; an incomplete bid counts what has a price.")
	pg.table, pg.tableCols = "Sums", 6
	pg.head("Currency", ">Jobs", ">Complete", ">Incomplete", ">Bid totals", ">Direct costs")
	last := headRow + len(b.Jobs)
	area := func(col string) string { return colRange(tabJobs, col, firstRow, last) }
	for _, currency := range b.currencies {
		row := strconv.Itoa(pg.next())
		var jobs, complete, incomplete int64
		total, direct := decimal.Decimal{}, decimal.Decimal{}
		for i := range b.Jobs {
			j := &b.Jobs[i]
			if !j.Priced || j.Currency != currency {
				continue
			}
			jobs++
			total, direct = total.Add(j.Total), direct.Add(j.Direct)
			if j.Complete {
				complete++
			} else {
				incomplete++
			}
		}
		count := func(state string, n int64) outCell {
			return calcCell("COUNTIFS("+area(colCurrency)+",$A"+row+","+area(colState)+`,"`+state+`")`, decimal.NewFromInt(n), asWhole)
		}
		sum := func(col string, v decimal.Decimal) outCell {
			return calcCell("SUMIFS("+area(col)+","+area(colCurrency)+",$A"+row+")", v, asMoney)
		}
		pg.add(textCell(currency), calcCell("COUNTIFS("+area(colCurrency)+",$A"+row+")", decimal.NewFromInt(jobs), asWhole),
			count("complete", complete), count("INCOMPLETE", incomplete), sum(colTotal, total), sum(colDirect, direct))
	}
	return pg
}

// toBuy is what to buy across the jobs.
func (b *batchBook) toBuy() *page {
	pg := newPage(tabToBuy, "To buy across the jobs", b.under,
		"Each row sums the orders of the jobs that By job lists. What one job has over is not taken off another's: see Surplus. Rented pieces count once a time on rent. Need by is the day to order: lead days before use.")
	pg.table, pg.tableCols, pg.most = "ToBuy", 14, map[int]float64{14: 40}
	pg.head("Supplier", "Item", ">Length", ">To order", "Unit", ">Jobs", ">Earliest need by", ">Needed", ">Ordered", ">Surplus", "Rented", ">Extension", "Currency", "Note")
	var all []pricing.JobOrders
	for i := range b.Jobs {
		all = append(all, b.Jobs[i].Orders)
	}
	for _, t := range pricing.AcrossJobs(all) {
		supplier, rented, note := t.Supplier, "no", ""
		if supplier == "" {
			supplier = "no supplier"
		}
		if t.Rental {
			rented = "yes"
		}
		ext := moneyCell(t.Extension)
		if t.Unpriced > 0 {
			note = counted(int64(t.Unpriced), "order") + " without a price"
		}
		pg.add(textCell(supplier), textCell(t.Item), b.lengthCell(t.Length), quantityCell(t.ToOrder), textCell(string(t.Unit)), wholeCell(int64(t.Jobs)),
			dateCell(t.NeedBy), quantityCell(t.Needed), quantityCell(t.Ordered), quantityCell(t.Over), textCell(rented), ext, textCell(t.Currency), textCell(note))
	}
	return pg
}

func (b *batchBook) lengthCell(l length.Length) outCell {
	if l == 0 {
		return outCell{}
	}
	return rightCell(l.ShowStock(b.report))
}

// byJob is each job's own orders.
func (b *batchBook) byJob() *page {
	pg := newPage(tabByJob, "Orders by job", b.under, "The orders that To buy sums, as each job's priced workbook has them.")
	pg.table, pg.tableCols = "ByJob", 14
	pg.head("File", "Job", "Supplier", "Item", ">Length", ">Need by", ">To order", "Unit", ">Packs", ">Needed", ">Ordered", ">Surplus", ">Extension", "Currency")
	n := 0
	for i := range b.Jobs {
		n += len(b.Jobs[i].Orders.Orders)
	}
	jobs := make([]int32, 0, n) // of each row
	row := make([]int32, 0, n)
	for i := range b.Jobs {
		for k := range b.Jobs[i].Orders.Orders {
			jobs, row = append(jobs, int32(i)), append(row, int32(k))
		}
	}
	fill := func(i int, cells []outCell) {
		j := &b.Jobs[jobs[i]]
		o := &j.Orders.Orders[row[i]]
		supplier := o.Supplier
		if supplier == "" {
			supplier = "no supplier"
		}
		copy(cells, []outCell{textCell(filepath.ToSlash(j.Path)), textCell(j.Job), textCell(supplier), textCell(o.Item), b.lengthCell(o.Length), lateDate(o.NeedBy),
			quantityCell(o.ToOrder), textCell(string(o.Unit)), optionalCell(o.Packs), quantityCell(o.Needed), quantityCell(o.Ordered), quantityCell(o.Over),
			amountOrBlank(o.Extension, asMoney), textCell(j.Currency)})
	}
	widths := []float64{36, 28, 20, 26, 12, 13, 12, 9, 8, 12, 12, 12, 14, 10}
	pg.late = &lateRows{rows: n, widths: widths, fill: fill}
	return pg
}

// dayZero is the day a spreadsheet counts from, as our days count.
var dayZero = takeoff.NewDate(1899, time.December, 30).Day()

// lateDate is a date in a late row, which holds numbers and text only.
func lateDate(d takeoff.Date) outCell {
	if d.IsZero() {
		return outCell{}
	}
	return outCell{value: int64(d.Day() - dayZero), look: asDate}
}

// together is what cutting the bars of several jobs together saves.
func (b *batchBook) together() *page {
	pg := newPage(tabTogether, "Bars of several jobs cut together", b.under,
		"Bars of one size, supplier and price list. Saved only if they are bought and cut at one place; before waste and packs.")
	pg.table, pg.tableCols, pg.most = "Together", 13, map[int]float64{12: 50, 13: 50}
	pg.head("Supplier", "Item", ">Jobs", ">Pieces", ">Bought apart", ">Bought together", ">Cost apart", ">Cost together", ">Saving", ">Least possible", "Currency",
		"Stock to buy together", "Note")
	for _, t := range b.Together {
		supplier := t.Supplier
		if supplier == "" {
			supplier = "no supplier"
		}
		var stock []string
		for _, s := range t.Stock {
			stock = append(stock, strconv.FormatInt(s.Count, 10)+" × "+s.Length.ShowStock(b.report))
		}
		note := "proven least"
		switch {
		case t.Apart:
			note = "no cheaper plan found: buy as each job has it"
		case !t.Cost.Equal(t.Least):
			note = "at most " + trimmed(t.Cost.Sub(t.Least)).String() + " " + t.Currency + " over the least"
		}
		pg.add(textCell(supplier), textCell(t.Item), wholeCell(int64(t.Jobs)), wholeCell(t.Pieces), wholeCell(t.ApartBought), wholeCell(t.Bought),
			moneyCell(t.ApartCost), moneyCell(t.Cost), moneyCell(t.Saving), moneyCell(t.Least), textCell(t.Currency), wrapCell(strings.Join(stock, "; ")), textCell(note))
	}
	return pg
}
