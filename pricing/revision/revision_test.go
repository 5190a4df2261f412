package revision

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// An estimator's names, the order of application, and costs that add up.
func TestNames(t *testing.T) {
	base := sheetOf(house)
	edited := base.
		set("Walls", "A3", "Height", `9'-4"`).
		add("Openings", `W2 | A3 | 3' | 4' | 3' | 2'`).
		set("Prices", "bar-#4", "Price", "9.5").
		set("Job", "Overhead", "Value", "12%").
		set("Job", "Job", "Value", "House for two").
		set("Bars", "V1", "Vertical spacing", "16").
		set("Factors", "sealer", "Quantity", "0.02").
		add("Extras", "Crane | allowance | 2 | 400").
		drop("Walls", "B1").
		set("Prices", "bar-#5", "Price", "14.03")
	ch := compared(t, base, edited)
	assert.Equal(t, []string{
		`bars V1: vertical spacing 1'-6" → 1'-4"`,
		`factor sealer per wall-area: quantity 0.01 → 0.02`,
		`A3: height 8'-0" → 9'-4", opening W2 added`,
		`B1 removed (length 12'-0")`,
		`extra Crane added (allowance, 2, 400)`,
		`Overhead 10% → 12%`,
		`price of bar-#4 (ea, 20'-0"): 9.17 → 9.5`,
	}, ch.names())
	for _, e := range ch.Edits {
		t.Log(e.Cost, e.Name)
	}
	assert.True(t, ch.EditSum().Equal(ch.Difference()))
	assert.True(t, ch.ItemSum().Equal(ch.Difference()))
	assert.Contains(t, ch.Inputs, InputChange{Tab: "Job", Key: "Job", Column: "Value", Old: "House", New: "House for two",
		OldAt: ch.Inputs[0].OldAt, NewAt: ch.Inputs[0].NewAt})
	assert.Equal(t, "Job!B2", ch.Inputs[0].NewAt.String())
}

// Rows in another order outside a run are no change; the order of a run is its geometry and one edit.
func TestRowOrder(t *testing.T) {
	base := sheetOf(house)
	moved := base.clone()
	p := moved.rows["Prices"]
	p[1], p[4] = p[4], p[1]
	w := moved.rows["Walls"] // run C before runs A and B
	moved.rows["Walls"] = append(append(w[:1:1], w[6:]...), w[1:6]...)
	ch := compared(t, base, moved)
	assert.True(t, ch.Same(), "%v", ch.Edits)

	// Rotating a run of unlike walls: A2 with its neighbours of the same length stays the same bid, a swap is an edit.
	swapped := base.set("Walls", "C2", "Height", "10'")
	other := swapped.clone()
	w = other.rows["Walls"]
	w[7], w[8] = w[8], w[7]
	ch = compared(t, swapped, other)
	require.Len(t, ch.Edits, 1)
	assert.Equal(t, "run C: order", ch.Edits[0].Name)
}

// The same values in other words are no change.
func TestSameValues(t *testing.T) {
	base := sheetOf(house)
	other := base.set("Walls", "A1", "Length", "360\"").set("Prices", "bar-#4", "Length", `240"`).set("Walls", "A3", "Height", "8")
	assert.True(t, compared(t, base, other).Same())
}

// A wall under another mark is one gone and one new, offered as likely renamed.
func TestRenamed(t *testing.T) {
	base := sheetOf(house)
	ch := compared(t, base, base.set("Walls", "C3", "Wall", "C9"))
	require.NotEmpty(t, ch.Edits)
	joined := ""
	for _, e := range ch.Edits {
		joined += e.Name + "\n"
	}
	assert.Contains(t, joined, "likely renamed: was C3")
	assert.Contains(t, joined, "likely renamed: now C9")
	assert.True(t, ch.EditSum().IsZero())
}

// A mark that goes and the walls that used it: the steps between are errors and are joined; the sum is whole.
func TestJoined(t *testing.T) {
	base := sheetOf(house)
	swapped := base.set("Walls", "A1", "Turn", "straight").drop("Walls", "A2").set("Openings", "W1", "At", "3'")
	if r, _ := swapped.priced(2); r == nil {
		t.Skip("not a schedule")
	}
	ch := compared(t, base, swapped)
	assert.True(t, ch.EditSum().Equal(ch.Difference()))
}

// A run of other rules: the difference they make is a line of its own, first.
func TestOtherRules(t *testing.T) {
	base := sheetOf(house)
	old := mustPrice(t, base, 1)
	old.Version = "0.0.9"
	for i := range old.Totals {
		if old.Totals[i].Name == totalBid {
			old.Totals[i].Amount = old.Totals[i].Amount.Add(decimal.RequireFromString("12.34"))
		}
	}
	ch, err := Compare(old, mustPrice(t, base.set("Job", "Overhead", "Value", "12%"), 2), Options{Version: testVersion})
	require.NoError(t, err)
	require.Len(t, ch.Edits, 2)
	assert.Equal(t, "rules: wallbill 0.0.9 → test", ch.Edits[0].Name)
	assert.Equal(t, "-12.34", ch.Edits[0].Cost.String())
	assert.True(t, ch.EditSum().Equal(ch.Difference()))
}

// Bids of different currencies are refused.
func TestCurrencies(t *testing.T) {
	base := sheetOf(house)
	_, err := Compare(mustPrice(t, base, 1), mustPrice(t, base.add("Job", "Currency | CAD"), 2), Options{Version: testVersion})
	require.ErrorContains(t, err, "USD")
	require.ErrorContains(t, err, "CAD")
}

// A price row that goes from the job to the price book unchanged is one edit that costs nothing.
func TestMovedToBook(t *testing.T) {
	base := sheetOf(house + "== Prices = book.xlsx\nItem | Unit | Length | Price | Kind | Waste\nsealer | ea | | 3 | |\n")
	row := base.rows["Prices"][2]
	moved := base.drop("Prices", "bar-#5")
	moved.rows["Prices = book.xlsx"] = append(moved.rows["Prices = book.xlsx"], row)
	ch := compared(t, base, moved)
	require.Equal(t, []string{`price of bar-#5 (ea, 20'-0") moved to the price book`}, ch.names())
	assert.True(t, ch.Edits[0].Cost.IsZero())
}

// A cell that took its level's value is called by that value, whichever side left it blank; what no level gives is blank.
func TestNamesOfLevelValues(t *testing.T) {
	base := sheetOf(house)
	typed := base.set("Walls", "C1", "Height", `9'-6"`).set("Walls", "A2", "Notes", "checked")
	assert.Equal(t, []string{"A2: notes blank → checked", `C1: height 9'-0" (level L2) → 9'-6"`}, compared(t, base, typed).names())
	assert.Equal(t, []string{"A2: notes checked → blank", `C1: height 9'-6" → 9'-0" (level L2)`}, compared(t, typed, base).names())
}
