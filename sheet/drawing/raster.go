package drawing

import (
	"math"
	"math/bits"
)

// parts of a pixel that the corners of figures count in.
const (
	partBits = 8
	parts    = 1 << partBits
)

// spot is a corner of a figure, in parts of a pixel from the upper left.
type spot struct{ x, y int }

// farOut bounds the corners of figures that pass the picture: a figure there is cut, not drawn true.
const farOut = 1 << 14

// spotAt is a point in pixels from the upper left.
func spotAt(x, y float64) spot {
	return spot{int(math.Floor(min(max(x, -farOut), farOut)*parts + 0.5)), int(math.Floor(min(max(y, -farOut), farOut)*parts + 0.5))}
}

func spotOf(q xy) spot { return spotAt(q.x, q.y) }

// raster works out how much of each pixel a figure covers, row by row: every edge adds to the pixels that it passes through
// what it covers of them and of all to their right, and the sums from the left are the figure. Where a figure winds round a
// pixel more than once it covers it once. Only pixels that edges pass through are touched, so that long thin lines and
// large plain figures cost little.
type raster struct {
	edges   []edge
	live    []int32 // of the row at work, as places in edges
	rows    [pixelsHigh]int32
	cells   [pixelsWide + 1]cell // one beyond the picture, for what stands to the right of it
	touched [(pixelsWide + 1 + 63) / 64]uint64
}

// cell is what the edges in a pixel come to.
type cell struct {
	cover int32 // how high they are, in wholeRow
	area  int32 // that times twice the part of the pixel to their left
}

// wholeRow is the height of a row, and wholePixel the area of a pixel, in the units of cells.
const (
	wholeRow   = parts << rowBits
	rowBits    = 8
	wholePixel = wholeRow * 2 * parts
)

// edge is a side of a figure that is not level, from its upper end down.
type edge struct {
	top, low spot
	slope    int // parts to the right a part down, times 1 << slopeBits
	sign     int // -1 where the figure goes up along it
	next     int32
}

const slopeBits = 20

// begin forgets the last figure.
func (r *raster) begin() { r.edges = r.edges[:0] }

// side adds a side of a figure; the sides of a figure close it.
func (r *raster) side(a, b spot) {
	sign := 1
	if a.y > b.y {
		a, b, sign = b, a, -1
	}
	if a.y == b.y {
		return
	}
	r.edges = append(r.edges, edge{top: a, low: b, slope: (b.x - a.x) << slopeBits / (b.y - a.y), sign: sign})
}

// at is where the edge is, in parts from the left, at a height on it.
func (e *edge) at(y int) int { return e.top.x + (y-e.top.y)*e.slope>>slopeBits }

// figure adds a closed figure.
func (r *raster) figure(corners ...spot) {
	for i, c := range corners {
		r.side(c, corners[(i+1)%len(corners)])
	}
}

// fill paints the figure that the sides enclose with a wash, on pixels in rows of that width, stride apart.
func (r *raster) fill(w *wash, pix []byte, wide, high, stride int) {
	top, low := math.MaxInt, math.MinInt
	for i := range r.edges {
		top, low = min(top, r.edges[i].top.y), max(low, r.edges[i].low.y)
	}
	first, last := max(top>>partBits, 0), min((low-1)>>partBits, high-1)
	if first > last {
		return
	}
	// The edges by the rows that they begin in, as places in edges plus 1; each has the next of its row.
	begin := r.rows[:last-first+1]
	clear(begin)
	for i := range r.edges {
		e := &r.edges[i]
		row := max(e.top.y>>partBits, first)
		if row > last || e.low.y <= first<<partBits {
			continue
		}
		e.next, begin[row-first] = begin[row-first], int32(i+1)
	}
	live := r.live[:0]
	for row := first; row <= last; row++ {
		for k := begin[row-first]; k > 0; k = r.edges[k-1].next {
			live = append(live, k-1)
		}
		if len(live) == 0 {
			continue
		}
		top, low := row<<partBits, (row+1)<<partBits
		n := 0
		for _, k := range live {
			e := &r.edges[k]
			y0, y1 := max(e.top.y, top), min(e.low.y, low)
			r.pass(min(max(e.at(y0), 0), wide<<partBits), min(max(e.at(y1), 0), wide<<partBits), (y1-y0)*e.sign<<rowBits)
			if e.low.y > low {
				live[n] = k
				n++
			}
		}
		live = live[:n]
		r.paint(w, pix[row*stride:row*stride+wide])
	}
	r.live = live[:0]
}

