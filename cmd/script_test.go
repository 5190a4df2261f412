package cmd

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"wallbill/sheet"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"wallbill": func() { os.Exit(Run(os.Args[1:], Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr})) },
	})
}

// The command line as its users type it. In a script, `status N wallbill …` runs a command that must end with status N;
// `schedule FILE TEXT` writes a workbook from a text of tabs, columns and rows; `unix FILE` ends the lines of a file as
// this script does, where they must have ended with a carriage return.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: filepath.Join("testdata", "script"),
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"status":   status,
			"schedule": writeSchedule,
			"unix":     unixLines,
		},
		UpdateScripts: os.Getenv("UPDATE_SCRIPTS") != "",
	})
}

// status runs a command and wants its exit status.
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N command…")
	}
	err := ts.Exec(args[1], args[2:]...)
	have := "0"
	if err != nil {
		have = strings.TrimPrefix(err.Error(), "exit status ")
	}
	if have != args[0] {
		ts.Fatalf("exit status %s, want %s", have, args[0])
	}
}

// writeSchedule writes a workbook from a text: tabs apart by blank lines, each its name, its columns and its rows, cells
// between bars.
func writeSchedule(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: schedule FILE.xlsx TEXT")
	}
	f, err := os.Create(ts.MkAbs(args[0]))
	ts.Check(err)
	defer f.Close()
	ts.Check(sheet.WritePlain(f, ts.ReadFile(args[1])))
}

// unixLines takes the carriage returns off a file's lines; each must have one.
func unixLines(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: unix FILE")
	}
	text := ts.ReadFile(args[0])
	if strings.Count(text, "\n") != strings.Count(text, "\r\n") {
		ts.Fatalf("%s: a line does not end with a carriage return and a line feed", args[0])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.ReplaceAll(text, "\r\n", "\n")), 0o644))
}
