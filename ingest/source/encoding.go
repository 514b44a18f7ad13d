package source

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
	"unsafe"

	"golang.org/x/text/encoding/charmap"

	"gravid/ingest/problem"
)

// Hints is what somebody who knows a text file says of it. The zero value says
// nothing, and everything is found out from the file. Workbooks need no hints.
type Hints struct {
	Encoding  string // name by the WHATWG Encoding standard ("windows-1250"), or ibm850; empty = found out
	Delimiter string // one character between cells; empty = found out
}

const (
	utf8Mark = "\xef\xbb\xbf"
	utf16BE  = "utf-16be"
	utf16LE  = "utf-16le"
)

const encodingFix = `if letters or signs look wrong, save the file as "CSV UTF-8", or name its encoding: encoding = "windows-1250"`

// decoded is the text of a file and how it was read.
type decoded struct {
	text     string
	encoding string
	problems []problem.Problem
}

// note adds a problem about the whole file, or about one line of it.
func (d *decoded) note(severity problem.Severity, line int, value, fix, format string, args ...any) {
	d.problems = append(d.problems, problem.Problem{
		Severity: severity, Code: problem.Encoding, Place: problem.Place{Row: line},
		Value: value, Message: fmt.Sprintf(format, args...), Fix: fix,
	})
}

// decode turns the bytes of a text file into UTF-8 in one spelling. Where the
// file is that already, the text lies in the same memory as raw. An error is a
// *refusal.
func decode(raw []byte, hints Hints) (decoded, error) {
	d, err := decodeBytes(raw, hints)
	if err != nil {
		return decoded{}, err
	}
	if i := strings.IndexByte(d.text, 0); i >= 0 {
		return decoded{}, refuseBinary(lineAt(d.text, i))
	}
	d.text = oneSpelling(d.text)
	return d, nil
}

func decodeBytes(raw []byte, hints Hints) (decoded, error) {
	f, err := findForm(inMemory(raw), hints)
	if err != nil {
		return decoded{}, err
	}
	raw = raw[f.skip:]
	var lines brokenLines
	switch {
	case f.utf16 != "":
		var broken []int
		f.text, broken = utf16Text(raw, f.utf16)
		lines.add(f.text, broken)
	case f.recode != nil:
		text, err := io.ReadAll(f.recode(bytes.NewReader(raw)))
		if err != nil {
			return decoded{}, f.undecodable()
		}
		f.text = view(text)
		lines.add(f.text, replaced(f.text))
	case f.decode != nil:
		f.text = f.decode(raw)
	default:
		f.text = view(raw)
	}
	f.noteBroken(&lines.lineSet)
	return f.decoded, nil
}

func refuseBinary(line int) error {
	return refuse(problem.Encoding, "this is no text file, or it was damaged: export it again, or restore an older copy",
		"line %d holds a NUL character, which no text has", line)
}

// view gives bytes as a string without copying them. The bytes must never
// change afterwards; File.Raw says so.
func view(raw []byte) string { return unsafe.String(unsafe.SliceData(raw), len(raw)) }

// lineAt is the number of the line, from 1, in which byte i of s lies. Lines end
// with LF, CR LF or CR.
func lineAt(s string, i int) int { return 1 + lineEnds(s[:i]) }

// lineEnds counts line ends: LF, CR LF, or CR alone. A CR at the very end counts.
func lineEnds(s string) int {
	returns := strings.Count(s, "\r")
	if returns == 0 {
		return strings.Count(s, "\n")
	}
	return strings.Count(s, "\n") + returns - strings.Count(s, "\r\n")
}

// utf16Sample is how much of a file is looked at to tell UTF-16.
const utf16Sample = 64 << 10

