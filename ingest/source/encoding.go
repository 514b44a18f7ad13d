package source

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
	"unsafe"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/htmlindex"

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
	switch {
	case hints.Encoding != "":
		return decodeNamed(raw, hints.Encoding)
	case bytes.HasPrefix(raw, []byte{0xFF, 0xFE, 0, 0}), bytes.HasPrefix(raw, []byte{0, 0, 0xFE, 0xFF}):
		return decoded{}, refuse(problem.Encoding, `save the file as "CSV UTF-8"`, "the text is in UTF-32, which is not read")
	case bytes.HasPrefix(raw, []byte{0xFF, 0xFE}):
		return decodeUTF16(raw[2:], utf16LE), nil
	case bytes.HasPrefix(raw, []byte{0xFE, 0xFF}):
		return decodeUTF16(raw[2:], utf16BE), nil
	case bytes.HasPrefix(raw, []byte(utf8Mark)):
		return decodeUTF8(raw[len(utf8Mark):]), nil
	}
	if i := bytes.IndexByte(raw, 0); i >= 0 {
		name := guessUTF16(raw)
		if name == "" {
			return decoded{}, refuseBinary(lineAt(view(raw), i))
		}
		d := decodeUTF16(raw, name)
		d.note(problem.Note, 0, "", encodingFix, "read as %s, although the file does not say so", name)
		return d, nil
	}
	if utf8.Valid(raw) || mostlyUTF8(raw) {
		return decodeUTF8(raw), nil
	}
	return decodeCodepage(raw), nil
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

