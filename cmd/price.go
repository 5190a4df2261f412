package cmd

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"wallbill/sheet"
	"wallbill/takeoff"
)

// pricedSuffix ends the names of priced workbooks.
const pricedSuffix = ".priced.xlsx"

type priceFlags struct {
	out, json, time, today, effort string
}

// priceCommand prices schedules and writes their priced workbooks.
func (a *app) priceCommand() *cobra.Command {
	var f priceFlags
	c := &cobra.Command{
		Use:   "price PATH...",
		Short: "Price a schedule and write its priced workbook",
		Long: `Take a schedule off, price it and write NAME.priced.xlsx beside it, or where -o says: the schedule's own tabs
and the results, every total a live formula. With errors in the schedule nothing is written and the exit
status is 2; with a price missing the bid is marked INCOMPLETE and the exit status is 3.`,
		Example: `  wallbill price garage.xlsx
  wallbill price garage.xlsx -o bids/
  wallbill price garage.xlsx --json -`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error { return a.price(args, f) },
	}
	c.Flags().StringVarP(&f.out, "out", "o", "", "the priced workbook (.xlsx), or the folder to write it in")
	c.Flags().StringVar(&f.time, "time", "", "the run's time, such as 2026-11-25T09:30:00Z; the same input then gives the same bytes")
	c.Flags().StringVar(&f.today, "today", "", "the day orders are late against (default the Bid date, else today)")
	c.Flags().StringVar(&f.effort, "effort", "", "work spent on cut plans, over the job's Cut effort")
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
	var all []any
	status := exitDone
	for _, path := range paths {
		w, v, err := a.priceOne(path, f, how{price: true, today: today, now: now, effort: f.effort})
		if err != nil {
			return err
		}
		all = append(all, v)
		if s := w.status(); s == exitErrors || status == exitDone {
			status = s
		}
	}
	if err := a.putJSON(f.json, one(all)); err != nil {
		return err
	}
	if status != exitDone {
		return &exitError{status: status}
	}
	return nil
}

// priceOne prices one schedule, writes its workbook and says so; v is its JSON.
func (a *app) priceOne(path string, f priceFlags, h how) (w *work, v any, err error) {
	if strings.HasSuffix(strings.ToLower(path), pricedSuffix) {
		return nil, nil, fmt.Errorf("%s is a priced workbook; price its schedule, %s", path, path[:len(path)-len(pricedSuffix)]+".xlsx")
	}
	if w, err = a.do(path, h); err != nil {
		return nil, nil, err
	}
	if !a.quiet || takeoff.HasErrors(w.findings) {
		a.printFindings(a.Err, path, w.findings)
	}
	if w.bid == nil || w.status() == exitErrors {
		fmt.Fprintf(a.Err, "%s: %s; nothing was written\n", path, count(w.findings))
		return w, w.failed(), nil
	}
	out, err := outputPath(path, f.out)
	if err != nil {
		return nil, nil, err
	}
	run := sheet.Run{Number: 1, Time: h.now, Version: Version, InputFile: filepath.Base(path), InputHash: w.source.Hash()}
	if err := a.writePriced(out, w, run); err != nil {
		return nil, nil, err
	}
	if f.json != "-" && !a.quiet {
		a.summary(w, run.Number, out)
	}
	return w, runJSON(w.bid, w.findings, run.Number, nil), nil
}

// writePriced writes the priced workbook through a temporary file.
func (a *app) writePriced(out string, w *work, run sheet.Run) error {
	base, err := w.source.OpenForResults()
	if err != nil {
		return err
	}
	defer base.Close()
	return sheet.WriteFile(out, func(to io.Writer) error {
		said, err := sheet.WritePriced(to, base, run, w.bid, sheet.PricedOptions{Findings: w.reading})
		w.findings = append(w.findings, said...)
		return err
	})
}

// outputPath is where the priced workbook of a schedule goes: beside it, the file -o names, or the folder.
func outputPath(path, out string) (string, error) {
	base := strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)) + pricedSuffix
	switch {
	case out == "":
		return filepath.Join(filepath.Dir(path), base), nil
	case strings.EqualFold(filepath.Ext(out), ".xlsx"):
		return out, nil
	}
	if err := os.MkdirAll(out, 0o755); err != nil {
		return "", err
	}
	return filepath.Join(out, base), nil
}

// summary prints what a run came to.
func (a *app) summary(w *work, run int, out string) {
	t, job := &w.bid.Totals, w.job
	title := job.Name
	if job.Revision != "" {
		title += ", revision " + job.Revision
	}
	fmt.Fprintf(a.Out, "%s, run %d\n", title, run)
	for _, k := range t.ByKind {
		fmt.Fprintf(a.Out, "  %-14s %16s\n", k.Name, money(k.Amount, job.MinorDigits))
	}
	fmt.Fprintf(a.Out, "  %-14s %16s %s\n", "bid total", money(t.BidTotal, job.MinorDigits), job.Currency)
	if !w.bid.Complete {
		fmt.Fprintf(a.Out, "  INCOMPLETE: %d without a price\n", w.bid.Unpriced)
	}
	fmt.Fprintf(a.Out, "wrote %s\n", out)
}
