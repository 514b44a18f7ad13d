package source

import (
	"bytes"
	"io"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/htmlindex"
	"golang.org/x/text/transform"

	"gravid/ingest/problem"
)

// A form is how the bytes of a text file are to be decoded.
type form struct {
	content
	decoded        // encoding and problems; the text stays empty
	skip    int64  // bytes of a byte order mark
	utf16   string // utf16LE or utf16BE where the bytes are that
	// recode turns all bytes into UTF-8 where only their sequence can tell what
	// they mean; nil where pieces can be decoded by themselves.
	recode func(io.Reader) io.Reader
	// decode turns a piece into UTF-8; nil where the bytes are that already. A
	// piece ends before a character of ASCII, or at the end of the text.
	decode func([]byte) string
}

// findForm finds the encoding of a text file: of the hints, of a byte order mark, or
// of the bytes. An error is a *refusal.
func findForm(c content, hints Hints) (*form, error) {
	f := &form{content: c}
	if hints.Encoding != "" {
		return f, f.named(hints.Encoding)
	}
	switch head := c.head(4); {
	case bytes.Equal(head, []byte{0xFF, 0xFE, 0, 0}), bytes.Equal(head, []byte{0, 0, 0xFE, 0xFF}):
		return f, refuse(problem.Encoding, `save the file as "CSV UTF-8"`, "the text is in UTF-32, which is not read")
	case bytes.HasPrefix(head, []byte{0xFF, 0xFE}):
		f.inUTF16(utf16LE, 2)
	case bytes.HasPrefix(head, []byte{0xFE, 0xFF}):
		f.inUTF16(utf16BE, 2)
	case bytes.HasPrefix(head, []byte(utf8Mark)):
		f.inUTF8(f.countUTF8(int64(len(utf8Mark))))
	default:
		return f, f.guess()
	}
	return f, nil
}

// guess finds the encoding of a file that has no byte order mark.
func (f *form) guess() error {
	if line := f.firstNUL(); line > 0 {
		name := guessUTF16(f.content.head(utf16Sample))
		if name == "" {
			return refuseBinary(line)
		}
		f.inUTF16(name, 0)
		f.note(problem.Note, 0, "", encodingFix, "read as %s, although the file does not say so", name)
		return nil
	}
	if n := f.countUTF8(0); n.invalid == 0 || n.mostly() {
		f.inUTF8(n)
	} else {
		f.inCodepage()
	}
	return nil
}

// firstNUL is the number of the first line that holds a NUL, 0 where none does.
func (f *form) firstNUL() (line int) {
	var before lineCount
	f.blocks(0, 0, func(b block) int {
		i := bytes.IndexByte(b.bytes, 0)
		if i >= 0 {
			before.add(view(b.bytes[:i]))
			line = 1 + before.ends
			return -1
		}
		before.add(view(b.bytes))
		return b.to
	})
	return line
}

// countUTF8 counts characters behind a mark of so many bytes.
func (f *form) countUTF8(mark int64) utf8Count {
	f.skip = mark
	var n utf8Count
	f.blocks(mark, utf8.UTFMax, func(b block) int {
		if allASCII(b.bytes[b.from:b.to]) {
			return b.to
		}
		return n.add(b)
	})
	return n
}

func (f *form) inUTF8(n utf8Count) {
	f.encoding = "utf-8"
	if n.invalid == 0 {
		return
	}
	m := newMixedLines()
	f.blocks(f.skip, reach+1, m.add)
	m.note(&f.decoded)
	f.encoding, f.decode = mixedName, m.page.decodeMixed
}

func (f *form) inUTF16(name string, mark int64) {
	f.skip, f.encoding, f.utf16 = mark, name, name
	f.decode = func(raw []byte) string {
		text, _ := utf16Text(raw, name)
		return text
	}
}

func (f *form) inCodepage() {
	scores := newPageScores()
	f.blocks(0, 2, scores.add)
	page, sure := scores.best()
	words := wordSamples{page: page}
	f.blocks(0, reach+1, words.add)
	f.noteCodepage(page, sure, words.words)
	f.encoding, f.decode = page.name, page.decode
}

// named takes the encoding that somebody named.
func (f *form) named(name string) error {
	switch name := strings.ToLower(strings.TrimSpace(name)); name {
	case "utf-8", "utf8":
		mark := 0
		if bytes.HasPrefix(f.content.head(4), []byte(utf8Mark)) {
			mark = len(utf8Mark)
		}
		f.inUTF8(f.countUTF8(int64(mark)))
		return nil
	case utf16LE, utf16BE:
		f.inUTF16(name, 0)
		return nil
	case "ibm850", "cp850":
		f.onePage(newCodepage("ibm850", charmap.CodePage850))
		return nil
	}
	enc, err := htmlindex.Get(name)
	if err != nil {
		return refuse(problem.MappingInvalid, `write a name such as encoding = "windows-1250", or leave the line out`,
			"there is no encoding called %q", name)
	}
	known, err := htmlindex.Name(enc)
	if err != nil {
		known = name
	}
	if page, ok := enc.(*charmap.Charmap); ok {
		f.onePage(newCodepage(known, page))
		return nil
	}
	f.encoding = known
	f.recode = func(from io.Reader) io.Reader { return transform.NewReader(from, enc.NewDecoder()) }
	return nil
}

func (f *form) onePage(page codepage) { f.encoding, f.decode = page.name, page.decode }

// undecodable refuses a file that is not in the encoding that was named.
func (f *form) undecodable() error {
	return refuse(problem.Encoding, encodingFix, "the file cannot be read as %s", f.encoding)
}
