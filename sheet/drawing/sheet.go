package drawing

import (
	"bytes"
	"fmt"
	"html"
	"io"
	"regexp"
	"strconv"
	"strings"
	"time"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgsvg"

	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// The size of every drawing, in points: 10 by 6 1/2 in fits letter and A4 paper, landscape, with a title over it.
const (
	Width  = 720.0
	Height = 468.0
)

// DPI is the resolution of a PNG: at half its size in pixels a screen of 96 dots an inch shows the drawing in its true size.
const DPI = 192

// Sheet is one drawing.
type Sheet struct {
	Name    string // file name without extension: plan-L1, elevation-W7
	Title   string // Plan of level L1
	AltText string
	Level   string
	Wall    string // empty for a plan
	Notes   []string
	system  length.System
	paint   func(pen)
}

// Paint draws the sheet on a canvas of Width by Height points.
func (s *Sheet) Paint(c vg.Canvas) {
	p := newPen(c)
	p.fill(white, box(0, 0, Width, Height)...)
	s.paint(p)
}

// PNG writes the drawing as a picture of DPI dots an inch.
func (s *Sheet) PNG(w io.Writer) error {
	p := newPicture()
	defer p.free()
	s.paint(newPen(p)) // the ground is white already
	return p.write(w)
}

// SVG writes the drawing as scalable vector graphics, with its title and description for readers that do not see it.
func (s *Sheet) SVG(w io.Writer) error {
	c := vgsvg.New(Width, Height)
	s.Paint(c)
	var b bytes.Buffer
	if _, err := c.WriteTo(&b); err != nil {
		return err
	}
	text := b.String()
	open := strings.Index(text, "<svg")
	end := strings.Index(text, ">\n<g")
	if open < 0 || end < open {
		return fmt.Errorf("drawing %s: unexpected SVG", s.Name)
	}
	head := `<?xml version="1.0" encoding="UTF-8"?>` + "\n" + text[open:end] + ` role="img">` + "\n<title>" + html.EscapeString(s.Title) +
		"</title>\n<desc>" + html.EscapeString(s.AltText) + "</desc>"
	_, err := io.WriteString(w, head+fitTexts(text[end+1:]))
	return err
}

// svgText is a text as the library writes it: what stands before its look, its weight, size, the rest of its look, the text.
var svgText = regexp.MustCompile(`(<text [^>]*?)style="font-family:[^;]*;font-variant:[^;]*;font-weight:(\w+);font-style:normal;font-size:([0-9.]+)px([^"]*)">([^<]*)</text>`)

// fitTexts gives every text of an SVG the width it was laid out with: where the typeface is not installed, others take
// its place, and they are wider or narrower.
func fitTexts(body string) string {
	return svgText.ReplaceAllStringFunc(body, func(t string) string {
		m := svgText.FindStringSubmatch(t)
		size, err := strconv.ParseFloat(m[3], 64)
		if err != nil {
			return t
		}
		weight := ""
		if m[2] == "bold" {
			weight = "font-weight:bold;"
		}
		wide := textWidth(html.UnescapeString(m[5]), m[2] == "bold", size)
		return fmt.Sprintf(`%stextLength="%.2f" lengthAdjust="spacingAndGlyphs" style="font-family:'Liberation Sans',Arial,Helvetica,sans-serif;%sfont-size:%spx%s">%s</text>`,
			m[1], wide, weight, m[3], m[4], m[5])
	})
}

// PDF writes all drawings as one document, a page each: A4 where they are metric, else letter, landscape. created is the
// document's date: the same drawings with the same date are the same bytes.
func PDF(w io.Writer, title string, created time.Time, sheets []*Sheet) error {
	d := newDocument(title, created)
	for _, s := range sheets {
		wide, high := 792.0, 612.0
		if s.system == length.Metric {
			wide, high = 841.89, 595.28
		}
		d.page(wide, high)
		d.Push()
		d.Translate(vg.Point{X: vg.Length((wide - Width) / 2), Y: vg.Length((high - Height) / 2)})
		s.paint(newPen(d))
		d.Pop()
		d.bookmark(s.Title)
	}
	return d.write(w)
}

// All are the plans, then the elevations.
func All(t *takeoff.Takeoff) []*Sheet {
	out := Plans(t)
	return append(out, Elevations(t)...)
}

// named gives sheets file names that no file system refuses and none repeats, letters of either case alike.
func named(sheets []*Sheet) {
	taken := map[string]bool{}
	for _, s := range sheets {
		name := fileName(s.Name)
		base := name
		for i := 2; taken[strings.ToLower(name)]; i++ {
			name = fmt.Sprintf("%s-%d", base, i)
		}
		taken[strings.ToLower(name)] = true
		s.Name = name
	}
}

// fileName keeps letters, digits, point, minus and underline; every other run of characters becomes one minus.
func fileName(s string) string {
	var b strings.Builder
	gap := false
	for _, r := range s {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '.' || r == '-' || r == '_' {
			if gap {
				b.WriteByte('-')
				gap = false
			}
			b.WriteRune(r)
			continue
		}
		gap = true
	}
	name := strings.TrimRight(b.String(), ".")
	const longest = 120
	if len(name) > longest {
		name = name[:longest]
	}
	return name
}
