package cmd

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
)

// run runs a command line in this process.
func run(t *testing.T, args ...string) (status int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	status = Run(args, Streams{In: strings.NewReader(""), Out: &o, Err: &e})
	return status, o.String(), e.String()
}

// asLists writes an instance of the planner's test data ("K m", K lines of stock length and price, m lines of length and
// count) as the two lists that cut reads.
func asLists(t *testing.T, path string) (pieces, stock string) {
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	var n []string
	for _, line := range strings.Split(string(text), "\n") {
		line, _, _ = strings.Cut(line, "#")
		n = append(n, strings.Fields(line)...)
	}
	k, err := strconv.Atoi(n[0])
	require.NoError(t, err)
	n = n[2:]
	dir := t.TempDir()
	pieces, stock = filepath.Join(dir, "pieces.csv"), filepath.Join(dir, "stock.csv")
	var s, p strings.Builder
	s.WriteString("price,length\n")
	p.WriteString("quantity,mark,length\n")
	for i := 0; i < len(n); i += 2 {
		if i < 2*k {
			fmt.Fprintf(&s, "%s,%s\n", n[i+1], n[i])
		} else {
			fmt.Fprintf(&p, "%s,M%d,%s\n", n[i+1], i/2-k+1, n[i])
		}
	}
	require.NoError(t, os.WriteFile(pieces, []byte(p.String()), 0o600))
	require.NoError(t, os.WriteFile(stock, []byte(s.String()), 0o600))
	return pieces, stock
}

// The command on the planner's own instances of several stock lengths, as anybody runs it: the least cost it gives is not
// above the best cost known, its cost not below the lower bound known (both in index_multi.csv, with their sources), what it
// buys is what it says, and every piece is cut. With effort 1 it is at most 0.2% over the best cost known.
func TestCutOnKnownInstances(t *testing.T) {
	folder := filepath.Join("..", "takeoff", "cutting", "testdata")
	f, err := os.Open(filepath.Join(folder, "index_multi.csv"))
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	column := map[string]int{}
	for i, h := range rows[0] {
		column[h] = i
	}
	ran := 0
	for _, r := range rows[1:] {
		path := filepath.Join(folder, r[column["file"]])
		if _, err := os.Stat(path); err != nil {
			continue
		}
		ran++
		t.Run(r[column["name"]], func(t *testing.T) {
			t.Parallel()
			pieces, stock := asLists(t, path)
			status, out, errs := run(t, "cut", pieces, "--stock", stock, "--unit", "mm", "--json", "-")
			require.Zero(t, status, errs)
			var plan jsonCutPlan
			require.NoError(t, json.Unmarshal([]byte(out), &plan))
			bound, best := decimal.RequireFromString(r[column["lower_bound"]]), decimal.RequireFromString(r[column["best_cost"]])
			cost, least := decimal.RequireFromString(plan.Cost), decimal.RequireFromString(plan.LeastCost)
			require.True(t, cost.GreaterThanOrEqual(bound), "cost %s under the bound %s", cost, bound)
			require.True(t, least.LessThanOrEqual(best), "least cost %s over a plan of %s", least, best)
			require.True(t, cost.LessThanOrEqual(best.Mul(decimal.RequireFromString("1.002"))), "cost %s, best known %s", cost, best)
			require.Equal(t, cost.Equal(least), plan.Proven)
			recount(t, plan, pieces, stock)
		})
	}
	require.GreaterOrEqual(t, ran, 15)
}

// recount counts a plan from its JSON and the lists alone.
func recount(t *testing.T, plan jsonCutPlan, pieces, stock string) {
	table := func(path string) []map[string]string {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
		require.NoError(t, err)
		var out []map[string]string
		for _, r := range rows[1:] {
			m := map[string]string{}
			for i, h := range rows[0] {
				m[h] = r[i]
			}
			out = append(out, m)
		}
		return out
	}
	price, want := map[string]decimal.Decimal{}, map[string]int64{}
	for _, r := range table(stock) {
		price[r["length"]] = decimal.RequireFromString(r["price"])
	}
	for _, r := range table(pieces) {
		n, err := strconv.ParseInt(r["quantity"], 10, 64)
		require.NoError(t, err)
		want[r["length"]] += n
	}
	cost, bought := decimal.Zero, int64(0)
	for _, p := range plan.Patterns {
		each, sold := price[p.Stock]
		require.True(t, sold, "no stock of %s", p.Stock)
		left := decimal.RequireFromString(p.Stock)
		for _, x := range p.Pieces {
			want[x.Length] -= x.Count * p.Times
			left = left.Sub(decimal.RequireFromString(x.Length).Mul(decimal.NewFromInt(x.Count)))
		}
		require.Equal(t, p.Drop, left.String())
		require.False(t, left.IsNegative())
		cost = cost.Add(each.Mul(decimal.NewFromInt(p.Times)))
		bought += p.Times
	}
	require.Equal(t, plan.Cost, cost.String())
	require.Equal(t, plan.Bought, bought)
	for l, n := range want {
		require.Zero(t, n, "pieces of %s left to cut", l)
	}
}

// A list of 100,000 rows of equal pieces, each with a mark of its own: 100,000 pieces of 24
// in from 240 in are 10,000 stock pieces.
func TestCutLongList(t *testing.T) {
	dir := t.TempDir()
	pieces, stock := filepath.Join(dir, "pieces.csv"), filepath.Join(dir, "stock.csv")
	var b strings.Builder
	b.WriteString("length,quantity,mark\n")
	for i := range 100_000 {
		fmt.Fprintf(&b, "\"2'-0\"\"\",1,M%d\n", i)
	}
	require.NoError(t, os.WriteFile(pieces, []byte(b.String()), 0o600))
	require.NoError(t, os.WriteFile(stock, []byte("length\n240\n"), 0o600))
	status, out, errs := run(t, "cut", pieces, "--stock", stock)
	require.Zero(t, status, errs)
	require.Contains(t, out, "buy 10000 stock pieces: proven least")
	require.Contains(t, out, "M99999")
	require.Contains(t, out, "100000 in all: M0 × 1, M1 × 1,")
}
