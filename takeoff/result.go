package takeoff

import (
	"github.com/shopspring/decimal"

	"wallbill/takeoff/cutting"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// Takeoff is what Compute makes of a job.
type Takeoff struct {
	Job      *Job
	Units    Units
	Lines    []Line // walls in order, each by rule; then what belongs to levels, pours and the job
	Drivers  []Driver
	Bars     []BarRow
	Cuts     []CutPool // bar pools, then form-piece pools
	Courses  []CourseRow
	ByArea   []AreaCount // in the order of tab Forms
	Braces   []BraceRow
	Pours    []PourPlan // in order of tab Pours, then of first mention on Walls
	Findings []Finding
	Geometry *Geometry
	dated    dated
}

// dated is a job and its calendar.
type dated struct {
	job      *Job
	calendar *Calendar
}

// Calendar is when the job's pours stand: the one counted with, where the takeoff has not been given another job since.
func (t *Takeoff) Calendar() *Calendar {
	if t.dated.job == t.Job && t.dated.calendar != nil {
		return t.dated.calendar
	}
	c, _ := NewCalendar(t.Job)
	return c
}

// Driver is the job's total of a driver of R-FACTOR.
type Driver struct {
	Name     string
	Quantity decimal.Decimal
	Unit     unit.Unit
}

// BarRow is a row of the bar list: like bars of one wall and rule.
type BarRow struct {
	Mark        string // of the Bars tab, or the footing's or pad's mark
	Bar         *Bar
	Length      length.Length // of one piece, cut length
	Count       int64
	Shape       string          // "straight", "hook 90", "corner", "stirrup 1 leg", "stirrup 2 legs"
	Legs        []length.Length // out to out, in order; nil for straight
	Bent        bool
	Wall        string // empty for halves raised over a pool, pads
	Opening     string
	Level, Pour string
	Rule        string
	Mass        decimal.Decimal // of all, in the job's unit of mass
	Raised      decimal.Decimal // the part of Mass that is more than lines and drivers count: half a bar, where halves were raised
}

// PieceUse says what a cut piece is for.
type PieceUse struct {
	Wall   string
	What   string // "course 3", "R-VERT V1"
	Count  int64
	Length length.Length
}

// CutPool is a set of pieces that share stock, with its plan.
type CutPool struct {
	Item        string // bar-#4, M-6in-block, M-6in-half, ledge-L1-unit
	Level, Pour string
	Bar         *Bar // nil for form pieces
	Uses        []PieceUse
	Problem     cutting.Problem
	Plan        cutting.Plan
	PriceScale  int32 // prices of Problem are the rows' prices × 10^PriceScale
	Priced      bool  // every stock price came from Prices rows; else price 1 each
	RuleOfThumb int64 // pieces the total length over the stock length would have bought
}

// CourseRow is a course of a stretch for the Courses tab and the drawings.
type CourseRow struct {
	Stretch      int
	Wall         string // first wall of the stretch
	Level, Pour  string
	Line         string
	CoreName     string
	Number       int // from the stretch's base, from 1
	Bottom       length.Length
	Height       length.Length
	Half, Ripped bool
	Segments     []Segment
	CornerUnits  exact.Num // on this course's walls, shared halves
	EndCaps      int64
	LedgeCourse  bool
	Face         string // "inner", "outer" for loose boards; else empty
}

// Segment is a part of a course between corner legs, openings and ends, with how it is filled, in order from its start.
type Segment struct {
	From, To length.Length // on the stretch's exterior line, from its first wall's start
	Fill     []Unit
}

// Unit is one unit or piece laid in a segment.
type Unit struct {
	Wall   string
	Start  length.Length // on the stretch's line
	Length length.Length
	Cut    length.Length // what a piece is cut to: its length raised to the Cut step
	Whole  bool
	Ledge  bool // of a ledge that replaces the course
}

// BraceRow is the bracing of a wall.
type BraceRow struct {
	Wall, Level, Pour string
	Item              string          // brace-set, brace-tall, kicker
	Positions         []length.Length // along the wall's inner face from its start
	Count             int64           // of all repeats of the run
	Planks            int64
	Rail              length.Length
	RailPieces        int64 // when rented
}

// PourPlan is the plan of a pour.
type PourPlan struct {
	Pour                          string
	Row                           *PourRow // nil when Pours has none
	WallConcrete, FootingConcrete decimal.Decimal
	WallOrder, FootingOrder       decimal.Decimal // in the unit of volume of the job
	WallItem, FootingItem         string          // concrete-<mix>
	LevelShares                   []LevelShare
	Trucks                        int64
	Loads                         []Load
	LeastArea                     *decimal.Decimal // sqft or m2
	AtHeight                      *decimal.Decimal // ft or m, above the base of the wall that is lowest there
	RateOfRise                    *decimal.Decimal // ft/h or m/h
	Pressure, Rating              *decimal.Decimal // psf or kPa
	PressureHow                   string
	Status                        string           // "at or under rating", "OVER RATING", "NOT CHECKED"
	GreatestRise                  *decimal.Decimal // ft/h or m/h
	GreatestRate                  *decimal.Decimal // cy/h or m3/h
	Lifts                         []Lift
	PumpHours                     decimal.Decimal
	WaitHours                     decimal.Decimal
	MinutesBetweenTrucks          *decimal.Decimal
	CastTogether                  bool
	FootingMinutes                *decimal.Decimal // to place the footing first
	Dates                         PourDates
	Notes                         []string
}

// LevelShare is a level's part of a pour's concrete.
type LevelShare struct {
	Level                         string
	WallConcrete, FootingConcrete decimal.Decimal
}

// Load is a group of equal truckloads of a mix.
type Load struct {
	Item  string
	Count int64
	Each  decimal.Decimal // in the unit of volume of the job
	Short bool
}

// Lift is one lift of a pour, walls together.
type Lift struct {
	Number      int
	Bottom, Top length.Length
	Volume      decimal.Decimal
	Minutes     *decimal.Decimal
	volume      exact.Num // nm³
}

// PourDates are a pour's dates, typed or assumed.
type PourDates struct {
	FormsSet, Pour, Strip                   Date
	FormsAssumed, PourAssumed, StripAssumed bool // not typed; a Pour date that is not typed is the Forms set
	Assumed                                 bool // Forms set or Strip braces is assumed
}
