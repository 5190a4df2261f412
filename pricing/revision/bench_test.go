package revision

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// bigHouse is a job of n walls in closed runs of four, with openings, steel, footings, membrane and prices.
func bigHouse(n int) *rowsOf {
	s := sheetOf(strings.Replace(house, "Cut effort | 0.001\n", "", 1)) // the default effort
	walls, openings := s.rows["Walls"][:1:1], s.rows["Openings"][:1:1]
	pours := s.rows["Pours"][:1:1]
	for i := range n {
		run, side := i/4, i%4
		long := []string{`33'`, `21'-4"`, `33'`, `21'-4"`}[side]
		mark := fmt.Sprintf("W%d", i+1)
		walls = append(walls, []string{fmt.Sprintf("R%d", run), mark, fmt.Sprintf("L%d", run%2+1), long, "", "corner", "", ""})
		if i%10 < 3 {
			openings = append(openings, []string{"D", mark, `3'`, `6'-8"`, "0", `5'`})
		}
	}
	for run := range 20 {
		pours = append(pours, []string{fmt.Sprintf("P%d", run), "15 cy"})
	}
	s.rows["Walls"], s.rows["Openings"], s.rows["Pours"] = walls, openings, pours
	// each run has its pour: twenty of them
	s.rows["Walls"][0] = append(s.rows["Walls"][0], "Pour")
	for i, r := range s.rows["Walls"][1:] {
		s.rows["Walls"][i+1] = append(r, fmt.Sprintf("P%d", i/4%20))
	}
	return s
}

// manyEdits are n edits of such a job: walls, openings, prices, a few definitions and rates.
func manyEdits(s *rowsOf, n int) *rowsOf {
	e := s.clone()
	height, width := e.col("Walls", "Height"), e.col("Openings", "Width")
	walls, openings := e.rows["Walls"], e.rows["Openings"]
	for i := range n {
		switch k := i % 20; {
		case k < 12:
			walls[1+i*4%(len(walls)-1)][height] = fmt.Sprintf(`%d'`, 9+i%3)
		case k < 16:
			openings[1+i%(len(openings)-1)][width] = fmt.Sprintf(`%d'`, 4+i%2)
		case k < 19:
			walls[1+(i*4+2)%(len(walls)-1)][e.col("Walls", "Notes")] = "checked"
			walls[1+(i*4+2)%(len(walls)-1)][height] = `10'-6"`
		default:
			j := 1 + i/20%(len(e.rows["Prices"])-1)
			e.rows["Prices"][j][e.col("Prices", "Price")] = fmt.Sprintf("%d.5", 10+i)
		}
	}
	return e
}

// BenchmarkTwoHundredEdits is 200 edits on a job of 1,000 walls. runs/50 is the time for fifty edits over that of reading,
// taking off and pricing the job once; over that of the whole program it is in cmd's BenchmarkProcessCompare.
func BenchmarkTwoHundredEdits(b *testing.B) {
	s := bigHouse(1000)
	old, new := mustPrice(b, s, 1), mustPrice(b, manyEdits(s, 200), 2)
	for b.Loop() {
		start := time.Now()
		mustPrice(b, s, 1)
		once := time.Since(start)
		start = time.Now()
		ch, err := Compare(old, new, Options{Version: testVersion})
		all := time.Since(start)
		require.NoError(b, err)
		require.True(b, ch.EditSum().Equal(ch.Difference()))
		b.ReportMetric(float64(len(ch.Edits)), "edits")
		b.ReportMetric(all.Seconds(), "s")
		b.ReportMetric(once.Seconds()*1000, "run-ms")
		b.ReportMetric(all.Seconds()/once.Seconds()/float64(len(ch.Edits))*50, "runs/50")
	}
}
