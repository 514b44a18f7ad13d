//go:build linux

package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"
)

func twice(b *bench) error {
	if err := b.secondRefused(); err != nil {
		return err
	}
	return b.manyAtOnce()
}

// secondRefused stops the first run while it holds the lock, so that the second
// one comes for certain while the first is at work.
func (b *bench) secondRefused() error {
	files := smallClub(&b.dice)
	club, err := b.newClub("club", files)
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(club, logName), []byte(breedingLog(&b.dice, 20, "changed")), 0o644); err != nil {
		return err
	}
	t := b.try("second refused", "stopped an ingest (SIGSTOP) as soon as it held the lock, started a second one and asked, then let the first go on",
		"the second ends with status 1, names the first and a remedy; problems and ask answer; the first ends as if it had been alone")
	first := b.command(context.Background(), call{args: []string{"ingest", "--club", club}})
	var said bytes.Buffer
	first.Stderr = &said
	if err := first.Start(); err != nil {
		return err
	}
	if err := stopWithLock(first.Process, club); err != nil {
		first.Process.Kill()
		first.Wait()
		return err
	}
	second, err := b.gravid("ingest", "--club", club)
	if err == nil {
		t.mind("the second", second.differs(want{status: []int{1}, says: []string{"in use by process " + strconv.Itoa(first.Process.Pid), club}, fix: true}))
		var what string
		what, err = b.readable(club)
		t.mind("meanwhile", what)
	}
	if gone := first.Process.Signal(syscall.SIGCONT); err == nil {
		err = gone
	}
	first.Wait()
	if err != nil {
		return err
	}
	if status := first.ProcessState.ExitCode(); status != 0 && status != 3 {
		t.fault("the first ended with status %d: %s", status, short(said.String(), 300))
	}
	together, err := readState(club)
	if err != nil {
		t.fault("%v", err)
	}
	if err := b.recovers(t, "the next run", club); err != nil {
		return err
	}
	if alone, err := readState(club); err == nil && alone.tables != together.tables {
		t.fault("alone, ingest makes other tables")
	}
	t.end("refused: %s", short(strings.TrimSpace(second.stderr), 200))
	return nil
}

// stopWithLock waits until a process has written its number into the club's lock,
// and stops it.
func stopWithLock(p *os.Process, club string) error {
	number := strconv.Itoa(p.Pid)
	for deadline := time.Now().Add(patience); time.Now().Before(deadline); {
		text, err := os.ReadFile(filepath.Join(club, ".lock"))
		if err == nil && strings.TrimSpace(string(text)) == number {
			if err := p.Signal(syscall.SIGSTOP); err != nil {
				return fmt.Errorf("the first run ended before it could be stopped: %w", err)
			}
			return nil
		}
		time.Sleep(50 * time.Microsecond)
	}
	return fmt.Errorf("no run took the lock of %s", club)
}

// manyAtOnce starts several runs of ingest, season and ask without any order.
func (b *bench) manyAtOnce() error {
	club, err := b.newClub("many", smallClub(&b.dice))
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(club, logName), []byte(breedingLog(&b.dice, 20, "changed")), 0o644); err != nil {
		return err
	}
	runs := max(4, b.rounds/4)
	t := b.try("many at once", fmt.Sprintf("started %d ingests, seasons and asks each at once, after a log had changed", runs),
		"each ingest ends with status 0 or 3, or 1 and in use; each season and ask with 0; at least one ingest is done; tables are those of a run alone")
	type ended struct {
		o   outcome
		err error
	}
	results := make([]ended, 3*runs)
	verbs := [][]string{{"ingest"}, {"season", seasonYear}, {"ask", "--trigger", "water-change", "--species", fish}}
	var wait sync.WaitGroup
	for i := range results {
		wait.Go(func() {
			o, err := b.gravid(append(verbs[i%3:][0][:len(verbs[i%3]):len(verbs[i%3])], "--club", club)...)
			results[i] = ended{o, err}
		})
	}
	wait.Wait()
	tally := killTally{}
	for _, r := range results {
		if r.err != nil {
			return r.err
		}
		switch {
		case r.o.args[0] != "ingest":
			t.mind("at once", r.o.differs(want{status: []int{0}}))
			tally["others done"]++
		case r.o.status == 1:
			t.mind("at once", r.o.differs(want{status: []int{1}, says: []string{"in use by"}, fix: true}))
			tally["ingests refused"]++
		default:
			t.mind("at once", r.o.differs(want{status: []int{0, 3}}))
			tally["ingests done"]++
		}
	}
	if tally["ingests done"] == 0 {
		t.fault("no ingest got through")
	}
	together, err := readState(club)
	if err != nil {
		t.fault("%v", err)
	}
	if err := b.recovers(t, "the next run", club); err != nil {
		return err
	}
	if alone, err := readState(club); err == nil && alone.tables != together.tables {
		t.fault("alone, ingest makes other tables")
	}
	t.end("%s", tally)
	return nil
}
