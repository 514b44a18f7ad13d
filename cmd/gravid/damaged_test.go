package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestDamagedReadings: readings are read only by questions that need them, and each of
// those refuses to answer from damaged ones.
func TestDamagedReadings(t *testing.T) {
	whole, _ := demoClub(t)
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS(whole)))
	files, err := filepath.Glob(filepath.Join(dir, "tables", "*", "readings.arrow"))
	require.NoError(t, err)
	require.Len(t, files, 1)
	content, err := os.ReadFile(files[0])
	require.NoError(t, err)
	content[len(content)/2] ^= 4
	require.NoError(t, os.WriteFile(files[0], content, 0o666))

	fish := []string{"--species", "Corydoras paleatus"}
	page := filepath.Join(dir, "new.html")
	for _, args := range [][]string{
		append([]string{"ask", "--trigger", "pressure-drop"}, fish...),
		{"ask", "--trigger", "pressure-drop", "--across"},
		append([]string{"triggers"}, fish...),
		{"season", "2025", "--page", page},
	} {
		var out, errs bytes.Buffer
		args = append(args, "--club", dir)
		code := run(args, system{stdout: &out, stderr: &errs, now: func() time.Time { return today }, getenv: func(string) string { return "" }})
		require.Equal(t, exitFailed, code, "%v: %s", args, out.String())
		require.Empty(t, out.String(), args)
		require.Contains(t, errs.String(), "readings.arrow", args)
		require.Contains(t, errs.String(), "fix: ", args)
		require.NoFileExists(t, page, args)
	}
	for _, verb := range []string{"eggs", "timing", "keepers"} {
		args := append([]string{verb, "--club", dir}, fish...)
		require.Equal(t, gravid(t, exitDone, append([]string{verb, "--club", whole}, fish...)...), gravid(t, exitDone, args...))
	}
}
