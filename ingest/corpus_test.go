package ingest

import (
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	"gravid/ingest/internal/score"
)

// corpusDir holds the logs of the corpus, each with the tables that a careful
// human makes of it.
const corpusDir = "testdata/corpus"

// corpusToday is the day on which the corpus is read.
var corpusToday = time.Date(2026, 6, 30, 12, 0, 0, 0, time.UTC)

// The targets of every supported log.
const (
	wantRecall   = 0.98
	wantSetAside = 0.95
)

// pending are logs whose layout is not read yet, with the reason. Their silent
// errors count as those of any other; the rest is printed.
var pending = map[string]string{}

// blindSet begins the names of logs that were written, with the tables expected of
// them, before this program had read them: b1- to b10-, one a round of mending.
var blindSet = regexp.MustCompile(`^b[0-9]+`)

// corpusClub lays a case of the corpus down as a club folder.
func corpusClub(t *testing.T, name string) *club.Club {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS(filepath.Join(corpusDir, name))))
	if _, err := os.Stat(filepath.Join(dir, club.ConfigFile)); err != nil {
		require.NoError(t, os.WriteFile(filepath.Join(dir, club.ConfigFile), []byte("name = \"corpus\"\ntime_zone = \"Europe/Berlin\"\n"), 0o600))
	}
	c, err := club.Open(dir)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, c.Close()) })
	return c
}

// corpusCases are the names of the logs.
func corpusCases(t *testing.T) []string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(corpusDir, "*", "expected"))
	require.NoError(t, err)
	var names []string
	for _, f := range found {
		names = append(names, filepath.Base(filepath.Dir(f)))
	}
	require.GreaterOrEqual(t, len(names), 20, "the corpus must hold at least twenty logs")
	return names
}

func scoreCase(t *testing.T, name string) score.Score {
	t.Helper()
	c := corpusClub(t, name)
	report, err := Run(c, nil, corpusToday)
	require.NoError(t, err)
	dir, err := fs.Sub(os.DirFS(corpusDir), name+"/expected")
	require.NoError(t, err)
	expected, err := score.Load(dir)
	require.NoError(t, err)
	zone, err := c.Config.Location()
	require.NoError(t, err)
	s, err := score.Compare(expected, allTables(t, report), c.Config.Own(), zone)
	require.NoError(t, err)
	return s
}

// TestCorpus reads every log of the corpus and holds the tables against those of
// a careful human.
func TestCorpus(t *testing.T) {
	var supported, all score.Score
	blind := map[string]*score.Score{}
	names := corpusCases(t)
	for name := range pending {
		require.Contains(t, names, name, "a pending log that is not there")
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			s := scoreCase(t, name)
			all.Add(s)
			if set := blindSet.FindString(name); set != "" {
				if blind[set] == nil {
					blind[set] = &score.Score{}
				}
				blind[set].Add(s)
			}
			why, waits := pending[name]
			if waits {
				t.Logf("%s (pending: %s)", s, why)
			} else {
				supported.Add(s)
				t.Log(s)
			}
			if len(s.Silent) > 0 {
				t.Errorf("%d silent errors:\n%s", len(s.Silent), some(s.Silent))
			}
			if waits {
				return
			}
			if s.Recall() < wantRecall {
				t.Errorf("read %.1f %% of the cells that a careful human could, less than %.0f %%:\n%s", 100*s.Recall(), 100*wantRecall, some(slices.Concat(s.Unsaid, s.Missed, s.Flagged)))
			}
			if s.SetAsideShare() < wantSetAside {
				t.Errorf("set %.1f %% of the doubtful cells aside, less than %.0f %%:\n%s", 100*s.SetAsideShare(), 100*wantSetAside, some(s.Taken))
			}
		})
	}
	for _, set := range slices.Sorted(maps.Keys(blind)) {
		t.Logf("blind set %s: %s", set, *blind[set])
	}
	t.Logf("supported logs: %s", supported)
	t.Logf("all logs: %s", all)
}

// some lists the first findings, one a line.
func some(findings []score.Finding) string {
	const most = 12
	var lines []string
	for _, f := range findings[:min(most, len(findings))] {
		lines = append(lines, "  "+f.String())
	}
	return strings.Join(lines, "\n")
}
