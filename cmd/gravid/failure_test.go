package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
)

// TestRemedies: an error of the system comes with what to do about its kind, and what
// knows better keeps its own.
func TestRemedies(t *testing.T) {
	for of, says := range map[error]string{
		syscall.ENOSPC: "make room", syscall.EDQUOT: "quota", syscall.EROFS: "only be read", syscall.EACCES: "give the right", syscall.EPERM: "give the right",
		syscall.EMFILE: "ulimit -n", syscall.ENAMETOOLONG: "shorten", syscall.EFBIG: "ulimit -f", syscall.ENOENT: "written as it should be", syscall.EIO: "disk",
	} {
		for _, err := range []error{
			of, &fs.PathError{Op: "write", Path: "x", Err: of}, fmt.Errorf("wrapped: %w", of), errors.Join(errors.New("first"), of),
			&club.Fault{Path: "x", What: of.Error(), Err: of},
		} {
			var fail failure
			require.ErrorAs(t, asFailure(err), &fail)
			require.Contains(t, fail.fix, says, "%v", err)
			require.NotContains(t, fail.text, "\n")
		}
	}
	known := failure{"x", "y"}
	require.Equal(t, error(known), asFailure(known))
	require.Equal(t, failure{"x: y", "z"}, asFailure(&club.Fault{Path: "x", What: "y", Fix: "z", Err: syscall.ENOSPC}))
	require.Equal(t, failure{"odd", ""}, asFailure(errors.New("odd")))
	require.Equal(t, failure{"odd", "name a file in a folder that can be written to"}, notWritten(errors.New("odd")))
	var usage usageError
	require.ErrorAs(t, asFailure(errors.New("unknown flag: --x")), &usage)
}

// A full writer takes nothing.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, syscall.ENOSPC }

// TestLostResults: results that did not arrive end every verb with status 1.
func TestLostResults(t *testing.T) {
	for _, args := range [][]string{{"explain", "limit"}, {"triggers", "--list"}, {"help"}} {
		var talk bytes.Buffer
		status := run(args, system{stdout: full{}, stderr: &talk, now: func() time.Time { return today }, getenv: os.Getenv})
		require.Equal(t, exitFailed, status, args)
		require.Contains(t, talk.String(), "no space left")
		require.Contains(t, talk.String(), "fix: make room")
	}
}

// TestNoHalfFolder: where a club's folder cannot be filled, what was made is taken
// away, and nothing else.
func TestNoHalfFolder(t *testing.T) {
	dir := t.TempDir()
	fails := func(made string) func() error {
		return func() error {
			return errors.Join(os.WriteFile(filepath.Join(made, "half"), nil, 0o666), syscall.ENOSPC)
		}
	}
	deep := filepath.Join(dir, "a", "b", "c")
	require.ErrorContains(t, inEmptyFolder(deep, fails(deep)), "no space")
	require.NoDirExists(t, filepath.Join(dir, "a"))
	empty := filepath.Join(dir, "empty")
	require.NoError(t, os.Mkdir(empty, 0o777))
	require.Error(t, inEmptyFolder(empty, fails(empty)))
	entries, err := os.ReadDir(empty)
	require.NoError(t, err)
	require.Empty(t, entries)
	require.NoError(t, os.WriteFile(filepath.Join(empty, "mine"), nil, 0o666))
	require.ErrorContains(t, inEmptyFolder(empty, fails(empty)), "not empty")
	require.FileExists(t, filepath.Join(empty, "mine"))
}
