package source

import (
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// greekQuestionMark composes to a semicolon, which would cut a cell in two.
const greekQuestionMark = "\u037e"

// dropped stands for a character that is left out.
const dropped rune = -1

// oneSpelling writes characters that look alike in one way: composed letters
// (NFC), one kind of space, one minus, one micro and one degree sign. Marks
// without a width of their own go. All other characters stay.
func oneSpelling(s string) string {
	if isASCII(s) {
		return s
	}
	s = mapSigns(s)
	if norm.NFC.IsNormalString(s) {
		return s
	}
	parts := strings.Split(s, greekQuestionMark)
	for i := range parts {
		parts[i] = norm.NFC.String(parts[i])
	}
	return strings.Join(parts, greekQuestionMark)
}

func isASCII(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// mapSigns is strings.Map with oneSign, but gives bytes that are no UTF-8 back
// as they are, and copies nothing when there is nothing to change.
func mapSigns(s string) string {
	var out strings.Builder
	done := 0
	for i := 0; i < len(s); {
		if s[i] < utf8.RuneSelf {
			i++
			continue
		}
		r, size := utf8.DecodeRuneInString(s[i:])
		if to := oneSign(r); to != r {
			if done == 0 {
				out.Grow(len(s))
			}
			out.WriteString(s[done:i])
			if to != dropped {
				out.WriteRune(to)
			}
			done = i + size
		}
		i += size
	}
	if done == 0 {
		return s
	}
	out.WriteString(s[done:])
	return out.String()
}

func oneSign(r rune) rune {
	switch {
	case r == 0xA0, r >= 0x2000 && r <= 0x200A, r == 0x202F, r == 0x205F, r == 0x3000:
		return ' ' // no-break, thin and other spaces
	case r == 0x200B, r == 0x200E, r == 0x200F, r == 0x2060, r == 0xFEFF:
		return dropped // zero-width space, direction marks, word joiner, byte order mark
	case r == 0x2212:
		return '-' // minus sign
	case r == 0x3BC:
		return 'µ' // Greek mu to micro sign
	case r == 0xBA, r == 0x2DA:
		return '°' // masculine ordinal and ring above to degree sign
	}
	return r
}
