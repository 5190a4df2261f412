// Package cmd is the command line of wallbill: one file a command over the packages that do the work.
//
// stdout carries results, stderr everything else. Exit status: 0 done; 1 could not work (file, disk, flags); 2 the schedule
// has errors; 3 priced but incomplete. Read Run first, then work (what every command does to a schedule).
package cmd

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strconv"
	"syscall"

	"github.com/spf13/cobra"

	"wallbill/sheet"
)

// Version is wallbill's version, as About and --version give it.
const Version = "0.1.0"

// Streams are where a command reads and writes.
type Streams struct {
	In       io.Reader
	Out, Err io.Writer
}

// The exit statuses.
const (
	exitDone       = 0
	exitFailed     = 1
	exitErrors     = 2
	exitIncomplete = 3
)

// exitError ends a command with a status; without a message all was said.
type exitError struct {
	status  int
	message string
}

func (e *exitError) Error() string { return e.message }

// app is one run of the command line.
type app struct {
	Streams
	ctx     context.Context // ends at an interrupt
	limits  sheet.Limits
	quiet   bool
	noColor bool
}

// Run runs the command line and gives its exit status.
func Run(args []string, s Streams) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // a second interrupt ends the process at once
	s.Out, s.Err = &plainText{s.Out}, &plainText{s.Err}
	a := &app{Streams: s, ctx: ctx, limits: sheet.DefaultLimits}
	root := a.root()
	root.SetArgs(args)
	root.SetIn(s.In)
	root.SetOut(s.Out)
	root.SetErr(s.Err)
	err := root.Execute()
	if err == nil {
		return exitDone
	}
	var exit *exitError
	if errors.As(err, &exit) {
		if exit.message != "" {
			fmt.Fprintln(s.Err, "wallbill: "+exit.message)
		}
		return exit.status
	}
	fmt.Fprintln(s.Err, "wallbill: "+err.Error())
	return exitFailed
}

// root is the command tree.
func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "wallbill",
		Short: "Count, price and compare concrete walls in stay-in-place forms",
		Long: `wallbill reads a wall schedule workbook, counts everything that reinforced-concrete walls cast in
stay-in-place insulating forms take, prices it, and writes a workbook in which every total is a live
formula and every quantity is explained.

It counts what the schedule says and designs nothing: reinforcement, lintels and ledgers come from a
licensed engineer; local code and the form maker's instructions govern; bracing, access and placing need
a competent person on site.`,
		Example: `  wallbill new garage.xlsx            a starter workbook
  wallbill check garage.xlsx          what is wrong with it, by cell
  wallbill price garage.xlsx          writes garage.priced.xlsx
  wallbill explain garage.xlsx N1     how wall N1 was counted`,
		Version:       Version,
		SilenceUsage:  true,
		SilenceErrors: true,
	}
	f := root.PersistentFlags()
	f.BoolVarP(&a.quiet, "quiet", "q", false, "print results and errors only")
	f.BoolVar(&a.noColor, "no-color", false, "no colours on the terminal (NO_COLOR does the same)")
	f.Var(&megabytes{&a.limits.FileBytes}, "max-file", "largest workbook read, in MB")
	f.Var(&megabytes{&a.limits.UnpackedBytes}, "max-unpacked", "largest workbook unpacked, in MB")
	f.IntVar(&a.limits.Rows, "max-rows", a.limits.Rows, "most rows read of a tab")
	root.AddCommand(a.newCommand(), a.checkCommand(), a.priceCommand(), a.ordersCommand(), a.compareCommand(), a.explainCommand(), a.cutCommand(), a.manCommand())
	return root
}

// color tells whether to colour what goes to w.
func (a *app) color(w io.Writer) bool {
	if a.noColor || os.Getenv("NO_COLOR") != "" || os.Getenv("TERM") == "dumb" {
		return false
	}
	_, ok := onTerminal(w)
	return ok
}

// say prints a line to stderr unless quiet.
func (a *app) say(format string, args ...any) {
	if !a.quiet {
		fmt.Fprintf(a.Err, format+"\n", args...)
	}
}

// sayAll prints lines to stderr unless quiet.
func (a *app) sayAll(lines []string) {
	for _, line := range lines {
		a.say("%s", line)
	}
}

// megabytes is a flag in MB over a number of bytes.
type megabytes struct{ bytes *int64 }

func (m *megabytes) String() string {
	if m.bytes == nil {
		return ""
	}
	return strconv.FormatInt(*m.bytes>>20, 10)
}

func (m *megabytes) Type() string { return "MB" }

func (m *megabytes) Set(s string) error {
	n, err := strconv.ParseInt(s, 10, 64)
	if err != nil || n < 1 || n > 1<<20 {
		return errors.New("a whole number of MB")
	}
	*m.bytes = n << 20
	return nil
}
