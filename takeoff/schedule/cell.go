package schedule

import (
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/number"
	"wallbill/takeoff/unit"
)

// state says whether a cell gave a value.
type state uint8

const (
	blank state = iota // nothing in it, or no such column
	bad                // a finding was made of it
	good
)

// value is a cell read by its column's kind. The field of its kind is filled.
type value struct {
	state   state
	at      takeoff.Ref
	cell    string           // as findings show it
	text    string           // canonical: reads back to the same value
	word    string           // names, texts, items as typed; choices in lower case
	len     length.Length    // lengths, laps, places
	lens    []length.Length  // heights
	num     decimal.Decimal  // numbers; a percentage as a fraction; 60 of a lap 60d
	metric  bool             // a length typed in millimetres, centimetres or metres; kPa, °C, m3
	day     takeoff.Date     // dates
	turn    *takeoff.Turn    // turns and starts
	place   takeoff.AtForm   // places
	bar     *takeoff.Bar     // bar sizes
	unit    unit.Unit        // units
	setting *takeoff.Setting // setting names
	plain   Cell             // setting values, read when the settings are known
}

func (v *value) has() bool { return v.state == good }

// yes is a yes/no cell, with what a blank means.
func (v *value) yes(otherwise bool) bool {
	if v.state == good {
		return v.word == "yes"
	}
	return otherwise
}

// whole is a count cell, with what a blank means.
func (v *value) whole(otherwise int) int {
	if v.state == good {
		return int(v.num.IntPart())
	}
	return otherwise
}

const noValue = "a formula without a stored value; open the file in a spreadsheet program and save it first"

// refusal is what is wrong with a cell; the finding is made where the cell's place is known.
type refusal = takeoff.ValueError

func refuse(message, accepted, try string) *refusal {
	return &refusal{Message: message, Accepted: accepted, Try: try}
}

// value reads a cell by its column; nil where it is blank.
func (r *reader) value(rec *record, c *ColumnSpec, cell Cell, at takeoff.Ref) *value {
	if cell.blank() || at.Col == 0 {
		return nil
	}
	v := &value{at: at, cell: shown(cell), state: good}
	wrong := r.read(v, c, cell)
	if wrong != nil {
		v.state = bad
		r.find(takeoff.Finding{Severity: takeoff.Error, At: at, Subject: rec.subject(c.Name), Message: wrong.Message, Cell: v.cell, Accepted: wrong.Accepted, Try: wrong.Try})
		return v
	}
	if c.IsNumber() && cell.Kind == Text && !strings.Contains(cell.Value, "%") {
		r.find(takeoff.Finding{Severity: takeoff.Note, At: at, Subject: rec.subject(c.Name), Message: "a text is read as the number " + number.Text(v.num)})
	}
	return v
}

// shown is a cell as a finding shows it.
func shown(c Cell) string {
	s := c.Value
	if c.Kind == Number {
		if d, err := number.Read(s); err == nil {
			s = number.Text(d)
		}
	}
	if len(s) <= 80 && !strings.ContainsAny(s, "\n\r\t") && !strings.Contains(s, "  ") {
		return strings.TrimSpace(s)
	}
	s = strings.Join(strings.Fields(s), " ")
	if r := []rune(s); len(r) > 80 {
		s = string(r[:79]) + "…"
	}
	return s
}

// read fills v from a cell that is not blank. A suggestion that the column would refuse itself is left out.
func (r *reader) read(v *value, c *ColumnSpec, cell Cell) *refusal {
	wrong := r.readAs(v, c, cell)
	if wrong != nil && wrong.Try != "" && r.readAs(&value{}, c, Cell{Kind: Text, Value: wrong.Try}) != nil {
		wrong.Try = ""
	}
	return wrong
}