// guessUTF16 names the kind of UTF-16 that the NUL bytes speak for: Western text
// has one in nearly every character, always on the same side.
func guessUTF16(raw []byte) string {
	const fewest = 4 // fewer NULs may be damage in a short file
	head := raw[:min(len(raw), utf16Sample)]
	var nul [2]float64
	for i, b := range head {
		if b == 0 {
			nul[i%2]++
		}
	}
	if nul[0]+nul[1] < fewest {
		return ""
	}
	half := float64(len(head)) / 2
	switch even, odd := nul[0]/half, nul[1]/half; {
	case odd > 0.20 && even <= 0.02:
		return utf16LE
	case even > 0.20 && odd <= 0.02:
		return utf16BE
	}
	return ""
}

// halves is where in a unit of UTF-16 the lower and the higher byte stand.
func halves(name string) (low, high int) {
	if name == utf16BE {
		return 1, 0
	}
	return 0, 1
}

// utf16Text decodes UTF-16, and gives the byte offsets in the text at which halves
// of characters stood.
func utf16Text(raw []byte, name string) (text string, broken []int) {
	low, high := halves(name)
	unit := func(i int) rune { return rune(raw[i+low]) | rune(raw[i+high])<<8 }
	var out strings.Builder
	out.Grow(len(raw)/2 + len(raw)/8)
	for i := 0; i+1 < len(raw); i += 2 {
		r := unit(i)
		if utf16.IsSurrogate(r) {
			pair := rune(utf8.RuneError)
			if i+3 < len(raw) {
				pair = utf16.DecodeRune(r, unit(i+2))
			}
			if pair == utf8.RuneError {
				broken = append(broken, out.Len())
			} else {
				i += 2
			}
			r = pair
		}
		out.WriteRune(r)
	}
	if len(raw)%2 == 1 {
		broken = append(broken, out.Len())
		out.WriteRune(utf8.RuneError)
	}
	return out.String(), broken
}

// brokenLines are the lines with broken characters of a text that comes in pieces.
type brokenLines struct {
	lineSet
	before lineCount
}

// add takes the next piece, and the byte offsets in it of what is broken.
func (l *brokenLines) add(piece string, broken []int) {
	done := 0
	for _, at := range broken {
		l.before.add(piece[done:at])
		l.lineSet.add(1 + l.before.ends)
		done = at
	}
	l.before.add(piece[done:])
}

// replaced gives the byte offsets of replacement characters.
func replaced(text string) (offsets []int) {
	for i, r := range text {
		if r == utf8.RuneError {
			offsets = append(offsets, i)
		}
	}
	return offsets
}

// noteBroken warns of characters that came out as the replacement character.
func (d *decoded) noteBroken(lines *lineSet) {
	if lines.count == 0 {
		return
	}
	d.note(problem.Warning, lines.first(), "", "look for � in these lines and mend the text, or restore an older copy of the file",
		"characters are broken in %s and stand as �", lines)
}

// mixedName is the encoding of UTF-8 with bytes that are none. They are read as
// Windows-1252, which is what comes of joining files from two programs.
const mixedName = "utf-8 and windows-1252"

// decodeMixed decodes UTF-8, and bytes that are none by the code page.
func (c *codepage) decodeMixed(raw []byte) string {
	var out strings.Builder
	out.Grow(len(raw) + len(raw)/8)
	for i := 0; i < len(raw); {
		r, size := utf8.DecodeRune(raw[i:])
		if r == utf8.RuneError && size == 1 {
			r = c.runes[raw[i]]
		}
		out.WriteRune(r)
		i += size
	}
	return out.String()
}

// mixedLines are the lines of a text in UTF-8 that hold bytes which are none.
type mixedLines struct {
	page   codepage
	lines  lineSet
	before lineCount
	sample string
}

func newMixedLines() *mixedLines {
	return &mixedLines{page: newCodepage("windows-1252", charmap.Windows1252)}
}

// add takes the next block, and returns where its last character ends.
func (m *mixedLines) add(b block) int {
	done, i := b.from, b.from
	for i < b.to {
		r, size := utf8.DecodeRune(b.bytes[i:])
		if r == utf8.RuneError && size == 1 {
			m.before.add(view(b.bytes[done:i]))
			done = i
			if m.lines.add(1+m.before.ends) && m.sample == "" {
				m.sample = m.page.decode(wordAround(b.bytes, i))
			}
		}
		i += size
	}
	m.before.add(view(b.bytes[done:i]))
	return i
}

