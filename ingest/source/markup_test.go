package source

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/require"
)

// event is a token in a form in which readers can be compared.
type event struct {
	token token
	name  string // without prefix
	attrs []string
	text  string
}

// readMarkup gives all tokens, pieces of text joined, and the fault.
func readMarkup(in io.Reader, nesting int) ([]event, error) {
	m := newMarkup(in, nesting)
	var events []event
	for {
		switch kind := m.next(); kind {
		case endOfPart:
			return events, m.err
		case characters:
			events = addText(events, string(m.data))
		default:
			e := event{token: kind, name: string(m.local())}
			for _, a := range m.attrs {
				_, local, found := strings.Cut(string(m.data[a.name:a.value]), ":")
				if !found {
					local = string(m.data[a.name:a.value])
				}
				e.attrs = append(e.attrs, local+"="+string(m.data[a.value:a.end]))
			}
			events = append(events, e)
		}
	}
}

func addText(events []event, text string) []event {
	if n := len(events); n > 0 && events[n-1].token == characters {
		events[n-1].text += text
		return events
	}
	return append(events, event{token: characters, text: text})
}

// readStandard gives the tokens that encoding/xml finds.
func readStandard(in io.Reader) ([]event, error) {
	d := xml.NewDecoder(in)
	var events []event
	depth := 0
	for {
		t, err := d.Token()
		if errors.Is(err, io.EOF) {
			return events, nil
		}
		if err != nil {
			return events, err
		}
		switch t := t.(type) {
		case xml.StartElement:
			depth++
			e := event{token: startElement, name: t.Name.Local}
			for _, a := range t.Attr {
				e.attrs = append(e.attrs, a.Name.Local+"="+a.Value)
			}
			events = append(events, e)
		case xml.EndElement:
			depth--
			events = append(events, event{token: endElement, name: t.Name.Local})
		case xml.CharData:
			if depth > 0 && len(t) > 0 {
				events = addText(events, string(t))
			}
		}
	}
}

func TestMarkupReadsWhatTheStandardDecoderReads(t *testing.T) {
	for _, part := range []string{
		`<a/>`,
		"\ufeff<?xml version=\"1.0\" encoding=\"UTF-8\" standalone='yes'?>\n<a b = 'c' d=\"e&quot;&#65;&#x42;\"><!-- c --><b>1 &lt; 2 &amp; 3</b><b/></a>\n",
		`<x:a xmlns:x="u" x:b="1" c="2"><x:d>t</x:d></x:a>`,
		"<a>line\r\nand\rand\n</a>",
		`<a><![CDATA[<b> & ]] ]>]]>x</a>`,
		`<a>] ]] ]&gt; > ]></a>`,
		"<a>°µß\U0001F41F</a>",
		"<a>" + strings.Repeat("long text with ä ", 20_000) + "</a>",
		"<a><![CDATA[" + strings.Repeat("long text with ä\r\n", 20_000) + "]]></a>",
	} {
		want, err := readStandard(strings.NewReader(part))
		require.NoError(t, err)
		for name, in := range map[string]io.Reader{"whole": strings.NewReader(part), "by bytes": iotest.OneByteReader(strings.NewReader(part))} {
			got, err := readMarkup(in, 64)
			require.NoError(t, err, "%s, %.60q", name, part)
			require.Equal(t, want, got, "%s, %.60q", name, part)
		}
	}
}

