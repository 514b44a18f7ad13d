//go:build unix

package source

import (
	"net"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/problem"
)

// Row 46: anything but a regular file is refused, and nothing waits for ever.
func TestRow46NoRegularFiles(t *testing.T) {
	dir, root := openFolder(t)
	outside := filepath.Join(t.TempDir(), "secret.csv")
	require.NoError(t, os.WriteFile(outside, []byte(smallLog), 0o644))
	require.NoError(t, os.Symlink(outside, filepath.Join(dir, "out.csv")))
	require.NoError(t, os.Symlink("ana/log.csv", filepath.Join(dir, "in.csv")))
	require.NoError(t, os.Symlink(filepath.Dir(outside), filepath.Join(dir, "folder")))
	require.NoError(t, os.Symlink(".", filepath.Join(dir, "loop")))
	require.NoError(t, syscall.Mkfifo(filepath.Join(dir, "pipe.csv"), 0o644))
	socket, err := net.Listen("unix", filepath.Join(dir, "s.csv"))
	require.NoError(t, err)
	defer socket.Close()
	for name, says := range map[string]string{
		"out.csv": "a link", "in.csv": "a link", "loop": "a link", "pipe.csv": "a pipe", "s.csv": "a socket", "ana": "a folder",
		"folder/secret.csv": "cannot be read", "missing.csv": "cannot be read",
	} {
		f, err := Load(root, name, Limits{})
		require.NoError(t, err, name)
		p := onlyError(t, f, problem.FileUnreadable)
		require.Contains(t, p.Message, says, name)
	}
}

func TestRow46UnreadableFile(t *testing.T) {
	dir, root := openFolder(t)
	name := filepath.Join(dir, "ana", "log.csv")
	require.NoError(t, os.Chmod(name, 0))
	if file, err := os.Open(name); err == nil { // whoever may read everything
		file.Close()
		require.NoError(t, os.Remove(name))
	}
	f, err := Load(root, "ana/log.csv", Limits{})
	require.NoError(t, err)
	onlyError(t, f, problem.FileUnreadable)
}
