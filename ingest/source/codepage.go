package source

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/encoding/charmap"
)

// A codepage is a way of writing text with one byte a character.
type codepage struct {
	name  string
	runes [256]rune
}

// westernCodepages are the code pages that are told apart, the likeliest first:
// spreadsheets under Windows, under old Mac OS, and programs that still write as
// DOS did.
func westernCodepages() []codepage {
	return []codepage{
		newCodepage("windows-1252", charmap.Windows1252),
		newCodepage("macintosh", charmap.Macintosh),
		newCodepage("ibm850", charmap.CodePage850),
	}
}

// newCodepage lists a code page. Bytes it leaves open become the control
// characters of the same number, so that no byte is lost.
func newCodepage(name string, from *charmap.Charmap) codepage {
	page := codepage{name: name}
	for b := range page.runes {
		r := from.DecodeByte(byte(b))
		if r == unicode.ReplacementChar {
			r = rune(b)
		}
		page.runes[b] = r
	}
	return page
}

func (c *codepage) decode(raw []byte) string {
	var out strings.Builder
	out.Grow(len(raw) + len(raw)/8)
	for _, b := range raw {
		out.WriteRune(c.runes[b])
	}
	return out.String()
}

// scoredBytes is how many bytes above 127 are looked at to choose a code page.
const scoredBytes = 5000

// clearLead is by how much the best code page must beat the others, per
// character, to be called sure.
const clearLead = 0.5

// pageScores says under which code page the bytes above 127 make most sense beside
// their neighbours.
type pageScores struct {
	pages  []codepage
	scores []float64
	n      int // bytes scored
}

func newPageScores() *pageScores {
	pages := westernCodepages()
	return &pageScores{pages: pages, scores: make([]float64, len(pages))}
}

// add scores the next block, whose end it returns, or -1 when enough was seen.
func (s *pageScores) add(b block) int {
	for i := b.from; i < b.to; i++ {
		if b.bytes[i] < 0x80 {
			continue
		}
		if s.n == scoredBytes {
			return -1
		}
		s.n++
		for p := range s.pages {
			s.scores[p] += s.pages[p].sense(b.bytes, i)
		}
	}
	return b.to
}

// best chooses the code page. sure is false when another page does nearly as well.
// The first page wins ties.
func (s *pageScores) best() (best *codepage, sure bool) {
	top := 0
	for p := range s.scores {
		if s.scores[p] > s.scores[top] {
			top = p
		}
	}
	sure = true
	for p := range s.scores {
		if p != top && s.scores[top]-s.scores[p] < clearLead*float64(s.n) {
			sure = false
		}
	}
	return &s.pages[top], sure
}

// sense says how well the character at byte i fits between its neighbours, from
// about -5 (cannot be) to 1.5 (just what people write there).
func (c *codepage) sense(raw []byte, i int) float64 {
	at := func(k int) rune {
		if k < 0 || k >= len(raw) {
			return ' '
		}
		return c.runes[raw[k]]
	}
	before, r, after := at(i-1), c.runes[raw[i]], at(i+1)
	if unicode.IsLetter(r) && r != 'µ' && r != 'º' && r != 'ª' {
		return letterSense(before, r, after)
	}
	if before == ' ' && i > 1 && r == '°' {
		before = at(i - 2) // "24 °C"
	}
	const near = 120 // how far before it a quotation may have begun
	opened := r == '»' && slices.ContainsFunc(raw[max(0, i-near):i], func(b byte) bool { return c.runes[b] == '«' })
	return signSense(before, r, after, opened)
}

const (
	commonLetters = "äöüÄÖÜßéèêëàâçñóíáúæœøåÅÆØÉÑ"
	fairLetters   = "ìòùûôîïÇÀÈÓÁ"
	aloneLetters  = "àéèìòùóÀÉÈ" // words of one letter in French, Italian and Spanish
)

func letterSense(before, r, after rune) float64 {
	left, right := unicode.IsLetter(before), unicode.IsLetter(after)
	switch {
	case !left && !right:
		if strings.ContainsRune(aloneLetters, r) && !unicode.IsDigit(before) {
			return 0.3
		}
		return -0.5
	case unicode.IsDigit(before):
		return -0.5 // "24øC"
	case unicode.IsUpper(r) && left && (unicode.IsLower(before) || unicode.IsLower(after)):
		return -1 // "GrŠser", "MŠnnchen"
	case unicode.IsLower(r) && right && unicode.IsUpper(after):
		return -1 // "æS"
	case r == 'ß' && !isVowel(before):
		return -0.5
	case strings.ContainsRune(commonLetters, r):
		return 1
	case strings.ContainsRune(fairLetters, r):
		return 0.8
	}
	return 0.4
}

func isVowel(r rune) bool {
	return strings.ContainsRune("aeiouyäöüáéíóúàèìòùâêîôû", unicode.ToLower(r))
}

func signSense(before, r, after rune, opened bool) float64 {
	digitLeft, digitRight := unicode.IsDigit(before), unicode.IsDigit(after)
	letterLeft, letterRight := unicode.IsLetter(before), unicode.IsLetter(after)
	good := false
	switch r {
	case '°', 'º':
		if digitLeft || !letterLeft && (after == 'C' || after == 'F' || after == 'd') {
			return 1.5
		}
	case 'µ':
		if strings.ContainsRune("SsmMglL", after) {
			return 1.5
		}
	case '½', '¼', '¾':
		good = digitLeft || !letterLeft && !letterRight
	case '²', '³':
		good = (before == 'm' || digitLeft) && !letterRight
	case '±':
		good = digitRight || after == ' ' && !letterLeft
	case '×':
		good = (digitLeft || before == ' ') && (digitRight || after == ' ')
	case '–', '—':
		good = !letterLeft && !letterRight
	case '’':
		if after == 's' || after == 't' || letterRight && strings.ContainsRune("cdjlmnst", before) {
			return 1.5 // "it’s", "l’eau"
		}
		good = letterLeft
	case '“', '„', '«', '‘':
		if !letterLeft && letterRight {
			return 1
		}
	case '”':
		if letterLeft && !letterRight {
			return 1
		}
	case '»':
		if opened && !letterRight {
			return 1
		}
	case 'ª':
		good = (letterLeft || digitLeft) && !letterRight // "Tª", "1ª"
	case '…':
		good = letterLeft || letterRight
	case '•', '·':
		good = !letterLeft && !letterRight
	case '€', '£':
		good = digitLeft || digitRight
	case '¿', '¡':
		good = !letterLeft && letterRight
	case '\u00a0':
		return 0.3
	}
	switch {
	case good:
		return 0.8
	case unicode.IsControl(r):
		return -5
	case r >= 0x2500 && r <= 0x25FF || r == 0xF8FF: // boxes and blocks; the private Apple sign
		return -2
	}
	return -1
}
