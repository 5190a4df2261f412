package sheet

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"wallbill/pricing"
	"wallbill/sheet/drawing"
	"wallbill/takeoff"
)

// drawnFile prices a schedule with its drawings.
func drawnFile(t *testing.T, path string) ([]byte, *takeoff.Takeoff) {
	t.Helper()
	job, findings, source, err := ReadSchedule(path, DefaultLimits)
	require.NoError(t, err)
	require.False(t, takeoff.HasErrors(findings))
	bid := pricing.Price(takeoff.Compute(job), pricing.Options{})
	base, err := source.OpenForResults()
	require.NoError(t, err)
	defer base.Close()
	var b bytes.Buffer
	_, err = WritePriced(&b, base, testRun, bid, PricedOptions{Draw: true})
	require.NoError(t, err)
	if dir := os.Getenv("KEEP"); dir != "" {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "drawn-"+filepath.Base(path)), b.Bytes(), 0o644))
	}
	return b.Bytes(), bid.Takeoff
}

// Every level and wall of the worked jobs has its picture, in its true size, with a description, on a printed page of its
// own, in rows that it has to itself.
func TestDrawingsTab(t *testing.T) {
	for _, name := range []string{"annex", "store"} {
		t.Run(name, func(t *testing.T) {
			b, take := drawnFile(t, "../testdata/worked/"+name+".xlsx")
			again, _ := drawnFile(t, "../testdata/worked/"+name+".xlsx")
			require.True(t, bytes.Equal(b, again), "the same input gives the same bytes")
			f := openRaw(t, b)
			want := drawing.All(take)
			cells, err := f.GetPictureCells(tabDrawings)
			require.NoError(t, err)
			require.Len(t, cells, len(want))
			for i, s := range want {
				cell := fmt.Sprintf("A%d", headRow+len(want)+3+i*(drawingRows+1))
				pics, err := f.GetPictures(tabDrawings, cell)
				require.NoError(t, err)
				require.Len(t, pics, 1, cell)
				require.Equal(t, s.AltText, pics[0].Format.AltText)
				require.NotEmpty(t, pics[0].Format.AltText)
				size, err := png.DecodeConfig(bytes.NewReader(pics[0].File))
				require.NoError(t, err)
				require.Equal(t, 1920, size.Width)
				require.Equal(t, 1248, size.Height)
				title, err := f.GetCellValue(tabDrawings, fmt.Sprintf("A%d", headRow+len(want)+2+i*(drawingRows+1)))
				require.NoError(t, err)
				require.Equal(t, s.Title, title)
			}
			// The anchors say how large the pictures stand; 9525 EMU are a pixel of 96 an inch.
			var anchors struct {
				One []struct {
					From struct {
						Row int `xml:"row"`
					} `xml:"from"`
					Ext struct {
						Cx int `xml:"cx,attr"`
						Cy int `xml:"cy,attr"`
					} `xml:"ext"`
				} `xml:"oneCellAnchor"`
			}
			parts, err := tabParts(f)
			require.NoError(t, err)
			var raw []byte
			editParts(t, b, func(name string, part []byte) []byte {
				if strings.HasPrefix(name, "xl/drawings/drawing") && bytes.Contains(part, []byte("<xdr:pic")) {
					require.NoError(t, xml.Unmarshal(part, &anchors))
				}
				if name == parts[tabDrawings] {
					raw = part
				}
				return part
			})
			require.Len(t, anchors.One, len(want))
			free := 0
			for _, a := range anchors.One {
				require.Equal(t, 960*9525, a.Ext.Cx)
				require.Equal(t, 624*9525, a.Ext.Cy)
				require.GreaterOrEqual(t, a.From.Row, free, "a picture stands on the one before")
				free = a.From.Row + (a.Ext.Cy/9525+20)/21 // rows of 15.75 pt, 21 pixels
				for r := a.From.Row + 1; r <= free; r++ {
					v, err := f.GetCellValue(tabDrawings, fmt.Sprintf("A%d", r))
					require.NoError(t, err)
					require.Empty(t, v, "a text under a picture, row %d", r)
				}
			}
			require.Equal(t, len(want), bytes.Count(raw, []byte("<brk ")))
			require.Contains(t, string(raw), `scale="90"`)
		})
	}
}

