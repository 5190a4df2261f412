package revision

import (
	"slices"
	"sort"
	"strconv"
	"strings"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
	"wallbill/takeoff/schedule"
)

// slot is a place in the common order of a tab's old and new rows: the new sheet's order, a row that only the old one has
// after the old row before it.
type slot struct {
	old, new *schedule.Input
	from     int // the first state that has the new row in it
	changed  bool
}

// table is one tab of both runs.
type table struct {
	spec     *schedule.TabSpec
	file     string // of a price book; empty for the schedule
	old, new *schedule.InputTab
	slots    []slot
	moved    bool // common rows stand in another order, runs of walls apart
	runs     []*runOrder
}

// runOrder is a run whose old rows stood in another order: until the state from, its places hold them in the old one.
type runOrder struct {
	name   string
	common bool  // walls that both runs have changed order, not only walls that left the run
	places []int // slots, ascending
	order  []int // the slots of the same rows in the old sheet's order
	from   int
}

// comparison is two runs row by row.
type comparison struct {
	old, new *Run
	tables   []*table
	plan     []*edit
	// straight: the old sheet as it was is the common order's old rows, to the letter of the rows that did not change
	straight bool
}

// edit is a step from the old inputs to the new ones.
type edit struct {
	name  string
	slots []*slot
	runs  []*runOrder
	order bool // rows outside runs in the new order: no line of its own where it costs nothing
	words bool // only words for people change: nothing is recomputed
	scope scope
	own   bool // of a wall and its openings, and of no other wall
	price bool // of the price of bars alone: what is bought may change with it, what is counted does not
	// beyond: it may change what is counted of other walls than those of its rows
	beyond bool
}

// compareRows matches the rows of both runs.
func compareRows(old, new *Run) *comparison {
	c := &comparison{old: old, new: new, straight: true}
	for i := range schedule.Tabs {
		spec := &schedule.Tabs[i]
		for _, book := range []bool{false, true} {
			a, b := tabOf(old.Inputs, spec, book), tabOf(new.Inputs, spec, book)
			if a == nil && b == nil {
				continue
			}
			t := newTable(spec, a, b)
			c.tables = append(c.tables, t)
			c.straight = c.straight && t.straight()
		}
	}
	return c
}

func tabOf(inputs []schedule.InputTab, spec *schedule.TabSpec, book bool) *schedule.InputTab {
	for i := range inputs {
		if inputs[i].Spec.Name == spec.Name && (inputs[i].File != "") == book {
			return &inputs[i]
		}
	}
	return nil
}

func newTable(spec *schedule.TabSpec, old, new *schedule.InputTab) *table {
	t := &table{spec: spec, old: old, new: new}
	var oldRows, newRows []schedule.Input
	if old != nil {
		oldRows, t.file = old.Rows, old.File
	}
	if new != nil {
		newRows, t.file = new.Rows, new.File
	}
	at := map[string]int{} // of new rows, by key
	newKeys, oldKeys := keysOf(spec, newRows), keysOf(spec, oldRows)
	for i, k := range newKeys {
		at[k] = i
	}
	pair := make([]int, len(oldRows)) // new row of each old one, -1 for none
	after := map[int][]int{}          // old-only rows by the new row they stand after, -1 at the top
	last := -1
	oldOf := make([]int, len(newRows))
	for i := range oldOf {
		oldOf[i] = -1
	}
	for i, k := range oldKeys {
		j, ok := at[k]
		if !ok {
			pair[i] = -1
			after[last] = append(after[last], i)
			continue
		}
		pair[i], oldOf[j], last = j, i, j
	}
	slotOf := make([]int, len(oldRows))
	gone := func(j int) {
		for _, i := range after[j] {
			slotOf[i] = len(t.slots)
			t.slots = append(t.slots, slot{old: &oldRows[i], changed: true})
		}
	}
	gone(-1)
	for j := range newRows {
		s := slot{new: &newRows[j], changed: true}
		if i := oldOf[j]; i >= 0 {
			s.old = &oldRows[i]
			slotOf[i] = len(t.slots)
			s.changed = differ(spec, s.old, s.new)
		}
		t.slots = append(t.slots, s)
		gone(j)
	}
	if spec.Name == "Walls" {
		t.runOrders(oldRows, slotOf)
		// Runs among each other: where each old row stands once every run is back in its old order.
		at := append([]int(nil), slotOf...)
		for _, r := range t.runs {
			back := map[int]int{}
			for k, s := range r.order {
				back[s] = r.places[k]
			}
			for i, s := range at {
				if to, ok := back[s]; ok {
					at[i] = to
				}
			}
		}
		t.moved = !sort.IntsAreSorted(at)
	} else {
		t.moved = !sort.IntsAreSorted(slotOf)
	}
	return t
}

