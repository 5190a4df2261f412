package revision

import (
	"slices"
	"strings"
	"unicode/utf8"

	"wallbill/takeoff/schedule"
)

// arrow stands between an old and a new value.
const arrow = " → "

// longestName keeps the name of joined edits readable, in characters.
const longestName = 1000

// before is how an estimator speaks of a tab's rows; walls and settings go by their own name alone.
var before = map[string]string{
	"Levels": "level ", "Openings": "opening ", "Bars": "bars ", "Footings": "footing ", "Pads": "pad ", "Ledges": "ledge ",
	"Forms": "form line ", "Parts": "part ", "Pours": "pour ", "Factors": "factor ", "Prices": "price of ", "Extras": "extra ",
}

// gist are the cells that say most of a row that was added or removed.
var gist = map[string][]string{
	"Walls": {"Length", "Height"}, "Footings": {"Width", "Depth"}, "Pads": {"Count", "Length", "Width", "Depth"},
	"Factors": {"Quantity"}, "Prices": {"Price"}, "Extras": {"Kind", "Quantity", "Price"},
}

// titleOf is what a row is called: A3, price of bar-#4 (ea, 20'-0").
func titleOf(spec *schedule.TabSpec, r *schedule.Input) string {
	var parts []string
	for _, name := range spec.Key {
		if v := cell(r, columnAt(spec, name)); v != "" {
			parts = append(parts, v)
		}
	}
	title := before[spec.Name]
	if spec.Name == "Openings" { // its wall is said before
		parts = nil
		if v := cell(r, columnAt(spec, "Opening")); v != "" {
			parts = append(parts, v)
		}
	}
	if len(parts) == 0 {
		return strings.TrimSpace(title)
	}
	switch spec.Name {
	case "Forms", "Parts":
		title += strings.Join(parts, " ")
	case "Factors":
		title += parts[0]
		if len(parts) > 1 {
			title += " per " + strings.Join(parts[1:], ", ")
		}
	default:
		title += parts[0]
		if len(parts) > 1 {
			title += " (" + strings.Join(parts[1:], ", ") + ")"
		}
	}
	if i := strings.LastIndex(r.Key, " ("); i >= 0 && strings.HasSuffix(r.Key, ")") { // a repeat of the key
		if n := r.Key[i:]; strings.Trim(n, " ()0123456789") == "" {
			title += n
		}
	}
	return title
}

// nameOf names the edit of a row with its old and new values.
func nameOf(spec *schedule.TabSpec, s *slot) string {
	title := titleOf(spec, present(s))
	if spec.Name == "Openings" {
		if w := cell(present(s), columnAt(spec, "Wall")); w != "" {
			title = w + ": " + title
		}
	}
	if spec.Name == "Job" { // a setting that is blank or not there has its default
		if v := columnAt(spec, "Value"); cell(s.old, v) != cell(s.new, v) {
			return title + " " + or(cell(s.old, v), "default") + arrow + or(cell(s.new, v), "default")
		}
	}
	switch {
	case s.old == nil:
		return title + " added" + gistOf(spec, s.new)
	case s.new == nil:
		return title + " removed" + gistOf(spec, s.old)
	}
	what := cellsOf(spec, s)
	if spec.Name == "Prices" {
		what = strings.TrimPrefix(what, "price ") // of its price is said before
	}
	return title + ": " + what
}

// nameOfWall names the edit of a wall and its openings: A3: height 8'-0" → 9'-4", opening W2 added. A cell that took its
// level's value is called by it: A3: height 8'-0" (level Ground) → 9'-4".
func (c *comparison) nameOfWall(walls, openings *schedule.TabSpec, wall *slot, slots []*slot) string {
	title := titleOf(walls, present(wall))
	var parts []string
	head := title + ": "
	for _, s := range slots {
		switch {
		case s == wall && s.old == nil:
			head = title + " added" + gistOf(walls, s.new) + ", "
		case s == wall && s.new == nil:
			head = title + " removed" + gistOf(walls, s.old) + ", "
		case s == wall:
			shown := *s
			shown.old, shown.new = withLevel(walls, c.old.Inputs, s.old, s.new), withLevel(walls, c.new.Inputs, s.new, s.old)
			parts = append(parts, cellsOf(walls, &shown))
		case s.old == nil:
			parts = append(parts, titleOf(openings, s.new)+" added")
		case s.new == nil:
			parts = append(parts, titleOf(openings, s.old)+" removed")
		default:
			parts = append(parts, titleOf(openings, s.new)+" "+cellsOf(openings, s))
		}
	}
	if len(parts) == 0 {
		return strings.TrimSuffix(strings.TrimSuffix(head, ", "), ": ")
	}
	return head + strings.Join(parts, ", ")
}

// withLevel is a wall's row with what its blank cells take from its level, where the row beside it has a cell of its own.
func withLevel(walls *schedule.TabSpec, inputs []schedule.InputTab, row, beside *schedule.Input) *schedule.Input {
	var levels *schedule.InputTab
	for i := range inputs {
		if inputs[i].Spec.Name == "Levels" {
			levels = &inputs[i]
		}
	}
	named := cell(row, columnAt(walls, "Level"))
	if levels == nil || named == "" {
		return row
	}
	for i := range levels.Rows {
		level := &levels.Rows[i]
		if fold(cell(level, columnAt(levels.Spec, "Level"))) != fold(named) {
			continue
		}
		full := *row
		full.Cells = slices.Clone(row.Cells)
		for at := range levels.Spec.Columns {
			column := levels.Spec.Columns[at].Name
			k := slices.IndexFunc(walls.Columns, func(of schedule.ColumnSpec) bool { return of.Name == column })
			if v := cell(level, at); k >= 0 && v != "" && cell(row, k) == "" && cell(beside, k) != "" {
				for len(full.Cells) <= k {
					full.Cells = append(full.Cells, "")
				}
				full.Cells[k] = v + " (level " + named + ")"
			}
		}
		return &full
	}
	return row
}

// cellsOf says which cells of a row changed and from what to what.
func cellsOf(spec *schedule.TabSpec, s *slot) string {
	var parts []string
	for i := range spec.Columns {
		a, b := cell(s.old, i), cell(s.new, i)
		if a == "" && b == "" || schedule.Same(spec, s.old.Key, i, a, b) {
			continue
		}
		parts = append(parts, strings.ToLower(spec.Columns[i].Name)+" "+values(a, b))
	}
	return strings.Join(parts, ", ")
}

func values(a, b string) string { return or(a, "blank") + arrow + or(b, "blank") }

func or(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

func gistOf(spec *schedule.TabSpec, r *schedule.Input) string {
	var parts []string
	for _, name := range gist[spec.Name] {
		if v := cell(r, columnAt(spec, name)); v != "" {
			if spec.Name != "Extras" {
				v = strings.ToLower(name) + " " + v
			}
			parts = append(parts, v)
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return " (" + strings.Join(parts, ", ") + ")"
}

// joined names edits that are one because the steps between them are no valid schedule.
func joined(names []string) string {
	s := ""
	for i, n := range names {
		next := s
		if i > 0 {
			next += " + "
		}
		next += n
		if i > 0 && utf8.RuneCountInString(next) > longestName {
			return s + " + " + itoa(len(names)-i) + " more"
		}
		s = next
	}
	return s
}
