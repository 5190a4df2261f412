package drawing

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
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
	return spot{int(math.Round(min(max(x, -farOut), farOut) * parts)), int(math.Round(min(max(y, -farOut), farOut) * parts))}
}

func spotOf(q xy) spot { return spotAt(q.x, q.y) }

// raster works out how much of each pixel a figure covers, row by row: every edge adds to the pixels that it passes through
// what it covers of them and of all to their right, and the sums from the left are the figure. Where a figure winds round a
// pixel more than once it covers it once. Only pixels that edges pass through are touched, so that long thin lines and
// large plain figures cost little.
type raster struct {
	edges   []edge
	live    []edge
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
	r.edges = append(r.edges, edge{a, b, (b.x - a.x) << slopeBits / (b.y - a.y), sign})
}

// at is where the edge is, in parts from the left, at a height on it.
func (e *edge) at(y int) int { return e.top.x + (y-e.top.y)*e.slope>>slopeBits }

// figure adds a closed figure.
func (r *raster) figure(corners ...spot) {
	for i, c := range corners {
		r.side(c, corners[(i+1)%len(corners)])
	}
}

// byTop puts edges in the order of their upper ends; nearly all figures have few.
func byTop(edges []edge) {
	const few = 12
	if len(edges) > few {
		slices.SortFunc(edges, func(a, b edge) int { return cmp.Compare(a.top.y, b.top.y) })
		return
	}
	for i := 1; i < len(edges); i++ {
		for k := i; k > 0 && edges[k].top.y < edges[k-1].top.y; k-- {
			edges[k], edges[k-1] = edges[k-1], edges[k]
		}
	}
}

// fill paints the figure that the sides enclose with a wash, on pixels in rows of that width, stride apart.
func (r *raster) fill(w *wash, pix []byte, wide, high, stride int) {
	edges := r.edges
	if len(edges) == 0 {
		return
	}
	byTop(edges)
	live := r.live[:0]
	next := 0
	for row := max(edges[0].top.y>>partBits, 0); row < high; row++ {
		top, low := row<<partBits, (row+1)<<partBits
		for next < len(edges) && edges[next].top.y < low {
			live = append(live, edges[next])
			next++
		}
		n := 0
		for i := range live {
			e := &live[i]
			if e.low.y <= top { // over the picture
				continue
			}
			y0, y1 := max(e.top.y, top), min(e.low.y, low)
			r.pass(min(max(e.at(y0), 0), wide<<partBits), min(max(e.at(y1), 0), wide<<partBits), (y1-y0)*e.sign<<rowBits)
			if e.low.y > low {
				if n != i {
					live[n] = *e
				}
				n++
			}
		}
		live = live[:n]
		r.paint(w, pix[row*stride:row*stride+wide])
		if len(live) == 0 {
			if next == len(edges) {
				break
			}
			row = max(edges[next].top.y>>partBits-1, row) // the loop goes one on
		}
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
