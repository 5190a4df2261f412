package schedule

import (
	"github.com/shopspring/decimal"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/number"
)

// formKey is a form line, folded, and a core.
type formKey struct {
	line string
	core length.Length
}

// coreName is a core as item names carry it: 6in, 5.5in, 150mm when typed in millimetres or metres.
func coreName(v *value) string {
	if v.metric {
		return number.Text(exact.Len(v.len).Div(exact.Len(length.Millimetre)).Round(6)) + "mm"
	}
	return number.Text(exact.Len(v.len).Div(exact.Len(length.Inch)).Round(6)) + "in"
}

// coreKey is the core of a row as a key: blank and wrong cells each their own.
func coreKey(v *value) string {
	if !v.has() {
		return v.cell
	}
	return v.len.MM()
}

func formRowKey(rec *record) string {
	return fold(rec.v("Form line").word) + "\x00" + coreKey(rec.v("Core"))
}

func (r *reader) buildForms() {
	for _, rec := range r.unique(r.merged("Forms", formRowKey), "Core", formRowKey, "this form line and core") {
		line, core := rec.v("Form line"), rec.v("Core")
		if !line.has() {
			continue
		}
		if wrong := itemName(line.word); wrong != nil {
			r.fault(rec, "Form line", wrong.Message, wrong.Accepted, wrong.Try)
		}
		f := &takeoff.FormRow{
			At: rec.ref(), Line: r.spelled(r.formLines, line.word), Faces: rec.v("Kind").word == "faces",
			Core: core.len, CoreName: coreName(core), Foam: rec.v("Foam").len,
			UnitLength: rec.v("Unit length").len, CourseHeight: rec.v("Course height").len, HalfCourse: rec.v("Half course").len,
			CornerLong: rec.v("Corner long leg").len, CornerShort: rec.v("Corner short leg").len, Handed: rec.v("Corner handed").yes(false),
			AngleLong: rec.v("Angle long leg").len, AngleShort: rec.v("Angle short leg").len,
			SmallestPiece: rec.v("Smallest piece").len, CutStep: rec.v("Cut step").len, Columns: rec.table.columns,
		}
		f.SmallestTyped = rec.v("Smallest piece").state != blank
		if v := rec.v("Smallest piece"); !f.SmallestTyped {
			f.SmallestPiece = exact.Len(f.UnitLength).Div(exact.Int(6)).Length()
		} else if v.has() && v.len > f.UnitLength && f.UnitLength > 0 {
			r.fault(rec, "Smallest piece", "longer than the unit", "up to "+rec.v("Unit length").text, "")
		}
		if v := rec.v("Cut step"); v.has() && v.len > f.UnitLength && f.UnitLength > 0 {
			r.fault(rec, "Cut step", "longer than the unit", "up to "+rec.v("Unit length").text, "")
		}
		if v := rec.v("Half course"); v.has() && v.len >= f.CourseHeight && f.CourseHeight > 0 {
			r.fault(rec, "Half course", "as high as a full course", "under "+rec.v("Course height").text, "")
		}
		for _, legs := range [][2]string{{"Corner long leg", "Corner short leg"}, {"Angle long leg", "Angle short leg"}} {
			long, short := rec.v(legs[0]), rec.v(legs[1])
			switch {
			case long.has() && short.state == blank:
				r.missing(rec, legs[1], "is missing where a "+legs[0]+" is given")
			case short.has() && long.state == blank:
				r.missing(rec, legs[0], "is missing where a "+legs[1]+" is given")
			case long.has() && short.has() && short.len > long.len:
				r.fault(rec, legs[1], "longer than the long leg", "up to "+long.text, "")
			}
		}
		if v := rec.v("Pressure rating"); v.has() {
			f.Rating = &takeoff.Pressure{Value: v.num, Metric: v.metric}
		}
		if !core.has() {
			r.badMarks["Forms\x00"+fold(line.word)] = true
			continue
		}
		r.forms[formKey{fold(line.word), core.len}] = f
		r.job.Forms = append(r.job.Forms, f)
	}
	if line := r.job.FormLine; line != "" {
		if _, known := r.formLines[fold(line)]; !known {
			v := value{state: good, at: r.job.Settings.Value(takeoff.SetFormLine).At, cell: line, word: line}
			r.refer(&v, "Form line", "form line "+line, "Forms", r.lineNames)
		}
	}
}

// spelled is a name in the spelling of its first mention.
func (r *reader) spelled(names map[string]string, name string) string {
	if s, ok := names[fold(name)]; ok {
		return s
	}
	names[fold(name)] = name
	return name
}

// coresOf are the cores that a form line is made in, for messages.
func (r *reader) coresOf(line string) []string {
	var cores []string
	for _, f := range r.job.Forms {
		if fold(f.Line) == fold(line) {
			cores = append(cores, lengthText(f.Core, r.job.Report == length.Metric))
		}
	}
	return cores
}

func partKey(rec *record) string {
	return formRowKey(rec) + "\x00" + fold(rec.v("Part").word)
}

func (r *reader) buildParts() {
	type counting struct{ key, counted string }
	first := map[counting]*record{}
	for _, rec := range r.merged("Parts", partKey) {
		line, core, part, counted := rec.v("Form line"), rec.v("Core"), rec.v("Part"), rec.v("Counted")
		if !line.has() || !part.has() || !counted.has() {
			continue
		}
		if wrong := itemName(part.word); wrong != nil {
			r.fault(rec, "Part", wrong.Message, wrong.Accepted, wrong.Try)
		}
		key := counting{partKey(rec), counted.word}
		if f := first[key]; f != nil {
			r.warn(rec, "Part", "counted the same way on "+rowOf(f)+" already; both rows count")
		} else {
			first[key] = rec
		}
		p := &takeoff.PartRow{
			At: rec.ref(), Line: line.word, Core: core.len, Part: part.word, Counted: counted.word, Rows: rec.v("Rows").whole(1),
			Spacing: rec.v("Spacing").len, Each: decimal.NewFromInt(1), Notes: rec.v("Notes").word, Columns: rec.table.columns,
		}
		if core.has() {
			p.CoreName = coreName(core)
		}
		if each := rec.v("Each"); each.has() {
			p.Each = each.num
		}
		spelling, known := r.formLines[fold(line.word)]
		switch {
		case !known:
			r.refer(line, rec.subject("Form line"), "form line "+line.word, "Forms", r.lineNames)
		default:
			p.Line = spelling
			if f := r.forms[formKey{fold(line.word), core.len}]; f != nil {
				p.CoreName = f.CoreName
			} else if core.has() && !r.badMarks["Forms\x00"+fold(line.word)] {
				r.fault(rec, "Core", "form line "+spelling+" has no such core", among(r.coresOf(line.word)), "")
			}
		}
		switch counted.word {
		case "tie row", "top", "base":
			r.missing(rec, "Spacing", "is missing where a part is counted by "+counted.word)
		}
		r.job.Parts = append(r.job.Parts, p)
	}
}
