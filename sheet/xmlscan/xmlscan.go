// Package xmlscan reads an XML document in one strict pass without building anything: a stream of start tags, end tags
// and text.
//
// A spreadsheet's parts are XML, and a part that breaks off or breaks in the middle must never be read as a shorter sheet.
// So the scanner refuses whatever is not well formed: unbalanced or unknown tags, repeated attributes, bytes that are not
// UTF-8, characters XML does not allow, text outside the root. It also refuses every document type declaration, and with
// it every entity but the five of XML itself. It reads a sheet of formatted empty rows at the speed of the disk, which the
// standard decoder does not.
//
// Read Scanner.Next first.
package xmlscan

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Kind is what Next found.
type Kind uint8

// The kinds of events.
const (
	EOF Kind = iota
	Start
	End
	Text
)

// Limits against documents made to exhaust memory; a spreadsheet program's own files stay far below them.
const (
	maxDepth     = 200
	maxTokenSize = 32 << 20 // a tag, or a piece of text between tags: a cell holds 32,767 characters
	maxAttrs     = 512
)

// What was refused; SyntaxError wraps it with the place.
var (
	errDoctype = errors.New("a document type declaration is refused")
	errUTF8    = errors.New("not UTF-8")
	errTooLong = errors.New("a tag or text is too long")
	errDeep    = errors.New("tags are nested too deep")
)

// SyntaxError says where and why a document is not well formed.
type SyntaxError struct {
	Offset int64 // bytes from the start
	Err    error
}

func (e *SyntaxError) Error() string { return fmt.Sprintf("byte %d: %v", e.Offset, e.Err) }

// Unwrap gives the cause.
func (e *SyntaxError) Unwrap() error { return e.Err }

type attr struct{ name, value []byte }

// Scanner is one pass over a document.
type Scanner struct {
	r    io.Reader
	buf  []byte
	pos  int   // next byte to look at
	end  int   // bytes filled
	base int64 // offset of buf[0] in the document
	eof  bool

	token    int64 // offset of the last event's first byte
	started  bool  // past the byte order mark and the declaration
	rootSeen bool
	closed   bool // a self-closing tag still owes its End
	stack    []byte
	ends     []int // stack lengths, one an open tag

	name  []byte
	attrs []attr
	text  []byte
	keep  []byte // unescaped text
	err   error
}

// New is a scanner over r.
func New(r io.Reader) *Scanner { return &Scanner{r: r, buf: make([]byte, 64<<10)} }

// Reset makes the scanner read r from its start, keeping its buffers.
func (s *Scanner) Reset(r io.Reader) {
	*s = Scanner{r: r, buf: s.buf, stack: s.stack[:0], ends: s.ends[:0], attrs: s.attrs[:0], keep: s.keep[:0]}
}

// Name is the last tag's name without its prefix, valid until the next call of Next.
func (s *Scanner) Name() []byte { return s.name }

// Depth is the number of tags open: 1 at the root's start tag and inside it.
func (s *Scanner) Depth() int { return len(s.ends) }

// Token is where the last event's first byte stands in the document. The end of an empty tag such as <c/> stands, with no
// bytes, behind it.
func (s *Scanner) Token() int64 { return s.token }

// Offset is where the byte behind the last event stands.
func (s *Scanner) Offset() int64 { return s.base + int64(s.pos) }

// Text is the last text with its entities resolved, valid until the next call of Next.
func (s *Scanner) Text() []byte { return s.text }

// Attr is the value of the last start tag's attribute of that name, without a prefix.
func (s *Scanner) Attr(name string) (string, bool) {
	for _, a := range s.attrs {
		if string(a.name) == name {
			return string(s.unescapeAttr(a.value)), true
		}
	}
	return "", false
}

// AttrBytes is Attr without a copy: valid until the next call of Next, nil when absent. It is meant for values that never
// hold entities, such as cell references.
func (s *Scanner) AttrBytes(name string) []byte {
	for _, a := range s.attrs {
		if string(a.name) == name {
			return s.unescapeAttr(a.value)
		}
	}
	return nil
}

