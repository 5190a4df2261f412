package takeoff

import (
	"math"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// Lap splices of IRC Table R608.5.4(1): 40 d for Grade 40, 60 d for Grade 60, raised to the inch.
func TestLapsOfTheCode(t *testing.T) {
	for _, c := range []struct {
		size             string
		grade40, grade60 string
	}{{"#4", `20"`, `30"`}, {"#5", `25"`, `38"`}, {"#6", `30"`, `45"`}} {
		b := BarBySize(c.size)
		assert.Equal(t, ft(c.grade40), (&BarMark{LapDiameters: decimal.NewFromInt(40)}).Lap(b), c.size)
		assert.Equal(t, ft(c.grade60), (&BarMark{LapDiameters: decimal.NewFromInt(60)}).Lap(b), c.size)
		assert.Equal(t, ft(c.grade60), (*BarMark)(nil).Lap(b), "default of "+c.size)
	}
	// A typed length is not raised: 25 5/16" stays.
	assert.Equal(t, ft(`25 5/16"`), (&BarMark{LapLength: ft(`25 5/16"`), LapDiameters: decimal.NewFromInt(60)}).Lap(BarBySize("#4")))
	// Metric sizes go up to 10 mm: 60 × 11.3 = 678, 60 × 16 = 960 which stays, 60 × 19.5 = 1170, 47.5 × 12 = 570.
	for size, want := range map[string]length.Length{"10M": 680, "15M": 960, "20M": 1170, "16mm": 960} {
		assert.Equal(t, want*length.Millimetre, (*BarMark)(nil).Lap(BarBySize(size)), size)
	}
	assert.Equal(t, 570*length.Millimetre, (&BarMark{LapDiameters: decimal.RequireFromString("47.5")}).Lap(BarBySize("12mm")))
}

// The leg J of a 90-degree hook out to out, J = D/2 + d + 12 d with D of ACI 318-19 Table 25.3.1 (computed; #3 to #8 agree
// with the familiar hook table 6, 8, 10, 12, 14, 16 in, from memory).
func TestHookLegs(t *testing.T) {
	for size, inches := range map[string]length.Length{"#3": 6, "#4": 8, "#5": 10, "#6": 12, "#7": 14, "#8": 16} {
		assert.Equal(t, inches*length.Inch, BarBySize(size).HookLeg(), size)
	}
	for size, diameters := range map[string]length.Length{"#9": 17, "#11": 17, "#14": 18, "#18": 18, "25mm": 16, "25M": 16, "28mm": 17, "35M": 17, "40mm": 18, "45M": 18} {
		b := BarBySize(size)
		assert.Equal(t, diameters*b.Diameter, b.HookLeg(), size)
	}
}

// What a bend takes from two legs out to out is 2·(D/2 + d) less the arc on the bar's centreline, π/2·(D/2 + d/2): plane
// geometry with the bends of ACI 318-19 Table 25.3.1. The rule's hundredths of a diameter are this rounded.
func TestBendDeductions(t *testing.T) {
	for size, insideDiameter := range map[string]float64{"#8": 6, "#11": 8, "#14": 10} {
		r := insideDiameter / 2
		want := 2*(r+1) - math.Pi/2*(r+0.5)
		_, hundredths := BarBySize(size).hook()
		assert.InDelta(t, want, float64(hundredths)/100, 0.005, size)
	}
	// #5, legs 10" and 36": 46 − 2.5·5/8 = 44.4375, raised to 45.
	assert.Equal(t, ft(`45"`), BarBySize("#5").BentLength(ft(`10"`), ft(`36"`)))
	// #4, legs 30" and 31 1/4": 61.25 − 1.25 = 60 exactly, not raised.
	assert.Equal(t, ft(`60"`), BarBySize("#4").BentLength(ft(`30"`), ft(`31 1/4"`)))
	// 12 mm, legs 720 mm: 1440 − 30 = 1410 stays; 16 mm, legs 960: 1920 − 40 = 1880.
	assert.Equal(t, 1410*length.Millimetre, BarBySize("12mm").BentLength(720*length.Millimetre, 720*length.Millimetre))
	assert.Equal(t, 1880*length.Millimetre, BarBySize("16mm").BentLength(960*length.Millimetre, 960*length.Millimetre))
	// 25 mm: 1500 + 1500 − 62.5 = 2937.5, raised to 2940.
	assert.Equal(t, 2940*length.Millimetre, BarBySize("25mm").BentLength(1500*length.Millimetre, 1500*length.Millimetre))
}

// Splices. The two questions are of published exercises without printed answers, the answers computed here: 20 ft bars for a
// 240 ft run at 18 in laps, (240 − 20)/18.5 + 1 → 13; 75 ft at 21 in laps, four bars reach only 74.75 ft → 5.
func TestSplice(t *testing.T) {
	k, total, ok := Splice(ft("240"), ft(`18"`), ft("20"))
	require.True(t, ok)
	assert.Equal(t, int64(13), k)
	assert.Equal(t, ft("240")+12*ft(`18"`), total)
	k, _, _ = Splice(ft("75"), ft(`21"`), ft("20"))
	assert.Equal(t, int64(5), k)
	k, total, _ = Splice(ft(`74'-9"`), ft(`21"`), ft("20")) // exactly four bars
	assert.Equal(t, int64(4), k)
	assert.Equal(t, ft("80"), total)
	k, total, _ = Splice(ft("20"), ft(`21"`), ft("20"))
	assert.Equal(t, int64(1), k)
	assert.Equal(t, ft("20"), total)
	_, _, ok = Splice(ft("30"), ft("20"), ft("20"))
	assert.False(t, ok, "no bar is longer than its lap")
}

// Nominal masses in lb/ft of ASTM A615 as a trade magazine's table prints them (Concrete Construction, "Rebar size and
// weights"): a thousand feet of each.
func TestMassesOfASTM(t *testing.T) {
	for size, per := range map[string]string{"#3": "376", "#4": "668", "#5": "1043", "#6": "1502", "#7": "2044", "#8": "2670", "#9": "3400", "#10": "4303",
		"#11": "5313", "#14": "7650", "#18": "13600"} {
		assert.Equal(t, per, pounds(size, ft("1000")), size)
	}
}

// pounds is the mass of a length of bar in pounds, to 2 decimals.
func pounds(size string, l length.Length) string {
	return trimDecimal(unit.Pound.Of(BarBySize(size).MassOf(exact.Len(l))).Round(2))
}

// Published takeoffs of a construction estimating textbook's exercises (answers seen second hand), where only counts and
// masses can be compared; figures in the comments are as printed.
func TestPublishedTakeoffs(t *testing.T) {
	// Continuous footing 119.33 ft: dowels at 12 in, 120 spaces and one = 121, of 38 in: 383.2 ft, 256 lb; 4 long bars 477.3 ft, 319 lb.
	n := Spaces(ft("119.33"), ft(`12"`)) + 1
	assert.Equal(t, int64(121), n)
	assert.Equal(t, "255.96", pounds("#4", length.Length(n)*ft(`38"`)))
	assert.Equal(t, "318.85", pounds("#4", 4*ft("119.33")))
	// Slab 83 x 100 ft, #4 at 12 in both ways, 2 in cover: 84 bars of 99'-8", 5592 lb; 101 of 82'-8", 5577 lb.
	n = Spaces(ft("83"), ft(`12"`)) + 1
	assert.Equal(t, int64(84), n)
	assert.Equal(t, "5592.5", pounds("#4", length.Length(n)*(ft("100")-2*ft(`2"`))))
	n = Spaces(ft("100"), ft(`12"`)) + 1
	assert.Equal(t, int64(101), n)
	assert.Equal(t, "5577.35", pounds("#4", length.Length(n)*(ft("83")-2*ft(`2"`))))
	// Spread footing 17 ft x 96 in, 3 in cover, #8 at 9 in in both faces: 23 of 7.5 ft, 921 lb; 11 of 16.5 ft, 969 lb; 28 #10 dowels of 81 in, 813 lb.
	n = Spaces(ft("17")-ft(`6"`), ft(`9"`)) + 1
	assert.Equal(t, int64(23), n)
	assert.Equal(t, "921.15", pounds("#8", length.Length(2*n)*(ft(`96"`)-ft(`6"`))))
	n = Spaces(ft(`96"`)-ft(`6"`), ft(`9"`)) + 1
	assert.Equal(t, int64(11), n)
	assert.Equal(t, "969.21", pounds("#8", length.Length(2*n)*(ft("17")-ft(`6"`))))
	assert.Equal(t, "813.27", pounds("#10", 28*ft(`81"`)))
	// Two spread footings, 4 #5 dowels of 51 in in each: 35.5 lb.
	assert.Equal(t, "35.46", pounds("#5", 2*4*ft(`51"`)))
}

// 5-12-13 and a slope that is no whole number: √(1² + 1²) = 1.41… nm rounds to 1, √(2² + 2²) = 2.83 to 3.
func TestSlope(t *testing.T) {
	assert.Equal(t, ft("13"), slope(ft("12"), ft("5")))
	assert.Equal(t, length.Length(1), slope(1, 1))
	assert.Equal(t, length.Length(3), slope(2, 2))
}
