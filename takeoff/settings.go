package takeoff

import (
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// SettingID names a setting of the Job tab.
type SettingID int

// SettingKind says what a setting's value is.
type SettingKind uint8

// The kinds of settings. Lengths are whole nanometres; the other numbers are exact in the unit the catalogue gives,
// volumes in cubic nanometres, areas in square nanometres, rates of rise in nanometres an hour.
const (
	KindText SettingKind = iota
	KindDate
	KindChoice
	KindLength
	KindPercent // 0.05 for 5%
	KindCount   // a whole number
	KindNumber
	KindMoney
	KindVolume
	KindArea
	KindMinutes
	KindHours
	KindMinutesPerVolume // minutes per cubic nanometre
	KindRise             // nanometres an hour
	KindDensity          // in pcf, kg/m3 in a metric report
)

// Setting is a row of the catalogue: what the Job tab may set, with its default and where that comes from.
type Setting struct {
	ID         SettingID
	Name       string
	Rule       string // the rule that uses it; empty for identity
	Kind       SettingKind
	Default    string // as it would be typed; empty: none
	Metric     string // default of a metric report, where the rule gives one of its own
	Starter    string // the round value the metric starter writes; empty: the default
	Unit       string // unit of a bare number ("in", "ft", "cy", "%", "min" …)
	MetricUnit string // unit of a bare number in a metric report, where Metric is given
	Min, Max   string // allowed range in Unit, inclusive; empty: open
	Choices    []string
	Source     string // document and clause, "common practice" or "chosen here"
	Help       string
}

// SettingValue is a setting's value in force.
type SettingValue struct {
	Typed bool // on the Job tab; else the default
	At    Ref
	Text  string // as typed or as the default is printed
	Blank bool   // no value at all: no default and not typed
	Len   length.Length
	Num   exact.Num
	Word  string // choices lower case, texts as typed
}

// Settings are all settings in force, by id. The zero Settings has no values: take NewSettings.
type Settings struct{ values [settingCount]SettingValue }

// Value is the setting's value.
func (s *Settings) Value(id SettingID) SettingValue { return s.values[id] }

// Set puts a value.
func (s *Settings) Set(id SettingID, v SettingValue) { s.values[id] = v }

// Len is a length setting in nanometres.
func (s *Settings) Len(id SettingID) length.Length { return s.values[id].Len }

// Num is a numeric setting, exact, in its kind's unit; a percentage is a fraction.
func (s *Settings) Num(id SettingID) exact.Num { return s.values[id].Num }

// Whole is a count setting.
func (s *Settings) Whole(id SettingID) int64 { return s.values[id].Num.Floor() }

// Word is a choice setting.
func (s *Settings) Word(id SettingID) string { return s.values[id].Word }

// Text is a text setting as typed.
func (s *Settings) Text(id SettingID) string { return s.values[id].Text }

// The settings. Identity first, then by rule.
const (
	SetJob SettingID = iota
	SetJobNumber
	SetRevision
	SetBidDate
	SetPreparedBy
	SetLocation
	SetClient
	SetShipTo
	SetCurrency
	SetLengthsIn
	SetReportIn
	SetFormLine
	SetPriceBook
	SetDimensionsTo

	SetClosureTolerance
	SetLedgeMitre
	SetConcreteWaste
	SetFootingWaste
	SetPumpPrime
	SetOrderStep
	SetStakeSpacing
	SetSpreaderSpacing
	SetCourseTolerance
	SetFullBraceFrom
	SetKickerSpacing
	SetBraceGap
	SetBraceFromEnds
	SetBraceBesideOpenings
	SetBraceSpacing
	SetTallBraceAbove
	SetWalkwayPlanks
	SetPlankLength
	SetPlankOverlap
	SetRails
	SetRailFrom
	SetShoreOpeningsOver
	SetShortestBar
	SetFootingCover
	SetStirrupCover
	SetLongestBarPlaced
	SetFootingOverlap
	SetBandHeight
	SetMembraneWidth
	SetMembraneRoll
	SetSideLap
	SetEndLap
	SetBoardWidth
	SetBoardRoll
	SetBoardLap
	SetPrimerHeight // a length, or the word "all"
	SetDrainOffset
	SetDrainStoneSection
	SetDrainFabricWidth
	SetLedgerBracketSpacing
	SetPlateLength
	SetAnchorFromEnds
	SetAnchorSpacing
	SetLiftHeight
	SetMinutesBetweenLifts
	SetGreatestRise
	SetConcreteDensity
	SetConcreteChemistry
	SetTruck
	SetShortLoadUnder
	SetFreeUnloading
	SetFootingSetTime
	SetSidePourGap
	SetPumpMinimum
	SetPumpSetup
	SetAboveCoreChange
	SetBarKerf
	SetFormKerf
	SetCutBarsBy
	SetCutEffort
	SetPartLoad
	SetRentalIdleDays
	SetRentalDays
	SetSalesTax
	SetContingency
	SetOverhead
	SetProfit
	SetProfitOn
	SetBond
	SetRoundBidTo

	settingCount
)

// SettingCount is how many settings there are.
const SettingCount = int(settingCount)

const (
	commonPractice = "common practice"
	chosenHere     = "chosen here"
)

// Catalogue lists every setting in order of its id.
var Catalogue = [...]Setting{
	{ID: SetJob, Name: "Job", Kind: KindText, Help: "name of the job"},
	{ID: SetJobNumber, Name: "Job number", Kind: KindText, Help: "your own number"},
	{ID: SetRevision, Name: "Revision", Kind: KindText, Help: "revision of the plans"},
	{ID: SetBidDate, Name: "Bid date", Kind: KindDate, Help: "prices valid until an earlier date are warned of"},
	{ID: SetPreparedBy, Name: "Prepared by", Kind: KindText, Help: "who takes off"},
	{ID: SetLocation, Name: "Location", Kind: KindText, Help: "where it is built"},
	{ID: SetClient, Name: "Client", Kind: KindText, Help: "who the bid is for"},
	{ID: SetShipTo, Name: "Ship to", Kind: KindText, Help: "delivery address on the orders"},
	{ID: SetCurrency, Name: "Currency", Kind: KindText, Default: "USD", Source: "ISO 4217", Help: "three-letter code"},
	{ID: SetLengthsIn, Name: "Lengths in", Kind: KindChoice, Default: "ft", Starter: "mm", Choices: []string{"ft", "in", "m", "mm"}, Source: chosenHere, Help: "unit of a bare number in Walls, Openings, Levels, Pads"},
	{ID: SetReportIn, Name: "Report in", Kind: KindChoice, Choices: []string{"ft-in", "metric"}, Source: chosenHere, Help: "units of the results; blank: by Lengths in"},
	{ID: SetFormLine, Name: "Form line", Kind: KindText, Help: "form line of walls that name none"},
	{ID: SetPriceBook, Name: "Price book", Kind: KindText, Help: "workbook of shared prices and marks, a path relative to this file"},
	{ID: SetDimensionsTo, Name: "Dimensions to", Rule: "R-GEOM", Kind: KindChoice, Default: "form face", Choices: []string{"form face", "core face"}, Source: chosenHere, Help: "what wall lengths are measured to"},

	{ID: SetClosureTolerance, Name: "Closure tolerance", Rule: "R-CLOSE", Kind: KindLength, Default: `1"`, Starter: "25 mm", Unit: "in", Min: "0", Max: "120", Source: chosenHere, Help: "a closed run may miss by this much"},
	{ID: SetLedgeMitre, Name: "Ledge mitre", Rule: "R-LEDGE", Kind: KindCount, Default: "1", Min: "0", Max: "10", Source: commonPractice, Help: "ledge units added at each exterior corner"},
	{ID: SetConcreteWaste, Name: "Concrete waste", Rule: "R-POUR", Kind: KindPercent, Default: "5%", Unit: "%", Min: "0", Max: "50", Source: commonPractice, Help: "added to wall concrete"},
	{ID: SetFootingWaste, Name: "Footing waste", Rule: "R-POUR", Kind: KindPercent, Default: "8%", Unit: "%", Min: "0", Max: "50", Source: commonPractice, Help: "added to footing concrete"},
	{ID: SetPumpPrime, Name: "Pump prime", Rule: "R-POUR", Kind: KindVolume, Default: "0.5 cy", Metric: "0.4 m3", Unit: "cy", MetricUnit: "m3", Min: "0", Max: "5", Source: commonPractice, Help: "lost in the line, once a pumped pour"},
	{ID: SetOrderStep, Name: "Order step", Rule: "R-POUR", Kind: KindVolume, Default: "0.25 cy", Metric: "0.25 m3", Unit: "cy", MetricUnit: "m3", Min: "0.01", Max: "20", Source: commonPractice, Help: "concrete is ordered in steps of this"},
	{ID: SetStakeSpacing, Name: "Stake spacing", Rule: "R-FORM-FOOT", Kind: KindLength, Default: "3'", Starter: "900 mm", Unit: "ft", Min: "0.5", Max: "20", Source: commonPractice, Help: "along footing boards"},
	{ID: SetSpreaderSpacing, Name: "Spreader spacing", Rule: "R-FORM-FOOT", Kind: KindLength, Default: "3'", Starter: "900 mm", Unit: "ft", Min: "0.5", Max: "20", Source: commonPractice, Help: "across footings cast with the wall"},
	{ID: SetCourseTolerance, Name: "Course tolerance", Rule: "R-COURSE", Kind: KindLength, Default: `1"`, Starter: "25 mm", Unit: "in", Min: "0", Max: "12", Source: chosenHere, Help: "a rest of the height this small gets no course"},
	{ID: SetFullBraceFrom, Name: "Full brace from", Rule: "R-BRACE", Kind: KindLength, Default: "5'", Starter: "1500 mm", Unit: "ft", Min: "0", Max: "60", Source: commonPractice, Help: "lower walls take kickers"},
	{ID: SetKickerSpacing, Name: "Kicker spacing", Rule: "R-BRACE", Kind: KindLength, Default: "8'", Starter: "2400 mm", Unit: "ft", Min: "0.5", Max: "40", Source: commonPractice, Help: "along low walls"},
	{ID: SetBraceGap, Name: "Brace gap", Rule: "R-BRACE", Kind: KindLength, Default: "2'", Starter: "600 mm", Unit: "ft", Min: "0", Max: "40", Source: commonPractice, Help: "narrower openings are braced across"},
	{ID: SetBraceFromEnds, Name: "Brace from ends", Rule: "R-BRACE", Kind: KindLength, Default: "2'", Starter: "600 mm", Unit: "ft", Min: "0", Max: "20", Source: commonPractice, Help: "first brace from a wall end"},
	{ID: SetBraceBesideOpenings, Name: "Brace beside openings", Rule: "R-BRACE", Kind: KindLength, Default: "1'", Starter: "300 mm", Unit: "ft", Min: "0", Max: "20", Source: commonPractice, Help: "brace from a jamb"},
	{ID: SetBraceSpacing, Name: "Brace spacing", Rule: "R-BRACE", Kind: KindLength, Default: "6'", Starter: "1800 mm", Unit: "ft", Min: "0.5", Max: "40", Source: commonPractice, Help: "greatest distance between braces"},
	{ID: SetTallBraceAbove, Name: "Tall brace above", Rule: "R-BRACE", Kind: KindLength, Default: "12'", Starter: "3600 mm", Unit: "ft", Min: "0", Max: "60", Source: commonPractice, Help: "higher walls take tall braces"},
	{ID: SetWalkwayPlanks, Name: "Walkway planks", Rule: "R-BRACE", Kind: KindCount, Default: "2", Min: "0", Max: "10", Source: commonPractice, Help: "rows of planks on braced walls"},
	{ID: SetPlankLength, Name: "Plank length", Rule: "R-BRACE", Kind: KindLength, Default: "10'", Starter: "3000 mm", Unit: "ft", Min: "3", Max: "40", Source: commonPractice, Help: "where the plank's price row has no length"},
	{ID: SetPlankOverlap, Name: "Plank overlap", Rule: "R-BRACE", Kind: KindLength, Default: `12"`, Starter: "300 mm", Unit: "in", Min: "0", Max: "60", Source: commonPractice, Help: "lap of planks end to end"},
	{ID: SetRails, Name: "Rails", Rule: "R-BRACE", Kind: KindCount, Default: "2", Min: "0", Max: "10", Source: "29 CFR 1926.451(g)(4): top rail and midrail", Help: "rails along a walkway"},
	{ID: SetRailFrom, Name: "Rail from", Rule: "R-BRACE", Kind: KindLength, Default: "6'", Starter: "1800 mm", Unit: "ft", Min: "0", Max: "60", Source: "29 CFR 1926.501(b)(5): fall protection from 6 ft on form faces", Help: "rails on walls over this height"},
	{ID: SetShoreOpeningsOver, Name: "Shore openings over", Rule: "R-SHORE", Kind: KindLength, Default: "4'", Starter: "1200 mm", Unit: "ft", Min: "0", Max: "40", Source: commonPractice, Help: "wider openings with concrete above are shored"},
	{ID: SetShortestBar, Name: "Shortest bar", Rule: "R-VERT", Kind: KindLength, Default: `12"`, Starter: "300 mm", Unit: "in", Min: "0", Max: "120", Source: chosenHere, Help: "shorter pieces are left out"},
	{ID: SetFootingCover, Name: "Footing cover", Rule: "R-DOWEL", Kind: KindLength, Default: `3"`, Starter: "75 mm", Unit: "in", Min: "0", Max: "12", Source: "ACI 318-19 Table 20.5.1.3.1, cast against ground (from memory)", Help: "concrete cover of footing bars"},
	{ID: SetStirrupCover, Name: "Stirrup cover", Rule: "R-LINTEL", Kind: KindLength, Default: `3/4"`, Starter: "20 mm", Unit: "in", Min: "0", Max: "6", Source: "ACI 318-19 Table 20.5.1.3.1, walls not exposed (from memory)", Help: "cover of lintel stirrups"},
	{ID: SetLongestBarPlaced, Name: "Longest bar placed", Rule: "R-RUN", Kind: KindLength, Default: "20'", Starter: "6000 mm", Unit: "ft", Min: "3", Max: "80", Source: commonPractice, Help: "longer bars are spliced"},
	{ID: SetFootingOverlap, Name: "Footing overlap", Rule: "R-MEMB", Kind: KindLength, Default: `6"`, Starter: "150 mm", Unit: "in", Min: "0", Max: "48", Source: commonPractice, Help: "membrane lapped on the footing"},
	{ID: SetBandHeight, Name: "Band height", Rule: "R-MEMB", Kind: KindLength, Default: `24"`, Starter: "600 mm", Unit: "in", Min: "0", Max: "120", Source: commonPractice, Help: "height of a membrane band at the footing joint"},
	{ID: SetMembraneWidth, Name: "Membrane width", Rule: "R-MEMB", Kind: KindLength, Default: `36"`, Starter: "1000 mm", Unit: "in", Min: "6", Max: "240", Source: "common trade size (from memory)", Help: "width of a membrane roll"},
	{ID: SetMembraneRoll, Name: "Membrane roll", Rule: "R-MEMB", Kind: KindLength, Default: `66'-8"`, Starter: "20 m", Unit: "ft", Min: "3", Max: "1000", Source: "common trade size (from memory)", Help: "length of a membrane roll"},
	{ID: SetSideLap, Name: "Side lap", Rule: "R-MEMB", Kind: KindLength, Default: `2 1/2"`, Starter: "65 mm", Unit: "in", Min: "0", Max: "24", Source: "guide specifications, ASTM D6135 practice (from memory)", Help: "lap of membrane rows"},
	{ID: SetEndLap, Name: "End lap", Rule: "R-MEMB", Kind: KindLength, Default: `6"`, Starter: "150 mm", Unit: "in", Min: "0", Max: "48", Source: "guide specifications, ASTM D6135 practice (from memory)", Help: "lap of membrane rolls end to end"},
	{ID: SetBoardWidth, Name: "Board width", Rule: "R-BOARD", Kind: KindLength, Default: `48"`, Starter: "1200 mm", Unit: "in", Min: "6", Max: "240", Source: commonPractice, Help: "width of a drainage sheet roll"},
	{ID: SetBoardRoll, Name: "Board roll", Rule: "R-BOARD", Kind: KindLength, Default: "50'", Starter: "15 m", Unit: "ft", Min: "3", Max: "1000", Source: commonPractice, Help: "length of a drainage sheet roll"},
	{ID: SetBoardLap, Name: "Board lap", Rule: "R-BOARD", Kind: KindLength, Default: `6"`, Starter: "150 mm", Unit: "in", Min: "0", Max: "48", Source: commonPractice, Help: "lap of drainage sheet, sides and ends"},
	{ID: SetPrimerHeight, Name: "Primer height", Rule: "R-PRIMER", Kind: KindLength, Default: `12"`, Starter: "300 mm", Unit: "in", Min: "0", Max: "720", Choices: []string{"all"}, Source: commonPractice, Help: "height of primer at the base, or all"},
	{ID: SetDrainOffset, Name: "Drain offset", Rule: "R-DRAIN", Kind: KindLength, Default: `6"`, Starter: "150 mm", Unit: "in", Min: "0", Max: "120", Source: commonPractice, Help: "pipe centre from the footing's edge"},
	{ID: SetDrainStoneSection, Name: "Drain stone section", Rule: "R-DRAIN", Kind: KindArea, Default: "1.5 sq ft", Starter: "0.14 m2", Unit: "sqft", Min: "0", Max: "100", Source: commonPractice, Help: "area of stone round the pipe"},
	{ID: SetDrainFabricWidth, Name: "Drain fabric width", Rule: "R-DRAIN", Kind: KindLength, Default: "6'", Starter: "1800 mm", Unit: "ft", Min: "0", Max: "40", Source: commonPractice, Help: "width of filter fabric"},
	{ID: SetLedgerBracketSpacing, Name: "Ledger bracket spacing", Rule: "R-LEDGER", Kind: KindLength, Unit: "in", Min: "2", Max: "96", Source: "none: the engineer gives it", Help: "brackets of floor ledgers; the engineer's number"},
	{ID: SetPlateLength, Name: "Plate length", Rule: "R-ANCHOR", Kind: KindLength, Default: "16'", Starter: "4800 mm", Unit: "ft", Min: "2", Max: "80", Source: commonPractice, Help: "stock length of top plates"},
	{ID: SetAnchorFromEnds, Name: "Anchor from ends", Rule: "R-ANCHOR", Kind: KindLength, Default: `12"`, Starter: "300 mm", Unit: "in", Min: "3.5", Max: "12", Source: "IRC R403.1.6", Help: "first anchor bolt from a plate's end"},
	{ID: SetAnchorSpacing, Name: "Anchor spacing", Rule: "R-ANCHOR", Kind: KindLength, Default: "6'", Starter: "1800 mm", Unit: "ft", Min: "0.5", Max: "6", Source: "IRC R403.1.6", Help: "greatest distance between anchor bolts"},
	{ID: SetLiftHeight, Name: "Lift height", Rule: "R-LIFT", Kind: KindLength, Default: "4'", Starter: "1200 mm", Unit: "ft", Min: "0.5", Max: "20", Source: commonPractice, Help: "concrete is placed in lifts of this"},
	{ID: SetMinutesBetweenLifts, Name: "Minutes between lifts", Rule: "R-LIFT", Kind: KindMinutes, Default: "60", Unit: "min", Min: "0", Max: "600", Source: commonPractice, Help: "a lift placed faster than this is warned of"},
	{ID: SetGreatestRise, Name: "Greatest rate of rise", Rule: "R-LIFT", Kind: KindRise, Default: "4 ft/h", Starter: "1.2 m/h", Unit: "ft/h", Min: "0.1", Max: "50", Source: commonPractice, Help: "rate of rise above this is warned of"},
	{ID: SetConcreteDensity, Name: "Concrete density", Rule: "R-LIFT", Kind: KindDensity, Default: "150 pcf", Metric: "2400 kg/m3", Unit: "pcf", MetricUnit: "kg/m3", Min: "50", Max: "400", Source: "ACI 347R-14 4.2.2, normal weight", Help: "of fresh concrete"},
	{ID: SetConcreteChemistry, Name: "Concrete chemistry", Rule: "R-LIFT", Kind: KindChoice, Default: "1.0", Choices: []string{"1.0", "1.2", "1.4"}, Source: "ACI 347R-14 Table 4.2.2.1a(b)", Help: "Cc by cement and retarder"},
	{ID: SetTruck, Name: "Truck", Rule: "R-TRUCK", Kind: KindVolume, Default: "10 cy", Metric: "8 m3", Unit: "cy", MetricUnit: "m3", Min: "1", Max: "20", Source: commonPractice, Help: "largest load of a truck"},
	{ID: SetShortLoadUnder, Name: "Short load under", Rule: "R-TRUCK", Kind: KindVolume, Default: "4 cy", Metric: "3 m3", Unit: "cy", MetricUnit: "m3", Min: "0", Max: "20", Source: commonPractice, Help: "smaller loads pay a short-load charge"},
	{ID: SetFreeUnloading, Name: "Free unloading", Rule: "R-TRUCK", Kind: KindMinutesPerVolume, Default: "6 min per cy", Metric: "8 min per m3", Unit: "min per cy", MetricUnit: "min per m3", Min: "0", Max: "60", Source: commonPractice, Help: "unloading time without charge"},
	{ID: SetFootingSetTime, Name: "Footing set time", Rule: "R-TRUCK", Kind: KindMinutes, Default: "30", Unit: "min", Min: "0", Max: "600", Source: chosenHere, Help: "wait in minutes between footing and wall cast together"},
	{ID: SetSidePourGap, Name: "Side pour gap", Rule: "R-TRUCK", Kind: KindLength, Default: `6"`, Starter: "150 mm", Unit: "in", Min: "0", Max: "48", Source: commonPractice, Help: "room beside the wall to fill the footing"},
	{ID: SetPumpMinimum, Name: "Pump minimum", Rule: "R-PUMP", Kind: KindHours, Default: "4", Unit: "h", Min: "0", Max: "24", Source: commonPractice, Help: "least hours charged"},
	{ID: SetPumpSetup, Name: "Pump set-up and wash-out", Rule: "R-PUMP", Kind: KindHours, Default: "1", Unit: "h", Min: "0", Max: "24", Source: commonPractice, Help: "hours beside placing"},
	{ID: SetAboveCoreChange, Name: "Above a core change in one pour, at most", Rule: "R-PRACTICE", Kind: KindLength, Default: `16"`, Starter: "400 mm", Unit: "in", Min: "0", Max: "720", Source: commonPractice, Help: "placing higher above a core change in one pour is warned of"},
	{ID: SetBarKerf, Name: "Bar kerf", Rule: "P-BARS", Kind: KindLength, Default: `0"`, Starter: "0 mm", Unit: "in", Min: "0", Max: "1", Source: chosenHere, Help: "lost at each cut of a bar"},
	{ID: SetFormKerf, Name: "Form kerf", Rule: "R-CUT", Kind: KindLength, Default: `0"`, Starter: "0 mm", Unit: "in", Min: "0", Max: "1", Source: chosenHere, Help: "lost at each cut of a form unit"},
	{ID: SetCutBarsBy, Name: "Cut bars by", Rule: "P-BARS", Kind: KindChoice, Default: "pour", Choices: []string{"pour", "level", "job"}, Source: chosenHere, Help: "which pieces share stock"},
	{ID: SetCutEffort, Name: "Cut effort", Rule: "R-CUT", Kind: KindNumber, Default: "0.05", Min: "0.001", Max: "100", Source: chosenHere, Help: "work spent on all cut plans; 1 is about a second at worst"},
	{ID: SetPartLoad, Name: "Part load", Rule: "P-FREIGHT", Kind: KindPercent, Default: "50%", Unit: "%", Min: "0", Max: "100", Source: chosenHere, Help: "a rest up to this share of a truck is a part load"},
	{ID: SetRentalIdleDays, Name: "Rental idle days", Rule: "P-RENTAL", Kind: KindCount, Default: "14", Min: "0", Max: "365", Source: chosenHere, Help: "idle longer, a rented piece goes back"},
	{ID: SetRentalDays, Name: "Rental days", Rule: "P-RENTAL", Kind: KindCount, Default: "14", Min: "1", Max: "365", Source: commonPractice, Help: "braces stand this long where dates are missing"},
	{ID: SetSalesTax, Name: "Sales tax", Rule: "P-BID", Kind: KindPercent, Default: "0%", Unit: "%", Min: "0", Max: "50", Source: chosenHere, Help: "on taxable rows"},
	{ID: SetContingency, Name: "Contingency", Rule: "P-BID", Kind: KindPercent, Default: "0%", Unit: "%", Min: "0", Max: "100", Source: chosenHere, Help: "on direct cost and tax"},
	{ID: SetOverhead, Name: "Overhead", Rule: "P-BID", Kind: KindPercent, Default: "0%", Unit: "%", Min: "0", Max: "100", Source: chosenHere, Help: "on direct, tax and contingency"},
	{ID: SetProfit, Name: "Profit", Rule: "P-BID", Kind: KindPercent, Default: "0%", Unit: "%", Min: "0", Source: chosenHere, Help: "on cost, or as a share of the price"},
	{ID: SetProfitOn, Name: "Profit on", Rule: "P-BID", Kind: KindChoice, Default: "cost", Choices: []string{"cost", "price"}, Source: chosenHere, Help: "markup on cost, or margin on price"},
	{ID: SetBond, Name: "Bond", Rule: "P-BID", Kind: KindPercent, Default: "0%", Unit: "%", Min: "0", Max: "50", Source: chosenHere, Help: "on cost and profit"},
	{ID: SetRoundBidTo, Name: "Round bid to", Rule: "P-BID", Kind: KindMoney, Source: "the currency's minor unit, ISO 4217", Help: "the bid is rounded to a multiple of this"},
}
