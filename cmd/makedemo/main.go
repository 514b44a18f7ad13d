// Command makedemo makes the demo club of package demo: three seasons of an
// invented club, written down by twelve keepers of whom no two write alike, with
// the truth behind the records beside them.
//
//	go run ./cmd/makedemo
//
// rewrites cmd/gravid/demo. The same seed always gives the same records. One log
// is a workbook that LibreOffice has to write; it is left alone where it already
// holds what is meant, since LibreOffice gives other bytes each time.
//
// The command is for those who work on gravid. It is no part of the program, and
// no simulator for anything else.
package main

import (
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// demoSeed is the seed of the committed demo.
const demoSeed = 1

// seedNote says how it was chosen.
const seedNote = "It is the first of the seeds 1 to 20. With gravid's analysis as it stood then, 14 of the 20 showed both; in 4 " +
	"the link in the first species came out smaller, or could not be told, and in 3 the check with a trigger that lies in the future stopped " +
	"the answer for the second (one seed had both). The base chances were set before that, by looking at twelve seeds, so that about half of the " +
	"attempts of the first species spawn, and nearly all of the second: with fewer, no club of this size could rule a difference of 10 in 100 out."

func main() {
	dir := flag.String("dir", "cmd/gravid/demo", "the folder of package demo")
	flag.Parse()
	if flag.NArg() > 0 {
		fmt.Fprintln(os.Stderr, "makedemo: error: no arguments are needed")
		os.Exit(2)
	}
	if err := run(*dir, demoSeed); err != nil {
		fmt.Fprintln(os.Stderr, "makedemo: error:", err)
		os.Exit(1)
	}
}

func run(dir string, seed uint64) error {
	if _, err := os.Stat(filepath.Join(dir, "demo.go")); err != nil {
		return fmt.Errorf("%s is not the folder of package demo (run makedemo from the top of the repository, or use -dir): %w", dir, err)
	}
	d, err := newDemo(seed)
	if err != nil {
		return err
	}
	for name, o := range d.offices {
		if d.files[name], err = o.workbook(filepath.Join(dir, filepath.FromSlash(name))); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	if err := removeOthers(dir, d.files); err != nil {
		return err
	}
	for name, content := range d.files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(path, content, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// removeOthers deletes files of an earlier demo that this one does not have.
func removeOthers(dir string, files map[string][]byte) error {
	for _, folder := range []string{"club", "expected"} {
		root := filepath.Join(dir, folder)
		if _, err := os.Stat(root); os.IsNotExist(err) {
			continue
		}
		err := filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
			if err != nil || entry.IsDir() {
				return err
			}
			name, err := filepath.Rel(dir, path)
			if err != nil {
				return err
			}
			if _, ours := files[filepath.ToSlash(name)]; ours {
				return nil
			}
			return os.Remove(path)
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// A demo is all files of the demo club, by their path below package demo.
type demo struct {
	files   map[string][]byte
	offices map[string]office // workbooks that LibreOffice has to write
	world   *world
	logs    []*writtenLog
	truth   clubTruth
}

// An office is a workbook before LibreOffice wrote it.
type office struct {
	document []byte
	sheets   []sheet
}

// workbook returns the workbook that stands at a path if it holds what is meant,
// else a new one.
func (o office) workbook(path string) ([]byte, error) {
	if old, err := os.ReadFile(path); err == nil && compare(old, o.sheets) == nil {
		return old, nil
	}
	made, err := convert(o.document)
	if err != nil {
		return nil, err
	}
	return made, compare(made, o.sheets)
}

// newDemo makes the demo club.
func newDemo(seed uint64) (*demo, error) {
	w, err := newWorld(seed)
	if err != nil {
		return nil, err
	}
	d := &demo{files: map[string][]byte{"club/club.toml": []byte(clubToml)}, offices: map[string]office{}, world: w}
	for _, b := range logbooks() {
		if err := d.addLog(b); err != nil {
			return nil, fmt.Errorf("%s: %w", b.path, err)
		}
	}
	barometer, barometerCount := w.barometerLog()
	logger, temperatureCount, slips := w.loggerLog()
	d.files[logsFolder+barometerPath], d.files[logsFolder+loggerPath] = barometer, logger
	d.truth = truthOf(w, d.logs, []loggerCount{barometerCount, temperatureCount}, slips)
	d.files["truth.md"] = d.truth.markdown()
	if d.files["truth.json"], err = d.truth.json(); err != nil {
		return nil, err
	}
	return d, d.addExpected()
}

const logsFolder = "club/logs/"

func (d *demo) addLog(b *logbook) error {
	l, err := b.write(d.world)
	if err != nil {
		return err
	}
	d.logs = append(d.logs, l)
	content, err := b.shape(l.sheets)
	if err != nil {
		return err
	}
	if b.office {
		d.offices[logsFolder+b.path] = office{content, l.sheets}
	} else {
		d.files[logsFolder+b.path] = content
	}
	return nil
}

func (d *demo) addExpected() (err error) {
	var attempts, clutches []row
	for _, l := range d.logs {
		attempts = append(attempts, l.rows...)
	}
	slices.SortStableFunc(attempts, func(a, b row) int { return strings.Compare(a.file, b.file) })
	for _, r := range attempts {
		if r.clutch {
			clutches = append(clutches, r)
		}
	}
	d.files["expected/README.md"] = []byte(expectedReadme)
	if d.files["expected/attempts.csv"], err = expectedTable(attempts, attemptFields); err != nil {
		return err
	}
	if d.files["expected/clutches.csv"], err = expectedTable(clutches, clutchFields); err != nil {
		return err
	}
	d.files["expected/headings.csv"], err = expectedHeadings(d.logs)
	return err
}

const clubToml = `# The demo club: invented, see truth.json. gravid new makes a club.toml that
# explains every key.

name = "` + clubName + `"
time_zone = "` + zoneName + `"

# Every keeper looks at the tanks once a day.
check_rhythm_hours = 24

# The smallest difference for which the club would change what it does, in
# spawnings per 100 attempts.
worth_acting_per_100 = 10

# Reports name the keepers, who are invented, and lead to their logs.
pseudonyms = false
`
