package cmd

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"sync"
	"unicode"

	"github.com/shopspring/decimal"

	"wallbill/pricing"
	"wallbill/sheet"
	"wallbill/takeoff"
	"wallbill/takeoff/cutting"
)

// errInterrupted ends work that a signal stopped.
var errInterrupted = errors.New("interrupted")

// guarded runs f so that a fault of the program in it ends this job with one line instead of all jobs, and so that an
// interrupt is answered at once: what f still does then touches no file, and ends with the process.
func (a *app) guarded(f func() error) error {
	if a.ctx.Err() != nil {
		return errInterrupted
	}
	done := make(chan error, 1)
	go func() {
		done <- faultless(f)
	}()
	select {
	case err := <-done:
		return err
	case <-a.ctx.Done():
		return errInterrupted
	}
}

// faultless runs f; a fault of the program in it is an error.
func faultless(f func() error) (err error) {
	defer func() {
		switch p := recover().(type) {
		case nil:
		case *takeoff.Fault:
			err = fmt.Errorf("a fault of wallbill: %v (%s)", p, faultPlace(p.Stack))
		default:
			err = fmt.Errorf("a fault of wallbill: %v (%s)", p, faultPlace(debug.Stack()))
		}
	}()
	return f()
}

// faultPlace is the function of ours in which a fault arose.
func faultPlace(stack []byte) string {
	lines := strings.Split(string(stack), "\n")
	after := false
	for i, line := range lines {
		if strings.HasPrefix(line, "panic(") {
			after = true
		}
		if after && strings.HasPrefix(line, "wallbill/") && i+1 < len(lines) {
			at := strings.TrimSpace(lines[i+1])
			if j := strings.LastIndexByte(at, '/'); j >= 0 {
				at = at[j+1:]
			}
			at, _, _ = strings.Cut(at, " ")
			return at
		}
	}
	return "unknown place"
}

// write puts a file in its place whole; an interrupt or a fault while it is written leaves the old one and no temporary file.
func (a *app) write(path string, to func(io.Writer) error) error {
	return sheet.WriteFile(path, func(w io.Writer) error {
		return faultless(func() error { return to(&stopping{a.ctx, w}) })
	})
}

// stopping is a writer that fails after an interrupt.
type stopping struct {
	ctx context.Context
	w   io.Writer
}

func (s *stopping) Write(p []byte) (int, error) {
	if s.ctx.Err() != nil {
		return 0, errInterrupted
	}
	return s.w.Write(p)
}

// ahead bounds how many jobs are begun before the first that is not finished, in jobs at a time: what is kept of them for
// the order of the output stays small.
const ahead = 32

// sideBySide works n jobs, several at a time, and hands each over in their order as soon as it and all before it are done;
// done tells of each at once. Neither is called twice at a time.
// After an interrupt no further job is begun; those begun come to their end.
func sideBySide[T any](ctx context.Context, n, workers int, work func(i int) T, done func(i int), inOrder func(i int, v T)) {
	workers = max(1, min(workers, n))
	var mu sync.Mutex
	free := sync.NewCond(&mu)
	next, finished := 0, 0
	kept := map[int]T{}
	var wg sync.WaitGroup
	for range workers {
		wg.Go(func() {
			for {
				mu.Lock()
				for next < n && next >= finished+ahead*workers && ctx.Err() == nil {
					free.Wait()
				}
				if next >= n || ctx.Err() != nil {
					mu.Unlock()
					return
				}
				i := next
				next++
				mu.Unlock()
				v := work(i)
				mu.Lock()
				done(i)
				kept[i] = v
				for {
					v, ok := kept[finished]
					if !ok {
						break
					}
					delete(kept, finished)
					inOrder(finished, v)
					finished++
				}
				free.Broadcast()
				mu.Unlock()
			}
		})
	}
	wg.Wait()
}

// jobsAtOnce is --jobs, by default one a processor.
func jobsAtOnce(flag int) int {
	if flag > 0 {
		return flag
	}
	return runtime.GOMAXPROCS(0)
}

// batchStatus is the exit status of several jobs: the first that occurs of failed, errors, incomplete, done.
func batchStatus(have, one int) int {
	for _, s := range [...]int{exitFailed, exitErrors, exitIncomplete} {
		if have == s || one == s {
			return s
		}
	}
	return exitDone
}

