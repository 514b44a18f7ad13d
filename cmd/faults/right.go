//go:build linux

package main

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
)

// nobody is a user without rights, as whom the program runs where we are root, to
// whom no right can be denied.
const nobody = 65534

// asNobody is the user to run as: nobody where we are root, else ourselves.
func asNobody() int {
	if os.Geteuid() == 0 {
		return nobody
	}
	return 0
}

// giveAway makes a folder and all in it nobody's, where we are root.
func giveAway(dir string) error {
	user := asNobody()
	if user == 0 {
		return nil
	}
	return filepath.WalkDir(dir, func(name string, _ fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		return os.Lchown(name, user, user)
	})
}

// A denial takes a right away, and says what must then come.
type denial struct {
	name string
	path string // below the club, what loses the right
	mode os.FileMode
	args []string
	want want
}

func denials() []denial {
	refused := func(says ...string) want {
		return want{status: []int{1}, says: append(says, "permission denied"), fix: true}
	}
	ask := []string{"ask", "--trigger", "water-change", "--species", fish}
	return []denial{
		{"ingest, club folder", ".", 0o555, []string{"ingest"}, want{status: []int{0, 3}}},
		{"ingest, tables", "tables", 0o555, []string{"ingest"}, refused("tables")},
		{"ingest, sources", "sources", 0o555, []string{"ingest"}, refused("sources")},
		{"ingest, set-aside", "set-aside/Ana Lindqvist", 0o555, []string{"ingest"}, refused("set-aside")},
		{"ingest, lock", ".lock", 0o000, []string{"ingest"}, refused(".lock")},
		{"ingest, a log", logName, 0o000, []string{"ingest"}, want{status: []int{3}, says: []string{"Ana Lindqvist/log.csv", "permission denied", "file-unreadable"}, fix: true}},
		{"ingest, a keeper's folder", filepath.Dir(logName), 0o000, []string{"ingest"}, want{status: []int{3}, says: []string{"Ana Lindqvist", "permission denied", "file-unreadable"}, fix: true}},
		{"ingest, logs", "logs", 0o000, []string{"ingest"}, refused("logs")},
		{"ingest, settings", "club.toml", 0o000, []string{"ingest"}, refused("club.toml")},
		{"ask, settings", "club.toml", 0o000, ask, refused("club.toml")},
		{"ask, club folder", ".", 0o555, ask, want{status: []int{0}}},
		{"ask, tables", "tables", 0o000, ask, refused("tables")},
		{"season, season folder", "season", 0o555, []string{"season", seasonYear}, refused("season")},
		{"season, club folder", ".", 0o555, []string{"season", seasonYear}, want{status: []int{0}}},
	}
}

func noRight(b *bench) error {
	for i, d := range denials() {
		if err := b.deny(d, fmt.Sprintf("club%d", i)); err != nil {
			return err
		}
	}
	return b.readOnlyDisk()
}

func (b *bench) deny(d denial, folder string) error {
	club, err := b.newClub(folder, smallClub(&b.dice))
	if err != nil {
		return err
	}
	if err := os.Mkdir(filepath.Join(club, "season"), 0o755); err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(club, logName), []byte(breedingLog(&b.dice, 20, "changed")), 0o644); err != nil {
		return err
	}
	if err := giveAway(club); err != nil {
		return err
	}
	old, err := readState(club)
	if err != nil {
		return err
	}
	path := filepath.Join(club, d.path)
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	expected := fmt.Sprintf("status %v", d.want.status)
	if d.want.fix {
		expected += fmt.Sprintf(", an error that says %q and a remedy", d.want.says)
	}
	t := b.try(d.name, fmt.Sprintf("gave %s the mode %04o and ran %s as a user without rights", d.path, d.mode, d.args[0]), expected+"; tables old or new and whole; with the right given back it works")
	if err := os.Chmod(path, d.mode); err != nil {
		return err
	}
	o, err := b.call(call{args: append(d.args, "--club", club), user: asNobody()})
	if err != nil {
		return err
	}
	if err := os.Chmod(path, info.Mode().Perm()); err != nil {
		return err
	}
	t.mind("without the right", o.differs(d.want))
	now, err := readState(club)
	if err != nil {
		t.fault("%v", err)
	} else if o.status == 1 && now.tables != old.tables && !strings.HasPrefix(d.path, "set-aside") { // set-aside files are put in their place after the tables are
		t.fault("refused, and the tables have changed all the same")
	}
	if d.path == "logs" && err == nil && now.tables != old.tables {
		t.fault("no log could be listed, and the tables were emptied")
	}
	again, err := b.call(call{args: append(d.args, "--club", club), user: asNobody()})
	if err != nil {
		return err
	}
	t.mind("with the right given back", again.differs(want{status: []int{0, 3}}))
	t.end("status %d", o.status)
	return nil
}

// readOnlyDisk puts a club on a disk that then may only be read.
func (b *bench) readOnlyDisk() error {
	d, err := b.newSmallDisk()
	if err != nil {
		b.notTried("read-only disk", "a disk that may only be read", "no file system can be mounted here: "+err.Error())
		return nil
	}
	return closing(d.close, func() error {
		club := filepath.Join(d.dir, "club")
		if err := writeFiles(club, smallClub(&b.dice)); err != nil {
			return err
		}
		if err := b.mustIngest(club); err != nil {
			return err
		}
		if err := syscall.Mount("", d.dir, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
			b.notTried("read-only disk", "a disk that may only be read", err.Error())
			return nil
		}
		return b.onReadOnlyDisk(club)
	})
}

func (b *bench) onReadOnlyDisk(club string) error {
	for _, v := range []struct {
		verb  string
		args  []string
		names string
	}{
		{"ingest", []string{"ingest", "--club", club}, ".lock"},
		{"season", []string{"season", seasonYear, "--club", club}, "season"},
		{"new", []string{"new", club + "/inner"}, "inner"},
		{"export", []string{"export", "attempts", "--club", club, "-o", club + "/out.csv"}, "club"},
	} {
		t := b.try("read-only disk, "+v.verb, "ran "+v.verb+" on a disk that may only be read", "status 1, an error that names the path and a remedy; problems and ask answer")
		o, err := b.gravid(v.args...)
		if err != nil {
			return err
		}
		t.mind(v.verb, o.differs(want{status: []int{1}, says: []string{"read-only file system", v.names}, fix: true}))
		what, err := b.readable(club)
		if err != nil {
			return err
		}
		t.mind("read only", what)
		t.end("refused, and asked all the same")
	}
	return nil
}
