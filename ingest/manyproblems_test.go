package ingest

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// TestManyProblems reads a log with more problems than are told one by one: all are
// counted, also from the stored tables, and all rows are set aside.
func TestManyProblems(t *testing.T) {
	const rows = 12_000
	var log strings.Builder
	log.WriteString("tank,species,set up,spawned,spawn date\n")
	for i := range rows {
		fmt.Fprintf(&log, "T%d,no fish %d,2024-01-01,yes,2024-01-05\n", i, i)
	}
	c := makeClub(t, "", map[string]string{"ana/log.csv": log.String()})
	report, err := Run(c, nil, today)
	require.NoError(t, err)
	require.Equal(t, rows, report.Files[0].SetAside)
	require.Equal(t, rows, report.Files[0].Errors)

	stored, err := c.Load(club.TableProblems, club.TableSources)
	require.NoError(t, err)
	require.Equal(t, int64(rows), stored.Sources[0].SetAside)
	require.Less(t, len(stored.Problems), rows)
	require.Equal(t, rows, problem.Count(stored.Problems, problem.Error))

	f, err := os.Open(filepath.Join(c.Dir, club.SetAsideDir, "ana", "log.csv.csv"))
	require.NoError(t, err)
	defer f.Close()
	kept, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Len(t, kept, 1+rows)
	require.Equal(t, fmt.Sprintf("no fish %d", rows-1), kept[rows][1])
}
