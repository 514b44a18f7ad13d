package club_test

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
)

// mixedReadings makes readings of two quantities of several keepers that take turns,
// some without a time or a value.
func mixedReadings(n int) []club.Reading {
	start := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC)
	list := make([]club.Reading, n)
	for i := range list {
		r := club.Reading{
			Keeper: []string{"Ana", "Bo", ""}[i/7%3], System: []string{"T1", ""}[i/3%2], Place: []string{"", "hill"}[i/11%2],
			Quantity: []string{"temperature_c", "ph", ""}[i%3], Source: club.Source{File: "a.csv", Row: int64(i + 2)},
		}
		if i%13 != 0 {
			r.At = club.Some(start.Add(time.Duration((i*37)%n) * time.Minute))
		}
		if i%17 != 0 {
			r.Value = club.Some(float64(i) / 8)
		}
		list[i] = r
	}
	return list
}

func TestCourses(t *testing.T) {
	c := newClub(t)
	rows := random(14).rows(40)
	rows.Readings = mixedReadings(club.BatchRows + 1000)
	require.NoError(t, c.Replace(rows))

	have, dated, err := c.LoadButReadings()
	require.NoError(t, err)
	defer dated.Close()
	require.Equal(t, len(rows.Readings), dated.Len())
	whole, err := c.Load()
	require.NoError(t, err)
	whole.Readings = nil
	require.Equal(t, whole, have, "all other tables are loaded")

	// The readings stay those of the tables that were loaded.
	require.NoError(t, c.Replace(random(15).rows(3)))

	all := club.Courses(rows.Readings)
	n := 0
	for _, x := range all {
		require.Len(t, x.Value, len(x.At))
		n += len(x.At)
	}
	dropped := 0
	for _, r := range rows.Readings {
		if !r.At.OK || !r.Value.OK {
			dropped++
		}
	}
	require.Equal(t, len(rows.Readings)-dropped, n)
	require.Len(t, all, 36, "3 keepers, 2 tanks, 2 places, 3 quantities")

	for _, quantities := range [][]string{{"temperature_c", "ph", ""}, {"ph"}, {"light_lux"}, nil} {
		got, err := dated.Courses(quantities...)
		require.NoError(t, err)
		var want []club.Course
		for _, x := range all {
			if slices.Contains(quantities, x.Quantity) {
				want = append(want, x)
			}
		}
		require.Equal(t, want, got, quantities)
	}
}

// TestCoursesOfADamagedTable: nothing is decoded of a file that is not what was written.
func TestCoursesOfADamagedTable(t *testing.T) {
	c := newClub(t)
	require.NoError(t, c.Replace(club.Tables{Readings: mixedReadings(500)}))
	m, err := c.Manifest()
	require.NoError(t, err)
	name := filepath.Join(c.Dir, "tables", m.Generation, "readings.arrow")
	content, err := os.ReadFile(name)
	require.NoError(t, err)
	content[len(content)/2] ^= 1
	require.NoError(t, os.WriteFile(name, content, 0o666))

	_, dated, err := c.LoadButReadings()
	require.NoError(t, err, "the other tables are whole")
	defer dated.Close()
	_, err = dated.Courses("ph")
	require.ErrorIs(t, err, club.ErrDamaged)
	require.ErrorContains(t, err, "readings.arrow")

	require.NoError(t, os.Remove(name))
	_, _, err = c.LoadButReadings()
	require.ErrorIs(t, err, club.ErrDamaged)
	require.ErrorContains(t, err, "is missing")
}

func BenchmarkCourses(b *testing.B) {
	const n = 1_000_000
	rows := loggerReadings(n)
	c := newClub(b)
	require.NoError(b, c.Replace(rows))
	b.ReportAllocs()
	for b.Loop() {
		_, dated, err := c.LoadButReadings()
		require.NoError(b, err)
		_, err = dated.Courses("temperature_c")
		require.NoError(b, err)
		require.NoError(b, dated.Close())
	}
	benchmarkRows(b, n)
}
