package sheet

import (
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"wallbill/takeoff"
)

// settingSections group the settings of the Job tab by the rules that use them; a setting without a rule is identity. A
// rule that stands nowhere here falls under the last.
var settingSections = []struct {
	title string
	rules string
}{
	{"The job", ""},
	{"The bid", "P-BID"},
	{"Geometry", "R-GEOM R-CLOSE"},
	{"Concrete and footings", "R-POUR R-FORM-FOOT"},
	{"Forms", "R-COURSE R-BLOCK R-CUT R-LEDGE"},
	{"Bracing and shores", "R-BRACE R-SHORE"},
	{"Reinforcement", "R-VERT R-DOWEL R-LINTEL R-RUN P-BARS"},
	{"Below grade", "R-MEMB R-BOARD R-PRIMER R-DRAIN"},
	{"Ledgers, plates and anchor bolts", "R-LEDGER R-ANCHOR"},
	{"Pours, trucks and pump", "R-LIFT R-TRUCK R-PUMP R-PRACTICE"},
	{"Rentals, freight and the rest", ""},
}

func sectionOf(rule string) int {
	if rule == "" {
		return 0
	}
	for i, sec := range settingSections {
		for _, r := range strings.Fields(sec.rules) {
			if r == rule {
				return i
			}
		}
	}
	return len(settingSections) - 1
}

// jobRows lists every setting under its section, with the example's values and, in metric, the round ones; the note says
// what it is and the default. A section's row begins with #, which a schedule's reader skips.
func (s *starterBook) jobRows(example exampleTab) [][]string {
	values := map[string]string{}
	for _, r := range example.rows {
		values[r[0]] = r[1]
	}
	var rows [][]string
	for i, sec := range settingSections {
		rows = append(rows, []string{"# " + sec.title, "", ""})
		for _, set := range takeoff.Catalogue {
			if sectionOf(set.Rule) != i {
				continue
			}
			value := values[set.Name]
			if value == "" && s.o.Metric {
				value = set.Starter
			}
			rows = append(rows, []string{set.Name, value, s.settingNote(set)})
		}
	}
	return rows
}

func (s *starterBook) settingNote(set takeoff.Setting) string {
	note := set.Help
	normal := set.Default
	if s.o.Metric && set.Metric != "" {
		normal = set.Metric
	}
	if len(set.Choices) > 0 && set.Kind == takeoff.KindChoice && len(set.Choices) < 5 {
		note += ": " + strings.Join(set.Choices, ", ")
	}
	if normal != "" {
		note += "; default " + normal
	}
	if set.ID == takeoff.SetJob {
		note = "required: " + note
	}
	return note
}

// settingFormat is the number format of a setting's value.
func settingFormat(set *takeoff.Setting) string {
	switch set.Kind {
	case takeoff.KindDate:
		return dateCells
	case takeoff.KindPercent:
		return percentCells
	case takeoff.KindCount, takeoff.KindNumber, takeoff.KindMoney:
		return plainCells
	}
	return textCells
}

func settingNamed(name string) *takeoff.Setting {
	for i := range takeoff.Catalogue {
		if takeoff.Catalogue[i].Name == name {
			return &takeoff.Catalogue[i]
		}
	}
	return nil
}

// writeJob fills the Job tab: names that are no input, values under the format of their kind, drop-downs where a setting
// is one of a few words.
func (s *starterBook) writeJob(rows [][]string, last int) error {
	const tab = "Job"
	f := s.f
	for i, row := range rows {
		at := starterFirst + i
		n := strconv.Itoa(at)
		set := settingNamed(row[0])
		if err := f.SetCellStr(tab, "A"+n, row[0]); err != nil {
			return err
		}
		if set == nil {
			if err := s.style(tab, 1, at, 3, at, s.styles.section); err != nil {
				return err
			}
			if err := f.SetRowHeight(tab, at, 18); err != nil {
				return err
			}
			continue
		}
		format := settingFormat(set)
		if err := s.put(tab, 2, at, row[1], format); err != nil {
			return err
		}
		if err := f.SetCellStr(tab, "C"+n, row[2]); err != nil {
			return err
		}
		for col, style := range []int{s.styles.setting, s.styles.entry[format+"left"], s.styles.note} {
			if err := s.style(tab, col+1, at, col+1, at, style); err != nil {
				return err
			}
		}
		if set.Kind == takeoff.KindChoice && len(set.Choices) > 0 {
			dv := excelize.NewDataValidation(true)
			dv.Sqref = "B" + n
			if err := dv.SetDropList(set.Choices); err != nil {
				return err
			}
			dv.SetError(excelize.DataValidationErrorStyleStop, "Setting", "One of: "+strings.Join(set.Choices, ", ")+".")
			if err := f.AddDataValidation(tab, dv); err != nil {
				return err
			}
		}
	}
	dv := excelize.NewDataValidation(true)
	dv.Sqref = "A" + strconv.Itoa(starterFirst+len(rows)) + ":A" + strconv.Itoa(starterLast)
	dv.SetSqrefDropList(s.listRange("Settings"))
	dv.SetError(excelize.DataValidationErrorStyleStop, "Setting", "The name of a setting; every one is listed above.")
	if err := f.AddDataValidation(tab, dv); err != nil {
		return err
	}
	for i, width := range []float64{38, 24, 74} {
		letter := takeoff.ColumnName(i + 1)
		if err := f.SetColWidth(tab, letter, letter, width); err != nil {
			return err
		}
	}
	return nil
}
