package sheet

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"path"
	"sort"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"wallbill/sheet/xmlscan"
	"wallbill/takeoff"
)

// OpenForRun opens what the results of a run are written into: the schedule on a first run (previous nil), else the workbook
// to be replaced with every tab of the schedule renewed in it. Tabs that only the replaced workbook has stay, and so do
// formulas that point at the results. The findings say what of the schedule could not be carried.
func (s *Source) OpenForRun(previous *Workbook) (*excelize.File, []takeoff.Finding, error) {
	if previous == nil {
		f, err := s.OpenForResults()
		return f, nil, err
	}
	f, err := previous.openWhole(s.limits)
	if err != nil {
		return nil, nil, err
	}
	notes, err := renewTabs(f, s)
	if err != nil {
		_ = f.Close()
		return nil, nil, refuse(previous.Path, err, "the schedule's tabs cannot be renewed in it: %v", err)
	}
	return f, notes, nil
}

// renewal is one renewing of tabs. The tabs are worked on as the bytes of their parts, because the library keeps less of a
// sheet than spreadsheet programs put into it.
type renewal struct {
	to, from *excelize.File
	formats  []int // cell format of the schedule, by its number, in the workbook
	marks    []int // conditional format likewise
	texts    []sharedText
	metadata bool // the workbook knows array formulas that spill
	notes    []takeoff.Finding
}

// sharedText is an entry of the schedule's table of texts: as plain text, and as the XML of its runs.
type sharedText struct {
	plain string
	xml   []byte
}

func renewTabs(to *excelize.File, s *Source) (notes []takeoff.Finding, err error) {
	defer func() {
		if p := recover(); p != nil {
			notes, err = nil, fmt.Errorf("%v", p)
		}
	}()
	from, err := s.Schedule.openWhole(s.limits)
	if err != nil {
		return nil, err
	}
	defer from.Close()
	r := &renewal{to: to, from: from}
	if _, ok := to.Pkg.Load("xl/metadata.xml"); ok {
		r.metadata = true
	}
	if err := r.mergeStyles(); err != nil {
		return nil, err
	}
	if err := r.readTexts(); err != nil {
		return nil, err
	}
	added := false
	for _, name := range s.Schedule.tabNames() {
		if i, _ := to.GetSheetIndex(name); i < 0 {
			if _, err := to.NewSheet(name); err != nil {
				return nil, err
			}
			added = true
		}
		if err := r.renew(name); err != nil {
			return nil, fmt.Errorf("tab %s: %w", name, err)
		}
	}
	if added {
		r.orderTabs()
	}
	r.carryNames()
	return r.notes, nil
}

// orderTabs puts the schedule's tabs in the schedule's order, in the places they have together; the others stay.
func (r *renewal) orderTabs() {
	sheets := r.to.WorkBook.Sheets.Sheet
	order := map[string]int{}
	for i, name := range r.from.GetSheetList() {
		order[strings.ToLower(name)] = i
	}
	before := make([]string, len(sheets))
	for i, sh := range sheets {
		before[i] = sh.Name
	}
	// A new tab stands at the end: it moves behind the schedule's tab before it, the others keep their order.
	sort.SliceStable(sheets, func(i, j int) bool {
		a, mine := order[strings.ToLower(sheets[i].Name)]
		b, other := order[strings.ToLower(sheets[j].Name)]
		return mine && (!other || a < b)
	})
	now := map[string]int{}
	for i, sh := range sheets {
		now[sh.Name] = i
	}
	if views := r.to.WorkBook.BookViews; views != nil {
		for i, v := range views.WorkBookView {
			if v.ActiveTab >= 0 && v.ActiveTab < len(before) {
				views.WorkBookView[i].ActiveTab = now[before[v.ActiveTab]]
			}
		}
	}
	if r.to.WorkBook.DefinedNames == nil {
		return
	}
	names := r.to.WorkBook.DefinedNames.DefinedName
	for i := range names {
		if id := names[i].LocalSheetID; id != nil && *id >= 0 && *id < len(before) {
			moved := now[before[*id]]
			names[i].LocalSheetID = &moved
		}
	}
}

