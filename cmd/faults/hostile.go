//go:build linux

package main

import (
	"encoding/json"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
)

// A hostileFile is one thing put into the logs of a club that is sound besides.
type hostileFile struct {
	name  string // of the case
	file  string // below logs/
	about string
	make  maker
	codes []string // one of these errors must name the file; nil: none needs to
	never string   // what must not turn up in the tables
}

func hostileLog(b *bench) error {
	for i, h := range slices.Concat(hostileBooks, hostileTexts, hostileThings) {
		if err := b.hostile(h, fmt.Sprintf("club%d", i)); err != nil {
			return err
		}
	}
	if err := b.hostileNames(); err != nil {
		return err
	}
	if err := b.nameWithoutUTF8(); err != nil {
		return err
	}
	return b.pathTricks()
}

// scale is how large the files are that take long to read: full size takes minutes.
func (b *bench) scale() int {
	if b.rounds >= manyRounds {
		return fullScale
	}
	return 1
}

const manyRounds = 100

func (b *bench) smaller() string {
	if b.scale() < fullScale {
		return fmt.Sprintf(" (texts at 1/%d of the size: less than %d rounds)", fullScale, manyRounds)
	}
	return ""
}

// memoryShell runs the program so that it cannot take so much memory that the
// machine suffers. That limit is far beyond the one it is held to.
var memoryShell = []string{"/bin/sh", "-c", `ulimit -d 1500000; exec "$0" "$@"`}

// hostile puts the file into a club, ingests and asks.
func (b *bench) hostile(h hostileFile, folder string) error {
	club, err := b.folder(folder)
	if err != nil {
		return err
	}
	if err := writeFiles(club, smallClub(&b.dice)); err != nil {
		return err
	}
	path := filepath.Join(club, "logs", h.file)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	if err := h.make(path, b.scale()); err != nil {
		if os.IsPermission(err) {
			b.notTried(h.name, h.about, err.Error())
			return nil
		}
		return fmt.Errorf("%s: %w", h.name, err)
	}
	expected := fmt.Sprintf("status 0 or 3, no more than %d MB, the other logs read", mostMemory)
	if h.codes != nil {
		expected = fmt.Sprintf("an error at that file (%s), no more than %d MB, the other logs read", strings.Join(h.codes, " or "), mostMemory)
	}
	t := b.try(h.name, h.about+b.smaller(), expected)
	o, err := b.call(call{args: []string{"ingest", "--club", club}, through: memoryShell})
	if err != nil {
		return err
	}
	t.mind("ingest", o.differs(want{status: []int{0, 3}}))
	peak := o.peak
	said := "no error"
	if o.status == 0 || o.status == 3 {
		if said, err = b.hostileRead(t, club, h, &peak); err != nil {
			return err
		}
	}
	t.end("%s; %.0f MB, %.1f s", said, peak, o.took.Seconds())
	return removeAll(club)
}

// hostileRead looks at what became of the file and of the other logs.
func (b *bench) hostileRead(t *trial, club string, h hostileFile, peak *float64) (said string, err error) {
	o, err := b.gravid("problems", "--club", club, "--format", "json")
	if err != nil {
		return "", err
	}
	t.mind("problems", o.differs(want{status: []int{0}}))
	*peak = max(*peak, o.peak)
	var list []struct{ Severity, Code, File, Message, Fix string }
	if err := json.Unmarshal([]byte(o.stdout), &list); err != nil {
		t.fault("problems --format json: %v", err)
		return "", nil
	}
	var codes []string
	for _, p := range list {
		if p.Severity == "error" && strings.HasPrefix(p.File, firstPart(h.file)) {
			codes = append(codes, p.Code)
			if p.Fix == "" {
				t.fault("%s has no remedy", p.Code)
			}
			if said == "" {
				said = short(p.Message, 120) + " (" + p.Code + ")"
			}
		}
	}
	if h.codes != nil && !slices.ContainsFunc(codes, func(c string) bool { return slices.Contains(h.codes, c) }) {
		t.fault("no such error: %v", slices.Compact(codes))
	}
	if said == "" {
		said = "read"
	}
	tables := []string{"attempts"}
	if h.never != "" {
		tables = append(tables, "problems")
	}
	for _, table := range tables {
		o, err := b.gravid("export", table, "--club", club, "--format", "csv")
		if err != nil {
			return "", err
		}
		*peak = max(*peak, o.peak)
		t.mind("export", o.differs(want{status: []int{0}}))
		if h.never != "" && strings.Contains(o.stdout, h.never) {
			t.fault("%q turns up in the table of %s", h.never, table)
		}
		if table == "attempts" && !strings.Contains(o.stdout, strings.TrimPrefix(logName, "logs/")) {
			t.fault("the other logs were not read")
		}
	}
	return said, nil
}

func firstPart(file string) string {
	first, _, _ := strings.Cut(file, "/")
	return first
}

