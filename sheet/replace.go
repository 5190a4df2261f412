package sheet

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"hash/fnv"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"
	"unicode/utf16"
)

// tempPrefix begins the name of every temporary file: .wallbill-<host>-<process>-<name>.tmp, in the folder of the file it
// is to become, so that the rename stays on one disk and a later run knows what it may remove.
const tempPrefix = ".wallbill-"

// writing holds the temporary files this process has open: jobs of a batch run side by side.
var writing sync.Map

// WriteFile puts what write produces at path, so that a crash at any instant leaves the old file or the new one, whole: a
// temporary file in the same folder, synced, renamed over the old one, the folder synced. When write fails nothing
// changes. A file that is open elsewhere or read-only is left alone (CanReplace).
func WriteFile(path string, write func(io.Writer) error) (err error) {
	path = linkTarget(path)
	if err := CanReplace(path); err != nil {
		return err
	}
	dir, name := filepath.Split(path)
	if dir == "" {
		dir = "."
	}
	removeStale(dir)
	temp := filepath.Join(dir, tempName(name))
	if _, busy := writing.LoadOrStore(temp, true); busy {
		return refuse(path, nil, "is being written already")
	}
	defer writing.Delete(temp)
	_ = os.Remove(temp) // of a killed run that had this process's number
	f, err := os.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return refuse(path, err, "cannot write here: %v", bareCause(err))
	}
	defer func() {
		if err != nil {
			_ = f.Close()
			_ = os.Remove(temp)
		}
	}()
	if old, statErr := os.Stat(path); statErr == nil {
		// A workbook shared with a group stays shared; where the system forbids it the file is still right.
		_ = f.Chmod(old.Mode().Perm())
	}
	w := bufio.NewWriterSize(f, 256<<10)
	if err = write(w); err != nil {
		var pe *fs.PathError
		if errors.As(err, &pe) && pe.Path == temp { // the disk, not what is written
			return refuse(path, err, "cannot be written: %v", pe.Err)
		}
		return err
	}
	if err = w.Flush(); err == nil {
		if err = f.Sync(); err == nil {
			err = f.Close()
		}
	}
	if err != nil {
		return refuse(path, err, "cannot be written: %v", bareCause(err))
	}
	if err = rename(temp, path); err != nil {
		if held(err) {
			return refuse(path, err, "is open in another program: close it there and run again")
		}
		return refuse(path, err, "cannot be replaced: %v", bareCause(err))
	}
	syncFolder(dir)
	return nil
}

// CanReplace tells whether WriteFile would be let to replace the file at path: nil when there is none. It is asked before
// the work, so that minutes of it are not thrown away. The lock files that spreadsheet programs leave beside an open
// workbook say who has it.
func CanReplace(path string) error {
	path = linkTarget(path)
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return refuse(path, err, "cannot be replaced: %v", bareCause(err))
	}
	if err := regular(path, info); err != nil {
		return err
	}
	if lock, who := openElsewhere(path); lock != "" {
		by := ""
		if who != "" {
			by = " by " + who
		}
		return refuse(path, nil, "is open%s: close it and run again (if nobody has it open, delete %s)", by, lock)
	}
	if info.Mode().Perm()&0o222 == 0 {
		return refuse(path, nil, "is read-only: it is left as it is")
	}
	f, err := os.OpenFile(path, os.O_WRONLY, 0) // opening alone changes nothing
	switch {
	case err == nil:
		return f.Close()
	case errors.Is(err, fs.ErrPermission):
		return refuse(path, err, "is read-only: it is left as it is")
	case held(err):
		return refuse(path, err, "is open in another program: close it there and run again")
	}
	return refuse(path, err, "cannot be replaced: %v", bareCause(err))
}

// linkTarget follows a link, so that the file itself is replaced and the link stays.
func linkTarget(path string) string {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		return real
	}
	return path
}

// bareCause is an error without the path that os puts before it.
func bareCause(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	var le *os.LinkError
	if errors.As(err, &le) {
		return le.Err
	}
	return err
}

// openElsewhere looks for the lock file of a spreadsheet program beside the workbook; it gives its name and who it says
// has the workbook open.
func openElsewhere(path string) (lock, who string) {
	dir, name := filepath.Split(path)
	if b, ok := readLock(filepath.Join(dir, "~$"+name)); ok {
		return "~$" + name, ownerName(b)
	}
	if b, ok := readLock(filepath.Join(dir, ".~lock."+name+"#")); ok {
		return ".~lock." + name + "#", lockName(b)
	}
	return "", ""
}

func readLock(path string) ([]byte, bool) {
	f, _, err := openRegular(path)
	if err != nil {
		// One that exists but is held by its program, or is no file, locks no less.
		_, statErr := os.Lstat(path)
		return nil, statErr == nil
	}
	defer f.Close()
	b, _ := io.ReadAll(io.LimitReader(f, 4096))
	return b, true
}

