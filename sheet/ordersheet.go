package sheet

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"wallbill/pricing"
	"wallbill/takeoff"
	"wallbill/takeoff/length"
)

// The tabs of an order sheet. The first marks a file as one of ours.
const (
	tabOrderSheet = "Order"
	tabByPour     = "By pour"
)

// OrderSheet is what one supplier gets: what is still to be ordered of it. It has quantities, prices only where they are
// asked for, and nothing of what the job is sold for.
type OrderSheet struct {
	Job     *takeoff.Job
	Order   pricing.ToPlace
	Prices  bool
	Time    time.Time // UTC
	Version string
}

// supplier is the supplier's name as the sheet shows it.
func (o *OrderSheet) supplier() string {
	if o.Order.Supplier == "" {
		return "no supplier"
	}
	return o.Order.Supplier
}

// WriteOrder writes an order sheet as a workbook that prints on its own.
func WriteOrder(w io.Writer, o OrderSheet) error {
	pages := []*page{o.page()}
	if by := o.byPour(); by != nil {
		pages = append(pages, by)
	}
	return writeBook(w, pages, bookOf{
		title: o.Job.Name + ", order to " + o.supplier(), subject: "Order", footer: o.Job.Name + " · " + o.supplier(), minor: o.Job.MinorDigits,
		a4: o.Job.Report == length.Metric, stamp: o.Time, version: o.Version,
	})
}

func (o *OrderSheet) page() *page {
	j := o.Job
	under := "Job: " + j.Name
	if j.Number != "" {
		under += " (" + j.Number + ")"
	}
	if j.Revision != "" {
		under += " · Revision " + j.Revision
	}
	if j.PreparedBy != "" {
		under += " · From " + j.PreparedBy
	}
	under += " · " + o.Time.UTC().Format(time.DateOnly)
	to := "Ship to: " + j.ShipTo
	switch {
	case j.ShipTo != "":
	case j.Location != "":
		to = "Ship to: " + j.Location
	default:
		to = "Ship to: as agreed"
	}
	rented, charged := false, false
	total := decimal.Decimal{}
	for i := range o.Order.Rows {
		r := &o.Order.Rows[i]
		rented, charged = rented || r.Rental, charged || r.Charge
		if r.Extension != nil {
			total = total.Add(*r.Extension)
		}
	}
	to += " · Need by: order by this day. On site: the day it is used there"
	if o.Prices {
		to += " · Sum " + total.StringFixed(j.MinorDigits) + " " + j.Currency
	}
	pg := newPage(tabOrderSheet, "Order to "+o.supplier(), under, to)
	pg.table, pg.most = "Order", map[int]float64{3: 34, 4: 44}
	names := []string{">Need by", ">On site", "Item", "Description", ">Length", ">Quantity", "Unit", ">Packs", ">In a pack"}
	if rented {
		names = append(names, ">Rented from", ">Rented to")
	}
	if o.Prices {
		names = append(names, ">Price ("+j.Currency+")", ">Extension ("+j.Currency+")")
	}
	if charged {
		names = append(names, "Note")
	}
	pg.tableCols = len(names)
	pg.head(names...)
	for i := range o.Order.Rows {
		r := &o.Order.Rows[i]
		needBy := dateCell(r.NeedBy)
		if r.NeedBy.IsZero() {
			needBy = rightCell("to be agreed")
		}
		size := outCell{}
		if r.Length > 0 {
			size = rightCell(r.Length.ShowStock(j.Report))
		}
		cells := []outCell{needBy, dateCell(r.OnSite()), wrapCell(r.Item), wrapCell(r.Description), size, quantityCell(r.ToOrder), textCell(string(r.Unit)),
			optionalCell(r.Packs), optionalCell(r.Pack)}
		if rented {
			cells = append(cells, dateCell(r.From), dateCell(r.To))
		}
		if o.Prices {
			cells = append(cells, amountOrBlank(r.Price, asPrice), amountOrBlank(r.Extension, asMoney))
		}
		if charged && r.Charge {
			cells = append(cells, textCell(expectedCharge))
		}
		pg.add(cells...)
	}
	return pg
}

