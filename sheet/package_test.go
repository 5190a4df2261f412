package sheet

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wallbill/pricing"
	"wallbill/takeoff"
)

// soundPackage checks what spreadsheet programs offer to repair: a relation to a part that is not there, a part without a
// content type, tables of one number or name, a name defined twice, a cell format that does not exist.
func soundPackage(t *testing.T, data []byte) {
	t.Helper()
	parts := unpack(t, data)
	var types contentTypeList
	require.NoError(t, xml.Unmarshal([]byte(parts[contentTypes]), &types))
	known := map[string]bool{}
	for _, d := range types.Default {
		known["."+strings.ToLower(d.Extension)] = true
	}
	for _, o := range types.Override {
		assert.False(t, known[o.PartName], "%s has two content types", o.PartName)
		known[o.PartName] = true
		assert.Contains(t, parts, strings.TrimPrefix(o.PartName, "/"), "content type without a part")
	}
	ids, names := map[string]string{}, map[string]string{}
	for name, s := range parts {
		assert.True(t, known["/"+name] || known[strings.ToLower(path.Ext(name))] || name == contentTypes, "%s has no content type", name)
		if strings.HasSuffix(name, ".rels") {
			var list relationList
			require.NoError(t, xml.Unmarshal([]byte(s), &list), name)
			of := strings.TrimSuffix(strings.Replace(name, "_rels/", "", 1), ".rels")
			seen := map[string]bool{}
			for _, rel := range list.Relationship {
				assert.False(t, seen[rel.ID], "%s: relation %s twice", name, rel.ID)
				seen[rel.ID] = true
				if rel.Mode != "External" {
					assert.Contains(t, parts, relTarget(of, rel.Target), name)
				}
			}
		}
		if strings.HasPrefix(name, "xl/tables/") {
			var table struct {
				ID   string `xml:"id,attr"`
				Name string `xml:"displayName,attr"`
			}
			require.NoError(t, xml.Unmarshal([]byte(s), &table))
			assert.Empty(t, ids[table.ID], "%s: table number %s twice", name, table.ID)
			assert.Empty(t, names[strings.ToLower(table.Name)], "%s: table %s twice", name, table.Name)
			ids[table.ID], names[strings.ToLower(table.Name)] = name, name
		}
	}
	var book struct {
		Names []struct {
			Name  string `xml:"name,attr"`
			Scope string `xml:"localSheetId,attr"`
		} `xml:"definedNames>definedName"`
	}
	require.NoError(t, xml.Unmarshal([]byte(parts["xl/workbook.xml"]), &book))
	seen := map[string]bool{}
	for _, n := range book.Names {
		key := n.Scope + " " + strings.ToLower(n.Name)
		assert.False(t, seen[key], "the name %s twice", n.Name)
		seen[key] = true
	}
	var styles struct {
		Xf []struct{} `xml:"cellXfs>xf"`
	}
	require.NoError(t, xml.Unmarshal([]byte(parts["xl/styles.xml"]), &styles))
	for name, s := range parts {
		if !strings.HasPrefix(name, "xl/worksheets/sheet") {
			continue
		}
		var ws struct {
			Cells []struct {
				Ref   string `xml:"r,attr"`
				Style int    `xml:"s,attr"`
			} `xml:"sheetData>row>c"`
		}
		require.NoError(t, xml.Unmarshal([]byte(s), &ws), name)
		for _, c := range ws.Cells {
			if c.Style >= len(styles.Xf) {
				t.Fatalf("%s, %s: format %d of %d", name, c.Ref, c.Style, len(styles.Xf))
			}
		}
	}
}

// TestPricedAgain: pricing over the workbook of the run before gives a sound workbook, and from the second time on the same
// bytes: nothing piles up in it.
func TestPricedAgain(t *testing.T) {
	for _, o := range []Options{{}, {Metric: true}} {
		t.Run(fmt.Sprintf("metric %v", o.Metric), func(t *testing.T) {
			dir := t.TempDir()
			schedule, priced := filepath.Join(dir, "job.xlsx"), ""
			require.NoError(t, NewStarter(schedule, o))
			var before []byte
			for run := range 4 {
				job, findings, source, err := ReadSchedule(schedule, DefaultLimits)
				require.NoError(t, err)
				require.Empty(t, findings)
				bid := pricing.Price(takeoff.Compute(job), pricing.Options{Today: job.BidDate})
				f, notes, err := source.OpenForRun(replacing(t, priced))
				require.NoError(t, err)
				assert.Empty(t, notes)
				var b bytes.Buffer
				said, err := WritePriced(&b, f, Run{Number: 1, Time: time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC), Version: "test", InputFile: source.File, InputHash: source.Schedule.SHA256}, bid, PricedOptions{})
				require.NoError(t, err)
				assert.Empty(t, said)
				require.NoError(t, f.Close())
				soundPackage(t, b.Bytes())
				w, err := openBytes("job.priced.xlsx", b.Bytes(), DefaultLimits, false)
				require.NoError(t, err)
				assert.Equal(t, cellListing(source.Schedule.tabs[3]), cellListing(w.tabs[3]), "Walls")
				if run > 1 {
					assert.True(t, bytes.Equal(before, b.Bytes()), "run %d differs", run)
				}
				before = b.Bytes()
				priced = filepath.Join(dir, "job.priced.xlsx")
				require.NoError(t, os.WriteFile(priced, before, 0o644))
			}
			saved, err := Open(office(t, priced, "xlsx:Calc MS Excel 2007 XML", "xlsx"), DefaultLimits)
			require.NoError(t, err)
			assert.Greater(t, len(saved.tabs), 25)
		})
	}
}

func TestSoundPackages(t *testing.T) {
	for _, o := range starterKinds {
		soundPackage(t, starterBytes(t, o))
	}
	soundPackage(t, userWorkbook(t))
	soundPackage(t, addResults(t, userWorkbook(t)))
}
