package cmd

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"unicode"

	"github.com/spf13/cobra"

	"wallbill/pricing"
	"wallbill/sheet"
	"wallbill/takeoff"
)

type ordersFlags struct {
	out, today, time, supplier string
	prices, csv                bool
	jobs                       int
}

// ordersCommand writes what is still to be ordered, a file a job and supplier.
func (a *app) ordersCommand() *cobra.Command {
	var f ordersFlags
	c := &cobra.Command{
		Use:   "orders PATH...",
		Short: "Write order sheets, one for each supplier",
		Long: `Write what is still to be ordered of each supplier, needed less ordered so far (tab Ordered), as a workbook to
send: quantities and need-by dates only, with --prices also prices. Labor, extras and freight are not
ordered. A PATH is a schedule, a priced workbook (its Record is used) or a folder.`,
		Example: `  wallbill orders garage.xlsx
  wallbill orders garage.xlsx -o orders/ --supplier "Foam Yard"
  wallbill orders bids/ --csv --prices -o orders/`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error { return a.orders(args, f) },
	}
	c.Flags().StringVarP(&f.out, "out", "o", "", "the folder to write in (default the schedule's)")
	c.Flags().BoolVar(&f.prices, "prices", false, "with prices and extensions")
	c.Flags().BoolVar(&f.csv, "csv", false, "CSV files instead of workbooks")
	c.Flags().StringVar(&f.supplier, "supplier", "", "this supplier only; no-supplier: what has none")
	c.Flags().StringVar(&f.today, "today", "", "the day orders are late against (default the Bid date, else today)")
	c.Flags().StringVar(&f.time, "time", "", "the time of the sheets, such as 2026-11-25T09:30:00Z; the same input then gives the same bytes")
	c.Flags().IntVar(&f.jobs, "jobs", 0, "schedules worked at the same time (default: one a processor)")
	return c
}

// ordered is what the orders of one schedule came to.
type ordered struct {
	path      string
	err       error
	status    int
	said      string // findings, as printed
	lines     []string
	suppliers []string // that something is to be ordered of
	files     int
}

// claims are the files that a run writes, so that no two jobs write one.
type claims struct {
	sync.Mutex
	by map[string]string
}

// take claims a file for a job; it gives the job that has it already.
func (c *claims) take(file, job string) (other string, ok bool) {
	c.Lock()
	defer c.Unlock()
	k := sameName(placeOf(file))
	if other, taken := c.by[k]; taken {
		return other, false
	}
	c.by[k] = job
	return "", true
}

func (a *app) orders(paths []string, f ordersFlags) error {
	now, err := timeFlag(f.time)
	if err != nil {
		return err
	}
	today, err := dateFlag(f.today)
	if err != nil {
		return err
	}
	if namesWorkbook(f.out) || strings.EqualFold(filepath.Ext(f.out), ".csv") {
		return fmt.Errorf("-o %s: the name of a folder; every supplier has a file of its own there", f.out)
	}
	found := a.schedules(paths)
	if f.out != "" {
		if err := sheet.MakeFolder(f.out); err != nil {
			return err
		}
	}
	a.sayAll(found.skipping)
	clash(found.jobs, func(path string) string {
		return filepath.Join(orderFolder(path, f.out), orderFile(path, "<supplier>", f.csv))
	})
	h := how{price: true, today: today, now: now}
	c := &claims{by: map[string]string{}}
	progress := a.progress(len(found.jobs))
	status, files, finished := exitDone, 0, 0
	suppliers := map[string]string{}
	sideBySide(a.ctx, len(found.jobs), jobsAtOnce(f.jobs), func(i int) ordered {
		return a.orderOne(found.jobs[i], f, h, c)
	}, func(i int) { progress.step(found.jobs[i].path) }, func(_ int, o ordered) {
		progress.hide()
		if errors.Is(o.err, errInterrupted) {
			return
		}
		finished++
		fmt.Fprint(a.Err, o.said)
		if o.err != nil {
			o.status = exitFailed
			fmt.Fprintln(a.Err, "wallbill: "+reason(o.path, o.err))
		}
		if !a.quiet {
			for _, line := range o.lines {
				fmt.Fprintln(a.Out, line)
			}
		}
		for _, s := range o.suppliers {
			suppliers[pricing.SupplierKey(s)] = s
		}
		files += o.files
		status = batchStatus(status, o.status)
	})
	progress.hide()
	if a.ctx.Err() != nil {
		return fmt.Errorf("interrupted: %d of %d schedules were finished; their order sheets are whole", finished, len(found.jobs))
	}
	if f.supplier != "" && files == 0 && (status == exitDone || status == exitIncomplete) {
		if len(suppliers) == 0 {
			return fmt.Errorf("--supplier %s: nothing is left to order of any supplier", f.supplier)
		}
		return fmt.Errorf("--supplier %s: nothing is left to order of it; there is of: %s", f.supplier, strings.Join(sortedNames(suppliers), ", "))
	}
	if status != exitDone {
		return &exitError{status: status}
	}
	return nil
}

