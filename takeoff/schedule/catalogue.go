package schedule

import (
	"strings"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// ColumnKind says what the cells of a column hold.
type ColumnKind uint8

// The kinds of columns.
const (
	NameColumn        ColumnKind = iota // a mark or name; matched without case
	TextColumn                          // words for people
	ItemColumn                          // an item's name; matched without case
	LengthColumn                        // a length
	HeightsColumn                       // lengths separated by ;
	PlaceColumn                         // a length, c and a length, e and a length
	TurnColumn                          // what is at a wall's far end
	StartColumn                         // what is at a run's start
	CountColumn                         // a whole number
	NumberColumn                        // a decimal
	MoneyColumn                         // a decimal in the job's currency
	PercentColumn                       // 5%, or a number below 1
	DateColumn                          // a day
	YesNoColumn                         // yes or no
	ChoiceColumn                        // one of Choices
	BarColumn                           // a bar size
	LapColumn                           // 60d, or a length
	TemperatureColumn                   // 70 F, 21 C
	RateColumn                          // 15 cy, 12 m3 an hour
	PressureColumn                      // 800 psf, 38 kPa
	UnitColumn                          // a unit or a pack's name
	SettingColumn                       // the name of a Job setting
	ValueColumn                         // the value of a Job setting, by takeoff.Catalogue
)

// Bare says which unit a bare number of a length column is in.
type Bare uint8

// A column of small lengths is in inches, or in millimetres where Lengths in is m or mm; the others are in Lengths in.
const (
	Small Bare = iota
	JobUnit
)

// ColumnSpec is a column of a tab.
type ColumnSpec struct {
	Name     string
	Kind     ColumnKind
	Bare     Bare   // lengths: the unit of a bare number
	Required bool   // a row without it is an error
	Or       string // required, but its blank may be filled from there: "the level", "the type's first row"
	Default  string // as it would be typed; empty: none, or Help says it
	Min, Max string // range, as typed; empty: open. Lengths, counts and numbers only
	Over     bool   // the value must be over Min, not at it
	Under    bool   // the value must be under Max, not at it
	Negative bool   // a length or number below zero is accepted
	Choices  []string
	Refers   string // the tab whose rows it names, "" for none
	Help     string
}

// TabSpec is a tab of a schedule.
type TabSpec struct {
	Name     string
	Required bool
	Book     bool // may come from a price book too
	Key      []string
	Row      string // what findings call a row, with the value of its Label column: "wall W-07"
	Label    string
	Columns  []ColumnSpec
	Help     string
}

// Column is the tab's column of that name, nil when it has none. Case, surrounding spaces and a unit in brackets do not
// matter.
func (t *TabSpec) Column(header string) *ColumnSpec {
	key := headerKey(header)
	for i := range t.Columns {
		if headerKey(t.Columns[i].Name) == key {
			return &t.Columns[i]
		}
	}
	return nil
}

// TabNamed is the tab of that name, nil when there is none. Case and surrounding spaces do not matter.
func TabNamed(name string) *TabSpec {
	for i := range Tabs {
		if fold(Tabs[i].Name) == fold(name) {
			return &Tabs[i]
		}
	}
	return nil
}

// Unit is the unit of the column's bare numbers in a job with those Lengths in; blank for what is no length.
func (c *ColumnSpec) Unit(in takeoff.LengthUnit) takeoff.LengthUnit {
	switch c.Kind {
	case LengthColumn, HeightsColumn, PlaceColumn:
	default:
		return ""
	}
	if c.Bare == JobUnit {
		return in
	}
	if metricUnit(in) {
		return takeoff.InMM
	}
	return takeoff.InInches
}

// Header is the column's header as the starter writes it: with the unit of its bare numbers, as in Core (in).
func (c *ColumnSpec) Header(in takeoff.LengthUnit) string {
	if u := c.Unit(in); u != "" {
		return c.Name + " (" + string(u) + ")"
	}
	return c.Name
}

// IsLength tells whether the column's cells are lengths, which the starter keeps as text.
func (c *ColumnSpec) IsLength() bool {
	switch c.Kind {
	case LengthColumn, HeightsColumn, PlaceColumn, LapColumn:
		return true
	}
	return false
}

// IsNumber tells whether the column's cells are numbers.
func (c *ColumnSpec) IsNumber() bool {
	switch c.Kind {
	case CountColumn, NumberColumn, MoneyColumn, PercentColumn:
		return true
	}
	return false
}

// unitLength is one of a Lengths in unit.
func unitLength(u takeoff.LengthUnit) length.Length {
	switch u {
	case takeoff.InInches:
		return length.Inch
	case takeoff.InMetres:
		return length.Metre
	case takeoff.InMM:
		return length.Millimetre
	}
	return length.Foot
}

// headerKey is how headers match: lower case, single spaces, without a unit in brackets at the end.
func headerKey(header string) string {
	s := strings.ToLower(strings.Join(strings.Fields(header), " "))
	for _, pair := range []string{"()", "[]"} {
		if strings.HasSuffix(s, pair[1:]) {
			if i := strings.LastIndex(s, pair[:1]); i > 0 {
				s = strings.TrimSpace(s[:i])
			}
		}
	}
	return s
}

// fold is how names match: without case and surrounding spaces.
func fold(name string) string { return strings.ToLower(strings.TrimSpace(name)) }

var yesNo = []string{"yes", "no"}

func col(name string, kind ColumnKind, help string, with ...func(*ColumnSpec)) ColumnSpec {
	c := ColumnSpec{Name: name, Kind: kind, Help: help}
	if kind == YesNoColumn {
		c.Choices = yesNo
	}
	for _, w := range with {
		w(&c)
	}
	return c
}

func required(c *ColumnSpec) { c.Required = true }
func jobUnit(c *ColumnSpec)  { c.Bare = JobUnit }
func negative(c *ColumnSpec) { c.Negative = true }
func positive(c *ColumnSpec) { c.Min, c.Over = "0", true }

func or(source string) func(*ColumnSpec)   { return func(c *ColumnSpec) { c.Or = source } }
func deflt(value string) func(*ColumnSpec) { return func(c *ColumnSpec) { c.Default = value } }
func refers(tab string) func(*ColumnSpec)  { return func(c *ColumnSpec) { c.Refers = tab } }
func within(lo, hi string) func(*ColumnSpec) {
	return func(c *ColumnSpec) { c.Min, c.Max = lo, hi }
}
func from(lo string) func(*ColumnSpec) { return func(c *ColumnSpec) { c.Min = lo } }
func under(hi string) func(*ColumnSpec) {
	return func(c *ColumnSpec) { c.Max, c.Under = hi, true }
}
func choices(words ...string) func(*ColumnSpec) {
	return func(c *ColumnSpec) { c.Choices = words }
}

// The range checks that catch a wrong unit.
var (
	coreRange    = within(`3"`, `24"`)
	foamRange    = within(`0"`, `8"`)
	spacingRange = within(`2"`, `96"`)
	courseRange  = within(`4"`, `60"`)
	stockRange   = within(`3'`, `80'`)
)

// Tabs lists the tabs of a schedule with their columns, in the order the starter writes them.
var Tabs = []TabSpec{
	{Name: "Job", Required: true, Key: []string{"Setting"}, Row: "setting", Label: "Setting", Help: "the job's name, units and settings; what stands here wins over a default", Columns: []ColumnSpec{
		col("Setting", SettingColumn, "name of a setting", required),
		col("Value", ValueColumn, "its value; blank: the default"),
		col("Note", TextColumn, "for your own notes"),
	}},
	{Name: "Levels", Key: []string{"Level"}, Row: "level", Label: "Level", Help: "values that blank cells of a level's walls take", Columns: []ColumnSpec{
		col("Level", NameColumn, "name of the level", required),
		col("Base", LengthColumn, "elevation of the walls' base", jobUnit, negative),
		col("Height", LengthColumn, "height of the walls above their base", jobUnit, under("60'"), positive),
		col("Core", LengthColumn, "thickness of the concrete", coreRange),
		col("Form line", NameColumn, "form line of the walls", refers("Forms")),
		col("Bars", NameColumn, "bars mark of the walls, or none", refers("Bars")),
		col("Footing", NameColumn, "footing mark of the walls, or none", refers("Footings")),
		col("Below grade", LengthColumn, "height of finished grade above the base", jobUnit),
		col("Below-grade cover", ChoiceColumn, "what covers the walls below grade", choices("membrane", "band", "coating", "none")),
		col("Drain", YesNoColumn, "drain pipe along the walls"),
		col("Plate", YesNoColumn, "plate on top of the walls"),
		col("Pour", NameColumn, "pour of the walls"),
		col("Parge height", LengthColumn, "height of parging", jobUnit),
	}},
	{Name: "Walls", Required: true, Key: []string{"Wall"}, Row: "wall", Label: "Wall", Help: "one row a wall, clockwise round the building seen from above", Columns: []ColumnSpec{
		col("Run", NameColumn, "walls of one run follow one another", required),
		col("Wall", NameColumn, "mark of the wall, used once", required),
		col("Level", NameColumn, "level it stands on; its blanks take the level's values", refers("Levels")),
		col("Pour", NameColumn, "pour; blank: the level's, else the level's name, else 1"),
		col("Pour above", NameColumn, "pour above a core change; blank: Pour"),
		col("Length", LengthColumn, "along the exterior face; interior walls: the face on the left as the run goes", jobUnit, required, positive, under("2000'")),
		col("Height", LengthColumn, "above the wall's own base, at its start", jobUnit, or("the level"), from("0"), under("60'")),
		col("Height at end", LengthColumn, "a raked top; blank: level", jobUnit, from("0"), under("60'")),
		col("Base", LengthColumn, "elevation of the base; default 0", jobUnit, negative, deflt("0")),
		col("Core", LengthColumn, "thickness of the concrete", or("the level"), coreRange),
		col("Form line", NameColumn, "blank: the level's, else the Job's", refers("Forms")),
		col("Start", StartColumn, "on the first row of an open run: end, tee W7, corner, inside"),
		col("Turn", TurnColumn, "what is at the far end: corner, corner 45, inside, inside 45, straight, end, tee W7, tee W7 at 12'-6\""),
		col("Count", CountColumn, "repeats the whole run; on its first row only", within("1", "10000"), deflt("1")),
		col("Bars", NameColumn, "bars mark, or none", refers("Bars")),
		col("Footing", NameColumn, "footing mark, or none", refers("Footings")),
		col("Below grade", LengthColumn, "height of finished grade above the base, at the start", jobUnit),
		col("Below grade at end", LengthColumn, "at the end; blank: the same", jobUnit),
		col("Below-grade cover", ChoiceColumn, "what covers the wall below grade; default none", choices("membrane", "band", "coating", "none"), deflt("none")),
		col("Drain", YesNoColumn, "drain pipe along the wall; default yes with a cover"),
		col("Core above", LengthColumn, "core above a core change", coreRange),
		col("Core changes at", LengthColumn, "height of the core change above the base", jobUnit),
		col("Flush", ChoiceColumn, "the face that goes on past a core change", choices("outside", "inside"), deflt("outside")),
		col("Brick ledge", NameColumn, "ledge mark", refers("Ledges")),
		col("Brick ledge top", LengthColumn, "top of the ledge above the base", jobUnit),
		col("Floor ledger at", HeightsColumn, "heights of floor ledgers, separated by ;", jobUnit),
		col("Parge height", LengthColumn, "height of parging", jobUnit, deflt("0")),
		col("Braced", ChoiceColumn, "blank: by height (R-BRACE)", choices("yes", "kicker", "no")),
		col("Plate", YesNoColumn, "plate on top", deflt("no")),
		col("Notes", TextColumn, "for your own notes"),
	}},
	{Name: "Openings", Key: []string{"Wall", "Opening"}, Row: "opening", Label: "Opening", Help: "doors, windows and other holes, as formed in the concrete", Columns: []ColumnSpec{
		col("Opening", NameColumn, "mark, for you"),
		col("Wall", NameColumn, "mark of its wall", required, refers("Walls")),
		col("Count", CountColumn, "how many; more than 1 only with At blank", within("1", "10000"), deflt("1")),
		col("Type", NameColumn, "the first row of a type gives sizes and bars, later rows take them"),
		col("Width", LengthColumn, "as formed in the concrete", jobUnit, or("the type's first row"), positive, under("2000'")),
		col("Height", LengthColumn, "as formed in the concrete", jobUnit, or("the type's first row"), positive, under("60'")),
		col("Sill", LengthColumn, "above the wall's base; default 0", jobUnit, deflt("0")),
		col("Head", LengthColumn, "its top above the wall's base, in place of Sill", jobUnit),
		col("At", PlaceColumn, "from the wall's start to the near jamb; c 12'-6\": to its centre; e 4'-0\": from the wall's end; blank: spaced evenly", jobUnit),
		col("Bars", NameColumn, "bars mark of its jambs, lintel and sill; blank: the wall's", refers("Bars")),
		col("Notes", TextColumn, "for your own notes"),
	}},
	{Name: "Bars", Book: true, Key: []string{"Mark"}, Row: "mark", Label: "Mark", Help: "reinforcement of walls and openings, as the engineer gives it", Columns: []ColumnSpec{
		col("Mark", NameColumn, "used in Walls, Levels and Openings", required),
		col("Layers", CountColumn, "curtains of bars", within("1", "10"), deflt("1")),
		col("Vertical bar", BarColumn, "size"),
		col("Vertical spacing", LengthColumn, "greatest distance", spacingRange),
		col("Horizontal bar", BarColumn, "size"),
		col("Horizontal spacing", LengthColumn, "greatest distance", spacingRange),
		col("Horizontal bars", CountColumn, "rows; wins over the spacing", within("1", "1000")),
		col("Top within", LengthColumn, "highest row from the top", deflt(`12"`)),
		col("Bottom within", LengthColumn, "lowest row from the base", deflt(`12"`)),
		col("Cover", LengthColumn, "concrete cover", deflt(`2"`)),
		col("Lap", LapColumn, "60d, or a length", deflt("60d")),
		col("Dowel bar", BarColumn, "size; with a footing"),
		col("Continues above", YesNoColumn, "verticals lap with the wall above", deflt("no")),
		col("Jamb bar", BarColumn, "size"),
		col("Jamb bars", CountColumn, "each side of an opening", within("0", "100")),
		col("Lintel bar", BarColumn, "size"),
		col("Lintel top bars", CountColumn, "number", within("0", "100")),
		col("Lintel bottom bars", CountColumn, "number", within("0", "100")),
		col("Lintel depth", LengthColumn, "of the beam over an opening", deflt(`16"`)),
		col("Past opening", LengthColumn, "lintel and sill bars run on past the jamb", deflt(`24"`)),
		col("Stirrup bar", BarColumn, "size"),
		col("Stirrup spacing", LengthColumn, "distance", spacingRange),
		col("Stirrup legs", CountColumn, "1 or 2; default 1 to a 6 in core, else 2", within("1", "2")),
		col("Sill bars", CountColumn, "number, of the Lintel bar", within("0", "100")),
		col("Rake bar", YesNoColumn, "one bar along a raked top", deflt("no")),
	}},
	{Name: "Footings", Book: true, Key: []string{"Mark"}, Row: "mark", Label: "Mark", Help: "strip footings under walls", Columns: []ColumnSpec{
		col("Mark", NameColumn, "used in Walls and Levels", required),
		col("Width", LengthColumn, "across the wall", required, positive),
		col("Depth", LengthColumn, "of the concrete", required, positive),
		col("Along bar", BarColumn, "size"),
		col("Along bars", CountColumn, "number", within("0", "100")),
		col("Across bar", BarColumn, "size"),
		col("Across spacing", LengthColumn, "greatest distance", spacingRange),
		col("Cast with wall", YesNoColumn, "in one pour with the wall", deflt("no")),
		col("Pour", NameColumn, "when not cast with the wall; blank: the wall's"),
	}},
	{Name: "Pads", Key: []string{"Pad"}, Row: "pad", Label: "Pad", Help: "footing pads", Columns: []ColumnSpec{
		col("Pad", NameColumn, "mark, for you"),
		col("Pour", NameColumn, "default 1", deflt("1")),
		col("Count", CountColumn, "how many", within("1", "10000"), deflt("1")),
		col("Length", LengthColumn, "of the pad", jobUnit, required, positive),
		col("Width", LengthColumn, "of the pad", jobUnit, required, positive),
		col("Depth", LengthColumn, "of the pad", jobUnit, required, positive),
		col("Bar", BarColumn, "size"),
		col("Bars each way", CountColumn, "number", within("0", "1000")),
	}},
	{Name: "Ledges", Book: true, Key: []string{"Mark"}, Row: "mark", Label: "Mark", Help: "brick ledges of the form system", Columns: []ColumnSpec{
		col("Mark", NameColumn, "used in Walls", required),
		col("Projection", LengthColumn, "of the seat from the face of the form above", required, positive),
		col("Face depth", LengthColumn, "height of its face", required, positive),
		col("Taper depth", LengthColumn, "height of the slope below the face", deflt("0")),
		col("Replaces", ChoiceColumn, "course: its units take the place of a course's; default none", choices("course", "none"), deflt("none")),
		col("From", ChoiceColumn, "what Projection is measured from", choices("form face", "core"), deflt("form face")),
		col("Unit length", LengthColumn, "of a ledge unit", positive),
		col("Connector spacing", LengthColumn, "blank: none", spacingRange),
		col("Least core below", LengthColumn, "thinnest core the ledge may stand on"),
		col("Stirrup bar", BarColumn, "size"),
		col("Stirrup spacing", LengthColumn, "distance", spacingRange),
		col("Stirrup length", LengthColumn, "of one stirrup", positive),
		col("Along bar", BarColumn, "size"),
		col("Along bars", CountColumn, "number", within("0", "100")),
	}},
	{Name: "Forms", Book: true, Key: []string{"Form line", "Core"}, Row: "form line", Label: "Form line", Help: "one row a form line and core", Columns: []ColumnSpec{
		col("Form line", NameColumn, "your name for the form system", required),
		col("Kind", ChoiceColumn, "block: assembled units; faces: loose boards tied on site", required, choices("block", "faces")),
		col("Core", LengthColumn, "thickness of the concrete", required, coreRange),
		col("Foam", LengthColumn, "one side", required, foamRange),
		col("Unit length", LengthColumn, "of a unit or board", required, positive),
		col("Course height", LengthColumn, "of a full course", required, courseRange),
		col("Half course", LengthColumn, "height of a half course; blank: none made", positive),
		col("Corner long leg", LengthColumn, "90° corner unit, along the exterior face"),
		col("Corner short leg", LengthColumn, "90° corner unit, along the exterior face"),
		col("Corner handed", YesNoColumn, "corner units are left and right", deflt("no")),
		col("Angle long leg", LengthColumn, "unit for other angles, along the exterior face"),
		col("Angle short leg", LengthColumn, "unit for other angles, along the exterior face"),
		col("Smallest piece", LengthColumn, "shorter pieces are not set; default a sixth of the unit"),
		col("Cut step", LengthColumn, "pieces are cut up to the next multiple; blank: none", positive),
		col("Pressure rating", PressureColumn, "800 psf, 38 kPa"),
	}},
	{Name: "Parts", Book: true, Key: []string{"Form line", "Core", "Part"}, Row: "part", Label: "Part", Help: "the other parts of a form system", Columns: []ColumnSpec{
		col("Form line", NameColumn, "form line it belongs to", required, refers("Forms")),
		col("Core", LengthColumn, "blank: any", coreRange),
		col("Part", NameColumn, "your name for it", required),
		col("Counted", ChoiceColumn, "how it is counted (R-PART)", required, choices("tie row", "top", "base", "course", "corner", "inside corner", "end", "base length", "top length", "opening length", "unit")),
		col("Rows", CountColumn, "tie rows in a course", within("1", "100"), deflt("1")),
		col("Spacing", LengthColumn, "along the wall", spacingRange),
		col("Each", NumberColumn, "how many at each place", positive, deflt("1")),
		col("Notes", TextColumn, "for your own notes"),
	}},
	{Name: "Pours", Key: []string{"Pour"}, Row: "pour", Label: "Pour", Help: "dates and placing of each pour", Columns: []ColumnSpec{
		col("Pour", NameColumn, "name of the pour", required),
		col("Forms set", DateColumn, "first day braces and forms stand"),
		col("Pour date", DateColumn, "day concrete is placed"),
		col("Strip braces", DateColumn, "last day the braces stand"),
		col("Concrete temp", TemperatureColumn, "70 F, 21 C"),
		col("Placing rate", RateColumn, "15 cy or 12 m3, per hour"),
		col("Slump", LengthColumn, "of the concrete as placed", within(`0"`, `12"`)),
		col("Mix", NameColumn, "mix of the walls, for concrete-<mix>"),
		col("Footing mix", NameColumn, "mix of the footings"),
		col("Pump", YesNoColumn, "placed by pump", deflt("no")),
	}},
	{Name: "Factors", Book: true, Key: []string{"Item", "Per", "Level", "Pour", "Form line", "Core"}, Row: "item", Label: "Item", Help: "small material, labour and equipment by driver", Columns: []ColumnSpec{
		col("Item", ItemColumn, "what is needed", required),
		col("Per", ChoiceColumn, "driver (R-FACTOR)", required, choices(drivers()...)),
		col("Quantity", NumberColumn, "per one of the driver's unit", required, from("0")),
		col("Unit", UnitColumn, "unit of the item", required),
		col("Driver unit", UnitColumn, "default the reporting unit"),
		col("Level", NameColumn, "only walls of this level"),
		col("Pour", NameColumn, "only walls of this pour"),
		col("Form line", NameColumn, "only walls of this form line", refers("Forms")),
		col("Core", LengthColumn, "only walls of this core", coreRange),
		col("Notes", TextColumn, "for your own notes"),
	}},
	{Name: "Prices", Book: true, Key: []string{"Item", "Unit", "Length"}, Row: "item", Label: "Item", Help: "one row an item, stock length or rental period", Columns: []ColumnSpec{
		col("Item", ItemColumn, "as Takeoff names it", required),
		col("Description", TextColumn, "for orders"),
		col("Group", TextColumn, "cost code"),
		col("Kind", ChoiceColumn, "blank: material", choices("material", "labor", "equipment", "rental", "subcontract")),
		col("Supplier", NameColumn, "who is ordered from"),
		col("Unit", UnitColumn, "ea ft m sqft m2 cuft cy m3 lb kg ton t hr day week 4-week lump, or a pack's name", required),
		col("Pack", NumberColumn, "orders are multiples of this, in Unit", positive),
		col("Length", LengthColumn, "stock length of one piece", stockRange),
		col("Per load", NumberColumn, "order units that fill a truck", positive),
		col("Price", MoneyColumn, "of one Unit", required, from("0")),
		col("From 2", NumberColumn, "order quantity from which Price 2 holds", positive),
		col("Price 2", MoneyColumn, "from From 2", from("0")),
		col("From 3", NumberColumn, "order quantity from which Price 3 holds", positive),
		col("Price 3", MoneyColumn, "from From 3", from("0")),
		col("Waste", PercentColumn, "added to the net"),
		col("Taxable", YesNoColumn, "default yes", deflt("yes")),
		col("Valid until", DateColumn, "last day the price holds"),
		col("Lead days", CountColumn, "calendar days from order to delivery", within("0", "3650")),
	}},
	{Name: "Extras", Key: []string{"Line"}, Row: "line", Label: "Line", Help: "what is not counted from walls: additions, allowances, alternates, exclusions, quantities", Columns: []ColumnSpec{
		col("Line", TextColumn, "what it is", required),
		col("Kind", ChoiceColumn, "add, allowance, alternate, exclusion or quantity", required, choices("add", "allowance", "alternate", "exclusion", "quantity")),
		col("Item", ItemColumn, "quantity: the item it adds to; else, with Price blank, the item whose price it takes"),
		col("Quantity", NumberColumn, "default 1; negative takes from the item", negative),
		col("Unit", UnitColumn, "of the quantity"),
		col("Price", MoneyColumn, "of one Unit; an alternate's may be negative", negative),
		col("Wall", NameColumn, "where it belongs", refers("Walls")),
		col("Level", NameColumn, "where it belongs"),
		col("Pour", NameColumn, "where it belongs; concrete joins the pour"),
		col("Notes", TextColumn, "for your own notes"),
	}},
	{Name: "Ordered", Key: []string{"Order number", "Item", "Length"}, Row: "item", Label: "Item", Help: "what was ordered already", Columns: []ColumnSpec{
		col("Date", DateColumn, "of the order"),
		col("Order number", NameColumn, "your number"),
		col("Item", ItemColumn, "as Prices names it", required),
		col("Length", LengthColumn, "stock length of one piece", stockRange),
		col("Quantity", NumberColumn, "negative: sent back", required, negative),
		col("Unit", UnitColumn, "default the price row's"),
	}},
}

// drivers are the names the Per column accepts.
func drivers() []string {
	var names []string
	for _, d := range takeoff.DriverSpecs {
		names = append(names, d.Name)
	}
	return names
}