// PrefixedAttr is the value of the attribute of that name with any prefix: r:id.
func (s *Scanner) PrefixedAttr(name string) (string, bool) {
	for _, a := range s.attrs {
		if i := bytes.IndexByte(a.name, ':'); i >= 0 && string(a.name[i+1:]) == name {
			return string(s.unescapeAttr(a.value)), true
		}
	}
	return "", false
}

// Next is the next event. After an error every call returns it again; EOF is returned only behind a whole document.
func (s *Scanner) Next() (Kind, error) {
	if s.err != nil {
		return EOF, s.err
	}
	k, err := s.next()
	if err != nil {
		var se *SyntaxError
		if !errors.As(err, &se) && !isReadError(err) {
			err = &SyntaxError{s.base + int64(s.pos), err}
		}
		s.err = err
		return EOF, err
	}
	return k, nil
}

// Skip passes the rest of the tag whose start was the last event, with all that is inside it.
func (s *Scanner) Skip() error {
	for outside := s.Depth() - 1; s.Depth() > outside; {
		if _, err := s.Next(); err != nil {
			return err
		}
	}
	return nil
}

// readError marks errors of the reader below: they pass unchanged.
type readError struct{ error }

func (e readError) Unwrap() error { return e.error }

func isReadError(err error) bool { _, ok := err.(readError); return ok }

func (s *Scanner) next() (Kind, error) {
	s.token = s.base + int64(s.pos)
	if s.closed {
		s.closed = false
		s.pop()
		return End, nil
	}
	if !s.started {
		s.started = true
		if err := s.prolog(); err != nil {
			return EOF, err
		}
	}
	for {
		ok, err := s.have(1)
		if err != nil {
			return EOF, err
		}
		if !ok {
			switch {
			case len(s.ends) > 0:
				return EOF, fmt.Errorf("the document ends inside <%s>", s.top())
			case !s.rootSeen:
				return EOF, errors.New("the document is empty")
			}
			return EOF, nil
		}
		s.token = s.base + int64(s.pos)
		if s.buf[s.pos] != '<' {
			return s.readText()
		}
		if _, err := s.have(9); err != nil { // as many as "<![CDATA[" where there are
			return EOF, err
		}
		rest := s.buf[s.pos:s.end]
		switch {
		case bytes.HasPrefix(rest, []byte("<!--")):
			if err := s.skipTo("-->", 4, true); err != nil {
				return EOF, err
			}
		case bytes.HasPrefix(rest, []byte("<![CDATA[")):
			if len(s.ends) == 0 {
				return EOF, errors.New("text outside the root")
			}
			return s.readCDATA()
		case bytes.HasPrefix(rest, []byte("<!")):
			return EOF, errDoctype
		case bytes.HasPrefix(rest, []byte("<?")):
			if len(rest) >= 6 && strings.EqualFold(string(rest[2:5]), "xml") && (isSpace(rest[5]) || rest[5] == '?') {
				return EOF, errors.New("a second XML declaration")
			}
			if len(rest) < 3 || !nameStart(rest[2]) {
				return EOF, errors.New("a processing instruction without a name")
			}
			if err := s.skipTo("?>", 2, false); err != nil {
				return EOF, err
			}
		case bytes.HasPrefix(rest, []byte("</")):
			return s.readEnd()
		default:
			return s.readStart()
		}
	}
}

// have makes at least n bytes stand at pos where the document has them.
func (s *Scanner) have(n int) (bool, error) {
	for s.end-s.pos < n {
		if s.eof {
			return false, nil
		}
		if err := s.fill(); err != nil {
			return false, err
		}
	}
	return true, nil
}

