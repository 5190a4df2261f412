package pricing

import (
	"fmt"
	"sort"
	"strings"
	"unicode"

	"wallbill/takeoff"
)

// mostNear bounds the unpriced items whose names are looked for among the price rows: a job without prices has thousands.
const mostNear = 50

// nearRow is a price row that nothing counts, named almost as an item is; nil where there is none, or several names.
func (p *pricer) nearRow(item string) *takeoff.PriceRow {
	if p.near++; p.near > mostNear {
		return nil
	}
	var names []string
	rows := map[string]*takeoff.PriceRow{}
	for _, r := range p.job.Prices {
		if p.book.byKey[takeoff.ItemKey(r.Item)] == nil && rows[r.Item] == nil {
			rows[r.Item] = r
			names = append(names, r.Item)
		}
	}
	return rows[takeoff.Nearest(item, names)]
}

// sameLetters is a name without case and without all that is neither letter nor digit: bar-#4 and Bar 4 are alike.
func sameLetters(name string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, name)
}

// misspelt notes price rows that nothing counts because their name differs by a sign or a space from an item that is counted:
// a stock length or a period that the bid would pass over in silence.
func (p *pricer) misspelt() {
	counted := map[string]*Item{}
	for i := range p.bid.Items {
		if it := &p.bid.Items[i]; it.Row != nil { // of an item without a row P-MISSING says more
			counted[sameLetters(it.Name)] = it
		}
	}
	var rows []*takeoff.PriceRow
	for _, r := range p.job.Prices {
		if p.book.byKey[takeoff.ItemKey(r.Item)] == nil && counted[sameLetters(r.Item)] != nil {
			rows = append(rows, r)
		}
	}
	sort.SliceStable(rows, func(i, j int) bool { return rows[i].At.Row < rows[j].At.Row })
	for _, r := range rows {
		p.say(takeoff.Note, cell(r, "item"), "P-PRICE", "%s: nothing is counted by this name; did you mean %s?", r.Item, counted[sameLetters(r.Item)].Name)
	}
}

// missing is P-MISSING.
func (p *pricer) missing(t *tally, it *Item) {
	if len(p.rows(it.Key)) > 0 {
		return // a row that does not fit is an error of its own
	}
	message := fmt.Sprintf("no price for %s (%s %s): until a row of Prices has it, it counts nothing and the bid is INCOMPLETE", it.Name, it.Net.Round(4), it.Unit)
	if r := p.nearRow(it.Name); r != nil {
		message += "; or is it " + r.Item + " of " + cell(r, "item").String() + "?"
	}
	p.say(takeoff.Warning, t.at, "P-MISSING", "%s", message)
}
