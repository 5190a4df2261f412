package cmd

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"wallbill/pricing/revision"
	"wallbill/sheet"
	"wallbill/takeoff"
)

// pricedSuffix ends the names of priced workbooks.
const pricedSuffix = ".priced.xlsx"

type priceFlags struct {
	out, json, time, today, effort, against, drawings string
	jobs                                              int
	inPlace, noDrawings, poolBars                     bool
	several                                           bool // schedules: each has a folder of its own for its drawings
}

// priceCommand prices schedules and writes their priced workbooks.
func (a *app) priceCommand() *cobra.Command {
	var f priceFlags
	c := &cobra.Command{
		Use:   "price PATH...",
		Short: "Price schedules and write their priced workbooks",
		Long: `Take a schedule off, price it and write NAME.priced.xlsx beside it, or where -o says: the schedule's own tabs
and the results, every total a live formula. With errors in the schedule nothing is written and the exit
status is 2; with a price missing the bid is marked INCOMPLETE and the exit status is 3.

A PATH may be a folder: its workbooks with a Job tab are priced. Several schedules are worked side by side; one that
fails stops no other, each has its line at the end, and batch.xlsx, in the folder -o names or that of the first
PATH, has a row for each and what to buy across them.`,
		Example: `  wallbill price garage.xlsx
  wallbill price garage.xlsx -o bids/
  wallbill price garage.xlsx --json -
  wallbill price bids/ -o priced/`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error { return a.price(args, f) },
	}
	c.Flags().StringVarP(&f.out, "out", "o", "", "the priced workbook (.xlsx), or the folder to write it in")
	c.Flags().StringVar(&f.time, "time", "", "the run's time, such as 2026-11-25T09:30:00Z; the same input then gives the same bytes")
	c.Flags().StringVar(&f.today, "today", "", "the day orders are late against (default the Bid date, else today)")
	c.Flags().StringVar(&f.effort, "effort", "", "work spent on cut plans, over the job's Cut effort")
	c.Flags().IntVar(&f.jobs, "jobs", 0, "schedules worked at the same time (default: one a processor)")
	c.Flags().BoolVar(&f.poolBars, "pool-bars", false, "of several schedules, say in batch.xlsx what cutting their bars together saves")
	c.Flags().StringVar(&f.against, "against", "", "say what changed against this workbook, not against the run that is replaced")
	c.Flags().BoolVar(&f.inPlace, "in-place", false, "put the results into the schedule itself; your own tabs stay")
	c.Flags().StringVar(&f.drawings, "drawings", "", "also write an SVG of each level and wall and one drawings.pdf to this folder; of several schedules, each to a folder of its own in it")
	c.Flags().BoolVar(&f.noDrawings, "no-drawings", false, "no plans and elevations on tab Drawings: faster, and a smaller workbook")
	_ = c.MarkFlagDirname("drawings")
	jsonFlag(c, &f.json)
	return c
}

func (a *app) price(paths []string, f priceFlags) error {
	now, err := timeFlag(f.time)
	if err != nil {
		return err
	}
	today, err := dateFlag(f.today)
	if err != nil {
		return err
	}
	h := how{price: true, today: today, now: now, effort: f.effort}
	found := a.schedules(paths)
	if err := placeFor(f.out, len(found.jobs)); err != nil {
		return err
	}
	if f.inPlace && f.out != "" {
		return errors.New("--in-place puts the results into the schedule; it takes no -o")
	}
	if f.against != "" && len(found.jobs) > 1 {
		return fmt.Errorf("--against %s: one baseline for %d schedules", f.against, len(found.jobs))
	}
	if f.drawings != "" {
		if err := sheet.MakeFolder(f.drawings); err != nil {
			return err
		}
	}
	if f.several = len(found.jobs) > 1; f.several {
		return a.priceBatch(found, f, h)
	}
	job := found.jobs[0]
	if job.err != nil {
		return job.err
	}
	a.sayAll(found.skipping)
	status := exitDone
	err = a.listing(f.json, !found.several, func(list *jsonList) error {
		r, err := a.priceOne(job.path, f, h)
		if err != nil {
			return err
		}
		status = r.work.status()
		a.tell(r, f)
		v, err := encoded(f.json != "", r.json())
		list.add(v)
		return err
	})
	if err != nil {
		return err
	}
	if status != exitDone {
		return &exitError{status: status}
	}
	return nil
}

// placeFor prepares what -o names before the work is done: a workbook for one schedule, else a folder.
func placeFor(out string, jobs int) error {
	switch {
	case out == "":
		return nil
	case namesWorkbook(out) && jobs > 1:
		return fmt.Errorf("-o %s: one workbook for %d schedules; name a folder", out, jobs)
	case namesWorkbook(out):
		return nil
	}
	return sheet.MakeFolder(out)
}

// namesWorkbook tells that -o names the workbook itself.
func namesWorkbook(out string) bool { return strings.EqualFold(filepath.Ext(out), ".xlsx") }

