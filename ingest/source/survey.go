package source

import (
	"encoding/binary"
	"strings"
)

// A survey is what is found out about a long text in one walk, without holding it.
type survey struct {
	*form
	head    string // the beginning of the text: more than delimiterSample bytes where it is so long
	blank   bool   // nothing but white space
	quotes  bool   // a quotation mark stands somewhere
	longest int    // bytes of the longest line, as far as LF tells lines
	words   int    // number of the last line that holds a letter or #
}

// surveyText finds out how a long text is encoded, and walks it once. Its problems
// are those of decode. An error is a *refusal, or a failure to read.
func surveyText(c content, hints Hints) (*survey, error) {
	f, err := findForm(c, hints)
	if err != nil {
		return nil, err
	}
	s := &survey{form: f, blank: true}
	err = s.walk()
	if fault := c.err(); fault != nil {
		if f.recode != nil {
			return nil, f.undecodable()
		}
		return nil, fault
	}
	return s, err
}

func (s *survey) walk() error {
	var before lineCount
	var broken brokenLines
	text := *s.form
	if s.utf16 != "" {
		text.decode = func(raw []byte) string {
			piece, offsets := utf16Text(raw, s.utf16)
			broken.add(piece, offsets)
			return piece
		}
	}
	open := 0 // bytes of the line that the piece before left open
	stream := text.open()
	for ended := false; !ended; {
		var piece string
		piece, ended = stream.extend("")
		if i := strings.IndexByte(piece, 0); i >= 0 {
			before.add(piece[:i])
			return refuseBinary(1 + before.ends)
		}
		if s.recode != nil {
			broken.add(piece, replaced(piece))
		}
		if i := max(lastLetter(piece), strings.LastIndexByte(piece, '#')); i >= 0 {
			upTo := before
			upTo.add(piece[:i])
			s.words = 1 + upTo.ends
		}
		before.add(piece)
		if len(s.head) <= delimiterSample {
			s.head += piece
		}
		s.blank = s.blank && strings.TrimSpace(piece) == ""
		s.quotes = s.quotes || strings.IndexByte(piece, '"') >= 0
		open = s.measure(piece, open)
	}
	s.noteBroken(&broken.lineSet)
	return nil
}

// measure looks for the longest line, and returns how many bytes of a line the
// piece leaves open.
func (s *survey) measure(piece string, open int) int {
	for {
		i := strings.IndexByte(piece, '\n')
		if i < 0 {
			s.longest = max(s.longest, open+len(piece))
			return open + len(piece)
		}
		s.longest = max(s.longest, open+i)
		piece, open = piece[i+1:], 0
	}
}

// surelyPlain tells whether no row can hold what checkText looks for.
func (s *survey) surelyPlain(columns int) bool { return !s.quotes && s.longest < columns }

// lastLetter is where the last byte stands that can be part of a letter, or of some
// sign that is neither a digit nor punctuation; -1 where none does.
func lastLetter(s string) int {
	const beyond = 0xC0C0C0C0C0C0C0C0 // set in bytes from 0x40 on
	end := len(s)
	for ; end >= 8; end -= 8 {
		if binary.LittleEndian.Uint64([]byte(s[end-8:end]))&beyond != 0 {
			break
		}
	}
	for end--; end >= 0 && s[end]&0xC0 == 0; end-- {
	}
	return end
}
