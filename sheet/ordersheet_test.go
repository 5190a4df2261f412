package sheet

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wallbill/pricing"
	"wallbill/takeoff"
)

// ordersOf are the orders of a job of eight walls, by supplier.
func ordersOf(t *testing.T) (*takeoff.Job, []pricing.ToPlace) {
	t.Helper()
	job, findings, _, err := ReadSchedule(bigFile(t, 8), DefaultLimits)
	require.NoError(t, err)
	require.False(t, takeoff.HasErrors(findings))
	return job, pricing.Price(takeoff.Compute(job), pricing.Options{}).OrdersToPlace()
}

var markup = regexp.MustCompile(`<[^>]*>`)

// What a supplier gets holds quantities, by request prices, and nothing else of the job's money: no part of the file says
// bid, overhead, profit, tax, margin or total.
func TestOrderSheetsTellNothingOfTheBid(t *testing.T) {
	job, orders := ordersOf(t)
	require.Greater(t, len(orders), 3)
	pours := 0
	for _, o := range orders {
		for _, prices := range []bool{false, true} {
			var book, list bytes.Buffer
			s := OrderSheet{Job: job, Order: o, Prices: prices, Time: time.Date(2026, 11, 25, 9, 30, 0, 0, time.UTC), Version: "0"}
			require.NoError(t, WriteOrder(&book, s))
			require.NoError(t, WriteOrderCSV(&list, s))
			text := list.String()
			zr, err := zip.NewReader(bytes.NewReader(book.Bytes()), int64(book.Len()))
			require.NoError(t, err)
			for _, f := range zr.File {
				in, err := f.Open()
				require.NoError(t, err)
				b, err := io.ReadAll(in)
				require.NoError(t, err)
				text += "\n" + markup.ReplaceAllString(string(b), " ")
			}
			words := []string{"bid", "overhead", "profit", "margin", "tax", "contingency"}
			if !prices {
				words = append(words, "price", "extension", "usd")
			}
			for _, word := range words {
				require.False(t, strings.Contains(strings.ToLower(text), word), "%s in the order to %s", word, o.Supplier)
			}

			path := filepath.Join(t.TempDir(), "o.xlsx")
			require.NoError(t, os.WriteFile(path, book.Bytes(), 0o644))
			require.True(t, IsOrder(path, DefaultLimits))
			w, err := Open(path, DefaultLimits)
			require.NoError(t, err)
			tab := w.Book().Tabs[0]
			require.Equal(t, headRow+len(o.Rows), tab.Rows[len(tab.Rows)-1].Number)
			require.Equal(t, "On site", tab.Rows[headRow-1].Cells[1].Value)
			require.Equal(t, "Item", tab.Rows[headRow-1].Cells[2].Value)
			for i, r := range o.Rows {
				cells := tab.Rows[headRow+i].Cells
				require.Equal(t, r.Item, cells[2].Value)
				require.Equal(t, r.ToOrder.String(), cells[5].Value)
				require.Equal(t, string(r.Unit), cells[6].Value)
			}
			pours += len(w.Book().Tabs) - 1

			path = filepath.Join(t.TempDir(), "o.csv")
			require.NoError(t, os.WriteFile(path, list.Bytes(), 0o644))
			require.True(t, IsOrder(path, DefaultLimits))
			again := new(bytes.Buffer)
			require.NoError(t, WriteOrder(again, s))
			require.Equal(t, book.Bytes(), again.Bytes())
		}
	}
	require.Equal(t, 2, pours) // the concrete, with and without prices
	require.False(t, IsOrder(bigFile(t, 4), DefaultLimits))
}

// What nobody orders is said to be a charge: the waiting of trucks, what the pump costs by volume and by the hour. The day
// to order stands beside the day of use. Cottage: walls' forms stand on 2027-04-05, its blocks are ordered 10 days before.
func TestOrderSheetsTellChargesAndDays(t *testing.T) {
	job, _, _, err := ReadSchedule(filepath.Join("..", "samples", "cottage.xlsx"), DefaultLimits)
	require.NoError(t, err)
	var charges []string
	for _, o := range pricing.Price(takeoff.Compute(job), pricing.Options{}).OrdersToPlace() {
		s := OrderSheet{Job: job, Order: o, Time: time.Date(2026, 11, 25, 9, 30, 0, 0, time.UTC), Version: "0"}
		var book, list bytes.Buffer
		require.NoError(t, WriteOrder(&book, s))
		require.NoError(t, WriteOrderCSV(&list, s))
		path := filepath.Join(t.TempDir(), "o.xlsx")
		require.NoError(t, os.WriteFile(path, book.Bytes(), 0o644))
		w, err := Open(path, DefaultLimits)
		require.NoError(t, err)
		rows := w.Book().Tabs[0].Rows
		lines := strings.Split(list.String(), "\n")
		for i, r := range o.Rows {
			cells := rows[headRow+i].Cells
			require.Equal(t, r.Charge, strings.Contains(lines[i+1], expectedCharge), r.Item)
			if r.Charge {
				charges = append(charges, r.Item)
				require.Equal(t, expectedCharge, cells[len(cells)-1].Value)
			}
			if r.Item == "Cobble-8in-block" {
				require.Equal(t, "2027-03-26", r.NeedBy.String())
				require.Equal(t, "2027-04-05", r.OnSite().String())
				require.Equal(t, "2027-04-05", cells[1].Value)
			}
		}
	}
	require.Equal(t, []string{"pump-volume", "pump-hours", "truck-wait"}, charges)
}

// Law: no text of a CSV can be taken for a formula, and every other cell reads back as it was.
func TestOrderCSVIsGuarded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringOf(rapid.RuneFrom([]rune("=+-@\t ,\";'ab1é")))
		job := &takeoff.Job{Name: word.Draw(t, "job"), ShipTo: word.Draw(t, "ship to")}
		o := pricing.ToPlace{Supplier: word.Draw(t, "supplier"), Rows: []pricing.Order{{Item: word.Draw(t, "item"), Description: word.Draw(t, "description")}}}
		var b bytes.Buffer
		if err := WriteOrderCSV(&b, OrderSheet{Job: job, Order: o}); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil || len(rows) != 2 {
			t.Fatalf("%d rows, %v", len(rows), err)
		}
		for i, want := range map[int]string{0: job.Name, 1: o.Supplier, 2: job.ShipTo, 4: o.Rows[0].Item, 5: o.Rows[0].Description} {
			have := rows[1][i]
			if have != "" && strings.ContainsRune("=+-@\t\r", rune(have[0])) {
				t.Fatalf("%q begins a formula", have)
			}
			if have != want && have != "'"+want {
				t.Fatalf("%q, want %q", have, want)
			}
		}
	})
}
