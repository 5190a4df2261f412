package cmd

import (
	"encoding/json"
	"io"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wallbill/sheet"
	"wallbill/takeoff"
	"wallbill/takeoff/schedule/drawn"
)

func TestPlainText(t *testing.T) {
	for text, want := range map[string]string{
		"wall W1:\t5\n":          "wall W1:\t5\n",
		"a\x1b[2Jb":              "a\ufffd[2Jb",
		"a\rb\x07\x00\x7f\u009b": "a\ufffdb\ufffd\ufffd\ufffd\ufffd",
		"\x1b[31mred\x1b[0m":     "\ufffd[31mred\ufffd[0m",
		"Maß 長さ ½ \xff":          "Maß 長さ ½ \xff",
		"\x1b":                   "\ufffd",
		paint("error: x\n", takeoff.Error, true) + paint("note: \x1b[36m", takeoff.Note, true): "\x1b[31merror\x1b[0m: x\n\x1b[36mnote\x1b[0m: \ufffd[36m",
	} {
		var b strings.Builder
		n, err := (&plainText{&b}).Write([]byte(text))
		require.NoError(t, err)
		assert.Equal(t, len(text), n)
		assert.Equal(t, want, b.String())
	}
}

// TestNoTextSteersTheTerminal: whatever a workbook's names and notes hold, what is printed is lines of ours.
func TestNoTextSteersTheTerminal(t *testing.T) {
	const steer = "_x001B_[2J_x001B_[31mx_x000D_y_x0007_z_x009B_1Kjob.xlsx: 0 errors" // as a workbook writes ESC, CR, BEL, CSI
	text := drawn.Estate(4)
	for _, name := range []string{"Many walls", "W1", "L1", "P1", "R0", "V1", "S1", "Yard", "Mark"} {
		lines := strings.Split(text, "\n")
		for i := range lines {
			for _, cell := range []string{name, name + " "} {
				lines[i] = replaceCell(lines[i], strings.TrimSpace(cell), name+steer)
			}
		}
		text = strings.Join(lines, "\n")
	}
	text = strings.Replace(text, "Mark"+steer+" | ", "Mark | ", -1)
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		require.NoError(t, sheet.WriteFile(path, func(w io.Writer) error { return sheet.WritePlain(w, text) }))
		return path
	}
	job := write("job.xlsx", strings.Replace(text, "Below-grade cover\n", "Below-grade cover | Lenght"+steer+"\n", 1))
	wrong := write("wrong.xlsx", strings.Replace(text, "33'-0\"", "33'-15\""+steer, 1))
	old := write("old.xlsx", strings.Replace(text, "33'-0\"", "34'-0\"", 1))
	for _, args := range [][]string{
		{"check", job}, {"check", wrong}, {"price", job, "--no-drawings"}, {"price", old, "--no-drawings"}, {"explain", job}, {"explain", job, "W1"},
		{"orders", job}, {"price", job, old, wrong, "--no-drawings", "-o", filepath.Join(dir, "all")},
		{"compare", filepath.Join(dir, "old.priced.xlsx"), filepath.Join(dir, "job.priced.xlsx")},
		{"explain", job, "--json", "-"}, {"check", wrong, "--json", "-"},
	} {
		_, out, errs := inProcess(args...)
		said := out + errs
		assert.Contains(t, said, "2J", "%v", args)
		for _, r := range said {
			if r != '\n' && r != '\t' && unicode.IsControl(r) {
				t.Errorf("%v prints %q:\n%q", args, r, said)
				break
			}
		}
		for _, line := range strings.Split(said, "\n") {
			assert.False(t, strings.HasPrefix(line, "y") || strings.HasPrefix(line, "1K"), "a line of the schedule's own: %q", line)
		}
		if args[len(args)-1] == "-" {
			var v struct {
				Job      string
				Findings []struct{ Message string }
				Lines    []struct{ Wall *string }
			}
			require.NoError(t, json.Unmarshal([]byte(out), &v), "%v", args)
			assert.Equal(t, "Many walls\x1b[2J\x1b[31mx\ry\az\u009b1Kjob.xlsx: 0 errors", v.Job, "a program gets the text as it is")
		}
	}
}
