package schedule

import (
	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// lengthOr is a length cell, with what a blank means.
func (v *value) lengthOr(otherwise length.Length) length.Length {
	if v.state == good {
		return v.len
	}
	return otherwise
}

func (r *reader) buildBars() {
	for _, rec := range r.unique(r.merged("Bars", byMark("Mark")), "Mark", byMark("Mark"), "the mark") {
		m := &takeoff.BarMark{
			At: rec.ref(), Mark: rec.v("Mark").word, Layers: rec.v("Layers").whole(1),
			Vertical: rec.v("Vertical bar").bar, VerticalSpacing: rec.v("Vertical spacing").len,
			Horizontal: rec.v("Horizontal bar").bar, HorizontalSpacing: rec.v("Horizontal spacing").len, HorizontalBars: rec.v("Horizontal bars").whole(0),
			TopWithin: rec.v("Top within").lengthOr(12 * length.Inch), BottomWithin: rec.v("Bottom within").lengthOr(12 * length.Inch),
			Cover: rec.v("Cover").lengthOr(2 * length.Inch), LapDiameters: decimal.NewFromInt(60),
			Dowel: rec.v("Dowel bar").bar, ContinuesAbove: rec.v("Continues above").yes(false),
			Jamb: rec.v("Jamb bar").bar, JambBars: rec.v("Jamb bars").whole(0),
			Lintel: rec.v("Lintel bar").bar, LintelTop: rec.v("Lintel top bars").whole(0), LintelBottom: rec.v("Lintel bottom bars").whole(0),
			LintelDepth: rec.v("Lintel depth").lengthOr(16 * length.Inch), PastOpening: rec.v("Past opening").lengthOr(24 * length.Inch),
			Stirrup: rec.v("Stirrup bar").bar, StirrupSpacing: rec.v("Stirrup spacing").len, StirrupLegs: rec.v("Stirrup legs").whole(0),
			SillBars: rec.v("Sill bars").whole(0), RakeBar: rec.v("Rake bar").yes(false), Columns: rec.table.columns,
		}
		if lap := rec.v("Lap"); lap.has() {
			m.LapDiameters, m.LapLength = lap.num, lap.len
		}
		if rec.v("Vertical bar").has() {
			r.missing(rec, "Vertical spacing", "is missing where a Vertical bar is given")
		}
		if rec.v("Horizontal bar").has() && rec.v("Horizontal bars").state == blank {
			r.missing(rec, "Horizontal spacing", "is missing where a Horizontal bar is given without a number of Horizontal bars")
		}
		if rec.v("Jamb bar").has() {
			r.missing(rec, "Jamb bars", "is missing where a Jamb bar is given")
		}
		if rec.v("Stirrup bar").has() {
			r.missing(rec, "Stirrup spacing", "is missing where a Stirrup bar is given")
		}
		if rec.v("Lintel bar").has() && rec.v("Lintel top bars").state == blank && rec.v("Lintel bottom bars").state == blank && rec.v("Sill bars").state == blank {
			r.missing(rec, "Lintel bottom bars", "is missing where a Lintel bar is given")
		}
		r.without(rec, "Vertical bar", "Vertical spacing")
		r.without(rec, "Horizontal bar", "Horizontal spacing", "Horizontal bars")
		r.without(rec, "Jamb bar", "Jamb bars")
		r.without(rec, "Lintel bar", "Lintel top bars", "Lintel bottom bars", "Sill bars")
		r.without(rec, "Stirrup bar", "Stirrup spacing")
		r.bars[fold(m.Mark)] = m
		r.job.Bars = append(r.job.Bars, m)
	}
}

func (r *reader) buildFootings() {
	for _, rec := range r.unique(r.merged("Footings", byMark("Mark")), "Mark", byMark("Mark"), "the mark") {
		f := &takeoff.FootingMark{
			At: rec.ref(), Mark: rec.v("Mark").word, Width: rec.v("Width").len, Depth: rec.v("Depth").len,
			Along: rec.v("Along bar").bar, AlongBars: rec.v("Along bars").whole(0),
			Across: rec.v("Across bar").bar, AcrossSpacing: rec.v("Across spacing").len,
			CastWithWall: rec.v("Cast with wall").yes(false), Pour: rec.v("Pour").word, Columns: rec.table.columns,
		}
		if rec.v("Along bar").has() {
			r.missing(rec, "Along bars", "is missing where an Along bar is given")
		}
		if rec.v("Across bar").has() {
			r.missing(rec, "Across spacing", "is missing where an Across bar is given")
		}
		r.without(rec, "Along bar", "Along bars")
		r.without(rec, "Across bar", "Across spacing")
		if f.CastWithWall && f.Pour != "" {
			r.warn(rec, "Pour", "a footing cast with its wall is in the wall's pour; this Pour is not used")
			f.Pour = ""
		}
		if f.Pour != "" {
			f.Pour = r.stands(f.Pour)
		}
		r.footings[fold(f.Mark)] = f
		r.job.Footings = append(r.job.Footings, f)
	}
}

func (r *reader) buildLedges() {
	for _, rec := range r.unique(r.merged("Ledges", byMark("Mark")), "Mark", byMark("Mark"), "the mark") {
		if wrong := itemName(rec.v("Mark").word); wrong != nil { // ledge-<mark>-unit is an item
			r.fault(rec, "Mark", wrong.Message, wrong.Accepted, wrong.Try)
		}
		l := &takeoff.LedgeMark{
			At: rec.ref(), Mark: rec.v("Mark").word, Projection: rec.v("Projection").len, FaceDepth: rec.v("Face depth").len,
			Taper: rec.v("Taper depth").len, ReplacesCourse: rec.v("Replaces").word == "course", FromCore: rec.v("From").word == "core",
			UnitLength: rec.v("Unit length").len, ConnectorSpacing: rec.v("Connector spacing").len, LeastCoreBelow: rec.v("Least core below").len,
			Stirrup: rec.v("Stirrup bar").bar, StirrupSpacing: rec.v("Stirrup spacing").len, StirrupLength: rec.v("Stirrup length").len,
			Along: rec.v("Along bar").bar, AlongBars: rec.v("Along bars").whole(0), Columns: rec.table.columns,
		}
		if l.ReplacesCourse {
			r.missing(rec, "Unit length", "is missing where the ledge replaces a course")
		}
		if rec.v("Stirrup bar").has() {
			r.missing(rec, "Stirrup spacing", "is missing where a Stirrup bar is given")
			r.missing(rec, "Stirrup length", "is missing where a Stirrup bar is given")
		}
		if rec.v("Along bar").has() {
			r.missing(rec, "Along bars", "is missing where an Along bar is given")
		}
		r.without(rec, "Stirrup bar", "Stirrup spacing", "Stirrup length")
		r.without(rec, "Along bar", "Along bars")
		r.ledges[fold(l.Mark)] = l
		r.job.Ledges = append(r.job.Ledges, l)
	}
}

func (r *reader) buildPads() {
	for _, rec := range r.own("Pads") {
		p := &takeoff.Pad{
			At: rec.ref(), Mark: rec.v("Pad").word, Pour: "1", Count: rec.v("Count").whole(1),
			Length: rec.v("Length").len, Width: rec.v("Width").len, Depth: rec.v("Depth").len,
			Bar: rec.v("Bar").bar, BarsEachWay: rec.v("Bars each way").whole(0), Columns: rec.table.columns,
		}
		if v := rec.v("Pour"); v.has() {
			p.Pour = v.word
		}
		p.Pour = r.stands(p.Pour)
		if rec.v("Bar").has() {
			r.missing(rec, "Bars each way", "is missing where a Bar is given")
		}
		r.without(rec, "Bar", "Bars each way")
		r.job.Pads = append(r.job.Pads, p)
	}
}
