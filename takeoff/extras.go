package takeoff

import (
	"strings"

	"wallbill/takeoff/exact"
	"wallbill/takeoff/unit"
)

// extraQuantities is R-EXTRA: extras of kind quantity are takeoff lines of their own. Concrete with a pour joins that pour;
// a bar joins its pool as a run.
func (p *pass) extraQuantities() {
	for _, x := range p.job.Extras {
		if x.Kind != ExtraQuantity {
			continue
		}
		l := Line{
			Wall: x.Wall, Level: x.Level, Pour: x.Pour, Item: x.Item, Unit: x.Unit, Rule: "R-EXTRA", At: x.At,
			Quantity: exact.Dec(x.Quantity).Quantity(),
			How:      How{Formula: "q", Operands: []Operand{{"q", exact.Dec(x.Quantity), x.Unit, x.At.String()}}, Note: x.Line},
		}
		if x.Notes != "" {
			l.How.Note += ": " + x.Notes
		}
		if w := p.geo.ByMark[ItemKey(x.Wall)]; w != nil {
			if l.Level == "" {
				l.Level = w.Level
			}
			if l.Pour == "" {
				l.Pour = w.Pour
			}
		}
		p.put(afterWalls, l)
		p.joinPour(l, x.At.At(x.Columns["unit"]))
	}
}

// joinsPour tells whether a line of R-EXTRA is concrete that joins its pour's order, and which kind of it.
func (p *pass) joinsPour(l Line) (kind int, ok bool) {
	if l.Pour == "" {
		return 0, false
	}
	for _, k := range [...]int{wallKind, footingKind} {
		if ItemKey(p.concreteItem(l.Pour, k)) == ItemKey(l.Item) {
			return k, true
		}
	}
	return 0, false
}

// joinPour adds a line of R-EXTRA to its pour's concrete; unitCell is the cell of its unit.
func (p *pass) joinPour(l Line, unitCell Ref) {
	kind, ok := p.joinsPour(l)
	if !ok {
		return
	}
	times, over, ok := unit.Convert(l.Unit, p.units.Volume)
	if !ok {
		p.say(Error, unitCell, "R-EXTRA", "extra "+l.How.Note, "%s is a volume; '%s' is not", l.Item, l.Unit)
		return
	}
	q := exact.Dec(l.Quantity).Mul(exact.Dec(times)).Div(exact.Dec(over)).Quantity()
	p.volumes.add(l.Pour, l.Level, kind, q)
}

// ItemName is a name as items carry it: trimmed, inner spaces as hyphens.
func ItemName(s string) string { return strings.Join(strings.Fields(s), "-") }
