package source

import (
	"bytes"
	"path"
	"strconv"
	"strings"

	"gravid/ingest/problem"
)

// readWorkbook reads the grids of a zip archive.
func (f *File) readWorkbook(limits Limits) {
	a, err := openArchive(f.Raw, limits)
	if err != nil {
		f.refuse("", err)
		return
	}
	is := "an Excel workbook"
	if a.has(mimeType) {
		is = "an OpenDocument spreadsheet"
		err = f.readOpenDocument(a, limits)
	} else {
		err = f.readExcel(a, limits)
	}
	if err != nil {
		f.refuse("", err)
		return
	}
	f.Problems = append(f.Problems, oddEnding(f.Name, is)...)
}

// An excelBook is what all sheets of an Excel workbook (.xlsx, .xlsm; ECMA-376)
// have in common.
type excelBook struct {
	*archive
	limits  Limits
	epoch   int             // days from 30 December 1899 to the day number 0
	formats []*numberFormat // by number of a cell's style
	strings sharedStrings
	taken   map[string]bool // parts that belong to a sheet read before
}

// listedSheet is a sheet as the workbook lists it.
type listedSheet struct {
	name, relation string
	hidden         bool
}

func (f *File) readExcel(a *archive, limits Limits) error {
	book := &excelBook{archive: a, limits: limits, taken: make(map[string]bool)}
	relations, err := book.relationsOf("")
	if err != nil {
		return err
	}
	main, ok := relations.ofType("/officeDocument")
	if !ok {
		return damaged("the workbook does not say which of its parts is the main one")
	}
	if strings.HasPrefix(main, "word/") || strings.HasPrefix(main, "ppt/") {
		return refuse(problem.FileKind, fixTable, "this is a text document or a presentation, not a workbook")
	}
	sheets, err := book.readMain(main)
	if err != nil {
		return err
	}
	if relations, err = book.relationsOf(main); err != nil {
		return err
	}
	if err := book.readStyles(relations); err != nil {
		return err
	}
	if err := book.readStrings(relations); err != nil {
		return err
	}
	if len(sheets) == 0 {
		return damaged("the workbook has no sheets")
	}
	seen := make(map[string]bool)
	for _, s := range sheets {
		target, ok := relations[s.relation]
		switch key := strings.ToLower(s.name); {
		case !ok:
			f.refuse(s.name, sheetDamaged("the part of the workbook that holds the sheet is missing"))
		case !strings.HasSuffix(target.kind, "/worksheet"):
			f.noteNoCells(s.name)
		case seen[key] || !book.take(target.part):
			f.refuse(s.name, sheetDamaged("the workbook lists two sheets by this name or with these cells"))
		default:
			seen[key] = true
			f.addExcelSheet(book, s, target.part)
		}
	}
	return nil
}

// take claims a part for one sheet, and tells whether no other one has it.
func (b *excelBook) take(part string) bool {
	key := strings.ToLower(part)
	free := !b.taken[key]
	b.taken[key] = true
	return free
}

func (f *File) noteNoCells(sheet string) {
	f.Problems = append(f.Problems, problem.Problem{
		Severity: problem.Note, Code: problem.FileKind, Place: problem.Place{Sheet: sheet},
		Message: "this is a chart or a macro, not a sheet of cells, and was passed over",
		Fix:     "nothing need be done unless records stand there",
	})
}

// relation is a reference from one part of a workbook to another.
type relation struct{ kind, part string }

// relations holds references by their id.
type relations map[string]relation

// ofType finds the reference of a kind, named by the end of its type. Where there
// are several, it takes the one with the least id.
func (r relations) ofType(suffix string) (part string, ok bool) {
	least := ""
	for id, to := range r {
		if strings.HasSuffix(to.kind, suffix) && (!ok || id < least) {
			part, least, ok = to.part, id, true
		}
	}
	return part, ok
}

// relationsOf reads the references of a part, or of the whole workbook for "".
// A part without references has none.
func (b *excelBook) relationsOf(part string) (relations, error) {
	dir, base := path.Split(part)
	name := dir + "_rels/" + base + ".rels"
	found := make(relations)
	if !b.has(name) {
		return found, nil
	}
	err := b.walk(name, "Relationships", b.limits.Nesting, func(m *markup) error {
		if !m.is("Relationship") || string(m.attr("TargetMode")) == "External" {
			return nil
		}
		target := string(m.attr("Target"))
		if absolute, ok := strings.CutPrefix(target, "/"); ok {
			target = path.Clean(absolute)
		} else {
			target = path.Join(dir, target)
		}
		if len(found) > b.limits.Parts {
			return damaged("part %q of the workbook refers to more parts than there are", name)
		}
		id := string(m.attr("Id"))
		if _, twice := found[id]; twice || id == "" {
			return damaged("part %q of the workbook has a reference twice or without a name", name)
		}
		found[id] = relation{kind: string(m.attr("Type")), part: target}
		return nil
	})
	return found, err
}

// readMain reads the list of sheets and the calendar.
func (b *excelBook) readMain(part string) (sheets []listedSheet, err error) {
	err = b.walk(part, "workbook", b.limits.Nesting, func(m *markup) error {
		switch {
		case m.is("workbookPr"):
			if isTrue(m.attr("date1904")) {
				b.epoch = macEpoch
			}
		case m.is("sheets"):
			return m.children(func() error {
				if len(sheets) > b.limits.Sheets {
					return tooManySheets(b.limits)
				}
				if m.is("sheet") {
					state := string(m.attr("state"))
					sheets = append(sheets, listedSheet{
						name: string(m.attr("name")), relation: m.relation(),
						hidden: state == "hidden" || state == "veryHidden",
					})
				}
				return nil
			})
		}
		return nil
	})
	return sheets, err
}

