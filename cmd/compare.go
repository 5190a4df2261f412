package cmd

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"wallbill/pricing/revision"
	"wallbill/sheet"
	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// exitDiffers is compare's status under --exit-code when the two differ.
const exitDiffers = 4

// shownEdits is how many edits the terminal lists.
const shownEdits = 10

type compareFlags struct {
	out, json, effort string
	exitCode          bool
}

// compareCommand says what changed between two runs.
func (a *app) compareCommand() *cobra.Command {
	var f compareFlags
	c := &cobra.Command{
		Use:   "compare OLD NEW",
		Short: "Show what changed between two bids and what each change cost",
		Long: `Compare two priced workbooks, or schedules, which are priced on the fly: what each edit cost, from the old total
to the new one, the largest first; which items moved in quantity and in price; which cells changed. The cost
of an edit is the bid after it less the bid before it, so the costs add up to the difference to the cent.`,
		Example: `  wallbill compare garage.runs/001.xlsx garage.priced.xlsx
  wallbill compare ours.xlsx theirs.xlsx -o changes.xlsx
  wallbill compare old.xlsx new.xlsx --exit-code --quiet`,
		Args: cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error { return a.compare(args[0], args[1], f) },
	}
	c.Flags().StringVarP(&f.out, "out", "o", "", "write the changes as a workbook (.xlsx)")
	c.Flags().StringVar(&f.effort, "effort", "", "work spent on cut plans of schedules, over the job's Cut effort")
	c.Flags().BoolVar(&f.exitCode, "exit-code", false, "end with status 4 when the two differ")
	jsonFlag(c, &f.json)
	return c
}

func (a *app) compare(oldPath, newPath string, f compareFlags) error {
	h := how{price: true, now: time.Now().UTC(), effort: f.effort}
	old, _, err := a.runOf(oldPath, h)
	if err != nil {
		return err
	}
	now, report, err := a.runOf(newPath, h)
	if err != nil {
		return err
	}
	c, err := compareRuns(old, now)
	if err != nil {
		return err
	}
	c.From, c.To = titles(oldPath, newPath, old, now)
	if f.out != "" {
		if err := a.writeChanges(f.out, []string{oldPath, newPath}, c, now, report); err != nil {
			return err
		}
	}
	if f.json != "-" && !a.quiet {
		changesTable(a.Out, c, now.Currency)
		if f.out != "" {
			fmt.Fprintf(a.Out, "wrote %s\n", f.out)
		}
	}
	if err := a.putJSON(f.json, changesJSON(c, takeoff.UnitsOf(report))); err != nil {
		return err
	}
	if f.exitCode && !c.Same() {
		return &exitError{status: exitDiffers}
	}
	return nil
}

// titles are what the two are called: their files, by path where those have one name, with the runs they hold.
func titles(oldPath, newPath string, old, now *revision.Run) (from, to string) {
	from, to = filepath.Base(oldPath), filepath.Base(newPath)
	if from == to {
		from, to = filepath.ToSlash(oldPath), filepath.ToSlash(newPath)
	}
	run := func(r *revision.Run) string {
		if r.Number == 0 {
			return ""
		}
		return fmt.Sprintf(" (run %d)", r.Number)
	}
	return from + run(old), to + run(now)
}

// runOf is the run of a priced workbook by its Record, or of a schedule priced on the fly, with the units it reports in.
func (a *app) runOf(path string, h how) (*revision.Run, length.System, error) {
	book, err := sheet.OpenInputs(path, a.limits)
	if err != nil {
		return nil, 0, err
	}
	run, edited, err := book.ReadRecord()
	switch {
	case err == nil:
		if edited {
			fmt.Fprintf(a.Err, "%s: warning: the Record was edited by hand: it is compared as it is now\n", path)
		}
		return run, run.Report(), nil
	case !errors.Is(err, sheet.ErrNoRecord):
		return nil, 0, fmt.Errorf("%s: the Record cannot be read: %w", path, err)
	case strings.HasSuffix(strings.ToLower(path), pricedSuffix):
		return nil, 0, fmt.Errorf("%s has no Record: price its schedule again", path)
	}
	w, err := a.do(path, h)
	if err != nil {
		return nil, 0, err
	}
	if w.bid == nil || w.status() == exitErrors {
		a.printFindings(a.Err, path, w.findings)
		fmt.Fprintf(a.Err, "%s: %s; nothing was compared\n", path, count(w.findings))
		return nil, 0, &exitError{status: exitErrors}
	}
	return w.run(h), w.job.Report, nil
}

