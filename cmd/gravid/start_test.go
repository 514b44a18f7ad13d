package main

import (
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// mostAtStart is how many bytes a package of ours may ask for before anything is
// asked of it: room for small tables and patterns. The list of headings takes 9 MB.
const mostAtStart = 512 << 10

var ofOurs = regexp.MustCompile(`(?m)^init (gravid/\S+) .* ([0-9]+) bytes, `)

// TestNoListsAtStart holds that a verb pays only for the lists that it needs: what
// packages make before main runs is small.
func TestNoListsAtStart(t *testing.T) {
	self, err := os.Executable()
	require.NoError(t, err)
	cmd := exec.Command(self, "-test.run=^$")
	cmd.Env = append(os.Environ(), "GODEBUG=inittrace=1")
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	found := ofOurs.FindAllSubmatch(out, -1)
	require.NotEmpty(t, found, "no package of gravid tells what its start takes: %s", out)
	for _, f := range found {
		bytes, err := strconv.Atoi(string(f[2]))
		require.NoError(t, err)
		require.Less(t, bytes, mostAtStart, "%s makes lists before they are needed", f[1])
	}
}

// BenchmarkStart is the list of verbs, the start of the process left out.
func BenchmarkStart(b *testing.B) {
	for b.Loop() {
		a := &app{}
		a.root()
	}
}
