package takeoff

import (
	"github.com/shopspring/decimal"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// barTable holds the nominal sizes: ASTM A615/A615M (inch-pound columns as published), CSA G30.18 (from memory, agrees with
// a second-hand copy), ISO 6935-2 (from memory).
var barTable = []struct{ size, system, diameter, mass string }{
	{"#3", "ASTM A615", "0.375", "0.376"},
	{"#4", "ASTM A615", "0.500", "0.668"},
	{"#5", "ASTM A615", "0.625", "1.043"},
	{"#6", "ASTM A615", "0.750", "1.502"},
	{"#7", "ASTM A615", "0.875", "2.044"},
	{"#8", "ASTM A615", "1.000", "2.670"},
	{"#9", "ASTM A615", "1.128", "3.400"},
	{"#10", "ASTM A615", "1.270", "4.303"},
	{"#11", "ASTM A615", "1.410", "5.313"},
	{"#14", "ASTM A615", "1.693", "7.65"},
	{"#18", "ASTM A615", "2.257", "13.60"},
	{"10M", "CSA G30.18", "11.3", "0.785"},
	{"15M", "CSA G30.18", "16.0", "1.570"},
	{"20M", "CSA G30.18", "19.5", "2.355"},
	{"25M", "CSA G30.18", "25.2", "3.925"},
	{"30M", "CSA G30.18", "29.9", "5.495"},
	{"35M", "CSA G30.18", "35.7", "7.850"},
	{"45M", "CSA G30.18", "43.7", "11.775"},
	{"55M", "CSA G30.18", "56.4", "19.625"},
	{"6mm", "ISO 6935-2", "6", "0.222"},
	{"8mm", "ISO 6935-2", "8", "0.395"},
	{"10mm", "ISO 6935-2", "10", "0.617"},
	{"12mm", "ISO 6935-2", "12", "0.888"},
	{"14mm", "ISO 6935-2", "14", "1.21"},
	{"16mm", "ISO 6935-2", "16", "1.58"},
	{"20mm", "ISO 6935-2", "20", "2.47"},
	{"25mm", "ISO 6935-2", "25", "3.85"},
	{"28mm", "ISO 6935-2", "28", "4.84"},
	{"32mm", "ISO 6935-2", "32", "6.31"},
	{"40mm", "ISO 6935-2", "40", "9.86"},
}

// BarSizes lists every bar size in order, smallest of each system first.
var BarSizes = func() []*Bar {
	var bars []*Bar
	for _, r := range barTable {
		b := &Bar{Size: r.size, System: r.system, Mass: decimal.RequireFromString(r.mass), MassUnit: "kg/m"}
		one := length.Millimetre
		if r.system == "ASTM A615" {
			one, b.MassUnit = length.Inch, "lb/ft"
		}
		b.Diameter = exact.Dec(decimal.RequireFromString(r.diameter)).Mul(exact.Len(one)).Length()
		bars = append(bars, b)
	}
	return bars
}()

// BarBySize is the bar of that size; nil when there is none. Case does not matter; "10m" is 10M.
func BarBySize(size string) *Bar { return barsBySize[ItemKey(size)] }

var barsBySize = func() map[string]*Bar {
	m := map[string]*Bar{}
	for _, b := range BarSizes {
		m[ItemKey(b.Size)] = b
	}
	return m
}()

// Metric tells whether the bar's size is a metric one, whose laps and hooks are raised to 10 mm and not to the inch.
func (b *Bar) Metric() bool { return b.MassUnit == "kg/m" }

// MassOf is the nominal mass of that length of bar, in 10⁻⁸ kg (R-MASS).
func (b *Bar) MassOf(l exact.Num) exact.Num {
	perUnit, run := exact.Dec(b.Mass), exact.Len(length.Metre)
	base := exact.Int(100_000_000)
	if !b.Metric() {
		run, base = exact.Len(length.Foot), exact.Int(45_359_237)
	}
	return perUnit.Mul(base).Mul(l).Div(run)
}
