package sheet

import (
	"archive/zip"
	"bytes"
	"errors"
	"flag"
	"fmt"
	"hash/crc32"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

var update = flag.Bool("update", false, "write files.md of testdata/findings and the sample workbooks anew")

// specimen is a file that is not what its name says, with how it is made.
type specimen struct {
	name string // of the file
	what string // what is wrong with it
	data []byte
}

// changed packs a plain workbook with its parts changed.
func changed(t testing.TB, change func(p map[string]string)) []byte {
	p := plainParts(`<sheetData><row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1"><v>1.5</v></c></row></sheetData>`)
	change(p)
	return packParts(t, p)
}

// sheetData packs a plain workbook whose one tab holds this.
func sheetData(t testing.TB, xml string) []byte { return packParts(t, plainParts(xml)) }

func specimens(t testing.TB) []specimen {
	t.Helper()
	const cell = `<sheetData><row r="1"><c r="A1" t="s"><v>0</v></c></row></sheetData>`
	const tab = "xl/worksheets/sheet1.xml"
	whole := bigSheet(t, 200)

	flipped := bytes.Clone(whole)
	at := bytes.Index(flipped, []byte(tab)) + 2000 // inside the packed bytes of the tab
	flipped[at] ^= 0x10

	var locked bytes.Buffer
	f := excelize.NewFile()
	require.NoError(t, f.Write(&locked, excelize.Options{Password: "x"}))

	// A sheet that unpacks to far more than it says, and one that says so.
	var bomb bytes.Buffer
	zw := zip.NewWriter(&bomb)
	w, err := zw.Create("xl/media/image1.png")
	require.NoError(t, err)
	zero := make([]byte, 1<<20)
	for range 600 {
		_, _ = w.Write(zero)
	}
	require.NoError(t, zw.Close())

	stored := func(name, body string, size uint64) []byte {
		var b bytes.Buffer
		zw := zip.NewWriter(&b)
		for n, s := range plainParts(cell) {
			if n == name {
				continue
			}
			w, err := zw.Create(n)
			require.NoError(t, err)
			_, _ = w.Write([]byte(s))
		}
		w, err := zw.CreateRaw(&zip.FileHeader{Name: name, Method: zip.Store, CRC32: crc32.ChecksumIEEE([]byte(body)), CompressedSize64: uint64(len(body)), UncompressedSize64: size})
		require.NoError(t, err)
		_, _ = w.Write([]byte(body))
		require.NoError(t, zw.Close())
		return b.Bytes()
	}
	twice := func() []byte {
		var b bytes.Buffer
		zw := zip.NewWriter(&b)
		for range 2 {
			w, err := zw.Create(tab)
			require.NoError(t, err)
			_, _ = w.Write([]byte(cell))
		}
		require.NoError(t, zw.Close())
		return b.Bytes()
	}
	zipOf := func(names ...string) []byte {
		p := map[string]string{}
		for _, n := range names {
			p[n] = "application/vnd.oasis.opendocument.spreadsheet"
		}
		return packParts(t, p)
	}
	entity := `<?xml version="1.0"?><!DOCTYPE w [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]><worksheet><sheetData><row r="1"><c r="A1" t="str"><v>&b;</v></c></row></sheetData></worksheet>`
	return []specimen{
		{"empty.xlsx", "no bytes at all", nil},
		{"zeros.xlsx", "zero bytes, as a copy that failed leaves", make([]byte, 4096)},
		{"text.xlsx", "a CSV file with another ending", []byte("Run,Wall,Length\nA,W1,24'\n")},
		{"page.xlsx", "a web page that some programs call a workbook", []byte("<html><table><tr><td>1</td></tr></table></html>")},
		{"xml2003.xlsx", "a spreadsheet in the XML of 2003", []byte(`<?xml version="1.0"?><Workbook/>`)},
		{"old.xlsx", "an .xls file with another ending", append([]byte(oleMagic), make([]byte, 600)...)},
		{"locked.xlsx", "encrypted with a password", locked.Bytes()},
		{"drawing.xlsx", "a PDF file", []byte("%PDF-1.7\n")},
		{"photo.xlsx", "a picture", []byte("\x89PNG\r\n\x1a\n")},
		{"noise.xlsx", "bytes without a meaning", []byte("\x01\x02\x03\x04\x05\x06")},
		{"open.xlsx", "an OpenDocument spreadsheet", zipOf("mimetype", "content.xml")},
		{"binary.xlsx", "a binary workbook", zipOf("xl/workbook.bin", "[Content_Types].xml")},
		{"letter.xlsx", "a text document", zipOf("word/document.xml", "[Content_Types].xml")},
		{"archive.xlsx", "a zip file of other things", zipOf("photos/1.jpg")},
		{"cut-head.xlsx", "cut off after 100 bytes", whole[:100]},
		{"cut-half.xlsx", "cut off in the middle", whole[:len(whole)/2]},
		{"cut-tail.xlsx", "the last byte is missing", whole[:len(whole)-1]},
		{"flipped.xlsx", "one bit of a tab's packed bytes changed", flipped},
		{"no-book.xlsx", "the workbook's part is missing", changed(t, func(p map[string]string) { delete(p, "xl/workbook.xml") })},
		{"no-tab.xlsx", "a tab's part is missing", changed(t, func(p map[string]string) { delete(p, tab) })},
		{"no-tabs.xlsx", "the workbook lists no tab", changed(t, func(p map[string]string) { p["xl/workbook.xml"] = "<workbook><sheets/></workbook>" })},
		{"no-texts.xlsx", "the shared texts are missing", changed(t, func(p map[string]string) { delete(p, "xl/sharedStrings.xml") })},
		{"broken-off.xlsx", "a tab that ends inside a row, packed as if it were whole", changed(t, func(p map[string]string) { p[tab] = p[tab][:len(p[tab])-60] })},
		{"crossed.xlsx", "a tab whose tags cross", changed(t, func(p map[string]string) {
			p[tab] = strings.Replace(p[tab], "</row></sheetData>", "</sheetData></row>", 1)
		})},
		{"latin1.xlsx", "a tab in another encoding", changed(t, func(p map[string]string) { p[tab] = "<worksheet><sheetData><!--\xe9--></sheetData></worksheet>" })},
		{"other-root.xlsx", "a tab's part that is none", changed(t, func(p map[string]string) { p[tab] = "<chartSpace/>" })},
		{"entities.xlsx", "a tab that grows by entities", changed(t, func(p map[string]string) { p[tab] = entity })},
		{"styles.xlsx", "broken cell formats", changed(t, func(p map[string]string) { p["xl/styles.xml"] = "<styleSheet><cellXfs>" })},
		{"rows.xlsx", "rows out of order", sheetData(t, `<sheetData><row r="2"/><row r="1"/></sheetData>`)},
		{"row-number.xlsx", "a row whose number is none", sheetData(t, `<sheetData><row r="-1"/></sheetData>`)},
		{"row-beyond.xlsx", "a row beyond the last one there is", sheetData(t, `<sheetData><row r="1048577"/></sheetData>`)},
		{"column-beyond.xlsx", "a column beyond the last one there is", sheetData(t, `<sheetData><row r="1"><c r="XFE1"><v>1</v></c></row></sheetData>`)},
		{"other-row.xlsx", "a cell that names another row", sheetData(t, `<sheetData><row r="1"><c r="A2"><v>1</v></c></row></sheetData>`)},
		{"cell-twice.xlsx", "a cell that stands twice", sheetData(t, `<sheetData><row r="1"><c r="A1"><v>1</v></c><c r="A1"><v>2</v></c></row></sheetData>`)},
		{"no-text.xlsx", "a text that is not in the list of texts", sheetData(t, `<sheetData><row r="1"><c r="A1" t="s"><v>99</v></c></row></sheetData>`)},
		{"cell-type.xlsx", "a cell of a type that is none", sheetData(t, `<sheetData><row r="1"><c r="A1" t="q"><v>1</v></c></row></sheetData>`)},
		{"nameless.xlsx", "a tab without a name", changed(t, func(p map[string]string) {
			p["xl/workbook.xml"] = strings.Replace(p["xl/workbook.xml"], ` name="Walls"`, "", 1)
		})},
		{"one-name.xlsx", "two tabs of one name", changed(t, func(p map[string]string) {
			p["xl/workbook.xml"] = strings.Replace(p["xl/workbook.xml"], `</sheets>`, `<sheet name="WALLS" sheetId="2" r:id="rId1"/></sheets>`, 1)
		})},
		{"outside-text.xlsx", "a tab whose text is to come out of another file", changed(t, func(p map[string]string) {
			p[tab] = `<?xml version="1.0"?><!DOCTYPE w [<!ENTITY a SYSTEM "file:///etc/hostname">]><worksheet><sheetData><row r="1"><c r="A1" t="str"><v>&a;</v></c></row></sheetData></worksheet>`
		})},
		{"outside-tab.xlsx", "a tab that is said to stand in another file", changed(t, func(p map[string]string) {
			p["xl/_rels/workbook.xml.rels"] = strings.Replace(p["xl/_rels/workbook.xml.rels"], `Target="worksheets/sheet1.xml"`, `Target="worksheets/sheet1.xml" TargetMode="External"`, 1)
		})},
		{"outside-target.xlsx", "a tab whose part is named as one beside the file", changed(t, func(p map[string]string) {
			p["xl/_rels/workbook.xml.rels"] = strings.Replace(p["xl/_rels/workbook.xml.rels"], `Target="worksheets/sheet1.xml"`, `Target="../../outside/sheet1.xml"`, 1)
		})},
		{"way-out.xlsx", "a part whose name leads out of the folder it would be unpacked in", changed(t, func(p map[string]string) { p["../../outside.xml"] = "<a/>" })},
		{"way-out-back.xlsx", "the same with the other slashes", changed(t, func(p map[string]string) { p[`xl\..\..\outside.xml`] = "<a/>" })},
		{"deep.xlsx", "tags nested without end", sheetData(t, strings.Repeat("<a>", 5000)+strings.Repeat("</a>", 5000))},
		{"size.xlsx", "a part longer than the list of parts says", stored(tab, strings.Repeat(" ", 5000)+"<worksheet/>", 20)},
		{"twice.xlsx", "a part that stands twice", twice()},
		{"bomb.xlsx", "600 MB of zeros in half a megabyte", bomb.Bytes()},
		{"ratio.xlsx", "a part that packs a thousand to one", ratio(t)},
	}
}

// ratio is a workbook with a part under the limit of size that no honest program packs so small.
func ratio(t testing.TB) []byte {
	var b bytes.Buffer
	zw := zip.NewWriter(&b)
	w, err := zw.Create("xl/media/image1.png")
	require.NoError(t, err)
	zero := make([]byte, 1<<20)
	for range 48 {
		_, _ = w.Write(zero)
	}
	require.NoError(t, zw.Close())
	return b.Bytes()
}

// TestSpecimens: every file that is not a whole workbook is refused in one line, quickly, and the page that shows the
// lines is what they are today (go test -update ./sheet writes it).
func TestSpecimens(t *testing.T) {
	var page strings.Builder
	page.WriteString("# Files that are refused\n\nWhat `wallbill` says of a file that it cannot read as a workbook, one line each, exit status 1. Made by the test\nTestSpecimens of package sheet.\n\n")
	for _, s := range specimens(t) {
		dir := t.TempDir()
		path := filepath.Join(dir, s.name)
		require.NoError(t, os.WriteFile(path, s.data, 0o644))
		w, err := Open(path, DefaultLimits)
		assert.Nil(t, w, s.name)
		var fe *FileError
		if !assert.True(t, errors.As(err, &fe), "%s: %v", s.name, err) {
			continue
		}
		line := strings.TrimPrefix(err.Error(), dir+string(filepath.Separator))
		assert.NotContains(t, line, "\n", s.name)
		assert.Less(t, len(line), 200, s.name)
		fmt.Fprintf(&page, "- %s:\n\n      %s\n\n", s.what, line)

		_, err = OpenForResults(path)
		assert.ErrorAs(t, err, &fe, s.name)
	}
	golden(t, filepath.Join("..", "testdata", "findings", "files.md"), page.String())
}

func golden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
		return
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), got)
}

