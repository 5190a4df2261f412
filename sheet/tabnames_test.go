package sheet

import (
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"wallbill/takeoff/schedule/drawn"
)

// The list of tabs is the one that a full reading finds, and a file that is no workbook is said to be none.
func TestTabNames(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.xlsx")
	require.NoError(t, WriteFile(path, func(w io.Writer) error { return WritePlain(w, drawn.Estate(4)) }))
	names, err := TabNames(path, DefaultLimits)
	require.NoError(t, err)
	w, err := Open(path, DefaultLimits)
	require.NoError(t, err)
	var want []string
	for _, tab := range w.Book().Tabs {
		want = append(want, tab.Name)
	}
	require.Equal(t, want, names)

	for name, content := range map[string]string{"text.xlsx": "this is text", "empty.xlsx": "", "cut.xlsx": "PK\x03\x04 and no more"} {
		path := filepath.Join(t.TempDir(), name)
		require.NoError(t, os.WriteFile(path, []byte(content), 0o644))
		_, err := TabNames(path, DefaultLimits)
		require.ErrorContains(t, err, name)
	}
	_, err = TabNames(filepath.Join(t.TempDir(), "none.xlsx"), DefaultLimits)
	require.ErrorContains(t, err, "there is no such file")
	_, err = TabNames(t.TempDir(), DefaultLimits)
	require.Error(t, err)
}

// A folder of results is made with those above it; where a file is in the way one line says so, and nothing is left.
func TestMakeFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a", "b")
	require.NoError(t, MakeFolder(dir))
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Empty(t, left)
	file := filepath.Join(dir, "c")
	require.NoError(t, os.WriteFile(file, nil, 0o644))
	require.ErrorContains(t, MakeFolder(filepath.Join(file, "d")), "not a directory")
	require.Error(t, MakeFolder(file))
}
