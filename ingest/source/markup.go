package source

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// A token is what a markup came upon.
type token uint8

const (
	endOfPart    token = iota // the part is over, or markup.err says why it cannot go on
	startElement              // name and attributes
	endElement
	characters // text; long text comes in several tokens
)

const (
	textChunk       = 32 << 10 // about the longest text in one token
	longestTag      = 4 << 20
	mostAttributes  = 512
	longestEntity   = 12
	longestDeclared = 1 << 10
)

// A markup reads the XML of a workbook strictly: UTF-8, every element closed by
// its own end, one root, no document type, none but the five built-in entities,
// and only characters that XML allows. It stops at the first fault, and can
// neither open a file nor grow with the part.
type markup struct {
	in         io.Reader
	buf        []byte
	pos, limit int // unread bytes of buf
	nesting    int // most open elements

	err     error  // the first fault; nothing follows it
	depth   int    // open elements, those just started included
	opened  []byte // qualified names of the open elements
	marks   []int  // where each begins in opened
	empty   bool   // the element just started has no content; its end comes next
	rooted  bool   // the root has started
	inCDATA bool
	closers int // "]" just before the text to come

	data  []byte // name and attributes, or text, of the token
	name  []byte // qualified name of the element; valid until the next token
	attrs []attribute
}

// attribute holds places in markup.data.
type attribute struct{ name, value, end int }

func newMarkup(in io.Reader, nesting int) *markup {
	m := &markup{in: in, buf: make([]byte, 64<<10), nesting: nesting}
	if m.ahead(len(utf8Mark)) && string(m.buf[:len(utf8Mark)]) == utf8Mark {
		m.pos = len(utf8Mark)
	}
	return m
}

// local is the name of the element without its prefix.
func (m *markup) local() []byte { return m.name[bytes.IndexByte(m.name, ':')+1:] }

// is tells whether the element has that name, whatever its prefix.
func (m *markup) is(local string) bool { return string(m.local()) == local }

// attr gives the value of the attribute with that qualified name, nil when there
// is none. It is valid until the next token.
func (m *markup) attr(name string) []byte {
	for _, a := range m.attrs {
		if string(m.data[a.name:a.value]) == name {
			return m.data[a.value:a.end:a.end]
		}
	}
	return nil
}

func (m *markup) hasAttr(name []byte) bool {
	for _, a := range m.attrs {
		if bytes.Equal(m.data[a.name:a.value], name) {
			return true
		}
	}
	return false
}

// relation gives the value of the attribute "id" with whatever prefix: the
// reference to another part.
func (m *markup) relation() string {
	for _, a := range m.attrs {
		if bytes.HasSuffix(m.data[a.name:a.value], []byte(":id")) {
			return string(m.data[a.value:a.end])
		}
	}
	return ""
}

// skip reads on to the end of the element that was the depth-th to be opened.
func (m *markup) skip(depth int) {
	for m.err == nil && m.depth >= depth {
		m.next()
	}
}

// children calls visit at the start of every child of the element just started,
// and reads on to that element's end. What visit leaves unread of a child is
// skipped. It returns the first error of visit or of the XML.
func (m *markup) children(visit func() error) error {
	depth := m.depth
	for {
		switch m.next() {
		case startElement:
			if err := visit(); err != nil {
				return err
			}
			m.skip(depth + 1)
		case endElement:
			if m.depth < depth {
				return m.err
			}
		case endOfPart:
			return m.err
		}
	}
}

// appendText adds the text directly within the element just started to out, and
// reads on to the element's end. It stops when out has more than most bytes.
func (m *markup) appendText(out []byte, most int) []byte {
	depth := m.depth
	for m.err == nil && m.depth >= depth {
		if m.next() == characters && m.depth == depth {
			out = append(out, m.data...)
			if len(out) > most && m.err == nil {
				m.err = tooLarge("shorten the text, or delete it", "a cell holds more text than is read")
			}
		}
	}
	return out
}

func (m *markup) fail(format string, args ...any) token {
	if m.err == nil {
		m.err = fmt.Errorf(format, args...)
	}
	return endOfPart
}

// next reads the next token.
func (m *markup) next() token {
	if m.err != nil {
		return endOfPart
	}
	if m.empty {
		m.empty = false
		return m.close()
	}
	m.data, m.attrs, m.name = m.data[:0], m.attrs[:0], nil
	for {
		if m.inCDATA {
			m.readCDATA()
		} else if c, ok := m.peek(); !ok {
			return m.finish()
		} else if c == '<' {
			if kind := m.readTag(); kind != characters {
				return kind
			}
		} else {
			m.readText()
		}
		if m.err != nil {
			return endOfPart
		}
		if len(m.data) > 0 {
			if kind := m.checkText(); kind == characters || m.err != nil {
				return kind
			}
			m.data = m.data[:0]
		}
	}
}