// ownerName reads a ~$ file: the length of the user's name in a byte, the name in one byte a letter, and, from byte 55
// on, the same with two bytes a letter.
func ownerName(b []byte) string {
	if len(b) > 57 {
		n := int(b[55])
		if wide := b[57:]; n > 0 && len(wide) >= 2*n {
			u := make([]uint16, n)
			for i := range u {
				u[i] = uint16(wide[2*i]) | uint16(wide[2*i+1])<<8
			}
			if name := readable(string(utf16.Decode(u))); name != "" {
				return name
			}
		}
	}
	if len(b) > 1 && int(b[0]) < len(b) {
		return readable(string(bytes.ToValidUTF8(b[1:1+int(b[0])], nil)))
	}
	return ""
}

// commaMark stands for an escaped comma while a lock file is split.
const commaMark = '\x1f'

// lockName reads a .~lock file: full name, login, host, time and profile with commas between.
func lockName(b []byte) string {
	fields := strings.Split(strings.ReplaceAll(string(bytes.ToValidUTF8(b, nil)), `\,`, string(commaMark)), ",")
	field := func(i int) string {
		if i >= len(fields) {
			return ""
		}
		return strings.ReplaceAll(readable(fields[i]), string(commaMark), ",")
	}
	who := field(0)
	if who == "" {
		who = field(1)
	}
	if host := field(2); who != "" && host != "" {
		who += " on " + host
	}
	return who
}

// readable is a short name for a message: without control characters, at most 60 letters.
func readable(s string) string {
	s = strings.TrimSpace(strings.Map(func(r rune) rune {
		if r < 0x20 && r != commaMark || r == 0x7f {
			return -1
		}
		return r
	}, s))
	if r := []rune(s); len(r) > 60 {
		s = string(r[:60])
	}
	return s
}

// hostMark is a short mark of this machine in temporary names: process numbers mean nothing on another one.
func hostMark() string {
	host, _ := os.Hostname()
	h := fnv.New32a()
	_, _ = h.Write([]byte(host))
	return fmt.Sprintf("%08x", h.Sum32())
}

// nameAtMost keeps a temporary name within the 255 bytes that a folder allows: a longer name is told by its mark.
const nameAtMost = 150

func tempName(name string) string {
	if len(name) > nameAtMost {
		h := fnv.New64a()
		_, _ = io.WriteString(h, name)
		name = fmt.Sprintf("%s-%016x", strings.ToValidUTF8(name[:nameAtMost-17], ""), h.Sum64())
	}
	return tempPrefix + hostMark() + "-" + strconv.Itoa(os.Getpid()) + "-" + name + ".tmp"
}

// removeStale removes the temporary files of runs that were killed: those of this machine whose process is gone, and any
// that is a day old.
func removeStale(dir string) {
	names, err := filepath.Glob(filepath.Join(quoteGlob(dir), tempPrefix+"*.tmp"))
	if err != nil {
		return
	}
	for _, path := range names {
		part := strings.SplitN(strings.TrimPrefix(filepath.Base(path), tempPrefix), "-", 3)
		if len(part) != 3 {
			continue // not a name of ours
		}
		pid, err := strconv.Atoi(part[1])
		if err != nil || pid == os.Getpid() && part[0] == hostMark() {
			continue
		}
		info, err := os.Lstat(path)
		if err != nil || !info.Mode().IsRegular() {
			continue
		}
		if time.Since(info.ModTime()) > 24*time.Hour || part[0] == hostMark() && !running(pid) {
			_ = os.Remove(path)
		}
	}
}

// quoteGlob keeps a folder's own brackets and stars from being read as a pattern.
func quoteGlob(dir string) string {
	if runtime.GOOS == "windows" { // a backslash divides folders there, and * and ? stand in no name
		return dir
	}
	return strings.NewReplacer(`\`, `\\`, `*`, `\*`, `?`, `\?`, `[`, `\[`).Replace(dir)
}

func running(pid int) bool {
	p, err := os.FindProcess(pid)
	if err != nil {
		return false
	}
	defer func() { _ = p.Release() }()
	if runtime.GOOS == "windows" { // there FindProcess itself fails for a process that is gone
		return true
	}
	err = p.Signal(syscall.Signal(0))
	return err == nil || errors.Is(err, fs.ErrPermission)
}

// rename tries a few times where another program (a virus scanner, a sync client) may hold the file for a moment.
func rename(from, to string) error {
	err := os.Rename(from, to)
	for wait := 20 * time.Millisecond; err != nil && held(err) && wait < time.Second; wait *= 2 {
		time.Sleep(wait)
		err = os.Rename(from, to)
	}
	return err
}

// held tells a file held open by another program, as only Windows does: sharing violation (32), lock violation (33).
func held(err error) bool {
	var no syscall.Errno
	return runtime.GOOS == "windows" && errors.As(err, &no) && (no == 32 || no == 33 || no == 5)
}

// syncFolder makes the rename itself last; systems without it refuse, which changes nothing.
func syncFolder(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync()
		_ = d.Close()
	}
}
