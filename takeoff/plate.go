package takeoff

import (
	"fmt"
	"strings"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/unit"
)

// plates is R-ANCHOR: the top plate in pieces, anchor bolts by piece (IRC R403.1.6), sill seal under it.
func (p *pass) plates(w *WallLines) {
	if !w.Plate {
		return
	}
	u, at := p.units, wallPlace(w, nil)
	piece, end, spacing := p.set.Len(SetPlateLength), p.set.Len(SetAnchorFromEnds), p.set.Len(SetAnchorSpacing)
	segments := w.plateSegments()
	var long length.Length
	var plates, bolts int64
	var sums, pieces, boltTerms []string
	var operands []Operand
	for i, s := range segments {
		long += s
		whole, rest := int64(s/piece), s%piece
		plates += whole
		bolts += whole * anchorBolts(piece, end, spacing)
		name := fmt.Sprintf("L%d", i+1)
		sums = append(sums, name)
		pieces = append(pieces, "ceil("+name+"/piece)")
		if whole > 0 {
			boltTerms = append(boltTerms, fmt.Sprintf("floor(%s/piece)·max(2,ceil((piece−2·end)/s)+1)", name))
		}
		if rest > 0 {
			plates++
			bolts += anchorBolts(rest, end, spacing)
			boltTerms = append(boltTerms, fmt.Sprintf("max(2,ceil((%s−floor(%s/piece)·piece−2·end)/s)+1)", name, name))
		}
		operands = append(operands, u.Len(name, s, "R-ANCHOR plate of wall "+w.Mark))
	}
	operands = append(operands, u.Len("piece", piece, "Job Plate length"), u.Len("end", end, "Job Anchor from ends"), u.Len("s", spacing, "Job Anchor spacing"))
	derive := func(terms []string, name string, value Operand) How {
		if len(segments) > shownPositions {
			value.Name = name
			return How{Formula: name, Operands: []Operand{value}}
		}
		return How{Formula: strings.Join(terms, "+"), Operands: operands}.used()
	}
	from := fmt.Sprintf("R-ANCHOR over the %d parts of the plate of wall %s between openings", len(segments), w.Mark)
	p.line(w, at, "R-ANCHOR", "plate", unit.Each, exact.Int(plates), derive(pieces, "n", Count("", plates, from)))
	p.line(w, at, "R-ANCHOR", "anchor-bolt", unit.Each, exact.Int(bolts), derive(boltTerms, "n", Count("", bolts, from)))
	p.line(w, at, "R-ANCHOR", "sill-seal", u.Length, u.Length.Of(exact.Len(long)), derive(sums, "L", u.Len("", long, from)))
	p.drive("plate-length", at, exact.Len(long).Times(w.Run.Count))
}

// anchorBolts is the bolts of one plate piece: one within the end distance of each end and none further apart than the
// spacing, at least 2 (IRC R403.1.6).
func anchorBolts(piece, end, spacing length.Length) int64 {
	between := piece - 2*end
	if between <= 0 {
		return 2
	}
	return max(2, ceilDiv(int64(between), int64(spacing))+1)
}

// plateSegments are the parts of the highest zone's exterior line between openings that reach the top.
func (w *WallLines) plateSegments() []length.Length {
	b := w.Bands[len(w.Bands)-1]
	full := exact.Len(b.Lo)
	var out []length.Length
	at := exact.Num{}
	add := func(to exact.Num) {
		if s := to.Sub(at).Length(); s > 0 {
			out = append(out, s)
		}
	}
	for _, h := range w.Holes {
		if w.concreteAbove(h) {
			continue
		}
		from := b.OnLine(h, Exterior)
		add(exact.Min(from, full))
		at = exact.Max(at, exact.Min(from.Add(exact.Len(h.Width)), full))
	}
	add(full)
	return out
}
