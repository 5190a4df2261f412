package cmd

import (
	"bytes"
	"fmt"
	"io"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"wallbill/takeoff"
)

// explainCommand is quantities with their arithmetic.
func (a *app) explainCommand() *cobra.Command {
	var jsonFile string
	c := &cobra.Command{
		Use:   "explain FILE [WALL|ITEM]",
		Short: "Show quantities with their arithmetic",
		Long: `Show every quantity of a schedule, of one wall or of one item, with the arithmetic that gave it and its rule: of a
wall also its courses, of an item also its cut plans. The word courses shows the courses of all walls, cuts all cut plans,
their cuts numbered as on tab Cuts.`,
		Example: `  wallbill explain garage.xlsx
  wallbill explain garage.xlsx N1
  wallbill explain garage.xlsx bar-#4
  wallbill explain garage.xlsx cuts`,
		Args: cobra.RangeArgs(1, 2),
		RunE: func(c *cobra.Command, args []string) error {
			w, err := a.do(args[0], how{now: time.Now()})
			if err != nil {
				return err
			}
			a.printFindings(a.Err, w.path, w.findings)
			if w.status() == exitErrors {
				if err := a.putJSON(jsonFile, w.failed()); err != nil {
					return err
				}
				return w.ended()
			}
			t := *w.takeoff
			out := a.Out
			if jsonFile == "-" {
				out = io.Discard
			}
			if len(args) < 2 {
				explain(out, t.Lines)
			} else if t.Lines, err = explainOne(out, w, args[1]); err != nil {
				return err
			}
			return a.putJSON(jsonFile, jsonExplained{w.failed(), linesOf(&t), driversOf(&t)})
		},
	}
	jsonFlag(c, &jsonFile)
	return c
}

// explainOne prints what there is to say of a wall, an item or a rule, and gives its lines.
func explainOne(out io.Writer, w *work, what string) ([]takeoff.Line, error) {
	lines := linesFor(w.takeoff.Lines, what)
	explain(out, lines)
	e := newExplained(w.takeoff, w.job.Currency)
	var below bytes.Buffer
	switch {
	case len(lines) > 0 && takeoff.ItemKey(lines[0].Wall) == takeoff.ItemKey(what):
		e.courses(&below, what)
	case len(lines) > 0:
		e.plans(&below, what)
	case e.plans(&below, what): // an item whose bars are bought by its plan and whose lines were taken out
	case takeoff.ItemKey(what) == allCuts:
		if !e.plans(&below, "") {
			fmt.Fprintln(out, "nothing is cut")
		}
	case takeoff.ItemKey(what) == allCourses:
		if !e.courses(&below, "") {
			fmt.Fprintln(out, "no courses")
		}
	default:
		return nil, fmt.Errorf("%s: no wall, item or rule %q has a quantity", w.path, what)
	}
	if len(lines) > 0 && below.Len() > 0 {
		fmt.Fprintln(out)
	}
	_, err := below.WriteTo(out)
	return lines, err
}

// linesFor are the lines of a wall, an item or a rule.
func linesFor(lines []takeoff.Line, what string) []takeoff.Line {
	k := takeoff.ItemKey(what)
	for _, of := range []func(*takeoff.Line) string{
		func(l *takeoff.Line) string { return l.Wall },
		func(l *takeoff.Line) string { return l.Item },
		func(l *takeoff.Line) string { return l.Rule },
	} {
		var out []takeoff.Line
		for i := range lines {
			if takeoff.ItemKey(of(&lines[i])) == k {
				out = append(out, lines[i])
			}
		}
		if len(out) > 0 {
			return out
		}
	}
	return nil
}

// explain prints lines, a heading a wall.
func explain(out io.Writer, lines []takeoff.Line) {
	tw := tabwriter.NewWriter(out, 0, 8, 2, ' ', 0)
	defer tw.Flush()
	heading := "\x00"
	for i := range lines {
		l := &lines[i]
		h := "job"
		if l.Wall != "" {
			h = "wall " + l.Wall
		}
		if h != heading {
			if heading != "\x00" {
				fmt.Fprintln(tw)
			}
			fmt.Fprintln(tw, h)
			heading = h
		}
		fmt.Fprintf(tw, "  %s\t%s\t%s %s\t%s\n", l.Rule, l.Item, l.Quantity, l.Unit, l.How)
	}
}
