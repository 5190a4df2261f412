package takeoff

import (
	"wallbill/takeoff/exact"
	"wallbill/takeoff/unit"
)

// DriverSpec is a driver of R-FACTOR: what the Per column may name.
type DriverSpec struct {
	Name      string
	Dimension unit.Dimension
	Help      string
}

// DriverSpecs lists the drivers in the order reports give them.
var DriverSpecs = []DriverSpec{
	{"wall-area", unit.Area, "gross wall area, exterior line"},
	{"form-area", unit.Area, "wall area less openings"},
	{"wall-length", unit.Length, "length of walls, exterior line"},
	{"form-units", unit.Count, "whole, cut-plan and corner units"},
	{"form-cuts", unit.Count, "cut form pieces"},
	{"corners", unit.Count, "corner and angle units"},
	{"building-corners", unit.Count, "corners, exterior and inside"},
	{"tees", unit.Count, "tees"},
	{"free-ends", unit.Count, "free wall ends"},
	{"openings", unit.Count, "openings"},
	{"opening-perimeter", unit.Length, "buck perimeter"},
	{"opening-area", unit.Area, "area of openings"},
	{"wall-concrete", unit.Volume, "concrete of walls and ledges"},
	{"footing-concrete", unit.Volume, "concrete of footings, steps and pads"},
	{"footing-length", unit.Length, "length of footings"},
	{"bar-mass", unit.Mass, "mass of bars"},
	{"bars", unit.Count, "bar pieces after splicing"},
	{"bar-caps", unit.Count, "dowels, and verticals of the top level"},
	{"membrane-area", unit.Area, "area of membrane sheet"},
	{"membrane-length", unit.Length, "length of wall with membrane"},
	{"primer-area", unit.Area, "area of primer"},
	{"coating-area", unit.Area, "area of coating"},
	{"board-area", unit.Area, "area of drainage sheet"},
	{"drain-length", unit.Length, "length of drain pipe"},
	{"drain-corners", unit.Count, "corners of the drain"},
	{"parge-area", unit.Area, "parged area"},
	{"ledge-length", unit.Length, "length of brick ledge"},
	{"ledger-length", unit.Length, "length of floor ledger"},
	{"base-length", unit.Length, "exterior and inner lines at the base"},
	{"plate-length", unit.Length, "length of top plate"},
	{"brace-positions", unit.Count, "brace-set and brace-tall positions"},
	{"braces", unit.Count, "most braces at once"},
	{"walkway-length", unit.Length, "inner line of walls with a walkway"},
	{"pours", unit.Count, "pours"},
	{"trucks", unit.Count, "truckloads of concrete"},
	{"pour-hours", unit.Time, "hours of placing"},
	{"job", unit.Count, "one"},
}

// DriverByName is the driver of that name; ok is false when there is none.
func DriverByName(name string) (DriverSpec, bool) {
	for _, d := range DriverSpecs {
		if d.Name == ItemKey(name) {
			return d, true
		}
	}
	return DriverSpec{}, false
}

// Unit is the reporting unit of a dimension.
func (u Units) Unit(d unit.Dimension) unit.Unit {
	switch d {
	case unit.Length:
		return u.Length
	case unit.Area:
		return u.Area
	case unit.Volume:
		return u.Volume
	case unit.Mass:
		return u.Mass
	case unit.Time:
		return unit.Hour
	}
	return unit.Each
}

// driverTotals are the job's totals of all drivers.
func (p *pass) driverTotals() []Driver {
	sums := map[string]exact.Num{}
	for k, v := range p.drivers {
		sums[k.name] = sums[k.name].Add(v)
	}
	out := make([]Driver, len(DriverSpecs))
	for i, d := range DriverSpecs {
		u := p.units.Unit(d.Dimension)
		out[i] = Driver{d.Name, u.Of(sums[d.Name]).Quantity(), u}
	}
	return out
}

// driven is a driver's sum over the places a Factors row allows, in the base of its dimension.
func (p *pass) driven(name string, f *FactorRow) exact.Num {
	sum := exact.Num{}
	for k, v := range p.drivers {
		if k.name == name && f.allows(k.place) {
			sum = sum.Add(v)
		}
	}
	return sum
}

// allows tells whether a place passes a Factors row's filters.
func (f *FactorRow) allows(at place) bool {
	same := func(want, have string) bool { return want == "" || sameName(want, have) }
	return same(f.Level, at.Level) && same(f.Pour, at.Pour) && same(f.FormLine, at.Line) && (f.Core == 0 || f.Core == at.Core)
}
