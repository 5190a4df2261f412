package drawing

import (
	"bytes"
	"compress/zlib"
	"io"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// rowsOf draws bytes in rows as pictures have them: stretches of one byte, of few and of any, rows like the one above, rows
// that differ in a stretch.
func rowsOf(t *rapid.T) (in []byte, row int) {
	row = rapid.IntRange(8, 700).Draw(t, "row")
	for y := range rapid.IntRange(1, 60).Draw(t, "rows") {
		line := make([]byte, row)
		if y > 0 {
			copy(line, in[len(in)-row:])
		}
		for range rapid.IntRange(0, 3).Draw(t, "stretches") {
			from := rapid.IntRange(0, row-1).Draw(t, "from")
			most := rapid.SampledFrom([]uint8{0, 1, 3, 255}).Draw(t, "bytes")
			for i := range line[from:rapid.IntRange(from, row).Draw(t, "to")] {
				line[from+i] = rapid.Byte().Draw(t, "byte") & most
			}
		}
		for range rapid.IntRange(1, 3).Draw(t, "times") {
			in = append(in, line...)
		}
	}
	return in, row
}

// What is packed the standard library unpacks to the same, with the checksum that it asks for, whatever the packer packed before.
func TestPackerIsRead(t *testing.T) {
	var k packer
	rapid.Check(t, func(t *rapid.T) {
		in, row := rowsOf(t)
		word := rapid.SliceOfN(rapid.Byte(), word, word).Draw(t, "behind")
		packed := k.pack(nil, slices.Concat(in, word), row)
		out := unpacked(t, packed)
		require.True(t, bytes.Equal(in, out))
	})
}

func unpacked(t require.TestingT, b []byte) []byte {
	r, err := zlib.NewReader(bytes.NewReader(b))
	require.NoError(t, err)
	out, err := io.ReadAll(r) // and its checksum
	require.NoError(t, err)
	return out
}

// Long stretches of rows that are alike, which go together, of one colour and of several.
func TestPackerRepeats(t *testing.T) {
	var k packer
	for _, row := range []int{8, 85, 86, 87, 258, 259, 260, 261, 1921} {
		for _, rows := range []int{1, 2, 3, 4, 7, 40, 3000} {
			for _, line := range [][]byte{make([]byte, row), append(make([]byte, row-2), 7, 9)} {
				in := slices.Concat(bytes.Repeat(line, rows), line[:row-1], []byte{1})
				packed := k.pack([]byte("before"), append(slices.Clone(in), make([]byte, word)...), row)
				require.Equal(t, "before", string(packed[:6]))
				out := unpacked(t, packed[6:])
				require.True(t, bytes.Equal(in, out), "%d rows of %d", rows, row)
			}
		}
	}
}

// Codes are whole, none is longer than it may be, and what comes more often has no longer code but where it would.
func TestCodes(t *testing.T) {
	var tr tree
	rapid.Check(t, func(t *rapid.T) {
		most := rapid.SampledFrom([]int{7, 15}).Draw(t, "most")
		count := rapid.OneOf(rapid.Int32Range(0, 3), rapid.Int32Range(0, 1<<20), rapid.Just(int32(0)))
		counts := rapid.SliceOfN(count, 2, 1<<(most/2+1)).Draw(t, "counts")
		if rapid.Bool().Draw(t, "steep") { // as steep as a tree gets: it would be as deep as there are symbols
			a, b := int32(1), int32(1)
			for i := range counts {
				counts[i] = a
				if b < 1<<29 {
					a, b = b, a+b
				}
			}
		}
		codes := tr.codes(counts, most)
		used, room := 0, 0
		for s, c := range codes {
			require.Equal(t, counts[s] > 0, c.n > 0)
			require.LessOrEqual(t, int(c.n), most)
			if c.n > 0 {
				used++
				room += 1 << (most - int(c.n))
			}
			for r, d := range codes {
				if c.n > 0 && d.n > 0 && counts[s] > counts[r] && slices.Max(counts) <= 3 { // else the limit may have cut in
					require.LessOrEqual(t, c.n, d.n)
				}
				if r != s && c.n > 0 && d.n >= c.n { // none begins like another
					require.NotEqual(t, c.bits, d.bits&(1<<c.n-1))
				}
			}
		}
		if used > 1 {
			require.Equal(t, 1<<most, room)
		}
	})
}
