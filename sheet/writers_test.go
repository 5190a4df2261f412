package sheet

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wallbill/takeoff"
	"wallbill/takeoff/schedule"
	"wallbill/takeoff/schedule/drawn"
)

// python finds an interpreter that has the two writers of workbooks; the test is skipped where none has.
func python(t *testing.T) string {
	t.Helper()
	for _, p := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(p, "-c", "import openpyxl, xlsxwriter").Run() == nil {
			return p
		}
	}
	if os.Getenv("CI") == "true" {
		t.Fatal("CI needs python3-openpyxl and python3-xlsxwriter")
	}
	t.Skip("no Python with openpyxl and xlsxwriter (Debian: python3-openpyxl, python3-xlsxwriter)")
	return ""
}

// writeBooks has both writers write a schedule's cells, each in its ways: shared and inline strings, rich strings, dates from
// 1904, merged cells beside the header, hidden rows and columns, a formula with its value.
const writeBooks = `
import json, sys, datetime
import openpyxl, xlsxwriter
from openpyxl.utils import get_column_letter

book = json.load(open(sys.argv[1]))
out = sys.argv[2]

def value(c):
    kind, text = c
    if kind == "text": return text
    if kind == "number": return float(text)
    if kind == "date": return datetime.datetime.strptime(text, "%Y-%m-%d")

def with_openpyxl(path, epoch1904):
    wb = openpyxl.Workbook()
    if epoch1904:
        wb.epoch = openpyxl.utils.datetime.CALENDAR_MAC_1904
    wb.remove(wb.active)
    for tab in book:
        ws = wb.create_sheet(tab["name"])
        for n, cells in tab["rows"]:
            for j, c in enumerate(cells):
                if c is None: continue
                cell = ws.cell(row=n, column=j + 1, value=value(c))
                if c[0] == "text": cell.data_type = "s"
                if c[0] == "date": cell.number_format = "yyyy-mm-dd"
        width = max(len(cells) for n, cells in tab["rows"])
        first, last = get_column_letter(width + 3), get_column_letter(width + 5)
        ws[first + "1"] = "my own"
        ws.merge_cells(first + "1:" + last + "1")
        ws.column_dimensions["B"].hidden = True
        ws.row_dimensions[3].hidden = True
        ws.row_dimensions[4].outlineLevel = 1
        ws.freeze_panes = "A2"
        ws.auto_filter.ref = "A1:" + get_column_letter(width) + "40"
    wb.save(path)

def with_xlsxwriter(path, options, rich):
    wb = xlsxwriter.Workbook(path, options)
    day, bold = wb.add_format({"num_format": "d mmm yyyy"}), wb.add_format({"bold": True})
    for tab in book:
        ws = wb.add_worksheet(tab["name"])
        for n, cells in tab["rows"]:
            for j, c in enumerate(cells):
                if c is None: continue
                v = value(c)
                if c[0] == "date": ws.write_datetime(n - 1, j, v, day)
                elif c[0] == "number": ws.write_number(n - 1, j, v)
                elif rich and len(v) > 2 and v.strip() == v and n > 1: ws.write_rich_string(n - 1, j, v[:1], bold, v[1:2], v[2:])
                else: ws.write_string(n - 1, j, v)
        if tab["name"] == "Prices":
            ws.write_formula(0, 30, "=1+1", None, 2)
    wb.close()

with_openpyxl(out + "/openpyxl.xlsx", False)
with_openpyxl(out + "/openpyxl-1904.xlsx", True)
with_xlsxwriter(out + "/xlsxwriter.xlsx", {}, False)
with_xlsxwriter(out + "/xlsxwriter-inline.xlsx", {"constant_memory": True}, False)
with_xlsxwriter(out + "/xlsxwriter-rich.xlsx", {}, True)
with_xlsxwriter(out + "/xlsxwriter-1904.xlsx", {"date_1904": True}, False)
`

