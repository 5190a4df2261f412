package schedule

import (
	"sort"
	"strings"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
	"wallbill/takeoff/number"
)

// table is a tab of the schedule or of its price book, its headers found and its rows read cell by cell.
type table struct {
	spec    *TabSpec
	file    string         // empty for the schedule
	name    string         // as the workbook spells it
	columns map[string]int // header key of a catalogue column to its sheet column
	places  map[string]int // of the spec
	at      []int          // sheet column by catalogue column; 0: not there
	records []*record
}

// record is a row with its values in the order of the tab's catalogue columns, nil where a cell is blank.
type record struct {
	table  *table
	number int
	values []*value
}

// places are the places of the catalogue's columns by their names, tab by tab.
var places = func() map[*TabSpec]map[string]int {
	all := map[*TabSpec]map[string]int{}
	for i := range Tabs {
		all[&Tabs[i]] = map[string]int{}
		for j := range Tabs[i].Columns {
			all[&Tabs[i]][Tabs[i].Columns[j].Name] = j
		}
	}
	return all
}()

// headerPlaces are the same by the keys of their headers.
var headerPlaces = func() map[*TabSpec]map[string]int {
	all := map[*TabSpec]map[string]int{}
	for spec, columns := range places {
		all[spec] = map[string]int{}
		for name, j := range columns {
			all[spec][headerKey(name)] = j
		}
	}
	return all
}()

// v is the row's value in a column of the catalogue. It is not to be changed.
func (r *record) v(column string) *value {
	if v := r.values[r.index(column)]; v != nil {
		return v
	}
	return &nothing
}

// nothing is the value of every blank cell. Where the cell is the row knows.
var nothing value

func (r *record) index(column string) int {
	if i, ok := r.table.places[column]; ok {
		return i
	}
	panic("schedule: tab " + r.table.spec.Name + " has no column " + column)
}

// refused marks a cell as one that a finding was made of.
func (r *reader) refused(rec *record, column string) {
	if r.memo != nil {
		return // other readings have the row too, and this one is refused whole
	}
	i := rec.index(column)
	if rec.values[i] == nil {
		rec.values[i] = &value{at: rec.at(column)}
	}
	rec.values[i].state = bad
}

// ref is the whole row.
func (r *record) ref() takeoff.Ref {
	return takeoff.Ref{File: r.table.file, Tab: r.table.name, Row: r.number}
}

// label is what findings call the row: "wall W-07"; empty when it has no name.
func (r *record) label() string {
	v := r.v(r.table.spec.Label)
	if v.word == "" {
		return ""
	}
	return r.table.spec.Row + " " + v.word
}

// subject is what findings call a cell of the row: "Height, wall W-07".
func (r *record) subject(column string) string {
	if column == "Value" && r.table.spec.Name == "Job" {
		if w := r.v("Setting").word; w != "" {
			return w
		}
	}
	if l := r.label(); l != "" && column != r.table.spec.Label {
		return column + ", " + l
	}
	return column
}

// subjectOf is what findings call a value of the row, or the column alone where the value stands elsewhere (on the row's
// level, its type, the Job): other rows that take the value make the same finding, which is shown once.
func (r *record) subjectOf(column string, v *value) string {
	if v.at == r.v(column).at {
		return r.subject(column)
	}
	return column
}

// findTab is the book's tab of that name: spelled so, else without case and surrounding spaces.
func findTab(b Book, name string) *Tab {
	var found *Tab
	for i := range b.Tabs {
		if b.Tabs[i].Name == name {
			return &b.Tabs[i]
		}
		if found == nil && fold(b.Tabs[i].Name) == fold(name) {
			found = &b.Tabs[i]
		}
	}
	return found
}

// tabs finds the tabs of a book, reports missing ones and near typos, and reads their headers.
func (r *reader) tabs(b Book, file string) map[string]*table {
	found := map[string]*table{}
	known := map[string]bool{}
	for i := range Tabs {
		spec := &Tabs[i]
		if file != "" && !spec.Book {
			continue
		}
		tab := findTab(b, spec.Name)
		if tab == nil {
			continue
		}
		known[tab.Name] = true
		found[spec.Name] = r.headers(spec, tab, file)
	}
	var missing []string
	for i := range Tabs {
		if file != "" && !Tabs[i].Book {
			continue
		}
		if found[Tabs[i].Name] == nil {
			missing = append(missing, Tabs[i].Name)
		}
	}
	near := map[string]string{} // missing tab to the tab that looks like it
	for _, t := range b.Tabs {
		if known[t.Name] {
			continue
		}
		if name := takeoff.Nearest(strings.TrimSpace(t.Name), missing); name != "" {
			near[name] = t.Name
			if !TabNamed(name).Required || file != "" {
				r.say(takeoff.Note, takeoff.Ref{File: file, Tab: t.Name}, "", "not a tab of the schedule, left alone; did you mean '"+name+"'?")
			}
		}
	}
	for _, name := range missing {
		if !TabNamed(name).Required || file != "" {
			continue
		}
		f := takeoff.Finding{Severity: takeoff.Error, At: takeoff.Ref{Tab: name}, Message: "the tab is missing", Accepted: "the tabs Job and Walls at least"}
		if t := near[name]; t != "" {
			f.Message += "; the tab '" + t + "' looks like it"
			f.Try = "rename '" + t + "' to '" + name + "'"
		}
		r.findings = append(r.findings, f)
	}
	return found
}

