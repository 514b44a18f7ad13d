// Package notebooks holds worked examples for people. Its test runs them.
package notebooks

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// A step is one command of a notebook with the lines that its output must hold.
type step struct {
	command string
	lines   []string
}

// steps reads the console blocks of a notebook.
func steps(t *testing.T, name string) []step {
	t.Helper()
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	var out []step
	inside := false
	for line := range strings.Lines(string(text)) {
		line = strings.TrimRight(line, "\n")
		switch {
		case strings.HasPrefix(line, "```"):
			inside = line == "```console"
		case !inside:
		case strings.HasPrefix(line, "$ "):
			out = append(out, step{command: strings.TrimPrefix(line, "$ ")})
		default:
			require.NotEmpty(t, out, "%s: output before any command", name)
			out[len(out)-1].lines = append(out[len(out)-1].lines, line)
		}
	}
	require.NotEmpty(t, out, "%s has no commands", name)
	return out
}

// built is the folder of a gravid that the first test in need of it built.
var built struct {
	sync.Once
	dir, fault string
}

// gravidFolder returns a folder that holds the program gravid, to put on the path.
func gravidFolder(t *testing.T) string {
	t.Helper()
	built.Do(func() {
		dir, err := os.MkdirTemp("", "gravid-*")
		require.NoError(t, err)
		built.dir = dir
		said, err := exec.Command("go", "build", "-o", filepath.Join(dir, "gravid"), "gravid/cmd/gravid").CombinedOutput()
		if err != nil {
			built.fault = err.Error() + "\n" + string(said)
		}
	})
	require.Empty(t, built.fault)
	return built.dir
}

func TestMain(m *testing.M) {
	code := m.Run()
	os.RemoveAll(built.dir)
	os.Exit(code)
}

func TestNotebooks(t *testing.T) {
	books, err := filepath.Glob("*.md")
	require.NoError(t, err)
	require.NotEmpty(t, books)
	bin := gravidFolder(t)
	for _, book := range books {
		t.Run(book, func(t *testing.T) {
			dir := t.TempDir()
			for _, s := range steps(t, book) {
				cmd := exec.Command("bash", "-c", s.command)
				cmd.Dir = dir
				cmd.Env = append(os.Environ(), "PATH="+bin+string(os.PathListSeparator)+os.Getenv("PATH"))
				var out, errs bytes.Buffer
				cmd.Stdout, cmd.Stderr = &out, &errs
				require.NoError(t, cmd.Run(), "%s\n%s", s.command, errs.String())
				rest := out.String()
				for _, want := range s.lines {
					_, after, found := strings.Cut(rest, want)
					require.True(t, found, "%s: no line %q in what is left of the output:\n%s", s.command, want, out.String())
					rest = after
				}
			}
		})
	}
}
