//go:build linux

package main

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// A moment is when to kill: after a while, or a while after something was seen in
// the club's folder.
type moment struct {
	kind  string
	seen  func() bool // nil: from the start
	after time.Duration
}

// killAt starts the program, kills it at a moment, and reports whether it was
// still running then.
func (b *bench) killAt(m moment, args ...string) (alive bool, err error) {
	cmd := b.command(context.Background(), call{args: args})
	if err := cmd.Start(); err != nil {
		return false, err
	}
	ended := make(chan struct{})
	go func() {
		cmd.Wait() // how it ended does not matter: it was killed, or ended before
		close(ended)
	}()
	running := func() bool {
		select {
		case <-ended:
			return false
		default:
			return true
		}
	}
	if m.seen != nil {
		for running() && !m.seen() {
			time.Sleep(50 * time.Microsecond)
		}
	}
	select {
	case <-ended:
		return false, nil
	case <-time.After(m.after):
	}
	if err := cmd.Process.Kill(); err != nil && !errors.Is(err, os.ErrProcessDone) {
		return false, err
	}
	<-ended
	return cmd.ProcessState.ExitCode() == -1, nil
}

// killTally counts how rounds came out.
type killTally map[string]int

func (k killTally) String() string {
	var parts []string
	for _, name := range slices.Sorted(maps.Keys(k)) {
		parts = append(parts, fmt.Sprintf("%d %s", k[name], name))
	}
	return strings.Join(parts, ", ")
}

func killIngest(b *bench) error {
	files := smallClub(&b.dice)
	club, err := b.newClub("club", files)
	if err != nil {
		return err
	}
	usual, err := b.usual("ingest", "--club", club)
	if err != nil {
		return err
	}
	t := b.try("tables", fmt.Sprintf("changed a log and killed ingest at up to %d random moments: anywhere in its run of about %s, or just after it began to write", b.rounds, usual.Round(time.Millisecond)),
		"tables and set-aside files old or new and whole each time; problems and ask answer; the next run makes the new tables and leaves no temporary file")
	tally := killTally{}
	old, err := readState(club)
	if err != nil {
		return err
	}
	done, err := b.eachRound(func(round int) (err error) {
		old, err = b.killOneIngest(t, tally, club, round, old, usual)
		return err
	})
	t.end("%d rounds: %s", done, tally)
	return err
}

// killOneIngest is one round; it returns the state after the run that follows.
func (b *bench) killOneIngest(t *trial, tally killTally, club string, round int, old state, usual time.Duration) (state, error) {
	where := fmt.Sprintf("round %d", round)
	log := breedingLog(&b.dice, 20+b.dice.below(10), fmt.Sprintf("round %d", round))
	if err := os.WriteFile(filepath.Join(club, logName), []byte(log), 0o644); err != nil {
		return old, err
	}
	m := b.ingestMoment(club, old, usual)
	alive, err := b.killAt(m, "ingest", "--club", club)
	if err != nil {
		return old, err
	}
	temps := len(leftovers(club)) > 0
	mid, midErr := readState(club)
	if midErr != nil {
		t.fault("%s, killed %s: %v", where, m.kind, midErr)
	}
	what, err := b.readable(club)
	if err != nil {
		return old, err
	}
	t.mind(where+", after the kill", what)
	o, err := b.gravid("ingest", "--club", club)
	if err != nil {
		return old, err
	}
	t.mind(where+", the next run", o.differs(want{status: []int{0, 3}}))
	if left := leftovers(club); len(left) > 0 {
		t.fault("%s: the next run leaves %s", where, strings.Join(left, ", "))
	}
	next, err := readState(club)
	if err != nil {
		t.fault("%s, after the next run: %v", where, err)
		return old, nil
	}
	if next.tables == old.tables {
		return next, fmt.Errorf("%s: a changed log made the same tables, so nothing can be told", where)
	}
	if midErr == nil {
		tally[b.placed(t, where, mid, old, next, alive)]++
		t.mind(where, wholeAside(mid, old, next))
	}
	if temps {
		tally["left something for the next run to clear away"]++
	}
	return next, nil
}

// placed names the tables that a killed run left.
func (b *bench) placed(t *trial, where string, mid, old, next state, alive bool) string {
	switch {
	case mid.tables != old.tables && mid.tables != next.tables:
		t.fault("%s: the tables are neither the old ones nor the new ones", where)
		return "torn"
	case !alive:
		if mid.tables != next.tables {
			t.fault("%s: the run ended by itself and the tables are still the old ones", where)
		}
		return "ended before the kill"
	case mid.tables == old.tables:
		return "old"
	}
	return "new"
}

// ingestMoment picks a moment: a third of them anywhere in the run, the others
// where it writes.
func (b *bench) ingestMoment(club string, old state, usual time.Duration) moment {
	short := time.Duration(b.dice.share() * float64(6*time.Millisecond))
	switch b.dice.below(4) {
	case 0:
		return moment{kind: "anywhere", after: time.Duration(b.dice.share() * 1.1 * float64(usual))}
	case 1:
		temps := filepath.Join(club, "tables", ".tmp-*")
		return moment{kind: "while tables are written", after: 4 * short, seen: func() bool {
			names, _ := filepath.Glob(temps)
			return len(names) > 0
		}}
	case 2:
		next := filepath.Join(club, "tables", nextGeneration(old.generation))
		return moment{kind: "around the swap", after: short, seen: func() bool { return exists(next) }}
	}
	was := fileTime(filepath.Join(club, "tables", "CURRENT"))
	return moment{kind: "after the swap", after: short / 4, seen: func() bool { return fileTime(filepath.Join(club, "tables", "CURRENT")) != was }}
}

