//go:build linux

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
)

// A smallDisk is a file system of its own, in memory.
type smallDisk struct{ dir string }

const smallDiskBytes = 4 << 20

// newSmallDisk mounts one; that takes the right to do so.
func (b *bench) newSmallDisk() (smallDisk, error) {
	dir, err := b.folder("disk")
	if err != nil {
		return smallDisk{}, err
	}
	return smallDisk{dir}, syscall.Mount("tmpfs", dir, "tmpfs", 0, fmt.Sprintf("size=%d,mode=755", smallDiskBytes))
}

func (d smallDisk) close() error { return syscall.Unmount(d.dir, syscall.MNT_DETACH) }

const ballast = "ballast"

// leave fills the disk until so many bytes are left.
func (d smallDisk) leave(bytes int) error {
	free, err := d.free()
	if err != nil {
		return err
	}
	if free < bytes {
		return fmt.Errorf("the small disk has %d bytes left before it is filled, and %d are wanted", free, bytes)
	}
	return os.WriteFile(filepath.Join(d.dir, ballast), make([]byte, free-bytes), 0o644)
}

func (d smallDisk) relieve() error { return os.RemoveAll(filepath.Join(d.dir, ballast)) }

func (d smallDisk) free() (int, error) {
	var s syscall.Statfs_t
	err := syscall.Statfs(d.dir, &s)
	return int(s.Bavail) * int(s.Bsize), err
}

func fullDisk(b *bench) error {
	if err := b.fullStdout(); err != nil {
		return err
	}
	if err := b.fileLimit(); err != nil {
		return err
	}
	d, err := b.newSmallDisk()
	if err != nil {
		b.notTried("ingest", "a small disk", "no file system can be mounted here: "+err.Error())
		return nil
	}
	return closing(d.close, func() error { return b.onSmallDisk(d) })
}

// closing calls do and then undo, and returns the error of the first that fails.
func closing(undo, do func() error) error {
	err := do()
	if gone := undo(); err == nil {
		err = gone
	}
	return err
}

func (b *bench) onSmallDisk(d smallDisk) error {
	club := filepath.Join(d.dir, "club")
	if err := writeFiles(club, smallClub(&b.dice)); err != nil {
		return err
	}
	if err := b.mustIngest(club); err != nil {
		return err
	}
	if err := b.ingestWithoutRoom(d, club); err != nil {
		return err
	}
	for _, v := range []struct{ name, path, made string }{
		{"season", club + "/season", ""},
		{"export", d.dir + "/out.csv", d.dir + "/out.csv"},
		{"new", d.dir + "/fresh", ""},
	} {
		args := map[string][]string{
			"season": {"season", seasonYear, "--club", club},
			"export": {"export", "attempts", "--club", club, "--format", "csv", "-o", v.path},
			"new":    {"new", v.path},
		}[v.name]
		if err := b.writeWithoutRoom(d, v.name, v.path, args); err != nil {
			return err
		}
	}
	return nil
}

// ingestWithoutRoom leaves ingest ever more room, from none until it gets through.
func (b *bench) ingestWithoutRoom(d smallDisk, club string) error {
	const page = 4096
	t := b.try("ingest", "filled a disk of 4 MiB but for 0, 4, 8, ... KiB, and ingested a changed log, until the room was enough",
		"status 1, an error that names a file of the club and a remedy; old tables and set-aside files untouched; problems and ask answer; with room again the next run makes new tables and leaves no temporary file")
	refused := 0
	for room := 0; ; room += page {
		where := fmt.Sprintf("with %d KiB", room/1024)
		log := breedingLog(&b.dice, 20+b.dice.below(10), where)
		if err := os.WriteFile(filepath.Join(club, logName), []byte(log), 0o644); err != nil {
			return err
		}
		old, err := readState(club)
		if err != nil {
			return err
		}
		if err := d.leave(room); err != nil {
			return err
		}
		o, err := b.gravid("ingest", "--club", club)
		if err != nil {
			return err
		}
		if o.status == 0 || o.status == 3 {
			if err := d.relieve(); err != nil {
				return err
			}
			t.mind(where, wholeTables(club))
			t.end("refused %d times, enough with %d KiB", refused, room/1024)
			return nil
		}
		refused++
		t.mind(where, o.differs(want{status: []int{1}, says: []string{"no space left"}, fix: true}))
		t.mind(where, namesPath(o, "tables", "sources", "set-aside", ".lock"))
		if err := b.sameAsBefore(t, where, club, old); err != nil {
			return err
		}
		if err := d.relieve(); err != nil {
			return err
		}
		if err := b.recovers(t, where, club); err != nil {
			return err
		}
	}
}

// sameAsBefore holds the tables and set-aside files to those before, and asks.
func (b *bench) sameAsBefore(t *trial, where, club string, old state) error {
	now, err := readState(club)
	switch {
	case err != nil:
		t.fault("%s: %v", where, err)
	case now.tables != old.tables:
		t.fault("%s: the tables have changed", where)
	default:
		t.mind(where, wholeAside(now, old, old))
	}
	what, err := b.readable(club)
	t.mind(where, what)
	return err
}