func (m *mixedLines) note(d *decoded) {
	d.note(problem.Warning, m.lines.first(), m.sample, encodingFix,
		"most of the file is UTF-8, but %s holds bytes that are not; they were read as windows-1252", &m.lines)
}

// utf8Count counts characters of several bytes, and bytes that belong to none.
type utf8Count struct{ valid, invalid int }

// add takes the next block, and returns where its last character ends.
func (n *utf8Count) add(b block) int {
	i := b.from
	for i < b.to {
		if b.bytes[i] < utf8.RuneSelf {
			i++
			continue
		}
		r, size := utf8.DecodeRune(b.bytes[i:])
		if r == utf8.RuneError && size == 1 {
			n.invalid++
		} else {
			n.valid++
		}
		i += size
	}
	return i
}

// mostly tells UTF-8 with some foreign bytes from a code page: characters of
// several bytes that are valid UTF-8 hardly ever come about by chance.
func (n utf8Count) mostly() bool { return n.valid > 0 && 4*n.valid >= n.invalid }

// noteCodepage says which code page was chosen, with words to judge it by.
func (d *decoded) noteCodepage(page *codepage, sure bool, samples []string) {
	if sure {
		d.note(problem.Note, 0, samples[0], encodingFix, "read as %s, for example %q", page.name, samples[0])
		return
	}
	for i := range samples {
		samples[i] = strconv.Quote(samples[i])
	}
	d.note(problem.Warning, 0, "", encodingFix, "read as %s, which is not sure; look at %s", page.name, strings.Join(samples, ", "))
}

// wordSamples are up to three different words with characters beyond ASCII.
type wordSamples struct {
	page  *codepage
	words []string
}

// add looks for words in the next block, whose end it returns, or -1 when there are
// enough.
func (w *wordSamples) add(b block) int {
	const enough = 3
	for i := b.from; i < b.to; i++ {
		if b.bytes[i] < utf8.RuneSelf {
			continue
		}
		word := w.page.decode(wordAround(b.bytes, i))
		if !slices.Contains(w.words, word) {
			w.words = append(w.words, word)
		}
		if len(w.words) == enough {
			return -1
		}
	}
	return b.to
}

// reach is how far a word that is shown reaches to either side of a byte.
const reach = 20

// wordAround is the word in which byte i lies, cut to some twenty bytes before
// and after it.
func wordAround(raw []byte, i int) []byte {
	ends := func(b byte) bool { return b <= ' ' || strings.IndexByte(`,;|"`, b) >= 0 }
	from, to := i, i+1
	for from > 0 && i-from < reach && !ends(raw[from-1]) {
		from--
	}
	for to < len(raw) && to-i < reach && !ends(raw[to]) {
		to++
	}
	return raw[from:to]
}

// lineSet names lines in a sentence.
type lineSet struct {
	named []int // the first ones
	last  int
	count int
}

// shownLines is how many lines of a set are named.
const shownLines = 12

// add adds a line, which must not come before those there are, and tells
// whether it is new.
func (l *lineSet) add(line int) bool {
	if l.count > 0 && l.last == line {
		return false
	}
	if l.count < shownLines {
		l.named = append(l.named, line)
	}
	l.last = line
	l.count++
	return true
}

func (l *lineSet) first() int { return l.named[0] }

// String is "line 4", "lines 4, 6 and 9" or "lines 4, 6, 9 and 31 more".
func (l *lineSet) String() string {
	if l.count == 1 {
		return "line " + strconv.Itoa(l.first())
	}
	var words []string
	for _, line := range l.named {
		words = append(words, strconv.Itoa(line))
	}
	if more := l.count - len(words); more > 0 {
		return fmt.Sprintf("lines %s and %d more", strings.Join(words, ", "), more)
	}
	last := len(words) - 1
	return "lines " + strings.Join(words[:last], ", ") + " and " + words[last]
}
