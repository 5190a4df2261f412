package schedule

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// specimen reads the text form of a schedule's cells that the tests use: a line "== Tab" opens a tab, "== Tab = file" one
// of the price book; every other line is a row, its cells separated by |. An empty line is a blank row. A cell is text as
// it stands, but: =1.5 is a number as stored, =TRUE a Bool, =2026-11-02 a date, =#REF! an error, =? a formula without a
// value; 'text is that text, whatever it looks like. Rows count from 1; lines before the first tab are words about it.
func specimen(t testing.TB, text string) (Book, *Book) {
	t.Helper()
	schedule, book := Book{}, Book{}
	var tab *Tab
	row := 0
	for _, line := range strings.Split(strings.TrimRight(text, "\n"), "\n") {
		if name, ok := strings.CutPrefix(line, "== "); ok {
			name, file, isBook := strings.Cut(name, " = ")
			b := &schedule
			if isBook {
				b = &book
				b.File = file
			}
			b.Tabs = append(b.Tabs, Tab{Name: name})
			tab, row = &b.Tabs[len(b.Tabs)-1], 0
			continue
		}
		if tab == nil {
			continue
		}
		row++
		if line == "" {
			continue
		}
		r := Row{Number: row}
		for _, c := range strings.Split(line, "|") {
			r.Cells = append(r.Cells, typed(strings.TrimSpace(c)))
		}
		tab.Rows = append(tab.Rows, r)
	}
	if book.Tabs == nil {
		return schedule, nil
	}
	return schedule, &book
}

// typed is a cell of the text form.
func typed(s string) Cell {
	rest, ok := strings.CutPrefix(s, "=")
	switch {
	case s == "":
		return Cell{}
	case !ok:
		return Cell{Kind: Text, Value: strings.TrimPrefix(s, "'")}
	case rest == "?":
		return Cell{Kind: NoValue, Formula: true}
	case rest == "TRUE", rest == "FALSE":
		return Cell{Kind: Bool, Value: rest}
	case strings.HasPrefix(rest, "#"):
		return Cell{Kind: Failed, Value: rest, Formula: true}
	case len(rest) == 10 && rest[4] == '-':
		return Cell{Kind: Date, Value: rest}
	}
	return Cell{Kind: Number, Value: rest}
}

func worked(t testing.TB, name string) Book {
	text, err := os.ReadFile(filepath.Join("testdata", name+".txt"))
	require.NoError(t, err)
	b, _ := specimen(t, string(text))
	return b
}

// The two worked schedules read without a finding.
func TestWorked(t *testing.T) {
	job, findings := Read(worked(t, "store"), nil)
	assert.Empty(t, findings)
	require.Len(t, job.Walls, 4)
	assert.Equal(t, "Worked: store", job.Name)
	w := job.Walls[1]
	assert.Equal(t, 256*length.Inch, w.Length) // 21'-4"
	assert.Equal(t, 90*length.Inch, w.Height)  // 7'-6"
	assert.Equal(t, "6in", w.Forms.CoreName)
	assert.Equal(t, 126*length.Inch/12, w.Forms.Thickness()) // 6 + 2 × 2 1/4 = 10 1/2
	assert.Equal(t, "V1", w.Bars.Mark)
	assert.Equal(t, "#4", w.Bars.Vertical.Size)
	assert.True(t, w.Footing.CastWithWall)
	assert.Equal(t, takeoff.CoverMembrane, w.Cover)
	assert.True(t, w.Drain, "yes with a cover")
	assert.Equal(t, 72*length.Inch, w.BelowGradeEnd)
	assert.Nil(t, w.Start)
	require.Len(t, job.Openings, 2)
	assert.Equal(t, takeoff.FromStart, job.Openings[0].Place)
	assert.Equal(t, 2, job.Openings[1].Count)
	assert.Equal(t, takeoff.Unplaced, job.Openings[1].Place)
	assert.Equal(t, "B", job.Levels[0].Name)

	job, findings = Read(worked(t, "annex"), nil)
	assert.Empty(t, findings)
	require.Len(t, job.Walls, 10)
	k1 := job.Walls[6]
	assert.Equal(t, takeoff.TurnTee, k1.Start.Kind)
	assert.Equal(t, "P", k1.Start.TeeWall)
	assert.Equal(t, int64(45_000), k1.Turn.MilliDegrees)
	assert.Equal(t, takeoff.TurnStraight, job.Walls[8].Turn.Kind)
	assert.Equal(t, 150*length.Inch, job.Walls[8].HeightEnd)
	assert.Equal(t, "V2", job.Openings[2].Bars.Mark)
	assert.Equal(t, []string{"G", "U"}, []string{job.Levels[0].Name, job.Levels[1].Name})
}
