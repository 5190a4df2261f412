package schedule

import (
	"slices"
	"sync"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// Memo remembers the rows of schedules that differ little and are read one after another, or several at a time. The zero
// Memo remembers nothing yet.
//
// A row is the same one where its cells are the same memory, and it stands in the same row of a tab with the same columns.
// The job of a Memo's reading that has errors is of no use, and neither are its findings but the first: cells that a
// finding was made of are not left out of what is read after them.
type Memo struct {
	mu   sync.Mutex
	kept map[keptKey]*keptRow
	tabs []*table // that rows were read for
}

// keptKey is what a row's values follow from.
type keptKey struct {
	table     *table // of Memo.tabs
	cells     *string
	row       int
	lengthsIn takeoff.LengthUnit
	report    length.System
}

type keptRow struct {
	once     sync.Once
	rec      *record // nil: blank, or a comment
	findings []takeoff.Finding
}

// Read is Read of the inputs' books, with rows remembered. The job does not say which blanks took their values from where.
func (m *Memo) Read(inputs []InputTab) (*takeoff.Job, []takeoff.Finding) {
	r := newReader()
	r.memo, r.inputs = m, inputs
	heads := slices.Clone(inputs)
	for i := range heads {
		if heads[i].Spec.Name != "Job" {
			heads[i].Rows = nil // they are read from the inputs
		}
	}
	r.books(Books(heads))
	r.build()
	return r.job, r.sorted()
}

// input is the tab whose rows are remembered; nil: they are to be read. The Job's are: what they mean depends on others.
func (r *reader) input(t *table) *InputTab {
	if t.spec.Name == "Job" {
		return nil
	}
	for i := range r.inputs {
		if in := &r.inputs[i]; in.Spec == t.spec && in.File == t.file {
			return in
		}
	}
	return nil
}

// remembered are the rows of a tab, read where they are not remembered.
func (r *reader) remembered(t *table, in *InputTab) {
	like := r.memo.like(t)
	t.records = make([]*record, 0, len(in.Rows))
	of := make([]*keptRow, len(in.Rows))
	r.memo.mu.Lock()
	for i := range in.Rows {
		if len(in.Rows[i].Cells) == 0 {
			of[i] = &keptRow{}
			continue
		}
		k := keptKey{like, &in.Rows[i].Cells[0], in.Rows[i].Row, r.lengthsIn, r.job.Report}
		if of[i] = r.memo.kept[k]; of[i] == nil {
			of[i] = &keptRow{}
			r.memo.kept[k] = of[i]
		}
	}
	r.memo.mu.Unlock()
	for i, kept := range of {
		kept.once.Do(func() {
			said := r.findings
			r.findings = nil
			kept.rec = r.row(like, in.row(i), nil)
			kept.findings, r.findings = r.findings, said
		})
		r.findings = append(r.findings, kept.findings...)
		if kept.rec != nil {
			t.records = append(t.records, kept.rec)
		}
	}
}

// like is the memo's table with the same columns, which stands for it in the rows.
func (m *Memo) like(t *table) *table {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.kept == nil {
		m.kept = map[keptKey]*keptRow{}
	}
	for _, o := range m.tabs {
		if o.spec == t.spec && o.file == t.file && o.name == t.name && slices.Equal(o.at, t.at) {
			return o
		}
	}
	o := *t
	m.tabs = append(m.tabs, &o)
	return &o
}
