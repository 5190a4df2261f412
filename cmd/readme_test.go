package cmd

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wallbill/takeoff"
	"wallbill/takeoff/schedule"
)

var updateReadme = flag.Bool("update-readme", false, "write the generated parts of README.md anew")

// The README's tables of tabs, rules and settings are the program's own.
func TestReadmeIsGenerated(t *testing.T) {
	path := filepath.Join("..", "README.md")
	old, err := os.ReadFile(path)
	require.NoError(t, err)
	text := string(old)
	for name, part := range map[string]string{"tabs": tabsPart(), "rules": rulesPart(), "settings": settingsPart()} {
		begin := "<!-- generated: " + name + " -->\n"
		i := strings.Index(text, begin)
		require.Positive(t, i, name)
		j := strings.Index(text[i:], "<!-- end -->")
		require.Positive(t, j, name)
		text = text[:i+len(begin)] + "\n" + part + "\n" + text[i+j:]
	}
	if *updateReadme {
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		return
	}
	require.Equal(t, text, string(old), "run: go test ./cmd -run TestReadmeIsGenerated -update-readme")
}

// tabsPart lists tabs and columns; required columns are bold.
func tabsPart() string {
	var b strings.Builder
	for i := range schedule.Tabs {
		tab := &schedule.Tabs[i]
		fmt.Fprintf(&b, "**%s** — %s. ", tab.Name, strings.TrimSuffix(tab.Help, "."))
		for k := range tab.Columns {
			c := &tab.Columns[k]
			name := c.Header(takeoff.InFeet)
			if c.Required {
				name = "**" + name + "**"
			}
			if k > 0 {
				b.WriteString(", ")
			}
			b.WriteString(name)
			if len(c.Choices) > 0 && len(c.Choices) < 8 {
				b.WriteString(" (`" + strings.Join(c.Choices, "`, `") + "`)")
			}
		}
		b.WriteString(".\n\n")
	}
	return strings.TrimSuffix(b.String(), "\n")
}

func rulesPart() string {
	var b strings.Builder
	b.WriteString("| rule | what | source |\n| --- | --- | --- |\n")
	for _, r := range takeoff.Rules {
		fmt.Fprintf(&b, "| %s | %s: %s | %s |\n", r.ID, r.Title, r.Words, r.Source)
	}
	return b.String()
}

func settingsPart() string {
	var b strings.Builder
	b.WriteString("| setting | default | what | source |\n| --- | --- | --- | --- |\n")
	for _, s := range takeoff.Catalogue {
		if s.Rule == "" {
			continue
		}
		d := s.Default
		if s.Metric != "" {
			d += ", metric " + s.Metric
		}
		if d == "" {
			d = "none"
		}
		fmt.Fprintf(&b, "| %s | %s | %s (%s) | %s |\n", s.Name, d, s.Help, s.Rule, s.Source)
	}
	return b.String()
}
