package schedule

import (
	"slices"
	"strconv"
	"strings"

	"wallbill/takeoff"
	"wallbill/takeoff/exact"
	"wallbill/takeoff/length"
	"wallbill/takeoff/number"
)

// InputTab is the rows of one tab of the catalogue as they were read, for the record and for comparing two schedules.
type InputTab struct {
	Spec   *TabSpec
	File   string // of a price book; empty for the schedule
	Name   string // as the workbook spells the tab
	Source []int  // sheet column of each catalogue column, 0 where the tab has none; nil: the catalogue's own order
	Rows   []Input
}

// Input is a row as read. Cells stand in the order of the tab's catalogue columns, as text that reads back to the same
// value whatever the job's units: 24.5 in a column of feet is 24'-6", a waste of 0.05 is 5%. A blank cell is "".
type Input struct {
	Row   int
	Key   string // the values of the tab's key columns joined by " / ", a blank one as -; repeats are numbered: "W7 (2)"
	Cells []string
}

// keySeparator joins the values of a key.
const keySeparator = " / "

// Inputs are all rows that Read reads, by tab in the workbook's order, those of the price book after those of the
// schedule. Cells that are refused stand as they were found.
func Inputs(schedule Book, priceBook *Book) []InputTab {
	r := newReader()
	r.books(schedule, priceBook)
	var all []InputTab
	add := func(b *Book, tables map[string]*table) {
		for _, tab := range b.Tabs {
			spec := TabNamed(tab.Name)
			if spec == nil {
				continue
			}
			if t := tables[spec.Name]; t != nil && t.name == tab.Name {
				all = append(all, t.inputs())
			}
		}
	}
	add(&schedule, r.tables)
	if priceBook != nil {
		add(priceBook, r.book)
	}
	return all
}

func (t *table) inputs() InputTab {
	in := InputTab{Spec: t.spec, File: t.file, Name: t.name, Source: append([]int(nil), t.at...)}
	seen := map[string]int{}
	for _, rec := range t.records {
		row := Input{Row: rec.number}
		for i := range rec.values {
			text := ""
			if v := rec.values[i]; v != nil && v.state == bad {
				text = v.cell
			} else if v != nil {
				text = v.text
			}
			row.Cells = append(row.Cells, text)
		}
		row.Key = t.spec.key(row.Cells)
		k := fold(row.Key)
		if seen[k]++; seen[k] > 1 {
			row.Key += " (" + strconv.Itoa(seen[k]) + ")"
		}
		in.Rows = append(in.Rows, row)
	}
	return in
}

// key joins the key columns of a row's cells.
func (t *TabSpec) key(cells []string) string {
	var parts []string
	for _, name := range t.Key {
		part := "-"
		for i := range t.Columns {
			if t.Columns[i].Name == name && i < len(cells) && cells[i] != "" {
				part = cells[i]
			}
		}
		parts = append(parts, part)
	}
	for len(parts) > 1 && parts[len(parts)-1] == "-" {
		parts = parts[:len(parts)-1]
	}
	return strings.Join(parts, keySeparator)
}

// Books are the workbooks that the inputs were read from, with nothing but what was read: Read gives the same job of them.
// The price book is nil where no tab is of one.
func Books(tabs []InputTab) (schedule Book, priceBook *Book) {
	for i := range tabs {
		in := &tabs[i]
		b := &schedule
		if in.File != "" {
			if priceBook == nil {
				priceBook = &Book{File: in.File}
			}
			b = priceBook
		}
		b.Tabs = append(b.Tabs, in.tab())
	}
	return schedule, priceBook
}

func (in *InputTab) tab() Tab {
	source := in.columns()
	name := in.Name
	if name == "" {
		name = in.Spec.Name
	}
	tab := Tab{Name: name, Rows: make([]Row, 0, 1+len(in.Rows))}
	head := Row{Number: 1, Cells: make([]Cell, slices.Max(source))}
	for i, at := range source {
		if at > 0 {
			head.Cells[at-1] = Cell{Kind: Text, Value: in.Spec.Columns[i].Name}
		}
	}
	tab.Rows = append(tab.Rows, head)
	for i := range in.Rows {
		tab.Rows = append(tab.Rows, in.row(i))
	}
	return tab
}

// columns are the sheet columns of the catalogue's, 0 for one that the tab has not.
func (in *InputTab) columns() []int {
	if in.Source != nil {
		return in.Source
	}
	all := make([]int, len(in.Spec.Columns))
	for i := range all {
		all[i] = i + 1
	}
	return all
}

