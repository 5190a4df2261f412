package takeoff

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// Every default, metric default and starter value is accepted by its own setting, inside its range.
func TestCatalogueDefaults(t *testing.T) {
	for i := range Catalogue {
		c := &Catalogue[i]
		require.Equal(t, SettingID(i), c.ID, c.Name)
		for _, text := range []string{c.Default, c.Metric, c.Starter} {
			if text == "" {
				continue
			}
			for _, system := range []length.System{length.FeetInches, length.Metric} {
				_, err := c.Parse(text, false, system)
				assert.Nil(t, err, "%s: %s", c.Name, text)
			}
		}
	}
	us, si := NewSettings(length.FeetInches), NewSettings(length.Metric)
	assert.Equal(t, 6*length.Foot, us.Len(SetBraceSpacing))
	assert.Equal(t, 6*length.Foot, si.Len(SetBraceSpacing), "defaults in feet are those lengths whatever the units")
	assert.True(t, us.Num(SetConcreteWaste).Cmp(exact.Frac(5, 100)) == 0)
	assert.True(t, us.Num(SetPumpPrime).Cmp(unit.CuYard.Base().Div(exact.Int(2))) == 0)
	assert.True(t, si.Num(SetPumpPrime).Cmp(unit.CuMetre.Base().Mul(exact.Frac(4, 10))) == 0)
	assert.True(t, us.Num(SetConcreteDensity).Cmp(exact.Int(150)) == 0)
	assert.True(t, si.Num(SetConcreteDensity).Cmp(exact.Int(2400)) == 0)
	assert.True(t, us.Value(SetLedgerBracketSpacing).Blank)
	assert.Equal(t, int64(14), us.Whole(SetRentalDays))
}

func TestSettingParse(t *testing.T) {
	for _, c := range []struct {
		id     SettingID
		text   string
		number bool
		system length.System
		want   exact.Num
	}{
		{SetBraceSpacing, "5", true, length.FeetInches, exact.Len(5 * length.Foot)},
		{SetBraceSpacing, "5", false, length.Metric, exact.Len(5 * length.Foot)}, // a bare number is in the default's unit
		{SetBraceSpacing, "1.5 m", false, length.FeetInches, exact.Len(1500 * length.Millimetre)},
		{SetShortestBar, "10", true, length.FeetInches, exact.Len(10 * length.Inch)},
		{SetTruck, "9", true, length.FeetInches, unit.CuYard.Base().Times(9)},
		{SetTruck, "9", true, length.Metric, unit.CuMetre.Base().Times(9)},
		{SetTruck, "9 cy", false, length.Metric, unit.CuYard.Base().Times(9)},
		{SetFreeUnloading, "5 min/cy", false, length.FeetInches, exact.Int(5).Div(unit.CuYard.Base())},
		{SetGreatestRise, "1.2 m/h", false, length.FeetInches, exact.Len(1200 * length.Millimetre)},
		{SetFootingSetTime, "1.5 h", false, length.FeetInches, exact.Int(90)},
		{SetDrainStoneSection, "2", true, length.FeetInches, unit.SqFoot.Base().Times(2)},
		{SetSalesTax, "8.25%", false, length.FeetInches, exact.Frac(825, 10000)},
		{SetSalesTax, "8.2500000000000004E-2", true, length.FeetInches, exact.Frac(825, 10000)},
		{SetConcreteDensity, "2400 kg/m3", false, length.FeetInches, exact.Int(2400).Div(kgPerM3)},
	} {
		v, err := Catalogue[c.id].Parse(c.text, c.number, c.system)
		require.Nil(t, err, "%s %s", Catalogue[c.id].Name, c.text)
		assert.Zero(t, v.Num.Cmp(c.want), "%s %s is %s", Catalogue[c.id].Name, c.text, v.Num)
	}
	v, err := Catalogue[SetPrimerHeight].Parse("All", false, length.FeetInches)
	require.Nil(t, err)
	assert.Equal(t, "all", v.Word)
	v, err = Catalogue[SetConcreteChemistry].Parse("1", true, length.FeetInches)
	require.Nil(t, err)
	assert.Equal(t, "1.0", v.Word)
	assert.Zero(t, v.Num.Cmp(exact.Int(1)), "the equations of R-LIFT take its number")
	s := NewSettings(length.FeetInches)
	assert.Zero(t, s.Num(SetConcreteChemistry).Cmp(exact.Int(1)), "the default too")
	for _, c := range []struct {
		id           SettingID
		text         string
		message, try string
	}{
		{SetSalesTax, "8", "8 or 8%?", "8%"},
		{SetSalesTax, "60%", "out of range", ""},
		{SetSalesTax, "-1%", "a percentage below zero", ""},
		{SetSalesTax, "x", "not a percentage", ""},
		{SetRentalDays, "1.5", "not a whole number", ""},
		{SetRentalDays, "14 days", "not a number", ""},
		{SetBraceSpacing, "6 miles", "not a length", ""},
		{SetBraceSpacing, "41'", "out of range", ""},
		{SetTruck, "10 gallons", "not a unit of this setting", ""},
		{SetLengthsIn, "tf", "not one of the choices", ""},
		{SetProfitOn, "prcie", "not one of the choices", "price"},
		{SetConcreteDensity, "10 pcf", "out of range", ""},
	} {
		_, err := Catalogue[c.id].Parse(c.text, false, length.FeetInches)
		require.NotNil(t, err, "%s %s", Catalogue[c.id].Name, c.text)
		assert.Equal(t, c.message, err.Message, c.text)
		assert.Equal(t, c.try, err.Try, c.text)
	}
}

// A suggestion is made for a near typo only.
func TestNearest(t *testing.T) {
	columns := []string{"Length", "Height", "Height at end", "Core", "Core above", "Turn", "Start", "Width"}
	for text, want := range map[string]string{
		"Lenght": "Length", "lengths": "Length", "Heigth": "Height", "height-at-end": "Height at end", "Heigth at edn": "Height at end",
		"Trun": "Turn", "Colour": "", "Code": "Core", "Xyz": "", "": "", "Widht": "Width", "Wdith": "Width", "Area": "",
	} {
		assert.Equal(t, want, Nearest(text, columns), text)
	}
	marks := []string{"W7", "W-12", "E1", "garage"}
	for text, want := range map[string]string{"W07": "W7", "w-7": "W7", "W8": "", "W12": "W-12", "W13": "", "garrage": "garage", "E2": "", "X1": ""} {
		assert.Equal(t, want, Nearest(text, marks), text)
	}
	assert.Empty(t, Nearest("Wall C", []string{"Wall A", "Wall B"}), "a tie")
}
