package drawing

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"io"
	"sync"
)

// pngHead is what every picture begins with: its size, its kind and its palette.
var pngHead = sync.OnceValue(func() []byte {
	b := []byte("\x89PNG\r\n\x1a\n")
	size := binary.BigEndian.AppendUint32(nil, uint32(pixelsWide))
	size = binary.BigEndian.AppendUint32(size, uint32(pixelsHigh))
	b = chunk(b, "IHDR", append(size, 8, 3, 0, 0, 0)) // 8 bits a pixel, by a palette
	var colours []byte
	for _, c := range paletteColours() {
		colours = append(colours, c.R, c.G, c.B)
	}
	return chunk(b, "PLTE", colours)
})

// chunk appends a part of a PNG file.
func chunk(to []byte, name string, content []byte) []byte {
	to = binary.BigEndian.AppendUint32(to, uint32(len(content)))
	from := len(to)
	to = append(to, name...)
	to = append(to, content...)
	return binary.BigEndian.AppendUint32(to, crc32.ChecksumIEEE(to[from:]))
}

// write writes the picture as a PNG file.
func (p *picture) write(w io.Writer) error {
	b := append(p.file[:0], pngHead()...)
	from := len(b)
	b = append(b, 0, 0, 0, 0, 'I', 'D', 'A', 'T', 0x78, 0x01) // the last two are how zlib begins
	b = p.packer.pack(b, p.lines, stride)
	b = binary.BigEndian.AppendUint32(b, checksum(p.lines[:len(p.lines)-word], stride))
	binary.BigEndian.PutUint32(b[from:], uint32(len(b)-from-8))
	b = binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[from+4:]))
	b = chunk(b, "IEND", nil)
	p.file = b
	_, err := w.Write(b)
	return err
}

// checksum is Adler's of bytes in rows of that length: the sum of the bytes, and the sum of those sums. A row like the one
// above adds the same again.
func checksum(in []byte, row int) uint32 {
	const modulus = 65521
	a, b := uint64(1), uint64(0)
	var above []byte
	var sum, sums uint64 // of a row begun at 0
	for ; len(in) > 0; in = in[min(row, len(in)):] {
		line := in[:min(row, len(in))]
		if !bytes.Equal(line, above) {
			sum, sums = sumsOf(line)
			above = line
		}
		b = (b + uint64(len(line))*a + sums) % modulus
		a = (a + sum) % modulus
	}
	return uint32(b<<16 | a)
}

// sumsOf a row: eight bytes at once, and many of paper at once.
func sumsOf(line []byte) (sum, sums uint64) {
	const odd = 0x00FF00FF00FF00FF
	at := func(i int) uint64 { return binary.LittleEndian.Uint64(line[i:]) }
	for len(line) >= word {
		if len(line) >= 4*word && at(0)|at(word)|at(2*word)|at(3*word) == 0 {
			sums += 4 * word * sum
			line = line[4*word:]
			continue
		}
		x := at(0)
		line = line[word:]
		// Sums over the products in four lanes stand in the uppermost: the first byte counts eight times, the last once.
		lo, hi := x&odd, x>>8&odd
		sums += word*sum + (lo*0x0008_0006_0004_0002+hi*0x0007_0005_0003_0001)>>48
		sum += (lo + hi) * 0x0001_0001_0001_0001 >> 48
	}
	for _, c := range line {
		sum += uint64(c)
		sums += sum
	}
	return sum, sums
}
