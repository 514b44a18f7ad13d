package text

import (
	"fmt"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"gravid/analyze/report/format"
)

// A style is the terminal's code for how text looks.
type style string

const (
	bold   style = "\x1b[1m"
	faint  style = "\x1b[2m"
	accent style = "\x1b[1;36m"
)

// paint puts s in a style, where colour is wanted.
func (p *printer) paint(as style, s string) string {
	if !p.o.Color || strings.TrimSpace(s) == "" {
		return s
	}
	return string(as) + s + "\x1b[0m"
}

// Glyphs are the characters that rules and plots are made of.
type glyphs struct {
	line, double, bullet          string
	dot, hollow                   rune
	dash, left, right, less, more rune
	zero, mark, axis, tick        rune
}

var unicodeGlyphs = glyphs{
	line: "─", double: "═", bullet: "•", dot: '●', hollow: '○',
	dash: '─', left: '├', right: '┤', less: '◄', more: '►', zero: '│', mark: '┊', axis: '─', tick: '┴',
}

var asciiGlyphs = glyphs{
	line: "-", double: "=", bullet: "*", dot: '#', hollow: 'o',
	dash: '-', left: '[', right: ']', less: '<', more: '>', zero: '|', mark: ':', axis: '-', tick: '+',
}

// clean is text as it may go to the terminal: printable, and in ASCII where so
// asked.
func (p *printer) clean(s string) string {
	s = format.Printable(s)
	if !p.o.ASCII {
		return s
	}
	return ascii(s)
}

var signs = strings.NewReplacer(
	"\u2212", "-", "–", "-", "—", "-", "\u00a0", " ", "\u202f", " ", "›", ">", "‹", "<", "…", "...", "×", "x", "±", "+/-",
	"’", "'", "‘", "'", "“", `"`, "”", `"`, "•", "*", "·", ".", "°C", "degC", "°", "deg ", "µ", "u", "μ", "u", "≤", "<=", "≥", ">=", "→", "->",
	"²", "2", "³", "3", "½", "1/2", "ß", "ss", "ø", "o", "Ø", "O", "æ", "ae", "Æ", "AE",
)

// ascii writes s with ASCII characters: signs by their usual stand-ins, letters
// without their accents, everything else as \u escapes.
func ascii(s string) string {
	s = norm.NFD.String(signs.Replace(s))
	var b strings.Builder
	for _, r := range s {
		switch {
		case r < 0x80:
			b.WriteRune(r)
		case unicode.Is(unicode.Mn, r): // the accent of the letter before
		case r > 0xffff:
			fmt.Fprintf(&b, `\U%08x`, r)
		default:
			fmt.Fprintf(&b, `\u%04x`, r)
		}
	}
	return b.String()
}
