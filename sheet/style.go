package sheet

import (
	"strings"

	"github.com/xuri/excelize/v2"
)

// The look of the results: one font, one accent colour and its tints. The accent and the colour of what is wrong are the
// blue and the vermillion of Okabe and Ito's set for colour-blind readers; colour is never the only sign.
const (
	fontName    = "Arial"
	fontSize    = 10
	accent      = "0072B2"
	accentTint  = "E3EFF7" // header rows
	accentFaint = "F5F9FC" // totals
	wrongColour = "D55E00"
	quietColour = "595959"
	lineColour  = "BFBFBF"
)

// chartColours are the fills of charts, from the same set.
var chartColours = []string{accent, "E69F00", "009E73", "56B4E9", "CC79A7"}

// look names a cell's style; the library's numbers for them are registered once a workbook.
type look int

const (
	asText      look = iota
	asWrap           // wrapped text, at the top
	asRightText      // lengths in feet and inches
	asTitle
	asUnder // job, revision, run
	asHint
	asLong    // a sentence that runs over the columns at its right
	asSection // title of a further table
	asHead
	asHeadRight
	asWhole
	asQuantity
	asMoney
	asPrice
	asEffect // a part of a money difference, in all its decimals: rounded to cents a small one below zero would show as -0.00
	asPercent
	asFactor // a number as typed
	asDate
	asLink
	asFlag   // a word that asks to be looked at
	asBanner // what is missing or wrong
	asTotalText
	asTotalMoney
	asBidText
	asBidMoney
	asLeftDate
	asInText // cells to play with
	asInWhole
	asInQuantity
	asInPrice
	asInMoney
	asInPercent
	asInFrom // quantity a price break begins at
	asFrom
	lookCount
)

// unusedFrom is where an unused break begins, above every order; it shows as a dash.
const unusedFrom = 999_000_000_000_000

// Number formats.
const (
	wholeFormat    = "#,##0"
	quantityFormat = "#,##0.00##"
	percentFormat  = "0.0##%"
	effectFormat   = "#,##0.00####"
	factorFormat   = "General"
	dateFormat     = "yyyy-mm-dd"
	fromFormat     = `[>=999000000000000]"–";General`
)

func moneyFormat(minor int32) string {
	if minor == 0 {
		return wholeFormat
	}
	return "#,##0." + strings.Repeat("0", int(minor))
}

// spaced is a number format that keeps a letter's room at the right, so that the text of the next column does not touch; ""
// is that of texts which stand as numbers do. An indent of the cell would look the same, but one spreadsheet program leaves it
// out where the next cell's look is another.
func spaced(format string) string {
	if format == "" {
		format = "@"
	}
	return strings.ReplaceAll(format, ";", "_W;") + "_W"
}

func priceFormat(minor int32) string {
	if minor == 0 {
		return "#,##0.00##" // with no digit after it, the point would still be shown
	}
	return moneyFormat(minor) + "##"
}

// styles are the library's style numbers of a workbook, by look.
type styles [lookCount]int

