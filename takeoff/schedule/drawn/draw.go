package drawn

import (
	"math/big"
	"strconv"

	"pgregory.net/rapid"

	"wallbill/takeoff/length"
	"wallbill/takeoff/schedule"
)

// artist is one drawing. Lengths come in steps of half an inch, or of 5 mm.
type artist struct {
	t    *rapid.T
	s    *Schedule
	step length.Length
	opts Options
	bit  *rapid.Generator[bool]

	cores  []length.Length
	lines  []string // form lines; the first of blocks, a second of faces
	walls  int
	bars   []string
	levels []levelDrawn
}

type levelDrawn struct {
	name         string
	base, height length.Length
	marks        []string // walls of the level that a tee may meet
}

// Options narrow what is drawn.
type Options struct {
	Plain    bool // no openings, rakes, core changes, ledges, steps, grade: one height and core, right angles
	NoMoney  bool // no prices, extras, orders
	NoOpen   bool // closed runs alone
	NoPlaces bool // no opening is left to be placed
}

// Draw is a generator of schedules.
func Draw(opts Options) *rapid.Generator[*Schedule] {
	return rapid.Custom(func(t *rapid.T) *Schedule {
		a := &artist{t: t, s: &Schedule{Rows: map[string][]Row{}}, step: length.Inch / 2, opts: opts, bit: rapid.Bool()}
		if a.chance(30, "metric") {
			a.s.Metric, a.step = true, 5*length.Millimetre
		}
		a.job()
		a.forms()
		a.marks()
		a.storeys()
		a.pourRows()
		a.parts()
		a.factors()
		if !opts.NoMoney {
			a.money()
		}
		return a.s
	})
}

// chance is true so many times in a hundred.
func (a *artist) chance(percent int, what string) bool {
	return a.whole(0, 99, what) >= 100-percent
}

// whole draws a number evenly, where rapid's own ranges keep to small ones: a job of twenty walls would hardly ever be one.
func (a *artist) whole(lo, hi int, what string) int {
	n := uint64(hi - lo + 1)
	v, bits := uint64(0), 0
	for ; uint64(1)<<bits < 4*n; bits++ {
		v <<= 1
		if a.bit.Draw(a.t, what) {
			v |= 1
		}
	}
	return lo + int(v*n>>bits)
}

func pick[V any](a *artist, what string, of ...V) V { return of[a.whole(0, len(of)-1, what)] }

// inches draws a length between whole inches, or about as many millimetres, on the step.
func (a *artist) inches(lo, hi int, what string) length.Length {
	per := 2 // half inches in an inch
	if a.s.Metric {
		per = 5 // steps of 5 mm in about an inch
	}
	return length.Length(a.whole(lo*per, hi*per, what)) * a.step
}

// feet draws a length between whole feet.
func (a *artist) feet(lo, hi int, what string) length.Length { return a.inches(lo*12, hi*12, what) }

// onStep cuts a length to the step.
func (a *artist) onStep(l length.Length) length.Length { return l / a.step * a.step }

// in is a fixed length: so many inches, or the same in steps of 25 mm.
func (a *artist) in(n int64) length.Length {
	if a.s.Metric {
		return length.Length(n) * 25 * length.Millimetre
	}
	return length.Length(n) * length.Inch
}

// hundredths is a number with two decimals.
func (a *artist) hundredths(lo, hi int, what string) string {
	return decimals(a.whole(lo, hi, what), 2)
}

// decimals is n / 10^places.
func decimals(n, places int) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	s := strconv.Itoa(n)
	for len(s) <= places {
		s = "0" + s
	}
	return sign + s[:len(s)-places] + "." + s[len(s)-places:]
}

