package text

import (
	"strings"
	"unicode"

	xwidth "golang.org/x/text/width"
)

// width is how many columns of a terminal s takes.
func width(s string) int {
	n := 0
	for _, r := range s {
		n += runeWidth(r)
	}
	return n
}

func runeWidth(r rune) int {
	switch {
	case r < 0x300:
		return 1
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	}
	switch xwidth.LookupRune(r).Kind() {
	case xwidth.EastAsianWide, xwidth.EastAsianFullwidth:
		return 2
	}
	return 1
}

// wrap breaks s into lines of at most w columns, at spaces where it can and
// inside a longer word where it must. An empty s is one empty line. No-break
// spaces do not break.
func wrap(s string, w int) []string {
	w = max(w, 1)
	var lines []string
	line, used := "", 0
	for word := range strings.FieldsFuncSeq(s, func(r rune) bool { return r == ' ' }) {
		n := width(word)
		if used > 0 && used+1+n <= w {
			line, used = line+" "+word, used+1+n
			continue
		}
		if used > 0 {
			lines = append(lines, line)
		}
		if strings.HasPrefix(word, messageStart) {
			word, n = " "+word, n+1
		}
		for n > w {
			head := fitting(word, w)
			lines = append(lines, head)
			word = word[len(head):]
			n -= width(head)
		}
		line, used = word, n
	}
	if used > 0 || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

// messageStart is how the program's messages begin. No line of an answer does, since a
// text of a keeper's could be broken there and be taken for a message.
const messageStart = "gravid:"

// fitting is the longest beginning of word that fits w columns, at least one character.
func fitting(word string, w int) string {
	n := 0
	for i, r := range word {
		if n += runeWidth(r); n > w && i > 0 {
			return word[:i]
		}
	}
	return word
}

// longestWord is the width of the widest word of s.
func longestWord(s string) int {
	n := 0
	for word := range strings.FieldsSeq(s) {
		n = max(n, width(word))
	}
	return n
}

// pad fills s with spaces on its right to w columns, padLeft on its left.
func pad(s string, w int) string { return s + strings.Repeat(" ", max(w-width(s), 0)) }

func padLeft(s string, w int) string { return strings.Repeat(" ", max(w-width(s), 0)) + s }
