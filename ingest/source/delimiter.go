package source

import (
	"math"
	"strings"
	"unicode"
)

// separatorLine finds a first line such as "sep=;", by which spreadsheet programs
// are told the delimiter. after is where the next line begins, 0 when there is no
// such line.
func separatorLine(text string) (delimiter byte, after int) {
	line, _, _ := strings.Cut(text, "\n")
	line, _, _ = strings.Cut(line, "\r")
	bare := strings.TrimSuffix(strings.TrimPrefix(line, `"`), `"`)
	if len(bare) != 5 || !strings.EqualFold(bare[:4], "sep=") || !mayDelimit(bare[4]) {
		return 0, 0
	}
	after = len(line)
	if strings.HasPrefix(text[after:], "\r") {
		after++
	}
	if strings.HasPrefix(text[after:], "\n") {
		after++
	}
	return bare[4], after
}

// mayDelimit tells whether a byte can stand between cells without being part of
// numbers, words or dates.
func mayDelimit(b byte) bool {
	return b == '\t' || b == ' ' || b > ' ' && b < 0x7f && b != '"' && b != '.' && b != '-' &&
		!unicode.IsLetter(rune(b)) && !unicode.IsDigit(rune(b))
}

// delimiterSample is how much of a text is looked at to find its delimiter.
const delimiterSample = 64 << 10

// findDelimiter chooses among tab, semicolon, comma and bar the one that gives
// rows of one width with cells that look like values. It is 0 when none cuts any
// row.
func findDelimiter(text string, columns int) byte {
	sample := text
	if len(sample) > delimiterSample {
		sample = sample[:delimiterSample]
		if i := strings.LastIndexAny(sample, "\r\n"); i > 0 {
			sample = sample[:i]
		}
	}
	const candidates = "\t;,|"
	var scores [len(candidates)]float64
	for i := range candidates {
		scores[i] = delimiterScore(sample, candidates[i], columns)
	}
	comma := strings.IndexByte(candidates, ',')
	for i, score := range scores {
		if i != comma && score > scores[comma]/2 && commasInNumbers(sample) {
			scores[comma] /= 2
			break
		}
	}
	var best byte
	var top float64
	for i, score := range scores {
		if score > top {
			best, top = candidates[i], score
		}
	}
	return best
}

// delimiterScore is the square of the share of rows with the commonest width of 2
// or more, times the mean likeness of cells to values, times 1 + ln width, times
// 1 less half the share of rows with stray quotation marks.
func delimiterScore(sample string, delimiter byte, columns int) float64 {
	t := newTokeniser(sample, delimiter, columns)
	widths := make(map[int]int)
	var rows, stray, cells int
	var likeness float64
	for {
		row, ok := t.next()
		if !ok {
			break
		}
		if len(row.Cells) == 0 || len(row.Cells) == 1 && row.Cells[0].Kind == Blank {
			continue
		}
		rows++
		widths[t.width]++
		if t.badQuote {
			stray++
		}
		for _, c := range row.Cells {
			likeness += valueLikeness(c.Text, delimiter)
		}
		cells += len(row.Cells)
	}
	width, count := 0, 0
	for w, n := range widths {
		if w >= 2 && (n > count || n == count && w > width) {
			width, count = w, n
		}
	}
	if count == 0 {
		return 0
	}
	share := float64(count) / float64(rows)
	return share * share * likeness / float64(cells) * (1 + math.Log(float64(width))) * (1 - 0.5*float64(stray)/float64(rows))
}

// valueLikeness says how much a cell looks like one value, from 0 to 1: numbers,
// dates and times most, short words less, sentences and words behind a comma and a
// space little, and text that another delimiter would cut hardly at all.
func valueLikeness(s string, delimiter byte) float64 {
	prose := delimiter == ',' && strings.HasPrefix(s, " ")
	s = strings.TrimSpace(s)
	var digits, letters int
	for _, r := range s {
		switch {
		case unicode.IsDigit(r):
			digits++
		case unicode.IsLetter(r):
			letters++
		case r == '\t', r == ';', r == '|':
			return 0.1
		}
	}
	long := len(s) > 40
	comma := strings.IndexByte(s, ',')
	switch {
	case s == "":
		return 0.5
	case digits > 0 && letters <= 4 && !long && (comma < 0 || strings.LastIndexByte(s, ',') == comma):
		return 1
	case long, prose, comma >= 0 && delimiter != ',':
		return 0.4
	}
	return 0.7
}

// commasInNumbers tells whether every comma stands between two digits.
func commasInNumbers(s string) bool {
	isDigit := func(i int) bool { return i >= 0 && i < len(s) && s[i] >= '0' && s[i] <= '9' }
	any := false
	for i := 0; i < len(s); i++ {
		if s[i] == ',' {
			if !isDigit(i-1) || !isDigit(i+1) {
				return false
			}
			any = true
		}
	}
	return any
}