// guessUTF16 names the kind of UTF-16 that the NUL bytes speak for: Western text
// has one in nearly every character, always on the same side.
func guessUTF16(raw []byte) string {
	const (
		sample = 64 << 10
		fewest = 4 // fewer NULs may be damage in a short file
	)
	head := raw[:min(len(raw), sample)]
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

// decodeUTF16 decodes text without its byte order mark. Halves of characters
// become the replacement character, and are reported.
func decodeUTF16(raw []byte, name string) decoded {
	low, high := 0, 1
	if name == utf16BE {
		low, high = 1, 0
	}
	unit := func(i int) rune { return rune(raw[i+low]) | rune(raw[i+high])<<8 }
	var out strings.Builder
	out.Grow(len(raw)/2 + len(raw)/8)
	var broken []int // byte offsets in the text
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
	d := decoded{text: strings.TrimPrefix(out.String(), "\ufeff"), encoding: name}
	d.noteBroken(out.String(), broken)
	return d
}

// noteBroken warns of characters that came out as the replacement character.
func (d *decoded) noteBroken(text string, offsets []int) {
	if len(offsets) == 0 {
		return
	}
	lines := &lineSet{}
	line, done := 1, 0
	for _, at := range offsets {
		line += lineEnds(text[done:at])
		lines.add(line)
		done = at
	}
	d.note(problem.Warning, lines.first(), "", "look for � in these lines and mend the text, or restore an older copy of the file",
		"characters are broken in %s and stand as �", lines)
}

// decodeUTF8 decodes UTF-8; bytes that are none are read as Windows-1252, which
// is what comes of joining files from two programs.
func decodeUTF8(raw []byte) decoded {
	if utf8.Valid(raw) {
		return decoded{text: view(raw), encoding: "utf-8"}
	}
	page := newCodepage("windows-1252", charmap.Windows1252)
	lines := &lineSet{}
	line := 1
	var out strings.Builder
	out.Grow(len(raw) + len(raw)/8)
	var sample string
	for i := 0; i < len(raw); {
		r, size := utf8.DecodeRune(raw[i:])
		if r == utf8.RuneError && size == 1 {
			r = page.runes[raw[i]]
			if lines.add(line) && sample == "" {
				sample = page.decode(wordAround(raw, i))
			}
		}
		if r == '\n' || r == '\r' && (i+1 == len(raw) || raw[i+1] != '\n') {
			line++
		}
		out.WriteRune(r)
		i += size
	}
	d := decoded{text: out.String(), encoding: "utf-8 and windows-1252"}
	d.note(problem.Warning, lines.first(), sample, encodingFix,
		"most of the file is UTF-8, but %s holds bytes that are not; they were read as windows-1252", lines)
	return d
}

// mostlyUTF8 tells UTF-8 with some foreign bytes from a code page: characters of
// several bytes that are valid UTF-8 hardly ever come about by chance.
func mostlyUTF8(raw []byte) bool {
	valid, invalid := 0, 0
	for i := 0; i < len(raw); {
		if raw[i] < utf8.RuneSelf {
			i++
			continue
		}
		r, size := utf8.DecodeRune(raw[i:])
		if r == utf8.RuneError && size == 1 {
			invalid++
		} else {
			valid++
		}
		i += size
	}
	return valid > 0 && 4*valid >= invalid
}

func decodeCodepage(raw []byte) decoded {
	page, sure := bestCodepage(raw, westernCodepages())
	d := decoded{text: page.decode(raw), encoding: page.name}
	samples := wordSamples(raw, page)
	if sure {
		d.note(problem.Note, 0, samples[0], encodingFix, "read as %s, for example %q", page.name, samples[0])
		return d
	}
	for i := range samples {
		samples[i] = strconv.Quote(samples[i])
	}
	d.note(problem.Warning, 0, "", encodingFix, "read as %s, which is not sure; look at %s", page.name, strings.Join(samples, ", "))
	return d
}

// wordSamples gives up to three different words with characters beyond ASCII.
func wordSamples(raw []byte, page *codepage) []string {
	var words []string
	for i, b := range raw {
		if b < utf8.RuneSelf {
			continue
		}
		word := page.decode(wordAround(raw, i))
		if !slices.Contains(words, word) {
			words = append(words, word)
		}
		if len(words) == 3 {
			break
		}
	}
	return words
}

// wordAround is the word in which byte i lies, cut to some twenty bytes before
// and after it.
func wordAround(raw []byte, i int) []byte {
	const reach = 20
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

// decodeNamed decodes with the encoding that somebody named.
func decodeNamed(raw []byte, name string) (decoded, error) {
	switch name := strings.ToLower(strings.TrimSpace(name)); name {
	case "utf-8", "utf8":
		return decodeUTF8(bytes.TrimPrefix(raw, []byte(utf8Mark))), nil
	case utf16LE, utf16BE:
		return decodeUTF16(raw, name), nil
	case "ibm850", "cp850":
		page := newCodepage("ibm850", charmap.CodePage850)
		return decoded{text: page.decode(raw), encoding: page.name}, nil
	}
	enc, err := htmlindex.Get(name)
	if err != nil {
		return decoded{}, refuse(problem.MappingInvalid, `write a name such as encoding = "windows-1250", or leave the line out`,
			"there is no encoding called %q", name)
	}
	known, err := htmlindex.Name(enc)
	if err != nil {
		known = name
	}
	if page, ok := enc.(*charmap.Charmap); ok {
		c := newCodepage(known, page)
		return decoded{text: c.decode(raw), encoding: known}, nil
	}
	text, err := enc.NewDecoder().String(string(raw))
	if err != nil {
		return decoded{}, refuse(problem.Encoding, encodingFix, "the file cannot be read as %s", known)
	}
	d := decoded{text: text, encoding: known}
	var broken []int
	for i, r := range text {
		if r == utf8.RuneError {
			broken = append(broken, i)
		}
	}
	d.noteBroken(text, broken)
	return d, nil
}

// lineSet names lines in a sentence.
type lineSet struct{ lines []int }

// add adds a line, which must not come before those there are, and tells
// whether it is new.
func (l *lineSet) add(line int) bool {
	if len(l.lines) > 0 && l.lines[len(l.lines)-1] == line {
		return false
	}
	l.lines = append(l.lines, line)
	return true
}

func (l *lineSet) first() int { return l.lines[0] }

// String is "line 4", "lines 4, 6 and 9" or "lines 4, 6, 9 and 31 more".
func (l *lineSet) String() string {
	const shown = 12
	if len(l.lines) == 1 {
		return "line " + strconv.Itoa(l.lines[0])
	}
	var words []string
	for _, line := range l.lines[:min(len(l.lines), shown)] {
		words = append(words, strconv.Itoa(line))
	}
	last := len(words) - 1
	if more := len(l.lines) - shown; more > 0 {
		return fmt.Sprintf("lines %s and %d more", strings.Join(words, ", "), more)
	}
	return "lines " + strings.Join(words[:last], ", ") + " and " + words[last]
}