func TestOtherRefusals(t *testing.T) {
	dir := t.TempDir()
	_, err := Open(filepath.Join(dir, "absent.xlsx"), DefaultLimits)
	assert.ErrorContains(t, err, "there is no such file")
	assert.ErrorIs(t, err, os.ErrNotExist)
	_, err = Open(dir, DefaultLimits)
	assert.ErrorContains(t, err, "is a folder")
}

// TestEveryCutRefused: no true beginning of a workbook is read as one, however it ends.
func TestEveryCutRefused(t *testing.T) {
	whole := changed(t, func(map[string]string) {})
	for n := range len(whole) {
		_, err := openBytes("job.xlsx", whole[:n], DefaultLimits, false)
		var fe *FileError
		require.ErrorAs(t, err, &fe, "the first %d of %d bytes", n, len(whole))
	}
}

// TestFlippedBytes is the law that reading stands on: a workbook with changed bytes is refused or read exactly as before,
// never in part.
func TestFlippedBytes(t *testing.T) {
	whole := bigSheet(t, 60)
	want := cellListing(readOne(t, whole))
	rng := rand.New(rand.NewPCG(1, 2))
	refused := 0
	for range 1500 {
		bad := bytes.Clone(whole)
		for range 1 + rng.IntN(3) {
			bad[rng.IntN(len(bad))] ^= byte(1 << rng.IntN(8))
		}
		w, err := openBytes("job.xlsx", bad, DefaultLimits, false)
		if err != nil {
			var fe *FileError
			require.ErrorAs(t, err, &fe)
			require.NotContains(t, err.Error(), "\n")
			refused++
			continue
		}
		// A date or a flag of the zip file itself: the cells must be the same.
		require.Equal(t, want, cellListing(w.tabs[0]))
	}
	assert.Greater(t, refused, 1200)
}

