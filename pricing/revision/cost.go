package revision

import (
	"encoding/binary"
	"fmt"
	"sync"
	"sync/atomic"

	"github.com/shopspring/decimal"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/schedule"
)

// Options are how two runs are compared.
type Options struct {
	// Version of wallbill that compares. A run of this version whose total is known is not computed again as the last state.
	Version string
}

// Compare makes the changes from an old run to a new one. Bids of different currencies are an error.
func Compare(old, new *Run, opts Options) (*Changes, error) {
	if old.Currency != new.Currency {
		return nil, fmt.Errorf("%s is in %s and %s in %s: bids of different currencies are not compared", old.Title(), old.Currency, new.Title(), new.Currency)
	}
	c := compareRows(old, new)
	c.makePlan()
	ch := &Changes{FromRun: old.Number, ToRun: new.Number, From: old.Title(), To: new.Title(), OldTotal: old.BidTotal(), NewTotal: new.BidTotal(), Minor: new.Minor}
	ch.Inputs = c.inputChanges()
	ch.Items, ch.Rest = compareItems(old, new)
	if err := c.price(ch, opts); err != nil {
		return nil, err
	}
	return ch, nil
}

// SameInputs tells whether two runs have the same inputs: no row was added, removed or changed, and no run of walls put in
// another order. Where other rows stand is no part of them, unless it moves the bid.
func SameInputs(old, new *Run) bool {
	if old.InputHash == new.InputHash {
		return true
	}
	c := compareRows(old, new)
	for _, t := range c.tables {
		if len(t.runs) > 0 || t.moved && !old.BidTotal().Equal(new.BidTotal()) {
			return false
		}
		for i := range t.slots {
			if t.slots[i].changed {
				return false
			}
		}
	}
	return true
}

// outcome is the bid of a state, not valid where the state is no valid schedule.
type outcome struct {
	total decimal.Decimal
	valid bool
}

// price computes the bid after every edit and makes the edits' costs of their differences.
func (c *comparison) price(ch *Changes, opts Options) error {
	n := len(c.plan)
	known := c.new.Version == opts.Version // the last state is the new run itself
	if n == 0 && known && c.old.Version == opts.Version && c.old.Effort == c.new.Effort && ch.OldTotal.Equal(ch.NewTotal) {
		return nil
	}
	states := c.evaluate(known)
	if known {
		states[n] = outcome{ch.NewTotal, true}
	}
	if !states[n].valid {
		return fmt.Errorf("the inputs of %s cannot be priced by this version (%s)", c.new.Title(), opts.Version)
	}
	total := ch.OldTotal
	var waiting []string // edits whose state is no valid schedule
	step := func(name string, to outcome, silent bool) {
		if !to.valid {
			waiting = append(waiting, name)
			return
		}
		cost := to.total.Sub(total)
		if len(waiting) == 0 && silent && cost.IsZero() {
			return
		}
		ch.Edits = append(ch.Edits, Edit{Name: joined(append(waiting, name)), Cost: cost})
		total, waiting = to.total, nil
	}
	step(rules(c.old, c.new, opts.Version), states[0], true)
	for k, e := range c.plan {
		step(e.name, states[k+1], e.order)
	}
	if !total.Equal(ch.NewTotal) {
		ch.Edits = append(ch.Edits, Edit{Name: "rules of wallbill " + c.new.Version + ", which made " + c.new.Title(), Cost: ch.NewTotal.Sub(total)})
	}
	return nil
}

// rules names the difference that the old inputs have under the rules of now.
func rules(old, new *Run, version string) string {
	switch {
	case old.Version != version:
		return "rules: wallbill " + old.Version + arrow + version
	case old.Effort != new.Effort:
		return "cut effort of the run " + orJob(old.Effort) + arrow + orJob(new.Effort)
	}
	return "old inputs priced again"
}

func orJob(effort string) string {
	if effort == "" {
		return "of the job"
	}
	return effort
}

// evaluate prices the state before the first edit and after each, on every processor; the last one only when its total is
// not known.
func (c *comparison) evaluate(known bool) []outcome {
	n := len(c.plan)
	states := make([]outcome, n+1)
	var todo []int
	same := make([]int, n+1) // an earlier state with the same bid
	group := make([]int, n+1)
	for k := 0; k <= n; k++ {
		same[k] = k
		if k > 0 {
			group[k] = group[k-1]
			e := c.plan[k-1]
			if e.words && k > 1 {
				same[k] = same[k-1]
			}
			if e.scope == scopeTakeoff && same[k] == k {
				group[k]++
			}
		}
		if same[k] == k && !(known && k == n) {
			todo = append(todo, k)
		}
	}
	// The state before the first edit is the old sheet as it was, which may have its rows in another order.
	if n > 0 {
		for k := 1; k <= n; k++ {
			group[k]++
		}
	}
	s := newShared(n + 2)
	for _, k := range todo {
		s.takeoffs[group[k]].left.Add(1)
	}
	takeoff.SideBySide(len(todo), func(i int) {
		k := todo[i]
		states[k] = c.state(k, group[k], s)
		s.done(group[k])
	})
	for k := range states {
		states[k] = states[same[k]]
	}
	return states
}