// fill reads more, moving what stands from pos on to the front or growing the buffer.
func (s *Scanner) fill() error {
	if s.pos > 0 {
		copy(s.buf, s.buf[s.pos:s.end])
		s.base += int64(s.pos)
		s.end -= s.pos
		s.pos = 0
	}
	if s.end == len(s.buf) {
		if len(s.buf) >= maxTokenSize {
			return errTooLong
		}
		s.buf = append(s.buf, make([]byte, len(s.buf))...)
	}
	for range 100 {
		n, err := s.r.Read(s.buf[s.end:])
		s.end += n
		if err == io.EOF {
			s.eof = true
			return nil
		}
		if err != nil {
			return readError{err}
		}
		if n > 0 {
			return nil
		}
	}
	return readError{io.ErrNoProgress}
}

// find makes sure that the byte c stands in the buffer at or after pos+from; it gives its index from pos.
func (s *Scanner) find(c byte, from int) (int, bool, error) {
	for {
		if i := bytes.IndexByte(s.buf[s.pos+from:s.end], c); i >= 0 {
			return from + i, true, nil
		}
		from = s.end - s.pos
		if s.eof {
			return from, false, nil
		}
		if err := s.fill(); err != nil {
			return 0, false, err
		}
	}
}

// prolog passes the byte order mark and the XML declaration.
func (s *Scanner) prolog() error {
	if _, err := s.have(6); err != nil {
		return err
	}
	b := s.buf[s.pos:s.end]
	switch {
	case bytes.HasPrefix(b, []byte("\xef\xbb\xbf")):
		s.pos += 3
	case bytes.HasPrefix(b, []byte("\xff\xfe")), bytes.HasPrefix(b, []byte("\xfe\xff")):
		return errUTF8
	}
	if _, err := s.have(6); err != nil {
		return err
	}
	b = s.buf[s.pos:s.end]
	if len(b) < 6 || !bytes.HasPrefix(b, []byte("<?xml")) || !isSpace(b[5]) {
		return nil
	}
	n := 6
	for {
		i, ok, err := s.find('>', n)
		if err != nil {
			return err
		}
		if !ok {
			return errors.New("the XML declaration does not end")
		}
		if s.buf[s.pos+i-1] == '?' {
			n = i
			break
		}
		n = i + 1
	}
	var attrs [3]attr
	decl, err := readAttrs(attrs[:0], s.buf[s.pos+len("<?xml"):s.pos+n-1])
	if err != nil {
		return err
	}
	for i, a := range decl {
		switch name := string(a.name); {
		case i == 0 && name == "version" && bytes.HasPrefix(a.value, []byte("1.")):
		case i > 0 && name == "encoding":
			if e := strings.ToLower(string(a.value)); e != "utf-8" && e != "us-ascii" && e != "ascii" {
				return errUTF8
			}
		case i > 0 && name == "standalone":
		default:
			return errors.New("a faulty XML declaration")
		}
	}
	if len(decl) == 0 {
		return errors.New("a faulty XML declaration")
	}
	s.pos += n + 1
	return nil
}

// skipTo passes a comment or an instruction that opens with skip bytes and ends with end.
func (s *Scanner) skipTo(end string, skip int, comment bool) error {
	from := skip
	for {
		i, ok, err := s.find('>', from)
		if err != nil {
			return err
		}
		if !ok {
			return errors.New("a comment or instruction does not end")
		}
		if i+1 >= skip+len(end) && string(s.buf[s.pos+i+1-len(end):s.pos+i+1]) == end {
			body := s.buf[s.pos+skip : s.pos+i+1-len(end)]
			if err := checkChars(body); err != nil {
				return err
			}
			if comment && (bytes.Contains(body, []byte("--")) || bytes.HasSuffix(body, []byte("-"))) {
				return errors.New("two hyphens inside a comment")
			}
			s.pos += i + 1
			return nil
		}
		from = i + 1
	}
}

func (s *Scanner) readText() (Kind, error) {
	i, _, err := s.find('<', 0)
	if err != nil {
		return EOF, err
	}
	raw := s.buf[s.pos : s.pos+i]
	if len(s.ends) == 0 {
		for _, c := range raw {
			if !isSpace(c) {
				return EOF, errors.New("text outside the root")
			}
		}
		s.pos += i
		return s.next()
	}
	if bytes.Contains(raw, []byte("]]>")) {
		return EOF, errors.New("]]> in text")
	}
	if err := checkChars(raw); err != nil {
		return EOF, err
	}
	s.text, err = s.unescape(raw)
	if err != nil {
		return EOF, err
	}
	s.pos += i
	return Text, nil
}

