package exact

import (
	"math"
	"math/big"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/takeoff/length"
)

// whole draws whole numbers of every size, those at the edges of 64 bits often.
func whole() *rapid.Generator[int64] {
	return rapid.OneOf(
		rapid.Int64Range(-50, 50),
		rapid.Int64(),
		rapid.SampledFrom([]int64{math.MinInt64, math.MinInt64 + 1, math.MaxInt64, math.MaxInt64 - 1, 1 << 32, -1 << 31, 304_800_000, 10_000_000_000}),
	)
}

// fractions draws a fraction and the same as a big one: of 64 bits, and products of such of 128 bits and more.
func fractions(t *rapid.T, label string) (Num, *big.Rat) {
	num, rat := Int(1), big.NewRat(1, 1)
	for range rapid.IntRange(1, 4).Draw(t, label+" factors") {
		a := whole().Draw(t, label)
		b := rapid.OneOf(rapid.Just(int64(1)), whole().Filter(func(b int64) bool { return b != 0 })).Draw(t, label+" under")
		num, rat = num.Mul(Frac(a, b)), rat.Mul(rat, big.NewRat(a, b))
	}
	return num, rat
}

// Every operation gives what big fractions give, on both sides of the edge of 64 bits.
func TestAgreesWithBigFractions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, x := fractions(t, "a")
		b, y := fractions(t, "b")
		same := func(want *big.Rat, have Num, what string) {
			require.Equal(t, want.RatString(), have.String(), what)
			if f, ok := fitting(want); ok {
				require.Equal(t, f, have, what+" is kept small")
			}
		}
		same(x, a, "itself")
		same(new(big.Rat).Add(x, y), a.Add(b), "sum")
		same(new(big.Rat).Sub(x, y), a.Sub(b), "difference")
		same(new(big.Rat).Mul(x, y), a.Mul(b), "product")
		if y.Sign() != 0 {
			same(new(big.Rat).Quo(x, y), a.Div(b), "quotient")
		}
		same(new(big.Rat).Neg(x), a.Neg(), "negative")
		require.Equal(t, x.Cmp(y), a.Cmp(b))
		require.Equal(t, 0, a.Cmp(a))
		require.Equal(t, x.Sign(), a.Sign())
		require.Equal(t, x.IsInt(), a.IsInt())
		if floor := new(big.Int).Div(x.Num(), x.Denom()); floor.IsInt64() && floor.Int64() < math.MaxInt64 && floor.Int64() > math.MinInt64 {
			require.Equal(t, floor.Int64(), a.Floor())
			up := floor.Int64()
			if !x.IsInt() {
				up++
			}
			require.Equal(t, up, a.Ceil())
			half := new(big.Rat).Add(x, big.NewRat(1, 2))
			require.Equal(t, length.Length(new(big.Int).Div(half.Num(), half.Denom()).Int64()), a.Length())
		}
		places := rapid.Int32Range(0, 20).Draw(t, "places")
		// FloatString rounds half away from zero, and writes -0.
		require.True(t, decimal.RequireFromString(x.FloatString(int(places))).Equal(a.Round(places)), a.Round(places).String())
		require.Equal(t, x.RatString(), FromRat(x).String())
		require.Equal(t, 0, a.Cmp(FromRat(x)))
		require.Equal(t, x.Num().BitLen() > 128 || x.Denom().BitLen() > 128, a.r != nil && a.r.big != nil, "big only where it must")
		if whole := new(big.Int).Quo(x.Num(), x.Denom()); whole.Sign() != 0 {
			require.Equal(t, len(whole.Abs(whole).String()), a.wholeDigits())
		}
	})
}

// A sum of sums passes through big fractions and comes back to the same small one.
func TestComesBackSmall(t *testing.T) {
	big := Int(math.MaxInt64).Mul(Int(math.MaxInt64))
	require.Equal(t, Int(7), big.Add(Int(7)).Sub(big))
	require.Equal(t, Num{}, big.Sub(big))
	require.Equal(t, Int(math.MaxInt64), big.Div(Int(math.MaxInt64)))
}

func TestDecimals(t *testing.T) {
	for _, s := range []string{"0", "-0.5", "0.376", "13.60", "1e3", "123456789012345678901234567890.5", "0.000000000000000000001", "-9223372036854775808"} {
		d := decimal.RequireFromString(s)
		require.Equal(t, d.Rat().RatString(), Dec(d).String(), s)
	}
}

// A finished quantity has 9 decimals, half up, fewer where it would pass 15 digits.
func TestQuantity(t *testing.T) {
	for _, c := range []struct {
		a    Num
		want string
	}{
		{Frac(1, 3), "0.333333333"},
		{Frac(2, 3), "0.666666667"},
		{Frac(-2, 3), "-0.666666667"},
		{Int(999_999).Add(Frac(1, 3)), "999999.333333333"},
		{Int(1_234_567).Add(Frac(1, 3)), "1234567.33333333"},
		{Int(1_000_000_000_000_000), "1000000000000000"},
		{Int(math.MaxInt64).Times(10), "92233720368547758070"},
	} {
		require.Equal(t, c.want, c.a.Quantity().String())
	}
}
