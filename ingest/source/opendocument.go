package source

import (
	"bytes"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"gravid/ingest/problem"
)

// The namespaces of OpenDocument that matter here (OASIS ODF 1.3), by the
// prefixes that every program gives them.
const (
	odfSpaces     = "urn:oasis:names:tc:opendocument:xmlns:"
	openDocSheet  = "application/vnd.oasis.opendocument.spreadsheet"
	contentPart   = "content.xml"
	stylesPart    = "styles.xml"
	manifestPart  = "META-INF/manifest.xml"
	stylesInherit = 16      // most styles that one may be derived through
	longestFormat = 4 << 10 // bytes of a number format
)

// usualPrefixes refuses an OpenDocument part whose root gives the namespaces
// other prefixes than the usual ones, by which its elements are known.
func usualPrefixes(m *markup) error {
	usual := map[string]string{"office": "office:1.0", "table": "table:1.0", "text": "text:1.0", "style": "style:1.0", "number": "datastyle:1.0"}
	for _, a := range m.attrs {
		prefix, isSpace := strings.CutPrefix(string(m.data[a.name:a.value]), "xmlns:")
		space, isODF := strings.CutPrefix(string(m.data[a.value:a.end]), odfSpaces)
		if !isSpace {
			prefix = ""
		}
		for wanted, s := range usual {
			if (wanted == prefix) != (isODF && s == space) {
				return damaged("the workbook's XML is written with unusual prefixes")
			}
		}
	}
	return nil
}

// An openBook is what all sheets of an OpenDocument spreadsheet have in common.
type openBook struct {
	*archive
	limits Limits
	epoch  int                      // days from 30 December 1899 to the day number 0
	codes  map[string]string        // number formats by the names of their styles
	styles map[string]cellStyle     // styles of cells by name
	hidden map[string]bool          // styles of hidden sheets
	parsed map[string]*numberFormat // by code
}

type cellStyle struct{ dataStyle, parent string }

func (f *File) readOpenDocument(a *archive, limits Limits) error {
	book := &openBook{
		archive: a, limits: limits,
		codes: make(map[string]string), styles: make(map[string]cellStyle),
		hidden: make(map[string]bool), parsed: make(map[string]*numberFormat),
	}
	if err := book.checkKind(); err != nil {
		return err
	}
	if a.has(stylesPart) {
		err := book.walk(stylesPart, "document-styles", limits.Nesting, func(m *markup) error {
			if string(m.name) == "office:styles" {
				return book.readStyles(m)
			}
			return nil
		})
		if err != nil {
			return err
		}
	}
	sheets, err := book.readContents()
	if err != nil {
		return err
	}
	// All sheets lie in one part, which is walked for each of them.
	if size := int64(a.parts[contentPart].UncompressedSize64); size*int64(len(sheets)) > 8*limits.UnpackBytes {
		return tooLarge(fixExport, "the workbook has %d sheets, which are too many for its size", len(sheets))
	}
	if len(sheets) == 0 {
		return damaged("the workbook has no sheets")
	}
	seen := make(map[string]bool)
	for i, s := range sheets {
		key := strings.ToLower(s.name)
		if seen[key] {
			f.refuse(s.name, sheetDamaged("the workbook lists two sheets by this name"))
			continue
		}
		seen[key] = true
		s.walk = func(found *findings, visit func(Row) bool) error {
			w := tableWalk{book: book, found: found, visit: visit, row: cellRow{limits: limits}}
			return book.walkTable(i, w.table)
		}
		f.addSheet(s, limits)
	}
	return nil
}