// pricedRun is a schedule priced.
type pricedRun struct {
	work  *work
	rerun *rerun
	out   string // the priced workbook; empty: errors, nothing was written
	drawn int    // drawings written as files
}

// json is what --json gives of the run.
func (r *pricedRun) json() any {
	if r.out == "" {
		return r.work.failed()
	}
	run := r.rerun.run
	return runJSON(r.work.bid, r.work.findings, run.Number, changesJSON(run.Changes, r.work.takeoff.Units))
}

// priceOne prices one schedule and writes its workbook; it prints nothing.
func (a *app) priceOne(path string, f priceFlags, h how) (*pricedRun, error) {
	if strings.HasSuffix(strings.ToLower(path), pricedSuffix) {
		return nil, fmt.Errorf("%s is a priced workbook; price its schedule, %s", path, path[:len(path)-len(pricedSuffix)]+".xlsx")
	}
	r := &pricedRun{}
	if err := a.guarded(func() (err error) { r.work, err = a.do(path, h); return err }); err != nil {
		return nil, err
	}
	if r.work.bid == nil || r.work.status() == exitErrors {
		return r, nil
	}
	out, inPlace := outputPath(path, f.out), false
	if f.inPlace || f.out == "" && r.work.source.Schedule.Priced() {
		out, inPlace = path, true
	}
	if !inPlace && sameFile(out, path) {
		return nil, fmt.Errorf("-o %s is the schedule itself; --in-place puts the results into it", out)
	}
	if book := r.work.source.PriceBook; book != nil && sameFile(out, book.Path) {
		return nil, fmt.Errorf("-o %s is the price book that the schedule names", out)
	}
	var painted *sheet.Paintings
	if !f.noDrawings {
		painted = sheet.Paint(r.work.takeoff)
		defer painted.Drop()
	}
	err := a.guarded(func() (err error) { r.rerun, err = a.newRerun(r.work, out, inPlace, f.against, h); return err })
	if err != nil {
		return nil, err
	}
	r.rerun.painted = painted
	r.rerun.draw, r.rerun.spend = !f.noDrawings, !f.several && f.json == "" && f.drawings == ""
	if err := faultless(func() error { return a.writeRun(r.rerun, r.work) }); err != nil {
		return nil, err
	}
	r.out = out
	if f.drawings != "" {
		dir := f.drawings
		if f.several {
			dir = filepath.Join(dir, strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)))
		}
		err = a.guarded(func() (err error) {
			r.drawn, err = sheet.WriteDrawings(dir, r.work.takeoff, h.now, a.write)
			return err
		})
		if err != nil {
			return nil, err
		}
	}
	return r, nil
}

// tell prints what there is to say of a run.
func (a *app) tell(r *pricedRun, f priceFlags) {
	w := r.work
	if !a.quiet || takeoff.HasErrors(w.findings) {
		a.printFindings(a.Err, w.path, w.findings)
	}
	if r.out == "" {
		fmt.Fprintf(a.Err, "%s: %s; nothing was written\n", w.path, count(w.findings))
	} else if f.json != "-" && !a.quiet {
		a.summary(w, r.rerun.run, r.out)
		if r.drawn > 0 {
			fmt.Fprintf(a.Out, "wrote %d drawings and drawings.pdf to %s\n", r.drawn, f.drawings)
		}
	}
}

// outputPath is where the priced workbook of a schedule goes: beside it, the file -o names, or the folder.
func outputPath(path, out string) string {
	base := strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)) + pricedSuffix
	switch {
	case out == "":
		return filepath.Join(filepath.Dir(path), base)
	case namesWorkbook(out):
		return out
	}
	return filepath.Join(out, base)
}

// sameFile tells whether two paths name one file that is there.
func sameFile(a, b string) bool {
	one, err := os.Stat(a)
	if err != nil {
		return false
	}
	other, err := os.Stat(b)
	return err == nil && os.SameFile(one, other)
}

// summary prints what a run came to.
func (a *app) summary(w *work, run *revision.Run, out string) {
	t, job := &w.bid.Totals, w.job
	title := job.Name
	if job.Revision != "" {
		title += ", revision " + job.Revision
	}
	fmt.Fprintf(a.Out, "%s, run %d\n", title, run.Number)
	for _, k := range t.ByKind {
		fmt.Fprintf(a.Out, "  %-14s %16s\n", k.Name, money(k.Amount, job.MinorDigits))
	}
	fmt.Fprintf(a.Out, "  %-14s %16s %s\n", "bid total", money(t.BidTotal, job.MinorDigits), job.Currency)
	if !w.bid.Complete {
		fmt.Fprintf(a.Out, "  INCOMPLETE: %d without a price\n", w.bid.Unpriced)
	}
	if run.Changes != nil {
		changesTable(a.Out, run.Changes, job.Currency)
	}
	fmt.Fprintf(a.Out, "wrote %s\n", out)
}
