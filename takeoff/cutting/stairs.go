package cutting

// rise is a cell of a knapsack's row from which on the pieces are worth so much, until the next rise.
type rise[T int64 | float64] struct {
	cell  int
	worth T
}

// stairs is a row of a knapsack's table as its rises, in order, the first at cell 0. Where pieces are long or of few
// lengths most cells are worth what the one before is, and there is little of it.
type stairs[T int64 | float64] []rise[T]

// steep tells whether a row of so many cells has more rises than are worth keeping in place of its cells: one in 16.
func (s stairs[T]) steep(width int) bool { return 16*len(s) > width }

// at is what the row is worth at a cell.
func (s stairs[T]) at(cell int) T {
	low, high := 0, len(s)
	for high-low > 1 {
		if mid := int(uint(low+high) / 2); s[mid].cell <= cell {
			low = mid
		} else {
			high = mid
		}
	}
	return s[low].worth
}

// write fills the cells of a row.
func (s stairs[T]) write(row []T) {
	for i, x := range s {
		end := len(row)
		if i+1 < len(s) {
			end = s[i+1].cell
		}
		for c := x.cell; c < end; c++ {
			row[c] = x.worth
		}
	}
}

// climber is memory to make rows in.
type climber[T int64 | float64] struct{ row, next stairs[T] }

// flat is a row that is worth nothing.
func (m *climber[T]) flat() stairs[T] {
	m.row = append(m.row[:0], rise[T]{})
	return m.row
}

// fill is fillRow for the row that m made last, of so many cells. The row before is overwritten.
func (m *climber[T]) fill(width, w int, most int64, v T) stairs[T] {
	switch {
	case w == 0:
		for i := range m.row {
			m.row[i].worth += T(v * T(most))
		}
	case most >= int64((width-1)/w):
		m.next, m.row = m.row, m.row.withMany(m.next[:0], width, w, v)
	default:
		for k := int64(1); most > 0; k *= 2 {
			k = min(k, most)
			most -= k
			m.next, m.row = m.row, m.row.withOne(m.next[:0], width, int(k)*w, T(T(k)*v))
		}
	}
	return m.row
}

// add appends a rise where it is one.
func (s stairs[T]) add(x rise[T]) stairs[T] {
	n := len(s)
	switch {
	case n > 0 && x.worth <= s[n-1].worth:
		return s
	case n > 0 && x.cell == s[n-1].cell:
		s[n-1] = x
		return s
	}
	return append(s, x)
}

// withOne puts in out the row with one more piece of w cells and value v at most.
func (s stairs[T]) withOne(out stairs[T], width, w int, v T) stairs[T] {
	i := 0
	for _, x := range s {
		x.cell += w
		if x.cell >= width {
			break
		}
		x.worth += v
		for ; i < len(s) && s[i].cell <= x.cell; i++ {
			out = out.add(s[i])
		}
		out = out.add(x)
	}
	for ; i < len(s); i++ {
		out = out.add(s[i])
	}
	return out
}

// withMany is the same with any number of pieces: each rise there is gives another one w cells on.
func (s stairs[T]) withMany(out stairs[T], width, w int, v T) stairs[T] {
	for i, j := 0, 0; ; {
		if j < len(out) {
			if cell := out[j].cell + w; cell < width && (i == len(s) || cell < s[i].cell) {
				out = out.add(rise[T]{cell, out[j].worth + v})
				j++
				continue
			}
		}
		if i == len(s) {
			return out
		}
		out = out.add(s[i])
		i++
	}
}