// writeChanges writes the comparison as a workbook. What stands there is kept, an input is never overwritten.
func (a *app) writeChanges(out string, inputs []string, c *revision.Changes, now *revision.Run, report length.System) error {
	if !strings.EqualFold(filepath.Ext(out), ".xlsx") {
		return fmt.Errorf("-o %s: the name of a workbook, ending in .xlsx", out)
	}
	for _, in := range inputs {
		if sameFile(out, in) {
			return fmt.Errorf("-o %s is one of the workbooks compared", out)
		}
	}
	kept := sheet.Kept{Folder: strings.TrimSuffix(out, filepath.Ext(out)) + ".runs"}
	return a.write(out, func(to io.Writer) error {
		if err := sheet.WriteChanges(to, c, sheet.ChangesOptions{Currency: now.Currency, Minor: now.Minor, Report: report, Version: Version}); err != nil {
			return err
		}
		_, err := kept.Keep(out, 0)
		return err
	})
}

// changesTable prints what each edit cost, the largest first.
func changesTable(out io.Writer, c *revision.Changes, currency string) {
	switch {
	case c.Note != "":
		fmt.Fprintf(out, "  changes: %s\n", c.Note)
		return
	case c.Same():
		fmt.Fprintf(out, "  nothing changed: %s compared with %s\n", c.To, c.From)
		return
	}
	signed := func(s string) string {
		if strings.HasPrefix(s, "-") {
			return s
		}
		return "+" + s
	}
	line := func(amount, name string) { fmt.Fprintf(out, "  %16s  %s\n", amount, name) }
	fmt.Fprintf(out, "  changes from %s to %s (%s)\n", c.From, c.To, currency)
	line(money(c.OldTotal, c.Minor), "old total")
	largest, others, sum := c.Largest(shownEdits)
	for _, e := range largest {
		line(signed(money(e.Cost, c.Minor)), e.Name)
	}
	if others > 0 {
		line(signed(money(sum, c.Minor)), fmt.Sprintf("and %d smaller", others))
	}
	if len(c.Edits) == 0 {
		line("", fmt.Sprintf("no edit that could cost anything; cells changed: %d", len(c.Inputs)))
	}
	line(money(c.NewTotal, c.Minor), "new total, "+signed(money(c.Difference(), c.Minor)))
}

type jsonChanges struct {
	FromRun  *int              `json:"from_run"` // null: a schedule priced on the fly
	ToRun    *int              `json:"to_run"`
	OldTotal string            `json:"old_total"`
	NewTotal string            `json:"new_total"`
	Edits    []jsonEdit        `json:"edits"`
	Items    []jsonItemChange  `json:"items"`
	Inputs   []jsonInputChange `json:"inputs"`
}

type jsonEdit struct {
	Edit string `json:"edit"`
	Cost string `json:"cost"`
}

type jsonItemChange struct {
	Item           string  `json:"item"`
	Length         *string `json:"length"`
	Unit           string  `json:"unit"`
	Q0             string  `json:"q0"`
	Q1             string  `json:"q1"`
	P0             *string `json:"p0"`
	P1             *string `json:"p1"`
	QuantityEffect string  `json:"quantity_effect"`
	PriceEffect    string  `json:"price_effect"`
	Rounding       string  `json:"rounding"`
}

type jsonInputChange struct {
	Tab    string  `json:"tab"`
	Key    string  `json:"key"`
	Column string  `json:"column"`
	Old    *string `json:"old"`
	New    *string `json:"new"`
}

// changesJSON is the changes of a run; null on a first run and where nothing could be compared.
func changesJSON(c *revision.Changes, units takeoff.Units) any {
	if c == nil || c.Note != "" {
		return nil
	}
	r := report{units}
	return jsonChanges{
		FromRun: runNumber(c.FromRun), ToRun: runNumber(c.ToRun), OldTotal: c.OldTotal.String(), NewTotal: c.NewTotal.String(),
		Edits: list(c.Edits, func(e *revision.Edit) jsonEdit { return jsonEdit{e.Name, e.Cost.String()} }),
		Items: list(c.Items, func(x *revision.ItemChange) jsonItemChange {
			j := jsonItemChange{Item: x.Item, Unit: string(x.Unit), Q0: x.Q0.String(), Q1: x.Q1.String(), P0: amount(x.P0), P1: amount(x.P1),
				QuantityEffect: x.Quantity.String(), PriceEffect: x.PriceOnly.String(), Rounding: x.Rounding.String()}
			if x.Length > 0 {
				s := r.len(x.Length)
				j.Length = &s
			}
			return j
		}),
		Inputs: list(c.Inputs, func(x *revision.InputChange) jsonInputChange {
			return jsonInputChange{x.Tab, x.Key, x.Column, name(x.Old), name(x.New)}
		}),
	}
}

func runNumber(n int) *int {
	if n == 0 {
		return nil
	}
	return &n
}
