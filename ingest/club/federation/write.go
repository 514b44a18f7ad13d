package federation

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/apache/arrow/go/v15/arrow"

	"gravid/ingest/club"
	"gravid/ingest/club/atomicfile"
	"gravid/ingest/club/parquet"
)

// groupRows is how many rows a row group of a file has: few enough for one open file a
// year to cost little memory.
const groupRows = 16 << 10

// Export writes the tables of a club into its folder below dir, in place of what the club
// has there, and returns what was written. It holds the club's lock. The readings are never in memory as a whole.
// The same tables, settings and key give the same bytes.
func Export(c *club.Club, dir string) (Manifest, error) {
	code := c.Config.ClubCode()
	if code == "" {
		return Manifest{}, &club.Fault{Path: club.ConfigFile, What: fmt.Sprintf("no code can be made from the name %q", c.Config.Name), Fix: `add a line such as code = "our-club"`}
	}
	lock, err := c.Begin()
	if err != nil {
		return Manifest{}, err
	}
	defer lock.Close()
	names, err := NamesOf(c.Root())
	if err != nil {
		return Manifest{}, err
	}
	home := map[string]string{}
	for keeper, place := range c.Config.Home {
		home[names.Keeper(keeper)] = names.Place(place)
	}
	w, err := NewWriter(dir, Manifest{Club: code, TimeZone: c.Config.TimeZone, Home: home})
	if err != nil {
		return Manifest{}, err
	}
	defer w.Close()
	t, err := c.Load(club.TableAttempts, club.TableClutches, club.TableActions)
	if err != nil {
		return Manifest{}, err
	}
	hidden := names.Hide(&t)
	if err := w.Write(&hidden); err != nil {
		return Manifest{}, err
	}
	err = c.EachReadings(func(batch []club.Reading) error {
		hidden := names.Hide(&club.Tables{Readings: batch})
		return w.Write(&hidden)
	})
	if err == nil {
		err = names.Err()
	}
	if err != nil {
		return Manifest{}, err
	}
	return w.Commit()
}

// A Writer writes one club's folder: into a new one beside it, which takes its place at
// Commit.
type Writer struct {
	manifest Manifest
	dir      string // of the federation
	temp     string // folder being written, inside dir
	parts    map[[2]string]*part
}

// NewWriter begins the folder of a club below dir. Two writers for one club in one
// folder at a time are the caller's to prevent. Of the manifest it takes the club's
// code, its time zone and its homes. Close has to be called in any case.
func NewWriter(dir string, m Manifest) (*Writer, error) {
	m.SchemaVersion, m.Files = club.SchemaVersion, []File{}
	if m.Home == nil {
		m.Home = map[string]string{}
	}
	if !codes.MatchString(m.Club) {
		return nil, fmt.Errorf("%q is no code of a club", m.Club)
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return nil, err
	}
	target := filepath.Join(dir, Folder(m.Club))
	if err := replaceable(target); err != nil {
		return nil, err
	}
	temp := filepath.Join(dir, atomicfile.TempPrefix+Folder(m.Club))
	if err := settle(target, temp+oldSuffix); err != nil {
		return nil, err
	}
	if err := os.RemoveAll(temp); err != nil { // of a run that was ended
		return nil, err
	}
	if err := os.Mkdir(temp, 0o777); err != nil {
		return nil, err
	}
	return &Writer{manifest: m, dir: dir, temp: temp, parts: map[[2]string]*part{}}, nil
}

// replaceable refuses a folder that is not one that a Writer made.
func replaceable(target string) error {
	_, err := os.Lstat(target)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	if _, err := os.Lstat(filepath.Join(target, ManifestFile)); err != nil {
		return &club.Fault{Path: target, What: "is there already and was not made by an export", Fix: "name another folder"}
	}
	return nil
}

// oldSuffix ends the name of the folder that a new one replaces.
const oldSuffix = "-old"

