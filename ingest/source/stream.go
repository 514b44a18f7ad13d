package source

import (
	"errors"
	"io"
	"unicode/utf8"
)

// open begins to walk the text.
func (f form) open() *textStream {
	var from io.Reader = io.NewSectionReader(f.from, f.skip, f.size-f.skip)
	if f.recode != nil {
		from = f.recode(from)
	}
	return &textStream{form: f, reader: from}
}

// A textStream gives a text in one spelling, piece by piece.
type textStream struct {
	form
	reader io.Reader
	held   []byte // bytes that were read and not yet given
}

// extend returns tail and the next piece of the text behind it, and whether the text
// ends there. A piece is at least as long as tail, so that a long row is not copied
// many times, and can be empty where all its characters are left out.
func (s *textStream) extend(tail string) (text string, ended bool) {
	for more := max(s.step, len(tail)); ; more *= 2 {
		buf := make([]byte, len(tail)+len(s.held)+more)
		n := copy(buf, tail)
		n += copy(buf[n:], s.held)
		got, err := io.ReadFull(s.reader, buf[n:])
		if err != nil {
			ended = true
			if !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
				s.fail(err)
			}
		}
		buf = buf[:n+got]
		fresh := buf[len(tail):]
		cut := len(fresh)
		if !ended {
			cut = s.pieceEnd(fresh)
		}
		s.held = fresh[cut:]
		switch {
		case cut == 0 && !ended:
			continue
		case s.decode == nil && allASCII(fresh[:cut]):
			return view(buf[:len(tail)+cut]), ended
		case s.decode == nil:
			return tail + oneSpelling(view(fresh[:cut])), ended
		}
		return tail + oneSpelling(s.decode(fresh[:cut])), ended
	}
}

// pieceEnd is where a piece ends that can be decoded and spelt without what follows:
// before an ASCII character, which never joins with what stands before it, but perhaps
// with what comes next.
func (s *textStream) pieceEnd(b []byte) int {
	if s.utf16 != "" {
		low, high := halves(s.utf16)
		for i := (len(b)/2 - 1) * 2; i > 0; i -= 2 {
			if b[i+high] == 0 && b[i+low] < utf8.RuneSelf {
				return i
			}
		}
		return 0
	}
	for i := len(b) - 1; i > 0; i-- {
		if b[i] < utf8.RuneSelf {
			return i
		}
	}
	return 0
}
