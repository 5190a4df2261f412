package revision

import (
	"slices"
	"strings"

	"wallbill/takeoff"
	"wallbill/takeoff/schedule"
)

// scope is how much of the bid an edit can move.
type scope uint8

const (
	scopeTakeoff scope = iota // quantities
	scopePrice                // prices and the build-up only: the takeoff stays
)

// definitions are the tabs that others refer to, in the order their edits are applied.
var definitions = []string{"Forms", "Parts", "Bars", "Footings", "Ledges", "Levels", "Pours", "Factors"}

// words are the settings that say who and what, and cost nothing.
var words = map[takeoff.SettingID]bool{
	takeoff.SetJob: true, takeoff.SetJobNumber: true, takeoff.SetRevision: true, takeoff.SetPreparedBy: true,
	takeoff.SetLocation: true, takeoff.SetClient: true, takeoff.SetShipTo: true,
}

// buildUp are the settings that only the pricing reads.
var buildUp = map[takeoff.SettingID]bool{
	takeoff.SetPartLoad: true, takeoff.SetSalesTax: true, takeoff.SetContingency: true, takeoff.SetOverhead: true, takeoff.SetProfit: true,
	takeoff.SetProfitOn: true, takeoff.SetBond: true, takeoff.SetRoundBidTo: true,
}

// makePlan puts the edits in the order they are applied: the order of rows, definitions added or changed, walls with
// their openings, pads, extras, settings, definitions removed, prices.
func (c *comparison) makePlan() {
	var moved []string
	for _, t := range c.tables {
		if t.moved && t.spec.Name != "Ordered" {
			moved = append(moved, t.spec.Name)
		}
	}
	if len(moved) > 0 {
		c.add(&edit{name: strings.Join(moved, ", ") + ": order of rows", order: true})
	}
	rows := func(name string, want func(*slot) bool) {
		for _, t := range c.named(name) {
			for i := range t.slots {
				if s := &t.slots[i]; s.changed && s.from == 0 && want(s) {
					c.row(t, s)
				}
			}
		}
	}
	any := func(*slot) bool { return true }
	stays := func(s *slot) bool { return s.new != nil }
	for _, name := range definitions {
		rows(name, stays)
	}
	c.walls()
	rows("Openings", any) // of no wall
	rows("Pads", any)
	rows("Extras", any)
	rows("Job", func(s *slot) bool { return !words[settingOf(s)] })
	for _, name := range definitions {
		rows(name, any)
	}
	rows("Prices", any)
}

func (c *comparison) named(name string) (tables []*table) {
	for _, t := range c.tables {
		if t.spec.Name == name {
			tables = append(tables, t)
		}
	}
	return tables
}

// add puts an edit after the others; the state after it has its rows new.
func (c *comparison) add(e *edit) {
	c.plan = append(c.plan, e)
	e.beyond = e.scope == scopeTakeoff && !e.words && !e.own && !e.price && len(e.runs) == 0 && !e.order
	for _, s := range e.slots {
		s.from = len(c.plan)
	}
	for _, r := range e.runs {
		r.from = len(c.plan)
	}
}

// row is the edit of one row. A row that went from the job to the price book or back is one edit.
func (c *comparison) row(t *table, s *slot) {
	e := &edit{slots: []*slot{s}, scope: scopeOf(t, s)}
	if other, twin := c.twin(t, s); twin != nil {
		e.slots = append(e.slots, twin)
		from, to := s, twin
		if s.new != nil {
			from, to = twin, s
		}
		where := "to the schedule"
		if s.new != nil && t.file != "" || twin.new != nil && other.file != "" {
			where = "to the price book"
		}
		both := slot{old: from.old, new: to.new}
		e.name = titleOf(t.spec, to.new) + " moved " + where
		if what := cellsOf(t.spec, &both); what != "" {
			e.name += ", " + what
		}
		c.add(e)
		return
	}
	e.name = nameOf(t.spec, s)
	e.words = onlyWords(t.spec, s)
	e.price = t.spec.Name == "Prices" && ofBars(t.spec, s) && onlyIn(t.spec, s, "Price")
	c.add(e)
}

// twin is the same row on the other side: added to the price book where it was removed from the job, or the reverse.
func (c *comparison) twin(t *table, s *slot) (*table, *slot) {
	if s.old != nil && s.new != nil {
		return nil, nil
	}
	key := func(r *schedule.Input) string { return keysOf(t.spec, []schedule.Input{*r})[0] }
	for _, other := range c.named(t.spec.Name) {
		if (other.file == "") == (t.file == "") {
			continue
		}
		for i := range other.slots {
			o := &other.slots[i]
			if !o.changed || o.from > 0 {
				continue
			}
			if s.new == nil && o.old == nil && key(s.old) == key(o.new) || s.old == nil && o.new == nil && key(s.new) == key(o.old) {
				return other, o
			}
		}
	}
	return nil, nil
}