// checkKind refuses what is no spreadsheet, or locked.
func (b *openBook) checkKind() error {
	kind, err := b.beginning(mimeType, 256)
	if err != nil {
		return err
	}
	if !strings.HasPrefix(strings.TrimSpace(kind), openDocSheet) {
		return refuse(problem.FileKind, fixTable, "this is an OpenDocument file, but no spreadsheet")
	}
	if !b.has(manifestPart) {
		return damaged("part %q of the workbook is missing", manifestPart)
	}
	locked := false
	err = b.walk(manifestPart, "manifest", b.limits.Nesting, func(m *markup) error {
		return m.children(func() error {
			locked = locked || m.is("encryption-data")
			return nil
		})
	})
	if err == nil && locked {
		err = refuse(problem.FileKind, "save it without a password", "this workbook is protected by a password, so it cannot be read")
	}
	return err
}

// beginning gives at most n bytes of a part.
func (a *archive) beginning(name string, n int) (string, error) {
	in, err := a.open(name)
	if err != nil {
		return "", err
	}
	defer in.Close()
	m := markup{in: in, buf: make([]byte, n)}
	m.ahead(n)
	return string(m.buf[:m.limit]), nil
}

// readContents reads the styles and the list of sheets.
func (b *openBook) readContents() (sheets []*sheet, err error) {
	err = b.walk(contentPart, "document-content", b.limits.Nesting, func(m *markup) error {
		switch string(m.name) {
		case "office:automatic-styles":
			return b.readStyles(m)
		case "office:body":
			return m.children(func() error {
				if string(m.name) != "office:spreadsheet" {
					return nil
				}
				return m.children(func() error {
					switch string(m.name) {
					case "table:calculation-settings":
						return b.readEpoch(m)
					case "table:table":
						if len(sheets) == b.limits.Sheets {
							return tooManySheets(b.limits)
						}
						sheets = append(sheets, &sheet{
							name:   string(m.attr("table:name")),
							hidden: b.hidden[string(m.attr("table:style-name"))],
						})
					}
					return nil
				})
			})
		}
		return nil
	})
	return sheets, err
}

func (b *openBook) readEpoch(m *markup) error {
	return m.children(func() error {
		if string(m.name) != "table:null-date" {
			return nil
		}
		at, err := time.Parse(time.DateOnly, string(m.attr("table:date-value")))
		if err != nil {
			return damaged("the day from which the workbook counts is no date")
		}
		b.epoch = int(at.Sub(time.Date(1899, time.December, 30, 0, 0, 0, 0, time.UTC)).Hours() / 24)
		return nil
	})
}

// walkTable walks the content to the sheet with that number, reads it with visit,
// and stops behind it.
func (b *openBook) walkTable(number int, visit func(m *markup) error) error {
	at := 0
	return b.walk(contentPart, "document-content", b.limits.Nesting, func(m *markup) error {
		if string(m.name) != "office:body" {
			return nil
		}
		return m.children(func() error {
			return m.children(func() error {
				if string(m.name) != "table:table" {
					return nil
				}
				if at++; at <= number {
					return nil
				}
				if err := m.children(func() error { return visit(m) }); err != nil {
					return err
				}
				return errStop
			})
		})
	})
}

// readStyles reads the number formats, the styles of cells and those of sheets.
func (b *openBook) readStyles(m *markup) error {
	return m.children(func() error {
		if len(b.codes) > b.limits.Styles || len(b.styles) > b.limits.Styles || len(b.hidden) > b.limits.Styles {
			return tooManyStyles(b.limits)
		}
		name := string(m.attr("style:name"))
		switch kind := string(m.name); kind {
		case "style:style":
			switch string(m.attr("style:family")) {
			case "table-cell":
				b.styles[name] = cellStyle{dataStyle: string(m.attr("style:data-style-name")), parent: string(m.attr("style:parent-style-name"))}
			case "table":
				return m.children(func() error {
					if string(m.attr("table:display")) == "false" {
						b.hidden[name] = true
					}
					return nil
				})
			}
		case "number:number-style", "number:percentage-style", "number:currency-style", "number:date-style", "number:time-style", "number:text-style":
			code, err := b.readCode(m, kind)
			if err != nil {
				return err
			}
			b.codes[name] = code
		}
		return nil
	})
}

