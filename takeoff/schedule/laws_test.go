package schedule

import (
	"encoding/json"
	"fmt"
	"math/rand"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/takeoff"
)

// everything is a schedule with every tab and most columns filled, in a form of each kind.
const everything = `== Job
Setting | Value | Note
Job | Everything | a sample
Job number | =17
Revision | C
Bid date | =2026-03-02
Form line | M
Currency | CAD
Lengths in | ft
Price book | prices.xlsx
Dimensions to | core face
Concrete waste | =0.07
Brace spacing | =5
Truck | 9
Free unloading | 5 min/cy
Ledger bracket spacing | 16"
Rental days | =21
Primer height | ALL
Overhead | 8.5%
Round bid to | =10
Cut effort | =0.1
Greatest rate of rise | 1.2 m/h
Concrete density | =145
Concrete chemistry | =1.2
Steel (mine) | 7
== My own tab
anything | =1
== Levels
Level | Base (ft) | Height | Core (in) | Bars | Footing | Below grade | Below-grade cover | Drain | Plate | Pour | Parge height
# the lowest first
B | -8' | 8' | =8 | V1 | S1 | =6.5 | membrane | yes | no | P1 | 1'
U | 1' | 9'-1 1/8" | 6" |  |  |  |  |  | yes
== Walls
Wall | Run | Level | Length | Height | Height at end | Base | Core | Form line | Start | Turn | Count | Pour | Pour above | Core above | Core changes at | Flush | Brick ledge | Brick ledge top | Floor ledger at | Bars | Footing | Below grade | Below grade at end | Braced | Notes | Cost centre
B1 | A | B | 30' |  |  |  |  |  |  | corner | =2 |  |  |  |  |  |  |  |  |  |  |  | 2' | kicker | '- see "detail" 4, page 2
B2 | A | B | =24.333333333333332 |  |  |  |  |  |  | corner

B3 | A | B | 30' |  |  |  | 10" |  |  |  |  |  | P2 | 6" | 6' | inside | L1 | 7'-3" | 5'; 7'-6 1/2"
B4 | A | B | 24-4 |  |  |  |  | m |  | outside corner
U1 | C | U | 9,144 m
U1 | C | U | 9144 mm | 2500 mm | 4000 mm | 305 mm | 152.4 mm |  | tee B1 | corner 22.5 |  |  |  |  |  |  |  |  |  | none | none
U2 | C | U | 12' |  |  |  | =6 |  |  | Tee b3 at 12-6 |  | =3
== Openings
Opening | Wall | Type | Count | Width | Height | Sill | Head | At | Bars
D | B1 | door | =2 | 3' | 6'-8" |  | 6'-8" |  | V2
D | B2 | Door |  |  |  |  |  | c 12'-6"
W | B3 |  |  | 4' | 4' | 2'-8" | 6'-8" | e 4'-0"
W | B4 | win |  | =4 | =4 | =3 |  | =5.25
== Bars
Mark | Layers | Vertical bar | Vertical spacing | Horizontal bar | Horizontal spacing | Horizontal bars | Top within | Cover | Lap | Dowel bar | Continues above | Jamb bar | Jamb bars | Lintel bar | Lintel top bars | Lintel bottom bars | Stirrup bar | Stirrup spacing | Stirrup legs | Sill bars | Rake bar
V1 | =1 | #4 | =18 | #4 | 24" |  | 6" | 3/4" | 48d | #4 | yes | #5 | =2 | #5 | =1 | =2 | #3 | =8 | =2 | =1 | =TRUE
V2 |  | 15m | 400 mm | 10M | 600 mm | 5 |  | 40 mm | 24"
== Footings
Mark | Width | Depth | Along bar | Along bars | Across bar | Across spacing | Cast with wall | Pour
S1 | =20 | 10" | #4 | =2 | #4 | 24" | no | F
== Pads
Pad | Pour | Count | Length | Width | Depth | Bar | Bars each way
P | F | =4 | =3 | 3' | 1' | #5 | =4
== Ledges
Mark | Projection | Face depth | Taper depth | Replaces | From | Unit length | Connector spacing | Least core below | Stirrup bar | Stirrup spacing | Stirrup length | Along bar | Along bars
L1 | 4 1/2" | 8" | 6" | course | core | 4' | 16" | 6" | #3 | 12" | 20" | #4 | =1
== Pours
Pour | Forms set | Pour date | Strip braces | Concrete temp | Placing rate | Slump | Mix | Footing mix | Pump
P1 | 2026-03-09 | =2026-03-12 | 2026-03-14 | 70 F | 15 cy | 6" | A1 | A2 | yes
F |  | 2026-03-05 |  | 10 °C | 12 m3/h | 150 mm
== Factors
Item | Per | Quantity | Unit | Driver unit | Level | Core | Notes
form-tape | wall-area | =1.2500000000000001E-3 | roll | sqft | b | 8" | by hand
labour | form-units | =0.05 | hr
== Prices
Item | Description | Group | Kind | Supplier | Unit | Pack | Length | Per load | Price | From 2 | Price 2 | From 3 | Price 3 | Waste | Taxable | Valid until | Lead days
M-8in-block | '=not a formula | 03 11 19 | material | Acme & Sons | ea | =3 |  | =240 | =21.100000000000001 | =300 | =20 | =600 | =19.5 | =0.03 | yes | 2026-06-30 | =10
bar-#4 |  |  |  |  | ea |  | 20' |  | 9.75
bar-#4 |  |  |  |  | ea |  | 40' |  | =19
brace-set |  |  | rental |  | day |  |  |  | =1
brace-set |  |  | rental |  | week |  |  |  | =4 |  |  |  |  |  | no
== Extras
Line | Kind | Item | Quantity | Unit | Price | Wall | Level | Pour | Notes
Mobilise | add |  |  |  | =500
Without garage | Alternate |  | =1 |  | =-900 |  | U
Permits | exclusion
Slab edge | quantity | concrete-wall | =1.5 | cy |  | B1 |  | P1 | by sketch
== Ordered
Date | Order number | Item | Length | Quantity | Unit
2026-03-01 | =1001 | bar-#4 | =240 | =40 | ea
2026-03-03 | 1002 | bar-#4 | 20' | =-2
== Forms = prices.xlsx
Form line | Kind | Core | Foam | Unit length | Course height | Half course | Corner long leg | Corner short leg | Angle long leg | Angle short leg | Smallest piece | Cut step | Pressure rating | Corner handed
M | block | =6 | =2.25 | 4'-2" | =15 | 7.5" | 3' | 1'-9" | 29" | 17" |  | 1" | 800 psf | no
M | block | =8 | =2.25 | 4'-2" | =15 | 7.5" | 38" | 23" | 30" | 18" | 7" |  | 38 kPa | yes
M | block | 10" | =2.25 | 4'-2" | =15 | 7.5" | 40" | 25" | 32" | 20"
N | faces | 150 mm | 65 mm | 2400 mm | 300 mm
N | faces | 5.3 in | 65 mm | 2400 mm | 300 mm
== Parts = prices.xlsx
Form line | Core | Part | Counted | Rows | Spacing | Each | Notes
N |  | tie | tie row | =2 | =8 | =1
M | 152.4 mm | corner clip | corner |  |  | 2.5
N | 150 mm | brace clip | course
== Prices = prices.xlsx
Item | Unit | Price | Length
BAR-#4 | ea | =8 | 60'
coating | bucket | =40
== Factors = prices.xlsx
Item | Per | Quantity | Unit | Level
form-tape | wall-area | =0.002 | roll | Attic
`

