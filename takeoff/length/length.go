// Package length holds the one representation of length in wallbill: whole nanometres.
//
// 1/64 in is 396,875 nm and 1 mm is 1,000,000 nm, so feet, inch fractions and millimetres are all integers; equality,
// floors and ceilings are safe. The package reads the length forms of a schedule cell and prints lengths back; it refuses
// negative lengths, dates and twelve or more inches after feet with the accepted forms named. Read Length first.
package length

import (
	"strconv"
	"strings"
)

// Length is a length in whole nanometres.
type Length int64

// The exact units: the international inch is 25.4 mm (NIST SP 811, appendix B).
const (
	Nanometre   Length = 1
	Millimetre  Length = 1_000_000
	Centimetre  Length = 10 * Millimetre
	Metre       Length = 1000 * Millimetre
	Inch64      Length = 396_875
	Inch        Length = 64 * Inch64
	Foot        Length = 12 * Inch
	Yard        Length = 3 * Foot
	maxPrintDec        = 6
)

// inchDigits are the decimals of an inch that tell one nanometre from the next.
const inchDigits = 8

// FtIn prints l as feet, inches and sixty-fourths where l is a whole number of them (24'-6 1/2", 6 1/2", 0"). Other whole
// thousandths of an inch are decimals of it (10'-1.2"), what was typed in whole tenths of a millimetre stays so (150 mm),
// and the rest is decimals of an inch again (8.33333335"). Parse reads it back to the same length.
func (l Length) FtIn() string {
	switch {
	case l%Inch64 == 0:
	case l%(Inch/1000) != 0 && l%(Millimetre/10) == 0:
		return l.MM()
	default:
		return l.decimalInches()
	}
	sign := ""
	if l < 0 {
		sign, l = "-", -l
	}
	feet := l / Foot
	rest := l % Foot
	inches := rest / Inch
	num := int64(rest % Inch / Inch64)
	den := int64(64)
	for num != 0 && num%2 == 0 {
		num, den = num/2, den/2
	}
	var b strings.Builder
	b.WriteString(sign)
	if feet > 0 {
		b.WriteString(strconv.FormatInt(int64(feet), 10))
		b.WriteString("'-")
	}
	switch {
	case num == 0:
		b.WriteString(strconv.FormatInt(int64(inches), 10))
	case inches == 0 && feet == 0:
		b.WriteString(strconv.FormatInt(num, 10) + "/" + strconv.FormatInt(den, 10))
	default:
		b.WriteString(strconv.FormatInt(int64(inches), 10) + " " + strconv.FormatInt(num, 10) + "/" + strconv.FormatInt(den, 10))
	}
	b.WriteByte('"')
	return b.String()
}

// decimalInches prints l as feet and decimal inches, in as many decimals as read back to the same nanometre.
func (l Length) decimalInches() string {
	sign := ""
	if l < 0 {
		sign, l = "-", -l
	}
	feet, rest := l/Foot, l%Foot
	scaled := (int64(rest)*100_000_000 + int64(Inch)/2) / int64(Inch) // 8 decimals; a foot of nanometres times 1e8 fits
	s := strconv.FormatInt(scaled, 10)
	if n := inchDigits + 1 - len(s); n > 0 {
		s = strings.Repeat("0", n) + s
	}
	s = strings.TrimRight(s[:len(s)-inchDigits]+"."+s[len(s)-inchDigits:], "0")
	s = strings.TrimSuffix(s, ".") + `"`
	if feet > 0 {
		s = strconv.FormatInt(int64(feet), 10) + "'-" + s
	}
	return sign + s
}

// MM prints l in exact millimetres: 7500 mm, 66.675 mm.
func (l Length) MM() string { return l.decimal(Millimetre, maxPrintDec) + " mm" }

// decimal prints l in a unit of 10^digits nanometres exactly, without trailing zeros.
func (l Length) decimal(unit Length, digits int) string {
	sign := ""
	if l < 0 {
		sign, l = "-", -l
	}
	s := sign + strconv.FormatInt(int64(l/unit), 10)
	if r := l % unit; r != 0 {
		frac := strconv.FormatInt(int64(r), 10)
		frac = strings.Repeat("0", digits-len(frac)) + frac
		s += "." + strings.TrimRight(frac, "0")
	}
	return s
}

// M prints l in exact metres: 7.5 m.
func (l Length) M() string { return l.decimal(Metre, 9) + " m" }

// System says how lengths are shown.
type System uint8

// The two ways of showing a length: feet and inches, or metres and millimetres.
const (
	FeetInches System = iota
	Metric
)

// Show prints l for a reader: feet and inches, or millimetres under a metre and metres from there.
func (l Length) Show(s System) string {
	if s == Metric {
		if l > -Metre && l < Metre {
			return l.MM()
		}
		return l.M()
	}
	return l.FtIn()
}

// ShowPiece prints l as lists of pieces and places do: as Show, but all millimetres, so that a column is in one unit.
func (l Length) ShowPiece(s System) string {
	if s == Metric {
		return l.MM()
	}
	return l.FtIn()
}

// ShowStock prints l as lists of goods do: as Show, but all metres.
func (l Length) ShowStock(s System) string {
	if s == Metric {
		return l.M()
	}
	return l.FtIn()
}

// ShowNear prints l as drawings do, to the nearest 1/16 in or millimetre.
func (l Length) ShowNear(s System) string { return l.Near(s).Show(s) }

// Near is l to the nearest 1/16 in or millimetre, halves away from zero.
func (l Length) Near(s System) Length {
	grain := Inch / 16
	if s == Metric {
		grain = Millimetre
	}
	n := l / grain
	switch r := l % grain; {
	case 2*r >= grain:
		n++
	case 2*r <= -grain:
		n--
	}
	return n * grain
}

// Min is the lesser of two lengths, Max the greater.
func Min(a, b Length) Length { return min(a, b) }

// Max is the greater of two lengths.
func Max(a, b Length) Length { return max(a, b) }
