package sheet

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"path"
	"reflect"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// blankTab is a worksheet with nothing in it.
const blankTab = xml.Header + `<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheetData/></worksheet>`

// emptyTabs takes everything from tabs of an earlier run but the tabs themselves: cells, formats, links, charts, pictures,
// tables, and the workbook's names for printing them. A tab stays the same part of the file in the same place, so that
// what points at it goes on doing so. The library has no call for it; the parts are replaced in the package, before it has
// read them.
func emptyTabs(f *excelize.File, tabs []string) error {
	if len(tabs) == 0 {
		return nil
	}
	parts, err := tabParts(f)
	if err != nil {
		return err
	}
	gone := map[string]bool{}
	for _, tab := range tabs {
		part, ok := parts[tab]
		if !ok {
			return fmt.Errorf("tab %s has no part in the file", tab)
		}
		reachParts(f, part, gone)
		f.Pkg.Store(part, []byte(blankTab))
		f.Sheet.Delete(part)
		rels := relationsPart(part)
		f.Pkg.Delete(rels)
		f.Relationships.Delete(rels)
		for _, name := range []string{"_xlnm.Print_Titles", "_xlnm.Print_Area", "_xlnm._FilterDatabase"} {
			_ = f.DeleteDefinedName(&excelize.DefinedName{Name: name, Scope: tab}) // an error says that there is none
		}
	}
	reached := map[string]bool{}
	reachParts(f, "", reached)
	for part := range gone {
		if reached[part] {
			delete(gone, part) // a tab of the user's has it too
			continue
		}
		f.Pkg.Delete(part)
		f.Drawings.Delete(part)
		f.Pkg.Delete(relationsPart(part))
		f.Relationships.Delete(relationsPart(part))
	}
	return dropContentTypes(f, gone)
}

// relation is what a relations part says of one related part.
type partRelation struct {
	ID     string `xml:"Id,attr"`
	Type   string `xml:"Type,attr"`
	Target string `xml:"Target,attr"`
	Mode   string `xml:"TargetMode,attr"`
}

func relationsPart(part string) string {
	if part == "" {
		return "_rels/.rels" // of the file itself
	}
	return path.Dir(part) + "/_rels/" + path.Base(part) + ".rels"
}

// readRelations reads a part's relations as the file has them; none where there is no such part.
func readRelations(f *excelize.File, part string) ([]partRelation, error) {
	b, ok := f.Pkg.Load(relationsPart(part))
	if !ok {
		return nil, nil
	}
	var list struct {
		Relation []partRelation `xml:"Relationship"`
	}
	if err := xml.NewDecoder(bytes.NewReader(b.([]byte))).Decode(&list); err != nil {
		return nil, fmt.Errorf("reading %s: %w", relationsPart(part), err)
	}
	return list.Relation, nil
}

// relatedPart is the part a relation of another points at.
func relatedPart(from, target string) string {
	if strings.HasPrefix(target, "/") {
		return strings.TrimPrefix(target, "/")
	}
	return path.Join(path.Dir(from), target)
}

// tabParts is which part of the file each tab is, tabs that the library has just made too.
func tabParts(f *excelize.File) (map[string]string, error) {
	f.GetSheetList() // has the workbook part read
	book := workbookPartOf(f)
	rels, err := readRelations(f, book)
	if err != nil {
		return nil, err
	}
	byID := map[string]string{}
	for _, r := range rels {
		byID[r.ID] = relatedPart(book, r.Target)
	}
	if loaded, ok := f.Relationships.Load(relationsPart(book)); ok {
		// the library's own list, of a type without a name outside
		list := reflect.ValueOf(loaded).Elem().FieldByName("Relationships")
		for i := range list.Len() {
			byID[list.Index(i).FieldByName("ID").String()] = relatedPart(book, list.Index(i).FieldByName("Target").String())
		}
	}
	parts := map[string]string{}
	for _, s := range f.WorkBook.Sheets.Sheet {
		if part, ok := byID[s.ID]; ok {
			parts[s.Name] = part
		}
	}
	return parts, nil
}

// workbookPartOf is the part of the file that lists the tabs.
func workbookPartOf(f *excelize.File) string {
	rels, err := readRelations(f, "")
	if err == nil {
		for _, r := range rels {
			if strings.HasSuffix(r.Type, "/officeDocument") {
				return relatedPart("", r.Target)
			}
		}
	}
	return "xl/workbook.xml"
}

