package ingest

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	"gravid/ingest/heading"
	"gravid/ingest/source"
)

// barometerClub makes a club with the export of one barometer of so many bytes.
func barometerClub(t testing.TB, bytes int) *club.Club {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, club.ConfigFile), []byte("name = \"Test club\"\ntime_zone = \"UTC\"\n"), 0o600))
	require.NoError(t, os.MkdirAll(filepath.Join(dir, LogsDir, "ana"), 0o700))
	file, err := os.Create(filepath.Join(dir, LogsDir, "ana", "barometer.csv"))
	require.NoError(t, err)
	out := bufio.NewWriter(file)
	n, err := out.WriteString("Timestamp,Air pressure (hPa)\n")
	require.NoError(t, err)
	at := time.Date(1995, 1, 1, 0, 0, 0, 0, time.UTC)
	var line []byte
	for i := 0; n < bytes; i++ {
		line = at.AppendFormat(line[:0], "2006-01-02 15:04:05,")
		line = strconv.AppendFloat(line, 1000+float64(i%1733)/100, 'f', 2, 64)
		line = append(line, '\n')
		_, err := out.Write(line)
		require.NoError(t, err)
		n += len(line)
		at = at.Add(time.Minute)
	}
	require.NoError(t, out.Flush())
	require.NoError(t, file.Close())
	c, err := club.Open(dir)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, c.Close()) })
	return c
}

// peakHeap runs f and returns the most bytes that were in use on the heap meanwhile,
// beyond those before, as far as a look every few milliseconds shows. Rubbish is
// cleared away often, so that little of it is counted.
func peakHeap(f func()) uint64 {
	defer debug.SetGCPercent(debug.SetGCPercent(10))
	runtime.GC()
	var stats runtime.MemStats
	runtime.ReadMemStats(&stats)
	before, most := stats.HeapAlloc, stats.HeapAlloc
	done := make(chan struct{})
	var watch sync.WaitGroup
	watch.Go(func() {
		for {
			select {
			case <-done:
				return
			case <-time.After(2 * time.Millisecond):
				runtime.ReadMemStats(&stats)
				most = max(most, stats.HeapAlloc)
			}
		}
	})
	f()
	close(done)
	watch.Wait()
	return most - before
}

// Rows without letters and # are never headings, so that a long log need not be
// searched for another table where there are none any more.
func TestNoHeadingsWithoutLetters(t *testing.T) {
	const signs = "0123456789 !\"$%&'()*+,-./:;<=>?"
	counter := heading.NewCounter(map[string][]string{"tea": {"Tea"}})
	known := func(text string) int {
		n, _ := counter.Count([]source.Cell{{Kind: source.Text, Text: text}})
		return n
	}
	require.Equal(t, 1, known("pH"))
	require.Equal(t, 1, known("#"))
	for _, a := range signs {
		require.Zero(t, known(string(a)), "%q", a)
		for _, b := range signs {
			require.Zero(t, known(string(a)+string(b)), "%q and %q", a, b)
			require.Zero(t, known(string(a)+string(b)+string(a)), "%q and %q", a, b)
		}
	}
}

// A log that is not held gives every reading as it was written.
func TestLongLogReadsExactly(t *testing.T) {
	report, err := Run(barometerClub(t, 5<<20), nil, today) // beyond what is held
	require.NoError(t, err)
	all := allTables(t, report)
	require.Greater(t, len(all.Readings), 180_000)
	at := time.Date(1995, 1, 1, 0, 0, 0, 0, time.UTC)
	for i, r := range all.Readings {
		value, err := strconv.ParseFloat(strconv.FormatFloat(1000+float64(i%1733)/100, 'f', 2, 64), 64)
		require.NoError(t, err)
		want := club.Reading{Keeper: "ana", Place: "ana", At: club.Some(at), Quantity: "air_pressure_hpa", Value: club.Some(value),
			Source: club.Source{File: "ana/barometer.csv", Row: int64(i + 2)}}
		if r != want {
			require.Equal(t, want, r, "reading %d", i)
		}
		at = at.Add(time.Minute)
	}
	kept, err := filepath.Glob(filepath.Join(report.club.Dir, club.SourcesDir, "*.csv"))
	require.NoError(t, err)
	require.Len(t, kept, 1)
	copied, err := os.ReadFile(kept[0])
	require.NoError(t, err)
	log, err := os.ReadFile(filepath.Join(report.club.Dir, LogsDir, "ana", "barometer.csv"))
	require.NoError(t, err)
	require.True(t, bytes.Equal(log, copied))
}

// Reading a log eight times as long costs no more memory, give or take what rubbish
// there is just then: 35 MB more of text, or of rows of 24 bytes, would show.
func TestMemoryDoesNotGrowWithTheLog(t *testing.T) {
	if testing.Short() {
		t.Skip("long logs are read in full runs only")
	}
	peak := func(bytes int) uint64 {
		c := barometerClub(t, bytes)
		return peakHeap(func() {
			report, err := Run(c, nil, today)
			require.NoError(t, err)
			require.Greater(t, report.Readings, bytes/30)
			require.Equal(t, report.Readings, int(report.Tables.Sources[0].Used))
		})
	}
	short, long := peak(5<<20), peak(40<<20)
	t.Logf("peak of the heap: %d KB for 5 MB, %d KB for 40 MB", short>>10, long>>10)
	require.Less(t, long, short+(16<<20))
	require.Less(t, long, uint64(64<<20))
}

// BenchmarkLongLogger reads the export of one barometer. peak-MB is the most memory
// that the process has held so far, so that the sizes must rise.
func BenchmarkLongLogger(b *testing.B) {
	for _, megabytes := range []int{1, 10, 100} {
		b.Run(fmt.Sprintf("%dMB", megabytes), func(b *testing.B) {
			c := barometerClub(b, megabytes*1e6)
			b.SetBytes(int64(megabytes) * 1e6)
			b.ReportAllocs()
			for b.Loop() {
				report, err := Run(c, nil, today)
				require.NoError(b, err)
				require.Greater(b, report.Readings, megabytes*30_000)
			}
			if peak, known := peakMemory(); known {
				b.ReportMetric(peak, "peak-MB")
			}
		})
	}
}

// peakMemory is the most memory that the process has held, in MB, where the system
// tells.
func peakMemory() (megabytes float64, known bool) {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0, false
	}
	for line := range strings.SplitSeq(string(status), "\n") {
		if rest, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			kilobytes, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(rest), "kB")), 64)
			return kilobytes * 1024 / 1e6, err == nil
		}
	}
	return 0, false
}
