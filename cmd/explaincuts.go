package cmd

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
	"wallbill/takeoff/number"
)

// The words that explain takes beside a wall, an item and a rule, where no such name is in the schedule.
const (
	allCuts    = "cuts"
	allCourses = "courses"
)

// explained is what explain shows beside lines: cut plans of an item, courses of a wall.
type explained struct {
	t        *takeoff.Takeoff
	currency string
	cuts     []takeoff.Cut
}

func newExplained(t *takeoff.Takeoff, currency string) *explained {
	return &explained{t: t, currency: currency, cuts: t.CutList()}
}

// plans prints the cut plans of an item, or with "" all; it tells whether there are any.
func (e *explained) plans(out io.Writer, item string) bool {
	any := false
	for i := range e.cuts {
		c := &e.cuts[i]
		if item != "" && takeoff.ItemKey(c.Pool.Item) != takeoff.ItemKey(item) {
			continue
		}
		if i == 0 || e.cuts[i-1].Pool != c.Pool || !any {
			if any {
				fmt.Fprintln(out)
			}
			e.pool(out, c.Pool)
		}
		any = true
		e.cut(out, c)
	}
	return any
}

// pool prints what a plan buys against the least that any could cost.
func (e *explained) pool(out io.Writer, c *takeoff.CutPool) {
	fmt.Fprint(out, "cut plan of "+c.Item)
	if c.Level != "" {
		fmt.Fprint(out, ", level "+c.Level)
	}
	if c.Pour != "" {
		fmt.Fprint(out, ", pour "+c.Pour)
	}
	money := func(n int64) string { return number.Text(decimal.New(n, -c.PriceScale)) }
	pieces := int64(0)
	for _, x := range c.Problem.Pieces {
		pieces += x.Count
	}
	fmt.Fprintf(out, "\n  %s from %s", counted(pieces, "piece"), counted(c.Plan.Bought, "stock piece"))
	unit := "stock pieces"
	if c.Priced {
		unit = e.currency
		fmt.Fprintf(out, " for %s %s", money(c.Plan.Cost), unit)
	}
	if c.Plan.Proven {
		fmt.Fprintln(out, ": proven least")
	} else {
		fmt.Fprintf(out, ": at most %s %s over the least\n", money(c.Plan.Cost-c.Plan.LeastCost), unit)
	}
}

// cut prints a pattern with what its pieces are for.
func (e *explained) cut(out io.Writer, c *takeoff.Cut) {
	q := c.Pattern
	show := func(nm int64) string { return length.Length(nm).ShowPiece(e.t.Job.Report) }
	fmt.Fprintf(out, "  cut %d: %d × %s, drop %s", c.Number, q.Times, show(c.Pool.Problem.Stock[q.Stock].Length), show(q.Drop))
	if q.Times > 1 && q.Drop > 0 {
		fmt.Fprint(out, " of each")
	}
	if c.Pool.Keep(length.Length(q.Drop)) {
		fmt.Fprint(out, ", keep")
	}
	fmt.Fprintln(out)
	for k, x := range q.Pieces {
		line := fmt.Sprintf("    %d × %s   ", x.Count, show(x.Length))
		words := strings.Fields(strings.Join(takeoff.UsesText(c.For[k], 1<<30), " "))
		if q.Times > 1 {
			words = append([]string{fmt.Sprintf("%d in all:", x.Count*q.Times)}, words...)
		}
		fmt.Fprintln(out, strings.TrimRight(wrapped(line, words), " "))
	}
}

// courses prints the courses of a wall, or with "" all; it tells whether there are any.
func (e *explained) courses(out io.Writer, wall string) bool {
	from := takeoff.CutsOfCourses(e.cuts)
	tw := tabwriter.NewWriter(out, 0, 8, 2, ' ', 0)
	defer tw.Flush()
	show := func(l length.Length) string { return l.ShowPiece(e.t.Job.Report) }
	any, heading := false, ""
	for i := range e.t.Courses {
		c := &e.t.Courses[i]
		of, mark := c.Wall, ""
		if wall != "" {
			if mark = onWall(c, wall); mark == "" {
				continue
			}
			of = mark
		}
		if of != heading {
			if any {
				fmt.Fprintln(tw)
			}
			h := "courses of wall " + of
			if of != c.Wall {
				h += ", on the line of wall " + c.Wall
			}
			fmt.Fprintln(tw, h)
			heading = of
		}
		any = true
		whole, pieces := from.Pieces(c, mark)
		list := make([]string, len(pieces))
		for k := range pieces {
			list[k] = pieces[k].Text(e.t.Job.Report)
		}
		var spans []string
		for _, s := range c.Segments {
			spans = append(spans, show(s.From)+" to "+show(s.To))
		}
		fmt.Fprintf(tw, "  %s\t%s\t%s, %s high\t%s\t%s\t%s\n", c.What(), c.Kind(), "at "+show(c.Bottom), show(c.Height),
			strings.Join(spans, "; "), counted(whole, "whole unit"), strings.Join(list, "; "))
	}
	return any
}

// onWall is the mark of a wall as the course has it; empty where the course does not run on that wall.
func onWall(c *takeoff.CourseRow, wall string) string {
	k := takeoff.ItemKey(wall)
	if takeoff.ItemKey(c.Wall) == k {
		return c.Wall
	}
	for _, s := range c.Segments {
		for _, u := range s.Fill {
			if takeoff.ItemKey(u.Wall) == k {
				return u.Wall
			}
		}
	}
	return ""
}