func amountOrBlank(d *decimal.Decimal, l look) outCell {
	if d == nil {
		return outCell{}
	}
	return outCell{value: storedNumber(*d), look: l}
}

// expectedCharge is said of what a truck or the pump will cost beside its goods.
const expectedCharge = "expected charge, no goods"

// byPour is concrete by delivery; nil where there is none to order.
func (o *OrderSheet) byPour() *page {
	pg := newPage(tabByPour, "By pour", "Job: "+o.Job.Name, "Pour days as planned; loads of equal size. A day that is blank is to be agreed.")
	pg.table, pg.tableCols = "ByPour", 7
	pg.head("Item", "Pour", ">Day", ">Quantity", "Unit", ">Loads", ">Short of the least load")
	n := 0
	for i := range o.Order.Rows {
		r := &o.Order.Rows[i]
		for _, d := range r.Deliveries {
			if !d.ToOrder.IsPositive() {
				continue
			}
			loads, short := outCell{}, outCell{}
			if d.Loads > 0 && d.Ordered.IsZero() {
				loads = wholeCell(d.Loads)
				if d.ShortLoad.IsPositive() {
					short = quantityCell(d.ShortLoad)
				}
			}
			pour := d.Pour
			if pour == "" {
				pour = "no pour"
			}
			pg.add(wrapCell(r.Item), textCell(pour), dateCell(d.Date), quantityCell(d.ToOrder), textCell(string(r.Unit)), loads, short)
			n++
		}
	}
	if n == 0 {
		return nil
	}
	return pg
}

// orderColumns are the columns of an order as CSV; those of prices where they are asked for.
func orderColumns(prices bool) []string {
	names := []string{"Job", "Supplier", "Ship to", "Need by", "Item", "Description", "Length", "Quantity", "Unit", "Packs"}
	if prices {
		names = append(names, "Price", "Extension")
	}
	return names
}