// metricSchedule has bare numbers in metres, and millimetres in the columns of small lengths.
const metricSchedule = `== Job
Setting | Value
Job | Metric
Lengths in | m
Form line | M
Truck | =9
Pump prime | 0.4 m3
Concrete density | =2350
Stirrup cover | 25 mm
Brace spacing | =6
== Levels
Level | Base (m) | Height (m) | Core (mm)
1 | =-2.4384 | =2.4 | =150
== Forms
Form line | Kind | Core | Foam | Unit length | Course height
M | block | =150 | =65 | =1200 | 0.4 m
M | block | 6" | =65 | =1200 | 40 cm
== Bars
Mark | Vertical bar | Vertical spacing (mm) | Cover
A | 12mm | =400 | =40
== Walls
Run | Wall | Level | Length (m) | Turn | Bars | Core
=1 | =1 | =1 | =9.1440000000000001 | corner | a
=1 | =2 | =1 | 6.1 m | corner | A | =152.4
=1 | =3 | =1 | =9.144 | corner | a | 6"
=1 | =4 | =1 | 20' | corner
== Openings
Opening | Wall | Width | Height | At
D | 1 | =0.9 | =2.1 | c 4.5
`

// sample is everything without its one wrong row.
func sample(t testing.TB) (Book, *Book) {
	return specimen(t, strings.Replace(everything, "U1 | C | U | 9,144 m\n", "", 1))
}

