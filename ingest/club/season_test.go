package club_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestInSeason: what a killed run left goes, what is being written stays, and whoever
// comes second waits.
func TestInSeason(t *testing.T) {
	c := newClub(t)
	dir := filepath.Join(c.Dir, "season")
	never := func() { t.Error("nobody else is writing") }
	require.NoError(t, c.InSeason(never, func() error { return nil }))
	left := filepath.Join(dir, ".tmp-1-0")
	require.NoError(t, os.WriteFile(left, []byte("half"), 0o666))
	kept := filepath.Join(dir, "2025.xlsx")
	require.NoError(t, os.WriteFile(kept, []byte("whole"), 0o666))
	waits, second := make(chan bool), make(chan error)
	require.NoError(t, c.InSeason(never, func() error {
		require.NoFileExists(t, left)
		require.FileExists(t, kept)
		require.NoError(t, os.WriteFile(left, []byte("at work"), 0o666))
		go func() {
			second <- c.InSeason(func() { close(waits) }, func() error { return nil })
		}()
		<-waits
		time.Sleep(time.Millisecond) // the second would run now, had it not to wait
		require.FileExists(t, left)
		return os.Remove(left)
	}))
	require.NoError(t, <-second)
	full := errors.New("full")
	require.ErrorIs(t, c.InSeason(never, func() error { return full }), full)
	require.NoError(t, c.InSeason(never, func() error { return nil }), "the lock was not given up")
}

func TestInSeasonRefused(t *testing.T) {
	c := newClub(t)
	require.NoError(t, os.WriteFile(filepath.Join(c.Dir, "season"), nil, 0o666))
	require.Error(t, c.InSeason(func() {}, func() error { t.Error("wrote all the same"); return nil }))
}
