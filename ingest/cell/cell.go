// Package cell reads the text of single cells: numbers, counts, dates and
// clock times, yes and no, groups of fish, causes of loss and ways of counting.
// There is one grammar a kind. What cannot be told from one cell alone (the
// decimal mark, the order of day and month, marks and blanks) is decided over
// a whole column first.
//
// Each kind has a Parse function for text that holds a value, and an Of function
// for a cell as a file stores it, which takes stored numbers, dates and truth
// values as they are and knows the kind's words for "not recorded". A cell that
// could be read in two ways gives a Fault, never a value.
//
// The package knows nothing of headings, rows or tables, and converts no units.
package cell

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"gravid/ingest/cell/word"
	"gravid/ingest/problem"
	"gravid/ingest/source"
)

// A Fault says why a cell could not be read. It becomes a problem.Problem once
// its place is known.
type Fault struct {
	Code    problem.Code
	Message string // one sentence in lower case without full stop
	Fix     string // what to do; empty where nothing more can be said
}

// Error makes a Fault an error.
func (f *Fault) Error() string { return f.Message }

func faultf(code problem.Code, fix, format string, args ...any) *Fault {
	return &Fault{Code: code, Message: fmt.Sprintf(format, args...), Fix: fix}
}

// IsMissing reports whether text says that nothing was recorded: nothing at
// all, dashes, question marks, or words such as "n/a", "k.A." and "inconnu".
// Counts, answers and losses have words of their own for nothing; their Of
// functions know them.
func IsMissing(text string) bool {
	trimmed := strings.Trim(text, " \t\r\n\u00a0")
	if len(trimmed) > 40 {
		return false
	}
	if strings.Trim(trimmed, "-–—.?…/ ") == "" {
		return true
	}
	folded := word.Fold(trimmed)
	return missingWords[folded] || missingShort[strings.ToLower(trimmed)]
}

//go:embed missing.csv
var missingList string

// missingWords are compared folded; missingShort are short forms that mean nothing
// without their dots, and are compared as written.
var missingWords, missingShort = missingFrom(missingList)

func missingFrom(list string) (folded, short map[string]bool) {
	folded, short = map[string]bool{}, map[string]bool{}
	rows, err := csv.NewReader(strings.NewReader(list)).ReadAll()
	if err != nil {
		panic("cell: missing.csv: " + err.Error())
	}
	for _, r := range rows[1:] {
		if r[2] == "as written" {
			short[strings.ToLower(r[1])] = true
		} else {
			folded[word.Fold(r[1])] = true
		}
	}
	return folded, short
}

func set(words ...string) map[string]bool {
	m := make(map[string]bool, len(words))
	for _, w := range words {
		m[w] = true
	}
	return m
}

// tidy writes spaces and signs that look alike in one way.
func tidy(text string) string {
	plain := true
	for i := 0; i < len(text) && plain; i++ {
		plain = text[i] < 0x80 && text[i] != '\t' && text[i] != '\n' && text[i] != '\r' && !(text[i] == ' ' && (i == 0 || i == len(text)-1 || text[i+1] == ' '))
	}
	if plain {
		return text
	}
	text = strings.Map(func(r rune) rune {
		switch r {
		case '\u2212':
			return '-'
		case '\u200b', '\u200e', '\u200f', '\u2060', '\ufeff':
			return -1
		}
		return r
	}, text)
	return strings.Join(strings.Fields(text), " ")
}

// unreadable gives the fault of a cell that holds no value at all: an error of
// the spreadsheet or a formula without a result. It is nil for other cells.
func unreadable(c source.Cell) *Fault {
	switch c.Kind {
	case source.Fault:
		return faultf(problem.CellError, "mend the formula, or write the value", "the spreadsheet shows the error %s here", c.Text)
	case source.Formula:
		return faultf(problem.FormulaEmpty, "open the file in a spreadsheet program and save it, so that results are stored", "the formula %s has no stored result", c.Formula)
	}
	return nil
}

// quote shows a cell's text in a message, shortened where it is long.
func quote(text string) string {
	const most = 40 // characters
	if enough := (most + 1) * utf8.UTFMax; len(text) > enough {
		text = text[:enough] // what is cut off may be very long
	}
	if runes := []rune(text); len(runes) > most {
		text = string(runes[:most-1]) + "…"
	}
	return strconv.Quote(text)
}
