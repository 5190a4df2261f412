package schedule

import (
	"strconv"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// level is a row of Levels, with the job's level.
type level struct {
	rec *record
	out *takeoff.Level
}

func (r *reader) buildLevels() {
	for _, rec := range r.unique(r.own("Levels"), "Level", byMark("Level"), "the level") {
		l := &takeoff.Level{At: rec.ref(), Name: rec.v("Level").word, Order: len(r.job.Levels), Base: rec.v("Base").len}
		r.levels[fold(l.Name)] = &level{rec, l}
		r.job.Levels = append(r.job.Levels, l)
	}
}

// run is the rows of one run, in order.
type run struct {
	name string
	recs []*record
	out  []*takeoff.Wall
}

func (r *reader) buildWalls() {
	records := r.own("Walls")
	r.unique(records, "Wall", byMark("Wall"), "the mark")
	seen := map[string]bool{}
	var runs []*run
	byName := map[string]*run{}
	last := ""
	for _, rec := range records {
		name := rec.v("Run")
		if !name.has() {
			continue
		}
		key := fold(name.word)
		g := byName[key]
		if g == nil {
			g = &run{name: name.word}
			byName[key] = g
			runs = append(runs, g)
		} else if last != key {
			r.warn(rec, "Run", "the rows of run "+g.name+" do not stand together: its row before this is "+rowOf(g.recs[len(g.recs)-1])+"; were the rows sorted?")
		}
		last = key
		w := r.wall(rec, g.name)
		g.recs, g.out = append(g.recs, rec), append(g.out, w)
		r.job.Walls = append(r.job.Walls, w)
		if mark := rec.v("Wall"); mark.has() && !seen[fold(mark.word)] {
			seen[fold(mark.word)] = true
			r.walls[fold(mark.word)] = w
		}
	}
	for _, g := range runs {
		r.turns(g)
	}
	if t := r.tables["Walls"]; t != nil && len(t.records) == 0 && len(r.own("Pads")) == 0 {
		r.say(takeoff.Warning, takeoff.Ref{Tab: t.name}, "", "the tab has no row: there is nothing to count")
	}
}

// wall reads a row and fills its blanks from its level, the Job, or the default.
func (r *reader) wall(rec *record, runName string) *takeoff.Wall {
	mark := rec.v("Wall").word
	w := &takeoff.Wall{
		At: rec.ref(), Run: runName, Mark: mark, Length: rec.v("Length").len, Count: 1,
		FlushInside: rec.v("Flush").word == "inside", Notes: rec.v("Notes").word, Columns: rec.table.columns,
	}
	lv := r.levelOf(rec, w)
	// from is the wall's cell, or its level's where that is blank, which Basis lists
	from := func(column string) *value {
		v := rec.v(column)
		if v.state != blank || lv == nil {
			return v
		}
		l := lv.rec.v(column)
		if l.has() {
			r.inherited(rec.at(column), mark, column, l.text, "level "+lv.out.Name)
		}
		if l.state == blank {
			return v
		}
		return l
	}
	height, core := from("Height"), from("Core")
	w.Height, w.Core = height.len, core.len
	for _, c := range []struct {
		column string
		v      *value
	}{{"Height", height}, {"Core", core}} {
		if c.v.state == blank {
			if lv == nil && rec.v("Level").state != blank && len(r.own("Levels")) > 0 {
				r.refused(rec, c.column) // the level is not defined, which is one finding of its own
				continue
			}
			message := "is missing, and the level gives none"
			if lv == nil {
				message = "is missing, and no level gives it"
			}
			r.missing(rec, c.column, message)
		}
	}
	w.HeightEnd = w.Height
	end := rec.v("Height at end")
	if end.has() {
		w.HeightEnd = end.len
	}
	if height.has() && end.state != bad && w.Height == 0 && w.HeightEnd == 0 {
		r.fault(rec, "Height", "a wall of no height", "over 0 at one end at least", "")
	}
	w.Base = from("Base").len
	line := r.lineOf(rec, from("Form line"), w)
	w.Forms = r.formsOf(line, core, rec, "Core", w)
	r.marks(rec, w, from("Bars"), from("Footing"))
	r.pourOf(rec, w, lv, from("Pour"))
	r.coreChange(rec, w, line, height)
	r.grade(rec, w, from, height)
	r.heightsOn(rec, w, from("Parge height"), height)
	switch rec.v("Braced").word {
	case "yes":
		w.Braced = takeoff.BracedYes
	case "kicker":
		w.Braced = takeoff.BracedKicker
	case "no":
		w.Braced = takeoff.BracedNo
	}
	w.Plate = from("Plate").yes(false)
	return w
}

// levelOf is the wall's level row; nil when the level is only named on Walls.
func (r *reader) levelOf(rec *record, w *takeoff.Wall) *level {
	v := rec.v("Level")
	if !v.has() {
		return nil
	}
	if l := r.levels[fold(v.word)]; l != nil {
		w.Level, w.LevelRow = l.out.Name, l.out
		if l.rec == nil {
			w.LevelRow = nil
			return nil
		}
		return l
	}
	if len(r.own("Levels")) > 0 {
		r.refer(v, rec.subject("Level"), "level "+v.word, "Levels", r.levelNames)
	}
	l := &takeoff.Level{At: v.at, Name: v.word, Order: len(r.job.Levels)}
	r.levels[fold(v.word)] = &level{nil, l}
	r.job.Levels = append(r.job.Levels, l)
	w.Level = v.word
	return nil
}

// lineOf is the wall's form line: its own, its level's, the Job's.
func (r *reader) lineOf(rec *record, v *value, w *takeoff.Wall) *value {
	if v.state == blank && r.job.FormLine != "" {
		s := r.job.Settings.Value(takeoff.SetFormLine)
		v = &value{state: good, at: s.At, word: r.job.FormLine, cell: r.job.FormLine, text: r.job.FormLine}
		r.inherited(rec.at("Form line"), w.Mark, "Form line", v.word, "Job")
	}
	if v.state == blank {
		r.missing(rec, "Form line", "is missing: neither the wall, its level nor the Job names a form line")
		return rec.v("Form line")
	}
	w.FormLine = v.word
	if s, ok := r.formLines[fold(v.word)]; ok {
		w.FormLine = s
	}
	return v
}

// formsOf is the Forms row of the wall's line and a core.
func (r *reader) formsOf(line, core *value, rec *record, column string, w *takeoff.Wall) *takeoff.FormRow {
	if !line.has() || !core.has() {
		return nil
	}
	if f := r.forms[formKey{fold(line.word), core.len}]; f != nil {
		return f
	}
	if r.badMarks["Forms\x00"+fold(line.word)] {
		return nil
	}
	if _, known := r.formLines[fold(line.word)]; !known {
		named := *line // another wall of the level or the Job makes the same finding, shown once
		r.refer(&named, rec.subjectOf("Form line", line), "form line "+line.word, "Forms", r.lineNames)
		return nil
	}
	f := takeoff.Finding{Severity: takeoff.Error, At: core.at, Subject: rec.subjectOf(column, core), Message: "form line " + w.FormLine + " has no such core in Forms", Cell: core.cell, Accepted: among(r.coresOf(line.word))}
	r.find(f)
	return nil
}

// none tells whether a mark cell says that there is none, where no mark of that name is defined.
func none(v *value, defined bool) bool { return v.has() && fold(v.word) == "none" && !defined }

// marks resolves the wall's bars, footing and brick ledge.
func (r *reader) marks(rec *record, w *takeoff.Wall, bars, footing *value) {
	w.Bars = r.barMark(bars, rec.subjectOf("Bars", bars))
	if footing.has() {
		if w.Footing = r.footings[fold(footing.word)]; w.Footing == nil && !none(footing, false) {
			v := *footing
			r.refer(&v, rec.subjectOf("Footing", footing), "footing mark "+footing.word, "Footings", r.footingNames)
		}
	}
	ledge, top := rec.v("Brick ledge"), rec.v("Brick ledge top")
	if ledge.has() {
		if w.Ledge = r.ledges[fold(ledge.word)]; w.Ledge == nil && !none(ledge, false) {
			r.refer(ledge, rec.subject("Brick ledge"), "ledge mark "+ledge.word, "Ledges", r.ledgeNames)
		}
		if w.Ledge != nil {
			r.missing(rec, "Brick ledge top", "is missing where a Brick ledge is given")
			w.LedgeTop = top.len
		}
	} else if top.has() && ledge.state == blank {
		r.missing(rec, "Brick ledge", "is missing where a Brick ledge top is given")
	}
}

// barMark is the Bars row that a cell names; nil where it is blank or says none.
func (r *reader) barMark(v *value, subject string) *takeoff.BarMark {
	if !v.has() {
		return nil
	}
	m := r.bars[fold(v.word)]
	if m == nil && !none(v, false) {
		named := *v
		r.refer(&named, subject, "bars mark "+v.word, "Bars", r.barNames)
	}
	return m
}

// pourOf is the wall's pour: its own, its level's, its level's name, else 1; and the pour above a core change.
func (r *reader) pourOf(rec *record, w *takeoff.Wall, lv *level, v *value) {
	switch {
	case v.has():
		w.Pour = v.word
	case w.Level != "":
		w.Pour = w.Level
		r.inherited(rec.at("Pour"), w.Mark, "Pour", w.Pour, "the level's name")
	default:
		w.Pour = "1"
		r.inherited(rec.at("Pour"), w.Mark, "Pour", w.Pour, "default")
	}
	w.Pour = r.stands(w.Pour)
	w.PourAbove = w.Pour
	if above := rec.v("Pour above"); above.has() {
		w.PourAbove = r.stands(above.word)
		if rec.v("Core above").state == blank {
			r.warn(rec, "Pour above", "not used without a Core above")
			w.PourAbove = w.Pour
		}
	}
}

// greater is the wall's greater height.
func greater(w *takeoff.Wall) length.Length { return length.Max(w.Height, w.HeightEnd) }

// coreChange reads Core above and Core changes at, which stand together, and the form above.
func (r *reader) coreChange(rec *record, w *takeoff.Wall, line, height *value) {
	above, at := rec.v("Core above"), rec.v("Core changes at")
	switch {
	case above.state == blank && at.state == blank:
		return
	case above.state == blank:
		r.missing(rec, "Core above", "is missing where Core changes at is given")
		return
	case at.state == blank:
		r.missing(rec, "Core changes at", "is missing where a Core above is given")
		return
	case !above.has() || !at.has():
		return
	}
	if at.len <= 0 || height.has() && at.len >= greater(w) {
		r.fault(rec, "Core changes at", "not between the base and the top of the wall", "over 0 and under "+r.show(greater(w)), "")
		return
	}
	if above.len == w.Core {
		r.note(rec, "Core above", "the same as the Core: the wall is split, but its core does not change")
	}
	w.CoreAbove, w.CoreChange = above.len, at.len
	w.FormsAbove = r.formsOf(line, above, rec, "Core above", w)
}

// show prints a length in the job's reporting units.
func (r *reader) show(l length.Length) string { return l.Show(r.job.Report) }

// grade reads the finished grade and what covers the wall below it.
func (r *reader) grade(rec *record, w *takeoff.Wall, from func(string) *value, height *value) {
	start, end, cover := from("Below grade"), rec.v("Below grade at end"), from("Below-grade cover")
	w.BelowGrade = start.len
	w.BelowGradeEnd = start.len
	if end.has() {
		w.BelowGradeEnd = end.len
	}
	switch cover.word {
	case "membrane":
		w.Cover = takeoff.CoverMembrane
	case "band":
		w.Cover = takeoff.CoverBand
	case "coating":
		w.Cover = takeoff.CoverCoating
	}
	drain := from("Drain")
	w.Drain = drain.yes(w.Cover != takeoff.CoverNone)
	if drain.state == blank && w.Cover != takeoff.CoverNone {
		r.inherited(rec.at("Drain"), w.Mark, "Drain", "yes", "default")
	}
	if height.has() && rec.v("Height at end").state != bad {
		for _, g := range []struct {
			column string
			v      *value
			top    length.Length
		}{{"Below grade", start, w.Height}, {"Below grade at end", end, w.HeightEnd}} {
			if g.v.has() && g.v.len > g.top {
				r.find(takeoff.Finding{Severity: takeoff.Error, At: rec.at(g.column), Subject: rec.subject(g.column), Message: "finished grade is over the top of the wall", Cell: g.v.cell, Accepted: "up to " + r.show(g.top)})
			}
		}
		if start.has() && end.state == blank && w.BelowGradeEnd > w.HeightEnd && start.len <= w.Height {
			r.find(takeoff.Finding{Severity: takeoff.Error, At: rec.at("Below grade at end"), Subject: rec.subject("Below grade at end"), Message: "blank, so the same as Below grade, which is over the top of the wall there", Accepted: "up to " + r.show(w.HeightEnd)})
		}
	}
	if w.Cover != takeoff.CoverNone && w.BelowGrade == 0 && w.BelowGradeEnd == 0 && rec.v("Below-grade cover").has() && start.state != bad && end.state != bad {
		r.note(rec, "Below-grade cover", "counts nothing without a Below grade")
	}
	if w.Drain && w.BelowGrade == 0 && w.BelowGradeEnd == 0 && rec.v("Drain").has() && start.state != bad && end.state != bad {
		r.note(rec, "Drain", "counts nothing without a Below grade")
	}
}

// heightsOn reads the heights of things on the wall: brick ledge, floor ledgers, parging.
func (r *reader) heightsOn(rec *record, w *takeoff.Wall, parge, height *value) {
	w.Ledgers, w.PargeHeight = rec.v("Floor ledger at").lens, parge.len
	if len(w.Ledgers) > 0 && r.job.Settings.Value(takeoff.SetLedgerBracketSpacing).Blank {
		r.find(takeoff.Finding{Severity: takeoff.Error, At: rec.at("Floor ledger at"), Subject: rec.subject("Floor ledger at"), Rule: "R-LEDGER",
			Message: "a floor ledger needs the Job setting Ledger bracket spacing, which has no default: the engineer gives it", Cell: rec.v("Floor ledger at").cell})
	}
	if !height.has() || rec.v("Height at end").state == bad {
		return
	}
	top := greater(w)
	if v := rec.v("Brick ledge top"); v.has() && w.Ledge != nil && (v.len <= 0 || v.len > top) {
		r.fault(rec, "Brick ledge top", "not on the wall", "over 0 and up to "+r.show(top), "")
	}
	for _, z := range w.Ledgers {
		if z <= 0 || z > top {
			r.fault(rec, "Floor ledger at", r.show(z)+" is not on the wall", "over 0 and up to "+r.show(top), "")
			break
		}
	}
	if parge.has() && parge.len > top {
		r.find(takeoff.Finding{Severity: takeoff.Warning, At: rec.at("Parge height"), Subject: rec.subject("Parge height"), Message: "over the top of the wall, " + r.show(top), Cell: parge.cell})
	}
}

// turns reads Start, Turn and Count of a run's rows, which depend on where in the run a row stands.
func (r *reader) turns(g *run) {
	open := g.recs[0].v("Start").state != blank
	for i, rec := range g.recs {
		w, firstRow, lastRow := g.out[i], i == 0, i == len(g.recs)-1
		if count := rec.v("Count"); firstRow {
			w.Count = count.whole(1)
		} else if count.has() {
			r.fault(rec, "Count", "only the run's first row, "+rowOf(g.recs[0])+", may have a Count: it repeats the whole run", "blank", "")
		}
		start, turn := rec.v("Start"), rec.v("Turn")
		switch {
		case !start.has():
		case firstRow:
			t := *start.turn
			r.teeWall(rec, "Start", &t, w)
			w.Start = &t
		default:
			r.fault(rec, "Start", "only the run's first row, "+rowOf(g.recs[0])+", may have a Start", "blank", "")
		}
		if turn.state == bad {
			continue
		}
		w.Turn = takeoff.Turn{At: rec.at("Turn"), Kind: takeoff.TurnCorner, MilliDegrees: 90_000}
		if turn.state == blank {
			switch {
			case !open:
				r.inherited(rec.at("Turn"), w.Mark, "Turn", "corner", "default")
			case lastRow:
				r.missing(rec, "Turn", "is missing: the run is open, for it has a Start; say how it ends: end, tee W7, corner or inside")
			default:
				r.missing(rec, "Turn", "is missing: the run is open, for it has a Start; accepted: corner, corner 45, inside, inside 45, straight")
			}
			continue
		}
		w.Turn = *turn.turn
		last := "the last row"
		if !open {
			last = "the last row of an open run, whose first row has a Start"
		}
		switch w.Turn.Kind {
		case takeoff.TurnStraight:
			if lastRow {
				forms := "corner, corner 45, inside, inside 45"
				if open {
					forms = "end, tee W7, corner, inside"
				}
				r.fault(rec, "Turn", "straight, but no row of run "+g.name+" follows", forms, "")
			}
		case takeoff.TurnEnd:
			if !open || !lastRow {
				r.fault(rec, "Turn", "end stands only on "+last, "corner, corner 45, inside, inside 45"+map[bool]string{false: ", straight"}[lastRow], "")
			}
		case takeoff.TurnTee:
			if !open || !lastRow {
				r.fault(rec, "Turn", "tee stands only on "+last, "corner, corner 45, inside, inside 45"+map[bool]string{false: ", straight"}[lastRow], "")
				continue
			}
			r.teeWall(rec, "Turn", &w.Turn, w)
		}
	}
	r.angles(g)
}

// teeWall checks the wall that a tee names.
func (r *reader) teeWall(rec *record, column string, t *takeoff.Turn, w *takeoff.Wall) {
	if t.Kind != takeoff.TurnTee || t.TeeWall == "" {
		return
	}
	met := r.walls[fold(t.TeeWall)]
	switch {
	case met == nil:
		r.unknown(rec.at(column), rec.subject(column), "wall "+t.TeeWall+" is not defined in Walls", rec.v(column).cell, t.TeeWall, "tee ", r.wallNames)
	case met == w:
		r.fault(rec, column, "a wall cannot stop against itself", "the mark of another wall", "")
	default:
		t.TeeWall = met.Mark
		if t.HasTee && t.TeeAt > met.Length && met.Length > 0 && !r.job.CoreFace { // form faces are longer than core faces
			r.fault(rec, column, "past the end of wall "+met.Mark, "up to "+r.show(met.Length), "")
		}
	}
}

// angles reports Forms rows that lack the unit a corner of the run needs.
func (r *reader) angles(g *run) {
	need := func(w *takeoff.Wall, t *takeoff.Turn) {
		if t == nil || t.Kind != takeoff.TurnCorner && t.Kind != takeoff.TurnInside || t.MilliDegrees == 0 {
			return
		}
		for _, f := range []*takeoff.FormRow{w.Forms, w.FormsAbove} {
			if f == nil || f.Faces {
				continue
			}
			if t.MilliDegrees != 90_000 && f.AngleLong == 0 {
				r.find(takeoff.Finding{Severity: takeoff.Error, At: f.At.At(f.Columns["angle long leg"]), Subject: "Angle long leg, form line " + f.Line + " " + f.CoreName, Rule: "R-CORNER",
					Message: "is missing: wall " + w.Mark + " has a corner of " + degrees(t.MilliDegrees) + "°"})
			}
		}
	}
	for i, w := range g.out {
		need(w, &w.Turn)
		if i == 0 {
			need(w, w.Start)
		}
	}
}

func degrees(milli int64) string {
	s := strconv.FormatInt(milli/1000, 10)
	if m := milli % 1000; m != 0 {
		f := strconv.FormatInt(1000+m, 10)[1:]
		for f[len(f)-1] == '0' {
			f = f[:len(f)-1]
		}
		s += "." + f
	}
	return s
}