func (s *Scanner) readCDATA() (Kind, error) {
	const open = len("<![CDATA[")
	from := open
	for {
		i, ok, err := s.find('>', from)
		if err != nil {
			return EOF, err
		}
		if !ok {
			return EOF, errors.New("a CDATA section does not end")
		}
		if i >= open+2 && s.buf[s.pos+i-1] == ']' && s.buf[s.pos+i-2] == ']' {
			raw := s.buf[s.pos+open : s.pos+i-2]
			if err := checkChars(raw); err != nil {
				return EOF, err
			}
			s.text = s.newlines(raw)
			s.pos += i + 1
			return Text, nil
		}
		from = i + 1
	}
}

// tagEnd is the index from pos of the > that ends the tag at pos: not one inside an attribute's quotes.
func (s *Scanner) tagEnd() (int, error) {
	var quote byte
	done := 1 // looked at so far, from pos
	for {
		j, ok, err := s.find('>', done)
		if err != nil {
			return 0, err
		}
		if !ok {
			return 0, errors.New("the document ends inside a tag")
		}
		for _, c := range s.buf[s.pos+done : s.pos+j] {
			switch {
			case quote != 0:
				if c == quote {
					quote = 0
				}
			case c == '"' || c == '\'':
				quote = c
			}
		}
		if quote == 0 {
			return j, nil
		}
		done = j + 1
	}
}

func (s *Scanner) readEnd() (Kind, error) {
	j, err := s.tagEnd()
	if err != nil {
		return EOF, err
	}
	name := bytes.TrimRight(s.buf[s.pos+2:s.pos+j], " \t\r\n")
	if len(s.ends) == 0 {
		return EOF, fmt.Errorf("</%s> closes nothing", clip(name))
	}
	if !bytes.Equal(name, s.top()) {
		return EOF, fmt.Errorf("</%s> closes <%s>", clip(name), clip(s.top()))
	}
	s.pos += j + 1
	s.attrs = s.attrs[:0]
	s.pop()
	return End, nil
}

func (s *Scanner) readStart() (Kind, error) {
	j, err := s.tagEnd()
	if err != nil {
		return EOF, err
	}
	tag := s.buf[s.pos+1 : s.pos+j]
	self := len(tag) > 0 && tag[len(tag)-1] == '/'
	if self {
		tag = tag[:len(tag)-1]
	}
	n, err := nameLen(tag)
	if err != nil {
		return EOF, err
	}
	if len(s.ends) == 0 {
		if s.rootSeen {
			return EOF, errors.New("a second root")
		}
		s.rootSeen = true
	}
	if len(s.ends) >= maxDepth {
		return EOF, errDeep
	}
	name := tag[:n]
	if s.attrs, err = readAttrs(s.attrs[:0], tag[n:]); err != nil {
		return EOF, err
	}
	s.stack = append(s.stack, name...)
	s.ends = append(s.ends, len(s.stack))
	s.name = local(s.top())
	s.closed = self
	s.pos += j + 1
	return Start, nil
}

// readAttrs reads what stands in a start tag behind its name.
func readAttrs(attrs []attr, b []byte) ([]attr, error) {
	for {
		n := spaceLen(b)
		if n == len(b) {
			return attrs, nil
		}
		if n == 0 {
			return nil, errors.New("no space before an attribute")
		}
		b = b[n:]
		n, err := nameLen(b)
		if err != nil {
			return nil, err
		}
		name := b[:n]
		b = b[n:]
		b = b[spaceLen(b):]
		if len(b) == 0 || b[0] != '=' {
			return nil, fmt.Errorf("attribute %s without a value", clip(name))
		}
		b = b[1:]
		b = b[spaceLen(b):]
		if len(b) == 0 || b[0] != '"' && b[0] != '\'' {
			return nil, fmt.Errorf("attribute %s without quotes", clip(name))
		}
		k := bytes.IndexByte(b[1:], b[0])
		if k < 0 {
			return nil, fmt.Errorf("attribute %s does not end", clip(name))
		}
		value := b[1 : 1+k]
		b = b[2+k:]
		if bytes.IndexByte(value, '<') >= 0 {
			return nil, fmt.Errorf("< in attribute %s", clip(name))
		}
		if err := checkChars(value); err != nil {
			return nil, err
		}
		if err := checkEntities(value); err != nil {
			return nil, err
		}
		for _, a := range attrs {
			if bytes.Equal(a.name, name) {
				return nil, fmt.Errorf("attribute %s twice", clip(name))
			}
		}
		if len(attrs) == maxAttrs {
			return nil, errTooLong
		}
		attrs = append(attrs, attr{name, value})
	}
}