func (r *reader) readAs(v *value, c *ColumnSpec, cell Cell) *refusal {
	switch cell.Kind {
	case Failed:
		return refuse("the cell holds the error "+cell.Value, "", "")
	case NoValue:
		return refuse(noValue, "", "")
	}
	text := strings.TrimSpace(cell.Value)
	if c.Kind == ValueColumn {
		v.plain, v.word, v.text = cell, v.cell, text
		return nil
	}
	if cell.Kind == Number {
		d, err := number.Read(cell.Value)
		if err != nil {
			return refuse(err.Error(), "", "")
		}
		text = number.Text(d)
	}
	switch c.Kind {
	case TextColumn:
		v.word, v.text = text, text
		return nil
	case NameColumn, ItemColumn:
		if cell.Kind == Date {
			return refuse("a date: a spreadsheet program turns a text such as 1-2 into one; format the cell as text and type it again", "a name as text", "")
		}
		if utf8.RuneCountInString(text) > longestName {
			return refuse("a name longer than "+strconv.Itoa(longestName)+" characters", "a name of up to "+strconv.Itoa(longestName)+" characters", "")
		}
		v.word, v.text = text, text
		if c.Kind == ItemColumn {
			return itemName(text)
		}
		return nil
	case DateColumn:
		return v.readDay(cell, text)
	case YesNoColumn:
		if cell.Kind == Bool {
			text = map[string]string{"TRUE": "yes", "FALSE": "no"}[strings.ToUpper(text)]
		}
		return v.readChoice(text, c.Choices)
	}
	switch {
	case cell.Kind == Bool:
		return refuse("TRUE or FALSE where "+nounOf(c)+" should be", acceptedBy(c), "")
	case cell.Kind == Date && c.IsLength():
		return refuse("a date: a spreadsheet program turned a length such as 24-6 into one; format the cell as text and type it again", length.Accepted, lengthOfDate(text))
	case cell.Kind == Date:
		return refuse("a date where "+nounOf(c)+" should be", acceptedBy(c), "")
	}
	switch c.Kind {
	case LengthColumn:
		return r.readLength(v, c, cell, text)
	case HeightsColumn:
		return r.readHeights(v, c, text)
	case PlaceColumn:
		return r.readPlace(v, c, text)
	case TurnColumn, StartColumn:
		return r.readTurn(v, c, text)
	case CountColumn, NumberColumn, MoneyColumn:
		return v.readNumber(c, cell, text)
	case PercentColumn:
		d, wrong := takeoff.Percentage(text)
		v.num, v.text = d, number.Text(d.Shift(2))+"%"
		return wrong
	case ChoiceColumn:
		return v.readChoice(text, c.Choices)
	case BarColumn:
		v.bar = takeoff.BarBySize(strings.ReplaceAll(text, " ", ""))
		if v.bar == nil {
			return refuse("not a bar size", acceptedBy(c), nearBar(text))
		}
		v.text = v.bar.Size
	case LapColumn:
		return r.readLap(v, text)
	case TemperatureColumn, PressureColumn, RateColumn:
		return v.readMeasure(c, text)
	case UnitColumn:
		return v.readUnit(text)
	case SettingColumn:
		v.word, v.text = text, text
		if v.setting = settingNamed(text); v.setting != nil {
			v.text = v.setting.Name
		}
	}
	return nil
}

// longestName bounds names, in characters: an item's is made of others (a form line, its core, the part), and the sums of a
// spreadsheet match none longer than 255.
const longestName = 200

// nounOf is what a column's cells are, for messages.
func nounOf(c *ColumnSpec) string {
	switch c.Kind {
	case LengthColumn, HeightsColumn, PlaceColumn, LapColumn:
		return "a length"
	case CountColumn:
		return "a whole number"
	case NumberColumn, MoneyColumn:
		return "a number"
	case PercentColumn:
		return "a percentage"
	case BarColumn:
		return "a bar size"
	case UnitColumn:
		return "a unit"
	case TurnColumn, StartColumn:
		return "a turn"
	}
	return "a word"
}

// acceptedBy names what a column accepts.
func acceptedBy(c *ColumnSpec) string {
	switch c.Kind {
	case LengthColumn, HeightsColumn:
		return length.Accepted
	case PlaceColumn:
		return `a length from the wall's start, c 12'-6" to the opening's centre, e 4'-0" from the wall's end; or blank`
	case LapColumn:
		return "60d, or a length"
	case CountColumn:
		return "a whole number"
	case NumberColumn, MoneyColumn:
		return "a number"
	case PercentColumn:
		return "5%, or a number below 1 (0.05)"
	case BarColumn:
		return "#3 to #11, #14, #18; 10M to 55M; 6mm 8mm 10mm 12mm 14mm 16mm 20mm 25mm 28mm 32mm 40mm"
	case DateColumn:
		return "a date, or its text as 2026-11-02"
	case UnitColumn:
		return unitWords
	case TurnColumn:
		return turnForms
	case StartColumn:
		return startForms
	}
	return strings.Join(c.Choices, ", ")
}