// settle puts right what a run left that was ended between the two renames of Commit: the
// old folder goes back where no new one came, and else away.
func settle(target, old string) error {
	_, err := os.Lstat(target)
	if !errors.Is(err, fs.ErrNotExist) {
		return errors.Join(err, os.RemoveAll(old))
	}
	if err := os.Rename(old, target); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// Write adds rows, which keep their order. They must have been hidden (Names.Hide);
// tables of problems and sources are refused.
func (w *Writer) Write(t *club.Tables) error {
	if len(t.Problems)+len(t.Sources) > 0 {
		return errors.New("problems and sources name people and logs, and are not for a federation")
	}
	return errors.Join(
		add(w, t.Attempts, club.TableAttempts, func(t *club.Tables) *[]club.Attempt { return &t.Attempts },
			func(a *club.Attempt) []club.When { return []club.When{a.Began, a.SpawnedAt, a.Ended} }),
		add(w, t.Clutches, club.TableClutches, func(t *club.Tables) *[]club.Clutch { return &t.Clutches },
			func(c *club.Clutch) []club.When {
				return []club.When{c.LaidTo, c.LaidFrom, c.HatchTo, c.HatchFrom, c.SwimTo, c.SwimFrom, c.LostAt, c.LastSeen}
			}),
		add(w, t.Readings, club.TableReadings, func(t *club.Tables) *[]club.Reading { return &t.Readings },
			func(r *club.Reading) []club.When { return []club.When{r.At} }),
		add(w, t.Actions, club.TableActions, func(t *club.Tables) *[]club.Action { return &t.Actions },
			func(a *club.Action) []club.When { return []club.When{a.At} }))
}

// add puts rows into the parts of their years.
func add[T any](w *Writer, rows []T, table string, at func(*club.Tables) *[]T, dates func(*T) []club.When) error {
	for i := range rows {
		p, err := w.part(table, yearOf(dates(&rows[i])))
		if err != nil {
			return err
		}
		list := at(&p.rows)
		*list = append(*list, rows[i])
		if len(*list) == groupRows {
			if err := p.flush(); err != nil {
				return err
			}
			*at(&p.rows) = (*list)[:0]
		}
	}
	return nil
}

func yearOf(dates []club.When) string {
	for _, d := range dates {
		if d.OK {
			return strconv.Itoa(d.V.UTC().Year())
		}
	}
	return NoYear
}

// A part is one file on its way.
type part struct {
	File
	schema club.Schema
	rows   club.Tables // not written yet
	disk   *os.File
	sum    hash.Hash
	out    *parquet.Writer
}

func (w *Writer) part(table, year string) (*part, error) {
	if p := w.parts[[2]string{table, year}]; p != nil {
		return p, nil
	}
	s, err := club.Find(club.Schemas(), table)
	if err != nil {
		return nil, err
	}
	p := &part{File: File{Table: table, Year: year, Path: filePath(table, year)}, schema: s, sum: sha256.New()}
	name := filepath.Join(w.temp, filepath.FromSlash(p.Path))
	if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		return nil, err
	}
	if p.disk, err = os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666); err != nil {
		return nil, err
	}
	w.parts[[2]string{table, year}] = p
	p.out, err = parquet.NewWriter(p, nil, w.describe(s, year))
	return p, err
}

// describe is the schema of a table as a file carries it: besides what all exports say,
// the club, its time zone, the year, and the words that columns allow.
func (w *Writer) describe(s club.Schema, year string) *arrow.Schema {
	plain := s.Arrow()
	words := map[string][]string{}
	for _, c := range s.Columns {
		if c.Values != nil {
			words[c.Name] = c.Values
		}
	}
	vocabulary, err := json.Marshal(words)
	if err != nil { // texts only
		panic(err)
	}
	keys, values := slices.Clone(plain.Metadata().Keys()), slices.Clone(plain.Metadata().Values())
	for _, m := range [][2]string{{"club", w.manifest.Club}, {"year", year}, {"time_zone", w.manifest.TimeZone}, {"vocabulary", string(vocabulary)}} {
		keys, values = append(keys, m[0]), append(values, m[1])
	}
	meta := arrow.NewMetadata(keys, values)
	return arrow.NewSchema(plain.Fields(), &meta)
}

// Write takes the bytes of the file from the library.
func (p *part) Write(b []byte) (int, error) {
	n, err := p.disk.Write(b)
	p.sum.Write(b[:n])
	p.Bytes += int64(n)
	return n, err
}

func (p *part) flush() error {
	p.Rows += int64(p.schema.Len(&p.rows))
	return p.out.Append(p.schema, &p.rows)
}

func (p *part) finish() error {
	err := p.flush()
	if err == nil {
		err = p.out.Close()
	}
	if err == nil {
		err = p.disk.Sync()
	}
	err = errors.Join(err, p.disk.Close())
	p.disk, p.SHA256 = nil, hex.EncodeToString(p.sum.Sum(nil))
	return err
}

// Commit ends all files, writes the manifest, and puts the folder in its place. For a
// moment between two renames the club has none.
func (w *Writer) Commit() (Manifest, error) {
	for _, k := range slices.SortedFunc(maps.Keys(w.parts), func(a, b [2]string) int { return strings.Compare(a[0]+a[1], b[0]+b[1]) }) {
		p := w.parts[k]
		if err := p.finish(); err != nil {
			return Manifest{}, err
		}
		w.manifest.Files = append(w.manifest.Files, p.File)
	}
	slices.SortFunc(w.manifest.Files, compareFiles)
	err := atomicfile.Write(filepath.Join(w.temp, ManifestFile), func(out io.Writer) error {
		e := json.NewEncoder(out)
		e.SetIndent("", "  ")
		return e.Encode(w.manifest)
	})
	if err != nil {
		return Manifest{}, err
	}
	target := filepath.Join(w.dir, Folder(w.manifest.Club))
	old := w.temp + oldSuffix
	switch err := os.Rename(target, old); {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return Manifest{}, err
	default:
		defer os.RemoveAll(old)
	}
	if err := os.Rename(w.temp, target); err != nil {
		return Manifest{}, errors.Join(err, os.Rename(old, target))
	}
	return w.manifest, nil
}

// Close lets go of files and clears away what was not committed.
func (w *Writer) Close() error {
	var errs []error
	for _, p := range w.parts {
		if p.disk != nil {
			errs = append(errs, p.disk.Close())
			p.disk = nil
		}
	}
	return errors.Join(append(errs, os.RemoveAll(w.temp))...)
}
