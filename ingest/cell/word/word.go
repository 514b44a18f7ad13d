// Package word compares words as keepers write them: without regard to case,
// accents and punctuation, and with the number of slips of the pen between two.
//
// It knows letters only; what a word means is for its callers.
package word

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// Fold writes text in the form in which words are compared: small letters
// without accents (ä as a, ß as ss, œ as oe), digits, and the signs # % ° ♀ ♂ as
// words of their own. Apostrophes vanish, all other signs separate words, and
// one space stands between two words.
func Fold(text string) string {
	if s, done := foldASCII(text); done {
		return s
	}
	text = strings.NewReplacer("\u00ba", "°", "\u02da", "°").Replace(text)
	var b strings.Builder
	b.Grow(len(text))
	space := false
	put := func(s string, alone bool) {
		if (space || alone) && b.Len() > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(s)
		space = alone
	}
	for _, r := range norm.NFKD.String(text) {
		r = unicode.ToLower(r)
		switch {
		case unicode.Is(unicode.Mn, r), isApostrophe(r):
		case r == 'ß':
			put("ss", false)
		case r == 'œ':
			put("oe", false)
		case r == 'æ':
			put("ae", false)
		case r == 'ø':
			put("o", false)
		case unicode.IsLetter(r), unicode.IsDigit(r):
			put(string(r), false)
		case isSign(r):
			put(string(r), true)
		default:
			space = true
		}
	}
	return b.String()
}

// Digraphs is Fold for those who write ae, oe and ue where others write ä, ö
// and ü.
func Digraphs(text string) string {
	return Fold(strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "Ä", "Ae", "Ö", "Oe", "Ü", "Ue").Replace(norm.NFC.String(text)))
}

func isApostrophe(r rune) bool { return r == '\'' || r == '’' || r == '‘' || r == 'ʼ' || r == '`' }

func isSign(r rune) bool {
	return r == '#' || r == '%' || r == '°' || r == '♀' || r == '♂'
}

// foldASCII folds text of plain letters, digits and spaces, the usual case.
func foldASCII(text string) (string, bool) {
	b := make([]byte, 0, len(text))
	space := false
	for i := 0; i < len(text); i++ {
		c := text[i]
		switch {
		case c >= 'A' && c <= 'Z':
			c += 'a' - 'A'
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9':
		case c == '\'' || c == '`':
			continue
		case c >= 0x80 || c == '#' || c == '%':
			return "", false
		default:
			space = true
			continue
		}
		if space && len(b) > 0 {
			b = append(b, ' ')
		}
		space = false
		b = append(b, c)
	}
	return string(b), true
}

// Distance counts the letters to insert, drop, replace or swap with their
// neighbour to get from a to b (optimal string alignment). It stops counting
// beyond limit and then returns limit + 1.
func Distance(a, b string, limit int) int {
	from, to := []rune(a), []rune(b)
	if diff := len(from) - len(to); diff > limit || -diff > limit {
		return limit + 1
	}
	before, above, row := make([]int, len(to)+1), make([]int, len(to)+1), make([]int, len(to)+1)
	for j := range above {
		above[j] = j
	}
	for i := 1; i <= len(from); i++ {
		row[0] = i
		least := i
		for j := 1; j <= len(to); j++ {
			replace := above[j-1]
			if from[i-1] != to[j-1] {
				replace++
			}
			row[j] = min(above[j]+1, row[j-1]+1, replace)
			if i > 1 && j > 1 && from[i-1] == to[j-2] && from[i-2] == to[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
			least = min(least, row[j])
		}
		if least > limit {
			return limit + 1
		}
		before, above, row = above, row, before
	}
	return min(above[len(to)], limit+1)
}
