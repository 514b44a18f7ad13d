package club

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/memory"
)

// A Club is an open club folder: its settings, and the tables made from its
// logs. Reading needs no lock: a reader sees one generation of the tables whole,
// also while another is being written.
//
// A folder holds club.toml, logs/, tables/ (one generation, swapped whole),
// sources/ (each log as it came), set-aside/ and season/. Names from outside are
// followed inside the folder only.
type Club struct {
	Dir    string
	Config Config

	root *os.Root
	mem  memory.Allocator
}

// Open opens a club folder. A folder without club.toml gives a Fault of ErrNoClub.
func Open(dir string) (*Club, error) {
	root, err := os.OpenRoot(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &Fault{Path: dir, What: "there is no such folder", Fix: "name a club's folder, or make one with gravid new", Err: err}
	}
	if err != nil {
		return nil, err
	}
	config, err := readConfig(root, dir)
	if err != nil {
		root.Close()
		return nil, err
	}
	return &Club{Dir: dir, Config: config, root: root, mem: memory.DefaultAllocator}, nil
}

// Close lets go of the folder.
func (c *Club) Close() error { return c.root.Close() }

// Root returns the club folder for reading logs and writing results: paths
// cannot leave it. It is closed with the club.
func (c *Club) Root() *os.Root { return c.root }

// Schemas returns the tables of this club, with the columns of its own triggers.
func (c *Club) Schemas() []Schema { return Schemas(c.Config.Own()...) }

// Manifest returns what the store holds. Before the first Replace it returns a
// Fault of ErrNoTables.
func (c *Club) Manifest() (Manifest, error) { return readManifest(c.root) }

// Load reads the named tables, or all without a name. Size and checksum of every
// file are verified before anything in it is decoded; a file that is not what
// was written gives a Fault of ErrDamaged that names it.
func (c *Club) Load(tables ...string) (Tables, error) {
	var t Tables
	var wanted []Schema
	for _, s := range c.Schemas() {
		if len(tables) == 0 || slices.Contains(tables, s.Table) {
			wanted = append(wanted, s)
		}
	}
	for _, name := range tables {
		if _, err := Find(c.Schemas(), name); err != nil {
			return Tables{}, err
		}
	}
	if err := c.read(wanted, &t, nil); err != nil {
		return Tables{}, err
	}
	return t, nil
}

// EachReadings walks the readings in batches without holding more than one, for
// logs of millions of rows. The rows are valid until visit returns; their texts
// may be kept.
func (c *Club) EachReadings(visit func([]Reading) error) error {
	s, err := Find(c.Schemas(), TableReadings)
	if err != nil {
		return err
	}
	var batch Tables
	return c.read([]Schema{s}, &batch, func() error {
		err := visit(batch.Readings)
		s.rows.truncate(&batch)
		return err
	})
}

// read decodes some tables of one generation into t. After each record it calls
// after, unless that is nil.
func (c *Club) read(schemas []Schema, t *Tables, after func() error) error {
	m, files, err := c.openTables(schemas, nil)
	if err != nil {
		return err
	}
	defer closeAll(files)
	return c.decode(m, files, schemas, t, after)
}

// decode decodes tables whose files are open and verified.
func (c *Club) decode(m Manifest, files []*os.File, schemas []Schema, t *Tables, after func() error) error {
	for i, s := range schemas {
		entry, err := m.table(s.Table)
		if err != nil {
			return err
		}
		if after == nil {
			s.rows.grow(t, int(entry.Rows))
		}
		words := make([]interner, len(s.Columns))
		decode := func(rec arrow.Record) error {
			return recovered(func() error { s.rows.decode(t, rec, words); return nil })
		}
		if err := eachVerified(files[i], m.path(entry), entry, s, c.mem, decode, after); err != nil {
			return err
		}
	}
	return nil
}

func closeAll(files []*os.File) {
	for _, f := range files {
		f.Close()
	}
}

// openTables opens the files of some tables of one generation. A writer may
// clear a generation away between reading its name and opening its files; then
// there is a newer one. The file of later, unless that is nil, is opened beside them.
func (c *Club) openTables(schemas []Schema, later *Dated) (Manifest, []*os.File, error) {
	m, err := readManifest(c.root)
	for err == nil {
		var files []*os.File
		if files, err = c.openGeneration(m, schemas); err == nil && later != nil {
			if later.entry, later.name, later.file, err = c.openTable(m, later.schema); err != nil {
				closeAll(files)
			}
		}
		if err == nil {
			return m, files, nil
		}
		gone := errors.Is(err, fs.ErrNotExist)
		newer, again := readManifest(c.root)
		if !gone || again != nil || newer.Generation == m.Generation {
			break
		}
		m, err = newer, nil
	}
	return Manifest{}, nil, err
}

// openGeneration opens the files of some tables and verifies them all.
func (c *Club) openGeneration(m Manifest, schemas []Schema) (files []*os.File, err error) {
	defer func() {
		if err != nil {
			closeAll(files)
		}
	}()
	for _, s := range schemas {
		entry, name, f, err := c.openTable(m, s)
		if err != nil {
			return files, err
		}
		files = append(files, f)
		if err := entry.verify(name, f); err != nil {
			return files, err
		}
	}
	return files, nil
}

// openTable opens the file of a table.
func (c *Club) openTable(m Manifest, s Schema) (entry TableFile, name string, f *os.File, err error) {
	if entry, err = m.table(s.Table); err != nil {
		return entry, "", nil, err
	}
	name = m.path(entry)
	f, err = c.root.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		err = &Fault{Path: name, What: "is missing", Fix: fixTables, Err: errors.Join(ErrDamaged, err)}
	}
	return entry, name, f, err
}

// eachVerified walks the records of a verified file and holds it to the number of rows
// that the manifest states. decode takes what it needs of a record; after each one after
// is called, unless it is nil.
func eachVerified(f *os.File, name string, entry TableFile, s Schema, mem memory.Allocator, decode func(arrow.Record) error, after func() error) error {
	var rows int64
	var stop error // what the caller's own function returned
	err := eachRecord(f, mem, s, func(rec arrow.Record) error {
		if rows += rec.NumRows(); rows > entry.Rows {
			return fmt.Errorf("has more rows than the %d that were written", entry.Rows)
		}
		err := decode(rec)
		if err == nil && after != nil {
			stop = after()
			err = stop
		}
		return err
	})
	switch {
	case stop != nil:
		return stop
	case errors.Is(err, errColumns):
		return &Fault{Path: name, What: err.Error() + ": the program or the triggers in club.toml have changed since it was written", Fix: fixTables, Err: ErrStale}
	case err != nil:
		return damaged(name, err.Error())
	case rows != entry.Rows:
		return damaged(name, fmt.Sprintf("has %d rows, %d were written", rows, entry.Rows))
	}
	return nil
}
