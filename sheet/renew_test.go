package sheet

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

func saveTo(t *testing.T, f *excelize.File, path string) {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Save(f, &b))
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o644))
}

func sourceOf(t *testing.T, path string) *Source {
	t.Helper()
	w, err := Open(path, DefaultLimits)
	require.NoError(t, err)
	return &Source{File: filepath.Base(path), Schedule: w, limits: DefaultLimits}
}

// firstRun prices by hand: a schedule's workbook with two results tabs and what the user has added to it since.
func firstRun(t *testing.T, schedule, priced string) {
	t.Helper()
	f, notes, err := sourceOf(t, schedule).OpenForRun(nil)
	require.NoError(t, err)
	assert.Empty(t, notes)
	for _, tab := range []string{"About", "Bid", "My sums"} {
		_, err := f.NewSheet(tab)
		require.NoError(t, err)
	}
	require.NoError(t, f.SetCellStr("Bid", "A1", "Bid"))
	require.NoError(t, f.SetCellDefault("Bid", "B1", "120.5"))
	require.NoError(t, f.SetCellFormula("My sums", "A1", "Bid!B1*2"))
	style, err := f.NewStyle(&excelize.Style{Font: &excelize.Font{Italic: true, Color: "D55E00"}})
	require.NoError(t, err)
	require.NoError(t, f.SetCellStyle("My sums", "A1", "A1", style))
	require.NoError(t, f.SetDefinedName(&excelize.DefinedName{Name: "mine", RefersTo: "'My sums'!$A$1"}))
	require.NoError(t, OpenOn(f, "About"))
	require.NoError(t, f.SetCustomProps(excelize.CustomProperty{Name: resultsProperty, Value: "About; Bid"}))
	saveTo(t, f, priced)
	require.NoError(t, f.Close())
}

