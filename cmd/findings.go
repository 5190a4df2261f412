package cmd

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"wallbill/takeoff"
)

// most is how many notes, warnings, errors of one kind are printed in full: all errors.
var most = map[takeoff.Severity]int{takeoff.Note: 4, takeoff.Warning: 20, takeoff.Error: 1 << 30}

// printFindings prints findings grouped: like warnings and notes beyond the first few are counted.
func (a *app) printFindings(w io.Writer, path string, findings []takeoff.Finding) {
	a.writeFindings(w, a.color(w), filepath.Base(path), findings)
}

// writeFindings is printFindings with the colour and the file's name decided.
func (a *app) writeFindings(w io.Writer, color bool, file string, findings []takeoff.Finding) {
	seen, more := map[string]int{}, map[string]int{}
	var kinds []string
	for _, f := range findings {
		k := kind(f)
		seen[k]++
		if seen[k] == 1 {
			kinds = append(kinds, k)
		}
		if seen[k] > most[f.Severity] {
			more[k] = seen[k] - most[f.Severity]
			continue
		}
		fmt.Fprint(w, paint(f.Print(file), f.Severity, color))
	}
	if file != "" {
		file += ": "
	}
	for _, k := range kinds {
		if n := more[k]; n > 0 {
			fmt.Fprintf(w, "%sand %d more like: %s\n", file, n, k)
		}
	}
}

// kind is what findings are grouped by: severity, rule, and the message without its numbers and names.
func kind(f takeoff.Finding) string {
	words := strings.Fields(f.Message)
	if len(words) > 3 {
		words = words[:3]
	}
	keep := words[:0:0]
	for _, w := range words {
		if strings.ContainsAny(w, "0123456789\"'") {
			w = "…"
		}
		keep = append(keep, w)
	}
	s := f.Severity.String() + ": "
	if f.Rule != "" {
		s += f.Rule + " "
	}
	return s + strings.Join(keep, " ")
}

// paint colours the severity's word.
func paint(text string, s takeoff.Severity, color bool) string {
	if !color {
		return text
	}
	code := [...]string{"36", "33", "31"}[s]
	return strings.Replace(text, s.String()+":", "\x1b["+code+"m"+s.String()+"\x1b[0m:", 1)
}

// count says how many errors, warnings and notes there are.
func count(findings []takeoff.Finding) string {
	var n [3]int
	for _, f := range findings {
		n[f.Severity]++
	}
	word := func(n int, s string) string {
		if n == 1 {
			return "1 " + s
		}
		return fmt.Sprintf("%d %ss", n, s)
	}
	return word(n[takeoff.Error], "error") + ", " + word(n[takeoff.Warning], "warning") + ", " + word(n[takeoff.Note], "note")
}
