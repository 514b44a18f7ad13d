// Package ingest turns keepers' logs, no two alike, into the canonical tables of
// package club, and says of every row and every cell what became of it.
//
// What can be read for certain becomes a value. A guess that could be wrong is
// not made: the cell, row or column becomes a Problem with its place and a
// remedy, and rows that cannot be used are set aside in the keeper's own columns.
// The Ledger of every sheet adds up, or the run fails.
//
// The package asks no questions of the tables and prints nothing.
package ingest

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"gravid/ingest/club"
	"gravid/ingest/printable"
	"gravid/ingest/problem"
	"gravid/ingest/source"
	"gravid/ingest/species"
)

// LogsDir is the folder of a club that holds its logs.
const LogsDir = "logs"

// A Report is what one run did.
type Report struct {
	Files    []FileReport
	Tables   club.Tables // without the readings, of which there can be millions; see All
	Readings int         // how many readings there are
	Explains []Explained // what was decided about each table, for --explain

	club *club.Club
}

// All returns the tables with all readings, which it loads from the club's folder.
func (r *Report) All() (club.Tables, error) {
	stored, err := r.club.Load(club.TableReadings)
	if err != nil {
		return club.Tables{}, err
	}
	t := r.Tables
	t.Readings = stored.Readings
	return t, nil
}

// A FileReport is one line of the talk about a file.
type FileReport struct {
	File     string
	Sheets   int
	Rows     int
	Used     int
	SetAside int
	Errors   int
	Warnings int
	Notes    int
}

// Run reads the logs of a club and replaces its tables. paths name logs or folders
// below logs/ to read anew; the rows of other logs stay as they are. Without
// paths all logs are read. today bounds the dates that a log can hold.
//
// Ingesting twice changes nothing. The error is about the club's folder or a
// ledger that does not balance; what is wrong with logs is in Tables.Problems.
func Run(c *club.Club, paths []string, today time.Time) (report *Report, err error) {
	return runLogs(c, paths, today, func(*reader) {})
}

// runLogs is Run with a reader that prepare may change.
func runLogs(c *club.Club, paths []string, today time.Time, prepare func(*reader)) (report *Report, err error) {
	reader, err := newReader(c.Config, today)
	if err != nil {
		return nil, err
	}
	prepare(reader)
	change, err := c.Begin()
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, change.Close()) }()
	files, found, err := list(c, paths)
	if err != nil {
		return nil, err
	}
	all := collected{problems: found, readings: newReadingList(change)}
	reader.readings = all.readings
	if len(paths) > 0 {
		if err := all.keepOthers(c, files); err != nil {
			return nil, err
		}
	}
	run := &run{reader: reader, club: c, change: change, bySum: map[string]string{}, all: &all}
	for _, name := range files {
		if err := run.log(name); err != nil {
			return nil, err
		}
	}
	all.join(reader)
	all.finish(c.Config)
	if err := all.readings.Err(); err != nil {
		return nil, err
	}
	tables := all.tables()
	if err := change.ReplaceLong(tables, all.readings.Readings, all.aside...); err != nil {
		return nil, err
	}
	return &Report{Files: all.fileReports(files), Tables: tables, Readings: all.readings.Kept(), Explains: all.explained, club: c}, nil
}

// A run reads one log after another.
type run struct {
	reader *reader
	club   *club.Club
	change *club.Change
	bySum  map[string]string // the first log of each content
	all    *collected
}

// log reads a log into what is collected.
func (r *run) log(name string) (err error) {
	mapping, problems := r.reader.mapping(r.club, name)
	r.all.problems = append(r.all.problems, problems...)
	if len(problems) > 0 {
		return nil
	}
	kept := keptLog{run: r, name: name}
	defer func() { err = errors.Join(err, kept.close()) }()
	f, err := r.load(&kept, mapping)
	var twice *duplicate
	switch {
	case errors.As(err, &twice):
		r.all.addDuplicate(name, twice)
		return nil
	case err != nil:
		return err
	}
	read := r.reader.read(f, mapping)
	if err := f.Err(); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return r.all.add(read)
}

