package takeoff

import (
	"math/bits"
	"strconv"

	"github.com/shopspring/decimal"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// The shapes of the bar list.
const (
	shapeStraight = "straight"
	shapeHook     = "hook 90"
	shapeCorner   = "corner"
	shapeStirrup1 = "stirrup 1 leg"
	shapeStirrup2 = "stirrup 2 legs"
	shapeStirrup  = "stirrup"
)

// barGroup is like bars of one wall and rule.
type barGroup struct {
	rule          string
	mark, opening string
	bar           *Bar
	count         int64 // in one repeat of the run, layers counted; of half bars when half
	half          bool
	length        length.Length // of a bar before it is spliced
	lap           length.Length // of its splices
	mk            *BarMark      // whose lap it is; nil: the default
	shape         string
	legs          []length.Length
	countFrom     string // what the derivation says of the count and of the length, where it has no formula
	lengthFrom    string
	countBy       factor
	lengthBy      factor

	supply *barSupply    // how its bar is bought
	pieces int64         // after R-RUN
	total  length.Length // of a bar with its splices
	done   bool
}

// halves is the count in half bars, all of a whole bar counted twice.
func (g *barGroup) halves() int64 {
	if g.half {
		return g.count
	}
	return 2 * g.count
}

// bent tells whether the bars are bent pieces: dowels, corner bars, stirrups.
func (g *barGroup) bent() bool { return g.shape != shapeStraight }

// steel is the reinforcement of a job as it is counted.
type steel struct {
	*pass
	groups  []barGroup
	supply  map[string]*barSupply // by size
	laps    map[lapKey]lapText
	bent    map[bentKey]factor // what bent lengths of a bar are worked out by
	totals  map[steelKey]*steelTotal
	half    map[halfKey]int // index in halfRows
	halfRow []halfBars
	said    map[string]bool
	scratch []Operand // of the line at hand
	factors []Operand // of the groups at hand
	formula []byte    // of the line at hand
	top     string    // key of the top level
}

type lapKey struct {
	mark *BarMark
	size string
}

// lapText is a lap and where it comes from.
type lapText struct {
	long length.Length
	from string
}

// bentKey is a bar and the formula of its legs.
type bentKey struct {
	bar  *Bar
	legs string
}

// steelKey is what bar mass is driven by.
type steelKey struct {
	place
	size string
}

// steelTotal is in halves, so that shared corners stay whole numbers.
type steelTotal struct {
	bar          *Bar
	length, bars exact.Num
}

// halfKey is what the halves of corner bars are added by: pool, size and length.
type halfKey struct {
	level, pour, size string
	length            length.Length
}

type halfBars struct {
	row   BarRow
	count int64 // of halves
}

func (p *pass) newSteel(top string) *steel {
	return &steel{
		pass: p, supply: map[string]*barSupply{}, laps: map[lapKey]lapText{}, bent: map[bentKey]factor{},
		totals: map[steelKey]*steelTotal{}, half: map[halfKey]int{}, said: map[string]bool{}, top: top,
	}
}

// walls counts the bars of each wall.
func (s *steel) walls() {
	p := s.pass
	if p.out.Bars == nil {
		p.out.Bars = make([]BarRow, 0, 12*len(p.geo.Walls)) // room for what most walls have
	}
	for _, w := range p.geo.Walls {
		at := wallPlace(w, nil)
		pos := w.positions()
		s.verticals(w, at, pos)
		s.jambs(w)
		s.dowels(w, at, pos)
		s.horizontals(w)
		s.lintels(w)
		s.emit(w, at)
		if w.Ledge != nil {
			s.ledgeBars(w)
			s.emit(w, wallPlace(w, w.BandUnder(w.LedgeTop).Zone))
		}
		if w.Footing != nil {
			s.footingBars(w)
			s.emit(w, footingPlace(w))
		}
	}
}

// rest counts the bars of pads, raises the halves of shared corners, and hands all to the pools.
// The first rows of the bar list are in pools already.
func (s *steel) rest(pooled int) {
	p := s.pass
	s.padBars()
	s.raiseHalves()
	half := exact.Frac(1, 2)
	for k, t := range s.totals {
		p.drive("bar-mass", k.place, t.bar.MassOf(t.length.Mul(half)))
		p.drive("bars", k.place, t.bars.Mul(half))
	}
	s.poolBars(pooled)
}

// topLevel is the key of the job's top level, whose verticals stand up uncapped: the level whose walls have the highest
// base; of equals the last in order of the levels.
func (p *pass) topLevel() string {
	order := map[string]int{}
	for i, l := range p.job.Levels {
		order[ItemKey(l.Name)] = i
	}
	top, base, rank := "", length.Length(0), -1
	for _, w := range p.geo.Walls {
		k := ItemKey(w.Level)
		r, known := order[k]
		if !known {
			r = len(order)
			order[k] = r
		}
		if rank < 0 || w.Base > base || w.Base == base && r > rank {
			top, base, rank = k, w.Base, r
		}
	}
	return top
}

// lapOfMark is a bar's lap by its mark, worked out once.
func (s *steel) lapOfMark(m *BarMark, b *Bar) lapText {
	k := lapKey{m, b.Size}
	l, ok := s.laps[k]
	if !ok {
		l = lapText{m.Lap(b), "default lap of " + b.Size}
		if m != nil {
			l.from = "lap of " + b.Size + ", Bars " + m.Mark
		}
		s.laps[k] = l
	}
	return l
}

// lap is how long it is.
func (s *steel) lap(m *BarMark, b *Bar) length.Length { return s.lapOfMark(m, b).long }

// lapFrom says where it comes from.
func (s *steel) lapFrom(m *BarMark, b *Bar) string { return s.lapOfMark(m, b).from }

// lapOf is a lap as an operand.
func (s *steel) lapOf(m *BarMark, b *Bar) Operand {
	l := s.lapOfMark(m, b)
	return s.units.Len("lap", l.long, l.from)
}

// bentBy is a bent length's formula from its legs': raised to the inch (10 mm), less the bend.
func (s *steel) bentBy(b *Bar, legs string, operands ...Operand) factor {
	k := bentKey{b, legs}
	f, ok := s.bent[k]
	if !ok {
		_, deduct := b.hook()
		step := "inch"
		if b.Metric() {
			step = "cm"
		}
		f = factor{
			"ceil((" + legs + "−" + trimDecimal(decimal.New(deduct, -2)) + "·d)/" + step + ")·" + step,
			[]Operand{s.units.Len("d", b.Diameter, "diameter of "+b.Size), s.units.Len(step, b.step(), "bent lengths are raised to it")},
		}
		s.bent[k] = f
	}
	return factor{f.text, s.aside(operands, f.operands)}
}

// add adds like bars; like ones already there grow.
func (s *steel) add(g barGroup) {
	if g.count <= 0 || g.length <= 0 {
		return
	}
	if g.shape == "" {
		g.shape = shapeStraight
	}
	for i := max(0, len(s.groups)-16); i < len(s.groups); i++ {
		o := &s.groups[i]
		if o.length == g.length && o.rule == g.rule && o.bar.Size == g.bar.Size && o.mark == g.mark && o.opening == g.opening &&
			o.shape == g.shape && o.half == g.half && o.lap == g.lap {
			o.count += g.count
			if o.countFrom != g.countFrom {
				o.countFrom += ", " + g.countFrom
			}
			o.countBy = factor{}
			return
		}
	}
	g.supply = s.supplyOf(g.bar)
	s.groups = append(s.groups, g)
}

// layers multiplies a count by a mark's layers, and says so.
func layers(m *BarMark, n int64, from string) (int64, string) {
	if k := int64(max(m.Layers, 1)); k > 1 {
		return n * k, from + ", " + strconv.FormatInt(k, 10) + " layers"
	}
	return n, from
}

// emit splices the bars gathered for a wall and makes its lines, its rows of the bar list and its drivers.
func (s *steel) emit(w *WallLines, at place) {
	s.emitBars(at, w.Mark, w.Run.Count)
	for i := range s.groups {
		if g := &s.groups[i]; !g.done {
			item, value, how := s.sum(i)
			if g.rule == "R-DOWEL" {
				how.Note = s.hookNote(w, g.bar)
			}
			s.line(w, at, g.rule, item, s.units.Length, value, how)
		}
	}
	s.groups, s.factors = s.groups[:0], s.factors[:0]
}

// emitPad does the same for a pad, which belongs to no wall.
func (s *steel) emitPad(d *Pad, at place) {
	s.emitBars(at, "", 1)
	for i := range s.groups {
		if g := &s.groups[i]; !g.done {
			item, value, how := s.sum(i)
			s.put(afterWalls, Line{Pour: d.Pour, Item: item, Unit: s.units.Length, Rule: g.rule, At: d.At, Quantity: value.Quantity(), How: how})
		}
	}
	s.groups, s.factors = s.groups[:0], s.factors[:0]
}

// emitBars splices the bars gathered and makes their rows of the bar list and their drivers.
func (s *steel) emitBars(at place, wall string, repeats int64) {
	firstRow := len(s.out.Bars)
	var t *steelTotal // of the group before: mostly of the same size
	for i := range s.groups {
		g := &s.groups[i]
		s.splice(g)
		if t == nil || t.bar != g.bar {
			t = s.total(steelKey{at, g.bar.Size}, g.bar)
		}
		all := exact.Int(g.halves()).Times(repeats)
		t.length = t.length.Add(all.Mul(exact.Len(g.total)))
		t.bars = t.bars.Add(all.Times(g.pieces))
		row := BarRow{
			Mark: g.mark, Bar: g.bar, Length: g.length, Count: g.count * repeats, Shape: g.shape, Legs: g.legs, Bent: g.bent(),
			Wall: wall, Opening: g.opening, Level: at.Level, Pour: at.Pour, Rule: g.rule,
		}
		switch {
		case g.half:
			s.keepHalf(row)
		case g.pieces == 1:
			s.list(firstRow, row)
		default:
			long := row
			long.Length = g.supply.longest
			long.Count = row.Count * (g.pieces - 1)
			s.list(firstRow, long)
			row.Length = g.total - length.Length(g.pieces-1)*long.Length
			s.list(firstRow, row)
		}
	}
}

// total is what is driven by a size's bars at a place.
func (s *steel) total(k steelKey, b *Bar) *steelTotal {
	t := s.totals[k]
	if t == nil {
		t = &steelTotal{bar: b}
		s.totals[k] = t
	}
	return t
}

// splice is R-RUN for straight bars. Bent ones are one piece: no splice falls in a hook.
func (s *steel) splice(g *barGroup) {
	g.pieces, g.total = 1, g.length
	if g.bent() {
		return
	}
	longest := g.supply.longest
	k, total, ok := Splice(g.length, g.lap, longest)
	if !ok {
		key := "lap " + g.mark + " " + g.bar.Size
		if s.said[key] {
			return
		}
		s.said[key] = true
		at := s.set.Value(SetLongestBarPlaced).At
		if g.mk != nil {
			at = g.mk.At.At(g.mk.Columns["lap"])
		}
		s.say(Error, at, "R-RUN", "lap of "+g.bar.Size+", "+g.mark, "the longest bar that can be had and placed, %s, is not above its lap of %s",
			longest.Show(s.units.System), g.lap.Show(s.units.System))
		return
	}
	g.pieces, g.total = k, total
}

// list adds a row to the bar list; a like row of the same wall grows.
func (s *steel) list(first int, row BarRow) {
	for i := max(first, len(s.out.Bars)-16); i < len(s.out.Bars); i++ {
		o := &s.out.Bars[i]
		if o.Length == row.Length && o.Rule == row.Rule && o.Bar == row.Bar && o.Mark == row.Mark && o.Opening == row.Opening && o.Shape == row.Shape {
			o.Count += row.Count
			o.Mass = s.massOf(o.Bar, o.Length, o.Count)
			return
		}
	}
	row.Mass = s.massOf(row.Bar, row.Length, row.Count)
	s.out.Bars = append(s.out.Bars, row)
}

// massOf is the nominal mass of so many bars in the job's unit of mass, finished (R-MASS). Those worked out lately are known.
func (s *steel) massOf(b *Bar, l length.Length, n int64) decimal.Decimal {
	if s.masses == nil {
		s.masses = new([256]knownMass)
	}
	known := &s.masses[(uint64(l)^uint64(n)<<40)*0x9e3779b97f4a7c15>>56]
	if known.bar != b || known.long != l || known.n != n {
		*known = knownMass{b, l, n, s.workOutMass(b, l, n)}
	}
	return known.mass
}

type knownMass struct {
	bar  *Bar
	long length.Length
	n    int64
	mass decimal.Decimal
}

func (s *steel) workOutMass(b *Bar, l length.Length, n int64) decimal.Decimal {
	if d, ok := quickMass(b, s.units.Mass, int64(l), n); ok {
		return d
	}
	return s.units.Mass.Of(b.MassOf(exact.Len(l).Times(n))).Quantity()
}

// quickMass is the same in whole numbers of 64 and 128 bits, where the job's unit is the bar's own and they hold it.
func quickMass(b *Bar, u unit.Unit, l, n int64) (decimal.Decimal, bool) {
	per := uint64(length.Foot)
	switch {
	case b.Metric() && u == unit.Kilo:
		per = uint64(length.Metre)
	case b.Metric() || u != unit.Pound:
		return decimal.Decimal{}, false
	}
	for range -b.Mass.Exponent() {
		per *= 10
	}
	const nine = 1_000_000_000 // decimals of a finished quantity
	hi, run := bits.Mul64(uint64(l), uint64(n))
	if hi != 0 || b.Mass.Exponent() > 0 || b.Mass.Sign() < 0 || b.Mass.NumDigits() > 18 {
		return decimal.Decimal{}, false
	}
	hi, run = bits.Mul64(run, uint64(b.Mass.CoefficientInt64()))
	if hi != 0 {
		return decimal.Decimal{}, false
	}
	hi, lo := bits.Mul64(run, nine)
	lo, carry := bits.Add64(lo, per/2, 0)
	hi += carry
	if hi >= per {
		return decimal.Decimal{}, false
	}
	q, _ := bits.Div64(hi, lo, per)
	if q >= 1_000_000_000_000_000 { // more than 15 digits: fewer decimals
		return decimal.Decimal{}, false
	}
	return decimal.New(int64(q), -9), true
}

// keepHalf keeps half corner bars until all of their pool, size and length are known.
func (s *steel) keepHalf(row BarRow) {
	row.Level, row.Pour = s.poolPlace(row.Level, row.Pour)
	row.Wall = ""
	s.takeHalf(&halfBars{row: row, count: row.Count})
}

// takeHalf adds halves to those of their pool, size and length.
func (s *steel) takeHalf(h *halfBars) {
	k := halfKey{ItemKey(h.row.Level), ItemKey(h.row.Pour), h.row.Bar.Size, h.row.Length}
	i, ok := s.half[k]
	if !ok {
		i = len(s.halfRow)
		s.half[k] = i
		s.halfRow = append(s.halfRow, halfBars{row: h.row})
	}
	s.halfRow[i].count += h.count
}

// raiseHalves lists the halves of each pool, size and length as whole bars (R-BEND).
func (s *steel) raiseHalves() {
	for i := range s.halfRow {
		h := &s.halfRow[i]
		h.row.Count = ceilDiv(h.count, 2)
		h.row.Mass = s.massOf(h.row.Bar, h.row.Length, h.row.Count)
		if h.count%2 != 0 {
			half := h.row.Bar.MassOf(exact.Len(h.row.Length).Mul(exact.Frac(1, 2)))
			h.row.Raised = s.units.Mass.Of(half).Quantity()
		}
		s.out.Bars = append(s.out.Bars, h.row)
	}
}

// mostTerms is how many different lengths a derivation writes out; the others are added up from the bar list.
const mostTerms = 8

// sum adds up the groups of the first one's rule and item: the line's quantity and derivation.
func (s *steel) sum(first int) (item string, value exact.Num, how How) {
	u := s.units
	item = s.itemOf(&s.groups[first])
	rule := s.groups[first].rule
	terms := 0
	for i := first; i < len(s.groups); i++ {
		if g := &s.groups[i]; s.sameLine(g, rule, item) {
			terms++
		}
	}
	how = How{Operands: s.scratch[:0]}
	s.formula = s.formula[:0]
	var sum, rest exact.Num // in halves
	restBars := int64(0)
	k := 0
	for i := first; i < len(s.groups); i++ {
		g := &s.groups[i]
		if !s.sameLine(g, rule, item) {
			continue
		}
		g.done = true
		k++
		total := exact.Len(g.total).Times(g.halves())
		sum = sum.Add(total)
		if k > mostTerms || k == mostTerms && terms > mostTerms {
			rest = rest.Add(total)
			restBars += g.halves()
			continue
		}
		no := ""
		if terms > 1 {
			no = strconv.Itoa(k)
		}
		if k > 1 {
			s.formula = append(s.formula, '+')
		}
		count, long := g.countBy, g.lengthBy
		if count.text == "" {
			count = s.by("n"+no, Num("n"+no, exact.Frac(g.halves(), 2), g.countFrom))
		}
		s.formula = how.join(s.formula, count, no)
		if long.text == "" {
			long = s.by("L"+no, u.Len("L"+no, g.length, g.lengthFrom))
		}
		if g.pieces > 1 {
			long.text += "+j" + no + "·lap"
			long.operands = s.aside(long.operands, []Operand{
				Count("j"+no, g.pieces-1, "R-RUN splices of bars of at most "+g.supply.longest.Show(u.System)),
				u.Len("lap", g.lap, s.lapFrom(g.mk, g.bar)),
			})
		}
		s.formula = how.join(append(s.formula, "·"...), long, no)
	}
	half := exact.Frac(1, 2)
	value = u.Length.Of(sum.Mul(half))
	if restBars > 0 {
		s.formula = append(s.formula, "+rest"...)
		how.Operands = append(how.Operands, Operand{"rest", u.Length.Of(rest.Mul(half)), u.Length, trimDecimal(exact.Frac(restBars, 2).Quantity()) + " more bars, each on the bar list"})
	}
	s.scratch = how.Operands
	how.Formula, how.Operands = s.once(s.formula), s.kept(how.Operands)
	return item, value, how
}

// sameLine tells whether a group is counted on the line of a rule and item.
func (s *steel) sameLine(g *barGroup, rule, item string) bool {
	if g.done || g.rule != rule {
		return false
	}
	return s.itemOf(g) == item
}
