package revision

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Published price and quantity variance examples as two schedules: standard is the old one, actual the new one. An
// unfavourable variance is a cost over, positive here. The quantities stand in Extras of kind quantity; the walls' own items have no price.
//
//	A1  standard 430 at 6.90, actual 450 for 2,925 in all: price 180 favourable, quantity 138 unfavourable, total 42
//	    favourable (a published textbook exercise)
//	A2  standard 185,000 lb at 6.00, actual 183,200 lb at 5.80: price 36,640 favourable, quantity 10,800 favourable, total
//	    47,440 favourable (an open cost accounting textbook's worked example)
//	A3  300 t out at 1.6 t in each, 60% A at 200 and 40% B at 100, used 275 and 225: usage A 2,600 favourable, B 3,300
//	    unfavourable, together 700 unfavourable (a professional body's article on mix and yield)
//	A4  6,500 t at 50/30/20 against 50/35/15: mix 26,000 unfavourable and 29,250 favourable, 3,250 favourable (a published
//	    exercise; the prices 70, 80, 90 follow from its figures, computed here)
//	A5  100 units of 5 kg at 2 and 5 kg at 4, used 600 and 900 kg: usage 200 and 1,600 adverse, 1,800 together (a published
//	    exercise)
func TestPublishedVariances(t *testing.T) {
	type side struct{ quantity, price string }
	cases := []struct {
		name              string
		standard, actual  []side
		quantities, price []string // published, by item
		total             string
	}{
		{"A1", []side{{"430", "6.90"}}, []side{{"450", "6.50"}}, []string{"138"}, []string{"-180"}, "-42"},
		{"A2", []side{{"185000", "6.00"}}, []side{{"183200", "5.80"}}, []string{"-10800"}, []string{"-36640"}, "-47440"},
		{"A3", []side{{"288", "200"}, {"192", "100"}}, []side{{"275", "200"}, {"225", "100"}}, []string{"-2600", "3300"}, []string{"0", "0"}, "700"},
		{"A4", []side{{"3250", "70"}, {"1950", "80"}, {"1300", "90"}}, []side{{"3250", "70"}, {"2275", "80"}, {"975", "90"}}, []string{"0", "26000", "-29250"}, []string{"0", "0", "0"}, "-3250"},
		{"A5", []side{{"500", "2"}, {"500", "4"}}, []side{{"600", "2"}, {"900", "4"}}, []string{"200", "1600"}, []string{"0", "0"}, "1800"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			job := func(sides []side) *rowsOf {
				s := sheetOf(house)
				s.rows["Prices"], s.rows["Extras"] = s.rows["Prices"][:1:1], [][]string{{"Line", "Kind", "Item", "Quantity", "Unit"}}
				s.rows["Job"] = s.rows["Job"][:4:4] // no rates
				for i, x := range sides {
					item := fmt.Sprintf("input %c", 'A'+i)
					s = s.add("Extras", fmt.Sprintf("use of %s | quantity | %s | %s | lb", item, item, x.quantity))
					s = s.add("Prices", fmt.Sprintf("%s | lb | | %s | | ", item, x.price))
				}
				return s
			}
			ch := compared(t, job(c.standard), job(c.actual))
			assert.Equal(t, c.total, ch.Difference().String())
			assert.Equal(t, c.total, ch.EditSum().String())
			assert.Equal(t, c.total, ch.ItemSum().String())
			of := map[string]ItemChange{}
			for _, i := range ch.Items {
				of[i.Item] = i
			}
			edits := map[string]string{}
			for _, e := range ch.Edits {
				edits[e.Name[:5]] = e.Cost.String()
			}
			for i := range c.standard {
				x, changed := of[fmt.Sprintf("input %c", 'A'+i)]
				if !changed {
					require.Equal(t, "0", c.quantities[i])
					continue
				}
				assert.Equal(t, c.quantities[i], x.Quantity.String())
				assert.Equal(t, c.price[i], x.PriceOnly.String())
				assert.True(t, x.Rounding.IsZero())
			}
			if len(c.standard) == 1 { // the edits are the variances: quantity first at the old price, then price at the new quantity
				assert.Equal(t, c.quantities[0], edits["extra"])
				assert.Equal(t, c.price[0], edits["price"])
			}
		})
	}
}

// A price that arrives is all price effect; an item that comes or goes moved in quantity alone; units are converted.
func TestEffectsAtTheEdges(t *testing.T) {
	base := sheetOf(house)
	with := base.add("Prices", "sealer | ea | | 3 | |")
	ch := compared(t, base, with)
	require.Len(t, ch.Items, 1)
	x := ch.Items[0]
	assert.Nil(t, x.P0)
	assert.True(t, x.Quantity.IsZero())
	assert.True(t, x.PriceOnly.Equal(x.New) && x.New.IsPositive())
	ch = compared(t, with, base)
	assert.True(t, ch.Items[0].PriceOnly.Neg().Equal(x.New))

	ch = compared(t, with, with.drop("Factors", "sealer").drop("Prices", "sealer"))
	require.Len(t, ch.Items, 1)
	assert.Equal(t, "sealer", ch.Items[0].Item)
	assert.True(t, ch.Items[0].PriceOnly.IsZero())
	assert.True(t, ch.Items[0].Quantity.Neg().Equal(x.New))

	// 171.25 a cubic yard as a price of cubic feet: the order is the same concrete.
	feet := base.set("Prices", "concrete-wall", "Unit", "cuft").set("Prices", "concrete-wall", "Price", "6.5")
	ch = compared(t, base, feet)
	require.Len(t, ch.Items, 1)
	x = ch.Items[0]
	assert.Equal(t, "cuft", string(x.Unit))
	assert.Equal(t, "6.342592593", x.P0.String()) // 171.25 / 27
	assert.True(t, x.Q0.Equal(x.Q1), "%s is not %s", x.Q0, x.Q1)
	assert.True(t, ch.ItemSum().Equal(ch.Difference()))
}
