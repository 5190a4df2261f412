package cmd

import (
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wallbill/sheet"
	"wallbill/takeoff/schedule/drawn"
)

// hostileNames are names that a file system would take for a way out of a folder, for a device, or not at all. None holds
// what a name may not hold at all.
var hostileNames = []string{
	"..", ".", "../../outside", `..\..\outside`, "/etc/outside", `C:\outside`, `\\server\share\outside`, "//server/outside", "a/b", `a\b`, "a:b", "~", "~/outside", "-rf", "--out",
	"CON", "nul", "Aux.", "COM1", "LPT9.xlsx", "a.xlsx", "trailing.", "a  b", "$(outside)", "`outside`", "%2e%2e%2foutside", "%APPDATA%", "_x0000_", "_x002F_outside", "ａ／ｂ", "\u202eslx.a", "\u200b",
	strings.Repeat("long", 50), strings.Repeat("长", 200), "a|b", `"a"`, "file:///etc/outside", ".hidden", ".~lock.a", "wallbill.priced.xlsx", "batch",
}

// TestNamesStayInTheirFolder: names of suppliers, walls, levels, pours and of the job make file names. Whatever they are, all
// that a command writes stands in the folder of results, under names that every system takes.
func TestNamesStayInTheirFolder(t *testing.T) {
	root := t.TempDir()
	jobs := filepath.Join(root, "deep", "down", "jobs")
	require.NoError(t, os.MkdirAll(jobs, 0o755))
	text := drawn.Estate((len(hostileNames) + 3) / 4 * 4)
	n := 0
	for _, supplier := range []string{"Yard", "Steel", "Ready", "Lumber", "Rent", "Damp"} { // each row another
		for strings.Contains(text, "| "+supplier+"\n") {
			text = strings.Replace(text, "| "+supplier+"\n", "| "+supplierName(hostileNames[n%len(hostileNames)])+"\n", 1)
			n++
		}
	}
	text += "\nExtras\nLine | Kind | Item | Quantity | Unit\n"
	lines := strings.Split(strings.TrimSpace(text), "\n")
	var prices []string
	for i, name := range hostileNames {
		for j, line := range lines { // marks and levels
			for _, mark := range []string{"W", "L", "P"} {
				lines[j] = replaceCell(line, mark+strconv.Itoa(i+1), cellText(name))
				line = lines[j]
			}
		}
		// and something to order of each
		prices = append(prices, "thing"+strconv.Itoa(i)+" | ea | | 1 | | | | "+supplierName(name))
		lines = append(lines, "t"+strconv.Itoa(i)+" | quantity | thing"+strconv.Itoa(i)+" | 1 | ea")
	}
	text = strings.Replace(strings.Join(lines, "\n"), "M-6in-block | ea", strings.Join(prices, "\n")+"\nM-6in-block | ea", 1)
	text = strings.Replace(text, "Many walls", "../../outside"+strings.Repeat("&", 400), 1)
	job, long := filepath.Join(jobs, "job.xlsx"), filepath.Join(jobs, "long.xlsx")
	require.NoError(t, sheet.WriteFile(job, func(w io.Writer) error { return sheet.WritePlain(w, text) }))
	text = drawn.Estate(4) // whose pictures in the workbook have the longest name there is
	for _, mark := range []string{"W1", "L1", "P1", "R0"} {
		text = strings.ReplaceAll(text, mark+" |", strings.Repeat("𝍐", 200)+" |")
	}
	require.NoError(t, sheet.WriteFile(long, func(w io.Writer) error { return sheet.WritePlain(w, text) }))

	allowed := filepath.Join(jobs, "out")
	for _, args := range [][]string{
		{"orders", job, "-o", filepath.Join(allowed, "orders")},
		{"orders", job, "-o", filepath.Join(allowed, "lists"), "--csv"},
		{"price", job, "-o", filepath.Join(allowed, "priced"), "--drawings", filepath.Join(allowed, "drawings"), "--no-drawings"},
		{"price", long, "-o", filepath.Join(allowed, "long")},
	} {
		status, out, errs := inProcess(args...)
		require.Contains(t, []int{exitDone, exitIncomplete}, status, "%v: %s%s", args, out, errs)
	}
	files := map[string]int{}
	seen := map[string]bool{}
	require.NoError(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		require.NoError(t, err)
		if d.IsDir() || path == job || path == long {
			return nil
		}
		rel, err := filepath.Rel(allowed, path)
		require.NoError(t, err)
		require.False(t, strings.HasPrefix(rel, ".."), path)
		name := d.Name()
		assert.LessOrEqual(t, len(name), 255)
		assert.Regexp(t, `^[\p{L}\p{N}][\p{L}\p{N}._-]*$`, name)
		assert.False(t, strings.HasSuffix(strings.TrimSuffix(name, filepath.Ext(name)), "."), name)
		stem, _, _ := strings.Cut(strings.ToUpper(name), ".")
		assert.NotRegexp(t, `^(CON|PRN|AUX|NUL|COM\d|LPT\d)$`, stem, "a device of some systems")
		folded := strings.ToLower(path)
		assert.False(t, seen[folded], "%s differs from another in case alone", path)
		seen[folded] = true
		files[strings.SplitN(filepath.ToSlash(rel), "/", 2)[0]]++
		return nil
	}))
	assert.Greater(t, files["orders"], 30, files)
	assert.Equal(t, files["orders"], files["lists"], files)
	assert.Greater(t, files["drawings"], len(hostileNames), files)
	assert.Equal(t, 1, files["priced"], files)
	assert.Equal(t, 1, files["long"], files)
	t.Logf("%d names made %v files", len(hostileNames), files)
}

// cellText is a name as the text of a workbook spells it: the bars are between cells.
func cellText(name string) string { return strings.ReplaceAll(name, "|", "_x007C_") }

// supplierName is without what the sums by supplier would take for a pattern: it is refused.
func supplierName(name string) string { return strings.ReplaceAll(cellText(name), "~", "+") }

// replaceCell puts a name in the cells of a row that are old.
func replaceCell(row, old, name string) string {
	cells := strings.Split(row, " | ")
	for i := range cells {
		if strings.TrimSpace(cells[i]) == old {
			cells[i] = name
		}
	}
	return strings.Join(cells, " | ")
}