// finish is called at the end of the part.
func (m *markup) finish() token {
	switch {
	case m.err != nil:
	case m.depth > 0:
		m.fail("it ends within <%s>", m.opened[m.marks[len(m.marks)-1]:])
	case !m.rooted:
		m.fail("it is empty")
	}
	return endOfPart
}

// checkText holds what can be told of text only when it is complete. Space
// outside the root gives no token.
func (m *markup) checkText() token {
	if !soundCharacters(m.data) {
		return m.fail("it holds bytes that are no characters")
	}
	if m.depth == 0 {
		if len(bytes.TrimLeft(m.data, " \t\n")) > 0 {
			return m.fail("there is text outside its root")
		}
		return endOfPart
	}
	return characters
}

// soundCharacters tells whether b is UTF-8 without the two numbers that are no
// characters. Control characters are refused one by one while reading.
func soundCharacters(b []byte) bool {
	return utf8.Valid(b) && (bytes.IndexByte(b, 0xEF) < 0 ||
		!bytes.Contains(b, []byte("\uFFFE")) && !bytes.Contains(b, []byte("\uFFFF")))
}

// ahead makes n bytes readable at pos, if the part has them.
func (m *markup) ahead(n int) bool {
	for m.limit-m.pos < n {
		if m.pos > 0 {
			m.limit = copy(m.buf, m.buf[m.pos:m.limit])
			m.pos = 0
		}
		got, err := m.in.Read(m.buf[m.limit:])
		m.limit += got
		if err != nil && m.limit-m.pos < n {
			if !errors.Is(err, io.EOF) && m.err == nil {
				m.err = err
			}
			return false
		}
	}
	return true
}

func (m *markup) peek() (byte, bool) {
	if m.pos == m.limit && !m.ahead(1) {
		return 0, false
	}
	return m.buf[m.pos], true
}

// take reads one byte that must be there.
func (m *markup) take() byte {
	c, ok := m.peek()
	if !ok {
		m.fail("it ends too early")
		return 0
	}
	m.pos++
	return c
}

func (m *markup) expect(s string) bool {
	for i := range len(s) {
		if m.take() != s[i] {
			m.fail("%q is missing", s)
			return false
		}
	}
	return true
}

func (m *markup) spaces() (any bool) {
	for {
		c, ok := m.peek()
		if !ok || c != ' ' && c != '\t' && c != '\n' && c != '\r' {
			return any
		}
		m.pos++
		any = true
	}
}

// readTag reads what begins with "<". It gives characters for a comment, an
// instruction or the start of CDATA, which are no tokens of their own.
func (m *markup) readTag() token {
	m.closers = 0
	m.pos++
	c, ok := m.peek()
	switch {
	case !ok:
		return m.fail("it ends too early")
	case c == '/':
		m.pos++
		return m.readEnd()
	case c == '?':
		m.pos++
		m.readInstruction()
		return characters
	case c == '!':
		m.pos++
		m.readDeclaration()
		return characters
	}
	return m.readStart()
}

func (m *markup) readStart() token {
	m.readName()
	nameEnd := len(m.data)
	for m.err == nil {
		spaced := m.spaces()
		switch c, ok := m.peek(); {
		case !ok:
			m.fail("it ends too early")
		case c == '>':
			m.pos++
			return m.open(nameEnd)
		case c == '/':
			if m.expect("/>") {
				m.empty = true
				return m.open(nameEnd)
			}
		case !spaced:
			m.fail("there is no space before an attribute")
		default:
			m.readAttribute()
		}
	}
	return endOfPart
}

func (m *markup) open(nameEnd int) token {
	m.name = m.data[:nameEnd:nameEnd]
	switch {
	case m.err != nil:
		return endOfPart
	case m.depth == 0 && m.rooted:
		return m.fail("it has two roots")
	case m.depth == m.nesting:
		return m.fail("its elements are nested more than %d deep", m.nesting)
	}
	m.rooted = true
	m.depth++
	m.marks = append(m.marks, len(m.opened))
	m.opened = append(m.opened, m.name...)
	return startElement
}

