package takeoff

import (
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// Rental tells whether the row is in day, week or 4-week (P-RENTAL).
func (r *PriceRow) Rental() bool { return r.Unit.Dimension() == unit.Period }

// RentalRows are an item's rows in day, week or 4-week; none: the item is bought. Only bracing is rented (P-RENTAL).
func (j *Job) RentalRows(item string) []*PriceRow {
	switch ItemKey(item) {
	case ItemBraceSet, ItemBraceTall, ItemPlank, ItemRail:
	default:
		return nil
	}
	var rows []*PriceRow
	for _, r := range j.PricesByItem[ItemKey(item)] {
		if r.Rental() {
			rows = append(rows, r)
		}
	}
	return rows
}

// CheapestByLength is the row with the least first price for its length, of equals the longest (P-UNIT). A row counted in
// pieces has its Length, a row in a unit of length that unit; other rows do not take part. nil when none does.
func CheapestByLength(rows []*PriceRow) *PriceRow {
	var best *PriceRow
	var bestRun exact.Num
	for _, r := range rows {
		var run exact.Num
		switch r.Unit.Dimension() {
		case unit.Count:
			run = exact.Len(r.Length)
		case unit.Length:
			run = r.Unit.Base()
		}
		if run.Sign() <= 0 {
			continue
		}
		if best != nil {
			here, there := exact.Dec(r.Price).Mul(bestRun), exact.Dec(best.Price).Mul(run)
			if c := here.Cmp(there); c > 0 || c == 0 && r.Length <= best.Length {
				continue
			}
		}
		best, bestRun = r, run
	}
	return best
}

// PieceLength is the length of one piece of a plank or rail: its Prices Length (rented: of the first period row that has
// one; bought: of the cheapest by length), else the one given (R-BRACE, P-RENTAL).
func (j *Job) PieceLength(item string, otherwise length.Length) length.Length {
	rental := j.RentalRows(item)
	for _, r := range rental {
		if r.Length > 0 {
			return r.Length
		}
	}
	if len(rental) == 0 {
		if r := CheapestByLength(j.PricesByItem[ItemKey(item)]); r != nil && r.Length > 0 {
			return r.Length
		}
	}
	return otherwise
}
