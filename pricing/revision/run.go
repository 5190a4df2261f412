// Package revision compares two runs of a job: which rows changed, what each edit cost to the cent, which items moved.
//
// It is pure: values in, values out. A Run is what a priced workbook's Record holds; Compare makes the Changes of two of
// them. The cost of an edit is never estimated: the bid is recomputed with the edits applied one after another, and an
// edit's cost is the bid after it less the bid before it, so that the costs add up to the difference. It refuses to
// compare bids of different currencies, and offers a wall that may have been renamed without assuming it. Read Run, then
// Changes, then plan (the order of the edits) and Compare.
package revision

import (
	"crypto/sha256"
	"encoding/hex"
	"time"

	"github.com/shopspring/decimal"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/length"
	"wallbill/takeoff/schedule"
	"wallbill/takeoff/unit"
)

// Run is a priced run as its Record has it: the inputs as read, every priced line, every total, what had changed.
type Run struct {
	Number    int // 0: priced on the fly
	Time      time.Time
	Version   string // of wallbill
	File      string // the schedule's name
	InputHash string // Hash of Inputs
	Effort    string // Cut effort of the command line; empty: the job's
	Currency  string
	Minor     int32 // decimals of the currency
	Complete  bool
	Inputs    []schedule.InputTab
	Lines     []Line
	Totals    []Total
	Changes   *Changes // nil: no earlier run
}

// Line is a priced line: a row of Priced items.
type Line struct {
	Item      string
	Length    length.Length // stock length, 0 for none
	Group     string
	Kind      string
	Supplier  string
	Net       decimal.Decimal
	Order     decimal.Decimal
	Unit      unit.Unit
	Price     *decimal.Decimal // nil: none
	Extension *decimal.Decimal
}

// Total is a named sum of money: the scalar totals by their names, the subtotals as by_kind/material.
type Total struct {
	Name   string
	Amount decimal.Decimal
}

// The names of the totals that two bids are compared by.
const (
	totalBid = "bid_total"
)

// rest are the totals beside the items: what they differ by completes the difference of the bids.
var rest = []string{"extras", "tax", "contingency", "overhead", "profit", "bond", "rounding"}

// Of is the run of a bid. The caller adds what the bid does not know: number, time, version, file, effort.
func Of(bid *pricing.Bid, inputs []schedule.InputTab) *Run {
	job := bid.Takeoff.Job
	r := &Run{Currency: job.Currency, Minor: job.MinorDigits, Complete: bid.Complete, Inputs: inputs, InputHash: Hash(inputs)}
	for i := range bid.Items {
		it := &bid.Items[i]
		r.Lines = append(r.Lines, Line{Item: it.Name, Length: it.Length, Group: it.Group, Kind: it.Kind, Supplier: it.Supplier,
			Net: plain(it.Net), Order: plain(it.Order), Unit: it.Unit, Price: plainOrNil(it.Price), Extension: plainOrNil(it.Extension)})
	}
	for i := range bid.Extras {
		x := &bid.Extras[i]
		r.Lines = append(r.Lines, Line{Item: x.Line, Group: pricing.KindExtra, Kind: pricing.KindExtra, Net: plain(x.Quantity), Order: plain(x.Quantity),
			Unit: x.Unit, Price: plainOrNil(x.Price), Extension: plainOrNil(x.Extension)})
	}
	t := &bid.Totals
	for _, s := range []Total{{"items", t.Items}, {"extras", t.Extras}, {"direct", t.Direct}, {"tax", t.Tax}, {"contingency", t.Contingency},
		{"overhead", t.Overhead}, {"cost", t.Cost}, {"profit", t.Profit}, {"bond", t.Bond}, {"rounding", t.Rounding}, {totalBid, t.BidTotal}} {
		r.Totals = append(r.Totals, Total{s.Name, plain(s.Amount)})
	}
	for _, by := range []struct {
		name    string
		amounts []pricing.Amount
	}{{"by_kind/", t.ByKind}, {"by_group/", t.ByGroup}, {"by_level/", t.ByLevel}, {"by_pour/", t.ByPour}} {
		for _, a := range by.amounts {
			r.Totals = append(r.Totals, Total{by.name + a.Name, plain(a.Amount)})
		}
	}
	for i := range bid.Alternates {
		if a := &bid.Alternates[i]; a.BidTotal != nil {
			r.Totals = append(r.Totals, Total{"alternate/" + a.Line, plain(*a.BidTotal)})
		}
	}
	return r
}

// Total is a total by its name, 0 when the run has none of that name.
func (r *Run) Total(name string) decimal.Decimal {
	for i := range r.Totals {
		if r.Totals[i].Name == name {
			return r.Totals[i].Amount
		}
	}
	return decimal.Decimal{}
}

// BidTotal is the run's bid total.
func (r *Run) BidTotal() decimal.Decimal { return r.Total(totalBid) }

// plain is d without trailing zeros, as its text has it.
func plain(d decimal.Decimal) decimal.Decimal { return decimal.RequireFromString(d.String()) }

func plainOrNil(d *decimal.Decimal) *decimal.Decimal {
	if d == nil {
		return nil
	}
	p := plain(*d)
	return &p
}

// Hash is the SHA-256 of the inputs, hexadecimal: of their values, tab by tab and row by row, not of where they stand.
func Hash(inputs []schedule.InputTab) string {
	h := sha256.New()
	put := func(s, end string) {
		h.Write([]byte(s))
		h.Write([]byte(end))
	}
	for i := range inputs {
		t := &inputs[i]
		if len(t.Rows) == 0 {
			continue
		}
		put(t.Spec.Name, "\x1f")
		put(t.File, "\x1d")
		for _, r := range t.Rows {
			for _, c := range r.Cells {
				put(c, "\x1f")
			}
			put("", "\x1e")
		}
	}
	return hex.EncodeToString(h.Sum(nil))
}

// Title is what a run is called: "run 3", or the name of a schedule priced on the fly.
func (r *Run) Title() string {
	if r.Number > 0 {
		return "run " + itoa(r.Number)
	}
	return r.File
}

// Setting is a setting's text in the inputs, empty when it is not typed.
func (r *Run) Setting(id takeoff.SettingID) string {
	name := takeoff.Catalogue[id].Name
	for i := range r.Inputs {
		if r.Inputs[i].Spec.Name != "Job" {
			continue
		}
		for _, row := range r.Inputs[i].Rows {
			if fold(row.Cells[0]) == fold(name) {
				return row.Cells[1]
			}
		}
	}
	return ""
}

// Report is the system of units the run reports in: Report in, else by Lengths in.
func (r *Run) Report() length.System {
	switch fold(r.Setting(takeoff.SetReportIn)) {
	case "metric":
		return length.Metric
	case "ft-in":
		return length.FeetInches
	}
	switch takeoff.LengthUnit(fold(r.Setting(takeoff.SetLengthsIn))) {
	case takeoff.InMetres, takeoff.InMM:
		return length.Metric
	}
	return length.FeetInches
}
