package schedule

import (
	"wallbill/takeoff"
	"wallbill/takeoff/unit"
)

func (r *reader) buildPours() {
	for _, rec := range r.unique(r.own("Pours"), "Pour", byMark("Pour"), "the pour") {
		p := &takeoff.PourRow{
			At: rec.ref(), Name: r.spelled(r.pours, rec.v("Pour").word),
			FormsSet: rec.v("Forms set").day, PourDate: rec.v("Pour date").day, Strip: rec.v("Strip braces").day,
			Slump: rec.v("Slump").len, Mix: rec.v("Mix").word, FootingMix: rec.v("Footing mix").word, Pump: rec.v("Pump").yes(false),
			Columns: rec.table.columns,
		}
		for _, mix := range []string{"Mix", "Footing mix"} { // concrete-<mix> is an item
			if v := rec.v(mix); v.has() {
				if wrong := itemName(v.word); wrong != nil {
					r.fault(rec, mix, wrong.Message, wrong.Accepted, wrong.Try)
				}
			}
		}
		if v := rec.v("Concrete temp"); v.has() {
			t := v.num
			if v.metric {
				p.TempC = &t
			} else {
				p.TempF = &t
			}
		}
		if v := rec.v("Placing rate"); v.has() {
			rate := v.num
			p.Rate, p.RateUnit = &rate, unit.CuYard
			if v.metric {
				p.RateUnit = unit.CuMetre
			}
		}
		set, pour, strip := rec.v("Forms set"), rec.v("Pour date"), rec.v("Strip braces")
		if set.has() && strip.has() && strip.day.Before(set.day.Time) {
			r.fault(rec, "Strip braces", "before the Forms set, "+set.text, "that day or later", "")
		}
		if set.has() && pour.has() && pour.day.Before(set.day.Time) {
			r.warn(rec, "Pour date", "before the Forms set, "+set.text)
		}
		if pour.has() && strip.has() && strip.day.Before(pour.day.Time) {
			r.warn(rec, "Strip braces", "before the Pour date, "+pour.text)
		}
		r.job.Pours = append(r.job.Pours, p)
	}
}

// stands is a pour in the spelling of the Pours tab, else of its first mention; something stands in it.
func (r *reader) stands(pour string) string {
	r.inUse[fold(pour)] = true
	return r.spelled(r.pours, pour)
}

// idlePours notes the rows of Pours in which nothing stands.
func (r *reader) idlePours() {
	for _, rec := range r.own("Pours") {
		if v := rec.v("Pour"); v.has() && !r.inUse[fold(v.word)] {
			r.note(rec, "Pour", "nothing stands in this pour")
		}
	}
}
