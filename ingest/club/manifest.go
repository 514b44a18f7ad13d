package club

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"regexp"

	"gravid/ingest/club/atomicfile"
)

// The folders and files of a club.
const (
	ConfigFile  = "club.toml"
	LogsDir     = "logs"
	TablesDir   = "tables"
	SourcesDir  = "sources"
	SetAsideDir = "set-aside"
	SeasonDir   = "season"

	lockFile    = ".lock"
	currentFile = TablesDir + "/CURRENT"
)

// A StoredFile is a file that the store wrote, with what must hold of it.
type StoredFile struct {
	Name   string `json:"name"` // path below its folder, with forward slashes
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// A TableFile is the file of one table.
type TableFile struct {
	Table string `json:"table"`
	Rows  int64  `json:"rows"`
	StoredFile
}

// A Manifest is what tables/CURRENT holds: which generation of the tables is
// the valid one, and what its files must be.
type Manifest struct {
	SchemaVersion int          `json:"schema_version"`
	Generation    string       `json:"generation"` // folder below tables/
	Tables        []TableFile  `json:"tables"`
	SetAside      []StoredFile `json:"set_aside"`        // below set-aside/
	Former        []StoredFile `json:"former_set_aside"` // of the generation before, to be cleared away
	Check         string       `json:"check"`            // SHA-256 of the rest, so that a changed manifest is noticed
}

// checksum returns what Check must be.
func (m Manifest) checksum() string {
	m.Check = ""
	b, err := json.Marshal(m)
	if err != nil {
		panic("club: a manifest is not JSON: " + err.Error())
	}
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

var generationName = regexp.MustCompile(`^gen-[0-9]{6,18}$`)

// readManifest reads tables/CURRENT. Without one, it returns a Fault of ErrNoTables.
func readManifest(root *os.Root) (Manifest, error) {
	var m Manifest
	b, err := readShort(root, currentFile)
	if errors.Is(err, fs.ErrNotExist) {
		return m, &Fault{Path: TablesDir, What: "this club has no tables yet", Fix: "put logs into logs/ and run gravid ingest", Err: ErrNoTables}
	}
	if err != nil {
		return m, err
	}
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	if err := d.Decode(&m); err != nil {
		return Manifest{}, damaged(currentFile, "is not what was written ("+err.Error()+")")
	}
	if m.Check != m.checksum() {
		return Manifest{}, damaged(currentFile, "is not what was written (its checksum differs)")
	}
	if m.SchemaVersion != SchemaVersion {
		return Manifest{}, &Fault{
			Path: currentFile,
			What: fmt.Sprintf("the tables have version %d, this program reads version %d", m.SchemaVersion, SchemaVersion),
			Fix:  fixTables, Err: ErrStale,
		}
	}
	if !generationName.MatchString(m.Generation) {
		return Manifest{}, damaged(currentFile, fmt.Sprintf("names no generation: %q", m.Generation))
	}
	return m, nil
}

// mostShort is more than the settings of a club and the list of its tables ever have:
// a file for each log that has rows set aside.
const mostShort = 64 << 20

// readShort reads a file of the club's folder that is short by its nature. A pipe, which
// would hold the program up, or anything else that is no plain file is a Fault.
func readShort(root *os.Root, name string) ([]byte, error) {
	info, err := root.Stat(name)
	switch {
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, &Fault{Path: name, What: "is not a plain file", Fix: "put the file itself there", Err: ErrDamaged}
	case info.Size() > mostShort:
		return nil, &Fault{Path: name, What: fmt.Sprintf("has %d bytes, and %d are the most that are read of it", info.Size(), mostShort), Fix: "put the file there that was meant", Err: ErrDamaged}
	}
	return root.ReadFile(name)
}

// writeManifest makes m the valid one.
func writeManifest(root *os.Root, m Manifest) error {
	m.Check = m.checksum()
	return atomicfile.WriteIn(root, currentFile, func(w io.Writer) error {
		e := json.NewEncoder(w)
		e.SetIndent("", "  ")
		return e.Encode(m)
	})
}

// path returns where a table's file is, below the club folder.
func (m Manifest) path(f TableFile) string { return path.Join(TablesDir, m.Generation, f.Name) }

// table returns the entry of one table.
func (m Manifest) table(name string) (TableFile, error) {
	for _, f := range m.Tables {
		if f.Table == name {
			return f, nil
		}
	}
	return TableFile{}, damaged(currentFile, "lists no table "+name)
}

// A tally counts and hashes what is written through it.
type tally struct {
	io.Writer
	hash  interface{ Sum([]byte) []byte }
	bytes int64
}

func newTally(w io.Writer) *tally {
	h := sha256.New()
	return &tally{Writer: io.MultiWriter(w, h), hash: h}
}

func (t *tally) Write(p []byte) (int, error) {
	n, err := t.Writer.Write(p)
	t.bytes += int64(n)
	return n, err
}

func (t *tally) stored(name string) StoredFile {
	return StoredFile{Name: name, Bytes: t.bytes, SHA256: hex.EncodeToString(t.hash.Sum(nil))}
}

// createStored writes a new file below a folder that nobody knows of yet, and
// returns what must hold of it.
func createStored(root *os.Root, name string, as string, fill func(io.Writer) error) (StoredFile, error) {
	var out *tally
	err := atomicfile.Create(root, name, func(w io.Writer) error {
		out = newTally(w)
		return fill(out)
	})
	if err != nil {
		return StoredFile{}, fmt.Errorf("write %s: %w", name, err)
	}
	return out.stored(as), nil
}

// verify reports how an open file differs from what was written. It reads the
// file once and decodes nothing.
func (f StoredFile) verify(name string, from *os.File) error {
	info, err := from.Stat()
	if err != nil {
		return err
	}
	if !info.Mode().IsRegular() {
		return damaged(name, "is not a plain file")
	}
	if info.Size() != f.Bytes {
		return damaged(name, fmt.Sprintf("has %d bytes, %d were written", info.Size(), f.Bytes))
	}
	h := sha256.New()
	if _, err := io.CopyBuffer(h, io.NewSectionReader(from, 0, info.Size()), make([]byte, min(info.Size()+1, 256<<10))); err != nil {
		return err
	}
	if hex.EncodeToString(h.Sum(nil)) != f.SHA256 {
		return damaged(name, "its content is not what was written (SHA-256 differs)")
	}
	return nil
}
