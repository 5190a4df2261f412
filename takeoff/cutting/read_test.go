package cutting

import (
	"bufio"
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// numbers reads a file of whole numbers; # starts a comment.
func numbers(t testing.TB, path string) []int64 {
	t.Helper()
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	var out []int64
	for s := bufio.NewScanner(f); s.Scan(); {
		line, _, _ := strings.Cut(s.Text(), "#")
		for _, x := range strings.Fields(line) {
			n, err := strconv.ParseInt(x, 10, 64)
			require.NoError(t, err, path)
			out = append(out, n)
		}
	}
	return out
}

// readMulti reads "K m", K lines of stock length and price, m lines of length
// and count.
func readMulti(t testing.TB, path string) Problem {
	n := numbers(t, path)
	var p Problem
	k, m := int(n[0]), int(n[1])
	n = n[2:]
	require.Len(t, n, 2*(k+m), path)
	for i := 0; i < k; i++ {
		p.Stock = append(p.Stock, Stock{n[2*i], n[2*i+1]})
	}
	for i := k; i < k+m; i++ {
		p.Pieces = append(p.Pieces, Piece{n[2*i], n[2*i+1]})
	}
	return p
}

// readSingle reads the capacity, then lines of length and count.
func readSingle(t testing.TB, path string) Problem {
	n := numbers(t, path)
	p := Problem{Stock: []Stock{{n[0], 1}}}
	for i := 1; i < len(n); i += 2 {
		p.Pieces = append(p.Pieces, Piece{n[i], n[i+1]})
	}
	return p
}

// table reads a CSV file with a header row.
func table(t testing.TB, path string) []map[string]string {
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
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

func number(t testing.TB, s string) int64 {
	n, err := strconv.ParseInt(s, 10, 64)
	require.NoError(t, err)
	return n
}

// publishedFolder finds shared/reference/cuts/single in a folder above the
// test's, or returns "".
func publishedFolder(t testing.TB) string {
	dir, err := os.Getwd()
	require.NoError(t, err)
	for {
		x := filepath.Join(dir, "shared", "reference", "cuts", "single")
		if s, err := os.Stat(x); err == nil && s.IsDir() {
			return x
		}
		up := filepath.Dir(dir)
		if up == dir {
			return ""
		}
		dir = up
	}
}
