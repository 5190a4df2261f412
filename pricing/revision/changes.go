package revision

import (
	"sort"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// Changes is what changed between two runs, in the three sections of the Changes tab.
type Changes struct {
	FromRun, ToRun     int
	From, To           string // what was compared: "run 2 of walls.xlsx"
	OldTotal, NewTotal decimal.Decimal
	Minor              int32
	Note               string // why the two were not compared; empty
	Edits              []Edit // in the order they were applied
	Items              []ItemChange
	Rest               []Difference // what the bids differ by beside their items
	Inputs             []InputChange
}

// Edit is an edit with its cost: the bid after it less the bid before it.
type Edit struct {
	Name string
	Cost decimal.Decimal
}

// ItemChange is an item whose order, price or extension changed. Old values are in the new row's unit.
type ItemChange struct {
	Item                string
	Length              length.Length
	Unit                unit.Unit
	Q0, Q1              decimal.Decimal
	P0, P1              *decimal.Decimal // nil: no price, which counts as 0
	Old, New            decimal.Decimal  // extensions; 0 without a price
	Quantity, PriceOnly decimal.Decimal  // (Q1 − Q0)·P0, (P1 − P0)·Q1
	Rounding            decimal.Decimal  // New − Old less both
}

// Difference is a total of both bids.
type Difference struct {
	Name     string
	Old, New decimal.Decimal
}

// InputChange is a cell of the inputs that changed; Old is empty where there was no row or nothing in the cell.
type InputChange struct {
	Tab, Key, Column string
	Old, New         string
	OldAt, NewAt     takeoff.Ref // zero where there is no such row
}

// Difference is the new total less the old one.
func (c *Changes) Difference() decimal.Decimal { return c.NewTotal.Sub(c.OldTotal) }

// Same tells whether nothing changed.
func (c *Changes) Same() bool {
	return c.Note == "" && len(c.Edits) == 0 && len(c.Items) == 0 && len(c.Inputs) == 0 && c.OldTotal.Equal(c.NewTotal)
}

// EditSum is what the edits add up to.
func (c *Changes) EditSum() decimal.Decimal {
	s := decimal.Decimal{}
	for i := range c.Edits {
		s = s.Add(c.Edits[i].Cost)
	}
	return s
}

// ItemSum is what the items and the differences beside them add up to.
func (c *Changes) ItemSum() decimal.Decimal {
	s := decimal.Decimal{}
	for i := range c.Items {
		s = s.Add(c.Items[i].New).Sub(c.Items[i].Old)
	}
	for i := range c.Rest {
		s = s.Add(c.Rest[i].New).Sub(c.Rest[i].Old)
	}
	return s
}

// Largest are the edits from the costliest or most sparing on, at most n, and the sum of the others with their number.
func (c *Changes) Largest(n int) (largest []Edit, others int, sum decimal.Decimal) {
	all := append([]Edit(nil), c.Edits...)
	sort.SliceStable(all, func(i, j int) bool { return all[i].Cost.Abs().GreaterThan(all[j].Cost.Abs()) })
	if len(all) <= n {
		return all, 0, sum
	}
	for _, e := range all[n:] {
		sum = sum.Add(e.Cost)
	}
	return all[:n], len(all) - n, sum
}
