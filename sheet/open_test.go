package sheet

import (
	"archive/zip"
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"wallbill/takeoff/schedule"
)

// parts of a small workbook as a program would write it; tests change them before packing.
func plainParts(sheetData string) map[string]string {
	return map[string]string{
		"[Content_Types].xml": `<?xml version="1.0" encoding="UTF-8"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>`,
		"_rels/.rels":         `<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>`,
		"xl/workbook.xml":     `<?xml version="1.0"?><workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="Walls" sheetId="1" r:id="rId1"/></sheets></workbook>`,
		"xl/_rels/workbook.xml.rels": `<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">` +
			`<Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/>` +
			`<Relationship Id="rId2" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/styles" Target="styles.xml"/>` +
			`<Relationship Id="rId3" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings" Target="sharedStrings.xml"/></Relationships>`,
		"xl/styles.xml": `<?xml version="1.0"?><styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><numFmts count="3"><numFmt numFmtId="164" formatCode="yyyy\-mm\-dd"/><numFmt numFmtId="165" formatCode="0.0 &quot;days&quot;"/><numFmt numFmtId="166" formatCode="[Red][h]:mm"/></numFmts>` +
			`<fonts count="1"><font/></fonts><fills count="1"><fill/></fills><borders count="1"><border/></borders><cellStyleXfs count="1"><xf numFmtId="14"/></cellStyleXfs>` +
			`<cellXfs count="5"><xf numFmtId="0"/><xf numFmtId="14"/><xf numFmtId="164"/><xf numFmtId="165"/><xf numFmtId="166"/></cellXfs></styleSheet>`,
		"xl/sharedStrings.xml": `<?xml version="1.0"?><sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" count="3" uniqueCount="3"><si><t>Wall</t></si>` +
			`<si><r><t xml:space="preserve">24'</t></r><r><rPr><b/></rPr><t>-6</t></r><rPh sb="0" eb="1"><t>spoken</t></rPh></si><si><t>a_x000D_b_x005F_x0041_</t></si></sst>`,
		"xl/worksheets/sheet1.xml": `<?xml version="1.0"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">` + sheetData + `</worksheet>`,
	}
}

func packParts(t testing.TB, parts map[string]string) []byte {
	t.Helper()
	var names []string
	for n := range parts {
		names = append(names, n)
	}
	sort.Strings(names)
	var b bytes.Buffer
	zw := zip.NewWriter(&b)
	for _, n := range names {
		w, err := zw.Create(n)
		require.NoError(t, err)
		_, err = w.Write([]byte(parts[n]))
		require.NoError(t, err)
	}
	require.NoError(t, zw.Close())
	return b.Bytes()
}

// cellListing shows a tab's cells, one a line: A1 text "Wall".
func cellListing(tab schedule.Tab) string {
	kinds := [...]string{"blank", "text", "number", "bool", "date", "failed", "no value"}
	var b strings.Builder
	for _, row := range tab.Rows {
		for i, c := range row.Cells {
			if c == (schedule.Cell{}) {
				continue
			}
			name, _ := excelize.CoordinatesToCellName(i+1, row.Number)
			fmt.Fprintf(&b, "%s %s %q", name, kinds[c.Kind], c.Value)
			if c.Formula {
				b.WriteString(" formula")
			}
			b.WriteString("\n")
		}
	}
	return b.String()
}

func readOne(t *testing.T, data []byte) schedule.Tab {
	t.Helper()
	w, err := openBytes("job.xlsx", data, DefaultLimits, false)
	require.NoError(t, err)
	require.NotEmpty(t, w.tabs)
	return w.tabs[0]
}

