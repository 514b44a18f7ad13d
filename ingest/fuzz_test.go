package ingest

import (
	"os"
	"path/filepath"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// FuzzLedger reads any bytes as a log. The law is the ledger: Run fails where a row or a
// cell is not accounted for, rows in the tables are rows that were used, and what is set
// aside is named.
func FuzzLedger(f *testing.F) {
	for _, name := range []string{"en-attempts", "diary-en", "days-across", "several-tables", "turned", "three-files", "logger-barometer-de", "remarks-inside"} {
		found, err := filepath.Glob(filepath.Join(corpusDir, name, "logs", "*", "*"))
		if err != nil || len(found) == 0 {
			f.Fatal("no log in ", name)
		}
		for _, path := range found {
			doc, err := os.ReadFile(path)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(doc[:min(len(doc), 1500)])
		}
	}
	f.Fuzz(func(t *testing.T, doc []byte) {
		dir := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(dir, club.ConfigFile), []byte("name = \"fuzz\"\ntime_zone = \"Europe/Berlin\"\n"), 0o600))
		require.NoError(t, os.MkdirAll(filepath.Join(dir, LogsDir, "k"), 0o700))
		require.NoError(t, os.WriteFile(filepath.Join(dir, LogsDir, "k", "log.csv"), doc, 0o600))
		c, err := club.Open(dir)
		require.NoError(t, err)
		report, err := Run(c, nil, corpusToday)
		require.NoError(t, err)
		require.NoError(t, c.Close())
		checkSources(t, 0, report.Tables, map[string]int{"k/log.csv": 0})
	})
}

// FuzzParseMapping reads any bytes as a mapping. What is wrong in it is an error at the
// mapping with a remedy, and what is accepted names a zone that exists.
func FuzzParseMapping(f *testing.F) {
	f.Add([]byte("version = 1\nkeeper = \"Ana\"\n[[table]]\nsheet = \"2024\"\nheader_row = 3\ndates = \"dmy\"\ndecimal = \",\"\n[table.columns.\"Temp\"]\nis = \"temperature_c\"\nunit = \"Cel\"\n"))
	f.Add([]byte("version = 1\ntime_zone = \"Europe/Vienna\"\ndelimiter = \"\\t\"\n[[table]]\n[table.columns.x]\nblank = \"no\"\n"))
	f.Add([]byte("a.b.c = [{d = 1}]\n[[table]]\n[table]\n"))
	f.Add([]byte("[[[["))
	f.Fuzz(func(t *testing.T, doc []byte) {
		m, problems := parseMapping("k/log.toml", doc)
		for _, p := range problems {
			require.Equal(t, problem.Error, p.Severity)
			require.Equal(t, problem.MappingInvalid, p.Code)
			require.Equal(t, "k/log.toml", p.Place.File)
			require.NotEmpty(t, p.Fix)
		}
		if len(problems) == 0 {
			require.Equal(t, 1, m.Version)
			_, err := time.LoadLocation(m.TimeZone)
			require.NoError(t, err)
		}
	})
}

// FuzzTomlText writes any text into a mapping and reads it back.
func FuzzTomlText(f *testing.F) {
	for _, s := range []string{"Temp", `a "b" \ c`, "bell\a \x7f", "\u202e\u2028", "\U000e0041", "é 魚 🐟"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if !utf8.ValidString(s) { // what is read from logs is valid by then
			return
		}
		requireSameText(t, s)
	})
}