func TestEverythingReads(t *testing.T) {
	s, b := sample(t)
	job, findings := Read(s, b)
	var texts []string
	for _, f := range findings {
		texts = append(texts, f.Print(""))
	}
	require.False(t, takeoff.HasErrors(findings), strings.Join(texts, ""))
	require.Len(t, job.Walls, 6)
	require.Len(t, job.Prices, 6, "the job's bar-#4 rows replace the book's")
	assert.Equal(t, "5.3in", job.Forms[4].CoreName)
	assert.Equal(t, "150mm", job.Forms[3].CoreName)
	assert.Equal(t, "6in", job.Parts[1].CoreName, "as its Forms row names it")
}

// Law: the inputs, written as a workbook and read again, give the same job, addresses included, and the same inputs.
func TestInputsLaw(t *testing.T) {
	check := func(name string, s Book, b *Book) {
		job, findings := Read(s, b)
		if takeoff.HasErrors(findings) {
			return
		}
		inputs := Inputs(s, b)
		s2, b2 := Books(inputs)
		again, findings2 := Read(s2, b2)
		require.False(t, takeoff.HasErrors(findings2), "%s: %v", name, findings2)
		require.Empty(t, difference(job, again), name)
		require.Empty(t, difference(inputs, Inputs(s2, b2)), name)
	}
	s, b := sample(t)
	check("everything", s, b)
	check("store", worked(t, "store"), nil)
	check("annex", worked(t, "annex"), nil)
	for _, e := range examples(t) {
		check(e.name, e.schedule, e.book)
	}
	s, b = specimen(t, metricSchedule)
	_, findings := Read(s, b)
	require.Empty(t, findings)
	check("metric", s, b)
}

// Law: the order of a tab's rows, of its columns and of the tabs is no change of the job, but for addresses and for the
// rows of Walls and Openings, whose order means something.
func TestOrderLaw(t *testing.T) {
	key := func(s Book, b *Book) string {
		job, findings := Read(s, b)
		require.False(t, takeoff.HasErrors(findings))
		var lines []string
		for _, w := range job.Walls {
			lines = append(lines, fmt.Sprint(w.Run, w.Mark, w.Length, w.Height, w.HeightEnd, w.Core, w.Pour, w.PourAbove, w.BelowGrade, w.BelowGradeEnd, w.Cover, w.Drain, w.Turn.Kind, w.Turn.MilliDegrees, w.Plate, w.Base, w.FormLine))
		}
		for _, o := range job.Openings {
			lines = append(lines, fmt.Sprint(o.Mark, o.Wall, o.Width, o.Height, o.Sill, o.Place, o.Offset, o.Count))
		}
		return strings.Join(lines, "\n")
	}
	s, b := sample(t)
	want := key(s, b)
	rapid.Check(t, func(rt *rapid.T) {
		rng := rand.New(rand.NewSource(rapid.Int64().Draw(rt, "seed")))
		shuffled := Book{}
		for _, tab := range s.Tabs {
			n := Tab{Name: tab.Name}
			width := 0
			for _, r := range tab.Rows {
				width = max(width, len(r.Cells))
			}
			columns := rng.Perm(width)
			numbers := rng.Perm(len(tab.Rows))
			for i, r := range tab.Rows {
				row := Row{Number: r.Number, Cells: make([]Cell, width)}
				if strings.HasPrefix(r.cell(1).Value, "#") && r.cell(1).Kind == Text {
					continue
				}
				for from, to := range columns {
					row.Cells[to] = r.cell(from + 1)
				}
				switch tab.Name {
				case "Walls", "Openings":
				default:
					if r.Number > 1 {
						row.Number = 2 + numbers[i]
					}
				}
				n.Rows = append(n.Rows, row)
			}
			shuffled.Tabs = append(shuffled.Tabs, n)
		}
		rng.Shuffle(len(shuffled.Tabs), func(i, j int) { shuffled.Tabs[i], shuffled.Tabs[j] = shuffled.Tabs[j], shuffled.Tabs[i] })
		if got := key(shuffled, b); got != want {
			rt.Fatalf("got\n%s\nwant\n%s", got, want)
		}
	})
}

