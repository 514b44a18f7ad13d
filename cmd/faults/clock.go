//go:build linux

package main

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// clockSetting is what sets the clock of the build that buildSetBack makes.
const clockSetting = "GRAVID_FAULTS_CLOCK"

// buildSetBack builds gravid with a clock that the environment moves. The program
// takes its clock from one place, main.go; a program that fakes the clock of the
// system's library (faketime) does not reach one that needs no such library.
func (b *bench) buildSetBack() (string, error) {
	out, err := exec.Command("go", "list", "-f", "{{.Dir}}", "gravid/cmd/gravid").Output()
	if err != nil {
		return "", fmt.Errorf("find gravid's source: %w", err)
	}
	source := filepath.Join(strings.TrimSpace(string(out)), "main.go")
	text, err := os.ReadFile(source)
	if err != nil {
		return "", err
	}
	const before = "now: time.Now,"
	if strings.Count(string(text), "time.Now") != 1 || !strings.Contains(string(text), before) {
		return "", fmt.Errorf("%s takes its clock in another way than %q", source, before)
	}
	after := `now: func() time.Time {
		shift, err := time.ParseDuration(os.Getenv("` + clockSetting + `"))
		if err != nil {
			panic(err)
		}
		return time.Now().Add(shift)
	},`
	changed := filepath.Join(b.base, "main.go")
	if err := os.WriteFile(changed, []byte(strings.Replace(string(text), before, after, 1)), 0o644); err != nil {
		return "", err
	}
	overlay, err := json.Marshal(map[string]map[string]string{"Replace": {source: changed}})
	if err != nil {
		return "", err
	}
	list := filepath.Join(b.base, "overlay.json")
	if err := os.WriteFile(list, overlay, 0o644); err != nil {
		return "", err
	}
	program := filepath.Join(b.base, "gravid-set-back")
	return program, buildProgram(program, list)
}

func clockBack(b *bench) error {
	if err := b.clockSetBack(); err != nil {
		return err
	}
	return b.timesOfFiles()
}

func (b *bench) clockSetBack() error {
	program, err := b.buildSetBack()
	if err != nil {
		return err
	}
	club, err := b.newClub("club", smallClub(&b.dice))
	if err != nil {
		return err
	}
	first, err := readState(club)
	if err != nil {
		return err
	}
	const year = 365 * 24 * time.Hour
	for _, c := range []struct {
		name  string
		shift time.Duration
		same  bool // logs hold no date between that day and now
	}{
		{"an hour back", -time.Hour, true},
		{"a day on", 24 * time.Hour, true},
		{"fifty years on", 50 * year, true},
		{"fifty years back", -50 * year, false},
		{"to 1900", time.Until(time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC)), false},
	} {
		expected := "the same tables"
		if !c.same {
			expected = "rows of a day to come become problems, and nothing breaks; with the clock right again, the same tables as before"
		}
		t := b.try(c.name, "set the clock "+c.name+" and ran ingest, ask and season", expected)
		for _, args := range [][]string{{"ingest"}, {"ask", "--trigger", "water-change", "--species", fish}, {"season", seasonYear}} {
			o, err := b.call(call{args: append(args, "--club", club), program: program, env: []string{clockSetting + "=" + c.shift.String()}})
			if err != nil {
				return err
			}
			statuses := []int{0, 3}
			if !c.same {
				statuses = []int{0, 1, 2, 3} // a club without a record of that species or year
			}
			t.mind("clock set", o.differs(want{status: statuses}))
		}
		now, err := readState(club)
		switch {
		case err != nil:
			t.fault("%v", err)
		case c.same && now.tables != first.tables:
			t.fault("other tables")
		case !c.same && now.tables == first.tables:
			t.fault("the clock went unnoticed, so nothing can be told")
		}
		if err := b.recovers(t, "clock right again", club); err != nil {
			return err
		}
		if now, err := readState(club); err == nil && now.tables != first.tables {
			t.fault("with the clock right again, other tables than before")
		}
		t.end("as expected, and with the clock right again the same tables as at first")
	}
	return nil
}

// timesOfFiles gives everything in a club times long ago and to come.
func (b *bench) timesOfFiles() error {
	club, err := b.newClub("times", smallClub(&b.dice))
	if err != nil {
		return err
	}
	first, err := readState(club)
	if err != nil {
		return err
	}
	for _, at := range []time.Time{time.Unix(0, 0), time.Date(1901, 12, 14, 0, 0, 0, 0, time.UTC), time.Date(2100, 1, 1, 0, 0, 0, 0, time.UTC)} {
		t := b.try("file times "+iso(at), "gave everything in a club that time and ingested", "the same tables")
		err := filepath.WalkDir(club, func(name string, _ fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			return os.Chtimes(name, at, at)
		})
		if err != nil {
			return err
		}
		if err := b.recovers(t, "ingest", club); err != nil {
			return err
		}
		if now, err := readState(club); err == nil && now.tables != first.tables {
			t.fault("other tables")
		}
		what, err := b.readable(club)
		if err != nil {
			return err
		}
		t.mind("ask", what)
		t.end("the same tables")
	}
	return nil
}
