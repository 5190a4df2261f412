package drawing

import (
	"testing"

	"github.com/stretchr/testify/require"
	stdfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/font/liberation"
	"pgregory.net/rapid"
)

// The width of a text is, to the last bit, what the library's own face says: of any text, asked for the first time or again.
func TestWidthsAreTheFaces(t *testing.T) {
	library := font.NewCache(liberation.Collection())
	pairs := rapid.StringOf(rapid.OneOf(rapid.RuneFrom([]rune("AVWTLYfa.,11' \"×½…Стена壁—é")), rapid.Rune()))
	rapid.Check(t, func(t *rapid.T) {
		s, bold, size := pairs.Draw(t, "text"), rapid.Bool().Draw(t, "bold"), rapid.Float64Range(1, 20).Draw(t, "size")
		f := font.Font{Typeface: "Liberation", Variant: "Sans"}
		if bold {
			f.Weight = stdfont.WeightBold
		}
		want := library.Lookup(f, font.Length(size))
		for range 2 {
			require.Equal(t, float64(want.Width(s)), textWidth(s, bold, size), "%q", s)
		}
		require.Equal(t, want.Font, face(bold, size).Font)
	})
}
