package drawn

import (
	"fmt"
	"math/big"
	"slices"
	"sort"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/length"
	"wallbill/takeoff/schedule"
)

// taken reads and takes off a schedule; nil where it has an error.
func taken(s *Schedule) (*takeoff.Takeoff, []takeoff.Finding) {
	job, findings := schedule.Read(s.Book(), nil)
	if takeoff.HasErrors(findings) {
		return nil, findings
	}
	out := takeoff.Compute(job)
	if takeoff.HasErrors(out.Findings) {
		return nil, out.Findings
	}
	return out, nil
}

// must is taken of a schedule that cannot have an error, since the one that it was made from has none.
func must(t *rapid.T, s *Schedule) *takeoff.Takeoff {
	out, findings := taken(s)
	if out == nil {
		var said []string
		for _, f := range findings {
			if f.Severity == takeoff.Error {
				said = append(said, f.Print(""))
			}
		}
		t.Fatalf("the changed schedule has errors:\n%s\n%s", strings.Join(said, ""), s)
	}
	return out
}

// sums are a takeoff's quantities by level, item and rule, those of drivers beside them.
func sums(out *takeoff.Takeoff) map[string]decimal.Decimal {
	all := map[string]decimal.Decimal{}
	add := func(key string, q decimal.Decimal) { all[key] = all[key].Add(q) }
	for _, l := range out.Lines {
		add(strings.Join([]string{l.Rule, l.Item, l.Level, string(l.Unit)}, " | "), l.Quantity)
	}
	for _, d := range out.Drivers {
		add("driver | "+d.Name, d.Quantity)
	}
	return all
}

// within is how far two sums of finished lines may be apart: half of the ninth decimal a line, and a driver's own.
func within(a, b *takeoff.Takeoff) decimal.Decimal {
	return decimal.New(int64(len(a.Lines)+len(b.Lines)+2), -9)
}

// requireSame tells where two takeoffs differ, in what is kept.
func requireSame(t *rapid.T, before, after *Schedule, a, b *takeoff.Takeoff, kept func(key string) bool) {
	x, y := sums(a), sums(b)
	for k := range y {
		if _, ok := x[k]; !ok {
			x[k] = decimal.Decimal{}
		}
	}
	var keys []string
	for k := range x {
		if kept == nil || kept(k) {
			keys = append(keys, k)
		}
	}
	sort.Strings(keys)
	limit := within(a, b)
	var differ []string
	for _, k := range keys {
		if x[k].Sub(y[k]).Abs().GreaterThan(limit) {
			differ = append(differ, fmt.Sprintf("%s: %s, changed %s", k, x[k], y[k]))
		}
	}
	if differ != nil {
		t.Fatalf("%s\n\n%s\nchanged:\n%s", strings.Join(differ, "\n"), before, after)
	}
}

// tried counts how often a law had something to try.
type tried struct{ cases, all int }

func (n *tried) enough(t *testing.T) {
	t.Helper()
	t.Logf("tried on %d of %d schedules", n.cases, n.all)
	if n.all < few {
		return
	}
	require.Greater(t, 10*n.cases, n.all, "hardly any schedule to try")
}

var noMoney = Options{NoMoney: true}

func anyOf[V any](t *rapid.T, what string, of []V) V {
	return of[rapid.IntRange(0, len(of)-1).Draw(t, what)]
}

// Law: Count is repetition. A run with a Count gives what as many runs give that are written out, braces on site and pools
// of pieces included.
func TestCountIsRepetition(t *testing.T) {
	var n tried
	rapid.Check(t, func(t *rapid.T) {
		n.all++
		s := Draw(noMoney).Draw(t, "schedule")
		run := anyOf(t, "run", s.Runs())
		first := s.Run(run)[0]
		first["Count"] = Whole(int64(rapid.IntRange(2, 3).Draw(t, "count")))
		after, ok := s.Repeated(run)
		a, _ := taken(s)
		if !ok || a == nil {
			return
		}
		n.cases++
		requireSame(t, s, after, a, must(t, after), func(k string) bool {
			return k != "driver | job"
		})
	})
	n.enough(t)
}

// Law: a straight wall put on two rows keeps its concrete, its footing and its faces, its openings and what stands by length.
func TestSplitWall(t *testing.T) {
	var n tried
	kept := map[string]bool{}
	for _, d := range []string{"wall-area", "form-area", "wall-length", "openings", "opening-perimeter", "opening-area", "wall-concrete", "footing-concrete", "footing-length",
		"membrane-area", "membrane-length", "primer-area", "coating-area", "board-area", "drain-length", "drain-corners", "parge-area", "ledge-length", "ledger-length", "base-length",
		"plate-length", "building-corners", "tees", "free-ends"} {
		kept["driver | "+d] = true
	}
	rapid.Check(t, func(t *rapid.T) {
		n.all++
		s := Draw(noMoney).Draw(t, "schedule")
		wall := anyOf(t, "wall", s.Rows["Walls"])
		long := wall["Length"].Length
		per := rapid.Int64Range(20, 80).Draw(t, "where")
		step := length.Inch / 2
		if s.Metric {
			step = 5 * length.Millimetre
		}
		after, ok := s.Split(wall.Text("Wall"), long*length.Length(per)/100/step*step)
		a, _ := taken(s)
		if !ok || a == nil {
			return
		}
		b, _ := taken(after)
		if b == nil {
			return // too short a wall for what it meets
		}
		n.cases++
		requireSame(t, s, after, a, b, func(k string) bool {
			return kept[k] || strings.HasPrefix(k, "R-CORE") || strings.HasPrefix(k, "R-FOOT")
		})
	})
	n.enough(t)
}