// row is a row of the tab.
func (in *InputTab) row(i int) Row {
	source, row := in.columns(), &in.Rows[i]
	cells := make([]Cell, slices.Max(source))
	for i, at := range source {
		if at > 0 && i < len(row.Cells) {
			cells[at-1] = cellOf(in.Spec, i, row.Cells)
		}
	}
	return Row{Number: row.Row, Cells: cells}
}

// cellOf is a cell of the kind its column's values have: numbers as numbers, all else as text.
func cellOf(spec *TabSpec, i int, cells []string) Cell {
	text := cells[i]
	if text == "" {
		return Cell{}
	}
	c := Cell{Kind: Text, Value: text}
	if _, plain := number.Plain(text); !plain {
		return c
	}
	switch spec.Columns[i].Kind {
	case CountColumn, NumberColumn, MoneyColumn:
		c.Kind = Number
	case ValueColumn:
		if s := settingNamed(cells[0]); s != nil {
			switch s.Kind {
			case takeoff.KindCount, takeoff.KindNumber, takeoff.KindMoney:
				c.Kind = Number
			}
		}
	}
	return c
}

// settingNamed is the setting of that name, nil when there is none. Case, surrounding spaces and a unit in brackets do not
// matter.
func settingNamed(name string) *takeoff.Setting {
	for i := range takeoff.Catalogue {
		if headerKey(takeoff.Catalogue[i].Name) == headerKey(name) {
			return &takeoff.Catalogue[i]
		}
	}
	return nil
}

// Same tells whether two texts of an Input's cell are the same value: 6' and 72", not 6' and 6'-1". A core typed in
// millimetres is another one than the same in inches in Forms and Parts, whose item names carry it. The key is that of the
// row; on the Job tab it names the setting.
func Same(tab *TabSpec, key string, column int, a, b string) bool {
	if a == b {
		return true
	}
	if a == "" || b == "" {
		return false
	}
	c := &tab.Columns[column]
	r := newReader()
	if c.Kind == ValueColumn {
		s := settingNamed(key)
		if s == nil || s.Kind == takeoff.KindText {
			return false
		}
		x, wrongX := readSetting(s, Cell{Kind: Text, Value: a}, length.FeetInches)
		y, wrongY := readSetting(s, Cell{Kind: Text, Value: b}, length.FeetInches)
		return wrongX == nil && wrongY == nil && x.Word == y.Word && x.Len == y.Len && x.Num.Cmp(y.Num) == 0
	}
	x, y := value{}, value{}
	cells := []string{a}
	open := *c // a value out of range is a value still
	open.Min, open.Max, open.Negative = "", "", true
	if r.read(&x, &open, cellOf(&TabSpec{Columns: []ColumnSpec{*c}}, 0, cells)) != nil {
		return false
	}
	cells[0] = b
	if r.read(&y, &open, cellOf(&TabSpec{Columns: []ColumnSpec{*c}}, 0, cells)) != nil {
		return false
	}
	if c.Name == "Core" && (tab.Name == "Forms" || tab.Name == "Parts") && x.metric != y.metric {
		return false
	}
	return x.same(&y)
}

// same tells whether two values of one column are equal.
func (v *value) same(w *value) bool {
	if v.word != w.word || v.len != w.len || !v.num.Equal(w.num) || v.place != w.place || v.bar != w.bar || v.unit != w.unit ||
		!v.day.Equal(w.day.Time) || (v.turn == nil) != (w.turn == nil) || v.turn != nil && *v.turn != *w.turn || len(v.lens) != len(w.lens) {
		return false
	}
	for i := range v.lens {
		if v.lens[i] != w.lens[i] {
			return false
		}
	}
	return true
}

// settingText prints a setting's value so that it reads back whatever the job's units.
func settingText(c *takeoff.Setting, v takeoff.SettingValue, typed string, system length.System) string {
	switch c.Kind {
	case takeoff.KindText, takeoff.KindDate:
		return v.Text
	case takeoff.KindChoice:
		return v.Word
	case takeoff.KindLength:
		if v.Word != "" {
			return v.Word
		}
		return lengthText(v.Len, strings.HasSuffix(strings.ToLower(typed), "m"))
	case takeoff.KindPercent:
		return number.Text(v.Num.Mul(exact.Int(100)).Round(15)) + "%"
	}
	d, words, _ := takeoff.NumberAndUnit(typed)
	switch {
	case c.Kind == takeoff.KindCount, c.Kind == takeoff.KindNumber, c.Kind == takeoff.KindMoney:
		return number.Text(d)
	case words == "" && system == length.Metric && c.Metric != "":
		words = c.MetricUnit
	case words == "":
		words = c.Unit
	}
	return number.Text(d) + " " + words
}