func (s *Scanner) top() []byte {
	n := len(s.ends)
	from := 0
	if n > 1 {
		from = s.ends[n-2]
	}
	return s.stack[from:s.ends[n-1]]
}

// pop closes the innermost tag; its name stays readable until the next call of Next.
func (s *Scanner) pop() {
	top := s.top()
	s.name = local(top)
	s.ends = s.ends[:len(s.ends)-1]
	s.stack = s.stack[:len(s.stack)-len(top)]
}

func local(name []byte) []byte {
	if i := bytes.IndexByte(name, ':'); i >= 0 {
		return name[i+1:]
	}
	return name
}

func clip(b []byte) []byte { return b[:min(len(b), 40)] }

func isSpace(c byte) bool { return c == ' ' || c == '\t' || c == '\n' || c == '\r' }

func spaceLen(b []byte) int {
	n := 0
	for n < len(b) && isSpace(b[n]) {
		n++
	}
	return n
}

func nameStart(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c == '_' || c >= utf8.RuneSelf
}

func nameByte(c byte) bool { return nameStart(c) || c >= '0' && c <= '9' || c == '-' || c == '.' }

// nameLen is the length of the name b begins with: at most one prefix, as in namespaces.
func nameLen(b []byte) (int, error) {
	if len(b) == 0 || !nameStart(b[0]) {
		return 0, errors.New("a tag or attribute without a name")
	}
	n, colon, ascii := 1, false, b[0] < utf8.RuneSelf
	for n < len(b) {
		c := b[n]
		if c == ':' {
			if colon || n+1 >= len(b) || !nameStart(b[n+1]) {
				return 0, errors.New("a name with a stray colon")
			}
			colon = true
		} else if !nameByte(c) {
			break
		}
		ascii = ascii && c < utf8.RuneSelf
		n++
	}
	if !ascii {
		// Spreadsheets' own names are plain letters; a name with any other letter is checked as such.
		for i := 0; i < n; {
			r, w := utf8.DecodeRune(b[i:n])
			if r == utf8.RuneError && w <= 1 {
				return 0, errUTF8
			}
			if r >= utf8.RuneSelf && !nameRune(r) {
				return 0, errors.New("a character that no name may hold")
			}
			i += w
		}
	}
	return n, nil
}

// nameRune holds the letters beyond ASCII that may start a name (XML 1.0, fifth edition, NameStartChar).
func nameRune(r rune) bool {
	switch {
	case r >= 0xC0 && r <= 0x2FF && r != 0xD7 && r != 0xF7, r >= 0x370 && r <= 0x1FFF && r != 0x37E,
		r >= 0x200C && r <= 0x200D, r >= 0x2070 && r <= 0x218F, r >= 0x2C00 && r <= 0x2FEF, r >= 0x3001 && r <= 0xD7FF,
		r >= 0xF900 && r <= 0xFDCF, r >= 0xFDF0 && r <= 0xFFFD, r >= 0x10000 && r <= 0xEFFFF:
		return true
	}
	return false
}

func allowed(r rune) bool {
	return r >= 0x20 && r <= 0xD7FF || r == '\t' || r == '\n' || r == '\r' || r >= 0xE000 && r <= 0xFFFD || r >= 0x10000 && r <= 0x10FFFF
}

