package takeoff

import (
	"cmp"
	"fmt"
	"math/bits"
	"slices"

	"wallbill/takeoff/cutting"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// poolKey tells which pieces share stock: bars of one item by pour, level or job; form pieces of one item, form line and
// core by level.
type poolKey struct {
	forms             *FormRow // nil for bars
	item, level, pour string   // as ItemKey; what does not part the pieces is empty
}

// cutPool gathers pieces that share stock until all plans are made.
type cutPool struct {
	CutPool
	forms  *FormRow // nil for bars
	half   bool     // of half courses; form pools only
	at     place    // where its units are counted; form pools only
	ref    Ref      // the row that gives its stock, for findings
	counts map[length.Length]int64
	used   map[PieceUse]int // bars: the place in Uses, by use without its count
	taken  [][]PieceUse     // uses of parts, until they are put together
}

// pools are all pools of a job, bars first, in order of their first piece.
type pools struct {
	bars, forms []*cutPool
	byKey       map[poolKey]*cutPool
}

// pool is the pool of that key. A new one is given to begin, which fills its item, level, pour, bar, stock, kerf and ref.
func (p *pass) pool(k poolKey, begin func(*cutPool)) *cutPool {
	if c := p.pools.byKey[k]; c != nil {
		return c
	}
	if p.pools.byKey == nil {
		p.pools.byKey = map[poolKey]*cutPool{}
	}
	c := &cutPool{counts: map[length.Length]int64{}}
	begin(c)
	p.pools.byKey[k] = c
	if c.Bar != nil {
		c.used = map[PieceUse]int{}
		p.pools.bars = append(p.pools.bars, c)
	} else {
		p.pools.forms = append(p.pools.forms, c)
	}
	return c
}

// want asks for n pieces of a length (repeats of the run counted), for a wall and a course or rule, as a crew finds them.
func (c *cutPool) want(l length.Length, n int64, wall, what string) {
	if n == 0 {
		return
	}
	c.counts[l] += n
	use := PieceUse{Wall: wall, What: what, Length: l}
	if c.used != nil {
		if i, ok := c.used[use]; ok {
			c.Uses[i].Count += n
			return
		}
		c.used[use] = len(c.Uses)
	} else {
		// Form pieces of a wall and course come together.
		for i := len(c.Uses) - 1; i >= 0 && i >= len(c.Uses)-alikeWithin; i-- {
			if u := &c.Uses[i]; u.Length == l && u.Wall == wall && u.What == what {
				u.Count += n
				return
			}
		}
	}
	use.Count = n
	c.Uses = append(c.Uses, use)
}

// wantOfWall is want for a pool that is asked wall by wall: like uses of the wall are the last ones there. What it wants in
// all is counted after the last wall.
func (c *cutPool) wantOfWall(l length.Length, n int64, wall, what string) {
	for i := len(c.Uses) - 1; i >= 0 && c.Uses[i].Wall == wall; i-- {
		if u := &c.Uses[i]; u.Length == l && u.What == what {
			u.Count += n
			return
		}
	}
	c.Uses = append(c.Uses, PieceUse{Wall: wall, What: what, Length: l, Count: n})
}

// count counts what the pool wants of each length from its uses.
func (c *cutPool) count() {
	var few [16]cutting.Piece // most pools have fewer lengths, and those are soon looked through
	pieces := few[:0]
next:
	for i := range c.Uses {
		u := &c.Uses[i]
		for k := range pieces {
			if p := &pieces[k]; p.Length == int64(u.Length) {
				p.Count += u.Count
				continue next
			}
		}
		if len(pieces) == cap(pieces) {
			c.counts[u.Length] += u.Count
			continue
		}
		pieces = append(pieces, cutting.Piece{Length: int64(u.Length), Count: u.Count})
	}
	for _, p := range pieces {
		c.counts[length.Length(p.Length)] += p.Count
	}
}

// alikeWithin is how many uses back a pool of form pieces looks for a like one.
const alikeWithin = 16

// pieces is how many pieces the pool asks for.
func (c *cutPool) pieces() int64 {
	n := int64(0)
	for _, k := range c.counts {
		n += k
	}
	return n
}

// close makes the pool's problem of its pieces, longest first.
func (c *cutPool) close() {
	c.Problem.Pieces = make([]cutting.Piece, 0, len(c.counts))
	total, longest := int64(0), int64(0)
	for l, n := range c.counts {
		c.Problem.Pieces = append(c.Problem.Pieces, cutting.Piece{Length: int64(l), Count: n})
		total += int64(l) * n
	}
	slices.SortFunc(c.Problem.Pieces, func(a, b cutting.Piece) int { return cmp.Compare(b.Length, a.Length) })
	for _, s := range c.Problem.Stock {
		longest = max(longest, s.Length)
	}
	if longest > 0 {
		c.RuleOfThumb = ceilDiv(total, longest)
	}
}

// cutPlans solves every pool, bars first, and counts the units that form pieces take (R-CUT).
func (p *pass) cutPlans() {
	all := append(slices.Clone(p.pools.bars), p.pools.forms...)
	lengths := int64(0)
	for _, c := range all {
		c.close()
		lengths += int64(len(c.Problem.Pieces))
	}
	if lengths == 0 {
		return
	}
	each := effortShare(cutting.EffortMilli(p.set.Num(SetCutEffort).Times(1000).Floor()), lengths)
	memo := p.memo
	if memo == nil { // storeys alike have pools alike
		memo = &Memo{}
	}
	errs := make([]error, len(all))
	SideBySide(len(all), func(i int) {
		c := all[i]
		c.Plan, errs[i] = memo.solve(c.Problem, each*cutting.Work(len(c.Problem.Pieces)))
	})
	p.out.Cuts = make([]CutPool, len(all))
	for i, c := range all {
		if errs[i] != nil {
			p.say(Error, c.ref, "R-CUT", "cut plan of "+c.Item, "%v", errs[i])
		}
		p.out.Cuts[i] = c.CutPool
		if c.Bar == nil {
			p.cutUnits(c)
		}
	}
}

// effortShare is the work a length gets where all share alike, lowered to a power of two: an edit then seldom changes what
// the pools it does not touch may spend, so they keep their plans.
func effortShare(all cutting.Work, lengths int64) cutting.Work {
	share := uint64(all) / uint64(lengths)
	if share == 0 {
		return 0
	}
	return cutting.Work(uint64(1) << (bits.Len64(share) - 1))
}

// cutUnits is R-CUT: the units a pool of form pieces takes, a line of its level without a wall.
func (p *pass) cutUnits(c *cutPool) {
	n := c.Plan.Bought
	if n == 0 {
		return
	}
	note := "proven least"
	if over := n - c.Plan.LeastCost; over > 0 {
		note = fmt.Sprintf("at most %d over the least", over)
	}
	from := fmt.Sprintf("cut plan of %d pieces from units of %s", c.pieces(), length.Length(c.Problem.Stock[0].Length).Show(p.units.System))
	p.put(afterWalls, Line{
		Level: c.Level, Item: c.Item, Quantity: exact.Int(n).Quantity(), Unit: unit.Each, Rule: "R-CUT", At: c.ref,
		How: How{Formula: "units", Operands: []Operand{Count("units", n, from)}, Note: note},
	})
	p.drive("form-units", c.at, exact.Int(n))
	p.layUnits(c.forms, c.half, exact.Int(n))
	p.poolParts(c)
}
