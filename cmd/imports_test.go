package cmd

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Imports run cmd → sheet → pricing → takeoff and never back; only sheet knows the workbook library, only cmd the command
// line; takeoff and pricing know no files, clock, environment or printing, and no floats outside a search or an angle.
func TestShape(t *testing.T) {
	rank := map[string]int{"takeoff": 0, "pricing": 1, "sheet": 2, "cmd": 3}
	impure := map[string]bool{"os": true, "io/fs": true, "path/filepath": true, "log": true, "net": true, "os/exec": true, "embed": true}
	seen := 0
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && strings.HasPrefix(d.Name(), ".") && path != ".." {
			return fs.SkipDir
		}
		if !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		rel, err := filepath.Rel("..", path)
		if err != nil {
			return err
		}
		top := strings.Split(filepath.ToSlash(rel), "/")[0]
		r, ok := rank[top]
		require.True(t, ok, "code outside the layers: %s", rel)
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		seen++
		for _, i := range f.Imports {
			name := strings.Trim(i.Path.Value, `"`)
			if rest, ok := strings.CutPrefix(name, "wallbill/"); ok {
				to := rank[strings.Split(rest, "/")[0]]
				require.LessOrEqual(t, to, r, "%s imports %s", rel, name)
			}
			if strings.Contains(name, "excelize") {
				require.Equal(t, "sheet", top, "%s imports %s", rel, name)
			}
			if strings.Contains(name, "spf13/") {
				require.Equal(t, "cmd", top, "%s imports %s", rel, name)
			}
			if r < 2 {
				require.False(t, impure[name], "%s imports %s", rel, name)
			}
		}
		if r < 2 && !strings.Contains(rel, "cutting") && !strings.Contains(rel, "angle") {
			text, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			for n, line := range strings.Split(string(text), "\n") {
				code, _, _ := strings.Cut(line, "//")
				require.NotContains(t, code, "float64", "%s:%d", rel, n+1)
				require.NotContains(t, code, "float32", "%s:%d", rel, n+1)
				require.NotContains(t, code, "time.Now", "%s:%d", rel, n+1)
				require.NotContains(t, code, "fmt.Print", "%s:%d", rel, n+1)
			}
		}
		return nil
	})
	require.NoError(t, err)
	require.Greater(t, seen, 60)
}