// WriteOrderCSV writes an order as CSV (RFC 4180): a header row and rows. Text that a spreadsheet would take for a formula
// has an apostrophe before it.
func WriteOrderCSV(w io.Writer, o OrderSheet) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	if err := out.Write(orderColumns(o.Prices)); err != nil {
		return err
	}
	j := o.Job
	for i := range o.Order.Rows {
		r := &o.Order.Rows[i]
		size, packs := "", ""
		if r.Length > 0 {
			size = r.Length.ShowStock(j.Report)
		}
		if r.Packs != nil {
			packs = r.Packs.String()
		}
		cells := []string{guardCSV(j.Name), guardCSV(o.Order.Supplier), guardCSV(j.ShipTo), r.NeedBy.String(), guardCSV(r.Item), guardCSV(described(r)),
			size, r.ToOrder.String(), guardCSV(string(r.Unit)), packs}
		if o.Prices {
			cells = append(cells, plainOrBlank(r.Price), plainOrBlank(r.Extension))
		}
		if err := out.Write(cells); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func plainOrBlank(d *decimal.Decimal) string {
	if d == nil {
		return ""
	}
	return d.String()
}

// described is a row's description with what a line of CSV has no column for: the days of a rental, the deliveries of
// concrete, that it is a charge.
func described(r *pricing.Order) string {
	var parts []string
	if r.Description != "" {
		parts = append(parts, r.Description)
	}
	if r.Rental && !r.From.IsZero() {
		parts = append(parts, fmt.Sprintf("rented from %s to %s", r.From, r.To))
	}
	if s := deliveryText(r); s != "" {
		parts = append(parts, s)
	}
	if r.Charge {
		parts = append(parts, expectedCharge)
	}
	return strings.Join(parts, "; ")
}

// deliveryText lists what is to be ordered of concrete by pour, with the loads where nothing of the pour is ordered yet.
func deliveryText(r *pricing.Order) string {
	var parts []string
	for _, d := range r.Deliveries {
		if !d.ToOrder.IsPositive() {
			continue
		}
		s := "pour " + d.Pour
		if d.Pour == "" {
			s = "no pour"
		}
		if !d.Date.IsZero() {
			s += " on " + d.Date.String()
		}
		s += ": " + d.ToOrder.String() + " " + string(r.Unit)
		if d.Loads > 0 && d.Ordered.IsZero() {
			s += " in " + counted(d.Loads, "load")
			if d.ShortLoad.IsPositive() {
				s += ", short by " + d.ShortLoad.String() + " " + string(r.Unit)
			}
		}
		parts = append(parts, s)
	}
	return strings.Join(parts, "; ")
}

// counted is a number with its word: 1 load, 3 loads.
func counted(n int64, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return strconv.FormatInt(n, 10) + " " + word + "s"
}

// guardCSV keeps a text from being taken for a formula.
func guardCSV(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}

// IsOrder tells whether the file at path is an order sheet of an earlier run, which a new one may replace.
func IsOrder(path string, limits Limits) bool {
	if strings.EqualFold(filepath.Ext(path), ".csv") {
		f, _, err := openRegular(path)
		if err != nil {
			return false
		}
		defer f.Close()
		line, _ := bufio.NewReader(io.LimitReader(f, 1024)).ReadString('\n')
		line = strings.TrimRight(line, "\r\n")
		return line == strings.Join(orderColumns(false), ",") || line == strings.Join(orderColumns(true), ",")
	}
	tabs, err := TabNames(path, limits)
	return err == nil && isOrder(tabs)
}

func isOrder(tabs []string) bool {
	return len(tabs) > 0 && tabs[0] == tabOrderSheet && (len(tabs) == 1 || len(tabs) == 2 && tabs[1] == tabByPour)
}

// bookOf is what a workbook beside the priced one says of itself.
type bookOf struct {
	title, subject, footer string
	minor                  int32
	a4                     bool
	stamp                  time.Time
	version                string
}

// writeBook writes pages as a workbook of their own.
func writeBook(w io.Writer, pages []*page, of bookOf) error {
	f := excelize.NewFile()
	defer f.Close()
	for i, pg := range pages {
		if i == 0 {
			if err := f.SetSheetName("Sheet1", pg.name); err != nil {
				return err
			}
		} else if _, err := f.NewSheet(pg.name); err != nil {
			return err
		}
	}
	ids, err := registerStyles(f, of.minor)
	if err != nil {
		return fmt.Errorf("registering styles: %w", err)
	}
	foot := []rune(strings.ReplaceAll(of.footer, "&", "&&"))
	footer := "&L" + string(foot[:min(len(foot), 200)]) + "&CPage &P of &N&R&A"
	parts, err := tabParts(f)
	if err != nil {
		return err
	}
	late := map[string]func(io.Writer) error{}
	for _, pg := range pages {
		pg.a4 = of.a4
		if n := len(pg.rows) + pg.late.count(); n > rowLimit {
			return fmt.Errorf("tab %s would have %d rows; a workbook holds %d", pg.name, n, rowLimit)
		}
		if pg.late.count() > 0 {
			late[parts[pg.name]] = func(w io.Writer) error { return pg.late.write(w, pg, ids) }
		}
		if err := pg.write(f, ids, footer); err != nil {
			return fmt.Errorf("writing tab %s: %w", pg.name, err)
		}
		if err := f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", Scope: pg.name, RefersTo: quoteTab(pg.name) + "!$1:$" + strconv.Itoa(headRow)}); err != nil {
			return err
		}
	}
	stamp := of.stamp.UTC().Format(time.RFC3339)
	if err := f.SetDocProps(&excelize.DocProperties{Title: of.title, Subject: of.subject, Creator: ownerOfFiles, LastModifiedBy: ownerOfFiles,
		Description: "Made by " + ownerOfFiles + " " + of.version, Identifier: "xlsx", Version: of.version, Created: stamp, Modified: stamp, Revision: "1"}); err != nil {
		return err
	}
	full := true
	if err := f.SetCalcProps(&excelize.CalcPropsOptions{FullCalcOnLoad: &full}); err != nil {
		return err
	}
	return saveWith(f, w, late)
}
