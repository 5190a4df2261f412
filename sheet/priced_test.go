package sheet

import (
	"bytes"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

func writeSite(t *testing.T, s *pricedSite) []byte {
	t.Helper()
	bid := priceSite(s)
	for _, f := range bid.Findings {
		require.NotEqual(t, "error", f.Severity.String(), f.Text())
	}
	f := scheduleBook()
	defer f.Close()
	var b bytes.Buffer
	_, err := WritePriced(&b, f, testRun, bid, PricedOptions{})
	require.NoError(t, err)
	return b.Bytes()
}

func TestWritePriced(t *testing.T) {
	b := writeSite(t, fullSite())
	if dir := os.Getenv("KEEP"); dir != "" {
		require.NoError(t, os.WriteFile(dir+"/full.xlsx", b, 0o644))
	}
}

func TestSpreadsheetComesToTheStoredValues(t *testing.T) {
	requireRecalculated(t, writeSite(t, fullSite()))
}
