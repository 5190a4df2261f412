package pricing

import (
	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// Item is a row of Priced items: an item, a stock length of a bar, or a period of a rental. It carries what its live
// formulas refer to and the exact values they come to:
//
//	net       Planned, else round(Sum × Times / Over, 9)
//	order     ceil(round(net × (1 + Waste) / Pack, 6)) × Pack, without a Pack round(net × (1 + Waste), 6)
//	price     the last of Prices whose From ≤ order
//	extension round(order × price, minor unit)
type Item struct {
	Name        string // as its lines spell it: what SUMIFS over the Takeoff tab matches
	Key         string // lower case
	Length      length.Length
	Row         *takeoff.PriceRow // nil: no price row, or none that fits
	Description string
	Group, Kind string // of the row, "no group" and "material" when blank
	Supplier    string
	Rule        string // of its lines, the first of the catalogue

	TakeoffUnit unit.Unit       // of its lines
	Sum         decimal.Decimal // of its lines, in TakeoffUnit
	Times, Over decimal.Decimal // exact, from TakeoffUnit to Unit
	Unit        unit.Unit       // of net, order, price
	Planned     *decimal.Decimal
	PlanTab     string // the tab whose plan gives Planned
	PlanKept    bool   // Planned, or chosen among several Lengths: stays until the next run
	Net         decimal.Decimal

	Waste     decimal.Decimal  // in force: 0 for concrete and rentals
	Pack      *decimal.Decimal // in force: 1 for ea and pack names without one; nil: none
	Order     decimal.Decimal
	From      [3]decimal.Decimal  // break quantities, the first 0, an unused one UnusedFrom
	Prices    [3]*decimal.Decimal // nil without a price row; an unused one repeats the one before
	Price     *decimal.Decimal    // nil: no price
	Extension *decimal.Decimal
	Taxable   bool

	Concrete, Rental, Freight bool

	Levels, Pours      []Share         // where it is used, by place
	LevelAll, PourAll  decimal.Decimal // what the Base of shares is a part of
	PoursByOrder       bool            // Pours shares by the pours' orders (concrete), else by takeoff lines
	Mixed              bool            // its lines are in several units; bases are in Unit
	belowGrade, placed bool            // needed at Strip braces, at the Pour date
}

// UnusedFrom is the From of an unused break: above every order.
var UnusedFrom = decimal.NewFromInt(999000000000000)

// Share is the part of an item's extension that belongs to a level or a pour: round(extension × Base / all, minor unit).
type Share struct {
	Place  int // in Bid.Levels or Bid.Pours
	Base   decimal.Decimal
	Amount decimal.Decimal // 0 without a price
}

// The words for blank cells of a price row, and the kind and group of extras.
const (
	NoGroup      = "no group"
	KindMaterial = "material"
	KindLabor    = "labor"
	KindRental   = "rental"
	KindExtra    = "extra"
	JobShare     = "job" // what belongs to no level or pour
)
