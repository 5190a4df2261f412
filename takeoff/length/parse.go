package length

import (
	"math/big"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"wallbill/takeoff/number"
)

// Longest is the longest length read, either way: 100,000 ft. It is far beyond any wall, and keeps the sums of a whole
// schedule within 64 bits.
const Longest = 100_000 * Foot

// Accepted names the forms of a length, for messages.
const Accepted = `24'-6 1/2", 24' 6.5", 24'6, 24-6 1/2, 6 1/2", 24 ft 6 in, 7.5 m, 750 cm, 7500 mm`

// Error says why a text is no length, and what would be.
type Error struct {
	Message  string // what is wrong: "the inches are 12 or more"
	Accepted string // the accepted forms
	Try      string // a length near what was meant, in a form that Parse accepts; empty when none is plain
}

// Error is the message alone.
func (e *Error) Error() string { return e.Message }

// Parse reads a length as typed. A bare number is in the unit given (Foot, Inch, Metre or Millimetre). The result is
// rounded half up to the nanometre. Every error is an *Error.
func Parse(text string, bare Length) (Length, error) {
	l, err := parseSigned(text, bare)
	if err != nil {
		err.Try = strings.TrimPrefix(err.Try, "-")
		return 0, err
	}
	if l < 0 {
		return 0, &Error{"a negative length", Accepted, tried((-l).FtIn())}
	}
	return l, nil
}

// ParseSigned is Parse for lengths that may be negative: -1'-4".
func ParseSigned(text string, bare Length) (Length, error) {
	l, err := parseSigned(text, bare)
	if err != nil {
		return 0, err
	}
	return l, nil
}

func parseSigned(text string, bare Length) (Length, *Error) {
	plain := plainMarks(text)
	l, err := signed(plain, bare)
	if err == nil {
		return l, nil
	}
	if err.Accepted == "" {
		err.Accepted = Accepted
	}
	if err.Try == "" {
		err.Try = nearest(plain, bare)
	} else {
		err.Try = tried(err.Try)
	}
	return 0, err
}

// Number reads a number cell: the number as the workbook stores it, in the unit given, by the 15-digit rule of package
// number, rounded half up to the nanometre. 24.333333333333332 ft is 24'-4".
func Number(raw string, bare Length) (Length, error) {
	d, err := number.Read(raw)
	if err != nil {
		return 0, &Error{err.Error(), Accepted, ""}
	}
	l, e := scale(d.Rat(), bare)
	if e != nil {
		return 0, e
	}
	return l, nil
}

// tried is a suggestion, left out when it would not be accepted itself.
func tried(s string) string {
	if _, err := signed(s, Inch); err != nil {
		return ""
	}
	return s
}

// marks are the characters that word processors and keyboards put in place of the plain ones.
var marks = strings.NewReplacer(
	"’", "'", "‘", "'", "′", "'", "´", "'", "`", "'", "ʹ", "'", "‛", "'", "＇", "'",
	"”", `"`, "“", `"`, "″", `"`, "„", `"`, "‟", `"`, "ʺ", `"`, "＂", `"`, "''", `"`,
	"−", "-", "–", "-", "—", "-", "‐", "-", "‑", "-",
	"\u00a0", " ", "\u202f", " ", "\u2009", " ", "\u2007", " ", "\t", " ", "\n", " ", "\r", " ",
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8", "⅓", " 1/3", "⅔", " 2/3",
	"⁄", "/",
)

// plainMarks is the text with typographic marks made plain, in lower case, single spaces. Two passes, for two single
// quotes that were typographic themselves.
func plainMarks(text string) string {
	s := strings.ReplaceAll(marks.Replace(text), "''", `"`)
	return strings.ToLower(strings.Join(strings.Fields(s), " "))
}

func bad(message, try string) *Error { return &Error{Message: message, Try: try} }

const notLength = "not a length"

// signed reads a text of plain marks.
func signed(s string, bare Length) (Length, *Error) {
	if s == "" {
		return 0, bad("no length", "")
	}
	rest, negative := strings.CutPrefix(s, "-")
	l, err := unsigned(strings.TrimLeft(rest, " "), bare)
	if err != nil {
		if negative && err.Try != "" {
			err.Try = "-" + err.Try
		}
		return 0, err
	}
	if negative {
		l = -l
	}
	return l, nil
}

// reader walks over a text.
type reader struct {
	s string
	i int
}

func (r *reader) done() bool { return r.i >= len(r.s) }

func (r *reader) space() {
	for !r.done() && r.s[r.i] == ' ' {
		r.i++
	}
}

// take steps over the first of the words that stands here; longer words first.
func (r *reader) take(words ...string) bool {
	for _, w := range words {
		if strings.HasPrefix(r.s[r.i:], w) {
			r.i += len(w)
			return true
		}
	}
	return false
}

