package sheet

import (
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
)

// The control sums of quantities: what one tab counts against what another does. Each gives its formula and the exact value
// that this run has.

// ofTakeoff is a column of the lines.
func (p *priced) ofTakeoff(letter string) string {
	return colRange(tabTakeoff, letter, firstRow, p.layout.takeoffLast)
}

// allLines is the sum of all quantities of Takeoff: a control total, whose units do not matter.
func (p *priced) allLines() (string, decimal.Decimal) {
	sum := decimal.Decimal{}
	for i := range p.t.Lines {
		sum = sum.Add(p.t.Lines[i].Quantity)
	}
	return "SUM(" + p.ofTakeoff(takeoffQuantity) + ")", sum
}

// itemsOfLines is the same sum by way of the rows of Priced items: the lines of each item, an item of several rows (stock
// lengths, rental periods) once.
func (p *priced) itemsOfLines() (string, decimal.Decimal) {
	priced := map[string]bool{}
	for i := range p.bid.Items {
		priced[takeoff.ItemKey(p.bid.Items[i].Name)] = true
	}
	sum := decimal.Decimal{}
	for i := range p.t.Lines {
		if priced[takeoff.ItemKey(p.t.Lines[i].Item)] {
			sum = sum.Add(p.t.Lines[i].Quantity)
		}
	}
	if len(p.bid.Items) == 0 {
		return "0", sum
	}
	items := colRange(tabPriced, pricedItem, firstRow, firstRow+len(p.bid.Items)-1)
	return "SUMPRODUCT(SUMIFS(" + p.ofTakeoff(takeoffQuantity) + "," + p.ofTakeoff(takeoffItem) + "," + items + ")/COUNTIF(" + items + "," + items + "))", sum
}

// byRules is the sum of the lines of some rules.
func byRules(rules ...string) func(*priced) (string, decimal.Decimal) {
	return func(p *priced) (string, decimal.Decimal) {
		var parts []string
		for _, r := range rules {
			parts = append(parts, "SUMIFS("+p.ofTakeoff(takeoffQuantity)+","+p.ofTakeoff(takeoffRule)+`,"`+r+`")`)
		}
		sum := decimal.Decimal{}
		for i := range p.t.Lines {
			for _, r := range rules {
				if p.t.Lines[i].Rule == r {
					sum = sum.Add(p.t.Lines[i].Quantity)
				}
			}
		}
		return strings.Join(parts, "+"), sum
	}
}

func (p *priced) unitLines() (string, decimal.Decimal) { return byRules("R-BLOCK", "R-FACES")(p) }

// The columns of Courses that control sums read.
const (
	coursesWhole    = "L"
	coursesCorners  = "O"
	coursesClosures = "P"
	coursesTimes    = "Q"
)

// ofCourses is a column of Courses.
func (p *priced) ofCourses(letter string) string {
	return colRange(tabCourses, letter, firstRow, headRow+max(len(p.t.Courses), 1))
}

func (p *priced) unitsOfCourses() (string, decimal.Decimal) {
	n := int64(0)
	for i := range p.t.Courses {
		c := &p.t.Courses[i]
		for _, s := range c.Segments {
			for _, u := range s.Fill {
				if u.Whole && !u.Ledge {
					n += p.runCount(c.Wall)
				}
			}
		}
	}
	return "SUMPRODUCT(" + p.ofCourses(coursesWhole) + "*" + p.ofCourses(coursesTimes) + ")", decimal.NewFromInt(n)
}

func (p *priced) cornersOfCourses() (string, decimal.Decimal) {
	sum := exact.Num{}
	for i := range p.t.Courses {
		c := &p.t.Courses[i]
		sum = sum.Add(c.CornerUnits.Times(p.runCount(c.Wall)))
	}
	return "SUMPRODUCT(" + p.ofCourses(coursesCorners) + "*" + p.ofCourses(coursesTimes) + ")", sum.Quantity()
}

func (p *priced) closuresOfCourses() (string, decimal.Decimal) {
	n := int64(0)
	for i := range p.t.Courses {
		n += p.t.Courses[i].EndCaps * p.runCount(p.t.Courses[i].Wall)
	}
	return "SUMPRODUCT(" + p.ofCourses(coursesClosures) + "*" + p.ofCourses(coursesTimes) + ")", decimal.NewFromInt(n)
}

// massOfBars is the mass of Bar list less what extras add, which no driver counts, and less what was raised to
// whole bars.
func (p *priced) massOfBars() (string, decimal.Decimal) {
	sum := decimal.Decimal{}
	for i := range p.t.Bars {
		if p.t.Bars[i].Rule != ruleExtra {
			sum = sum.Add(p.t.Bars[i].Mass).Sub(p.t.Bars[i].Raised)
		}
	}
	column := func(letter string) string { return colRange(tabBars, letter, firstRow, headRow+max(len(p.t.Bars), 1)) }
	return "SUM(" + column("H") + ")-SUMIFS(" + column("H") + "," + column("N") + `,"` + ruleExtra + `")-SUM(` + column("O") + ")", sum
}

// massDriver is the driver on Bid inputs.
func (p *priced) massDriver() (string, decimal.Decimal) {
	row, ok := p.layout.driverRow["bar-mass"]
	if !ok {
		return "", decimal.Decimal{}
	}
	for _, d := range p.t.Drivers {
		if d.Name == "bar-mass" {
			return cellRef(tabInputs, "B", row), d.Quantity
		}
	}
	return cellRef(tabInputs, "B", row), decimal.Decimal{}
}

// concreteOfPours is the concrete of walls and footings of all pours.
func (p *priced) concreteOfPours() (string, decimal.Decimal) {
	sum := decimal.Decimal{}
	for i := range p.t.Pours {
		sum = sum.Add(p.t.Pours[i].WallConcrete).Add(p.t.Pours[i].FootingConcrete)
	}
	last := strconv.Itoa(headRow + max(len(p.t.Pours), 1))
	return "SUM(" + prefix(tabPourPlan) + "$F$" + strconv.Itoa(firstRow) + ":$G$" + last + ")", sum
}

// concreteLines is the concrete of the lines that belong to a pour.
func (p *priced) concreteLines() (string, decimal.Decimal) {
	sum := decimal.Decimal{}
	for i := range p.t.Lines {
		l := &p.t.Lines[i]
		if strings.HasPrefix(takeoff.ItemKey(l.Item), concretePrefix) && l.Pour != "" {
			sum = sum.Add(l.Quantity)
		}
	}
	return "SUMPRODUCT((LEFT(" + p.ofTakeoff(takeoffItem) + "," + strconv.Itoa(len(concretePrefix)) + `)="` + concretePrefix + `")*(` + p.ofTakeoff(takeoffPour) + `<>"")*` + p.ofTakeoff(takeoffQuantity) + ")", sum
}

const ruleExtra = "R-EXTRA"

const concretePrefix = "concrete-"
