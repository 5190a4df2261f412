package drawing

import (
	"sync"
	"sync/atomic"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	stdfont "golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// typeface is one weight of the letters of every drawing: Liberation Sans, which has the widths of Arial. The library looks
// a letter's width and kerning up in the font's tables each time; here they are kept, for the drawings of a job ask some
// 100,000 times for the same hundred letters. Several drawings may use it at once.
type typeface struct {
	font   font.Font
	file   *opentype.Font
	ttf    []byte        // the file's bytes
	em     fixed.Int26_6 // units of the font's own in its size
	common [commonEnd - commonFrom]letter
	// kerns of common letters, the left one first: units, plus kernKnown; 0 where it was not looked up yet.
	kerns [commonEnd - commonFrom][commonEnd - commonFrom]atomic.Int32

	outlines sync.Map // []sfnt.Segment by sfnt.GlyphIndex
	sizes    sync.Map // *glyphs by size in points
}

// The letters nearly all texts are made of: ASCII, and those of western Europe.
const (
	commonFrom = ' '
	commonEnd  = 0x100
)

const kernKnown = 1 << 20

// letter is a character's glyph and how far it moves the pen, in units of the font.
type letter struct {
	glyph   sfnt.GlyphIndex
	advance int
}

var typefaces = [2]func() *typeface{
	sync.OnceValue(func() *typeface { return newTypeface(stdfont.WeightNormal, liberationsansregular.TTF) }),
	sync.OnceValue(func() *typeface { return newTypeface(stdfont.WeightBold, liberationsansbold.TTF) }),
}

// typefaceOf a weight, read when it is first asked for: reading one takes half a millisecond.
func typefaceOf(bold bool) *typeface {
	if bold {
		return typefaces[1]()
	}
	return typefaces[0]()
}

func newTypeface(weight stdfont.Weight, ttf []byte) *typeface {
	file, err := opentype.Parse(ttf)
	if err != nil {
		panic("drawing: the built-in typeface: " + err.Error())
	}
	t := &typeface{font: font.Font{Typeface: "Liberation", Variant: "Sans", Weight: weight}, file: file, ttf: ttf, em: fixed.Int26_6(file.UnitsPerEm())}
	var b sfnt.Buffer
	for i := range t.common {
		t.common[i] = t.find(&b, rune(commonFrom+i))
	}
	return t
}

func (t *typeface) find(b *sfnt.Buffer, r rune) letter {
	g, err := t.file.GlyphIndex(b, r)
	if err != nil {
		panic("drawing: the built-in typeface: " + err.Error())
	}
	a, err := t.file.GlyphAdvance(b, g, t.em, stdfont.HintingNone)
	if err != nil {
		panic("drawing: the built-in typeface: " + err.Error())
	}
	return letter{g, int(a)}
}

// of is a character's letter.
func (t *typeface) of(r rune) letter {
	if r >= commonFrom && r < commonEnd {
		return t.common[r-commonFrom]
	}
	return t.find(nil, r)
}

// kern is by how much two letters that follow one another stand closer (negative) or wider, in units of the font.
func (t *typeface) kern(left, right rune, l, r letter) int {
	if left < commonFrom || left >= commonEnd || right < commonFrom || right >= commonEnd {
		return t.readKern(l, r)
	}
	kept := &t.kerns[left-commonFrom][right-commonFrom]
	if k := kept.Load(); k != 0 {
		return int(k) - kernKnown
	}
	k := t.readKern(l, r)
	kept.Store(int32(k + kernKnown))
	return k
}

func (t *typeface) readKern(l, r letter) int {
	k, err := t.file.Kern(nil, l.glyph, r.glyph, t.em, stdfont.HintingNone)
	if err != nil {
		return 0 // the pair is not in the font
	}
	return int(k)
}

// units is a text's width in units of the font.
func (t *typeface) units(s string) int {
	wide, before, last := 0, rune(-1), letter{}
	for _, r := range s {
		l := t.of(r)
		if before >= 0 {
			wide += t.kern(before, r, last, l)
		}
		wide += l.advance
		before, last = r, l
	}
	return wide
}

// face is the typeface in a size, in points.
func face(bold bool, size float64) font.Face {
	t := typefaceOf(bold)
	f := font.Face{Font: t.font, Face: t.file}
	f.Font.Size = vg.Length(size)
	return f
}

// textWidth of a text in points: to the last bit what the library's own faces say, which the SVG's are.
func textWidth(s string, bold bool, size float64) float64 {
	t := typefaceOf(bold)
	return float64(font.Points(float64(t.units(s))) * (font.Length(size) / font.Points(float64(t.em))))
}
