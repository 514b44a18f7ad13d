package ingest

import (
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/require"

	"gravid/ingest/printable"
	"gravid/ingest/problem"
)

// TestExplainedMappingsOfTheCorpus holds that what --explain writes of every log of
// the corpus makes the same tables again when it is saved beside the log.
func TestExplainedMappingsOfTheCorpus(t *testing.T) {
	written := 0
	for _, name := range corpusCases(t) {
		t.Run(name, func(t *testing.T) {
			c := corpusClub(t, name)
			first, err := Run(c, nil, corpusToday)
			require.NoError(t, err)
			byFile := map[string][]Explained{}
			for _, e := range first.Explains {
				byFile[e.File] = append(byFile[e.File], e)
			}
			for file, tables := range byFile {
				at := filepath.Join(c.Dir, LogsDir, filepath.FromSlash(strings.TrimSuffix(file, path.Ext(file))+".toml"))
				if _, err := os.Stat(at); err == nil || ofOneName(byFile, file) {
					continue
				}
				var mapping strings.Builder
				require.NoError(t, WriteMapping(&mapping, tables))
				require.NoError(t, os.WriteFile(at, []byte(mapping.String()), 0o600))
				written++
			}
			readings := allTables(t, first).Readings
			again, err := Run(c, nil, corpusToday)
			require.NoError(t, err)
			require.Empty(t, find(again.Tables.Problems, problem.MappingInvalid))
			require.Equal(t, first.Tables.Attempts, again.Tables.Attempts)
			require.Equal(t, first.Tables.Clutches, again.Tables.Clutches)
			require.Equal(t, readings, allTables(t, again).Readings)
			require.Equal(t, first.Tables.Actions, again.Tables.Actions)
		})
	}
	require.Greater(t, written, 30)
}

// ofOneName reports whether another log has the same name up to the ending, so that
// one mapping would be for both.
func ofOneName(files map[string][]Explained, file string) bool {
	stem := strings.TrimSuffix(file, path.Ext(file))
	for other := range files {
		if other != file && strings.TrimSuffix(other, path.Ext(other)) == stem {
			return true
		}
	}
	return false
}

// Every text comes back from a mapping as it was, and none of it acts on a terminal.
func TestTomlText(t *testing.T) {
	for _, s := range []string{"Temp", `a "b" \ c`, "bell\a vertical\v escape\x1b delete\x7f", "two\nlines\r", "turned \u202e, \u061c, \u2028", "tag \U000e0041", "é 魚 🐟", "\ufffd"} {
		requireSameText(t, s)
	}
}

func requireSameText(t *testing.T, s string) {
	t.Helper()
	text := tomlText(s)
	for _, r := range text {
		require.False(t, printable.Acting(r), "%U", r)
	}
	var back struct{ K string }
	require.NoError(t, toml.Unmarshal([]byte("k = "+text), &back), text)
	require.Equal(t, s, back.K)
}
