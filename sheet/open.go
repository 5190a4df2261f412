package sheet

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"wallbill/sheet/xmlscan"
	"wallbill/takeoff/schedule"
)

// Limits bound what one workbook may ask of the machine; flags raise them.
type Limits struct {
	FileBytes     int64 // the file itself
	UnpackedBytes int64 // all its parts together
	Rows          int   // rows with something in them, a tab
}

// DefaultLimits are far above any schedule.
var DefaultLimits = Limits{FileBytes: 100 << 20, UnpackedBytes: 512 << 20, Rows: 200_000}

const (
	maxParts       = 10_000
	maxRatio       = 500      // an honest sheet packs to a tenth or a hundredth
	ratioFrom      = 32 << 20 // small parts may pack as they like
	cellsPerRow    = 50       // on average over a tab's greatest number of rows; bounds memory
	rowLimit       = 1 << 20  // the format's own
	columnLimit    = 1 << 14
	oleMagic       = "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
	officeDocument = "/officeDocument"
)

// Workbook is a workbook that was read whole: every part matched its checksum and every tab is well formed.
type Workbook struct {
	Path   string
	SHA256 string // of the file, hexadecimal
	data   []byte
	tabs   []schedule.Tab
	// replaced are the parts, by partKey, of the results of an earlier run: OpenInputs looks at none but the Record.
	replaced map[string]bool
}

// Book is what the tabs hold, as the reader of schedules wants it. File is the file's name.
func (w *Workbook) Book() schedule.Book {
	return schedule.Book{File: filepath.Base(w.Path), Tabs: w.tabs}
}

// Open reads the workbook at path in one pass over each of its parts. What cannot be read whole is refused with a
// *FileError: nothing of a damaged sheet is ever given back.
func Open(path string, limits Limits) (*Workbook, error) { return open(path, limits, false) }

// OpenInputs is Open for what a run reads of a workbook. Of the results of an earlier run that is the Record alone: the other
// results tabs, which the run replaces, are not looked at, and no limit of rows holds for them.
func OpenInputs(path string, limits Limits) (*Workbook, error) { return open(path, limits, true) }

func open(path string, limits Limits, inputs bool) (*Workbook, error) {
	data, err := readFile(path, limits)
	if err != nil {
		return nil, err
	}
	return openBytes(path, data, limits, inputs)
}

// openRegular opens a file to be read; whoever gets it closes it. What is no file is refused, and not opened: opening a
// pipe waits for who writes into it, for ever.
func openRegular(path string) (*os.File, fs.FileInfo, error) {
	if info, err := os.Stat(path); err == nil {
		if err := regular(path, info); err != nil {
			return nil, nil, err
		}
	}
	f, err := os.Open(path)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, nil, refuse(path, err, "there is no such file")
		}
		return nil, nil, refuse(path, err, "cannot be read: %v", bareCause(err))
	}
	info, err := f.Stat()
	if err != nil {
		err = refuse(path, err, "cannot be read: %v", bareCause(err))
	} else {
		err = regular(path, info)
	}
	if err != nil {
		f.Close()
		return nil, nil, err
	}
	return f, info, nil
}

// regular refuses what is no file.
func regular(path string, info fs.FileInfo) error {
	switch {
	case info.IsDir():
		return refuse(path, nil, "is a folder")
	case !info.Mode().IsRegular():
		return refuse(path, nil, "is not a file")
	}
	return nil
}

