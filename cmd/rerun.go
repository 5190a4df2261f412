package cmd

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"wallbill/pricing/revision"
	"wallbill/sheet"
	"wallbill/takeoff"
)

// rerun is a run of a job: what it replaces, what it is compared with, what it is called.
type rerun struct {
	out     string // the workbook to write
	inPlace bool   // the schedule itself
	kept    sheet.Kept
	run     *revision.Run
	before  *replaced
	draw    bool // plans and elevations go into the workbook
	painted *sheet.Paintings
	spend   bool // the takeoff is not wanted after it
}

// replaced is the workbook that a run is about to replace.
type replaced struct {
	there bool
	book  *sheet.Workbook // a priced workbook: the results are put into it; nil for any other
	run   *revision.Run   // nil: no readable Record
	said  []takeoff.Finding
}

// newRerun finds what a run of a schedule replaces and makes its changes. The job was priced without errors.
func (a *app) newRerun(w *work, out string, inPlace bool, against string, h how) (*rerun, error) {
	name := strings.TrimSuffix(filepath.Base(w.path), filepath.Ext(w.path))
	r := &rerun{out: out, inPlace: inPlace, kept: sheet.Kept{Folder: filepath.Join(filepath.Dir(out), name+".runs")}}
	if err := sheet.CanReplace(out); err != nil {
		return nil, err
	}
	r.run = w.run(h)
	var err error
	if r.before, err = a.replacedBy(out); err != nil {
		return nil, err
	}
	w.reading = append(w.reading, r.before.said...)
	w.findings = append(w.findings, r.before.said...)
	old := r.before.run
	same := old != nil && old.Number > 0 && revision.SameInputs(old, r.run)
	switch {
	case same:
		r.run.Number = old.Number
	case old != nil:
		r.run.Number = max(old.Number, r.kept.Last()) + 1
	default:
		r.run.Number = r.kept.Last() + 1
	}
	switch {
	case against != "":
		base, _, err := a.runOf(against, h)
		if err != nil {
			return nil, err
		}
		if r.run.Changes, err = compareRuns(base, r.run); err != nil {
			return nil, err
		}
	case same:
		r.run.Changes = revision.Restate(old, r.run)
	case old != nil:
		if r.run.Changes, err = compareRuns(old, r.run); err != nil {
			r.run.Changes = revision.Uncompared(old, r.run, err.Error())
		}
	}
	return r, nil
}

// compareRuns compares two runs.
func compareRuns(old, now *revision.Run) (*revision.Changes, error) {
	return revision.Compare(old, now, revision.Options{Version: Version})
}

// run is the work as a run, without a number.
func (w *work) run(h how) *revision.Run {
	run := revision.Of(w.bid, w.source.Inputs())
	run.Time, run.Version, run.File, run.Effort = h.now, Version, filepath.Base(w.path), h.effort
	return run
}

// replacedBy reads what stands where a workbook is to be written.
func (a *app) replacedBy(out string) (*replaced, error) {
	b := &replaced{}
	if _, err := os.Stat(out); errors.Is(err, os.ErrNotExist) {
		return b, nil
	}
	b.there = true
	say := func(format string, args ...any) {
		b.said = append(b.said, takeoff.Finding{Severity: takeoff.Warning, At: takeoff.Ref{File: filepath.Base(out), Tab: "Record"}, Message: fmt.Sprintf(format, args...)})
	}
	book, err := sheet.OpenInputs(out, a.limits)
	if err != nil {
		say("the workbook that is replaced cannot be read (%v); it is kept, and this run has none to compare with", cause(err))
		return b, nil
	}
	if book.Priced() {
		b.book = book
	}
	run, edited, err := book.ReadRecord()
	switch {
	case errors.Is(err, sheet.ErrNoRecord):
		say("the workbook that is replaced has no Record of an earlier run; it is kept")
	case err != nil:
		say("the Record of the workbook that is replaced cannot be read (%v); the workbook is kept, and this run has none to compare with", err)
	default:
		b.run = run
		if edited {
			say("the Record of run %d was edited by hand: what changed is said against what it holds now", run.Number)
		}
	}
	return b, nil
}

// cause is what is wrong with a file, without its name.
func cause(err error) string {
	var fe *sheet.FileError
	if errors.As(err, &fe) {
		return fe.Message
	}
	return err.Error()
}

// number is the number that the replaced workbook is kept under.
func (b *replaced) number() int {
	if b.run == nil {
		return 0
	}
	return b.run.Number
}

// writeRun keeps the workbook that stands there and writes the new one in its place, whole. The results are put into the
// schedule on a first run and in place, else into the workbook that is replaced with the schedule's tabs renewed.
func (a *app) writeRun(r *rerun, w *work) error {
	var previous *sheet.Workbook
	if !r.inPlace {
		previous = r.before.book
	}
	base, notes, err := w.source.OpenForRun(previous)
	if err != nil {
		return err
	}
	r.before.book = nil // it is large
	defer base.Close()
	w.reading = append(w.reading, notes...)
	w.findings = append(w.findings, notes...)
	run := sheet.Run{Number: r.run.Number, Time: r.run.Time, Version: r.run.Version, InputFile: r.run.File, InputHash: r.run.InputHash}
	if !r.inPlace {
		run.FileHash = w.source.Hash()
	}
	if r.run.Changes != nil {
		run.PreviousRun = r.run.Changes.FromRun
	}
	return a.write(r.out, func(to io.Writer) error {
		said, err := sheet.WritePriced(to, base, run, w.bid, sheet.PricedOptions{Findings: w.reading, Record: r.run, Draw: r.draw, Painted: r.painted, Spend: r.spend})
		w.findings = append(w.findings, said...)
		if err != nil {
			return err
		}
		_, err = r.kept.Keep(r.out, r.before.number())
		return err
	})
}
