package source

import "strings"

// quoteLines is how many lines a quoted cell may run over. A quotation mark that
// does not close within them is taken for a stray one.
const quoteLines = 20

// A tokeniser cuts delimited text into rows and cells, which lie in the memory of
// the text. A quotation mark is one only at the beginning of a cell. When it does
// not close, or closes into other text, the line is read literally and marked:
// no line is ever swallowed by a stray mark.
type tokeniser struct {
	text      string
	delimiter byte // 0 = a line is one cell
	columns   int  // cells beyond are left out when blank, and end up in wide when not

	pos  int // where the next row begins
	line int // number of that line, from 1
	feed int // the first LF at or after pos, len(text) when there is none

	cells    []Cell
	width    int  // cells of this row, also those left out
	wide     int  // width when a cell beyond columns holds something, else 0
	badQuote bool // this row is a line with a stray quotation mark
}

// newTokeniser starts at the first line, or behind a "sep=" line.
func newTokeniser(text string, delimiter byte, columns int) *tokeniser {
	t := &tokeniser{text: text, delimiter: delimiter, columns: columns, line: 1, feed: -1}
	if _, after := separatorLine(text); after > 0 {
		t.pos, t.line = after, 2
	}
	return t
}

// next gives the next row; its cells are valid until the one after it.
func (t *tokeniser) next() (Row, bool) {
	if t.pos >= len(t.text) {
		return Row{}, false
	}
	t.cells, t.width, t.wide, t.badQuote = t.cells[:0], 0, 0, false
	row := Row{Number: t.line}
	end, after := t.lineEnd(t.pos)
	if strings.IndexByte(t.text[t.pos:end], '"') < 0 {
		t.split(t.pos, end)
		t.line++
	} else {
		after = t.quotedRow(end, after)
	}
	t.pos = after
	row.Cells = t.cells
	return row, true
}

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
			return end, end + 1
		}
	}
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
		for next, n := after, 1; n < quoteLines && next < len(t.text); n++ {
			window, next = t.lineEnd(next)
		}
		t.feed = feed
		t.cells, t.width, t.wide = t.cells[:0], 0, 0
		stop, found = t.quoted(t.pos, window)
	}
	if found != closedQuotes {
		t.cells, t.width, t.wide = t.cells[:0], 0, 0
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
