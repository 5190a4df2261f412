package sheet

import (
	"encoding/xml"
	"fmt"
	"maps"
	"sort"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"wallbill/pricing/revision"
	"wallbill/takeoff"
)

// resultsProperty is the document property that lists which tabs are results: a tab's name alone does not make it one.
const resultsProperty = "wallbill results"

// makeTabs makes the results tabs that are not there and empties those that are, where they stand.
func (p *priced) makeTabs() error {
	ours, err := ownTabs(p.f)
	if err != nil {
		return err
	}
	have := map[string]string{} // by lower-case name
	for _, name := range p.f.GetSheetList() {
		have[strings.ToLower(name)] = name
	}
	for _, t := range resultTabs {
		name, there := have[strings.ToLower(t.name)]
		if there && !ours[strings.ToLower(t.name)] {
			return fmt.Errorf("tab %s: %s", name, takenName)
		}
	}
	var old []string
	for _, t := range resultTabs {
		if name, there := have[strings.ToLower(t.name)]; there && t.fill != nil {
			old = append(old, name)
		}
	}
	if err := emptyTabs(p.f, old); err != nil {
		return err
	}
	for _, t := range resultTabs {
		if _, there := have[strings.ToLower(t.name)]; !there && t.fill != nil {
			if _, err := p.f.NewSheet(t.name); err != nil {
				return fmt.Errorf("making tab %s: %w", t.name, err)
			}
		}
	}
	return nil
}

// ownTabs are the lower-case names of the tabs that an earlier run wrote as results.
func ownTabs(f *excelize.File) (map[string]bool, error) {
	ours := map[string]bool{}
	props, err := f.GetCustomProps()
	if err != nil {
		return nil, fmt.Errorf("reading the document's properties: %w", err)
	}
	for _, c := range props {
		if list, ok := c.Value.(string); ok && c.Name == resultsProperty {
			ours = listed(list)
		}
	}
	if len(ours) > 0 {
		return ours, nil
	}
	if first, err := f.GetCellValue(tabRecord, recordStart); err == nil && first == revision.RecordMark {
		return allResults(), nil
	}
	return ours, nil
}

// recordStart is the Record's cell that tells it from a user's tab of that name.
var recordStart = "A" + strconv.Itoa(headRow+1)

// allResults are the lower-case names of all results tabs.
func allResults() map[string]bool {
	all := map[string]bool{}
	for _, t := range resultTabs {
		all[strings.ToLower(t.name)] = true
	}
	return all
}

// results are the lower-case names of the tabs that an earlier run wrote. The document's properties list them; where another
// program dropped those, the Record tells.
func (w *Workbook) results() (map[string]bool, error) {
	props, err := w.properties()
	if err != nil {
		return nil, err
	}
	if list := props[resultsProperty]; list != "" {
		return listed(list), nil
	}
	for i := range w.tabs {
		if t := &w.tabs[i]; strings.EqualFold(t.Name, tabRecord) {
			for _, r := range t.Rows {
				if r.Number == headRow+1 && len(r.Cells) > 0 && r.Cells[0].Value == revision.RecordMark {
					return allResults(), nil
				}
			}
		}
	}
	return nil, nil
}

// listed are the lower-case names of a list of tabs.
func listed(list string) map[string]bool {
	ours := map[string]bool{}
	for _, name := range strings.Split(list, ";") {
		ours[strings.ToLower(strings.TrimSpace(name))] = true
	}
	return ours
}

// resultsListed are the lower-case names of the results tabs that the document's properties list.
func (w *Workbook) resultsListed() map[string]bool {
	props, err := w.properties()
	if err != nil {
		return nil // what stands on the tabs tells
	}
	all := allResults()
	ours := listed(props[resultsProperty])
	maps.DeleteFunc(ours, func(name string, _ bool) bool { return !all[name] })
	return ours
}

// takenName is what is wrong with a user's own tab that has a results tab's name.
const takenName = "a tab of your own with the name of a results tab"

