package source

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"sync/atomic"
	"unicode/utf8"
)

// A content is the bytes of a file that are read from where they lie, again each
// time they are needed.
type content struct {
	from  io.ReaderAt
	size  int64
	whole []byte // all bytes, where they are in the memory; from is nil then
	step  int    // how many bytes are looked at at once, but for long rows
	// fault keeps the first failure to read, which an iterator over rows cannot
	// return.
	fault *atomic.Pointer[error]
}

func newContent(from io.ReaderAt, size int64) content {
	return content{from: from, size: size, step: stepBytes, fault: new(atomic.Pointer[error])}
}

// inMemory is a content whose bytes are there already.
func inMemory(raw []byte) content {
	if raw == nil {
		raw = []byte{}
	}
	return content{whole: raw, size: int64(len(raw))}
}

func (c content) fail(err error) {
	c.fault.CompareAndSwap(nil, &err)
}

// err is the first failure to read.
func (c content) err() error {
	if c.fault == nil {
		return nil
	}
	if err := c.fault.Load(); err != nil {
		return *err
	}
	return nil
}

// read fills buf from byte at on, as far as there are bytes, and returns what it
// filled.
func (c content) read(buf []byte, at int64) []byte {
	if c.whole != nil {
		return c.whole[at:min(at+int64(len(buf)), c.size)]
	}
	buf = buf[:min(int64(len(buf)), max(0, c.size-at))]
	n, err := c.from.ReadAt(buf, at)
	if n < len(buf) {
		c.fail(errors.Join(errors.New("the copy of a log could not be read again"), err))
	}
	return buf[:n]
}

// head is the first bytes of the content.
func (c content) head(n int64) []byte {
	if c.whole != nil {
		return c.whole[:min(n, c.size)]
	}
	return c.read(make([]byte, min(n, c.size)), 0)
}

// stepBytes is how much of a long file is looked at at once.
const stepBytes = 256 << 10

// A block is a stretch of a content, with up to margin bytes on either side of the
// body where there are so many.
type block struct {
	bytes    []byte
	from, to int // the body
}

// blocks walks a content from byte at on. visit returns how far it came, which is
// the end of the body or a few bytes beyond, or a negative number to stop. The
// bytes are valid until it returns.
func (c content) blocks(at int64, margin int, visit func(block) int) {
	if c.whole != nil {
		visit(block{bytes: c.whole, from: int(at), to: len(c.whole)})
		return
	}
	buf := make([]byte, c.step+2*margin)
	for at < c.size && c.err() == nil {
		start := max(0, at-int64(margin))
		b := block{bytes: c.read(buf, start), from: int(at - start)}
		b.to = min(b.from+c.step, len(b.bytes))
		end := visit(b)
		if end < 0 {
			return
		}
		at = start + int64(max(end, b.from+1))
	}
}

// holds tells whether some bytes stand anywhere in the content.
func (c content) holds(wanted []byte) bool {
	found := false
	c.blocks(0, len(wanted), func(b block) int {
		found = bytes.Contains(b.bytes, wanted)
		if found {
			return -1
		}
		return b.to
	})
	return found
}

// allASCII tells whether no byte is beyond ASCII.
func allASCII(b []byte) bool {
	const high = 0x8080808080808080
	for ; len(b) >= 32; b = b[32:] {
		w := binary.LittleEndian.Uint64(b) | binary.LittleEndian.Uint64(b[8:]) | binary.LittleEndian.Uint64(b[16:]) | binary.LittleEndian.Uint64(b[24:])
		if w&high != 0 {
			return false
		}
	}
	for _, c := range b {
		if c >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// A lineCount counts line ends over pieces of a text: LF, CR LF, or CR alone.
type lineCount struct {
	ends int
	cr   bool // the piece before ended with CR
}

func (l *lineCount) add(piece string) {
	if piece == "" {
		return
	}
	l.ends += lineEnds(piece)
	if l.cr && piece[0] == '\n' {
		l.ends--
	}
	l.cr = piece[len(piece)-1] == '\r'
}
