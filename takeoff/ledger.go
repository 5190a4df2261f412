package takeoff

import (
	"wallbill/takeoff/exact"
	"wallbill/takeoff/unit"
)

// ledgers is R-LEDGER: a board and its brackets at each height of a floor along the inner face. The bracket spacing is the
// engineer's; without it a wall with a ledger is an error.
func (p *pass) ledgers(w *WallLines) {
	if len(w.Ledgers) == 0 {
		return
	}
	u, spacing := p.units, p.set.Len(SetLedgerBracketSpacing)
	if spacing <= 0 {
		p.say(Error, w.Cell("floor ledger at"), "R-LEDGER", "Floor ledger at, wall "+w.Mark,
			"the job gives no Ledger bracket spacing: the engineer's number goes on tab Job")
		return
	}
	for _, z := range w.Ledgers {
		b := w.BandAt(z)
		at := wallPlace(w, nil)
		from := "R-GEOM inner face of wall " + w.Mark + " at " + z.Show(u.System)
		p.line(w, at, "R-LEDGER", "ledger-board", u.Length, u.Length.Of(exact.Len(b.Li)), How{
			Formula: "L", Operands: []Operand{u.Len("L", b.Li, from)},
		})
		p.line(w, at, "R-LEDGER", "ledger-bracket", unit.Each, exact.Int(int64(b.Li/spacing)+1), How{
			Formula:  "floor(L/s)+1",
			Operands: []Operand{u.Len("L", b.Li, from), u.Len("s", spacing, "Job Ledger bracket spacing")},
		})
		p.drive("ledger-length", at, exact.Len(b.Li).Times(w.Run.Count))
	}
}
