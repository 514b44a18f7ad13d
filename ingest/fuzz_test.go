package ingest

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
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
