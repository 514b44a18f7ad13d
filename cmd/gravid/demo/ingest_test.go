package demo

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest"
	"gravid/ingest/club"
)

// Every cell of every log is read as the careful reader of expected/ reads it.
func TestTheLogsReadAsExpected(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, Write(dir))
	c, err := club.Open(dir)
	require.NoError(t, err)
	report, err := ingest.Run(c, nil, time.Date(2026, 1, 5, 0, 0, 0, 0, time.UTC))
	require.NoError(t, err)
	compareTable(t, &report.Tables, club.TableAttempts, "expected/attempts.csv")
	compareTable(t, &report.Tables, club.TableClutches, "expected/clutches.csv")
	require.Equal(t, readingsPlanted(t), report.Readings)
}

func compareTable(t *testing.T, tables *club.Tables, name, file string) {
	t.Helper()
	schema, err := club.Find(club.Schemas(), name)
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, club.WriteCSV(&b, schema, tables, club.CSVOptions{}))
	got := records(t, b.Bytes())
	content, err := os.ReadFile(file)
	require.NoError(t, err)
	want := records(t, content)
	require.NotEmpty(t, want)
	require.Len(t, got, len(want))
	for place, w := range want {
		g, read := got[place]
		if !read {
			t.Errorf("%s: %s is missing", name, place)
			continue
		}
		for column, value := range w {
			if !sameValue(t, column, g[column], value) {
				t.Errorf("%s: %s: %s is %q, expected %q", name, place, column, g[column], value)
			}
		}
	}
}

// records reads a table into its rows by file, sheet and row, and columns by name.
func records(t *testing.T, content []byte) map[string]map[string]string {
	t.Helper()
	lines, err := csv.NewReader(bytes.NewReader(content)).ReadAll()
	require.NoError(t, err)
	out := map[string]map[string]string{}
	for _, line := range lines[1:] {
		r := map[string]string{}
		for i, head := range lines[0] {
			r[head] = line[i]
		}
		place := r["source_file"] + " › " + r["source_sheet"] + " › row " + r["source_row"]
		require.NotContains(t, out, place)
		out[place] = r
	}
	return out
}

func sameValue(t *testing.T, column, got, want string) bool {
	t.Helper()
	if want == "null" {
		want = ""
	}
	switch column {
	case "notes": // also hold what the tables have no room for
		return strings.Contains(got, want)
	case "ended":
		if want == "" { // of an attempt that spawned it follows from the spawning
			return true
		}
	}
	if at, err := time.Parse(time.RFC3339, got); err == nil {
		zone, err := time.LoadLocation("Europe/Berlin")
		require.NoError(t, err)
		local := at.In(zone)
		return local.Format("2006-01-02T15:04") == want || local.Format("2006-01-02T15:04:05") == want+"T00:00:00"
	}
	a, errA := strconv.ParseFloat(got, 64)
	b, errB := strconv.ParseFloat(want, 64)
	if errA == nil && errB == nil {
		return a-b < 1e-6 && b-a < 1e-6
	}
	return strings.EqualFold(got, want) // TRUE and true
}

// readingsPlanted is how many readings truth.json says that the loggers hold.
func readingsPlanted(t *testing.T) int {
	t.Helper()
	var truth struct {
		Loggers []struct {
			Readings int `json:"readings"`
		} `json:"loggers"`
	}
	require.NoError(t, json.Unmarshal(Truth(), &truth))
	n := 0
	for _, l := range truth.Loggers {
		n += l.Readings
	}
	return n
}
