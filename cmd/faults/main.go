//go:build linux

package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"slices"
	"strings"

	"gravid/cmd/internal/pick"
)

func main() {
	debug.SetMemoryLimit(harnessMemory)
	os.Exit(run(os.Args[1:], os.Stdout, os.Stderr))
}

// harnessMemory is what the harness itself may hold; see peakMemory.
const harnessMemory = 32 << 20

// settings are the command line.
type settings struct {
	only    []string
	rounds  int
	minutes float64
	seed    uint64
	list    bool
}

func run(args []string, out, talk io.Writer) int {
	s, err := parse(args, talk)
	if errors.Is(err, flag.ErrHelp) {
		return 0
	}
	var chosen []check
	if err == nil {
		chosen, err = choose(checks, s.only)
	}
	if err != nil {
		fmt.Fprintln(talk, "faults: error:", err)
		return 2
	}
	if s.list {
		if s.only == nil {
			chosen = checks
		}
		for _, c := range chosen {
			fmt.Fprintf(out, "%-14s %s\n", c.name, c.about)
		}
		return 0
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	found, err := runAll(ctx, chosen, s, out)
	if err != nil {
		fmt.Fprintln(talk, "faults: error:", err)
		return 1
	}
	printTally(out, found)
	if slices.ContainsFunc(found, func(f finding) bool { return f.verdict == fault }) {
		return 1
	}
	return 0
}

func parse(args []string, talk io.Writer) (settings, error) {
	var s settings
	var only string
	flags := flag.NewFlagSet("faults", flag.ContinueOnError)
	flags.SetOutput(talk)
	flags.StringVar(&only, "only", "", "comma-separated names of checks, or beginnings of names (all by default; see --list)")
	flags.IntVar(&s.rounds, "rounds", 20, "how often a fault that comes at random is made")
	flags.Float64Var(&s.minutes, "minutes", 60, "how long the fuzz targets run, all together")
	flags.Uint64Var(&s.seed, "seed", 1, "seed of the clubs, the bits and the moments")
	flags.BoolVar(&s.list, "list", false, "name the checks and stop")
	if err := flags.Parse(args); err != nil {
		return s, err
	}
	if flags.NArg() > 0 {
		return s, fmt.Errorf("unknown argument %q", flags.Arg(0))
	}
	if s.rounds < 1 {
		return s, fmt.Errorf("--rounds must be at least 1, not %d", s.rounds)
	}
	if !(s.minutes > 0) {
		return s, fmt.Errorf("--minutes must be more than 0, not %v", s.minutes)
	}
	if only != "" {
		s.only = strings.Split(only, ",")
	}
	return s, nil
}

// choose returns the checks whose names begin with one of the words; without words
// all but those that have to be asked for.
func choose(all []check, words []string) ([]check, error) {
	if words == nil {
		return slices.DeleteFunc(slices.Clone(all), func(c check) bool { return c.asked }), nil
	}
	return pick.ByName(all, func(c check) string { return c.name }, words, "check")
}