// FuzzOpen: bytes of any kind end in a workbook or in one line, and what the library then opens has as many tabs.
func FuzzOpen(f *testing.F) {
	f.Add(changed(f, func(map[string]string) {}))
	f.Add([]byte(oleMagic))
	f.Add([]byte("PK\x05\x06"))
	f.Add([]byte("Run,Wall"))
	small := Limits{FileBytes: 1 << 20, UnpackedBytes: 1 << 22, Rows: 1000}
	f.Fuzz(func(t *testing.T, data []byte) {
		w, err := openBytes("job.xlsx", data, small, false)
		if err != nil {
			var fe *FileError
			if !errors.As(err, &fe) || strings.ContainsAny(err.Error(), "\n\x1b") {
				t.Fatalf("not one line about the file: %q", err)
			}
			return
		}
		if x, err := w.OpenForResults(small); err == nil {
			_ = x.Close()
		}
	})
}

// FuzzSheet puts bytes where a tab's XML belongs, so that the fuzzing reaches the reading of cells.
func FuzzSheet(f *testing.F) {
	f.Add([]byte(`<worksheet><sheetData><row r="1"><c r="A1" t="s"><v>0</v></c></row></sheetData><mergeCells><mergeCell ref="A1:B2"/></mergeCells></worksheet>`))
	f.Add([]byte(`<worksheet><sheetData><row><c t="inlineStr"><is><r><t>a</t></r></is></c><c><f>1</f></c><c s="1"><v>1</v></c></row></sheetData></worksheet>`))
	small := Limits{FileBytes: 1 << 20, UnpackedBytes: 1 << 22, Rows: 1000}
	f.Fuzz(func(t *testing.T, xml []byte) {
		w, err := openBytes("job.xlsx", changed(t, func(p map[string]string) { p["xl/worksheets/sheet1.xml"] = string(xml) }), small, false)
		if err != nil {
			var fe *FileError
			if !errors.As(err, &fe) {
				t.Fatalf("not about the file: %q", err)
			}
			return
		}
		last := 0
		for _, row := range w.tabs[0].Rows {
			if row.Number <= last {
				t.Fatalf("row %d after %d", row.Number, last)
			}
			last = row.Number
		}
	})
}