// sameTab compares a tab in two workbooks as the library sees it: cells, formulas, formats, widths, drop-downs.
func sameTab(t *testing.T, want, got *excelize.File, tab string) {
	t.Helper()
	rows, err := want.GetRows(tab, excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	gotRows, err := got.GetRows(tab, excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	assert.Equal(t, rows, gotRows, "cells of %s", tab)
	for r := 1; r <= len(rows)+3; r++ {
		for c := 1; c <= 12; c++ {
			name, _ := excelize.CoordinatesToCellName(c, r)
			a, err := want.GetCellFormula(tab, name)
			require.NoError(t, err)
			b, err := got.GetCellFormula(tab, name)
			require.NoError(t, err)
			require.Equal(t, a, b, "%s!%s", tab, name)
			i, err := want.GetCellStyle(tab, name)
			require.NoError(t, err)
			j, err := got.GetCellStyle(tab, name)
			require.NoError(t, err)
			x, err := want.GetStyle(i)
			require.NoError(t, err)
			y, err := got.GetStyle(j)
			require.NoError(t, err)
			require.Equal(t, x, y, "format of %s!%s", tab, name)
			p, err := want.GetCellRichText(tab, name)
			require.NoError(t, err)
			q, err := got.GetCellRichText(tab, name)
			require.NoError(t, err)
			require.Equal(t, len(p), len(q), "%s!%s", tab, name)
		}
	}
	for c := 1; c <= 12; c++ {
		letter, _ := excelize.ColumnNumberToName(c)
		a, err := want.GetColWidth(tab, letter)
		require.NoError(t, err)
		b, err := got.GetColWidth(tab, letter)
		require.NoError(t, err)
		assert.Equal(t, a, b, "width of %s %s", tab, letter)
	}
	a, err := want.GetDataValidations(tab)
	require.NoError(t, err)
	b, err := got.GetDataValidations(tab)
	require.NoError(t, err)
	assert.Equal(t, a, b, "drop-downs of %s", tab)
	m, err := want.GetMergeCells(tab)
	require.NoError(t, err)
	n, err := got.GetMergeCells(tab)
	require.NoError(t, err)
	assert.Equal(t, m, n)
	tables, err := want.GetTables(tab)
	require.NoError(t, err)
	carried, err := got.GetTables(tab)
	require.NoError(t, err)
	require.Equal(t, len(tables), len(carried), "tables of %s", tab)
	for i := range tables {
		assert.Equal(t, tables[i].Name, carried[i].Name)
		assert.Equal(t, tables[i].Range, carried[i].Range)
	}
	conds, err := want.GetConditionalFormats(tab)
	require.NoError(t, err)
	carriedConds, err := got.GetConditionalFormats(tab)
	require.NoError(t, err)
	assert.Equal(t, len(conds), len(carriedConds))
}

// TestRenewedTabs: a later run starts from the workbook it replaces; the schedule's tabs in it are the schedule's again,
// all else stays.
func TestRenewedTabs(t *testing.T) {
	dir := t.TempDir()
	schedule, priced := filepath.Join(dir, "job.xlsx"), filepath.Join(dir, "job.priced.xlsx")
	require.NoError(t, os.WriteFile(schedule, userWorkbook(t), 0o644))
	firstRun(t, schedule, priced)

	// The estimator goes on in the schedule: values, a format, a width, a drop-down, a name, a link, a table, a tab.
	f, err := excelize.OpenFile(schedule)
	require.NoError(t, err)
	require.NoError(t, f.SetCellStr("Sheet1", "A1", "Wall & <mark>"))
	require.NoError(t, f.SetCellDefault("Sheet1", "B2", "24.5"))
	require.NoError(t, f.SetCellFormula("Sheet1", "B3", `IF(B2>1,"a","b")`))
	require.NoError(t, f.SetCellRichText("Sheet1", "A4", []excelize.RichTextRun{{Text: "bold ", Font: &excelize.Font{Bold: true}}, {Text: " plain"}}))
	format := "0.000\" ft\""
	style, err := f.NewStyle(&excelize.Style{CustomNumFmt: &format, Font: &excelize.Font{Bold: true, Color: "009E73"}, Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"FFEEAA"}}, Border: []excelize.Border{{Type: "left", Color: "000000", Style: 2}}})
	require.NoError(t, err)
	require.NoError(t, f.SetCellStyle("Sheet1", "B2", "C6", style))
	require.NoError(t, f.SetColWidth("Sheet1", "C", "C", 33))
	require.NoError(t, f.SetColStyle("Sheet1", "G", style))
	dv := excelize.NewDataValidation(true)
	dv.Sqref = "D2:D9"
	require.NoError(t, dv.SetDropList([]string{"corner", "end"}))
	require.NoError(t, f.AddDataValidation("Sheet1", dv))
	mark, err := f.NewConditionalStyle(&excelize.Style{Font: &excelize.Font{Color: "D55E00"}})
	require.NoError(t, err)
	require.NoError(t, f.SetConditionalFormat("Sheet1", "D2:D9", []excelize.ConditionalFormatOptions{{Type: "cell", Criteria: ">", Value: "5", Format: &mark}}))
	require.NoError(t, f.DeleteDefinedName(&excelize.DefinedName{Name: "Rate"}))
	require.NoError(t, f.SetDefinedName(&excelize.DefinedName{Name: "Rate", RefersTo: "Sheet1!$B$3"}))
	require.NoError(t, f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", Scope: "One", RefersTo: "One!$1:$1"}))
	require.NoError(t, f.SetCellHyperLink("Sheet1", "A1", "https://example.com/?a=1&b=2", "External"))
	require.NoError(t, f.SetCellHyperLink("Sheet1", "A4", "One!A1", "Location"))
	require.NoError(t, f.AddTable("Sheet1", &excelize.Table{Range: "K1:L3", Name: "second"}))
	_, err = f.NewSheet("Later")
	require.NoError(t, err)
	require.NoError(t, f.SetCellStr("Later", "A1", "new tab"))
	require.NoError(t, f.SetCellDefault("Later", "B1", "3"))
	require.NoError(t, f.SetCellStyle("Later", "B1", "B1", style))
	saveTo(t, f, schedule)
	require.NoError(t, f.Close())

	var first []byte
	for run := range 4 {
		g, notes, err := sourceOf(t, schedule).OpenForRun(replacing(t, priced))
		require.NoError(t, err)
		assert.Empty(t, notes)
		saveTo(t, g, priced)
		require.NoError(t, g.Close())

		want, err := excelize.OpenFile(schedule)
		require.NoError(t, err)
		got, err := excelize.OpenFile(priced)
		require.NoError(t, err)
		assert.Equal(t, []string{"Sheet1", "One", "Two", "Three", "Four", "Later", "About", "Bid", "My sums"}, got.GetSheetList())
		for _, tab := range want.GetSheetList() {
			sameTab(t, want, got, tab)
		}
		// What only the priced workbook has.
		v, err := got.GetCellFormula("My sums", "A1")
		require.NoError(t, err)
		assert.Equal(t, "Bid!B1*2", v)
		id, err := got.GetCellStyle("My sums", "A1")
		require.NoError(t, err)
		x, err := got.GetStyle(id)
		require.NoError(t, err)
		assert.True(t, x.Font.Italic)
		assert.Equal(t, "About", got.GetSheetName(got.GetActiveSheetIndex()))
		names := map[string]string{}
		for _, n := range got.GetDefinedName() {
			names[n.Scope+" "+n.Name] = n.RefersTo
		}
		assert.Equal(t, map[string]string{"Workbook Rate": "Sheet1!$B$3", "Workbook mine": "'My sums'!$A$1", "One _xlnm.Print_Titles": "One!$1:$1"}, names)
		ok, link, err := got.GetCellHyperLink("Sheet1", "A1")
		require.NoError(t, err)
		assert.True(t, ok)
		assert.Equal(t, "https://example.com/?a=1&b=2", link)
		visible, err := got.GetSheetVisible("Two")
		require.NoError(t, err)
		assert.False(t, visible)
		pictures, err := got.GetPictures("One", "D2")
		require.NoError(t, err)
		assert.Len(t, pictures, 1)
		notesOf, err := got.GetComments("One")
		require.NoError(t, err)
		assert.Len(t, notesOf, 1)
		require.NoError(t, want.Close())
		require.NoError(t, got.Close())

		now, err := os.ReadFile(priced)
		require.NoError(t, err)
		_, err = openBytes("priced.xlsx", now, DefaultLimits, false)
		require.NoError(t, err)
		soundPackage(t, now)
		if run == 1 {
			first = now
		}
		if run > 1 {
			assert.True(t, bytes.Equal(first, now), "renewing what is renewed changes no byte (run %d)", run)
		}
	}
	saved, err := Open(office(t, priced, "xlsx:Calc MS Excel 2007 XML", "xlsx"), DefaultLimits)
	require.NoError(t, err)
	assert.Equal(t, "Later", saved.tabs[5].Name)
	assert.Equal(t, "Wall & <mark>", saved.tabs[0].Rows[0].Cells[0].Value)
}

func TestNewPictureIsSaid(t *testing.T) {
	dir := t.TempDir()
	schedule, priced := filepath.Join(dir, "job.xlsx"), filepath.Join(dir, "job.priced.xlsx")
	require.NoError(t, os.WriteFile(schedule, userWorkbook(t), 0o644))
	firstRun(t, schedule, priced)
	f, err := excelize.OpenFile(schedule)
	require.NoError(t, err)
	require.NoError(t, f.AddChart("Three", "K2", &excelize.Chart{Type: excelize.Col, Series: []excelize.ChartSeries{{Name: "Three!$B$1", Categories: "Three!$A$2", Values: "Three!$B$2"}}}))
	saveTo(t, f, schedule)
	g, notes, err := sourceOf(t, schedule).OpenForRun(replacing(t, priced))
	require.NoError(t, err)
	require.Len(t, notes, 1)
	assert.Equal(t, "Three", notes[0].At.String())
	assert.Contains(t, notes[0].Message, "picture or chart that is new")
	require.NoError(t, g.Close())
}

// TestRenewedStarter: starters, saved by another program too, take each other's place in a priced workbook.
func TestRenewedStarter(t *testing.T) {
	dir := t.TempDir()
	schedule, priced := filepath.Join(dir, "job.xlsx"), filepath.Join(dir, "job.priced.xlsx")
	require.NoError(t, NewStarter(schedule, Options{}))
	firstRun(t, schedule, priced)
	other := office(t, schedule, "xlsx:Calc MS Excel 2007 XML", "xlsx")
	g, notes, err := sourceOf(t, other).OpenForRun(replacing(t, priced))
	require.NoError(t, err)
	assert.Empty(t, notes)
	saveTo(t, g, priced)
	require.NoError(t, g.Close())
	a, err := Open(other, DefaultLimits)
	require.NoError(t, err)
	b, err := Open(priced, DefaultLimits)
	require.NoError(t, err)
	for i, tab := range a.tabs {
		assert.Equal(t, tab.Name, b.tabs[i].Name)
		assert.Equal(t, cellListing(tab), cellListing(b.tabs[i]))
	}
	bid, _ := pricedFile(t, other)
	again, _ := pricedFile(t, priced)
	assert.Equal(t, bid.Totals.BidTotal.String(), again.Totals.BidTotal.String())
}

func TestRawTags(t *testing.T) {
	assert.Equal(t, `<c r="A1" s="7" t="s">`, string(setAttr([]byte(`<c r="A1" s='2' t="s">`), "s", "7")))
	assert.Equal(t, `<x:c s="7" r="A1"/>`, string(setAttr([]byte(`<x:c r="A1"/>`), "s", "7")))
	assert.Equal(t, `<c s="7"/>`, string(setAttr([]byte(`<c/>`), "s", "7")))
	assert.Equal(t, `<c a="s=&quot;1&quot;" s="7">`, string(setAttr([]byte(`<c a="s=&quot;1&quot;" s = "1">`), "s", "7")))
	assert.Equal(t, `<c a="x > y">`, string(dropAttr([]byte(`<c a="x > y" s="1">`), named("s"))))
	assert.Equal(t, `<c r="A1">`, string(renumber([]byte(`<c r="A1" s="9">`), "s", []int{1, 2})), "a number that stood nowhere")
	assert.Equal(t, "x:row", string(tagName([]byte("</x:row>"))))
	assert.True(t, strings.HasPrefix(string(transitional([]byte(`<w xmlns="http://purl.oclc.org/ooxml/spreadsheetml/main"/>`))), `<w xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"`))
}

// replacing is the workbook at a path as a run that replaces it opens it; nil for no path.
func replacing(t *testing.T, path string) *Workbook {
	t.Helper()
	if path == "" {
		return nil
	}
	w, err := OpenInputs(path, DefaultLimits)
	require.NoError(t, err)
	return w
}