// merge adds to dst what of src it does not have, and gives where each of src stands in it. Equal is what is written alike.
func merge[T any](dst *[]*T, src []*T) ([]int, error) {
	at := map[string]int{}
	for i, x := range *dst {
		key, err := xml.Marshal(x)
		if err != nil {
			return nil, err
		}
		if _, ok := at[string(key)]; !ok {
			at[string(key)] = i
		}
	}
	places := make([]int, len(src))
	for i, x := range src {
		key, err := xml.Marshal(x)
		if err != nil {
			return nil, err
		}
		n, ok := at[string(key)]
		if !ok {
			n = len(*dst)
			*dst = append(*dst, x)
			at[string(key)] = n
		}
		places[i] = n
	}
	return places, nil
}

// mergeStyles brings the schedule's cell formats into the workbook, each once however often it is priced.
func (r *renewal) mergeStyles() error {
	to, from := r.to.Styles, r.from.Styles
	if to == nil || to.Fonts == nil || to.Fills == nil || to.Borders == nil || to.CellXfs == nil {
		return errors.New("no cell formats")
	}
	if from == nil || from.CellXfs == nil {
		return nil // the schedule has none to bring: its cells have the workbook's own
	}
	var fonts, fills, borders []int
	var err error
	if from.Fonts != nil {
		if fonts, err = merge(&to.Fonts.Font, from.Fonts.Font); err != nil {
			return err
		}
		to.Fonts.Count = len(to.Fonts.Font)
	}
	if from.Fills != nil {
		if fills, err = merge(&to.Fills.Fill, from.Fills.Fill); err != nil {
			return err
		}
		to.Fills.Count = len(to.Fills.Fill)
	}
	if from.Borders != nil {
		if borders, err = merge(&to.Borders.Border, from.Borders.Border); err != nil {
			return err
		}
		to.Borders.Count = len(to.Borders.Border)
	}
	numbers := map[int]int{}
	if from.NumFmts != nil {
		if to.NumFmts == nil {
			to.NumFmts = from.NumFmts
		} else {
			next, at := 164, map[string]int{}
			for _, n := range to.NumFmts.NumFmt {
				at[n.FormatCode] = n.NumFmtID
				next = max(next, n.NumFmtID+1)
			}
			for _, n := range from.NumFmts.NumFmt {
				id, ok := at[n.FormatCode]
				if !ok {
					added := *n
					added.NumFmtID, id = next, next
					next++
					to.NumFmts.NumFmt = append(to.NumFmts.NumFmt, &added)
					at[n.FormatCode] = id
				}
				numbers[n.NumFmtID] = id
			}
			to.NumFmts.Count = len(to.NumFmts.NumFmt)
		}
	}
	moved := func(id *int, places []int) *int {
		if id == nil || *id < 0 || *id >= len(places) {
			return id
		}
		n := places[*id]
		return &n
	}
	at := map[string]int{}
	for i := range to.CellXfs.Xf {
		key, err := xml.Marshal(to.CellXfs.Xf[i])
		if err != nil {
			return err
		}
		if _, ok := at[string(key)]; !ok {
			at[string(key)] = i
		}
	}
	zero := 0
	for _, xf := range from.CellXfs.Xf {
		xf.FontID, xf.FillID, xf.BorderID = moved(xf.FontID, fonts), moved(xf.FillID, fills), moved(xf.BorderID, borders)
		if xf.NumFmtID != nil {
			if n, ok := numbers[*xf.NumFmtID]; ok {
				xf.NumFmtID = &n
			}
		}
		if xf.XfID != nil && (to.CellStyleXfs == nil || *xf.XfID >= len(to.CellStyleXfs.Xf)) {
			xf.XfID = &zero // a named style that only the schedule has
		}
		key, err := xml.Marshal(xf)
		if err != nil {
			return err
		}
		n, ok := at[string(key)]
		if !ok {
			n = len(to.CellXfs.Xf)
			to.CellXfs.Xf = append(to.CellXfs.Xf, xf)
			at[string(key)] = n
		}
		r.formats = append(r.formats, n)
	}
	to.CellXfs.Count = len(to.CellXfs.Xf)
	if from.Dxfs != nil {
		if to.Dxfs == nil {
			to.Dxfs = from.Dxfs
			for i := range from.Dxfs.Dxfs {
				r.marks = append(r.marks, i)
			}
			return nil
		}
		if r.marks, err = merge(&to.Dxfs.Dxfs, from.Dxfs.Dxfs); err != nil {
			return err
		}
		to.Dxfs.Count = len(to.Dxfs.Dxfs)
	}
	return nil
}

