package ingest

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// TestSetUpByDates holds dates under headings nobody knows: taken where the rows show
// what they are, with a warning, and otherwise left out with the rows kept.
func TestSetUpByDates(t *testing.T) {
	log := func(first, second string, rows ...string) club.Tables {
		return read(t, map[string]string{"ana/log.csv": "Tank;Species;" + first + ";Spawned;Spawn date;" + second + "\n" + strings.Join(rows, "\n") + "\n"})
	}
	usual := []string{"1;Danio rerio;2024-03-01;yes;2024-03-04;2024-03-09", "1;Danio rerio;2024-04-01;no;;2024-04-12", "2;Danio rerio;2024-05-01;yes;2024-05-02;2024-05-20"}

	got := log("Hullabaloo", "Finito basta", usual...)
	require.Len(t, got.Attempts, 3)
	for _, a := range got.Attempts {
		require.True(t, a.Began.OK)
		require.True(t, a.Ended.OK)
	}
	require.Len(t, find(got.Problems, problem.HeadingGuessed), 2)

	// The heading names another day, or one row contradicts, or no row is without a
	// spawning: nothing is taken, and no row is lost.
	for name, got := range map[string]club.Tables{
		"bought":     log("Bought at the fair", "Shape", usual...),
		"later":      log("Hullabaloo", "Shape", usual[0], usual[1], "2;Danio rerio;2024-05-09;yes;2024-05-02;"),
		"all spawns": log("Hullabaloo", "Shape", usual[0], usual[2]),
		"long ago":   log("Hullabaloo", "Shape", usual[0], usual[1], "2;Danio rerio;2023-05-09;yes;2024-05-02;"),
	} {
		require.GreaterOrEqual(t, len(got.Attempts), 2, name)
		for _, a := range got.Attempts {
			require.False(t, a.Began.OK, name)
		}
		var told []string
		for _, p := range find(got.Problems, problem.HeadingUnknown) {
			if p.Severity == problem.Warning {
				told = append(told, p.Fix)
			}
		}
		require.NotEmpty(t, told, name)
		require.Contains(t, told[0], `is = "began"`, name)
	}
}

// TestBlocksWithTitles holds tables with the same headings below each other, each with
// a title of its own: each title is that of its table alone.
func TestBlocksWithTitles(t *testing.T) {
	const heads = "Set up;Spawned;Spawn date;Eggs\n"
	got := read(t, map[string]string{"ana/log.csv": "Tank 1 - Danio rerio\n" + heads + "2024-03-01;yes;2024-03-04;90\n\nTank 2 - Danio margaritatus\n" + heads + "2024-03-02;yes;2024-03-05;12\n"})
	require.Len(t, got.Attempts, 2)
	require.Equal(t, "Danio rerio", got.Attempts[0].Species)
	require.Equal(t, "Danio margaritatus", got.Attempts[1].Species)
	require.NotEqual(t, got.Attempts[0].System, got.Attempts[1].System)

	// A title that names no species: that of the table above is taken, with a warning.
	got = read(t, map[string]string{"ana/log.csv": "Tank 1 - Danio rerio\n" + heads + "2024-03-01;yes;2024-03-04;90\n\nThe blue ones\n" + heads + "2024-03-02;yes;2024-03-05;12\n"})
	require.Len(t, got.Attempts, 2)
	warned := false
	for _, p := range find(got.Problems, problem.KeeperImplied) {
		warned = warned || p.Severity == problem.Warning
	}
	require.True(t, warned)
}

// TestEggsAfterAnEntryNobodyUnderstood holds that eggs without a set-up are told where
// an entry before them may have said that fish were set up.
func TestEggsAfterAnEntryNobodyUnderstood(t *testing.T) {
	got := read(t, map[string]string{"ana/diary.csv": "Date;Species;What happened\n2024-03-01;Danio rerio;the usual crew hopped into the nursery bowl\n2024-03-02;Danio rerio;spawned, 90 eggs\n2024-03-04;Danio rerio;hatched\n"})
	require.Len(t, got.Attempts, 1)
	rows := []int{}
	for _, p := range find(got.Problems, problem.EntryUnsure) {
		if p.Severity == problem.Warning {
			rows = append(rows, p.Place.Row)
		}
	}
	require.Contains(t, rows, 3)
}

// TestClutchWithinAnAttempt holds that a clutch of another file belongs to the attempt in
// whose time it was laid, and to none where the attempt says when it spawned.
func TestClutchWithinAnAttempt(t *testing.T) {
	logs := func(spawned string) club.Tables {
		return read(t, map[string]string{
			"ana/setups.csv": "Tank;Species;Set up;Ended;Spawned;Spawn date\n1;Danio rerio;2024-03-01;2024-03-10;yes;" + spawned + "\n1;Danio rerio;2024-04-01;2024-04-10;no;\n",
			"ana/spawns.csv": "Tank;Species;Laid on;Eggs\n1;Danio rerio;2024-03-04;90\n",
		})
	}
	got := logs("")
	require.Len(t, got.Attempts, 2)
	require.Len(t, got.Clutches, 1)
	require.True(t, got.Attempts[0].SpawnedAt.OK)
	require.Len(t, logs("2024-03-08").Attempts, 3)
}
