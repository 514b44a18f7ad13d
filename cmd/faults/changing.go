//go:build linux

package main

import (
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
)

// A writer changes a log over and over, and keeps the SHA-256 of every content
// that the file ever had.
type writer struct {
	path   string
	known  map[string]bool
	text   []byte
	spares []string // other contents to write
}

func (w *writer) note() {
	sum := sha256.Sum256(w.text)
	w.known[hex.EncodeToString(sum[:])] = true
}

// A change is a way in which a log changes; it makes one step.
type change struct {
	name, about string
	step        func(w *writer, d *dice, n int) error
}

var changes = []change{
	{"grows", "rows were added to a log", func(w *writer, d *dice, n int) error {
		f, err := os.OpenFile(w.path, os.O_APPEND|os.O_WRONLY, 0)
		if err != nil {
			return err
		}
		defer f.Close()
		row := fmt.Appendf(nil, "2025-06-%02d %02d:%02d,%.1f\n", 1+n/1440%28, n/60%24, n%60, 1000+20*d.share())
		w.text = append(w.text, row...)
		w.note() // before it is there, so that no reader can know it sooner
		_, err = f.Write(row)
		return err
	}},
	{"is written anew in place", "a log was emptied and written anew", func(w *writer, d *dice, n int) error {
		f, err := os.OpenFile(w.path, os.O_TRUNC|os.O_WRONLY, 0)
		if err != nil {
			return err
		}
		defer f.Close()
		w.text = nil
		w.note()
		for part := range slices.Chunk([]byte(w.spares[n%len(w.spares)]), 128<<10) {
			w.text = append(w.text, part...)
			w.note()
			if _, err := f.Write(part); err != nil {
				return err
			}
		}
		return nil
	}},
	{"is overwritten at the same size", "cells of a log were overwritten in place", func(w *writer, d *dice, n int) error {
		f, err := os.OpenFile(w.path, os.O_WRONLY, 0)
		if err != nil {
			return err
		}
		defer f.Close()
		at := len(w.text) - 3 - 22*d.below(2000) // a digit of a pressure, or not: the content counts
		if w.text[at] < '0' || w.text[at] > '9' {
			return nil
		}
		w.text[at] = byte('0' + d.below(10))
		w.note()
		_, err = f.WriteAt(w.text[at:at+1], int64(at))
		return err
	}},
	{"is replaced", "a log was replaced by another by renaming", func(w *writer, d *dice, n int) error {
		w.text = []byte(w.spares[n%len(w.spares)])
		next := filepath.Join(filepath.Dir(w.path), ".next")
		if err := os.WriteFile(next, w.text, 0o644); err != nil {
			return err
		}
		return os.Rename(next, w.path)
	}},
	{"comes and goes", "a log was deleted and made again", func(w *writer, d *dice, n int) error {
		if n%2 == 1 {
			return os.Remove(w.path)
		}
		next := filepath.Join(filepath.Dir(w.path), ".next")
		if err := os.WriteFile(next, w.text, 0o644); err != nil {
			return err
		}
		return os.Rename(next, w.path)
	}},
	{"turns into a pipe", "a log was now a file and now a pipe", func(w *writer, d *dice, n int) error {
		next := filepath.Join(filepath.Dir(w.path), ".next")
		os.Remove(next)
		var err error
		if n%2 == 1 {
			err = pipe(next, 0)
		} else {
			err = os.WriteFile(next, w.text, 0o644)
		}
		if err != nil {
			return err
		}
		return os.Rename(next, w.path)
	}},
}

func changingLog(b *bench) error {
	runs := max(3, b.rounds/4)
	for i, c := range changes {
		if err := b.whileChanging(c, fmt.Sprintf("club%d", i), runs); err != nil {
			return err
		}
	}
	return nil
}

// The log that changes is large, so that reading it takes about as long as a change.
const (
	weatherLog   = "weather.csv"
	weatherHours = 20_000
)

