package sheet

import "github.com/xuri/excelize/v2"

// chartTitle is a chart's title in the font of the tabs.
func chartTitle(s string) excelize.ChartTitle {
	return excelize.ChartTitle{Paragraph: []excelize.RichTextRun{{Text: s, Font: &excelize.Font{Family: fontName, Size: 11, Bold: true, Color: "000000"}}}}
}

func chartFont() excelize.Font {
	return excelize.Font{Family: fontName, Size: 9, Color: quietColour}
}

func solid(colour string) excelize.Fill {
	return excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}
}

// oneColour has a series keep its colour; the library would give each of its bars another.
var oneColour = new(bool)
