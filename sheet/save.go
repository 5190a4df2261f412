package sheet

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"hash"
	"hash/crc32"
	"io"
	"io/fs"
	"path"
	"runtime"
	"slices"
	"sort"
	"strings"
	"sync"

	"github.com/klauspost/compress/flate"
	"github.com/xuri/excelize/v2"
	"golang.org/x/sync/errgroup"

	"wallbill/takeoff"
)

// Save writes f to w so that the same workbook is always the same bytes. The library writes streamed tabs in the order of
// a map and lists picture types likewise; here the parts are collected first, then written in the order of their names,
// the content types sorted, every part with the earliest date a zip file can carry.
func Save(f *excelize.File, w io.Writer) error { return saveWith(f, w, nil) }

// saveWith is Save of a workbook whose longest tabs have only their first rows yet: late has, by part, what writes the rest.
// They go into the file as they are made, where the library would hold the whole tab more than once.
func saveWith(f *excelize.File, w io.Writer, late map[string]func(io.Writer) error) error {
	parts := partStore{late: late}
	f.SetZipWriter(func(io.Writer) excelize.ZipWriter { return &parts })
	_, err := f.WriteToBuffer()
	f.SetZipWriter(func(w io.Writer) excelize.ZipWriter { return zip.NewWriter(w) })
	if err != nil {
		return err
	}
	return parts.write(w)
}

// partStore keeps what the library would put into a zip file.
type partStore struct {
	names []string
	parts map[string]*blocks
	late  map[string]func(io.Writer) error
}

