package club_test

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
)

// oddReadings are readings at random, some without time, value or names.
func oddReadings(n int) []club.Reading {
	m := random(21)
	names := []string{"", "ana", "ben", "größer"}
	list := make([]club.Reading, n)
	for i := range list {
		list[i] = club.Reading{Keeper: names[i%4], System: names[i/7%3], Place: names[i/11%2], Quantity: "ph", At: m.when(), Value: m.number(),
			Source: club.Source{File: names[i/13%4], Sheet: names[i/17%2], Row: int64(i % 5000)}}
	}
	return list
}

// Readings that are kept outside the memory make the same files as a list of them.
func TestLongReadingsMakeTheSameFiles(t *testing.T) {
	for _, n := range []int{0, 1, 500, club.BatchRows, 2*club.BatchRows + 77} {
		list := oddReadings(n)
		short, long := newClub(t), newClub(t)
		rest := random(22).rows(30)
		rest.Readings = list
		require.NoError(t, short.Replace(rest))

		x, err := long.Begin()
		require.NoError(t, err)
		readings := x.NewReadings()
		for _, r := range list {
			readings.Append(r)
		}
		require.NoError(t, readings.Err())
		require.Equal(t, n, readings.Len())
		rest.Readings = nil
		require.NoError(t, x.ReplaceLong(rest, readings))
		require.NoError(t, x.Close())
		require.True(t, files(t, short)["tables/gen-000001/readings.arrow"] == files(t, long)["tables/gen-000001/readings.arrow"], "%d readings", n)
		require.Equal(t, names(t, short), names(t, long), "nothing is left behind")
	}
}

func TestDroppedReadings(t *testing.T) {
	const n = club.BatchRows + 1000
	list := oddReadings(n)
	c := newClub(t)
	x, err := c.Begin()
	require.NoError(t, err)
	readings := x.NewReadings()
	var drop club.Marks
	var want []club.Reading
	for i, r := range list {
		readings.Append(r)
		if i%3 == 0 {
			drop.Set(i)
		} else {
			want = append(want, r)
		}
	}
	require.Equal(t, (n+2)/3, drop.Len())
	readings.Drop(drop)
	require.Equal(t, len(want), readings.Kept())
	places := 0
	for i, e := range readings.All() {
		require.Equal(t, places, i)
		if places++; i%97 == 0 {
			require.Equal(t, list[i], readings.Reading(e))
		}
	}
	require.Equal(t, n, places)
	require.NoError(t, x.ReplaceLong(club.Tables{}, readings))
	require.NoError(t, x.Close())
	have, err := c.Load(club.TableReadings)
	require.NoError(t, err)
	require.Equal(t, want, have.Readings)
}

func TestReadingsThatNoTableHolds(t *testing.T) {
	for want, r := range map[string]club.Reading{
		"column value: NaN is not a finite number":  {Value: club.Some(math.NaN())},
		"column value: +Inf is not a finite number": {Value: club.Some(math.Inf(1))},
		"is outside what can be kept":               {At: club.Some(time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC))},
		"row number":                                {Source: club.Source{Row: -1}},
		"is not valid UTF-8":                        {Keeper: "\xff"},
	} {
		c := newClub(t)
		require.NoError(t, c.Replace(random(23).rows(5)))
		before := files(t, c)
		x, err := c.Begin()
		require.NoError(t, err)
		readings := x.NewReadings()
		readings.Append(club.Reading{Quantity: "ph"})
		readings.Append(r)
		require.ErrorContains(t, readings.Err(), want)
		require.ErrorContains(t, x.ReplaceLong(club.Tables{}, readings), want)
		require.NoError(t, x.Close())
		require.Equal(t, before, files(t, c))
	}
}

// A run that is killed leaves the file of its readings behind; the next one clears
// it away.
func TestReadingsOfAKilledRun(t *testing.T) {
	c := newClub(t)
	x, err := c.Begin()
	require.NoError(t, err)
	readings := x.NewReadings()
	for _, r := range oddReadings(club.BatchRows + 1) {
		readings.Append(r)
	}
	left := names(t, c)
	require.Len(t, left, 1)
	require.NoError(t, x.Close())
	require.Empty(t, names(t, c))

	require.NoError(t, os.WriteFile(filepath.Join(c.Dir, filepath.FromSlash(left[0])), []byte("rest"), 0o666))
	x, err = c.Begin()
	require.NoError(t, err)
	require.NoError(t, x.Close())
	require.Empty(t, names(t, c))
}

func TestMarks(t *testing.T) {
	var a, b club.Marks
	for i := range 300 {
		if i%2 == 0 {
			a.Set(i)
		}
		if i%3 == 0 {
			b.Set(i)
			b.Set(i)
		}
	}
	require.Equal(t, 150, a.Len())
	require.Equal(t, 100, b.Len())
	require.Equal(t, 100, a.Without(&b))
	a.Add(&b)
	require.Equal(t, 200, a.Len())
	for i := range 1000 {
		require.Equal(t, i < 300 && (i%2 == 0 || i%3 == 0), a.Has(i))
	}
	var none club.Marks
	require.Zero(t, none.Without(&a))
	none.Add(&a)
	require.Equal(t, 200, none.Len())
}

func BenchmarkReplaceLongReadings(b *testing.B) {
	const n = 1_000_000
	list := loggerReadings(n).Readings
	c := newClub(b)
	b.ReportAllocs()
	for b.Loop() {
		x, err := c.Begin()
		require.NoError(b, err)
		readings := x.NewReadings()
		for r := range slices.Values(list) {
			readings.Append(r)
		}
		require.NoError(b, x.ReplaceLong(club.Tables{}, readings))
		require.NoError(b, x.Close())
	}
	benchmarkRows(b, n)
}
