package schedule

import (
	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// openingType is what the first row of a type gives to later rows.
type openingType struct {
	rec  *record
	name string
}

func (r *reader) buildOpenings() {
	types := map[string]*openingType{}
	for _, rec := range r.own("Openings") {
		wall := rec.v("Wall")
		var of *record
		if t := rec.v("Type"); t.has() {
			if first := types[fold(t.word)]; first == nil {
				types[fold(t.word)] = &openingType{rec, t.word}
			} else {
				of = first.rec
			}
		}
		if !wall.has() {
			continue
		}
		w := r.walls[fold(wall.word)]
		if w == nil {
			r.refer(wall, rec.subject("Wall"), "wall "+wall.word, "Walls", r.wallNames)
			continue
		}
		o := &takeoff.Opening{
			At: rec.ref(), Mark: rec.v("Opening").word, Wall: w.Mark, Count: rec.v("Count").whole(1), Type: rec.v("Type").word,
			Notes: rec.v("Notes").word, Columns: rec.table.columns,
		}
		if of != nil {
			o.Type = types[fold(o.Type)].name
		}
		from := func(column string) *value {
			v := rec.v(column)
			if v.state != blank || of == nil {
				return v
			}
			t := of.v(column)
			if t.has() {
				r.inherited(rec.at(column), w.Mark, column+" of opening "+o.Mark, t.text, "type "+o.Type+", "+rowOf(of))
			}
			return t
		}
		width, height := from("Width"), from("Height")
		for _, c := range []struct {
			column string
			v      *value
		}{{"Width", width}, {"Height", height}} {
			if c.v.state == blank {
				r.missing(rec, c.column, "is missing, and no row of its type before it gives one")
			}
		}
		o.Width, o.Height = width.len, height.len
		sill, head := rec.v("Sill"), rec.v("Head")
		if sill.state == blank && head.state == blank && of != nil {
			if sill = from("Sill"); sill.state == blank {
				head = from("Head")
			}
		}
		r.sill(rec, o, sill, head, height)
		at := rec.v("At")
		if at.has() {
			o.Place, o.Offset = at.place, at.len
			if o.Count > 1 {
				r.fault(rec, "Count", "more than one opening at one place", "1 where At is given; At blank spaces them evenly", "")
			}
		}
		bars := from("Bars")
		o.Bars = r.barMark(bars, rec.subjectOf("Bars", bars))
		r.job.Openings = append(r.job.Openings, o)
	}
}

// sill puts the opening's sill, from its head where that was typed; both must agree.
func (r *reader) sill(rec *record, o *takeoff.Opening, sill, head, height *value) {
	switch {
	case !height.has() || sill.state == bad || head.state == bad:
		o.Sill = sill.len
	case sill.has() && head.has():
		o.Sill = sill.len
		if sill.len+o.Height != head.len {
			r.find(takeoff.Finding{Severity: takeoff.Error, At: rec.at("Head"), Subject: rec.subject("Head"),
				Message: "Sill " + sill.text + " and Height " + height.text + " put the head at " + r.as(sill.len+o.Height, head) + ", not here", Cell: head.cell,
				Accepted: "Sill or Head; both only where they agree", Try: r.as(sill.len+o.Height, head)})
		}
	case head.has():
		o.Sill = head.len - o.Height
		if o.Sill < 0 {
			r.find(takeoff.Finding{Severity: takeoff.Error, At: rec.at("Head"), Subject: rec.subject("Head"), Message: "below the opening's height: its sill would be under the wall's base", Cell: head.cell, Accepted: r.as(o.Height, head) + " or more"})
		}
	default:
		o.Sill = sill.len
	}
}

// as prints a length as another cell of the row is typed.
func (r *reader) as(l length.Length, like *value) string { return lengthText(l, like.metric) }
