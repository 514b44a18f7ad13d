package source

import (
	"iter"
	"strconv"
	"strings"
	"unicode/utf8"

	"gravid/ingest/problem"
)

// listedQuotes is how many lines with stray quotation marks are named one by one.
const listedQuotes = 100

// readText reads the only grid of a text file that is in the memory.
func (f *File) readText(hints Hints, limits Limits) {
	d, err := decode(f.Raw, hints)
	if err != nil {
		f.refuse("", err)
		return
	}
	delimiter, ok := f.usableText(d.text, strings.TrimSpace(d.text) == "", d, hints, limits)
	if !ok {
		return
	}
	rows := func() *tokeniser { return newTokeniser(d.text, delimiter, limits.Columns) }
	if f.checkText(rows(), limits) {
		f.Grids = []Grid{textGrid(f.Name, d.encoding, delimiter, func(yield func(Row) bool) {
			t := rows()
			for row, ok := t.next(); ok && yield(row); row, ok = t.next() {
			}
		})}
	}
}

// readLongText is readText for a file that is not held in the memory.
func (f *File) readLongText(hints Hints, limits Limits) {
	s, err := surveyText(f.content, hints)
	if err != nil {
		f.refuse("", err)
		return
	}
	delimiter, ok := f.usableText(s.head, s.blank, s.decoded, hints, limits)
	if !ok {
		return
	}
	rows := func() *tokeniser { return newLongTokeniser(s.open(), delimiter, limits.Columns) }
	if delimiter != 0 && s.surelyPlain(limits.Columns) || f.checkText(rows(), limits) {
		grid := textGrid(f.Name, s.encoding, delimiter, func(yield func(Row) bool) { rowsAhead(rows, yield) })
		grid.Wordless = s.words + 1
		f.Grids = []Grid{grid}
	}
}

// usableText takes over what is known of a text, and finds its delimiter. head is
// the text, or more than the first delimiterSample bytes of it.
func (f *File) usableText(head string, blank bool, d decoded, hints Hints, limits Limits) (delimiter byte, ok bool) {
	if blank {
		f.refuseEmpty()
		return 0, false
	}
	if err := markupText(head); err != nil {
		f.refuse("", err)
		return 0, false
	}
	delimiter, err := textDelimiter(head, hints, limits)
	if err != nil {
		f.refuse("", err)
		return 0, false
	}
	f.Problems = append(f.Problems, d.problems...)
	f.Problems = append(f.Problems, oddEnding(f.Name, "a text file")...)
	return delimiter, true
}

func textGrid(name, encoding string, delimiter byte, rows iter.Seq[Row]) Grid {
	grid := Grid{File: name, Text: true, Encoding: encoding, Each: rows}
	if delimiter != 0 {
		grid.Delimiter = string(rune(delimiter))
	}
	return grid
}

// textDelimiter takes the delimiter from the hints, from a "sep=" line, or from
// the text.
func textDelimiter(text string, hints Hints, limits Limits) (byte, error) {
	if h := hints.Delimiter; h != "" {
		if len(h) != 1 || !mayDelimit(h[0]) {
			return 0, refuse(problem.MappingInvalid, `write one character, as in delimiter = ";"`,
				"%q cannot stand between cells", h)
		}
		return h[0], nil
	}
	if delimiter, after := separatorLine(text); after > 0 {
		return delimiter, nil
	}
	return findDelimiter(text, limits.Columns), nil
}

// checkText walks all rows once and reports what is wrong with them. It tells
// whether the text can be used.
func (f *File) checkText(t *tokeniser, limits Limits) bool {
	listed := 0
	var rest lineSet // lines with stray quotation marks beyond those listed
	for {
		row, ok := t.next()
		if !ok {
			break
		}
		if t.wide > 0 {
			f.Problems = append(f.Problems, problem.Problem{
				Severity: problem.Error, Code: problem.Limit, Place: problem.Place{Row: row.Number},
				Message: "this row has something in cell " + strconv.Itoa(t.wide) + ", and " +
					strconv.Itoa(limits.Columns) + " columns are the most that are read",
				Fix: "look whether the line breaks of the file are lost, or delete what stands far out to the right",
			})
			return false
		}
		if t.badQuote {
			if listed < listedQuotes {
				listed++
				f.Problems = append(f.Problems, strayQuoteAt(row.Number, strings.Clone(lineText(t))))
			} else {
				rest.add(row.Number)
			}
		}
	}
	if rest.count > 0 {
		f.Problems = append(f.Problems, problem.Problem{
			Severity: problem.Warning, Code: problem.Quote, Place: problem.Place{Row: rest.first()},
			Message: "stray quotation marks also stand in " + rest.String() + ", which were read as they stand",
			Fix:     fixQuote,
		})
	}
	if t.delimiter == 0 {
		f.Problems = append(f.Problems, problem.Problem{
			Severity: problem.Warning, Code: problem.FileKind,
			Message: "no tab, semicolon, comma or bar divides the lines, so each line was read as one cell",
			Fix:     `export it with semicolons between the cells, or name what stands between them in a first line such as sep=/`,
		})
	}
	return true
}

const fixQuote = "take the stray quotation mark out of the line, or write it twice within a quoted cell"

func strayQuoteAt(line int, text string) problem.Problem {
	return problem.Problem{
		Severity: problem.Warning, Code: problem.Quote, Place: problem.Place{Row: line}, Value: text,
		Message: "a quotation mark opens a cell and does not close at the end of one, so the line was read as it stands",
		Fix:     fixQuote,
	}
}

// lineText is the beginning of the line just read, which was a single one.
func lineText(t *tokeniser) string {
	const most = 120
	line := strings.TrimRight(t.text[:t.pos], "\r\n")
	line = line[strings.LastIndexAny(line, "\r\n")+1:]
	if len(line) <= most {
		return line
	}
	cut := most
	for !utf8.RuneStart(line[cut]) {
		cut--
	}
	return line[:cut] + "…"
}