func (m *markup) readEnd() token {
	m.readName()
	m.spaces()
	if !m.expect(">") {
		return endOfPart
	}
	if m.depth == 0 || !bytes.Equal(m.data, m.opened[m.marks[m.depth-1]:]) {
		return m.fail("</%s> closes what is not open", m.data)
	}
	return m.close()
}

func (m *markup) close() token {
	m.depth--
	from := m.marks[m.depth]
	m.data = append(m.data[:0], m.opened[from:]...)
	m.name, m.attrs = m.data, m.attrs[:0]
	m.opened, m.marks = m.opened[:from], m.marks[:m.depth]
	return endElement
}

// readName adds a name to data. Names in workbooks are ASCII.
func (m *markup) readName() {
	from := len(m.data)
	colon := -1
	for {
		c, ok := m.peek()
		if !ok || !nameByte(c) {
			break
		}
		if c == ':' {
			if colon >= 0 || len(m.data) == from {
				m.fail("a name has a colon where none may be")
				return
			}
			colon = len(m.data)
		} else if (len(m.data) == from || colon == len(m.data)-1) && !nameStart(c) {
			break
		}
		m.data = append(m.data, c)
		m.pos++
		m.checkTagLength()
	}
	if len(m.data) == from || colon == len(m.data)-1 {
		m.fail("a name is missing or has characters that no name in a workbook has")
	}
}