// load opens a log of which a copy is kept.
func (r *run) load(kept *keptLog, mapping Mapping) (source.File, error) {
	root, err := r.club.Root().OpenRoot(LogsDir)
	if err != nil {
		return source.File{}, err
	}
	defer root.Close()
	return source.LoadWith(root, kept.name, kept.keep, source.Hints{Encoding: mapping.Encoding, Delimiter: mapping.Delimiter}, source.Limits{})
}

// A keptLog is the copy of a log in sources/, open for reading.
type keptLog struct {
	run  *run
	name string
	file *os.File
}

// keep makes the copy and opens it. The error is a duplicate where a log of the same
// content was read before.
func (k *keptLog) keep(sha256 string, bytes int64, write func(io.Writer) error) (io.ReaderAt, error) {
	if first, twice := k.run.bySum[sha256]; twice && bytes > 0 {
		return nil, &duplicate{first, sha256, bytes}
	}
	name, err := k.run.change.KeepSourceOf(k.name, sha256, bytes, write)
	if err != nil {
		return nil, err
	}
	k.run.bySum[sha256] = k.name
	k.file, err = k.run.club.Root().Open(name)
	return k.file, err
}

func (k *keptLog) close() error {
	if k.file == nil {
		return nil
	}
	return k.file.Close()
}

// A duplicate is a log with the content of one that was read before.
type duplicate struct {
	first  string
	sha256 string
	bytes  int64
}

func (d *duplicate) Error() string { return "has the same content as " + d.first }

