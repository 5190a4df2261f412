package takeoff

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// leastBraced is the shortest solid part that takes a brace in its middle (R-BRACE; common practice).
const leastBraced = 8 * length.Inch

// shownPositions is how many positions or solid parts a derivation writes out; longer ones name the result as an operand.
const shownPositions = 12

// bracing is R-BRACE: each stretch is braced as one on its inner face, and each brace belongs to the row it stands in.
func (p *pass) bracing() {
	plank, ok := p.plank()
	for _, s := range p.geo.Stretches {
		p.braceStretch(s, plank, ok)
	}
}

// pieceLap is a stock piece and what two pieces share end to end.
type pieceLap struct{ piece, lap length.Length }

// plank is the walkway's plank: its Prices Length, else the setting. ok is false when it cannot be lapped, which is said
// once.
func (p *pass) plank() (pieceLap, bool) {
	pl := pieceLap{p.job.PieceLength(ItemPlank, p.set.Len(SetPlankLength)), p.set.Len(SetPlankOverlap)}
	if pl.piece > pl.lap {
		return pl, true
	}
	if p.set.Whole(SetWalkwayPlanks) > 0 && len(p.geo.Walls) > 0 {
		p.say(Error, p.set.Value(SetPlankOverlap).At, "R-BRACE", "Plank overlap", "a plank of %s cannot be lapped by %s",
			pl.piece.Show(p.units.System), pl.lap.Show(p.units.System))
	}
	return pl, false
}

// solidPart is a part of a stretch's inner face between wide openings, from and to along it.
type solidPart struct {
	from, to exact.Num
	ends     [2]bool // true at a wall end, false at a jamb
}

// braceStretch braces one stretch.
func (p *pass) braceStretch(s *Stretch, plank pieceLap, plankOK bool) {
	line := innerFace(s)
	braced := s.First().Braced
	if braced == BracedNo {
		return
	}
	high := s.Greatest()
	if braced == BracedKicker || braced == BracedByHeight && high < p.set.Len(SetFullBraceFrom) {
		p.kickers(line)
		return
	}
	item := ItemBraceSet
	if high > p.set.Len(SetTallBraceAbove) {
		item = ItemBraceTall
	}
	parts := line.solidParts(p.set.Len(SetBraceGap))
	positions := p.positions[:0]
	formula := ""
	operands := make([]Operand, 0, 6)
	for i, part := range parts {
		name, before := p.words("part", strconv.Itoa(i+1)), len(positions)
		var term string
		positions, term = p.bracesOf(line, part, name, positions)
		if len(positions) == before {
			continue
		}
		if formula != "" {
			formula = p.words(formula, "+")
		}
		formula = p.words(formula, term)
		operands = append(operands, Operand{name, p.units.Length.Of(part.to.Sub(part.from)), p.units.Length, "R-BRACE solid part"})
	}
	p.positions = positions
	operands = append(operands,
		p.units.Len("end", p.set.Len(SetBraceFromEnds), "Job Brace from ends"),
		p.units.Len("jamb", p.set.Len(SetBraceBesideOpenings), "Job Brace beside openings"),
		p.units.Len("s", p.set.Len(SetBraceSpacing), "Job Brace spacing"))
	whole := len(s.Walls) == 1 && len(parts) <= shownPositions
	rows := line.byRow(positions)
	planks := make([]int64, len(s.Walls))
	walkRows := p.set.Whole(SetWalkwayPlanks)
	if plankOK && walkRows > 0 {
		planks = line.pieces(plank)
	}
	rails := int64(0)
	railPieces := make([]int64, len(s.Walls))
	if high > p.set.Len(SetRailFrom) {
		rails = p.set.Whole(SetRails)
		if piece := p.job.PieceLength(ItemRail, p.set.Len(SetPlankLength)); rails > 0 && piece > 0 {
			railPieces = line.pieces(pieceLap{piece: piece})
		}
	}
	for i, w := range s.Walls {
		n := w.Run.Count
		at := wallPlace(w, nil)
		row := BraceRow{
			Wall: w.Mark, Level: at.Level, Pour: at.Pour, Item: item, Positions: p.finished(rows[i]), Count: int64(len(rows[i])) * n,
			Planks: walkRows * planks[i] * n, Rail: length.Length(rails) * w.Li0 * length.Length(n), RailPieces: rails * railPieces[i] * n,
		}
		p.out.Braces = append(p.out.Braces, row)
		if n := exact.Int(int64(len(rows[i]))); whole {
			p.line(w, at, "R-BRACE", item, unit.Each, n, p.howNaming(formula, operands...))
		} else {
			p.line(w, at, "R-BRACE", item, unit.Each, n, p.shareOf(s, "braces", rows[i]))
		}
		p.drive("brace-positions", at, exact.Int(row.Count))
		p.planks(w, at, line, planks[i], walkRows, plank)
		p.line(w, at, "R-BRACE", ItemRail, p.units.Length, p.units.Length.Of(exact.Len(w.Li0).Times(rails)), p.how("rails·L",
			Count("rails", rails, "Job Rails"), p.units.Len("L", w.Li0, w.innerFace())))
		if walkRows > 0 {
			p.drive("walkway-length", at, exact.Len(w.Li0).Times(n))
		}
	}
}

