// Package reporttest holds what the tests of the renderers share: made-up
// documents (every number in them is invented) and the comparison with golden
// files. It is for tests alone.
package reporttest

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// Goldens is a folder of wanted outputs. A file of the folder that no call of
// Equal asks for fails the test: nobody would notice it going stale.
type Goldens struct {
	dir  string
	used map[string]bool
}

// OpenGoldens opens the folder dir for the test t and everything below it.
func OpenGoldens(t *testing.T, dir string) *Goldens {
	g := &Goldens{dir: dir, used: map[string]bool{}}
	t.Cleanup(func() {
		if t.Failed() {
			return
		}
		entries, err := os.ReadDir(dir)
		require.NoError(t, err)
		require.NotEmpty(t, entries, "no golden files in %s", dir)
		for _, e := range entries {
			assert.True(t, g.used[e.Name()], "no test reads %s", filepath.Join(dir, e.Name()))
		}
	})
	return g
}

// Equal compares got with the golden file name. A missing file fails; the flag
// -update writes it.
func (g *Goldens) Equal(t *testing.T, name string, got []byte) {
	t.Helper()
	g.used[name] = true
	path := filepath.Join(g.dir, name)
	if *update {
		require.NoError(t, os.MkdirAll(g.dir, 0o755))
		require.NoError(t, os.WriteFile(path, got, 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "run the test with -update and read the difference")
	assert.Equal(t, string(want), string(got), "%s differs; if the new output is right, run the test with -update", path)
}