// list names the logs below logs/, in order, and says what is passed over.
func list(c *club.Club, paths []string) (files []string, found []problem.Problem, err error) {
	if _, err := c.Root().Stat(LogsDir); err != nil {
		return nil, nil, &club.Fault{Path: c.Dir, What: "has no logs folder", Fix: "make a folder " + LogsDir + " in it, with a folder for each keeper", Err: err}
	}
	logs, err := fs.Sub(c.Root().FS(), LogsDir)
	if err != nil {
		return nil, nil, err
	}
	roots := []string{"."}
	if len(paths) > 0 {
		roots = nil
		for _, p := range paths {
			name := strings.TrimPrefix(path.Clean(strings.ReplaceAll(p, `\`, "/")), LogsDir+"/")
			if _, err := fs.Stat(logs, name); err != nil {
				return nil, nil, &club.Fault{Path: p, What: "there is no such log in the club's folder", Fix: "name a file or folder below " + LogsDir + ", such as ana/2024.csv", Err: err}
			}
			roots = append(roots, name)
		}
	}
	for _, root := range roots {
		err := fs.WalkDir(logs, root, func(name string, entry fs.DirEntry, err error) error {
			shown := printable.Line(name)
			switch {
			case err != nil && name == root:
				why := err
				if p := new(fs.PathError); errors.As(err, &p) {
					why = p.Err
				}
				return &club.Fault{Path: path.Join(LogsDir, shown), What: fmt.Sprintf("could not be listed: %v", why), Fix: "give the right to read the folder", Err: err}
			case !utf8.ValidString(name): // tables hold text only, and what is below has the name in its path
				found = append(found, problem.Problem{Severity: problem.Error, Code: problem.FileUnreadable, Place: problem.Place{File: shown},
					Message: "is not read: its name is not written in UTF-8", Fix: "rename it with letters that every system knows, then ingest again"})
				if entry != nil && entry.IsDir() {
					return fs.SkipDir
				}
				return nil
			case err != nil:
				found = append(found, unreadable(name, err.Error()))
				return nil
			case entry.IsDir(), passedOver(name):
				return nil
			case !entry.Type().IsRegular():
				found = append(found, unreadable(name, "it is not an ordinary file (a link or a device)"))
				return nil
			}
			files = append(files, name)
			return nil
		})
		if err != nil {
			return nil, nil, err
		}
	}
	slices.Sort(files)
	return slices.Compact(files), found, nil
}

func unreadable(name, what string) problem.Problem {
	return problem.Problem{Severity: problem.Error, Code: problem.FileUnreadable, Place: problem.Place{File: name},
		Message: "could not be read: " + what, Fix: "copy the file itself into the logs folder and give the right to read it"}
}

// passedOver reports whether a file is no log by its name: the lock files of
// spreadsheet programs, hidden files, and mappings.
func passedOver(name string) bool {
	base := path.Base(name)
	return source.IsLock(base) || strings.HasPrefix(base, ".") || strings.EqualFold(path.Ext(base), ".toml")
}

// collected is what a run has gathered so far.
type collected struct {
	attempts  []club.Attempt
	clutches  []club.Clutch
	readings  *readingList
	actions   []club.Action
	problems  []problem.Problem
	sources   []club.SourceSheet
	aside     []club.SetAside
	ledgers   []Ledger
	explained []Explained
}

// add takes in what one file gave, if its ledgers balance.
func (a *collected) add(r *reading) error {
	for _, l := range r.ledgers {
		if err := l.Check(); err != nil {
			return fmt.Errorf("internal error, please report it: %w", err)
		}
	}
	a.attempts = append(a.attempts, r.attempts...)
	a.clutches = append(a.clutches, r.clutches...)
	a.readings.takeAll(&r.readings)
	a.actions = append(a.actions, r.actions...)
	a.problems = append(a.problems, r.problems...)
	a.sources = append(a.sources, r.sources...)
	a.aside = append(a.aside, r.aside...)
	a.ledgers = append(a.ledgers, r.ledgers...)
	a.explained = append(a.explained, r.explained...)
	return nil
}

// DuplicateOf stands before the name of the log that is read instead, as the layout
// of one that is not read because it is the same.
const DuplicateOf = "duplicate of "

// addDuplicate says of a log that it is not read.
func (a *collected) addDuplicate(name string, d *duplicate) {
	a.problems = append(a.problems, problem.Problem{Severity: problem.Note, Code: problem.FileDuplicate,
		Place: problem.Place{File: name}, Message: d.Error() + ", which is read instead", Fix: "delete one of the two"})
	a.sources = append(a.sources, club.SourceSheet{File: name, SHA256: d.sha256, Bytes: d.bytes, Layout: DuplicateOf + d.first})
}

// keepOthers takes over from the tables what came from logs that are not read
// anew.
func (a *collected) keepOthers(c *club.Club, anew []string) error {
	t, err := c.Load(club.TableAttempts, club.TableClutches, club.TableActions, club.TableProblems, club.TableSources)
	if errors.Is(err, club.ErrNoTables) {
		return nil
	}
	if err != nil {
		return err
	}
	other := func(file string) bool { return !slices.Contains(anew, file) }
	err = c.EachReadings(func(batch []club.Reading) error {
		for _, x := range batch {
			if other(x.Source.File) {
				a.readings.take(x)
			}
		}
		return a.readings.Err()
	})
	if err != nil {
		return err
	}
	for _, x := range t.Attempts {
		if other(x.Source.File) {
			a.attempts = append(a.attempts, x)
		}
	}
	for _, x := range t.Clutches {
		if other(x.Source.File) {
			a.clutches = append(a.clutches, x)
		}
	}
	for _, x := range t.Actions {
		if other(x.Source.File) {
			a.actions = append(a.actions, x)
		}
	}
	for _, x := range t.Problems {
		if other(x.Place.File) && x.Code != problem.SpawnsOnly && x.Code != problem.ReadingConflict {
			a.problems = append(a.problems, x)
		}
	}
	for _, x := range t.Sources {
		if other(x.File) {
			a.sources = append(a.sources, x)
		}
	}
	return nil
}

// finish does what needs all logs at once.
func (a *collected) finish(c club.Config) {
	a.sameReadings()
	only := club.SpawningsOnly(a.attempts, c.Said())
	spawnings, file := map[string]int{}, map[string]string{}
	for _, x := range a.attempts {
		if spawnings[x.Keeper] == 0 {
			file[x.Keeper] = x.Source.File
		}
		spawnings[x.Keeper]++
	}
	for _, k := range slices.Sorted(maps.Keys(only)) {
		a.problems = append(a.problems, problem.Problem{Severity: problem.Note, Code: problem.SpawnsOnly, Place: problem.Place{File: file[k]},
			Message: fmt.Sprintf("all %d attempts of %s ended in a spawning, so failures are probably not written down; they are kept out of comparisons", spawnings[k], k),
			Fix:     fmt.Sprintf("write down attempts that came to nothing as well; if there were none, say so in club.toml: attempts_in_full = [%q]", k)})
	}
	a.remedies()
	problem.Sort(a.problems)
}

// remedies gives every error that names no remedy of its own that of its kind.
func (a *collected) remedies() {
	for i := range a.problems {
		p := &a.problems[i]
		if e, ok := problem.Explain(p.Code); ok && p.Fix == "" && p.Severity == problem.Error {
			p.Fix = e.Remedy
		}
	}
}

func (a *collected) tables() club.Tables {
	return club.Tables{Attempts: a.attempts, Clutches: a.clutches, Actions: a.actions, Problems: a.problems, Sources: a.sources}
}

func (a *collected) fileReports(files []string) []FileReport {
	var out []FileReport
	for _, name := range files {
		r := FileReport{File: name}
		for _, s := range a.sources {
			if s.File == name {
				r.Sheets++
				r.Rows += int(s.Rows)
				r.Used += int(s.Used)
				r.SetAside += int(s.SetAside)
			}
		}
		for _, p := range a.problems {
			if p.Place.File != name {
				continue
			}
			switch p.Severity {
			case problem.Error:
				r.Errors += 1 + p.More
			case problem.Warning:
				r.Warnings += 1 + p.More
			default:
				r.Notes += 1 + p.More
			}
		}
		out = append(out, r)
	}
	return out
}

// A reader reads the logs of one club.
type reader struct {
	config club.Config
	zone   *time.Location
	names  *species.Names
	known  map[string]species.Match // names looked up so far
	rhythm time.Duration
	today  time.Time

	readings *readingList // takes the readings of loggers
	longWay  bool         // rows of loggers are all read by the way for odd ones
	plain    int          // rows of loggers read by the short way
}

// resolve looks a species up. Logs name few species many times, and looking up an
// unknown name is slow.
func (r *reader) resolve(text string) species.Match {
	m, ok := r.known[text]
	if !ok {
		m = r.names.Resolve(text)
		r.known[text] = m
	}
	return m
}

func newReader(c club.Config, today time.Time) (*reader, error) {
	zone, err := c.Location()
	if err != nil {
		return nil, err
	}
	return &reader{config: c, zone: zone, names: species.New(c.Species), known: map[string]species.Match{}, today: today,
		rhythm: time.Duration(c.CheckRhythmHours * float64(time.Hour))}, nil
}

// mappingBytes is the most that a mapping may have; honest ones stay far below.
const mappingBytes = 1 << 20

// mapping finds the mapping of a log: of the same name, else of the folder.
func (r *reader) mapping(c *club.Club, name string) (Mapping, []problem.Problem) {
	for _, candidate := range []string{strings.TrimSuffix(name, path.Ext(name)) + ".toml", path.Join(path.Dir(name), "ingest.toml")} {
		doc, there, refused := source.ReadBeside(c.Root(), path.Join(LogsDir, candidate), mappingBytes)
		switch {
		case !there:
			continue
		case refused != nil:
			for i := range refused {
				refused[i].Place.File = candidate
			}
			return Mapping{}, refused
		}
		return parseMapping(candidate, doc)
	}
	return Mapping{}, nil
}
