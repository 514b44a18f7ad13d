package source

import (
	"bytes"
	"math/rand/v2"
	"os"
	"reflect"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/problem"
)

// Row 41 of the list of hostile inputs: a workbook with one to three flipped bits
// either reads the same or says that it is damaged; it never gives other data in
// silence. FLIPS sets how many damaged copies are tried.
func TestRow41FlippedBits(t *testing.T) {
	flips := 150
	if s := os.Getenv("FLIPS"); s != "" {
		n, err := strconv.Atoi(s)
		require.NoError(t, err)
		flips = n
	}
	books := map[string][]byte{"written here": excelBytes(t, writeLog(t))}
	for _, name := range []string{"log-libreoffice.xlsx", "log-libreoffice.ods"} {
		raw, err := os.ReadFile("testdata/" + name)
		require.NoError(t, err)
		books[name] = raw
	}
	random := rand.New(rand.NewPCG(41, 1))
	refused, same := 0, 0
	for name, raw := range books {
		want := snapshot(Read("log", raw, Limits{}))
		for range flips / len(books) {
			damaged := bytes.Clone(raw)
			for range 1 + random.IntN(3) {
				bit := random.IntN(8 * len(damaged))
				damaged[bit/8] ^= 1 << (bit % 8)
			}
			f := Read("log", damaged, Limits{})
			if hasError(f) {
				refused++
				continue
			}
			require.True(t, reflect.DeepEqual(want, snapshot(f)), "%s: other data without an error", name)
			same++
		}
	}
	t.Logf("%d refused, %d read the same", refused, same)
	require.NotZero(t, refused)
}

// snapshot is all data of a file.
func snapshot(f File) []any {
	var all []any
	for _, g := range f.Grids {
		all = append(all, g.Sheet, g.Hidden, g.HiddenColumns, g.Merges, copyRows(g))
	}
	return all
}

func hasError(f File) bool {
	for _, p := range f.Problems {
		if p.Severity == problem.Error {
			return true
		}
	}
	return false
}
