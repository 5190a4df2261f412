package revision

import (
	"fmt"
	"strconv"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/schedule"
)

// someEdits is a schedule with random edits: cells, rows added, dropped, swapped. It may not be valid.
func someEdits(t *rapid.T, s *rowsOf, label string) *rowsOf {
	s = s.clone()
	feet := rapid.SampledFrom([]string{`12'`, `18'`, `20'`, `24'-6"`, `30'`, `33'-4"`})
	menu := []struct {
		tab, column string
		values      *rapid.Generator[string]
	}{
		{"Walls", "Length", feet},
		{"Walls", "Height", rapid.SampledFrom([]string{"", `8'`, `9'-4"`, `10'`, "7.5"})},
		{"Walls", "Turn", rapid.SampledFrom([]string{"corner", "straight", "inside", "corner 45"})},
		{"Walls", "Run", rapid.SampledFrom([]string{"A", "B", "C"})},
		{"Walls", "Level", rapid.SampledFrom([]string{"L1", "L2"})},
		{"Walls", "Notes", rapid.SampledFrom([]string{"", "x", "y"})},
		{"Openings", "Width", rapid.SampledFrom([]string{`2'`, `3'`, `5'-6"`})},
		{"Openings", "At", rapid.SampledFrom([]string{"", `1'`, `6'`, `c 9'`, `e 2'`})},
		{"Openings", "Wall", rapid.SampledFrom([]string{"A1", "A2", "C1", "B1"})},
		{"Levels", "Height", rapid.SampledFrom([]string{`8'`, `9'`, `10'`})},
		{"Levels", "Core", rapid.SampledFrom([]string{`6"`, `8"`})},
		{"Bars", "Vertical spacing", rapid.SampledFrom([]string{`12"`, `16"`, `18"`})},
		{"Bars", "Mark", rapid.SampledFrom([]string{"V1", "V2"})},
		{"Footings", "Width", rapid.SampledFrom([]string{`1'-8"`, `2'`})},
		{"Pours", "Placing rate", rapid.SampledFrom([]string{"", "10 cy", "15 cy"})},
		{"Factors", "Quantity", rapid.SampledFrom([]string{"0.013", "0.05", "0.06"})},
		{"Prices", "Price", rapid.SampledFrom([]string{"0", "9.17", "9.333", "21.35", "170"})},
		{"Prices", "Length", rapid.SampledFrom([]string{"", `20'`, `40'`})},
		{"Prices", "Waste", rapid.SampledFrom([]string{"", "3%", "7.5%"})},
		{"Job", "Value", rapid.SampledFrom([]string{"10%", "8%", "6%", "M", "2026-11-02"})},
		{"Extras", "Price", rapid.SampledFrom([]string{"350", "-20", "0.05"})},
		{"Ordered", "Quantity", rapid.SampledFrom([]string{"40", "12"})},
	}
	n := rapid.IntRange(0, 6).Draw(t, label+" edits")
	for i := range n {
		l := label + strconv.Itoa(i)
		switch kind := rapid.IntRange(0, 9).Draw(t, l+" kind"); {
		case kind < 6:
			m := menu[rapid.IntRange(0, len(menu)-1).Draw(t, l+" cell")]
			rows := s.rows[m.tab]
			if len(rows) < 2 {
				continue
			}
			rows[rapid.IntRange(1, len(rows)-1).Draw(t, l+" row")][s.col(m.tab, m.column)] = m.values.Draw(t, l+" value")
		case kind == 6:
			tab := rapid.SampledFrom([]string{"Walls", "Openings", "Prices", "Factors", "Extras", "Job", "Ordered"}).Draw(t, l+" tab")
			rows := s.rows[tab]
			if len(rows) < 2 {
				continue
			}
			k := rapid.IntRange(1, len(rows)-1).Draw(t, l+" row")
			s.rows[tab] = append(rows[:k:k], rows[k+1:]...)
		case kind == 7:
			tab := rapid.SampledFrom([]string{"Walls", "Openings", "Prices", "Pours", "Levels"}).Draw(t, l+" tab")
			rows := s.rows[tab]
			if len(rows) < 3 {
				continue
			}
			a, b := rapid.IntRange(1, len(rows)-1).Draw(t, l+" a"), rapid.IntRange(1, len(rows)-1).Draw(t, l+" b")
			rows[a], rows[b] = rows[b], rows[a]
		default:
			add := []struct{ tab, row string }{
				{"Walls", fmt.Sprintf("D | N%s | L1 | 14' | 8' | end | end |", l)},
				{"Openings", `W9 | A2 | 2' | 2' | 3' | |`},
				{"Prices", `sealer | ea | | 3.21 | |`},
				{"Prices", `plank | ea | 12' | 9.333 | |`},
				{"Prices", `plank | ea | 16' | 21.35 | |`},
				{"Prices", `rail | ft | | 1.2 | |`},
				{"Prices", `bar-#4 | ea | 40' | 17.5 | |`},
				{"Extras", `Crane | allowance | 3 | 199.99`},
				{"Extras", `Fence | add | 1 | 75`},
				{"Factors", `waste bags | wall-area | 0.003 | ea`},
				{"Job", `Bond | 1.5%`},
				{"Ordered", `18 | bar-#5 | 20' | 5`},
			}
			a := rapid.SampledFrom(add).Draw(t, l+" add")
			s = s.add(a.tab, a.row)
		}
	}
	return s
}