func (a *artist) job() {
	s := a.s
	s.Set("Job", Text("Drawn job"))
	s.Set("Lengths in", Text("ft"))
	if s.Metric {
		s.Set("Lengths in", Text("m"))
	}
	s.Set("Bid date", Cell{Stored: schedule.Cell{Kind: schedule.Date, Value: "2026-03-02"}})
	s.Set("Form line", Text("M"))
	s.Set("Cut effort", Number("0.004"))
	if a.chance(20, "core face") {
		s.Set("Dimensions to", Text("core face"))
	}
	if a.chance(25, "crossed report") {
		s.Set("Report in", Text(pick(a, "report", "ft-in", "metric")))
	}
	if a.chance(50, "rates") {
		for _, name := range []string{"Sales tax", "Contingency", "Overhead", "Profit", "Bond"} {
			if a.chance(70, name) {
				s.Set(name, Text(decimals(a.whole(0, 2000, name), 2)+"%"))
			}
		}
		s.Set("Profit on", Text(pick(a, "profit on", "cost", "price")))
	}
	currency := pick(a, "currency", "USD", "USD", "USD", "CAD", "JPY", "KWD")
	s.Set("Currency", Text(currency))
	if a.chance(30, "round bid") {
		s.Set("Round bid to", Number(pick(a, "round to", "1", "5", "50", "100", "7")))
	}
	for _, x := range []struct {
		name   string
		values []string
	}{
		{"Concrete waste", []string{"0%", "5%", "7.5%"}}, {"Cut bars by", []string{"pour", "level", "job"}}, {"Part load", []string{"50%", "0%", "35%"}},
		{"Rental idle days", []string{"0", "14", "30"}}, {"Rental days", []string{"10", "14", "28"}}, {"Primer height", []string{"all", "12 in", "300 mm"}},
		{"Brace spacing", []string{"6 ft", "5'", "1500 mm"}}, {"Course tolerance", []string{`0"`, `1"`, "30 mm"}}, {"Longest bar placed", []string{"20'", "16'", "9 m"}},
	} {
		if a.chance(15, x.name) {
			s.Set(x.name, Text(pick(a, x.name+" value", x.values...)))
		}
	}
	s.Set("Ledger bracket spacing", Long(a.inches(8, 24, "bracket spacing")))
}

func (a *artist) forms() {
	a.lines = []string{"M"}
	if a.chance(25, "faces") {
		a.lines = append(a.lines, "F")
	}
	all := []length.Length{a.in(6), a.in(8), a.in(10)}
	a.cores = all[:a.whole(1, 3, "cores")]
	unit, course := a.inches(36, 60, "unit"), a.inches(10, 18, "course")
	half, handed, foam := a.chance(50, "half"), a.chance(30, "handed"), a.inches(2, 3, "foam")
	least, cut := a.chance(60, "smallest"), a.chance(30, "cut step")
	for i, core := range a.cores {
		r := Row{"Form line": Text("M"), "Kind": Text("block"), "Core": Long(core), "Foam": Long(foam), "Unit length": Long(unit), "Course height": Long(course),
			"Corner long leg": Long(a.inches(32, 40, "long leg") + a.in(int64(2*i))), "Corner short leg": Long(a.inches(18, 26, "short leg") + a.in(int64(2*i))),
			"Angle long leg": Long(a.inches(26, 32, "angle long")), "Angle short leg": Long(a.inches(16, 22, "angle short"))}
		if half {
			r["Half course"] = Long(a.onStep(course / 2))
		}
		if handed {
			r["Corner handed"] = Text("yes")
		}
		if least {
			r["Smallest piece"] = Long(a.inches(4, 10, "least piece"))
		}
		if cut {
			r["Cut step"] = Long(a.inches(1, 4, "step"))
		}
		if a.chance(60, "rating") {
			r["Pressure rating"] = Text(pick(a, "rated", "600 psf", "900 psf", "38 kPa"))
		}
		a.s.Add("Forms", r)
		if len(a.lines) > 1 {
			a.s.Add("Forms", Row{"Form line": Text("F"), "Kind": Text("faces"), "Core": Long(core), "Foam": Long(foam), "Unit length": Long(2 * unit), "Course height": Long(course)})
		}
	}
}

// barSizes are sizes of the job's system, thin ones first.
func (a *artist) barSizes() []string {
	if a.s.Metric {
		return []string{"10M", "15M", "20M"}
	}
	return []string{"#4", "#5", "#6"}
}

