package sheet

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"path"
	"sort"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"wallbill/takeoff"
)

// resultsProperty is the document property that lists which tabs are results: a tab's name alone does not make it one.
const resultsProperty = "wallbill results"

// makeTabs makes the results tabs that are not there and empties those that are, where they stand.
func (p *priced) makeTabs() error {
	ours, err := ownTabs(p.f)
	if err != nil {
		return err
	}
	have := map[string]string{} // by lower-case name
	for _, name := range p.f.GetSheetList() {
		have[strings.ToLower(name)] = name
	}
	for _, t := range resultTabs {
		name, there := have[strings.ToLower(t.name)]
		if there && !ours[strings.ToLower(t.name)] {
			return fmt.Errorf("the workbook has a tab %q of its own, which is the name of a results tab: rename it", name)
		}
	}
	var old []string
	for _, t := range resultTabs {
		if name, there := have[strings.ToLower(t.name)]; there && t.fill != nil {
			old = append(old, name)
		}
	}
	if err := emptyTabs(p.f, old); err != nil {
		return err
	}
	for _, t := range resultTabs {
		if _, there := have[strings.ToLower(t.name)]; !there && t.fill != nil {
			if _, err := p.f.NewSheet(t.name); err != nil {
				return fmt.Errorf("making tab %s: %w", t.name, err)
			}
		}
	}
	return nil
}

// ownTabs are the lower-case names of the tabs that an earlier run wrote as results.
func ownTabs(f *excelize.File) (map[string]bool, error) {
	ours := map[string]bool{}
	props, err := f.GetCustomProps()
	if err != nil {
		return nil, fmt.Errorf("reading the document's properties: %w", err)
	}
	for _, c := range props {
		if list, ok := c.Value.(string); ok && c.Name == resultsProperty {
			for _, name := range strings.Split(list, ";") {
				ours[strings.ToLower(strings.TrimSpace(name))] = true
			}
		}
	}
	return ours, nil
}

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
		collectParts(f, part, gone)
		f.Pkg.Store(part, []byte(blankTab))
		f.Sheet.Delete(part)
		rels := relationsPart(part)
		f.Pkg.Delete(rels)
		f.Relationships.Delete(rels)
		for _, name := range []string{"_xlnm.Print_Titles", "_xlnm.Print_Area", "_xlnm._FilterDatabase"} {
			_ = f.DeleteDefinedName(&excelize.DefinedName{Name: name, Scope: tab}) // an error says that there is none
		}
	}
	for part := range gone {
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
	Target string `xml:"Target,attr"`
	Mode   string `xml:"TargetMode,attr"`
}

