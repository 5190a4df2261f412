// Package takeoff counts a job: from the rows of a schedule to quantities, each with where it belongs, the arithmetic in
// words and the rule it came from.
//
// It is pure: values in, values out. It designs nothing: reinforcement, lintels and ledgers are counted as the schedule
// gives them. Read Job (what comes in), Compute (the pass over it) and Line (what comes out) first; the rules stand one
// file a concept, with the ids of the catalogue in rules.go.
package takeoff

import (
	"time"

	"github.com/shopspring/decimal"

	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// Job is one schedule as read: every blank filled from its level, the Job tab or a default, every mark resolved.
type Job struct {
	Name, Number, Revision string
	PreparedBy, Location   string
	Client, ShipTo         string
	BidDate                Date
	Currency               string // ISO 4217 code
	MinorDigits            int32  // decimals of the currency's minor unit
	LengthsIn              LengthUnit
	Report                 length.System // FeetInches or Metric
	CoreFace               bool          // Dimensions to: core face
	FormLine               string        // the default line
	PriceBook              string        // as typed
	Settings               *Settings
	Levels                 []*Level
	Walls                  []*Wall
	Openings               []*Opening
	Bars                   []*BarMark
	Footings               []*FootingMark
	Pads                   []*Pad
	Ledges                 []*LedgeMark
	Forms                  []*FormRow
	Parts                  []*PartRow
	Pours                  []*PourRow
	Factors                []*FactorRow
	Prices                 []*PriceRow
	Extras                 []*ExtraRow
	Ordered                []*OrderedRow
	Inherited              []Inherited            // for Basis
	PricesByItem           map[string][]*PriceRow // by ItemKey of the item, rows in order
}

// LengthUnit is a Job's Lengths in.
type LengthUnit string

// The units a bare number of a length column may be in.
const (
	InFeet   LengthUnit = "ft"
	InInches LengthUnit = "in"
	InMetres LengthUnit = "m"
	InMM     LengthUnit = "mm"
)

// Date is a day; the zero Date is blank.
type Date struct{ time.Time }

// Inherited is a blank cell of a wall that took a value from elsewhere, for the Basis tab.
type Inherited struct {
	At     Ref
	Wall   string
	Column string
	Value  string
	From   string // "level L1", "Job", "default", rule id
}

// Level holds the values that blank cells of its walls take.
type Level struct {
	At    Ref
	Name  string
	Order int // as in tab Levels, from 0; a level only named on Walls follows in order of first mention
	Base  length.Length
	// The rest were already passed on to the walls by the reader.
}

// Cover is a wall's Below-grade cover.
type Cover uint8

// The below-grade covers.
const (
	CoverNone Cover = iota
	CoverMembrane
	CoverBand
	CoverCoating
)

// String is the word of the schedule.
func (c Cover) String() string { return [...]string{"none", "membrane", "band", "coating"}[c] }

// BracedChoice is a wall's Braced cell.
type BracedChoice uint8

// Blank means by height (R-BRACE).
const (
	BracedByHeight BracedChoice = iota
	BracedYes
	BracedKicker
	BracedNo
)

// TurnKind is what is at an end of a wall.
type TurnKind uint8

// What the Turn and Start columns can say.
const (
	TurnCorner TurnKind = iota // exterior
	TurnInside                 // re-entrant
	TurnStraight
	TurnEnd
	TurnTee
)

// Turn is a Turn or Start cell.
type Turn struct {
	At           Ref
	Kind         TurnKind
	MilliDegrees int64         // corners: thousandths of a degree, 1000 to 135000; 90000 by default
	TeeWall      string        // mark of the wall met, may be empty
	TeeAt        length.Length // place along it from its start; valid when HasTeeAt
	HasTee       bool          // TeeAt was given
}

// Wall is a row of Walls with its blanks filled.
type Wall struct {
	At                        Ref // its row; Col 0
	Run, Mark, Level          string
	Pour, PourAbove           string
	Length                    length.Length // as typed
	Height, HeightEnd         length.Length // HeightEnd equals Height when level
	Base                      length.Length // elevation
	Core                      length.Length
	FormLine                  string
	Forms                     *FormRow // of FormLine and Core; never nil after reading
	FormsAbove                *FormRow // of FormLine and CoreAbove; nil without a core change
	Start                     *Turn    // first row of an open run; else nil
	Turn                      Turn
	Count                     int // of the run, on its first row; else 1
	Bars                      *BarMark
	Footing                   *FootingMark
	BelowGrade, BelowGradeEnd length.Length
	Cover                     Cover
	Drain                     bool
	CoreAbove, CoreChange     length.Length // both 0 without a core change
	FlushInside               bool
	Ledge                     *LedgeMark
	LedgeTop                  length.Length
	Ledgers                   []length.Length // heights of Floor ledger at
	PargeHeight               length.Length
	Braced                    BracedChoice
	Plate                     bool
	Notes                     string
	Columns                   map[string]int // column (lower-case header) to its sheet column, for findings
	LevelRow                  *Level         // the level row; nil when the level is only named
}

// Cell is the ref of the wall's cell in a column of Walls, the row where the schedule has no such column.
func (w *Wall) Cell(column string) Ref { return w.At.At(w.Columns[column]) }

// AtForm is how an opening was placed.
type AtForm uint8

// The forms of an opening's At.
const (
	Unplaced  AtForm = iota
	FromStart        // to the near jamb
	FromCentre
	FromEnd // from the wall's end to the near jamb
)

// Opening is a row of Openings with its type's values filled; Count > 1 only when unplaced.
type Opening struct {
	At            Ref
	Mark          string // the Opening cell, may repeat
	Wall          string
	Count         int
	Type          string
	Width, Height length.Length
	Sill          length.Length // Head − Height where the head was typed
	Place         AtForm
	Offset        length.Length // as typed, by Place
	Bars          *BarMark      // its own mark, or nil: the wall's
	Notes         string
	Columns       map[string]int
}

// Head is the opening's top above the wall's base.
func (o *Opening) Head() length.Length { return o.Sill + o.Height }

// Cell is the ref of the opening's cell in a column.
func (o *Opening) Cell(column string) Ref { return o.At.At(o.Columns[column]) }

// BarMark is a row of Bars. Size "" means none.
type BarMark struct {
	At                             Ref
	Mark                           string
	Layers                         int
	Vertical                       *Bar
	VerticalSpacing                length.Length
	Horizontal                     *Bar
	HorizontalSpacing              length.Length
	HorizontalBars                 int // 0: by spacing
	TopWithin, BottomWithin, Cover length.Length
	LapDiameters                   decimal.Decimal // 60 for 60d; 0 when LapLength is typed
	LapLength                      length.Length
	Dowel                          *Bar
	ContinuesAbove                 bool
	Jamb                           *Bar
	JambBars                       int
	Lintel                         *Bar
	LintelTop, LintelBottom        int
	LintelDepth, PastOpening       length.Length
	Stirrup                        *Bar
	StirrupSpacing                 length.Length
	StirrupLegs                    int // 0: by the core
	SillBars                       int
	RakeBar                        bool
	Columns                        map[string]int
}

// Bar is a reinforcing bar size with its nominal properties.
type Bar struct {
	Size     string        // #4, 10M, 12mm
	System   string        // ASTM A615, CSA G30.18, ISO 6935-2
	Diameter length.Length // nominal
	Mass     decimal.Decimal
	MassUnit string // "lb/ft" or "kg/m"
}

// FootingMark is a row of Footings.
type FootingMark struct {
	At            Ref
	Mark          string
	Width, Depth  length.Length
	Along         *Bar
	AlongBars     int
	Across        *Bar
	AcrossSpacing length.Length
	CastWithWall  bool
	Pour          string // blank: the wall's
	Columns       map[string]int
}

// Pad is a row of Pads.
type Pad struct {
	At                   Ref
	Mark, Pour           string
	Count                int
	Length, Width, Depth length.Length
	Bar                  *Bar
	BarsEachWay          int
	Columns              map[string]int
}

// LedgeMark is a row of Ledges.
type LedgeMark struct {
	At                            Ref
	Mark                          string
	Projection, FaceDepth, Taper  length.Length
	ReplacesCourse                bool
	FromCore                      bool
	UnitLength, ConnectorSpacing  length.Length // 0: none
	LeastCoreBelow                length.Length // 0: none
	Stirrup                       *Bar
	StirrupSpacing, StirrupLength length.Length
	Along                         *Bar
	AlongBars                     int
	Columns                       map[string]int
}

// FormRow is a row of Forms: one form line and core.
type FormRow struct {
	At                       Ref
	Line                     string
	Faces                    bool // kind faces: loose boards tied on site; else block
	Core                     length.Length
	CoreName                 string        // as item names carry it: 6in, 5.5in, 150mm
	Foam                     length.Length // one side
	UnitLength, CourseHeight length.Length
	HalfCourse               length.Length // 0: none
	CornerLong, CornerShort  length.Length // exterior face; 0: none
	Handed                   bool
	AngleLong, AngleShort    length.Length // 0: none
	SmallestPiece            length.Length // default UnitLength/6
	SmallestTyped            bool          // else ledge units, of another length, have their own sixth
	CutStep                  length.Length // 0: none
	Rating                   *Pressure
	Columns                  map[string]int
}

// Thickness is the form's whole thickness T = core + 2·foam.
func (f *FormRow) Thickness() length.Length { return f.Core + 2*f.Foam }

// Pressure is a Pressure rating as typed.
type Pressure struct {
	Value  decimal.Decimal
	Metric bool // kPa; else psf
}

// PartRow is a row of Parts.
type PartRow struct {
	At       Ref
	Line     string
	Core     length.Length // 0: any
	CoreName string        // empty: any
	Part     string
	Counted  string // "tie row", "top", …
	Rows     int
	Spacing  length.Length
	Each     decimal.Decimal
	Notes    string
	Columns  map[string]int
}

// PourRow is a row of Pours.
type PourRow struct {
	At                        Ref
	Name                      string
	FormsSet, PourDate, Strip Date
	TempF, TempC              *decimal.Decimal // the one typed, the other nil
	Rate                      *decimal.Decimal // per hour in RateUnit
	RateUnit                  unit.Unit        // cy or m3
	Slump                     length.Length    // 0: not given
	Mix, FootingMix           string
	Pump                      bool
	Columns                   map[string]int
}

// FactorRow is a row of Factors.
type FactorRow struct {
	At                    Ref
	Item, Per             string
	Quantity              decimal.Decimal
	Unit                  unit.Unit
	DriverUnit            unit.Unit     // default: the driver's reporting unit
	Level, Pour, FormLine string        // filters; blank: any
	Core                  length.Length // 0: any
	Notes                 string
	Columns               map[string]int
}

// PriceRow is a row of Prices, of the job or its price book.
type PriceRow struct {
	At                    Ref
	Item, Description     string
	Group, Kind, Supplier string
	Unit                  unit.Unit
	Pack                  *decimal.Decimal
	Length                length.Length // 0: none
	PerLoad               *decimal.Decimal
	Price                 decimal.Decimal
	Breaks                []Break // From 2, From 3
	Waste                 decimal.Decimal
	HasWaste              bool
	Taxable               bool
	ValidUntil            Date
	LeadDays              int
	Columns               map[string]int
}

// Break is a quantity break: its price holds from that order quantity.
type Break struct{ From, Price decimal.Decimal }

// ExtraKind is the kind of an Extras row.
type ExtraKind string

// The kinds of extras.
const (
	ExtraAdd       ExtraKind = "add"
	ExtraAllowance ExtraKind = "allowance"
	ExtraAlternate ExtraKind = "alternate"
	ExtraExclusion ExtraKind = "exclusion"
	ExtraQuantity  ExtraKind = "quantity"
)

// ExtraRow is a row of Extras.
type ExtraRow struct {
	At          Ref
	Line        string
	Kind        ExtraKind
	Item        string
	Quantity    decimal.Decimal // default 1
	Unit        unit.Unit
	Price       *decimal.Decimal // nil: the item's price row
	Wall, Level string
	Pour        string
	Notes       string
	Columns     map[string]int
}

// OrderedRow is a row of Ordered.
type OrderedRow struct {
	At       Ref
	Date     Date
	Number   string
	Item     string
	Length   length.Length
	Quantity decimal.Decimal
	Unit     unit.Unit
	Columns  map[string]int
}