// partsOfWorkbook are the parts that the reading of a workbook looks into.
var partsOfWorkbook = []string{"xl/worksheets/sheet1.xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/styles.xml", "xl/sharedStrings.xml", "[Content_Types].xml", "_rels/.rels", "docProps/custom.xml"}

// FuzzPart puts bytes in the place of one part. Whatever it holds, reading ends in one line about the file or in a workbook;
// a workbook that is carried on has the same tabs and cells when it is read again.
func FuzzPart(f *testing.F) {
	plain := plainParts(`<sheetData><row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" s="1"><v>46328</v></c><c r="C1" t="b"><v>1</v></c><c r="D1"><f>B1*2</f><v>3</v></c></row></sheetData>`)
	plain["docProps/custom.xml"] = `<Properties xmlns="http://schemas.openxmlformats.org/officeDocument/2006/custom-properties" xmlns:vt="http://schemas.openxmlformats.org/officeDocument/2006/docPropsVTypes"><property fmtid="{D5CDD505-2E9C-101B-9397-08002B2CF9AE}" pid="2" name="Record SHA-256"><vt:lpwstr>00</vt:lpwstr></property></Properties>`
	for i, name := range partsOfWorkbook {
		f.Add(byte(i), []byte(plain[name]))
	}
	small := Limits{FileBytes: 1 << 20, UnpackedBytes: 1 << 22, Rows: 1000}
	f.Fuzz(func(t *testing.T, part byte, content []byte) {
		parts := maps.Clone(plain)
		parts[partsOfWorkbook[int(part)%len(partsOfWorkbook)]] = string(content)
		w, err := openBytes("job.xlsx", packParts(t, parts), small, false)
		if err != nil {
			var fe *FileError
			if !errors.As(err, &fe) || strings.ContainsAny(err.Error(), "\n\x1b") {
				t.Fatalf("not one line about the file: %q", err)
			}
			return
		}
		_, _, _ = w.ReadRecord()
		_, _ = w.Priced(), w.taken()
		carried := carriedOn(w, small)
		if carried == nil {
			return
		}
		again, err := openBytes("job.xlsx", carried, small, false)
		if err != nil {
			t.Fatalf("carried on it cannot be read: %v", err)
		}
		if len(again.tabs) != len(w.tabs) {
			t.Fatalf("tabs %v are carried on as %v", w.tabNames(), again.tabNames())
		}
		for i := range w.tabs {
			if a, b := cellListing(w.tabs[i]), cellListing(again.tabs[i]); a != b || w.tabs[i].Name != again.tabs[i].Name {
				t.Fatalf("tab %q with\n%s\nis carried on as %q with\n%s", w.tabs[i].Name, a, again.tabs[i].Name, b)
			}
		}
	})
}

