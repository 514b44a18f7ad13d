// Package reporttest holds what the tests of the renderers share: made-up
// documents (every number in them is invented) and the comparison with golden
// files. It is for tests alone.
package reporttest

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
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
		if err != nil || len(entries) == 0 {
			t.Fatalf("no golden files in %s: %v", dir, err)
		}
		for _, e := range entries {
			if !g.used[e.Name()] {
				t.Errorf("no test reads %s", filepath.Join(dir, e.Name()))
			}
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
		if err := os.MkdirAll(g.dir, 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v; run the test with -update and read the difference", err)
	}
	if at, w, g := firstDifference(string(want), string(got)); at > 0 {
		t.Errorf("%s differs first in line %d\nwant %.300q\ngot  %.300q\nif the new output is right, run the test with -update", path, at, w, g)
	}
}

// firstDifference is the first line in which two texts differ, counted from 1,
// and what each has there; 0 where they are equal.
func firstDifference(want, got string) (line int, w, g string) {
	if want == got {
		return 0, "", ""
	}
	ws, gs := strings.SplitAfter(want, "\n"), strings.SplitAfter(got, "\n")
	for i := 0; ; i++ {
		w, g = "", ""
		if i < len(ws) {
			w = ws[i]
		}
		if i < len(gs) {
			g = gs[i]
		}
		if w != g || i >= len(ws) || i >= len(gs) {
			return i + 1, w, g
		}
	}
}