// Law: where a closed run begins is no change at all.
func TestFirstRowOfARun(t *testing.T) {
	var n tried
	rapid.Check(t, func(t *rapid.T) {
		n.all++
		s := Draw(noMoney).Draw(t, "schedule")
		s.NamePours()
		run := anyOf(t, "run", s.Runs())
		by := rapid.IntRange(1, len(s.Run(run))).Draw(t, "by")
		after, ok := s.Turned(run, by)
		a, _ := taken(s)
		if !ok || a == nil {
			return
		}
		n.cases++
		requireSame(t, s, after, a, must(t, after), nil)
	})
	n.enough(t)
}

// Law: a closed run in a mirror keeps everything but its handedness: which hand a corner unit has; how the courses beside a
// corner are filled and the units that are cut for them, since the long legs change sides; and what stands on the wall that
// ends at a joint (laps in line, corner bars, corner units, steps) or comes first in a stretch (Braced), where the two walls are unlike.
func TestMirroredRun(t *testing.T) {
	var n tried
	rapid.Check(t, func(t *rapid.T) {
		n.all++
		s := Draw(Options{NoMoney: true, NoPlaces: true}).Draw(t, "schedule")
		s.NamePours()
		run := anyOf(t, "run", s.Runs())
		delete(s.Rows, "Factors") // by drivers that are sides
		s.Rows["Parts"] = slices.DeleteFunc(s.Rows["Parts"], func(r Row) bool { return r.Is("Counted", "unit") })
		alike := rapid.Bool().Draw(t, "alike")
		if alike {
			for _, r := range s.Run(run) {
				for _, column := range []string{"Height", "Height at end", "Base", "Core", "Core above", "Core changes at", "Flush", "Bars", "Footing", "Pour", "Pour above", "Brick ledge", "Brick ledge top", "Braced"} {
					delete(r, column)
				}
			}
		}
		for _, r := range s.Run(run) {
			alike = alike && !r.Is("Turn", "straight") // the lap in line may make a bar too long for one piece
		}
		after, ok := s.Mirrored(run)
		a, _ := taken(s)
		if !ok || a == nil {
			return
		}
		n.cases++
		sides := []string{"R-BLOCK", "R-CUT", "R-CORNER", "R-FACES", "driver | form-units", "driver | form-cuts"}
		if !alike {
			sides = append(sides, "R-HORZ", "R-BEND", "R-FTBAR", "R-STEP", "R-VERT", "R-DOWEL", "R-LEDGE", "R-PART", "driver | bar", "driver | corners", "R-BRACE", "driver | brace", "driver | walkway", "driver | footing-concrete", "R-PUMP", "R-TRUCK", "driver | pour-hours", "driver | trucks")
		}
		requireSame(t, s, after, a, must(t, after), func(k string) bool {
			for _, side := range sides {
				if strings.HasPrefix(k, side) {
					return false
				}
			}
			return true
		})
	})
	n.enough(t)
}

// Law: a schedule twice as large, forms and footings with it, has four times the areas, eight times the concrete and as many
// units laid in as many courses.
func TestTwiceAsLarge(t *testing.T) {
	var n tried
	times := map[string]int64{"wall-area": 4, "form-area": 4, "wall-length": 2, "wall-concrete": 8, "footing-concrete": 8, "footing-length": 2, "openings": 1, "opening-perimeter": 2,
		"opening-area": 4, "form-cuts": 1, "corners": 1, "building-corners": 1, "tees": 1, "free-ends": 1, "base-length": 2, "ledge-length": 2, "ledger-length": 2, "plate-length": 2, "drain-corners": 1}
	rapid.Check(t, func(t *rapid.T) {
		n.all++
		s := Draw(noMoney).Draw(t, "schedule")
		s.Set("Course tolerance", Long(length.Inch))
		after := s.Scaled(2, "Levels", "Walls", "Openings", "Footings", "Pads", "Ledges", "Forms")
		after.Set("Course tolerance", Long(2*length.Inch))
		delete(after.Rows, "Extras")
		a, _ := taken(s)
		b, _ := taken(after) // a wall may be over the greatest height now
		if a == nil || b == nil {
			return
		}
		n.cases++
		x, y := sums(a), sums(b)
		limit := within(a, b).Mul(decimal.NewFromInt(8))
		for name, by := range times {
			k := "driver | " + name
			if x[k].Mul(decimal.NewFromInt(by)).Sub(y[k]).Abs().GreaterThan(limit) {
				t.Fatalf("%s: %s, twice as large %s\n%s", name, x[k], y[k], s)
			}
		}
		for _, rule := range []string{"R-BLOCK", "R-FACES", "R-CORNER", "R-CAP", "R-OPEN"} {
			if p, q := pieces(a, rule), pieces(b, rule); !p.Equal(q) {
				t.Fatalf("%s: %s ea, twice as large %s\n%s", rule, p, q, s)
			}
		}
	})
	n.enough(t)
}

