package club_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
)

func TestWriteCSV(t *testing.T) {
	at := time.Date(2024, 3, 1, 6, 30, 0, 0, time.UTC)
	rows := club.Tables{Readings: []club.Reading{
		{Keeper: "Ana", Place: "=cmd|' /c calc'!A0", At: club.Some(at), Quantity: "temperature_c", Value: club.Some(-2.5), Source: club.Source{File: "ana, old.csv", Row: 2}},
		{Keeper: "-2", Value: club.Some(1e300)},
	}}
	s, err := club.Find(club.Schemas(), club.TableReadings)
	require.NoError(t, err)
	write := func(o club.CSVOptions) string {
		var b bytes.Buffer
		require.NoError(t, club.WriteCSV(&b, s, &rows, o))
		return b.String()
	}
	header := "keeper,system,place,at,quantity,value,source_file,source_sheet,source_row\r\n"
	guarded := header +
		"Ana,,'=cmd|' /c calc'!A0,2024-03-01T06:30:00Z,temperature_c,-2.5,\"ana, old.csv\",,2\r\n" +
		"'-2,,,,,1e+300,,,\r\n"
	require.Equal(t, guarded, write(club.CSVOptions{}))
	require.Equal(t, "\ufeff"+guarded, write(club.CSVOptions{ForSpreadsheet: true}))
	require.Equal(t, strings.NewReplacer("'=", "=", "'-2", "-2").Replace(guarded), write(club.CSVOptions{Raw: true}))
	require.ErrorContains(t, club.WriteCSV(&fullDisk{100}, s, &rows, club.CSVOptions{}), "no space left")
}

// TestCSVHoldsEveryCell reads the CSV of all tables by the standard library.
func TestCSVHoldsEveryCell(t *testing.T) {
	rows := random(30).rows(200)
	for _, s := range club.Schemas(own...) {
		var b bytes.Buffer
		require.NoError(t, club.WriteCSV(&b, s, &rows, club.CSVOptions{}))
		lines, err := csv.NewReader(&b).ReadAll()
		require.NoError(t, err)
		require.Len(t, lines, 201, s.Table)
		filled := make([]int, len(s.Columns))
		for _, line := range lines[1:] {
			for i, cell := range line {
				if cell != "" {
					filled[i]++
				}
			}
		}
		for i, n := range filled {
			require.Positive(t, n, "%s.%s is never filled", s.Table, s.Columns[i].Name)
		}
	}
	a := rows.Attempts[0]
	a.Own = map[string]club.Number{"rice_hulls": club.Some(1.0), "tea": club.Some(0.25)}
	var b bytes.Buffer
	require.NoError(t, club.WriteCSV(&b, club.Schemas(own...)[0], &club.Tables{Attempts: []club.Attempt{a}}, club.CSVOptions{}))
	require.True(t, strings.HasSuffix(b.String(), ",TRUE,0.25\r\n"))
}

func TestGuardFormula(t *testing.T) {
	for text, want := range map[string]string{
		"": "", "plain": "plain", "a=b": "a=b", "=1+1": "'=1+1", "+1": "'+1", "-": "'-", "@SUM": "'@SUM", "\tx": "'\tx",
		"\rx": "'\rx", "\nx": "'\nx", "＝1": "'＝1", "＋1": "'＋1", "－1": "'－1", "＠x": "'＠x", "'quoted'": "'quoted'",
		"'=1": "''=1", "''-x": "'''-x", "'": "'", " =1": " =1",
	} {
		require.Equal(t, want, club.GuardFormula(text))
	}
}

func FuzzGuardFormula(f *testing.F) {
	for _, seed := range []string{"=1", "'=1", "''", "'''@", "", "\xff", "'\xff="} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, s string) {
		guarded := club.GuardFormula(s)
		if back := club.UnguardFormula(guarded); back != s {
			t.Errorf("%q became %q and came back as %q", s, guarded, back)
		}
		if guarded != "" && strings.ContainsRune("=+-@\t\r\n", rune(guarded[0])) {
			t.Errorf("%q is still a formula: %q", s, guarded)
		}
	})
}

func TestWriteSidecar(t *testing.T) {
	schemas := club.Schemas(own...)
	var b bytes.Buffer
	require.NoError(t, club.WriteSidecar(&b, "Our club",
		club.Resource{Schema: schemas[0], Path: "out/attempts.csv", Guarded: true},
		club.Resource{Schema: schemas[1], Path: "clutches.parquet", Bytes: 12, SHA256: "abc"},
		club.Resource{Schema: schemas[2], Path: "readings.arrow"}))
	var have struct {
		Schema    string `json:"$schema"`
		Title     string
		Resources []struct {
			Name, Type, Path, Description, Format, MediaType, Encoding, Hash string
			Bytes                                                            int64
			Dialect                                                          map[string]string
			Schema                                                           struct {
				Fields []struct {
					Name, Type, Description, Unit, RDFType string
					Constraints                            struct{ Enum []string }
				}
				MissingValues []string
			}
		}
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &have))
	require.Equal(t, "https://datapackage.org/profiles/2.0/datapackage.json", have.Schema)
	require.Equal(t, "Our club", have.Title)
	require.Len(t, have.Resources, 3)
	attempts, clutches, readings := have.Resources[0], have.Resources[1], have.Resources[2]
	require.Equal(t, "text/csv", attempts.MediaType)
	require.Equal(t, "utf-8", attempts.Encoding)
	require.Equal(t, ",", attempts.Dialect["delimiter"])
	require.Contains(t, attempts.Description, "apostrophe")
	require.Equal(t, []string{""}, attempts.Schema.MissingValues)
	require.Equal(t, "application/vnd.apache.parquet", clutches.MediaType)
	require.Equal(t, "sha256:abc", clutches.Hash)
	require.Equal(t, int64(12), clutches.Bytes)
	require.NotContains(t, clutches.Description, "apostrophe")
	require.Equal(t, "application/vnd.apache.arrow.file", readings.MediaType)
	types := map[string]string{}
	for i, f := range attempts.Schema.Fields {
		require.Equal(t, schemas[0].Columns[i].Name, f.Name)
		require.Equal(t, schemas[0].Columns[i].Unit, f.Unit)
		types[f.Name] = f.Type
	}
	require.Equal(t, "datetime", types["began"])
	require.Equal(t, "boolean", types["spawned"])
	require.Equal(t, "integer", types["males"])
	require.Equal(t, "number", types["ph"])
	require.Equal(t, "string", types["notes"])
	require.Equal(t, "number", types["tea"])
	require.Equal(t, "http://rs.tdwg.org/dwc/terms/recordedBy", attempts.Schema.Fields[1].RDFType)
	for _, f := range clutches.Schema.Fields {
		if f.Name == "eggs_method" {
			require.Equal(t, club.EggsMethods, f.Constraints.Enum)
		}
	}
	require.ErrorContains(t, club.WriteSidecar(&b, "x", club.Resource{Schema: schemas[0], Path: "attempts.xls"}), ".csv, .arrow or .parquet")
}
