// Package notebooks holds worked examples for people. Its test runs them.
package notebooks

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
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

func TestNotebooks(t *testing.T) {
	books, err := filepath.Glob("*.md")
	require.NoError(t, err)
	require.NotEmpty(t, books)
	bin := t.TempDir()
	build := exec.Command("go", "build", "-o", filepath.Join(bin, "gravid"), "gravid/cmd/gravid")
	said, err := build.CombinedOutput()
	require.NoError(t, err, string(said))
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
