package source

import (
	"bytes"
	"errors"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

// addExcelSheet reads one sheet of an Excel workbook, or says why not.
func (f *File) addExcelSheet(book *excelBook, listed listedSheet, part string) {
	s := &sheet{name: listed.name, hidden: listed.hidden}
	references, err := book.relationsOf(part)
	if err == nil {
		err = book.readRemarks(references, &s.findings)
	}
	if err != nil {
		f.refuse(s.name, asSheetFault(err))
		return
	}
	s.walk = func(found *findings, visit func(Row) bool) error {
		w := worksheetWalk{book: book, references: references, found: found, visit: visit, row: cellRow{limits: book.limits}}
		err := book.walk(part, "worksheet", book.limits.Nesting, w.part)
		if err == nil && !w.hasData {
			err = sheetDamaged("the sheet's cells are missing")
		}
		return asSheetFault(err)
	}
	f.addSheet(s, book.limits)
}

// asSheetFault says of a fault in a part that it is one sheet's.
func asSheetFault(err error) error {
	var r *refusal
	if errors.As(err, &r) && r.fix == fixDamaged {
		return sheetDamaged("%s", r.why)
	}
	return err
}

// A worksheetWalk reads the cells of a sheet of an Excel workbook. Rows and the
// columns within them must ascend, and every reference must lead somewhere.
type worksheetWalk struct {
	book       *excelBook
	references relations
	found      *findings
	visit      func(Row) bool
	row        cellRow
	number     int // of the row
	hasData    bool
	formulas   map[string]string // shared ones, with the cell they were filled from

	cell storedCell
}

// A storedCell is a cell as the file has it.
type storedCell struct {
	column         int
	kind           string // the attribute t
	format         *numberFormat
	value, formula []byte
	hasValue       bool
	hasFormula     bool
	sharedFrom     string // number of a shared formula
}

// part visits the children of the sheet's root.
func (w *worksheetWalk) part(m *markup) error {
	if id := m.relation(); id != "" {
		if _, ok := w.references[id]; !ok {
			return sheetDamaged("the sheet refers to a part of the workbook that is missing")
		}
	}
	switch {
	case m.is("cols"):
		return m.children(func() error { return w.columns(m) })
	case m.is("sheetData"):
		if w.hasData {
			return sheetDamaged("the sheet has its cells twice")
		}
		w.hasData = true
		return w.rows(m)
	case m.is("mergeCells"):
		return m.children(func() error { return w.merge(m) })
	}
	return nil
}

func (w *worksheetWalk) columns(m *markup) error {
	if !m.is("col") || !isTrue(m.attr("hidden")) {
		return nil
	}
	first, ok1 := wholeNumber(m.attr("min"))
	last, ok2 := wholeNumber(m.attr("max"))
	if !ok1 || !ok2 || first < 1 || last < first || last > fullColumns || len(w.found.hiddenColumns) == fullColumns {
		return sheetDamaged("the sheet hides columns that cannot be")
	}
	w.found.hiddenColumns = append(w.found.hiddenColumns, columnRange{first - 1, last - 1})
	return nil
}

func (w *worksheetWalk) merge(m *markup) error {
	if !m.is("mergeCell") {
		return nil
	}
	ref := m.attr("ref")
	from, to, isRange := bytes.Cut(ref, []byte(":"))
	if !isRange {
		to = from
	}
	firstColumn, firstRow, ok1 := parseReference(from)
	lastColumn, lastRow, ok2 := parseReference(to)
	if !ok1 || !ok2 || lastColumn < firstColumn || lastRow < firstRow {
		return sheetDamaged("the sheet merges cells that cannot be: %q", ref)
	}
	return w.found.merge(Merge{FirstRow: firstRow, LastRow: lastRow, FirstColumn: firstColumn, LastColumn: lastColumn}, w.book.limits)
}

func (w *worksheetWalk) rows(m *markup) error {
	depth := m.depth
	for {
		switch m.next() {
		case startElement:
			if !m.is("row") {
				m.skip(m.depth)
				continue
			}
			hidden, err := w.startRow(m)
			if err == nil {
				err = w.cells(m)
			}
			if err != nil {
				return err
			}
			if w.row.filled && !w.visit(Row{Number: w.number, Hidden: hidden, Cells: w.row.done()}) {
				return errStop
			}
		case endElement:
			if m.depth < depth {
				return m.err
			}
		case endOfPart:
			return m.err
		}
	}
}

func (w *worksheetWalk) startRow(m *markup) (hidden bool, err error) {
	number := w.number + 1
	if r := m.attr("r"); r != nil {
		n, ok := wholeNumber(r)
		if !ok || n < number {
			return false, sheetDamaged("row %q comes after row %d", r, w.number)
		}
		number = n
	}
	if number > w.book.limits.Rows {
		return false, sheetDamaged("the sheet has a row %d, and %d are the most there can be", number, w.book.limits.Rows)
	}
	w.number = number
	w.row.reset()
	return isTrue(m.attr("hidden")), nil
}

// cells reads the cells of the row just started.
func (w *worksheetWalk) cells(m *markup) error {
	depth := m.depth
	w.cell.column = -1
	for {
		switch m.next() {
		case startElement:
			if !m.is("c") {
				m.skip(m.depth)
				continue
			}
			if err := w.startCell(m); err != nil {
				return err
			}
			if err := w.contents(m); err != nil {
				return err
			}
			if err := w.finishCell(); err != nil {
				return err
			}
		case endElement:
			if m.depth < depth {
				return m.err
			}
		case endOfPart:
			return m.err
		}
	}
}

// startCell reads place, style and type of a cell.
func (w *worksheetWalk) startCell(m *markup) error {
	c := &w.cell
	column := c.column + 1
	if r := m.attr("r"); r != nil {
		at, row, ok := parseReference(r)
		if !ok || row != w.number || at < column {
			return sheetDamaged("cell %q comes after column %s of row %d", r, ColumnName(max(c.column, 0)), w.number)
		}
		column = at
	}
	style := 0
	if s := m.attr("s"); s != nil {
		n, ok := wholeNumber(s)
		if !ok || n >= len(w.book.formats) {
			return sheetDamaged("cell %s%d has the style %q, which there is not", ColumnName(column), w.number, s)
		}
		style = n
	}
	*c = storedCell{column: column, kind: cellType(m.attr("t")), value: c.value[:0], formula: c.formula[:0]}
	if style < len(w.book.formats) {
		c.format = w.book.formats[style]
	}
	if c.kind == "" || c.format == nil {
		return sheetDamaged("cell %s has the type %q, which there is not", w.place(), m.attr("t"))
	}
	return nil
}

// cellType gives the types of cells by ECMA-376 part 1, 18.18.11, "" for others.
func cellType(t []byte) string {
	switch string(t) {
	case "", "n":
		return "n"
	case "s":
		return "s"
	case "str":
		return "str"
	case "inlineStr":
		return "inlineStr"
	case "b":
		return "b"
	case "e":
		return "e"
	case "d":
		return "d"
	}
	return ""
}

func (w *worksheetWalk) place() string { return ColumnName(w.cell.column) + strconv.Itoa(w.number) }

// contents reads value and formula of the cell just started.
func (w *worksheetWalk) contents(m *markup) error {
	depth := m.depth
	c := &w.cell
	for {
		switch m.next() {
		case startElement:
			switch {
			case m.is("v") || m.is("is"):
				if c.hasValue {
					return sheetDamaged("cell %s has two values", w.place())
				}
				c.hasValue = true
				if m.is("v") {
					c.value = m.appendText(c.value, w.book.limits.CellBytes)
				} else {
					c.value = m.appendRich(c.value, w.book.limits.CellBytes)
				}
			case m.is("f"):
				c.hasFormula = true
				if string(m.attr("t")) == "shared" {
					c.sharedFrom = string(m.attr("si"))
				}
				c.formula = m.appendText(c.formula, w.book.limits.CellBytes)
			default:
				m.skip(m.depth)
			}
		case endElement:
			if m.depth < depth {
				return m.err
			}
		case endOfPart:
			return m.err
		}
	}
}

// finishCell adds the cell to the row, unless it holds nothing.
func (w *worksheetWalk) finishCell() error {
	c := &w.cell
	cell, err := w.meaning()
	if err != nil || cell.Kind == Blank && !c.hasFormula {
		return err
	}
	if err := w.row.add(c.column, cell); err != nil {
		return err
	}
	if cell.Text == "" && cell.Kind != Blank {
		from := len(w.row.buffer)
		w.row.buffer = append(w.row.buffer, c.value...)
		w.row.text(from, false)
	}
	if c.hasFormula {
		w.formula(cell.Kind)
	}
	return nil
}

// meaning turns the stored cell into what it holds. Where Text stays empty, it is
// what value holds afterwards.
func (w *worksheetWalk) meaning() (Cell, error) {
	c := &w.cell
	switch c.kind {
	case "s":
		return w.sharedText()
	case "str", "inlineStr":
		c.value = finishText(c.value, 0)
		if c.hasFormula && !c.hasValue {
			return Cell{Kind: Formula}, nil
		}
		if len(bytes.TrimSpace(c.value)) == 0 {
			return Cell{}, nil
		}
		return Cell{Kind: Text}, nil
	}
	c.value = bytes.TrimSpace(c.value)
	if len(c.value) == 0 {
		if c.hasFormula {
			return Cell{Kind: Formula}, nil
		}
		return Cell{}, nil
	}
	switch c.kind {
	case "b":
		return w.truth()
	case "e":
		return Cell{Kind: Fault}, nil
	case "d":
		return w.isoDate()
	}
	return w.readNumber()
}

func (w *worksheetWalk) sharedText() (Cell, error) {
	c := &w.cell
	i, ok := wholeNumber(bytes.TrimSpace(c.value))
	text, there := w.book.strings.at(i)
	if !ok || !there {
		if len(c.value) == 0 && c.hasFormula {
			return Cell{Kind: Formula}, nil
		}
		return Cell{}, sheetDamaged("cell %s refers to text number %q, which there is not", w.place(), c.value)
	}
	if isBlank(text) {
		return Cell{}, nil
	}
	return Cell{Kind: Text, Text: text}, nil
}

func (w *worksheetWalk) truth() (Cell, error) {
	truth := string(w.cell.value) == "1" || string(w.cell.value) == "true"
	if !truth && string(w.cell.value) != "0" && string(w.cell.value) != "false" {
		return Cell{}, sheetDamaged("cell %s holds %q where a truth value should be", w.place(), w.cell.value)
	}
	return truthCell(truth), nil
}

func truthCell(truth bool) Cell {
	cell := Cell{Kind: Bool, Text: truthText(truth)}
	if truth {
		cell.Number = 1
	}
	return cell
}

// readNumber reads a stored number. One too large for a float64 stays text.
func (w *worksheetWalk) readNumber() (Cell, error) {
	c := &w.cell
	v, err := parseDecimal(c.value)
	if errors.Is(err, strconv.ErrRange) {
		return Cell{Kind: Text}, nil
	}
	if err != nil {
		return Cell{}, sheetDamaged("cell %s holds %q where a number should be", w.place(), c.value)
	}
	s := readSerial(v, c.format, w.book.epoch)
	if s.odd {
		w.found.oddDate(w.number, c.column)
	}
	c.value = s.appendValue(c.value[:0])
	return s.cell(), nil
}

// parseDecimal reads a decimal number; other spellings that strconv knows, such
// as "inf" and "0x10", are errors.
func parseDecimal(text []byte) (float64, error) {
	for _, b := range text {
		if (b < '0' || b > '9') && !strings.ContainsRune("+-.eE", rune(b)) {
			return 0, strconv.ErrSyntax
		}
	}
	v, err := strconv.ParseFloat(string(text), 64)
	if err == nil && math.IsInf(v, 0) {
		return 0, strconv.ErrRange
	}
	return v, err
}

// isoDate reads a date of ISO 8601, which strict workbooks store. One with a zone
// stays text.
func (w *worksheetWalk) isoDate() (Cell, error) {
	c := &w.cell
	cell, ok := isoCell(string(c.value))
	if !ok {
		return Cell{}, sheetDamaged("cell %s holds %q where a date should be", w.place(), c.value)
	}
	if cell.Kind != Text {
		cell.Format = c.format.code
	}
	return cell, nil
}

// isoCell reads a date, a date with clock, or a clock time.
func isoCell(text string) (Cell, bool) {
	for _, layout := range []string{"2006-01-02", "2006-01-02T15:04:05", "2006-01-02T15:04"} {
		if at, err := time.Parse(layout, text); err == nil {
			kind := Instant
			if layout == "2006-01-02" {
				kind = Date
			}
			return Cell{Kind: kind, Time: at, Text: text}, true
		}
	}
	if at, err := time.Parse("15:04:05", text); err == nil {
		clock := at.Sub(at.Truncate(24 * time.Hour))
		return Cell{Kind: Clock, Number: clock.Seconds() / secondsOfDay, Text: text}, true
	}
	if _, err := time.Parse("2006-01-02T15:04:05Z07:00", text); err == nil {
		return Cell{Kind: Text, Text: text}, true
	}
	return Cell{}, false
}

// formula adds the formula of the cell just added. TRUE() and FALSE(), by which
// LibreOffice writes truth values, are none.
func (w *worksheetWalk) formula(kind Kind) {
	c := &w.cell
	if kind == Bool && isTruthFormula(string(c.formula)) {
		return
	}
	text := string(c.formula)
	if c.sharedFrom != "" {
		text = w.sharedFormula(text)
	}
	from := len(w.row.buffer)
	w.row.buffer = append(w.row.buffer, text...)
	w.row.text(from, true)
}

func isTruthFormula(formula string) bool {
	return formula == "TRUE()" || formula == "FALSE()"
}

// sharedFormula keeps a formula that is filled into other cells, and gives it to
// those with the cell it is written for.
func (w *worksheetWalk) sharedFormula(text string) string {
	key := w.cell.sharedFrom
	if text != "" {
		if w.formulas == nil {
			w.formulas = make(map[string]string)
		}
		w.formulas[key] = text + " (filled from " + w.place() + ")"
		return text
	}
	if filled := w.formulas[key]; filled != "" {
		return filled
	}
	return "filled from another cell"
}

// wholeNumber reads digits.
func wholeNumber(text []byte) (int, bool) {
	if len(text) == 0 || len(text) > 10 {
		return 0, false
	}
	n := 0
	for _, b := range text {
		if b < '0' || b > '9' {
			return 0, false
		}
		n = n*10 + int(b-'0')
	}
	return n, true
}

// parseReference reads a cell's place such as "B7": the column from 0, the row
// from 1.
func parseReference(text []byte) (column, row int, ok bool) {
	i := 0
	for ; i < len(text) && text[i] >= 'A' && text[i] <= 'Z'; i++ {
		if column = column*26 + int(text[i]-'A') + 1; column > fullColumns {
			return 0, 0, false
		}
	}
	row, ok = wholeNumber(text[i:])
	return column - 1, row, ok && i > 0 && row >= 1
}

// readRemarks reads the comments of a sheet. Where there are threads, they take
// the place of the text that stands for them in older programs.
func (b *excelBook) readRemarks(from relations, found *findings) error {
	byPlace := make(map[string]string)
	if part, ok := from.ofType("/comments"); ok {
		if !b.take(part) {
			return sheetDamaged("the comments of the sheet belong to another one too")
		}
		if err := b.readComments(part, byPlace); err != nil {
			return err
		}
	}
	if part, ok := from.ofType("/threadedComment"); ok {
		if !b.take(part) {
			return sheetDamaged("the comments of the sheet belong to another one too")
		}
		if err := b.readThreads(part, byPlace); err != nil {
			return err
		}
	}
	found.remarks = make(map[int][]remark)
	for _, place := range slices.Sorted(maps.Keys(byPlace)) {
		column, row, ok := parseReference([]byte(place))
		if !ok || row > b.limits.Rows {
			return sheetDamaged("there is a comment on the cell %q, which there is not", place)
		}
		if column >= b.limits.Columns {
			return tooLarge("delete what stands far out to the right", "there is a comment in column %s, and %d columns are the most that are read",
				ColumnName(column), b.limits.Columns)
		}
		found.remarks[row] = append(found.remarks[row], remark{column: column, text: byPlace[place]})
	}
	found.remarkRows = slices.Sorted(maps.Keys(found.remarks))
	return nil
}

func tooManyComments(limits Limits) error {
	return tooLarge(fixExport, "the sheet has more than %d comments", limits.Comments)
}

func (b *excelBook) readComments(part string, byPlace map[string]string) error {
	return b.walk(part, "comments", b.limits.Nesting, func(m *markup) error {
		if !m.is("commentList") {
			return nil
		}
		return m.children(func() error {
			if !m.is("comment") {
				return nil
			}
			if len(byPlace) == b.limits.Comments {
				return tooManyComments(b.limits)
			}
			place := string(m.attr("ref"))
			return m.children(func() error {
				if m.is("text") {
					text := m.appendRich(nil, b.limits.CellBytes)
					byPlace[place] = string(finishText(text, 0))
				}
				return nil
			})
		})
	})
}

func (b *excelBook) readThreads(part string, byPlace map[string]string) error {
	threads := make(map[string]string)
	err := b.walk(part, "ThreadedComments", b.limits.Nesting, func(m *markup) error {
		if !m.is("threadedComment") {
			return nil
		}
		if len(threads) == b.limits.Comments {
			return tooManyComments(b.limits)
		}
		place := string(m.attr("ref"))
		return m.children(func() error {
			if m.is("text") {
				text := string(finishText(m.appendText(nil, b.limits.CellBytes), 0))
				if before := threads[place]; before != "" {
					text = before + "\n" + text
				}
				threads[place] = text
			}
			return nil
		})
	})
	maps.Copy(byPlace, threads)
	return err
}
