package sheet

import (
	"bytes"
	"fmt"
	_ "image/png" // the library asks for a picture's size by its registered format
	"io"
	"math"
	"path/filepath"
	"runtime"
	"strconv"
	"sync"
	"sync/atomic"
	"time"
	"unicode/utf16"

	"github.com/xuri/excelize/v2"
	"golang.org/x/sync/errgroup"

	"wallbill/sheet/drawing"
	"wallbill/takeoff"
)

// The most drawings a workbook holds; files of all of them are for --drawings. A drawing takes about 60 kB and 2 ms.
const (
	mostPlans      = 40
	mostElevations = 60
)

// drawingRows are the rows of lineHeight that a drawing takes, 30, and one to spare; a test holds it to the height.
const drawingRows = 31

// mostPictureName is the most characters the library takes as a picture's name.
const mostPictureName = 254

// shorter is the first characters of a text, of which letters outside the first plane count as two.
func shorter(s string, most int) string {
	n := 0
	for i, r := range s {
		if n += utf16.RuneLen(r); n > most {
			return s[:i]
		}
	}
	return s
}

// pictureAt is a picture with its top left cell.
type pictureAt struct {
	cell    string
	picture *excelize.Picture
}

// drawings lists the job's drawings and shows them one under another, each on a printed page of its own.
func (p *priced) drawings() (*page, error) {
	pg := newPage(tabDrawings, "Drawings", p.under, "Plan of each level, then each wall from inside with its start at the left. They show what was counted; they are not for building from.")
	// A fixed scale, because fitting to the page's width is said to drop breaks between pages; at 90 % drawing and columns fit
	// both papers, with the wider characters of other programs too.
	pg.percent, pg.repeat = 90, runRow
	pg.least = map[int]float64{1: 30, 2: 12, 3: 12, 4: 46}
	pg.most = pg.least
	pg.head("Drawing", "Level", "Wall", "Notes")
	if !p.draw {
		pg.add(outCell{value: "No drawings were made in this run (--no-drawings). Without that flag they stand here; --drawings DIR writes them as files.", look: asLong})
		return pg, nil
	}
	d := p.paintings
	if err := d.finish(); err != nil {
		return nil, err
	}
	shown := d.shown
	pictures := make([]*excelize.Picture, len(shown))
	for i, s := range shown {
		half := 96.0 / drawing.DPI
		pictures[i] = &excelize.Picture{Extension: ".png", File: d.files[i], Format: &excelize.GraphicOptions{
			AltText: s.AltText, Name: shorter(s.Title, mostPictureName), ScaleX: half, ScaleY: half, Positioning: "oneCell", LockAspectRatio: true,
		}}
	}
	out := leftOut(d.plans, d.left)
	row := headRow + len(shown) + 1 // of the first drawing's title
	if out != "" {
		row++
	}
	for i, s := range shown {
		at := row + 1 + i*(drawingRows+1)
		pg.add(linkCell(s.Title, quoteTab(tabDrawings)+"!A"+strconv.Itoa(at)), textCell(s.Level), textCell(s.Wall), wrapCell(joinNotes(s.Notes)))
	}
	if out != "" {
		pg.add(outCell{value: out, look: asLong})
	}
	pg.add()
	for i, s := range shown {
		at := pg.add(outCell{value: s.Title, look: asSection})
		pg.breaks = append(pg.breaks, at)
		pg.pictures = append(pg.pictures, pictureAt{"A" + strconv.Itoa(at+1), pictures[i]})
		for range drawingRows {
			pg.add()
		}
	}
	return pg, nil
}

// Paintings are the drawings of a workbook, painted while the rest of it is made.
type Paintings struct {
	lay    func() // what to paint
	plans  []*drawing.Sheet
	left   []*takeoff.WallLines // not shown
	shown  []*drawing.Sheet
	files  [][]byte // of those shown
	next   atomic.Int64
	g      errgroup.Group
	faults takeoff.Faults
}

// Paint begins to paint the drawings that a workbook shows, on all processors but this one. The takeoff is not to be changed
// before they are in the workbook, or dropped.
func Paint(t *takeoff.Takeoff) *Paintings {
	d := new(Paintings)
	d.lay = sync.OnceFunc(func() {
		walls := []*drawing.Sheet(nil)
		d.plans = drawing.Plans(t)
		walls, d.left = drawing.FirstElevations(t, mostElevations)
		d.shown = append(d.plans[:min(len(d.plans), mostPlans):min(len(d.plans), mostPlans)], walls...)
		d.files = make([][]byte, len(d.shown))
	})
	for range runtime.GOMAXPROCS(0) - 1 {
		d.help()
	}
	return d
}

// help paints, beside what goes on, whatever is not begun yet.
func (d *Paintings) help() {
	d.g.Go(func() (err error) {
		d.faults.Keep(func() { err = d.paint() })
		return err
	})
}

func (d *Paintings) paint() error {
	d.lay()
	for {
		i := int(d.next.Add(1) - 1)
		if i >= len(d.shown) {
			return nil
		}
		var b bytes.Buffer
		if err := d.shown[i].PNG(&b); err != nil {
			return err
		}
		d.files[i] = b.Bytes()
	}
}

// finish paints the rest here too. A fault is raised here.
func (d *Paintings) finish() error {
	d.help()
	err := d.g.Wait()
	d.faults.Raise()
	return err
}

// Drop waits for what is begun, and leaves the rest.
func (d *Paintings) Drop() {
	d.next.Store(math.MaxInt32)
	_ = d.g.Wait() // of a workbook that is not written for another reason
}

// leftOut says which drawings the workbook does not hold and how to get them; empty when it holds all.
func leftOut(plans []*drawing.Sheet, walls []*takeoff.WallLines) string {
	s := ""
	if n := len(plans) - mostPlans; n > 0 {
		s = fmt.Sprintf("%d plans, from %s on", n, plans[mostPlans].Title)
	}
	if n := len(walls); n > 0 {
		if s != "" {
			s += ", and "
		}
		s += fmt.Sprintf("the elevations of %s, from wall %s on", counted(int64(n), "wall"), walls[0].Mark)
	}
	if s == "" {
		return ""
	}
	return "Left out, to keep this workbook small: " + s + ". Run price with --drawings DIR: it writes every drawing as a file."
}

func joinNotes(notes []string) string {
	s := ""
	for i, n := range notes {
		if i > 0 {
			s += " "
		}
		s += n
	}
	return s
}

// WriteDrawings writes into a folder, made if absent, an SVG of each level's plan and of each wall's elevation, and all of
// them as drawings.pdf, dated created. write puts a file in its place, as WriteFile does. It returns the number of SVG files.
func WriteDrawings(dir string, t *takeoff.Takeoff, created time.Time, write func(path string, to func(io.Writer) error) error) (int, error) {
	if err := MakeFolder(dir); err != nil {
		return 0, err
	}
	all := drawing.All(t)
	for i, s := range all {
		if err := write(filepath.Join(dir, s.Name+".svg"), s.SVG); err != nil {
			return i, err
		}
	}
	title := t.Job.Name
	if t.Job.Revision != "" {
		title += ", revision " + t.Job.Revision
	}
	return len(all), write(filepath.Join(dir, "drawings.pdf"), func(w io.Writer) error { return drawing.PDF(w, title+": drawings", created, all) })
}
