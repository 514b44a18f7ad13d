package workbook

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strings"

	"gravid/analyze/report"
)

// A target is where a cell's link leads: a place in this book, or a file with
// perhaps a place in it.
type target struct {
	file  string // relative reference; empty for this book
	place string // 'Sheet'!A1
}

// target resolves a cell's link; false where it has none that may be followed.
func (b *book) target(c placed) (target, bool) {
	if c.to != "" {
		return target{place: quoted(c.to) + "!A1"}, true
	}
	if c.link == "" {
		return target{}, false
	}
	t, err := report.ParseLink(c.link)
	if err != nil {
		return target{}, false
	}
	if t.Inside() {
		at := b.anchors[t.Anchor()]
		return target{place: quoted(at.sheet) + "!" + cellName(at.row, 1)}, true
	}
	out := target{file: t.URL()}
	if i := strings.LastIndexByte(t.Place, '!'); i >= 0 {
		out.place = quoted(strings.Trim(t.Place[:i], "'")) + "!" + t.Place[i+1:]
	}
	return out, true
}

// linkEdits writes the links of every sheet into its part. The library would look
// through all links of a sheet for each new one, which takes 11 s for 20,000;
// and it can't give a file's place its own attribute.
func (b *book) linkEdits(edits map[string]edit) {
	for i, s := range b.sheets {
		list, files := b.hyperlinks(s)
		if list == nil {
			continue
		}
		edits[fmt.Sprintf("xl/worksheets/sheet%d.xml", i+1)] = func(part []byte) ([]byte, error) {
			return insertBefore(part, "<pageMargins ", list)
		}
		if len(files) > 0 {
			edits[fmt.Sprintf("xl/worksheets/_rels/sheet%d.xml.rels", i+1)] = func(part []byte) ([]byte, error) {
				return addRelations(part, files)
			}
		}
	}
}

// hyperlinks is the element that holds a sheet's links, nil where there are none,
// and the files that they lead to, the k-th of them known as relation rLk.
func (b *book) hyperlinks(s *sheet) (list []byte, files []string) {
	var out bytes.Buffer
	known := map[string]int{}
	for _, c := range s.cells {
		t, ok := b.target(c)
		if !ok {
			continue
		}
		fmt.Fprintf(&out, `<hyperlink ref="%s"`, cellName(c.row, c.col))
		if t.file != "" {
			k, seen := known[t.file]
			if !seen {
				k = len(files)
				known[t.file] = k
				files = append(files, t.file)
			}
			fmt.Fprintf(&out, ` r:id="rL%d"`, k)
		}
		if t.place != "" {
			fmt.Fprintf(&out, ` location="%s"`, attribute(t.place))
		}
		out.WriteString("/>")
	}
	if out.Len() == 0 {
		return nil, nil
	}
	const open = `<hyperlinks xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships">`
	return append(append([]byte(open), out.Bytes()...), "</hyperlinks>"...), files
}

// addRelations adds the files to a sheet's relations; part is empty where the
// sheet has none yet.
func addRelations(part []byte, files []string) ([]byte, error) {
	const end = "</Relationships>"
	if len(part) == 0 {
		part = []byte(xml.Header + `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">` + end)
	}
	var out bytes.Buffer
	for k, f := range files {
		fmt.Fprintf(&out, `<Relationship Id="rL%d" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/hyperlink" Target="%s" TargetMode="External"/>`, k, attribute(f))
	}
	return insertBefore(part, end, out.Bytes())
}

// insertBefore puts what before the one occurrence of mark.
func insertBefore(part []byte, mark string, what []byte) ([]byte, error) {
	if n := bytes.Count(part, []byte(mark)); n != 1 {
		return nil, fmt.Errorf("want %q once, found it %d times", mark, n)
	}
	i := bytes.Index(part, []byte(mark))
	out := make([]byte, 0, len(part)+len(what))
	out = append(out, part[:i]...)
	out = append(out, what...)
	return append(out, part[i:]...), nil
}

func attribute(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s)) // a strings.Builder never fails
	return b.String()
}