// readCode translates a number format of OpenDocument into a format code. Formats
// for some numbers only, which it refers to, become sections with conditions.
func (b *openBook) readCode(m *markup, kind string) (string, error) {
	var code, conditions strings.Builder
	elapsed := string(m.attr("number:truncate-on-overflow")) == "false"
	err := m.children(func() error {
		switch part := string(m.name); part {
		case "number:text", "number:currency-symbol":
			text := string(m.appendText(nil, b.limits.CellBytes))
			writeLiteral(&code, text, kind == "number:percentage-style")
		case "number:hours", "number:minutes", "number:seconds":
			letters := formatLetters(m)
			if elapsed {
				elapsed = false
				letters = "[" + letters + "]"
			}
			code.WriteString(letters)
		case "style:map":
			condition, ok := strings.CutPrefix(string(m.attr("style:condition")), "value()")
			if other := b.codes[string(m.attr("style:apply-style-name"))]; ok && other != "" {
				conditions.WriteString("[" + condition + "]" + other + ";")
			}
		default:
			code.WriteString(formatLetters(m))
		}
		return nil
	})
	if conditions.Len()+code.Len() > longestFormat && err == nil {
		err = damaged("a number format of the workbook is longer than %d bytes", longestFormat)
	}
	return conditions.String() + code.String(), err
}

// writeLiteral writes text so that a format shows it as it is. The percent sign
// of a format for percentages stays free, as it changes the number.
func writeLiteral(code *strings.Builder, text string, percentage bool) {
	for _, r := range text {
		if !percentage || r != '%' {
			code.WriteByte('\\')
		}
		code.WriteRune(r)
	}
}

// formatLetters translates the part of a number format that has just started.
func formatLetters(m *markup) string {
	long := string(m.attr("number:style")) == "long"
	pick := func(short, other string) string {
		if long {
			return other
		}
		return short
	}
	places := func() string {
		n, ok := wholeNumber(m.attr("number:decimal-places"))
		if !ok || n == 0 {
			return ""
		}
		return "." + strings.Repeat("0", min(n, 30))
	}
	switch string(m.name) {
	case "number:number":
		return "0" + places() + strings.Repeat(",", displayThousands(m.attr("number:display-factor")))
	case "number:scientific-number":
		return "0" + places() + "E+00"
	case "number:fraction":
		return "# ?/?"
	case "number:day":
		return pick("d", "dd")
	case "number:day-of-week":
		return pick("ddd", "dddd")
	case "number:month":
		if string(m.attr("number:textual")) == "true" {
			return pick("mmm", "mmmm")
		}
		return pick("m", "mm")
	case "number:year", "number:era":
		return pick("yy", "yyyy")
	case "number:hours":
		return pick("h", "hh")
	case "number:minutes":
		return pick("m", "mm")
	case "number:seconds":
		return pick("s", "ss") + places()
	case "number:am-pm":
		return "AM/PM"
	case "number:text-content":
		return "@"
	}
	return ""
}

// displayThousands tells how many times a number is shown divided by 1,000.
func displayThousands(factor []byte) int {
	v, err := parseDecimal(factor)
	if err != nil || v <= 1 {
		return 0
	}
	return int(math.Round(math.Log10(v) / 3))
}

// format gives the number format of a style of cells.
func (b *openBook) format(style string) *numberFormat {
	code := "General"
	for range stylesInherit {
		s, ok := b.styles[style]
		if !ok {
			break
		}
		if c, ok := b.codes[s.dataStyle]; ok {
			code = c
			break
		}
		style = s.parent
	}
	if b.parsed[code] == nil {
		b.parsed[code] = parseFormat(code)
	}
	return b.parsed[code]
}

// A tableWalk reads the cells of a sheet of an OpenDocument spreadsheet.
type tableWalk struct {
	book    *openBook
	found   *findings
	visit   func(Row) bool
	row     cellRow
	number  int // of the row read last
	columns []columnDefault
	column  int // of the cell to come, from 0
	style   string
}

// columnDefault is the style of the cells of some columns.
type columnDefault struct {
	columnRange
	style string
}