// A run over a workbook with drawings leaves none of them behind: the same run again is the same bytes, and a run without
// drawings holds no picture.
func TestDrawingsOverEarlierOnes(t *testing.T) {
	job, _, source, err := ReadSchedule("../testdata/worked/store.xlsx", DefaultLimits)
	require.NoError(t, err)
	bid := pricing.Price(takeoff.Compute(job), pricing.Options{})
	base, err := source.OpenForResults()
	require.NoError(t, err)
	defer base.Close()
	draw := func(f *excelize.File, yes bool) []byte {
		var b bytes.Buffer
		_, err := WritePriced(&b, f, testRun, bid, PricedOptions{Draw: yes})
		require.NoError(t, err)
		return b.Bytes()
	}
	first := draw(base, true)
	second := draw(openRaw(t, first), true)
	require.Equal(t, partNames(t, first), partNames(t, second))
	require.Empty(t, differentParts(t, first, second))
	for _, name := range partNames(t, draw(openRaw(t, second), false)) {
		require.NotContains(t, name, "media")
	}
}

func TestNoDrawings(t *testing.T) {
	f := openRaw(t, writeSite(t, fullSite()))
	cells, err := f.GetPictureCells(tabDrawings)
	require.NoError(t, err)
	require.Empty(t, cells)
	said, err := f.GetCellValue(tabDrawings, "A5")
	require.NoError(t, err)
	require.Contains(t, said, "--no-drawings")
}

// What a large job's workbook leaves out is named, with the way to get it.
func TestLeftOut(t *testing.T) {
	plans := func(n int) (out []*drawing.Sheet) {
		for i := range n {
			out = append(out, &drawing.Sheet{Title: fmt.Sprintf("Plan of level L%d", i+1)})
		}
		return out
	}
	wall := func(mark string) *takeoff.WallLines { return &takeoff.WallLines{Wall: &takeoff.Wall{Mark: mark}} }
	require.Empty(t, leftOut(plans(mostPlans), nil))
	require.Equal(t, "Left out, to keep this workbook small: the elevations of 2 walls, from wall W61 on. Run price with --drawings DIR: it writes every drawing as a file.",
		leftOut(plans(3), []*takeoff.WallLines{wall("W61"), wall("W62")}))
	require.Contains(t, leftOut(plans(mostPlans+2), []*takeoff.WallLines{wall("W61")}), "2 plans, from Plan of level L41 on, and the elevations of 1 wall,")
}

func TestWriteDrawings(t *testing.T) {
	_, take := drawnFile(t, "../testdata/worked/annex.xlsx")
	write := func() map[string][]byte {
		dir := filepath.Join(t.TempDir(), "made", "here")
		n, err := WriteDrawings(dir, take, time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC), WriteFile)
		require.NoError(t, err)
		files := map[string][]byte{}
		entries, err := os.ReadDir(dir)
		require.NoError(t, err)
		for _, e := range entries {
			files[e.Name()], err = os.ReadFile(filepath.Join(dir, e.Name()))
			require.NoError(t, err)
		}
		require.Len(t, files, n+1)
		return files
	}
	a, b := write(), write()
	require.Equal(t, a, b)
	require.True(t, bytes.HasPrefix(a["drawings.pdf"], []byte("%PDF-")))
	for _, w := range take.Geometry.Walls {
		require.Contains(t, a, "elevation-"+w.Mark+".svg")
	}
	for name, file := range a {
		if strings.HasSuffix(name, ".svg") {
			require.NoError(t, xml.Unmarshal(file, new(struct{})), name)
		}
	}
}
