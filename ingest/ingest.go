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
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"

	"gravid/ingest/club"
	"gravid/ingest/problem"
	"gravid/ingest/source"
	"gravid/ingest/species"
)

// LogsDir is the folder of a club that holds its logs.
const LogsDir = "logs"

// A Report is what one run did.
type Report struct {
	Files    []FileReport
	Tables   club.Tables
	Explains []Explained // what was decided about each table, for --explain
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
	reader, err := newReader(c.Config, today)
	if err != nil {
		return nil, err
	}
	change, err := c.Begin()
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, change.Close()) }()
	files, found, err := list(c, paths)
	if err != nil {
		return nil, err
	}
	all := collected{problems: found}
	if len(paths) > 0 {
		if err := all.keepOthers(c, files); err != nil {
			return nil, err
		}
	}
	bySum := map[string]string{}
	for _, name := range files {
		f, mapping, problems := reader.load(c, name)
		all.problems = append(all.problems, problems...)
		if problem.Count(problems, problem.Error) > 0 && f.Raw == nil {
			continue
		}
		if first, twice := bySum[f.SHA256]; twice && f.Bytes > 0 {
			all.problems = append(all.problems, problem.Problem{Severity: problem.Note, Code: problem.FileDuplicate,
				Place: problem.Place{File: name}, Message: "has the same content as " + first + ", which is read instead", Fix: "delete one of the two"})
			all.sources = append(all.sources, club.SourceSheet{File: name, SHA256: f.SHA256, Bytes: f.Bytes, Layout: "duplicate of " + first})
			continue
		}
		bySum[f.SHA256] = name
		if _, err := change.KeepSource(name, f.Raw); err != nil {
			return nil, err
		}
		if err := all.add(reader.read(f, mapping)); err != nil {
			return nil, err
		}
	}
	all.join(reader)
	all.finish()
	tables := all.tables()
	if err := change.Replace(tables, all.aside...); err != nil {
		return nil, err
	}
	return &Report{Files: all.fileReports(files), Tables: tables, Explains: all.explained}, nil
}

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
			switch {
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
	readings  []club.Reading
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
	a.readings = append(a.readings, r.readings...)
	a.actions = append(a.actions, r.actions...)
	a.problems = append(a.problems, r.problems...)
	a.sources = append(a.sources, r.sources...)
	a.aside = append(a.aside, r.aside...)
	a.ledgers = append(a.ledgers, r.ledgers...)
	a.explained = append(a.explained, r.explained...)
	return nil
}

// keepOthers takes over from the tables what came from logs that are not read
// anew.
func (a *collected) keepOthers(c *club.Club, anew []string) error {
	t, err := c.Load()
	if errors.Is(err, club.ErrNoTables) {
		return nil
	}
	if err != nil {
		return err
	}
	other := func(file string) bool { return !slices.Contains(anew, file) }
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
	for _, x := range t.Readings {
		if other(x.Source.File) {
			a.readings = append(a.readings, x)
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

// spawnsOnlyFloor is how many attempts, all of them successes, make a keeper one
// who probably writes down successes only.
const spawnsOnlyFloor = 5

// finish does what needs all logs at once.
func (a *collected) finish() {
	a.sameReadings()
	type tally struct {
		all, spawned int
		file         string
	}
	keepers := map[string]*tally{}
	var order []string
	for _, x := range a.attempts {
		t := keepers[x.Keeper]
		if t == nil {
			t = &tally{file: x.Source.File}
			keepers[x.Keeper] = t
			order = append(order, x.Keeper)
		}
		t.all++
		if x.Spawned.OK && x.Spawned.V {
			t.spawned++
		}
	}
	for _, k := range order {
		if t := keepers[k]; t.all >= spawnsOnlyFloor && t.all == t.spawned {
			a.problems = append(a.problems, problem.Problem{Severity: problem.Note, Code: problem.SpawnsOnly, Place: problem.Place{File: t.file},
				Message: fmt.Sprintf("all %d attempts of %s ended in a spawning, so failures are probably not written down; they are kept out of comparisons", t.all, k),
				Fix:     "write down attempts that came to nothing as well"})
		}
	}
	problem.Sort(a.problems)
}

func (a *collected) tables() club.Tables {
	return club.Tables{Attempts: a.attempts, Clutches: a.clutches, Readings: a.readings, Actions: a.actions, Problems: a.problems, Sources: a.sources}
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
				r.Errors++
			case problem.Warning:
				r.Warnings++
			default:
				r.Notes++
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

// load reads a log and the mapping that goes with it.
func (r *reader) load(c *club.Club, name string) (source.File, Mapping, []problem.Problem) {
	mapping, problems := r.mapping(c, name)
	if len(problems) > 0 {
		return source.File{Name: name}, mapping, problems
	}
	root, err := c.Root().OpenRoot(LogsDir)
	if err != nil {
		return source.File{Name: name}, mapping, []problem.Problem{unreadable(name, err.Error())}
	}
	defer root.Close()
	f, err := source.LoadWith(root, name, source.Hints{Encoding: mapping.Encoding, Delimiter: mapping.Delimiter}, source.Limits{})
	if err != nil {
		return source.File{Name: name}, mapping, []problem.Problem{unreadable(name, err.Error())}
	}
	return f, mapping, nil
}

// mapping finds the mapping of a log: of the same name, else of the folder.
func (r *reader) mapping(c *club.Club, name string) (Mapping, []problem.Problem) {
	for _, candidate := range []string{strings.TrimSuffix(name, path.Ext(name)) + ".toml", path.Join(path.Dir(name), "ingest.toml")} {
		doc, err := c.Root().ReadFile(path.Join(LogsDir, candidate))
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return Mapping{}, []problem.Problem{unreadable(candidate, err.Error())}
		}
		return parseMapping(candidate, doc)
	}
	return Mapping{}, nil
}
