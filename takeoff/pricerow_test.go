package takeoff

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

func dec(s string) decimal.Decimal { return decimal.RequireFromString(s) }

// Hand-worked: 10' at 12 is 1.20 a foot, 16' at 19.20 is 1.20 a foot, 12' at 15 is 1.25: 10' and 16' are equal, 16' is
// the longer. By the foot at 1.19 is cheaper than all.
func TestCheapestByLength(t *testing.T) {
	rows := []*PriceRow{
		{Unit: unit.Each, Length: 10 * length.Foot, Price: dec("12")},
		{Unit: unit.Each, Length: 16 * length.Foot, Price: dec("19.20")},
		{Unit: unit.Each, Length: 12 * length.Foot, Price: dec("15")},
		{Unit: unit.Each, Price: dec("1")},
		{Unit: unit.Day, Length: 10 * length.Foot, Price: dec("0.1")},
	}
	require.Same(t, rows[1], CheapestByLength(rows))
	byFoot := &PriceRow{Unit: unit.Foot, Price: dec("1.19")}
	require.Same(t, byFoot, CheapestByLength(append(rows, byFoot)))
	require.Nil(t, CheapestByLength(rows[3:]))
}

func TestPieceLength(t *testing.T) {
	job := &Job{PricesByItem: map[string][]*PriceRow{
		"plank": {{Unit: unit.Day, Price: dec("1")}, {Unit: unit.Week, Length: 12 * length.Foot, Price: dec("3")}, {Unit: unit.Each, Length: 16 * length.Foot, Price: dec("1")}},
		"rail":  {{Unit: unit.Each, Length: 16 * length.Foot, Price: dec("9")}},
		"stake": {{Unit: unit.Day, Price: dec("1")}},
	}}
	require.Equal(t, 12*length.Foot, job.PieceLength("Plank", 10*length.Foot))
	require.Equal(t, 16*length.Foot, job.PieceLength("rail", 10*length.Foot))
	require.Equal(t, 10*length.Foot, job.PieceLength("brace-set", 10*length.Foot))
	require.Len(t, job.RentalRows("plank"), 2)
	require.Empty(t, job.RentalRows("stake"))
}
