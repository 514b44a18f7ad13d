package club

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/gofrs/flock"

	"gravid/ingest/club/atomicfile"
)

// A Change is the right to write to a club folder. One process at a time holds
// it.
type Change struct {
	club    *Club
	lock    *flock.Flock
	renamed []string
	pending []*Readings // whose files go with the Change
}

// Begin locks the club for writing and clears away what a killed run left
// behind. While another process holds the lock it returns a Fault of ErrInUse
// that names the process. The caller must Close the Change.
func (c *Club) Begin() (*Change, error) {
	lock, err := c.takeLock()
	if err != nil {
		return nil, err
	}
	x := &Change{club: c, lock: lock}
	for _, dir := range []string{TablesDir, SourcesDir, SetAsideDir} {
		if err := c.root.MkdirAll(dir, 0o777); err != nil {
			return nil, errors.Join(err, x.Close())
		}
	}
	m, err := readManifest(c.root)
	switch {
	case err == nil:
		err = x.settle(m)
	case errors.Is(err, ErrNoTables), errors.Is(err, ErrDamaged), errors.Is(err, ErrStale):
		err = nil // new tables are the remedy, and Replace makes them
	}
	if err == nil {
		err = errors.Join(c.clearTemps(SourcesDir), c.clearTemps(SetAsideDir), c.clearTemps(TablesDir))
	}
	if err != nil {
		return nil, errors.Join(err, x.Close())
	}
	return x, nil
}

// Close gives up the right to write.
func (x *Change) Close() error {
	var err error
	for _, r := range x.pending {
		err = errors.Join(err, r.close())
	}
	x.pending = nil
	return errors.Join(err, x.lock.Unlock())
}