func (a *artist) marks() {
	size := func(what string) Cell { return Text(pick(a, what, a.barSizes()...)) }
	for i := range a.whole(1, 3, "bar marks") {
		mark := "V" + strconv.Itoa(i+1)
		a.bars = append(a.bars, mark)
		r := Row{"Mark": Text(mark), "Vertical bar": size("vertical"), "Vertical spacing": Long(a.inches(12, 40, "vertical spacing")),
			"Horizontal bar": size("horizontal"), "Horizontal spacing": Long(a.inches(12, 40, "horizontal spacing")), "Lap": Text(pick(a, "lap", "60d", "48d", "40d"))}
		if a.chance(20, "layers") {
			r["Layers"] = Whole(2)
		}
		if a.chance(50, "dowels") {
			r["Dowel bar"] = size("dowel")
		}
		if a.chance(30, "continues") {
			r["Continues above"] = Text("yes")
		}
		if a.chance(60, "jambs") {
			r["Jamb bar"], r["Jamb bars"] = size("jamb"), Whole(int64(a.whole(1, 2, "jamb bars")))
		}
		if a.chance(70, "lintels") {
			r["Lintel bar"], r["Lintel top bars"], r["Lintel bottom bars"] = size("lintel"), Whole(int64(a.whole(0, 2, "lintel top"))), Whole(int64(a.whole(1, 3, "lintel bottom")))
			if a.chance(50, "stirrups") {
				r["Stirrup bar"], r["Stirrup spacing"] = Text(pick(a, "stirrup", a.barSizes()[0])), Long(a.inches(4, 12, "stirrup spacing"))
			}
			if a.chance(40, "sill bars") {
				r["Sill bars"] = Whole(1)
			}
		}
		if a.chance(30, "rake bar") {
			r["Rake bar"] = Text("yes")
		}
		if a.chance(25, "rows") {
			r["Horizontal bars"] = Whole(int64(a.whole(1, 6, "rows of bars")))
		}
		a.s.Add("Bars", r)
	}
	for i := range 2 {
		r := Row{"Mark": Text("S" + strconv.Itoa(i+1)), "Width": Long(a.inches(20, 36, "footing width")), "Depth": Long(a.inches(8, 14, "footing depth")),
			"Cast with wall": Text(pick(a, "cast with wall", "yes", "no", ""))}
		if a.chance(70, "footing bars") {
			r["Along bar"], r["Along bars"] = size("along"), Whole(int64(a.whole(1, 3, "along bars")))
		}
		if a.chance(40, "across") {
			r["Across bar"], r["Across spacing"] = size("across bar"), Long(a.inches(10, 30, "across spacing"))
		}
		if a.chance(30, "own pour") && !r.Is("Cast with wall", "yes") {
			r["Pour"] = Text("footings")
		}
		a.s.Add("Footings", r)
	}
	if a.opts.Plain {
		return
	}
	r := Row{"Mark": Text("B1"), "Projection": Long(a.inches(4, 6, "projection")), "Face depth": Long(a.inches(6, 12, "face")), "Taper depth": Long(a.inches(0, 8, "taper")),
		"Unit length": Long(a.inches(36, 60, "ledge unit")), "Replaces": Text(pick(a, "replaces", "course", "none")), "From": Text(pick(a, "ledge from", "form face", "core"))}
	if a.chance(50, "connectors") {
		r["Connector spacing"] = Long(a.inches(8, 24, "connector spacing"))
	}
	if a.chance(50, "ledge bars") {
		r["Stirrup bar"], r["Stirrup spacing"], r["Stirrup length"] = Text(a.barSizes()[0]), Long(a.inches(8, 16, "ledge stirrups")), Long(a.inches(20, 40, "ledge stirrup"))
		r["Along bar"], r["Along bars"] = Text(a.barSizes()[0]), Whole(1)
	}
	a.s.Add("Ledges", r)
	if a.chance(40, "pads") {
		a.s.Add("Pads", Row{"Pad": Text("P"), "Pour": Text(pick(a, "pad pour", "", "footings", "B")), "Count": Whole(int64(a.whole(1, 6, "pad count"))),
			"Length": Long(a.feet(2, 4, "pad length")), "Width": Long(a.feet(2, 4, "pad width")), "Depth": Long(a.inches(10, 18, "pad depth")),
			"Bar": size("pad bar"), "Bars each way": Whole(int64(a.whole(0, 6, "pad bars")))})
	}
}

