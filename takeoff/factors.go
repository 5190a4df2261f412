package takeoff

import (
	"wallbill/takeoff/exact"
)

// factors is R-FACTOR: small material, labour and equipment by driver.
func (p *pass) factors() {
	p.drive("job", place{}, exact.Int(1))
	for _, f := range p.job.Factors {
		d, ok := DriverByName(f.Per)
		if !ok {
			continue // said when read
		}
		if d.Name == "pour-hours" {
			p.needRates(f)
		}
		du := f.DriverUnit
		if du == "" {
			du = p.units.Unit(d.Dimension)
		}
		base := p.driven(d.Name, f)
		switch d.Name {
		case "job":
			base = exact.Int(1) // once, whatever the row is marked for
		case "braces":
			base = exact.Int(p.cal.MostBraces(p.bracesTaken(f))) // most at once of the walls it takes
		}
		if base.IsZero() {
			continue
		}
		driver := du.Of(base)
		p.put(afterWalls, Line{
			Level: f.Level, Pour: f.Pour, Item: f.Item, Unit: f.Unit, Rule: "R-FACTOR", At: f.At,
			Quantity: exact.Dec(f.Quantity).Mul(driver).Quantity(),
			How: How{Formula: "q·driver", Note: f.Notes, Operands: []Operand{
				Num("q", exact.Dec(f.Quantity), f.At.String()), {"driver", driver, du, d.Name + filterWords(f)}}},
		})
	}
}

// filterWords says which walls a Factors row takes.
func filterWords(f *FactorRow) string {
	s := ""
	for _, w := range []struct{ name, value string }{{"level", f.Level}, {"pour", f.Pour}, {"form line", f.FormLine}} {
		if w.value != "" {
			s += " of " + w.name + " " + w.value
		}
	}
	if f.Core > 0 {
		s += " of core " + f.Core.FtIn()
	}
	return s
}

// needRates refuses a factor per pour-hours where a pour it takes has no placing rate (R-PUMP).
func (p *pass) needRates(f *FactorRow) {
	for i := range p.out.Pours {
		plan := &p.out.Pours[i]
		if _, ok := plan.rate(); !ok && (f.Pour == "" || sameName(f.Pour, plan.Pour)) {
			p.say(Error, f.At.At(f.Columns["per"]), "R-FACTOR", "Per, item "+f.Item, "pour %s has no Placing rate, so its hours are not known", plan.Pour)
		}
	}
}

// bracesTaken are the brace rows of the walls that a Factors row takes.
func (p *pass) bracesTaken(f *FactorRow) []BraceRow {
	var rows []BraceRow
	for _, b := range p.out.Braces {
		if w := p.geo.ByMark[ItemKey(b.Wall)]; w != nil && f.allows(wallPlace(w, nil)) {
			rows = append(rows, b)
		}
	}
	return rows
}
