package source

import "strings"

// quoteLines is how many lines a quoted cell may run over. A quotation mark that
// does not close within them is taken for a stray one.
const quoteLines = 20

// A tokeniser cuts delimited text into rows and cells, which lie in the memory of
// the text. A quotation mark is one only at the beginning of a cell. When it does
// not close, or closes into other text, the line is read literally and marked:
// no line is ever swallowed by a stray mark.
//
// A long text is not there as a whole: text is then a window on it, which begins
// with the row that is being read and is extended until nothing about the row
// depends on where the window ends.
type tokeniser struct {
	text      string
	rest      *textStream // what follows text; nil where nothing does
	delimiter byte        // 0 = a line is one cell
	columns   int         // cells beyond are left out when blank, and end up in wide when not

	pos    int  // where the next row begins
	line   int  // number of that line, from 1
	feed   int  // the first LF at or after pos, len(text) when there is none
	quotes bool // text holds a quotation mark
	short  bool // the end of the window was taken for the end of a line

	cells    []Cell // of this row from first on; those before are of rows that are still in use
	first    int
	width    int  // cells of this row, also those left out
	wide     int  // width when a cell beyond columns holds something, else 0
	badQuote bool // this row is a line with a stray quotation mark
}

// newTokeniser starts at the first line, or behind a "sep=" line.
func newTokeniser(text string, delimiter byte, columns int) *tokeniser {
	return startTokeniser(text, nil, delimiter, columns)
}

// separatorReach is more than a "sep=" line can be long.
const separatorReach = 16

// newLongTokeniser is newTokeniser for a long text.
func newLongTokeniser(from *textStream, delimiter byte, columns int) *tokeniser {
	text, ended := from.extend("")
	for !ended && len(text) < separatorReach {
		text, ended = from.extend(text)
	}
	if ended {
		from = nil
	}
	return startTokeniser(text, from, delimiter, columns)
}

func startTokeniser(text string, rest *textStream, delimiter byte, columns int) *tokeniser {
	t := &tokeniser{delimiter: delimiter, columns: columns, line: 1}
	t.show(text, rest)
	if _, after := separatorLine(text); after > 0 {
		t.pos, t.line = after, 2
	}
	return t
}

// show puts the window on text.
func (t *tokeniser) show(text string, rest *textStream) {
	t.text, t.rest = text, rest
	t.pos, t.feed = 0, -1
	t.quotes = strings.IndexByte(text, '"') >= 0
}

// extend moves the window on, so that it begins with the next row and reaches
// further. It reports false at the end of the text.
func (t *tokeniser) extend() bool {
	if t.rest == nil {
		return false
	}
	rest := t.rest
	text, ended := rest.extend(t.text[t.pos:])
	if ended {
		rest = nil
	}
	t.show(text, rest)
	return true
}

// next gives the next row; its cells are valid until the one after it.
func (t *tokeniser) next() (Row, bool) {
	for t.pos >= len(t.text) {
		if !t.extend() {
			return Row{}, false
		}
	}
	line := t.line
	after := t.row()
	for t.short && t.extend() {
		t.line = line
		after = t.row()
	}
	t.pos = after
	return Row{Number: line, Cells: t.cells[t.first:len(t.cells):len(t.cells)]}, true
}

// row cuts the row at pos, and gives where the next begins.
func (t *tokeniser) row() (after int) {
	t.clear()
	t.badQuote, t.short = false, false
	end, after := t.lineEnd(t.pos)
	if t.quotes && strings.IndexByte(t.text[t.pos:end], '"') >= 0 {
		return t.quotedRow(end, after)
	}
	t.split(t.pos, end)
	t.line++
	return after
}

// clear takes the cells of the row back.
func (t *tokeniser) clear() { t.cells, t.width, t.wide = t.cells[:t.first], 0, 0 }

// lineEnd gives where the line that holds from ends, and where the next begins.
// LF, CR LF and CR end a line.
func (t *tokeniser) lineEnd(from int) (end, after int) {
	if t.feed < from {
		t.feed = len(t.text)
		if i := strings.IndexByte(t.text[from:], '\n'); i >= 0 {
			t.feed = from + i
		}
	}
	end = t.feed
	if i := strings.IndexByte(t.text[from:t.feed], '\r'); i >= 0 {
		end = from + i
		if end+1 < t.feed || t.feed == len(t.text) {
			t.short = t.short || end+1 == len(t.text)
			return end, end + 1
		}
	}
	t.short = t.short || t.feed == len(t.text)
	return end, min(t.feed+1, len(t.text))
}

