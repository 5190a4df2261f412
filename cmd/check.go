package cmd

import (
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"
)

// checkCommand is findings only.
func (a *app) checkCommand() *cobra.Command {
	var jsonFile string
	var jobs int
	c := &cobra.Command{
		Use:   "check PATH...",
		Short: "List what is wrong with a schedule, by cell",
		Long: `List every error, warning and note of a schedule with its cell, what was found, what is accepted and,
where it helps, the nearest valid value. Nothing is written. The exit status is 2 with any error, else 0.`,
		Example: "  wallbill check garage.xlsx\n  wallbill check --json - garage.xlsx",
		Args:    cobra.MinimumNArgs(1),
		RunE:    func(c *cobra.Command, args []string) error { return a.check(args, jsonFile, jobs) },
	}
	c.Flags().IntVar(&jobs, "jobs", 0, "schedules checked at the same time (default: one a processor)")
	jsonFlag(c, &jsonFile)
	return c
}

// checked is what check says of one schedule.
type checked struct {
	text   string
	json   []byte
	status int
	err    error
}

func (a *app) check(paths []string, jsonFile string, jobs int) error {
	found := a.schedules(paths)
	a.sayAll(found.skipping)
	status := exitDone
	progress := a.progress(len(found.jobs))
	err := a.listing(jsonFile, !found.several, func(list *jsonList) error {
		var failed error
		sideBySide(a.ctx, len(found.jobs), jobsAtOnce(jobs), func(i int) checked {
			return a.checkOne(found.jobs[i], jsonFile != "")
		}, func(i int) { progress.step(found.jobs[i].path) }, func(i int, c checked) {
			progress.hide()
			if c.err != nil {
				c.status = exitFailed
				if len(found.jobs) == 1 {
					failed = c.err
					return
				}
				fmt.Fprintln(a.Err, "wallbill: "+c.err.Error())
			}
			if jsonFile != "-" {
				fmt.Fprint(a.Out, c.text)
			}
			list.add(c.json)
			status = batchStatus(status, c.status)
		})
		progress.hide()
		if failed == nil && a.ctx.Err() != nil {
			failed = errInterrupted
		}
		return failed
	})
	if err == nil && status != exitDone {
		return &exitError{status: status}
	}
	return err
}

// checkOne checks one schedule.
func (a *app) checkOne(job jobPath, asJSON bool) (c checked) {
	var w *work
	err := job.err
	if err == nil {
		err = a.guarded(func() (err error) {
			w, err = a.do(job.path, how{price: true, now: time.Now()})
			return err
		})
	}
	var v any
	if err != nil {
		c.err, v = err, failure(job.path, err)
	} else {
		var b strings.Builder
		a.writeFindings(&b, a.color(a.Out), filepath.Base(job.path), w.findings)
		fmt.Fprintf(&b, "%s: %s\n", job.path, count(w.findings))
		c.text, v = b.String(), w.failed()
		if w.status() == exitErrors {
			c.status = exitErrors
		}
	}
	if c.json, err = encoded(asJSON, v); err != nil {
		c.err = err
	}
	return c
}