// hostileThings are in the folder of the logs and no ordinary files.
var hostileThings = []hostileFile{
	{"a link out of the club", "link.csv", "a link to /etc/passwd among the logs", link("/etc/passwd"), []string{"file-unreadable"}, "root:"},
	{"a link to a folder outside", "folder", "a link to /etc among the logs", link("/etc"), []string{"file-unreadable"}, "root:"},
	{"a link to itself", "loop.csv", "a link to itself among the logs", link("loop.csv"), []string{"file-unreadable"}, ""},
	{"a link to the folder above", "loop", "a link to the folder of the logs inside it", link("."), []string{"file-unreadable"}, ""},
	{"a link to nothing", "gone.csv", "a link to a file that is not there", link("nowhere.csv"), []string{"file-unreadable"}, ""},
	{"a pipe", "pipe.csv", "a pipe nobody writes to among the logs", pipe, []string{"file-unreadable"}, ""},
	{"a socket", "socket.csv", "a socket among the logs", socket, []string{"file-unreadable"}, ""},
	{"a device", "zero.csv", "the device of endless zeros among the logs", device(1, 5), []string{"file-unreadable"}, ""},
	{"a terminal", "terminal.csv", "the terminal device among the logs", device(5, 0), []string{"file-unreadable"}, ""},
	{"a huge file", "huge.csv", "a log of 600 MB of zeros", sparse(600 << 20), []string{"limit"}, ""},
	{"a large file", "large.csv", "a log of 400 MB of zeros", sparse(400 << 20), []string{"limit", "encoding", "file-kind"}, ""},
	{"a mapping that is a pipe", "dora/ingest.toml", "a pipe in the place of a mapping, with a log beside it", withLog(pipe), []string{"mapping-invalid", "file-unreadable"}, ""},
	{"a mapping that is a device", "dora/ingest.toml", "the device of endless zeros in the place of a mapping, with a log beside it", withLog(device(1, 5)), []string{"mapping-invalid", "file-unreadable"}, ""},
	{"a mapping that is a link", "dora/ingest.toml", "a link to /etc/passwd in the place of a mapping, with a log beside it", withLog(link("/etc/passwd")), []string{"mapping-invalid", "file-unreadable"}, "root:"},
	{"a huge mapping", "dora/ingest.toml", "a mapping of 600 MB, with a log beside it", withLog(sparse(600 << 20)), []string{"mapping-invalid", "file-unreadable", "limit"}, ""},
	{"a deep mapping", "dora/ingest.toml", "a mapping with 100,000 arrays inside each other, with a log beside it", withLog(text(func(w *streams) { w.repeat("a = "+strings.Repeat("[", 100_000), 1) })), []string{"mapping-invalid"}, ""},
	{"deep folders", strings.Repeat("a-folder/", 300) + "log.csv", "a log 300 folders down", text(func(w *streams) { w.repeat(breedingHeadings, 1) }), nil, ""},
}

func link(to string) maker {
	return func(path string, _ int) error { return os.Symlink(to, path) }
}

func pipe(path string, _ int) error { return syscall.Mkfifo(path, 0o644) }

func socket(path string, _ int) error {
	// Paths of sockets must be short, so it is made by a path from where it stands.
	dir, err := os.Open(filepath.Dir(path))
	if err != nil {
		return err
	}
	defer dir.Close()
	l, err := net.ListenUnix("unix", &net.UnixAddr{Name: fmt.Sprintf("/proc/self/fd/%d/%s", dir.Fd(), filepath.Base(path)), Net: "unix"})
	if err != nil {
		return err
	}
	l.SetUnlinkOnClose(false)
	return l.Close()
}

func device(major, minor int) maker {
	return func(path string, _ int) error { return syscall.Mknod(path, syscall.S_IFCHR|0o666, major<<8|minor) }
}

func sparse(size int64) maker {
	return func(path string, _ int) error {
		if err := os.WriteFile(path, nil, 0o644); err != nil {
			return err
		}
		return os.Truncate(path, size)
	}
}

func withLog(make maker) maker {
	return func(path string, scale int) error {
		d := newDice(1, "beside")
		if err := os.WriteFile(filepath.Join(filepath.Dir(path), "log.csv"), []byte(breedingLog(&d, 10, "beside")), 0o644); err != nil {
			return err
		}
		return make(path, scale)
	}
}

