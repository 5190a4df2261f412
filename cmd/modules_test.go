package cmd

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The review of modules in DEVELOPERS.md is of the versions that go.mod pins: a changed pin, a new module or one that went
// asks for a new review of its row.
func TestModulesAreReviewed(t *testing.T) {
	read := func(name string) string {
		b, err := os.ReadFile(filepath.Join("..", name))
		require.NoError(t, err)
		return string(b)
	}
	pinned := map[string]string{}
	for _, block := range regexp.MustCompile(`(?s)require \((.*?)\n\)`).FindAllStringSubmatch(read("go.mod"), -1) {
		for _, line := range strings.Split(block[1], "\n") {
			if words := strings.Fields(line); len(words) >= 2 {
				pinned[words[0]] = words[1]
			}
		}
	}
	require.Greater(t, len(pinned), 20)
	reviewed := map[string]string{}
	_, review, found := strings.Cut(read("DEVELOPERS.md"), "## Modules and what reaches them")
	require.True(t, found)
	review, _, _ = strings.Cut(review, "\n## ")
	for _, row := range regexp.MustCompile("(?m)^\\| `([^`]+)` \\| (\\S+) \\| (.+) \\| (.+) \\| (.+) \\|$").FindAllStringSubmatch(review, -1) {
		assert.NotContains(t, reviewed, row[1])
		reviewed[row[1]] = row[2]
	}
	assert.Equal(t, pinned, reviewed)
	assert.Regexp(t, `Review of \d{4}-\d\d-\d\d`, review)
}
