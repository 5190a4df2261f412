package cmd

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/shopspring/decimal"
	"github.com/spf13/cobra"

	"wallbill/pricing"
	"wallbill/sheet"
	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/number"
	"wallbill/takeoff/schedule"
)

// work is a schedule read, taken off and priced: what every command does first.
type work struct {
	path     string
	source   *sheet.Source // nil: read from a Record
	tabs     []string      // in their order
	job      *takeoff.Job
	takeoff  *takeoff.Takeoff
	bid      *pricing.Bid // nil when there are errors or it was not asked for
	findings []takeoff.Finding
	reading  []takeoff.Finding // of reading alone, which the takeoff and the bid do not carry
}

// how says how far a schedule is worked and with what.
type how struct {
	price  bool
	today  takeoff.Date // blank: the bid date, else the day of now
	now    time.Time
	effort string // overrides Cut effort; empty: the job's
}

// do reads a schedule and works it as far as asked. The error is of the file; errors of the schedule are findings.
func (a *app) do(path string, h how) (*work, error) {
	w, err := a.read(path, &h)
	if err != nil {
		return nil, err
	}
	if takeoff.HasErrors(w.findings) {
		return w, nil
	}
	job := w.job
	if h.effort != "" {
		d, err := effortFlag(h.effort)
		if err != nil {
			return nil, err
		}
		job.Settings.Set(takeoff.SetCutEffort, takeoff.SettingValue{Typed: true, Text: h.effort, Num: exact.Dec(d)})
	}
	w.takeoff = takeoff.Compute(job)
	w.findings = append(w.findings, w.takeoff.Findings...)
	if h.price && !takeoff.HasErrors(w.findings) {
		today := h.today
		if today.IsZero() {
			today = job.BidDate
		}
		if today.IsZero() {
			today = takeoff.NewDate(h.now.Year(), h.now.Month(), h.now.Day())
		}
		w.bid = pricing.Price(w.takeoff, pricing.Options{Today: today})
		w.findings = append(w.findings, w.bid.Findings...)
	}
	takeoff.SortFindings(w.findings, w.tabs)
	return w, nil
}

// read reads a schedule; of a priced workbook the inputs in its Record, with the effort of that run.
func (a *app) read(path string, h *how) (*work, error) {
	if !strings.HasSuffix(strings.ToLower(path), pricedSuffix) {
		job, findings, source, err := sheet.ReadSchedule(path, a.limits)
		if err != nil {
			return nil, err
		}
		return &work{path: path, source: source, job: job, findings: findings, reading: findings[:len(findings):len(findings)], tabs: source.TabOrder()}, nil
	}
	book, err := sheet.OpenInputs(path, a.limits)
	if err != nil {
		return nil, err
	}
	run, edited, err := book.ReadRecord()
	switch {
	case errors.Is(err, sheet.ErrNoRecord):
		return nil, fmt.Errorf("%s has no Record: price its schedule again", path)
	case err != nil:
		return nil, fmt.Errorf("%s: the Record cannot be read: %w", path, err)
	}
	if h.effort == "" {
		h.effort = run.Effort
	}
	w := &work{path: path}
	inputs, prices := schedule.Books(run.Inputs)
	w.job, w.findings = schedule.Read(inputs, prices)
	for _, tab := range inputs.Tabs {
		w.tabs = append(w.tabs, tab.Name)
	}
	if edited {
		w.findings = append(w.findings, takeoff.Finding{Severity: takeoff.Warning, At: takeoff.Ref{Tab: "Record"},
			Message: fmt.Sprintf("the Record of run %d was edited by hand: this is of what it holds now", run.Number)})
	}
	w.reading = w.findings[:len(w.findings):len(w.findings)]
	return w, nil
}

// status is the exit status of the work.
func (w *work) status() int {
	switch {
	case takeoff.HasErrors(w.findings):
		return exitErrors
	case w.bid != nil && !w.bid.Complete:
		return exitIncomplete
	}
	return exitDone
}

// ended is the error that ends a command with the work's status, nil for done.
func (w *work) ended() error {
	if s := w.status(); s != exitDone {
		return &exitError{status: s}
	}
	return nil
}

// failed is the JSON of a job with errors, and of check.
func (w *work) failed() jsonFindings {
	return jsonFindings{Job: name(w.job.Name), Complete: false, Findings: findingsOf(w.findings)}
}

// jsonFlag adds --json.
func jsonFlag(c *cobra.Command, file *string) {
	c.Flags().StringVar(file, "json", "", "write the results as JSON to this file, - for stdout")
	_ = c.MarkFlagFilename("json", "json")
}

// putJSON writes v to a file, - for stdout, or nowhere when file is empty.
func (a *app) putJSON(file string, v any) error {
	switch file {
	case "":
		return nil
	case "-":
		return writeJSON(a.Out, v)
	}
	if err := jsonPlace(file); err != nil {
		return err
	}
	return sheet.WriteFile(file, func(w io.Writer) error { return writeJSON(w, v) })
}

// jsonPlace refuses to write JSON over a file that holds none: a schedule's name behind --json is a slip of the hand.
func jsonPlace(file string) error {
	if info, err := os.Stat(file); err != nil || !info.Mode().IsRegular() {
		return nil // nothing to lose; what else is wrong with the place is said when it is written
	}
	f, err := os.Open(file)
	if err != nil {
		return fmt.Errorf("--json %s: not written: a file of that name is there and cannot be read: %w", file, bare(err))
	}
	defer f.Close()
	head, err := io.ReadAll(io.LimitReader(f, 512))
	if err != nil {
		return fmt.Errorf("--json %s: not written: a file of that name is there and cannot be read: %w", file, bare(err))
	}
	if text := strings.TrimSpace(string(head)); text != "" && text[0] != '{' && text[0] != '[' {
		return fmt.Errorf("--json %s: not written: a file of that name is there and is no JSON", file)
	}
	return nil
}

// effortFlag reads an --effort flag.
func effortFlag(s string) (decimal.Decimal, error) {
	d, ok := number.Plain(s)
	if !ok || d.Sign() <= 0 {
		return d, fmt.Errorf("--effort %s: a number above 0, such as 0.05", s)
	}
	return d, nil
}

// dateFlag reads a --today flag.
func dateFlag(s string) (takeoff.Date, error) {
	if s == "" {
		return takeoff.Date{}, nil
	}
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return takeoff.Date{}, fmt.Errorf("--today %s: a date such as 2026-11-25", s)
	}
	return takeoff.Date{Time: t}, nil
}

// timeFlag reads a --time flag; empty is now.
func timeFlag(s string) (time.Time, error) {
	if s == "" {
		return time.Now().UTC().Truncate(time.Second), nil
	}
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		return t, fmt.Errorf("--time %s: a time such as 2026-11-25T09:30:00Z", s)
	}
	return t.UTC(), nil
}
