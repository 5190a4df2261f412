package takeoff

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/takeoff/exact"
)

func day(m time.Month, d int) Date { return NewDate(2025, m, d) }

func calendarJob(bid Date, pours ...*PourRow) *Job {
	s := &Settings{}
	s.Set(SetRentalDays, SettingValue{Num: exact.Int(14)})
	for i, p := range pours {
		p.At = Ref{Tab: "Pours", Row: i + 2}
		p.Columns = map[string]int{"pour": 1, "forms set": 2, "pour date": 3, "strip braces": 4}
	}
	return &Job{Settings: s, BidDate: bid, Pours: pours}
}

// Hand-worked, 14 rental days, both days included: A has both dates. B, Forms set 1 July: 1 to 14 July. C, Strip 20 July:
// 7 to 20 July. D and E have neither: from 21 July, D to 3 August, E 4 to 17 August. F is only on Walls: 18 to 31 August.
func TestCalendarTakesMissingDatesFromRentalDays(t *testing.T) {
	job := calendarJob(day(5, 1),
		&PourRow{Name: "A", FormsSet: day(6, 2), Strip: day(6, 9), PourDate: day(6, 4)},
		&PourRow{Name: "B", FormsSet: day(7, 1)},
		&PourRow{Name: "C", Strip: day(7, 20)},
		&PourRow{Name: "D"},
		&PourRow{Name: "E", PourDate: day(8, 5)})
	job.Walls = []*Wall{{Mark: "W1", Pour: "b"}, {Mark: "W2", Pour: "A", PourAbove: "F"}}
	c, findings := NewCalendar(job)
	require.False(t, HasErrors(findings))
	require.Equal(t, []string{"A", "B", "C", "D", "E", "F"}, c.Pours)
	want := []struct{ forms, pour, strip Date }{
		{day(6, 2), day(6, 4), day(6, 9)},
		{day(7, 1), day(7, 1), day(7, 14)},
		{day(7, 7), day(7, 7), day(7, 20)},
		{day(7, 21), day(7, 21), day(8, 3)},
		{day(8, 4), day(8, 5), day(8, 17)},
		{day(8, 18), day(8, 18), day(8, 31)},
	}
	for i, w := range want {
		d := c.Dates[i]
		require.Equal(t, []string{w.forms.String(), w.pour.String(), w.strip.String()}, []string{d.FormsSet.String(), d.Pour.String(), d.Strip.String()}, c.Pours[i])
	}
	require.False(t, c.Dates[0].Assumed)
	require.True(t, c.Dates[1].StripAssumed && !c.Dates[1].FormsAssumed && !c.Dates[1].PourAssumed)
	require.True(t, c.Dates[2].FormsAssumed && c.Dates[2].PourAssumed && !c.Dates[2].StripAssumed)
	require.True(t, c.Dates[4].FormsAssumed && !c.Dates[4].PourAssumed)
	require.Len(t, findings, 3)
	require.Equal(t, "Pours!D3", findings[0].At.String())
	require.Contains(t, findings[0].Message, "2025-07-14")
	require.Contains(t, findings[2].Message, "D, E, F")
	require.Contains(t, findings[2].Message, "2025-07-21")

	// W2 stands from A's forms to the later strip of A and F.
	needs := c.Needs([]BraceRow{{Wall: "W2", Pour: "A", Item: ItemBraceSet, Count: 4}}, func(b *BraceRow) int64 { return b.Count })
	require.Equal(t, []Need{{day(6, 2).Day(), day(8, 31).Day(), 4}}, needs)
}

func TestCalendarWithoutDatesStartsAtTheBidDate(t *testing.T) {
	c, findings := NewCalendar(calendarJob(day(5, 1), &PourRow{Name: "A"}, &PourRow{Name: "B"}))
	require.Equal(t, "2025-05-01", c.Dates[0].FormsSet.String())
	require.Equal(t, "2025-05-15", c.Dates[1].FormsSet.String())
	require.Len(t, findings, 1)

	c, findings = NewCalendar(calendarJob(Date{}, &PourRow{Name: "A"}))
	require.Equal(t, "2001-01-01", c.Dates[0].FormsSet.String())
	require.Equal(t, Warning, findings[1].Severity)
}

