package sheet

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"

	"github.com/xuri/excelize/v2"

	"wallbill/pricing/revision"
)

// recordProperty is the document property with the hash of the Record, so that a Record edited by hand is noticed.
const recordProperty = "Record SHA-256"

// ErrNoRecord says that a workbook has no Record of wallbill's: it was never priced.
var ErrNoRecord = errors.New("the workbook has no Record: it was not priced by wallbill")

// recordTab is the run in plain rows, all text, so that it reads back exactly.
func (p *priced) recordTab() (*page, error) {
	pg := newPage(tabRecord, "Record", p.under, "The run as it was, for the next one to compare with: inputs as read, priced lines, totals, changes. Do not edit: a hash tells.")
	rows := p.record.Record()
	var hashed [][]string
	columns := 0
	for _, r := range rows {
		hashed = append(hashed, r.Cells)
		columns = max(columns, len(r.Cells))
	}
	p.recordHash = revision.RecordHash(hashed)
	pg.head(rows[0].Cells...)
	pg.printCols = columns // a long text at the right, printed in full, would make all others smaller
	rows = rows[1:]
	widths := make([]float64, columns)
	for j := range widths {
		widths[j] = 14
	}
	widths[0], widths[1] = 22, 28
	looks := map[revision.RowKind]look{revision.TitleRow: asSection, revision.HeaderRow: asHead, revision.DataRow: asLong}
	pg.late = &lateRows{rows: len(rows), widths: widths, fill: func(i int, row []outCell) {
		for j, text := range rows[i].Cells {
			if text != "" {
				row[j] = outCell{value: text, look: looks[rows[i].Kind]}
			}
		}
	}}
	return pg, nil
}

// ReadRecord reads the Record of a priced workbook. Edited tells that it is not as it was written. A workbook without a
// Record of ours gives ErrNoRecord, one whose Record cannot be read another error.
func (w *Workbook) ReadRecord() (run *revision.Run, edited bool, err error) {
	props, err := w.properties()
	if err != nil {
		return nil, false, err
	}
	ours, err := w.results()
	if err != nil {
		return nil, false, err
	}
	if !ours[strings.ToLower(tabRecord)] {
		return nil, false, ErrNoRecord
	}
	for i := range w.tabs {
		t := &w.tabs[i]
		if !strings.EqualFold(t.Name, tabRecord) {
			continue
		}
		var rows [][]string
		last := headRow - 1
		for _, r := range t.Rows {
			if r.Number < headRow {
				continue
			}
			for ; last < r.Number-1; last++ {
				rows = append(rows, nil)
			}
			last = r.Number
			cells := make([]string, len(r.Cells))
			for j, c := range r.Cells {
				cells[j] = c.Value
			}
			rows = append(rows, cells)
		}
		run, err = revision.ReadRecord(rows)
		return run, revision.RecordHash(rows) != props[recordProperty], err
	}
	return nil, false, ErrNoRecord
}

// Priced tells whether the workbook carries results of an earlier run.
func (w *Workbook) Priced() bool {
	ours, err := w.results()
	return err == nil && len(ours) > 0
}

// properties are the workbook's own properties, by name.
func (w *Workbook) properties() (map[string]string, error) {
	zr, err := zip.NewReader(bytes.NewReader(w.data), int64(len(w.data)))
	if err != nil {
		return nil, err
	}
	for _, f := range zr.File {
		if partKey(f.Name) != "docprops/custom.xml" {
			continue
		}
		in, err := f.Open()
		if err != nil {
			return nil, err
		}
		defer in.Close()
		var list struct {
			Property []struct {
				Name string `xml:"name,attr"`
				Text string `xml:"lpwstr"`
			} `xml:"property"`
		}
		if err := xml.NewDecoder(io.LimitReader(in, 1<<20)).Decode(&list); err != nil {
			return nil, err
		}
		props := map[string]string{}
		for _, p := range list.Property {
			props[p.Name] = p.Text
		}
		return props, nil
	}
	return nil, nil
}

// recordOfBid is the record of a run that is handed in without one.
func recordOfBid(p *priced) *revision.Run {
	r := revision.Of(p.bid, nil)
	r.Number, r.Time, r.Version, r.File = p.run.Number, p.run.Time, p.run.Version, p.run.InputFile
	return r
}

// setRecordHash says in the properties what the Record's hash is.
func (p *priced) setRecordHash() error {
	return p.f.SetCustomProps(excelize.CustomProperty{Name: recordProperty, Value: p.recordHash})
}