// headers matches row 1 of a tab to the catalogue's columns.
func (r *reader) headers(spec *TabSpec, tab *Tab, file string) *table {
	t := &table{spec: spec, file: file, name: tab.Name, columns: map[string]int{}, places: places[spec], at: make([]int, len(spec.Columns))}
	head := tab.header()
	type stranger struct {
		col  int
		text string
	}
	var strangers []stranger
	for i, c := range head.Cells {
		at := takeoff.Ref{File: file, Tab: tab.Name, Row: 1, Col: i + 1}
		switch c.Kind {
		case Failed:
			r.find(takeoff.Finding{Severity: takeoff.Error, At: at, Message: "the header holds the error " + c.Value})
			continue
		case NoValue:
			r.find(takeoff.Finding{Severity: takeoff.Error, At: at, Message: noValue})
			continue
		}
		text := strings.TrimSpace(c.Value)
		if c.Kind == Number {
			if d, err := number.Read(c.Value); err == nil {
				text = number.Text(d)
			}
		}
		if text == "" {
			continue
		}
		n, ok := headerPlaces[spec][headerKey(text)]
		if !ok {
			strangers = append(strangers, stranger{i + 1, text})
			continue
		}
		name := spec.Columns[n].Name
		if first := t.at[n]; first > 0 {
			r.find(takeoff.Finding{Severity: takeoff.Error, At: at, Message: "the column '" + name + "' stands here and at " + at.At(first).String(), Accepted: "one column of that name"})
			continue
		}
		t.at[n] = i + 1
		t.columns[strings.ToLower(name)] = i + 1
	}
	var absent []string
	for j := range spec.Columns {
		if t.at[j] == 0 {
			absent = append(absent, spec.Columns[j].Name)
		}
	}
	for _, s := range strangers {
		message := "not a column of " + spec.Name + ": '" + s.text + "'"
		if near := takeoff.Nearest(headerKey(s.text), absent); near != "" {
			message += "; did you mean '" + near + "'?"
		}
		r.find(takeoff.Finding{Severity: takeoff.Note, At: takeoff.Ref{File: file, Tab: tab.Name, Row: 1, Col: s.col}, Message: message})
	}
	if empty(tab) && !spec.Required {
		return t
	}
	for j := range spec.Columns {
		if c := &spec.Columns[j]; c.Required && t.at[j] == 0 {
			r.find(takeoff.Finding{Severity: takeoff.Error, At: takeoff.Ref{File: file, Tab: tab.Name, Row: 1}, Message: "the column '" + c.Name + "' is missing"})
		}
	}
	r.nameless(t, tab, head)
	return t
}

// nameless notes a column whose header is blank but whose cells are not: nothing of it is read.
func (r *reader) nameless(t *table, tab *Tab, head Row) {
	seen := map[int]bool{}
	for _, row := range tab.Rows {
		if row.Number <= 1 || comment(t, row) {
			continue
		}
		for i, c := range row.Cells {
			if c.blank() || seen[i] || !head.cell(i+1).blank() {
				continue
			}
			seen[i] = true
			r.find(takeoff.Finding{Severity: takeoff.Note, At: takeoff.Ref{File: t.file, Tab: tab.Name, Row: row.Number, Col: i + 1}, Message: "the column has no header; its cells are not read"})
		}
	}
}

func empty(tab *Tab) bool {
	for _, row := range tab.Rows {
		for _, c := range row.Cells {
			if !c.blank() {
				return false
			}
		}
	}
	return true
}

// comment tells whether a row is the user's own: its first cell starts with #. A bar size in a first column of bar sizes is
// none.
func comment(t *table, row Row) bool {
	c := row.cell(1)
	if c.Kind != Text || !strings.HasPrefix(strings.TrimSpace(c.Value), "#") {
		return false
	}
	for j, at := range t.at {
		if at == 1 && t.spec.Columns[j].Kind == BarColumn && takeoff.BarBySize(c.Value) != nil {
			return false
		}
	}
	return true
}

