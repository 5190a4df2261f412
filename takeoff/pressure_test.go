package takeoff

import (
	"fmt"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/takeoff/exact"
)

func num(t testing.TB, s string) exact.Num {
	t.Helper()
	d, err := decimal.NewFromString(s)
	require.NoError(t, err)
	return exact.Dec(d)
}

func placement(t testing.TB, h, r, temp, w string) Placement {
	return Placement{Height: num(t, h), Rise: num(t, r), Temp: num(t, temp), Weight: num(t, w), Chemistry: exact.Int(1)}
}

// Published worked examples of the ACI 347 wall equations.
func TestPressureOfPublishedExamples(t *testing.T) {
	for _, c := range []struct {
		name, h, r, temp, w string
		full                bool
		want                string
	}{
		// Wall form design example, lecture slides after ACI SP-4: 14 ft, 3 ft/h, 60 °F: 600 psf.
		{"14 ft wall, 600 psf", "14", "3", "60", "150", false, "600"},
		// University temporary-structures lecture: 15 ft, 10 ft/h, 80 °F: printed 1042, exact 1042.5.
		{"15 ft wall, 10 ft/h", "15", "10", "80", "150", false, "1042.5"},
		// Concrete Construction, questions and answers: 8 ft of full liquid head is 1200 psf.
		{"8 ft full head", "8", "3", "70", "150", true, "1200"},
		// The same, at a tie 1 ft above the base: 7 ft of head, 1050 psf (exam-study text: 4,200 lb on 4 sq ft).
		{"7 ft full head at a tie", "7", "3", "70", "150", true, "1050"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := placement(t, c.h, c.r, c.temp, c.w)
			p.FullHead = c.full
			require.Equal(t, c.want, trimDecimal(InchPound.Pressure(p).Round(6)))
		})
	}
}

// Computed from the equations of ACI 347R-14 4.2.2 (a regression grid, not a published answer): 14 ft wall, 150 pcf.
func TestPressureGrid(t *testing.T) {
	grid := map[string][]string{
		"40": {"600", "600", "825", "1050", "1275", "1500"},
		"50": {"600", "600", "690", "870", "1050", "1230"},
		"60": {"600", "600", "600", "750", "900", "1050"},
		"70": {"600", "600", "600", "664.29", "792.86", "921.43"},
		"80": {"600", "600", "600", "600", "712.5", "825"},
		"90": {"600", "600", "600", "600", "650", "750"},
	}
	for temp, row := range grid {
		for i, want := range row {
			p := placement(t, "14", fmt.Sprint(i+1), temp, "150")
			require.Equal(t, want, trimDecimal(InchPound.Pressure(p).Round(2)), "T %s R %d", temp, i+1)
		}
	}
}

// Edges of the equations, computed from ACI 347R-14 4.2.2.
func TestPressureEdges(t *testing.T) {
	for _, c := range []struct{ name, h, r, temp, w, want string }{
		{"head beats the least", "3", "15", "70", "150", "450"},
		{"14 ft takes the first equation", "14", "4", "70", "150", "664.29"},
		{"over 14 ft the second", "14.01", "4", "70", "150", "930"},
		{"7 ft/h at 50", "14", "7", "50", "150", "1410"},
		{"10 ft/h at 50", "14", "10", "50", "150", "1578"},
		{"15 ft/h at 50", "14", "15", "50", "150", "1858"},
		{"7 ft/h at 90", "14", "7", "90", "150", "850"},
		{"10 ft/h at 90", "14", "10", "90", "150", "943.33"},
		{"15 ft/h at 90", "14", "15", "90", "150", "1098.89"},
		{"over 15 ft/h full head", "14", "15.01", "70", "150", "2100"},
		{"16 ft at 50", "16", "3", "50", "150", "1186"},
		{"16 ft at 70", "16", "3", "70", "150", "890"},
		// A problem set's wall, answer computed: Cw = 153/145, 791.4 psf.
		{"153 pcf", "12", "4", "60", "153", "791.38"},
		// A homework answer multiplies by g: 28,618. The least, 600 psf, is right (computed).
		{"148 pcf, 88 degrees", "6", "3.21", "88", "148", "600"},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Equal(t, c.want, trimDecimal(InchPound.Pressure(placement(t, c.h, c.r, c.temp, c.w)).Round(2)))
		})
	}
	full := placement(t, "10", "4", "70", "150")
	full.FullHead = true
	require.Equal(t, "1500", trimDecimal(InchPound.Pressure(full).Round(2)), "slump 7.5 in")
}

// The SI equations as published, computed; they are not conversions of the inch-pound ones and jump at 2.1 m/h.
func TestPressureSI(t *testing.T) {
	for _, c := range []struct{ h, r, temp, want string }{
		{"3", "1", "10", "35.437"}, {"4", "1.2", "20", "32.121"}, {"4", "2", "15", "55.066"}, {"4", "3", "20", "57.147"},
		{"5", "1.2", "20", "45.528"}, {"3", "0.5", "25", "30"}, {"1", "0.5", "25", "23.544"}, {"4", "2.1", "20", "51.338"},
	} {
		require.Equal(t, c.want, trimDecimal(SI.Pressure(placement(t, c.h, c.r, c.temp, "2400")).Round(3)), "%+v", c)
	}
}

// Cw by unit weight: ACI 347R-14 Table 4.2.2.1a(a), values computed.
func TestWeightFactor(t *testing.T) {
	for w, want := range map[string]string{
		"80": "0.8", "87": "0.8", "100": "0.8448", "110": "0.8793", "120": "0.9138", "135": "0.9655", "139.99": "0.9827",
		"140": "1", "150": "1", "151": "1.0414", "155": "1.069", "160": "1.1034",
	} {
		require.Equal(t, want, trimDecimal(InchPound.weightFactor(num(t, w)).Round(4)), w)
	}
}

// The greatest rate of rise keeps to the rating, and a little more does not.
func TestGreatestRiseIsTheLast(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		set := &InchPound
		p := Placement{
			Height: exact.Frac(rapid.Int64Range(20, 250).Draw(rt, "h"), 10), Temp: exact.Int(rapid.Int64Range(35, 100).Draw(rt, "T")),
			Weight: exact.Int(rapid.Int64Range(90, 170).Draw(rt, "w")), Chemistry: exact.Frac(rapid.SampledFrom([]int64{10, 12, 14}).Draw(rt, "Cc"), 10),
		}
		if rapid.Bool().Draw(rt, "SI") {
			set = &SI
			p.Height, p.Temp = p.Height.Mul(exact.Frac(3048, 10000)), p.Temp.Sub(exact.Int(32)).Mul(exact.Frac(5, 9))
			p.Weight = p.Weight.Times(16)
		}
		rating := exact.Int(rapid.Int64Range(300, 2500).Draw(rt, "rating"))
		if set.SI {
			rating = rating.Div(exact.Int(20))
		}
		rise, any, none := set.GreatestRise(p, rating)
		switch {
		case any:
			p.Rise = exact.Int(100)
			require.LessOrEqual(rt, set.Pressure(p).Cmp(rating), 0)
		case none:
			p.Rise = exact.Frac(1, 1_000_000)
			require.Positive(rt, set.Pressure(p).Cmp(rating))
		default:
			p.Rise = rise
			require.LessOrEqual(rt, set.Pressure(p).Cmp(rating), 0)
			p.Rise = rise.Add(exact.Frac(1, 100_000_000))
			require.Positive(rt, set.Pressure(p).Cmp(rating))
		}
	})
}