// reachParts adds to reached every part that a part leads to, the part itself apart. A part that others lead to as well
// (one picture on two tabs) is reached from each.
func reachParts(f *excelize.File, part string, reached map[string]bool) {
	rels, err := readRelations(f, part)
	if err != nil {
		return
	}
	for _, r := range rels {
		related := relatedPart(part, r.Target)
		if r.Mode == "External" || reached[related] {
			continue
		}
		reached[related] = true
		reachParts(f, related, reached)
	}
}

// dropContentTypes takes parts from the list of content types.
func dropContentTypes(f *excelize.File, gone map[string]bool) error {
	return changeContentTypes(f, func(list *contentTypeList) {
		kept := list.Override[:0]
		for _, o := range list.Override {
			if !gone[strings.TrimPrefix(o.PartName, "/")] {
				kept = append(kept, o)
			}
		}
		list.Override = kept
	})
}

const contentTypesPart = "[Content_Types].xml"

// changeContentTypes edits the list of content types, whether or not the library has read it already.
func changeContentTypes(f *excelize.File, change func(*contentTypeList)) error {
	var list contentTypeList
	if loaded := f.ContentTypes; loaded != nil {
		for _, d := range loaded.Defaults {
			list.Default = append(list.Default, contentTypeOf{d.Extension, d.ContentType})
		}
		for _, o := range loaded.Overrides {
			list.Override = append(list.Override, contentTypePart{o.PartName, o.ContentType})
		}
	} else if b, ok := f.Pkg.Load(contentTypesPart); ok {
		if err := xml.Unmarshal(b.([]byte), &list); err != nil {
			return fmt.Errorf("reading the content types: %w", err)
		}
	}
	change(&list)
	list.XMLName = xml.Name{} // its tag has it
	out, err := xml.Marshal(list)
	if err != nil {
		return err
	}
	f.ContentTypes = nil // the library reads the part again
	f.Pkg.Store(contentTypesPart, append([]byte(xml.Header), out...))
	return nil
}

// relate has a part lead to another, of that kind, where it does not yet.
func relate(f *excelize.File, from, kind, target string) error {
	rels, err := readRelations(f, from)
	if err != nil {
		return err
	}
	most := 0
	for _, r := range rels {
		if r.Type == kind {
			return nil
		}
		if n, err := strconv.Atoi(strings.TrimPrefix(r.ID, "rId")); err == nil {
			most = max(most, n)
		}
	}
	added := partRelation{ID: "rId" + strconv.Itoa(most+1), Type: kind, Target: target}
	part := relationsPart(from)
	if loaded, ok := f.Relationships.Load(part); ok {
		// the library has read them: its list is of a type without a name outside
		list := reflect.ValueOf(loaded).Elem().FieldByName("Relationships")
		for i := range list.Len() {
			if n, err := strconv.Atoi(strings.TrimPrefix(list.Index(i).FieldByName("ID").String(), "rId")); err == nil {
				most = max(most, n)
			}
		}
		one := reflect.New(list.Type().Elem()).Elem()
		one.FieldByName("ID").SetString("rId" + strconv.Itoa(most+1))
		one.FieldByName("Type").SetString(kind)
		one.FieldByName("Target").SetString(target)
		list.Set(reflect.Append(list, one))
		return nil
	}
	out := struct {
		XMLName  xml.Name       `xml:"http://schemas.openxmlformats.org/package/2006/relationships Relationships"`
		Relation []partRelation `xml:"Relationship"`
	}{Relation: append(rels, added)}
	b, err := xml.Marshal(out)
	if err != nil {
		return err
	}
	f.Pkg.Store(part, append([]byte(xml.Header), b...))
	return nil
}

// The parts that a workbook may lack and a priced one needs.
const (
	stylesPart     = "xl/styles.xml"
	propertiesPart = "docProps/core.xml"
	stylesKind     = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/styles"
	propertiesKind = "http://schemas.openxmlformats.org/package/2006/relationships/metadata/core-properties"
	stylesType     = "application/vnd.openxmlformats-officedocument.spreadsheetml.styles+xml"
	propertiesType = "application/vnd.openxmlformats-package.core-properties+xml"
)

