package sheet

import (
	"archive/zip"
	"io"
	"os"

	"wallbill/sheet/xmlscan"
)

// TabNames lists the tabs of the workbook at path, in its order, by its list of tabs alone: a look that costs next to
// nothing, to tell schedules from other workbooks of a folder. What it says of a damaged workbook is no verdict; Open reads
// all of it.
func TabNames(path string, limits Limits) ([]string, error) {
	f, info, err := openRegular(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	head := make([]byte, min(info.Size(), 1024))
	if _, err := io.ReadFull(f, head); err != nil {
		return nil, refuse(path, err, "cannot be read: %v", bareCause(err))
	}
	if line := notZip(head); line != "" {
		return nil, refuse(path, nil, "%s", line)
	}
	zr, err := zip.NewReader(f, info.Size())
	if err != nil {
		return nil, refuse(path, err, "damaged or cut off: the list of its parts, at the end of the file, cannot be read")
	}
	r := &reader{path: path, limits: limits, parts: map[string]*zipPart{}, left: limits.UnpackedBytes}
	if err := r.list(zr); err != nil {
		return nil, err
	}
	book, err := r.workbookPart()
	if err != nil {
		return nil, err
	}
	var names []string
	err = r.scanPart(book, "workbook", func(s *xmlscan.Scanner, name string) error {
		if name == "sheet" {
			tab, _ := s.Attr("name")
			names = append(names, tab)
		}
		return nil
	})
	return names, err
}

// MakeFolder makes the folder of results if it is absent and proves that a file can be written in it.
func MakeFolder(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return refuse(dir, err, "cannot be made a folder to write in: %v", bareCause(err))
	}
	f, err := os.CreateTemp(dir, tempName("*"))
	if err != nil {
		return refuse(dir, err, "cannot write in this folder: %v", bareCause(err))
	}
	_ = f.Close()
	return os.Remove(f.Name())
}