// bar is the progress of a batch on a terminal.
type bar struct {
	w       io.Writer
	all     int
	done    int
	showing bool
}

// progress is the bar for n jobs; it shows on a terminal only.
func (a *app) progress(n int) *bar {
	w, ok := onTerminal(a.Err)
	return &bar{w: w, all: n, showing: n > 1 && ok && !a.quiet}
}

const barWidth = 30

// step shows one more job as done.
func (b *bar) step(name string) {
	b.done++
	if !b.showing {
		return
	}
	full := barWidth * b.done / b.all
	r := []rune(name)
	for i := range r {
		if unicode.IsControl(r[i]) {
			r[i] = unicode.ReplacementChar
		}
	}
	if len(r) > 30 {
		r = append(r[:29:29], '…')
	}
	fmt.Fprintf(b.w, "\r\x1b[K[%s%s] %d/%d %s", strings.Repeat("#", full), strings.Repeat("-", barWidth-full), b.done, b.all, string(r))
}

// hide takes the bar away until the next step.
func (b *bar) hide() {
	if b.showing {
		fmt.Fprint(b.w, "\r\x1b[K")
	}
}

// jsonList writes values as a JSON list, one after another, without keeping them; of a single PATH the value alone.
type jsonList struct {
	w     io.Writer // nil: nowhere
	alone bool
	some  bool
	err   error
}

// encoded is v as JSON, for a list; nothing where it is not asked for.
func encoded(asked bool, v any) ([]byte, error) {
	if !asked {
		return nil, nil
	}
	var b strings.Builder
	if err := writeJSON(&b, v); err != nil {
		return nil, err
	}
	return []byte(b.String()), nil
}

func (l *jsonList) add(v []byte) {
	if l.w == nil || l.err != nil || v == nil {
		return
	}
	if l.alone {
		_, l.err = l.w.Write(v)
		return
	}
	begin := ",\n  "
	if !l.some {
		begin, l.some = "[\n  ", true
	}
	text := strings.ReplaceAll(strings.TrimSuffix(string(v), "\n"), "\n", "\n  ")
	_, l.err = io.WriteString(l.w, begin+text)
}

func (l *jsonList) end() error {
	if l.w != nil && l.err == nil && !l.alone {
		s := "\n]\n"
		if !l.some {
			s = "[]\n"
		}
		_, l.err = io.WriteString(l.w, s)
	}
	return l.err
}

// listing runs f with the list that goes to file, - for stdout; without a file nothing is listed. A list that f could not
// complete is not left behind.
func (a *app) listing(file string, alone bool, f func(*jsonList) error) error {
	switch file {
	case "":
		return f(&jsonList{})
	case "-":
		l := &jsonList{w: a.Out, alone: alone}
		if err := f(l); err != nil {
			return err
		}
		return l.end()
	}
	if err := jsonPlace(file); err != nil {
		return err
	}
	return a.write(file, func(w io.Writer) error {
		l := &jsonList{w: w, alone: alone}
		if err := f(l); err != nil {
			return err
		}
		return l.end()
	})
}

// failure is the JSON of a job that could not be worked at all.
func failure(path string, err error) jsonFindings {
	return jsonFindings{Findings: []jsonFinding{{Severity: takeoff.Error.String(), Message: reason(path, err)}}}
}

// reason is an error with the file it is about before it, once.
func reason(path string, err error) string {
	s := err.Error()
	if !strings.Contains(s, path) {
		s = path + ": " + s
	}
	return s
}

// batched is what a batch keeps of a schedule.
type batched struct {
	path   string
	err    error
	status int
	said   string // errors of the schedule, as printed
	line   string
	json   []byte
	job    sheet.BatchJob
}

// smallJob is a schedule of some dozen walls, in bytes. Many of them are worked faster when garbage is collected less often:
// the memory that takes stays far under what one large schedule needs.
const smallJob = 256 << 10

// collectLess has garbage collected less often while schedules are small; it gives what sets it back.
func collectLess(jobs []jobPath) (back func()) {
	if os.Getenv("GOGC") != "" {
		return func() {}
	}
	for _, j := range jobs {
		if info, err := os.Stat(j.path); err == nil && info.Size() > smallJob {
			return func() {}
		}
	}
	percent, limit := debug.SetGCPercent(400), debug.SetMemoryLimit(320<<20)
	return func() {
		debug.SetGCPercent(percent)
		debug.SetMemoryLimit(limit)
	}
}

