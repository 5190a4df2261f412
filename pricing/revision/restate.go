package revision

// Restate gives the changes of a run whose inputs are priced once more: the same, when the bid is the same. Where other
// rules make another bid of the same inputs, their difference is a line of its own, first, and the items are compared with
// the baseline again, whose values the record has.
func Restate(prev, now *Run) *Changes {
	c := prev.Changes
	if c == nil {
		return nil
	}
	same := *c
	same.ToRun, same.To = prev.Number, now.Title()
	if c.Note != "" || now.BidTotal().Equal(prev.BidTotal()) && sameLines(prev, now) {
		return &same
	}
	base := baseline(prev)
	same.Items, same.Rest = compareItems(base, now)
	same.NewTotal = now.BidTotal()
	if cost := now.BidTotal().Sub(c.NewTotal); !cost.IsZero() {
		same.Edits = append([]Edit{{Name: rules(prev, now, now.Version), Cost: cost}}, c.Edits...)
	}
	return &same
}

func sameLines(a, b *Run) bool {
	items, rest := compareItems(a, b)
	for _, d := range rest {
		if !d.Old.Equal(d.New) {
			return false
		}
	}
	return len(items) == 0
}

// baseline is the run that prev was compared with, as far as its items and totals: those of prev with the old values of
// its changes.
func baseline(prev *Run) *Run {
	b := &Run{Number: prev.Changes.FromRun, Currency: prev.Currency, Minor: prev.Minor}
	changed := map[string]*ItemChange{}
	for i := range prev.Changes.Items {
		x := &prev.Changes.Items[i]
		changed[lineKey(&Line{Item: x.Item, Length: x.Length, Unit: x.Unit})] = x
	}
	was := func(l Line, x *ItemChange) {
		if x.Q0.IsZero() && x.Old.IsZero() && !x.Q1.IsZero() {
			return // it came with the run
		}
		l.Order, l.Price, l.Extension = x.Q0, x.P0, nil
		if x.P0 != nil {
			old := x.Old
			l.Extension = &old
		}
		b.Lines = append(b.Lines, l)
	}
	for i := range prev.Lines {
		l := prev.Lines[i]
		k := lineKey(&l)
		if x := changed[k]; x != nil && x.Unit == l.Unit {
			was(l, x)
			delete(changed, k)
			continue
		}
		b.Lines = append(b.Lines, l)
	}
	for i := range prev.Changes.Items { // gone with the run
		x := &prev.Changes.Items[i]
		k := lineKey(&Line{Item: x.Item, Length: x.Length, Unit: x.Unit})
		if changed[k] == x {
			was(Line{Item: x.Item, Length: x.Length, Unit: x.Unit}, x)
		}
	}
	for _, d := range prev.Changes.Rest {
		b.Totals = append(b.Totals, Total{d.Name, d.Old})
	}
	b.Totals = append(b.Totals, Total{totalBid, prev.Changes.OldTotal})
	return b
}

// Uncompared are the changes of a run that could not be compared with the one before it.
func Uncompared(old, new *Run, why string) *Changes {
	return &Changes{FromRun: old.Number, ToRun: new.Number, From: old.Title(), To: new.Title(), OldTotal: old.BidTotal(), NewTotal: new.BidTotal(),
		Minor: new.Minor, Note: "not compared: " + why}
}