// straight tells whether the old rows stand in the common order, and those that did not change are spelled alike.
func (t *table) straight() bool {
	if t.moved || len(t.runs) > 0 {
		return false
	}
	for i := range t.slots {
		if s := &t.slots[i]; !s.changed && !slices.Equal(s.old.Cells, s.new.Cells) {
			return false
		}
	}
	return true
}

// runOrders finds the runs whose old rows do not stand in their old order.
func (t *table) runOrders(oldRows []schedule.Input, slotOf []int) {
	run := columnAt(t.spec, "Run")
	type places struct {
		all, common []int
	}
	of := map[string]*places{}
	var names []string
	for i := range oldRows {
		k := fold(oldRows[i].Cells[run])
		p := of[k]
		if p == nil {
			p = &places{}
			of[k] = p
			names = append(names, k)
		}
		p.all = append(p.all, slotOf[i])
		if s := &t.slots[slotOf[i]]; s.new != nil && fold(s.new.Cells[run]) == k {
			p.common = append(p.common, slotOf[i])
		}
	}
	for _, k := range names {
		p := of[k]
		if sort.IntsAreSorted(p.all) {
			continue
		}
		r := &runOrder{order: p.all, places: append([]int(nil), p.all...), common: !sort.IntsAreSorted(p.common)}
		sort.Ints(r.places)
		r.name = t.slots[p.all[0]].old.Cells[run]
		t.runs = append(t.runs, r)
	}
}

// differ tells whether a row has another value in any cell.
func differ(spec *schedule.TabSpec, a, b *schedule.Input) bool {
	for i := range spec.Columns {
		if !schedule.Same(spec, a.Key, i, cell(a, i), cell(b, i)) {
			return true
		}
	}
	return false
}

// cell is a row's cell in a column of the catalogue; rows of an older catalogue may be shorter.
func cell(r *schedule.Input, i int) string {
	if r == nil || i >= len(r.Cells) {
		return ""
	}
	return r.Cells[i]
}

// columnAt is a column's place in the catalogue.
func columnAt(spec *schedule.TabSpec, name string) int {
	for i := range spec.Columns {
		if spec.Columns[i].Name == name {
			return i
		}
	}
	panic("revision: tab " + spec.Name + " has no column " + name)
}

// keysOf are the keys that rows match by: names without case, lengths by value, repeats numbered.
func keysOf(spec *schedule.TabSpec, rows []schedule.Input) []string {
	seen := map[string]int{}
	columns := make([]int, len(spec.Key))
	for i, name := range spec.Key {
		columns[i] = columnAt(spec, name)
	}
	keys := make([]string, len(rows))
	for i := range rows {
		var parts []string
		for _, c := range columns {
			parts = append(parts, keyPart(spec, c, cell(&rows[i], c)))
		}
		k := strings.Join(parts, "\x1f")
		if seen[k]++; seen[k] > 1 {
			k += "\x1f" + strconv.Itoa(seen[k])
		}
		keys[i] = k
	}
	return keys
}

// keyPart is a cell of a key. A core of Forms and Parts stays as typed: items are named by it.
func keyPart(spec *schedule.TabSpec, column int, text string) string {
	if spec.Columns[column].Kind == schedule.LengthColumn && spec.Name != "Forms" && spec.Name != "Parts" {
		if l, err := length.Parse(text, length.Foot); err == nil {
			return strconv.FormatInt(int64(l), 10)
		}
	}
	return fold(text)
}

// inputChanges is section 3: every cell that changed, with where it stands in both.
func (c *comparison) inputChanges() []InputChange {
	var all []InputChange
	for _, t := range c.tables {
		for i := range t.slots {
			s := &t.slots[i]
			if !s.changed {
				continue
			}
			key := ""
			if s.new != nil {
				key = s.new.Key
			} else {
				key = s.old.Key
			}
			for col := range t.spec.Columns {
				a, b := cell(s.old, col), cell(s.new, col)
				if s.old != nil && s.new != nil && schedule.Same(t.spec, s.old.Key, col, a, b) || a == "" && b == "" {
					continue
				}
				all = append(all, InputChange{Tab: t.spec.Name, Key: key, Column: t.spec.Columns[col].Name, Old: a, New: b,
					OldAt: refOf(t.old, s.old, col), NewAt: refOf(t.new, s.new, col)})
			}
		}
	}
	return all
}

// refOf is where a row's cell stands, zero where there is no row.
func refOf(t *schedule.InputTab, r *schedule.Input, col int) takeoff.Ref {
	if r == nil {
		return takeoff.Ref{}
	}
	name := t.Name
	if name == "" {
		name = t.Spec.Name
	}
	at := takeoff.Ref{File: t.File, Tab: name, Row: r.Row}
	if t.Source == nil {
		return at.At(col + 1)
	}
	if col < len(t.Source) {
		return at.At(t.Source[col])
	}
	return at
}

func fold(s string) string { return strings.ToLower(strings.TrimSpace(s)) }

func itoa(n int) string { return strconv.Itoa(n) }
