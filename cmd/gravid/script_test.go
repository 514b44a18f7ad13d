package main

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/require"
)

// today is the date on which the scripts run: after the demo club's last season.
var today = time.Date(2026, 1, 15, 12, 0, 0, 0, time.UTC)

// cleaner takes the shared demo club away after the tests.
type cleaner struct{ *testing.M }

func (c cleaner) Run() int {
	code := c.M.Run()
	if shared.dir != "" {
		if err := os.RemoveAll(filepath.Dir(shared.dir)); err != nil {
			fmt.Fprintln(os.Stderr, err)
			return 1
		}
	}
	return code
}

func TestMain(m *testing.M) {
	testscript.Main(cleaner{m}, map[string]func(){
		"gravid": func() {
			os.Exit(run(os.Args[1:], system{stdout: os.Stdout, stderr: os.Stderr, now: func() time.Time { return today }, getenv: os.Getenv}))
		},
	})
}

// TestScripts runs the program as its users do: each file in testdata/script is a
// list of commands with what they must print.
func TestScripts(t *testing.T) {
	files, err := filepath.Glob("testdata/script/*.txtar")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	testscript.Run(t, testscript.Params{Files: files})
}

// leaveOutIfShort leaves out a test of whole documents, which says nothing about races
// that the scripts don't and takes minutes under the race detector. The gate readme of
// .ci/run runs them all.
func leaveOutIfShort(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("takes long; left out with -short")
	}
}
