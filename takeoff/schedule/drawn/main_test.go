package drawn

import (
	"flag"
	"os"
	"testing"
)

// few schedules are too few to judge by their share: a short run only looks for what fails.
const few = 50

// The race detector's short round tries each law on fewer schedules; the library draws a fifth of these.
func TestMain(m *testing.M) {
	flag.Parse()
	if testing.Short() {
		_ = flag.Set("rapid.checks", "50")
	}
	os.Exit(m.Run())
}
