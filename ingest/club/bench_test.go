package club_test

import (
	"fmt"
	"io"
	"testing"
	"time"

	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
)

// loggerReadings makes readings as loggers write them: long runs of the same
// names, two quantities taking turns.
func loggerReadings(n int) club.Tables {
	start := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC)
	quantities := []string{"temperature_c", "air_pressure_hpa"}
	t := club.Tables{Readings: make([]club.Reading, n)}
	for i := range t.Readings {
		keeper := fmt.Sprintf("keeper %d", i*10/n)
		t.Readings[i] = club.Reading{
			Keeper: keeper, System: "tank 4", Place: keeper, At: club.Some(start.Add(time.Duration(i) * time.Minute)),
			Quantity: quantities[i%2], Value: club.Some(20 + float64(i%977)/100),
			Source: club.Source{File: keeper + "/logger.csv", Row: int64(i + 2)},
		}
	}
	return t
}

func benchmarkRows(b *testing.B, n int) {
	b.ReportMetric(float64(b.N)*float64(n)/b.Elapsed().Seconds(), "rows/s")
}

func BenchmarkWriteReadings(b *testing.B) {
	const n = 1_000_000
	rows := loggerReadings(n)
	s, err := club.Find(club.Schemas(), club.TableReadings)
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, club.WriteArrow(io.Discard, memory.DefaultAllocator, s, &rows))
	}
	benchmarkRows(b, n)
}

func BenchmarkReplaceReadings(b *testing.B) {
	const n = 1_000_000
	rows := loggerReadings(n)
	c := newClub(b)
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, c.Replace(rows))
	}
	benchmarkRows(b, n)
}

func BenchmarkLoadReadings(b *testing.B) {
	const n = 1_000_000
	c := newClub(b)
	require.NoError(b, c.Replace(loggerReadings(n)))
	b.ReportAllocs()
	for b.Loop() {
		t, err := c.Load(club.TableReadings)
		require.NoError(b, err)
		require.Len(b, t.Readings, n)
	}
	benchmarkRows(b, n)
}

func BenchmarkEachReadings(b *testing.B) {
	const n = 1_000_000
	c := newClub(b)
	require.NoError(b, c.Replace(loggerReadings(n)))
	b.ReportAllocs()
	for b.Loop() {
		seen := 0
		require.NoError(b, c.EachReadings(func(rs []club.Reading) error { seen += len(rs); return nil }))
		require.Equal(b, n, seen)
	}
	benchmarkRows(b, n)
}

func BenchmarkWriteCSV(b *testing.B) {
	const n = 100_000
	rows := loggerReadings(n)
	s, err := club.Find(club.Schemas(), club.TableReadings)
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, club.WriteCSV(io.Discard, s, &rows, club.CSVOptions{}))
	}
	benchmarkRows(b, n)
}
