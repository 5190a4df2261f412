package sheet

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// samples are the sample workbooks; each is made from samples/src/NAME.txt.
var samples = []struct {
	name string
	o    Options
}{
	{"cottage", Options{}},
	{"mill", Options{}},
	{"prices", Options{PriceBook: true}},
	{"pumphouse", Options{Metric: true}},
}

// The committed sample workbooks are what their sources give, byte for byte. With -update they are written.
func TestSamplesFromSources(t *testing.T) {
	dir := filepath.Join("..", "samples")
	for _, s := range samples {
		t.Run(s.name, func(t *testing.T) {
			text, err := os.ReadFile(filepath.Join(dir, "src", s.name+".txt"))
			require.NoError(t, err)
			require.NotContains(t, strings.ToLower(string(text)), "todo")
			var b bytes.Buffer
			require.NoError(t, WriteSchedule(&b, string(text), s.o))
			path := filepath.Join(dir, s.name+".xlsx")
			if *update {
				require.NoError(t, os.WriteFile(path, b.Bytes(), 0o644))
			}
			have, err := os.ReadFile(path)
			require.NoError(t, err)
			require.True(t, bytes.Equal(b.Bytes(), have), "%s differs from its source: run go test ./sheet -run TestSamplesFromSources -update", path)
		})
	}
}