// takeLock locks the folder and writes the process's number into the lock, or
// says who holds it.
func (c *Club) takeLock() (*flock.Flock, error) {
	f, err := c.root.OpenFile(lockFile, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	lock := flock.New(filepath.Join(c.Dir, lockFile))
	taken, err := lock.TryLock()
	if err != nil {
		return nil, fmt.Errorf("lock the club folder: %w", err)
	}
	if !taken {
		holder := "another process"
		if b, err := io.ReadAll(io.LimitReader(f, 32)); err == nil {
			if pid, err := strconv.Atoi(strings.TrimSpace(string(b))); err == nil {
				holder = fmt.Sprintf("process %d", pid)
			}
		}
		return nil, &Fault{Path: c.Dir, What: "in use by " + holder, Fix: "wait until it has ended and run the command again", Err: ErrInUse}
	}
	err = f.Truncate(0)
	if err == nil {
		_, err = fmt.Fprintln(f, os.Getpid())
	}
	if err != nil {
		return nil, errors.Join(err, lock.Unlock())
	}
	return lock, nil
}

// KeepSource keeps a copy of a log as it came, in sources/ under the SHA-256 of
// its content and the ending of its name. A copy that is there already is not
// written again. It returns the path of the copy below the club folder.
func (x *Change) KeepSource(name string, content []byte) (string, error) {
	sum := sha256.Sum256(content)
	return x.KeepSourceOf(name, hex.EncodeToString(sum[:]), int64(len(content)), func(w io.Writer) error {
		_, err := w.Write(content)
		return err
	})
}

// KeepSourceOf is KeepSource for a log that is not in the memory: of so many bytes
// with that SHA-256, which write must write, or fail where they have become others.
func (x *Change) KeepSourceOf(name, sha256 string, bytes int64, write func(io.Writer) error) (string, error) {
	copied := StoredFile{Name: sha256 + plainExt(name), Bytes: bytes, SHA256: sha256}
	to := path.Join(SourcesDir, copied.Name)
	if same, err := x.holds(to, copied); err != nil || same {
		return to, err
	}
	return to, atomicfile.WriteIn(x.club.root, to, write)
}

// plainExt returns the ending of a file name in lower case, or nothing when it
// is no plain ending.
func plainExt(name string) string {
	ext := strings.ToLower(path.Ext(name))
	plain := func(r rune) bool { return r >= 'a' && r <= 'z' || r >= '0' && r <= '9' }
	if len(ext) < 2 || len(ext) > 9 || strings.ContainsFunc(ext[1:], func(r rune) bool { return !plain(r) }) {
		return ""
	}
	return ext
}

// Replace makes t the tables of the club, and aside the rows that were set
// aside. Everything is written beside the old tables and becomes valid at one
// moment: a run that is killed or a disk that is full leaves the old tables or
// the new ones whole. A value that no table may hold is an error and leaves the
// old tables.
func (x *Change) Replace(t Tables, aside ...SetAside) error { return x.ReplaceLong(t, nil, aside...) }

// ReplaceLong is Replace with readings that are not held in the memory, in place of
// t.Readings; nil stands for t.Readings.
func (x *Change) ReplaceLong(t Tables, readings *Readings, aside ...SetAside) error {
	root := x.club.root
	former, generation, err := x.previous()
	if err != nil {
		return err
	}
	temp := path.Join(TablesDir, atomicfile.TempPrefix+generation)
	m := Manifest{SchemaVersion: SchemaVersion, Generation: generation, Former: former}
	if err := x.write(temp, &m, &t, readings, aside); err != nil {
		return atomicfile.Naming(errors.Join(err, root.RemoveAll(temp)), temp, path.Join(TablesDir, generation))
	}
	if err := root.Rename(temp, path.Join(TablesDir, generation)); err != nil {
		return atomicfile.Naming(errors.Join(err, root.RemoveAll(temp)), temp, path.Join(TablesDir, generation))
	}
	if err := atomicfile.SyncDir(root, TablesDir); err != nil {
		return err
	}
	if err := writeManifest(root, m); err != nil {
		return err // whichever generation it names now is whole; the other goes at the next Begin
	}
	return x.settle(m)
}

// Replace is Begin, Change.Replace and Close in one.
func (c *Club) Replace(t Tables, aside ...SetAside) error {
	x, err := c.Begin()
	if err != nil {
		return err
	}
	return errors.Join(x.Replace(t, aside...), x.Close())
}

// previous returns the set-aside files of the tables now valid, and a name for
// the next generation that no folder has.
func (x *Change) previous() (former []StoredFile, next string, err error) {
	m, err := readManifest(x.club.root)
	if err != nil && !errors.Is(err, ErrNoTables) && !errors.Is(err, ErrDamaged) && !errors.Is(err, ErrStale) {
		return nil, "", err
	}
	names, err := x.club.names(TablesDir)
	if err != nil {
		return nil, "", err
	}
	last := 0
	for _, name := range names {
		if generationName.MatchString(name) {
			n, err := strconv.Atoi(strings.TrimPrefix(name, "gen-"))
			if err != nil {
				return nil, "", err
			}
			last = max(last, n)
		}
	}
	return m.SetAside, fmt.Sprintf("gen-%06d", last+1), nil
}

// write writes the files of a generation into a folder that nobody knows of
// yet, checks them, and notes them in m.
func (x *Change) write(dir string, m *Manifest, t *Tables, readings *Readings, aside []SetAside) error {
	root := x.club.root
	if err := root.Mkdir(dir, 0o777); err != nil {
		return err
	}
	for _, s := range x.club.Schemas() {
		name := s.Table + ".arrow"
		rows, fill := s.Len(t), func(w io.Writer) error { return WriteArrow(w, x.club.mem, s, t) }
		if s.Table == TableReadings && readings != nil {
			rows, fill = readings.Kept(), func(w io.Writer) error { return readings.writeArrow(w, x.club.mem, s) }
		}
		stored, err := createStored(root, path.Join(dir, name), name, fill)
		if err != nil {
			return err
		}
		entry := TableFile{Table: s.Table, Rows: int64(rows), StoredFile: stored}
		if err := x.reopen(path.Join(dir, name), entry, s); err != nil {
			return err
		}
		m.Tables = append(m.Tables, entry)
	}
	names := asideNames(aside)
	for i, a := range aside {
		name := path.Join(dir, SetAsideDir, names[i])
		if err := root.MkdirAll(path.Dir(name), 0o777); err != nil {
			return err
		}
		stored, err := createStored(root, name, names[i], a.write)
		if err != nil {
			return err
		}
		m.SetAside = append(m.SetAside, stored)
	}
	return atomicfile.SyncDir(root, dir)
}

// reopen reads a table just written, to learn now rather than later that the
// disk or the library lost something.
func (x *Change) reopen(name string, entry TableFile, s Schema) error {
	f, err := x.club.root.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := entry.verify(name, f); err != nil {
		return err
	}
	var rows int64
	err = eachRecord(f, x.club.mem, s, func(rec arrow.Record) error { rows += rec.NumRows(); return nil })
	if err == nil && rows != entry.Rows {
		err = fmt.Errorf("%d rows were written, %d can be read", entry.Rows, rows)
	}
	if err != nil {
		return fmt.Errorf("reopen %s: %w", name, err)
	}
	return nil
}

// settle makes the folder agree with the manifest that is valid: it puts the
// set-aside files in their place, and clears away former ones, other
// generations and temporary files. It can be broken off and done again.
func (x *Change) settle(m Manifest) error {
	for _, f := range m.SetAside {
		if err := x.publish(m, f); err != nil {
			return fmt.Errorf("put %s into %s: %w", f.Name, SetAsideDir, err)
		}
	}
	for _, f := range m.Former {
		if slices.ContainsFunc(m.SetAside, func(now StoredFile) bool { return now.Name == f.Name }) {
			continue
		}
		if err := x.retire(f); err != nil {
			return fmt.Errorf("clear away %s: %w", path.Join(SetAsideDir, f.Name), err)
		}
	}
	names, err := x.club.names(TablesDir)
	if err != nil {
		return err
	}
	for _, name := range names {
		if generationName.MatchString(name) && name != m.Generation {
			if err := x.club.root.RemoveAll(path.Join(TablesDir, name)); err != nil {
				return err
			}
		}
	}
	return nil
}

// holds reports whether a file is there with the content of a stored one.
func (x *Change) holds(name string, f StoredFile) (bool, error) {
	file, err := x.club.root.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	defer file.Close()
	err = f.verify(name, file)
	if errors.Is(err, ErrDamaged) {
		return false, nil
	}
	return err == nil, err
}

// clearTemps removes what a killed run was writing, in a folder and below.
func (c *Club) clearTemps(dir string) error {
	var temps []string
	err := fs.WalkDir(c.root.FS(), dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if strings.HasPrefix(d.Name(), atomicfile.TempPrefix) {
			temps = append(temps, name)
			if d.IsDir() {
				return fs.SkipDir
			}
		}
		return nil
	})
	for _, name := range temps {
		err = errors.Join(err, c.root.RemoveAll(name))
	}
	return err
}

// names lists a folder in order.
func (c *Club) names(dir string) ([]string, error) {
	entries, err := fs.ReadDir(c.root.FS(), dir)
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = e.Name()
	}
	return names, err
}
