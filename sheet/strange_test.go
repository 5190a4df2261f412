package sheet

import (
	"bytes"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var (
	anAttribute = regexp.MustCompile(` [\w:]+="[^"]*"`)
	anElement   = regexp.MustCompile(`<[\w:]+[^<>]*/>`)
	afterRoot   = regexp.MustCompile(`(?s)<([\w:]+)( xmlns[^>]*)?>.*`)
)

// spoiled are a workbook's parts with one of them gone, emptied, or with an attribute or an element of it changed.
func spoiled(rng *rand.Rand, whole map[string]string) (parts map[string]string, how string) {
	parts = maps.Clone(whole)
	names := slices.Sorted(maps.Keys(parts))
	name := names[rng.IntN(len(names))]
	content := parts[name]
	replace := func(what *regexp.Regexp, with func(old string) string) {
		all := what.FindAllStringIndex(content, -1)
		if len(all) == 0 {
			return
		}
		at := all[rng.IntN(len(all))]
		old := content[at[0]:at[1]]
		parts[name] = content[:at[0]] + with(old) + content[at[1]:]
		how = fmt.Sprintf("%s: %q became %q", name, old, with(old))
	}
	switch rng.IntN(8) {
	case 0:
		delete(parts, name)
		how = name + " is gone"
	case 1:
		parts[name] = afterRoot.ReplaceAllString(content, "<$1$2></$1>")
		how = name + " is empty"
	case 2:
		replace(anElement, func(string) string { return "" })
	case 3:
		replace(anElement, func(old string) string { return old + old })
	case 4:
		replace(anAttribute, func(string) string { return "" })
	default:
		value := []string{"", "-1", "99999999999", "x", "A0", "ZZZZ9"}[rng.IntN(6)]
		replace(anAttribute, func(old string) string { return old[:strings.IndexByte(old, '"')] + `"` + value + `"` })
	}
	return parts, how
}

// TestStrangeParts: a workbook of the user's whose parts are not as they should be is refused in one line, or priced into one
// that can be read and has the same cells on the user's tabs, on a first run and on a later one. Nothing panics.
func TestStrangeParts(t *testing.T) {
	if testing.Short() {
		t.Skip("two workbooks for each spoiled part: not in a short run")
	}
	run, bid, source := runOf(t, "store", 1, nil)
	price := func(w *Workbook, previous string) ([]byte, error) {
		s := *source
		s.Schedule = w
		var old *Workbook
		if previous != "" {
			var err error
			if old, err = OpenInputs(previous, DefaultLimits); err != nil {
				return nil, err
			}
		}
		f, _, err := s.OpenForRun(old)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		var b bytes.Buffer
		_, err = WritePriced(&b, f, Run{Number: run.Number, Time: run.Time, Version: run.Version, InputFile: run.File, InputHash: run.InputHash}, bid, PricedOptions{Record: run})
		return b.Bytes(), err
	}
	whole := unpack(t, userWorkbook(t))
	w, err := openBytes("job.xlsx", packParts(t, whole), DefaultLimits, false)
	require.NoError(t, err)
	good, err := price(w, "")
	require.NoError(t, err)
	previous := filepath.Join(t.TempDir(), "job.priced.xlsx")
	require.NoError(t, os.WriteFile(previous, good, 0o644))

	rng := rand.New(rand.NewPCG(3, 6))
	refused, priced := 0, 0
	for range 16 {
		parts, how := spoiled(rng, whole)
		w, err := openBytes("job.xlsx", packParts(t, parts), DefaultLimits, false)
		if err != nil {
			assert.NotContains(t, err.Error(), "\n", how)
			refused++
			continue
		}
		for _, before := range []string{"", previous} {
			out, err := price(w, before)
			if err != nil {
				assert.NotContains(t, err.Error(), "\n", how)
				refused++
				continue
			}
			again, err := openBytes("job.priced.xlsx", out, DefaultLimits, false)
			if !assert.NoError(t, err, how) {
				continue
			}
			cells := map[string]string{}
			for _, tab := range again.tabs {
				cells[tab.Name] = cellListing(tab)
			}
			for _, tab := range w.tabs {
				assert.Equal(t, cellListing(tab), cells[tab.Name], "tab %s, %s", tab.Name, how)
			}
			priced++
		}
	}
	assert.Greater(t, priced, 15)
	assert.Positive(t, refused)
	t.Logf("%d priced, %d refused", priced, refused)
}
