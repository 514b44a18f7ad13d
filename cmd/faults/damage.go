//go:build linux

package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
)

// A harm does something to the bytes of a file of the tables; it returns nil
// where the file is to go.
type harm struct {
	name string
	says string // what the refusal says
	do   func(d *dice, whole []byte) []byte
}

const differs = "SHA-256 differs"

var harms = []harm{
	{"one bit flipped", differs, func(d *dice, whole []byte) []byte {
		b := bytes.Clone(whole)
		b[d.below(len(b))] ^= 1 << d.below(8)
		return b
	}},
	{"cut short", "bytes", func(d *dice, whole []byte) []byte { return whole[:d.below(len(whole))] }},
	{"one byte longer", "bytes", func(_ *dice, whole []byte) []byte { return append(bytes.Clone(whole), 0) }},
	{"two bytes swapped in worth", differs, func(d *dice, whole []byte) []byte {
		b := bytes.Clone(whole)
		i := d.below(len(b) - 1)
		b[i] ^= 0xff
		b[i+1] ^= 0xff
		return b
	}},
	{"zeros of the same length", differs, func(_ *dice, whole []byte) []byte { return make([]byte, len(whole)) }},
	{"empty", "bytes", func(*dice, []byte) []byte { return []byte{} }},
	{"missing", "is missing", func(*dice, []byte) []byte { return nil }},
}

func damagedTable(b *bench) error {
	club, err := b.newClub("club", smallClub(&b.dice))
	if err != nil {
		return err
	}
	first, err := readState(club)
	if err != nil {
		return err
	}
	for _, h := range harms {
		t := b.try(h.name, fmt.Sprintf("did so to every table file, %d times where it is random", b.times(h)),
			"export and whatever needs the table end with status 1, name the file, say what differs, and a remedy")
		n := 0
		for _, table := range tableFiles {
			for range b.times(h) {
				n++
				if err := b.harmed(t, club, first, table, h); err != nil {
					return err
				}
			}
		}
		t.end("refused %d times", n)
	}
	if err := b.fromElsewhere(club, first); err != nil {
		return err
	}
	if err := b.damagedList(club, first); err != nil {
		return err
	}
	return b.mended(club, first)
}

// times is how often a harm is done to each table: once where it is always the same.
func (b *bench) times(h harm) int {
	if h.name == "one bit flipped" || h.name == "cut short" {
		return max(2, b.rounds/4)
	}
	return 1
}

func tablePath(club string, s state, table string) string {
	return filepath.Join(club, "tables", s.generation, table+".arrow")
}

// harmed does a harm, looks at the refusal, and puts the file back.
func (b *bench) harmed(t *trial, club string, s state, table string, h harm) error {
	name := tablePath(club, s, table)
	whole, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	bad := h.do(&b.dice, whole)
	if bad == nil {
		err = os.Remove(name)
	} else {
		err = os.WriteFile(name, bad, 0o644)
	}
	if err != nil {
		return err
	}
	if err := b.refusesTable(t, club, table, h.says); err != nil {
		return err
	}
	return os.WriteFile(name, whole, 0o644)
}

func (b *bench) refusesTable(t *trial, club, table, says string) error {
	runs := [][]string{{"export", table, "--club", club, "--format", "csv"}}
	switch table {
	case "problems":
		runs = append(runs, []string{"problems", "--club", club})
	case "attempts":
		runs = append(runs, []string{"ask", "--club", club, "--trigger", "water-change", "--species", fish})
	}
	for _, args := range runs {
		o, err := b.gravid(args...)
		if err != nil {
			return err
		}
		t.mind(table, o.differs(want{status: []int{1}, says: []string{table + ".arrow", says}, fix: true}))
		if o.stdout != "" {
			t.fault("%s: gravid %s answers from a damaged table", table, o.line())
		}
	}
	return nil
}

// fromElsewhere puts files of another club, and of another table, in the place of
// a table's file.
func (b *bench) fromElsewhere(club string, s state) error {
	other, err := b.newClub("other", smallClub(&b.dice))
	if err != nil {
		return err
	}
	from, err := readState(other)
	if err != nil {
		return err
	}
	t := b.try("from another club", "put the table of another club, and another table of the club, in the place of each table file", "refused as above")
	for i, table := range tableFiles {
		next := tableFiles[(i+1)%len(tableFiles)]
		for _, path := range []string{tablePath(other, from, table), tablePath(club, s, next)} {
			content, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			same, err := os.ReadFile(tablePath(club, s, table))
			if err != nil {
				return err
			}
			if bytes.Equal(content, same) { // tables without a row are alike everywhere
				continue
			}
			h := harm{do: func(*dice, []byte) []byte { return content }, says: "written"}
			if err := b.harmed(t, club, s, table, h); err != nil {
				return err
			}
		}
	}
	t.end("refused")
	return nil
}

// damagedList flips bits of tables/CURRENT. A flip that a reader of JSON does not
// see, such as in the case of a key, may pass if the answer stays the same.
func (b *bench) damagedList(club string, first state) error {
	name := filepath.Join(club, "tables", "CURRENT")
	whole, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	export := []string{"export", "attempts", "--club", club, "--format", "csv"}
	good, err := b.gravid(export...)
	if err != nil {
		return err
	}
	rounds := max(10, b.rounds)
	t := b.try("tables/CURRENT", fmt.Sprintf("flipped a bit of it %d times, and cut it short %d times", rounds, rounds/2),
		"status 1, the file named, a remedy; or the very same answer")
	tally := killTally{}
	for round := range rounds + rounds/2 {
		bad := harms[0].do(&b.dice, whole)
		if round >= rounds {
			bad = harms[1].do(&b.dice, whole)
		}
		if err := os.WriteFile(name, bad, 0o644); err != nil {
			return err
		}
		o, err := b.gravid(export...)
		if err != nil {
			return err
		}
		if o.status == 0 {
			if o.stdout != good.stdout {
				t.fault("another answer from %s", short(string(bad), 200))
			}
			tally["the same answer"]++
			continue
		}
		t.mind("CURRENT", o.differs(want{status: []int{1}, says: []string{"tables/CURRENT"}, fix: true}))
		tally["refused"]++
	}
	t.end("%s", tally)
	return os.WriteFile(name, whole, 0o644)
}

// mended follows the remedy: damaged tables are made again from the logs.
func (b *bench) mended(club string, first state) error {
	t := b.try("the remedy", "damaged every table and tables/CURRENT, and ran ingest as the message says", "the same tables as before, and nothing left over")
	for _, path := range append(slices.Collect(func(yield func(string) bool) {
		for _, table := range tableFiles {
			if !yield(tablePath(club, first, table)) {
				return
			}
		}
	}), filepath.Join(club, "tables", "CURRENT")) {
		whole, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if err := os.WriteFile(path, whole[:len(whole)/2], 0o644); err != nil {
			return err
		}
	}
	if err := b.recovers(t, "ingest", club); err != nil {
		return err
	}
	if now, err := readState(club); err == nil && now.tables != first.tables {
		t.fault("other tables")
	}
	t.end("the same tables")
	return nil
}
