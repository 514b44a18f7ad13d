package notebooks

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
)

// A read table is what readers/read.js says that a file holds.
type read struct {
	Columns []struct {
		Name     string `json:"name"`
		Type     string `json:"type"`
		Nullable bool   `json:"nullable"` // of Arrow files
		Unit     string `json:"unit"`     // of Arrow files
	} `json:"columns"`
	Rows [][]*string `json:"rows"`
}

// typeNames are what the readers call the kinds of column: Apache Arrow for
// JavaScript, and DuckDB.
var typeNames = map[club.Kind][2]string{
	club.KindText:    {"Utf8", "VARCHAR"},
	club.KindNumber:  {"Float64", "DOUBLE"},
	club.KindInteger: {"Int64", "BIGINT"},
	club.KindTruth:   {"Bool", "BOOLEAN"},
	club.KindWhen:    {"Timestamp<SECOND, UTC>", "TIMESTAMP WITH TIME ZONE"},
}

const readers = "testdata/readers"

// modules finds the libraries of the readers, which .ci/run install keeps in the
// user's cache so that a fresh clone need not install them anew.
func modules(t *testing.T) string {
	t.Helper()
	if _, err := exec.LookPath("node"); err != nil {
		absent(t, "node")
	}
	cache, err := os.UserCacheDir()
	require.NoError(t, err)
	installed, err := os.ReadFile(filepath.Join(cache, "gravid", "readers", "installed.json"))
	if err != nil {
		absent(t, "apache-arrow and @duckdb/node-api for node")
	}
	wanted, err := os.ReadFile(filepath.Join(readers, "package-lock.json"))
	require.NoError(t, err)
	if !bytes.Equal(installed, wanted) {
		absent(t, "the version of apache-arrow and @duckdb/node-api that is wanted")
	}
	return filepath.Join(cache, "gravid", "readers", "node_modules")
}

// run runs gravid, which may find errors in logs.
func run(t *testing.T, words ...string) {
	t.Helper()
	const logsHaveErrors = 3
	said, err := exec.Command(filepath.Join(gravidFolder(t), "gravid"), words...).CombinedOutput()
	if fault, ok := err.(*exec.ExitError); !ok || fault.ExitCode() != logsHaveErrors {
		require.NoError(t, err, "%v\n%s", words, said)
	}
}

// TestExportsAreReadByOthers has Arrow files read by Apache Arrow for JavaScript and
// Parquet files by DuckDB, neither of which shares code with what writes them, and
// compares every type and every cell with the CSV file.
func TestExportsAreReadByOthers(t *testing.T) {
	if testing.Short() {
		t.Skip("makes the demo club")
	}
	modules := modules(t)
	demo := filepath.Join(t.TempDir(), "demo")
	run(t, "demo", demo)
	odd := filepath.Join(t.TempDir(), "odd")
	require.NoError(t, os.CopyFS(odd, os.DirFS("testdata/odd")))
	run(t, "ingest", "--club", odd)

	seen := map[club.Kind]int{}
	for _, c := range []struct {
		name, folder string
		own          []club.Column
	}{
		{"demo", demo, nil},
		{"odd", odd, []club.Column{{Name: "rice_hulls", Kind: club.KindTruth}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			words := []string{filepath.Join(readers, "read.js")}
			for _, s := range club.Schemas(c.own...) {
				for _, format := range []string{"csv", "arrow", "parquet"} {
					file := filepath.Join(dir, s.Table+"."+format)
					run(t, "export", s.Table, "--club", c.folder, "--format", format, "--raw", "-o", file)
					if format != "csv" {
						words = append(words, file)
					}
				}
			}
			node := exec.Command("node", words...)
			node.Env = append(os.Environ(), "NODE_PATH="+modules, "TZ=America/Los_Angeles")
			var faults bytes.Buffer
			node.Stderr = &faults
			out, err := node.Output()
			require.NoError(t, err, faults.String())
			var tables map[string]read
			require.NoError(t, json.Unmarshal(out, &tables))
			for _, s := range club.Schemas(c.own...) {
				records := readCSV(t, filepath.Join(dir, s.Table+".csv"))
				for i, format := range []string{"arrow", "parquet"} {
					r, found := tables[s.Table+"."+format]
					require.True(t, found, "%s.%s", s.Table, format)
					requireSame(t, s, records, r, i, seen)
				}
			}
		})
	}
	for kind := range typeNames {
		require.Positive(t, seen[kind], "no cell of kind %s was compared", kind)
	}
}

func readCSV(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open(name)
	require.NoError(t, err)
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	return records
}

// requireSame compares what a reader found with the CSV file; reader is the place of
// its names in typeNames. seen counts the cells compared that hold something.
func requireSame(t *testing.T, s club.Schema, records [][]string, r read, reader int, seen map[club.Kind]int) {
	t.Helper()
	arrow := reader == 0
	require.Len(t, r.Columns, len(s.Columns), s.Table)
	for j, c := range s.Columns {
		require.Equal(t, c.Name, r.Columns[j].Name, s.Table)
		require.Equal(t, c.Name, records[0][j], s.Table)
		require.Equal(t, typeNames[c.Kind][reader], r.Columns[j].Type, "%s.%s", s.Table, c.Name)
		if arrow {
			require.True(t, r.Columns[j].Nullable, "%s.%s", s.Table, c.Name)
			require.Equal(t, c.Unit, r.Columns[j].Unit, "%s.%s", s.Table, c.Name)
		}
	}
	require.Len(t, r.Rows, len(records)-1, s.Table)
	for i, row := range r.Rows {
		for j, c := range s.Columns {
			want := records[i+1][j]
			if row[j] == nil {
				require.Empty(t, want, "%s, row %d, %s: nothing was read", s.Table, i, c.Name)
				continue
			}
			have := *row[j]
			seen[c.Kind]++
			if c.Kind == club.KindNumber {
				require.Equal(t, number(t, want), number(t, have), "%s, row %d, %s", s.Table, i, c.Name)
				continue
			}
			require.NotEmpty(t, have, "%s, row %d, %s: an empty text is no null", s.Table, i, c.Name)
			require.Equal(t, want, have, "%s, row %d, %s", s.Table, i, c.Name)
		}
	}
}

// number is exact: both sides write as many digits as it takes.
func number(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return x
}