// table visits the children of a sheet, and of the groups within it.
func (w *tableWalk) table(m *markup) error {
	switch string(m.name) {
	case "table:table-column":
		return w.readColumn(m)
	case "table:table-row":
		return w.readRow(m)
	case "table:table-columns", "table:table-header-columns", "table:table-column-group",
		"table:table-rows", "table:table-header-rows", "table:table-row-group":
		return m.children(func() error { return w.table(m) })
	}
	return nil
}

// repeated reads how many times an element stands for itself.
func repeated(m *markup, attribute string) (int, error) {
	text := m.attr(attribute)
	if text == nil {
		return 1, nil
	}
	n, ok := wholeNumber(text)
	if !ok || n < 1 {
		return 0, sheetDamaged("the sheet repeats a row or column %q times", text)
	}
	return n, nil
}

func isHidden(m *markup) bool {
	v := string(m.attr("table:visibility"))
	return v == "collapse" || v == "filter"
}

func (w *tableWalk) readColumn(m *markup) error {
	n, err := repeated(m, "table:number-columns-repeated")
	if err != nil {
		return err
	}
	first := 0
	if k := len(w.columns); k > 0 {
		first = w.columns[k-1].last + 1
	}
	if first >= fullColumns {
		return nil
	}
	columns := columnRange{first, min(first+n, fullColumns) - 1}
	w.columns = append(w.columns, columnDefault{columns, string(m.attr("table:default-cell-style-name"))})
	if isHidden(m) {
		w.found.hiddenColumns = append(w.found.hiddenColumns, columns)
	}
	return nil
}

func (w *tableWalk) readRow(m *markup) error {
	n, err := repeated(m, "table:number-rows-repeated")
	if err != nil {
		return err
	}
	hidden := isHidden(m)
	w.style = string(m.attr("table:default-cell-style-name"))
	w.column = 0
	w.row.reset()
	if err := m.children(func() error { return w.readCell(m) }); err != nil {
		return err
	}
	first := w.number + 1
	w.number += n
	if !w.row.filled {
		return nil
	}
	if w.number > w.book.limits.Rows {
		return sheetDamaged("the sheet has a row %d, and %d are the most there can be", w.number, w.book.limits.Rows)
	}
	cells := w.row.done()
	for number := first; number <= w.number; number++ {
		given := cells
		if n > 1 {
			given = slices.Clone(cells) // visit may mark them
		}
		if !w.visit(Row{Number: number, Hidden: hidden, Cells: given}) {
			return errStop
		}
	}
	return nil
}

// An openCell is a cell as the file has it.
type openCell struct {
	kind, value, currency, formula, style string
	failed                                bool // the value is an error
	paragraphs                            int
	text                                  []byte
	comment                               string
}

func (w *tableWalk) readCell(m *markup) error {
	name := string(m.name)
	if name != "table:table-cell" && name != "table:covered-table-cell" {
		return nil
	}
	n, err := repeated(m, "table:number-columns-repeated")
	if err != nil {
		return err
	}
	first := w.column
	w.column += n
	if err := w.span(m, first); err != nil {
		return err
	}
	stored := startOpenCell(m)
	if err := stored.contents(m, w.book.limits.CellBytes); err != nil {
		return err
	}
	if stored.style == "" {
		stored.style = w.defaultStyle(first)
	}
	cell, err := w.meaning(&stored)
	if err != nil || cell.Kind == Blank && cell.Formula == "" && cell.Comment == "" {
		return err
	}
	for column := first; column < w.column; column++ {
		if err := w.row.add(column, cell); err != nil {
			return err
		}
	}
	return nil
}

func (w *tableWalk) span(m *markup, column int) error {
	columns, err := repeated(m, "table:number-columns-spanned")
	if err != nil {
		return err
	}
	rows, err := repeated(m, "table:number-rows-spanned")
	if err != nil || columns == 1 && rows == 1 {
		return err
	}
	row := w.number + 1
	return w.found.merge(Merge{FirstRow: row, LastRow: row + rows - 1, FirstColumn: column, LastColumn: column + columns - 1}, w.book.limits)
}