func (v *value) readChoice(text string, words []string) *refusal {
	word := strings.ToLower(strings.Join(strings.Fields(text), " "))
	for _, w := range words {
		if w == word {
			v.word, v.text = w, w
			return nil
		}
	}
	try := takeoff.Nearest(word, words)
	if len(words) == 2 && words[0] == "yes" {
		try = map[string]string{"y": "yes", "n": "no", "x": "yes", "true": "yes", "false": "no", "1": "yes", "0": "no", "ja": "yes", "si": "yes"}[word]
		if try == "" {
			try = takeoff.Nearest(word, words)
		}
	}
	return refuse("not one of the choices", strings.Join(words, ", "), try)
}

func (v *value) readNumber(c *ColumnSpec, cell Cell, text string) *refusal {
	if cell.Kind == Text {
		d, ok := number.Plain(text)
		if !ok {
			return refuse("not a number", acceptedBy(c), nearNumber(text))
		}
		v.num = d
	} else {
		v.num, _ = number.Read(cell.Value)
	}
	v.text = number.Text(v.num)
	if c.Kind == CountColumn && !v.num.Equal(v.num.Truncate(0)) {
		return refuse("not a whole number", "a whole number", "")
	}
	if v.num.Sign() < 0 && !c.Negative {
		return refuse("below zero", rangeWords(c), "")
	}
	if c.Min != "" {
		lo := decimal.RequireFromString(c.Min)
		if v.num.LessThan(lo) || c.Over && v.num.Equal(lo) {
			return refuse("out of range", rangeWords(c), "")
		}
	}
	if c.Max != "" {
		hi := decimal.RequireFromString(c.Max)
		if v.num.GreaterThan(hi) {
			return refuse("out of range", rangeWords(c), "")
		}
	}
	if c.Max == "" && v.num.Abs().GreaterThan(greatestNumber) {
		return refuse("out of range", "up to "+number.Text(greatestNumber), "")
	}
	return nil
}

// greatestNumber bounds the open columns: no count, quantity or price of a wall job comes near it.
var greatestNumber = decimal.New(1, 12)

// rangeWords says what range a column accepts.
func rangeWords(c *ColumnSpec) string {
	switch {
	case c.Min != "" && c.Over && c.Max != "" && c.Under:
		return "over " + c.Min + " and under " + c.Max
	case c.Min != "" && c.Max != "" && c.Under:
		return c.Min + " or more and under " + c.Max
	case c.Min != "" && c.Max != "":
		return c.Min + " to " + c.Max
	case c.Min != "" && c.Over:
		return "over " + c.Min
	case c.Max != "" && c.Under:
		return "under " + c.Max
	case c.Max != "":
		return "up to " + c.Max
	}
	return "0 or more"
}

// nearNumber is the number that a text was likely meant to be: a currency sign before it, grouping commas.
func nearNumber(text string) string {
	s := strings.NewReplacer("$", "", "€", "", "£", "", "¥", "", " ", "", "\u00a0", "", "−", "-").Replace(text)
	if i := strings.LastIndexByte(s, ','); i >= 0 {
		if len(s)-i == 4 || strings.Contains(s[i:], ".") {
			s = strings.ReplaceAll(s, ",", "")
		} else {
			s = strings.ReplaceAll(s[:i], ",", "") + "." + s[i+1:]
		}
	}
	if d, ok := number.Plain(s); ok {
		return number.Text(d)
	}
	return ""
}

func (v *value) readDay(cell Cell, text string) *refusal {
	const accepted = "a date, or its text as 2026-11-02"
	day := text
	switch cell.Kind {
	case Date:
		if i := strings.IndexAny(day, "T "); i > 0 {
			day = day[:i]
		}
	case Number:
		return refuse("a number where a date should be", accepted, "")
	case Bool:
		return refuse("TRUE or FALSE where a date should be", accepted, "")
	}
	t, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return refuse("not a date", accepted, nearDay(day))
	}
	if t.Year() < 1900 || t.Year() > 2199 {
		return refuse("out of range", "1900-01-01 to 2199-12-31", "")
	}
	v.day, v.text = takeoff.Date{Time: t}, t.Format(time.DateOnly)
	return nil
}

