package sheet

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func putFile(t *testing.T, path, text string) {
	t.Helper()
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
}

func fileText(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(b)
}

func fileNames(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	var out []string
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

func writes(s string) func(io.Writer) error {
	return func(w io.Writer) error { _, err := io.WriteString(w, s); return err }
}

func TestWriteFileReplacesWhole(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "bid.xlsx")
	require.NoError(t, WriteFile(path, writes("one")))
	assert.Equal(t, "one", fileText(t, path))
	require.NoError(t, os.Chmod(path, 0o664))

	seen := ""
	require.NoError(t, WriteFile(path, func(w io.Writer) error {
		_, _ = io.WriteString(w, "two")
		seen = fileText(t, path) // while the new one is written the old one stands
		return nil
	}))
	assert.Equal(t, "one", seen)
	assert.Equal(t, "two", fileText(t, path))
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o664), info.Mode().Perm(), "sharing is kept")
	assert.Equal(t, []string{"bid.xlsx"}, fileNames(t, dir), "no temporary file stays")
}

func TestWriteFileFailureChangesNothing(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "bid.xlsx")
	putFile(t, path, "old")
	broken := errors.New("broken")
	err := WriteFile(path, func(w io.Writer) error { _, _ = io.WriteString(w, "half"); return broken })
	assert.ErrorIs(t, err, broken)
	assert.Equal(t, "old", fileText(t, path))
	assert.Equal(t, []string{"bid.xlsx"}, fileNames(t, dir))

	err = WriteFile(filepath.Join(dir, "absent", "bid.xlsx"), writes("x"))
	var fe *FileError
	require.ErrorAs(t, err, &fe)
	assert.Contains(t, fe.Message, "cannot write here")
}

func TestWriteFileFollowsLinks(t *testing.T) {
	dir := t.TempDir()
	real := filepath.Join(dir, "real", "bid.xlsx")
	require.NoError(t, os.Mkdir(filepath.Dir(real), 0o755))
	putFile(t, real, "old")
	link := filepath.Join(dir, "bid.xlsx")
	if err := os.Symlink(real, link); err != nil {
		t.Skip("no links here:", err)
	}
	require.NoError(t, WriteFile(link, writes("new")))
	assert.Equal(t, "new", fileText(t, real))
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeSymlink, "the link stays a link")
}

func TestLeftAlone(t *testing.T) {
	owner := make([]byte, 165) // as spreadsheet programs write it: length and name, then from byte 55 the same in UTF-16
	owner[0] = 3
	copy(owner[1:], "Ann")
	for i := 4; i < 55; i++ {
		owner[i] = ' '
	}
	owner[55] = 4
	copy(owner[57:], "A\x00n\x00n\x00\xe9\x00")
	short := append([]byte{3}, "Bob"...)
	for _, c := range []struct {
		name, lock string
		content    []byte
		want       string
	}{
		{"owner file", "~$bid.xlsx", owner, "is open by Anné: close it and run again (if nobody has it open, delete ~$bid.xlsx)"},
		{"short owner file", "~$bid.xlsx", short, "is open by Bob: "},
		{"empty owner file", "~$bid.xlsx", nil, "is open: close it"},
		{"lock file", ".~lock.bid.xlsx#", []byte("Ann Example,ann,desk,01.11.2026 10:00,file:///home/ann/;"), "is open by Ann Example on desk: close it and run again (if nobody has it open, delete .~lock.bid.xlsx#)"},
		{"lock file without a name", ".~lock.bid.xlsx#", []byte(",ann,desk,01.11.2026 10:00,;"), "is open by ann on desk: "},
		{"lock file with a comma", ".~lock.bid.xlsx#", []byte(`Example\, Ann,ann,desk,,;`), "is open by Example, Ann on desk: "},
		{"damaged lock file", ".~lock.bid.xlsx#", []byte("\xff\x00\n"), "is open: close it"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "bid.xlsx")
			lock := filepath.Join(dir, c.lock)
			require.NoError(t, os.WriteFile(lock, c.content, 0o644))
			assert.NoError(t, CanReplace(path), "a lock without its workbook is nobody's")

			putFile(t, path, "old")
			err := WriteFile(path, writes("new"))
			var fe *FileError
			require.ErrorAs(t, err, &fe)
			assert.Contains(t, fe.Message, c.want)
			assert.NotContains(t, fe.Message, "\n")
			assert.Equal(t, "old", fileText(t, path))

			require.NoError(t, os.Remove(lock))
			require.NoError(t, WriteFile(path, writes("new")))
		})
	}
	t.Run("read-only", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "bid.xlsx")
		putFile(t, path, "old")
		require.NoError(t, os.Chmod(path, 0o444))
		assert.ErrorContains(t, WriteFile(path, writes("new")), "read-only: it is left as it is")
		assert.Equal(t, "old", fileText(t, path))
	})
	t.Run("folder", func(t *testing.T) {
		assert.ErrorContains(t, CanReplace(t.TempDir()), "is a folder")
	})
}

func TestStaleTemporaryFiles(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "jobs [2026]*")
	require.NoError(t, os.Mkdir(dir, 0o755))
	const gone = 1 << 30 // above every process number a system gives
	stale := filepath.Join(dir, tempPrefix+hostMark()+"-"+strconv.Itoa(gone)+"-bid.xlsx.tmp")
	other := filepath.Join(dir, tempPrefix+"00000000-"+strconv.Itoa(gone)+"-bid.xlsx.tmp")
	live := filepath.Join(dir, tempPrefix+hostMark()+"-"+strconv.Itoa(os.Getppid())+"-bid.xlsx.tmp")
	foreign := filepath.Join(dir, tempPrefix+"notes.tmp")
	for _, p := range []string{stale, other, live, foreign} {
		putFile(t, p, "half")
	}
	own := filepath.Join(dir, tempName("bid.xlsx"))
	putFile(t, own, "half") // of a killed run that had the same number
	require.NoError(t, WriteFile(filepath.Join(dir, "bid.xlsx"), writes("x")))
	assert.NoFileExists(t, stale)
	assert.NoFileExists(t, own)
	assert.FileExists(t, other, "another machine may be writing it")
	assert.FileExists(t, live, "its process runs")
	assert.FileExists(t, foreign, "not ours")

	old := time.Now().Add(-25 * time.Hour)
	require.NoError(t, os.Chtimes(other, old, old))
	require.NoError(t, WriteFile(filepath.Join(dir, "bid.xlsx"), writes("x")))
	assert.NoFileExists(t, other, "a day old")
}
