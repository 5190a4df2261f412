package takeoff

import (
	"strings"

	"github.com/shopspring/decimal"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/number"
	"wallbill/takeoff/unit"
)

// ValueError says why a text is no value of its kind, and what would be. Try is accepted itself, or empty.
type ValueError struct{ Message, Accepted, Try string }

// Error is the message alone.
func (e *ValueError) Error() string { return e.Message }

func lengthError(err error) *ValueError {
	e := err.(*length.Error) // every error of package length's readers is one
	return (*ValueError)(e)
}

// NewSettings are the defaults in force in a job that reports in that system. Round bid to has none until the currency is
// known: its default is the minor unit.
func NewSettings(system length.System) *Settings {
	s := &Settings{}
	for i := range Catalogue {
		c := &Catalogue[i]
		text := c.Default
		if system == length.Metric && c.Metric != "" {
			text = c.Metric
		}
		if text == "" {
			s.Set(c.ID, SettingValue{Blank: true})
			continue
		}
		v, err := c.Parse(text, false, system)
		if err != nil {
			panic("takeoff: default of " + c.Name + ": " + err.Error()) // a test walks the catalogue
		}
		s.Set(c.ID, v)
	}
	return s
}

// Parse reads a setting's value as typed, within its range. number says that the cell is a number, whose text is raw as
// the workbook stores it. A bare number is in the setting's Unit; in a metric report, where the setting has a metric
// default of its own, in MetricUnit. Dates and the cells of a schedule that are no text or number are the reader's.
func (c *Setting) Parse(raw string, isNumber bool, system length.System) (SettingValue, *ValueError) {
	v := SettingValue{Text: strings.TrimSpace(raw)}
	if isNumber {
		d, err := number.Read(raw)
		if err != nil {
			return v, &ValueError{Message: err.Error()}
		}
		v.Text = number.Text(d)
	}
	var bad *ValueError
	switch c.Kind {
	case KindText, KindDate:
		v.Word = v.Text
		return v, nil
	case KindChoice:
		v.Word, bad = c.choice(v.Text)
		if d, err := decimal.NewFromString(v.Word); bad == nil && err == nil {
			v.Num = exact.Dec(d) // Cc is a choice of numbers
		}
		return v, bad
	case KindLength:
		for _, w := range c.Choices {
			if strings.EqualFold(v.Text, w) {
				v.Word = w
				return v, nil
			}
		}
		var err error
		if bare := settingLength(c.Unit); isNumber {
			v.Len, err = length.Number(raw, bare)
		} else {
			v.Len, err = length.Parse(v.Text, bare)
		}
		if err == nil && v.Len < 0 {
			err = &length.Error{Message: "a negative length", Accepted: length.Accepted}
		}
		if err != nil {
			bad = lengthError(err)
			if len(c.Choices) > 0 {
				bad.Accepted += ", " + strings.Join(c.Choices, ", ")
			}
			return v, bad
		}
		v.Num = exact.Len(v.Len)
	case KindPercent:
		var d decimal.Decimal
		d, bad = Percentage(v.Text)
		v.Num = exact.Dec(d)
	default:
		v.Num, bad = c.measure(v.Text, system)
	}
	if bad != nil {
		return v, bad
	}
	if c.Kind == KindCount && !v.Num.IsInt() {
		return v, &ValueError{Message: "not a whole number", Accepted: "a whole number"}
	}
	if c.Kind == KindDensity { // checked with its own unit
		return v, nil
	}
	return v, c.within(v.Num)
}

func (c *Setting) choice(text string) (string, *ValueError) {
	word := strings.ToLower(strings.Join(strings.Fields(text), " "))
	d, isNumber := number.Plain(word)
	for _, w := range c.Choices {
		if strings.ToLower(w) == word {
			return strings.ToLower(w), nil
		}
		if n, ok := number.Plain(w); ok && isNumber && n.Equal(d) { // a number cell 1 is the choice 1.0
			return w, nil
		}
	}
	return "", &ValueError{Message: "not one of the choices", Accepted: strings.Join(c.Choices, ", "), Try: Nearest(word, c.Choices)}
}

// settingLength is the length of one of a length setting's unit.
func settingLength(u string) length.Length {
	if u == "ft" {
		return length.Foot
	}
	return length.Inch
}

// within checks the range, which the catalogue gives in Unit.
func (c *Setting) within(v exact.Num) *ValueError {
	one := c.one(c.Unit)
	for _, edge := range []struct {
		text string
		sign int
	}{{c.Min, -1}, {c.Max, 1}} {
		if edge.text == "" {
			continue
		}
		if limit := exact.Dec(decimal.RequireFromString(edge.text)).Mul(one); v.Cmp(limit) == edge.sign {
			return &ValueError{Message: "out of range", Accepted: c.rangeWords()}
		}
	}
	return nil
}

