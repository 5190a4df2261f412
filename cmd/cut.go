package cmd

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/shopspring/decimal"
	"github.com/spf13/cobra"

	"wallbill/takeoff"
	"wallbill/takeoff/cutting"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/number"
)

type cutFlags struct {
	stock, kerf, unit, effort, json string
	unitGiven                       bool
}

// cutCommand is a cut plan for any list of lengths.
func (a *app) cutCommand() *cobra.Command {
	var f cutFlags
	c := &cobra.Command{
		Use:   "cut PIECES.csv --stock STOCK.csv",
		Short: "Plan how to cut any list of lengths from stock",
		Long: `Plan which stock to buy and how to cut the pieces wanted out of it at the least cost. The plan states the least that
any plan could cost: it is proven least, or at most so much over.

PIECES.csv has a header row with length, quantity and, if you like, mark; STOCK.csv has length and price (without prices
each stock piece costs 1). Columns stand in any order. A length is typed as in a schedule (24'-6 1/2", 7.5 m); a bare number is in
--unit. The kerf is lost at each piece and is not needed at the end of the stock. With something wrong in a list, or a
piece longer than every stock, the exit status is 2.`,
		Example: `  wallbill cut pieces.csv --stock stock.csv
  wallbill cut pieces.csv --stock stock.csv --kerf 1/8 --unit in
  wallbill cut pieces.csv --stock stock.csv --unit mm --json plan.json`,
		Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			f.unitGiven = c.Flags().Changed("unit")
			return a.cut(args[0], f)
		},
	}
	c.Flags().StringVar(&f.stock, "stock", "", "the stock that can be bought: length and price")
	c.Flags().StringVar(&f.kerf, "kerf", "0", "width of the saw's cut")
	c.Flags().StringVar(&f.unit, "unit", "in", "unit of bare numbers and of the plan: in, ft, m or mm; not given, a plan is printed as the lengths are typed")
	c.Flags().StringVar(&f.effort, "effort", "1", "work spent on the plan; 1 is about a second at worst")
	_ = c.MarkFlagRequired("stock")
	_ = c.MarkFlagFilename("stock", "csv")
	jsonFlag(c, &f.json)
	return c
}

// cutUnits are the units of --unit.
var cutUnits = map[string]length.Length{"in": length.Inch, "ft": length.Foot, "m": length.Metre, "mm": length.Millimetre}

// cutList is what is to be cut, from what.
type cutList struct {
	unit    length.Length
	as      length.Length // the unit lengths are printed in
	pieces  []cutPiece
	problem cutting.Problem
	priced  bool  // the stock has prices
	scale   int32 // prices of the problem are those of the stock × 10^scale
}

func (a *app) cut(piecesFile string, f cutFlags) error {
	l := &cutList{unit: cutUnits[f.unit]}
	l.as = l.unit
	if l.unit == 0 {
		return fmt.Errorf("--unit %s: in, ft, m or mm", f.unit)
	}
	kerf, err := length.Parse(f.kerf, l.unit)
	if err != nil {
		return fmt.Errorf("--kerf %s: %w", f.kerf, err)
	}
	l.problem.Kerf = int64(kerf)
	effort, err := effortFlag(f.effort)
	if err != nil {
		return err
	}
	findings, err := a.readLists(l, piecesFile, f.stock, f.unitGiven)
	if err != nil {
		return err
	}
	var plan cutting.Plan
	if !takeoff.HasErrors(findings) {
		err := a.guarded(func() (err error) { plan, err = cutting.Solve(l.problem, workOf(effort)); return err })
		switch {
		case errors.Is(err, cutting.ErrTooLarge):
			name, _ := listNames(piecesFile, f.stock)
			findings = append(findings, takeoff.Finding{Severity: takeoff.Error, At: takeoff.Ref{Tab: name}, Message: err.Error()})
		case err != nil:
			return err
		}
	}
	if !a.quiet || takeoff.HasErrors(findings) {
		a.writeFindings(a.Err, a.color(a.Err), "", findings)
	}
	if takeoff.HasErrors(findings) {
		if err := a.putJSON(f.json, jsonFindings{Complete: false, Findings: findingsOf(findings)}); err != nil {
			return err
		}
		return &exitError{status: exitErrors, message: count(findings) + "; no plan was made"}
	}
	if f.json != "-" {
		l.print(a.Out, plan)
	}
	return a.putJSON(f.json, l.json(plan))
}

// workOf is the work of an effort; more than can be counted is all there is.
func workOf(effort decimal.Decimal) cutting.Work {
	milli := effort.Shift(3).Floor().BigInt()
	if !milli.IsInt64() {
		milli.SetInt64(1<<63 - 1)
	}
	return cutting.EffortMilli(milli.Int64())
}

