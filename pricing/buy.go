package pricing

import (
	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// Order is a row of Orders: an item of a supplier, with what is needed, what was ordered so far and what is left to order
// (P-BUY). A rented item has a row a stretch.
type Order struct {
	Supplier    string // empty: no supplier
	Item        string
	Description string
	Length      length.Length
	Unit        unit.Unit
	Pack        *decimal.Decimal // above 1 only
	Needed      decimal.Decimal
	Ordered     decimal.Decimal
	ToOrder     decimal.Decimal
	Over        decimal.Decimal  // ordered and not needed
	Packs       *decimal.Decimal // of ToOrder, raised to whole packs
	NeedBy      takeoff.Date     // blank: see NeedByNote
	NeedByNote  string
	LeadDays    int
	Late        bool
	Rental      bool
	From, To    takeoff.Date     // of a rental, both days included
	Price       *decimal.Decimal // of a rental: for one piece
	Extension   *decimal.Decimal // of ToOrder
	At          takeoff.Ref      // the price row's, or the Ordered row's
	item        int              // in Bid.Items, −1: only ordered
}
