package schedule

import (
	"strings"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
	"wallbill/takeoff/number"
)

const (
	turnForms  = `corner, corner 45, inside, inside 45, straight, end, tee W7, tee W7 at 12'-6"`
	startForms = `end, tee W7, tee W7 at 12'-6", corner, inside`
	turnRange  = "a turn of 1 to 135 degrees"
)

// readTurn reads what a Turn or Start cell says: a word, for corners an angle, for tees the wall met and the place on it.
func (r *reader) readTurn(v *value, c *ColumnSpec, text string) *refusal {
	t, canonical, wrong := r.turn(c, text)
	if wrong != nil {
		if wrong.Accepted == "" {
			wrong.Accepted = acceptedBy(c)
		}
		return wrong
	}
	if c.Kind == StartColumn && t.Kind == takeoff.TurnStraight {
		return refuse("straight is no start", startForms, "")
	}
	t.At = v.at
	v.turn, v.text = &t, canonical
	return nil
}

// angleWords are the words an angle may follow, longer ones first.
var angleWords = []struct {
	word string
	kind takeoff.TurnKind
}{
	{"outside corner", takeoff.TurnCorner},
	{"inside corner", takeoff.TurnInside},
	{"corner", takeoff.TurnCorner},
	{"inside", takeoff.TurnInside},
}

func (r *reader) turn(c *ColumnSpec, text string) (t takeoff.Turn, canonical string, wrong *refusal) {
	words := strings.Join(strings.Fields(text), " ")
	lower := strings.ToLower(words)
	for _, a := range angleWords {
		rest, ok := strings.CutPrefix(lower, a.word)
		if !ok || rest != "" && rest[0] != ' ' {
			continue
		}
		t.Kind, t.MilliDegrees = a.kind, 90_000
		canonical = "corner"
		if a.kind == takeoff.TurnInside {
			canonical = "inside"
		}
		if rest = strings.TrimSpace(rest); rest == "" {
			return t, canonical, nil
		}
		rest = strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(rest, "°"), "degrees"), "deg"))
		d, ok := number.Plain(rest)
		if !ok {
			return t, "", refuse("not an angle", turnRange+", such as "+canonical+" 45", "")
		}
		milli := d.Shift(3)
		if d.LessThan(decimal.NewFromInt(1)) || d.GreaterThan(decimal.NewFromInt(135)) {
			return t, "", refuse("out of range", turnRange, "")
		}
		if !milli.Equal(milli.Truncate(0)) {
			return t, "", refuse("an angle finer than a thousandth of a degree", turnRange, canonical+" "+number.Text(d.Round(3)))
		}
		t.MilliDegrees = milli.IntPart()
		if t.MilliDegrees != 90_000 {
			canonical += " " + number.Text(d)
		}
		return t, canonical, nil
	}
	switch lower {
	case "straight":
		t.Kind = takeoff.TurnStraight
		return t, lower, nil
	case "end":
		t.Kind = takeoff.TurnEnd
		return t, lower, nil
	}
	if rest, ok := strings.CutPrefix(lower, "tee"); ok && (rest == "" || rest[0] == ' ') {
		t.Kind = takeoff.TurnTee
		return r.tee(c, t, strings.TrimSpace(words[len("tee"):]))
	}
	return t, "", refuse("not a turn", "", nearTurn(c, lower))
}

// tee reads what follows the word tee: nothing, a wall's mark, or a mark, at, and a length.
func (r *reader) tee(c *ColumnSpec, t takeoff.Turn, rest string) (takeoff.Turn, string, *refusal) {
	mark, place := rest, ""
	low := lowerASCII(rest)
	if i := strings.LastIndex(low, " at "); i > 0 {
		mark, place = strings.TrimSpace(rest[:i]), strings.TrimSpace(rest[i+4:])
	} else if strings.HasPrefix(low, "at ") {
		return t, "", refuse("a place on a wall that is not named", `tee W7 at 12'-6"`, "")
	}
	t.TeeWall = mark
	if mark == "" {
		return t, "tee", nil
	}
	if place == "" {
		return t, "tee " + mark, nil
	}
	l, metric, wrong := r.parse(&ColumnSpec{Kind: LengthColumn, Bare: JobUnit}, place)
	if wrong != nil {
		wrong.Accepted = `tee W7 at 12'-6"; lengths as ` + length.Accepted
		if wrong.Try != "" {
			wrong.Try = "tee " + mark + " at " + wrong.Try
		}
		return t, "", wrong
	}
	t.TeeAt, t.HasTee = l, true
	return t, "tee " + mark + " at " + lengthText(l, metric), nil
}

// lowerASCII is s with its ASCII letters in lower case: a place in it is the same place in s, where other letters may be
// longer or shorter in the other case.
func lowerASCII(s string) string {
	b := []byte(s)
	for i, c := range b {
		if c >= 'A' && c <= 'Z' {
			b[i] = c + 'a' - 'A'
		}
	}
	return string(b)
}

// nearTurn is the turn that a text was likely meant to be: an angle alone, a near typo.
func nearTurn(c *ColumnSpec, lower string) string {
	if d, ok := number.Plain(strings.Trim(lower, "° ")); ok {
		if d.Equal(d.Truncate(0)) && d.IsPositive() && d.LessThanOrEqual(decimal.NewFromInt(135)) {
			if d.Equal(decimal.NewFromInt(90)) {
				return "corner"
			}
			return "corner " + number.Text(d)
		}
		return ""
	}
	words := []string{"corner", "inside", "straight", "end", "tee"}
	if c.Kind == StartColumn {
		words = []string{"corner", "inside", "end", "tee"}
	}
	first, rest, _ := strings.Cut(lower, " ")
	word := takeoff.Nearest(first, words)
	switch {
	case lower == "outside":
		return "corner"
	case word == "" || rest == "":
		return word
	case word == "corner" || word == "inside":
		if d, ok := number.Plain(rest); ok && d.Equal(d.Truncate(0)) && d.IsPositive() && d.LessThanOrEqual(decimal.NewFromInt(135)) {
			return word + " " + rest
		}
	}
	return ""
}
