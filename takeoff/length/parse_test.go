package length

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Every cell form, worked by hand in inches.
func TestParse(t *testing.T) {
	in := func(whole, num, den Length) Length { return whole*Inch + Inch*num/den }
	for _, c := range []struct {
		text string
		bare Length
		want Length
	}{
		{`24'-6 1/2"`, Foot, in(294, 1, 2)},
		{`24' 6.5"`, Foot, in(294, 1, 2)},
		{`24'`, Foot, in(288, 0, 1)},
		{`24'6`, Foot, in(294, 0, 1)},
		{`24'6"`, Foot, in(294, 0, 1)},
		{`24-6`, Foot, in(294, 0, 1)},
		{`24-6`, Inch, in(294, 0, 1)},
		{`24-6 1/2`, Foot, in(294, 1, 2)},
		{`24-6.5`, Foot, in(294, 1, 2)},
		{`24-6"`, Foot, in(294, 0, 1)},
		{`0-6`, Foot, in(6, 0, 1)},
		{`24'-6-1/2"`, Foot, in(294, 1, 2)},
		{`24' - 6"`, Foot, in(294, 0, 1)},
		{`24'-1/2"`, Foot, in(288, 1, 2)},
		{`24' 0"`, Foot, in(288, 0, 1)},
		{`6 1/2"`, Foot, in(6, 1, 2)},
		{`6.5"`, Foot, in(6, 1, 2)},
		{`1/2"`, Foot, in(0, 1, 2)},
		{`14"`, Foot, in(14, 0, 1)}, // 12 or more without feet is plain
		{`14 in`, Foot, in(14, 0, 1)},
		{`24 ft 6 in`, Foot, in(294, 0, 1)},
		{`24 ft 6`, Foot, in(294, 0, 1)},
		{`24ft 6in`, Foot, in(294, 0, 1)},
		{`24 FT. 6 IN.`, Foot, in(294, 0, 1)},
		{`24 feet 6 1/2 inches`, Foot, in(294, 1, 2)},
		{`24.5 ft`, Inch, in(294, 0, 1)},
		{`24.5'`, Inch, in(294, 0, 1)},
		{`7.5 m`, Foot, 7500 * Millimetre},
		{`7.5m`, Foot, 7500 * Millimetre},
		{`750 cm`, Foot, 7500 * Millimetre},
		{`7500 mm`, Foot, 7500 * Millimetre},
		{`7500`, Millimetre, 7500 * Millimetre},
		{`7.5`, Metre, 7500 * Millimetre},
		{`24.5`, Foot, in(294, 0, 1)},
		{`.5`, Foot, in(6, 0, 1)},
		{`24.`, Foot, in(288, 0, 1)},
		{`6`, Inch, in(6, 0, 1)},
		{`6 1/2`, Inch, in(6, 1, 2)}, // a fraction needs no mark in a column of inches
		{`24’-6½”`, Foot, in(294, 1, 2)},
		{`24′–6 1⁄2″`, Foot, in(294, 1, 2)},
		{"24'\u00a06''", Foot, in(294, 0, 1)},
		{`  24'  6"  `, Foot, in(294, 0, 1)},
		{`24'-11 63/64"`, Foot, in(299, 63, 64)},
		{`0`, Foot, 0},
		{`1/3"`, Foot, 8_466_667}, // 25,400,000 / 3 = 8,466,666.67 nm, to the nearest
		{`0.0000000005 m`, Foot, 1},
	} {
		got, err := Parse(c.text, c.bare)
		require.NoError(t, err, c.text)
		assert.Equal(t, c.want, got, c.text)
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct{ text, message, try string }{
		{``, "no length", ""},
		{`abc`, "not a length", ""},
		{`9'-15"`, "the inches are 12 or more", `10'-3"`},
		{`9-15`, "the inches are 12 or more", `10'-3"`},
		{`9 ft 12 in`, "the inches are 12 or more", `10'-0"`},
		{`9'-11 3/2"`, "a fraction of 1 or more", ""},
		{`-4'`, "a negative length", `4'-0"`},
		{`-9'-15"`, "the inches are 12 or more", `10'-3"`},
		{`24.5' 6"`, "inches after a decimal of feet", ""},
		{`6-1/2`, "feet or inches?", `6 1/2"`},
		{`6-1/2"`, "feet or inches?", `6 1/2"`},
		{`6 1/2`, "a fraction without its unit", `6 1/2"`},
		{`6.5 1/2"`, "a fraction after a decimal", ""},
		{`1.1/2"`, "a fraction after a decimal", ""},
		{`1/0"`, "not a fraction", ""},
		{`24'-6'`, "two foot marks", `24'-6"`},
		{`24"-6'`, "not a length", `24'-6"`},
		{`7,5 m`, "not a length", `7500 mm`},
		{`1,200 mm`, "not a length", `1200 mm`},
		{`1O'-6"`, "not a length", `10'-6"`},
		{`24'-6".`, "not a length", `24'-6"`},
		{`7.5 metres`, "not a length", `7500 mm`},
		{`=24'`, "not a length", `24'-0"`},
		{`24 6`, "not a length", ""},
		{`1e3`, "not a length", ""},
		{`7.5 km`, "not a length", ""},
		{`100001'`, "longer than 100,000 ft", ""},
		{`99999999999999999999999999999999999999999999999 m`, "not a length", ""},
		{`6-24`, "the inches are 12 or more", `8'-0"`},
		{`#REF!`, "not a length", ""},
		{`2026-06-24`, "not a length", ""},
	} {
		_, err := Parse(c.text, Foot)
		var e *Error
		require.ErrorAs(t, err, &e, c.text)
		assert.Equal(t, c.message, e.Message, c.text)
		assert.Equal(t, c.try, e.Try, c.text)
		assert.NotEmpty(t, e.Accepted, c.text)
	}
}

func TestParseSigned(t *testing.T) {
	for text, want := range map[string]Length{`-1'-4"`: -16 * Inch, `- 16"`: -16 * Inch, `−0.5 m`: -500 * Millimetre, `-2`: -2 * Foot, `3`: 3 * Foot} {
		got, err := ParseSigned(text, Foot)
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
	_, err := ParseSigned(`-9'-15"`, Foot)
	var e *Error
	require.True(t, errors.As(err, &e))
	assert.Equal(t, `-10'-3"`, e.Try)
}

// 24'-4" typed as 24.3333 ft by a formula 24+4/12, as a spreadsheet stores it.
func TestNumber(t *testing.T) {
	for _, c := range []struct {
		raw  string
		bare Length
		want Length
	}{
		{"24.333333333333332", Foot, 292 * Inch},
		{"24.083333333333332", Foot, 289 * Inch},
		{"24.5", Foot, 294 * Inch},
		{"5.5", Inch, Inch * 11 / 2},
		{"-1.3333333333333333", Foot, -16 * Inch},
		{"7500", Millimetre, 7500 * Millimetre},
		{"0.10000000000000001", Metre, 100 * Millimetre},
	} {
		got, err := Number(c.raw, c.bare)
		require.NoError(t, err, c.raw)
		assert.Equal(t, c.want, got, c.raw)
	}
	for _, raw := range []string{"", "x", "1e99", "1e9999999999"} {
		_, err := Number(raw, Foot)
		assert.Error(t, err, raw)
	}
}

func draw(t *rapid.T) Length {
	switch rapid.IntRange(0, 3).Draw(t, "kind") {
	case 0:
		return Length(rapid.Int64Range(-int64(Longest/Inch64), int64(Longest/Inch64)).Draw(t, "64ths")) * Inch64
	case 1:
		return Length(rapid.Int64Range(-30_000_000, 30_000_000).Draw(t, "mm")) * Millimetre
	default:
		return Length(rapid.Int64Range(-int64(Longest), int64(Longest)).Draw(t, "nm"))
	}
}

// Law: whatever is printed reads back to the same length, in any column.
func TestPrintParse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := draw(t)
		bare := rapid.SampledFrom([]Length{Foot, Inch, Metre, Millimetre}).Draw(t, "bare")
		for _, text := range []string{l.FtIn(), l.MM(), l.M(), l.Show(FeetInches), l.Show(Metric)} {
			got, err := ParseSigned(text, bare)
			if err != nil || got != l {
				t.Fatalf("%d nm printed as %s, read as %d, %v", l, text, got, err)
			}
		}
	})
}