// Schedules as other programs write them read as the same job: random ones by two general writers in six ways.
func TestOtherWriters(t *testing.T) {
	py := python(t)
	n := 6
	if testing.Short() {
		n = 1
	}
	specimens := 0
	for seed, tried := 201, 0; tried < n; seed++ {
		s := drawn.Draw(drawn.Options{}).Example(seed)
		want, findings := schedule.Read(s.Book(), nil)
		if takeoff.HasErrors(findings) {
			continue
		}
		tried++
		dir := t.TempDir()
		in := filepath.Join(dir, "cells.json")
		require.NoError(t, os.WriteFile(in, cellsJSON(t, s.Book()), 0o644))
		said, err := exec.Command(py, "-c", writeBooks, in, dir).CombinedOutput()
		require.NoError(t, err, string(said))
		made, err := filepath.Glob(filepath.Join(dir, "*.xlsx"))
		require.NoError(t, err)
		require.Len(t, made, 6)
		for _, path := range made {
			job, findings, _, err := ReadSchedule(path, DefaultLimits)
			require.NoError(t, err, path)
			for _, f := range findings {
				require.NotEqual(t, takeoff.Error, f.Severity, "%s: %s", path, f.Print(""))
			}
			requireSameJob(t, filepath.Base(path), want, job)
			specimens++
		}
	}
	t.Logf("%d workbooks by other writers", specimens)
}

// requireSameJob compares what two jobs come to: every line and every price.
func requireSameJob(t *testing.T, name string, a, b *takeoff.Job) {
	t.Helper()
	x, y := takeoff.Compute(a), takeoff.Compute(b)
	require.Len(t, y.Lines, len(x.Lines), name)
	for i := range x.Lines {
		p, q := &x.Lines[i], &y.Lines[i]
		require.True(t, p.Item == q.Item && p.Quantity.Equal(q.Quantity) && p.Wall == q.Wall && p.Pour == q.Pour, "%s: %s %s, %s %s", name, p.Item, p.Quantity, q.Item, q.Quantity)
	}
	require.Len(t, b.Prices, len(a.Prices), name)
	for i := range a.Prices {
		p, q := a.Prices[i], b.Prices[i]
		assert.True(t, p.Item == q.Item && p.Price.Equal(q.Price) && p.Waste.Equal(q.Waste) && p.ValidUntil.Equal(q.ValidUntil.Time), "%s: %s", name, p.Item)
	}
	for i := range a.Pours {
		assert.True(t, a.Pours[i].FormsSet.Equal(b.Pours[i].FormsSet.Time) && a.Pours[i].Strip.Equal(b.Pours[i].Strip.Time), "%s: dates of pour %s", name, a.Pours[i].Name)
	}
}

func cellsJSON(t *testing.T, b schedule.Book) []byte {
	t.Helper()
	type tab struct {
		Name string `json:"name"`
		Rows []any  `json:"rows"`
	}
	kinds := map[schedule.CellKind]string{schedule.Text: "text", schedule.Number: "number", schedule.Date: "date"}
	var tabs []tab
	for _, in := range b.Tabs {
		out := tab{Name: in.Name}
		for _, r := range in.Rows {
			cells := make([]any, len(r.Cells))
			for j, c := range r.Cells {
				if c.Kind != schedule.Blank {
					require.NotEmpty(t, kinds[c.Kind])
					cells[j] = []string{kinds[c.Kind], c.Value}
				}
			}
			out.Rows = append(out.Rows, []any{r.Number, cells})
		}
		tabs = append(tabs, out)
	}
	text, err := json.Marshal(tabs)
	require.NoError(t, err)
	return text
}

// Both starters, opened and saved by another spreadsheet program, read as the same jobs and give the same bid; saved as its
// own format and back they do too.
func TestStartersSavedElsewhere(t *testing.T) {
	if testing.Short() {
		t.Skip("the other program takes seconds to start")
	}
	for _, o := range []Options{{}, {Metric: true}} {
		dir := t.TempDir()
		path := filepath.Join(dir, "job.xlsx")
		require.NoError(t, NewStarter(path, o))
		want, findings, _, err := ReadSchedule(path, DefaultLimits)
		require.NoError(t, err)
		require.False(t, takeoff.HasErrors(findings))
		saved := office(t, path, "xlsx:Calc MS Excel 2007 XML", "xlsx")
		back := office(t, office(t, path, "ods", "ods"), "xlsx:Calc MS Excel 2007 XML", "xlsx")
		for name, p := range map[string]string{"saved": saved, "by way of its own format": back} {
			have, findings, _, err := ReadSchedule(p, DefaultLimits)
			require.NoError(t, err, name)
			var errs []string
			for _, f := range findings {
				if f.Severity == takeoff.Error {
					errs = append(errs, f.Print(""))
				}
			}
			require.Empty(t, strings.Join(errs, ""), name)
			requireSameJob(t, name, want, have)
		}
	}
}
