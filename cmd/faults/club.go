//go:build linux

package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// fish is the species of the clubs here.
const fish = "Corydoras paleatus"

// logName is the log that is changed between runs.
const logName = "logs/Ana Lindqvist/log.csv"

// writeFiles writes files below a folder.
func writeFiles(dir string, files map[string]string) error {
	for _, name := range slices.Sorted(maps.Keys(files)) {
		to := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(to, []byte(files[name]), 0o644); err != nil {
			return err
		}
	}
	return nil
}

// smallClub is a club of three keepers, with rows that have to be set aside.
func smallClub(d *dice) map[string]string {
	return map[string]string{
		"club.toml":                  clubSettings("Round 0"),
		logName:                      breedingLog(d, 24, "round 0"),
		"logs/Ben Okafor/spawns.csv": breedingLog(d, 26, "second shelf"),
		"logs/Cleo Marchetti.csv":    breedingLog(d, 22, "cellar"),
	}
}

func clubSettings(name string) string {
	return fmt.Sprintf("name = %q\ntime_zone = \"Europe/Berlin\"\npseudonyms = false\n", name)
}

const breedingHeadings = "tank,species,males,females,set up,ended,spawned?,spawn date,temp (°C),pH,water change (%),eggs,hatch date,free swimming,notes\n"

// breedingLog is a log of attempts over two years; a cell of its last row but one cannot be used,
// and its last row is set aside.
func breedingLog(d *dice, rows int, note string) string {
	var b strings.Builder
	b.WriteString(breedingHeadings)
	day := time.Date(2024, 1, 8, 0, 0, 0, 0, time.UTC)
	for range rows {
		length := 3 + d.below(14)
		end := day.AddDate(0, 0, length)
		spawned, laid, eggs, hatched, swam := "no", "", "", "", ""
		if d.share() < 0.45 {
			spawned, laid, eggs = "yes", iso(end), fmt.Sprint(40+d.below(120))
			hatched, swam = iso(end.AddDate(0, 0, 4)), iso(end.AddDate(0, 0, 7+d.below(2)))
		}
		fmt.Fprintf(&b, "T%d,%s,%d,%d,%s,%s,%s,%s,%.1f,%.1f,%d,%s,%s,%s,%s\n", 1+d.below(3), fish, 1+d.below(2), 1+d.below(3),
			iso(day), iso(end), spawned, laid, 22+4*d.share(), 6.5+d.share(), 10*d.below(6), eggs, hatched, swam, note)
		day = end.AddDate(0, 0, 1+d.below(20))
	}
	fmt.Fprintf(&b, "T1,%s,1,1,2025-02-30,,no,,24.0,7.0,20,,,,%s\n", fish, note)
	fmt.Fprintf(&b, "T1,no such fish,1,1,2025-02-03,,no,,24.0,7.0,20,,,,%s\n", note)
	return b.String()
}

func iso(t time.Time) string { return t.Format("2006-01-02") }

// barometer is the log of an air-pressure logger, an hour a row, for clubs whose
// reading takes a while.
func barometer(d *dice, hours int) string {
	var b strings.Builder
	b.WriteString("Place: Lindenfurt\n\nDate/Time,Pressure (hPa)\n")
	at, pressure := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC), 1013.0
	for range hours {
		pressure += 1.6*(d.share()-0.5) + 0.01*(1013-pressure)
		fmt.Fprintf(&b, "%s,%.1f\n", at.Format("2006-01-02 15:04"), pressure)
		at = at.Add(time.Hour)
	}
	return b.String()
}

// newClub lays down a club and reads its logs.
func (b *bench) newClub(name string, files map[string]string) (dir string, err error) {
	if dir, err = b.folder(name); err != nil {
		return "", err
	}
	if err = writeFiles(dir, files); err != nil {
		return "", err
	}
	if err = b.mustIngest(dir); err != nil {
		return "", err
	}
	if aside, err := hashFolder(filepath.Join(dir, "set-aside")); err != nil || len(aside) == 0 {
		return "", fmt.Errorf("the club %s has no rows set aside, so nothing can be told of them (%v)", name, err)
	}
	return dir, nil
}

// mustIngest reads the logs of a club to which nothing was done.
func (b *bench) mustIngest(dir string) error {
	o, err := b.gravid("ingest", "--club", dir)
	if err != nil {
		return err
	}
	if what := o.differs(want{status: []int{0, 3}}); what != "" {
		return errors.New("before any fault was made: " + what)
	}
	return nil
}

// A state is what a club's folder holds, told without gravid's packages.
type state struct {
	generation string
	tables     string            // SHA-256 over all tables of the valid generation
	aside      map[string]string // name -> SHA-256, in set-aside/
}