func readFile(path string, limits Limits) ([]byte, error) {
	f, info, err := openRegular(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	tooLarge := func() error {
		return refuse(path, nil, "is over the limit of %s a file (--max-file raises it)", megabytes(limits.FileBytes))
	}
	if info.Size() > limits.FileBytes {
		return nil, tooLarge()
	}
	data, err := io.ReadAll(io.LimitReader(f, limits.FileBytes+1))
	if err != nil {
		return nil, refuse(path, err, "cannot be read: %v", bareCause(err))
	}
	if int64(len(data)) > limits.FileBytes {
		return nil, tooLarge()
	}
	return data, nil
}

func megabytes(n int64) string {
	if n%(1<<20) != 0 {
		return fmt.Sprintf("%d bytes", n)
	}
	return fmt.Sprintf("%d MB", n>>20)
}

// openBytes is Open, or OpenInputs, for a file already in memory.
func openBytes(path string, data []byte, limits Limits, inputs bool) (w *Workbook, err error) {
	defer func() {
		// The standard library's unpacking is trusted not to panic, but a batch must outlive one that does.
		if p := recover(); p != nil {
			w, err = nil, refuse(path, nil, "damaged: %v", p)
		}
	}()
	if line := notZip(data); line != "" {
		return nil, refuse(path, nil, "%s", line)
	}
	zr, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, refuse(path, err, "damaged or cut off: the list of its parts, at the end of the file, cannot be read")
	}
	r := &reader{path: path, limits: limits, parts: map[string]*zipPart{}, left: limits.UnpackedBytes, replaced: map[string]bool{}}
	if err := r.list(zr); err != nil {
		return nil, err
	}
	w = &Workbook{Path: path, data: data, replaced: r.replaced}
	if inputs {
		r.ours = w.resultsListed()
	}
	if w.tabs, err = r.read(); err != nil {
		return nil, err
	}
	sum := sha256.Sum256(data)
	w.SHA256 = hex.EncodeToString(sum[:])
	return w, nil
}

// notZip says in one line what a file is that is no zip file by its first bytes; empty for a zip file.
func notZip(data []byte) string {
	const save = "open it in a spreadsheet program and save it as .xlsx"
	head := data[:min(len(data), 1024)]
	has := func(magic string) bool { return bytes.HasPrefix(head, []byte(magic)) }
	switch {
	case len(data) == 0:
		return "not a workbook: the file is empty"
	case has("PK\x03\x04"), has("PK\x05\x06"):
		return ""
	case has(oleMagic):
		if bytes.Contains(data, utf16Text("EncryptedPackage")) {
			return "password-protected: open it in a spreadsheet program and save a copy without a password"
		}
		return "not an .xlsx workbook: an old .xls file or its like; " + save
	case has("%PDF-"):
		return "not a workbook: a PDF file"
	case has("\x09\x08"), has("\x09\x04"), has("\x09\x02"), has("\x09\x00\x04\x00"):
		return "not an .xlsx workbook: a very old .xls file; " + save
	case has("\x1f\x8b"), has("7z\xbc\xaf\x27\x1c"), has("Rar!"):
		return "not a workbook: a packed archive"
	case has("\x89PNG"), has("\xff\xd8\xff"), has("GIF8"):
		return "not a workbook: a picture"
	}
	lower := bytes.ToLower(bytes.TrimLeft(head, "\xef\xbb\xbf \t\r\n"))
	switch {
	case bytes.HasPrefix(lower, []byte("<html")), bytes.HasPrefix(lower, []byte("<!doctype html")), bytes.HasPrefix(lower, []byte("<table")):
		return "not a workbook: a web page under the name of one; " + save
	case bytes.HasPrefix(lower, []byte("<?xml")):
		return "not a workbook: an XML file under the name of one; " + save
	case isText(head):
		return "not a workbook: plain text under the name of one; " + save
	}
	if len(bytes.Trim(head, "\x00")) == 0 {
		return "not a workbook: nothing but zero bytes (a copy or download that failed?)"
	}
	return "not a workbook"
}

func utf16Text(s string) []byte {
	b := make([]byte, 0, 2*len(s))
	for i := range len(s) {
		b = append(b, s[i], 0)
	}
	return b
}

func isText(b []byte) bool {
	b = bytes.TrimPrefix(b, []byte("\xef\xbb\xbf"))
	if bytes.HasPrefix(b, []byte("\xff\xfe")) && len(b)%2 == 0 {
		return true // UTF-16, as a spreadsheet's "Unicode text"
	}
	for i := 0; i < len(b); {
		r, n := utf8.DecodeRune(b[i:])
		if r < 0x20 && r != '\t' && r != '\n' && r != '\r' || r == 0x7f {
			return false
		}
		// A letter cut by the end of the sample, or one of an older encoding, is still text.
		i += n
	}
	return true
}

