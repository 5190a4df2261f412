package schedule

import (
	"strings"
	"time"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
)

// settings reads the Job tab's rows. Lengths in and Report in come first: other settings depend on them.
func (r *reader) settings(t *table) {
	job := r.job
	first := map[takeoff.SettingID]*record{}
	var names []string
	for i := range takeoff.Catalogue {
		names = append(names, takeoff.Catalogue[i].Name)
	}
	for _, rec := range t.records {
		name := rec.v("Setting")
		switch {
		case !name.has():
		case name.setting == nil:
			message := "not a setting"
			if near := takeoff.Nearest(headerKey(name.word), names); near != "" {
				message += "; did you mean '" + near + "'?"
			}
			r.find(takeoff.Finding{Severity: takeoff.Warning, At: name.at, Subject: "Setting", Message: message, Cell: name.cell})
		case first[name.setting.ID] != nil:
			r.find(takeoff.Finding{Severity: takeoff.Error, At: name.at, Subject: name.setting.Name, Message: "the setting stands on " + rowOf(first[name.setting.ID]) + " already", Accepted: "one row each"})
		default:
			first[name.setting.ID] = rec
		}
	}
	job.LengthsIn = takeoff.InFeet
	system := length.FeetInches
	units := map[takeoff.SettingID]takeoff.SettingValue{}
	for _, id := range []takeoff.SettingID{takeoff.SetLengthsIn, takeoff.SetReportIn} {
		rec := first[id]
		if rec == nil {
			continue
		}
		v, ok := r.setting(rec, system)
		if !ok {
			continue
		}
		units[id] = v
		switch {
		case id == takeoff.SetLengthsIn:
			job.LengthsIn = takeoff.LengthUnit(v.Word)
			if metricUnit(job.LengthsIn) {
				system = length.Metric
			}
		case v.Word == "metric":
			system = length.Metric
		default:
			system = length.FeetInches
		}
	}
	r.lengthsIn, job.Report = job.LengthsIn, system
	job.Settings = takeoff.NewSettings(system)
	for i := range takeoff.Catalogue {
		id := takeoff.Catalogue[i].ID
		rec := first[id]
		if rec == nil {
			continue
		}
		v, ok := units[id]
		if id != takeoff.SetLengthsIn && id != takeoff.SetReportIn {
			v, ok = r.setting(rec, system)
		}
		if ok {
			job.Settings.Set(id, v)
		}
	}
	r.identity(t, first)
}

// identity puts the settings that say what the job is into the job.
func (r *reader) identity(t *table, first map[takeoff.SettingID]*record) {
	job, s := r.job, r.job.Settings
	job.Name, job.Number, job.Revision = s.Text(takeoff.SetJob), s.Text(takeoff.SetJobNumber), s.Text(takeoff.SetRevision)
	job.PreparedBy, job.Location = s.Text(takeoff.SetPreparedBy), s.Text(takeoff.SetLocation)
	job.Client, job.ShipTo = s.Text(takeoff.SetClient), s.Text(takeoff.SetShipTo)
	job.FormLine, job.PriceBook = s.Text(takeoff.SetFormLine), s.Text(takeoff.SetPriceBook)
	job.CoreFace = s.Word(takeoff.SetDimensionsTo) == "core face"
	if text := s.Text(takeoff.SetBidDate); text != "" {
		day, _ := time.Parse(time.DateOnly, text) // checked when read
		job.BidDate = takeoff.Date{Time: day}
	}
	if rec := first[takeoff.SetJob]; rec == nil {
		r.say(takeoff.Error, takeoff.Ref{File: t.file, Tab: t.name}, "Job", "the setting Job, the job's name, is missing")
	} else {
		r.missing(rec, "Value", "the job's name is missing")
	}
	if rec := first[takeoff.SetPriceBook]; rec != nil && rec.v("Value").has() && rec.v("Value").plain.Kind != Text {
		r.fault(rec, "Value", "not the path of a workbook", "a workbook's path as text, relative to this one", "")
	}
	job.Currency = strings.ToUpper(s.Text(takeoff.SetCurrency))
	digits, known := minorDigits[job.Currency]
	if !known {
		if rec := first[takeoff.SetCurrency]; rec != nil && rec.v("Value").has() {
			r.fault(rec, "Value", "not a currency", "a three-letter code of ISO 4217, such as USD, CAD, EUR", takeoff.Nearest(job.Currency, currencies))
		}
		digits = 2
	}
	job.MinorDigits = digits
	round := s.Value(takeoff.SetRoundBidTo)
	switch rec := first[takeoff.SetRoundBidTo]; {
	case !round.Typed:
		step := exact.Int(1)
		for range digits {
			step = step.Div(exact.Int(10))
		}
		s.Set(takeoff.SetRoundBidTo, takeoff.SettingValue{Text: step.Round(digits).String(), Num: step})
	case round.Num.Sign() <= 0:
		r.fault(rec, "Value", "not over zero", "an amount of money, such as 1 or 100", "")
	}
	if s.Word(takeoff.SetProfitOn) == "price" && s.Num(takeoff.SetProfit).Cmp(exact.Int(1)) >= 0 {
		if rec := first[takeoff.SetProfit]; rec != nil {
			r.fault(rec, "Value", "a profit of the whole price or more", "under 100% where Profit on is price", "")
		}
	}
}

