package federation

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"gravid/ingest/club"
)

// ManifestFile is the file that says what a club's folder holds. Readers of partitioned
// tables pass over names that begin with an underscore.
const ManifestFile = "_club.json"

// Tables are the tables that a federation has of each club, in this order.
var Tables = []string{club.TableAttempts, club.TableClutches, club.TableReadings, club.TableActions}

// NoYear is the year of rows without any date.
const NoYear = "__HIVE_DEFAULT_PARTITION__"

// A Manifest says what one club gave to a federation.
type Manifest struct {
	Club          string            `json:"club"` // code
	TimeZone      string            `json:"time_zone"`
	SchemaVersion int               `json:"schema_version"`
	Home          map[string]string `json:"home"` // keeper -> place whose weather holds for the keeper, both as pseudonyms
	Files         []File            `json:"files"`
}

// A File is one table of one year. Rows are numbered in it as they stood in the club's
// own table.
type File struct {
	Table  string `json:"table"`
	Year   string `json:"year"`
	Path   string `json:"path"` // inside the club's folder
	Rows   int64  `json:"rows"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// Folder is the name of a club's folder in a federation.
func Folder(code string) string { return "club=" + code }

func filePath(table, year string) string { return path.Join("year="+year, table+".parquet") }

// Location returns the club's time zone.
func (m Manifest) Location() (*time.Location, error) {
	return club.Config{TimeZone: m.TimeZone}.Location()
}

var (
	codes = regexp.MustCompile(`^[a-z0-9]([a-z0-9-]{0,62}[a-z0-9])?$`)
	years = regexp.MustCompile(`^(-?[0-9]{1,6}|` + NoYear + `)$`)
)

// ParseManifest reads a manifest and holds it to what a Writer writes: the files of a
// folder of this name, for a program of this version.
func ParseManifest(folder string, text []byte) (Manifest, error) {
	fault := func(what, fix string) error {
		return &club.Fault{Path: path.Join(folder, ManifestFile), What: what, Fix: fix, Err: club.ErrDamaged}
	}
	const again = "export the club again"
	var m Manifest
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&m); err != nil {
		return m, fault(err.Error(), again)
	}
	switch {
	case m.SchemaVersion != club.SchemaVersion:
		return m, fault(fmt.Sprintf("is of version %d of the tables, this program reads version %d", m.SchemaVersion, club.SchemaVersion), "have all clubs export with the same version of gravid")
	case !codes.MatchString(m.Club), Folder(m.Club) != folder:
		return m, fault(fmt.Sprintf("is that of the club %q, which is not the folder's", m.Club), "give the folder its own name back")
	}
	if _, err := m.Location(); err != nil {
		return m, fault(err.Error(), again)
	}
	for i, f := range m.Files {
		if !slices.Contains(Tables, f.Table) || !years.MatchString(f.Year) || f.Path != filePath(f.Table, f.Year) {
			return m, fault(fmt.Sprintf("names %q, which is no table of a year", f.Path), again)
		}
		if i > 0 && compareFiles(m.Files[i-1], f) >= 0 {
			return m, fault("names its files twice or out of order", again)
		}
	}
	return m, nil
}

// compareFiles orders files by table, then by year, rows without a date last.
func compareFiles(a, b File) int {
	place := func(f File) int { return slices.Index(Tables, f.Table) }
	if d := place(a) - place(b); d != 0 {
		return d
	}
	number := func(f File) int {
		n, err := strconv.Atoi(f.Year)
		if err != nil {
			return 1 << 30
		}
		return n
	}
	if d := number(a) - number(b); d != 0 {
		return d
	}
	return strings.Compare(a.Year, b.Year)
}

func checksum(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:])
}