func (a *artist) storeys() {
	base := length.Length(0)
	n := pick(a, "levels", 1, 1, 1, 2, 2, 3)
	if a.opts.Plain {
		n = 1
	}
	for i := range n {
		l := levelDrawn{name: string(rune('A' + i)), base: base, height: a.feet(3, 13, "level height")}
		r := Row{"Level": Text(l.name), "Base": Long(base), "Height": Long(l.height), "Core": Long(pick(a, "level core", a.cores...)), "Bars": Text(pick(a, "level bars", a.bars...)),
			"Footing": Text(pick(a, "level footing", "S1", "S2", ""))}
		if a.chance(60, "level pour") {
			r["Pour"] = Text("P" + l.name)
		}
		if !a.opts.Plain {
			if i == 0 && a.chance(60, "below grade") {
				r["Below grade"] = Long(a.onStep(l.height * length.Length(a.whole(20, 95, "grade")) / 100))
				r["Below-grade cover"] = Text(pick(a, "cover", "membrane", "band", "coating"))
				r["Drain"] = Text(pick(a, "drain", "yes", "no", ""))
			}
			r["Plate"] = Text(pick(a, "plate", "yes", "", ""))
			if a.chance(20, "parge") {
				r["Parge height"] = Long(a.inches(6, 30, "parge height"))
			}
		}
		a.s.Add("Levels", r)
		a.levels = append(a.levels, l)
		base += l.height
	}
	for i := range a.levels {
		for range pick(a, "closed runs", 1, 1, 1, 2) {
			a.closedRun(i)
		}
		if !a.opts.NoOpen {
			for range pick(a, "open runs", 0, 1, 1, 2) {
				a.openRun(i)
			}
		}
	}
}

// side is a wall of a run before its row: how long, and what is at its end.
type side struct {
	long length.Length
	turn string
}

// Sides of a closed run at right angles, or with one corner cut at 45 degrees.
func (a *artist) sides() []side {
	east, south := a.feet(16, 60, "east"), a.feet(16, 50, "south")
	shapes := []string{"box", "box", "ell", "notch"}
	if !a.opts.Plain {
		shapes = append(shapes, "cut")
	}
	switch pick(a, "shape", shapes...) {
	case "ell":
		w, d := a.feet(5, 10, "ell width"), a.feet(5, 10, "ell depth")
		return []side{{east, "corner"}, {south - d, "corner"}, {w, "inside"}, {d, "corner"}, {east - w, "corner"}, {south, "corner"}}
	case "notch":
		w, d, p := a.feet(4, 6, "notch width"), a.feet(4, 8, "notch depth"), a.feet(4, 5, "notch place")
		return []side{{east, "corner"}, {south, "corner"}, {p, "corner"}, {d, "inside"}, {w, "inside"}, {d, "corner"}, {east - p - w, "corner"}, {south, "corner"}}
	case "cut":
		c := a.feet(3, 6, "cut")
		d := int64(c)
		long := new(big.Int).Sqrt(new(big.Int).Mul(big.NewInt(2*d), big.NewInt(d))).Int64()
		return []side{{east - c, "corner 45"}, {a.onStep(length.Length(long)), "corner 45"}, {south - c, "corner"}, {east, "corner"}, {south, "corner"}}
	}
	return []side{{east, "corner"}, {south, "corner"}, {east, "corner"}, {south, "corner"}}
}

// twoRows puts a wall on two rows now and then.
func (a *artist) twoRows(sides []side) []side {
	var out []side
	for _, s := range sides {
		if s.long >= a.in(12*12) && a.chance(15, "two rows") {
			part := a.onStep(s.long * length.Length(a.whole(35, 65, "part")) / 100)
			out = append(out, side{part, "straight"}, side{s.long - part, s.turn})
			continue
		}
		out = append(out, s)
	}
	return out
}

func (a *artist) closedRun(level int) {
	run := "R" + strconv.Itoa(len(a.s.Runs())+1)
	line := pick(a, "line", a.lines...)
	if a.opts.Plain {
		line = "M"
	}
	sides := a.sides()
	if !a.opts.Plain {
		sides = a.twoRows(sides)
	}
	for i, s := range sides {
		r := a.wall(level, run, line, s)
		if i == 0 && a.chance(15, "count") {
			r["Count"] = Whole(int64(a.whole(2, 4, "runs of it")))
		}
		if s.turn == "corner" && a.chance(20, "blank turn") {
			delete(r, "Turn")
		}
	}
}

func (a *artist) openRun(level int) {
	run := "R" + strconv.Itoa(len(a.s.Runs())+1)
	line := pick(a, "line", a.lines...)
	marks := a.levels[level].marks
	tee := func() string { return "tee " + pick(a, "met", marks...) }
	n := a.whole(1, 4, "walls")
	for i := range n {
		turn := pick(a, "turn", "corner", "corner", "inside", "straight", "corner 45", "inside 30", "outside corner")
		if i == n-1 {
			turn = pick(a, "last turn", "end", "end", "corner", "inside", tee())
		}
		r := a.wall(level, run, line, side{a.feet(5, 40, "length"), turn})
		if i > 0 {
			continue
		}
		r["Start"] = Text(pick(a, "start", "end", "end", "corner", "inside", tee()))
		if a.chance(15, "count") {
			r["Count"] = Whole(int64(a.whole(2, 4, "runs of it")))
		}
	}
}

