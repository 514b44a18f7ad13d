package atomicfile_test

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club/atomicfile"
)

func text(s string) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.WriteString(w, s)
		return err
	}
}

func list(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

func TestWrite(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "out.csv")
	require.NoError(t, atomicfile.Write(name, text("old")))
	require.NoError(t, atomicfile.Write(name, text("new")))
	b, err := os.ReadFile(name)
	require.NoError(t, err)
	require.Equal(t, "new", string(b))
	require.Equal(t, []string{"out.csv"}, list(t, dir))
}

// TestFailureLeavesTheOldFile: a run that fails half way changes nothing and
// leaves nothing beside.
func TestFailureLeavesTheOldFile(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "out.csv")
	require.NoError(t, atomicfile.Write(name, text("old")))
	full := errors.New("disk full")
	half := func(w io.Writer) error {
		if err := text("half")(w); err != nil {
			return err
		}
		return full
	}
	require.ErrorIs(t, atomicfile.Write(name, half), full)
	require.ErrorIs(t, atomicfile.Write(filepath.Join(dir, "other"), half), full)
	b, err := os.ReadFile(name)
	require.NoError(t, err)
	require.Equal(t, "old", string(b))
	require.Equal(t, []string{"out.csv"}, list(t, dir))
}

func TestRefused(t *testing.T) {
	dir := t.TempDir()
	require.ErrorContains(t, atomicfile.Write(dir, text("x")), "not a plain file")
	require.ErrorContains(t, atomicfile.Write(os.DevNull, text("x")), "not a plain file")
	require.ErrorIs(t, atomicfile.Write(filepath.Join(dir, "no", "out"), text("x")), os.ErrNotExist)
	dangling := filepath.Join(dir, "dangling")
	require.NoError(t, os.Symlink(filepath.Join(dir, "gone"), dangling))
	require.ErrorContains(t, atomicfile.Write(dangling, text("x")), "not a plain file")
	require.Equal(t, []string{"dangling"}, list(t, dir))
}

// TestLink: a link stays a link, the file that it names is written.
func TestLink(t *testing.T) {
	dir, elsewhere := t.TempDir(), t.TempDir()
	target := filepath.Join(elsewhere, "target")
	require.NoError(t, os.WriteFile(target, []byte("old"), 0o666))
	link := filepath.Join(dir, "link")
	require.NoError(t, os.Symlink(target, link))
	require.NoError(t, atomicfile.Write(link, text("new")))
	b, err := os.ReadFile(target)
	require.NoError(t, err)
	require.Equal(t, "new", string(b))
	info, err := os.Lstat(link)
	require.NoError(t, err)
	require.Equal(t, os.ModeSymlink, info.Mode().Type())
	require.Equal(t, []string{"target"}, list(t, elsewhere))
}

func TestWriteInStaysInside(t *testing.T) {
	dir := t.TempDir()
	inner := filepath.Join(dir, "inner")
	require.NoError(t, os.Mkdir(inner, 0o777))
	root, err := os.OpenRoot(inner)
	require.NoError(t, err)
	defer root.Close()
	require.ErrorContains(t, atomicfile.WriteIn(root, "../out", text("x")), "escapes")
	require.NoError(t, atomicfile.WriteIn(root, "out", text("x")))
	require.ErrorIs(t, atomicfile.Create(root, "out", text("y")), os.ErrExist)
	require.Equal(t, []string{"inner"}, list(t, dir))
	require.Equal(t, []string{"out"}, list(t, inner))
}

// TestLeftoverTemp: a temporary file of a killed run with the same process
// number is in nobody's way.
func TestLeftoverTemp(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "out")
	require.NoError(t, atomicfile.Write(name, func(io.Writer) error {
		temps := list(t, dir)
		require.Len(t, temps, 1)
		require.Contains(t, temps[0], atomicfile.TempPrefix)
		return atomicfile.Write(filepath.Join(dir, "second"), text("x"))
	}))
	require.Equal(t, []string{"out", "second"}, list(t, dir))
}

// TestErrorsNameTheFile: people know the file that was to be written and nothing of
// the temporary one.
func TestErrorsNameTheFile(t *testing.T) {
	full := errors.New("full")
	for _, err := range []error{
		&fs.PathError{Op: "openat", Path: ".tmp-7-0", Err: full},
		&fs.PathError{Op: "write", Path: "/club/season/.tmp-7-0", Err: full},
		fmt.Errorf("write it: %w", &fs.PathError{Op: "write", Path: ".tmp-7-0/attempts.arrow", Err: full}),
		&os.LinkError{Op: "renameat", Old: ".tmp-7-0", New: "out.csv", Err: full},
		errors.Join(nil, &fs.PathError{Op: "sync", Path: ".tmp-7-0", Err: full}),
	} {
		named := atomicfile.Naming(err, ".tmp-7-0", "season/2025.xlsx")
		require.EqualError(t, named, "write season/2025.xlsx: full")
		require.ErrorIs(t, named, full)
	}
	other := &fs.PathError{Op: "read", Path: "logs/a.tmp-7-0", Err: full}
	require.Equal(t, error(other), atomicfile.Naming(other, ".tmp-7-0", "x"))
	require.NoError(t, atomicfile.Naming(nil, "a", "b"))
	missing := filepath.Join(t.TempDir(), "no", "out")
	require.ErrorContains(t, atomicfile.Write(missing, text("x")), "write "+missing+":")
}