// orderOne writes the order sheets of one schedule.
func (a *app) orderOne(job jobPath, f ordersFlags, h how, c *claims) (o ordered) {
	o.path = job.path
	if o.err = job.err; o.err != nil {
		return o
	}
	var w *work
	if o.err = a.guarded(func() (err error) { w, err = a.do(job.path, h); return err }); o.err != nil {
		return o
	}
	o.status = w.status()
	var said strings.Builder
	if shown := ofOrders(w.findings); !a.quiet || o.status == exitErrors {
		a.writeFindings(&said, a.color(a.Err), filepath.Base(job.path), shown)
	}
	if w.bid == nil || o.status == exitErrors {
		fmt.Fprintf(&said, "%s: %s; nothing was written\n", job.path, count(w.findings))
		o.said = said.String()
		return o
	}
	dir := orderFolder(job.path, f.out)
	names := map[string]int{}
	written := map[string]bool{}
	for _, order := range w.bid.OrdersToPlace() {
		supplier := order.Supplier
		if supplier == "" {
			supplier = order.Key
		}
		o.suppliers = append(o.suppliers, supplier)
		file := orderName(job.path, supplier, f.csv)
		if names[strings.ToLower(file)]++; names[strings.ToLower(file)] > 1 {
			file = orderName(job.path, fmt.Sprintf("%s-%d", supplier, names[strings.ToLower(file)]), f.csv)
		}
		if f.supplier != "" && pricing.SupplierKey(f.supplier) != order.Key {
			continue
		}
		out := filepath.Join(dir, file)
		written[out] = true
		if o.err = a.writeOrder(out, job.path, sheet.OrderSheet{Job: w.job, Order: order, Prices: f.prices, Time: h.now, Version: Version}, f, c); o.err != nil {
			break
		}
		o.files++
		o.lines = append(o.lines, fmt.Sprintf("wrote %s: %d to order", out, len(order.Rows)))
	}
	if o.err == nil && o.files == 0 && f.supplier == "" {
		o.lines = append(o.lines, job.path+": nothing is left to order")
	}
	for _, out := range a.oldOrders(w.bid, job.path, dir, f, written) {
		fmt.Fprintf(&said, "%s: of an earlier run: nothing is left to order of this supplier\n", out)
	}
	o.said = said.String()
	return o
}

// writeOrder writes one order sheet. A file that is none of ours is left alone.
func (a *app) writeOrder(out, job string, o sheet.OrderSheet, f ordersFlags, c *claims) error {
	if other, ok := c.take(out, job); !ok {
		return fmt.Errorf("%s: not written: it is the name of an order of %s too; give one of the schedules another name", out, other)
	}
	if _, err := os.Stat(out); !errors.Is(err, fs.ErrNotExist) && !sheet.IsOrder(out, a.limits) {
		if err := sheet.CanReplace(out); err != nil {
			return err
		}
		return fmt.Errorf("%s: not written: a file of that name is there and is no order sheet", out)
	}
	return a.write(out, func(to io.Writer) error {
		if f.csv {
			return sheet.WriteOrderCSV(to, o)
		}
		return sheet.WriteOrder(to, o)
	})
}

// oldOrders are order sheets of an earlier run of suppliers that nothing is left to order of.
func (a *app) oldOrders(bid *pricing.Bid, job, dir string, f ordersFlags, written map[string]bool) []string {
	var old []string
	left := map[string]bool{}
	for _, o := range bid.OrdersToPlace() {
		left[o.Key] = true
	}
	for _, o := range bid.Orders {
		k := pricing.SupplierKey(o.Supplier)
		if left[k] || f.supplier != "" && pricing.SupplierKey(f.supplier) != k {
			continue
		}
		left[k] = true
		supplier := o.Supplier
		if supplier == "" {
			supplier = k
		}
		out := filepath.Join(dir, orderName(job, supplier, f.csv))
		if _, err := os.Stat(out); err == nil && !written[out] && sheet.IsOrder(out, a.limits) {
			old = append(old, out)
		}
	}
	return old
}

// ofOrders are the errors among findings, and the warnings about prices, dates and orders.
func ofOrders(findings []takeoff.Finding) []takeoff.Finding {
	var out []takeoff.Finding
	for _, f := range findings {
		if f.Severity == takeoff.Error || f.Severity == takeoff.Warning && (f.Rule == "" || strings.HasPrefix(f.Rule, "P-")) {
			out = append(out, f)
		}
	}
	return out
}

// orderFolder is where the orders of a schedule go.
func orderFolder(path, out string) string {
	if out == "" {
		return filepath.Dir(path)
	}
	return out
}

// longestPart is how many bytes the job and the supplier have each in a file's name: systems allow 255 in all.
const longestPart = 100

// orderName is the file of a job's order of a supplier, safe on every system: letters, digits and hyphens.
func orderName(path, supplier string, csv bool) string {
	return orderFile(path, safeName(supplier), csv)
}

func orderFile(path, supplier string, csv bool) string {
	name := filepath.Base(path)
	if strings.HasSuffix(strings.ToLower(name), pricedSuffix) {
		name = name[:len(name)-len(pricedSuffix)]
	} else {
		name = strings.TrimSuffix(name, filepath.Ext(name))
	}
	ext := ".xlsx"
	if csv {
		ext = ".csv"
	}
	return safeName(name) + "-" + supplier + ext
}

// safeName keeps letters and digits; anything else is a hyphen.
func safeName(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return r
		}
		return '-'
	}, strings.TrimSpace(s))
	for len(s) > longestPart {
		r := []rune(s)
		s = string(r[:len(r)-1])
	}
	return s
}

func sortedNames(m map[string]string) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	for i, k := range keys {
		keys[i] = m[k]
	}
	return keys
}