// priceBatch prices several schedules side by side. Each gets one line at the end, in their order.
func (a *app) priceBatch(found *jobPaths, f priceFlags, h how) error {
	a.sayAll(found.skipping)
	defer collectLess(found.jobs)()
	clash(found.jobs, func(path string) string { return outputPath(path, f.out) })
	progress := a.progress(len(found.jobs))
	var all []batched
	err := a.listing(f.json, false, func(list *jsonList) error {
		sideBySide(a.ctx, len(found.jobs), jobsAtOnce(f.jobs), func(i int) batched {
			return a.priceInBatch(found.jobs[i], f, h)
		}, func(i int) { progress.step(found.jobs[i].path) }, func(_ int, b batched) {
			list.add(b.json)
			b.json = nil
			all = append(all, b)
		})
		progress.hide()
		if a.ctx.Err() != nil {
			return errInterrupted
		}
		return nil
	})
	status := a.report(all, f.json == "-")
	if err == nil {
		if err := a.rollUp(found.dir, all, f, h); err != nil {
			fmt.Fprintln(a.Err, "wallbill: "+err.Error())
			status = exitFailed
		}
	}
	if errors.Is(err, errInterrupted) {
		finished := 0
		for _, b := range all {
			if !errors.Is(b.err, errInterrupted) {
				finished++
			}
		}
		return fmt.Errorf("interrupted: %d of %d schedules were finished; their workbooks are whole", finished, len(found.jobs))
	}
	if err == nil && status != exitDone {
		return &exitError{status: status}
	}
	return err
}

// priceInBatch prices one schedule of several.
func (a *app) priceInBatch(job jobPath, f priceFlags, h how) batched {
	b := batched{path: job.path, err: job.err}
	var r *pricedRun
	if b.err == nil {
		r, b.err = a.priceOne(job.path, f, h)
	}
	b.job = sheet.BatchJob{Path: job.path}
	var v any
	if b.err != nil {
		b.job.Message = cause(b.err)
		b.status, v = exitFailed, failure(job.path, b.err)
		b.line = job.path + ": failed; nothing was written"
	} else {
		w := r.work
		b.status, v = w.status(), r.json()
		b.line = job.path + ": " + batchLine(r)
		b.job = batchJob(r, f.poolBars)
		if b.status == exitErrors {
			var s strings.Builder
			a.writeFindings(&s, a.color(a.Err), job.path, errorsOf(w.findings))
			b.said = s.String()
		}
	}
	var err error
	if b.json, err = encoded(f.json != "", v); err != nil && b.err == nil {
		b.err, b.status = err, exitFailed
	}
	return b
}

// batchJob is a run's row of batch.xlsx and what it orders. Of the run itself nothing is kept.
func batchJob(r *pricedRun, bars bool) sheet.BatchJob {
	w := r.work
	j := sheet.BatchJob{Path: w.path, Out: r.out, Job: w.job.Name, Revision: w.job.Revision}
	for i := range w.findings {
		j.Findings[w.findings[i].Severity]++
	}
	if r.out == "" {
		j.Message = "nothing was written"
		for _, f := range w.findings {
			if f.Severity == takeoff.Error {
				j.Message = strings.TrimSpace(f.At.String() + ": " + f.Text())
				break
			}
		}
		return j
	}
	b := w.bid
	j.Run, j.Priced, j.Complete, j.Unpriced = r.rerun.run.Number, true, b.Complete, b.Unpriced
	j.Currency, j.Minor, j.Report = w.job.Currency, w.job.MinorDigits, w.job.Report
	j.Total, j.Direct, j.Figures = b.Totals.BidTotal, b.Totals.Direct, b.PerUnit
	j.Orders = pricing.OrdersOf(b, bars)
	return j
}