// readLists reads both lists into l. Findings are of the lists; the error is of a file.
func (a *app) readLists(l *cutList, piecesFile, stockFile string, unitGiven bool) ([]takeoff.Finding, error) {
	var findings []takeoff.Finding
	piecesName, stockName := listNames(piecesFile, stockFile)
	t, pieces, err := a.readPieces(piecesFile, piecesName, l.unit, &findings)
	if err != nil {
		return nil, err
	}
	before := len(findings)
	stock, priced, err := a.readStock(stockFile, stockName, l.unit, &findings)
	if err != nil {
		return nil, err
	}
	l.pieces, l.priced = pieces, priced
	if !unitGiven {
		l.as = printedIn(pieces, stock, l.unit)
	}
	longest := length.Length(0)
	for _, s := range stock {
		longest = max(longest, s.length)
	}
	if !takeoff.HasErrors(findings[before:]) { // else the longest may be among the rows that could not be read
		for _, p := range pieces {
			if p.length > longest && p.count > 0 {
				t.wrong(p.row, "length", "longer than every stock length", l.show(longest)+" at most", "")
			}
		}
	}
	var ok bool
	if l.problem.Stock, l.scale, ok = wholePrices(stock); !ok {
		findings = append(findings, takeoff.Finding{Severity: takeoff.Error, At: takeoff.Ref{Tab: stockName}, Message: "prices too large, or with too many decimals, to plan"})
	}
	for _, p := range pieces {
		l.problem.Pieces = append(l.problem.Pieces, cutting.Piece{Length: int64(p.length), Count: p.count})
	}
	takeoff.SortFindings(findings, []string{piecesName, stockName})
	return findings, nil
}

// jsonCutPlan is the JSON of cut: bought, times and count are integers, other numbers exact decimals in strings, lengths in
// --unit.
type jsonCutPlan struct {
	Bought    int64            `json:"bought"`
	Cost      string           `json:"cost"`
	LeastCost string           `json:"least_cost"`
	Proven    bool             `json:"proven"`
	Patterns  []jsonCutPattern `json:"patterns"`
}

type jsonCutPattern struct {
	Stock  string      `json:"stock"`
	Times  int64       `json:"times"`
	Pieces []jsonPiece `json:"pieces"`
	Drop   string      `json:"drop"`
}

func (l *cutList) json(plan cutting.Plan) jsonCutPlan {
	in := func(nm int64) string { return exact.Frac(nm, int64(l.unit)).Quantity().String() }
	return jsonCutPlan{plan.Bought, l.cost(plan.Cost).String(), l.cost(plan.LeastCost).String(), plan.Proven,
		list(plan.Patterns, func(p *cutting.Pattern) jsonCutPattern {
			return jsonCutPattern{in(l.problem.Stock[p.Stock].Length), p.Times, list(p.Pieces, func(x *cutting.Piece) jsonPiece {
				return jsonPiece{in(x.Length), x.Count}
			}), in(p.Drop)}
		})}
}

// cost is a cost of the problem in the money of the stock's prices.
func (l *cutList) cost(n int64) decimal.Decimal { return decimal.New(n, -l.scale) }

// printedIn is the unit that all lengths are given in: feet also where some are inches alone, millimetres where some are
// metres, and that of bare numbers where there are any or the lists mix more.
func printedIn(pieces []cutPiece, stock []cutStock, bare length.Length) length.Length {
	given := map[length.Length]bool{}
	for _, p := range pieces {
		given[p.typed] = true
	}
	for _, s := range stock {
		given[s.typed] = true
	}
	only := func(units ...length.Length) bool {
		n := 0
		for _, u := range units {
			if given[u] {
				n++
			}
		}
		return n > 0 && n == len(given)
	}
	switch {
	case only(length.Inch):
		return length.Inch
	case only(length.Foot, length.Inch):
		return length.Foot
	case only(length.Metre):
		return length.Metre
	case only(length.Metre, length.Centimetre, length.Millimetre):
		return length.Millimetre
	}
	return bare
}

// show prints a length as it is read off a tape, in the unit the lists are given in.
func (l *cutList) show(x length.Length) string {
	switch l.as {
	case length.Metre:
		return x.M()
	case length.Millimetre:
		return x.MM()
	case length.Foot:
		if x%length.Inch64 == 0 {
			return x.FtIn()
		}
		return l.decimals(x, " ft")
	}
	if x%length.Inch64 != 0 {
		return l.decimals(x, `"`)
	}
	whole, rest := x/length.Inch, x%length.Inch
	switch {
	case rest == 0:
		return strconv.FormatInt(int64(whole), 10) + `"`
	case whole == 0:
		return rest.FtIn()
	}
	return strconv.FormatInt(int64(whole), 10) + " " + rest.FtIn()
}

