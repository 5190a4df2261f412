package pricing

import (
	"flag"
	"os"
)

// In CI the laws draw the same cases every time, so that a commit has one verdict; elsewhere each run draws new ones.
func init() {
	if os.Getenv("CI") != "" {
		if err := flag.Set("rapid.seed", "1"); err != nil {
			panic(err)
		}
	}
}
