package sheet

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"unicode"

	"github.com/xuri/excelize/v2"

	"wallbill/takeoff"
	"wallbill/takeoff/schedule"
)

// Source is what a job was read from: the schedule and its price book, whole, as they were at that moment. The Record
// keeps their rows and hashes, and the priced workbook begins as the schedule's own bytes.
type Source struct {
	File      string              // the schedule's file name
	Schedule  *Workbook           // its cells, hash and bytes
	PriceBook *Workbook           // nil when the job names none or it could not be read
	bookFile  string              // what findings call the price book
	inputs    []schedule.InputTab // of a priced workbook's Record
	limits    Limits
}

// OpenForResults opens the schedule, as it was read, to put results into.
func (s *Source) OpenForResults() (*excelize.File, error) { return s.Schedule.OpenForResults(s.limits) }

// ReadSchedule reads the schedule at path and the one price book it names. The error is about the file itself (exit status
// 1); what is wrong with a cell is a finding, and so is a price book that is missing or damaged, at the Job's cell.
func ReadSchedule(path string, limits Limits) (*takeoff.Job, []takeoff.Finding, *Source, error) {
	w, err := OpenInputs(path, limits)
	if err != nil {
		return nil, nil, nil, err
	}
	s := &Source{File: filepath.Base(path), Schedule: w, limits: limits}
	if strings.HasSuffix(strings.ToLower(path), pricedName) {
		if job, findings, ok, err := s.readRecord(); ok || err != nil {
			return job, findings, s, err
		}
	}
	book := w.Book()
	job, findings, err := s.read(path, book)
	for _, f := range w.taken() {
		findings = insertFinding(book, findings, f)
	}
	return job, findings, s, err
}

// read reads the schedule and the price book it names.
func (s *Source) read(path string, book schedule.Book) (job *takeoff.Job, findings []takeoff.Finding, err error) {
	named, at, ok := schedule.PriceBookPath(book)
	if !ok {
		job, findings = schedule.Read(book, nil)
		return job, findings, nil
	}
	if s.PriceBook, err = openPriceBook(path, named, s.limits); err != nil {
		job, findings = schedule.Read(book, nil)
		return job, insertFinding(book, findings, takeoff.Finding{
			Severity: takeoff.Error, At: at, Subject: "Price book", Message: err.Error(), Cell: named,
			Accepted: "a workbook's path, relative to this one",
		}), nil
	}
	prices := s.PriceBook.Book()
	prices.File = filepath.ToSlash(named)
	s.bookFile = prices.File
	job, findings = schedule.Read(book, &prices)
	return job, findings, nil
}

// pricedName ends the names of priced workbooks: they are read by the inputs in their Record, price book and all.
const pricedName = ".priced.xlsx"

// readRecord reads the job of the Record's inputs; ok is false where there is no Record of ours.
func (s *Source) readRecord() (job *takeoff.Job, findings []takeoff.Finding, ok bool, err error) {
	run, edited, err := s.Schedule.ReadRecord()
	switch {
	case errors.Is(err, ErrNoRecord):
		return nil, nil, false, nil
	case err != nil:
		return nil, nil, false, refuse(s.Schedule.Path, err, "its Record cannot be read: %v", err)
	}
	s.inputs = run.Inputs
	book, prices := schedule.Books(run.Inputs)
	job, findings = schedule.Read(book, prices)
	if edited {
		findings = append(findings, takeoff.Finding{Severity: takeoff.Warning, At: takeoff.Ref{Tab: tabRecord}, Message: "the Record was edited by hand: the inputs are what it holds now"})
	}
	return job, findings, true, nil
}

// address begins what is no path of a file: http://, file:.
var address = regexp.MustCompile(`^(?i)([a-z][a-z0-9+.-]*:/|(file|https?|ftps?|smb|mailto|data):)`)

// beside is the path of a price book as the schedule names it. It is the only path out of a workbook that is ever followed,
// and only where it is relative to the schedule: also upwards, since the user typed it, but to no other machine or drive.
func beside(named string) (string, error) {
	slashed := strings.ReplaceAll(named, `\`, "/")
	rel := filepath.FromSlash(slashed)
	drive := len(slashed) > 1 && slashed[1] == ':' && unicode.IsLetter(rune(slashed[0]))
	switch {
	case strings.ContainsFunc(named, unicode.IsControl):
		return "", errors.New("the path holds a control character")
	case strings.HasPrefix(slashed, "//"):
		return "", errors.New("a path to another machine is not followed")
	case drive, filepath.IsAbs(rel), strings.HasPrefix(slashed, "/"), filepath.VolumeName(rel) != "":
		return "", errors.New("the path is not relative to the schedule")
	case address.MatchString(slashed):
		return "", errors.New("an address is not followed")
	}
	return rel, nil
}

// openPriceBook opens the price book that a schedule names. Its error is the message of a finding, without a path of this
// machine.
func openPriceBook(schedulePath, named string, limits Limits) (*Workbook, error) {
	rel, err := beside(named)
	if err != nil {
		return nil, err
	}
	path := filepath.Join(filepath.Dir(schedulePath), rel)
	own, err := os.Stat(schedulePath)
	if err == nil {
		if other, err := os.Stat(path); err == nil && os.SameFile(own, other) {
			return nil, errors.New("the price book is this schedule itself")
		}
	}
	w, err := Open(path, limits)
	var fe *FileError
	if errors.As(err, &fe) {
		return nil, errors.New("the price book cannot be used: " + fe.Message)
	}
	return w, err
}

// insertFinding puts a finding about the schedule where its cell stands among the others: by tab, row and column.
func insertFinding(book schedule.Book, findings []takeoff.Finding, f takeoff.Finding) []takeoff.Finding {
	order := map[string]int{}
	for i, t := range book.Tabs {
		order[t.Name] = i + 1
	}
	later := func(a, b takeoff.Ref) bool {
		switch {
		case a.File != b.File:
			return a.File != ""
		case order[a.Tab] != order[b.Tab]:
			return order[a.Tab] > order[b.Tab]
		case a.Row != b.Row:
			return a.Row > b.Row
		}
		return a.Col > b.Col
	}
	i := 0
	for i < len(findings) && !later(findings[i].At, f.At) {
		i++
	}
	out := append([]takeoff.Finding{}, findings[:i]...)
	out = append(out, f)
	return append(out, findings[i:]...)
}

// TabOrder is the schedule's tabs in their order, for sorting findings.
func (s *Source) TabOrder() []string {
	var names []string
	for _, t := range s.Schedule.Book().Tabs {
		names = append(names, t.Name)
	}
	return names
}

// Hash is the SHA-256 of the inputs, hexadecimal: the schedule's own, or with a price book that of both hashes one after
// the other.
func (s *Source) Hash() string {
	if s.PriceBook == nil {
		return s.Schedule.SHA256
	}
	sum := sha256.Sum256([]byte(s.Schedule.SHA256 + s.PriceBook.SHA256))
	return hex.EncodeToString(sum[:])
}

// Inputs are the rows of the schedule and its price book as they were read.
func (s *Source) Inputs() []schedule.InputTab {
	if s.inputs != nil {
		return s.inputs
	}
	if s.PriceBook == nil {
		return schedule.Inputs(s.Schedule.Book(), nil)
	}
	book := s.PriceBook.Book()
	book.File = s.bookFile
	return schedule.Inputs(s.Schedule.Book(), &book)
}