// pass adds an edge of a row, from and to in parts, as high as that.
func (r *raster) pass(from, to, high int) {
	if from > to {
		from, to = to, from // what it covers is the same
	}
	i, last := from>>partBits, to>>partBits
	if i == last {
		r.touch(i, high, high*(from+to-2*i<<partBits))
		return
	}
	// The first pixel, those passed from side to side, and the last.
	run := to - from
	edge := (i + 1) << partBits
	done := high * (edge - from) / run
	r.touch(i, done, done*(from+edge-2*i<<partBits))
	step := high << partBits / run
	for i++; i < last; i++ {
		r.touch(i, step, step*parts)
		done += step
	}
	if rest := to - last<<partBits; rest > 0 || done != high {
		r.touch(last, high-done, (high-done)*rest)
	}
}

func (r *raster) touch(i, high, area int) {
	c := &r.cells[i]
	c.cover += int32(high)
	c.area += int32(area)
	r.touched[i>>6] |= 1 << (i & 63)
}

// paint sums a row up and paints it.
func (r *raster) paint(w *wash, row []byte) {
	cover, from := 0, 0
	for k := range r.touched[:len(row)>>6+1] {
		m := r.touched[k]
		if m == 0 {
			continue
		}
		r.touched[k] = 0
		for ; m != 0; m &= m - 1 {
			i := k<<6 + bits.TrailingZeros64(m)
			if cover != 0 && i > from {
				w.run(row[from:i], shadeOf(cover*2*parts))
			}
			c := r.cells[i]
			r.cells[i] = cell{}
			if i >= len(row) {
				continue
			}
			cover += int(c.cover)
			if s := shadeOf(cover*2*parts - int(c.area)); s > 0 {
				w.dot(&row[i], s)
			}
			from = i + 1
		}
	}
	if cover != 0 && from < len(row) {
		w.run(row[from:], shadeOf(cover*2*parts))
	}
}

// shadeOf an area of a pixel.
func shadeOf(area int) int {
	if area < 0 {
		area = -area
	}
	return (min(area, wholePixel)*shades + wholePixel/2) / wholePixel
}

// dot paints one pixel.
func (w *wash) dot(at *byte, shade int) {
	v := w.of[shade][*at]
	if v == unknown {
		v = w.mix(shade, *at)
	}
	*at = v
}

// run paints pixels beside one another.
func (w *wash) run(row []byte, shade int) {
	switch shade {
	case 0:
	case shades:
		plain(row, w.place)
	default:
		of := &w.of[shade]
		for i, g := range row {
			v := of[g]
			if v == unknown {
				v = w.mix(shade, g)
			}
			row[i] = v
		}
	}
}

// plain sets all bytes of a row.
func plain(row []byte, to byte) {
	const short = 32
	for i := range row[:min(len(row), short)] {
		row[i] = to
	}
	for n := short; n < len(row); n *= 2 {
		copy(row[n:], row[:n])
	}
}

// box paints an upright rectangle, from its upper left to its lower right, on pixels in rows of that width, stride apart.
func (w *wash) box(pix []byte, wide, high, stride int, a, b spot) {
	x0, y0, x1, y1 := max(a.x, 0), max(a.y, 0), min(b.x, wide<<partBits), min(b.y, high<<partBits)
	if x0 >= x1 || y0 >= y1 {
		return
	}
	first, last := x0>>partBits, (x1-1)>>partBits
	left, right := parts-(x0-first<<partBits), x1-last<<partBits
	if first == last {
		left, right = left+right-parts, 0
	}
	// The rows in part, then those in full between them.
	top, low := y0>>partBits, (y1-1)>>partBits
	const whole = wholePixel / parts / parts
	band := func(row, rows, tall int) {
		at := row*stride + first
		w.column(pix, at, rows, stride, shadeOf(left*tall*whole))
		const narrow = 4
		shade := shadeOf(parts * tall * whole)
		if wide := last - first - 1; wide > narrow {
			for k := range rows {
				w.run(pix[at+1+k*stride:][:wide], shade)
			}
		} else {
			for x := range max(wide, 0) {
				w.column(pix, at+1+x, rows, stride, shade)
			}
		}
		if right > 0 {
			w.column(pix, at+last-first, rows, stride, shadeOf(right*tall*whole))
		}
	}
	if tall := min(y1, (top+1)<<partBits) - y0; tall < parts || top == low {
		band(top, 1, tall)
		top++
	}
	if tall := y1 - low<<partBits; tall < parts && top <= low {
		band(low, 1, tall)
		low--
	}
	if top <= low {
		band(top, low-top+1, parts)
	}
}

// column paints pixels under one another, the first at that place.
func (w *wash) column(pix []byte, at, rows, stride, shade int) {
	if shade == 0 {
		return
	}
	of := &w.of[shade]
	for range rows {
		v := of[pix[at]]
		if v == unknown {
			v = w.mix(shade, pix[at])
		}
		pix[at] = v
		at += stride
	}
}
