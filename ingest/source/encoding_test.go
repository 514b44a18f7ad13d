package source

import (
	"encoding/binary"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/unicode/norm"

	"gravid/ingest/problem"
)

// encodeUTF16 writes text as UTF-16 without a mark.
func encodeUTF16(text string, order binary.ByteOrder) []byte {
	var raw []byte
	for _, u := range utf16.Encode([]rune(text)) {
		var two [2]byte
		order.PutUint16(two[:], u)
		raw = append(raw, two[:]...)
	}
	return raw
}

// encode writes text in a code page, which must have all its characters.
func encode(t testing.TB, text string, page *charmap.Charmap) []byte {
	t.Helper()
	raw, err := page.NewEncoder().Bytes([]byte(text))
	require.NoError(t, err, text)
	return raw
}

// westernLog has what keepers' logs have beyond ASCII.
const westernLog = "Datum;Temp (°C);Leitwert (µS/cm);Notizen\n2024-03-04;24,5;180;Männchen größer, laicht\n2024-03-05;25;175;café à côté, señal, blåbær\n"

// Row 4 of the list of hostile inputs.
func TestRow4UTF16(t *testing.T) {
	text := westernLog + "2024-03-06;25;170;\U0001F41F\n"
	want := textRows(onlyGrid(t, Read("log.csv", []byte(text), Limits{})))
	for name, c := range map[string]struct {
		order    binary.ByteOrder
		mark     string
		encoding string
		notes    int
	}{
		"little endian":           {binary.LittleEndian, "", "utf-16le", 1},
		"big endian":              {binary.BigEndian, "", "utf-16be", 1},
		"little endian with mark": {binary.LittleEndian, "\ufeff", "utf-16le", 0},
		"big endian with mark":    {binary.BigEndian, "\ufeff", "utf-16be", 0},
	} {
		f := Read("log.csv", encodeUTF16(c.mark+text, c.order), Limits{})
		grid := onlyGrid(t, f)
		require.Equal(t, want, textRows(grid), name)
		require.Equal(t, c.encoding, grid.Encoding, name)
		require.Len(t, f.Problems, c.notes, name)
		requireSound(t, f)
	}
}

func TestBrokenUTF16IsReported(t *testing.T) {
	raw := encodeUTF16("\ufeffa;b\nc;d", binary.LittleEndian)
	f := Read("log.csv", append(raw, 0x00, 0xD8, 'x'), Limits{}) // half a character, half a unit
	require.Equal(t, [][]string{{"a", "b"}, {"c", "d\ufffd\ufffd"}}, textRows(onlyGrid(t, f)))
	require.Len(t, f.Problems, 1)
	require.Equal(t, problem.Warning, f.Problems[0].Severity)
	require.Equal(t, 2, f.Problems[0].Place.Row)
	require.Contains(t, f.Problems[0].Message, "line 2")
}

// Row 5: code pages are told apart, and the note names the encoding and a sample.
func TestRow5CodePages(t *testing.T) {
	for name, page := range map[string]*charmap.Charmap{"windows-1252": charmap.Windows1252, "macintosh": charmap.Macintosh, "ibm850": charmap.CodePage850} {
		f := Read("log.csv", encode(t, westernLog, page), Limits{})
		grid := onlyGrid(t, f)
		require.Equal(t, name, grid.Encoding)
		require.Equal(t, textRows(onlyGrid(t, Read("log.csv", []byte(westernLog), Limits{}))), textRows(grid))
		require.Len(t, f.Problems, 1, "%v", f.Problems)
		require.Equal(t, problem.Note, f.Problems[0].Severity)
		require.Contains(t, f.Problems[0].Message, name)
		require.Equal(t, "(°C)", f.Problems[0].Value)
		requireSound(t, f)
	}
}