// metricUnit tells whether a Lengths in is metric.
func metricUnit(u takeoff.LengthUnit) bool { return u == takeoff.InMetres || u == takeoff.InMM }

// setting reads a row's value; ok is false where it is blank or wrong.
func (r *reader) setting(rec *record, system length.System) (takeoff.SettingValue, bool) {
	c, v := rec.v("Setting").setting, rec.v("Value")
	if !v.has() {
		return takeoff.SettingValue{}, false
	}
	sv, wrong := readSetting(c, v.plain, system)
	if wrong != nil {
		r.fault(rec, "Value", wrong.Message, wrong.Accepted, wrong.Try)
		return sv, false
	}
	switch c.Kind {
	case takeoff.KindPercent, takeoff.KindCount, takeoff.KindNumber, takeoff.KindMoney:
		if v.plain.Kind == Text && bareNumber(v.plain) {
			r.find(takeoff.Finding{Severity: takeoff.Note, At: v.at, Subject: rec.subject("Value"), Message: "a text is read as the number " + sv.Text})
		}
	}
	v.text = settingText(c, sv, sv.Text, system)
	sv.Typed, sv.At, sv.Text = true, v.at, v.text
	return sv, true
}

// readSetting reads a Value cell by its setting. A suggestion that the setting would refuse itself is left out.
func readSetting(c *takeoff.Setting, cell Cell, system length.System) (takeoff.SettingValue, *refusal) {
	v, wrong := settingAs(c, cell, system)
	if wrong != nil && wrong.Try != "" {
		if _, again := settingAs(c, Cell{Kind: Text, Value: wrong.Try}, system); again != nil {
			wrong.Try = ""
		}
	}
	return v, wrong
}

func settingAs(c *takeoff.Setting, cell Cell, system length.System) (takeoff.SettingValue, *refusal) {
	if c.Kind == takeoff.KindDate {
		var day value
		text := strings.TrimSpace(cell.Value)
		if wrong := day.readDay(cell, text); wrong != nil {
			return takeoff.SettingValue{}, wrong
		}
		return takeoff.SettingValue{Text: day.text, Word: day.text}, nil
	}
	if c.Kind != takeoff.KindText {
		switch cell.Kind {
		case Date:
			if c.Kind == takeoff.KindLength {
				return takeoff.SettingValue{}, refuse("a date: a spreadsheet program turned a length such as 24-6 into one; format the cell as text and type it again", length.Accepted, lengthOfDate(cell.Value))
			}
			return takeoff.SettingValue{}, refuse("a date where none should be", "", "")
		case Bool:
			return takeoff.SettingValue{}, refuse("TRUE or FALSE where none should be", strings.Join(c.Choices, ", "), "")
		}
	}
	v, wrong := c.Parse(cell.Value, cell.Kind == Number, system)
	return v, wrong
}