// completeParts gives a workbook the styles and properties that the library takes for granted: other programs leave them
// out, and counts of fonts and fills besides.
func completeParts(f *excelize.File) error {
	plain := excelize.NewFile()
	defer plain.Close()
	_, _ = plain.GetStyle(-1) // has the styles read; the error says that there is no style -1
	_, _ = f.GetStyle(-1)
	have, want := f.Styles, plain.Styles
	if have == nil || want == nil {
		return fmt.Errorf("the workbook's styles cannot be read")
	}
	if have.Fonts == nil || len(have.Fonts.Font) == 0 {
		have.Fonts = want.Fonts
	}
	if have.Fills == nil || len(have.Fills.Fill) == 0 {
		have.Fills = want.Fills
	}
	if have.Borders == nil || len(have.Borders.Border) == 0 {
		have.Borders = want.Borders
	}
	if have.CellStyleXfs == nil || len(have.CellStyleXfs.Xf) == 0 {
		have.CellStyleXfs = want.CellStyleXfs
	}
	if have.CellXfs == nil || len(have.CellXfs.Xf) == 0 {
		have.CellXfs = want.CellXfs
	}
	if have.CellStyles == nil {
		have.CellStyles = want.CellStyles
	}
	have.Fonts.Count, have.Fills.Count, have.Borders.Count = len(have.Fonts.Font), len(have.Fills.Fill), len(have.Borders.Border)
	have.CellStyleXfs.Count, have.CellXfs.Count = len(have.CellStyleXfs.Xf), len(have.CellXfs.Xf)

	added := map[string]string{}
	book := workbookPartOf(f)
	if _, there := f.Pkg.Load(stylesPart); !there {
		target := stylesPart
		if rel, ok := strings.CutPrefix(stylesPart, path.Dir(book)+"/"); ok {
			target = rel
		} else {
			target = "/" + target
		}
		if err := relate(f, book, stylesKind, target); err != nil {
			return err
		}
		added[stylesPart] = stylesType
	}
	if _, there := f.Pkg.Load(propertiesPart); !there {
		if err := relate(f, "", propertiesKind, propertiesPart); err != nil {
			return err
		}
		added[propertiesPart] = propertiesType
	}
	if len(added) == 0 {
		return nil
	}
	return changeContentTypes(f, func(list *contentTypeList) {
		for _, o := range list.Override {
			delete(added, strings.TrimPrefix(o.PartName, "/"))
		}
		for _, part := range sortedKeys(added) {
			list.Override = append(list.Override, contentTypePart{"/" + part, added[part]})
		}
	})
}

// numbered are the names whose numbers the library gives by counting: a chart of the user's that is number 4 of 2 would be
// written over.
var numbered = []string{"xl/charts/chart", "xl/drawings/drawing", "xl/media/image"}

// heldNumber marks a part that only holds a number.
const heldNumber = "-held-"

// holdNumbers makes the count of each kind of part at least its highest number, until freeNumbers.
func holdNumbers(f *excelize.File) {
	for _, name := range numbered {
		count, most := 0, 0
		f.Pkg.Range(func(key, _ any) bool {
			rest, ok := strings.CutPrefix(key.(string), name)
			if !ok {
				return true
			}
			count++
			digits := rest[:len(rest)-len(strings.TrimLeft(rest, "0123456789"))]
			if n, err := strconv.Atoi(digits); err == nil {
				most = max(most, n)
			}
			return true
		})
		for i := count; i < most; i++ {
			f.Pkg.Store(name+heldNumber+strconv.Itoa(i), []byte{})
		}
	}
}

func freeNumbers(f *excelize.File) {
	f.Pkg.Range(func(key, _ any) bool {
		if strings.Contains(key.(string), heldNumber) {
			f.Pkg.Delete(key)
		}
		return true
	})
}

// tables are the parts of tables that stand aside while tabs are written. The library decodes every table there is to count
// them whenever it adds one; a part that is nothing but the highest number stands for them.
type tables struct {
	f     *excelize.File
	aside map[string][]byte
	most  int
}

const (
	tablePart  = "xl/tables/table"
	tableCells = "xl/tables/tableSingleCells" // of another kind, which the library counts too
)

// hold sets aside the tables that do not stand aside yet.
func (t *tables) hold() {
	t.f.Pkg.Range(func(key, value any) bool {
		name := key.(string)
		if !strings.HasPrefix(name, tablePart) || strings.HasPrefix(name, tableCells) || strings.Contains(name, heldNumber) {
			return true
		}
		var of struct {
			ID int `xml:"id,attr"`
		}
		part := value.([]byte)
		if xml.Unmarshal(part, &of) != nil {
			return true
		}
		t.most = max(t.most, of.ID)
		t.aside[name] = part
		return true
	})
	for name := range t.aside {
		t.f.Pkg.Delete(name)
	}
	if t.most > 0 {
		t.f.Pkg.Store(tablePart+heldNumber, fmt.Appendf(nil, `<table xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" id="%d"/>`, t.most))
	}
}

// free puts all tables back.
func (t *tables) free() {
	t.f.Pkg.Delete(tablePart + heldNumber)
	for name, part := range t.aside {
		t.f.Pkg.Store(name, part)
	}
}
