package source

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"io"
	"strings"

	"gravid/ingest/problem"
)

const fixDamaged = "open the workbook, save it under another name, and put that into the logs folder; if it does not open, restore an older copy"

func damaged(format string, args ...any) error {
	return refuse(problem.WorkbookDamaged, fixDamaged, format, args...)
}

// An archive is a workbook's zip, whose every part has been read to its end once,
// so that lengths and check sums are known to be right.
type archive struct {
	parts map[string]*zip.File // by name in lower case, as names of parts are not told apart by case
}

// openArchive checks a zip archive within the limits. Errors are *refusal.
func openArchive(raw []byte, limits Limits) (*archive, error) {
	z, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		return nil, damaged("the zip archive that every workbook is cannot be read: %v", err)
	}
	if err := holdsWorkbook(z.File); err != nil {
		return nil, err
	}
	if len(z.File) > limits.Parts {
		return nil, tooLarge(fixDamaged, "the workbook has %d parts inside, and %d are the most that are read", len(z.File), limits.Parts)
	}
	a := &archive{parts: make(map[string]*zip.File, len(z.File))}
	left := limits.UnpackBytes
	for _, part := range z.File {
		if err := a.check(raw, part); err != nil {
			return nil, err
		}
		size, err := drain(part, min(limits.PartBytes, left))
		if err != nil {
			return nil, err
		}
		left -= size
		a.parts[strings.ToLower(part.Name)] = part
	}
	return a, nil
}

// holdsWorkbook tells by the names of its parts whether an archive is a workbook
// that can be read.
func holdsWorkbook(parts []*zip.File) error {
	names := make(map[string]bool, len(parts))
	for _, part := range parts {
		names[strings.ToLower(part.Name)] = true
	}
	switch {
	case names["xl/workbook.bin"]:
		return refuse(problem.FileKind, "open it in a spreadsheet program, and save it as .xlsx", "this is a binary Excel workbook (.xlsb), which is not read")
	case names["index/document.iwa"]:
		return refuse(problem.FileKind, "export it as an Excel workbook", "this is a Numbers document, which is not read")
	case names[contentTypes], names[mimeType]:
		return nil
	}
	return refuse(problem.FileKind, fixUnpack, "this is a zip archive without a workbook in it")
}

// Parts, in lower case, by which the two kinds of workbook are known.
const (
	contentTypes = "[content_types].xml"
	mimeType     = "mimetype"
)

// check holds what can be told of a part without unpacking it.
func (a *archive) check(raw []byte, part *zip.File) error {
	const encrypted = 1
	switch name := strings.ToLower(part.Name); {
	case !safePart(name):
		return damaged("a part of the workbook has the unsafe name %q", part.Name)
	case a.parts[name] != nil:
		return damaged("the workbook has two parts with the name %q", part.Name)
	case part.Flags&encrypted != 0:
		return refuse(problem.FileKind, "save it without a password", "this file is protected by a password, so it cannot be read")
	case part.Method != zip.Store && part.Method != zip.Deflate:
		return damaged("part %q of the workbook is packed in an unknown way", part.Name)
	}
	body, err := part.DataOffset()
	if err != nil {
		return damaged("part %q of the workbook is not where it should be", part.Name)
	}
	if !sameLocalName(raw, body, part.Name) {
		return damaged("the name of part %q of the workbook is written in two ways", part.Name)
	}
	return nil
}

func safePart(name string) bool {
	if name == "" || len(name) > 255 || strings.HasPrefix(name, "/") || strings.ContainsAny(name, "\\:\x00") {
		return false
	}
	for piece := range strings.SplitSeq(strings.TrimSuffix(name, "/"), "/") {
		if piece == "" || piece == "." || piece == ".." {
			return false
		}
	}
	return true
}

// sameLocalName tells whether the header that stands before a part's bytes, at
// body, gives the same name as the directory at the archive's end. The zip
// package does not look; a damaged name in the directory would make a part seem
// to be missing.
func sameLocalName(raw []byte, body int64, name string) bool {
	const headerSize, longestExtra = 30, 1 << 16
	last := body - headerSize - int64(len(name))
	first := max(0, last-longestExtra)
	if last < 0 || body > int64(len(raw)) {
		return false
	}
	for window := raw[first : last+4]; ; {
		i := bytes.LastIndex(window, []byte(magicZip))
		if i < 0 {
			return false
		}
		header := raw[first+int64(i):]
		nameLen := int64(binary.LittleEndian.Uint16(header[26:]))
		extraLen := int64(binary.LittleEndian.Uint16(header[28:]))
		if first+int64(i)+headerSize+nameLen+extraLen == body {
			return string(header[headerSize:headerSize+nameLen]) == name
		}
		window = window[:i]
	}
}

// drain unpacks a part to its end and gives its size. The zip package checks the
// length and, unless it is stated as 0, the check sum.
func drain(part *zip.File, limit int64) (int64, error) {
	in, err := part.Open()
	if err != nil {
		return 0, damaged("part %q of the workbook cannot be unpacked: %v", part.Name, err)
	}
	defer in.Close()
	sum := crc32.NewIEEE()
	size, err := io.Copy(sum, io.LimitReader(in, limit+1))
	switch {
	case err != nil:
		return 0, damaged("part %q of the workbook is damaged: %v", part.Name, err)
	case size > limit:
		return 0, tooLarge("delete sheets and pictures that are no logs, or export the log as CSV",
			"part %q makes the unpacked workbook larger than is read", part.Name)
	case sum.Sum32() != part.CRC32:
		return 0, damaged("part %q of the workbook is damaged: %v", part.Name, zip.ErrChecksum)
	}
	return size, nil
}

// has tells whether there is a part of that name.
func (a *archive) has(name string) bool { return a.parts[strings.ToLower(name)] != nil }

// open unpacks a part anew. Errors are *refusal.
func (a *archive) open(name string) (io.ReadCloser, error) {
	part := a.parts[strings.ToLower(name)]
	if part == nil {
		return nil, damaged("part %q of the workbook is missing", name)
	}
	in, err := part.Open()
	if err != nil {
		return nil, damaged("part %q of the workbook cannot be unpacked: %v", name, err)
	}
	return in, nil
}

// walk reads an XML part strictly to its end, and calls visit at the start of
// every child of its root. What visit leaves unread is skipped. When visit gives
// errStop, the walk ends well without reading on.
func (a *archive) walk(name, root string, nesting int, visit func(m *markup) error) error {
	in, err := a.open(name)
	if err != nil {
		return err
	}
	defer in.Close()
	m := newMarkup(in, nesting)
	if m.next(); m.err != nil {
		return unsound(name, m.err)
	}
	if !m.is(root) {
		return damaged("part %q of the workbook is a <%s> where <%s> should be", name, m.local(), root)
	}
	if err := usualPrefixes(m); err != nil {
		return err
	}
	err = m.children(func() error { return visit(m) })
	switch {
	case errors.Is(err, errStop):
		return nil
	case err != nil && m.err == nil:
		return err
	}
	if m.next(); m.err != nil {
		return unsound(name, m.err)
	}
	return nil
}

// unsound is why a part cannot be walked to its end.
func unsound(name string, err error) error {
	var r *refusal
	if errors.As(err, &r) {
		return err
	}
	return damaged("part %q of the workbook is no sound XML: %v", name, err)
}

// errStop ends a walk early.
var errStop = errors.New("walk stopped")
