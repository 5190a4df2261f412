package schedule

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

const testForms = `== Forms
Form line | Kind | Core | Foam | Unit length | Course height | Corner long leg | Corner short leg | Angle long leg | Angle short leg
M | block | 6" | 2 1/4" | 4'-2" | 1'-3" | 3'-0" | 1'-9" | 2'-5" | 1'-5"
M | block | 8" | 2 1/4" | 4'-2" | 1'-3" | 3'-2" | 1'-11" | 2'-6" | 1'-6"
`

const testJob = "== Job\nSetting | Value\nJob | Test\nForm line | M\n"

// read reads a schedule given as text, of which the findings must be these, each as "severity cell: message".
func read(t *testing.T, text string, want ...string) *takeoff.Job {
	t.Helper()
	s, b := specimen(t, text)
	job, findings := Read(s, b)
	var got []string
	for _, f := range findings {
		got = append(got, f.Severity.String()+" "+f.At.String()+": "+f.Message)
	}
	assert.Equal(t, want, got)
	return job
}

// Blank cells take the level's value, then the Job's, then the default; Basis hears of it.
func TestLevelsGiveValues(t *testing.T) {
	job := read(t, testJob+testForms+`== Bars
Mark | Vertical bar | Vertical spacing
V1 | #4 | 18"
== Footings
Mark | Width | Depth
S1 | 20" | 10"
== Levels
Level | Base | Height | Core | Bars | Footing | Below grade | Below-grade cover | Drain | Plate | Pour | Parge height
B | -8' | 8' | 8" | v1 | S1 | 6' | membrane | no | yes | P1 | 1'
U | 1' | 9'
== Walls
Run | Wall | Level | Length | Height | Core | Base | Bars | Footing | Below grade | Below grade at end | Pour | Plate | Start | Turn
A | 1 | b | 30' |  |  |  |  |  |  |  |  |  | end | straight
A | 2 | B | 30' | 4' | 6" | 0 | none | none | 2' | 1' | P2 | no |  | end
C | 3 | U | 30' |  | 6" |  |  |  |  |  |  |  | end | end
D | 4 |  | 30' | 5' | 6" |  |  |  |  |  |  |  | end | end
`)
	w := job.Walls
	assert.Equal(t, "B", w[0].Level, "as Levels spells it")
	assert.Equal(t, 8*length.Foot, w[0].Height)
	assert.Equal(t, 8*length.Inch, w[0].Core)
	assert.Equal(t, -8*length.Foot, w[0].Base)
	assert.Equal(t, "V1", w[0].Bars.Mark)
	assert.Equal(t, "S1", w[0].Footing.Mark)
	assert.Equal(t, 6*length.Foot, w[0].BelowGradeEnd)
	assert.Equal(t, takeoff.CoverMembrane, w[0].Cover)
	assert.False(t, w[0].Drain)
	assert.True(t, w[0].Plate)
	assert.Equal(t, "P1", w[0].Pour)
	assert.Equal(t, length.Foot, w[0].PargeHeight)
	assert.Equal(t, job.Levels[0], w[0].LevelRow)
	assert.Equal(t, 4*length.Foot, w[1].Height)
	assert.Nil(t, w[1].Bars, "none")
	assert.Nil(t, w[1].Footing, "none")
	assert.Zero(t, w[1].Base)
	assert.Equal(t, 2*length.Foot, w[1].BelowGrade)
	assert.Equal(t, length.Foot, w[1].BelowGradeEnd)
	assert.Equal(t, "P2", w[1].Pour)
	assert.False(t, w[1].Plate)
	assert.Equal(t, "U", w[2].Pour, "the level's name")
	assert.Equal(t, takeoff.CoverNone, w[2].Cover)
	assert.False(t, w[2].Drain, "no without a cover")
	assert.Equal(t, "1", w[3].Pour, "the default")
	assert.Empty(t, w[3].Level)
	from := map[string]string{}
	for _, in := range job.Inherited {
		if in.Wall == "1" {
			from[in.Column] = in.Value + " from " + in.From
		}
	}
	assert.Equal(t, map[string]string{
		"Height": `8'-0" from level B`, "Core": `8" from level B`, "Base": `-8'-0" from level B`, "Form line": "M from Job", "Bars": "v1 from level B",
		"Footing": "S1 from level B", "Pour": "P1 from level B", "Below grade": `6'-0" from level B`, "Below-grade cover": "membrane from level B",
		"Drain": "no from level B", "Plate": "yes from level B", "Parge height": `1'-0" from level B`,
	}, from)
}