// registerStyles puts every style of the results into f, once.
func registerStyles(f *excelize.File, minor int32) (*styles, error) {
	font := func(change func(*excelize.Font)) *excelize.Font {
		x := &excelize.Font{Family: fontName, Size: fontSize, Color: "000000"}
		if change != nil {
			change(x)
		}
		return x
	}
	fill := func(colour string) excelize.Fill {
		return excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}
	}
	line := func(side, colour string, style int) excelize.Border {
		return excelize.Border{Type: side, Color: colour, Style: style}
	}
	box := func() []excelize.Border {
		return []excelize.Border{line("left", accent, 1), line("right", accent, 1), line("top", accent, 1), line("bottom", accent, 1)}
	}
	right := &excelize.Alignment{Horizontal: "right", Vertical: "top"}
	left := &excelize.Alignment{Horizontal: "left", Vertical: "top"}
	wrapped := &excelize.Alignment{Horizontal: "left", Vertical: "top", WrapText: true}

	plain := func(format string, align *excelize.Alignment) *excelize.Style {
		s := &excelize.Style{Font: font(nil), Alignment: align}
		if align == right {
			format = spaced(format)
		}
		if format != "" {
			s.CustomNumFmt = &format
		}
		return s
	}
	input := func(format string, align *excelize.Alignment) *excelize.Style {
		s := plain(format, align)
		s.Font, s.Border = font(func(x *excelize.Font) { x.Color = accent }), box()
		s.Protection = &excelize.Protection{Locked: false}
		return s
	}
	total := func(format string, align *excelize.Alignment, size float64) *excelize.Style {
		s := plain(format, align)
		s.Font = font(func(x *excelize.Font) { x.Bold, x.Size = true, size })
		s.Fill = fill(accentFaint)
		s.Border = []excelize.Border{line("top", accent, 1)}
		return s
	}
	head := func(align string, indent int) *excelize.Style {
		return &excelize.Style{
			Font: font(func(x *excelize.Font) { x.Bold = true }), Fill: fill(accentTint),
			Border:    []excelize.Border{line("bottom", accent, 1)},
			Alignment: &excelize.Alignment{Horizontal: align, Vertical: "bottom", WrapText: true, Indent: indent},
		}
	}
	all := [lookCount]*excelize.Style{
		asText:      plain("", left),
		asWrap:      plain("", wrapped),
		asRightText: plain("", right),
		asTitle: {Font: font(func(x *excelize.Font) { x.Bold, x.Size, x.Color = true, 14, accent }),
			Alignment: &excelize.Alignment{Vertical: "center"}},
		asUnder: {Font: font(func(x *excelize.Font) { x.Color = quietColour })},
		asHint:  {Font: font(func(x *excelize.Font) { x.Italic, x.Color = true, quietColour })},
		asLong:  {Font: font(nil), Alignment: &excelize.Alignment{Vertical: "top"}},
		asSection: {Font: font(func(x *excelize.Font) { x.Bold, x.Size, x.Color = true, 11, accent }),
			Alignment: &excelize.Alignment{Vertical: "bottom"}},
		asHead:       head("left", 0),
		asHeadRight:  head("right", 1),
		asWhole:      plain(wholeFormat, right),
		asQuantity:   plain(quantityFormat, right),
		asMoney:      plain(moneyFormat(minor), right),
		asPrice:      plain(priceFormat(minor), right),
		asEffect:     plain(effectFormat, right),
		asPercent:    plain(percentFormat, right),
		asFactor:     plain(factorFormat, right),
		asDate:       plain(dateFormat, right),
		asLink:       {Font: font(func(x *excelize.Font) { x.Color, x.Underline = accent, "single" }), Alignment: left},
		asBanner:     {Font: font(func(x *excelize.Font) { x.Bold, x.Size, x.Color = true, 12, wrongColour })},
		asFlag:       {Font: font(func(x *excelize.Font) { x.Bold, x.Color = true, wrongColour }), Alignment: left},
		asTotalText:  total("", left, fontSize),
		asTotalMoney: total(moneyFormat(minor), right, fontSize),
		asBidText:    total("", left, 13),
		asBidMoney:   total(moneyFormat(minor), right, 13),
		asLeftDate:   plain(dateFormat, left),
		asInText:     input("@", left),
		asInWhole:    input(wholeFormat, right),
		asInQuantity: input(factorFormat, right),
		asInPrice:    input(priceFormat(minor), right),
		asInMoney:    input(moneyFormat(minor), right),
		asInPercent:  input(percentFormat, right),
		asInFrom:     input(fromFormat, right),
		asFrom:       plain(fromFormat, right),
	}
	var ids styles
	for i, s := range all {
		id, err := f.NewStyle(s)
		if err != nil {
			return nil, err
		}
		ids[i] = id
	}
	return &ids, nil
}