// pieces are what a rule counts.
func pieces(out *takeoff.Takeoff, rule string) decimal.Decimal {
	sum := decimal.Decimal{}
	for _, l := range out.Lines {
		if l.Rule == rule && l.Unit == "ea" {
			sum = sum.Add(l.Quantity)
		}
	}
	return sum
}

// Law: a closed run's concrete is that of its plan: the polygon of its exterior faces drawn in by the foam and again by the
// foam and the core, as a surveyor works out areas from corners, the one less the other, times the height.
func TestClosedRunIsItsPolygon(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Draw(Options{Plain: true, NoMoney: true, NoOpen: true}).Draw(t, "schedule")
		for _, r := range s.Rows["Job"] {
			if r.Is("Setting", "Dimensions to") {
				r["Value"] = Text("form face")
			}
		}
		out := must(t, s)
		height, core := s.Rows["Levels"][0]["Height"].Length, s.Rows["Levels"][0]["Core"].Length
		foam := s.Rows["Forms"][0]["Foam"].Length
		want := new(big.Int)
		for _, run := range s.Runs() {
			rows := s.Run(run)
			outer, inner := polygonArea(rows, foam), polygonArea(rows, foam+core)
			count := int64(1)
			if c := rows[0].Text("Count"); c != "" {
				count = int64(c[0] - '0')
			}
			area := new(big.Int).Sub(outer, inner)
			want.Add(want, area.Mul(area, big.NewInt(count)))
		}
		want.Mul(want, big.NewInt(int64(height))) // nm³
		have := decimal.Decimal{}
		for _, l := range out.Lines {
			if l.Rule == "R-CORE" {
				have = have.Add(l.Quantity.Mul(l.Unit.Base().Round(0)))
			}
		}
		gap := have.Sub(decimal.NewFromBigInt(want, 0)).Abs()
		limit := decimal.New(int64(len(out.Lines)), -9).Mul(out.Units.Volume.Base().Round(0))
		if gap.GreaterThan(limit) {
			t.Fatalf("%s nm³, by the polygon %s\n%s", have, want, s)
		}
	})
}

// polygonArea is the area inside a run at right angles, drawn in by so much, in nm²: its corners by walking the exterior
// faces clockwise, each moved inward from both of its walls, and the shoelace formula.
func polygonArea(rows []Row, in length.Length) *big.Int {
	type point struct{ x, y int64 }
	// directions clockwise: east, south, west, north, with inward to the right of each
	along := []point{{1, 0}, {0, -1}, {-1, 0}, {0, 1}}
	right := []point{{0, -1}, {-1, 0}, {0, 1}, {1, 0}}
	at, d := point{}, 0
	var corners []point
	for _, r := range rows {
		long := int64(r["Length"].Length)
		at = point{at.x + along[d].x*long, at.y + along[d].y*long}
		before := d
		if r.Is("Turn", "inside") {
			d = (d + 3) % 4
		} else {
			d = (d + 1) % 4
		}
		k := int64(in)
		corners = append(corners, point{at.x + k*(right[before].x+right[d].x), at.y + k*(right[before].y+right[d].y)})
	}
	sum := new(big.Int)
	for i, p := range corners {
		q := corners[(i+1)%len(corners)]
		sum.Add(sum, new(big.Int).Mul(big.NewInt(p.x), big.NewInt(q.y)))
		sum.Sub(sum, new(big.Int).Mul(big.NewInt(q.x), big.NewInt(p.y)))
	}
	return sum.Abs(sum).Quo(sum, big.NewInt(2))
}

// Law: the order of runs, and of the rows of every tab whose order means nothing, is no change of the bid.
func TestOrderOfRows(t *testing.T) {
	var n tried
	rapid.Check(t, func(t *rapid.T) {
		n.all++
		s := Draw(Options{}).Draw(t, "schedule")
		a, _ := taken(s)
		if a == nil {
			return
		}
		n.cases++
		after := s.Copy()
		for _, tab := range []string{"Prices", "Factors", "Parts", "Bars", "Footings", "Forms"} {
			rows := after.Rows[tab]
			if len(rows) > 1 {
				after.Rows[tab] = rapid.Permutation(rows).Draw(t, tab)
			}
		}
		b := must(t, after)
		requireSame(t, s, after, a, b, nil)
		x, y := pricing.Price(a, pricing.Options{Today: a.Job.BidDate}), pricing.Price(b, pricing.Options{Today: b.Job.BidDate})
		if takeoff.HasErrors(x.Findings) {
			return
		}
		if !x.Totals.BidTotal.Equal(y.Totals.BidTotal) {
			t.Fatalf("bid %s, in another order %s\n%s\n%s", x.Totals.BidTotal, y.Totals.BidTotal, s, after)
		}
	})
	n.enough(t)
}
