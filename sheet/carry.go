package sheet

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"

	"wallbill/sheet/xmlscan"
)

// OpenForResults opens the workbook at path to put results into: the schedule itself on a first run, the workbook to be
// replaced later. Tabs that nobody touches keep their bytes. It is read as Open reads it first, because the library takes
// part of a damaged sheet for the whole. The caller closes it.
//
// Numbers must not be read through the library's formatted reading: it changes what it reads. The file is opened raw.
func OpenForResults(path string) (*excelize.File, error) {
	w, err := Open(path, DefaultLimits)
	if err != nil {
		return nil, err
	}
	return w.OpenForResults(DefaultLimits)
}

// OpenForResults opens the very bytes the workbook was read from, even when the file has changed since.
func (w *Workbook) OpenForResults(limits Limits) (*excelize.File, error) {
	return w.open(limits, min(excelize.StreamChunkSize, limits.UnpackedBytes))
}

// openWhole is OpenForResults with the bytes of every part in memory, the largest too.
func (w *Workbook) openWhole(limits Limits) (*excelize.File, error) {
	return w.open(limits, limits.UnpackedBytes)
}

// tabNames lists the tabs with cells.
func (w *Workbook) tabNames() []string {
	var names []string
	for _, t := range w.tabs {
		names = append(names, t.Name)
	}
	return names
}

// open opens the workbook; a tab larger than inMemory stands in a temporary file until the library is closed.
func (w *Workbook) open(limits Limits, inMemory int64) (f *excelize.File, err error) {
	defer func() {
		if p := recover(); p != nil {
			f, err = nil, refuse(w.Path, nil, "its tabs cannot be carried over: %v", p)
		}
	}()
	data, err := w.carried()
	if err != nil {
		return nil, refuse(w.Path, err, "its tabs cannot be carried over: %v", err)
	}
	f, err = excelize.OpenReader(bytes.NewReader(data), excelize.Options{
		RawCellValue:      true,
		UnzipSizeLimit:    limits.UnpackedBytes,
		UnzipXMLSizeLimit: inMemory,
	})
	if err != nil {
		return nil, refuse(w.Path, err, "its tabs cannot be carried over: %v", err)
	}
	// The library loses what it does not understand, such as the part of a tab whose prefix nothing declares.
	f.GetSheetList() // has the list of tabs read
	for _, s := range f.WorkBook.Sheets.Sheet {
		if s.ID == "" || s.Name == "" {
			f.Close()
			return nil, refuse(w.Path, nil, "its tabs cannot be carried over: the part of tab %s is not told in a way that is understood", s.Name)
		}
	}
	return f, nil
}

// OpenOn makes the saved workbook open on that tab. It asks nothing of the other tabs, where the library would load them
// all; Save takes their selection away.
func OpenOn(f *excelize.File, tab string) error {
	i, err := f.GetSheetIndex(tab)
	if err != nil {
		return err
	}
	if i < 0 {
		return fmt.Errorf("no tab %s to open on", tab)
	}
	book := f.WorkBook
	if book == nil {
		return errors.New("no workbook")
	}
	if book.BookViews == nil || len(book.BookViews.WorkBookView) == 0 {
		// The library makes the list itself, loading tabs; a workbook without views is rare.
		f.SetActiveSheet(i)
		return nil
	}
	book.BookViews.WorkBookView[0].ActiveTab = i
	book.BookViews.WorkBookView[0].FirstSheet = 0
	return nil
}

// selectActive leaves the tab that the workbook opens on selected, and no other: several selected tabs are a group, where
// typing into one types into all.
func (s *partStore) selectActive() error {
	active, err := s.activeSheet()
	if err != nil {
		return err
	}
	for _, name := range s.names {
		if !strings.HasPrefix(name, "xl/worksheets/") || !strings.HasSuffix(name, ".xml") {
			continue
		}
		b := s.parts[name].whole()
		from, to, selected, err := sheetViewTag(b)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		if want := partKey(name) == active; from == 0 || selected == want {
			continue
		} else if want {
			s.replace(name, b, to, to, ` tabSelected="1"`)
		} else {
			s.replace(name, b, from, to, "")
		}
	}
	return nil
}

func (s *partStore) replace(name string, b []byte, from, to int, with string) {
	s.parts[name] = bytesBlock(slices.Concat(b[:from], []byte(with), b[to:]))
}

// sheetViewTag finds the first <sheetView>: where its tabSelected stands with the space before it (from, to), or, when it
// has none, where the tag's name ends (both the same). Zeros when the sheet has no view.
func sheetViewTag(b []byte) (from, to int, selected bool, err error) {
	head := b[:min(len(b), 64<<10)]
	if i := bytes.Index(head, []byte("sheetData")); i >= 0 {
		head = head[:i]
	}
	i := bytes.Index(head, []byte("sheetView "))
	if i < 0 {
		return 0, 0, false, nil
	}
	i += len("sheetView")
	j := bytes.IndexByte(head[i:], '>')
	if j < 0 {
		return 0, 0, false, errors.New("a sheet view without an end")
	}
	tag := head[i : i+j]
	k := bytes.Index(tag, []byte(" tabSelected="))
	if k < 0 {
		return i, i, false, nil
	}
	q := k + len(" tabSelected=")
	if q >= len(tag) {
		return 0, 0, false, errors.New("a sheet view without an end")
	}
	end := bytes.IndexByte(tag[q+1:], tag[q])
	if end < 0 {
		return 0, 0, false, errors.New("a sheet view without an end")
	}
	v := string(tag[q+1 : q+1+end])
	return i + k, i + q + 2 + end, v == "1" || v == "true", nil
}