// What Turn and Start may say, and where.
func TestTurns(t *testing.T) {
	for text, want := range map[string]takeoff.Turn{
		"corner":             {Kind: takeoff.TurnCorner, MilliDegrees: 90_000},
		"Outside  Corner":    {Kind: takeoff.TurnCorner, MilliDegrees: 90_000},
		"corner 45":          {Kind: takeoff.TurnCorner, MilliDegrees: 45_000},
		"outside corner 45°": {Kind: takeoff.TurnCorner, MilliDegrees: 45_000},
		"corner 22.5":        {Kind: takeoff.TurnCorner, MilliDegrees: 22_500},
		"corner 135":         {Kind: takeoff.TurnCorner, MilliDegrees: 135_000},
		"inside":             {Kind: takeoff.TurnInside, MilliDegrees: 90_000},
		"inside corner":      {Kind: takeoff.TurnInside, MilliDegrees: 90_000},
		"inside 45":          {Kind: takeoff.TurnInside, MilliDegrees: 45_000},
		"straight":           {Kind: takeoff.TurnStraight},
		"END":                {Kind: takeoff.TurnEnd},
		"tee":                {Kind: takeoff.TurnTee},
		"tee W7":             {Kind: takeoff.TurnTee, TeeWall: "W7"},
		"Tee W7 at 12-6":     {Kind: takeoff.TurnTee, TeeWall: "W7", TeeAt: 150 * length.Inch, HasTee: true},
		"tee Wall 7 at 12.5": {Kind: takeoff.TurnTee, TeeWall: "Wall 7", TeeAt: 150 * length.Inch, HasTee: true},
	} {
		var v value
		require.Nil(t, newReader().read(&v, TabNamed("Walls").Column("Turn"), Cell{Kind: Text, Value: text}), text)
		assert.Equal(t, want, *v.turn, text)
	}
	for text, want := range map[string][2]string{
		"corner 0":             {"out of range", ""},
		"corner 136":           {"out of range", ""},
		"corner x":             {"not an angle", ""},
		"corner 22.5001":       {"an angle finer than a thousandth of a degree", "corner 22.5"},
		"outside":              {"not a turn", "corner"},
		"rigth":                {"not a turn", ""},
		"insdie 45":            {"not a turn", "inside 45"},
		"90":                   {"not a turn", "corner"},
		"teeW7":                {"not a turn", ""},
		"tee at 12-6":          {"a place on a wall that is not named", ""},
		"tee W7 at 12'-15\"":   {"the inches are 12 or more", "tee W7 at 13'-3\""},
		"straight on and then": {"not a turn", ""},
	} {
		var v value
		wrong := newReader().read(&v, TabNamed("Walls").Column("Turn"), Cell{Kind: Text, Value: text})
		require.NotNil(t, wrong, text)
		assert.Equal(t, want, [2]string{wrong.Message, wrong.Try}, text)
	}
	var v value
	wrong := newReader().read(&v, TabNamed("Walls").Column("Start"), Cell{Kind: Text, Value: "straight"})
	require.NotNil(t, wrong)
	assert.Equal(t, startForms, wrong.Accepted)
}

