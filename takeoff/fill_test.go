package takeoff

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"wallbill/takeoff/length"
)

// Units of 50 in, smallest piece 7 in. Worked by hand from R-BLOCK's words:
//   - 120 in, odd: 120 = 2·50 + 20: two whole and a piece of 20.
//   - 120 in, even from a jamb: a half of 25 first, rest 95 = 1·50 + 45: one whole and a piece of 45.
//   - 120 in, even from a corner leg: no half.
//   - 104 in: 104 = 2·50 + 4, and 4 is under 7: one whole fewer, pieces 50 + 4 − 7 = 47 and 7.
//   - 50 in on an even course from a jamb: S ≤ U is one piece, and a piece of a unit is a whole unit.
//   - 78 in, even from a jamb: 78 − 25 = 53 = 1·50 + 3: no whole left, pieces 50 + 3 − 7 = 46 and 7.
//   - cut step 2 in: 120 = 2·50 + 20 stays 20; 49.5 is raised to 50: a whole unit; 104 gives 47 raised to 48 and 7 to 8.
//   - cut step 8 in, 49 in: the next step 56 is more than a unit: a unit, whole.
func TestFill(t *testing.T) {
	for _, c := range []struct {
		name       string
		s, step    string
		even, edge bool
		whole      int
		cut        []string // of pieces in order
	}{
		{"odd", `120"`, `0"`, false, true, 2, []string{`20"`}},
		{"even from a jamb", `120"`, `0"`, true, true, 1, []string{`25"`, `45"`}},
		{"even from a leg", `120"`, `0"`, true, false, 2, []string{`20"`}},
		{"smallest made up", `104"`, `0"`, false, true, 1, []string{`47"`, `7"`}},
		{"one unit", `50"`, `0"`, true, true, 1, nil},
		{"half then made up", `78"`, `0"`, true, true, 0, []string{`25"`, `46"`, `7"`}},
		{"short", `3"`, `0"`, true, true, 0, []string{`3"`}},
		{"exact units", `150"`, `0"`, false, true, 3, nil},
		{"step", `120"`, `2"`, false, true, 2, []string{`20"`}},
		{"step to a unit", `49 1/2"`, `2"`, false, true, 1, nil},
		{"step of both", `104"`, `2"`, false, true, 1, []string{`48"`, `8"`}},
		{"step over a unit", `49"`, `8"`, false, true, 1, nil},
		{"nothing", `0"`, `0"`, false, true, 0, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			whole := 0
			var cut []string
			for _, u := range (filling{ft(`50"`), ft(`7"`), ft(c.step)}).fill(ft(c.s), c.even, c.edge, nil) {
				if u.whole {
					whole++
				} else {
					cut = append(cut, u.cut.FtIn())
				}
			}
			want := []string(nil)
			for _, x := range c.cut {
				want = append(want, ft(x).FtIn())
			}
			assert.Equal(t, c.whole, whole)
			assert.Equal(t, want, cut)
		})
	}
}

// Whatever the lengths, what is laid adds up to the segment, no piece is longer than a unit, and none is cut shorter than it
// is laid. A piece under the smallest is the segment itself.
func TestFillAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := filling{unit: length.Length(rapid.Int64Range(1000, 2000).Draw(t, "unit"))}
		f.smallest = length.Length(rapid.Int64Range(1, int64(f.unit)/3).Draw(t, "smallest"))
		f.step = length.Length(rapid.Int64Range(0, 50).Draw(t, "step"))
		s := length.Length(rapid.Int64Range(0, 20_000).Draw(t, "segment"))
		sum := length.Length(0)
		laid := f.fill(s, rapid.Bool().Draw(t, "even"), rapid.Bool().Draw(t, "edge"), nil)
		for _, u := range laid {
			sum += u.length
			if u.length <= 0 || u.cut < u.length || u.cut > f.unit || u.whole != (u.cut == f.unit) {
				t.Fatalf("laid %+v", u)
			}
			if u.length < f.smallest && len(laid) > 1 {
				t.Fatalf("a piece of %d among others", u.length)
			}
		}
		if sum != s {
			t.Fatalf("laid %d of %d", sum, s)
		}
	})
}