// manifest is the part of tables/CURRENT that is looked at here.
type manifest struct {
	Generation string `json:"generation"`
	Tables     []struct {
		Name   string `json:"name"`
		Bytes  int64  `json:"bytes"`
		SHA256 string `json:"sha256"`
	} `json:"tables"`
}

// tableFiles are those of the design, without .arrow.
var tableFiles = []string{"actions", "attempts", "clutches", "problems", "readings", "sources"}

// readState reads what a club holds, and reports tables that are not whole and
// copies of logs that are not what their names say.
func readState(dir string) (state, error) {
	var s state
	raw, err := os.ReadFile(filepath.Join(dir, "tables", "CURRENT"))
	if err != nil {
		return s, err
	}
	var m manifest
	if err := json.Unmarshal(raw, &m); err != nil {
		return s, fmt.Errorf("tables/CURRENT: %w", err)
	}
	s.generation = m.Generation
	all := sha256.New()
	var names []string
	for _, f := range m.Tables {
		sum, size, err := hashFile(filepath.Join(dir, "tables", m.Generation, f.Name))
		if err != nil {
			return s, err
		}
		if sum != f.SHA256 || size != f.Bytes {
			return s, fmt.Errorf("tables/%s/%s is not what tables/CURRENT says of it", m.Generation, f.Name)
		}
		fmt.Fprintln(all, f.Name, sum)
		names = append(names, strings.TrimSuffix(f.Name, ".arrow"))
	}
	if slices.Sort(names); !slices.Equal(names, tableFiles) {
		return s, fmt.Errorf("the tables are %v", names)
	}
	s.tables = hex.EncodeToString(all.Sum(nil))
	if s.aside, err = hashFolder(filepath.Join(dir, "set-aside")); err != nil {
		return s, err
	}
	return s, checkSources(dir)
}

// checkSources holds each copy of a log to the SHA-256 that is its name.
func checkSources(dir string) error {
	copies, err := hashFolder(filepath.Join(dir, "sources"))
	for name, sum := range copies {
		if base := filepath.Base(name); !strings.HasPrefix(base, ".tmp-") && !strings.HasPrefix(base, sum) {
			return fmt.Errorf("sources/%s has another content than its name says", name)
		}
	}
	return err
}

// hashFolder hashes all files below a folder; no folder holds none.
func hashFolder(dir string) (map[string]string, error) {
	sums := map[string]string{}
	err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		rel, _ := filepath.Rel(dir, name)
		sums[rel], _, err = hashFile(name)
		return err
	})
	if errors.Is(err, fs.ErrNotExist) {
		return sums, nil
	}
	return sums, err
}

func hashFile(name string) (sum string, size int64, err error) {
	f, err := os.Open(name)
	if err != nil {
		return "", 0, err
	}
	defer f.Close()
	h := sha256.New()
	size, err = io.Copy(h, f)
	return hex.EncodeToString(h.Sum(nil)), size, err
}

// leftovers lists what no finished run may leave: temporary files, and
// generations of tables that are not the valid one.
func leftovers(dir string) []string {
	var left []string
	err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if strings.HasPrefix(d.Name(), ".tmp-") {
			rel, _ := filepath.Rel(dir, name)
			left = append(left, rel)
		}
		return nil
	})
	if err != nil {
		left = append(left, err.Error())
	}
	generations, _ := filepath.Glob(filepath.Join(dir, "tables", "gen-*"))
	if len(generations) > 1 {
		left = append(left, fmt.Sprintf("%d generations of tables", len(generations)))
	}
	return left
}

// readable says how a club cannot be asked, or nothing.
func (b *bench) readable(dir string) (string, error) {
	for _, args := range [][]string{{"problems", "--club", dir}, {"ask", "--club", dir, "--trigger", "water-change", "--species", fish}} {
		o, err := b.gravid(args...)
		if err != nil {
			return "", err
		}
		if what := o.differs(want{status: []int{0}}); what != "" {
			return what, nil
		}
		if o.stdout == "" {
			return "gravid " + o.line() + " gives no answer", nil
		}
	}
	return "", nil
}

// wholeAside holds every file in set-aside/ to the old or the new one of its name.
func wholeAside(now, old, next state) string {
	for name, sum := range now.aside {
		if strings.HasPrefix(filepath.Base(name), ".tmp-") {
			continue
		}
		if sum != old.aside[name] && sum != next.aside[name] {
			return "set-aside/" + name + " is neither the old file nor the new one"
		}
	}
	return ""
}
