package schedule

import (
	"slices"
	"sort"
	"strings"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// reader is one reading of a schedule.
type reader struct {
	job       *takeoff.Job
	findings  []takeoff.Finding
	lengthsIn takeoff.LengthUnit
	tables    map[string]*table // of the schedule, by catalogue name
	book      map[string]*table // of the price book
	tabNames  []string          // of the schedule, in its order, then of the price book
	memo      *Memo             // of rows read before; nil: none
	inputs    []InputTab        // whose rows the memo may have

	levels    map[string]*level
	bars      map[string]*takeoff.BarMark
	footings  map[string]*takeoff.FootingMark
	ledges    map[string]*takeoff.LedgeMark
	forms     map[formKey]*takeoff.FormRow
	formLines map[string]string // spelling by folded name
	walls     map[string]*takeoff.Wall
	pours     map[string]string // spelling by folded name
	inUse     map[string]bool   // pours that something stands in
	suggested int               // names not found so far
	lengths   map[typedLength]lengthRead
	badMarks  map[string]bool // tab and folded mark of rows with an error: a reference to them is no further error
}

// PriceBookPath is the path that the Job tab's Price book setting names, and its cell. ok is false where it names none.
func PriceBookPath(schedule Book) (path string, at takeoff.Ref, ok bool) {
	r := newReader()
	tab := findTab(schedule, "Job")
	if tab == nil {
		return "", takeoff.Ref{}, false
	}
	t := r.headers(TabNamed("Job"), tab, "")
	r.rows(t, tab)
	for _, rec := range t.records {
		if s := rec.v("Setting").setting; s != nil && s.ID == takeoff.SetPriceBook {
			if v := rec.v("Value"); v.has() && v.plain.Kind == Text { // any other cell is no path
				return v.text, v.at, true
			}
		}
	}
	return "", takeoff.Ref{}, false
}

// Read reads a schedule, with the rows of its price book when there is one: nil where the Job names none, or where the
// caller could not open it and says so itself. It returns every finding, in the order of the workbook's tabs, rows and
// columns, those of the price book last. The job is complete only when no finding is an error.
func Read(schedule Book, priceBook *Book) (*takeoff.Job, []takeoff.Finding) {
	r := newReader()
	r.books(schedule, priceBook)
	r.build()
	return r.job, r.sorted()
}

func newReader() *reader {
	return &reader{
		job:       &takeoff.Job{Settings: takeoff.NewSettings(length.FeetInches)},
		lengthsIn: takeoff.InFeet,
		levels:    map[string]*level{},
		bars:      map[string]*takeoff.BarMark{},
		footings:  map[string]*takeoff.FootingMark{},
		ledges:    map[string]*takeoff.LedgeMark{},
		forms:     map[formKey]*takeoff.FormRow{},
		formLines: map[string]string{},
		walls:     map[string]*takeoff.Wall{},
		pours:     map[string]string{},
		inUse:     map[string]bool{},
		lengths:   map[typedLength]lengthRead{},
		badMarks:  map[string]bool{},
	}
}

// books reads the cells of both workbooks into records. The Job tab comes first: it says what a bare number is in.
func (r *reader) books(schedule Book, priceBook *Book) {
	for _, t := range schedule.Tabs {
		r.tabNames = append(r.tabNames, t.Name)
	}
	r.tables = r.tabs(schedule, "")
	if t := r.tables["Job"]; t != nil {
		r.rows(t, findTab(schedule, "Job"))
		r.settings(t)
	}
	for i := range Tabs {
		if t := r.tables[Tabs[i].Name]; t != nil && Tabs[i].Name != "Job" {
			r.rows(t, findTab(schedule, Tabs[i].Name))
		}
	}
	if priceBook == nil {
		return
	}
	file := priceBook.File
	if file == "" {
		file = "price book"
	}
	for _, t := range priceBook.Tabs {
		if findTab(schedule, t.Name) == nil {
			r.tabNames = append(r.tabNames, t.Name)
		}
	}
	r.book = r.tabs(*priceBook, file)
	for i := range Tabs {
		if t := r.book[Tabs[i].Name]; t != nil {
			r.rows(t, findTab(*priceBook, Tabs[i].Name))
		}
	}
}

// build makes the job of the records: definitions before what refers to them.
func (r *reader) build() {
	r.buildForms()
	r.buildPours()
	r.buildBars()
	r.buildFootings()
	r.buildLedges()
	r.buildLevels()
	r.buildWalls()
	r.buildOpenings()
	r.buildPads()
	r.buildParts()
	r.buildPrices()
	r.buildFactors()
	r.buildExtras()
	r.buildOrdered()
	r.idlePours()
}

// own are the records of a tab of the schedule.
func (r *reader) own(tab string) []*record {
	if t := r.tables[tab]; t != nil {
		return t.records
	}
	return nil
}

// merged are the records of a tab of the schedule and of its price book. Rows of the schedule win over rows of the book
// with the same key.
func (r *reader) merged(tab string, key func(*record) string) []*record {
	own := r.own(tab)
	t := r.book[tab]
	if t == nil {
		return own
	}
	taken := map[string]bool{}
	for _, rec := range own {
		taken[key(rec)] = true
	}
	all := append([]*record(nil), own...)
	for _, rec := range t.records {
		if !taken[key(rec)] {
			all = append(all, rec)
		}
	}
	return all
}

// byMark is the key of the tabs whose rows have a mark of their own.
func byMark(column string) func(*record) string {
	return func(rec *record) string { return fold(rec.v(column).word) }
}

// unique reports the rows of a tab that repeat a key, each once with the row that has it first; it returns the first ones.
func (r *reader) unique(records []*record, column string, key func(*record) string, what string) []*record {
	first := map[string]*record{}
	var kept []*record
	for _, rec := range records {
		k := key(rec)
		if !rec.v(column).has() || k == "" {
			continue
		}
		if f := first[k]; f != nil {
			at := rec.at(column)
			r.find(takeoff.Finding{Severity: takeoff.Error, At: at, Subject: rec.subject(column), Message: what + " stands on " + rowOf(f) + " already", Accepted: "one row each"})
			continue
		}
		first[k] = rec
		kept = append(kept, rec)
	}
	return kept
}

// rowOf names a row: "row 12", with its file where that is a price book.
func rowOf(rec *record) string { return rec.ref().String() }

func (r *reader) find(f takeoff.Finding) { r.findings = append(r.findings, f) }

func (r *reader) say(s takeoff.Severity, at takeoff.Ref, subject, message string) {
	r.find(takeoff.Finding{Severity: s, At: at, Subject: subject, Message: message})
}

// fault reports an error at a cell of a row.
func (r *reader) fault(rec *record, column, message, accepted, try string) {
	v := rec.v(column)
	r.find(takeoff.Finding{Severity: takeoff.Error, At: rec.at(column), Subject: rec.subject(column), Message: message, Cell: v.cell, Accepted: accepted, Try: try})
	r.refused(rec, column)
}

// warn reports a warning at a cell of a row.
func (r *reader) warn(rec *record, column, message string) {
	r.find(takeoff.Finding{Severity: takeoff.Warning, At: rec.at(column), Subject: rec.subject(column), Message: message, Cell: rec.v(column).cell})
}

// note reports a note at a cell of a row.
func (r *reader) note(rec *record, column, message string) {
	r.find(takeoff.Finding{Severity: takeoff.Note, At: rec.at(column), Subject: rec.subject(column), Message: message, Cell: rec.v(column).cell})
}

// at is the place of a cell; the row where the schedule has no such column.
func (rec *record) at(column string) takeoff.Ref {
	return rec.ref().At(rec.table.at[rec.index(column)])
}

// missing reports a cell that something else makes necessary.
func (r *reader) missing(rec *record, column, message string) {
	if v := rec.v(column); v.state == blank {
		r.find(takeoff.Finding{Severity: takeoff.Error, At: rec.at(column), Subject: rec.subject(column), Message: message})
		r.refused(rec, column)
	}
}

// without reports a count or spacing that counts nothing for want of its bar.
func (r *reader) without(rec *record, bar string, columns ...string) {
	if rec.v(bar).state != blank {
		return
	}
	for _, c := range columns {
		if v := rec.v(c); v.has() && !(rec.table.spec.Column(c).Kind == CountColumn && v.num.IsZero()) {
			r.warn(rec, c, "counts nothing without a "+bar)
		}
	}
}

// refer finds what a cell names among the rows of another tab; the error suggests a near one. A row that has errors of its
// own is found silently.
func (r *reader) refer(v *value, subject, what, tab string, names func() []string) {
	if r.badMarks[tab+"\x00"+fold(v.word)] {
		return
	}
	r.unknown(v.at, subject, what+" is not defined in "+tab, v.cell, v.word, "", names)
	if r.memo == nil {
		v.state = bad
	}
}

// mostSuggestions bounds the names looked for: a schedule of many thousand rows whose names are all wrong is reported, but
// not compared name by name.
const mostSuggestions = 500

// unknown reports a name that nothing has, with the names there are and a near one, which prefix makes a whole cell.
func (r *reader) unknown(at takeoff.Ref, subject, message, cell, name, prefix string, names func() []string) {
	f := takeoff.Finding{Severity: takeoff.Error, At: at, Subject: subject, Message: message, Cell: cell}
	if r.suggested++; r.suggested <= mostSuggestions {
		all := names()
		f.Accepted, f.Try = among(all), takeoff.Nearest(name, all)
		if f.Try != "" {
			f.Try = prefix + f.Try
		}
	}
	r.find(f)
}

func (r *reader) levelNames() []string {
	return namesOf(r.job.Levels, func(l *takeoff.Level) string { return l.Name })
}

func (r *reader) wallNames() []string {
	return namesOf(r.job.Walls, func(w *takeoff.Wall) string { return w.Mark })
}

func (r *reader) barNames() []string {
	return namesOf(r.job.Bars, func(b *takeoff.BarMark) string { return b.Mark })
}

func (r *reader) footingNames() []string {
	return namesOf(r.job.Footings, func(f *takeoff.FootingMark) string { return f.Mark })
}

func (r *reader) ledgeNames() []string {
	return namesOf(r.job.Ledges, func(l *takeoff.LedgeMark) string { return l.Mark })
}

func (r *reader) lineNames() []string { return spellings(r.formLines) }

func (r *reader) pourNames() []string { return spellings(r.pours) }

func namesOf[T any](rows []T, name func(T) string) []string {
	var names []string
	for _, row := range rows {
		names = append(names, name(row))
	}
	return names
}

// spellings are the names of a map by folded name.
func spellings(names map[string]string) []string {
	var all []string
	for _, s := range names {
		all = append(all, s)
	}
	return all
}

// among lists names for a message, a dozen at most.
func among(names []string) string {
	const most = 12
	if len(names) == 0 {
		return ""
	}
	names = append([]string(nil), names...)
	sort.Strings(names)
	names = slices.Compact(names)
	if len(names) > most {
		names = append(names[:most], "…")
	}
	return strings.Join(names, ", ")
}

// sorted are the findings in the order of the workbook; equal ones once.
func (r *reader) sorted() []takeoff.Finding {
	takeoff.SortFindings(r.findings, r.tabNames)
	seen := map[takeoff.Finding]bool{}
	kept := r.findings[:0:0]
	for _, f := range r.findings {
		if !seen[f] {
			kept = append(kept, f)
		}
		seen[f] = true
	}
	return kept
}

// inherited notes for Basis where a wall's blank cell took its value.
func (r *reader) inherited(at takeoff.Ref, wall, column, value, from string) {
	if r.memo != nil {
		return // nobody lists them
	}
	r.job.Inherited = append(r.job.Inherited, takeoff.Inherited{At: at, Wall: wall, Column: column, Value: value, From: from})
}
