package takeoff

import (
	"strings"

	"wallbill/takeoff/exact"
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
	}
}

// ItemName is a name as items carry it: trimmed, inner spaces as hyphens.
func ItemName(s string) string { return strings.Join(strings.Fields(s), "-") }
