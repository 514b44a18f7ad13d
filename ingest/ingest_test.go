package ingest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	"gravid/ingest/problem"
)

var today = time.Date(2026, 1, 15, 12, 0, 0, 0, time.UTC)

// makeClub lays down a club folder with the given logs, by path below logs/.
func makeClub(t *testing.T, config string, logs map[string]string) *club.Club {
	t.Helper()
	dir := t.TempDir()
	if config == "" {
		config = "name = \"Test club\"\ntime_zone = \"Europe/Vienna\"\n"
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, club.ConfigFile), []byte(config), 0o666))
	for name, text := range logs {
		path := filepath.Join(dir, LogsDir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
	}
	c, err := club.Open(dir)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, c.Close()) })
	return c
}

func read(t *testing.T, logs map[string]string) club.Tables {
	t.Helper()
	report, err := Run(makeClub(t, "", logs), nil, today)
	require.NoError(t, err)
	return allTables(t, report)
}

// allTables are the tables of a run with the readings.
func allTables(t *testing.T, report *Report) club.Tables {
	t.Helper()
	tables, err := report.All()
	require.NoError(t, err)
	require.Len(t, tables.Readings, report.Readings)
	return tables
}

// find returns the problems with a code.
func find(ps []problem.Problem, code problem.Code) []problem.Problem {
	var out []problem.Problem
	for _, p := range ps {
		if p.Code == code {
			out = append(out, p)
		}
	}
	return out
}

// A fall of the air pressure by 100 hPa in a day, which some texts tell of, is far
// beyond what weather does: it is caught as implausible and not used. The row is.
func TestImplausibleFall(t *testing.T) {
	got := read(t, map[string]string{"ana/log.csv": "Species,Set up,Spawned,Pressure change 24 h (hPa)\nDanio rerio,2024-03-13,no,-100\nDanio rerio,2024-04-14,no,-8\n"})
	require.Len(t, got.Attempts, 2)
	require.False(t, got.Attempts[0].PressureChange.OK)
	require.Equal(t, club.Some(-8.0), got.Attempts[1].PressureChange)
	p := find(got.Problems, problem.Implausible)
	require.Len(t, p, 1)
	require.Equal(t, problem.Place{File: "ana/log.csv", Row: 2, Column: "D", Head: "Pressure change 24 h (hPa)"}, p[0].Place)
	require.Equal(t, "-100", p[0].Value)
}

// A temperature and a temperature difference convert from Fahrenheit in two ways.
func TestDifferencesHaveNoOffset(t *testing.T) {
	got := read(t, map[string]string{"ben/log.csv": "Species,Set up,Spawned,Temp (°F),Refill difference (°F),24 h pressure change (inHg)\nDanio rerio,03/14/2024,no,77,-9,-0.15\n"})
	require.Len(t, got.Attempts, 1)
	require.InDelta(t, 25, got.Attempts[0].TemperatureC.V, 1e-9)
	require.InDelta(t, -5, got.Attempts[0].RefillDeltaC.V, 1e-9)
	require.InDelta(t, -0.15*33.86388640341, got.Attempts[0].PressureChange.V, 1e-9) // 25.4 mm of conventional mercury
}

// A column of dates that can be read both ways is refused as a whole, with a line
// to paste; the line makes it readable.
func TestAmbiguousDates(t *testing.T) {
	log := "Species,Set up,Spawned,Ended\nDanio rerio,03/04/2024,no,05/04/2024\nDanio rerio,06/07/2024,no,08/07/2024\n"
	got := read(t, map[string]string{"ana/log.csv": log})
	require.Len(t, find(got.Problems, problem.DateAmbiguous), 4)
	for _, a := range got.Attempts {
		require.False(t, a.Began.OK)
	}
	got = read(t, map[string]string{"ana/log.csv": log, "ana/log.toml": "version = 1\n[[table]]\ndates = \"dmy\"\n"})
	require.Empty(t, find(got.Problems, problem.DateAmbiguous))
	require.Equal(t, time.Date(2024, 4, 2, 22, 0, 0, 0, time.UTC), got.Attempts[0].Began.V) // 3 April, midnight in Vienna
}

func TestMappingMistakes(t *testing.T) {
	log := "Species,Set up,Spawned\nDanio rerio,2024-03-13,no\n"
	for name, mapping := range map[string]string{
		"unknown key":     "version = 1\nkeepr = \"Ana\"\n",
		"wrong type":      "version = 1\nkeeper = 3\n",
		"unknown version": "version = 9\n",
		"unknown order":   "version = 1\n[[table]]\ndates = \"ydm\"\n",
	} {
		got := read(t, map[string]string{"ana/log.csv": log, "ana/log.toml": mapping})
		require.Empty(t, got.Attempts, name)
		p := find(got.Problems, problem.MappingInvalid)
		require.NotEmpty(t, p, name)
		require.Equal(t, "ana/log.toml", p[0].Place.File, name)
		require.NotEmpty(t, p[0].Fix, name)
	}
	got := read(t, map[string]string{"ana/log.csv": log, "ana/log.toml": "version = 1\n[[table]]\n[table.columns.\"Sett up\"]\nis = \"began\"\n"})
	require.NotEmpty(t, find(got.Problems, problem.MappingInvalid), "a heading that the table does not have is an error, not ignored")
}