// Law: no schedule panics, whatever its cells; what a finding says to try is accepted as a value; reading what Inputs gives
// gives the same job where there were no errors.
func FuzzRead(f *testing.F) {
	f.Add(everything)
	f.Add("== Walls\nRun|Wall|Length|Turn\nA|B|9'-15\"|tee B at 1\n")
	f.Add("== Job\nSetting|Value\nLengths in|mm\nBid date|=TRUE\n== Prices\nItem|Unit|Price|Waste\n#|ea|=1e99|5%%\n")
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 1<<16 {
			return
		}
		s, b := specimen(t, text)
		job, findings := Read(s, b)
		for _, g := range findings {
			if g.Message == "" || g.Print("f") == "" {
				t.Fatalf("%#v", g)
			}
		}
		inputs := Inputs(s, b)
		if takeoff.HasErrors(findings) {
			return
		}
		s2, b2 := Books(inputs)
		again, findings := Read(s2, b2)
		if takeoff.HasErrors(findings) {
			t.Fatalf("read back: %v", findings)
		}
		if d := difference(job, again); d != "" {
			t.Fatal(d)
		}
	})
}

// Law: in every column, whatever a cell holds, reading it does not panic, and a suggestion is accepted in its place.
func FuzzCell(f *testing.F) {
	for _, s := range []string{"9'-15\"", "6'", "5", "corner", "tee W1 at 13", "c 4", "60d", "4", "70", "yes", "sq ft", "2026-1-2", "-3", "1,5"} {
		f.Add(s, byte(1), byte(0))
	}
	f.Fuzz(func(t *testing.T, text string, kind, units byte) {
		r := newReader()
		r.lengthsIn = []takeoff.LengthUnit{takeoff.InFeet, takeoff.InInches, takeoff.InMetres, takeoff.InMM}[units%4]
		for i := range Tabs {
			for j := range Tabs[i].Columns {
				c := &Tabs[i].Columns[j]
				cell := Cell{Kind: CellKind(kind % 7), Value: text}
				if cell.blank() {
					continue
				}
				var v value
				wrong := r.read(&v, c, cell)
				if wrong == nil {
					if c.Kind == ValueColumn {
						continue
					}
					var w value
					if back := r.read(&w, c, cellOf(&Tabs[i], j, cellsWith(&Tabs[i], j, v.text))); v.text == "" || back != nil || w.text != v.text || !w.same(&v) && c.Kind != NameColumn && c.Kind != TextColumn && c.Kind != SettingColumn && c.Kind != ItemColumn {
						t.Fatalf("%s!%s: %q read as %q, read back as %q, %v", Tabs[i].Name, c.Name, text, v.text, w.text, back)
					}
				} else if wrong.Try != "" {
					var w value
					if again := r.read(&w, c, Cell{Kind: Text, Value: wrong.Try}); again != nil {
						t.Fatalf("%s!%s: %q: try %q: %v", Tabs[i].Name, c.Name, text, wrong.Try, again)
					}
				}
			}
		}
	})
}

// difference is the first lines in which two values print differently; empty when they are equal.
func difference(a, b any) string {
	if assert.ObjectsAreEqual(a, b) {
		return ""
	}
	x, y := strings.Split(dump(a), "\n"), strings.Split(dump(b), "\n")
	for i := range min(len(x), len(y)) {
		if x[i] != y[i] {
			return strings.Join(x[max(0, i-5):i+1], "\n") + "\nagainst\n" + y[i]
		}
	}
	return "of another length"
}

