package sheet

import (
	"archive/zip"
	"bytes"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// What spreadsheet people expect of a generated workbook, one test a point, on every results tab of several workbooks: the
// samples, a job with every kind of row, random jobs. The points are those that public guides to spreadsheets share
// (principles of good practice, financial modelling standards, accessibility checklists); where a tab reads one in its own
// way the test says so.

// severalTables are the tabs that carry more than one table, each with its title and header after a blank row. The Record is
// so too: the tabs as they were read, one under the other. Drawings has pictures under their titles.
var severalTables = []string{tabBid, tabChanges, tabCuts, tabBracing, tabPourPlan, tabRecord, tabDrawings}

// pointBook is a priced workbook looked at.
type pointBook struct {
	name  string
	bytes []byte
	f     *excelize.File
	rows  map[string][][]string
}

var pointBooks = sync.OnceValue(func() map[string][]byte { return map[string][]byte{} })

// eachTab calls look with every results tab of every workbook.
func eachTab(t *testing.T, look func(t *testing.T, b *pointBook, tab string)) {
	t.Helper()
	for _, b := range booksToLookAt(t) {
		for _, r := range resultTabs {
			if r.fill == nil {
				continue
			}
			if i, err := b.f.GetSheetIndex(r.name); err != nil || i < 0 {
				continue
			}
			t.Run(b.name+"/"+r.name, func(t *testing.T) { look(t, b, r.name) })
		}
	}
}

func booksToLookAt(t *testing.T) []*pointBook {
	if testing.Short() {
		t.Skip("written workbooks are read cell by cell: not in a short run")
	}
	t.Helper()
	books := pointBooks()
	if len(books) == 0 {
		for _, name := range []string{"cottage", "pumphouse"} {
			books[name], _ = priceFile(t, "../samples/"+name+".xlsx")
		}
		books["every kind"] = writeSite(t, fullSite())
		for _, j := range drawnPriced(t, 31, 2) {
			books[j.name()] = j.priced
		}
	}
	var all []*pointBook
	for _, name := range sortedKeys(books) {
		b := &pointBook{name: name, bytes: books[name], f: openRaw(t, books[name]), rows: map[string][][]string{}}
		for _, tab := range b.f.GetSheetList() {
			rows, err := b.f.GetRows(tab)
			require.NoError(t, err)
			b.rows[tab] = rows
		}
		all = append(all, b)
	}
	return all
}

// part is a part of the workbook as it stands in the file.
func (b *pointBook) part(t *testing.T, name string) string {
	zr, err := zip.NewReader(bytes.NewReader(b.bytes), int64(len(b.bytes)))
	require.NoError(t, err)
	r, err := zr.Open(name)
	require.NoError(t, err)
	defer r.Close()
	text, err := io.ReadAll(r)
	require.NoError(t, err)
	return string(text)
}

// sheetPart is a tab's part.
func (b *pointBook) sheetPart(t *testing.T, tab string) string {
	parts, err := tabParts(b.f)
	require.NoError(t, err)
	return b.part(t, parts[tab])
}

func (b *pointBook) cell(tab string, row, col int) string {
	if row > len(b.rows[tab]) || col > len(b.rows[tab][row-1]) {
		return ""
	}
	return b.rows[tab][row-1][col-1]
}

func (b *pointBook) formulas(t *testing.T, tab string) map[string]string {
	all := map[string]string{}
	for _, s := range storedFormulas(t, b.f) {
		if s.tab == tab {
			all[s.cell] = s.formula
		}
	}
	return all
}

func TestPoint01About(t *testing.T) {
	for _, b := range booksToLookAt(t) {
		first := ""
		for _, tab := range b.f.GetSheetList() {
			if slices.ContainsFunc(resultTabs, func(r resultTab) bool { return r.name == tab }) {
				first = tab
				break
			}
		}
		require.Equal(t, tabAbout, first, b.name)
		text := ""
		links := map[string]bool{}
		for i, row := range b.rows[tabAbout] {
			text += strings.Join(row, " ") + "\n"
			for j := range row {
				at, _ := excelize.CoordinatesToCellName(j+1, i+1)
				if ok, place, err := b.f.GetCellHyperLink(tabAbout, at); err == nil && ok {
					links[strings.Trim(strings.Split(place, "!")[0], "'")] = true
				}
			}
		}
		for _, want := range []string{"wallbill", testRun.Version, testRun.InputHash, "2025-05-02"} {
			require.Contains(t, text, want, b.name)
		}
		for _, r := range resultTabs {
			if i, _ := b.f.GetSheetIndex(r.name); r.fill != nil && i >= 0 && r.name != tabAbout {
				require.True(t, links[r.name], "%s: no link to %s", b.name, r.name)
			}
		}
	}
}

// The user's inputs, the cells to play with and what is computed are on tabs of their own: unlocked cells of the results
// stand on Prices used and Bid inputs alone, and no formula stands among the inputs.
func TestPoint02InputsApart(t *testing.T) {
	eachTab(t, func(t *testing.T, b *pointBook, tab string) {
		unlocked, formulas := 0, 0
		for i, row := range b.rows[tab] {
			for j := range row {
				at, _ := excelize.CoordinatesToCellName(j+1, i+1)
				id, err := b.f.GetCellStyle(tab, at)
				require.NoError(t, err)
				style, err := b.f.GetStyle(id)
				require.NoError(t, err)
				if style.Protection != nil && !style.Protection.Locked {
					unlocked++
					f, err := b.f.GetCellFormula(tab, at)
					require.NoError(t, err)
					require.Empty(t, f, "%s is both", at)
				}
			}
		}
		formulas = len(b.formulas(t, tab))
		if tab == tabPrices || tab == tabInputs {
			require.Positive(t, unlocked)
			require.Zero(t, formulas)
		} else {
			require.Zero(t, unlocked)
		}
	})
}

var (
	quotedText = regexp.MustCompile(`"[^"]*"`)
	reference  = regexp.MustCompile(`('[^']*'!|[A-Za-z]+!)?\$?[A-Z]{1,3}\$?[0-9]+(:\$?[A-Z]{1,3}\$?[0-9]+)?`)
	literal    = regexp.MustCompile(`[0-9]+(\.[0-9]+)?`)
	function   = regexp.MustCompile(`([A-Z][A-Z0-9.]*)\(`)
)

// A number in a formula is a place to round to, a count from 0 or 1, never a rate, a price or a waste.
func TestPoint03NoConstants(t *testing.T) {
	eachTab(t, func(t *testing.T, b *pointBook, tab string) {
		for at, formula := range b.formulas(t, tab) {
			bare := reference.ReplaceAllString(quotedText.ReplaceAllString(formula, ""), "")
			for _, n := range literal.FindAllString(bare, -1) {
				require.Contains(t, []string{"0", "1", "2", "3", "4", "6", "9", "100"}, n, "%s =%s", at, formula)
			}
		}
	})
	for _, b := range booksToLookAt(t) { // each rate once, with its name, unit and source
		for row := inputTax; row <= inputRound; row++ {
			for col := 1; col <= 5; col++ {
				require.NotEmpty(t, b.cell(tabInputs, row, col), "%s: %s row %d", b.name, tabInputs, row)
			}
		}
	}
}

// What is summed is summed once; other cells refer to it.
func TestPoint04ComputedOnce(t *testing.T) {
	for _, b := range booksToLookAt(t) {
		seen := map[string]string{}
		for _, s := range storedFormulas(t, b.f) {
			if !strings.Contains(s.formula, "SUM") || s.tab == tabPriced {
				continue // a column's formula names its own row
			}
			if at, twice := seen[s.formula]; twice {
				t.Errorf("%s: =%s in %s and in %s!%s", b.name, s.formula, at, s.tab, s.cell)
			}
			seen[s.formula] = s.tab + "!" + s.cell
		}
	}
}

// relative is a formula with its references as steps from the cell, so that one formula down a column is one text.
func relative(formula string, col, row int) string {
	return regexp.MustCompile(`(\$?)([A-Z]{1,3})(\$?)([0-9]+)`).ReplaceAllStringFunc(formula, func(ref string) string {
		m := regexp.MustCompile(`(\$?)([A-Z]{1,3})(\$?)([0-9]+)`).FindStringSubmatch(ref)
		c, _ := excelize.ColumnNameToNumber(m[2])
		r, _ := strconv.Atoi(m[4])
		out := m[2]
		if m[1] == "" {
			out = "c" + strconv.Itoa(c-col)
		}
		if m[3] == "" {
			return out + "r" + strconv.Itoa(r-row)
		}
		return out + m[4]
	})
}

// One formula a column. Checks and the build-up on Bid are lists of different sums, one a row; the further tables of Bid have
// one formula a column each.
func TestPoint05OneFormulaAColumn(t *testing.T) {
	eachTab(t, func(t *testing.T, b *pointBook, tab string) {
		if tab == tabChecks || slices.Contains(severalTables, tab) {
			return
		}
		columns := map[int]map[string]string{}
		for at, formula := range b.formulas(t, tab) {
			c, r, err := excelize.CellNameToCoordinates(at)
			require.NoError(t, err)
			if r < firstRow {
				continue
			}
			if columns[c] == nil {
				columns[c] = map[string]string{}
			}
			columns[c][relative(formula, c, r)] = at
		}
		for c, different := range columns {
			require.Len(t, different, 1, "column %d", c)
		}
	})
}

func TestPoint06ShortFormulas(t *testing.T) {
	allowed := []string{"SUM", "SUMIFS", "SUMPRODUCT", "COUNTIF", "COUNTA", "ROUND", "ROUNDUP", "IF", "INDEX", "MATCH", "MAX", "LEFT"}
	eachTab(t, func(t *testing.T, b *pointBook, tab string) {
		for at, formula := range b.formulas(t, tab) {
			for _, m := range function.FindAllStringSubmatch(quotedText.ReplaceAllString(formula, ""), -1) {
				require.Contains(t, allowed, m[1], "%s =%s", at, formula)
			}
			require.Less(t, len(formula), 280, "%s =%s", at, formula)
			require.NotContains(t, formula, "\n")
			bare := quotedText.ReplaceAllString(formula, "")
			require.LessOrEqual(t, len(regexp.MustCompile(`\bIF\(`).FindAllString(bare, -1)), 1, "%s =%s: nested", at, formula)
		}
	})
}

// table is a table of a tab: its header row and how many rows follow it.
type tableOn struct{ head, last, cols int }

// tablesOn finds the tables of a tab: the header in row 4 and, where there are several, each header after a blank row and a title.
func (b *pointBook) tablesOn(tab string) []tableOn {
	var all []tableOn
	rows := b.rows[tab]
	filled := func(r int) int {
		if r > len(rows) {
			return 0
		}
		n := 0
		for i, v := range rows[r-1] {
			if v != "" {
				n = i + 1
			}
		}
		return n
	}
	head := headRow
	for r := headRow + 1; ; r++ {
		if r <= len(rows) && (filled(r) > 0 || !slices.Contains(severalTables, tab)) {
			continue
		}
		all = append(all, tableOn{head, r - 1, filled(head)})
		if r > len(rows) {
			return all
		}
		for r <= len(rows) && filled(r) == 0 {
			r++
		}
		if r+1 > len(rows) || filled(r) != 1 { // a title
			return all
		}
		head = r + 1
		r = head
	}
}

// Every column of numbers has its unit in its header, in the table's Unit column, or is a plain count or ratio.
func TestPoint07Units(t *testing.T) {
	plain := []string{"Count", "Times", "Over", "Waste", "Pack", "From 1", "From 2", "From 3", "Unpriced", "Course", "Whole units", "Ledge units", "Corner units", "End closures",
		"One way", "The other way", "Value", "Rate", "Share", "Pieces", "Bought", "Bought by total length", "Trucks", "Loads", "Lift", "Braces", "Planks", "Rail pieces", "Run", "Row", "Cut", "Of one", "In all", "Minutes",
		"brace-set", "brace-tall", "plank", "rail"}
	eachTab(t, func(t *testing.T, b *pointBook, tab string) {
		if tab == tabRecord || tab == tabAbout || tab == tabChecks || tab == tabChanges {
			return // rows as they were read; words; sums of any unit; money in the unit column of its table
		}
		for _, table := range b.tablesOn(tab) {
			heads := b.rows[tab][table.head-1]
			hasUnit := slices.Contains(heads, "Unit")
			for c := 1; c <= table.cols; c++ {
				numbers := false
				for r := table.head + 1; r <= table.last; r++ {
					at, _ := excelize.CoordinatesToCellName(c, r)
					kind, err := b.f.GetCellType(tab, at)
					require.NoError(t, err)
					if kind == excelize.CellTypeUnset && b.cell(tab, r, c) != "" {
						numbers = true
					}
				}
				head := b.cell(tab, table.head, c)
				if numbers && !hasUnit && !strings.Contains(head, "(") && !slices.Contains(plain, head) && !b.dates(t, tab, table, c) {
					t.Errorf("row %d: no unit of %q", table.head, head)
				}
			}
		}
	})
}

// dates tells whether a column holds dates.
func (b *pointBook) dates(t *testing.T, tab string, table tableOn, col int) bool {
	for r := table.head + 1; r <= table.last; r++ {
		if b.cell(tab, r, col) == "" {
			continue
		}
		at, _ := excelize.CoordinatesToCellName(col, r)
		id, err := b.f.GetCellStyle(tab, at)
		require.NoError(t, err)
		style, err := b.f.GetStyle(id)
		require.NoError(t, err)
		return style.NumFmt == 14 || style.CustomNumFmt != nil && showsDate(*style.CustomNumFmt)
	}
	return false
}

// Each check passes or fails by itself; Bid has one flag of all.
func TestPoint08Checks(t *testing.T) {
	for _, b := range booksToLookAt(t) {
		results := 0
		for r := firstRow; r <= len(b.rows[tabChecks]); r++ {
			if v := b.cell(tabChecks, r, 1); v == checkPass || v == checkFail {
				results++
				f, err := b.f.GetCellFormula(tabChecks, "A"+strconv.Itoa(r))
				require.NoError(t, err)
				require.NotEmpty(t, f, "alive")
			}
		}
		require.GreaterOrEqual(t, results, 15, b.name)
		flag, err := b.f.GetCellFormula(tabBid, "C"+strconv.Itoa(bidControl))
		require.NoError(t, err)
		require.Contains(t, flag, tabChecks)
	}
}

// Computed tabs are protected without a password, filters and sorting allowed.
func TestPoint09Protected(t *testing.T) {
	eachTab(t, func(t *testing.T, b *pointBook, tab string) {
		p := regexp.MustCompile(`<sheetProtection[^>]*>`).FindString(b.sheetPart(t, tab))
		require.NotEmpty(t, p)
		require.Contains(t, p, `sheet="true"`)
		require.NotRegexp(t, `password|hashValue`, p)
		if len(b.tablesOn(tab)) > 0 && tab != tabAbout {
			require.Contains(t, p, `autoFilter="false"`, "filters are allowed")
			require.Contains(t, p, `sort="false"`, "sorting is allowed")
		}
	})
}

// One table a tab, marked up with a name, or several under one another, each with its title and one header row.
func TestPoint10Tables(t *testing.T) {
	names := map[string]string{}
	eachTab(t, func(t *testing.T, b *pointBook, tab string) {
		tables, err := b.f.GetTables(tab)
		require.NoError(t, err)
		if slices.Contains(severalTables, tab) {
			require.Empty(t, tables)
		} else {
			require.Len(t, tables, 1)
			require.Greater(t, len(tables[0].Name), 3)
			key := b.name + " " + strings.ToLower(tables[0].Name)
			require.Empty(t, names[key])
			names[key] = tab
		}
		if tab == tabRecord || tab == tabDrawings {
			return // headers as the user typed them; titles of pictures
		}
		for _, table := range b.tablesOn(tab) {
			seen := map[string]bool{}
			for c := 1; c <= table.cols; c++ {
				head := strings.ToLower(b.cell(tab, table.head, c))
				require.NotEmpty(t, head, "row %d column %d", table.head, c)
				require.False(t, seen[head], "row %d: %q twice", table.head, head)
				seen[head] = true
			}
		}
	})
}

func TestPoint11NoMergedCells(t *testing.T) {
	eachTab(t, func(t *testing.T, b *pointBook, tab string) {
		merged, err := b.f.GetMergeCells(tab)
		require.NoError(t, err)
		require.Empty(t, merged)
		for _, table := range b.tablesOn(tab) {
			for r := table.head + 1; r <= table.last; r++ {
				require.NotEmpty(t, strings.Join(b.rows[tab][r-1], ""), "row %d is blank", r)
			}
		}
	})
}

func TestPoint12Titles(t *testing.T) {
	eachTab(t, func(t *testing.T, b *pointBook, tab string) {
		require.NotEmpty(t, b.cell(tab, 1, 1))
		require.Contains(t, b.cell(tab, 2, 1), "Run ", "job, revision, run")
		require.NotEmpty(t, b.cell(tab, headRow, 1), "the header")
		require.LessOrEqual(t, len([]rune(tab)), 31)
		require.Equal(t, strings.TrimSpace(tab), tab)
	})
}

func TestPoint13Opens(t *testing.T) {
	for _, b := range booksToLookAt(t) {
		require.Equal(t, tabAbout, b.f.GetSheetName(b.f.GetActiveSheetIndex()), b.name)
		require.NotContains(t, b.sheetPart(t, tabAbout), `activeCell="B`)
	}
	eachTab(t, func(t *testing.T, b *pointBook, tab string) {
		visible, err := b.f.GetSheetVisible(tab)
		require.NoError(t, err)
		require.True(t, visible)
		part := b.sheetPart(t, tab)
		require.NotRegexp(t, `<(row|col) [^>]*hidden="(1|true)"`, part)
		selected := strings.Contains(part, `tabSelected="true"`) || strings.Contains(part, `tabSelected="1"`)
		require.Equal(t, tab == tabAbout, selected, "one tab is selected")
	})
}

// A colour by condition stands only on cells that say the same in words; the font is one without serifs, of 10 points or more.
func TestPoint14ColourAndFont(t *testing.T) {
	eachTab(t, func(t *testing.T, b *pointBook, tab string) {
		formats, err := b.f.GetConditionalFormats(tab)
		require.NoError(t, err)
		for area := range formats {
			for _, r := range strings.Fields(area) {
				from, _, _ := strings.Cut(r, ":")
				c, row, err := excelize.CellNameToCoordinates(from)
				require.NoError(t, err)
				if v := b.cell(tab, row, c); v != "" {
					_, err := strconv.ParseFloat(v, 64)
					require.Error(t, err, "%s!%s is coloured by condition and is a number", tab, from)
				}
			}
		}
		fonts := map[string]bool{}
		for i, row := range b.rows[tab] {
			for j := range row {
				if i > 40 {
					break
				}
				at, _ := excelize.CoordinatesToCellName(j+1, i+1)
				id, err := b.f.GetCellStyle(tab, at)
				require.NoError(t, err)
				style, err := b.f.GetStyle(id)
				require.NoError(t, err)
				if style.Font != nil && row[j] != "" {
					require.GreaterOrEqual(t, style.Font.Size, 10.0, at)
					fonts[style.Font.Family] = true
				}
			}
		}
		for family := range fonts {
			require.Contains(t, []string{"Arial", "Calibri", "Liberation Sans", "Verdana", "Aptos", "Carlito"}, family)
		}
		require.LessOrEqual(t, len(fonts), 1)
	})
}

// Charts and pictures carry their words; no number is wider than its column, which would show as ####.
func TestPoint15WordsAndWidths(t *testing.T) {
	for _, b := range booksToLookAt(t) {
		zr, err := zip.NewReader(bytes.NewReader(b.bytes), int64(len(b.bytes)))
		require.NoError(t, err)
		drawings := 0
		for _, f := range zr.File {
			if !strings.HasPrefix(f.Name, "xl/drawings/drawing") {
				continue
			}
			for _, c := range regexp.MustCompile(`<xdr:cNvPr [^>]*>`).FindAllString(b.part(t, f.Name), -1) {
				drawings++
				require.Regexp(t, `descr="[^"]{10,}"`, c, b.name)
			}
		}
		require.Positive(t, drawings, b.name)
	}
	eachTab(t, func(t *testing.T, b *pointBook, tab string) {
		for i, row := range b.rows[tab] {
			for j, v := range row {
				if v == "" || i < headRow {
					continue
				}
				at, _ := excelize.CoordinatesToCellName(j+1, i+1)
				kind, err := b.f.GetCellType(tab, at)
				require.NoError(t, err)
				if kind != excelize.CellTypeUnset {
					continue
				}
				shown := shownAt(t, b, tab, at)
				column, _ := excelize.ColumnNumberToName(j + 1)
				width, err := b.f.GetColWidth(tab, column)
				require.NoError(t, err)
				require.LessOrEqual(t, float64(len([]rune(shown))), width, "%s shows %q", at, shown)
			}
		}
	})
}

// shownAt is a cell as a reader sees it.
func shownAt(t *testing.T, b *pointBook, tab, at string) string {
	v, err := b.f.GetCellValue(tab, at, excelize.Options{RawCellValue: false})
	require.NoError(t, err)
	return strings.TrimSpace(v)
}

func TestPoint16FrozenHeader(t *testing.T) {
	eachTab(t, func(t *testing.T, b *pointBook, tab string) {
		panes, err := b.f.GetPanes(tab)
		require.NoError(t, err)
		if tab == tabAbout {
			return // a page to read, not to scroll
		}
		require.True(t, panes.Freeze)
		require.Equal(t, headRow, panes.YSplit)
	})
}

// A number is a number: no cell of text in a column with numbers reads as one, and dates are dates.
func TestPoint17NumbersAreNumbers(t *testing.T) {
	eachTab(t, func(t *testing.T, b *pointBook, tab string) {
		if tab == tabRecord || tab == tabAbout || tab == tabBasis {
			return // cells as they were typed; words about settings
		}
		for _, table := range b.tablesOn(tab) {
			for c := 1; c <= table.cols; c++ {
				numbers, texts := 0, []string(nil)
				for r := table.head + 1; r <= table.last; r++ {
					v := b.cell(tab, r, c)
					if v == "" {
						continue
					}
					at, _ := excelize.CoordinatesToCellName(c, r)
					kind, err := b.f.GetCellType(tab, at)
					require.NoError(t, err)
					formula, err := b.f.GetCellFormula(tab, at)
					require.NoError(t, err)
					if kind == excelize.CellTypeUnset || formula != "" {
						numbers++
						continue
					}
					if _, err := strconv.ParseFloat(v, 64); err == nil || regexp.MustCompile(`^\d{4}-\d\d-\d\d$`).MatchString(v) {
						texts = append(texts, at+" "+v)
					}
				}
				if numbers > 0 {
					require.Empty(t, texts, "column %d under row %d", c, table.head)
				}
			}
		}
	})
}

func TestPoint18Print(t *testing.T) {
	eachTab(t, func(t *testing.T, b *pointBook, tab string) {
		layout, err := b.f.GetPageLayout(tab)
		require.NoError(t, err)
		if tab == tabDrawings { // a percentage at which each picture is one page
			require.NotNil(t, layout.AdjustTo)
		} else {
			require.NotNil(t, layout.FitToWidth)
			require.Equal(t, 1, *layout.FitToWidth, "one page wide")
			props, err := b.f.GetSheetProps(tab)
			require.NoError(t, err)
			require.NotNil(t, props.FitToPage)
			require.True(t, *props.FitToPage)
		}
		if b.tablesOn(tab)[0].cols > 8 {
			require.NotNil(t, layout.Orientation)
			require.Equal(t, "landscape", *layout.Orientation)
		}
		titles := ""
		for _, d := range b.f.GetDefinedName() {
			if d.Name == "_xlnm.Print_Titles" && d.Scope == tab {
				titles = d.RefersTo[strings.LastIndex(d.RefersTo, "!")+1:]
			}
		}
		switch {
		case tab == tabDrawings: // each picture has its own title
		case slices.Contains(severalTables, tab): // of several headers none is that of every page: title and run are
			require.Contains(t, []string{"$1:$2", "$1:$3", "$1:$4"}, titles, "title and run are repeated on each page")
		default:
			require.Equal(t, "$1:$"+strconv.Itoa(headRow), titles, "the header is repeated on each page")
		}
		footer, err := b.f.GetHeaderFooter(tab)
		require.NoError(t, err)
		require.NotNil(t, footer)
		for _, want := range []string{"Page &P of &N", "&A", "Run ", testRun.Time.Format("2006-01-02"), ".xlsx"} {
			require.Contains(t, footer.OddFooter, want)
		}
	})
}