// maxDigits bounds the digits of one number of a length.
const maxDigits = 40

// decimal reads digits with at most one point. whole tells that there was none.
func (r *reader) decimal() (value *big.Rat, whole, ok bool) {
	start, digits := r.i, 0
	for whole = true; !r.done(); r.i++ {
		if c := r.s[r.i]; c >= '0' && c <= '9' {
			digits++
		} else if c == '.' && whole {
			whole = false
		} else {
			break
		}
	}
	if digits == 0 || digits > maxDigits {
		r.i = start
		return nil, false, false
	}
	d, err := decimal.NewFromString(strings.TrimSuffix(r.s[start:r.i], "."))
	if err != nil {
		r.i = start
		return nil, false, false
	}
	return d.Rat(), whole, true
}

// unsigned reads the forms. A number comes first in each; what follows it tells them apart.
func unsigned(s string, bare Length) (Length, *Error) {
	r := &reader{s: s}
	first, whole, ok := r.decimal()
	if !ok {
		return 0, bad(notLength, "")
	}
	if r.done() {
		return scale(first, bare)
	}
	if frac, spaced, err := r.fraction(" "); err != nil {
		return 0, err
	} else if frac != nil { // 1/2", 6 1/2": the first number was the fraction's top, or whole inches
		if !whole {
			return 0, bad("a fraction after a decimal", "")
		}
		if !spaced {
			first = new(big.Rat)
		}
		total := new(big.Rat).Add(first, frac)
		r.space()
		if !r.inchMark() && bare != Inch {
			try := ""
			if l, err := scale(total, Inch); err == nil {
				try = l.FtIn()
			}
			return 0, bad("a fraction without its unit", try)
		}
		return r.last(total, Inch)
	}
	spaced := !r.done() && r.s[r.i] == ' '
	r.space()
	switch {
	case r.feetMark():
		return r.afterFeet(first, whole, bare)
	case r.inchMark():
		return r.last(first, Inch)
	case r.take("mm"):
		return r.last(first, Millimetre)
	case r.take("cm"):
		return r.last(first, Centimetre)
	case r.take("m"):
		return r.last(first, Metre)
	case !spaced && r.take("-"):
		if !whole {
			return 0, bad(notLength, "")
		}
		return r.feetAndInches(first, false)
	}
	return 0, bad(notLength, "")
}

func (r *reader) feetMark() bool { return r.take("'", "feet", "foot", "ft.", "ft") }

func (r *reader) inchMark() bool { return r.take(`"`, "inches", "inch", "in.", "in") }

// last ends a form: nothing may follow.
func (r *reader) last(n *big.Rat, unit Length) (Length, *Error) {
	r.space()
	if !r.done() {
		return 0, bad(notLength, "")
	}
	return scale(n, unit)
}

// afterFeet reads what follows a foot mark: nothing, or inches.
func (r *reader) afterFeet(feet *big.Rat, whole bool, bare Length) (Length, *Error) {
	r.space()
	if r.done() {
		return scale(feet, Foot)
	}
	if r.take("-") {
		r.space()
	}
	if !whole {
		return 0, bad("inches after a decimal of feet", "")
	}
	return r.feetAndInches(feet, true)
}

// feetAndInches reads the inches of a feet-inches form: W, W.D, W F/F, W-F/F or F/F, their mark optional. marked tells that
// the feet had theirs: without it 6-1/2 might be 6 1/2 inches.
func (r *reader) feetAndInches(feet *big.Rat, marked bool) (Length, *Error) {
	inches, whole, ok := r.decimal()
	if !ok {
		return 0, bad(notLength, "")
	}
	frac, spaced, err := r.fraction(" ", "-")
	if err != nil {
		return 0, err
	}
	if frac != nil {
		if !whole {
			return 0, bad("a fraction after a decimal", "")
		}
		if !spaced && !marked {
			try := new(big.Rat).Add(feet, frac)
			if l, err := scale(try, Inch); err == nil {
				return 0, bad("feet or inches?", l.FtIn())
			}
			return 0, bad("feet or inches?", "")
		}
		if !spaced {
			inches = new(big.Rat)
		}
		inches = new(big.Rat).Add(inches, frac)
	}
	r.space()
	if !r.inchMark() {
		r.take("'") // a foot mark for the inch mark is caught below
		if strings.HasSuffix(r.s[:r.i], "'") {
			return 0, bad("two foot marks", "")
		}
	}
	r.space()
	if !r.done() {
		return 0, bad(notLength, "")
	}
	total := new(big.Rat).Mul(feet, big.NewRat(12, 1))
	total.Add(total, inches)
	l, err := scale(total, Inch)
	if err != nil {
		return 0, err
	}
	if inches.Cmp(big.NewRat(12, 1)) >= 0 {
		return 0, bad("the inches are 12 or more", l.FtIn())
	}
	return l, nil
}

