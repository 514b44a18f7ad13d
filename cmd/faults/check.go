//go:build linux

package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// A check makes faults of one kind. Its error means that the check itself could
// not be carried out; what the program did wrong is in the findings.
type check struct {
	name  string
	about string
	run   func(*bench) error
	asked bool // only run when it is named
}

var checks = []check{
	{"kill-ingest", "kill -9 at random moments of ingest", killIngest, false},
	{"kill-season", "kill -9 at random moments of season", killSeason, false},
	{"full-disk", "no room left on the disk, or on standard output", fullDisk, false},
	{"no-right", "folders and files that may not be written or read", noRight, false},
	{"changing-log", "logs that grow, change, go away while they are read", changingLog, false},
	{"twice", "two runs at once", twice, false},
	{"clock-back", "the clock set back, and file times out of order", clockBack, false},
	{"damaged-table", "table files with a flipped bit, cut short, or from elsewhere", damagedTable, false},
	{"hostile-log", "bombs, huge and deep logs, links and devices, with peak memory", hostileLog, false},
	{"injection", "formulas, markup and terminal commands in what keepers write", injection, false},
	{"privacy", "names of keepers, files and places where pseudonyms are on", privacy, false},
	{"supply", "dependencies: whole, named, none older than known holes; the same bytes twice; other systems", supply, false},
	{"fuzz", "random input for every parser, for --minutes in all (only when named)", fuzz, true},
}

// A verdict is what a case of a check came to.
type verdict int

const (
	held verdict = iota
	fault
	notTried
)

func (v verdict) String() string { return [...]string{"held", "FAULT", "not tried"}[v] }

// A finding is one case of a check.
type finding struct {
	check, name          string
	did, expected, found string
	verdict              verdict
}

func (f finding) print(w io.Writer) {
	fmt.Fprintf(w, "%-9s %s/%s\n  did       %s\n  expected  %s\n  found     %s\n", f.verdict, f.check, f.name, f.did, f.expected, f.found)
}

// A bench is where one check works.
type bench struct {
	check   string
	program string // the built program
	base    string // a folder of the check's own
	rounds  int
	fuzzing time.Duration   // how long all fuzz targets run
	stop    context.Context // done: end after this round, and tell what was found so far
	dice    dice
	out     io.Writer
	found   []finding
}

// A trial is a case while it is under way: what was wrong is collected, and
// nothing collected means that it held.
type trial struct {
	b                   *bench
	name, did, expected string
	wrong               []string
}

func (b *bench) try(name, did, expected string) *trial {
	return &trial{b: b, name: name, did: did, expected: expected}
}

// fault notes something that is not as expected; empty texts are none.
func (t *trial) fault(format string, args ...any) {
	t.wrong = append(t.wrong, fmt.Sprintf(format, args...))
}

// mind notes what a comparison returned, unless it is empty.
func (t *trial) mind(where, what string) {
	if what != "" {
		t.fault("%s: %s", where, what)
	}
}

// end closes the case. good is what was found where nothing was wrong.
func (t *trial) end(format string, args ...any) {
	good := fmt.Sprintf(format, args...)
	f := finding{check: t.b.check, name: t.name, did: t.did, expected: t.expected, found: good}
	if len(t.wrong) > 0 {
		const most = 12
		f.verdict = fault
		shown := t.wrong[:min(most, len(t.wrong))]
		f.found = strings.Join(shown, "\n            ")
		if len(t.wrong) > most {
			f.found += fmt.Sprintf("\n            and %d more", len(t.wrong)-most)
		}
		if good != "" {
			f.found += "\n            (" + good + ")"
		}
	}
	t.b.add(f)
}

// notTried notes a case that this machine does not allow.
func (b *bench) notTried(name, did, why string) {
	b.add(finding{check: b.check, name: name, did: did, expected: "-", found: why, verdict: notTried})
}

func (b *bench) add(f finding) {
	f.print(b.out)
	b.found = append(b.found, f)
}

// eachRound does something as often as the rounds say, or until it is interrupted,
// and returns how often that was.
func (b *bench) eachRound(do func(round int) error) (int, error) {
	for round := 1; round <= b.rounds; round++ {
		if b.stop.Err() != nil {
			return round - 1, nil
		}
		if err := do(round); err != nil {
			return round, err
		}
	}
	return b.rounds, nil
}

// folder makes a new folder for the check.
func (b *bench) folder(name string) (string, error) {
	dir := filepath.Join(b.base, name)
	return dir, os.Mkdir(dir, 0o755)
}

// runAll builds the program and runs the checks, each in a folder of its own.
func runAll(ctx context.Context, chosen []check, s settings, out io.Writer) (found []finding, err error) {
	base, err := os.MkdirTemp("", "gravid-faults-")
	if err != nil {
		return nil, err
	}
	defer func() {
		if gone := removeAll(base); err == nil {
			err = gone
		}
	}()
	if err := os.Chmod(base, 0o755); err != nil { // other users run the program as well
		return nil, err
	}
	program := filepath.Join(base, "gravid")
	if err := buildProgram(program, ""); err != nil {
		return nil, err
	}
	for i, c := range chosen {
		if ctx.Err() != nil {
			found = append(found, finding{check: c.name, name: "all", verdict: notTried, found: "interrupted before"})
			continue
		}
		dir := filepath.Join(base, c.name)
		if err := os.Mkdir(dir, 0o755); err != nil {
			return nil, err
		}
		b := &bench{check: c.name, program: program, base: dir, rounds: s.rounds, fuzzing: time.Duration(s.minutes * float64(time.Minute)), stop: ctx, dice: newDice(s.seed, c.name), out: out}
		if err := c.run(b); err != nil {
			return nil, fmt.Errorf("%s: %w", c.name, err)
		}
		found = append(found, b.found...)
		if err := removeAll(dir); err != nil {
			return nil, err
		}
		if i < len(chosen)-1 {
			fmt.Fprintln(out)
		}
	}
	return found, nil
}

// removeAll removes a folder in which rights may have been taken away.
func removeAll(dir string) error {
	err := filepath.WalkDir(dir, func(name string, d os.DirEntry, err error) error {
		if err == nil && d.IsDir() {
			return os.Chmod(name, 0o755)
		}
		return err
	})
	if err != nil {
		return err
	}
	return os.RemoveAll(dir)
}

func printTally(w io.Writer, found []finding) {
	fmt.Fprintf(w, "\n%-14s %5s %6s %10s\n", "check", "held", "faults", "not tried")
	total := map[verdict]int{}
	line := func(name string, n map[verdict]int) {
		fmt.Fprintf(w, "%-14s %5d %6d %10d\n", name, n[held], n[fault], n[notTried])
	}
	for i := 0; i < len(found); {
		name, n := found[i].check, map[verdict]int{}
		for ; i < len(found) && found[i].check == name; i++ {
			n[found[i].verdict]++
			total[found[i].verdict]++
		}
		line(name, n)
	}
	line("all", total)
}

// dice is a small source of random numbers (splitmix64), the same on every
// machine.
type dice struct{ state uint64 }

func newDice(seed uint64, name string) dice {
	d := dice{seed}
	for _, c := range []byte(name) {
		d.state ^= uint64(c)
		d.next()
	}
	return d
}

func (d *dice) next() uint64 {
	d.state += 0x9e3779b97f4a7c15
	z := d.state
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// below is a whole number from 0 to n-1.
func (d *dice) below(n int) int { return int(d.next() % uint64(n)) }

// share is a number from 0 up to 1.
func (d *dice) share() float64 { return float64(d.next()>>11) / (1 << 53) }