// rollUp writes batch.xlsx: a row a job and what to buy across them.
func (a *app) rollUp(dir string, all []batched, f priceFlags, h how) error {
	if f.out != "" {
		dir = f.out
	}
	out := filepath.Join(dir, batchName)
	if _, err := os.Stat(out); !errors.Is(err, fs.ErrNotExist) && !sheet.IsBatch(out, a.limits) {
		return fmt.Errorf("%s: not written: a file of that name is there and is no roll-up of jobs", out)
	}
	b := sheet.Batch{Folder: dir, Pooled: f.poolBars, Time: h.now, Version: Version}
	var orders []pricing.JobOrders
	for i := range all {
		b.Jobs = append(b.Jobs, all[i].job)
		orders = append(orders, all[i].job.Orders)
	}
	if f.poolBars {
		work, err := poolEffort(f.effort)
		if err == nil {
			err = a.guarded(func() (err error) { b.Together, err = pricing.PoolBars(orders, work); return err })
		}
		if err != nil {
			return err
		}
	}
	if err := a.write(out, func(w io.Writer) error { return sheet.WriteBatch(w, b) }); err != nil {
		return err
	}
	a.say("wrote %s", out)
	if a.quiet || f.json == "-" {
		return nil
	}
	for _, t := range b.Together {
		fmt.Fprintf(a.Out, "%s of %d jobs cut together: %d bars instead of %d, saving %s %s\n", t.Item, t.Jobs, t.Bought, t.ApartBought,
			money(t.Saving, minorOf(b.Jobs, t.Currency)), t.Currency)
	}
	return nil
}

// batchName is the workbook that rolls up a batch.
const batchName = "batch.xlsx"

// minorOf are the decimals of a currency of the jobs.
func minorOf(jobs []sheet.BatchJob, currency string) int32 {
	for i := range jobs {
		if jobs[i].Currency == currency {
			return jobs[i].Minor
		}
	}
	return 2
}

// poolEffort is the work of the plan of one size across jobs: effort 1 unless --effort says otherwise.
func poolEffort(effort string) (cutting.Work, error) {
	if effort == "" {
		return cutting.EffortMilli(1000), nil
	}
	d, err := decimal.NewFromString(effort)
	if err != nil || d.Sign() <= 0 {
		return 0, fmt.Errorf("--effort %s: a number above 0, such as 0.05", effort)
	}
	return cutting.EffortMilli(max(1, d.Shift(3).IntPart())), nil
}

// batchLine is what a run came to, in one line.
func batchLine(r *pricedRun) string {
	w := r.work
	if r.out == "" {
		return count(w.findings) + "; nothing was written"
	}
	s := fmt.Sprintf("run %d, %s %s", r.rerun.run.Number, money(w.bid.Totals.BidTotal, w.job.MinorDigits), w.job.Currency)
	if !w.bid.Complete {
		s += fmt.Sprintf(", INCOMPLETE: %d without a price", w.bid.Unpriced)
	}
	return s + "; " + count(w.findings) + "; wrote " + r.out
}

// errorsOf are the errors among findings.
func errorsOf(findings []takeoff.Finding) []takeoff.Finding {
	var out []takeoff.Finding
	for _, f := range findings {
		if f.Severity == takeoff.Error {
			out = append(out, f)
		}
	}
	return out
}

// report prints a batch, what failed and why to stderr and a line a schedule to stdout, or to stderr too where stdout is
// taken. It gives the exit status.
func (a *app) report(all []batched, toErr bool) int {
	out := a.Out
	if toErr {
		out = a.Err
	}
	status := exitDone
	for _, b := range all {
		status = batchStatus(status, b.status)
		if errors.Is(b.err, errInterrupted) {
			continue
		}
		switch {
		case b.err != nil:
			fmt.Fprintln(a.Err, "wallbill: "+reason(b.path, b.err))
		case b.said != "":
			fmt.Fprint(a.Err, b.said)
		}
		if !a.quiet {
			fmt.Fprintln(out, b.line)
		}
	}
	return status
}

// clash fails the schedules whose results would have one name.
func clash(jobs []jobPath, out func(path string) string) {
	by := map[string][]int{}
	for i := range jobs {
		if jobs[i].err == nil {
			k := sameName(placeOf(out(jobs[i].path)))
			by[k] = append(by[k], i)
		}
	}
	for _, is := range by {
		if len(is) < 2 {
			continue
		}
		for n, i := range is {
			other := jobs[is[(n+1)%len(is)]].path
			jobs[i].err = fmt.Errorf("%s: not done: %s would be written by %s too; give them other names or another -o", jobs[i].path, out(jobs[i].path), other)
		}
	}
}

// sameName is a path as systems compare it: where they do not tell case, without it.
func sameName(path string) string {
	if runtime.GOOS == "windows" || runtime.GOOS == "darwin" {
		return strings.ToLower(path)
	}
	return path
}
