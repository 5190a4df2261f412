package sheet

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"wallbill/takeoff/schedule/drawn"
)

// Law: text is data. Whatever the words of a schedule begin with, each comes out as text, in the schedule's own tabs and in
// the results; none stands in a formula, in a tab's name, in a defined name or in a link.
func TestTextOfDrawnJobs(t *testing.T) {
	const mark = "zq1zq"
	hostile := []string{"=" + mark + "()", "+1+" + mark, "-" + mark, "@SUM(" + mark + ")", "\t=" + mark, "\r=" + mark, `="` + mark + `"&A1`, "'" + mark + "'!A1", "=HYPERLINK(\"" + mark + "\")",
		"&" + mark + "&P", "<" + mark + ">", "=cmd|'/c " + mark + "'!A0", "{=" + mark + "}", "_x003d_" + mark}
	dir := t.TempDir()
	jobs, texts := 0, 0
	for seed := 701; jobs < 4; seed++ {
		require.Less(t, seed, 740, "hardly one of the schedules is a job")
		s := drawn.Draw(drawn.Options{}).Example(seed)
		n := seed
		word := func() drawn.Cell { n++; return drawn.Text(hostile[n%len(hostile)]) }
		supplier := func() drawn.Cell { // whose names a sum by supplier must be able to match
			c := word()
			for strings.ContainsAny(strings.TrimSpace(c.String())[:1], "<>=") || strings.ContainsAny(c.String(), "*?~") {
				c = word()
			}
			return c
		}
		for _, tab := range []string{"Prices", "Extras", "Walls", "Openings", "Factors", "Parts"} {
			for i, r := range s.Rows[tab] {
				switch tab {
				case "Prices":
					r["Description"], r["Group"] = word(), word()
					if r["Per load"].Blank() {
						r["Supplier"] = supplier()
					}
				case "Extras":
					r["Line"] = drawn.Text(word().String() + strings.Repeat("!", i))
					r["Notes"] = word()
				default:
					r["Notes"] = word()
				}
			}
		}
		for _, setting := range []string{"Job", "Job number", "Revision", "Client", "Location", "Prepared by"} {
			s.Set(setting, word())
		}
		j := priceDrawn(t, dir, seed, s)
		if j == nil {
			continue
		}
		jobs++
		f := openRaw(t, j.priced)
		for _, tab := range f.GetSheetList() {
			require.NotContains(t, tab, mark)
			rows, err := f.GetRows(tab)
			require.NoError(t, err)
			for i, row := range rows {
				for k, v := range row {
					at, _ := excelize.CoordinatesToCellName(k+1, i+1)
					formula, err := f.GetCellFormula(tab, at)
					require.NoError(t, err)
					require.NotContains(t, formula, mark, "%s!%s", tab, at)
					if !strings.Contains(v, mark) {
						continue
					}
					texts++
					require.Empty(t, formula, "%s!%s", tab, at)
					kind, err := f.GetCellType(tab, at)
					require.NoError(t, err)
					require.Contains(t, []excelize.CellType{excelize.CellTypeSharedString, excelize.CellTypeInlineString}, kind, "%s!%s %q", tab, at, v)
					if linked, place, err := f.GetCellHyperLink(tab, at); err == nil && linked {
						require.NotContains(t, place, mark)
					}
				}
			}
		}
		for _, d := range f.GetDefinedName() {
			require.NotContains(t, d.Name+d.RefersTo, mark)
		}
	}
	require.Greater(t, texts, 200)
	t.Logf("%d cells of such text in %d jobs", texts, jobs)
}