func (a *artist) wall(level int, run, line string, s side) Row {
	l := &a.levels[level]
	a.walls++
	mark := "W" + strconv.Itoa(a.walls)
	l.marks = append(l.marks, mark)
	r := Row{"Run": Text(run), "Wall": Text(mark), "Level": Text(l.name), "Length": Long(s.long), "Turn": Text(s.turn), "Base": Long(l.base)}
	if line != "M" {
		r["Form line"] = Text(line)
	}
	a.s.Add("Walls", r)
	if a.opts.Plain {
		return r
	}
	top := l.height
	if a.chance(15, "own height") {
		top = a.feet(3, 13, "height")
		r["Height"] = Long(top)
	}
	least := top
	if a.chance(8, "raked") {
		end := a.feet(3, 14, "height at end")
		r["Height at end"] = Long(end)
		least = min(least, end)
	}
	if g := a.level(l.name, "Below grade"); g.Length > least {
		r["Below grade"] = Long(least)
	}
	if a.chance(6, "stepped") {
		r["Base"] = Long(l.base - a.feet(1, 2, "step"))
	}
	core := a.level(l.name, "Core").Length
	if a.chance(15, "own core") {
		core = pick(a, "core", a.cores...)
		r["Core"] = Long(core)
	}
	if len(a.cores) > 1 && core != a.cores[0] && a.chance(25, "core change") {
		r["Core above"] = Long(a.cores[0])
		r["Core changes at"] = Long(a.onStep(least * length.Length(a.whole(30, 70, "core changes at")) / 100))
		r["Flush"] = Text(pick(a, "flush", "outside", "inside", ""))
		if a.chance(30, "pour above") {
			r["Pour above"] = Text("P" + l.name + " upper")
		}
	}
	if a.chance(15, "own bars") {
		r["Bars"] = Text(pick(a, "bars", append([]string{"none"}, a.bars...)...))
	}
	if a.chance(15, "own footing") {
		r["Footing"] = Text(pick(a, "footing", "S1", "S2", "none"))
	}
	if a.chance(10, "own pour") {
		r["Pour"] = Text(pick(a, "wall pour", "east", "west"))
	}
	if a.chance(10, "own grade") {
		r["Below grade"] = Long(a.onStep(least * length.Length(a.whole(10, 100, "start grade")) / 100))
		r["Below grade at end"] = Long(a.onStep(least * length.Length(a.whole(0, 100, "end grade")) / 100))
		r["Below-grade cover"] = Text(pick(a, "wall cover", "membrane", "band", "coating", "none"))
	}
	if line == "M" && a.chance(6, "ledge") {
		r["Brick ledge"] = Text("B1")
		r["Brick ledge top"] = Long(a.onStep(least * length.Length(a.whole(50, 90, "ledge top")) / 100))
	}
	if a.chance(8, "floor ledger") {
		r["Floor ledger at"] = Long(a.onStep(least * length.Length(a.whole(40, 90, "ledger at")) / 100))
	}
	if a.chance(10, "braced") {
		r["Braced"] = Text(pick(a, "braced how", "yes", "kicker", "no"))
	}
	a.openings(mark, s.long, least)
	return r
}

func (a *artist) level(name, column string) Cell {
	for _, r := range a.s.Rows["Levels"] {
		if r.Is("Level", name) {
			return r[column]
		}
	}
	return Cell{}
}

// openings puts openings on a wall from its start on, clear of one another and of the corners.
func (a *artist) openings(wall string, long, top length.Length) {
	if !a.chance(45, "openings") {
		return
	}
	clear := a.in(30)
	at := clear
	for range a.whole(1, 3, "openings of it") {
		wide, high := a.inches(18, 72, "width"), a.inches(18, 84, "opening height")
		at += a.inches(0, 60, "gap")
		if at+wide+clear > long || high > top {
			return
		}
		sill := a.onStep((top - high) * length.Length(a.whole(0, 100, "sill")) / 100)
		if a.chance(30, "door") {
			sill = 0
		}
		r := Row{"Opening": Text("O" + strconv.Itoa(len(a.s.Rows["Openings"])+1)), "Wall": Text(wall), "Width": Long(wide), "Height": Long(high), "At": Long(at)}
		if a.chance(30, "by the head") {
			r["Head"] = Long(sill + high)
		} else {
			r["Sill"] = Long(sill)
		}
		switch pick(a, "placed", "start", "start", "centre", "end") {
		case "centre":
			r["At"] = Cell{Length: at + wide/2, IsLength: true, Place: "c "}
		case "end":
			r["At"] = Cell{Length: long - at - wide, IsLength: true, Place: "e "}
		}
		if a.chance(20, "opening bars") {
			r["Bars"] = Text(pick(a, "mark", a.bars...))
		}
		a.s.Add("Openings", r)
		at += wide + a.in(12)
	}
	if !a.opts.NoPlaces && at+clear+a.in(48) < long && a.chance(20, "unplaced") && top >= a.in(30) {
		a.s.Add("Openings", Row{"Opening": Text("U" + wall), "Wall": Text(wall), "Width": Long(a.in(18)), "Height": Long(a.in(24)), "Sill": Long(a.in(6)),
			"Count": Whole(int64(a.whole(1, 2, "unplaced of it")))})
	}
}