// fraction reads F/F, standing after the digits of its top (spaced false), or after a gap (spaced true). It returns nil, and
// stays, where no fraction stands.
func (r *reader) fraction(gaps ...string) (value *big.Rat, spaced bool, err *Error) {
	start := r.i
	topStart := r.i
	for topStart > 0 && r.s[topStart-1] >= '0' && r.s[topStart-1] <= '9' {
		topStart--
	}
	if !r.take("/") {
		if !r.take(gaps...) {
			return nil, false, nil
		}
		spaced = true
		topStart = r.i
		for !r.done() && r.s[r.i] >= '0' && r.s[r.i] <= '9' {
			r.i++
		}
		if r.i == topStart || !r.take("/") {
			r.i = start
			return nil, false, nil
		}
	}
	top := r.s[topStart : r.i-1]
	bottomStart := r.i
	for !r.done() && r.s[r.i] >= '0' && r.s[r.i] <= '9' {
		r.i++
	}
	n, err1 := strconv.ParseInt(top, 10, 32)
	d, err2 := strconv.ParseInt(r.s[bottomStart:r.i], 10, 32)
	if err1 != nil || err2 != nil || d == 0 {
		return nil, false, bad("not a fraction", "")
	}
	if n >= d {
		return nil, false, bad("a fraction of 1 or more", "")
	}
	return big.NewRat(n, d), spaced, nil
}

var half = big.NewRat(1, 2)

// scale is n units, rounded half up to the nanometre.
func scale(n *big.Rat, unit Length) (Length, *Error) {
	nm := new(big.Rat).Mul(n, new(big.Rat).SetInt64(int64(unit)))
	negative := nm.Sign() < 0
	nm.Abs(nm)
	nm.Add(nm, half)
	q := new(big.Int).Quo(nm.Num(), nm.Denom())
	if !q.IsInt64() || Length(q.Int64()) > Longest {
		return 0, bad("longer than 100,000 ft", "")
	}
	l := Length(q.Int64())
	if negative {
		l = -l
	}
	return l, nil
}

// nearest is what a text that is no length was likely meant to be: a decimal comma, a grouping comma, the letter O for a
// zero, a foot mark for the inch mark. It is printed in the first form that repairs it; empty when none does.
func nearest(s string, bare Length) string {
	for _, repaired := range repairs(s) {
		if l, err := signed(repaired, bare); err == nil && repaired != s {
			if bare == Foot || bare == Inch || strings.ContainsAny(repaired, `'"`) || strings.HasSuffix(repaired, "ft") || strings.HasSuffix(repaired, "in") {
				if l%Inch64 == 0 {
					return l.FtIn()
				}
			}
			return tried(l.MM())
		}
	}
	return ""
}

// repairs are a text's likely meanings, most likely first.
func repairs(s string) []string {
	var out []string
	add := func(t string) { out = append(out, strings.TrimSpace(t)) }
	if i := strings.LastIndexByte(s, ','); i >= 0 {
		after := s[i+1:]
		n := 0
		for n < len(after) && after[n] >= '0' && after[n] <= '9' {
			n++
		}
		if n == 3 {
			add(strings.ReplaceAll(s, ",", ""))
		} else {
			add(strings.ReplaceAll(s[:i], ",", "") + "." + after)
		}
	}
	if strings.HasSuffix(s, "'") && strings.Count(s, "'") == 2 {
		add(strings.TrimSuffix(s, "'") + `"`)
	}
	if i := strings.IndexByte(s, '"'); i >= 0 && strings.Count(s, "'") == 1 && strings.IndexByte(s, '\'') > i {
		add(strings.NewReplacer(`"`, "'", "'", `"`).Replace(s))
	}
	if strings.ContainsAny(s, "ol") {
		add(strings.NewReplacer("o", "0", "l", "1").Replace(s))
	}
	add(strings.TrimRight(s, ".,;:"))
	add(strings.TrimLeft(s, "=~+ "))
	add(strings.ReplaceAll(s, "- ", "-"))
	for _, w := range []string{"metres", "meters", "metre", "meter"} {
		if t, ok := strings.CutSuffix(s, w); ok {
			add(t + "m")
		}
	}
	return out
}

// Typed is the unit that a text which Parse accepts is typed in: Foot for feet and for feet and inches, else Inch, Metre,
// Centimetre or Millimetre; that of a bare number is bare.
func Typed(text string, bare Length) Length {
	s := plainMarks(text)
	switch {
	case strings.HasSuffix(s, "mm"):
		return Millimetre
	case strings.HasSuffix(s, "cm"):
		return Centimetre
	case strings.HasSuffix(s, "m"):
		return Metre
	case strings.ContainsAny(s, "'f"), strings.Contains(strings.TrimPrefix(s, "-"), "-"):
		return Foot
	case strings.ContainsAny(s, `"i`):
		return Inch
	}
	return bare
}