// kickers are the braces of low walls: at the ends of equal spaces not over the spacing, no walkway.
func (p *pass) kickers(line *inner) {
	spacing := p.set.Len(SetKickerSpacing)
	spaces := ceilDiv(int64(line.length), int64(spacing))
	positions := make([]exact.Num, 0, spaces+1)
	for i := range spaces + 1 {
		positions = append(positions, exact.Len(line.length).Times(i).Div(exact.Int(max(spaces, 1))))
	}
	rows := line.byRow(positions)
	for i, w := range line.walls {
		at := wallPlace(w, nil)
		p.out.Braces = append(p.out.Braces, BraceRow{
			Wall: w.Mark, Level: at.Level, Pour: at.Pour, Item: "kicker", Positions: p.finished(rows[i]), Count: int64(len(rows[i])) * w.Run.Count,
		})
		how := How{Formula: "ceil(L/s)+1", Operands: []Operand{
			p.units.Len("L", line.length, w.innerFace()), p.units.Len("s", spacing, "Job Kicker spacing"),
		}}
		if len(line.walls) > 1 {
			how = p.shareOf(w.Stretch, "kickers", rows[i])
		}
		p.line(w, at, "R-BRACE", "kicker", unit.Each, exact.Int(int64(len(rows[i]))), how)
	}
}

// planks are one row's planks of the walkway.
func (p *pass) planks(w *WallLines, at place, line *inner, n, rows int64, plank pieceLap) {
	var how How
	if len(line.walls) == 1 {
		from := "Job Plank length"
		if len(p.job.PricesByItem[ItemPlank]) > 0 {
			from = "Prices Length of plank, else Job Plank length"
		}
		how = p.how("rows·max(1,ceil((L−lap)/(piece−lap)))",
			Count("rows", rows, "Job Walkway planks"), p.units.Len("L", w.Li0, w.innerFace()),
			p.units.Len("piece", plank.piece, from), p.units.Len("lap", plank.lap, "Job Plank overlap"))
	} else {
		how = p.how("rows·n", Count("rows", rows, "Job Walkway planks"),
			Count("n", n, "R-BRACE planks of the stretch that start on wall "+w.Mark))
	}
	p.line(w, at, "R-BRACE", ItemPlank, unit.Each, exact.Int(rows*n), how)
}

// bracesOf adds the braces of one solid part to those before, with their term of the derivation.
func (p *pass) bracesOf(line *inner, part solidPart, name string, at []exact.Num) ([]exact.Num, string) {
	var off [2]exact.Num
	var offName [2]string
	for e, end := range part.ends {
		off[e], offName[e] = exact.Len(p.set.Len(SetBraceBesideOpenings)), "jamb"
		if end {
			off[e], offName[e] = exact.Len(p.set.Len(SetBraceFromEnds)), "end"
		}
	}
	long := part.to.Sub(part.from)
	gap := long.Sub(off[0]).Sub(off[1])
	if gap.Sign() <= 0 {
		if long.Cmp(exact.Len(leastBraced)) < 0 {
			w := line.walls[line.rowOf(part.from)]
			p.say(Note, w.Cell("length"), "R-BRACE", "wall "+w.Mark, "a solid part of %s takes no brace: it is under %s",
				long.Length().Show(p.units.System), leastBraced.Show(p.units.System))
			return at, ""
		}
		return append(at, part.from.Add(part.to).Div(exact.Int(2))), "1"
	}
	spaces := gap.Div(exact.Len(p.set.Len(SetBraceSpacing))).Ceil()
	for i := range spaces + 1 {
		at = append(at, part.from.Add(off[0]).Add(gap.Times(i).Div(exact.Int(spaces))))
	}
	return at, p.words("ceil((", name, "−", offName[0], "−", offName[1], ")/s)+1")
}

// shareOf is the derivation of a row's share of what its stretch takes.
func (p *pass) shareOf(s *Stretch, what string, at []exact.Num) How {
	from := fmt.Sprintf("R-BRACE %s on wall %s", what, s.First().Mark)
	if len(s.Walls) > 1 {
		from = fmt.Sprintf("R-BRACE %s of the stretch from wall %s to %s that stand in this row", what, s.First().Mark, s.Last().Mark)
	}
	if len(at) > 0 && len(at) <= shownPositions {
		shown := make([]string, len(at))
		for i, x := range at {
			shown[i] = x.Length().Show(p.units.System)
		}
		from += ", at " + strings.Join(shown, ", ")
	}
	how := p.how("n", Count("n", int64(len(at)), from))
	how.Note = from
	return how
}