// recovers runs ingest once the fault is gone.
func (b *bench) recovers(t *trial, where, club string) error {
	o, err := b.gravid("ingest", "--club", club)
	if err != nil {
		return err
	}
	t.mind(where+", then mended", o.differs(want{status: []int{0, 3}}))
	if left := leftovers(club); len(left) > 0 {
		t.fault("%s, then mended: left are %s", where, strings.Join(left, ", "))
	}
	t.mind(where+", then mended", wholeTables(club))
	return nil
}

func wholeTables(club string) string {
	if _, err := readState(club); err != nil {
		return err.Error()
	}
	return ""
}

// namesPath holds an error to naming one of some paths.
func namesPath(o outcome, paths ...string) string {
	for _, p := range paths {
		if strings.Contains(o.stderr, p) {
			return ""
		}
	}
	return "the error names no path" + o.saying()
}

// emptySum is the SHA-256 of nothing (FIPS 180).
const emptySum = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"

// writeWithoutRoom does what writes documents, on a disk without room. What is
// there already must stay as it is, and nothing new may be left.
func (b *bench) writeWithoutRoom(d smallDisk, name, path string, args []string) error {
	t := b.try(name, "filled a disk of 4 MiB to the last byte and ran "+name,
		"status 1, an error that names the path and a remedy; nothing half written; with room again it works")
	if err := d.leave(0); err != nil {
		return err
	}
	before, err := hashFolder(d.dir)
	if err != nil {
		return err
	}
	o, err := b.gravid(args...)
	if err != nil {
		return err
	}
	t.mind("full", o.differs(want{status: []int{1}, says: []string{"no space left"}, fix: true}))
	t.mind("full", namesPath(o, filepath.Base(path)))
	after, err := hashFolder(d.dir)
	if err != nil {
		return err
	}
	for file, sum := range after {
		if before[file] != sum && !(sum == emptySum && filepath.Base(file) == ".lock") { // a lock is nobody's result
			t.fault("left behind: %s", file)
		}
	}
	if err := d.relieve(); err != nil {
		return err
	}
	o, err = b.gravid(args...)
	if err != nil {
		return err
	}
	t.mind("with room again", o.differs(want{status: []int{0}}))
	t.end("refused, and done with room")
	return nil
}

// fullStdout sends results to a device that is always full.
func (b *bench) fullStdout() error {
	const device = "/dev/full"
	if !exists(device) {
		b.notTried("stdout", "results sent to "+device, "there is no "+device+" here")
		return nil
	}
	club, err := b.newClub("stdout", smallClub(&b.dice))
	if err != nil {
		return err
	}
	for _, args := range [][]string{
		{"problems"}, {"problems", "--format", "json"}, {"problems", "--format", "csv"},
		{"ask", "--trigger", "water-change", "--species", fish}, {"ask", "--trigger", "water-change", "--species", fish, "--format", "json"},
		{"timing", "--species", fish}, {"eggs", "--species", fish}, {"triggers", "--species", fish},
		{"export", "attempts", "--format", "csv"}, {"export", "attempts", "--format", "arrow"}, {"ingest", "--explain"},
		{"season", seasonYear, "--format", "json"}, {"explain", "limit"},
	} {
		t := b.try("stdout "+strings.Join(args, " "), "sent the results to a device that is always full", "status 1 and an error: results that nobody got are not done")
		o, err := b.call(call{args: append(args, "--club", club), stdout: device})
		if err != nil {
			return err
		}
		t.mind("/dev/full", o.differs(want{status: []int{1}, says: []string{"no space left"}}))
		t.end("refused")
	}
	return nil
}

// fileLimit lets no file grow beyond a limit, for which no rights are needed.
func (b *bench) fileLimit() error {
	files := smallClub(&b.dice)
	files["logs/weather.csv"] = barometer(&b.dice, 3000)
	club, err := b.newClub("limit", files)
	if err != nil {
		return err
	}
	t := b.try("file limit", "let no file grow beyond 0, 4, 16 and 64 KiB (ulimit -f), and ingested a changed log",
		"status 1, an error that names a file of the club and a remedy; old tables untouched; without the limit the next run makes new tables")
	for _, blocks := range []int{0, 8, 32, 128} {
		where := fmt.Sprintf("%d KiB", blocks/2)
		log := breedingLog(&b.dice, 20+b.dice.below(10), where)
		if err := os.WriteFile(filepath.Join(club, logName), []byte(log), 0o644); err != nil {
			return err
		}
		old, err := readState(club)
		if err != nil {
			return err
		}
		// The unit of -f is 512 bytes where the shell keeps to POSIX.
		o, err := b.call(call{args: []string{"ingest", "--club", club}, through: []string{"/bin/sh", "-c", fmt.Sprintf(`ulimit -f %d; exec "$0" "$@"`, blocks)}})
		if err != nil {
			return err
		}
		t.mind(where, o.differs(want{status: []int{1}, says: []string{"file too large"}, fix: true}))
		t.mind(where, namesPath(o, "tables", "sources", "set-aside", ".lock"))
		if err := b.sameAsBefore(t, where, club, old); err != nil {
			return err
		}
		if err := b.recovers(t, where, club); err != nil {
			return err
		}
	}
	t.end("refused, and done without the limit")
	return nil
}
