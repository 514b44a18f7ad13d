package federation

import (
	"fmt"
	"path"
	"slices"

	"gravid/ingest/club"
	"gravid/ingest/club/parquet"
)

// A ReadFile reads a whole file of a federation. Names have forward slashes; where they
// lie is the caller's affair, so that a federation may live in a folder or in a store.
type ReadFile func(name string) ([]byte, error)

// ReadManifest reads what the club of a folder gave.
func ReadManifest(read ReadFile, folder string) (Manifest, error) {
	text, err := read(path.Join(folder, ManifestFile))
	if err != nil {
		return Manifest{}, err
	}
	return ParseManifest(folder, text)
}

// Of returns the files of one table, in order of year.
func (m Manifest) Of(table string) []File {
	return slices.DeleteFunc(slices.Clone(m.Files), func(f File) bool { return f.Table != table })
}

// Read walks the rows of one file in their order, with the place of the first row of each
// batch. Size and checksum are verified before anything is decoded, and then what the
// file says of itself: table, version, columns, units, club, year, number of rows. A
// file that is not what was written is a club.Fault of ErrDamaged that names it.
func (m Manifest) Read(read ReadFile, f File, visit func(first int64, t *club.Tables) error) error {
	name := path.Join(Folder(m.Club), f.Path)
	damaged := func(what string) error {
		return &club.Fault{Path: name, What: what, Fix: "export the club again", Err: club.ErrDamaged}
	}
	s, err := club.Find(club.Schemas(), f.Table)
	if err != nil {
		return err
	}
	content, err := read(name)
	if err != nil {
		return err
	}
	if int64(len(content)) != f.Bytes || checksum(content) != f.SHA256 {
		return damaged(fmt.Sprintf("is not the file that was written: %d bytes, expected %d with another checksum or the same", len(content), f.Bytes))
	}
	var rows int64
	var stop error
	check := func(said map[string]string) error {
		for _, x := range [][2]string{{"club", m.Club}, {"year", f.Year}, {"time_zone", m.TimeZone}} {
			if said[x[0]] != x[1] {
				return fmt.Errorf("says %s %q, the manifest %q", x[0], said[x[0]], x[1])
			}
		}
		return nil
	}
	err = parquet.Read(content, s, check, func(t *club.Tables) error {
		stop = visit(rows, t)
		rows += int64(s.Len(t))
		return stop
	})
	switch {
	case stop != nil:
		return stop
	case err != nil:
		return damaged(err.Error())
	case rows != f.Rows:
		return damaged(fmt.Sprintf("has %d rows, %d were written", rows, f.Rows))
	}
	return nil
}
