package drawn

import (
	"fmt"
	"strings"
)

// Estate is the text of a schedule, tabs and cells as sheet.WritePlain takes them: a job of n walls in closed runs of four with 0.3 openings a wall, every price given.
func Estate(n int) string {
	var b strings.Builder
	b.WriteString(`Job
Setting | Value
Job | Many walls
Form line | M
Bid date | 2026-11-02
Sales tax | 6%
Overhead | 10%
Profit | 8%

Forms
Form line | Kind | Core | Foam | Unit length | Course height | Half course | Corner long leg | Corner short leg | Pressure rating
M | block | 6" | 2 1/4" | 4'-2" | 1'-3" | 7 1/2" | 3'-0" | 1'-9" | 900 psf

Parts
Form line | Part | Counted | Spacing
M | tie | tie row | 8"

Bars
Mark | Vertical bar | Vertical spacing | Horizontal bar | Horizontal spacing | Dowel bar | Jamb bar | Jamb bars | Lintel bar | Lintel top bars | Lintel bottom bars | Stirrup bar | Stirrup spacing | Sill bars
V1 | #4 | 1'-6" | #4 | 2'-6" | #4 | #4 | 2 | #5 | 1 | 2 | #3 | 7" | 1

Footings
Mark | Width | Depth | Along bar | Along bars | Across bar | Across spacing | Cast with wall
S1 | 1'-11" | 9" | #4 | 2 | #4 | 1'-8" | yes

`)
	b.WriteString("Prices\nItem | Unit | Length | Price | Waste | Group | Kind | Supplier\n")
	for _, r := range []string{
		"M-6in-block | ea | | 24 | 3% | 03 11 19 | material | Yard", "M-6in-half | ea | | 14 | 3% | 03 11 19 | material | Yard",
		"M-6in-corner | ea | | 30 | | 03 11 19 | material | Yard", "M-6in-corner-half | ea | | 18 | | 03 11 19 | material | Yard", "M-tie | ea | | 0.4 | 5% | 03 11 19 | material | Yard",
		"bar-#3 | ea | 20' | 5 | | 03 20 00 | material | Steel", "bar-#4 | ea | 20' | 9 | | 03 20 00 | material | Steel", "bar-#4 | ea | 40' | 17.5 | | 03 20 00 | material | Steel",
		"bar-#5 | ea | 20' | 14 | | 03 20 00 | material | Steel", "concrete-wall | cy | | 150 | | 03 30 00 | material | Ready", "concrete-footing | cy | | 140 | | 03 30 00 | material | Ready",
		"short-load | cy | | 30 | | 03 30 00 | material | Ready", "footing-board | ft | | 0.8 | | 03 11 13 | material | Lumber", "stake | ea | | 1.2 | | 03 11 13 | material | Lumber",
		"spreader | ea | | 2 | | 03 11 13 | material | Lumber", "brace-set | week | | 6 | | 01 54 23 | rental | Rent", "plank | week | | 2 | | 01 54 23 | rental | Rent",
		"rail | ft | | 0.5 | | 01 54 23 | material | Lumber", "brace-delivery | ea | | 90 | | 01 54 23 | rental | Rent", "membrane-roll | roll | | 190 | | 07 13 26 | material | Damp",
		"board-roll | roll | | 120 | | 07 13 26 | material | Damp", "primer | sqft | | 0.2 | | 07 13 26 | material | Damp", "drain-pipe | ft | | 1.1 | | 33 41 16 | material | Damp",
		"drain-stone | cy | | 40 | | 33 41 16 | material | Damp", "drain-fabric | sqft | | 0.15 | | 33 41 16 | material | Damp", "buck-spreader | ea | | 6 | | 06 10 00 | material | Lumber",
	} {
		b.WriteString(r + "\n")
	}
	b.WriteString("\nWalls\nRun | Wall | Level | Pour | Length | Height | Core | Turn | Bars | Footing | Below grade | Below grade at end | Below-grade cover\n")
	for i := range n {
		run := i / 4
		fmt.Fprintf(&b, "R%d | W%d | L%d | P%d | %s | 7'-6\" | 6\" | corner | V1 | S1 | 6'-0\" | 4'-0\" | membrane\n", run, i+1, run%5, run%20, []string{"33'-0\"", "21'-4\""}[i%2])
	}
	b.WriteString("\nOpenings\nOpening | Wall | Width | Height | Sill | At\n")
	for i := range n {
		if i%10 < 3 {
			fmt.Fprintf(&b, "D | W%d | 3'-0\" | 6'-8\" | 0 | 5'-0\"\n", i+1)
		}
	}
	return b.String()
}
