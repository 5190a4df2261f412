//go:build linux

package cmd

import (
	"archive/zip"
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"wallbill/sheet"
)

// watch tells the names of the files of a folder that are opened from now on.
func watch(t *testing.T, dir string) (opened func() string) {
	t.Helper()
	fd, err := syscall.InotifyInit1(syscall.IN_NONBLOCK | syscall.IN_CLOEXEC)
	require.NoError(t, err)
	t.Cleanup(func() { _ = syscall.Close(fd) })
	_, err = syscall.InotifyAddWatch(fd, dir, syscall.IN_OPEN)
	require.NoError(t, err)
	return func() string {
		var names []string
		buf := make([]byte, 64<<10)
		for {
			n, err := syscall.Read(fd, buf)
			if n <= 0 || err != nil {
				return strings.Join(names, " ")
			}
			for at := 0; at+syscall.SizeofInotifyEvent <= n; {
				length := int(buf[at+12]) | int(buf[at+13])<<8 // little end first on the machines of tests
				name := string(bytes.TrimRight(buf[at+syscall.SizeofInotifyEvent:at+syscall.SizeofInotifyEvent+length], "\x00"))
				if name != "" { // the folder itself
					names = append(names, name)
				}
				at += syscall.SizeofInotifyEvent + length
			}
		}
	}
}

// repacked is a workbook with its parts changed.
func repacked(t *testing.T, data []byte, change func(parts map[string]string)) []byte {
	t.Helper()
	zr, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	parts, names := map[string]string{}, []string{}
	for _, f := range zr.File {
		in, err := f.Open()
		require.NoError(t, err)
		b, err := io.ReadAll(in)
		require.NoError(t, err)
		parts[f.Name] = string(b)
		names = append(names, f.Name)
	}
	change(parts)
	for name := range parts {
		if !strings.Contains(strings.Join(names, "\n")+"\n", name+"\n") {
			names = append(names, name)
		}
	}
	var out bytes.Buffer
	zw := zip.NewWriter(&out)
	for _, name := range names {
		w, err := zw.Create(name)
		require.NoError(t, err)
		_, err = w.Write([]byte(parts[name]))
		require.NoError(t, err)
	}
	require.NoError(t, zw.Close())
	return out.Bytes()
}

// inserted puts text before the last closing tag of a part.
func inserted(part, text string) string {
	i := strings.LastIndex(part, "</")
	return part[:i] + text + part[i:]
}

func workedBytes(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "testdata", "worked", name+".xlsx"))
	require.NoError(t, err)
	return b
}

// edited is a workbook changed by the library.
func edited(t *testing.T, data []byte, change func(f *excelize.File)) []byte {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	defer f.Close()
	change(f)
	var b bytes.Buffer
	require.NoError(t, f.Write(&b))
	return b.Bytes()
}

// wallbill runs a command in this process.
func wallbill(t *testing.T, args ...string) (status int, said string) {
	t.Helper()
	var b bytes.Buffer
	status = Run(args, Streams{Out: &b, Err: &b})
	return status, b.String()
}