// defaultStyle is the style of a cell that names none.
func (w *tableWalk) defaultStyle(column int) string {
	if w.style != "" {
		return w.style
	}
	for _, c := range w.columns {
		if column >= c.first && column <= c.last {
			return c.style
		}
	}
	return ""
}

func startOpenCell(m *markup) openCell {
	c := openCell{
		kind:     string(m.attr("office:value-type")),
		currency: string(m.attr("office:currency")),
		style:    string(m.attr("table:style-name")),
		failed:   string(m.attr("calcext:value-type")) == "error",
	}
	_, c.formula, _ = strings.Cut(string(m.attr("table:formula")), "=")
	switch c.kind {
	case "date":
		c.value = string(m.attr("office:date-value"))
	case "time":
		c.value = string(m.attr("office:time-value"))
	case "boolean":
		c.value = string(m.attr("office:boolean-value"))
	case "string":
		c.value = string(m.attr("office:string-value"))
	default:
		c.value = string(m.attr("office:value"))
	}
	return c
}

// contents reads text and comment of the cell just started.
func (c *openCell) contents(m *markup, most int) error {
	err := m.children(func() error {
		switch string(m.name) {
		case "text:p":
			if c.paragraphs++; c.paragraphs > 1 {
				c.text = append(c.text, '\n')
			}
			c.text = m.appendParagraph(c.text, most)
		case "office:annotation":
			var text []byte
			err := m.children(func() error {
				if string(m.name) == "text:p" {
					if len(text) > 0 {
						text = append(text, '\n')
					}
					text = m.appendParagraph(text, most)
				}
				return nil
			})
			c.comment = oneSpelling(string(text))
			return err
		}
		return nil
	})
	if err == nil && c.kind == "string" && c.value == "" {
		c.value = string(c.text)
	}
	return err
}

// appendParagraph adds the text of the paragraph just started, and reads on to
// its end. Line ends and tabs of the XML are spaces; those of the text are
// elements. Spaces stay as they are, although ODF would have several count once:
// LibreOffice writes them so.
func (m *markup) appendParagraph(out []byte, most int) []byte {
	depth := m.depth
	for m.err == nil && m.depth >= depth {
		switch m.next() {
		case characters:
			for _, c := range m.data {
				if c == '\n' || c == '\t' {
					c = ' '
				}
				out = append(out, c)
			}
		case startElement:
			out = m.appendInline(out, most)
		}
		if len(out) > most && m.err == nil {
			m.err = tooLarge("shorten the text, or delete it", "a cell holds more text than is read")
		}
	}
	return out
}

func (m *markup) appendInline(out []byte, most int) []byte {
	switch string(m.name) {
	case "text:s":
		n, ok := wholeNumber(m.attr("text:c"))
		if !ok {
			n = 1
		}
		return append(out, bytes.Repeat([]byte(" "), min(n, most+1))...)
	case "text:tab":
		return append(out, '\t')
	case "text:line-break":
		return append(out, '\n')
	case "text:ruby-text", "text:note", "office:annotation":
		m.skip(m.depth)
	}
	return out
}

// meaning turns the stored cell into what it holds.
func (w *tableWalk) meaning(c *openCell) (Cell, error) {
	cell, err := w.value(c)
	cell.Comment = c.comment
	if cell.Kind != Bool || !isTruthFormula(c.formula) {
		cell.Formula = c.formula
	}
	return cell, err
}

