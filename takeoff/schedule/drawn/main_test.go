package drawn

import (
	"flag"
	"os"
	"testing"
)

// The race detector's short round tries each law on fewer schedules.
func TestMain(m *testing.M) {
	flag.Parse()
	if testing.Short() {
		_ = flag.Set("rapid.checks", "15")
	}
	os.Exit(m.Run())
}
