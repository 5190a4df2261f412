package takeoff

import (
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// AreaCount is what the rule of thumb would buy of a form line and core, its net area over the area of a unit plus a waste,
// beside what courses and cut plans count. It buys nothing: it shows what the count is worth.
type AreaCount struct {
	Line, CoreName           string
	Area                     exact.Num // nm², both faces of loose boards, openings deducted
	UnitLength, CourseHeight length.Length
	WastePercent             int64
	Units                    int64     // by the rule of thumb
	Counted                  exact.Num // whole, cut-plan, corner and ledge units; one of a half course by its share of the height
}

// areaWastePercent is the waste that a count by area guesses. Common practice, from memory: 5%, as for concrete.
const areaWastePercent = 5

// laidUnits is gathered as drivers are and is none: no Factors row may name it.
const laidUnits = "laid-units"

// layUnits adds units of a Forms row to what its courses and cut plans count.
func (p *pass) layUnits(f *FormRow, half bool, n exact.Num) {
	if half && f.CourseHeight > 0 {
		n = n.Mul(exact.Frac(int64(f.HalfCourse), int64(f.CourseHeight)))
	}
	p.drive(laidUnits, place{Line: f.Line, Core: f.Core}, n)
}

// countByArea sets the rule of thumb beside every form row that has walls.
func (p *pass) countByArea() {
	for _, f := range p.job.Forms {
		laid, area := exact.Num{}, exact.Num{}
		for k, v := range p.drivers {
			switch {
			case !sameName(k.Line, f.Line) || k.Core != f.Core:
			case k.name == "form-area":
				area = area.Add(v)
			case k.name == laidUnits:
				laid = laid.Add(v)
			}
		}
		if laid.IsZero() || f.CourseHeight <= 0 || f.UnitLength <= 0 {
			continue
		}
		if f.Faces {
			area = area.Times(2)
		}
		c := AreaCount{Line: f.Line, CoreName: f.CoreName, Area: area, UnitLength: f.UnitLength, CourseHeight: f.CourseHeight,
			WastePercent: areaWastePercent, Counted: laid}
		c.Units = area.Mul(exact.Frac(100+areaWastePercent, 100)).Div(exact.Len(f.UnitLength).Mul(exact.Len(f.CourseHeight))).Ceil()
		p.out.ByArea = append(p.out.ByArea, c)
	}
}