// Laws: no text panics; every suggestion is itself accepted; what is accepted prints and reads back.
func FuzzParse(f *testing.F) {
	for _, s := range []string{`24'-6 1/2"`, `9'-15"`, `-1'-4"`, `7,5 m`, `24-6 1/2`, `6-1/2"`, `1O'`, `24’6½”`, "1/3\"", "100000'"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, bare := range []Length{Foot, Inch, Metre, Millimetre} {
			for name, parse := range map[string]func(string, Length) (Length, error){"Parse": Parse, "ParseSigned": ParseSigned} {
				l, err := parse(text, bare)
				if err == nil {
					if again, err := parse(l.FtIn(), bare); err != nil || again != l {
						t.Fatalf("%s %q is %d, printed %s, read %d, %v", name, text, l, l.FtIn(), again, err)
					}
					continue
				}
				var e *Error
				if !errors.As(err, &e) || e.Message == "" || e.Accepted == "" {
					t.Fatalf("%s %q: %#v", name, text, err)
				}
				if e.Try != "" {
					if _, err := parse(e.Try, bare); err != nil {
						t.Fatalf("%s %q: suggestion %q: %v", name, text, e.Try, err)
					}
				}
			}
		}
	})
}

// Lengths that are no whole number of sixty-fourths stay in inches unless they were typed in millimetres.
func TestFtIn(t *testing.T) {
	for want, l := range map[string]Length{
		`0"`: 0, `6 1/2"`: 13 * Inch / 2, `24'-6 1/2"`: 24*Foot + 13*Inch/2, `-1'-4"`: -16 * Inch,
		`10'-1.2"`:        101 * Foot / 10,         // typed 10.1 ft
		`150 mm`:          150 * Millimetre,        // a core of a metric form
		`8.33333335"`:     211_666_667 * Nanometre, // a sixth of 4'-2", to the nanometre
		`-1'-0.00000004"`: -(Foot + 1),             // one nanometre
		`2'-11.99999996"`: 3*Foot - 1,              // not 2'-12"
		`0.123"`:          Inch * 123 / 1000,
	} {
		assert.Equal(t, want, l.FtIn())
	}
}

