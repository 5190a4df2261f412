package takeoff

import (
	"fmt"
	"sort"
	"strings"
	"time"
)

// Day is a date as a number of days, for counting; day 0 is 1970-01-01.
type Day int

// NewDate is a day of the calendar.
func NewDate(year int, month time.Month, day int) Date {
	return Date{time.Date(year, month, day, 0, 0, 0, 0, time.UTC)}
}

// Day is d as a number of days; d is not blank.
func (d Date) Day() Day {
	y, m, n := d.Date()
	return Day(time.Date(y, m, n, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// Date is the day as a date.
func (d Day) Date() Date { return Date{time.Unix(int64(d)*86400, 0).UTC()} }

// String is the ISO date; a blank date is empty.
func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return d.Format(time.DateOnly)
}

// nominalStart is where the calendar begins when a job has no date at all. Charges depend on numbers of days only; a
// warning says that the dates mean nothing.
var nominalStart = NewDate(2001, time.January, 1)

// Calendar holds every pour's dates, typed or assumed (P-RENTAL). It is a pure function of the job: take NewCalendar.
type Calendar struct {
	Pours  []string // as tab Pours has them, then by first mention on Walls, then on Footings and Pads
	Dates  []PourDates
	index  map[string]int
	stands map[string]span // by mark of the wall
}

type span struct{ from, to Day }

// NewCalendar dates a job's pours. A pour with Forms set or Strip braces alone takes the other from Rental days, counting
// both days; pours with neither follow one another in order from the day after the last Strip braces, or from the Bid
// date, Rental days each. The findings tell of dates out of order and of assumed ones.
func NewCalendar(job *Job) (*Calendar, []Finding) {
	c := &Calendar{index: map[string]int{}, stands: make(map[string]span, len(job.Walls))}
	var findings []Finding
	rows := map[string]*PourRow{}
	first := map[string]Ref{}
	mention := func(name string, at Ref) {
		k := ItemKey(name)
		if _, known := c.index[k]; known || k == "" {
			return
		}
		c.index[k] = len(c.Pours)
		c.Pours = append(c.Pours, name)
		first[k] = at
	}
	for _, p := range job.Pours {
		mention(p.Name, p.At.At(p.Columns["pour"]))
		if k := ItemKey(p.Name); rows[k] == nil {
			rows[k] = p
		}
	}
	var before *Wall
	for _, w := range job.Walls { // those of a pour mostly follow one another
		if before == nil || w.Pour != before.Pour || w.PourAbove != before.PourAbove {
			mention(w.Pour, w.Cell("pour"))
			mention(w.PourAbove, w.Cell("pour above"))
		}
		before = w
	}
	var seen *FootingMark
	for _, w := range job.Walls {
		if f := w.Footing; f != nil && f != seen {
			seen = f
			mention(f.Pour, f.At.At(f.Columns["pour"]))
		}
	}
	for _, p := range job.Pads {
		mention(p.Pour, p.At.At(p.Columns["pour"]))
	}

	days := Day(job.Settings.Whole(SetRentalDays))
	c.Dates = make([]PourDates, len(c.Pours))
	last, known := Day(0), false
	var undated []int
	for i, name := range c.Pours {
		row := rows[ItemKey(name)]
		if row == nil || row.FormsSet.IsZero() && row.Strip.IsZero() {
			undated = append(undated, i)
			continue
		}
		d := PourDates{FormsSet: row.FormsSet, Strip: row.Strip}
		switch {
		case d.Strip.IsZero():
			d.Strip, d.StripAssumed = (d.FormsSet.Day() + days - 1).Date(), true
			findings = append(findings, Finding{Severity: Note, At: row.At.At(row.Columns["strip braces"]), Rule: "P-RENTAL",
				Message: fmt.Sprintf("pour %s has no Strip braces: taken as %s, %d rental days from its Forms set %s", name, d.Strip, days, d.FormsSet)})
		case d.FormsSet.IsZero():
			d.FormsSet, d.FormsAssumed = (d.Strip.Day() - days + 1).Date(), true
			findings = append(findings, Finding{Severity: Note, At: row.At.At(row.Columns["forms set"]), Rule: "P-RENTAL",
				Message: fmt.Sprintf("pour %s has no Forms set: taken as %s, %d rental days up to its Strip braces %s", name, d.FormsSet, days, d.Strip)})
		case d.Strip.Day() < d.FormsSet.Day():
			findings = append(findings, Finding{Severity: Error, At: row.At.At(row.Columns["strip braces"]), Rule: "P-RENTAL",
				Message: fmt.Sprintf("pour %s: Strip braces %s is before Forms set %s", name, d.Strip, d.FormsSet)})
		}
		if s := d.Strip.Day(); !known || s > last {
			last, known = s, true
		}
		c.Dates[i] = d
	}
	if len(undated) > 0 {
		next, from := nominalStart.Day(), "a nominal day 1"
		switch {
		case known:
			next, from = last+1, "the day after the last Strip braces"
		case !job.BidDate.IsZero():
			next, from = job.BidDate.Day(), "the Bid date"
		}
		start := next
		for _, i := range undated {
			c.Dates[i] = PourDates{FormsSet: next.Date(), Strip: (next + days - 1).Date(), FormsAssumed: true, StripAssumed: true}
			next += days
		}
		at := first[ItemKey(c.Pours[undated[0]])]
		if row := rows[ItemKey(c.Pours[undated[0]])]; row != nil && row.Columns["forms set"] > 0 {
			at = row.At.At(row.Columns["forms set"])
		}
		findings = append(findings, Finding{Severity: Note, At: at, Rule: "P-RENTAL",
			Message: fmt.Sprintf("no Forms set and no Strip braces: taken one after another, %d rental days each, from %s, %s: %s", days, from, start.Date(), c.named(undated))})
		if !known && job.BidDate.IsZero() {
			findings = append(findings, Finding{Severity: Warning, At: at, Rule: "P-RENTAL",
				Message: fmt.Sprintf("neither a Bid date nor a date on Pours: dates of bracing count from %s and mean numbers of days only", nominalStart)})
		}
	}
	for i, name := range c.Pours {
		d := &c.Dates[i]
		d.Assumed = d.FormsAssumed || d.StripAssumed
		d.Pour, d.PourAssumed = d.FormsSet, d.FormsAssumed
		row := rows[ItemKey(name)]
		if row == nil || row.PourDate.IsZero() {
			continue
		}
		d.Pour, d.PourAssumed = row.PourDate, false
		at := row.At.At(row.Columns["pour date"])
		// A typed day before Forms set or after Strip braces is said when the schedule is read.
		if day := row.PourDate.Day(); d.FormsAssumed && day < d.FormsSet.Day() || d.StripAssumed && day > d.Strip.Day() {
			findings = append(findings, Finding{Severity: Warning, At: at, Rule: "P-RENTAL",
				Message: fmt.Sprintf("pour %s: Pour date %s is outside the days taken for its bracing, %s to %s; type Forms set and Strip braces", name, row.PourDate, d.FormsSet, d.Strip)})
		}
	}
	for _, w := range job.Walls {
		if i, ok := c.index[ItemKey(w.Pour)]; ok {
			s := span{c.Dates[i].FormsSet.Day(), c.Dates[i].Strip.Day()}
			if j, ok := c.index[ItemKey(w.PourAbove)]; ok {
				s.to = max(s.to, c.Dates[j].Strip.Day())
				if below, above := &c.Dates[i], &c.Dates[j]; i != j && !below.PourAssumed && !above.PourAssumed && above.Pour.Day() < below.Pour.Day() {
					findings = append(findings, Finding{Severity: Warning, At: w.Cell("pour above"), Rule: "P-RENTAL",
						Message: fmt.Sprintf("wall %s: its pour above, %s on %s, is before its pour, %s on %s", w.Mark, w.PourAbove, above.Pour, w.Pour, below.Pour)})
				}
			}
			c.stands[w.Mark] = s
		}
	}
	return c, findings
}

// namedAtMost is how many pours a finding lists by name.
const namedAtMost = 12

func (c *Calendar) named(pours []int) string {
	var names []string
	for k, i := range pours {
		if k == namedAtMost {
			names = append(names, fmt.Sprintf("and %d more", len(pours)-k))
			break
		}
		names = append(names, c.Pours[i])
	}
	return strings.Join(names, ", ")
}

// Of is the dates of a pour; ok is false when the job does not have it.
func (c *Calendar) Of(pour string) (dates PourDates, ok bool) {
	i, ok := c.index[ItemKey(pour)]
	if !ok {
		return PourDates{}, false
	}
	return c.Dates[i], true
}

// Index is a pour's place in Pours, −1 when the job does not have it.
func (c *Calendar) Index(pour string) int {
	if i, ok := c.index[ItemKey(pour)]; ok {
		return i
	}
	return -1
}

// Need is how much of something stands from one day to another, both included.
type Need struct {
	From, To Day
	Quantity int64
}

// Step is how much stands from that day until the next step.
type Step struct {
	From     Day
	Quantity int64
}

// Needs is what the walls of those rows need while they stand: from the Forms set of a wall's pour to the latest Strip
// braces of its pours (P-RENTAL). count is what to count of a row: its braces, planks, rail in nanometres.
func (c *Calendar) Needs(rows []BraceRow, count func(*BraceRow) int64) []Need {
	sums := map[span]int64{}
	for i := range rows {
		n := count(&rows[i])
		if n == 0 {
			continue
		}
		s, ok := c.stands[rows[i].Wall]
		if !ok {
			j, ok := c.index[ItemKey(rows[i].Pour)]
			if !ok {
				continue
			}
			s = span{c.Dates[j].FormsSet.Day(), c.Dates[j].Strip.Day()}
		}
		sums[s] += n
	}
	needs := make([]Need, 0, len(sums))
	for s, n := range sums {
		needs = append(needs, Need{s.from, s.to, n})
	}
	sort.Slice(needs, func(i, j int) bool {
		if needs[i].From != needs[j].From {
			return needs[i].From < needs[j].From
		}
		return needs[i].To < needs[j].To
	})
	return needs
}

// Steps is what is needed day by day, as the days on which it changes; the last step is 0.
func Steps(needs []Need) []Step {
	change := map[Day]int64{}
	for _, n := range needs {
		if n.To >= n.From {
			change[n.From] += n.Quantity
			change[n.To+1] -= n.Quantity
		}
	}
	steps := make([]Step, 0, len(change))
	for d, q := range change {
		if q != 0 {
			steps = append(steps, Step{d, q})
		}
	}
	sort.Slice(steps, func(i, j int) bool { return steps[i].From < steps[j].From })
	have := int64(0)
	for i := range steps {
		have += steps[i].Quantity
		steps[i].Quantity = have
	}
	return steps
}

// Most is the most that is needed at once.
func Most(needs []Need) int64 {
	most := int64(0)
	for _, s := range Steps(needs) {
		most = max(most, s.Quantity)
	}
	return most
}

// MostBraces is the driver braces of R-FACTOR: the most brace-set and brace-tall that stand on one day, of the rows given.
func (c *Calendar) MostBraces(rows []BraceRow) int64 {
	return Most(c.Needs(rows, func(b *BraceRow) int64 {
		if b.Item == ItemBraceSet || b.Item == ItemBraceTall {
			return b.Count
		}
		return 0
	}))
}

// The items of bracing that may be rented (P-RENTAL).
const (
	ItemBraceSet  = "brace-set"
	ItemBraceTall = "brace-tall"
	ItemPlank     = "plank"
	ItemRail      = "rail"
)
