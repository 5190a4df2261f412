package drawn

import (
	"fmt"
	"strconv"
	"strings"

	"wallbill/takeoff/length"
)

// Each of these gives the schedule with a change that a law says something about; ok is false where the schedule has
// nothing that could be changed so.

// Repeated is the schedule with a run's Count written out as that many runs. Walls that others meet are not repeated.
func (s *Schedule) Repeated(run string) (*Schedule, bool) {
	rows := s.Run(run)
	n, err := strconv.Atoi(rows[0].Text("Count"))
	if err != nil || n < 2 {
		return nil, false
	}
	c := s.Copy()
	var all []Row
	for k := range n {
		for _, r := range rows {
			w := r.Copy()
			delete(w, "Count")
			if k > 0 {
				name := fmt.Sprintf("%s again %d", r.Text("Wall"), k)
				w["Run"], w["Wall"] = Text(fmt.Sprintf("%s again %d", run, k)), Text(name)
				for _, o := range s.Openings(r.Text("Wall")) {
					o = o.Copy()
					o["Wall"] = Text(name)
					c.Add("Openings", o)
				}
			}
			all = append(all, w)
		}
	}
	c.replace(run, all)
	return c, true
}

// Split is the schedule with a wall on two rows joined straight, cut so far from its start. A wall with a raked top or grade
// takes what these are there. ok is false where an opening stands in the way or is not placed, and where a tee meets the
// wall at a place along it.
func (s *Schedule) Split(wall string, at length.Length) (*Schedule, bool) {
	c := s.Copy()
	for i, r := range c.Rows["Walls"] {
		if strings.HasPrefix(strings.ToLower(r.Text("Turn")), "tee "+strings.ToLower(wall)) || strings.HasPrefix(strings.ToLower(r.Text("Start")), "tee "+strings.ToLower(wall)) {
			return nil, false
		}
		if !r.Is("Wall", wall) {
			continue
		}
		long := r["Length"].Length
		if at <= 0 || at >= long || !r["Height at end"].Blank() || !r["Below grade at end"].Blank() {
			return nil, false
		}
		second := r.Copy()
		name := wall + " further"
		second["Wall"], second["Length"] = Text(name), Long(long-at)
		delete(second, "Count")
		delete(second, "Start")
		r["Length"], r["Turn"] = Long(at), Text("straight")
		for _, o := range c.Openings(wall) {
			from, ok := start(o, long)
			if !ok {
				return nil, false
			}
			switch to := from + o["Width"].Length; {
			case to <= at:
				o["At"] = Long(from)
			case from >= at:
				o["At"], o["Wall"] = Long(from-at), Text(name)
			default:
				return nil, false
			}
		}
		rest := append([]Row{second}, c.Rows["Walls"][i+1:]...)
		c.Rows["Walls"] = append(c.Rows["Walls"][:i+1:i+1], rest...)
		return c, true
	}
	return nil, false
}

// start is where an opening's near jamb is on a wall so long.
func start(o Row, long length.Length) (length.Length, bool) {
	at := o["At"]
	switch {
	case !at.IsLength:
		return 0, false
	case at.Place == "c ":
		return at.Length - o["Width"].Length/2, true
	case at.Place == "e ":
		return long - at.Length - o["Width"].Length, true
	}
	return at.Length, true
}

// Mirrored is the schedule with a closed run as in a mirror: its walls the other way round, what stood at a wall's start at
// its end. The run's first wall stays the first.
func (s *Schedule) Mirrored(run string) (*Schedule, bool) {
	rows := s.Run(run)
	if !rows[0]["Start"].Blank() {
		return nil, false
	}
	c := s.Copy()
	var mirrored []Row
	n, first := len(rows), 0
	for rows[first].Is("Turn", "straight") {
		first++
	}
	for k := range n {
		i := (first + n - k) % n // a wall, then the one before it, …
		r := rows[i].Copy()
		delete(r, "Turn")
		if turn := rows[(i+n-1)%n]["Turn"]; !turn.Blank() {
			r["Turn"] = turn
		}
		for _, pair := range [][2]string{{"Height", "Height at end"}, {"Below grade", "Below grade at end"}} {
			if a, b := r[pair[0]], r[pair[1]]; !b.Blank() {
				if a.Blank() {
					return nil, false // of the level
				}
				r[pair[0]], r[pair[1]] = b, a
			}
		}
		for _, o := range c.Openings(r.Text("Wall")) {
			// The same distance from the other end: with Dimensions to core face the form is longer than the wall as typed.
			switch at := o["At"]; {
			case !at.IsLength:
				return nil, false
			case at.Place == "e ":
				o["At"] = Long(at.Length)
			case at.Place == "c ":
				o["At"] = Cell{Length: at.Length - o["Width"].Length/2, IsLength: true, Place: "e "}
			default:
				o["At"] = Cell{Length: at.Length, IsLength: true, Place: "e "}
			}
		}
		mirrored = append(mirrored, r)
	}
	counted(mirrored)
	c.replace(run, mirrored)
	return c, true
}

// Turned is the schedule with a closed run that begins with another of its rows.
func (s *Schedule) Turned(run string, by int) (*Schedule, bool) {
	rows := s.Run(run)
	if !rows[0]["Start"].Blank() {
		return nil, false
	}
	var turned []Row
	for i := range rows {
		turned = append(turned, rows[(i+by)%len(rows)].Copy())
	}
	if rows[(by+len(rows)-1)%len(rows)].Is("Turn", "straight") {
		return nil, false // a run does not end so
	}
	counted(turned)
	c := s.Copy()
	c.replace(run, turned)
	return c, true
}

// counted moves a run's Count to its first row.
func counted(rows []Row) {
	for _, r := range rows {
		if n := r["Count"]; !n.Blank() {
			delete(r, "Count")
			rows[0]["Count"] = n
			return
		}
	}
}

// replace puts other rows in the place of a run's.
func (s *Schedule) replace(run string, with []Row) {
	var rows []Row
	done := false
	for _, r := range s.Rows["Walls"] {
		if !r.Is("Run", run) {
			rows = append(rows, r)
			continue
		}
		if !done {
			rows, done = append(rows, with...), true
		}
	}
	s.Rows["Walls"] = rows
}

// Scaled is the schedule with every length of these tabs so many times as long.
func (s *Schedule) Scaled(by length.Length, tabs ...string) *Schedule {
	c := s.Copy()
	for _, tab := range tabs {
		for _, r := range c.Rows[tab] {
			for column, cell := range r {
				if cell.IsLength {
					cell.Length *= by
					r[column] = cell
				}
			}
		}
	}
	return c
}

// NamePours gives every pour that the walls name a row of Pours, so that the order of undated ones does not hang on the order
// of the walls.
func (s *Schedule) NamePours() {
	named := map[string]bool{}
	for _, r := range s.Rows["Pours"] {
		named[r.Text("Pour")] = true
	}
	add := func(names ...string) {
		for _, n := range names {
			if n != "" && !named[n] {
				named[n] = true
				s.Add("Pours", Row{"Pour": Text(n)})
			}
		}
	}
	for _, l := range s.Rows["Levels"] {
		add(l.Text("Pour"), l.Text("Level"))
	}
	for _, w := range s.Rows["Walls"] {
		add(w.Text("Pour"), w.Text("Pour above"))
	}
	for _, f := range s.Rows["Footings"] {
		add(f.Text("Pour"))
	}
}
