package source

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"gravid/ingest/problem"
)

// listedQuotes is how many lines with stray quotation marks are named one by one.
const listedQuotes = 100

// readText reads the only grid of a text file.
func (f *File) readText(hints Hints, limits Limits) {
	d, err := decode(f.Raw, hints)
	if err != nil {
		f.refuse("", err)
		return
	}
	if strings.TrimSpace(d.text) == "" {
		f.refuseEmpty()
		return
	}
	if err := markupText(d.text); err != nil {
		f.refuse("", err)
		return
	}
	delimiter, err := textDelimiter(d.text, hints, limits)
	if err != nil {
		f.refuse("", err)
		return
	}
	f.Problems = append(f.Problems, d.problems...)
	f.Problems = append(f.Problems, oddEnding(f.Name, "a text file")...)
	grid := textGrid(f.Name, d, delimiter, limits.Columns)
	if f.checkText(newTokeniser(d.text, delimiter, limits.Columns), limits) {
		f.Grids = []Grid{grid}
	}
}

func textGrid(name string, d decoded, delimiter byte, columns int) Grid {
	grid := Grid{File: name, Text: true, Encoding: d.encoding}
	if delimiter != 0 {
		grid.Delimiter = string(rune(delimiter))
	}
	text := d.text
	grid.Each = func(yield func(Row) bool) {
		t := newTokeniser(text, delimiter, columns)
		for row, ok := t.next(); ok && yield(row); row, ok = t.next() {
		}
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
	var stray lineSet
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
			stray.add(row.Number)
			if len(stray.lines) <= listedQuotes {
				f.Problems = append(f.Problems, strayQuoteAt(row.Number, lineText(t)))
			}
		}
	}
	if more := len(stray.lines) - listedQuotes; more > 0 {
		rest := lineSet{stray.lines[listedQuotes:]}
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
