package cmd

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"unicode"
	"unicode/utf8"

	"golang.org/x/term"

	"wallbill/takeoff"
)

// plainText is a stream that people read on a terminal. What a workbook or a file's name holds is text: a control character
// in it, which would move the terminal's cursor, hide lines or ring its bell, is shown as �. Line ends, tabs and the coloured
// words of paint pass.
type plainText struct{ to io.Writer }

// unshown stands for a character that is not shown.
const unshown = "\ufffd"

var paintedWords = func() (all [][]byte) {
	for _, s := range []takeoff.Severity{takeoff.Note, takeoff.Warning, takeoff.Error} {
		all = append(all, []byte(paint(s.String()+":", s, true)))
	}
	return all
}()

func (p *plainText) Write(b []byte) (int, error) {
	if !bytes.ContainsFunc(b, steers) {
		return p.to.Write(b)
	}
	out := make([]byte, 0, len(b))
	for rest := b; len(rest) > 0; {
		r, n := utf8.DecodeRune(rest)
		if steers(r) {
			if painted := paintedWord(rest); painted > 0 {
				n = painted
			} else {
				out, rest = append(out, unshown...), rest[n:]
				continue
			}
		}
		out, rest = append(out, rest[:n]...), rest[n:]
	}
	if _, err := p.to.Write(out); err != nil {
		return 0, err
	}
	return len(b), nil
}

func steers(r rune) bool { return r != '\n' && r != '\t' && unicode.IsControl(r) }

func paintedWord(b []byte) int {
	for _, w := range paintedWords {
		if bytes.HasPrefix(b, w) {
			return len(w)
		}
	}
	return 0
}

// onTerminal tells whether a stream is a terminal, and gives it without the guard of its text.
func onTerminal(w io.Writer) (io.Writer, bool) {
	if p, ok := w.(*plainText); ok {
		w = p.to
	}
	f, ok := w.(*os.File)
	return w, ok && term.IsTerminal(int(f.Fd()))
}

// escapedControls is a stream of JSON: control characters that JSON lets stand as they are, DEL and those above it, are
// written as their numbers, which mean the same.
type escapedControls struct{ to io.Writer }

func (e escapedControls) Write(b []byte) (int, error) {
	if !bytes.ContainsFunc(b, above) {
		return e.to.Write(b)
	}
	out := make([]byte, 0, len(b)+16)
	for rest := b; len(rest) > 0; {
		r, n := utf8.DecodeRune(rest)
		if above(r) {
			out = fmt.Appendf(out, `\u%04x`, r)
		} else {
			out = append(out, rest[:n]...)
		}
		rest = rest[n:]
	}
	if _, err := e.to.Write(out); err != nil {
		return 0, err
	}
	return len(b), nil
}

func above(r rune) bool { return r >= 0x7f && unicode.IsControl(r) }