func (a *artist) pourRows() {
	names := []string{"PA", "A", "B", "PB", "footings", "east", "PA upper"}
	day := a.whole(2, 20, "first day")
	for _, n := range names {
		if !a.chance(45, "pour row") {
			continue
		}
		r := Row{"Pour": Text(n)}
		date := func(d int) Cell {
			return Cell{Stored: schedule.Cell{Kind: schedule.Date, Value: "2026-" + two(4+d/28) + "-" + two(1+d%28)}}
		}
		if a.chance(70, "forms set") {
			r["Forms set"] = date(day)
		}
		if a.chance(60, "pour date") {
			r["Pour date"] = date(day + a.whole(1, 6, "days to pour"))
		}
		if a.chance(60, "strip") {
			r["Strip braces"] = date(day + a.whole(7, 40, "days to strip"))
		}
		day += a.whole(1, 15, "days on")
		if a.chance(60, "rate") {
			r["Placing rate"] = Text(pick(a, "placing rate", "15 cy", "8.5 cy", "20 cy", "12 m3"))
		}
		if a.chance(60, "temperature") {
			r["Concrete temp"] = Text(pick(a, "temp", "70 F", "50 F", "21 C"))
		}
		if a.chance(60, "slump") {
			r["Slump"] = Text(pick(a, "slump in", `6"`, `7"`, "150 mm", `8"`))
		}
		if a.chance(50, "pump") {
			r["Pump"] = Text("yes")
		}
		if a.chance(30, "mix") {
			r["Mix"] = Text(pick(a, "wall mix", "M25", "M30"))
		}
		if a.chance(30, "footing mix") {
			r["Footing mix"] = Text(pick(a, "mix", "M20", "M25"))
		}
		a.s.Add("Pours", r)
	}
}

func two(n int) string {
	if n < 10 {
		return "0" + strconv.Itoa(n)
	}
	return strconv.Itoa(n)
}

func (a *artist) parts() {
	counted := []string{"tie row", "top", "base", "course", "corner", "inside corner", "end", "base length", "top length", "opening length", "unit"}
	for i := range a.whole(0, 5, "parts") {
		how := pick(a, "counted", counted...)
		r := Row{"Form line": Text(pick(a, "part of", a.lines...)), "Part": Text("part " + strconv.Itoa(i+1)), "Counted": Text(how)}
		switch how {
		case "tie row", "top", "base", "course":
			r["Spacing"] = Long(a.inches(6, 24, "part spacing"))
			if how == "tie row" {
				r["Rows"] = Whole(int64(a.whole(1, 3, "tie rows")))
			}
		}
		if a.chance(40, "each") {
			r["Each"] = Number(pick(a, "each of it", "2", "0.5", "1.25"))
		}
		a.s.Add("Parts", r)
	}
}

func (a *artist) factors() {
	for i := range a.whole(0, 6, "factors") {
		per := pick(a, "driver", "wall-area", "form-area", "wall-length", "form-units", "corners", "building-corners", "tees", "openings", "opening-perimeter", "wall-concrete",
			"footing-concrete", "bar-mass", "bars", "membrane-area", "coating-area", "drain-length", "base-length", "brace-positions", "job", "pours", "trucks")
		r := Row{"Item": Text("factor-" + strconv.Itoa(i+1)), "Per": Text(per), "Quantity": Number(decimals(a.whole(1, 30000, "factor"), 4)),
			"Unit": Text(pick(a, "factor unit", "hr", "ea", "roll", "lb", "ft"))}
		a.s.Add("Factors", r)
	}
}