// mostDecimals is how fine a length is printed in inches or feet; a finer one is printed in exact millimetres.
const mostDecimals = 6

func (l *cutList) decimals(x length.Length, sign string) string {
	n := exact.Frac(int64(x), int64(l.as))
	d := n.Round(mostDecimals)
	if exact.Dec(d).Cmp(n) != 0 {
		return x.MM()
	}
	return number.Text(d) + sign
}

// print is the plan as a person at the saw follows it.
func (l *cutList) print(out io.Writer, plan cutting.Plan) {
	if plan.Bought == 0 {
		fmt.Fprintln(out, "nothing to cut")
		return
	}
	fmt.Fprintf(out, "buy %s", counted(plan.Bought, "stock piece"))
	if l.priced {
		fmt.Fprintf(out, " for %s", number.Text(l.cost(plan.Cost)))
	}
	fmt.Fprintf(out, ": %s\n", l.proof(plan))
	times := make([]int64, len(l.problem.Stock))
	for _, p := range plan.Patterns {
		times[p.Stock] += p.Times
	}
	for i, s := range l.problem.Stock {
		if times[i] == 0 {
			continue
		}
		fmt.Fprintf(out, "  %d × %s", times[i], l.show(length.Length(s.Length)))
		if l.priced {
			fmt.Fprintf(out, " at %s", number.Text(l.cost(s.Price)))
		}
		fmt.Fprintln(out)
	}
	if l.problem.Kerf > 0 {
		fmt.Fprintf(out, "kerf %s\n", l.show(length.Length(l.problem.Kerf)))
	}
	lots, marks := l.lots()
	for i, shares := range cutting.Allot(plan.Patterns, lots) {
		p := &plan.Patterns[i]
		fmt.Fprintf(out, "\ncut %d: %d × %s, drop %s", i+1, p.Times, l.show(length.Length(l.problem.Stock[p.Stock].Length)), l.show(length.Length(p.Drop)))
		if p.Times > 1 && p.Drop > 0 {
			fmt.Fprint(out, " of each")
		}
		fmt.Fprintln(out)
		for k, x := range p.Pieces {
			line := fmt.Sprintf("  %d × %s", x.Count, l.show(length.Length(x.Length)))
			if words := forMarks(shares[k], marks, x.Count*p.Times); len(words) > 0 {
				if p.Times > 1 {
					words[0] = fmt.Sprintf("%d in all: %s", x.Count*p.Times, words[0])
				}
				line = wrapped(line+"   ", words)
			}
			fmt.Fprintln(out, line)
		}
	}
}

// proof says how good the plan is.
func (l *cutList) proof(plan cutting.Plan) string {
	if plan.Proven {
		return "proven least"
	}
	return "at most " + number.Text(l.cost(plan.Cost-plan.LeastCost)) + " over the least"
}

// lots are the pieces by length and mark, in the order of the list.
func (l *cutList) lots() (lots []cutting.Lot, marks []string) {
	type key struct {
		length length.Length
		mark   string
	}
	at := map[key]int{}
	for _, p := range l.pieces {
		k := key{p.length, p.mark}
		i, ok := at[k]
		if !ok {
			i = len(lots)
			at[k] = i
			lots, marks = append(lots, cutting.Lot{Length: int64(p.length)}), append(marks, p.mark)
		}
		lots[i].Count += p.count
	}
	return lots, marks
}

// forMarks names the marks that pieces are for, with the number of each where it is not the only one; nothing where no
// piece has a mark.
func forMarks(shares []cutting.Share, marks []string, all int64) []string {
	var words []string
	named := false
	for i, s := range shares {
		w := marks[s.Lot]
		named = named || w != ""
		if w == "" {
			w = "without mark"
		}
		if s.Count < all {
			w = fmt.Sprintf("%s × %d", w, s.Count)
		}
		if i < len(shares)-1 {
			w += ","
		}
		words = append(words, w)
	}
	if !named {
		return nil
	}
	return words
}

// lineWidth is how many characters a line of the plan has at most.
const lineWidth = 100

// wrapped puts words behind a beginning, below one another where they pass the line's width.
func wrapped(begin string, words []string) string {
	var b strings.Builder
	b.WriteString(begin)
	indent := utf8.RuneCountInString(begin)
	at := indent
	for i, w := range words {
		n := utf8.RuneCountInString(w)
		switch {
		case i == 0:
		case at+1+n > lineWidth:
			b.WriteString("\n" + strings.Repeat(" ", indent))
			at = indent
		default:
			b.WriteByte(' ')
			at++
		}
		b.WriteString(w)
		at += n
	}
	return b.String()
}

// counted is a number of things: 1 stock piece, 2 stock pieces.
func counted(n int64, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.FormatInt(n, 10) + " " + what + "s"
}