// hostileNames gives logs names that some systems, shells or programs stumble over.
func (b *bench) hostileNames() error {
	names := []string{
		"-rf.csv", "--help.csv", "=1+1.csv", "@SUM(1).csv", "con.csv", "nul.csv", "a b.csv", " .csv", "trailing .csv ", "dots...csv", "~$lock.csv",
		"back\\slash.csv", "colon:.csv", "star*?.csv", "quote\".csv", "apostrophe'.csv", "percent%2e%2e%2f.csv", "dollar$(id).csv", "back`id`tick.csv",
		"semi;colon.csv", "amp&.csv", "hash#.csv", "new\nline.csv", "tab\t.csv", "bell\a.csv", "escape\x1b[31m.csv", "turned\u202egpj.csv",
		"zero\u200bwidth.csv", "é.csv", "e\u0301.csv", strings.Repeat("long", 62) + ".csv", "CAPS.CSV", "caps.csv", "no ending", "..csv", "...", ".hidden.csv",
	}
	club, err := b.folder("names")
	if err != nil {
		return err
	}
	files := smallClub(&b.dice)
	for _, n := range names {
		files["logs/odd/"+n] = breedingLog(&b.dice, 8, "odd")
	}
	if err := writeFiles(club, files); err != nil {
		return err
	}
	before, err := hashFolder(b.base)
	if err != nil {
		return err
	}
	t := b.try("names of logs", fmt.Sprintf("gave logs %d odd names: control characters, formulas, names of devices, 252 bytes", len(names)),
		"status 0 or 3; each log but locks and hidden ones is read or named by a problem; copies and set-aside files stay in the club; twice gives the same tables")
	o, err := b.gravid("ingest", "--club", club)
	if err != nil {
		return err
	}
	t.mind("ingest", o.differs(want{status: []int{0, 3}}))
	if len(t.wrong) > 0 {
		t.end("no more was looked at")
		return nil
	}
	t.mind("ingest", badText(o.stderr+o.stdout))
	after, err := hashFolder(b.base)
	if err != nil {
		return err
	}
	for name := range after {
		if before[name] == "" && !strings.HasPrefix(name, "names/") {
			t.fault("%q was written outside the club", name)
		}
	}
	rows, err := b.exported(club, "sources")
	if err != nil {
		return err
	}
	read := 0
	for _, row := range rows {
		if strings.HasPrefix(strings.TrimLeft(row["file"], "'"), "odd/") {
			read++
		}
	}
	const passedOver = 4 // ~$lock.csv, ..csv, ..., .hidden.csv
	if want := len(names) - passedOver; read != want {
		t.fault("%d of the odd logs are in the table of sources, not %d", read, want)
	}
	first, err := readState(club)
	if err != nil {
		t.fault("%v", err)
	}
	if err := b.recovers(t, "twice", club); err != nil {
		return err
	}
	if again, err := readState(club); err == nil && again.tables != first.tables {
		t.fault("twice gives other tables")
	}
	t.end("%d read", read)
	return nil
}

// nameWithoutUTF8 gives one log a name that the tables cannot hold.
func (b *bench) nameWithoutUTF8() error {
	files := smallClub(&b.dice)
	files["logs/odd/not\xff\xfeutf8.csv"] = breedingLog(&b.dice, 8, "odd")
	club, err := b.folder("utf8")
	if err != nil {
		return err
	}
	if err := writeFiles(club, files); err != nil {
		return err
	}
	t := b.try("a name that is no UTF-8", "gave one log a name that is no UTF-8", "status 0 or 3: at most that log is named by a problem, and the others are read")
	o, err := b.gravid("ingest", "--club", club)
	if err != nil {
		return err
	}
	t.mind("ingest", o.differs(want{status: []int{0, 3}}))
	t.end("status %d", o.status)
	return nil
}

// pathTricks names paths outside on the command line and in the club's folder.
func (b *bench) pathTricks() error {
	club, err := b.newClub("tricks", smallClub(&b.dice))
	if err != nil {
		return err
	}
	outside := filepath.Join(b.base, "outside.csv")
	if err := os.WriteFile(outside, []byte(breedingLog(&b.dice, 8, "outside")), 0o644); err != nil {
		return err
	}
	first, err := readState(club)
	if err != nil {
		return err
	}
	for _, p := range []string{"../outside.csv", "../../outside.csv", "logs/../../outside.csv", outside, "/etc/passwd", "..", "/", "", "a\x1b[31m", "logs/\\..\\..\\outside.csv", "nowhere.csv"} {
		t := b.try(fmt.Sprintf("path %q", strings.ReplaceAll(p, b.base, "TMP")), "named it as the log to ingest", "refused with a remedy, or no more read than the club's own logs; nothing of outside in the tables")
		o, err := b.gravid("ingest", "--club", club, "--", p)
		if err != nil {
			return err
		}
		if o.status != 1 && o.status != 2 {
			t.mind("ingest", o.differs(want{status: []int{0, 3}}))
		} else {
			t.mind("ingest", o.differs(want{status: []int{1, 2}, fix: true}))
		}
		t.mind("ingest", badText(o.stderr))
		rows, err := b.exported(club, "attempts")
		if err != nil {
			return err
		}
		for _, row := range rows {
			if strings.Contains(row["notes"], "outside") || strings.Contains(row["source_file"], "..") {
				t.fault("the tables hold rows from outside")
				break
			}
		}
		if err := b.recovers(t, "afterwards", club); err != nil {
			return err
		}
		if now, err := readState(club); err == nil && now.tables != first.tables {
			t.fault("afterwards other tables")
		}
		t.end("status %d", o.status)
	}
	return nil
}