func TestCells(t *testing.T) {
	for _, c := range []struct{ name, data, want string }{
		{"kinds", `<sheetData><row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1"><v>24.333333333333332</v></c><c r="C1" t="b"><v>1</v></c><c r="D1" t="e"><v>#REF!</v></c></row></sheetData>`,
			"A1 text \"Wall\"\nB1 number \"24.333333333333332\"\nC1 bool \"TRUE\"\nD1 failed \"#REF!\"\n"},
		{"rich text without its phonetic part", `<sheetData><row r="1"><c r="A1" t="s"><v>1</v></c></row></sheetData>`, "A1 text \"24'-6\"\n"},
		{"escaped characters", `<sheetData><row r="1"><c r="A1" t="s"><v>2</v></c></row></sheetData>`, "A1 text \"a\\rb_x0041_\"\n"},
		{"inline", `<sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>=1+1</t></is></c><c r="B1" t="inlineStr"><is><r><t>a</t></r><r><t>b</t></r></is></c></row></sheetData>`,
			"A1 text \"=1+1\"\nB1 text \"ab\"\n"},
		{"dates", `<sheetData><row r="1"><c r="A1" s="1"><v>46328</v></c><c r="B1" s="2"><v>46328.4375</v></c><c r="C1" s="3"><v>46328</v></c><c r="D1" s="4"><v>1.5</v></c><c r="E1" t="d"><v>2026-11-02T00:00:00</v></c><c r="F1" s="1"><v>59</v></c><c r="G1" s="1"><v>61</v></c><c r="H1" s="1"><v>-1</v></c></row></sheetData>`,
			"A1 date \"2026-11-02\"\nB1 date \"2026-11-02T10:30:00\"\nC1 number \"46328\"\nD1 date \"1900-01-01T12:00:00\"\nE1 date \"2026-11-02\"\nF1 date \"1900-02-28\"\nG1 date \"1900-03-01\"\nH1 number \"-1\"\n"},
		{"formulas", `<sheetData><row r="1"><c r="A1"><f>1+1</f><v>2</v></c><c r="B1"><f>1+1</f></c><c r="C1" t="str"><f>"a"</f><v>a</v></c><c r="D1" t="str"><f>""</f><v></v></c><c r="E1" t="e"><f>A9</f><v>#N/A</v></c><c r="F1"><f t="shared" si="0"/><v>3</v></c><c r="G1"><f>1+1</f><v/></c></row></sheetData>`,
			"A1 number \"2\" formula\nB1 no value \"\" formula\nC1 text \"a\" formula\nE1 failed \"#N/A\" formula\nF1 number \"3\" formula\nG1 no value \"\" formula\n"},
		{"no addresses", `<sheetData><row><c t="s"><v>0</v></c><c><v>1</v></c></row><row><c/><c><v>2</v></c></row></sheetData>`,
			"A1 text \"Wall\"\nB1 number \"1\"\nB2 number \"2\"\n"},
		{"hidden rows", `<sheetData><row r="2" hidden="1"><c r="A2"><v>7</v></c></row></sheetData>`, "A2 number \"7\"\n"},
		{"formatted blanks", `<sheetData><row r="1"><c r="A1"><v>1</v></c></row><row r="2" s="1"><c r="A2" s="1"/></row><row r="900"><c r="B900" t="s"><v>0</v></c><c r="C900" s="1"/></row></sheetData>`,
			"A1 number \"1\"\nB900 text \"Wall\"\n"},
		{"text where a number belongs", `<sheetData><row r="1"><c r="A1"><v>1,5</v></c><c r="B1"><v>1E+3</v></c><c r="C1"><v>NaN</v></c><c r="D1"><v> 5 </v></c></row></sheetData>`,
			"A1 text \"1,5\"\nB1 number \"1E+3\"\nC1 text \"NaN\"\nD1 number \"5\"\n"},
		{"extensions", `<sheetData><row r="1"><c r="A1"><v>1</v><extLst><ext><v>9</v></ext></extLst></c></row></sheetData><extLst><sheetData><row r="5"/></sheetData></extLst>`, "A1 number \"1\"\n"},
		{"merged header", `<sheetData><row r="1"><c r="A1" t="s"><v>0</v></c><c r="D1"><v>4</v></c></row><row r="2"><c r="A2"><v>1</v></c><c r="B2"><v>2</v></c></row></sheetData><mergeCells><mergeCell ref="A1:C1"/></mergeCells>`,
			"A1 text \"Wall\"\nB1 text \"Wall\"\nD1 number \"4\"\nA2 number \"1\"\nB2 number \"2\"\n"},
		{"merged over two header rows", `<sheetData><row r="1"><c r="A1" t="s"><v>0</v></c></row><row r="2"><c r="B2"><v>2</v></c></row></sheetData><mergeCells><mergeCell ref="A1:A2"/></mergeCells>`,
			"A1 text \"Wall\"\nB2 number \"2\"\n"},
		{"merged down", `<sheetData><row r="2"><c r="A2" t="s"><v>0</v></c><c r="B2"><v>1</v></c></row><row r="3"><c r="B3"><v>2</v></c></row><row r="5"><c r="B5"><v>3</v></c></row></sheetData><mergeCells><mergeCell ref="A2:A4"/></mergeCells>`,
			"A2 text \"Wall\"\nB2 number \"1\"\nA3 text \"Wall\"\nB3 number \"2\"\nB5 number \"3\"\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, cellListing(readOne(t, packParts(t, plainParts(c.data)))))
		})
	}
}