func (w *tableWalk) value(c *openCell) (Cell, error) {
	shown := oneSpelling(string(c.text))
	if c.failed || c.formula != "" && isFault(shown) {
		return Cell{Kind: Fault, Text: shown}, nil
	}
	format := w.book.format(c.style)
	switch c.kind {
	case "float", "percentage", "currency":
		return w.numeric(c, format)
	case "date":
		return w.date(c, format)
	case "time":
		return w.time(c, format)
	case "boolean":
		if c.value != "true" && c.value != "false" {
			return Cell{}, w.fault(c)
		}
		return truthCell(c.value == "true"), nil
	case "string":
		shown = oneSpelling(c.value)
	case "":
		if c.formula != "" && c.paragraphs == 0 {
			return Cell{Kind: Formula}, nil
		}
	default:
		return Cell{}, w.fault(c)
	}
	if isBlank(shown) {
		return Cell{}, nil
	}
	return Cell{Kind: Text, Text: shown}, nil
}

// isFault knows the errors that formulas give.
func isFault(text string) bool {
	switch text {
	case "#N/A", "#REF!", "#VALUE!", "#NAME?", "#DIV/0!", "#NUM!", "#NULL!":
		return true
	}
	return strings.HasPrefix(text, "Err:")
}

func (w *tableWalk) fault(c *openCell) error {
	return sheetDamaged("a cell of row %d holds %q where a value of the type %q should be", w.number+1, c.value, c.kind)
}

func (w *tableWalk) numeric(c *openCell, format *numberFormat) (Cell, error) {
	v, err := parseDecimal([]byte(c.value))
	if err != nil {
		return Cell{}, w.fault(c)
	}
	if isTruth := string(c.text) == truthText(v != 0); isTruth && (v == 0 || v == 1) {
		return truthCell(v == 1), nil // LibreOffice writes results of comparisons so
	}
	section := *format.section(v)
	if section.kind != plainFormat {
		section = formatSection{}
	}
	if c.kind == "percentage" && section.percent == 0 {
		section.percent, section.unit = 1, "%"
	}
	if c.kind == "currency" && section.unit == "" {
		section.unit = c.currency
	}
	s := plainNumber(v, &section)
	return s.withText(), nil
}

// withText is the cell with its text.
func (s *serialCell) withText() Cell {
	cell := s.cell()
	cell.Text = string(s.appendValue(nil))
	return cell
}

func (w *tableWalk) date(c *openCell, format *numberFormat) (Cell, error) {
	cell, ok := isoCell(c.value)
	if !ok || cell.Kind == Clock {
		return Cell{}, w.fault(c)
	}
	if cell.Kind == Text {
		return cell, nil
	}
	shown := format.sections[0]
	unit := time.Second
	if shown.seconds {
		unit = time.Millisecond
	}
	s := serialCell{kind: cell.Kind, at: cell.Time.Round(unit), format: format.code}
	if shown.clock {
		s.kind = Instant
	}
	return s.withText(), nil
}

func (w *tableWalk) time(c *openCell, format *numberFormat) (Cell, error) {
	days, ok := parseDuration(c.value)
	if !ok {
		return Cell{}, w.fault(c)
	}
	s := serialCell{kind: Span, number: days, format: format.code}
	if format.sections[0].kind != elapsedFormat {
		s.readClock(&format.sections[0], w.book.epoch)
	}
	return s.withText(), nil
}

// parseDuration reads hours, minutes and seconds of an ISO 8601 duration, and
// gives days.
func parseDuration(text string) (days float64, ok bool) {
	sign := 1.0
	if rest, negative := strings.CutPrefix(text, "-"); negative {
		sign, text = -1, rest
	}
	rest, ok := strings.CutPrefix(text, "PT")
	if !ok || rest == "" {
		return 0, false
	}
	seconds := 0.0
	for _, part := range []struct {
		letter string
		length float64
	}{{"H", 3600}, {"M", 60}, {"S", 1}} {
		number, after, found := strings.Cut(rest, part.letter)
		if !found {
			continue
		}
		v, err := strconv.ParseFloat(strings.Replace(number, ",", ".", 1), 64)
		if err != nil || v < 0 || math.IsInf(v, 0) || math.IsNaN(v) {
			return 0, false
		}
		seconds += v * part.length
		rest = after
	}
	return sign * seconds / secondsOfDay, rest == ""
}