// activeSheet is the key of the part of the tab the workbook opens on.
func (s *partStore) activeSheet() (string, error) {
	const book = "xl/workbook.xml"
	var ids []string
	active := 0
	err := s.scan(book, func(x *xmlscan.Scanner, name string) {
		switch name {
		case "sheet":
			id, _ := x.PrefixedAttr("id")
			ids = append(ids, id)
		case "workbookView":
			n, _ := parseDigits(x.AttrBytes("activeTab"))
			active = n
		}
	})
	if err != nil || active >= len(ids) {
		return "", err
	}
	found := ""
	err = s.scan("xl/_rels/workbook.xml.rels", func(x *xmlscan.Scanner, name string) {
		if id, _ := x.Attr("Id"); name == "Relationship" && id == ids[active] {
			t, _ := x.Attr("Target")
			if !strings.HasPrefix(t, "/") {
				t = "xl/" + t
			}
			found = partKey(t)
		}
	})
	return found, err
}

func (s *partStore) scan(name string, on func(*xmlscan.Scanner, string)) error {
	b := s.parts[name]
	if b == nil {
		return fmt.Errorf("no part %s", name)
	}
	x := xmlscan.New(bytes.NewReader(b.whole()))
	for {
		switch kind, err := x.Next(); {
		case err != nil:
			return fmt.Errorf("%s: %w", name, err)
		case kind == xmlscan.EOF:
			return nil
		case kind == xmlscan.Start:
			on(x, string(x.Name()))
		}
	}
}

type relationList struct {
	XMLName      xml.Name      `xml:"http://schemas.openxmlformats.org/package/2006/relationships Relationships"`
	Relationship []relationOut `xml:"Relationship"`
}

type relationOut struct {
	ID     string `xml:"Id,attr"`
	Type   string `xml:"Type,attr"`
	Target string `xml:"Target,attr"`
	Mode   string `xml:"TargetMode,attr,omitempty"`
}

// carried gives the workbook without what a priced one must not carry: macros, and the list of the order in which formulas
// were computed, which new formulas make wrong and every program makes itself. The results that a run replaces are blank in
// it. The same bytes when it has none of these; the schedule's own file keeps them.
func (w *Workbook) carried() ([]byte, error) {
	zr, err := zip.NewReader(bytes.NewReader(w.data), int64(len(w.data)))
	if err != nil {
		return nil, err
	}
	found := len(w.replaced) > 0
	isLeftover := func(key string) bool {
		return strings.HasPrefix(key, "xl/vba") || strings.HasPrefix(key, "xl/_rels/vba") || key == "xl/calcchain.xml"
	}
	for _, f := range zr.File {
		found = found || isLeftover(partKey(f.Name))
	}
	if !found {
		return w.data, nil
	}
	var out bytes.Buffer
	zw := zip.NewWriter(&out)
	for _, f := range zr.File {
		var b []byte
		switch key := partKey(f.Name); {
		case isLeftover(key):
			continue
		case w.replaced[key]:
			b = []byte(blankTab)
		case key == "[content_types].xml":
			b, err = changedPart(f, plainContentTypes)
		case key == "xl/_rels/workbook.xml.rels":
			b, err = changedPart(f, plainRelations)
		default:
			if err := zw.Copy(f); err != nil {
				return nil, err
			}
			continue
		}
		if err != nil {
			return nil, err
		}
		to, err := zw.Create(f.Name)
		if err != nil {
			return nil, err
		}
		if _, err := to.Write(b); err != nil {
			return nil, err
		}
	}
	err = zw.Close()
	return out.Bytes(), err
}

// changedPart is what change makes of a part.
func changedPart(f *zip.File, change func([]byte) ([]byte, error)) ([]byte, error) {
	in, err := f.Open()
	if err != nil {
		return nil, err
	}
	defer in.Close()
	b, err := io.ReadAll(in)
	if err != nil {
		return nil, err
	}
	return change(b)
}

func plainContentTypes(b []byte) ([]byte, error) {
	var list contentTypeList
	if err := xml.Unmarshal(b, &list); err != nil {
		return nil, err
	}
	kept := list.Override[:0]
	for _, o := range list.Override {
		switch {
		case strings.Contains(o.ContentType, "vba"), strings.Contains(o.ContentType, "calcChain"):
			continue
		case strings.Contains(o.ContentType, "sheet.macroEnabled.main"), strings.Contains(o.ContentType, "template.main"):
			o.ContentType = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
		}
		kept = append(kept, o)
	}
	list.Override = kept
	out, err := xml.Marshal(list)
	return append([]byte(xml.Header), out...), err
}

func plainRelations(b []byte) ([]byte, error) {
	var list relationList
	if err := xml.Unmarshal(b, &list); err != nil {
		return nil, err
	}
	kept := list.Relationship[:0]
	for _, rel := range list.Relationship {
		if !strings.HasSuffix(rel.Type, "/vbaProject") && !strings.HasSuffix(rel.Type, "/calcChain") {
			kept = append(kept, rel)
		}
	}
	list.Relationship = kept
	out, err := xml.Marshal(list)
	return append([]byte(xml.Header), out...), err
}