// taken are findings of the user's own tabs that have the name of a results tab: results never overwrite them.
func (w *Workbook) taken() []takeoff.Finding {
	ours, err := w.results()
	if err != nil {
		return nil // writing the results says so
	}
	var findings []takeoff.Finding
	for _, name := range w.tabNames() {
		if k := strings.ToLower(name); allResults()[k] && !ours[k] {
			findings = append(findings, takeoff.Finding{Severity: takeoff.Error, At: takeoff.Ref{Tab: name}, Message: takenName, Accepted: "another name: results are written to tab " + name})
		}
	}
	return findings
}

// totalNames are the workbook's names for the scalar totals, as JSON has them, with their cells on Bid.
func (p *priced) totalNames() []excelize.DefinedName {
	cell := func(row int) string { return cellFixed(tabBid, "C", row) }
	var names []excelize.DefinedName
	for _, n := range []struct {
		name string
		row  int
	}{
		{"direct", bidDirect}, {"tax", bidTax}, {"contingency", bidContingency}, {"overhead", bidOverhead}, {"cost", bidCost},
		{"profit", bidProfit}, {"bond", bidBond}, {"rounding", bidRounding}, {"bid_total", bidTotal},
	} {
		names = append(names, excelize.DefinedName{Name: n.name, RefersTo: cell(n.row)})
	}
	return names
}

// nameTotals defines the totals' names. A name of the user's own with that spelling is kept, with a warning.
func (p *priced) nameTotals() []takeoff.Finding {
	var said []takeoff.Finding
	taken := map[string]excelize.DefinedName{}
	for _, d := range p.f.GetDefinedName() {
		if d.Scope == "Workbook" {
			taken[strings.ToLower(d.Name)] = d
		}
	}
	for _, n := range p.totalNames() {
		if d, there := taken[n.Name]; there {
			if !pointsAtBid(d.RefersTo) {
				said = append(said, takeoff.Finding{Severity: takeoff.Warning, At: takeoff.Ref{Tab: tabBid},
					Message: fmt.Sprintf("the workbook has a name %q of its own (%s); it is kept, so that it does not mean the bid's total of that name", d.Name, d.RefersTo)})
				continue
			}
			_ = p.f.DeleteDefinedName(&excelize.DefinedName{Name: d.Name})
		}
		if err := p.f.SetDefinedName(&n); err != nil {
			said = append(said, takeoff.Finding{Severity: takeoff.Warning, At: takeoff.Ref{Tab: tabBid},
				Message: fmt.Sprintf("the name %q could not be given to its cell: %v", n.Name, err)})
		}
	}
	return said
}

// pointsAtBid tells whether a name is one of an earlier run.
func pointsAtBid(refersTo string) bool {
	return strings.HasPrefix(refersTo, quoteTab(tabBid)+"!") || strings.HasPrefix(refersTo, tabBid+"!")
}

// takenNames collects the names that a new table may not have: those of tables and defined names in the workbook.
func (p *priced) takenNames() {
	p.tables = map[string]bool{}
	for _, d := range p.f.GetDefinedName() {
		p.tables[strings.ToLower(d.Name)] = true
	}
	p.f.Pkg.Range(func(key, value any) bool {
		if name := key.(string); strings.HasPrefix(name, "xl/tables/") {
			var t struct {
				Name string `xml:"displayName,attr"`
			}
			if xml.Unmarshal(value.([]byte), &t) == nil {
				p.tables[strings.ToLower(t.Name)] = true
			}
		}
		return true
	})
}

// freeName is a table's name, with a number after it where the workbook has that name already.
func (p *priced) freeName(name string) string {
	free := name
	for i := 2; p.tables[strings.ToLower(free)]; i++ {
		free = name + "_" + strconv.Itoa(i)
	}
	p.tables[strings.ToLower(free)] = true
	return free
}

// sortedKeys are a map's keys in order.
func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}
