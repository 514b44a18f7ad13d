package workbook

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
)

// canonical writes a workbook's parts again so that equal workbooks are equal
// bytes: parts in the order of their names after the list of content types, no
// times, and that list in order (the library writes a part of it in the order of
// a map). The patches are applied to the parts they name.
func canonical(w io.Writer, raw []byte, patches map[string]func([]byte) []byte) error {
	r, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		return fmt.Errorf("workbook: %w", err)
	}
	files := slices.Clone(r.File)
	slices.SortFunc(files, func(a, b *zip.File) int {
		if first := isTypes(b.Name) - isTypes(a.Name); first != 0 {
			return first
		}
		return strings.Compare(a.Name, b.Name)
	})
	out := zip.NewWriter(w)
	for _, f := range files {
		part, err := readPart(f)
		if err != nil {
			return fmt.Errorf("workbook: %s: %w", f.Name, err)
		}
		if f.Name == typesPart {
			if part, err = sortedTypes(part); err != nil {
				return err
			}
		}
		if patch := patches[f.Name]; patch != nil {
			part = patch(part)
		}
		to, err := out.CreateHeader(&zip.FileHeader{Name: f.Name, Method: zip.Deflate, Modified: epoch})
		if err != nil {
			return err
		}
		if _, err := to.Write(part); err != nil {
			return err
		}
	}
	return out.Close()
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
		return nil, fmt.Errorf("workbook: %s is not a list of content types", typesPart)
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

// crossAtMinimum makes a chart's axes cross at their low ends.
func crossAtMinimum(chart []byte) []byte {
	return bytes.ReplaceAll(chart, []byte(`<crosses val="autoZero">`), []byte(`<crosses val="min">`))
}