func TestDialects(t *testing.T) {
	data := `<sheetData><row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" s="1"><v>1</v></c></row></sheetData>`
	want := "A1 text \"Wall\"\nB1 date \"1900-01-01\"\n"
	for _, c := range []struct {
		name   string
		change func(p map[string]string) map[string]string
	}{
		{"strict", func(p map[string]string) map[string]string {
			for n, s := range p {
				s = strings.ReplaceAll(s, "http://schemas.openxmlformats.org/spreadsheetml/2006/main", "http://purl.oclc.org/ooxml/spreadsheetml/main")
				p[n] = strings.ReplaceAll(s, "http://schemas.openxmlformats.org/officeDocument/2006/relationships", "http://purl.oclc.org/ooxml/officeDocument/relationships")
			}
			return p
		}},
		{"prefixed", func(p map[string]string) map[string]string {
			r := strings.NewReplacer("<worksheet xmlns=", "<x:worksheet xmlns:x=", "</w", "</x:w", "<sheetData", "<x:sheetData", "</sheetData", "</x:sheetData", "<row", "<x:row", "</row", "</x:row", "<c ", "<x:c ", "</c>", "</x:c>", "<v>", "<x:v>", "</v>", "</x:v>")
			p["xl/worksheets/sheet1.xml"] = r.Replace(p["xl/worksheets/sheet1.xml"])
			return p
		}},
		{"absolute targets", func(p map[string]string) map[string]string {
			p["xl/_rels/workbook.xml.rels"] = strings.NewReplacer(`Target="`, `Target="/xl/`).Replace(p["xl/_rels/workbook.xml.rels"])
			return p
		}},
		{"backslashes and other case", func(p map[string]string) map[string]string {
			q := map[string]string{}
			for n, s := range p {
				q[strings.ReplaceAll(strings.ReplaceAll(n, "/", `\`), "sheet1", "Sheet1")] = s
			}
			return q
		}},
		{"odd part names", func(p map[string]string) map[string]string {
			p["book/data.xml"], p["xl/worksheets/sheet1.xml"] = p["xl/worksheets/sheet1.xml"], ""
			delete(p, "xl/worksheets/sheet1.xml")
			p["xl/_rels/workbook.xml.rels"] = strings.ReplaceAll(p["xl/_rels/workbook.xml.rels"], "worksheets/sheet1.xml", "../book/data.xml")
			return p
		}},
		{"a chart on its own tab", func(p map[string]string) map[string]string {
			p["xl/workbook.xml"] = strings.ReplaceAll(p["xl/workbook.xml"], "<sheets>", `<sheets><sheet name="Chart" sheetId="9" r:id="rId9"/>`)
			p["xl/_rels/workbook.xml.rels"] = strings.ReplaceAll(p["xl/_rels/workbook.xml.rels"], "</Relationships>", `<Relationship Id="rId9" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/chartsheet" Target="chartsheets/sheet1.xml"/></Relationships>`)
			p["xl/chartsheets/sheet1.xml"] = `<chartsheet/>`
			return p
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, want, cellListing(readOne(t, packParts(t, c.change(plainParts(data))))))
		})
	}
	t.Run("1904", func(t *testing.T) {
		p := plainParts(data)
		p["xl/workbook.xml"] = strings.ReplaceAll(p["xl/workbook.xml"], "<sheets>", `<workbookPr date1904="1"/><sheets>`)
		assert.Equal(t, "A1 text \"Wall\"\nB1 date \"1904-01-02\"\n", cellListing(readOne(t, packParts(t, p))))
	})
	t.Run("no texts or styles part", func(t *testing.T) {
		p := plainParts(`<sheetData><row r="1"><c r="A1" s="1"><v>1</v></c></row></sheetData>`)
		delete(p, "xl/styles.xml")
		delete(p, "xl/sharedStrings.xml")
		assert.Equal(t, "A1 number \"1\"\n", cellListing(readOne(t, packParts(t, p))))
	})
}

func TestShowsDate(t *testing.T) {
	for code, want := range map[string]bool{
		"General": false, "0.00": false, "yyyy-mm-dd": true, `0.0 "days"`: false, `#,##0\ \d`: false, "[h]:mm": true, "[Red]0.00": false,
		"[$-409]d mmm yyyy": true, "[$€-2] 0.00": false, "0.00E+00": false, "0;yyyy": false, "_(* #,##0_)": false, "# ?/?": false, "@": false, "[ss]": true, "hh:mm AM/PM": true,
	} {
		assert.Equal(t, want, showsDate(code), code)
	}
}

// TestReadByTheLibraryToo compares every cell of a workbook written by the library with what the library reads.
func TestReadByTheLibraryToo(t *testing.T) {
	f := excelize.NewFile()
	for r := 1; r <= 50; r++ {
		for c := 1; c <= 12; c++ {
			name, _ := excelize.CoordinatesToCellName(c, r)
			switch (r + c) % 4 {
			case 0:
				require.NoError(t, f.SetCellStr("Sheet1", name, fmt.Sprintf("W-%d <&> é %d", r, c)))
			case 1:
				require.NoError(t, f.SetCellFloat("Sheet1", name, float64(r)/3+float64(c), -1, 64))
			case 2:
				require.NoError(t, f.SetCellBool("Sheet1", name, r%2 == 0))
			}
		}
	}
	var b bytes.Buffer
	require.NoError(t, Save(f, &b))
	tab := readOne(t, b.Bytes())
	n := 0
	for _, row := range tab.Rows {
		for i, c := range row.Cells {
			name, _ := excelize.CoordinatesToCellName(i+1, row.Number)
			want, err := f.GetCellValue("Sheet1", name, excelize.Options{RawCellValue: true})
			require.NoError(t, err)
			if c.Kind == schedule.Bool {
				want = map[string]string{"1": "TRUE", "0": "FALSE"}[want]
			}
			require.Equal(t, want, c.Value, name)
			n++
		}
	}
	assert.Greater(t, n, 400)
}

// bigSheet has rows of 20 cells: one own text, three shared, 16 numbers.
func bigSheet(tb testing.TB, rows int) []byte {
	var s strings.Builder
	s.WriteString("<sheetData>")
	for r := 1; r <= rows; r++ {
		fmt.Fprintf(&s, `<row r="%d"><c r="A%d" t="inlineStr"><is><t>W-%d</t></is></c>`, r, r, r)
		for c := 1; c < 20; c++ {
			if c < 4 {
				fmt.Fprintf(&s, `<c r="%c%d" t="s"><v>%d</v></c>`, 'A'+c, r, c%3)
			} else {
				fmt.Fprintf(&s, `<c r="%c%d" s="0"><v>%d.%02d</v></c>`, 'A'+c, r, r*c%1000, r%100)
			}
		}
		s.WriteString("</row>")
	}
	s.WriteString("</sheetData>")
	return packParts(tb, plainParts(s.String()))
}

func BenchmarkOpen10000x20(b *testing.B) {
	data := bigSheet(b, 10_000)
	for b.Loop() {
		if _, err := openBytes("job.xlsx", data, DefaultLimits, false); err != nil {
			b.Fatal(err)
		}
	}
}

func TestLimits(t *testing.T) {
	data := bigSheet(t, 300)
	dir := t.TempDir()
	path := filepath.Join(dir, "job.xlsx")
	require.NoError(t, os.WriteFile(path, data, 0o644))
	_, err := Open(path, DefaultLimits)
	require.NoError(t, err)
	for _, c := range []struct {
		name string
		l    Limits
		want string
	}{
		{"file", Limits{FileBytes: 1000, UnpackedBytes: 1 << 30, Rows: 1000}, "is over the limit of 1000 bytes a file (--max-file raises it)"},
		{"unpacked", Limits{FileBytes: 1 << 30, UnpackedBytes: 100_000, Rows: 1000}, "unpacks to more than the limit of 100000 bytes (--max-unpacked raises it)"},
		{"rows", Limits{FileBytes: 1 << 30, UnpackedBytes: 1 << 30, Rows: 299}, "tab Walls is over the limit of 299 rows (--max-rows raises it)"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Open(path, c.l)
			var fe *FileError
			require.ErrorAs(t, err, &fe)
			assert.Equal(t, c.want, fe.Message)
			assert.Equal(t, path, fe.Path)
		})
	}
	_, err = Open(path, Limits{FileBytes: 1 << 30, UnpackedBytes: 1 << 30, Rows: 300})
	assert.NoError(t, err, "the limit itself is allowed")

	// Rows whose one cell stands in the last column must not cost sixteen thousand cells each.
	var s strings.Builder
	s.WriteString("<sheetData>")
	for r := 1; r <= 10_000; r++ {
		fmt.Fprintf(&s, `<row r="%d"><c r="XFD%d"><v>1</v></c></row>`, r, r)
	}
	s.WriteString("</sheetData>")
	_, err = openBytes("job.xlsx", packParts(t, plainParts(s.String())), DefaultLimits, false)
	assert.ErrorContains(t, err, "over the limit of 10000000 cells")
}

// TestMillionFormattedRows: what a fill down a whole column leaves behind is passed over.
func TestMillionFormattedRows(t *testing.T) {
	var s strings.Builder
	s.WriteString(`<sheetData><row r="1"><c r="A1" t="s"><v>0</v></c></row>`)
	for r := 2; r <= 1<<20; r++ {
		fmt.Fprintf(&s, `<row r="%d" s="1" customFormat="1"><c r="A%d" s="1"/></row>`, r, r)
	}
	s.WriteString("</sheetData>")
	data := packParts(t, plainParts(s.String()))
	tab := readOne(t, data)
	assert.Len(t, tab.Rows, 1)
}

// TestListsWithoutEnd: a small file can hold lists and texts that are far longer than any workbook's. They are refused soon,
// whatever they are made of; the longest that the format allows is read.
func TestListsWithoutEnd(t *testing.T) {
	cell := func(inside string) func(p map[string]string) {
		return func(p map[string]string) {
			p["xl/worksheets/sheet1.xml"] = `<worksheet><sheetData><row r="1">` + inside + `</row></sheetData></worksheet>`
		}
	}
	longest := strings.Repeat("𝍐", 32_767/2) + "x" // characters as the format counts them
	for _, c := range []struct {
		name, want string
		change     func(p map[string]string)
	}{
		{"the longest text", "", cell(`<c r="A1" t="inlineStr"><is><t>` + longest + `</t></is></c>`)},
		{"the longest text, escaped", "", cell(`<c r="A1" t="str"><v>` + strings.Repeat("_x0041_", 32_767) + `</v></c>`)},
		{"the longest text in runs", "", cell(`<c r="A1" t="inlineStr"><is>` + strings.Repeat("<r><t>x</t></r>", 32_767) + `</is></c>`)},
		{"a value in pieces", "damaged: tab Walls holds a text longer than a cell holds", cell(`<c r="A1" t="str"><v>` + strings.Repeat("x<!---->", 1_000_000) + `</v></c>`)},
		{"a text in runs", "damaged: tab Walls holds a text longer than a cell holds", cell(`<c r="A1" t="inlineStr"><is>` + strings.Repeat("<r><t>x</t></r>", 1_000_000) + `</is></c>`)},
		{"a shared text in runs", "damaged: its part xl/sharedStrings.xml holds a text longer than a cell holds", func(p map[string]string) {
			p["xl/sharedStrings.xml"] = `<sst><si>` + strings.Repeat("<r><t>x</t></r>", 1_000_000) + `</si></sst>`
		}},
		{"cell formats", "is over the limit of 131072 cell formats", func(p map[string]string) {
			p["xl/styles.xml"] = `<styleSheet><cellXfs>` + strings.Repeat("<xf/>", 2_000_000) + `</cellXfs></styleSheet>`
		}},
		{"number formats", "is over the limit of 131072 cell formats", func(p map[string]string) {
			var b strings.Builder
			for i := range 300_000 {
				fmt.Fprintf(&b, `<numFmt numFmtId="%d" formatCode="0"/>`, i)
			}
			p["xl/styles.xml"] = `<styleSheet><numFmts>` + b.String() + `</numFmts></styleSheet>`
		}},
		{"relations", "is over the limit of 10000 relations between parts", func(p map[string]string) {
			p["xl/_rels/workbook.xml.rels"] = `<Relationships>` + strings.Repeat("<Relationship/>", 1_000_000) + `</Relationships>`
		}},
		{"tabs", "is over the limit of 10000 tabs", func(p map[string]string) {
			p["xl/workbook.xml"] = `<workbook><sheets>` + strings.Repeat("<sheet/>", 1_000_000) + `</sheets></workbook>`
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			begun := time.Now()
			_, err := openBytes("job.xlsx", changed(t, c.change), DefaultLimits, false)
			assert.Less(t, time.Since(begun), 30*time.Second)
			if c.want == "" {
				require.NoError(t, err)
				return
			}
			var fe *FileError
			require.ErrorAs(t, err, &fe)
			assert.Equal(t, c.want, fe.Message)
		})
	}
}
