package takeoff

import (
	"maps"
	"slices"
	"sort"
	"strings"

	"github.com/shopspring/decimal"

	"wallbill/takeoff/cutting"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// The items of bars: bar-<size> by length, bent-<size> where a Prices row takes the bent pieces out.
const (
	barPrefix  = "bar-"
	bentPrefix = "bent-"
)

// BarOfItem is the bar whose item that is, bar-<size> or bent-<size>; nil when it is none.
func BarOfItem(item string) *Bar {
	k := ItemKey(item)
	for _, prefix := range [...]string{barPrefix, bentPrefix} {
		if size, ok := strings.CutPrefix(k, prefix); ok {
			return BarBySize(size)
		}
	}
	return nil
}

// barSupply is how a size is bought (P-BARS).
type barSupply struct {
	bar     *Bar
	item    string
	stock   []*PriceRow // rows with a Length; none: no cut plan
	bent    string      // item of the bent pieces, where it is its own
	longest length.Length
	// stockLength is the longest of the stock.
	stockLength length.Length
}

// planned tells whether a cut plan buys the size.
func (b *barSupply) planned() bool { return len(b.stock) > 0 }

// supplyOf is how a bar's size is bought, worked out once.
func (s *steel) supplyOf(b *Bar) *barSupply {
	p := s.supply[b.Size]
	if p != nil {
		return p
	}
	p = &barSupply{bar: b, item: barPrefix + b.Size, longest: s.set.Len(SetLongestBarPlaced)}
	longest, byMass := length.Length(0), false
	for _, r := range s.job.PricesByItem[ItemKey(p.item)] {
		switch d := r.Unit.Dimension(); {
		case r.Length <= 0:
			byMass = byMass || d == unit.Mass
		case d == unit.Count || d == unit.Mass:
			p.stock = append(p.stock, r)
			longest = max(longest, r.Length)
		}
	}
	if byMass { // cut-and-bent steel
		p.stock = nil
	}
	for _, r := range p.stock {
		p.stockLength = max(p.stockLength, r.Length)
	}
	if longest > 0 {
		p.longest = min(p.longest, longest)
	}
	if len(s.job.PricesByItem[ItemKey(bentPrefix+b.Size)]) > 0 {
		p.bent = bentPrefix + b.Size
	}
	s.supply[b.Size] = p
	return p
}

// itemOf is the item a group's line is of.
func (s *steel) itemOf(g *barGroup) string {
	p := g.supply
	if g.bent() && p.bent != "" {
		return p.bent
	}
	return p.item
}

// poolPlace is the level and pour of the pool of a piece there: which pieces share stock is the job's Cut bars by.
func (s *steel) poolPlace(level, pour string) (string, string) {
	switch s.set.Word(SetCutBarsBy) {
	case "level":
		return level, ""
	case "job":
		return "", ""
	}
	return "", pour
}

// barPool is the pool of a size there, begun with the stock it is cut from.
func (s *steel) barPool(p *barSupply, level, pour string) *cutPool {
	level, pour = s.poolPlace(level, pour)
	return s.pool(poolKey{item: ItemKey(p.item), level: ItemKey(level), pour: ItemKey(pour)}, func(c *cutPool) {
		c.Item, c.Level, c.Pour, c.Bar, c.Priced, c.ref = p.item, level, pour, p.bar, true, p.stock[0].At
		c.Problem.Stock, c.PriceScale = stockOf(p.bar, p.stock)
		c.Problem.Kerf = int64(s.set.Len(SetBarKerf))
	})
}

// poolBars puts the bar list's pieces and the extra runs into their pools, but for the first rows that are there already. The
// plans are made with those of the form pieces.
func (s *steel) poolBars(already int) {
	extras := s.barExtras()
	s.extraRuns(extras)
	for i := range s.out.Bars {
		row := &s.out.Bars[i]
		p := s.supplyOf(row.Bar)
		switch {
		case !p.cuts(row):
		case row.Length > p.stockLength:
			if row.Bent { // else its lap is as long as a bar: said when it was to be spliced
				s.say(Error, p.stock[0].At.At(p.stock[0].Columns["length"]), "P-BARS", p.item, "no stock length is as long as the %s %s of %s, wall %s",
					row.Length.Show(s.units.System), row.Shape, row.Mark, row.Wall)
			}
		case i >= already:
			s.barPool(p, row.Level, row.Pour).want(row.Length, row.Count, row.Wall, s.words(row.Rule, " ", row.Mark))
		}
	}
	s.takeOut(extras)
}

// poolOwn puts the bar list's pieces of a part of the job into pools of its own, wall by wall.
func (s *steel) poolOwn() {
	var last *cutPool
	var lastSupply *barSupply
	var level, pour string
	for i := range s.out.Bars {
		row := &s.out.Bars[i]
		p := lastSupply
		if p == nil || p.bar != row.Bar {
			p = s.supplyOf(row.Bar)
		}
		if !p.cuts(row) || row.Length > p.stockLength {
			continue
		}
		if last == nil || p != lastSupply || level != row.Level || pour != row.Pour {
			last, lastSupply, level, pour = s.barPool(p, row.Level, row.Pour), p, row.Level, row.Pour
		}
		last.wantOfWall(row.Length, row.Count, row.Wall, s.words(row.Rule, " ", row.Mark))
	}
	for _, c := range s.pools.bars {
		c.count()
	}
}

// cuts tells whether a row of the bar list is cut from the stock.
func (b *barSupply) cuts(row *BarRow) bool { return b.planned() && !(row.Bent && b.bent != "") }

// mostPriceDecimals is how fine a stock piece's price is kept for the plan: a price by mass has more.
const mostPriceDecimals = 8

// stockOf is the stock of a size with each row's first price a piece, in whole units of 10^−scale of the currency. A row by
// mass costs the nominal mass of its length (P-BARS).
func stockOf(b *Bar, rows []*PriceRow) (stock []cutting.Stock, scale int32) {
	prices := make([]decimal.Decimal, len(rows))
	for i, r := range rows {
		prices[i] = r.Price
		if r.Unit.Dimension() == unit.Mass {
			prices[i] = r.Unit.Of(b.MassOf(exact.Len(r.Length))).Mul(exact.Dec(r.Price)).Round(mostPriceDecimals)
		}
		for scale < mostPriceDecimals && !prices[i].Shift(scale).IsInteger() {
			scale++
		}
	}
	stock = make([]cutting.Stock, len(rows))
	for i, r := range rows {
		stock[i] = cutting.Stock{Length: int64(r.Length), Price: prices[i].Shift(scale).Round(0).IntPart()}
	}
	return stock, scale
}

// barExtra is a quantity extra on a bar that a cut plan buys.
type barExtra struct {
	row         *ExtraRow
	supply      *barSupply
	level, pour string
	length      length.Length // of the run; negative: taken out
}

// barExtras are the quantity extras on bars with a cut plan (P-NET): a length as it is, a mass by the nominal mass, a count
// of pieces of the longest stock.
func (s *steel) barExtras() []barExtra {
	var all []barExtra
	for _, x := range s.job.Extras {
		if x.Kind != ExtraQuantity || !strings.HasPrefix(ItemKey(x.Item), barPrefix) {
			continue
		}
		b := BarOfItem(x.Item)
		if b == nil {
			continue
		}
		p := s.supplyOf(b)
		if !p.planned() {
			continue
		}
		e := barExtra{row: x, supply: p, level: x.Level, pour: x.Pour}
		if w := s.geo.ByMark[ItemKey(x.Wall)]; w != nil {
			if e.level == "" {
				e.level = w.Level
			}
			if e.pour == "" {
				e.pour = w.Pour
			}
		}
		q := exact.Dec(x.Quantity)
		switch x.Unit.Dimension() {
		case unit.Length:
			e.length = q.Mul(x.Unit.Base()).Length()
		case unit.Mass:
			e.length = q.Mul(x.Unit.Base()).Div(b.MassOf(exact.Int(1))).Length()
		case unit.Count:
			e.length = q.Mul(exact.Len(p.stockLength)).Length()
		default:
			s.say(Error, x.At.At(x.Columns["unit"]), "P-NET", "extra "+x.Line, "%s is a length; '%s' is no measure of it", p.item, x.Unit)
			continue
		}
		all = append(all, e)
	}
	return all
}

// extraRuns lists the quantity extras that add bars: each a run, spliced where longer than can be placed. Pieces counted by
// the piece are whole stock lengths.
func (s *steel) extraRuns(extras []barExtra) {
	for _, e := range extras {
		if e.length <= 0 {
			continue
		}
		b := e.supply.bar
		row := BarRow{Mark: e.row.Line, Bar: b, Shape: shapeStraight, Wall: e.row.Wall, Level: e.level, Pour: e.pour, Rule: "R-EXTRA"}
		first := len(s.out.Bars)
		longest, lap := e.supply.longest, length.Length(0)
		if e.row.Unit.Dimension() == unit.Count {
			longest = e.supply.stockLength
		} else {
			var m *BarMark
			if w := s.geo.ByMark[ItemKey(e.row.Wall)]; w != nil {
				m = w.Bars
			}
			lap = s.lap(m, b)
		}
		k, total, ok := Splice(e.length, lap, longest)
		if !ok {
			s.say(Error, e.row.At, "R-RUN", "extra "+e.row.Line, "the longest bar that can be had and placed, %s, is not above its lap of %s",
				longest.Show(s.units.System), lap.Show(s.units.System))
			continue
		}
		if k > 1 {
			row.Length, row.Count = longest, k-1
			s.list(first, row)
		}
		row.Length, row.Count = total-length.Length(k-1)*longest, 1
		s.list(first, row)
	}
}

// takeOut takes the negative extras out of their pools: whole pieces, the longest that fit first, and what is left off one
// more piece. One that says nothing of its pool's place takes from its own pool, then from the size's others: an error is
// only what makes the net go below zero (P-NET).
func (s *steel) takeOut(extras []barExtra) {
	for _, e := range extras {
		if e.length >= 0 {
			continue
		}
		left := -e.length
		pools := []*cutPool{s.barPool(e.supply, e.level, e.pour)}
		if own := pools[0]; own.Level == "" && own.Pour == "" {
			for _, c := range s.pools.bars {
				if c != own && c.Item == own.Item {
					pools = append(pools, c)
				}
			}
		}
		for _, c := range pools {
			left = c.takeWhole(left)
		}
		for _, c := range pools {
			left = c.shorten(left)
			c.drop()
		}
		if left > 0 {
			s.say(Error, e.row.At.At(e.row.Columns["quantity"]), "P-NET", "extra "+e.row.Line, "takes more %s than there is: %s too much",
				e.supply.item, left.Show(s.units.System))
		}
	}
}

// takeWhole takes whole pieces out of the pool, the longest that fit first, and returns what is left to take.
func (c *cutPool) takeWhole(left length.Length) length.Length {
	byLength := make([]int, len(c.Uses))
	for i := range byLength {
		byLength[i] = i
	}
	sort.SliceStable(byLength, func(i, j int) bool { return c.Uses[byLength[i]].Length > c.Uses[byLength[j]].Length })
	for _, i := range byLength {
		u := &c.Uses[i]
		n := min(int64(left/u.Length), u.Count)
		u.Count -= n
		c.counts[u.Length] -= n
		left -= length.Length(n) * u.Length
	}
	return left
}

// shorten takes what is left off the longest of the pool's pieces, which are all longer now, and returns what is left then:
// nothing, or all of it where the pool has no piece.
func (c *cutPool) shorten(left length.Length) length.Length {
	longest := -1
	for i := range c.Uses {
		if c.Uses[i].Count > 0 && (longest < 0 || c.Uses[i].Length > c.Uses[longest].Length) {
			longest = i
		}
	}
	if left == 0 || longest < 0 {
		return left
	}
	u := c.Uses[longest]
	c.Uses[longest].Count--
	c.counts[u.Length]--
	c.want(u.Length-left, 1, u.Wall, u.What+", less an extra")
	return 0
}

// drop leaves out uses and lengths that nothing is wanted of.
func (c *cutPool) drop() {
	c.Uses = slices.DeleteFunc(c.Uses, func(u PieceUse) bool { return u.Count == 0 })
	maps.DeleteFunc(c.counts, func(_ length.Length, n int64) bool { return n == 0 })
	clear(c.used)
	for i, u := range c.Uses {
		c.used[PieceUse{Wall: u.Wall, What: u.What, Length: u.Length}] = i
	}
}
