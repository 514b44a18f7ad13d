package club

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// SetAside holds the rows of one sheet that could not be used, in the keeper's
// own columns, so that they can be mended and ingested again. It becomes
// set-aside/FILE.csv, or set-aside/FILE.SHEET.csv for a workbook.
type SetAside struct {
	File   string // log inside the club's logs folder, with forward slashes
	Sheet  string // empty for text files
	Header []string
	Rows   [][]string
}

// write writes the rows as CSV. A cell that a spreadsheet would take for a
// formula is guarded, unless it is a plain number such as -2.
func (a SetAside) write(w io.Writer) error {
	if a.Header != nil {
		if err := writeRecord(w, guarded(a.Header)); err != nil {
			return err
		}
	}
	for _, row := range a.Rows {
		if err := writeRecord(w, guarded(row)); err != nil {
			return err
		}
	}
	return nil
}

func guarded(row []string) []string {
	cells := make([]string, len(row))
	for i, cell := range row {
		cells[i] = cell
		if !isPlainNumber(cell) {
			cells[i] = GuardFormula(cell)
		}
	}
	return cells
}

// asideNames gives every set-aside sheet a file name below set-aside/ that any
// system can store and that no other has.
func asideNames(aside []SetAside) []string {
	names := make([]string, len(aside))
	taken := map[string]bool{}
	for i, a := range aside {
		base := asideName(a)
		name := base + ".csv"
		for n := 2; taken[strings.ToLower(name)]; n++ {
			name = fmt.Sprintf("%s-%d.csv", base, n)
		}
		taken[strings.ToLower(name)] = true
		names[i] = name
	}
	return names
}

func asideName(a SetAside) string {
	parts := strings.Split(a.File, "/")
	if a.Sheet != "" {
		parts[len(parts)-1] += "." + a.Sheet
	}
	changed := false
	for i, part := range parts {
		safe := storable(part)
		changed = changed || safe != part
		parts[i] = safe
	}
	name := path.Join(parts...)
	if changed { // two names that differ in what was replaced must stay two
		sum := sha256.Sum256([]byte(a.File + "\x00" + a.Sheet))
		name += "-" + hex.EncodeToString(sum[:4])
	}
	return name
}

// storable makes part of a path from text that anybody may have written.
func storable(part string) string {
	const most = 100 // bytes; leaves room for endings below the usual limit of 255
	safe := strings.Map(func(r rune) rune {
		if r == utf8.RuneError || !unicode.IsPrint(r) || strings.ContainsRune(`<>:"/\|?*`, r) {
			return '_'
		}
		return r
	}, part)
	for len(safe) > most {
		_, size := utf8.DecodeLastRuneInString(safe)
		safe = safe[:len(safe)-size]
	}
	if trimmed := strings.TrimRight(safe, " ."); trimmed != safe {
		safe = trimmed + "_"
	}
	if safe == "" || strings.HasPrefix(safe, ".") || reserved.MatchString(safe) {
		safe = "_" + strings.TrimPrefix(safe, ".")
	}
	return safe
}

// reserved are the names that Windows keeps for devices.
var reserved = regexp.MustCompile(`(?i)^(con|prn|aux|nul|com[0-9]|lpt[0-9])(\.|$)`)

// publish puts a set-aside file of the generation into set-aside/.
func (x *Change) publish(m Manifest, f StoredFile) error {
	root := x.club.root
	from, to := path.Join(TablesDir, m.Generation, SetAsideDir, f.Name), path.Join(SetAsideDir, f.Name)
	if _, err := root.Lstat(from); errors.Is(err, fs.ErrNotExist) {
		return nil // done before
	}
	if err := x.spare(to, slices.Concat(m.Former, []StoredFile{f})); err != nil {
		return err
	}
	if err := root.MkdirAll(path.Dir(to), 0o777); err != nil {
		return err
	}
	return root.Rename(from, to)
}

// retire removes a set-aside file of a former generation, unless a keeper has
// changed it since and no ingest has read the change.
func (x *Change) retire(f StoredFile) error {
	name := path.Join(SetAsideDir, f.Name)
	spent, err := x.spent(name, []StoredFile{f})
	if err != nil || !spent {
		return err
	}
	if err := x.club.root.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	for dir := path.Dir(name); dir != SetAsideDir; dir = path.Dir(dir) {
		if x.club.root.Remove(dir) != nil {
			break // not empty
		}
	}
	return nil
}

// spare moves a file out of the way that is about to be overwritten but holds a
// keeper's own changes.
func (x *Change) spare(name string, ours []StoredFile) error {
	spent, err := x.spent(name, ours)
	if err != nil || spent {
		return err
	}
	for n := 1; ; n++ {
		other := fmt.Sprintf("%s.changed-%d.csv", strings.TrimSuffix(name, ".csv"), n)
		if _, err := x.club.root.Lstat(other); errors.Is(err, fs.ErrNotExist) {
			x.renamed = append(x.renamed, other)
			return x.club.root.Rename(name, other)
		}
	}
}

// spent reports whether a file in set-aside/ may go: it is not there, or holds
// what the store wrote, or its content is kept in sources/.
func (x *Change) spent(name string, ours []StoredFile) (bool, error) {
	root := x.club.root
	info, err := root.Lstat(name)
	if errors.Is(err, fs.ErrNotExist) {
		return true, nil
	}
	if err != nil || !info.Mode().IsRegular() {
		return false, err
	}
	b, err := root.ReadFile(name)
	if err != nil {
		return false, err
	}
	sum := sha256.Sum256(b)
	hash := hex.EncodeToString(sum[:])
	for _, f := range ours {
		if f.SHA256 == hash {
			return true, nil
		}
	}
	kept, err := fs.Glob(root.FS(), path.Join(SourcesDir, hash+"*"))
	return len(kept) > 0, err
}

// Renamed lists the set-aside files, below the club folder, that Replace found
// changed by hand and moved to a name of their own rather than overwrite.
func (x *Change) Renamed() []string { return x.renamed }
