package sheet

import (
	"fmt"
	"strings"
	"unicode"
)

// FileError says in one line why a file cannot be read or written: not a workbook, damaged, too large, open elsewhere,
// read-only. It is not about what the schedule says; that is a finding.
type FileError struct {
	Path    string
	Message string // "not a workbook: an OpenDocument spreadsheet; save it as .xlsx"
	Err     error  // the cause, where there is one that helps
}

// Error is the one line.
func (e *FileError) Error() string { return e.Path + ": " + e.Message }

// Unwrap gives the cause.
func (e *FileError) Unwrap() error { return e.Err }

func refuse(path string, err error, format string, args ...any) *FileError {
	return &FileError{Path: path, Message: oneLine(fmt.Sprintf(format, args...)), Err: err}
}

// oneLine keeps names out of a file from breaking the line or steering the terminal.
func oneLine(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, s)
	if len(s) > 300 {
		s = strings.ToValidUTF8(s[:300], "") + "…"
	}
	return s
}
