package sheet

import (
	"io"
	"strconv"

	"github.com/xuri/excelize/v2"
)

// WritePlain writes a workbook from a text, without formats or help: tabs apart by blank lines, each with its name, a line of
// columns and its rows, the cells of a line between bars. A cell that is a plain number is written as a number.
func WritePlain(w io.Writer, text string) error {
	tabs, err := readExample(text)
	if err != nil {
		return err
	}
	f := excelize.NewFile()
	defer f.Close()
	for i, t := range tabs {
		if i == 0 {
			err = f.SetSheetName("Sheet1", t.name)
		} else {
			_, err = f.NewSheet(t.name)
		}
		if err != nil {
			return err
		}
		for r, row := range append([][]string{t.columns}, t.rows...) {
			for c, cell := range row {
				at, err := excelize.CoordinatesToCellName(c+1, r+1)
				if err != nil {
					return err
				}
				if _, bad := strconv.ParseFloat(cell, 64); bad == nil && r > 0 {
					err = f.SetCellDefault(t.name, at, cell)
				} else if cell != "" {
					err = f.SetCellStr(t.name, at, cell)
				}
				if err != nil {
					return err
				}
			}
		}
	}
	return Save(f, w)
}