// carriedOn is the workbook as the library saves it; nil where it will not: then nothing is written.
func carriedOn(w *Workbook, limits Limits) (data []byte) {
	defer func() {
		if recover() != nil { // a command catches it as the fault of one job
			data = nil
		}
	}()
	f, err := w.OpenForResults(limits)
	if err != nil {
		return nil
	}
	defer f.Close()
	var b bytes.Buffer
	if completeParts(f) != nil || Save(f, &b) != nil {
		return nil
	}
	return b.Bytes()
}

// office converts a workbook with a separate spreadsheet program; the test is skipped where there is none.
func office(t *testing.T, path, filter, ending string) string {
	t.Helper()
	if testing.Short() {
		t.Skip("another program saves: not in a short run")
	}
	program, err := exec.LookPath("soffice")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("CI needs LibreOffice Calc (libreoffice-calc-nogui)")
		}
		t.Skip("LibreOffice Calc is not installed")
	}
	home, out := t.TempDir(), t.TempDir()
	cmd := exec.Command(program, "-env:UserInstallation=file://"+home, "--headless", "--norestore", "--nologo", "--convert-to", filter, "--outdir", out, path)
	cmd.Env = append(os.Environ(), "HOME="+home)
	if b, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, b)
	}
	made := filepath.Join(out, strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))+"."+ending)
	require.FileExists(t, made)
	return made
}

// TestSavedByAnotherProgram: the same cells come back after another program has opened and saved the workbook, and one in
// the strict dialect passes through ours into a workbook that the other program reads.
func TestSavedByAnotherProgram(t *testing.T) {
	data := `<sheetData><row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>1</v></c></row><row r="2"><c r="A2" s="1"><v>46328</v></c><c r="B2"><v>0.1</v></c></row></sheetData>`
	strict := plainParts(data)
	for n, s := range strict {
		s = strings.ReplaceAll(s, "http://schemas.openxmlformats.org/spreadsheetml/2006/main", "http://purl.oclc.org/ooxml/spreadsheetml/main")
		strict[n] = strings.ReplaceAll(s, "http://schemas.openxmlformats.org/officeDocument/2006/relationships", "http://purl.oclc.org/ooxml/officeDocument/relationships")
	}
	for name, parts := range map[string]map[string]string{"plain": plainParts(data), "strict": strict} {
		t.Run(name, func(t *testing.T) {
			want := cellListing(readOne(t, packParts(t, parts)))
			priced := addResults(t, packParts(t, parts))
			path := filepath.Join(t.TempDir(), "job.xlsx")
			require.NoError(t, os.WriteFile(path, priced, 0o644))
			saved, err := Open(office(t, path, "xlsx:Calc MS Excel 2007 XML", "xlsx"), DefaultLimits)
			require.NoError(t, err)
			assert.Equal(t, want, cellListing(saved.tabs[0]))
			assert.Equal(t, "About", saved.tabs[1].Name)
		})
	}
}