// zipPart is an entry of the zip file.
type zipPart struct {
	file *zip.File
	done bool // its checksum was proved
}

type reader struct {
	path   string
	limits Limits
	parts  map[string]*zipPart // by partKey
	names  []string            // keys in the file's order
	left   int64               // bytes still allowed to come out of the file
	cells  int                 // cells kept
	fills  int                 // cells filled from merged ones
	scan   *xmlscan.Scanner
	tab    string // being read, for errors

	ours     map[string]bool // lower-case names of the results tabs of an earlier run
	replaced map[string]bool // their parts

	strings  []string
	dates    []bool // by cell format
	from1904 bool
}

// partKey is a part's name as names are compared: without case, with forward slashes.
func partKey(name string) string {
	return strings.ToLower(strings.TrimPrefix(path.Clean("/"+strings.ReplaceAll(name, `\`, "/")), "/"))
}

// list checks the parts by what the file says of them, before anything is unpacked.
func (r *reader) list(zr *zip.Reader) error {
	if len(zr.File) > maxParts {
		return refuse(r.path, nil, "is over the limit of %d parts", maxParts)
	}
	var total uint64
	for _, f := range zr.File {
		size, packed := f.UncompressedSize64, f.CompressedSize64
		if total += size; total > uint64(r.limits.UnpackedBytes) || size > uint64(r.limits.UnpackedBytes) {
			return r.tooMuch()
		}
		if size > ratioFrom && size/maxRatio > packed {
			return refuse(r.path, nil, "%s unpacks to more than %d times its size: refused as made to fill the machine", f.Name, maxRatio)
		}
		if f.Flags&1 != 0 {
			return refuse(r.path, nil, "password-protected: save a copy without a password")
		}
		if strings.Contains("/"+strings.ReplaceAll(f.Name, `\`, "/")+"/", "/../") {
			return refuse(r.path, nil, "damaged: the name of its part %s leads out of the file", f.Name)
		}
		if strings.HasSuffix(f.Name, "/") && size == 0 {
			continue
		}
		key := partKey(f.Name)
		if r.parts[key] != nil {
			return refuse(r.path, nil, "damaged: the part %s stands in it twice", f.Name)
		}
		r.parts[key] = &zipPart{file: f}
		r.names = append(r.names, key)
	}
	return nil
}

func (r *reader) tooMuch() error {
	return refuse(r.path, nil, "unpacks to more than the limit of %s (--max-unpacked raises it)", megabytes(r.limits.UnpackedBytes))
}

// budget counts what comes out of the file, whatever its sizes claim.
type budget struct {
	r  *reader
	in io.Reader
}

var errOverBudget = errors.New("over the limit")

func (b budget) Read(p []byte) (int, error) {
	n, err := b.in.Read(p)
	if b.r.left -= int64(n); b.r.left < 0 {
		return n, errOverBudget
	}
	return n, err
}

// with opens a part for use; use must read it to its end, where the checksum is proved.
func (r *reader) with(key string, use func(io.Reader) error) error {
	p := r.parts[key]
	if p == nil {
		return refuse(r.path, nil, "damaged: its part %s is missing", key)
	}
	in, err := p.file.Open()
	if err != nil {
		return r.damaged(p.file.Name, err)
	}
	defer in.Close()
	if err := use(budget{r, in}); err != nil {
		return r.damaged(p.file.Name, err)
	}
	p.done = true
	return nil
}

// damaged turns an error of reading a part into the one line about the file.
func (r *reader) damaged(name string, err error) error {
	name = "its part " + name
	if r.tab != "" {
		name = "tab " + r.tab
	}
	var fe *FileError
	var syntax *xmlscan.SyntaxError
	switch {
	case errors.As(err, &fe):
		return err
	case errors.Is(err, errOverBudget):
		return r.tooMuch()
	case errors.Is(err, errLongText):
		return refuse(r.path, err, "damaged: %s holds %v", name, err)
	case errors.Is(err, zip.ErrChecksum):
		return refuse(r.path, err, "damaged: %s does not match its checksum", name)
	case errors.Is(err, zip.ErrAlgorithm):
		return refuse(r.path, err, "%s is packed in a way that workbooks are not", name)
	case errors.As(err, &syntax):
		return refuse(r.path, err, "damaged: %s breaks at %v", name, err)
	}
	return refuse(r.path, err, "damaged: %s cannot be unpacked (%v)", name, err)
}

// scanPart makes one strict pass over an XML part; on is called with every start tag, and may go on reading with the
// scanner. The first tag's name must be root.
func (r *reader) scanPart(key, root string, on func(s *xmlscan.Scanner, name string) error) error {
	return r.with(key, func(in io.Reader) error {
		if r.scan == nil {
			r.scan = xmlscan.New(in)
		} else {
			r.scan.Reset(in)
		}
		s := r.scan
		for first := true; ; {
			kind, err := s.Next()
			if err != nil {
				return err
			}
			switch kind {
			case xmlscan.EOF:
				return nil
			case xmlscan.Start:
				if first && root != "" && string(s.Name()) != root {
					return refuse(r.path, nil, "damaged: its part %s holds a <%.40s> instead of a <%s>", key, s.Name(), root)
				}
				first = false
				if on != nil {
					if err := on(s, string(s.Name())); err != nil {
						return err
					}
				}
			}
		}
	})
}

// relation is one line of a part's relations: what another part is to it.
type relation struct {
	id, kind, target string
	external         bool
}

func (r *reader) relations(of string) ([]relation, error) {
	dir, base := path.Split(of)
	key := dir + "_rels/" + base + ".rels"
	if r.parts[key] == nil {
		return nil, nil
	}
	var out []relation
	err := r.scanPart(key, "Relationships", func(s *xmlscan.Scanner, name string) error {
		if name != "Relationship" {
			return nil
		}
		var rel relation
		rel.id, _ = s.Attr("Id")
		rel.kind, _ = s.Attr("Type")
		target, _ := s.Attr("Target")
		mode, _ := s.Attr("TargetMode")
		rel.external = strings.EqualFold(mode, "External")
		target = strings.ReplaceAll(target, `\`, "/")
		if !strings.HasPrefix(target, "/") {
			target = dir + target
		}
		rel.target = partKey(target)
		if out = append(out, rel); len(out) > maxParts {
			return refuse(r.path, nil, "is over the limit of %d relations between parts", maxParts)
		}
		return nil
	})
	return out, err
}

// ofKind finds a relation by the end of its type, the same in both dialects of the format.
func ofKind(rels []relation, kind string) string {
	for _, rel := range rels {
		if !rel.external && strings.HasSuffix(rel.kind, kind) {
			return rel.target
		}
	}
	return ""
}

// workbookPart finds the workbook's own part, or says what the zip file is instead.
func (r *reader) workbookPart() (string, error) {
	rels, err := r.relations("")
	if err != nil {
		return "", err
	}
	key := ofKind(rels, officeDocument)
	if key == "" || r.parts[key] == nil {
		key = "xl/workbook.xml"
	}
	switch {
	case r.parts["mimetype"] != nil:
		return "", refuse(r.path, nil, "not an .xlsx workbook: an OpenDocument file; open it in a spreadsheet program and save it as .xlsx")
	case r.parts["index/document.iwa"] != nil:
		return "", refuse(r.path, nil, "not an .xlsx workbook: export it from its program as an .xlsx workbook")
	case r.parts["xl/workbook.bin"] != nil:
		return "", refuse(r.path, nil, "not an .xlsx workbook: a binary workbook (.xlsb); open it in a spreadsheet program and save it as .xlsx")
	case r.parts["word/document.xml"] != nil:
		return "", refuse(r.path, nil, "not a workbook: a text document")
	case r.parts["ppt/presentation.xml"] != nil:
		return "", refuse(r.path, nil, "not a workbook: a presentation")
	case r.parts[key] == nil && r.parts["[content_types].xml"] != nil:
		return "", refuse(r.path, nil, "damaged: its part xl/workbook.xml is missing")
	case r.parts[key] == nil:
		return "", refuse(r.path, nil, "not a workbook: a zip file without one")
	}
	return key, nil
}

// sheetEntry is a tab as the workbook part lists it.
type sheetEntry struct{ name, id string }

func (r *reader) read() ([]schedule.Tab, error) {
	book, err := r.workbookPart()
	if err != nil {
		return nil, err
	}
	rels, err := r.relations(book)
	if err != nil {
		return nil, err
	}
	var sheets []sheetEntry
	err = r.scanPart(book, "workbook", func(s *xmlscan.Scanner, name string) error {
		switch name {
		case "workbookPr":
			v, _ := s.Attr("date1904")
			r.from1904 = v == "1" || v == "true" || v == "on"
		case "sheet":
			var e sheetEntry
			e.name, _ = s.Attr("name")
			e.id, _ = s.PrefixedAttr("id")
			if sheets = append(sheets, e); len(sheets) > maxParts {
				return refuse(r.path, nil, "is over the limit of %d tabs", maxParts)
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	if key := ofKind(rels, "/styles"); key != "" && r.parts[key] != nil {
		if err := r.readStyles(key); err != nil {
			return nil, err
		}
	}
	if key := ofKind(rels, "/sharedStrings"); key != "" && r.parts[key] != nil {
		if err := r.readStrings(key); err != nil {
			return nil, err
		}
	}
	byID := map[string]relation{}
	for _, rel := range rels {
		byID[rel.id] = rel
	}
	var tabs []schedule.Tab
	named := map[string]bool{}
	for _, e := range sheets {
		key := strings.ToLower(e.name)
		switch {
		case e.name == "":
			return nil, refuse(r.path, nil, "damaged: one of its tabs has no name")
		case named[key]:
			return nil, refuse(r.path, nil, "damaged: two of its tabs are called %s", e.name)
		}
		named[key] = true
		rel, ok := byID[e.id]
		if rel.external {
			return nil, refuse(r.path, nil, "damaged: its tab %s is said to stand in another file, which is not opened", e.name)
		}
		if !ok || r.parts[rel.target] == nil {
			return nil, refuse(r.path, nil, "damaged: the part of its tab %s is missing", e.name)
		}
		if !strings.HasSuffix(rel.kind, "/worksheet") {
			continue // a chart on a tab of its own holds no cells
		}
		if r.ours[key] {
			r.replaced[rel.target] = true
			if !strings.EqualFold(e.name, tabRecord) {
				r.parts[rel.target].done = true // not looked at
				tabs = append(tabs, schedule.Tab{Name: e.name})
				continue
			}
		}
		r.tab = e.name
		rows, err := r.readSheet(rel.target, e.name)
		r.tab = ""
		if err != nil {
			return nil, err
		}
		tabs = append(tabs, schedule.Tab{Name: e.name, Rows: rows})
	}
	if len(tabs) == 0 {
		return nil, refuse(r.path, nil, "damaged: the workbook has no tabs")
	}
	return tabs, r.proveRest()
}

// proveRest reads the parts that hold no cells of ours: to their end for the checksum, and strictly where they are XML of
// the workbook, because they are carried into the priced one.
func (r *reader) proveRest() error {
	for _, key := range r.names {
		if r.parts[key].done {
			continue
		}
		var err error
		if strings.HasPrefix(key, "xl/") && strings.HasSuffix(key, ".xml") || strings.HasSuffix(key, ".rels") || key == "[content_types].xml" {
			err = r.scanPart(key, "", nil)
		} else {
			err = r.with(key, func(in io.Reader) error {
				_, err := io.Copy(io.Discard, in)
				return err
			})
		}
		if err != nil {
			return err
		}
	}
	return nil
}
