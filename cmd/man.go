package cmd

import (
	"os"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"
)

// manCommand writes the manual pages of the command tree.
func (a *app) manCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "man DIR",
		Short:   "Write the manual pages",
		Long:    "Write a manual page for each command into a folder, made if absent.",
		Example: "  wallbill man ./man && man ./man/wallbill-price.1",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if err := os.MkdirAll(args[0], 0o755); err != nil {
				return err
			}
			date := time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC) // fixed, so that the same version gives the same pages
			return doc.GenManTree(c.Root(), &doc.GenManHeader{Title: "WALLBILL", Section: "1", Source: "wallbill " + Version, Date: &date}, args[0])
		},
	}
}
