package source

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/problem"
)

const smallLog = "date;eggs\n2024-03-04;12\n"

// openFolder makes a folder with one small log in it.
func openFolder(t testing.TB) (dir string, root *os.Root) {
	t.Helper()
	dir = t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "ana"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "ana", "log.csv"), []byte(smallLog), 0o644))
	root, err := os.OpenRoot(dir)
	require.NoError(t, err)
	t.Cleanup(func() { root.Close() })
	return dir, root
}

func TestLoad(t *testing.T) {
	_, root := openFolder(t)
	f, err := Load(root, "ana/log.csv", Limits{})
	require.NoError(t, err)
	sum := sha256.Sum256([]byte(smallLog))
	require.Equal(t, "ana/log.csv", f.Name)
	require.Equal(t, hex.EncodeToString(sum[:]), f.SHA256)
	require.Equal(t, int64(len(smallLog)), f.Bytes)
	require.Equal(t, smallLog, string(f.Raw))
	require.Equal(t, "ana/log.csv", onlyGrid(t, f).File)
	require.Empty(t, f.Problems)
}

func TestLoadRefusesPathsOutside(t *testing.T) {
	_, root := openFolder(t)
	for _, name := range []string{"../log.csv", "/etc/passwd", "", "ana/../../x"} {
		_, err := Load(root, name, Limits{})
		require.Error(t, err, name)
	}
}

// Row 45 of the list of hostile inputs: odd names are names, and never paths.
func TestRow45OddNames(t *testing.T) {
	dir, root := openFolder(t)
	for _, name := range []string{"a\nb.csv", "%s%n.csv", "-rf.csv", strings.Repeat("x", 251) + ".csv", "\xff\xfe.csv", "..csv", "con .csv"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(smallLog), 0o644), name)
		f, err := Load(root, name, Limits{})
		require.NoError(t, err)
		require.Equal(t, name, f.Name)
		require.Equal(t, name, onlyGrid(t, f).File)
	}
}

// Row 47: a file that changes while it is read is refused, however it changes.
func TestRow47ChangedWhileRead(t *testing.T) {
	for name, change := range map[string]func(path string, was os.FileInfo) error{
		"grows": func(path string, _ os.FileInfo) error {
			return os.WriteFile(path, []byte(smallLog+"2024-03-05;7\n"), 0o644)
		},
		"shrinks": func(path string, _ os.FileInfo) error { return os.Truncate(path, 5) },
		"touched": func(path string, was os.FileInfo) error {
			return os.Chtimes(path, time.Time{}, was.ModTime().Add(time.Second))
		},
		"other bytes, same size and time": func(path string, was os.FileInfo) error {
			if err := os.WriteFile(path, []byte(strings.ToUpper(smallLog)), 0o644); err != nil {
				return err
			}
			return os.Chtimes(path, time.Time{}, was.ModTime())
		},
		"replaced by its like": func(path string, was os.FileInfo) error {
			if err := os.WriteFile(path+"2", []byte(smallLog), 0o644); err != nil {
				return err
			}
			if err := os.Chtimes(path+"2", time.Time{}, was.ModTime()); err != nil {
				return err
			}
			return os.Rename(path+"2", path)
		},
		"removed": func(path string, _ os.FileInfo) error { return os.Remove(path) },
	} {
		dir, root := openFolder(t)
		path := filepath.Join(dir, "ana", "log.csv")
		was, err := os.Stat(path)
		require.NoError(t, err)
		f, err := load(root, "ana/log.csv", keepInMemory, Hints{}, Limits{}, func() { require.NoError(t, change(path, was), name) })
		require.NoError(t, err, name)
		onlyError(t, f, problem.FileChanged)
	}
}

func TestFileSizeLimit(t *testing.T) {
	_, root := openFolder(t)
	f, err := Load(root, "ana/log.csv", Limits{FileBytes: 10})
	require.NoError(t, err)
	onlyError(t, f, problem.Limit)
	onlyError(t, Read("log.csv", []byte(smallLog), Limits{FileBytes: 10}), problem.Limit)
}

// Row 48: what programs keep beside an open workbook is known by its name.
func TestRow48LockFiles(t *testing.T) {
	for name, want := range map[string]bool{
		"~$log.xlsx": true, "ana/~$log.xlsx": true, ".~lock.log.ods#": true, "ana/.~lock.log.ods#": true,
		"log.xlsx": false, "log (1).xlsx": false, "~log.xlsx": false, ".~lock.log.ods": false, "~$x/log.csv": false,
	} {
		require.Equal(t, want, IsLock(name), name)
	}
}

// Row 49: a long log of a data logger costs little beyond its bytes.
func TestRow49LongLoggerLog(t *testing.T) {
	raw := []byte(loggerText(100_000))
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f := Read("logger.csv", raw, Limits{})
	rows := 0
	for range onlyGrid(t, f).Each {
		rows++
	}
	runtime.ReadMemStats(&after)
	require.Equal(t, 100_001, rows)
	require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(1<<20), "of %d bytes", len(raw))
}