// valid is a random schedule near house that can be priced.
func valid(t *rapid.T, label string, number int) (*rowsOf, *Run) {
	for try := range 20 {
		s := someEdits(t, sheetOf(house), label+strconv.Itoa(try)+".")
		if r, _ := s.priced(number); r != nil {
			return s, r
		}
	}
	t.Skip("no valid schedule")
	return nil, nil
}

// The edits add up to the difference of the bids to the cent, and so do the items with the totals beside them.
func TestCostsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, a := valid(t, "a", 1)
		_, b := valid(t, "b", 2)
		ch, err := Compare(a, b, Options{Version: testVersion})
		require.NoError(t, err)
		require.True(t, ch.EditSum().Equal(ch.Difference()), "%s is not %s: %v", ch.EditSum(), ch.Difference(), ch.Edits)
		require.True(t, ch.ItemSum().Equal(ch.Difference()), "%s is not %s", ch.ItemSum(), ch.Difference())
		for _, e := range ch.Edits {
			require.NotEmpty(t, e.Name)
			require.True(t, e.Cost.Equal(e.Cost.Round(a.Minor)), "%s is no whole cent", e.Cost)
		}
		for _, i := range ch.Items {
			require.True(t, i.Quantity.Add(i.PriceOnly).Add(i.Rounding).Equal(i.New.Sub(i.Old)), "%+v", i)
		}
		// the last state computed is the new run: nothing is assumed of it
		c := compareRows(a, b)
		c.makePlan()
		states := c.evaluate(false)
		last := states[len(states)-1]
		require.True(t, last.valid)
		require.True(t, last.total.Equal(b.BidTotal()) || len(c.plan) == 0, "%s is not %s", last.total, b.BidTotal())
	})
}

// What states have in common is remembered from one to the next; the bid of each is the one that its rows come to when they
// are read, taken off and priced on their own, and those that are no valid schedule are the same ones.
func TestStatesAreTheirBids(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, a := valid(t, "a", 1)
		_, b := valid(t, "b", 2)
		sameStates(t, a, b)
	})
}

// The price of a plank decides which is bought, and so how many are counted: the walls that no edit touches are counted
// again. The price of a bar decides only how bars are cut.
func TestPricesThatCount(t *testing.T) {
	base := sheetOf(house).
		add("Prices", `plank | ea | 12' | 14`).
		add("Prices", `plank | ea | 16' | 30`).
		add("Prices", `bar-#4 | ea | 40' | 30`)
	edited := base.
		set("Prices", "30", "Price", "15").
		set("Prices", "14", "Price", "13").
		set("Prices", "9.17", "Price", "19.5").
		set("Prices", "14.03", "Price", "12")
	sameStates(t, mustPrice(t, base, 1), mustPrice(t, edited, 2))
}

func sameStates(t require.TestingT, a, b *Run) {
	c := compareRows(a, b)
	c.makePlan()
	for k, have := range c.evaluate(false) {
		inputs, _ := c.inputs(k)
		job, findings := schedule.Read(schedule.Books(inputs))
		if takeoff.HasErrors(findings) {
			require.False(t, have.valid)
			continue
		}
		counted := takeoff.Compute(job)
		if takeoff.HasErrors(counted.Findings) {
			require.False(t, have.valid)
			continue
		}
		bid := pricing.Price(counted, pricing.Options{})
		require.Equal(t, !takeoff.HasErrors(bid.Findings), have.valid)
		if have.valid {
			require.True(t, bid.Totals.BidTotal.Equal(have.total), "after %d of %d edits: %s is not %s", k, len(c.plan), have.total, bid.Totals.BidTotal)
		}
	}
}

// Nothing differs from itself; the way back costs the same the other way round; over a third it adds up.
func TestDiffLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, a := valid(t, "a", 1)
		_, b := valid(t, "b", 2)
		_, c := valid(t, "c", 3)
		diff := func(x, y *Run) *Changes {
			ch, err := Compare(x, y, Options{Version: testVersion})
			require.NoError(t, err)
			return ch
		}
		again, _ := s.priced(1)
		require.True(t, diff(a, again).Same())
		require.True(t, SameInputs(a, again))
		ab, ba, bc, ac := diff(a, b), diff(b, a), diff(b, c), diff(a, c)
		require.True(t, ab.EditSum().Equal(ba.EditSum().Neg()))
		require.True(t, ab.ItemSum().Equal(ba.ItemSum().Neg()))
		require.True(t, ac.EditSum().Equal(ab.EditSum().Add(bc.EditSum())))
		require.Equal(t, len(ab.Inputs) == 0, len(ba.Inputs) == 0)
		require.Equal(t, ab.Same() && SameInputs(a, b), ba.Same() && SameInputs(b, a))
	})
}

// Rows outside runs in any order are the same schedule; so are whole runs among each other.
func TestOrderLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, a := valid(t, "a", 1)
		o := s.clone()
		for _, tab := range []string{"Prices", "Factors", "Job", "Extras"} {
			rows := o.rows[tab]
			perm := rapid.Permutation(rows[1:]).Draw(t, tab)
			o.rows[tab] = append(rows[:1:1], perm...)
		}
		b, findings := o.priced(2)
		require.NotNil(t, b, "%v", findings)
		ch, err := Compare(a, b, Options{Version: testVersion})
		require.NoError(t, err)
		for _, e := range ch.Edits {
			require.True(t, e.Cost.IsZero(), "%v", e)
		}
		require.True(t, ch.Difference().IsZero() && ch.EditSum().Equal(decimal.Decimal{}))
	})
}