// shared is what states have in common: the takeoffs of those that differ in prices alone, and the rows, the cut plans of
// pools and the parts of the job that an edit does not touch.
type shared struct {
	takeoffs []sharedTakeoff
	rows     schedule.Memo
	memo     takeoff.Memo
}

type sharedTakeoff struct {
	once sync.Once
	t    *takeoff.Takeoff
	left atomic.Int64 // states that have yet to be priced with it
}

// done says that a state of a group is priced: after the last its takeoff is let go.
func (s *shared) done(group int) {
	if of := &s.takeoffs[group]; of.left.Add(-1) == 0 {
		of.t = nil
	}
}

func newShared(n int) *shared { return &shared{takeoffs: make([]sharedTakeoff, n+1)} }

// state prices the inputs with the first k edits applied.
func (c *comparison) state(k, group int, s *shared) outcome {
	inputs, rows := c.inputs(k)
	job, findings := s.rows.Read(inputs)
	if takeoff.HasErrors(findings) {
		return outcome{}
	}
	if c.new.Effort != "" {
		d, err := decimal.NewFromString(c.new.Effort)
		if err != nil {
			return outcome{}
		}
		job.Settings.Set(takeoff.SetCutEffort, takeoff.SettingValue{Typed: true, Text: c.new.Effort, Num: exact.Dec(d)})
	}
	of := &s.takeoffs[group]
	of.once.Do(func() { of.t = s.memo.Sums(job, c.partKey(k, job, rows)) })
	t := *of.t
	t.Job = job
	if takeoff.HasErrors(t.Findings) {
		return outcome{}
	}
	bid := pricing.Price(&t, pricing.Options{})
	if takeoff.HasErrors(bid.Findings) {
		return outcome{}
	}
	return outcome{plain(bid.Totals.BidTotal), true}
}

// rowSlots are which row of the plan stands in which row of a state's tabs Walls and Openings: twice the slot, and one
// more for the new row. Sheet rows count from 2. Nil for an old sheet whose rows stand in another order.
type rowSlots struct{ walls, openings []int }

// inputs are the rows with the first k edits applied; of 0 the old sheet as it was, which has no slots where its rows stand
// in another order. Ordered rows cost nothing and stay away.
func (c *comparison) inputs(k int) ([]schedule.InputTab, *rowSlots) {
	var all []schedule.InputTab
	if k == 0 && !c.straight {
		for _, t := range c.old.Inputs {
			if t.Spec.Name != "Ordered" {
				all = append(all, t)
			}
		}
		return all, nil
	}
	slots := &rowSlots{}
	for _, t := range c.tables {
		if t.spec.Name == "Ordered" {
			continue
		}
		in := schedule.InputTab{Spec: t.spec, File: t.file, Name: t.spec.Name, Rows: make([]schedule.Input, 0, len(t.slots))}
		at := make([]int, len(t.slots))
		for i := range at {
			at[i] = i
		}
		for _, r := range t.runs {
			if k < r.from {
				for i, place := range r.places {
					at[place] = r.order[i]
				}
			}
		}
		var note *[]int
		switch t.spec.Name {
		case "Walls":
			note = &slots.walls
		case "Openings":
			note = &slots.openings
		}
		for place, i := range at {
			s := &t.slots[i]
			row, which := s.new, 2*i+1
			if k < s.from {
				row, which = s.old, 2*i
			}
			if note != nil {
				*note = append(*note, which)
			}
			if row == nil {
				continue
			}
			r := *row
			r.Row = place + 2 // a row keeps its number whatever rows come and go before it
			in.Rows = append(in.Rows, r)
		}
		all = append(all, in)
	}
	return all, slots
}

// partKey tells the parts of a state that are the same in other states: the rows of their walls and openings and their
// order, and the edits before it that reach beyond their own wall.
func (c *comparison) partKey(k int, job *takeoff.Job, rows *rowSlots) takeoff.PartKey {
	beyond := 0
	for _, e := range c.plan[:k] {
		if e.beyond {
			beyond++
		}
	}
	openings := map[string][]int{}
	for _, o := range job.Openings {
		m := takeoff.ItemKey(o.Wall)
		openings[m] = append(openings[m], o.At.Row)
	}
	which := func(slots []int, row int) int64 {
		if rows == nil {
			return int64(row)
		}
		return int64(slots[row-2])
	}
	var walls, holes []int
	if rows != nil {
		walls, holes = rows.walls, rows.openings
	}
	return func(part []*takeoff.WallLines) string {
		key := make([]byte, 0, 8*len(part)+8)
		if rows == nil {
			key = append(key, 'o')
		}
		key = binary.AppendVarint(key, int64(beyond))
		for _, w := range part {
			key = binary.AppendVarint(key, which(walls, w.At.Row))
			of := openings[takeoff.ItemKey(w.Mark)]
			key = binary.AppendVarint(key, int64(len(of)))
			for _, row := range of {
				key = binary.AppendVarint(key, which(holes, row))
			}
		}
		return string(key)
	}
}