func TestCalendarDatesOutOfOrder(t *testing.T) {
	_, findings := NewCalendar(calendarJob(day(5, 1), &PourRow{Name: "A", FormsSet: day(6, 9), Strip: day(6, 2)}))
	require.True(t, HasErrors(findings))
	require.Equal(t, "Pours!D2", findings[0].At.String())
	// Strip braces is taken as 15 June, 14 days from 2 June.
	_, findings = NewCalendar(calendarJob(day(5, 1), &PourRow{Name: "A", FormsSet: day(6, 2), PourDate: day(6, 16)}))
	require.Len(t, findings, 2)
	findings = findings[1:]
	require.Len(t, findings, 1)
	require.Equal(t, "Pours!C2", findings[0].At.String())
	require.Equal(t, Warning, findings[0].Severity)
}

// The upper part of a wall is poured on or after the day of its lower part; days that are assumed say nothing.
func TestCalendarPoursOfAWall(t *testing.T) {
	job := calendarJob(day(5, 1), &PourRow{Name: "A", FormsSet: day(6, 2), PourDate: day(6, 9), Strip: day(6, 20)},
		&PourRow{Name: "B", FormsSet: day(6, 1), PourDate: day(6, 8), Strip: day(6, 20)})
	job.Walls = []*Wall{{Mark: "W", Pour: "A", PourAbove: "B"}, {Mark: "V", Pour: "B", PourAbove: "A"}}
	_, findings := NewCalendar(job)
	require.Len(t, findings, 1)
	require.Equal(t, Warning, findings[0].Severity)
	require.Contains(t, findings[0].Message, "wall W: its pour above, B on 2025-06-08, is before its pour, A on 2025-06-09")
	job.Pours[1].FormsSet, job.Pours[1].PourDate = Date{}, Date{}
	_, findings = NewCalendar(job)
	for _, f := range findings {
		require.NotContains(t, f.Message, "its pour above")
	}
}

// Hand-worked: 5 from the 1st to the 10th and 3 from the 5th to the 12th: 5, from the 5th 8, from the 11th 3, from the
// 13th none. One that ends the day before another begins changes nothing in between.
func TestStepsCountBothDays(t *testing.T) {
	require.Equal(t, []Step{{1, 5}, {5, 8}, {11, 3}, {13, 0}}, Steps([]Need{{1, 10, 5}, {5, 12, 3}}))
	require.Equal(t, []Step{{1, 5}, {21, 0}}, Steps([]Need{{1, 10, 5}, {11, 20, 5}}))
	require.Equal(t, int64(8), Most([]Need{{1, 10, 5}, {5, 12, 3}}))
}

func TestStepsAgreeWithCountingDays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		needs := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Need {
			from := rapid.IntRange(0, 30).Draw(t, "from")
			return Need{Day(from), Day(from + rapid.IntRange(0, 20).Draw(t, "more")), rapid.Int64Range(1, 9).Draw(t, "count")}
		}), 0, 8).Draw(t, "needs")
		steps := Steps(needs)
		have, k := int64(0), 0
		for d := Day(-1); d < 60; d++ {
			for k < len(steps) && steps[k].From == d {
				have = steps[k].Quantity
				k++
			}
			want := int64(0)
			for _, n := range needs {
				if n.From <= d && d <= n.To {
					want += n.Quantity
				}
			}
			if have != want {
				t.Fatalf("day %d: %d, counted %d", d, have, want)
			}
		}
	})
}

func TestDayAndDate(t *testing.T) {
	require.Equal(t, Day(0), NewDate(1970, 1, 1).Day())
	require.Equal(t, "2024-02-29", (NewDate(2024, 2, 28).Day() + 1).Date().String())
	require.Equal(t, "1969-12-31", Day(-1).Date().String())
	require.Equal(t, "", Date{}.String())
}

func TestMostBracesCountsSetsAndTallTogether(t *testing.T) {
	job := calendarJob(day(5, 1), &PourRow{Name: "A", FormsSet: day(6, 2), Strip: day(6, 9)}, &PourRow{Name: "B", FormsSet: day(6, 9), Strip: day(6, 20)})
	job.Walls = []*Wall{{Mark: "W1", Pour: "A"}, {Mark: "W2", Pour: "B"}}
	c, _ := NewCalendar(job)
	rows := []BraceRow{{Wall: "W1", Pour: "A", Item: ItemBraceSet, Count: 4}, {Wall: "W2", Pour: "B", Item: ItemBraceTall, Count: 3}, {Wall: "W2", Pour: "B", Item: "kicker", Count: 9}}
	require.Equal(t, int64(7), c.MostBraces(rows)) // both stand on 9 June
}
