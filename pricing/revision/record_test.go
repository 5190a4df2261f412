package revision

import (
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// texts are a record's rows without their looks.
func texts(rows []RecordRow) [][]string {
	out := make([][]string, len(rows))
	for i, r := range rows {
		out[i] = r.Cells
	}
	return out
}

// read(write(run)) is the run, byte for byte the same decimals.
func TestRecordLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, a := valid(t, "a", 1)
		_, b := valid(t, "b", 2)
		ch, err := Compare(a, b, Options{Version: testVersion})
		require.NoError(t, err)
		b.Changes = ch
		b.Time = time.Unix(rapid.Int64Range(0, 4e9).Draw(t, "time"), 0).UTC()
		b.Effort = rapid.SampledFrom([]string{"", "0.5"}).Draw(t, "effort")
		b.File = rapid.String().Draw(t, "file")
		for i := range b.Lines {
			b.Lines[i].Supplier = []string{"", "Yard", `A "B" & C`}[i%3]
		}
		for _, in := range b.Inputs {
			if in.Spec.Name == "Walls" && len(in.Rows) > 0 {
				in.Rows[0].Cells[columnAt(in.Spec, "Notes")] = rapid.String().Draw(t, "note")
			}
		}
		rows := texts(b.Record())
		read, err := ReadRecord(rows)
		require.NoError(t, err)
		require.Equal(t, rows, texts(read.Record()))
		require.Equal(t, b.Inputs, read.Inputs)
		require.Equal(t, len(b.Lines), len(read.Lines))
		require.Equal(t, b.Totals, read.Totals)
		require.Equal(t, b.Changes.names(), read.Changes.names())
		require.Equal(t, b.Changes.Inputs, read.Changes.Inputs)
		require.Equal(t, b.Time, read.Time)
		require.Equal(t, b.File, read.File)
		require.True(t, SameInputs(b, read))
	})
}

// A text that no workbook could hold comes back as it was.
func TestEscape(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := string(rapid.SliceOf(rapid.Byte()).Draw(t, "bytes")) + rapid.SampledFrom([]string{"", "_x0041_", ` `, `\u{7}`, "\x00", "\u00a0"}).Draw(t, "end")
		e := escape(s)
		require.True(t, plainText(e) || e != s)
		for _, c := range e {
			require.GreaterOrEqual(t, c, ' ')
		}
		back, ok := unescape(e)
		require.True(t, ok)
		require.Equal(t, s, back)
	})
}

// What is no record is refused with its row; a changed cell changes the hash.
func TestRecordRefused(t *testing.T) {
	r := mustPrice(t, sheetOf(house), 1)
	rows := texts(r.Record())
	hash := RecordHash(rows)
	edited := append([][]string(nil), rows...)
	for i, row := range rows {
		if len(row) > 9 && row[0] == "bar-#4" {
			c := append([]string(nil), row...)
			c[8] = "1"
			edited[i] = c
		}
	}
	assert.NotEqual(t, hash, RecordHash(edited))
	read, err := ReadRecord(edited)
	require.NoError(t, err)
	assert.NotNil(t, read)

	_, err = ReadRecord(nil)
	require.Error(t, err)
	_, err = ReadRecord([][]string{{"Name", "Value"}, {"Record format", "99"}})
	require.ErrorContains(t, err, "format is 99")
	bad := append([][]string(nil), rows...)
	for i, row := range rows {
		if len(row) > 1 && row[0] == totalBid {
			bad[i] = []string{totalBid, "much"}
		}
	}
	_, err = ReadRecord(bad)
	require.ErrorContains(t, err, `"much" is no number`)
	_, err = ReadRecord(rows[:12])
	require.ErrorContains(t, err, "missing")
}

// Largest are by size whatever the sign, the others summed.
func TestLargest(t *testing.T) {
	c := &Changes{}
	for _, n := range []int64{3, -9, 1, 0, 7} {
		c.Edits = append(c.Edits, Edit{Name: "e", Cost: decimal.NewFromInt(n)})
	}
	largest, others, sum := c.Largest(2)
	assert.Equal(t, "-9", largest[0].Cost.String())
	assert.Equal(t, "7", largest[1].Cost.String())
	assert.Equal(t, 3, others)
	assert.Equal(t, "4", sum.String())
}
