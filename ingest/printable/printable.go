// Package printable makes text from files safe to show. Everything that the program
// shows goes through it: messages, answers, pages, workbooks and mappings. It is not
// for tables that other programs read, in which text stays as it was written.
package printable

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Line is s on one line and safe to show: line breaks and tabs become a space,
// several in a row one; control characters (a terminal acts on them), the marks
// that set or turn the direction of writing (they can make a line read otherwise
// than it is), invisible tag characters and bytes that are no UTF-8 become visible
// escapes such as \x1b and \u202e. All other text stays.
func Line(s string) string {
	if plain(s) {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); {
		r, size := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && size == 1:
			fmt.Fprintf(&b, `\x%02x`, s[i])
		case r == '\n' || r == '\t' || r == '\r' || r == '\u2028' || r == '\u2029' || r == '\u0085':
			if !strings.HasSuffix(b.String(), " ") {
				b.WriteByte(' ')
			}
		case r < 0x80 && unicode.IsControl(r):
			fmt.Fprintf(&b, `\x%02x`, r)
		case r > 0xffff && Acting(r):
			fmt.Fprintf(&b, `\U%08x`, r)
		case Acting(r):
			fmt.Fprintf(&b, `\u%04x`, r)
		default:
			b.WriteRune(r)
		}
		i += size
	}
	return strings.TrimSpace(b.String())
}

// plain is the quick way out for most text.
func plain(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] < ' ' || s[i] >= 0x7f {
			return false
		}
	}
	return s == "" || s[0] != ' ' && s[len(s)-1] != ' '
}

// Acting reports whether a rune acts on the text around it, or on the terminal that
// shows it, instead of being seen. Line breaks and tabs are among them.
func Acting(r rune) bool {
	switch {
	case unicode.IsControl(r):
		return true
	case r == 0x061c, r == 0x200e, r == 0x200f: // marks of direction
		return true
	case r >= 0x202a && r <= 0x202e, r >= 0x2066 && r <= 0x206f: // embeddings, overrides, isolates, old controls of shape
		return true
	case r == 0x2028, r == 0x2029: // line and paragraph separators
		return true
	case r >= 0xfff9 && r <= 0xfffb: // interlinear annotation
		return true
	case r >= 0xe0000 && r <= 0xe0fff: // tags and variation selectors beyond the first 16
		return true
	}
	return r == 0xfeff || r == 0x200b || r == 0x2060 || r == 0xfffe || r == 0xffff
}