// nearDay is the day of a text that names it plainly in another order; nothing where day and month might be swapped.
func nearDay(text string) string {
	for _, form := range []string{"2006/1/2", "2006.1.2", "2006-1-2", "2 Jan 2006", "2 January 2006", "Jan 2, 2006", "January 2, 2006", "20060102"} {
		if t, err := time.Parse(form, text); err == nil && t.Year() >= 1900 && t.Year() <= 2199 {
			return t.Format(time.DateOnly)
		}
	}
	var found []string
	for _, form := range []string{"1/2/2006", "2/1/2006", "2.1.2006"} {
		if t, err := time.Parse(form, text); err == nil && t.Year() >= 1900 && t.Year() <= 2199 {
			if s := t.Format(time.DateOnly); len(found) == 0 || found[0] != s {
				found = append(found, s)
			}
		}
	}
	if len(found) == 1 {
		return found[0]
	}
	return ""
}

// lengthOfDate is the length that a spreadsheet turned into this date, where only one of month-day and day-month can be.
func lengthOfDate(day string) string {
	if i := strings.IndexAny(day, "T "); i > 0 {
		day = day[:i]
	}
	t, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return ""
	}
	var found []string
	for _, p := range [][2]int{{int(t.Month()), t.Day()}, {t.Day(), int(t.Month())}} {
		if p[1] < 12 {
			s := (length.Length(p[0])*length.Foot + length.Length(p[1])*length.Inch).FtIn()
			if len(found) == 0 || found[0] != s {
				found = append(found, s)
			}
		}
	}
	if len(found) == 1 {
		return found[0]
	}
	return ""
}

// bareUnit is the length of one of a column's bare unit.
func (r *reader) bareUnit(c *ColumnSpec) (length.Length, bool) {
	u := c.Unit(r.lengthsIn)
	if u == "" { // laps, places of a tee
		if u = takeoff.InInches; metricUnit(r.lengthsIn) {
			u = takeoff.InMM
		}
	}
	return unitLength(u), metricUnit(u)
}

// typedLength is a length as typed, in a column whose bare numbers are in that unit.
type typedLength struct {
	text   string
	bare   length.Length
	signed bool
}

// lengthRead is what a typed length was read as.
type lengthRead struct {
	len    length.Length
	metric bool
}

// parse reads a length of a column, signed where the column allows it. A schedule types the same lengths again and again:
// each is read once.
func (r *reader) parse(c *ColumnSpec, text string) (l length.Length, metric bool, wrong *refusal) {
	bare, _ := r.bareUnit(c)
	key := typedLength{text, bare, c.Negative}
	if known, ok := r.lengths[key]; ok {
		return known.len, known.metric, nil
	}
	l, metric, wrong = r.parseLength(c, text)
	if wrong == nil {
		r.lengths[key] = lengthRead{l, metric}
	}
	return l, metric, wrong
}

func (r *reader) parseLength(c *ColumnSpec, text string) (l length.Length, metric bool, wrong *refusal) {
	bare, bareMetric := r.bareUnit(c)
	var err error
	if c.Negative {
		l, err = length.ParseSigned(text, bare)
	} else {
		l, err = length.Parse(text, bare)
	}
	if err != nil {
		return 0, false, (*refusal)(err.(*length.Error))
	}
	_, isBare := number.Plain(text)
	return l, isBare && bareMetric || strings.HasSuffix(strings.ToLower(strings.TrimSpace(text)), "m"), nil
}

func (r *reader) readLength(v *value, c *ColumnSpec, cell Cell, text string) (wrong *refusal) {
	if cell.Kind == Number {
		var bare length.Length
		bare, v.metric = r.bareUnit(c)
		l, err := length.Number(cell.Value, bare)
		if err != nil {
			return (*refusal)(err.(*length.Error))
		}
		if v.len = l; l < 0 && !c.Negative {
			return refuse("a negative length", length.Accepted, lengthText(-l, v.metric))
		}
	} else if v.len, v.metric, wrong = r.parse(c, text); wrong != nil {
		return wrong
	}
	v.text = lengthText(v.len, v.metric)
	lo, hi := edges(c)
	inside := func(l length.Length) bool {
		return (lo == nil || l > *lo || l == *lo && !c.Over) && (hi == nil || l < *hi || l == *hi && !c.Under)
	}
	if !inside(v.len) {
		return refuse("out of range", rangeWords(c), r.otherUnit(v, c, text, inside))
	}
	return nil
}