// What --explain writes is a mapping that makes the same tables, a club's own
// triggers among them.
func TestExplainedMappingMakesTheSame(t *testing.T) {
	config := "name = \"Test club\"\ntime_zone = \"Europe/Vienna\"\npseudonyms = false\n[[trigger]]\ncode = \"rice-hulls\"\nname = \"rice hulls\"\nkind = \"yes-no\"\n[[trigger]]\ncode = \"tea\"\nname = \"tea\"\nkind = \"number\"\n"
	log := "Species,Set up,Spawned,Temp (°F),Rice hulls,Tea,Mood\nDanio rerio,13.03.2024,no,77,yes,4,calm\nDanio rerio,14.04.2024,yes,78.8,no,2,wild\n"
	first, err := Run(makeClub(t, config, map[string]string{"ana/log.csv": log}), nil, today)
	require.NoError(t, err)
	require.Equal(t, club.Some(1.0), first.Tables.Attempts[0].Own["rice_hulls"])
	require.Equal(t, club.Some(2.0), first.Tables.Attempts[1].Own["tea"])
	require.Contains(t, first.Tables.Attempts[0].Notes, "Mood: calm")
	var mapping strings.Builder
	require.NoError(t, WriteMapping(&mapping, first.Explains))
	again, err := Run(makeClub(t, config, map[string]string{"ana/log.csv": log, "ana/log.toml": mapping.String()}), nil, today)
	require.NoError(t, err)
	require.Empty(t, find(again.Tables.Problems, problem.MappingInvalid), mapping.String())
	require.Equal(t, first.Tables.Attempts, again.Tables.Attempts)
}

func TestTwiceIsOnce(t *testing.T) {
	row := "Danio rerio,2024-03-13,no\n"
	got := read(t, map[string]string{"ana/log.csv": "Species,Set up,Spawned\n" + row + row + "Danio rerio,2024-05-13,no\n"})
	require.Len(t, got.Attempts, 2)
	require.Len(t, find(got.Problems, problem.RowDuplicate), 1)
	log := "Species,Set up,Spawned\n" + row
	got = read(t, map[string]string{"ana/log.csv": log, "ana/log (1).csv": log})
	require.Len(t, got.Attempts, 1)
	require.Len(t, find(got.Problems, problem.FileDuplicate), 1)
}

// Overlapping exports of one logger give each instant once; where they disagree,
// neither counts.
func TestOverlappingExports(t *testing.T) {
	got := read(t, map[string]string{
		"ana/a.csv": "Time,Pressure (hPa)\n2024-03-13 00:00,1013\n2024-03-13 01:00,1012\n2024-03-13 02:00,1011\n",
		"ana/b.csv": "Time,Pressure (hPa)\n2024-03-13 01:00,1012\n2024-03-13 02:00,1001\n2024-03-13 03:00,1010\n",
	})
	var values []float64
	for _, r := range got.Readings {
		require.Equal(t, "air_pressure_hpa", r.Quantity)
		values = append(values, r.Value.V)
	}
	require.Equal(t, []float64{1013, 1012, 1010}, values)
	require.Len(t, find(got.Problems, problem.ReadingConflict), 1)
	rows := int64(0)
	for _, s := range got.Sources {
		require.Equal(t, s.Rows, s.Used+s.SetAside+s.Skipped)
		rows += s.Used
	}
	require.EqualValues(t, 5, rows) // one of the six rows stands elsewhere
}

func TestKeeperOfSpawningsOnly(t *testing.T) {
	got := read(t, map[string]string{"ana/log.csv": "Species,Set up,Spawned on\nDanio rerio,2024-03-01,2024-03-13\nDanio rerio,2024-04-01,2024-04-14\nDanio rerio,2024-05-01,2024-05-15\nDanio rerio,2024-06-01,2024-06-16\nDanio rerio,2024-07-01,2024-07-17\n"})
	require.Len(t, got.Attempts, 5)
	for _, a := range got.Attempts {
		require.Equal(t, club.Some(true), a.Spawned)
	}
	require.Len(t, find(got.Problems, problem.SpawnsOnly), 1)
}

// Reading some logs anew leaves the rows of the others.
func TestSomeLogsAnew(t *testing.T) {
	c := makeClub(t, "", map[string]string{
		"ana/log.csv": "Species,Set up,Spawned\nDanio rerio,2024-03-13,no\n",
		"ben/log.csv": "Species,Set up,Spawned\nDanio rerio,2024-03-14,no\n",
	})
	all, err := Run(c, nil, today)
	require.NoError(t, err)
	some, err := Run(c, []string{"ben"}, today)
	require.NoError(t, err)
	require.ElementsMatch(t, all.Tables.Attempts, some.Tables.Attempts)
	_, err = Run(c, []string{"carl"}, today)
	require.ErrorContains(t, err, "there is no such log")
}

func TestLedgerCheck(t *testing.T) {
	require.NoError(t, Ledger{Rows: 3, Header: 1, Used: 2, Cells: 6, CellsUsed: 4, CellsNotes: 1, CellsProblem: 1}.Check())
	require.ErrorContains(t, Ledger{Rows: 3, Header: 1, Used: 1}.Check(), "3 rows read, 2 accounted for")
	require.ErrorContains(t, Ledger{Cells: 3, CellsUsed: 1}.Check(), "3 cells read, 1 accounted for")
}