func (b *bench) whileChanging(c change, folder string, runs int) error {
	files := smallClub(&b.dice)
	files["logs/"+weatherLog] = barometer(&b.dice, weatherHours)
	club, err := b.newClub(folder, files)
	if err != nil {
		return err
	}
	t := b.try(c.name, fmt.Sprintf("%s without pause during %d runs of ingest", c.about, runs),
		"each run reads a content that the log did have at some time, or says file-changed, file-unreadable or file-empty; tables whole; afterwards the next run reads all")
	w := &writer{path: filepath.Join(club, "logs", weatherLog), known: map[string]bool{}, text: []byte(files["logs/"+weatherLog])}
	w.note()
	for i := range 3 {
		w.spares = append(w.spares, barometer(&b.dice, weatherHours-100*i))
		w.text = []byte(w.spares[i])
		w.note()
	}
	w.text = []byte(files["logs/"+weatherLog])
	var seen []string
	tally := killTally{}
	err = b.keepChanging(c, w, func() error {
		for range runs {
			sum, how, err := b.readWhileChanging(t, club)
			if err != nil {
				return err
			}
			tally[how]++
			if sum != "" {
				seen = append(seen, sum)
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	for _, sum := range seen {
		if !w.known[sum] {
			t.fault("a content was read that the log never had (%s)", sum)
		}
	}
	if err := os.RemoveAll(w.path); err != nil { // it may be a pipe now
		return err
	}
	if err := os.WriteFile(w.path, []byte(files["logs/"+weatherLog]), 0o644); err != nil {
		return err
	}
	if err := b.recovers(t, "afterwards", club); err != nil {
		return err
	}
	t.end("%s; the log had %d contents", tally, len(w.known))
	return nil
}

// keepChanging makes changes until do has ended.
func (b *bench) keepChanging(c change, w *writer, do func() error) error {
	stop := make(chan struct{})
	var wait sync.WaitGroup
	var changing error
	d := dice{b.dice.next()}
	wait.Go(func() {
		for n := 0; changing == nil; n++ {
			select {
			case <-stop:
				return
			default:
				changing = c.step(w, &d, n)
			}
		}
	})
	err := do()
	close(stop)
	wait.Wait()
	if err == nil {
		err = changing
	}
	return err
}

// readWhileChanging ingests once; it returns the SHA-256 of the changing log as
// the sources tell it, where it was read, and how it went.
func (b *bench) readWhileChanging(t *trial, club string) (sum, how string, err error) {
	o, err := b.gravid("ingest", "--club", club)
	if err != nil {
		return "", "", err
	}
	t.mind("ingest", o.differs(want{status: []int{0, 3}}))
	t.mind("ingest", wholeTables(club))
	for _, code := range []string{"file-changed", "file-unreadable"} {
		for line := range strings.Lines(o.stderr) {
			if strings.Contains(line, weatherLog) && strings.Contains(line, "("+code+")") {
				return "", code, nil
			}
		}
	}
	sum, err = b.sourceSum(club, weatherLog)
	if err != nil {
		return "", "", err
	}
	if sum == "" {
		return "", "not there", nil
	}
	return sum, "read", nil
}

// sourceSum is the SHA-256 of a log in the table of sources.
func (b *bench) sourceSum(club, file string) (string, error) {
	o, err := b.gravid("export", "sources", "--club", club, "--format", "csv")
	if err != nil {
		return "", err
	}
	rows, err := csv.NewReader(strings.NewReader(o.stdout)).ReadAll()
	if err != nil || len(rows) == 0 {
		return "", fmt.Errorf("gravid export sources: no table: %v%s", err, o.saying())
	}
	name, sum := slices.Index(rows[0], "file"), slices.Index(rows[0], "sha256")
	if name < 0 || sum < 0 {
		return "", fmt.Errorf("gravid export sources has the columns %v", rows[0])
	}
	for _, row := range rows[1:] {
		if row[name] == file {
			return row[sum], nil
		}
	}
	return "", nil
}
