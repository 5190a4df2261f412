// Package number reads the decimal that a spreadsheet's number stands for.
//
// A spreadsheet stores a binary fraction, writes it to the file with up to 17 digits and shows 15. Up to 15 significant
// digits the text is exact and kept; beyond, the number is what the sheet shows: 0.30000000000000004 is 0.3. It refuses
// anything that is not a plain number, and numbers too large or too small to be one of a schedule. Read Read first.
package number

import (
	"errors"
	"math/big"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"
)

// SignificantDigits is how many digits of a number a spreadsheet keeps.
const SignificantDigits = 15

// maxExponent bounds the numbers read: a schedule holds nothing near 10^100.
const maxExponent = 100

// doublePrecision is the bits of a binary double's fraction.
const doublePrecision = 53

// ErrNotNumber says that a text is no plain number.
var ErrNotNumber = errors.New("not a number")

// ErrRange says that a number is too large or too small.
var ErrRange = errors.New("a number out of range")

// Read is the decimal of a number as a workbook stores it.
func Read(raw string) (decimal.Decimal, error) {
	raw = strings.TrimSpace(raw)
	digits, exponent, ok := scan(raw)
	if !ok {
		return decimal.Decimal{}, ErrNotNumber
	}
	if exponent > maxExponent || exponent < -10*maxExponent || len(raw) > 4*maxExponent {
		return decimal.Decimal{}, ErrRange
	}
	if digits > SignificantDigits {
		// 53 bits, so that the digits are those of the double the spreadsheet holds
		f, _, err := big.ParseFloat(raw, 10, doublePrecision, big.ToNearestEven)
		if err != nil {
			return decimal.Decimal{}, ErrNotNumber
		}
		raw = f.Text('e', SignificantDigits-1)
	}
	d, err := decimal.NewFromString(raw)
	if err != nil {
		return decimal.Decimal{}, ErrNotNumber
	}
	if d.IsZero() || exponent < -maxExponent {
		return decimal.Decimal{}, nil // a double's dust, such as 1E-200, is nothing that anybody typed
	}
	return Canonical(d), nil
}

// Canonical is the decimal without trailing zeros after its point, so that equal numbers are equal values too.
func Canonical(d decimal.Decimal) decimal.Decimal {
	if d.IsZero() {
		return decimal.Decimal{}
	}
	c, err := decimal.NewFromString(Text(d))
	if err != nil {
		return d
	}
	return c
}

// longestPlain bounds the text of a plain number; what Read gives prints shorter.
const longestPlain = 2 * maxExponent

// Plain reads a text that is wholly a plain number: digits with at most one decimal point and a sign, no exponent, no
// grouping.
func Plain(text string) (decimal.Decimal, bool) {
	text = strings.TrimSpace(text)
	if _, exponent, ok := scan(text); !ok || strings.ContainsAny(text, "eE") || exponent > maxExponent || len(text) > longestPlain {
		return decimal.Decimal{}, false
	}
	d, err := decimal.NewFromString(strings.TrimPrefix(strings.TrimSuffix(text, "."), "+"))
	return Canonical(d), err == nil
}

// Text prints a decimal in its shortest plain form: no exponent, no trailing zeros.
func Text(d decimal.Decimal) string {
	s := d.String()
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}

// scan checks the form [sign] digits [. digits] [e [sign] digits] and counts the significant digits and the decimal
// exponent of the leading one.
func scan(s string) (significant, exponent int, ok bool) {
	i := 0
	if i < len(s) && (s[i] == '-' || s[i] == '+') {
		i++
	}
	digits, trailing, whole := 0, 0, 0
	seen, point := false, false
	for ; i < len(s); i++ {
		c := s[i]
		switch {
		case c >= '0' && c <= '9':
			seen = true
			switch {
			case digits == 0 && c == '0':
				if point {
					whole--
				}
			default:
				digits++
				if !point {
					whole++
				}
				if c == '0' {
					trailing++
				} else {
					trailing = 0
				}
			}
		case c == '.' && !point:
			point = true
		case (c == 'e' || c == 'E') && seen:
			e, err := strconv.Atoi(s[i+1:])
			if err != nil || len(s[i+1:]) > 6 {
				return 0, 0, false
			}
			return digits - trailing, whole + e, true
		default:
			return 0, 0, false
		}
	}
	return digits - trailing, whole, seen
}