// rows reads the tab's rows cell by cell.
func (r *reader) rows(t *table, tab *Tab) {
	if in := r.input(t); in != nil {
		r.remembered(t, in)
		return
	}
	units := r.headerUnits(t, tab)
	rows := append([]Row(nil), tab.Rows...)
	sort.SliceStable(rows, func(i, j int) bool { return rows[i].Number < rows[j].Number })
	for _, row := range rows {
		if rec := r.row(t, row, units); rec != nil {
			t.records = append(t.records, rec)
		}
	}
}

// row reads a row; nil for blank rows and comments.
func (r *reader) row(t *table, row Row, units map[int]*headerUnit) *record {
	if row.Number <= 1 || comment(t, row) {
		return nil
	}
	void := true
	for _, at := range t.at {
		void = void && row.cell(at).blank()
	}
	if void {
		return nil
	}
	rec := &record{table: t, number: row.Number, values: make([]*value, len(t.spec.Columns))}
	for j := range t.spec.Columns { // names first: findings of the other cells carry the row's label
		if t.spec.Columns[j].Name == t.spec.Label {
			rec.values[j] = &value{word: labelOf(row.cell(t.at[j]))}
		}
	}
	for j := range t.spec.Columns {
		c := &t.spec.Columns[j]
		at := rec.ref().At(t.at[j])
		cell := row.cell(t.at[j])
		v := r.value(rec, c, cell, at)
		if v == nil && c.Required && t.at[j] > 0 {
			r.find(takeoff.Finding{Severity: takeoff.Error, At: at, Subject: rec.subject(c.Name), Message: "is missing"})
			v = &value{at: at, state: bad}
		}
		rec.values[j] = v
		if u, ok := units[j]; ok && !u.said && bareNumber(cell) {
			u.said = true
			r.find(takeoff.Finding{Severity: takeoff.Warning, At: takeoff.Ref{File: t.file, Tab: t.name, Row: 1, Col: t.at[j]},
				Message: "the header says " + u.typed + ", but a bare number of this column is in " + unitName(c.Unit(r.lengthsIn)), Accepted: "lengths with their unit, or bare numbers in " + unitName(c.Unit(r.lengthsIn))})
		}
	}
	return rec
}

// headerUnit is a unit of length in a header's brackets that is not the unit bare numbers are read in.
type headerUnit struct {
	typed string
	said  bool
}

func (r *reader) headerUnits(t *table, tab *Tab) map[int]*headerUnit {
	units := map[int]*headerUnit{}
	for j := range t.spec.Columns {
		text := strings.ToLower(strings.TrimSpace(tab.header().cell(t.at[j]).Value))
		i := strings.LastIndexAny(text, "([")
		if i < 0 {
			continue
		}
		u := strings.Trim(text[i:], "()[] .")
		want := t.spec.Columns[j].Unit(r.lengthsIn)
		switch u {
		case "ft", "in", "m", "mm", "cm":
			if want != "" && u != string(want) {
				units[j] = &headerUnit{typed: u}
			}
		}
	}
	return units
}

func bareNumber(c Cell) bool {
	if c.Kind == Number {
		return true
	}
	_, ok := number.Plain(c.Value)
	return c.Kind == Text && ok
}

// labelOf is a name cell's text before it is read.
func labelOf(c Cell) string {
	switch c.Kind {
	case Text, Bool:
		return strings.TrimSpace(c.Value)
	case Number:
		if d, err := number.Read(c.Value); err == nil {
			return number.Text(d)
		}
	}
	return ""
}

// blank tells whether nothing is in the cell: nothing was typed, only spaces, or a formula gives an empty text.
func (c Cell) blank() bool {
	switch c.Kind {
	case Failed, NoValue:
		return false
	}
	return c.Kind == Blank || strings.TrimSpace(c.Value) == ""
}

// edges are a length column's limits.
func edges(c *ColumnSpec) (lo, hi *length.Length) { return edgeLengths[c.Min], edgeLengths[c.Max] }

// edgeLengths are the limits of all length columns by their text.
var edgeLengths = func() map[string]*length.Length {
	m := map[string]*length.Length{}
	for i := range Tabs {
		for j := range Tabs[i].Columns {
			c := &Tabs[i].Columns[j]
			for _, text := range []string{c.Min, c.Max} {
				if c.Kind != LengthColumn || text == "" || m[text] != nil {
					continue
				}
				l, err := length.Parse(text, length.Inch)
				if err != nil {
					panic("schedule: range of " + c.Name + ": " + err.Error())
				}
				m[text] = &l
			}
		}
	}
	return m
}()

// unitName is a unit's name in words.
func unitName(u takeoff.LengthUnit) string {
	switch u {
	case takeoff.InInches:
		return "inches"
	case takeoff.InMetres:
		return "metres"
	case takeoff.InMM:
		return "millimetres"
	}
	return "feet"
}