func TestMarkupRefusesFaults(t *testing.T) {
	for part, why := range map[string]string{
		``:                          "it is empty",
		`  `:                        "it is empty",
		`<a>`:                       "it ends within <a>",
		`<a`:                        "it ends too early",
		`<a><b></a></b>`:            "</a> closes what is not open",
		`<a></a></a>`:               "</a> closes what is not open",
		`<x:a></y:a>`:               "</y:a> closes what is not open",
		`<a/><b/>`:                  "it has two roots",
		`<a/>text`:                  "there is text outside its root",
		`<a/><![CDATA[x]]>`:         "there is text outside its root",
		`<a b="1" b="2"/>`:          "an element has the attribute b twice",
		`<a b=1/>`:                  "an attribute has no quotation marks",
		`<a b="<"/>`:                "an attribute holds <",
		`<a b="1"c="2"/>`:           "there is no space before an attribute",
		`<a b/>`:                    `"=" is missing`,
		`<a>&nbsp;</a>`:             "it holds the unknown entity &nbsp;",
		`<a>&#0;</a>`:               "it holds the unknown entity &#0;",
		`<a>&#xD800;</a>`:           "it holds the unknown entity &#xD800;",
		`<a>&#99999999999999;</a>`:  "it holds an & that begins no entity",
		`<a>& b</a>`:                "it ends too early",
		"<a>\x00</a>":               "it holds the control character 0",
		"<a>\xff</a>":               "it holds bytes that are no characters",
		"<a b='\xff'/>":             "an attribute holds bytes that are no characters",
		"<a>\uffff</a>":             "it holds bytes that are no characters",
		`<a>]]></a>`:                "it holds ]]> outside CDATA",
		`<a><!-- -- --></a>`:        "a comment holds --",
		`<!DOCTYPE a><a/>`:          "it has a document type, which no workbook needs",
		`<a><!ENTITY b "c"></a>`:    "it has a document type, which no workbook needs",
		`<?xml version="1.1"?><a/>`: `it is XML of version "1.1"`,
		`<?xml version="1.0" encoding="UTF-16"?><a/>`: `its encoding is "UTF-16", not UTF-8`,
		`<a><?xml version="1.0"?></a>`:                "it has an XML declaration in its middle",
		`<:a/>`:                                       "a name has a colon where none may be",
		`<a:b:c/>`:                                    "a name has a colon where none may be",
		`<1/>`:                                        "a name is missing or has characters that no name in a workbook has",
		`<ä/>`:                                        "a name is missing or has characters that no name in a workbook has",
		strings.Repeat("<a>", 100_000):                "its elements are nested more than 64 deep",
	} {
		_, err := readMarkup(strings.NewReader(part), 64)
		require.EqualError(t, err, why, "%.60q", part)
	}
}

func TestMarkupDoesNotGrowWithThePart(t *testing.T) {
	spaces := io.LimitReader(repeat(' '), 50<<20)
	in := io.MultiReader(strings.NewReader("<a>"), spaces, strings.NewReader("</a>"))
	allocated := testing.AllocsPerRun(1, func() {
		m := newMarkup(in, 64)
		for m.next() != endOfPart {
			require.Less(t, cap(m.data), 1<<20)
		}
		require.LessOrEqual(t, len(m.buf), 64<<10)
	})
	require.Less(t, allocated, 1000.0)
}

// repeat is a reader that gives one byte for ever.
type repeat byte

func (r repeat) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = byte(r)
	}
	return len(p), nil
}

// FuzzMarkup holds that what the strict reader accepts, the standard decoder
// accepts too, and reads in the same way; and that pieces of input don't matter.
func FuzzMarkup(f *testing.F) {
	for _, seed := range []string{
		`<a b="c">d</a>`, `<?xml version="1.0"?><x:a xmlns:x="u"><!-- --><x:b/>&#65;</x:a>`,
		"<a><![CDATA[]]]]>\r\n</a>", `<a b='&quot;' c:d="e"/>`, "<a>]]</a>", "<a>\xff&#0;</a>",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, part []byte) {
		got, err := readMarkup(bytes.NewReader(part), 64)
		slow, slowErr := readMarkup(iotest.OneByteReader(bytes.NewReader(part)), 64)
		require.Equal(t, fmt.Sprint(err), fmt.Sprint(slowErr))
		require.Equal(t, got, slow)
		if err != nil {
			return
		}
		want, err := readStandard(bytes.NewReader(part))
		require.NoError(t, err)
		require.Equal(t, want, got)
	})
}
