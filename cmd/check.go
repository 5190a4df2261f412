package cmd

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"
)

// checkCommand is findings only.
func (a *app) checkCommand() *cobra.Command {
	var jsonFile string
	c := &cobra.Command{
		Use:   "check PATH...",
		Short: "List what is wrong with a schedule, by cell",
		Long: `List every error, warning and note of a schedule with its cell, what was found, what is accepted and,
where it helps, the nearest valid value. Nothing is written. The exit status is 2 with any error, else 0.`,
		Example: "  wallbill check garage.xlsx\n  wallbill check --json - garage.xlsx",
		Args:    cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			status := exitDone
			var all []any
			for _, path := range args {
				w, err := a.do(path, how{price: true, now: time.Now()})
				if err != nil {
					return err
				}
				if jsonFile != "-" {
					a.printFindings(a.Out, path, w.findings)
					fmt.Fprintf(a.Out, "%s: %s\n", path, count(w.findings))
				}
				all = append(all, w.failed())
				if w.status() == exitErrors {
					status = exitErrors
				}
			}
			if err := a.putJSON(jsonFile, one(all)); err != nil {
				return err
			}
			if status != exitDone {
				return &exitError{status: status}
			}
			return nil
		},
	}
	jsonFlag(c, &jsonFile)
	return c
}

// one is the only value of a list, or the list.
func one(all []any) any {
	if len(all) == 1 {
		return all[0]
	}
	return all
}
