package pricing

import (
	"sort"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/unit"
)

// tally is what the takeoff's lines say of one item.
type tally struct {
	name, key string
	rank      int // place of its first rule in the catalogue
	first     int // its first line
	at        takeoff.Ref
	parts     []part // one a unit of its lines, nearly always one
	extras    []int  // its R-EXTRA lines
	factor    int    // its first R-FACTOR line, −1: none
	next      *tally // of the line that came after its last: walls have mostly the same items, one after the other
}

// part is an item's lines of one unit.
type part struct {
	unit   unit.Unit
	sum    sum
	extra  sum // R-EXTRA lines
	loose  sum // of concrete, R-EXTRA lines that are in no pour's order
	factor sum // R-FACTOR lines
	levels spread
	pours  spread
}

// ledger is all items of a takeoff with the levels and pours they name.
type ledger struct {
	items  []*tally
	byKey  map[string]*tally
	levels places
	pours  places
	ranks  map[string]int
}

// places are names in order with their index, without regard to case.
type places struct {
	names  []string
	byKey  map[string]int
	byName map[string]int // as spelled, so that a line costs no new string
}

func (p *places) index(name string) int {
	if name == "" {
		return -1
	}
	if i, ok := p.byName[name]; ok {
		return i
	}
	if p.byKey == nil {
		p.byKey, p.byName = map[string]int{}, map[string]int{}
	}
	k := takeoff.ItemKey(name)
	i, ok := p.byKey[k]
	switch {
	case k == "":
		i = -1
	case !ok:
		i = len(p.names)
		p.byKey[k] = i
		p.names = append(p.names, name)
	}
	p.byName[name] = i
	return i
}

// gather sums the takeoff's lines by item, unit, level and pour in one pass.
func gather(t *takeoff.Takeoff, cal *takeoff.Calendar) *ledger {
	l := &ledger{byKey: map[string]*tally{}, ranks: make(map[string]int, len(takeoff.Rules))}
	for i, r := range takeoff.Rules {
		l.ranks[r.ID] = i
	}
	for _, v := range t.Job.Levels {
		l.levels.index(v.Name)
	}
	for _, p := range cal.Pours {
		l.pours.index(p)
	}
	byName := map[string]*tally{}
	lastRule, lastRank := "", len(takeoff.Rules)
	lastLevel, level, lastPour, pour := "", -1, "", -1
	last := &tally{} // of the line before
	for i := range t.Lines {
		line := &t.Lines[i]
		it := last.next
		if it == nil || it.name != line.Item {
			it = byName[line.Item]
		}
		if it == nil {
			it = l.tally(line.Item)
			if len(it.parts) == 0 {
				it.first, it.at = i, line.At
			}
			byName[line.Item] = it
		}
		last.next, last = it, it
		if line.Rule != lastRule {
			lastRule, lastRank = line.Rule, len(takeoff.Rules)
			if rank, ok := l.ranks[line.Rule]; ok {
				lastRank = rank
			}
		}
		it.rank = min(it.rank, lastRank)
		p, q := it.part(unitOf(t.Job, line)), amountOf(line.Quantity)
		p.sum.addAmount(q)
		switch line.Rule {
		case "R-EXTRA":
			p.extra.addAmount(q)
			it.extras = append(it.extras, i)
		case "R-FACTOR":
			p.factor.addAmount(q)
			if it.factor < 0 {
				it.factor = i
			}
		}
		if line.Level != lastLevel {
			lastLevel, level = line.Level, l.levels.index(line.Level)
		}
		if level >= 0 {
			p.levels.addAmount(level, q)
		}
		if line.Pour != lastPour {
			lastPour, pour = line.Pour, l.pours.index(line.Pour)
		}
		if pour >= 0 {
			p.pours.addAmount(pour, q)
		}
	}
	return l
}

// unitOf is a line's unit; an extra that names none is in its price row's.
func unitOf(job *takeoff.Job, line *takeoff.Line) unit.Unit {
	if line.Unit != "" {
		return line.Unit
	}
	if rows := job.PricesByItem[takeoff.ItemKey(line.Item)]; len(rows) > 0 {
		return rows[0].Unit
	}
	return unit.Each
}

// tally is the item of that name, made if new.
func (l *ledger) tally(name string) *tally {
	k := takeoff.ItemKey(name)
	it := l.byKey[k]
	if it == nil {
		it = &tally{name: name, key: k, rank: len(takeoff.Rules), first: int(^uint(0) >> 1), factor: -1}
		l.byKey[k] = it
		l.items = append(l.items, it)
	}
	return it
}

// rankAs puts an item that has no lines at a rule's place in the order.
func (l *ledger) rankAs(t *tally, rule string) {
	if rank, ok := l.ranks[rule]; ok {
		t.rank = min(t.rank, rank)
	}
}

// sort puts the items in order of the rules, then of first appearance.
func (l *ledger) sort() {
	sort.SliceStable(l.items, func(i, j int) bool {
		a, b := l.items[i], l.items[j]
		if a.rank != b.rank {
			return a.rank < b.rank
		}
		return a.first < b.first
	})
}

func (t *tally) part(u unit.Unit) *part {
	for i := range t.parts {
		if t.parts[i].unit == u {
			return &t.parts[i]
		}
	}
	t.parts = append(t.parts, part{unit: u})
	return &t.parts[len(t.parts)-1]
}

// rule is the first rule of the catalogue that the item's lines name.
func (t *tally) rule() string {
	if t.rank < len(takeoff.Rules) {
		return takeoff.Rules[t.rank].ID
	}
	return ""
}

// unit is the unit of its lines: of the first that is no extra; a pack name among pieces names them.
func (t *tally) unit() unit.Unit {
	u := unit.Each
	for i := range t.parts {
		v := t.parts[i].unit
		if i == 0 || u == unit.Each && v.Dimension() == unit.Count {
			u = v
		}
	}
	return u
}

// mixed tells whether the lines are in units that a sum of the column cannot hold together; pieces and one pack name can.
func (t *tally) mixed() bool {
	u := t.unit()
	for i := range t.parts {
		if times, over, ok := unit.Convert(t.parts[i].unit, u); !ok || !times.Equal(one) || !over.Equal(one) {
			return true
		}
	}
	return false
}

// sum is the sum of all lines; only of use when they are not mixed.
func (t *tally) sum() decimal.Decimal {
	if len(t.parts) == 1 {
		return t.parts[0].sum.total()
	}
	var s sum
	for i := range t.parts {
		s.add(t.parts[i].sum.total())
	}
	return s.total()
}
