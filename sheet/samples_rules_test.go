package sheet

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/schedule"
)

var ruleID = regexp.MustCompile(`\b[RP](-[A-Z]+)+\b`)

// The samples together use every rule: a line, its operands, a bar, a finding name it, or what the rule decides is there.
func TestSamplesUseEveryRule(t *testing.T) {
	used := map[string]bool{}
	for _, name := range sampleJobs {
		bid, findings := priceSample(t, name)
		for _, f := range findings {
			used[f.Rule] = true
		}
		for _, l := range bid.Takeoff.Lines {
			used[l.Rule] = true
			for _, o := range l.How.Operands {
				for _, id := range ruleID.FindAllString(o.From, -1) {
					used[id] = true
				}
			}
		}
		usedByTakeoff(used, bid.Takeoff)
		usedByBid(used, bid)
	}
	for _, r := range takeoff.Rules {
		require.True(t, used[r.ID], "no sample uses %s (%s)", r.ID, r.Title)
	}
}

// usedByTakeoff marks the rules that make no line of their own.
func usedByTakeoff(used map[string]bool, t *takeoff.Takeoff) {
	for _, w := range t.Geometry.Walls {
		if len(w.Zones) > 1 && w.Zones[0].Forms != w.Zones[1].Forms {
			used["R-ZONE"] = true
		}
	}
	for _, c := range t.Courses {
		for _, s := range c.Segments {
			for _, unit := range s.Fill {
				if unit.Wall != c.Wall {
					used["R-STRETCH"] = true // laid through the joint of two rows
				}
			}
		}
	}
	for _, b := range t.Bars {
		if b.Mass.IsPositive() {
			used["R-MASS"] = true
		}
	}
	for _, d := range t.Drivers {
		if d.Name == "opening-perimeter" && d.Quantity.IsPositive() {
			used["R-OPEN"] = true
		}
	}
	for _, p := range t.Pours {
		if p.Pressure != nil {
			used["R-LIFT"] = true
		}
	}
}

// usedByBid marks the rules of pricing by what they decide.
func usedByBid(used map[string]bool, b *pricing.Bid) {
	for _, it := range b.Items {
		if it.Planned == nil && it.Net.IsPositive() {
			used["P-NET"] = true
		}
		if it.TakeoffUnit != "" && it.Unit != it.TakeoffUnit && it.Net.IsPositive() {
			used["P-UNIT"] = true
		}
		if it.Order.GreaterThan(it.Net) && it.Waste.IsPositive() && it.Pack != nil {
			used["P-ORDER"] = true
		}
		if it.Price != nil && it.Row != nil && !it.Price.Equal(it.Row.Price) {
			used["P-PRICE"] = true // a break's price
		}
		if it.Extension != nil && !it.Extension.Equal(it.Order.Mul(*it.Price)) {
			used["P-EXT"] = true // rounded
		}
		if it.PlanTab == "Cuts" && strings.HasPrefix(it.Name, "bar-") && it.Order.IsPositive() {
			used["P-BARS"] = true
		}
		if it.Concrete && it.Order.IsPositive() {
			used["P-CONCRETE"] = true
		}
	}
	if len(b.Rentals) > 0 {
		used["P-RENTAL"] = true
	}
	for _, o := range b.Orders {
		if o.Ordered.IsPositive() && o.ToOrder.IsPositive() {
			used["P-BUY"] = true
		}
	}
	if b.Complete && b.Unpriced == 0 {
		used["P-MISSING"] = true // the Checks tab says that nothing is missing
	}
	if b.Totals.Tax.IsPositive() && b.Totals.Bond.IsPositive() && !b.Totals.Rounding.IsZero() {
		used["P-BID"] = true
	}
}

// Together the samples fill every tab of a schedule, and every kind of Extras.
func TestSamplesFillEveryTab(t *testing.T) {
	filled, kinds := map[string]bool{}, map[string]bool{}
	for _, s := range samples {
		text, err := os.ReadFile(filepath.Join("..", "samples", "src", s.name+".txt"))
		require.NoError(t, err)
		tabs, err := readExample(string(text))
		require.NoError(t, err)
		for _, tab := range tabs {
			filled[tab.name] = filled[tab.name] || len(tab.rows) > 0
			if tab.name == "Extras" {
				for _, row := range tab.rows {
					kinds[row[1]] = true
				}
			}
		}
	}
	for _, tab := range schedule.Tabs {
		require.True(t, filled[tab.Name], "no sample fills %s", tab.Name)
	}
	for _, kind := range schedule.TabNamed("Extras").Column("Kind").Choices {
		require.True(t, kinds[kind], "no sample has an Extras row of kind %s", kind)
	}
}
