package sheet

import (
	"archive/zip"
	"bytes"
	"image"
	"image/color"
	"image/png"
	"sort"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// busyWorkbook has what makes the library's own bytes differ from run to run: several streams, pictures, a chart, notes.
func busyWorkbook(t *testing.T) *excelize.File {
	t.Helper()
	f := excelize.NewFile()
	img := image.NewRGBA(image.Rect(0, 0, 8, 8))
	img.Set(3, 3, color.Black)
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, img))
	for _, name := range []string{"One", "Two", "Three", "Four"} {
		_, err := f.NewSheet(name)
		require.NoError(t, err)
		sw, err := f.NewStreamWriter(name)
		require.NoError(t, err)
		require.NoError(t, sw.SetRow("A1", []any{"Item", "Price"}))
		require.NoError(t, sw.SetRow("A2", []any{"tie", 1.25}))
		require.NoError(t, f.AddPictureFromBytes(name, "D2", &excelize.Picture{Extension: ".png", File: b.Bytes(), Format: &excelize.GraphicOptions{AltText: "dot"}}))
		require.NoError(t, f.AddChart(name, "D9", &excelize.Chart{Type: excelize.Col, Series: []excelize.ChartSeries{{Name: name + "!$B$1", Categories: name + "!$A$2", Values: name + "!$B$2"}}}))
		require.NoError(t, f.AddComment(name, excelize.Comment{Cell: "A1", Author: "a", Text: "help"}))
		require.NoError(t, sw.Flush())
	}
	return f
}

func TestSaveSameBytes(t *testing.T) {
	var first []byte
	for i := range 12 {
		var b bytes.Buffer
		f := busyWorkbook(t)
		require.NoError(t, Save(f, &b))
		require.NoError(t, f.Close())
		if i == 0 {
			first = b.Bytes()
			continue
		}
		require.True(t, bytes.Equal(first, b.Bytes()), "run %d differs", i)
	}

	zr, err := zip.NewReader(bytes.NewReader(first), int64(len(first)))
	require.NoError(t, err)
	var parts []string
	for _, p := range zr.File {
		parts = append(parts, p.Name)
	}
	assert.Equal(t, []string{contentTypes, "_rels/.rels"}, parts[:2])
	assert.True(t, sort.StringsAreSorted(parts[2:]))
	assert.Contains(t, parts, "xl/worksheets/sheet5.xml")

	f, err := excelize.OpenReader(bytes.NewReader(first))
	require.NoError(t, err)
	v, err := f.GetCellValue("Three", "B2", excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	assert.Equal(t, "1.25", v)
	pics, err := f.GetPictures("Four", "D2")
	require.NoError(t, err)
	assert.Len(t, pics, 1)
}
