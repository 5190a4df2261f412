//go:build linux

package sheet

import (
	"bufio"
	"bytes"
	"errors"
	"flag"
	"io"
	"math/rand"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

var kills = flag.Int("kills", 40, "how many writing processes are killed")

// The names in the environment that make this test's program write workbooks until it is killed, and write one past a
// limit of the size of files.
const (
	writeForever = "WALLBILL_TEST_WRITE"
	writeLimited = "WALLBILL_TEST_LIMIT"
)

// twoWorkbooks are priced workbooks of two runs, which can be told apart.
func twoWorkbooks(t *testing.T) (one, two []byte) {
	one = writeSite(t, fullSite())
	s := fullSite()
	s.job.Revision = "D"
	return one, writeSite(t, s)
}

// A process that is killed at any moment while it replaces a workbook leaves the old one or the new one, whole; the next
// write leaves no temporary file of it.
func TestKilledWhileWriting(t *testing.T) {
	if path := os.Getenv(writeForever); path != "" {
		one, two := twoWorkbooks(t)
		_, _ = io.WriteString(os.Stdout, "writing\n")
		for i := 0; ; i++ {
			content := [][]byte{one, two}[i%2]
			err := WriteFile(path, func(w io.Writer) error {
				for len(content) > 0 {
					n := min(len(content), 4<<10)
					if _, err := w.Write(content[:n]); err != nil {
						return err
					}
					content = content[n:]
				}
				return nil
			})
			if err != nil {
				_, _ = io.WriteString(os.Stdout, err.Error()+"\n")
				os.Exit(3)
			}
		}
	}
	n := *kills
	if testing.Short() {
		n = 5
	}
	one, two := twoWorkbooks(t)
	rng := rand.New(rand.NewSource(1))
	dir := t.TempDir()
	path := filepath.Join(dir, "mill.priced.xlsx")
	left, olds, news := 0, 0, 0
	for range n {
		require.NoError(t, os.WriteFile(path, one, 0o644))
		child := exec.Command(os.Args[0], "-test.run=^TestKilledWhileWriting$")
		child.Env = append(os.Environ(), writeForever+"="+path)
		out, err := child.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, child.Start())
		line, err := bufio.NewReader(out).ReadString('\n')
		require.NoError(t, err)
		require.Equal(t, "writing\n", line)
		time.Sleep(time.Duration(rng.Intn(12_000)) * time.Microsecond)
		require.NoError(t, child.Process.Kill())
		_ = child.Wait()

		have, err := os.ReadFile(path)
		require.NoError(t, err)
		switch {
		case bytes.Equal(have, one):
			olds++
		case bytes.Equal(have, two):
			news++
		default:
			t.Fatalf("%d bytes that are neither workbook", len(have))
		}
		if len(fileNames(t, dir)) > 1 {
			left++
		}
		require.NoError(t, WriteFile(path, func(w io.Writer) error { _, err := w.Write(two); return err }))
		require.Equal(t, []string{"mill.priced.xlsx"}, fileNames(t, dir), "a temporary file stays")
	}
	t.Logf("%d killed: the first workbook stood %d times, the second %d; %d left a temporary file, which the next write removed", n, olds, news, left)
	if n >= 40 {
		require.Positive(t, left, "none was killed while it wrote")
	}
}

// A disk that is full leaves the old workbook and no temporary file, and is said in one line. A limit of the size of files
// stands in for the disk.
func TestFullDisk(t *testing.T) {
	if path := os.Getenv(writeLimited); path != "" {
		signal.Ignore(syscall.SIGXFSZ)
		require.NoError(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: 64 << 10, Max: 64 << 10}))
		err := WriteFile(path, func(w io.Writer) error { _, err := w.Write(make([]byte, 1<<20)); return err })
		_, _ = io.WriteString(os.Stdout, "said: "+err.Error()+"\n")
		os.Exit(0)
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "mill.priced.xlsx")
	putFile(t, path, "old")
	child := exec.Command(os.Args[0], "-test.run=^TestFullDisk$")
	child.Env = append(os.Environ(), writeLimited+"="+path)
	out, err := child.CombinedOutput()
	require.NoError(t, err, string(out))
	require.Contains(t, string(out), "said: ")
	require.Contains(t, string(out), "file too large")
	require.Equal(t, 1, strings.Count(string(out), "\n"), string(out))
	require.Equal(t, "old", fileText(t, path))
	require.Equal(t, []string{"mill.priced.xlsx"}, fileNames(t, dir))
}

// The same on a small disk in memory, where the test may make one.
func TestFullSmallDisk(t *testing.T) {
	dir := t.TempDir()
	if err := syscallMount(dir); err != nil {
		t.Skip("no small disk can be mounted here:", err)
	}
	t.Cleanup(func() { _ = exec.Command("umount", dir).Run() })
	path := filepath.Join(dir, "mill.priced.xlsx")
	putFile(t, path, "old")
	err := WriteFile(path, func(w io.Writer) error { _, err := w.Write(make([]byte, 1<<20)); return err })
	require.True(t, errors.Is(err, syscall.ENOSPC), "%v", err)
	require.NotContains(t, err.Error(), "\n")
	require.NotContains(t, err.Error(), tempPrefix, "a name that means nothing to the reader")
	require.Equal(t, "old", fileText(t, path))
	require.Equal(t, []string{"mill.priced.xlsx"}, fileNames(t, dir))
}

func syscallMount(dir string) error {
	if os.Getuid() != 0 {
		return errors.New("not root")
	}
	out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", dir).CombinedOutput()
	if err != nil {
		return errors.New(strings.TrimSpace(string(out)))
	}
	return nil
}

// A folder that may not be written to, and names at and past what a folder allows.
func TestFoldersAndNames(t *testing.T) {
	dir := t.TempDir()
	long := strings.Repeat("ü", 122) + "-bid.xlsx" // 253 bytes
	require.NoError(t, WriteFile(filepath.Join(dir, long), writes("x")), "a name that the folder allows")
	require.Equal(t, []string{long}, fileNames(t, dir))
	other := strings.Repeat("ü", 122) + "-bie.xlsx"
	require.NotEqual(t, tempName(long), tempName(other), "two long names at once")
	err := WriteFile(filepath.Join(dir, strings.Repeat("w", 256)+".xlsx"), writes("x"))
	var fe *FileError
	require.ErrorAs(t, err, &fe)
	require.Contains(t, fe.Message, "file name too long")
	require.Equal(t, []string{long}, fileNames(t, dir), "nothing of it stays")

	closed := filepath.Join(dir, "closed")
	require.NoError(t, os.Mkdir(closed, 0o555))
	for d := dir; os.Getuid() == 0 && d != os.TempDir() && len(d) > 1; d = filepath.Dir(d) {
		require.NoError(t, os.Chmod(d, 0o755))
	}
	said := make(chan error)
	go func() {
		if os.Getuid() == 0 { // root may write everywhere; this thread is somebody else and ends with the goroutine
			runtime.LockOSThread()
			if err := syscall.Setfsuid(65534); err != nil {
				said <- err
				return
			}
		}
		said <- WriteFile(filepath.Join(closed, "bid.xlsx"), writes("x"))
	}()
	require.ErrorAs(t, <-said, &fe)
	require.Contains(t, fe.Message, "cannot write here: permission denied")
}