// used is the derivation with the operands that its formula names.
func (h How) used() How {
	n := 0
	for i := range h.Operands {
		if h.names(h.Operands[i].Name) {
			n++
		}
	}
	if n == len(h.Operands) {
		return h
	}
	kept := make([]Operand, 0, n)
	for i := range h.Operands {
		if h.names(h.Operands[i].Name) {
			kept = append(kept, h.Operands[i])
		}
	}
	h.Operands = kept
	return h
}

// names tells whether the formula names an operand.
func (h How) names(name string) bool {
	f := h.Formula
	for i := 0; i < len(f); {
		j := i
		for j < len(f) && nameByte(f[j], j > i) {
			j++
		}
		if j == i {
			i++
			continue
		}
		if f[i:j] == name {
			return true
		}
		i = j
	}
	return false
}

// inner is the inner face of a stretch: its rows' Li0 end to end.
type inner struct {
	walls  []*WallLines
	start  []exact.Num // of each row
	end    exact.Num   // exact, so that what lies between a jamb and the end is as long as it is drawn
	length length.Length
}

func innerFace(s *Stretch) *inner {
	l := &inner{walls: s.Walls, start: make([]exact.Num, 0, len(s.Walls))}
	for _, w := range s.Walls {
		l.start = append(l.start, l.end)
		l.end = l.end.Add(exact.Len(w.Length)).Sub(w.first.Shorten[Inner][0]).Sub(w.first.Shorten[Inner][1])
	}
	l.length = l.end.Length()
	return l
}

// rowOf is the row in which a place stands; exactly on a joint it is the next.
func (l *inner) rowOf(x exact.Num) int {
	for i := len(l.walls) - 1; i > 0; i-- {
		if x.Cmp(l.start[i]) >= 0 {
			return i
		}
	}
	return 0
}

// byRow gives each row its positions, along its own inner face.
func (l *inner) byRow(positions []exact.Num) [][]exact.Num {
	if len(l.walls) == 1 {
		return [][]exact.Num{positions}
	}
	rows := make([][]exact.Num, len(l.walls))
	for _, x := range positions {
		i := l.rowOf(x)
		rows[i] = append(rows[i], x.Sub(l.start[i]))
	}
	return rows
}

// pieces is how many pieces, laid end to end with the lap, start in each row: at least one in all.
func (l *inner) pieces(pl pieceLap) []int64 {
	n := int64(1)
	step := pl.piece - pl.lap
	if l.length > pl.piece {
		n = ceilDiv(int64(l.length-pl.lap), int64(step))
	}
	rows := make([]int64, len(l.walls))
	if len(rows) == 1 {
		rows[0] = n
		return rows
	}
	for i := range n {
		rows[l.rowOf(exact.Len(step).Times(i))]++
	}
	return rows
}

// solidParts are the parts of the face between openings at least that wide, in plan.
func (l *inner) solidParts(wide length.Length) []solidPart {
	type gap struct{ from, to exact.Num }
	var gaps []gap
	end := l.end
	for i, w := range l.walls {
		for _, h := range w.Holes {
			if h.Width < wide {
				continue
			}
			from := l.start[i].Add(w.First().OnLine(h, Inner))
			g := gap{exact.Max(from, exact.Num{}), exact.Min(from.Add(exact.Len(h.Width)), end)}
			if g.from.Cmp(g.to) < 0 {
				gaps = append(gaps, g)
			}
		}
	}
	slices.SortStableFunc(gaps, func(a, b gap) int { return a.from.Cmp(b.from) })
	var parts []solidPart
	at, wallEnd := exact.Num{}, true
	for _, g := range gaps {
		if at.Cmp(g.from) < 0 {
			parts = append(parts, solidPart{at, g.from, [2]bool{wallEnd, false}})
		}
		at, wallEnd = exact.Max(at, g.to), false
	}
	if at.Cmp(end) < 0 {
		parts = append(parts, solidPart{at, end, [2]bool{wallEnd, true}})
	}
	return parts
}

// finished are places in whole nanometres, in memory shared with other rows.
func (p *pass) finished(at []exact.Num) []length.Length {
	p.lengths = room(p.lengths, len(at))
	n := len(p.lengths)
	for _, x := range at {
		p.lengths = append(p.lengths, x.Length())
	}
	return p.lengths[n:len(p.lengths):len(p.lengths)]
}
