package drawing

import (
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
	b = append(b, 0, 0, 0, 0, 'I', 'D', 'A', 'T')
	b = p.packer.pack(b, p.lines, stride)
	binary.BigEndian.PutUint32(b[from:], uint32(len(b)-from-8))
	b = binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[from+4:]))
	b = chunk(b, "IEND", nil)
	p.file = b
	_, err := w.Write(b)
	return err
}
