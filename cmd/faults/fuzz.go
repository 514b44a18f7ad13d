//go:build linux

package main

import (
	"context"
	"errors"
	"fmt"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// A fuzzTarget is a law of a parser that random input is held to, as go test
// names it.
type fuzzTarget struct{ pkg, name string }

// fuzzTargets finds all targets of the module.
func fuzzTargets() ([]fuzzTarget, error) {
	out, err := exec.Command("go", "test", "-run", "^$", "-list", "^Fuzz", "gravid/...").Output()
	if err != nil {
		return nil, fmt.Errorf("list the fuzz targets: %w", err)
	}
	return listedTargets(string(out)), nil
}

// listedTargets reads what go test -list prints: the targets of a package, and
// below them the package.
func listedTargets(out string) []fuzzTarget {
	var all []fuzzTarget
	var names []string
	for line := range strings.Lines(out) {
		fields := strings.Fields(line)
		switch {
		case len(fields) == 1 && strings.HasPrefix(fields[0], "Fuzz"):
			names = append(names, fields[0])
		case len(fields) > 1 && fields[0] == "ok":
			for _, name := range names {
				all = append(all, fuzzTarget{fields[1], name})
			}
			names = nil
		}
	}
	return all
}

// fuzz runs each target for its share of the time, one worker at a time.
func fuzz(b *bench) error {
	targets, err := fuzzTargets()
	if err != nil {
		return err
	}
	if len(targets) == 0 {
		return errors.New("no fuzz target was found")
	}
	share := (b.fuzzing / time.Duration(len(targets))).Round(time.Second)
	total := 0
	for i, target := range targets {
		if b.stop.Err() != nil {
			b.notTried("all others", "-", fmt.Sprintf("interrupted after %d of %d targets", i, len(targets)))
			break
		}
		n, err := b.fuzzOne(target, max(share, time.Second))
		if err != nil {
			return err
		}
		total += n
	}
	fmt.Fprintf(b.out, "%d executions of %d targets\n", total, len(targets))
	return nil
}

// fuzzOne runs a target for a while and returns how many inputs it was given.
func (b *bench) fuzzOne(f fuzzTarget, share time.Duration) (int, error) {
	t := b.try(strings.TrimPrefix(f.pkg, "gravid/")+" "+f.name, fmt.Sprintf("gave it random input for %s", share), "the law that the target states holds for all of it")
	ctx, cancel := context.WithTimeout(b.stop, share+patience)
	defer cancel()
	out, err := exec.CommandContext(ctx, "go", "test", "-run", "^$", "-fuzz", "^"+f.name+"$", "-fuzztime", share.String(),
		"-fuzzminimizetime", "1x", "-parallel", "1", f.pkg).CombinedOutput()
	executions, anew := fuzzTally(string(out))
	var exit *exec.ExitError
	switch {
	case b.stop.Err() != nil: // interrupted: what was done so far counts
	case ctx.Err() != nil:
		t.fault("it did not end: %s", tail(string(out)))
	case errors.As(err, &exit):
		t.fault("%s", short(string(out), 600))
	case err != nil:
		return 0, err
	case executions == 0:
		b.notTried(t.name, t.did, "the time went by with inputs that were known already; give it more --minutes: "+tail(string(out)))
		return 0, nil
	}
	t.end("%d executions, %d inputs that reach code anew", executions, anew)
	return executions, nil
}

var fuzzLine = regexp.MustCompile(`execs: (\d+) .*new interesting: (\d+)`)

// fuzzTally reads the last count that go test printed.
func fuzzTally(out string) (executions, anew int) {
	lines := fuzzLine.FindAllStringSubmatch(out, -1)
	if len(lines) == 0 {
		return 0, 0
	}
	last := lines[len(lines)-1]
	executions, _ = strconv.Atoi(last[1]) // digits only; one that overflows counts as none, and as a fault
	anew, _ = strconv.Atoi(last[2])
	return executions, anew
}
