package number

import (
	"strconv"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// What spreadsheets write for numbers people typed: 17 digits of the double, 15 of which count.
func TestRead(t *testing.T) {
	for raw, want := range map[string]string{
		"0":                       "0",
		"-0":                      "0",
		"12":                      "12",
		"1.1000000000000001":      "1.1",
		"20.100000000000001":      "20.1",
		"4.4000000000000004":      "4.4",
		"0.30000000000000004":     "0.3",
		"24.333333333333332":      "24.3333333333333",
		"123456789012345":         "123456789012345",
		"1234567890123456":        "1234567890123460", // 15 digits
		"5.0000000000000003E-2":   "0.05",
		"1E3":                     "1000",
		"1e-3":                    "0.001",
		"100000000000000000000":   "100000000000000000000",
		"0.00000000000000000001":  "0.00000000000000000001",
		"4.9406564584124654E-324": "0",
		" 7.50 ":                  "7.5",
		"-2.5":                    "-2.5",
	} {
		d, err := Read(raw)
		require.NoError(t, err, raw)
		assert.Equal(t, want, Text(d), raw)
	}
	for _, raw := range []string{"", ".", "-", "1.2.3", "1,200", "12 m", "NaN", "Inf", "0x10", "1e", "1_000", "e5"} {
		_, err := Read(raw)
		assert.ErrorIs(t, err, ErrNotNumber, raw)
	}
	for _, raw := range []string{"1e101", "1.7976931348623157E+308", "1e99999"} {
		_, err := Read(raw)
		assert.ErrorIs(t, err, ErrRange, raw)
	}
	_, err := Read("1e1000000000")
	assert.Error(t, err)
}

func TestPlain(t *testing.T) {
	for text, want := range map[string]string{"12": "12", " 12.50 ": "12.5", "-3": "-3", "+4": "4", ".5": "0.5", "5.": "5"} {
		d, ok := Plain(text)
		require.True(t, ok, text)
		assert.Equal(t, want, Text(d), text)
	}
	for _, text := range []string{"", "1e3", "1,200", "1 200", "$5", "5%", "abc", "--1", "."} {
		_, ok := Plain(text)
		assert.False(t, ok, text)
	}
}

// Law: a decimal of at most 15 digits survives the spreadsheet's 17-digit text of its double.
func TestReadLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(-999_999_999_999_999, 999_999_999_999_999).Draw(t, "digits")
		places := rapid.Int32Range(0, 9).Draw(t, "places")
		want := decimal.New(n, -places)
		f, _ := strconv.ParseFloat(want.String(), 64)
		got, err := Read(strconv.FormatFloat(f, 'g', 17, 64))
		if err != nil || !got.Equal(want) {
			t.Fatalf("%s came back as %s, %v", want, got, err)
		}
	})
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{"1.5", "1e5", "-0.000", "99999999999999999999e9"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, raw string) {
		d, err := Read(raw)
		if err != nil {
			return
		}
		again, err := Read(Text(d))
		if err != nil || !again.Equal(d) {
			t.Fatalf("%q read as %s, then as %s, %v", raw, d, again, err)
		}
		if typed, ok := Plain(Text(d)); !ok || !typed.Equal(d) {
			t.Fatalf("%q read as %s, its text as %s, %v", raw, d, typed, ok)
		}
	})
}

// Nothing is one value, however it was written: numbers and texts of cells are compared as values.
func TestZeroIsOneValue(t *testing.T) {
	for _, raw := range []string{"0", "-0", "0.00", "+0", "0e9", "1E-200"} {
		d, err := Read(raw)
		require.NoError(t, err)
		require.Equal(t, decimal.Decimal{}, d, raw)
	}
	for _, text := range []string{"0", "-0", "0.00", "+0", "0."} {
		d, ok := Plain(text)
		require.True(t, ok)
		require.Equal(t, decimal.Decimal{}, d, text)
	}
}