// conditionalStyle registers a conditional format once a workbook, however often it is priced; the library adds another
// each time.
func conditionalStyle(f *excelize.File, style *excelize.Style) (int, error) {
	id, err := f.NewConditionalStyle(style)
	if err != nil || f.Styles == nil || f.Styles.Dxfs == nil || id != len(f.Styles.Dxfs.Dxfs)-1 {
		return id, err
	}
	known := f.Styles.Dxfs.Dxfs[:id:id]
	at, err := merge(&known, f.Styles.Dxfs.Dxfs[id:])
	if err != nil {
		return 0, err
	}
	if at[0] < id {
		f.Styles.Dxfs.Dxfs = f.Styles.Dxfs.Dxfs[:id]
		f.Styles.Dxfs.Count = id
	}
	return at[0], nil
}

// bytesOf is a part's bytes as the library holds them before it has looked into the part.
func bytesOf(f *excelize.File, part string) []byte {
	b, _ := f.Pkg.Load(part)
	data, _ := b.([]byte)
	return data
}

// strictNames are the names of the strict dialect with what the other dialect calls them; longer ones first.
var strictNames = strings.NewReplacer(
	"http://purl.oclc.org/ooxml/officeDocument/relationships", "http://schemas.openxmlformats.org/officeDocument/2006/relationships",
	"http://purl.oclc.org/ooxml/spreadsheetml/main", "http://schemas.openxmlformats.org/spreadsheetml/2006/main",
	"http://purl.oclc.org/ooxml/drawingml/main", "http://schemas.openxmlformats.org/drawingml/2006/main",
)

func transitional(b []byte) []byte {
	if !bytes.Contains(b, []byte("purl.oclc.org")) {
		return b
	}
	return []byte(strictNames.Replace(string(b)))
}