// otherUnit is a length out of range read in another unit, where that falls inside: 6 ft typed for a core of 6 in. Small
// units of the same system come first. Feet and inches, 80-0, are in no wrong unit: there is nothing to suggest.
func (r *reader) otherUnit(v *value, c *ColumnSpec, text string, inside func(length.Length) bool) string {
	if v.len <= 0 || feetAndInches.MatchString(text) {
		return ""
	}
	type reading struct{ times, over length.Length }
	readings := []reading{{length.Inch, length.Foot}, {length.Foot, length.Inch}}
	if v.metric {
		readings = []reading{{length.Millimetre, length.Metre}, {length.Metre, length.Millimetre}, {length.Millimetre, length.Centimetre}, {length.Centimetre, length.Millimetre}}
	}
	if d, ok := number.Plain(text); ok && d.Sign() > 0 { // a bare number might be in any unit
		bare, metric := r.bareUnit(c)
		all := []length.Length{length.Inch, length.Foot, length.Millimetre, length.Metre}
		if metric {
			all = []length.Length{length.Millimetre, length.Metre, length.Inch, length.Foot}
		}
		readings = nil
		for _, u := range all {
			if u != bare {
				readings = append(readings, reading{u, bare})
			}
		}
	}
	for _, u := range readings {
		if v.len%u.over != 0 && v.len > length.Longest/u.times {
			continue
		}
		if q := v.len / (u.over / gcd(u.times, u.over)); q > length.Longest/(u.times/gcd(u.times, u.over)) {
			continue
		}
		g := gcd(u.times, u.over)
		if v.len%(u.over/g) != 0 {
			continue
		}
		if l := v.len / (u.over / g) * (u.times / g); inside(l) {
			return lengthText(l, u.times == length.Millimetre || u.times == length.Metre || u.times == length.Centimetre)
		}
	}
	return ""
}

// feetAndInches finds two numbers in a length that are no parts of one.
var feetAndInches = regexp.MustCompile(`[0-9][^0-9./,]+[0-9]`)

