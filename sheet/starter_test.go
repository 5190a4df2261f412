package sheet

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"wallbill/takeoff"
	"wallbill/takeoff/schedule"
)

var starterKinds = []Options{{}, {Metric: true}, {PriceBook: true}, {Metric: true, PriceBook: true}}

func starterBytes(t *testing.T, o Options) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, WriteStarter(&b, o))
	return b.Bytes()
}

func starterFile(t *testing.T, o Options) *excelize.File {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(starterBytes(t, o)))
	require.NoError(t, err)
	t.Cleanup(func() { _ = f.Close() })
	return f
}

func TestStarterTabs(t *testing.T) {
	for _, o := range starterKinds {
		t.Run(fmt.Sprintf("%+v", o), func(t *testing.T) {
			f := starterFile(t, o)
			want := []string{howToTab}
			in := takeoff.InFeet
			if o.Metric {
				in = takeoff.InMM
			}
			for i := range schedule.Tabs {
				tab := &schedule.Tabs[i]
				if o.PriceBook && !tab.Book {
					continue
				}
				want = append(want, tab.Name)
				rows, err := f.GetRows(tab.Name)
				require.NoError(t, err)
				require.GreaterOrEqual(t, len(rows), 2, tab.Name)
				for j, c := range tab.Columns {
					assert.Equal(t, c.Header(in), rows[0][j])
					assert.Contains(t, rows[1][j], c.Help, "%s, %s", tab.Name, c.Name)
				}
				assert.True(t, strings.HasPrefix(rows[1][0], "#"), "the help of %s is skipped", tab.Name)
				panes, err := f.GetPanes(tab.Name)
				require.NoError(t, err)
				assert.True(t, panes.Freeze)
			}
			assert.Equal(t, append(want, listsTab), f.GetSheetList())
			assert.Equal(t, 0, f.GetActiveSheetIndex())
		})
	}
}

func TestStarterSameBytes(t *testing.T) {
	for _, o := range starterKinds {
		assert.True(t, bytes.Equal(starterBytes(t, o), starterBytes(t, o)), "%+v", o)
	}
}

// TestStarterDropDowns: every drop-down and range says no to what is wrong; in a file that leaves the switch off,
// spreadsheet programs let anything pass.
func TestStarterDropDowns(t *testing.T) {
	for _, o := range starterKinds {
		f := starterFile(t, o)
		for i := range schedule.Tabs {
			tab := &schedule.Tabs[i]
			if o.PriceBook && !tab.Book {
				continue
			}
			rules, err := f.GetDataValidations(tab.Name)
			require.NoError(t, err)
			byColumn := map[string]*excelize.DataValidation{}
			for _, dv := range rules {
				assert.True(t, dv.ShowErrorMessage, "%s %s is not enforced", tab.Name, dv.Sqref)
				byColumn[strings.TrimRight(strings.SplitN(dv.Sqref, ":", 2)[0], "0123456789")] = dv
			}
			for j, c := range tab.Columns {
				if len(c.Choices) == 0 || c.Kind == schedule.SettingColumn {
					continue
				}
				dv := byColumn[takeoff.ColumnName(j+1)]
				if assert.NotNil(t, dv, "%s, %s has no drop-down", tab.Name, c.Name) {
					assert.Equal(t, "list", dv.Type)
					assert.Equal(t, "stop", *dv.ErrorStyle)
				}
			}
		}
	}
}

// TestStarterSettings: the Job tab lists every setting once, with its default in the note.
func TestStarterSettings(t *testing.T) {
	for _, o := range []Options{{}, {Metric: true}} {
		f := starterFile(t, o)
		rows, err := f.GetRows("Job", excelize.Options{RawCellValue: true})
		require.NoError(t, err)
		count := map[string]int{}
		for _, r := range rows[2:] {
			if len(r) == 0 || strings.HasPrefix(r[0], "#") {
				continue
			}
			count[r[0]]++
			set := settingNamed(r[0])
			require.NotNil(t, set, r[0])
			assert.Contains(t, r[2], set.Help)
		}
		for _, set := range takeoff.Catalogue {
			assert.Equal(t, 1, count[set.Name], set.Name)
		}
	}
}

func TestLengthsAreText(t *testing.T) {
	f := starterFile(t, Options{})
	for tab, cell := range map[string]string{"Walls": "F40", "Openings": "E40", "Forms": "C30", "Levels": "B1500"} {
		id, err := f.GetCellStyle(tab, cell)
		require.NoError(t, err)
		if id == 0 { // an untouched cell has its column's style
			id, err = f.GetColStyle(tab, strings.TrimRight(cell, "0123456789"))
			require.NoError(t, err)
		}
		style, err := f.GetStyle(id)
		require.NoError(t, err)
		format := ""
		if style.CustomNumFmt != nil {
			format = *style.CustomNumFmt
		} else if style.NumFmt == 49 {
			format = "@"
		}
		assert.Equal(t, "@", format, "%s!%s", tab, cell)
	}
}

func TestNewStarterRefusesWhatExists(t *testing.T) {
	path := filepath.Join(t.TempDir(), "job.xlsx")
	require.NoError(t, NewStarter(path, Options{}))
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.ErrorContains(t, NewStarter(path, Options{Metric: true}), "exists already")
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.True(t, bytes.Equal(before, after))
	assert.ErrorContains(t, NewStarter(filepath.Join(t.TempDir(), "job.xls"), Options{}), "ends in .xlsx")
}
