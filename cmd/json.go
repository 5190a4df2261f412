package cmd

import (
	"encoding/json"
	"io"

	"github.com/shopspring/decimal"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// The JSON of a run. Integers are run, count, times, trucks and bought; every other number is an exact decimal in a string
// without exponent or trailing zeros, null when unknown. Lengths are in ft, or m in a metric report. A blank name is null.

type jsonRun struct {
	Job       *string               `json:"job"`
	Revision  *string               `json:"revision"`
	Run       int                   `json:"run"`
	Currency  string                `json:"currency"`
	Complete  bool                  `json:"complete"`
	Findings  []jsonFinding         `json:"findings"`
	Lines     []jsonLine            `json:"lines"`
	Items     []jsonItem            `json:"items"`
	Totals    jsonTotals            `json:"totals"`
	Drivers   map[string]jsonDriver `json:"drivers"`
	Pours     []jsonPour            `json:"pours"`
	Bars      []jsonBar             `json:"bars"`
	Cuts      []jsonCut             `json:"cuts"`
	CutBounds []jsonBound           `json:"cut_bounds"`
	Braces    []jsonBrace           `json:"braces"`
	Rentals   []jsonRental          `json:"rentals"`
	Changes   any                   `json:"changes"`
}

// jsonFindings is what a job with errors gives, and check.
type jsonFindings struct {
	Job      *string       `json:"job"`
	Complete bool          `json:"complete"`
	Findings []jsonFinding `json:"findings"`
}

// jsonExplained is what explain gives.
type jsonExplained struct {
	jsonFindings
	Lines   []jsonLine            `json:"lines"`
	Drivers map[string]jsonDriver `json:"drivers"`
}

type jsonFinding struct {
	Severity string  `json:"severity"`
	Cell     string  `json:"cell"`
	Message  string  `json:"message"`
	Rule     *string `json:"rule"`
}

type jsonLine struct {
	Wall     *string `json:"wall"`
	Opening  *string `json:"opening"`
	Level    *string `json:"level"`
	Pour     *string `json:"pour"`
	Item     string  `json:"item"`
	Quantity string  `json:"quantity"`
	Unit     string  `json:"unit"`
	How      string  `json:"how"`
	Rule     string  `json:"rule"`
}

type jsonItem struct {
	Item      string  `json:"item"`
	Length    *string `json:"length"`
	Net       string  `json:"net"`
	Order     string  `json:"order"`
	Unit      string  `json:"unit"`
	Price     *string `json:"price"`
	Extension *string `json:"extension"`
	Supplier  *string `json:"supplier"`
	Group     string  `json:"group"`
	Kind      string  `json:"kind"`
}

type jsonTotals struct {
	Direct      string            `json:"direct"`
	Tax         string            `json:"tax"`
	Contingency string            `json:"contingency"`
	Overhead    string            `json:"overhead"`
	Cost        string            `json:"cost"`
	Profit      string            `json:"profit"`
	Bond        string            `json:"bond"`
	Rounding    string            `json:"rounding"`
	BidTotal    string            `json:"bid_total"`
	ByKind      map[string]string `json:"by_kind"`
	ByGroup     map[string]string `json:"by_group"`
	ByLevel     map[string]string `json:"by_level"`
	ByPour      map[string]string `json:"by_pour"`
	Alternates  []jsonAlternate   `json:"alternates"`
}

type jsonAlternate struct {
	Line     string  `json:"line"`
	Amount   *string `json:"amount"`
	BidTotal *string `json:"bid_total"`
}

type jsonDriver struct {
	Quantity string `json:"quantity"`
	Unit     string `json:"unit"`
}

type jsonPour struct {
	Pour            string  `json:"pour"`
	WallConcrete    string  `json:"wall_concrete"`
	FootingConcrete string  `json:"footing_concrete"`
	WallOrder       string  `json:"wall_order"`
	FootingOrder    string  `json:"footing_order"`
	Trucks          int64   `json:"trucks"`
	LeastArea       *string `json:"least_area"`
	AtHeight        *string `json:"at_height"`
	RateOfRise      *string `json:"rate_of_rise"`
	Pressure        *string `json:"pressure"`
	Rating          *string `json:"rating"`
	Status          string  `json:"status"`
	GreatestRate    *string `json:"greatest_rate"`
}

type jsonBar struct {
	Mark   string  `json:"mark"`
	Size   string  `json:"size"`
	Length string  `json:"length"`
	Count  int64   `json:"count"`
	Shape  string  `json:"shape"`
	Wall   *string `json:"wall"`
	Rule   string  `json:"rule"`
}

type jsonPiece struct {
	Length string `json:"length"`
	Count  int64  `json:"count"`
}

type jsonCut struct {
	Item   string      `json:"item"`
	Level  *string     `json:"level"`
	Pour   *string     `json:"pour"`
	Stock  string      `json:"stock"`
	Times  int64       `json:"times"`
	Pieces []jsonPiece `json:"pieces"`
	Drop   string      `json:"drop"`
}

type jsonBound struct {
	Item      string  `json:"item"`
	Level     *string `json:"level"`
	Pour      *string `json:"pour"`
	Cost      string  `json:"cost"`
	LeastCost string  `json:"least_cost"`
	Proven    bool    `json:"proven"`
}

type jsonBrace struct {
	Wall      string   `json:"wall"`
	Item      string   `json:"item"`
	Positions []string `json:"positions"`
}

type jsonRental struct {
	Item   string `json:"item"`
	From   string `json:"from"`
	To     string `json:"to"`
	Count  int64  `json:"count"`
	Charge string `json:"charge"`
}

// writeJSON writes v indented, HTML characters as they are.
func writeJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(escapedControls{w})
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

// name is a text, nil when blank.
func name(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

// amount is a decimal that may be unknown.
func amount(d *decimal.Decimal) *string {
	if d == nil {
		return nil
	}
	s := d.String()
	return &s
}

// list makes a JSON list of rows; never null.
func list[T, R any](rows []T, f func(*T) R) []R {
	out := make([]R, 0, len(rows))
	for i := range rows {
		out = append(out, f(&rows[i]))
	}
	return out
}

func findingsOf(fs []takeoff.Finding) []jsonFinding {
	return list(fs, func(f *takeoff.Finding) jsonFinding {
		return jsonFinding{f.Severity.String(), f.At.String(), f.Text(), name(f.Rule)}
	})
}

// lengths in the unit of the report.
type report struct{ takeoff.Units }

func (r report) len(l length.Length) string { return r.Length.Of(exact.Len(l)).Quantity().String() }

func linesOf(t *takeoff.Takeoff) []jsonLine {
	return list(t.Lines, func(l *takeoff.Line) jsonLine {
		return jsonLine{name(l.Wall), name(l.Opening), name(l.Level), name(l.Pour), l.Item, l.Quantity.String(), string(l.Unit), l.Explained(), l.Rule}
	})
}

func driversOf(t *takeoff.Takeoff) map[string]jsonDriver {
	m := make(map[string]jsonDriver, len(t.Drivers))
	for _, d := range t.Drivers {
		m[d.Name] = jsonDriver{d.Quantity.String(), string(d.Unit)}
	}
	return m
}

// runJSON is the JSON of a priced run.
func runJSON(bid *pricing.Bid, findings []takeoff.Finding, run int, changes any) jsonRun {
	t := bid.Takeoff
	job, r := t.Job, report{t.Units}
	out := jsonRun{
		Job: name(job.Name), Revision: name(job.Revision), Run: run, Currency: job.Currency, Complete: bid.Complete,
		Findings: findingsOf(findings), Lines: linesOf(t), Drivers: driversOf(t), Changes: changes,
	}
	out.Items = list(bid.Items, func(i *pricing.Item) jsonItem {
		j := jsonItem{Item: i.Name, Net: i.Net.String(), Order: i.Order.String(), Unit: string(i.Unit), Price: amount(i.Price),
			Extension: amount(i.Extension), Supplier: name(i.Supplier), Group: i.Group, Kind: i.Kind}
		if i.Length > 0 {
			s := r.len(i.Length)
			j.Length = &s
		}
		return j
	})
	for _, x := range bid.Extras {
		q := x.Quantity.String()
		out.Items = append(out.Items, jsonItem{Item: x.Line, Net: q, Order: q, Unit: string(x.Unit), Price: amount(x.Price),
			Extension: amount(x.Extension), Group: pricing.KindExtra, Kind: pricing.KindExtra})
	}
	out.Totals = totalsOf(bid)
	out.Pours = list(t.Pours, func(p *takeoff.PourPlan) jsonPour {
		return jsonPour{p.Pour, p.WallConcrete.String(), p.FootingConcrete.String(), p.WallOrder.String(), p.FootingOrder.String(), p.Trucks,
			amount(p.LeastArea), amount(p.AtHeight), amount(p.RateOfRise), amount(p.Pressure), amount(p.Rating), p.Status, amount(p.GreatestRate)}
	})
	out.Bars = list(t.Bars, func(b *takeoff.BarRow) jsonBar {
		return jsonBar{b.Mark, b.Bar.Size, r.len(b.Length), b.Count, b.Shape, name(b.Wall), b.Rule}
	})
	out.Cuts, out.CutBounds = []jsonCut{}, []jsonBound{}
	for i := range t.Cuts {
		c := &t.Cuts[i]
		scale := -c.PriceScale
		out.CutBounds = append(out.CutBounds, jsonBound{c.Item, name(c.Level), name(c.Pour),
			decimal.New(c.Plan.Cost, scale).String(), decimal.New(c.Plan.LeastCost, scale).String(), c.Plan.Proven})
		for _, p := range c.Plan.Patterns {
			cut := jsonCut{Item: c.Item, Level: name(c.Level), Pour: name(c.Pour), Stock: r.len(length.Length(c.Problem.Stock[p.Stock].Length)),
				Times: p.Times, Pieces: []jsonPiece{}, Drop: r.len(length.Length(p.Drop))}
			for _, q := range p.Pieces {
				cut.Pieces = append(cut.Pieces, jsonPiece{r.len(length.Length(q.Length)), q.Count})
			}
			out.Cuts = append(out.Cuts, cut)
		}
	}
	out.Braces = list(t.Braces, func(b *takeoff.BraceRow) jsonBrace {
		return jsonBrace{b.Wall, b.Item, list(b.Positions, func(l *length.Length) string { return r.len(*l) })}
	})
	out.Rentals = list(bid.Rentals, func(s *pricing.Stretch) jsonRental {
		return jsonRental{s.Item, s.From.String(), s.To.String(), s.Count, s.Charge.String()}
	})
	return out
}

func totalsOf(bid *pricing.Bid) jsonTotals {
	t := &bid.Totals
	by := func(as []pricing.Amount) map[string]string {
		m := make(map[string]string, len(as))
		for _, a := range as {
			m[a.Name] = a.Amount.String()
		}
		return m
	}
	return jsonTotals{
		Direct: t.Direct.String(), Tax: t.Tax.String(), Contingency: t.Contingency.String(), Overhead: t.Overhead.String(),
		Cost: t.Cost.String(), Profit: t.Profit.String(), Bond: t.Bond.String(), Rounding: t.Rounding.String(), BidTotal: t.BidTotal.String(),
		ByKind: by(t.ByKind), ByGroup: by(t.ByGroup), ByLevel: by(t.ByLevel), ByPour: by(t.ByPour),
		Alternates: list(bid.Alternates, func(a *pricing.Alternate) jsonAlternate {
			return jsonAlternate{a.Line, amount(a.Extension), amount(a.BidTotal)}
		}),
	}
}