// TestOnlyThePriceBookIsFollowed: a workbook that leads out of its folder in every way a workbook can, with files where each
// of them leads. No command opens any of them but the price book, which the user typed.
func TestOnlyThePriceBookIsFollowed(t *testing.T) {
	root := t.TempDir()
	outside, jobs := filepath.Join(root, "outside"), filepath.Join(root, "jobs")
	for _, dir := range []string{outside, jobs, filepath.Join(root, "prices")} {
		require.NoError(t, os.Mkdir(dir, 0o755))
	}
	require.NoError(t, sheet.NewStarter(filepath.Join(root, "prices", "prices.xlsx"), sheet.Options{PriceBook: true}))
	require.NoError(t, sheet.NewStarter(filepath.Join(outside, "other.xlsx"), sheet.Options{PriceBook: true}))
	for name, text := range map[string]string{"secret.xml": "<secret>planted</secret>", "picture.png": "\x89PNG planted", "secret.bin": "planted", "001.xlsx": "planted", "secret.dtd": "<!-- planted -->"} {
		require.NoError(t, os.WriteFile(filepath.Join(outside, name), []byte(text), 0o644))
	}
	up, abs := "../outside/", filepath.ToSlash(outside)+"/"
	const office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/"
	related := func(id, kind, target, mode string) string {
		if mode != "" {
			mode = ` TargetMode="` + mode + `"`
		}
		return `<Relationship Id="` + id + `" Type="` + office + kind + `" Target="` + target + `"` + mode + `/>`
	}
	data := edited(t, workedBytes(t, "store"), func(f *excelize.File) {
		setSetting(t, f, "Price book", "../prices/prices.xlsx")
		require.NoError(t, f.SetCellStr("Walls", "Z1", "My links"))
		require.NoError(t, f.SetCellHyperLink("Walls", "Z2", "file://"+abs+"secret.xml", "External"))
		require.NoError(t, f.SetCellHyperLink("Walls", "Z3", up+"other.xlsx", "External"))
	})
	job := filepath.Join(jobs, "store.xlsx")
	require.NoError(t, os.WriteFile(job, repacked(t, data, func(p map[string]string) {
		links := "" // the part with those of tab Walls
		for name, part := range p {
			if strings.Contains(part, up+"other.xlsx") {
				links = name
			}
		}
		require.NotEmpty(t, links)
		p[links] = inserted(p[links],
			related("rId90", "image", "file://"+abs+"picture.png", "External")+
				related("rId91", "comments", "../../../outside/secret.xml", "")+
				related("rId92", "drawing", abs+"secret.xml", "")+
				related("rId93", "printerSettings", `..\..\..\outside\secret.bin`, "")+
				related("rId94", "oleObject", "/../../../../../../../../../../.."+abs+"secret.bin", ""))
		p["xl/_rels/workbook.xml.rels"] = inserted(p["xl/_rels/workbook.xml.rels"],
			related("rId95", "externalLink", "externalLinks/externalLink1.xml", "")+
				related("rId96", "externalLinkPath", up+"other.xlsx", "External")+
				related("rId97", "sharedStrings", "../../outside/secret.xml", ""))
		p["xl/externalLinks/externalLink1.xml"] = `<externalLink xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><externalBook xmlns:r="` + strings.TrimSuffix(office, "/") + `" r:id="rId1"/></externalLink>`
		p["xl/externalLinks/_rels/externalLink1.xml.rels"] = `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">` + related("rId1", "externalLinkPath", "file://"+abs+"other.xlsx", "External") + `</Relationships>`
		p["xl/connections.xml"] = `<connections xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><connection id="1" name="x" type="4" refreshOnLoad="1" sourceFile="` + abs + `other.xlsx"><webPr url="file://` + abs + `secret.xml"/></connection></connections>`
		p["[Content_Types].xml"] = inserted(p["[Content_Types].xml"], `<Override PartName="/xl/externalLinks/externalLink1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.externalLink+xml"/>`)
	}), 0o644))
	priced := filepath.Join(jobs, "store.priced.xlsx")

	opened, prices := watch(t, outside), watch(t, filepath.Join(root, "prices"))
	run := func(args ...string) {
		t.Helper()
		status, said := wallbill(t, args...)
		require.Contains(t, []int{exitDone, exitIncomplete}, status, said)
		assert.NotContains(t, said, "planted")
		assert.Empty(t, opened(), "of %v", args)
	}
	run("check", job)
	assert.Equal(t, "prices.xlsx", prices(), "the watch sees what is opened")
	run("price", job, "--drawings", filepath.Join(jobs, "drawings"))
	assert.Equal(t, "prices.xlsx", prices())
	run("price", job)
	prices()

	// The Record of an earlier run names files too: none of them is opened, whatever they are changed to.
	changed := 0
	require.NoError(t, os.WriteFile(priced, edited(t, mustRead(t, priced), func(f *excelize.File) {
		rows, err := f.GetRows("Record")
		require.NoError(t, err)
		for i, r := range rows {
			for j, cell := range r {
				if strings.Contains(cell, ".xlsx") {
					name, _ := excelize.CoordinatesToCellName(j+1, i+1)
					require.NoError(t, f.SetCellStr("Record", name, up+"other.xlsx"))
					changed++
				}
			}
		}
	}), 0o644))
	require.GreaterOrEqual(t, changed, 2, "the schedule and its price book")
	run("orders", priced, "-o", filepath.Join(jobs, "orders"))
	run("explain", priced)
	assert.Empty(t, prices(), "a priced workbook's inputs stand in its Record")
	require.NoError(t, os.WriteFile(job, edited(t, mustRead(t, job), func(f *excelize.File) {
		require.NoError(t, f.SetCellStr("Walls", "F2", "8'-9\""))
	}), 0o644))
	run("price", job, "--drawings", filepath.Join(jobs, "drawings"))
	run("compare", filepath.Join(jobs, "store.runs", "001.xlsx"), priced)
	run("price", jobs)

	zr, err := zip.OpenReader(priced)
	require.NoError(t, err)
	defer zr.Close()
	for _, f := range zr.File {
		assert.NotContains(t, f.Name, "..")
		in, err := f.Open()
		require.NoError(t, err)
		b, err := io.ReadAll(in)
		require.NoError(t, err)
		assert.NotContains(t, string(b), "planted", f.Name)
	}
	entries, err := os.ReadDir(outside)
	require.NoError(t, err)
	assert.Len(t, entries, 6, "nothing is written there")
}

