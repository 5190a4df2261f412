package sheet

import (
	"io"

	"github.com/xuri/excelize/v2"

	"wallbill/pricing/revision"
	"wallbill/takeoff/length"
)

// ChangesOptions are what a workbook of changes says beside them.
type ChangesOptions struct {
	Currency string
	Minor    int32
	Report   length.System
	Version  string
}

// WriteChanges writes the changes of two runs as a workbook of their own, with the tab that a priced workbook has.
func WriteChanges(w io.Writer, c *revision.Changes, o ChangesOptions) error {
	f := excelize.NewFile()
	defer f.Close()
	if err := f.SetSheetName("Sheet1", tabChanges); err != nil {
		return err
	}
	ids, err := registerStyles(f, o.Minor)
	if err != nil {
		return err
	}
	pg := newPage(tabChanges, "Changes", "From "+c.From+" to "+c.To, "What changed and what each edit cost: the bid recomputed after each, in this order.")
	pg.a4 = o.Report == length.Metric
	pg.most = map[int]float64{1: 60, 4: 24, 5: 24}
	pg.head("What each edit cost", ">Cost", ">Bid after", "Unit")
	writeChanges(pg, c, changesLook{tab: tabChanges, currency: o.Currency, minor: o.Minor, system: o.Report}, &changeRows{})
	if err := pg.write(f, ids, "&LChanges&CPage &P of &N"); err != nil {
		return err
	}
	if err := f.SetDocProps(&excelize.DocProperties{Title: "Changes from " + c.From + " to " + c.To, Creator: ownerOfFiles, LastModifiedBy: ownerOfFiles,
		Description: "Made by " + ownerOfFiles + " " + o.Version, Created: "2000-01-01T00:00:00Z", Modified: "2000-01-01T00:00:00Z"}); err != nil {
		return err
	}
	full := true
	if err := f.SetCalcProps(&excelize.CalcPropsOptions{FullCalcOnLoad: &full}); err != nil {
		return err
	}
	return Save(f, w)
}