func nextGeneration(name string) string {
	var n int
	fmt.Sscanf(name, "gen-%d", &n)
	return fmt.Sprintf("gen-%06d", n+1)
}

func exists(name string) bool {
	_, err := os.Lstat(name)
	return err == nil
}

func fileTime(name string) time.Time {
	info, err := os.Stat(name)
	if err != nil {
		return time.Time{}
	}
	return info.ModTime()
}

// usual is the median of three runs that nobody disturbs.
func (b *bench) usual(args ...string) (time.Duration, error) {
	var took []time.Duration
	for range 3 {
		o, err := b.gravid(args...)
		if err != nil {
			return 0, err
		}
		if what := o.differs(want{status: []int{0, 3}}); what != "" {
			return 0, fmt.Errorf("before any fault was made: %s", what)
		}
		took = append(took, o.took)
	}
	slices.Sort(took)
	return took[1], nil
}

const seasonYear = "2024"

func killSeason(b *bench) error {
	club, err := b.newClub("club", smallClub(&b.dice))
	if err != nil {
		return err
	}
	usual, err := b.usual("season", seasonYear, "--club", club)
	if err != nil {
		return err
	}
	whole := b.try("documents", fmt.Sprintf("changed the club's name and killed season at up to %d random moments: anywhere in its run of about %s, or just after it began to write", b.rounds, usual.Round(time.Millisecond)),
		"workbook and page each old or new and whole; tables untouched; the next run writes both anew")
	clear := b.try("temporary files", "the same, and first put the temporary file there that a run killed while it writes leaves", "the next run leaves no temporary file")
	tally, left := killTally{}, 0
	var old map[string]string
	before, err := readState(club)
	if err != nil {
		return err
	}
	if err := b.plantedTemp(clear, club); err != nil {
		return err
	}
	if old, err = documents(club); err != nil {
		return err
	}
	done, err := b.eachRound(func(round int) (err error) {
		if old, err = b.killOneSeason(whole, tally, club, round, old, usual); err != nil {
			return err
		}
		temps := leftovers(club)
		if len(temps) > 0 {
			left++
			clear.fault("round %d: %s", round, strings.Join(temps, ", "))
		}
		for _, name := range temps { // so that each is counted once
			if err := os.Remove(filepath.Join(club, name)); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	after, err := readState(club)
	if err != nil {
		whole.fault("tables: %v", err)
	} else if after.tables != before.tables {
		whole.fault("the tables have changed")
	}
	whole.end("%d rounds: %s", done, tally)
	clear.end("temporary files were left after %d of %d rounds", left, done)
	return nil
}

// plantedTemp makes for certain what random moments make now and then.
func (b *bench) plantedTemp(t *trial, club string) error {
	name := filepath.Join(club, "season", ".tmp-1-0")
	if err := os.WriteFile(name, []byte("half a workb"), 0o644); err != nil {
		return err
	}
	o, err := b.gravid("season", seasonYear, "--club", club)
	if err != nil {
		return err
	}
	t.mind("planted", o.differs(want{status: []int{0}}))
	if left := leftovers(club); len(left) > 0 {
		t.fault("planted: %s", strings.Join(left, ", "))
		return os.Remove(name)
	}
	return nil
}

func (b *bench) killOneSeason(t *trial, tally killTally, club string, round int, old map[string]string, usual time.Duration) (map[string]string, error) {
	where := fmt.Sprintf("round %d", round)
	if err := os.WriteFile(filepath.Join(club, "club.toml"), []byte(clubSettings(fmt.Sprintf("Round %d", round))), 0o644); err != nil {
		return old, err
	}
	m := moment{kind: "anywhere", after: time.Duration(b.dice.share() * 1.1 * float64(usual))}
	if b.dice.below(3) > 0 {
		m = moment{kind: "while it writes", after: time.Duration(b.dice.share() * float64(8*time.Millisecond)), seen: func() bool {
			names, _ := filepath.Glob(filepath.Join(club, "season", ".tmp-*"))
			return len(names) > 0
		}}
	}
	alive, err := b.killAt(m, "season", seasonYear, "--club", club)
	if err != nil {
		return old, err
	}
	mid, err := documents(club)
	if err != nil {
		return old, err
	}
	o, err := b.gravid("season", seasonYear, "--club", club)
	if err != nil {
		return old, err
	}
	t.mind(where+", the next run", o.differs(want{status: []int{0}}))
	next, err := documents(club)
	if err != nil {
		return old, err
	}
	return next, b.seasonPlaced(t, tally, where, alive, mid, old, next)
}

// documents hashes the workbook and the page.
func documents(club string) (map[string]string, error) {
	sums, err := hashFolder(filepath.Join(club, "season"))
	maps.DeleteFunc(sums, func(name, _ string) bool { return strings.HasPrefix(name, ".tmp-") })
	return sums, err
}

func (b *bench) seasonPlaced(t *trial, tally killTally, where string, alive bool, mid, old, next map[string]string) error {
	var anew int
	for _, name := range []string{seasonYear + ".xlsx", seasonYear + ".html"} {
		if old[name] == next[name] {
			return fmt.Errorf("%s: another name of the club made the same %s, so nothing can be told", where, name)
		}
		switch mid[name] {
		case next[name]:
			anew++
		case old[name]:
		default:
			t.fault("%s: %s is neither the old one nor the new one", where, name)
		}
	}
	switch {
	case !alive && anew < 2:
		t.fault("%s: the run ended by itself and a document is still the old one", where)
	case !alive:
		tally["ended before the kill"]++
	default:
		tally[[]string{"old", "workbook new, page old", "new"}[anew]]++
	}
	return nil
}