func gcd(a, b length.Length) length.Length {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// lengthText prints a length so that it reads back to the same length, in the system it was typed in: millimetres or
// metres, else feet and inches, decimal inches where it is no whole number of sixty-fourths. Nine decimals of an inch are
// finer than a nanometre.
func lengthText(l length.Length, metric bool) string {
	if metric {
		return l.Show(length.Metric)
	}
	if l%length.Inch64 != 0 {
		return number.Text(exact.Len(l).Div(exact.Len(length.Inch)).Round(9)) + `"`
	}
	return l.FtIn()
}

func (r *reader) readHeights(v *value, c *ColumnSpec, text string) *refusal {
	var texts []string
	for _, part := range strings.Split(text, ";") {
		if strings.TrimSpace(part) == "" {
			continue
		}
		l, metric, wrong := r.parse(c, strings.TrimSpace(part))
		if wrong != nil {
			wrong.Accepted = "lengths separated by ; such as 9'-0\"; 18'-6\""
			wrong.Try = ""
			return wrong
		}
		v.lens = append(v.lens, l)
		texts = append(texts, lengthText(l, metric))
	}
	if len(v.lens) == 0 {
		return refuse("not a length", length.Accepted, "")
	}
	v.text = strings.Join(texts, "; ")
	return nil
}

func (r *reader) readPlace(v *value, c *ColumnSpec, text string) *refusal {
	v.place = takeoff.FromStart
	rest, prefix := text, ""
	switch {
	case hasLetter(text, 'c'):
		v.place, rest, prefix = takeoff.FromCentre, text[1:], "c "
	case hasLetter(text, 'e'):
		v.place, rest, prefix = takeoff.FromEnd, text[1:], "e "
	}
	l, metric, wrong := r.parse(c, strings.TrimSpace(rest))
	if wrong != nil {
		wrong.Accepted = acceptedBy(c)
		if wrong.Try != "" {
			wrong.Try = prefix + wrong.Try
		}
		return wrong
	}
	v.len, v.text = l, prefix+lengthText(l, metric)
	return nil
}

func hasLetter(text string, letter byte) bool {
	return len(text) > 1 && text[0]|0x20 == letter
}

func (r *reader) readLap(v *value, text string) *refusal {
	d, words, ok := takeoff.NumberAndUnit(text)
	if ok && words == "d" {
		if d.Sign() <= 0 || d.GreaterThan(decimal.NewFromInt(1000)) {
			return refuse("out of range", "over 0d and up to 1000d", "")
		}
		v.num, v.text = d, number.Text(d)+"d"
		return nil
	}
	l, metric, wrong := r.parse(&ColumnSpec{Kind: LapColumn}, text)
	if wrong != nil {
		wrong.Accepted = "60d, or a length"
		if ok && words != "" && strings.HasSuffix(words, "d") {
			wrong.Try = number.Text(d.Abs()) + "d"
		}
		return wrong
	}
	if l == 0 {
		return refuse("a lap of nothing", "60d, or a length", "")
	}
	v.len, v.text = l, lengthText(l, metric)
	return nil
}

// readMeasure reads a number with its unit: a temperature, a placing rate, a pressure.
func (v *value) readMeasure(c *ColumnSpec, text string) *refusal {
	d, words, ok := takeoff.NumberAndUnit(text)
	words = strings.NewReplacer("°", "", "º", "", "³", "3", " per hour", "", " an hour", "", "/hour", "", "/hr", "", "/h", "", ".", "").Replace(words)
	words = strings.TrimSpace(words)
	m := measures[c.Kind]
	u, known := m.units[words]
	switch {
	case !ok || words != "" && !known:
		return refuse("not a "+m.noun, m.accepted, "")
	case words == "":
		return refuse("a number without its unit", m.accepted, "")
	case c.Kind == TemperatureColumn:
		lo, hi := int64(0), int64(150)
		if u.metric {
			lo, hi = -17, 65
		}
		if d.LessThan(decimal.NewFromInt(lo)) || d.GreaterThan(decimal.NewFromInt(hi)) {
			return refuse("out of range", "0 F to 150 F, -17 C to 65 C", "")
		}
	case d.Sign() <= 0:
		return refuse("not over zero", m.accepted, "")
	case d.GreaterThan(decimal.NewFromInt(100_000)):
		return refuse("out of range", m.accepted, "")
	}
	v.num, v.metric, v.text = d, u.metric, number.Text(d)+" "+u.name
	return nil
}

// measure is a kind of number that is never typed without its unit.
type measure struct {
	noun, accepted string
	units          map[string]measureUnit // by spelling
}

type measureUnit struct {
	name   string
	metric bool
}

var measures = map[ColumnKind]measure{
	TemperatureColumn: {"temperature", "70 F, 21 C", map[string]measureUnit{
		"f": {"F", false}, "degf": {"F", false}, "deg f": {"F", false}, "c": {"C", true}, "degc": {"C", true}, "deg c": {"C", true}}},
	PressureColumn: {"pressure", "800 psf, 38 kPa", map[string]measureUnit{
		"psf": {"psf", false}, "lb/sqft": {"psf", false}, "lb/ft2": {"psf", false}, "kpa": {"kPa", true}}},
	RateColumn: {"placing rate", "15 cy or 12 m3, per hour", map[string]measureUnit{
		"cy": {"cy", false}, "cu yd": {"cy", false}, "cuyd": {"cy", false}, "yd3": {"cy", false}, "m3": {"m3", true}, "cu m": {"m3", true}}},
}

const unitWords = "ea ft m sqft m2 cuft cy m3 lb kg ton t hr day week 4-week lump, or the name of a pack"

func (v *value) readUnit(text string) *refusal {
	u, ok := unit.Parse(strings.Join(strings.Fields(text), " "))
	if !ok || u[0] < 'a' && !u.Known() || strings.ContainsAny(string(u), "*?~<>=") {
		return refuse("not a unit", unitWords, "")
	}
	v.unit, v.text = u, string(u)
	return nil
}

// nearBar is the bar size that a text was likely meant to be, where only one of that number is made: 4 is #4, 10 might be
// #10, 10M or 10mm.
func nearBar(text string) string {
	digits := strings.Trim(strings.TrimPrefix(strings.ToLower(text), "no"), ". #")
	var found []string
	for _, s := range []string{"#" + digits, digits + "m", digits + "mm"} {
		if b := takeoff.BarBySize(s); b != nil {
			found = append(found, b.Size)
		}
	}
	if len(found) == 1 {
		return found[0]
	}
	return ""
}

// itemName refuses what a spreadsheet's criteria would not match as text.
func itemName(text string) *refusal {
	if i := strings.IndexAny(text, "*?~"); i >= 0 {
		return refuse("an item's name may not hold "+strconv.Quote(text[i:i+1]), "a name without * ? ~", dropped(text))
	}
	if strings.ContainsAny(text[:1], "<>=") {
		return refuse("an item's name may not begin with "+text[:1], "a name that does not begin with < > =", dropped(text))
	}
	return nil
}

func dropped(text string) string {
	return strings.TrimSpace(strings.TrimLeft(strings.NewReplacer("*", "", "?", "", "~", "").Replace(text), "<>= "))
}
