package sheet

import (
	"archive/zip"
	"bytes"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// unpack gives a workbook's parts by name.
func unpack(t testing.TB, data []byte) map[string]string {
	t.Helper()
	zr, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	parts := map[string]string{}
	for _, f := range zr.File {
		in, err := f.Open()
		require.NoError(t, err)
		b, err := io.ReadAll(in)
		require.NoError(t, err)
		parts[f.Name] = string(b)
	}
	return parts
}

// userWorkbook is what an estimator's workbook may hold beside plain cells.
func userWorkbook(t *testing.T) []byte {
	t.Helper()
	f := busyWorkbook(t)
	require.NoError(t, f.SetCellStr("Sheet1", "A1", "Wall"))
	require.NoError(t, f.SetCellFormula("Sheet1", "B1", "SUM(B2:B9)"))
	dv := excelize.NewDataValidation(true)
	dv.Sqref = "C2:C9"
	require.NoError(t, dv.SetDropList([]string{"yes", "no"}))
	dv.SetError(excelize.DataValidationErrorStyleStop, "Plate", "yes or no")
	require.NoError(t, f.AddDataValidation("Sheet1", dv))
	require.NoError(t, f.SetDefinedName(&excelize.DefinedName{Name: "Rate", RefersTo: "Sheet1!$B$2"}))
	require.NoError(t, f.SetConditionalFormat("Sheet1", "B2:B9", []excelize.ConditionalFormatOptions{{Type: "data_bar", MinType: "min", MaxType: "max", Criteria: "=", BarColor: "#0072B2"}}))
	require.NoError(t, f.MergeCell("Sheet1", "E1", "F1"))
	require.NoError(t, f.SetSheetVisible("Two", false))
	require.NoError(t, f.AddTable("Sheet1", &excelize.Table{Range: "H1:I3", Name: "mine"}))
	var b bytes.Buffer
	require.NoError(t, Save(f, &b))
	require.NoError(t, f.Close())
	return b.Bytes()
}

func addResults(t *testing.T, data []byte) []byte {
	t.Helper()
	w, err := openBytes("job.xlsx", data, DefaultLimits, false)
	require.NoError(t, err)
	f, err := w.OpenForResults(DefaultLimits)
	require.NoError(t, err)
	defer f.Close()
	_, err = f.NewSheet("About")
	require.NoError(t, err)
	sw, err := f.NewStreamWriter("About")
	require.NoError(t, err)
	require.NoError(t, sw.SetRow("A1", []any{"About"}))
	require.NoError(t, sw.Flush())
	require.NoError(t, OpenOn(f, "About"))
	var b bytes.Buffer
	require.NoError(t, Save(f, &b))
	return b.Bytes()
}

// TestCarriedUntouched: every part of the user's workbook that results do not change is the same bytes in the priced one,
// but for the mark of the tab that was selected.
func TestCarriedUntouched(t *testing.T) {
	before := unpack(t, userWorkbook(t))
	after := unpack(t, addResults(t, userWorkbook(t)))
	changed := map[string]bool{ // lists of the whole workbook, which the library writes anew
		"[Content_Types].xml": true, "xl/workbook.xml": true, "xl/_rels/workbook.xml.rels": true, "xl/styles.xml": true,
		"xl/sharedStrings.xml": true, "docProps/app.xml": true, "xl/theme/theme1.xml": true,
	}
	same := 0
	for name, want := range before {
		got, ok := after[name]
		if !assert.True(t, ok, "%s is gone", name) || changed[name] {
			continue
		}
		want = strings.Replace(want, ` tabSelected="true"`, "", 1)
		want = strings.Replace(want, ` tabSelected="1"`, "", 1)
		assert.Equal(t, want, got, name)
		same++
	}
	assert.Greater(t, same, 20)
}

func TestOpensOnOneTab(t *testing.T) {
	data := addResults(t, userWorkbook(t))
	f, err := excelize.OpenReader(bytes.NewReader(data))
	require.NoError(t, err)
	assert.Equal(t, "About", f.GetSheetName(f.GetActiveSheetIndex()))
	selected := 0
	for name, s := range unpack(t, data) {
		if strings.HasPrefix(name, "xl/worksheets/") {
			selected += strings.Count(s, `tabSelected="1"`) + strings.Count(s, `tabSelected="true"`)
		}
	}
	assert.Equal(t, 1, selected)
	assert.Error(t, OpenOn(f, "Absent"))

	again := addResults(t, userWorkbook(t))
	assert.True(t, bytes.Equal(data, again), "the same input is the same bytes")
}

func TestMacrosAreNotCarried(t *testing.T) {
	p := plainParts(`<sheetData><row r="1"><c r="A1" t="s"><v>0</v></c></row></sheetData>`)
	p["[Content_Types].xml"] = strings.ReplaceAll(p["[Content_Types].xml"], "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml", "application/vnd.ms-excel.sheet.macroEnabled.main+xml")
	p["[Content_Types].xml"] = strings.ReplaceAll(p["[Content_Types].xml"], "</Types>", `<Override PartName="/xl/vbaProject.bin" ContentType="application/vnd.ms-office.vbaProject"/></Types>`)
	p["xl/_rels/workbook.xml.rels"] = strings.ReplaceAll(p["xl/_rels/workbook.xml.rels"], "</Relationships>", `<Relationship Id="rId8" Type="http://schemas.microsoft.com/office/2006/relationships/vbaProject" Target="vbaProject.bin"/></Relationships>`)
	p["xl/vbaProject.bin"] = "macro"
	after := unpack(t, addResults(t, packParts(t, p)))
	assert.NotContains(t, after, "xl/vbaProject.bin")
	for name, s := range after {
		assert.NotContains(t, strings.ToLower(s), "vbaproject", name)
		assert.NotContains(t, s, "macroEnabled", name)
	}
}

func TestSheetViewTag(t *testing.T) {
	for _, c := range []struct {
		name, xml, want string
		selected        bool
	}{
		{"absent", `<worksheet><sheetData/></worksheet>`, "", false},
		{"not selected", `<sheetViews><sheetView workbookViewId="0"/></sheetViews>`, "", false},
		{"selected", `<sheetViews><sheetView tabSelected="1" workbookViewId="0"/></sheetViews>`, ` tabSelected="1"`, true},
		{"by word", `<sheetViews><x:sheetView zoom="1" tabSelected='true'></x:sheetView>`, ` tabSelected='true'`, true},
		{"said not", `<sheetView tabSelected="0" a="1">`, ` tabSelected="0"`, false},
		{"only in a cell's text", `<sheetData><c><v>sheetView tabSelected="1"</v></c></sheetData>`, "", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			from, to, selected, err := sheetViewTag([]byte(c.xml))
			require.NoError(t, err)
			assert.Equal(t, c.want, c.xml[from:to])
			assert.Equal(t, c.selected, selected)
		})
	}
}