// A run is closed unless its first row has a Start; a blank Turn of a closed run is a corner.
func TestRuns(t *testing.T) {
	head := testJob + testForms + "== Walls\nRun | Wall | Length | Height | Core | Start | Turn | Count\n"
	job := read(t, head+`A | 1 | 30' | 8' | 6" |  |  | =3
A | 2 | 20' | 8' | 6" |  | inside
B | 3 | 20' | 8' | 6" | corner | straight
B | 4 | 20' | 8' | 6" |  | corner
`)
	assert.Nil(t, job.Walls[0].Start)
	assert.Equal(t, takeoff.TurnCorner, job.Walls[0].Turn.Kind)
	assert.Equal(t, int64(90_000), job.Walls[0].Turn.MilliDegrees)
	assert.Equal(t, 3, job.Walls[0].Count)
	assert.Equal(t, takeoff.TurnCorner, job.Walls[2].Start.Kind)
	read(t, head+`A | 1 | 30' | 8' | 6" |  | tee 3
A | 2 | 20' | 8' | 6" |  | straight
B | 3 | 20' | 8' | 6" | end | end
B | 4 | 20' | 8' | 6" |  | tee 4
C | 5 | 20' | 8' | 6" | tee | tee
`,
		"error Walls!G2: tee stands only on the last row of an open run, whose first row has a Start",
		"error Walls!G3: straight, but no row of run A follows",
		"error Walls!G4: end stands only on the last row",
		"error Walls!G5: a wall cannot stop against itself")
}

// The first row of a type gives its sizes and bars; later rows take them, or say otherwise.
func TestOpeningTypes(t *testing.T) {
	job := read(t, testJob+testForms+`== Bars
Mark
V1
V2
== Walls
Run | Wall | Length | Height | Core
A | 1 | 30' | 8' | 6"
A | 2 | 30' | 8' | 6"
== Openings
Opening | Wall | Type | Width | Height | Sill | Head | At | Bars
a | 1 | win | 4' | 4' |  | 7' | 2' | V1
b | 1 | WIN |  |  |  |  | c 15'
c | 2 | win | 6' | 3' |  |  | e 2' | V2
d | 2 | win |  |  | 1'
`)
	o := job.Openings
	assert.Equal(t, 3*length.Foot, o[0].Sill, "7' less 4'")
	assert.Equal(t, 3*length.Foot, o[1].Sill)
	assert.Equal(t, "win", o[1].Type)
	assert.Equal(t, takeoff.FromCentre, o[1].Place)
	assert.Equal(t, 15*length.Foot, o[1].Offset)
	assert.Equal(t, "V1", o[1].Bars.Mark)
	assert.Equal(t, 6*length.Foot, o[2].Width)
	assert.Equal(t, 4*length.Foot, o[2].Sill, "the head at 7' stays, 3' high")
	assert.Equal(t, takeoff.FromEnd, o[2].Place)
	assert.Equal(t, "V2", o[2].Bars.Mark)
	assert.Equal(t, length.Foot, o[3].Sill, "a Sill of its own wins over the type's Head")
}

// Rows of the job win over rows of the price book with the same key; all rows of an item are replaced together.
func TestPriceBook(t *testing.T) {
	text := testJob + "Price book | book.xlsx\n" + `== Walls
Run | Wall | Length | Height | Core | Bars | Form line
A | 1 | 30' | 8' | 6" | V1 | m
== Forms
Form line | Kind | Core | Foam | Unit length | Course height | Corner long leg | Corner short leg
M | block | 6" | 2" | 4' | 1' | 3' | 2'
== Bars
Mark | Vertical bar | Vertical spacing
V1 | #5 | 16"
== Prices
Item | Unit | Price
Bar-#4 | lb | =1
` + strings.ReplaceAll(testForms, "== Forms", "== Forms = book.xlsx") + `== Bars = book.xlsx
Mark | Vertical bar | Vertical spacing
v1 | #4 | 18"
V2 | #4 | 24"
== Parts = book.xlsx
Form line | Part | Counted | Spacing
M | tie | tie row | 8"
== Prices = book.xlsx
Item | Unit | Length | Price
bar-#4 | ea | 20' | =9
bar-#4 | ea | 40' | =18
tie | box |  | =30
== Walls = book.xlsx
anything | at all
`
	job := read(t, text)
	require.Len(t, job.Forms, 2)
	assert.Equal(t, 2*length.Inch, job.Walls[0].Forms.Foam, "the job's own row")
	assert.Equal(t, "book.xlsx", job.Forms[1].At.File)
	require.Len(t, job.Bars, 2)
	assert.Equal(t, "#5", job.Walls[0].Bars.Vertical.Size)
	require.Len(t, job.PricesByItem["bar-#4"], 1)
	assert.Equal(t, unit.Pound, job.PricesByItem["bar-#4"][0].Unit)
	require.Len(t, job.PricesByItem["tie"], 1)
	s, _ := specimen(t, text)
	path, at, ok := PriceBookPath(s)
	assert.True(t, ok)
	assert.Equal(t, "book.xlsx", path)
	assert.Equal(t, "Job!B4", at.String())
	_, _, ok = PriceBookPath(Book{})
	assert.False(t, ok)
}