func mustRead(t *testing.T, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	return b
}

// TestPriceBookPaths: what the cell may name. The book outside is there for each, and is opened where the path is one that
// is followed.
func TestPriceBookPaths(t *testing.T) {
	root := t.TempDir()
	jobs, outside := filepath.Join(root, "jobs"), filepath.Join(root, "outside")
	require.NoError(t, os.MkdirAll(filepath.Join(jobs, "http:", "x"), 0o755))
	require.NoError(t, os.MkdirAll(filepath.Join(jobs, "C:"), 0o755))
	require.NoError(t, os.Mkdir(outside, 0o755))
	book := filepath.Join(outside, "prices.xlsx")
	require.NoError(t, sheet.NewStarter(book, sheet.Options{PriceBook: true}))
	for _, copied := range []string{"http:/x/prices.xlsx", "C:/prices.xlsx", "C:prices.xlsx", "file:prices.xlsx"} {
		require.NoError(t, os.WriteFile(filepath.Join(jobs, filepath.FromSlash(copied)), mustRead(t, book), 0o644))
	}
	require.NoError(t, os.Symlink(book, filepath.Join(jobs, "link.xlsx")))
	require.NoError(t, os.Symlink("/dev/zero", filepath.Join(jobs, "zero.xlsx")))
	require.NoError(t, syscall.Mkfifo(filepath.Join(jobs, "pipe.xlsx"), 0o644))
	const relative, machine, address = "the path is not relative to the schedule", "a path to another machine is not followed", "an address is not followed"
	for _, c := range []struct{ named, want string }{
		{"../outside/prices.xlsx", ""},
		{`..\outside\prices.xlsx`, ""},
		{"./../jobs/../outside/prices.xlsx", ""},
		{"link.xlsx", ""},
		{book, relative},
		{filepath.ToSlash(book), relative},
		{`\` + strings.ReplaceAll(strings.TrimPrefix(book, "/"), "/", `\`), relative},
		{`C:\prices.xlsx`, relative},
		{"C:prices.xlsx", relative},
		{`\\server\share\prices.xlsx`, machine},
		{"//server/share/prices.xlsx", machine},
		{`\\?\C:\prices.xlsx`, machine},
		{`\\.\pipe\prices.xlsx`, machine},
		{"/" + book, machine},
		{"http://x/prices.xlsx", address},
		{"HTTP:/x/prices.xlsx", address},
		{"file://" + book, address},
		{"file:prices.xlsx", address},
		{"smb://server/share/prices.xlsx", address},
		{"prices\x01.xlsx", "the path holds a control character"},
		{"zero.xlsx", "the price book cannot be used: is not a file"},
		{"pipe.xlsx", "the price book cannot be used: is not a file"},
		{"../outside/absent.xlsx", "the price book cannot be used: there is no such file"},
		{"prices.xlsx/../../outside/" + strings.Repeat("x", 300) + ".xlsx", "the price book cannot be used: cannot be read: file name too long"},
	} {
		t.Run(strings.ReplaceAll(c.named, root, "ROOT"), func(t *testing.T) {
			named := c.named
			if strings.ContainsRune(named, 1) {
				named = "prices_x0001_.xlsx" // as a workbook writes it
			}
			job := filepath.Join(jobs, "store.xlsx")
			require.NoError(t, os.WriteFile(job, edited(t, workedBytes(t, "store"), func(f *excelize.File) { setSetting(t, f, "Price book", named) }), 0o644))
			opened := watch(t, outside)
			type result struct {
				status int
				said   string
			}
			done := make(chan result, 1)
			go func() {
				status, said := wallbill(t, "check", job)
				done <- result{status, said}
			}()
			var r result
			select {
			case r = <-done:
			case <-time.After(30 * time.Second):
				t.Fatal("check waits for ever")
			}
			if c.want == "" {
				assert.Equal(t, exitDone, r.status, r.said)
				assert.Equal(t, "prices.xlsx", opened())
				return
			}
			assert.Equal(t, exitErrors, r.status, r.said)
			assert.Contains(t, r.said, "Job!B")
			assert.Contains(t, r.said, c.want)
			assert.Empty(t, opened())
		})
	}
}