func dump(v any) string {
	text, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		return err.Error()
	}
	if job, ok := v.(*takeoff.Job); ok {
		for i := range takeoff.Catalogue {
			text = append(text, fmt.Sprintf("\n%s %+v", takeoff.Catalogue[i].Name, job.Settings.Value(takeoff.SettingID(i)))...)
		}
	}
	return string(text)
}

func cellsWith(spec *TabSpec, column int, text string) []string {
	cells := make([]string, len(spec.Columns))
	cells[column] = text
	return cells
}

// pool are texts that cells of any column may hold, right in some and wrong in others.
var pool = strings.Split(`W1|w2|W3|A|B|1|2|none|M|Q|V1|S1|L1|X1|corner|inside 45|straight|end|tee W1|tee w2 at 3'|tee|conrer|6"|8"|150 mm|6'|9'-15"|30'|24-6|24'-6 1/2"|-1'-4"|0|0.5|5|5%|-3|1e3|c 4'|e 2'|#4|4|15M|60d|yes|no|x|membrane|block|faces|course|tie row|70 F|15 cy|800 psf|ea|day|week|roll|sqft|ft|wall-area|job|2026-03-02|3/4/2026|add|quantity|alternate|bar-#4|=x|*|# note|Job|Lengths in|Report in|mm|metric|Profit|100%|Profit on|price|Brace spacing|Currency|JPY|Primer height|all|;|9'; 18'|feet`, "|")

// Laws on schedules of random cells under the catalogue's own headers: nothing panics; every value to try is accepted in
// its cell; a schedule without errors gives the same job from its inputs.
func TestRandomCells(t *testing.T) {
	clean, tries := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		rng := rand.New(rand.NewSource(rapid.Int64().Draw(rt, "seed")))
		sparse := rng.Intn(4) // the fewer cells, the likelier a schedule without errors
		cell := func() Cell {
			text := pool[rng.Intn(len(pool))]
			switch rng.Intn(12) {
			case 0:
				return Cell{Kind: Number, Value: fmt.Sprint(rng.Intn(300))}
			case 1:
				return Cell{Kind: CellKind(rng.Intn(7)), Value: text}
			}
			return Cell{Kind: Text, Value: text}
		}
		s, b := specimen(t, strings.Replace(everything, "U1 | C | U | 9,144 m\n", "", 1))
		book := Book{}
		for _, tab := range s.Tabs {
			spec := TabNamed(tab.Name)
			if spec == nil || rng.Intn(3) > 0 {
				book.Tabs = append(book.Tabs, tab)
				continue
			}
			n := Tab{Name: tab.Name, Rows: append([]Row(nil), tab.Rows...)}
			for i := range n.Rows {
				if i == 0 {
					continue
				}
				n.Rows[i].Cells = append([]Cell(nil), n.Rows[i].Cells...)
				for range max(1, 4-sparse) {
					if len(n.Rows[i].Cells) > 0 && rng.Intn(1+2*sparse) == 0 {
						n.Rows[i].Cells[rng.Intn(len(n.Rows[i].Cells))] = cell()
					}
				}
			}
			book.Tabs = append(book.Tabs, n)
		}
		job, findings := Read(book, b)
		for _, f := range findings {
			if f.Try == "" || f.At.Col == 0 || f.Severity != takeoff.Error {
				continue
			}
			tries++
			s2, b2 := retyped(book, b, f.At, f.Try)
			_, again := Read(s2, b2)
			for _, g := range again {
				if g.At == f.At && g.Message == f.Message && g.Cell == f.Try {
					rt.Fatalf("%safter trying: %s", f.Print(""), g.Print(""))
				}
			}
		}
		if takeoff.HasErrors(findings) {
			return
		}
		clean++
		s2, b2 := Books(Inputs(book, b))
		again, _ := Read(s2, b2)
		if d := difference(job, again); d != "" {
			rt.Fatal(d)
		}
	})
	if !testing.Short() { // fewer schedules are drawn in a short run
		assert.Greater(t, clean, 0)
		assert.Greater(t, tries, 5)
	}
}
