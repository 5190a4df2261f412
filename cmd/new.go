package cmd

import (
	"fmt"

	"github.com/spf13/cobra"

	"wallbill/sheet"
)

// newCommand writes a starter workbook.
func (a *app) newCommand() *cobra.Command {
	var opts sheet.Options
	c := &cobra.Command{
		Use:   "new FILE",
		Short: "Write a starter workbook",
		Long: `Write a starter schedule, explained, with drop-downs and a tiny example that prices as it comes; with
--price-book a workbook of prices and marks that jobs can share. A file that exists is left alone.`,
		Example: "  wallbill new garage.xlsx\n  wallbill new --metric garage.xlsx\n  wallbill new --price-book prices.xlsx",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if err := sheet.NewStarter(args[0], opts); err != nil {
				return err
			}
			fmt.Fprintf(a.Out, "wrote %s\n", args[0])
			if !opts.PriceBook {
				a.say("open it in a spreadsheet program, then: wallbill price %s", args[0])
			}
			return nil
		},
	}
	c.Flags().BoolVar(&opts.Metric, "metric", false, "metres, millimetres and metric bars")
	c.Flags().BoolVar(&opts.PriceBook, "price-book", false, "a price book to share between jobs")
	return c
}