func nameStart(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' || c == '_' }

func nameByte(c byte) bool {
	return nameStart(c) || c >= '0' && c <= '9' || c == '-' || c == '.' || c == ':'
}

func (m *markup) checkTagLength() {
	if len(m.data) > longestTag {
		m.fail("a tag is longer than %d bytes", longestTag)
	}
}

func (m *markup) readAttribute() {
	a := attribute{name: len(m.data)}
	m.readName()
	a.value = len(m.data)
	m.spaces()
	if m.err != nil || !m.expect("=") {
		return
	}
	m.spaces()
	quote := m.take()
	if quote != '"' && quote != '\'' {
		m.fail("an attribute has no quotation marks")
		return
	}
	for m.err == nil {
		c := m.take()
		if c == quote {
			break
		}
		if c == '<' {
			m.fail("an attribute holds <")
			return
		}
		m.character(c)
		m.checkTagLength()
	}
	a.end = len(m.data)
	m.addAttribute(a)
}

func (m *markup) addAttribute(a attribute) {
	if m.err != nil {
		return
	}
	name := m.data[a.name:a.value]
	switch {
	case !soundCharacters(m.data[a.value:a.end]):
		m.fail("an attribute holds bytes that are no characters")
	case m.hasAttr(name):
		m.fail("an element has the attribute %s twice", name)
	case len(m.attrs) == mostAttributes:
		m.fail("an element has more than %d attributes", mostAttributes)
	}
	m.attrs = append(m.attrs, a)
}

// character adds the byte c, just read, or what it stands for, to data.
func (m *markup) character(c byte) {
	switch {
	case c == '&':
		m.readEntity()
	case c == '\r':
		if next, ok := m.peek(); ok && next == '\n' {
			m.pos++
		}
		m.data = append(m.data, '\n')
	case c < ' ' && c != '\t' && c != '\n':
		m.fail("it holds the control character %d", c)
	default:
		m.data = append(m.data, c)
	}
}

// plainText tells whether a byte of text means itself.
func plainText(c byte) bool {
	return (c >= ' ' || c == '\t' || c == '\n') && c != '<' && c != '&' && c != ']' && c != '>'
}

// readText adds text up to the next tag, or one chunk of it, to data.
func (m *markup) readText() {
	for m.err == nil {
		c, ok := m.peek()
		if !ok || c == '<' || m.chunkFull(c) {
			return
		}
		run := m.pos
		stop := min(m.limit, run+textChunk)
		for run < stop && plainText(m.buf[run]) {
			run++
		}
		if run > m.pos {
			m.data = append(m.data, m.buf[m.pos:run]...)
			m.pos = run
			m.closers = 0
			continue
		}
		m.pos++
		if c == '>' && m.closers >= 2 {
			m.fail("it holds ]]> outside CDATA")
			return
		}
		if c == ']' {
			m.closers++
		} else {
			m.closers = 0
		}
		m.character(c)
	}
}

// chunkFull tells whether text is cut before the byte c, which is not within a
// character unless the text is unsound.
func (m *markup) chunkFull(c byte) bool {
	return len(m.data) >= textChunk && (utf8.RuneStart(c) || len(m.data) > 4*textChunk)
}

// readCDATA adds one chunk of a CDATA section to data.
func (m *markup) readCDATA() {
	for m.err == nil {
		if m.ahead(3) && string(m.buf[m.pos:m.pos+3]) == "]]>" {
			m.pos += 3
			m.inCDATA = false
			return
		}
		c := m.take()
		if m.err != nil {
			return
		}
		if c == '&' {
			m.data = append(m.data, c)
		} else {
			m.character(c)
		}
		if next, ok := m.peek(); ok && m.chunkFull(next) {
			return
		}
	}
}

// readEntity adds the character that a reference, whose "&" was just read,
// stands for.
func (m *markup) readEntity() {
	var name []byte
	for {
		c := m.take()
		if m.err != nil {
			return
		}
		if c == ';' {
			break
		}
		if name = append(name, c); len(name) > longestEntity {
			m.fail("it holds an & that begins no entity")
			return
		}
	}
	r, ok := entity(string(name))
	if !ok {
		m.fail("it holds the unknown entity &%s;", name)
		return
	}
	m.data = utf8.AppendRune(m.data, r)
}

func entity(name string) (rune, bool) {
	switch name {
	case "lt":
		return '<', true
	case "gt":
		return '>', true
	case "amp":
		return '&', true
	case "apos":
		return '\'', true
	case "quot":
		return '"', true
	}
	digits, base := strings.TrimPrefix(name, "#"), rune(10)
	if digits == name {
		return 0, false
	}
	if rest, ok := strings.CutPrefix(digits, "x"); ok {
		digits, base = rest, 16
	}
	r := rune(0)
	for _, c := range []byte(digits) {
		d := digitValue(c)
		if d < 0 || d >= base || r > utf8.MaxRune {
			return 0, false
		}
		r = r*base + d
	}
	allowed := r == '\t' || r == '\n' || r == '\r' || r >= ' ' && r != 0xFFFE && r != 0xFFFF && utf8.ValidRune(r)
	return r, digits != "" && allowed
}

// digitValue is the value of a hexadecimal digit, -1 for other bytes.
func digitValue(c byte) rune {
	switch {
	case c >= '0' && c <= '9':
		return rune(c - '0')
	case c|0x20 >= 'a' && c|0x20 <= 'f':
		return rune(c|0x20-'a') + 10
	}
	return -1
}

// readDeclaration reads what begins with "<!".
func (m *markup) readDeclaration() {
	c := m.take()
	switch {
	case m.err != nil:
	case c == '-' && m.expect("-"):
		m.readComment()
	case c == '[' && m.expect("CDATA["):
		if m.depth == 0 {
			m.fail("there is text outside its root")
		}
		m.inCDATA = true
	default:
		m.fail("it has a document type, which no workbook needs")
	}
}

func (m *markup) readComment() {
	dashes := 0
	for m.err == nil {
		switch c := m.take(); {
		case dashes >= 2 && c == '>':
			return
		case dashes >= 2:
			m.fail("a comment holds --")
		case c == '-':
			dashes++
		default:
			dashes = 0
		}
	}
}

// readInstruction reads what begins with "<?", and checks the declaration of
// version and encoding.
func (m *markup) readInstruction() {
	m.readName()
	target := string(m.data)
	m.data = m.data[:0]
	if c, ok := m.peek(); ok && c > ' ' && c != '?' {
		m.fail("an instruction has a name with characters that no name in a workbook has")
	}
	var text []byte
	question := false
	for m.err == nil {
		c := m.take()
		if question && c == '>' {
			break
		}
		question = c == '?'
		if len(text) < longestDeclared {
			text = append(text, c)
		}
	}
	if strings.EqualFold(target, "xml") && m.err == nil {
		m.checkDeclared(string(text))
	}
}

func (m *markup) checkDeclared(text string) {
	if m.rooted {
		m.fail("it has an XML declaration in its middle")
	}
	if v := declared(text, "version"); v != "1.0" {
		m.fail("it is XML of version %q", v)
	}
	if e := declared(text, "encoding"); e != "" && !strings.EqualFold(e, "utf-8") {
		m.fail("its encoding is %q, not UTF-8", e)
	}
}

// declared gives a value of an XML declaration.
func declared(text, name string) string {
	_, rest, found := strings.Cut(text, name)
	rest = strings.TrimLeft(rest, " \t\r\n")
	rest, equals := strings.CutPrefix(rest, "=")
	rest = strings.TrimLeft(rest, " \t\r\n")
	if !found || !equals || rest == "" || rest[0] != '"' && rest[0] != '\'' {
		return ""
	}
	value, _, _ := strings.Cut(rest[1:], rest[:1])
	return value
}
