package cmd

import (
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"wallbill/sheet"
)

// setSetting sets a setting of the Job tab, in a row of its own where there is none.
func setSetting(t *testing.T, f *excelize.File, setting, value string) {
	t.Helper()
	rows, err := f.GetRows("Job")
	require.NoError(t, err)
	at := len(rows) + 1
	for i, r := range rows {
		if len(r) > 0 && r[0] == setting {
			at = i + 1
		}
	}
	require.NoError(t, f.SetSheetRow("Job", "A"+strconv.Itoa(at), &[]any{setting, value}))
}

// TestInputsAreNotWrittenOver: a schedule, a price book, a list of pieces named where results go is a slip of the hand: one
// line, and every file as it was.
func TestInputsAreNotWrittenOver(t *testing.T) {
	t.Chdir(t.TempDir())
	require.NoError(t, sheet.NewStarter("job.xlsx", sheet.Options{}))
	require.NoError(t, sheet.NewStarter("prices.xlsx", sheet.Options{PriceBook: true}))
	f, err := excelize.OpenFile("job.xlsx")
	require.NoError(t, err)
	setSetting(t, f, "Price book", "prices.xlsx")
	require.NoError(t, f.Save())
	require.NoError(t, f.Close())
	for name, text := range map[string]string{"pieces.csv": "length,quantity\n5,2\n", "stock.csv": "length,price\n20,1\n", "note.json": "not one"} {
		require.NoError(t, os.WriteFile(name, []byte(text), 0o644))
	}
	require.NoError(t, os.Symlink("job.xlsx", "link.xlsx"))
	status, out, errs := inProcess("price", "job.xlsx", "-q", "--no-drawings")
	require.Contains(t, []int{exitDone, exitIncomplete}, status, out+errs)

	files := func() map[string]string {
		all := map[string]string{}
		entries, err := os.ReadDir(".")
		require.NoError(t, err)
		for _, e := range entries {
			b, err := os.ReadFile(e.Name())
			require.NoError(t, err)
			all[e.Name()] = string(b)
		}
		return all
	}
	before := files()
	const noJSON = "a file of that name is there and is no JSON"
	for _, c := range []struct {
		want string
		args []string
	}{
		{noJSON, []string{"price", "job.xlsx", "--json", "job.xlsx"}},
		{noJSON, []string{"price", "job.xlsx", "--json", "prices.xlsx"}},
		{noJSON, []string{"check", "--json", "job.xlsx", "job.xlsx"}},
		{noJSON, []string{"check", "job.xlsx", "--json", "link.xlsx"}},
		{noJSON, []string{"explain", "job.xlsx", "--json", "job.xlsx"}},
		{noJSON, []string{"compare", "job.priced.xlsx", "job.priced.xlsx", "--json", "job.priced.xlsx"}},
		{noJSON, []string{"cut", "pieces.csv", "--stock", "stock.csv", "--json", "pieces.csv"}},
		{noJSON, []string{"check", "job.xlsx", "--json", "note.json"}},
		{"-o job.xlsx is the schedule itself; --in-place puts the results into it", []string{"price", "job.xlsx", "-o", "job.xlsx"}},
		{"-o link.xlsx is the schedule itself", []string{"price", "job.xlsx", "-o", "link.xlsx"}},
		{"-o prices.xlsx is the price book that the schedule names", []string{"price", "job.xlsx", "-o", "prices.xlsx"}},
		{"is one of the workbooks compared", []string{"compare", "job.priced.xlsx", "job.xlsx", "-o", "job.xlsx"}},
		{"the name of a folder", []string{"orders", "job.xlsx", "-o", "job.xlsx"}},
		{"job.xlsx", []string{"new", "job.xlsx"}},
	} {
		status, _, errs := inProcess(c.args...)
		assert.Equal(t, exitFailed, status, "%v: %s", c.args, errs)
		assert.Contains(t, errs, c.want, "%v", c.args)
		now := files()
		for name, was := range before {
			assert.True(t, now[name] == was, "%v: %s is another", c.args, name)
		}
		assert.Len(t, now, len(before), "%v", c.args)
	}

	// JSON over JSON, and over an empty file, is what the flag is for.
	require.NoError(t, os.WriteFile("empty.json", nil, 0o644))
	for range 2 {
		status, out, errs = inProcess("check", "job.xlsx", "-q", "--json", "empty.json")
		require.Equal(t, exitDone, status, out+errs)
	}
	b, err := os.ReadFile("empty.json")
	require.NoError(t, err)
	assert.Contains(t, string(b), `"findings"`)
}
