package demo

import (
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
)

func TestWriteLaysTheClubDown(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "deep", "demo club")
	require.NoError(t, Write(dir))
	n := 0
	require.NoError(t, fs.WalkDir(files, ".", func(name string, entry fs.DirEntry, err error) error {
		require.NoError(t, err)
		if entry.IsDir() {
			return nil
		}
		n++
		want, err := files.ReadFile(name)
		require.NoError(t, err)
		got, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(inClub(name))))
		require.NoError(t, err)
		require.Equal(t, want, got, name)
		return nil
	}))
	require.Equal(t, 15, n, "club.toml, truth.json, eleven logs and two loggers")
	require.FileExists(t, filepath.Join(dir, "truth.json"))
	require.FileExists(t, filepath.Join(dir, "logs", "weather", "barometer.csv"))
}

func TestTheClubsSettingsLoad(t *testing.T) {
	dir := t.TempDir() // there, and empty
	require.NoError(t, Write(dir))
	c, err := club.LoadConfig(dir)
	require.NoError(t, err)
	require.Equal(t, "Lindenfurt Aquarium Circle", c.Name)
	require.Equal(t, "Europe/Berlin", c.TimeZone)
}

func TestWriteRefusesAFolderInUse(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "mine.txt"), []byte("mine"), 0o600))
	err := Write(dir)
	require.ErrorContains(t, err, "not empty")
	require.ErrorContains(t, err, "mine.txt")
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 1, "nothing was written")
}

func TestWriteRefusesAFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	require.ErrorContains(t, Write(path), "cannot be made")
}

// The truth that Questions promise is the one that was planted.
func TestQuestionsMatchTheTruth(t *testing.T) {
	var truth struct {
		Species []struct {
			Name      string             `json:"name"`
			OddsRatio map[string]float64 `json:"odds_ratio"`
		} `json:"species"`
		LastDay string `json:"last_day"`
	}
	require.NoError(t, json.Unmarshal(Truth(), &truth))
	ratio := map[string]float64{}
	for _, s := range truth.Species {
		ratio[s.Name] = s.OddsRatio["pressure-drop"]
	}
	require.Contains(t, Questions[0], "Corydoras paleatus")
	require.Equal(t, 3.5, ratio["Corydoras paleatus"]) // planted
	require.Contains(t, Questions[1], "Danio rerio")
	require.Equal(t, 1.0, ratio["Danio rerio"]) // planted
	require.Equal(t, "2025", truth.LastDay[:4])
	require.Equal(t, 2025, Year)
}

// The demo travels inside the program.
func TestTheDemoIsSmall(t *testing.T) {
	var bytes int64
	require.NoError(t, fs.WalkDir(files, ".", func(_ string, entry fs.DirEntry, err error) error {
		require.NoError(t, err)
		info, err := entry.Info()
		require.NoError(t, err)
		bytes += info.Size()
		return nil
	}))
	require.Less(t, bytes, int64(3<<20))
	require.Greater(t, bytes, int64(1<<19))
}
