package cmd

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"wallbill/sheet"
)

// jobPath is a schedule to work, or why a PATH gives none.
type jobPath struct {
	path string
	err  error
}

// jobPaths are the schedules that the PATHs of a command name, in their order.
type jobPaths struct {
	jobs     []jobPath
	dir      string // of the first PATH: where what concerns all jobs goes
	several  bool   // more than one PATH, or a folder: JSON is a list
	skipping []string
}

// skipped are the files of a folder that are no schedules to work, by why.
type skipped struct {
	locks, hidden, priced, outputs, others int
}

// String lists what was skipped; empty: nothing.
func (s *skipped) String() string {
	var parts []string
	add := func(n int, one, more string) {
		switch {
		case n == 1:
			parts = append(parts, "1 "+one)
		case n > 1:
			parts = append(parts, fmt.Sprintf("%d %s", n, more))
		}
	}
	add(s.priced, "priced workbook", "priced workbooks")
	add(s.outputs, "other output of an earlier run", "other outputs of an earlier run")
	add(s.others, "workbook without a Job tab", "workbooks without a Job tab")
	add(s.locks, "lock file", "lock files")
	add(s.hidden, "hidden file", "hidden files")
	return strings.Join(parts, ", ")
}

// schedules finds the schedules of PATHs: a file as named, of a folder its own workbooks that have a Job tab, in the order
// of their names. A schedule that is named twice is worked once. The folder's other workbooks are counted.
func (a *app) schedules(paths []string) *jobPaths {
	found := &jobPaths{several: len(paths) > 1, dir: filepath.Dir(paths[0])}
	seen := map[string]bool{}
	add := func(j jobPath) {
		if k := placeOf(j.path); !seen[k] {
			seen[k] = true
			found.jobs = append(found.jobs, j)
		}
	}
	for i, path := range paths {
		info, err := os.Stat(path)
		if err != nil || !info.IsDir() {
			add(jobPath{path: path}) // what is wrong with it is said when it is read
			continue
		}
		found.several = true
		if i == 0 {
			found.dir = path
		}
		entries, err := os.ReadDir(path)
		if err != nil {
			add(jobPath{path, fmt.Errorf("%s: the folder cannot be read: %w", path, bare(err))})
			continue
		}
		var skip skipped
		n := 0
		for _, e := range entries {
			name := e.Name()
			file := filepath.Join(path, name)
			if !a.isSchedule(file, name, &skip) {
				continue
			}
			n++
			add(jobPath{path: file})
		}
		switch why := skip.String(); {
		case n == 0 && why == "":
			add(jobPath{path, fmt.Errorf("%s: no schedule in this folder: it has no workbook (.xlsx)", path)})
		case n == 0:
			add(jobPath{path, fmt.Errorf("%s: no schedule in this folder; skipped: %s", path, why)})
		case why != "":
			found.skipping = append(found.skipping, fmt.Sprintf("%s: skipped %s", path, why))
		}
	}
	return found
}

// isSchedule tells whether a folder's file is a schedule to work; a workbook that is none is counted. A file that cannot be
// read as a workbook is one: it fails with its reason.
func (a *app) isSchedule(file, name string, skip *skipped) bool {
	lower := strings.ToLower(name)
	book := strings.HasSuffix(lower, ".xlsx")
	switch {
	case strings.HasPrefix(name, "~$") && book, strings.HasPrefix(name, ".~lock.") && strings.HasSuffix(lower, ".xlsx#"):
		skip.locks++
		return false
	case !book:
		return false
	}
	if info, err := os.Stat(file); err == nil && info.IsDir() {
		return false
	}
	switch {
	case strings.HasPrefix(name, "."):
		skip.hidden++
		return false
	case strings.HasSuffix(lower, pricedSuffix):
		skip.priced++
		return false
	}
	tabs, err := sheet.TabNames(file, a.limits)
	if err != nil {
		return true
	}
	for _, tab := range tabs {
		if strings.EqualFold(strings.TrimSpace(tab), "Job") {
			return true
		}
	}
	if sheet.IsOutput(tabs) {
		skip.outputs++
	} else {
		skip.others++
	}
	return false
}

// placeOf is the same for two spellings of a file's path. The file itself may be a link: its name decides what is written.
func placeOf(path string) string {
	dir, name := filepath.Split(path)
	if dir == "" {
		dir = "."
	}
	if real, err := filepath.EvalSymlinks(dir); err == nil {
		dir = real
	}
	if abs, err := filepath.Abs(dir); err == nil {
		dir = abs
	}
	return filepath.Join(dir, name)
}

// bare is an error of the system without the path that is said beside it.
func bare(err error) error {
	var pe *os.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}