// Blank rows and comments are skipped; columns stand in any order; tabs of the user's are left alone.
func TestRowsAndColumns(t *testing.T) {
	job := read(t, `== Notes
#REF! | whatever
`+testJob+testForms+`== walls
 WALL  | Core (in) | height | LENGTH [ft] | run

# north side |  |  |  | =#REF!
1 | =6 | =8 | =30 | A
 |
`+"2 | =6 | =8 | =30 | A\n")
	require.Len(t, job.Walls, 2)
	assert.Equal(t, "walls!D4", job.Walls[0].Cell("length").String())
	// a first column of bar sizes is no comment
	job = read(t, testJob+testForms+`== Walls
Run | Wall | Length | Height | Core
A | 1 | 30' | 8' | 6"
== Bars
Vertical bar | Vertical spacing | Mark
#4 | 18" | V1
#my own | 18" | V2
`)
	require.Len(t, job.Bars, 1)
}

// The same item may stand on several rows with other Lengths, or as rental periods.
func TestPriceRows(t *testing.T) {
	head := testJob + testForms + "== Walls\nRun | Wall | Length | Height | Core\nA | 1 | 30' | 8' | 6\"\n== Prices\nItem | Unit | Length | Price\n"
	read(t, head+"bar-#4 | ea | 20' | =9\nbar-#4 | ea | 40' | =18\nbrace-set | day |  | =1\nbrace-set | week |  | =4\nbrace-set | 4-week |  | =12\nplank | day | 10' | =1\nplank | day | 13' | =1")
	read(t, head+"bar-#4 | ea | 20' | =9\nBAR-#4 | ea | 240\" | =18\nbar-#5 | lb |  | =1\nbar-#5 | ea | 20' | =9\nbrace-set | day |  | =1\nbrace-set | day |  | =2\nrail | ea |  | =1\nrail | day |  | =2",
		"error Prices!A3: the item stands on Prices!A2 already",
		"error Prices!A5: the item stands on Prices!A4 already",
		"error Prices!A7: the item stands on Prices!A6 already",
		"error Prices!A9: the item stands on Prices!A8 already")
}

func TestCurrency(t *testing.T) {
	for code, digits := range map[string]int32{"usd": 2, "JPY": 0, "KWD": 3, "CLF": 4, "EUR": 2} {
		job := read(t, "== Job\nSetting | Value\nJob | Test\nForm line | M\nCurrency | "+code+"\n"+testForms+"== Walls\nRun | Wall | Length | Height | Core\nA | 1 | 30' | 8' | 6\"")
		assert.Equal(t, strings.ToUpper(code), job.Currency)
		assert.Equal(t, digits, job.MinorDigits)
		step := job.Settings.Num(takeoff.SetRoundBidTo).Round(6).Shift(digits)
		assert.Equal(t, "1", step.String(), code)
	}
}