func relationsPart(part string) string {
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

// tabParts is which part of the file each tab is.
func tabParts(f *excelize.File) (map[string]string, error) {
	f.GetSheetList() // has the workbook part read
	const workbookPart = "xl/workbook.xml"
	rels, err := readRelations(f, workbookPart)
	if err != nil {
		return nil, err
	}
	byID := map[string]string{}
	for _, r := range rels {
		byID[r.ID] = relatedPart(workbookPart, r.Target)
	}
	parts := map[string]string{}
	for _, s := range f.WorkBook.Sheets.Sheet {
		if part, ok := byID[s.ID]; ok {
			parts[s.Name] = part
		}
	}
	return parts, nil
}

// collectParts adds to gone what a tab brings with it and no other tab has: drawings, charts, tables, notes. Pictures may be
// shared, so that they stay; the library writes the same picture once.
func collectParts(f *excelize.File, part string, gone map[string]bool) {
	rels, err := readRelations(f, part)
	if err != nil {
		return
	}
	for _, r := range rels {
		related := relatedPart(part, r.Target)
		if r.Mode == "External" || gone[related] || strings.HasPrefix(related, "xl/media/") || !strings.HasPrefix(related, "xl/") ||
			strings.HasPrefix(related, "xl/worksheets/") {
			continue
		}
		gone[related] = true
		collectParts(f, related, gone)
	}
}

// dropContentTypes takes parts from the list of content types.
func dropContentTypes(f *excelize.File, gone map[string]bool) error {
	const part = "[Content_Types].xml"
	if f.ContentTypes != nil {
		list := f.ContentTypes.Overrides
		kept := list[:0]
		for _, o := range list {
			if !gone[strings.TrimPrefix(o.PartName, "/")] {
				kept = append(kept, o)
			}
		}
		f.ContentTypes.Overrides = kept
		return nil
	}
	b, ok := f.Pkg.Load(part)
	if !ok {
		return nil
	}
	var list contentTypeList
	if err := xml.Unmarshal(b.([]byte), &list); err != nil {
		return fmt.Errorf("reading the content types: %w", err)
	}
	kept := list.Override[:0]
	for _, o := range list.Override {
		if !gone[strings.TrimPrefix(o.PartName, "/")] {
			kept = append(kept, o)
		}
	}
	list.Override = kept
	out, err := xml.Marshal(list)
	if err != nil {
		return err
	}
	f.Pkg.Store(part, append([]byte(xml.Header), out...))
	return nil
}

// totalNames are the workbook's names for the scalar totals, as JSON has them, with their cells on Bid.
func (p *priced) totalNames() []excelize.DefinedName {
	cell := func(row int) string { return cellFixed(tabBid, "C", row) }
	var names []excelize.DefinedName
	for _, n := range []struct {
		name string
		row  int
	}{
		{"direct", bidDirect}, {"tax", bidTax}, {"contingency", bidContingency}, {"overhead", bidOverhead}, {"cost", bidCost},
		{"profit", bidProfit}, {"bond", bidBond}, {"rounding", bidRounding}, {"bid_total", bidTotal},
	} {
		names = append(names, excelize.DefinedName{Name: n.name, RefersTo: cell(n.row)})
	}
	return names
}

// nameTotals defines the totals' names. A name of the user's own with that spelling is kept, with a warning.
func (p *priced) nameTotals() []takeoff.Finding {
	var said []takeoff.Finding
	taken := map[string]excelize.DefinedName{}
	for _, d := range p.f.GetDefinedName() {
		if d.Scope == "Workbook" {
			taken[strings.ToLower(d.Name)] = d
		}
	}
	for _, n := range p.totalNames() {
		if d, there := taken[n.Name]; there {
			if !pointsAtBid(d.RefersTo) {
				said = append(said, takeoff.Finding{Severity: takeoff.Warning, At: takeoff.Ref{Tab: tabBid},
					Message: fmt.Sprintf("the workbook has a name %q of its own (%s); it is kept, so that it does not mean the bid's total of that name", d.Name, d.RefersTo)})
				continue
			}
			_ = p.f.DeleteDefinedName(&excelize.DefinedName{Name: d.Name})
		}
		if err := p.f.SetDefinedName(&n); err != nil {
			said = append(said, takeoff.Finding{Severity: takeoff.Warning, At: takeoff.Ref{Tab: tabBid},
				Message: fmt.Sprintf("the name %q could not be given to its cell: %v", n.Name, err)})
		}
	}
	return said
}

// pointsAtBid tells whether a name is one of an earlier run.
func pointsAtBid(refersTo string) bool {
	return strings.HasPrefix(refersTo, quoteTab(tabBid)+"!") || strings.HasPrefix(refersTo, tabBid+"!")
}

// takenNames collects the names that a new table may not have: those of tables and defined names in the workbook.
func (p *priced) takenNames() {
	p.tables = map[string]bool{}
	for _, d := range p.f.GetDefinedName() {
		p.tables[strings.ToLower(d.Name)] = true
	}
	p.f.Pkg.Range(func(key, value any) bool {
		if name := key.(string); strings.HasPrefix(name, "xl/tables/") {
			var t struct {
				Name string `xml:"displayName,attr"`
			}
			if xml.Unmarshal(value.([]byte), &t) == nil {
				p.tables[strings.ToLower(t.Name)] = true
			}
		}
		return true
	})
}

// freeName is a table's name, with a number after it where the workbook has that name already.
func (p *priced) freeName(name string) string {
	free := name
	for i := 2; p.tables[strings.ToLower(free)]; i++ {
		free = name + "_" + strconv.Itoa(i)
	}
	p.tables[strings.ToLower(free)] = true
	return free
}

// sortedKeys are a map's keys in order.
func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}
