package cutting

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Small sets with several stock lengths, solved by an outside program (glpsol of
// Debian's glpk-utils) as an integer program over every pattern there is.
func TestAgreesWithGlpsol(t *testing.T) {
	path, err := exec.LookPath("glpsol")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("glpsol (glpk-utils) must be installed in CI")
		}
		t.Skip("glpsol (glpk-utils) is not installed")
	}
	n, proven, solvedByGlpsol := 40, 0, 0
	if testing.Short() {
		n = 10
	}
	for seed := 1; seed <= n; seed++ {
		p := smallProblem(uint64(seed))
		least, ok := glpsol(t, path, p)
		if !ok {
			continue
		}
		solvedByGlpsol++
		plan := solved(t, p, 1000)
		require.LessOrEqual(t, plan.LeastCost, least, "false bound, seed %d: %+v", seed, p)
		require.Equal(t, least, plan.Cost, "seed %d: %+v", seed, p)
		if plan.Proven {
			proven++
		}
	}
	require.GreaterOrEqual(t, solvedByGlpsol, n*3/4)
	t.Logf("%d sets agree, %d of them proven here", solvedByGlpsol, proven)
}

func smallProblem(seed uint64) Problem {
	r := rand.New(rand.NewPCG(seed, 3))
	p := Problem{Kerf: r.Int64N(4)}
	for k := 2 + r.IntN(3); k > 0; k-- {
		l := 60 + r.Int64N(140)
		p.Stock = append(p.Stock, Stock{l, l*10 + r.Int64N(200)})
	}
	long := int64(0)
	for _, s := range p.Stock {
		long = max(long, s.Length)
	}
	for m := 3 + r.IntN(5); m > 0; m-- {
		p.Pieces = append(p.Pieces, Piece{20 + r.Int64N(long-19), 1 + r.Int64N(9)})
	}
	return p
}

// glpsol solves p over all patterns; ok is false when it ran out of time.
func glpsol(t *testing.T, path string, p Problem) (least int64, ok bool) {
	lines := map[int64]int64{}
	for _, x := range p.Pieces {
		lines[x.Length] += x.Count
	}
	var length, count []int64
	for l, n := range lines {
		length, count = append(length, l), append(count, n)
	}
	var cost []string
	rows := make([][]string, len(length))
	var names []string
	for _, s := range p.Stock {
		var walk func(i int, room int64, k []int64)
		walk = func(i int, room int64, k []int64) {
			if i == len(length) {
				name := fmt.Sprintf("x%d", len(names))
				used := false
				for h, n := range k {
					if n > 0 {
						rows[h] = append(rows[h], fmt.Sprintf("%d %s", n, name))
						used = true
					}
				}
				if used {
					names = append(names, name)
					cost = append(cost, fmt.Sprintf("%d %s", s.Price, name))
				}
				return
			}
			for n := int64(0); n <= count[i] && n*(length[i]+p.Kerf) <= room; n++ {
				walk(i+1, room-n*(length[i]+p.Kerf), append(k[:len(k):len(k)], n))
			}
		}
		walk(0, s.Length+p.Kerf, nil)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Minimize\n cost: %s\nSubject To\n", strings.Join(cost, "\n + "))
	for i := range rows {
		fmt.Fprintf(&b, " r%d: %s >= %d\n", i, strings.Join(rows[i], "\n + "), count[i])
	}
	fmt.Fprintf(&b, "General\n %s\nEnd\n", strings.Join(names, "\n "))
	dir := t.TempDir()
	in, out := filepath.Join(dir, "p.lp"), filepath.Join(dir, "p.txt")
	require.NoError(t, os.WriteFile(in, []byte(b.String()), 0o600))
	log, err := exec.Command(path, "--lp", in, "--tmlim", "5", "-o", out).CombinedOutput()
	require.NoError(t, err, string(log))
	text, err := os.ReadFile(out)
	require.NoError(t, err)
	if !strings.Contains(string(text), "INTEGER OPTIMAL") {
		return 0, false
	}
	m := regexp.MustCompile(`Objective:\s+cost = (\d+)`).FindStringSubmatch(string(text))
	require.NotNil(t, m, string(text))
	least, err = strconv.ParseInt(m[1], 10, 64)
	require.NoError(t, err)
	return least, true
}
