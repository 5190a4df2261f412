package takeoff

import (
	"strconv"
	"strings"

	"wallbill/takeoff/cutting"
	"wallbill/takeoff/length"
)

// Cut is a pattern of a job's cut plans as the saw follows it: numbered through all plans, in their order, with what each
// piece is for.
type Cut struct {
	Number  int
	Pool    *CutPool
	Pattern *cutting.Pattern
	For     [][]PieceUse // of each length of the pattern, over all its times
}

// CutList is every pattern of every plan. Tabs, drawings and explanations name a cut by its number.
func (t *Takeoff) CutList() []Cut {
	n := 0
	for i := range t.Cuts {
		n += len(t.Cuts[i].Plan.Patterns)
	}
	list := make([]Cut, 0, n)
	for i := range t.Cuts {
		c := &t.Cuts[i]
		lots := make([]cutting.Lot, len(c.Uses))
		for k, u := range c.Uses {
			lots[k] = cutting.Lot{Length: int64(u.Length), Count: u.Count}
		}
		for k, of := range cutting.Allot(c.Plan.Patterns, lots) {
			cut := Cut{Number: len(list) + 1, Pool: c, Pattern: &c.Plan.Patterns[k], For: make([][]PieceUse, len(of))}
			for m, shares := range of {
				uses := make([]PieceUse, len(shares))
				for j, s := range shares {
					uses[j] = c.Uses[s.Lot]
					uses[j].Count = s.Count
				}
				cut.For[m] = uses
			}
			list = append(list, cut)
		}
	}
	return list
}

// Keep tells whether a drop is worth keeping: as long as the shortest piece of its pool, or longer.
func (c *CutPool) Keep(drop length.Length) bool {
	n := len(c.Problem.Pieces)
	return n > 0 && int64(drop) >= c.Problem.Pieces[n-1].Length
}

// words are a use as a crew finds it: course 3, vertical bars V1.
func (u *PieceUse) words() string {
	rule, rest, _ := strings.Cut(u.What, " ")
	for i := range Rules {
		if Rules[i].ID == rule {
			return strings.TrimSpace(strings.ToLower(Rules[i].Title) + " " + rest)
		}
	}
	return u.What
}

// UsesText says what pieces are for, wall by wall in parts of at most so many bytes: N1 course 1, course 3 × 2; N2 course 1.
// The number of pieces is said where it is not one.
func UsesText(uses []PieceUse, most int) []string {
	var parts []string
	var b strings.Builder
	wall := ""
	for i := range uses {
		u := &uses[i]
		w := u.words()
		if u.Count != 1 {
			w += " × " + strconv.FormatInt(u.Count, 10)
		}
		switch {
		case b.Len() > 0 && b.Len()+len(w)+len(u.Wall)+3 > most:
			parts = append(parts, b.String())
			b.Reset()
		case b.Len() > 0 && u.Wall == wall:
			b.WriteString(", ")
		case b.Len() > 0:
			b.WriteString("; ")
		}
		if b.Len() == 0 || u.Wall != wall {
			if u.Wall != "" {
				b.WriteString(u.Wall + " ")
			}
			wall = u.Wall
		}
		b.WriteString(w)
	}
	if b.Len() > 0 {
		parts = append(parts, b.String())
	}
	return parts
}

// What names the course as the uses of its pieces do: course 3, course 3 inner face.
func (c *CourseRow) What() string {
	if c.Face == "" {
		return courseName(c.Number, "")
	}
	return courseName(c.Number, c.Face+" face")
}

func courseName(number int, where string) string {
	s := "course " + strconv.Itoa(number)
	if where != "" {
		s += " " + where
	}
	return s
}

// Kind says what the course is made of: full, half, ledge; ripped where it is cut lower.
func (c *CourseRow) Kind() string {
	kind := "full"
	switch {
	case c.LedgeCourse:
		kind = "ledge"
	case c.Half:
		kind = "half"
	}
	if c.Ripped {
		kind += ", ripped"
	}
	return kind
}

// CourseCuts finds the cuts that the pieces of courses come from.
type CourseCuts map[PieceUse][]int

// CutsOfCourses are the cuts of form pieces by wall, course and length.
func CutsOfCourses(cuts []Cut) CourseCuts {
	m := CourseCuts{}
	for i := range cuts {
		c := &cuts[i]
		if c.Pool.Bar != nil {
			continue
		}
		for _, uses := range c.For {
			for _, u := range uses {
				u.Count = 0
				if had := m[u]; len(had) == 0 || had[len(had)-1] != c.Number {
					m[u] = append(had, c.Number)
				}
			}
		}
	}
	return m
}

// CoursePieces are like pieces of a course: their length as laid, the length they are cut to, how many, and the cuts they
// come from (of all repeats of the run).
type CoursePieces struct {
	Length, Cut length.Length
	Count       int64
	From        []int
}

// Pieces are a course's whole units and its pieces in the order laid, on all its walls or on one.
func (m CourseCuts) Pieces(c *CourseRow, wall string) (whole int64, pieces []CoursePieces) {
	what := c.What()
	for _, s := range c.Segments {
	next:
		for _, u := range s.Fill {
			switch {
			case wall != "" && u.Wall != wall:
				continue
			case u.Whole:
				whole++
				continue
			}
			from := m[PieceUse{Wall: u.Wall, What: what, Length: u.Cut}]
			for i := range pieces {
				if p := &pieces[i]; p.Length == u.Length && p.Cut == u.Cut && sameNumbers(p.From, from) {
					p.Count++
					continue next
				}
			}
			pieces = append(pieces, CoursePieces{u.Length, u.Cut, 1, from})
		}
	}
	return whole, pieces
}

func sameNumbers(a, b []int) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// Text is the pieces with where they come from: 2 × 1'-4" (cut 12).
func (p *CoursePieces) Text(s length.System) string {
	var b strings.Builder
	b.WriteString(strconv.FormatInt(p.Count, 10) + " × " + p.Length.ShowPiece(s))
	var notes []string
	if p.Cut != p.Length && p.Cut != 0 {
		notes = append(notes, "sawn to "+p.Cut.ShowPiece(s))
	}
	for i, n := range p.From {
		switch {
		case i > 0:
			notes[len(notes)-1] += ", " + strconv.Itoa(n)
		case len(p.From) == 1:
			notes = append(notes, "cut "+strconv.Itoa(n))
		default:
			notes = append(notes, "cuts "+strconv.Itoa(n))
		}
	}
	if len(notes) > 0 {
		b.WriteString(" (" + strings.Join(notes, ", ") + ")")
	}
	return b.String()
}