// walls are the edits of walls, each with its openings, and before a run's first wall the order of the run.
func (c *comparison) walls() {
	for _, t := range c.named("Walls") {
		ordered := map[int]*runOrder{}
		for _, r := range t.runs {
			ordered[r.places[0]] = r
		}
		opening := map[string][]*slot{} // changed openings by wall
		var spec *schedule.TabSpec
		for _, o := range c.named("Openings") {
			spec = o.spec
			wall := columnAt(spec, "Wall")
			for i := range o.slots {
				if s := &o.slots[i]; s.changed {
					k := fold(cell(present(s), wall))
					opening[k] = append(opening[k], s)
				}
			}
		}
		mark := columnAt(t.spec, "Wall")
		for i := range t.slots {
			s := &t.slots[i]
			if r := ordered[i]; r != nil {
				c.add(&edit{name: "run " + r.name + ": order", runs: []*runOrder{r}})
			}
			k := fold(cell(present(s), mark))
			var es []*slot
			if s.changed {
				es = append(es, s)
			}
			es = append(es, opening[k]...)
			delete(opening, k)
			if len(es) == 0 {
				continue
			}
			e := &edit{slots: es, name: c.nameOfWall(t.spec, spec, s, es), words: true, own: true}
			for _, o := range es {
				of := spec
				if o == s {
					of = t.spec
				} else if typed := columnAt(spec, "Type"); cell(o.old, typed) != "" || cell(o.new, typed) != "" {
					e.own = false // later openings of the type take its cells
				}
				e.words = e.words && onlyWords(of, o)
			}
			c.add(e)
		}
		c.renamed(t)
	}
}

// renamed offers walls that were likely renamed: one gone and one new that differ in the mark alone.
func (c *comparison) renamed(t *table) {
	mark, notes := columnAt(t.spec, "Wall"), columnAt(t.spec, "Notes")
	like := func(r *schedule.Input) string {
		cells := append([]string(nil), r.Cells...)
		for _, i := range []int{mark, notes} {
			if i < len(cells) {
				cells[i] = ""
			}
		}
		return fold(strings.Join(cells, "\x1f"))
	}
	gone := map[string][]*slot{}
	for i := range t.slots {
		if s := &t.slots[i]; s.new == nil {
			gone[like(s.old)] = append(gone[like(s.old)], s)
		}
	}
	for i := range t.slots {
		s := &t.slots[i]
		if s.old != nil {
			continue
		}
		k := like(s.new)
		if len(gone[k]) == 0 {
			continue
		}
		was := gone[k][0]
		gone[k] = gone[k][1:]
		c.plan[s.from-1].name += " (likely renamed: was " + cell(was.old, mark) + ")"
		c.plan[was.from-1].name += " (likely renamed: now " + cell(s.new, mark) + ")"
	}
}

// present is the new row, or the old one where there is no new one.
func present(s *slot) *schedule.Input {
	if s.new != nil {
		return s.new
	}
	return s.old
}

// settingOf is the setting of a row of Job, −1 for none.
func settingOf(s *slot) takeoff.SettingID {
	for i := range takeoff.Catalogue {
		if fold(takeoff.Catalogue[i].Name) == fold(cell(present(s), 0)) {
			return takeoff.Catalogue[i].ID
		}
	}
	return -1
}

// scopeOf tells what the edit of a row can move. The takeoff reads the rows of bars, planks, rails, truck charges and of
// forms that are cut; all other prices and the rates of the build-up leave it as it is.
func scopeOf(t *table, s *slot) scope {
	switch t.spec.Name {
	case "Job":
		if id := settingOf(s); id >= 0 && buildUp[id] {
			return scopePrice
		}
	case "Prices":
		item := fold(cell(present(s), columnAt(t.spec, "Item")))
		for _, p := range []string{"bar-", "bent-", "plank", "rail", "brace-", "short-load"} {
			if strings.HasPrefix(item, p) {
				return scopeTakeoff
			}
		}
		return scopePrice
	}
	return scopeTakeoff
}

// ofBars tells whether a row of Prices is of bars: what they cost decides which are bought, not what is counted. The length
// of a plank or rail, and so how many there are, goes by their prices.
func ofBars(spec *schedule.TabSpec, s *slot) bool {
	return takeoff.BarOfItem(cell(present(s), columnAt(spec, "Item"))) != nil
}

// onlyWords tells whether only cells for people changed: the bid cannot.
func onlyWords(spec *schedule.TabSpec, s *slot) bool {
	if spec.Name == "Extras" {
		return onlyIn(spec, s, "Note", "Description")
	}
	return onlyIn(spec, s, "Notes", "Note", "Description")
}

// onlyIn tells whether only cells of these columns changed.
func onlyIn(spec *schedule.TabSpec, s *slot, columns ...string) bool {
	if s.old == nil || s.new == nil {
		return false
	}
	for i := range spec.Columns {
		if !slices.Contains(columns, spec.Columns[i].Name) && !schedule.Same(spec, s.old.Key, i, cell(s.old, i), cell(s.new, i)) {
			return false
		}
	}
	return true
}
