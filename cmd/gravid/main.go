// Command gravid turns the breeding records of an aquarium club into evidence.
//
// Run `gravid help` for its verbs. Results go to standard output, everything
// else to standard error. Exit status: 0 done; 1 failed; 2 wrong usage; 3 done,
// but logs have errors. It is the same for every output format.
package main

import (
	"os"
	"runtime/debug"
	"time"

	"golang.org/x/term"
)

// collectAt is by how much, in percent, the memory in use may grow before what is no
// longer needed of it is given back. Half of Go's own value: a season of a large club then
// peaks a fifth lower, and takes no longer.
const collectAt = 50

func main() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(collectAt)
	}
	width, _, err := term.GetSize(int(os.Stdout.Fd()))
	if err != nil {
		width = 0
	}
	os.Exit(run(os.Args[1:], system{
		stdout: os.Stdout, stderr: os.Stderr, now: time.Now, getenv: os.Getenv,
		width: width, terminal: term.IsTerminal(int(os.Stdout.Fd())),
	}))
}
