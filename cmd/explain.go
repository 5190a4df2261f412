package cmd

import (
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
		Long:  "Show every quantity of a schedule, of one wall or of one item, with the arithmetic that gave it and its rule.",
		Example: `  wallbill explain garage.xlsx
  wallbill explain garage.xlsx N1
  wallbill explain garage.xlsx bar-#4`,
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
			if len(args) == 2 {
				if t.Lines = linesFor(t.Lines, args[1]); len(t.Lines) == 0 {
					return fmt.Errorf("%s: no wall, item or rule %q has a quantity", args[0], args[1])
				}
			}
			if jsonFile != "-" {
				explain(a.Out, t.Lines)
			}
			return a.putJSON(jsonFile, jsonExplained{w.failed(), linesOf(&t), driversOf(&t)})
		},
	}
	jsonFlag(c, &jsonFile)
	return c
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