// Places of braces along a wall that meets another at 60° have no end of decimals: a tape shows sixteenths.
func TestShowNear(t *testing.T) {
	at := 7*Foot + 1*Inch + 392_304_84*Inch/100_000_000 // 7'-1.39230484", 6/16 = 0.375 is nearest
	assert.Equal(t, `7'-1 3/8"`, at.ShowNear(FeetInches))
	assert.Equal(t, `1/16"`, (Inch / 32).ShowNear(FeetInches), "a half goes up")
	assert.Equal(t, `-1/16"`, (-Inch / 32).ShowNear(FeetInches), "away from zero")
	assert.Equal(t, "2.163 m", (2*Metre + 162_600_000).ShowNear(Metric))
	for _, exact := range []string{`24'-6 1/2"`, `0"`, `11 15/16"`} {
		l, err := Parse(exact, Foot)
		require.NoError(t, err)
		assert.Equal(t, l.Show(FeetInches), l.ShowNear(FeetInches))
	}
}

// Lists stand in one unit: pieces in millimetres, goods in metres, whatever their lengths.
func TestShowInLists(t *testing.T) {
	for _, c := range []struct {
		l            Length
		piece, stock string
	}{
		{6 * Metre, "6000 mm", "6 m"}, {995 * Millimetre, "995 mm", "0.995 m"}, {0, "0 mm", "0 m"}, {1_005_500_000, "1005.5 mm", "1.0055 m"}, {-Metre / 2, "-500 mm", "-0.5 m"},
	} {
		assert.Equal(t, c.piece, c.l.ShowPiece(Metric))
		assert.Equal(t, c.stock, c.l.ShowStock(Metric))
		assert.Equal(t, c.l.FtIn(), c.l.ShowPiece(FeetInches))
		assert.Equal(t, c.l.FtIn(), c.l.ShowStock(FeetInches))
	}
}

func TestTyped(t *testing.T) {
	for text, want := range map[string]Length{
		`24'-6 1/2"`: Foot, "24-6": Foot, "24’": Foot, "24 ft 6 in": Foot, "10 feet": Foot, `6 1/2"`: Inch, "8 in": Inch, "7.5 m": Metre, "750 cm": Centimetre,
		"7500 mm": Millimetre, "12": Yard, "-3": Yard, `2''`: Inch,
	} {
		_, err := ParseSigned(text, Foot)
		require.NoError(t, err, text)
		assert.Equal(t, want, Typed(text, Yard), text)
	}
}