// shortNotes are single strings as they stand in logs, each a file of its own: the
// hardest case, as there is only one character or two to go by.
var shortNotes = []string{
	"24°C", "24.5 °C", "78°F", "180 µS/cm", "180µS", "5 µm filter", "Männchen", "Weibchen laichen früh", "größer", "Gelege auf Fläche",
	"frühmorgens", "Höhle", "dépôt", "œufs pondus", "ça va bien", "tempête", "señal", "año", "mañana", "está allí", "água", "manhã cedo", "más tarde", "qué día",
	"blåbær", "ägg på växt", "rød", "50 ± 3", "½ Wechsel", "10 m²", "temp 20–22", "it’s laid", "“laid” eggs",
}

// TestSingleNotesInCodePages counts how many of these files come out right. The
// bar is what the scoring reached when it was written; it must not get worse.
func TestSingleNotesInCodePages(t *testing.T) {
	for name, c := range map[string]struct {
		page *charmap.Charmap
		bar  int // files that must be right, of those the page can write
	}{
		"windows-1252": {charmap.Windows1252, 33},
		"macintosh":    {charmap.Macintosh, 27},
		"ibm850":       {charmap.CodePage850, 27},
	} {
		right := 0
		for _, note := range shortNotes {
			raw, err := c.page.NewEncoder().Bytes([]byte(note))
			if err != nil {
				continue
			}
			d, err := decode(raw, Hints{})
			require.NoError(t, err)
			if d.text == oneSpelling(note) {
				right++
				continue
			}
			t.Logf("%s: %q came out as %q", name, note, d.text)
		}
		require.GreaterOrEqual(t, right, c.bar, name)
	}
}

func TestDoubtfulCodePageIsAWarningWithSamples(t *testing.T) {
	f := Read("log.csv", []byte("a;b\n1;a\x94b\n"), Limits{})
	require.Len(t, f.Problems, 1, "%v", f.Problems)
	require.Equal(t, problem.Warning, f.Problems[0].Severity)
	require.Contains(t, f.Problems[0].Message, `read as ibm850, which is not sure; look at "aöb"`)
}

// Row 6: UTF-8 with some lines of Windows-1252 is read line by line.
func TestRow6MixedEncodings(t *testing.T) {
	raw := []byte("date;notes\n1;20 °C\n2;2\xb0C, M\xe4nnchen\n3;größer\n4;caf\xe9\n")
	f := Read("log.csv", raw, Limits{})
	grid := onlyGrid(t, f)
	require.Equal(t, [][]string{{"date", "notes"}, {"1", "20 °C"}, {"2", "2°C, Männchen"}, {"3", "größer"}, {"4", "café"}}, textRows(grid))
	require.Len(t, f.Problems, 1)
	p := f.Problems[0]
	require.Equal(t, problem.Warning, p.Severity)
	require.Contains(t, p.Message, "lines 3 and 5")
	require.Equal(t, "2°C", p.Value)
	requireSound(t, f)
}

// Row 7: NUL bytes refuse the file with the line, wherever they stand.
func TestRow7NUL(t *testing.T) {
	for _, c := range []struct {
		raw  string
		line int
	}{
		{"a;b\n1;2\x00\n", 2}, {"\x00a;b\n", 1}, {"\xef\xbb\xbfa;b\r1;2\r3;\x004", 3}, {strings.Repeat("1;2\n", 5000) + "\x00", 5001},
	} {
		p := onlyError(t, Read("log.csv", []byte(c.raw), Limits{}), problem.Encoding)
		require.Contains(t, p.Message, "line "+strconv.Itoa(c.line)+" ")
	}
	p := onlyError(t, Read("log.csv", encodeUTF16("\ufeffa;b\n1;\x00", binary.BigEndian), Limits{}), problem.Encoding)
	require.Contains(t, p.Message, "line 2 ")
	onlyError(t, Read("log.csv", []byte("\xff\xfe\x00\x00a\x00\x00\x00"), Limits{}), problem.Encoding)
}

// Row 33: digits of other scripts come through unchanged, for the reader of
// numbers to refuse.
func TestRow33OtherDigits(t *testing.T) {
	grid, _ := readText(t, "eggs;notes\n１２;٣٤\n")
	require.Equal(t, [][]string{{"eggs", "notes"}, {"１２", "٣٤"}}, textRows(grid))
}