// Every column's range and default is a value that the column accepts, names are unique, choices in lower case.
func TestCatalogue(t *testing.T) {
	for i := range Tabs {
		tab := &Tabs[i]
		seen := map[string]bool{}
		require.NotNil(t, tab.Column(tab.Label), tab.Name)
		for _, k := range tab.Key {
			require.NotNil(t, tab.Column(k), "%s: %s", tab.Name, k)
		}
		for j := range tab.Columns {
			c := &tab.Columns[j]
			assert.False(t, seen[headerKey(c.Name)], "%s: %s twice", tab.Name, c.Name)
			seen[headerKey(c.Name)] = true
			assert.NotEmpty(t, c.Help, c.Name)
			if c.Refers != "" {
				assert.NotNil(t, TabNamed(c.Refers), c.Name)
			}
			assert.Equal(t, c, tab.Column(" "+strings.ToUpper(c.Header(takeoff.InFeet))+" "), c.Name)
			if c.Kind == LengthColumn {
				edges(c)
			}
			for _, w := range c.Choices {
				assert.Equal(t, strings.ToLower(w), w)
			}
			if c.Default != "" {
				var v value
				assert.Nil(t, newReader().read(&v, c, cellOf(tab, j, cellsWith(tab, j, c.Default))), "%s: %s: default %s", tab.Name, c.Name, c.Default)
			}
		}
	}
	core := TabNamed("walls").Column("core")
	assert.Equal(t, "Core (in)", core.Header(takeoff.InFeet))
	assert.Equal(t, "Core (mm)", core.Header(takeoff.InMetres))
	assert.Equal(t, "Length (m)", TabNamed("Walls").Column("Length").Header(takeoff.InMetres))
	assert.Equal(t, "Run", TabNamed("Walls").Column("Run").Header(takeoff.InFeet))
}

// Same compares cells as values.
func TestSame(t *testing.T) {
	column := func(tab *TabSpec, name string) int {
		for i := range tab.Columns {
			if tab.Columns[i].Name == name {
				return i
			}
		}
		t.Fatal(name)
		return 0
	}
	for _, c := range []struct {
		tab, key, column, a, b string
		want                   bool
	}{
		{"Walls", "1", "Length", `24'-6"`, "24.5 ft", true},
		{"Walls", "1", "Length", `24'-6"`, `24'-7"`, false},
		{"Walls", "1", "Core", `6"`, "152.4 mm", true},
		{"Forms", "M", "Core", `6"`, "152.4 mm", false},
		{"Walls", "1", "Base", `-1'-4"`, `-16"`, true},
		{"Walls", "1", "Turn", "outside corner", "corner 90", true},
		{"Walls", "1", "Turn", "corner", "inside", false},
		{"Openings", "1", "At", "c 5'", "5'", false},
		{"Openings", "1", "At", "c 5'", `c 60"`, true},
		{"Prices", "x", "Waste", "5%", "0.05", true},
		{"Prices", "x", "Price", "1.50", "1.5", true},
		{"Prices", "x", "Supplier", "A", "B", false},
		{"Prices", "x", "Supplier", "A", "", false},
		{"Job", "Brace spacing", "Value", "6'", `72"`, true},
		{"Job", "Overhead", "Value", "5%", "0.05", true},
		{"Job", "Client", "Value", "5", "5.0", false},
		{"Walls", "1", "Floor ledger at", `9'; 18'`, `108"; 18'`, true},
	} {
		tab := TabNamed(c.tab)
		assert.Equal(t, c.want, Same(tab, c.key, column(tab, c.column), c.a, c.b), "%v", c)
	}
}

// A letter that is longer in lower case (\u023a is two bytes, \u2c65 three) does not move the place of what follows it.
func TestTeeOfAnyLetter(t *testing.T) {
	job, _ := Read(first(specimen(t, "== Walls\nRun|Wall|Length|Height|Start|Turn\nA|\u023a|20'|8'|end|end\nB|W2|20'|8'|end|tee \u023a AT 5'\n")), nil)
	require.Len(t, job.Walls, 2)
	assert.Equal(t, "\u023a", job.Walls[1].Turn.TeeWall)
	assert.Equal(t, 5*length.Foot, job.Walls[1].Turn.TeeAt)
}

func first(s Book, _ *Book) Book { return s }
