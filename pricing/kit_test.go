package pricing

import (
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

func dec(s string) decimal.Decimal { return decimal.RequireFromString(s) }

func ptr(s string) *decimal.Decimal { d := dec(s); return &d }

// columns of a Prices tab as the tests lay it out.
var priceColumns = map[string]int{"item": 1, "unit": 2, "pack": 3, "length": 4, "per load": 5, "price": 6, "from 2": 7, "price 2": 8, "from 3": 9, "price 3": 10, "waste": 11, "valid until": 12, "lead days": 13}

// site is a job under construction for a test.
type site struct {
	job *takeoff.Job
	t   *takeoff.Takeoff
}

func newSite() *site {
	job := &takeoff.Job{
		Name: "test", Currency: "USD", MinorDigits: 2, Report: length.FeetInches, Settings: takeoff.NewSettings(length.FeetInches),
		BidDate: takeoff.NewDate(2025, 5, 1), PricesByItem: map[string][]*takeoff.PriceRow{},
		Levels: []*takeoff.Level{{Name: "L1"}, {Name: "L2", Order: 1}},
	}
	return &site{job, &takeoff.Takeoff{Job: job, Units: takeoff.UnitsOf(job.Report)}}
}

// set puts a numeric setting.
func (s *site) set(id takeoff.SettingID, v string) {
	s.job.Settings.Set(id, takeoff.SettingValue{Typed: true, At: takeoff.Ref{Tab: "Job", Row: 9, Col: 2}, Text: v, Num: exact.Dec(dec(v)), Word: v})
}

// row adds a price row.
func (s *site) row(item string, u unit.Unit, price string, more ...func(*takeoff.PriceRow)) *takeoff.PriceRow {
	r := &takeoff.PriceRow{Item: item, Unit: u, Price: dec(price), At: takeoff.Ref{Tab: "Prices", Row: len(s.job.Prices) + 2}, Columns: priceColumns}
	for _, f := range more {
		f(r)
	}
	s.job.Prices = append(s.job.Prices, r)
	k := takeoff.ItemKey(item)
	s.job.PricesByItem[k] = append(s.job.PricesByItem[k], r)
	return r
}

func pack(q string) func(*takeoff.PriceRow) { return func(r *takeoff.PriceRow) { r.Pack = ptr(q) } }
func perLoad(q string) func(*takeoff.PriceRow) {
	return func(r *takeoff.PriceRow) { r.PerLoad = ptr(q) }
}
func by(name string) func(*takeoff.PriceRow)    { return func(r *takeoff.PriceRow) { r.Supplier = name } }
func kind(name string) func(*takeoff.PriceRow)  { return func(r *takeoff.PriceRow) { r.Kind = name } }
func group(name string) func(*takeoff.PriceRow) { return func(r *takeoff.PriceRow) { r.Group = name } }
func lead(days int) func(*takeoff.PriceRow)     { return func(r *takeoff.PriceRow) { r.LeadDays = days } }
func taxable(r *takeoff.PriceRow)               { r.Taxable = true }
func waste(q string) func(*takeoff.PriceRow) {
	return func(r *takeoff.PriceRow) { r.Waste, r.HasWaste = dec(q), true }
}
func long(l length.Length) func(*takeoff.PriceRow) {
	return func(r *takeoff.PriceRow) { r.Length = l }
}
func breaks(froms ...string) func(*takeoff.PriceRow) {
	return func(r *takeoff.PriceRow) {
		for i := 0; i < len(froms); i += 2 {
			r.Breaks = append(r.Breaks, takeoff.Break{From: dec(froms[i]), Price: dec(froms[i+1])})
		}
	}
}

// line adds a takeoff line; place is "level/pour".
func (s *site) line(rule, item, q string, u unit.Unit, place string) {
	level, pour, _ := strings.Cut(place, "/")
	s.t.Lines = append(s.t.Lines, takeoff.Line{Wall: "W1", Level: level, Pour: pour, Item: item, Quantity: dec(q), Unit: u, Rule: rule,
		At: takeoff.Ref{Tab: "Walls", Row: 2}})
	if rule == "R-EXTRA" {
		l := &s.t.Lines[len(s.t.Lines)-1]
		l.Wall, l.At = "", takeoff.Ref{Tab: "Extras", Row: len(s.t.Lines) + 1}
	}
}

// pour adds a row of Pours; blank dates are "".
func (s *site) pour(name, forms, placed, strip string) {
	s.job.Pours = append(s.job.Pours, &takeoff.PourRow{Name: name, FormsSet: date(forms), PourDate: date(placed), Strip: date(strip),
		At: takeoff.Ref{Tab: "Pours", Row: len(s.job.Pours) + 2}, Columns: map[string]int{"pour": 1}})
}

// brace adds a wall with its bracing.
func (s *site) brace(mark, pour, item string, count, planks int64, rail length.Length, railPieces int64) {
	s.job.Walls = append(s.job.Walls, &takeoff.Wall{Mark: mark, Pour: pour})
	s.t.Braces = append(s.t.Braces, takeoff.BraceRow{Wall: mark, Pour: pour, Level: "L1", Item: item, Count: count, Planks: planks, Rail: rail, RailPieces: railPieces})
}

func date(s string) takeoff.Date {
	if s == "" {
		return takeoff.Date{}
	}
	d, err := time.Parse(time.DateOnly, s)
	if err != nil {
		panic(err)
	}
	return takeoff.Date{Time: d}
}

func (s *site) price() *Bid { return Price(s.t, Options{}) }

// find is the row of an item in a unit; "" is any.
func find(t *testing.T, b *Bid, item string, u unit.Unit, l length.Length) *Item {
	t.Helper()
	for i := range b.Items {
		if it := &b.Items[i]; it.Key == item && (u == "" || it.Unit == u) && (l == 0 || it.Length == l) {
			return it
		}
	}
	require.Failf(t, "no such item", "%s %s", item, u)
	return nil
}

// same compares decimals by value.
func same(t *testing.T, want string, have decimal.Decimal, what ...any) {
	t.Helper()
	require.Truef(t, dec(want).Equal(have), "want %s, have %s %v", want, have, what)
}

// said is the finding of a rule with those words.
func said(t *testing.T, b *Bid, severity takeoff.Severity, rule, words string) takeoff.Finding {
	t.Helper()
	for _, f := range b.Findings {
		if f.Rule == rule && f.Severity == severity && strings.Contains(f.Message, words) {
			return f
		}
	}
	require.Failf(t, "not said", "%s %s %q in %v", severity, rule, words, b.Findings)
	return takeoff.Finding{}
}

func quiet(t *testing.T, b *Bid) {
	t.Helper()
	require.Empty(t, b.Findings)
}