// partOf finds a tab's part through the workbook's relations.
func partOf(f *excelize.File, tab string) (string, error) {
	const rels = "xl/_rels/workbook.xml.rels"
	for _, sh := range f.WorkBook.Sheets.Sheet {
		if !strings.EqualFold(sh.Name, tab) {
			continue
		}
		list, err := relationsOf(f, rels)
		if err != nil {
			return "", err
		}
		for _, rel := range list.Relationship {
			if rel.ID == sh.ID {
				if strings.HasPrefix(rel.Target, "/") {
					return path.Clean(rel.Target[1:]), nil
				}
				return path.Join("xl", strings.ReplaceAll(rel.Target, `\`, "/")), nil
			}
		}
	}
	return "", errors.New("its part is missing")
}

// relationsOf reads a part of relations, from the library's own list where it has one already.
func relationsOf(f *excelize.File, part string) (relationList, error) {
	var list relationList
	b := bytesOf(f, part)
	if loaded, ok := f.Relationships.Load(part); ok && loaded != nil {
		out, err := xml.Marshal(loaded)
		if err != nil {
			return list, err
		}
		b = out
	}
	if len(b) == 0 {
		return list, nil
	}
	return list, xml.Unmarshal(transitional(b), &list)
}

func relsPart(part string) string {
	dir, base := path.Split(part)
	return dir + "_rels/" + base + ".rels"
}

func (r *renewal) note(tab, format string, args ...any) {
	r.notes = append(r.notes, takeoff.Finding{Severity: takeoff.Note, At: takeoff.Ref{Tab: tab}, Message: fmt.Sprintf(format, args...)})
}

// renew puts the schedule's tab of that name in the place of the workbook's.
func (r *renewal) renew(tab string) error {
	source, err := partOf(r.from, tab)
	if err != nil {
		return err
	}
	target, err := partOf(r.to, tab)
	if err != nil {
		return err
	}
	doc := bytesOf(r.from, source)
	if len(doc) == 0 {
		return errors.New("its part is missing")
	}
	doc = transitional(doc)
	newRels, err := relationsOf(r.from, relsPart(source))
	if err != nil {
		return err
	}
	oldRels, err := relationsOf(r.to, relsPart(target))
	if err != nil {
		return err
	}
	if countShapes(r.from, source, newRels) > countShapes(r.to, target, oldRels) {
		r.note(tab, "a picture or chart that is new on this tab is not carried into the priced workbook")
	}
	ids := map[string]bool{}
	var kept []relationOut
	var oldTables []string
	for _, rel := range oldRels.Relationship {
		switch {
		case strings.HasSuffix(rel.Type, "/hyperlink"):
			continue
		case strings.HasSuffix(rel.Type, "/table"):
			oldTables = append(oldTables, relTarget(target, rel.Target))
			continue
		}
		ids[rel.ID] = true
		kept = append(kept, rel)
	}
	newID := func() string {
		for n := 1; ; n++ {
			if id := "rId" + strconv.Itoa(n); !ids[id] {
				ids[id] = true
				return id
			}
		}
	}
	moved := map[string]string{} // relation of the schedule's tab: relation here
	var tables []string
	for _, rel := range newRels.Relationship {
		switch {
		case strings.HasSuffix(rel.Type, "/hyperlink"):
			id := newID()
			moved[rel.ID] = id
			kept = append(kept, relationOut{ID: id, Type: rel.Type, Target: rel.Target, Mode: rel.Mode})
		case strings.HasSuffix(rel.Type, "/table"):
			id := newID()
			part, err := r.carryTable(relTarget(source, rel.Target), oldTables, len(tables))
			if err != nil {
				return err
			}
			tables = append(tables, id)
			kept = append(kept, relationOut{ID: id, Type: rel.Type, Target: "/" + part})
		}
	}
	var anchors []anchor
	if old := bytesOf(r.to, target); len(old) > 0 {
		if anchors, err = readAnchors(transitional(old), ids); err != nil {
			return err
		}
	}
	out, err := r.rewrite(doc, moved, anchors, tables)
	if err != nil {
		return err
	}
	r.to.Sheet.Delete(target)
	r.to.Pkg.Store(target, out)
	rels := relsPart(target)
	r.to.Relationships.Delete(rels)
	if len(kept) == 0 {
		r.to.Pkg.Delete(rels)
		return nil
	}
	b, err := xml.Marshal(relationList{Relationship: kept})
	if err != nil {
		return err
	}
	r.to.Pkg.Store(rels, append([]byte(xml.Header), b...))
	return nil
}

// relTarget is the part that a relation of another part means.
func relTarget(of, to string) string {
	to = strings.ReplaceAll(to, `\`, "/")
	if strings.HasPrefix(to, "/") {
		return path.Clean(to[1:])
	}
	return path.Join(path.Dir(of), to)
}

// countShapes counts the pictures, charts and shapes that float over a tab.
func countShapes(f *excelize.File, part string, rels relationList) int {
	n := 0
	for _, rel := range rels.Relationship {
		if !strings.HasSuffix(rel.Type, "/drawing") {
			continue
		}
		s := xmlscan.New(bytes.NewReader(bytesOf(f, relTarget(part, rel.Target))))
		for kind, err := s.Next(); err == nil && kind != xmlscan.EOF; kind, err = s.Next() {
			if kind == xmlscan.Start && s.Depth() == 2 && bytes.HasSuffix(s.Name(), []byte("Anchor")) {
				n++
			}
		}
	}
	return n
}

// carryTable puts a table of the schedule's tab into the i-th table part the tab had, or into a new one; the table's
// number is its part's, as the library numbers them.
func (r *renewal) carryTable(source string, old []string, i int) (string, error) {
	b := transitional(bytesOf(r.from, source))
	part := ""
	if i < len(old) {
		part = old[i]
	}
	for n := 1; part == ""; n++ {
		name := fmt.Sprintf("xl/tables/table%d.xml", n)
		if _, taken := r.to.Pkg.Load(name); !taken {
			part = name
			if err := addContentType(r.to, "/"+name, "application/vnd.openxmlformats-officedocument.spreadsheetml.table+xml"); err != nil {
				return "", err
			}
		}
	}
	s := xmlscan.New(bytes.NewReader(b))
	kind, err := s.Next()
	if err != nil {
		return "", err
	}
	if kind != xmlscan.Start {
		return "", errors.New("a table without a root")
	}
	number := strings.TrimSuffix(strings.TrimPrefix(path.Base(part), "table"), ".xml")
	tag := b[s.Token():s.Offset()]
	if _, err := strconv.Atoi(number); err == nil {
		tag = setAttr(tag, "id", number)
	}
	out := append([]byte{}, b[:s.Token()]...)
	out = append(out, tag...)
	r.to.Pkg.Store(part, append(out, b[s.Offset():]...))
	return part, nil
}

// addContentType says what a new part is, in the list as the library holds it.
func addContentType(f *excelize.File, part, kind string) error {
	if f.ContentTypes != nil && len(f.ContentTypes.Overrides) > 0 {
		o := f.ContentTypes.Overrides[0]
		o.PartName, o.ContentType = part, kind
		f.ContentTypes.Overrides = append(f.ContentTypes.Overrides, o)
		return nil
	}
	var list contentTypeList
	if err := xml.Unmarshal(bytesOf(f, contentTypes), &list); err != nil {
		return err
	}
	list.Override = append(list.Override, contentTypePart{PartName: part, ContentType: kind})
	b, err := xml.Marshal(list)
	f.Pkg.Store(contentTypes, append([]byte(xml.Header), b...))
	return err
}

// anchor is an element of a sheet that names a relation: its drawing, its notes.
type anchor struct{ name, id string }

// readAnchors lists what of a tab stays when its cells are renewed.
func readAnchors(doc []byte, ids map[string]bool) ([]anchor, error) {
	var out []anchor
	s := xmlscan.New(bytes.NewReader(doc))
	for {
		kind, err := s.Next()
		if err != nil {
			return nil, err
		}
		if kind == xmlscan.EOF {
			return out, nil
		}
		if kind != xmlscan.Start || s.Depth() != 2 {
			continue
		}
		switch name := string(s.Name()); name {
		case "drawing", "legacyDrawing", "legacyDrawingHF", "picture":
			if id, ok := s.PrefixedAttr("id"); ok && ids[id] {
				out = append(out, anchor{name, id})
			}
		}
		if err := s.Skip(); err != nil {
			return nil, err
		}
	}
}

// readTexts reads the schedule's table of texts with the XML of each, so that bold words in a cell stay bold.
func (r *renewal) readTexts() error {
	doc := transitional(bytesOf(r.from, "xl/sharedStrings.xml"))
	if len(doc) == 0 {
		return nil
	}
	s := xmlscan.New(bytes.NewReader(doc))
	for {
		kind, err := s.Next()
		switch {
		case err != nil:
			return err
		case kind == xmlscan.EOF:
			return nil
		case kind != xmlscan.Start || string(s.Name()) != "si":
			continue
		}
		start := s.Offset()
		empty := bytes.HasSuffix(doc[s.Token():start], []byte("/>"))
		prefixed := bytes.IndexByte(tagName(doc[s.Token():start]), ':') >= 0
		plain, err := readRich(s)
		if err != nil {
			return err
		}
		t := sharedText{plain: plain}
		if !empty && !prefixed {
			t.xml = doc[start:s.Token()]
		}
		r.texts = append(r.texts, t)
	}
}

// tagName is a raw tag's name with its prefix.
func tagName(tag []byte) []byte {
	tag = bytes.TrimLeft(tag, "</")
	if i := bytes.IndexAny(tag, " \t\r\n/>"); i >= 0 {
		tag = tag[:i]
	}
	return tag
}

// attrSpan finds an attribute in a raw tag: from the space before it to behind its quote. Zeros when it is absent.
func attrSpan(tag []byte, match func(name []byte) bool) (from, to int) {
	i := 1 + len(tagName(tag))
	for i < len(tag) {
		start := i
		i += spaceRun(tag[i:])
		name := i
		for i < len(tag) && !bytes.ContainsRune([]byte(" \t\r\n=/>"), rune(tag[i])) {
			i++
		}
		if i == name {
			return 0, 0
		}
		end := i
		i += spaceRun(tag[i:])
		if i >= len(tag) || tag[i] != '=' {
			return 0, 0
		}
		i++
		i += spaceRun(tag[i:])
		if i >= len(tag) {
			return 0, 0
		}
		close := bytes.IndexByte(tag[i+1:], tag[i])
		if close < 0 {
			return 0, 0
		}
		i += close + 2
		if match(tag[name:end]) {
			return start, i
		}
	}
	return 0, 0
}

func spaceRun(b []byte) int { return len(b) - len(bytes.TrimLeft(b, " \t\r\n")) }

func named(name string) func([]byte) bool {
	return func(b []byte) bool { return string(b) == name }
}

// setAttr gives a raw tag with the attribute set; an absent one is added.
func setAttr(tag []byte, name, value string) []byte {
	from, to := attrSpan(tag, named(name))
	if to == 0 {
		from = 1 + len(tagName(tag))
		to = from
	}
	out := append([]byte{}, tag[:from]...)
	out = append(out, ' ')
	out = append(out, name...)
	out = append(out, '=', '"')
	out = append(out, escapeXML(value)...)
	out = append(out, '"')
	return append(out, tag[to:]...)
}

// dropAttr gives a raw tag without the attributes that match.
func dropAttr(tag []byte, match func([]byte) bool) []byte {
	for {
		from, to := attrSpan(tag, match)
		if to == 0 {
			return tag
		}
		tag = append(append([]byte{}, tag[:from]...), tag[to:]...)
	}
}

func escapeXML(s string) string {
	var b bytes.Buffer
	_ = xml.EscapeText(&b, []byte(s)) // a buffer takes everything
	return b.String()
}

// tabCopy copies a part's bytes while its scanner goes through them; what is edited or left out interrupts the copying.
type tabCopy struct {
	s    *xmlscan.Scanner
	doc  []byte
	out  []byte
	last int64 // of doc, copied or left out so far
}

func (c *tabCopy) copyTo(at int64) {
	c.out = append(c.out, c.doc[c.last:at]...)
	c.last = at
}

func (c *tabCopy) put(s string) { c.out = append(c.out, s...) }

// tag is the raw tag of the scanner's last event.
func (c *tabCopy) tag() []byte { return c.doc[c.s.Token():c.s.Offset()] }

// edit copies up to the last tag and that tag changed.
func (c *tabCopy) edit(change func(tag []byte) []byte) {
	c.copyTo(c.s.Token())
	c.out = append(c.out, change(c.tag())...)
	c.last = c.s.Offset()
}

// leaveOut copies up to the tag that has just begun and passes it with all inside it.
func (c *tabCopy) leaveOut() error {
	c.copyTo(c.s.Token())
	err := c.s.Skip()
	c.last = c.s.Offset()
	return err
}

// rewrite copies the bytes of a tab, with the numbers of formats and texts those of the workbook it goes to.
func (r *renewal) rewrite(doc []byte, moved map[string]string, anchors []anchor, tables []string) ([]byte, error) {
	s := xmlscan.New(bytes.NewReader(doc))
	c := &tabCopy{s: s, doc: doc, out: make([]byte, 0, len(doc)+len(doc)/4)}
	prefix := ""
	placed := false
	// place writes what floats over the tab and its tables, where the format wants them.
	place := func(at int64) {
		c.copyTo(at)
		if placed {
			return
		}
		placed = true
		const ns = ` xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships" r:id="`
		for _, a := range anchors {
			c.put("<" + prefix + a.name + ns + a.id + `"/>`)
		}
		if len(tables) > 0 {
			c.put(fmt.Sprintf(`<%stableParts count="%d">`, prefix, len(tables)))
			for _, id := range tables {
				c.put("<" + prefix + "tablePart" + ns + id + `"/>`)
			}
			c.put("</" + prefix + "tableParts>")
		}
	}
	for {
		kind, err := s.Next()
		if err != nil {
			return nil, err
		}
		if kind == xmlscan.EOF {
			c.copyTo(int64(len(doc)))
			return c.out, nil
		}
		if kind == xmlscan.End && s.Depth() == 0 {
			place(s.Token())
			continue
		}
		if kind != xmlscan.Start {
			continue
		}
		name := string(s.Name())
		if s.Depth() == 1 {
			full := tagName(c.tag())
			prefix = string(full[:len(full)-len(name)])
			if bytes.HasSuffix(c.tag(), []byte("/>")) {
				return nil, errors.New("a tab without cells")
			}
			continue
		}
		if s.Depth() == 2 {
			switch name {
			case "drawing", "legacyDrawing", "legacyDrawingHF", "drawingHF", "picture", "oleObjects", "controls", "webPublishItems", "tableParts":
				place(s.Token())
				if err := c.leaveOut(); err != nil {
					return nil, err
				}
				continue
			case "customSheetViews", "AlternateContent":
				if err := c.leaveOut(); err != nil {
					return nil, err
				}
				continue
			case "extLst":
				start := s.Token()
				place(start)
				if err := s.Skip(); err != nil {
					return nil, err
				}
				if bytes.Contains(doc[start:s.Offset()], []byte(`:id="`)) { // lists that live in parts of their own
					c.last = s.Offset()
				}
				continue
			case "pageSetup":
				c.edit(func(tag []byte) []byte { // the settings of a printer stand in a part of their own
					return dropAttr(tag, func(n []byte) bool { return bytes.HasSuffix(n, []byte(":id")) })
				})
				continue
			}
		}
		switch name {
		case "c":
			if err := r.rewriteCell(c); err != nil {
				return nil, err
			}
		case "row":
			if b := s.AttrBytes("s"); b != nil {
				c.edit(func(tag []byte) []byte { return renumber(tag, "s", r.formats) })
			}
		case "col":
			if b := s.AttrBytes("style"); b != nil {
				c.edit(func(tag []byte) []byte { return renumber(tag, "style", r.formats) })
			}
		case "hyperlink":
			if id, ok := s.PrefixedAttr("id"); ok {
				c.edit(func(tag []byte) []byte {
					from, to := attrSpan(tag, func(n []byte) bool { return bytes.HasSuffix(n, []byte(":id")) })
					attr := strings.SplitN(strings.TrimSpace(string(tag[from:to])), "=", 2)[0]
					return setAttr(tag, strings.TrimSpace(attr), moved[id])
				})
			}
		default:
			if b := s.AttrBytes("dxfId"); b != nil {
				c.edit(func(tag []byte) []byte { return renumber(tag, "dxfId", r.marks) })
			}
		}
	}
}

// renumber changes the number in an attribute to where it stands now; a number that stood nowhere is dropped.
func renumber(tag []byte, name string, places []int) []byte {
	from, to := attrSpan(tag, named(name))
	if to == 0 {
		return tag
	}
	value := strings.Trim(strings.TrimSpace(strings.SplitN(string(tag[from:to]), "=", 2)[1]), `"'`)
	n, err := strconv.Atoi(value)
	if err != nil || n < 0 || n >= len(places) {
		return dropAttr(tag, named(name))
	}
	return setAttr(tag, name, strconv.Itoa(places[n]))
}

// rewriteCell copies a cell that has just begun. A text of the shared table is written into the cell.
func (r *renewal) rewriteCell(c *tabCopy) error {
	s := c.s
	shared := string(s.AttrBytes("t")) == "s"
	format, spill := s.AttrBytes("s") != nil, s.AttrBytes("cm") != nil || s.AttrBytes("vm") != nil
	change := func(tag []byte) []byte {
		if format {
			tag = renumber(tag, "s", r.formats)
		}
		if spill && !r.metadata {
			tag = dropAttr(dropAttr(tag, named("cm")), named("vm"))
		}
		return tag
	}
	if !shared {
		if format || spill {
			c.edit(change)
		}
		return nil
	}
	start := s.Token()
	tag := append([]byte{}, c.tag()...)
	if bytes.HasSuffix(tag, []byte("/>")) {
		c.edit(func(tag []byte) []byte { return change(dropAttr(tag, named("t"))) })
		return nil
	}
	full := string(tagName(tag))
	prefix := full[:len(full)-1]
	outside := s.Depth() - 1
	formula, value := "", ""
	for s.Depth() > outside {
		kind, err := s.Next()
		if err != nil {
			return err
		}
		if kind != xmlscan.Start {
			continue
		}
		switch string(s.Name()) {
		case "v":
			if value, _, err = readValue(s); err != nil {
				return err
			}
		case "f":
			from := s.Token()
			if err := s.Skip(); err != nil {
				return err
			}
			formula = string(c.doc[from:s.Offset()])
		default:
			if err := s.Skip(); err != nil {
				return err
			}
		}
	}
	c.copyTo(start)
	c.last = s.Offset()
	n, err := strconv.Atoi(strings.TrimSpace(value))
	if err != nil || n < 0 || n >= len(r.texts) {
		return errors.New("a text that is not in the list of texts")
	}
	text := r.texts[n]
	switch {
	case formula != "":
		c.put(string(change(setAttr(tag, "t", "str"))) + formula + "<" + prefix + "v>" + escapeXML(text.plain) + "</" + prefix + "v></" + full + ">")
	case text.xml != nil && prefix == "":
		c.put(string(change(setAttr(tag, "t", "inlineStr"))) + "<is>" + string(text.xml) + "</is></c>")
	default:
		c.put(string(change(setAttr(tag, "t", "inlineStr"))) + "<" + prefix + "is><" + prefix + `t xml:space="preserve">` + escapeXML(text.plain) + "</" + prefix + "t></" + prefix + "is></" + full + ">")
	}
	return nil
}

// carryNames renews the names the schedule defines: those of its tabs, and those of the whole workbook it still has.
func (r *renewal) carryNames() {
	from := r.from.WorkBook.DefinedNames
	tabs := map[string]bool{}
	fromTabs, toTabs := r.from.WorkBook.Sheets.Sheet, r.to.WorkBook.Sheets.Sheet
	for _, sh := range fromTabs {
		tabs[strings.ToLower(sh.Name)] = true
	}
	global := map[string]bool{}
	if from != nil {
		for _, n := range from.DefinedName {
			if n.LocalSheetID == nil {
				global[strings.ToLower(n.Name)] = true
			}
		}
	}
	if r.to.WorkBook.DefinedNames != nil {
		kept := r.to.WorkBook.DefinedNames.DefinedName[:0]
		for _, n := range r.to.WorkBook.DefinedNames.DefinedName {
			switch id := n.LocalSheetID; {
			case id == nil && global[strings.ToLower(n.Name)]:
			case id != nil && (*id < 0 || *id >= len(toTabs) || tabs[strings.ToLower(toTabs[*id].Name)]):
			default:
				kept = append(kept, n)
			}
		}
		r.to.WorkBook.DefinedNames.DefinedName = kept
	}
	if from == nil || len(from.DefinedName) == 0 {
		return
	}
	names := append(from.DefinedName[:0:0], from.DefinedName...)
	if r.to.WorkBook.DefinedNames == nil {
		r.to.WorkBook.DefinedNames = from // the schedule's own copy is done with
		from.DefinedName = nil
	}
	for _, n := range names {
		if id := n.LocalSheetID; id != nil {
			if *id < 0 || *id >= len(fromTabs) {
				continue
			}
			at := -1
			for i, sh := range toTabs {
				if strings.EqualFold(sh.Name, fromTabs[*id].Name) {
					at = i
				}
			}
			if at < 0 {
				continue
			}
			n.LocalSheetID = &at
		}
		r.to.WorkBook.DefinedNames.DefinedName = append(r.to.WorkBook.DefinedNames.DefinedName, n)
	}
}
