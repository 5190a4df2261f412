package takeoff

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestFindingPrint(t *testing.T) {
	f := Finding{Severity: Error, At: Ref{Tab: "Walls", Row: 14, Col: 6}, Subject: "Height, wall W-07", Message: "the inches are 12 or more", Cell: `9'-15"`, Try: `10'-3"`}
	assert.Equal(t, "walls.xlsx: error: Walls!F14 (Height, wall W-07): the inches are 12 or more\n    cell  9'-15\"\n    try   10'-3\"\n", f.Print("walls.xlsx"))
	f = Finding{Severity: Note, At: Ref{File: "prices.xlsx", Tab: "Prices", Row: 1, Col: 28}, Message: "not a column of Prices: 'Colour'", Accepted: "any"}
	assert.Equal(t, "prices.xlsx: note: Prices!AB1: not a column of Prices: 'Colour'\n    ok    any\n", f.Print("walls.xlsx"))
	f = Finding{Severity: Warning, Message: "nothing"}
	assert.Equal(t, "warning: nothing\n", f.Print(""))
	f = Finding{Severity: Error, At: Ref{Tab: "Walls"}, Message: "the tab is missing"}
	assert.Equal(t, "a.xlsx: error: Walls: the tab is missing\n", f.Print("a.xlsx"))
}