func (c *Setting) rangeWords() string {
	u := " " + c.Unit
	if c.Unit == "%" {
		u = "%"
	} else if c.Unit == "" {
		u = ""
	}
	switch {
	case c.Max == "":
		return c.Min + u + " or more"
	case c.Min == "":
		return c.Max + u + " or less"
	}
	return c.Min + " to " + c.Max + u
}

// one is one of a unit in the kind's base unit; zero when the kind does not know the unit.
func (c *Setting) one(u string) exact.Num {
	words := strings.NewReplacer(" per ", "/", " an ", "/", "²", "2", "³", "3").Replace(strings.ToLower(strings.Join(strings.Fields(u), " ")))
	words = strings.ReplaceAll(words, " ", "")
	switch c.Kind {
	case KindLength:
		return exact.Len(settingLength(u))
	case KindPercent:
		return exact.Frac(1, 100)
	case KindCount, KindNumber, KindMoney:
		return exact.Int(1)
	case KindVolume:
		if v := volumeUnit(words); v != "" {
			return v.Base()
		}
	case KindArea:
		switch words {
		case "sqft", "ft2", "sf":
			return unit.SqFoot.Base()
		case "m2", "sqm":
			return unit.SqMetre.Base()
		}
	case KindMinutes:
		switch words {
		case "min", "mins", "minutes", "minute":
			return exact.Int(1)
		case "h", "hr", "hrs", "hour", "hours":
			return exact.Int(60)
		}
	case KindHours:
		switch words {
		case "h", "hr", "hrs", "hour", "hours":
			return exact.Int(1)
		case "min", "mins", "minutes", "minute":
			return exact.Frac(1, 60)
		}
	case KindMinutesPerVolume:
		if v, ok := strings.CutPrefix(words, "min/"); ok && volumeUnit(v) != "" {
			return exact.Int(1).Div(volumeUnit(v).Base())
		}
	case KindRise:
		switch words {
		case "ft/h", "ft/hr", "ft/hour":
			return exact.Len(length.Foot)
		case "m/h", "m/hr", "m/hour":
			return exact.Len(length.Metre)
		}
	}
	return exact.Num{}
}

func volumeUnit(words string) unit.Unit {
	switch words {
	case "cy", "cuyd", "yd3":
		return unit.CuYard
	case "m3", "cum":
		return unit.CuMetre
	case "cuft", "ft3", "cf":
		return unit.CuFoot
	}
	return ""
}

// kgPerM3 is one pound a cubic foot in kilograms a cubic metre, exactly: 0.45359237 / 0.028316846592.
var kgPerM3 = unit.Pound.Base().Div(unit.Kilo.Base()).Mul(unit.CuMetre.Base()).Div(unit.CuFoot.Base())

// measure reads a number with an optional unit.
func (c *Setting) measure(text string, system length.System) (exact.Num, *ValueError) {
	d, u, ok := NumberAndUnit(text)
	bare := c.Unit
	if system == length.Metric && c.Metric != "" {
		bare = c.MetricUnit
	}
	accepted := "a number"
	if bare != "" {
		accepted += " of " + bare
	}
	if c.Default != "" && (c.Kind != KindCount && c.Kind != KindNumber && c.Kind != KindMoney) {
		accepted += ", such as " + c.Default
		if c.Metric != "" {
			accepted += " or " + c.Metric
		}
	}
	refuse := func(message string) (exact.Num, *ValueError) {
		return exact.Num{}, &ValueError{Message: message, Accepted: accepted}
	}
	if !ok {
		return refuse("not a number")
	}
	if d.Sign() < 0 {
		return refuse("below zero")
	}
	if c.Kind == KindDensity {
		if u == "" {
			u = bare
		}
		n := exact.Dec(d)
		switch strings.NewReplacer("³", "3", " ", "", "lb/cuft", "pcf", "lb/ft3", "pcf").Replace(u) {
		case "pcf":
			if system == length.Metric {
				n = n.Mul(kgPerM3)
			}
		case "kg/m3":
			if system != length.Metric {
				n = n.Div(kgPerM3)
			}
		default:
			return refuse("not a unit of density")
		}
		return n, c.densityRange(n, system)
	}
	if u == "" {
		u = bare
	} else if c.Kind == KindCount || c.Kind == KindNumber || c.Kind == KindMoney {
		return refuse("not a number")
	}
	one := c.one(u)
	if one.IsZero() {
		return refuse("not a unit of this setting")
	}
	return exact.Dec(d).Mul(one), nil
}

