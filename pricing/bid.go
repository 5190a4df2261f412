// Package pricing turns a takeoff into a bid: what to buy in the units and packs it is sold in, at which price, the
// rentals, the freight, the build-up to the bid total, and the orders to place.
//
// It is pure: values in, values out, the day of today handed in. Every rounding is one that the rules name, half away from
// zero, so that a spreadsheet that follows the same formulas comes to the same cents. It refuses to price what it cannot
// convert: such a row is an error at its cell. An item without a price stands without one and makes the bid incomplete; it
// is never a silent zero. Read Bid and Item (what comes out) first, then Price (the order of the steps).
package pricing

import (
	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/unit"
)

// Options is what a bid depends on beside the takeoff.
type Options struct {
	Today takeoff.Date // orders needed before it are late; blank: none is
}

// Bid is a priced takeoff.
type Bid struct {
	Takeoff    *takeoff.Takeoff
	Calendar   *takeoff.Calendar
	Items      []Item             // by rule of the catalogue, then by first appearance; freight last
	Extras     []Extra            // add and allowance, in order of their rows
	Alternates []Alternate        // in order of their rows
	Exclusions []takeoff.ExtraRow // in order of their rows
	Rates      Rates
	Totals     Totals
	PerUnit    []Figure
	Levels     []string // what Share.Place of Item.Levels counts in
	Pours      []string // what Share.Place of Item.Pours counts in
	Rentals    []Stretch
	BraceNeeds []BraceNeed // for the chart of bracing by day, items that stand at all
	Freight    []Freight
	Orders     []Order // by supplier, then need-by, then item
	Findings   []takeoff.Finding
	Unpriced   int // rows of Items, Extras and Alternates without a price
	Complete   bool
}

// Extra is a row of Extras of kind add or allowance. It stands among the items with kind and group "extra", net and order
// the Quantity; it is not taxed.
type Extra struct {
	Line      string
	Extra     *takeoff.ExtraRow
	Row       *takeoff.PriceRow // where a blank Price was taken from the item's row
	Quantity  decimal.Decimal   // in Unit
	Unit      unit.Unit
	Price     *decimal.Decimal // nil: no price
	Extension *decimal.Decimal
}

// Alternate is a row of Extras of kind alternate: its amount, and what the bid would be with it.
type Alternate struct {
	Extra           // Extension is the amount
	Totals   Totals // the same build-up with the amount added to direct; no subtotals. Zero when there is no amount
	BidTotal *decimal.Decimal
}

// Rates are the settings of the build-up, percentages as fractions.
type Rates struct {
	SalesTax, Contingency, Overhead, Profit, Bond decimal.Decimal
	ProfitOnPrice                                 bool
	RoundTo                                       decimal.Decimal // the minor unit unless set
}

// Amount is a named sum of money.
type Amount struct {
	Name   string
	Amount decimal.Decimal
}

// Totals is the build-up of a bid, each step rounded to the minor unit (P-BID).
type Totals struct {
	Items       decimal.Decimal // all extensions
	Extras      decimal.Decimal // add and allowance
	Direct      decimal.Decimal // both
	Taxable     decimal.Decimal // extensions of taxable rows
	Tax         decimal.Decimal
	Contingency decimal.Decimal
	Overhead    decimal.Decimal
	Cost        decimal.Decimal
	Profit      decimal.Decimal
	Bond        decimal.Decimal
	Rounding    decimal.Decimal
	BidTotal    decimal.Decimal
	ByKind      []Amount // each of the four adds up to Direct
	ByGroup     []Amount
	ByLevel     []Amount // last: job
	ByPour      []Amount // last: job
}

// Figure is the bid total, or the labour hours, per unit of a driver.
type Figure struct {
	Name     string           // "bid per sqft of gross wall"
	Amount   *decimal.Decimal // nil where the driver is 0
	Places   int32            // decimals it is rounded to
	Of       decimal.Decimal  // what is divided
	By       decimal.Decimal  // the driver's quantity
	Driver   string           // "wall-area", "wall-concrete + footing-concrete"
	Unit     unit.Unit        // of By
	IsMoney  bool
	OfLabour bool // Of is labour hours
}

// BraceNeed is how many of an item of bracing stand day by day; of a bought rail, nanometres.
type BraceNeed struct {
	Item   string
	Rented bool
	Steps  []takeoff.Step
}

// Stretch is a time on rent of like pieces: from the first to the last day, both charged (P-RENTAL).
type Stretch struct {
	Item     string
	From, To takeoff.Date
	Days     int64
	Count    int64 // pieces
	Periods  []PeriodCount
	Charge   decimal.Decimal // for all pieces, at the rows' first prices, rounded to the minor unit
	Assumed  bool            // From is no typed date
}

// PeriodCount is how many periods of a row one piece is charged.
type PeriodCount struct {
	Unit  unit.Unit
	Count int64
	Price decimal.Decimal
}

// Freight is a supplier's truckloads (P-FREIGHT).
type Freight struct {
	Supplier string
	Loads    decimal.Decimal // rounded to 6 decimals
	Full     int64           // loads of freight-<supplier>
	Part     int64           // 1: the rest is a freight-part-<supplier>
	Item     string
	PartItem string
	Note     string // how full the last load is and what would ride free
}
