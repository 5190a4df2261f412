package cmd

import (
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wallbill/sheet"
	"wallbill/takeoff/schedule/drawn"
)

var updateBatch = flag.Bool("update-batch", false, "write testdata/findings/batch.md anew")

const batchHead = "# What is said of folders and several schedules\n\n" +
	"What `wallbill` says on stderr, and its exit status. One job that fails stops no other. Made by the test TestBatchFindings of\n" +
	"package cmd (`-update-batch`).\n"

// Each thing that can go wrong with folders, several schedules and orders says so in a clear line.
func TestBatchFindings(t *testing.T) {
	page, err := filepath.Abs(filepath.Join("..", "testdata", "findings", "batch.md"))
	require.NoError(t, err)
	text := drawn.Estate(4)
	schedule := func(path string) {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, sheet.WriteFile(path, func(w io.Writer) error { return sheet.WritePlain(w, text) }))
	}
	file := func(path, content string) {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(content), 0o644))
	}
	quiet := []string{"--no-drawings", "-q"}
	var b strings.Builder
	b.WriteString(batchHead)
	for _, c := range []struct {
		what  string
		setUp func()
		args  []string
		keeps []string // files that must be there afterwards
	}{
		{"a folder without any workbook", func() { require.NoError(t, os.Mkdir("bids", 0o755)) }, []string{"price", "bids"}, nil},
		{"a folder whose workbooks are no schedules", func() {
			file("bids/~$a.xlsx", "lock")
			file("bids/.old.xlsx", "hidden")
			file("bids/a.priced.xlsx", "priced")
			require.NoError(t, sheet.WriteFile("bids/prices.xlsx", func(w io.Writer) error { return sheet.WritePlain(w, "Prices\nItem | Unit | Price\nbrick | ea | 1\n") }))
		}, []string{"price", "bids"}, nil},
		{"one of two folders without a schedule", func() { schedule("bids/a.xlsx"); require.NoError(t, os.Mkdir("more", 0o755)) },
			append([]string{"price", "bids", "more"}, quiet...), []string{"bids/a.priced.xlsx", "bids/batch.xlsx"}},
		{"a file that cannot be read among others", func() { schedule("bids/a.xlsx"); file("bids/b.xlsx", "no workbook"); schedule("bids/c.xlsx") },
			append([]string{"price", "bids"}, quiet...), []string{"bids/a.priced.xlsx", "bids/c.priced.xlsx", "bids/batch.xlsx"}},
		{"a file that is not there among others", func() { schedule("a.xlsx") },
			append([]string{"price", "a.xlsx", "b.xlsx"}, quiet...), []string{"a.priced.xlsx"}},
		{"a folder of results that cannot be one", func() { schedule("bids/a.xlsx"); file("out", "a file") },
			append([]string{"price", "bids", "-o", "out"}, quiet...), nil},
		{"one workbook for several schedules", func() { schedule("bids/a.xlsx"); schedule("bids/b.xlsx") },
			append([]string{"price", "bids", "-o", "all.xlsx"}, quiet...), nil},
		{"two schedules that would write one workbook", func() { schedule("one/a.xlsx"); schedule("two/a.xlsx"); schedule("two/b.xlsx") },
			append([]string{"price", "one", "two", "-o", "out"}, quiet...), []string{"out/b.priced.xlsx", "out/batch.xlsx"}},
		{"a priced workbook by name", func() { schedule("bids/a.xlsx") },
			append([]string{"price", "bids/a.priced.xlsx"}, quiet...), nil},
		{"a file of the user's where the roll-up goes", func() { schedule("bids/a.xlsx"); schedule("bids/b.xlsx"); file("out/batch.xlsx", "mine") },
			append([]string{"price", "bids", "-o", "out"}, quiet...), []string{"out/a.priced.xlsx", "out/b.priced.xlsx"}},
		{"a schedule where the roll-up goes", func() { schedule("bids/a.xlsx"); schedule("bids/batch.xlsx") },
			append([]string{"price", "bids"}, quiet...), []string{"bids/a.priced.xlsx", "bids/batch.priced.xlsx"}},
		{"a file of the user's where an order goes", func() { schedule("a.xlsx"); file("a-Yard.csv", "mine") },
			[]string{"orders", "a.xlsx", "--csv", "--supplier", "yard", "-q"}, nil},
		{"another schedule where an order goes", func() { schedule("a.xlsx"); schedule("a-Yard.xlsx") },
			[]string{"orders", "a.xlsx", "--supplier", "yard", "-q"}, nil},
		{"a supplier that nothing is to be ordered of", func() { schedule("a.xlsx") }, []string{"orders", "a.xlsx", "--supplier", "Smith", "-q"}, nil},
		{"two schedules whose orders would have one name", func() { schedule("one/a.xlsx"); schedule("two/a.xlsx") },
			[]string{"orders", "one", "two", "-o", "out", "-q"}, nil},
		{"a workbook as the folder of orders", func() { schedule("a.xlsx") }, []string{"orders", "a.xlsx", "-o", "b.xlsx", "-q"}, nil},
		{"a priced workbook without its Record", func() { schedule("a.priced.xlsx") }, []string{"orders", "a.priced.xlsx", "-q"}, nil},
	} {
		t.Run(c.what, func(t *testing.T) {
			t.Chdir(t.TempDir())
			c.setUp()
			before := contents(t)
			status, _, errs := inProcess(c.args...)
			require.NotZero(t, status)
			require.NotEmpty(t, errs)
			b.WriteString("\n- " + c.what + ":\n\n      $ wallbill " + strings.Join(c.args, " ") + "\n")
			for _, line := range strings.Split(strings.TrimSpace(filepath.ToSlash(errs)), "\n") {
				b.WriteString("      " + line + "\n")
			}
			b.WriteString("      (exit status " + string(rune('0'+status)) + ")\n")
			after := contents(t)
			for path, text := range before {
				require.True(t, after[path] == text, "%s was changed", path)
			}
			for _, path := range c.keeps {
				require.Contains(t, after, path)
			}
		})
	}
	if *updateBatch {
		require.NoError(t, os.WriteFile(page, []byte(b.String()), 0o644))
	}
	want, err := os.ReadFile(page)
	require.NoError(t, err)
	require.Equal(t, string(want), b.String(), "run with -update-batch and read the difference")
}

// contents are the files under the working folder.
func contents(t *testing.T) map[string]string {
	t.Helper()
	files := map[string]string{}
	require.NoError(t, filepath.WalkDir(".", func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := os.ReadFile(path)
		files[filepath.ToSlash(path)] = string(b)
		return err
	}))
	return files
}
