package sheet

import (
	"archive/zip"
	"bytes"
	"io"
	"regexp"
	"testing"

	"strings"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/cutting"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

func dec(s string) decimal.Decimal { return decimal.RequireFromString(s) }

func decPtr(s string) *decimal.Decimal { d := dec(s); return &d }

// pricedSite is a hand-made job with its takeoff, for tests of the priced workbook.
type pricedSite struct {
	job *takeoff.Job
	t   *takeoff.Takeoff
}

var pricesColumns = map[string]int{"item": 1, "price": 9}

func newPricedSite() *pricedSite {
	job := &takeoff.Job{
		Name: "Two storeys on Mill Lane", Number: "B-17", Revision: "C", Client: "An invented client", Currency: "USD", MinorDigits: 2, Report: length.FeetInches,
		Settings: takeoff.NewSettings(length.FeetInches), BidDate: takeoff.NewDate(2025, 5, 1), PricesByItem: map[string][]*takeoff.PriceRow{},
		Levels: []*takeoff.Level{{Name: "L1"}, {Name: "L2", Order: 1}},
	}
	return &pricedSite{job, &takeoff.Takeoff{Job: job, Units: takeoff.UnitsOf(job.Report)}}
}

func (s *pricedSite) set(id takeoff.SettingID, v string) {
	s.job.Settings.Set(id, takeoff.SettingValue{Typed: true, At: takeoff.Ref{Tab: "Job", Row: 9, Col: 2}, Text: v, Num: exact.Dec(dec(v)), Word: v})
}

func (s *pricedSite) row(item string, u unit.Unit, price string, more ...func(*takeoff.PriceRow)) {
	r := &takeoff.PriceRow{Item: item, Unit: u, Price: dec(price), Taxable: true, At: takeoff.Ref{Tab: "Prices", Row: len(s.job.Prices) + 2}, Columns: pricesColumns}
	for _, f := range more {
		f(r)
	}
	s.job.Prices = append(s.job.Prices, r)
	k := takeoff.ItemKey(item)
	s.job.PricesByItem[k] = append(s.job.PricesByItem[k], r)
}

// line adds a takeoff line; place is "wall/level/pour".
func (s *pricedSite) line(rule, item, q string, u unit.Unit, place string) {
	at := strings.SplitN(place+"//", "/", 4)
	n, _ := dec(q), 0
	s.t.Lines = append(s.t.Lines, takeoff.Line{Wall: at[0], Level: at[1], Pour: at[2], Item: item, Quantity: n, Unit: u, Rule: rule,
		How: takeoff.How{Formula: "a·b", Operands: []takeoff.Operand{takeoff.Num("a", exact.Dec(n), "Walls!F4"), takeoff.Count("b", 1, "Walls!G4")}},
		At:  takeoff.Ref{Tab: "Walls", Row: len(s.t.Lines) + 2, Col: 3}})
}

// fullSite uses what the priced workbook shows: plans, breaks, packs, waste, extras, alternates, rentals, findings.
func fullSite() *pricedSite {
	s := newPricedSite()
	for id, v := range map[takeoff.SettingID]string{takeoff.SetSalesTax: "0.0825", takeoff.SetContingency: "0.03", takeoff.SetOverhead: "0.1", takeoff.SetProfit: "0.08",
		takeoff.SetBond: "0.0125", takeoff.SetRoundBidTo: "50"} {
		s.set(id, v)
	}
	group := func(g string) func(*takeoff.PriceRow) { return func(r *takeoff.PriceRow) { r.Group = g } }
	kind := func(k string) func(*takeoff.PriceRow) {
		return func(r *takeoff.PriceRow) { r.Kind, r.Taxable = k, false }
	}
	by := func(n string) func(*takeoff.PriceRow) { return func(r *takeoff.PriceRow) { r.Supplier = n } }
	pack := func(q string) func(*takeoff.PriceRow) { return func(r *takeoff.PriceRow) { r.Pack = decPtr(q) } }
	waste := func(q string) func(*takeoff.PriceRow) {
		return func(r *takeoff.PriceRow) { r.Waste, r.HasWaste = dec(q), true }
	}
	breaks := func(q ...string) func(*takeoff.PriceRow) {
		return func(r *takeoff.PriceRow) {
			for i := 0; i+1 < len(q); i += 2 {
				r.Breaks = append(r.Breaks, takeoff.Break{From: dec(q[i]), Price: dec(q[i+1])})
			}
		}
	}
	long := func(l length.Length) func(*takeoff.PriceRow) { return func(r *takeoff.PriceRow) { r.Length = l } }

	s.row("M-6in-block", unit.Each, "18.755", group("03 11 19"), by("Northern Forms"), pack("6"), waste("0.02"), breaks("60", "17.4", "600", "16.905"))
	s.row("concrete-wall", unit.CuYard, "164.5", group("03 30 00"), by("River Ready Mix"), kind("material"))
	s.row("footing-board", unit.Metre, "2.335", group("03 11 13"), waste("0.05"))
	s.row("stake", "bundle", "21.5", pack("1"))
	s.row("coating", unit.SqMetre, "7.995", group("07 11 13"), by("Dry Basement Supply"))
	s.row("plank", unit.Each, "0", long(10*length.Foot))
	s.row("crew", unit.Hour, "58.125", group("01 00 00"), kind("labor"))
	s.row("brace-set", unit.Week, "9.5", kind("rental"), by("Hire Yard"))
	s.row("brace-set", unit.Weeks4, "28", kind("rental"), by("Hire Yard"))
	s.row("bar-#4", unit.Each, "9.35", long(20*length.Foot), group("03 20 00"), by("Steel & Sons"))

	s.line("R-BLOCK", "M-6in-block", "57", unit.Each, "W1/L1/P1")
	s.line("R-BLOCK", "M-6in-block", "31", unit.Each, "W2/L2/P2")
	s.line("R-CUT", "M-6in-block", "4", unit.Each, "/L1/")
	s.line("R-CORE", "concrete-wall", "11.213541667", unit.CuYard, "W1/L1/P1")
	s.line("R-CORE", "concrete-wall", "7.333333333", unit.CuYard, "W2/L2/P2")
	s.line("R-FORM-FOOT", "footing-board", "81.333333333", unit.Foot, "W1/L1/P1")
	s.line("R-FORM-FOOT", "stake", "28", unit.Each, "W1/L1/P1")
	s.line("R-COAT", "coating", "1234.5", unit.SqFoot, "W1/L1/P1")
	s.line("R-FACTOR", "crew", "61.75", unit.Hour, "W1/L1/P1")
	s.line("R-FACTOR", "crew", "20.2", unit.Hour, "W2/L2/P2")
	s.line("R-SHORE", "shore", "6", unit.Each, "W1/L1/P1")
	s.line("R-VERT", "bar-#4", "320", unit.Foot, "W1/L1/P1")
	s.line("R-HORZ", "bar-#4", "99.5", unit.Foot, "W2/L2/P2")

	s.job.Pours = []*takeoff.PourRow{
		{Name: "P1", FormsSet: takeoff.NewDate(2025, 6, 2), PourDate: takeoff.NewDate(2025, 6, 9), Strip: takeoff.NewDate(2025, 6, 23), At: takeoff.Ref{Tab: "Pours", Row: 2}, Columns: map[string]int{"pour": 1}},
		{Name: "P2", At: takeoff.Ref{Tab: "Pours", Row: 3}, Columns: map[string]int{"pour": 1}},
	}
	s.job.Walls = []*takeoff.Wall{{Mark: "W1", Pour: "P1"}, {Mark: "W2", Pour: "P2"}}
	cal, _ := takeoff.NewCalendar(s.job)
	for i, name := range []string{"P1", "P2"} {
		q := takeoff.PourPlan{Pour: name, Row: s.job.Pours[i], WallItem: "concrete-wall", Trucks: 2, Status: "NOT CHECKED", Dates: cal.Dates[i]}
		q.WallConcrete, q.WallOrder = dec("11.213541667"), dec("12.25")
		if i == 1 {
			q.WallConcrete, q.WallOrder = dec("7.333333333"), dec("7.75")
			q.Status, q.Pressure, q.Rating, q.RateOfRise = "OVER RATING", decPtr("925.5"), decPtr("800"), decPtr("4.25")
		}
		q.Lifts = []takeoff.Lift{{Number: 1, Top: 4 * length.Foot, Volume: dec("5.5"), Minutes: decPtr("45.123456789")}}
		q.Loads = []takeoff.Load{{Item: "concrete-wall", Count: 2, Each: dec("6.125")}}
		s.t.Pours = append(s.t.Pours, q)
	}
	s.t.Braces = []takeoff.BraceRow{
		{Wall: "W1", Level: "L1", Pour: "P1", Item: takeoff.ItemBraceSet, Count: 5, Positions: []length.Length{2 * length.Foot, 8 * length.Foot}, Planks: 4},
		{Wall: "W2", Level: "L2", Pour: "P2", Item: takeoff.ItemBraceSet, Count: 3, Positions: []length.Length{2 * length.Foot}, Planks: 2},
	}
	s.t.Bars = []takeoff.BarRow{{Mark: "B1", Bar: takeoff.BarBySize("#4"), Length: 9*length.Foot + 6*length.Inch, Count: 44, Shape: "straight", Wall: "W1", Level: "L1", Pour: "P1", Rule: "R-VERT", Mass: dec("279.3")}}
	s.t.Cuts = []takeoff.CutPool{{Item: "bar-#4", Pour: "P1", Bar: takeoff.BarBySize("#4"), Priced: true, PriceScale: 2, RuleOfThumb: 21,
		Uses:    []takeoff.PieceUse{{Wall: "W1", What: "R-VERT B1", Count: 40, Length: 114 * length.Inch}, {Wall: "W2", What: "R-JAMB B1", Count: 4, Length: 114 * length.Inch}},
		Problem: cutting.Problem{Pieces: []cutting.Piece{{Length: int64(114 * length.Inch), Count: 44}}, Stock: []cutting.Stock{{Length: int64(20 * length.Foot), Price: 935}}},
		Plan: cutting.Plan{Patterns: []cutting.Pattern{{Times: 22, Pieces: []cutting.Piece{{Length: int64(114 * length.Inch), Count: 2}}, Drop: int64(length.Foot)}},
			Cost: 22 * 935, LeastCost: 22 * 935, Bought: 22, Proven: true}}}
	s.t.Courses = []takeoff.CourseRow{{Wall: "W1", Level: "L1", Pour: "P1", Line: "M", CoreName: "6in", Number: 1, Height: 16 * length.Inch, CornerUnits: exact.Frac(5, 2), EndCaps: 1,
		Segments: []takeoff.Segment{{To: 24 * length.Foot, Fill: []takeoff.Unit{{Length: 4 * length.Foot, Whole: true}, {Length: 16 * length.Inch}}}}}}
	s.t.Drivers = []takeoff.Driver{{Name: "wall-area", Quantity: dec("815"), Unit: unit.SqFoot}, {Name: "form-area", Quantity: dec("785"), Unit: unit.SqFoot},
		{Name: "wall-length", Quantity: dec("101.5"), Unit: unit.Foot}, {Name: "wall-concrete", Quantity: dec("18.546875"), Unit: unit.CuYard},
		{Name: "footing-concrete", Quantity: dec("0"), Unit: unit.CuYard}, {Name: "tees", Quantity: dec("0.5"), Unit: unit.Each}}
	s.job.Extras = []*takeoff.ExtraRow{
		{Line: "=Winter heating", Kind: takeoff.ExtraAllowance, Quantity: dec("1"), Unit: unit.Lump, Price: decPtr("2500"), Notes: "+ enclosure", At: takeoff.Ref{Tab: "Extras", Row: 2}, Columns: map[string]int{"price": 6}},
		{Line: "Extra crew time", Kind: takeoff.ExtraAdd, Item: "crew", Quantity: dec("12.5"), Unit: unit.Hour, At: takeoff.Ref{Tab: "Extras", Row: 3}},
		{Line: "Deduct the garage", Kind: takeoff.ExtraAlternate, Quantity: dec("2"), Unit: unit.Lump, Price: decPtr("-1234.565"), At: takeoff.Ref{Tab: "Extras", Row: 4}},
		{Line: "Excavation", Kind: takeoff.ExtraExclusion, Notes: "by others", At: takeoff.Ref{Tab: "Extras", Row: 5}},
	}
	s.t.Findings = []takeoff.Finding{{Severity: takeoff.Warning, At: takeoff.Ref{Tab: "Walls", Row: 3, Col: 2}, Subject: "Height, wall W2", Message: "low", Rule: "R-COURSE"},
		{Severity: takeoff.Note, At: takeoff.Ref{File: "book.xlsx", Tab: "Prices", Row: 3}, Message: "old quote", Rule: "P-QUOTE"}}
	s.job.Inherited = []takeoff.Inherited{{Wall: "W1", Column: "Height", Value: `9'-0"`, From: "level L1"}}
	return s
}

// scheduleBook is a workbook with tabs as a schedule has, and one of the user's.
func scheduleBook() *excelize.File {
	f := excelize.NewFile()
	_ = f.SetSheetName("Sheet1", "Job")
	for _, n := range []string{"Walls", "Prices", "Extras", "My notes"} {
		_, _ = f.NewSheet(n)
	}
	_ = f.SetCellStr("My notes", "A1", "for the manager")
	_ = f.SetCellFormula("My notes", "B1", "Bid!C14")
	return f
}

var testRun = Run{Number: 3, PreviousRun: 2, Time: time.Date(2025, 5, 2, 9, 30, 0, 0, time.UTC), Version: "0.1.0", InputFile: "mill-lane.xlsx", InputHash: strings.Repeat("ab", 32)}

func priceSite(s *pricedSite) *pricing.Bid { return pricing.Price(s.t, pricing.Options{}) }

// storedValue is the value stored after a formula.
var storedValue = regexp.MustCompile(`(</f>)<v>[^<]*</v>`)

// editParts rewrites the parts of a workbook.
func editParts(t *testing.T, book []byte, edit func(name string, part []byte) []byte) []byte {
	t.Helper()
	zr, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	require.NoError(t, err)
	var out bytes.Buffer
	zw := zip.NewWriter(&out)
	for _, p := range zr.File {
		r, err := p.Open()
		require.NoError(t, err)
		b, err := io.ReadAll(r)
		require.NoError(t, err)
		w, err := zw.Create(p.Name)
		require.NoError(t, err)
		_, err = w.Write(edit(p.Name, b))
		require.NoError(t, err)
	}
	require.NoError(t, zw.Close())
	return out.Bytes()
}