func (s *partStore) Create(name string) (io.Writer, error) {
	if s.parts == nil {
		s.parts = map[string]*blocks{}
	}
	name = strings.ReplaceAll(name, `\`, "/")
	if s.parts[name] == nil {
		s.names = append(s.names, name)
	}
	b := new(blocks)
	s.parts[name] = b
	if isPacked(name) {
		return (*pictureBlocks)(b), nil
	}
	return b, nil
}

// pictureBlocks are the blocks of a picture, which the library holds whole and writes at once: they are not copied.
type pictureBlocks blocks

func (b *pictureBlocks) Write(p []byte) (int, error) {
	b.of, b.size = append(b.of, p), b.size+uint64(len(p))
	return len(p), nil
}

func (s *partStore) AddFS(fs.FS) error { return errors.New("no files are added to a workbook") }

func (s *partStore) Close() error { return nil }

const contentTypes = "[Content_Types].xml"

// partOrder puts the content types and the root relations first, as readers of streams expect, then the names.
func partOrder(name string) string {
	switch name {
	case contentTypes:
		return "0"
	case "_rels/.rels":
		return "1"
	}
	return "2" + name
}

func (s *partStore) write(w io.Writer) error {
	if b := s.parts[contentTypes]; b != nil {
		sorted, err := sortContentTypes(b.whole())
		if err != nil {
			return err
		}
		s.parts[contentTypes] = bytesBlock(sorted)
	}
	if err := s.selectActive(); err != nil {
		return err
	}
	sort.Slice(s.names, func(i, j int) bool { return partOrder(s.names[i]) < partOrder(s.names[j]) })
	names := slices.DeleteFunc(s.names, func(name string) bool { return strings.HasSuffix(name, "/") }) // folders carry nothing in a workbook
	packed, err := s.pack(names)
	if err != nil {
		return err
	}
	zw := zip.NewWriter(w)
	for i, name := range names {
		p := &packed[i]
		h := &zip.FileHeader{Name: name, Method: p.method, CRC32: p.crc.Sum32(), CompressedSize64: p.out.size, UncompressedSize64: p.size}
		//lint:ignore SA1019 CreateRaw looks at no other date: 1 January 1980
		h.ModifiedDate = 1<<5 | 1
		raw, err := zw.CreateRaw(h)
		if err != nil {
			return err
		}
		if err := p.out.writeTo(raw); err != nil {
			return err
		}
	}
	return zw.Close()
}

// packedPart is a part made smaller, with what the zip file says of it.
type packedPart struct {
	method uint16
	out    blocks
	crc    hash.Hash32
	size   uint64
}

// blocks are bytes in blocks, which grow without being moved.
type blocks struct {
	of   [][]byte
	size uint64
}

// blockSize is the size of a block but the first, which most parts do not fill.
const blockSize = 256 << 10

func (b *blocks) Write(p []byte) (int, error) {
	b.size += uint64(len(p))
	for rest := p; len(rest) > 0; {
		last := len(b.of) - 1
		if last < 0 || len(b.of[last]) == cap(b.of[last]) {
			size := blockSize
			if last < 0 {
				size = max(blockSize/64, min(len(rest), blockSize))
			}
			b.of = append(b.of, make([]byte, 0, size))
			last++
		}
		n := min(len(rest), cap(b.of[last])-len(b.of[last]))
		b.of[last] = append(b.of[last], rest[:n]...)
		rest = rest[n:]
	}
	return len(p), nil
}

// bytesBlock are bytes as one block.
func bytesBlock(p []byte) *blocks { return &blocks{of: [][]byte{p}, size: uint64(len(p))} }

// whole are all the bytes in one.
func (b *blocks) whole() []byte {
	if len(b.of) == 1 {
		return b.of[0]
	}
	return slices.Concat(b.of...)
}

// writeTo writes the bytes to w and lets them go.
func (b *blocks) writeTo(w io.Writer) error {
	for i := range b.of {
		if _, err := w.Write(b.of[i]); err != nil {
			return err
		}
		b.of[i] = nil
	}
	return nil
}

// pack makes and compresses the parts side by side, long tabs first, since they take nearly all the time of writing a
// large job. What each comes to does not depend on the others, so the bytes are the same on any number of processors.
func (s *partStore) pack(names []string) ([]packedPart, error) {
	packed := make([]packedPart, len(names))
	order := make([]int, len(names))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return boolOrder(s.late[names[a]] == nil, s.late[names[b]] == nil) })
	err := sideBySide(len(order), func(k int) error {
		i := order[k]
		p := &packed[i]
		p.crc = crc32.NewIEEE()
		if b := s.parts[names[i]]; isPacked(names[i]) && s.late[names[i]] == nil {
			p.method, p.out, p.size = zip.Store, *b, b.size
			for _, of := range b.of {
				_, _ = p.crc.Write(of) // a sum fails on nothing
			}
			return nil
		}
		p.method = zip.Deflate
		small := packers.Get().(*flate.Writer)
		defer packers.Put(small)
		small.Reset(&p.out)
		if err := s.writePart(&counting{io.MultiWriter(small, p.crc), &p.size}, names[i]); err != nil {
			return err
		}
		return small.Close()
	})
	return packed, err
}

// isPacked tells the pictures that would not get smaller.
func isPacked(name string) bool {
	switch path.Ext(name) {
	case ".png", ".jpg", ".jpeg", ".gif":
		return true
	}
	return false
}

// packers are compressors not in use: each has large tables, and a workbook dozens of parts.
var packers = sync.Pool{New: func() any {
	w, err := flate.NewWriter(nil, flate.DefaultCompression)
	if err != nil {
		panic(err) // of a level it does not know
	}
	return w
}}

// sideBySide does n works, as many at a time as there are processors, and gives the first error. A fault is raised here.
func sideBySide(n int, work func(i int) error) error {
	var g errgroup.Group
	var faults takeoff.Faults
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i := range n {
		g.Go(func() (err error) {
			faults.Keep(func() { err = work(i) })
			return err
		})
	}
	err := g.Wait()
	faults.Raise()
	return err
}

func boolOrder(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// counting counts what goes through it.
type counting struct {
	to io.Writer
	n  *uint64
}

func (c *counting) Write(b []byte) (int, error) {
	n, err := c.to.Write(b)
	*c.n += uint64(n)
	return n, err
}

// endOfRows is where a tab's further rows go.
var endOfRows = []byte("</sheetData>")

func (s *partStore) writePart(w io.Writer, name string) error {
	b := s.parts[name]
	if rows := s.late[name]; rows != nil {
		content := b.whole() // the head of a tab and what follows its rows: short
		at := bytes.LastIndex(content, endOfRows)
		if at < 0 {
			return errors.New(name + " has no rows to add to")
		}
		if _, err := w.Write(content[:at]); err != nil {
			return err
		}
		if err := rows(w); err != nil {
			return err
		}
		_, err := w.Write(content[at:])
		return err
	}
	return b.writeTo(w)
}

type contentTypeList struct {
	XMLName  xml.Name          `xml:"http://schemas.openxmlformats.org/package/2006/content-types Types"`
	Default  []contentTypeOf   `xml:"Default"`
	Override []contentTypePart `xml:"Override"`
}

type contentTypeOf struct {
	Extension   string `xml:"Extension,attr"`
	ContentType string `xml:"ContentType,attr"`
}

type contentTypePart struct {
	PartName    string `xml:"PartName,attr"`
	ContentType string `xml:"ContentType,attr"`
}

func sortContentTypes(b []byte) ([]byte, error) {
	var list contentTypeList
	if err := xml.Unmarshal(b, &list); err != nil {
		return nil, err
	}
	sort.SliceStable(list.Default, func(i, j int) bool { return list.Default[i].Extension < list.Default[j].Extension })
	sort.SliceStable(list.Override, func(i, j int) bool { return list.Override[i].PartName < list.Override[j].PartName })
	out, err := xml.Marshal(list)
	return append([]byte(xml.Header), out...), err
}