func TestOneSpelling(t *testing.T) {
	for in, want := range map[string]string{
		"plain": "plain", "a\u0308": "ä", "1\u00a0200\u202f000\u2009x": "1 200 000 x", "\u22125": "-5", "\u03bcS": "µS", "20\u00baC": "20°C",
		"20\u02daC": "20°C", "\ufeffa\u200bb": "ab", "\u200e04/03/2024": "04/03/2024", "a\u037eb": "a\u037eb", "\u202eabc": "\u202eabc",
		"\U0001F469\u200d\U0001F52C": "\U0001F469\u200d\U0001F52C", "x\u037ea\u0308": "x\u037eä", "": "",
	} {
		require.Equal(t, want, oneSpelling(in), "%q", in)
		require.Equal(t, want, oneSpelling(want), "%q: doing it twice changes nothing", in)
	}
}

func TestCleanTextIsNotCopied(t *testing.T) {
	raw := []byte(loggerText(20_000))
	require.Less(t, testing.Benchmark(func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := decode(raw, Hints{}); err != nil {
				b.Fatal(err)
			}
		}
	}).AllocedBytesPerOp(), int64(1000))
}

func TestNamedEncodings(t *testing.T) {
	raw := encode(t, "data;uwagi\n1;złożyła ikrę\n", charmap.Windows1250)
	for _, name := range []string{"windows-1250", "CP1250", " x-cp1250 "} {
		f := ReadWith("log.csv", raw, Hints{Encoding: name}, Limits{})
		require.Equal(t, [][]string{{"data", "uwagi"}, {"1", "złożyła ikrę"}}, textRows(onlyGrid(t, f)))
		require.Equal(t, "windows-1250", f.Grids[0].Encoding)
		require.Empty(t, f.Problems)
	}
	f := ReadWith("log.csv", encode(t, "a;b\n1;Männchen\n", charmap.CodePage850), Hints{Encoding: "cp850"}, Limits{})
	require.Equal(t, "Männchen", textRows(onlyGrid(t, f))[1][1])
	f = ReadWith("log.csv", []byte("\x83\x5c;a\n1;2"), Hints{Encoding: "shift_jis"}, Limits{})
	require.Equal(t, "ソ", textRows(onlyGrid(t, f))[0][0])
	f = ReadWith("log.csv", []byte("a;\xff\xff\n1;2"), Hints{Encoding: "shift_jis"}, Limits{})
	require.Equal(t, problem.Warning, f.Problems[0].Severity)
	onlyError(t, ReadWith("log.csv", raw, Hints{Encoding: "klingon"}, Limits{}), problem.MappingInvalid)
}

// FuzzDecode holds that the text is UTF-8 in one spelling and without NUL, and
// that of what is no UTF-16 every ASCII character comes through, so that no line
// is lost or made.
func FuzzDecode(f *testing.F) {
	f.Add([]byte(westernLog))
	f.Add(encode(f, westernLog, charmap.Windows1252))
	f.Add(encode(f, westernLog, charmap.Macintosh))
	f.Add(encodeUTF16(westernLog, binary.LittleEndian))
	f.Add(encodeUTF16("\ufeff"+westernLog, binary.BigEndian))
	f.Add([]byte("a;ä\n\xe4\r\xe4\r\n\x00"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		before, err := decodeBytes(raw, Hints{})
		if err == nil && !strings.HasPrefix(before.encoding, "utf-16") {
			require.Equal(t, asciiOf(string(raw)), asciiOf(before.text))
		}
		d, err := decode(raw, Hints{})
		if err != nil {
			require.Empty(t, d.text)
			return
		}
		require.True(t, utf8.ValidString(d.text))
		require.NotContains(t, d.text, "\x00")
		require.Equal(t, d.text, oneSpelling(d.text))
		if !strings.Contains(d.text, greekQuestionMark) {
			require.True(t, norm.NFC.IsNormalString(d.text))
		}
	})
}

func asciiOf(s string) string {
	var out []byte
	for _, b := range []byte(s) {
		if b < utf8.RuneSelf {
			out = append(out, b)
		}
	}
	return string(out)
}