func tooManySheets(limits Limits) error {
	return tooLarge(fixExport, "the workbook has more than %d sheets", limits.Sheets)
}

func isTrue(value []byte) bool {
	return string(value) == "1" || string(value) == "true" || string(value) == "on"
}

// readStyles reads the number format of every cell style.
func (b *excelBook) readStyles(from relations) error {
	part, ok := from.ofType("/styles")
	if !ok {
		b.formats = []*numberFormat{parseFormat("General")}
		return nil
	}
	codes := make(map[int]string)
	parsed := make(map[string]*numberFormat)
	return b.walk(part, "styleSheet", b.limits.Nesting, func(m *markup) error {
		inCells := m.is("cellXfs")
		if !inCells && !m.is("numFmts") {
			return nil
		}
		return m.children(func() error {
			if len(codes) > b.limits.Styles || len(b.formats) > b.limits.Styles {
				return tooManyStyles(b.limits)
			}
			id, err := strconv.Atoi(string(m.attr("numFmtId")))
			switch {
			case !inCells && m.is("numFmt"):
				if err != nil || id < 0 {
					return damaged("a number format of the workbook has no number")
				}
				codes[id] = string(m.attr("formatCode"))
			case inCells && m.is("xf"):
				if err != nil && m.attr("numFmtId") != nil || id < 0 {
					return damaged("a cell style of the workbook names no number format")
				}
				code, ok := codes[id]
				if !ok {
					code = builtinFormat(id)
				}
				if parsed[code] == nil {
					parsed[code] = parseFormat(code)
				}
				b.formats = append(b.formats, parsed[code])
			}
			return nil
		})
	})
}

func tooManyStyles(limits Limits) error {
	return tooLarge(fixExport, "the workbook has more than %d styles", limits.Styles)
}

// sharedStrings are the texts that cells refer to by number.
type sharedStrings struct {
	text string
	ends []uint32 // where each ends in text
}

func (s *sharedStrings) at(i int) (string, bool) {
	if i < 0 || i >= len(s.ends) {
		return "", false
	}
	from := uint32(0)
	if i > 0 {
		from = s.ends[i-1]
	}
	return s.text[from:s.ends[i]], true
}

func (b *excelBook) readStrings(from relations) error {
	part, ok := from.ofType("/sharedStrings")
	if !ok {
		return nil
	}
	var text []byte
	err := b.walk(part, "sst", b.limits.Nesting, func(m *markup) error {
		if !m.is("si") {
			return nil
		}
		if len(b.strings.ends) == b.limits.Strings {
			return tooLarge(fixExport, "the workbook has more than %d texts", b.limits.Strings)
		}
		start := len(text)
		text = finishText(m.appendRich(text, start+b.limits.CellBytes), start)
		b.strings.ends = append(b.strings.ends, uint32(len(text)))
		return m.err
	})
	b.strings.text = view(text)
	return err
}

// appendRich adds the text of the element just started, in one piece or in runs,
// without phonetic guides, and reads on to the element's end.
func (m *markup) appendRich(out []byte, most int) []byte {
	depth := m.depth
	for m.err == nil && m.depth >= depth {
		if m.next() != startElement {
			continue
		}
		switch {
		case m.is("t"):
			out = m.appendText(out, most)
		case !m.is("r"):
			m.skip(m.depth)
		}
	}
	return out
}

// finishText puts the text from start on as people see it: escapes undone, one
// spelling.
func finishText(text []byte, start int) []byte {
	piece := text[start:]
	if bytes.Contains(piece, []byte("_x")) {
		piece = unescape(piece)
		text = append(text[:start], piece...)
		piece = text[start:]
	}
	if s := view(piece); !isASCII(s) {
		text = append(text[:start], oneSpelling(string(piece))...)
	}
	return text
}

// unescape undoes _xHHHH_, which stands for a character that XML cannot hold. NUL
// and lone halves of characters stay as they are written.
func unescape(text []byte) []byte {
	out := make([]byte, 0, len(text))
	for i := 0; i < len(text); {
		r, used := escaped(text[i:])
		if used == 0 {
			out = append(out, text[i])
			i++
			continue
		}
		out = append(out, string(r)...)
		i += used
	}
	return out
}

// escaped reads an escape at the beginning of text, two for a character beyond
// U+FFFF. used is 0 when there is none.
func escaped(text []byte) (r rune, used int) {
	const length = 7 // _xHHHH_
	r, ok := escapedUnit(text)
	switch {
	case !ok || r == 0:
		return 0, 0
	case r < 0xD800 || r > 0xDFFF:
		return r, length
	case r > 0xDBFF || len(text) < 2*length:
		return 0, 0
	}
	low, ok := escapedUnit(text[length:])
	if !ok || low < 0xDC00 || low > 0xDFFF {
		return 0, 0
	}
	return 0x10000 + (r-0xD800)<<10 + (low - 0xDC00), 2 * length
}

func escapedUnit(text []byte) (r rune, ok bool) {
	if len(text) < 7 || text[0] != '_' || text[1] != 'x' || text[6] != '_' {
		return 0, false
	}
	for _, c := range text[2:6] {
		d := digitValue(c)
		if d < 0 {
			return 0, false
		}
		r = r<<4 | d
	}
	return r, true
}