// split cuts a line at every delimiter.
func (t *tokeniser) split(from, end int) {
	if from == end {
		return
	}
	if t.delimiter == 0 {
		t.add(t.text[from:end])
		return
	}
	for {
		i := strings.IndexByte(t.text[from:end], t.delimiter)
		if i < 0 {
			t.add(t.text[from:end])
			return
		}
		t.add(t.text[from : from+i])
		from += i + 1
	}
}

// quotedRow reads a row with quotation marks, whose first line ends at end. It
// gives where the next row begins.
func (t *tokeniser) quotedRow(end, after int) int {
	stop, found := t.quoted(t.pos, end)
	if found == openQuote {
		feed := t.feed
		window := end
		for next, n := after, 1; n < quoteLines; n++ {
			if next == len(t.text) {
				t.short = true
				break
			}
			window, next = t.lineEnd(next)
		}
		t.feed = feed
		t.clear()
		stop, found = t.quoted(t.pos, window)
	}
	if found != closedQuotes {
		t.clear()
		t.badQuote = true
		t.split(t.pos, end)
		t.line++
		return after
	}
	if stop == end {
		t.line++
		return after
	}
	t.line += 1 + lineEnds(t.text[t.pos:stop])
	_, after = t.lineEnd(stop)
	return after
}

// quotes says how the quotation marks of a row were found.
type quotes uint8

const (
	closedQuotes quotes = iota // each closes where a cell ends
	openQuote                  // one does not close in the stretch of text
	strayQuote                 // one closes into other text
)

// quoted cuts the row that begins at from and ends at to at the latest. It gives
// where the row ended.
func (t *tokeniser) quoted(from, to int) (stop int, found quotes) {
	for {
		next, found := t.quotedCell(from, to)
		if found != closedQuotes {
			return from, found
		}
		if next == to || t.text[next] != t.delimiter {
			return next, closedQuotes
		}
		from = next + 1
	}
}

// quotedCell adds the cell that begins at from, and gives where it ends: at a
// delimiter, a line end or to.
func (t *tokeniser) quotedCell(from, to int) (stop int, found quotes) {
	start := from
	for start < to && t.text[start] == ' ' {
		start++
	}
	if start < to && t.text[start] == '"' {
		stop, found = t.insideQuotes(start+1, to)
		if found == closedQuotes || start == from {
			return stop, found
		}
	}
	for stop = from; stop < to && !t.endsCell(stop); stop++ {
	}
	t.add(t.text[from:stop])
	return stop, closedQuotes
}

func (t *tokeniser) endsCell(i int) bool {
	c := t.text[i]
	return c == t.delimiter || c == '\n' || c == '\r'
}

// insideQuotes adds the cell whose text begins at from, behind its opening mark.
func (t *tokeniser) insideQuotes(from, to int) (stop int, found quotes) {
	doubled := false
	mark := from
	for {
		i := strings.IndexByte(t.text[mark:to], '"')
		if i < 0 {
			return to, openQuote
		}
		mark += i
		if mark+1 == to || t.text[mark+1] != '"' {
			break
		}
		doubled = true
		mark += 2
	}
	stop = mark + 1
	for stop < to && t.text[stop] == ' ' && t.delimiter != ' ' {
		stop++
	}
	if stop < to && !t.endsCell(stop) {
		return stop, strayQuote
	}
	text := t.text[from:mark]
	if doubled {
		text = strings.ReplaceAll(text, `""`, `"`)
	}
	t.add(text)
	return stop, closedQuotes
}

// add puts a cell at the end of the row.
func (t *tokeniser) add(text string) {
	t.width++
	blank := isBlank(text)
	if t.width > t.columns {
		if !blank {
			t.wide = t.width
		}
		return
	}
	cell := Cell{Kind: Text, Text: text}
	if blank {
		cell = Cell{}
	}
	t.cells = append(t.cells, cell)
}

func isBlank(s string) bool {
	return s == "" || s[0] <= ' ' && strings.TrimSpace(s) == ""
}