// densityRange is within for densities, whose number is in the report's own unit.
func (c *Setting) densityRange(n exact.Num, system length.System) *ValueError {
	if system == length.Metric {
		n = n.Div(kgPerM3)
	}
	lo, hi := exact.Dec(decimal.RequireFromString(c.Min)), exact.Dec(decimal.RequireFromString(c.Max))
	if n.Cmp(lo) < 0 || n.Cmp(hi) > 0 {
		return &ValueError{Message: "out of range", Accepted: c.rangeWords()}
	}
	return nil
}

// NumberAndUnit splits a text in its leading plain number and the lower-case words after it.
func NumberAndUnit(text string) (d decimal.Decimal, words string, ok bool) {
	text = strings.TrimSpace(text)
	end := 0
	for end < len(text) && strings.IndexByte("+-.0123456789", text[end]) >= 0 {
		end++
	}
	d, ok = number.Plain(text[:end])
	return d, strings.ToLower(strings.Join(strings.Fields(text[end:]), " ")), ok
}

// Percentage reads 5%, or a number from 0 to below 1, as a fraction. A bare number of 1 or more might be either, and is
// refused: a waste of 500% is never assumed.
func Percentage(text string) (decimal.Decimal, *ValueError) {
	const accepted = "5%, or a number below 1 (0.05)"
	d, words, ok := NumberAndUnit(text)
	switch {
	case !ok || words != "" && words != "%":
		try := ""
		if ok && (words == "percent" || words == "pct" || words == "per cent") && d.Sign() >= 0 {
			try = number.Text(d) + "%"
		}
		return decimal.Zero, &ValueError{"not a percentage", accepted, try}
	case d.Sign() < 0:
		return decimal.Zero, &ValueError{"a percentage below zero", accepted, ""}
	case words == "%":
		return number.Canonical(d.Shift(-2)), nil
	case d.GreaterThanOrEqual(decimal.NewFromInt(1)):
		n := number.Text(d)
		return decimal.Zero, &ValueError{n + " or " + n + "%?", accepted, n + "%"}
	}
	return d, nil
}

// Nearest is the one of the names that a text is a near typo of: equal but for spaces, hyphens, case and leading zeros, or
// one edit away (two from nine letters on), a swap of neighbours counting as one. It is empty when there is none, when names
// tie, for texts so short that any other name is near, and for names that differ in their number only: W8 is no typo of W7.
func Nearest(text string, names []string) string {
	best, bestEdits, tie := "", 3, false
	plain := bareWord(text)
	for _, name := range names {
		if name == "" {
			continue
		}
		edits := 3
		if w := bareWord(name); w == plain && w != "" {
			edits = 0
		} else if same, equal := sameButDigits(text, name); same {
			if equal {
				edits = 0
			}
		} else if n := len([]rune(text)); n >= 3 {
			allowed := 1
			if n >= 9 {
				allowed = 2
			}
			if e := editsBetween([]rune(strings.ToLower(text)), []rune(strings.ToLower(name)), allowed); e <= allowed {
				edits = e
			}
		}
		switch {
		case edits > 2:
		case edits < bestEdits:
			best, bestEdits, tie = name, edits, false
		case edits == bestEdits && !strings.EqualFold(name, best):
			tie = true
		}
	}
	if tie {
		return ""
	}
	return best
}

// sameButDigits tells whether two names differ in their digits only, and whether those are the same but for zeros before
// them.
func sameButDigits(a, b string) (same, equal bool) {
	split := func(s string) (letters, digits string) {
		for _, r := range bareWord(s) {
			if r >= '0' && r <= '9' {
				digits += string(r)
			} else {
				letters += string(r)
			}
		}
		return letters, digits
	}
	la, da := split(a)
	lb, db := split(b)
	return la == lb && da != "" && db != "", strings.TrimLeft(da, "0") == strings.TrimLeft(db, "0")
}

func bareWord(s string) string {
	return strings.NewReplacer(" ", "", "-", "", "_", "", ".", "").Replace(strings.ToLower(s))
}

// editsBetween is the least number of letters put in, left out, changed or swapped with their neighbour that makes b of a
// (the optimal string alignment distance); limit + 1 when it is over the limit.
func editsBetween(a, b []rune, limit int) int {
	if len(a)-len(b) > limit || len(b)-len(a) > limit {
		return limit + 1
	}
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			e := min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				e = min(e, rows[i-2][j-2]+1)
			}
			rows[i][j] = e
		}
	}
	return min(rows[len(a)][len(b)], limit+1)
}
