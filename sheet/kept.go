package sheet

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
)

// Kept is the folder of the workbooks that later runs replaced, NAME.runs beside the workbook.
type Kept struct{ Folder string }

// keptName is a kept workbook's name: its run in three digits, a number after it where the name was taken.
var keptName = regexp.MustCompile(`^(\d{3,})(-\d+)?\.xlsx$`)

// Last is the greatest number of a run that is kept, 0 for none.
func (k Kept) Last() int {
	last := 0
	entries, err := os.ReadDir(k.Folder)
	if err != nil {
		return 0
	}
	for _, e := range entries {
		if m := keptName.FindStringSubmatch(e.Name()); m != nil {
			if n, err := strconv.Atoi(m[1]); err == nil {
				last = max(last, n)
			}
		}
	}
	return last
}

// Keep copies the file at path, which is about to be replaced, under the number of its run and gives the copy's path. A
// name that other bytes have gets -2, -3 and so on; equal bytes are not kept twice. Without a file there is nothing to
// keep. The copy is on the disk before the file may be replaced.
func (k Kept) Keep(path string, number int) (string, error) {
	data, err := os.ReadFile(linkTarget(path))
	if os.IsNotExist(err) {
		return "", nil
	}
	if err != nil {
		return "", refuse(path, err, "cannot be kept: %v", bareCause(err))
	}
	if err := os.MkdirAll(k.Folder, 0o755); err != nil {
		return "", refuse(k.Folder, err, "cannot be made: %v", bareCause(err))
	}
	for i := 1; ; i++ {
		name := fmt.Sprintf("%03d.xlsx", number)
		if i > 1 {
			name = fmt.Sprintf("%03d-%d.xlsx", number, i)
		}
		to := filepath.Join(k.Folder, name)
		have, err := os.ReadFile(to)
		switch {
		case err == nil && bytes.Equal(have, data):
			return to, nil
		case err == nil:
			continue
		case !os.IsNotExist(err):
			return "", refuse(to, err, "cannot be read: %v", bareCause(err))
		}
		return to, WriteFile(to, func(w io.Writer) error { _, err := w.Write(data); return err })
	}
}
