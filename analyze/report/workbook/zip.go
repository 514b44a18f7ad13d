package workbook

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"
)

// An edit changes a part of the file. A part that the file lacks comes in empty
// and is added.
type edit func(part []byte) ([]byte, error)

// canonical writes a workbook's parts again so that equal workbooks are equal
// bytes: parts in the order of their names after the list of content types, one
// fixed time, and that list in order (the library writes a part of it in the order
// of a map). The edits are applied to the parts they name.
func canonical(w io.Writer, raw []byte, edits map[string]edit) error {
	r, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		return fmt.Errorf("workbook: %w", err)
	}
	parts := map[string]*zip.File{}
	for _, f := range r.File {
		parts[f.Name] = f
	}
	for name := range edits {
		if parts[name] == nil {
			parts[name] = nil
		}
	}
	names := slices.SortedFunc(maps.Keys(parts), func(a, b string) int {
		if first := isTypes(b) - isTypes(a); first != 0 {
			return first
		}
		return strings.Compare(a, b)
	})
	out := zip.NewWriter(w)
	for _, name := range names {
		part, err := edited(name, parts[name], edits[name])
		if err != nil {
			return fmt.Errorf("workbook: %s: %w", name, err)
		}
		to, err := out.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: epoch})
		if err != nil {
			return err
		}
		if _, err := to.Write(part); err != nil {
			return err
		}
	}
	return out.Close()
}

// edited reads a part and applies what is to be changed in it.
func edited(name string, f *zip.File, change edit) (part []byte, err error) {
	if f != nil {
		if part, err = readPart(f); err != nil {
			return nil, err
		}
	}
	if name == typesPart {
		if part, err = sortedTypes(part); err != nil {
			return nil, err
		}
	}
	if change != nil {
		return change(part)
	}
	return part, nil
}

// epoch is the time all parts bear: the earliest that a ZIP file can write.
var epoch = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

const typesPart = "[Content_Types].xml"

func isTypes(name string) int {
	if name == typesPart {
		return 1
	}
	return 0
}

func readPart(f *zip.File) ([]byte, error) {
	r, err := f.Open()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	return io.ReadAll(r)
}

// sortedTypes sorts the elements of the list of content types.
func sortedTypes(part []byte) ([]byte, error) {
	s := string(part)
	from := strings.Index(s, "<Default")
	if o := strings.Index(s, "<Override"); o >= 0 && (from < 0 || o < from) {
		from = o
	}
	to := strings.LastIndex(s, "</Types>")
	if from < 0 || to < from {
		return nil, fmt.Errorf("not a list of content types")
	}
	var elements []string
	for e := range strings.SplitAfterSeq(s[from:to], "</Default>") {
		for part := range strings.SplitAfterSeq(e, "</Override>") {
			if part != "" {
				elements = append(elements, part)
			}
		}
	}
	slices.Sort(elements)
	return []byte(s[:from] + strings.Join(elements, "") + s[to:]), nil
}
