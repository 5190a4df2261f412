package drawing

import (
	"bytes"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg/vgimg"
)

// Pictures are painted on pixels that others used before, many at a time: each comes to the bytes it has alone.
func TestPicturesOnUsedPixels(t *testing.T) {
	sheets := All(estate(8).takeoff(t))
	alone := make([][]byte, len(sheets))
	for i, s := range sheets {
		canvases = sync.Pool{New: canvases.New}
		var b bytes.Buffer
		require.NoError(t, s.PNG(&b))
		alone[i] = b.Bytes()
	}
	for range 3 {
		var g sync.WaitGroup // a sheet is painted once at a time
		for i, s := range sheets {
			g.Go(func() {
				var b bytes.Buffer
				if err := s.PNG(&b); err != nil || !bytes.Equal(b.Bytes(), alone[i]) {
					t.Errorf("%s: other bytes than alone, or %v", s.Name, err)
				}
			})
		}
		g.Wait()
	}
}

// Letters written straight into the pixels are those of the canvas below, but for the rounding of their edges.
func TestPictureIsThatOfThePlainCanvas(t *testing.T) {
	const nearly = 12 << 8 // of 255 << 8
	for _, s := range All(estate(4).takeoff(t))[:3] {
		p := newPicture()
		s.paint(pen{p})
		got := p.pixels
		c := vgimg.NewWith(vgimg.UseWH(Width, Height), vgimg.UseDPI(DPI))
		s.Paint(c)
		want := c.Image()
		require.Equal(t, want.Bounds(), got.Bounds())
		for y := range pixelsHigh {
			for x := range pixelsWide {
				r, g, bl, _ := got.At(x, y).RGBA()
				r2, g2, b2, _ := want.At(x, y).RGBA()
				if apart(r, r2) > nearly || apart(g, g2) > nearly || apart(bl, b2) > nearly {
					t.Fatalf("%s: pixel %d, %d: %v, want %v", s.Name, x, y, got.At(x, y), want.At(x, y))
				}
			}
		}
	}
}

func apart(a, b uint32) uint32 {
	if a < b {
		return b - a
	}
	return a - b
}