// checkChars refuses what XML 1.0 allows nowhere.
func checkChars(b []byte) error {
	for i := 0; i < len(b); {
		c := b[i]
		if c >= 0x20 && c < utf8.RuneSelf {
			i++
			continue
		}
		if c < 0x20 {
			if !isSpace(c) {
				return fmt.Errorf("control character %#x", c)
			}
			i++
			continue
		}
		r, w := utf8.DecodeRune(b[i:])
		if r == utf8.RuneError && w <= 1 {
			return errUTF8
		}
		if !allowed(r) {
			return fmt.Errorf("character %#x", r)
		}
		i += w
	}
	return nil
}

// entity reads the reference that b begins with: &amp; or &#10;.
func entity(b []byte) (rune, int, error) {
	end := bytes.IndexByte(b[:min(len(b), 16)], ';')
	if end < 2 {
		return 0, 0, errors.New("& without an entity")
	}
	name := string(b[1:end])
	switch name {
	case "amp":
		return '&', end + 1, nil
	case "lt":
		return '<', end + 1, nil
	case "gt":
		return '>', end + 1, nil
	case "quot":
		return '"', end + 1, nil
	case "apos":
		return '\'', end + 1, nil
	}
	if name[0] != '#' || len(name) < 2 {
		return 0, 0, fmt.Errorf("unknown entity &%s;", name)
	}
	digits, base := name[1:], 10
	if digits[0] == 'x' {
		digits, base = digits[1:], 16
	}
	n, err := strconv.ParseUint(digits, base, 32)
	if err != nil || strings.ContainsAny(digits, "_+-") || !allowed(rune(n)) || n > 0x10FFFF {
		return 0, 0, fmt.Errorf("no character &%s;", name)
	}
	return rune(n), end + 1, nil
}

func checkEntities(b []byte) error {
	for {
		i := bytes.IndexByte(b, '&')
		if i < 0 {
			return nil
		}
		_, n, err := entity(b[i:])
		if err != nil {
			return err
		}
		b = b[i+n:]
	}
}

// newlines turns CR LF and CR into LF, as XML asks.
func (s *Scanner) newlines(b []byte) []byte {
	if bytes.IndexByte(b, '\r') < 0 {
		return b
	}
	s.keep = s.keep[:0]
	for i, c := range b {
		if c == '\r' {
			if i+1 < len(b) && b[i+1] == '\n' {
				continue
			}
			c = '\n'
		}
		s.keep = append(s.keep, c)
	}
	return s.keep
}

func (s *Scanner) unescape(b []byte) ([]byte, error) {
	if bytes.IndexByte(b, '&') < 0 {
		return s.newlines(b), nil
	}
	s.keep = s.keep[:0]
	for i := 0; i < len(b); {
		switch c := b[i]; c {
		case '&':
			r, n, err := entity(b[i:])
			if err != nil {
				return nil, err
			}
			s.keep = utf8.AppendRune(s.keep, r)
			i += n
		case '\r':
			if i+1 >= len(b) || b[i+1] != '\n' {
				s.keep = append(s.keep, '\n')
			}
			i++
		default:
			s.keep = append(s.keep, c)
			i++
		}
	}
	return s.keep, nil
}

// unescapeAttr resolves an attribute's entities, checked before; line ends and tabs in it are spaces.
func (s *Scanner) unescapeAttr(b []byte) []byte {
	if !bytes.ContainsAny(b, "&\t\r\n") {
		return b
	}
	out := make([]byte, 0, len(b))
	for i := 0; i < len(b); {
		switch c := b[i]; c {
		case '&':
			r, n, err := entity(b[i:])
			if err != nil { // checked in readAttrs
				return b
			}
			out = utf8.AppendRune(out, r)
			i += n
		case '\r':
			if i+1 >= len(b) || b[i+1] != '\n' {
				out = append(out, ' ')
			}
			i++
		case '\t', '\n':
			out = append(out, ' ')
			i++
		default:
			out = append(out, c)
			i++
		}
	}
	return out
}
