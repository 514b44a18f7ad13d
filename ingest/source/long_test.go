package source

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"runtime"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/charmap"

	"gravid/ingest/problem"
)

// readLong reads a text as if it were too long to be held, so many bytes at once.
func readLong(name string, raw []byte, hints Hints, limits Limits, step int) File {
	f := File{Name: name, Bytes: int64(len(raw)), content: newContent(bytes.NewReader(raw), int64(len(raw)))}
	f.content.step = step
	f.read(hints, limits.filled())
	return f
}

// requireLongAlike holds that a text is read alike in the memory and from outside it.
func requireLongAlike(t testing.TB, raw []byte, hints Hints, limits Limits, steps ...int) {
	t.Helper()
	want := ReadWith("log.csv", raw, hints, limits)
	if want.isZip() {
		return
	}
	for _, step := range steps {
		got := readLong("log.csv", raw, hints, limits, step)
		require.NoError(t, got.Err())
		require.Equal(t, want.Problems, got.Problems, "step %d", step)
		require.Len(t, got.Grids, len(want.Grids), "step %d", step)
		for i, g := range got.Grids {
			w := want.Grids[i]
			require.Equal(t, []string{w.Encoding, w.Delimiter, w.File}, []string{g.Encoding, g.Delimiter, g.File}, "step %d", step)
			require.Equal(t, wholeRows(w), wholeRows(g), "step %d", step)
			require.Equal(t, wholeRows(w), wholeRows(g), "step %d, again", step)
			requireWordless(t, wholeRows(w), g.Wordless)
		}
	}
}

// requireWordless holds that letters stand before that row, and none later.
func requireWordless(t testing.TB, rows []Row, wordless int) {
	t.Helper()
	require.Positive(t, wordless)
	for _, r := range rows {
		for _, c := range r.Cells {
			if r.Number >= wordless {
				require.False(t, strings.Contains(c.Text, "#") || strings.ContainsFunc(c.Text, unicode.IsLetter), "row %d: %q", r.Number, c.Text)
			}
		}
	}
}

func wholeRows(g Grid) []Row {
	var rows []Row
	for r := range g.Each {
		r.Cells = append([]Cell{}, r.Cells...)
		rows = append(rows, r)
	}
	return rows
}

// oddTexts are texts whose reading depends on more than one line, or on bytes that
// a window could part.
func oddTexts(t testing.TB) map[string][]byte {
	long := strings.Repeat("x", 300)
	texts := map[string]string{
		"empty": "", "blank": " \r\n\t\n", "no break": "a;b", "CR at the end": "a;b\r1;2\r", "CR LF": "a;b\r\n1;2\r\n\r\n3;4", "mixed ends": "a;b\r1;2\n\r\n3;4\r\r\n5;6",
		"sep": "sep=;\r\na,b;c\r\n1,5;2\r\n", "quoted sep": "\"sep=;\"\ra,b;c\r1,5;2\r", "sep alone": "sep=;", "mark": "\ufeffa;b\n1;2",
		"quotes": "a;\"b\n\"\"c\";d\r\n\"x\"y;z\r\"", "over lines": "date;notes;eggs\r\n1;\"laid\r\n\r\non \"\"moss\"\";\";12\r\n2;\"x\";7\r\n",
		"never closed": "a;\"b\n" + strings.Repeat("c;d\n", 25) + "e\";f\n", "just closed": "a;\"" + strings.Repeat("\n", quoteLines-1) + "\"\nb;c\n", "just not": "a;\"" + strings.Repeat("\r", quoteLines) + "\"\rb;c\r",
		"many stray": strings.Repeat("a;\"b\n", 150), "long line": "a;b\n" + long + ";" + long + "\n1;2\n", "one long line": long + ";" + long, "long quoted": "a;\"" + strings.Repeat(long+"\n", 4) + "\";b\n1;2\n",
		"wide": "a;b\n1;2" + strings.Repeat(";", 40) + "x\n", "wide blank": "a;b\n1;2" + strings.Repeat(";", 40) + "\n", "no delimiter": "laid on monday\nhatched \"early\"\n",
		"letters": westernLog, "marks left out": "a;b\u200b\u200b\u200b\u200b\u200b\n\u200e1;a\u0308\u0323\u22125\n", "Greek": "a\u037eb;c\n1;a\u0308\u037e\n", "wholly left out": strings.Repeat("\u200b", 50),
		"not ASCII": strings.Repeat("äöü", 40) + "\nß;\u0308\u0308é\n", "hidden mark": "a;b\n\ufeff1;2\n", "NUL": "a;b\n1;2\x00\n", "NUL after CR": "a;b\r\n1;2\r\x00", "web page": " <html><table>\n", "JSON": "{\"a\": 1}\n",
	}
	out := map[string][]byte{}
	for name, text := range texts {
		out[name] = []byte(text)
		out[name+", UTF-16"] = encodeUTF16("\ufeff"+text, binary.LittleEndian)
		out[name+", UTF-16BE without mark"] = encodeUTF16(text, binary.BigEndian)
	}
	for name, page := range map[string]*charmap.Charmap{"windows-1252": charmap.Windows1252, "macintosh": charmap.Macintosh, "ibm850": charmap.CodePage850} {
		out[name] = encode(t, westernLog, page)
	}
	out["mixed"] = []byte("date;notes\r\n1;20 °C\r2;2\xb0C, M\xe4nnchen\r\n3;größer\n4;caf\xe9\n\xe4\r\xe4")
	out["mixed in many lines"] = []byte("a;größer Männchen Weibchen äöü\n" + strings.Repeat("x;\xe4\n", 20))
	out["doubtful page"] = []byte("a;b\n1;a\x94b\n")
	out["broken UTF-16"] = append(encodeUTF16("\ufeffa;b\r\nc;d\r\n", binary.LittleEndian), 0x00, 0xD8, 'x', 0, 0x00, 0xDC, 'y')
	out["UTF-32"] = []byte("\xff\xfe\x00\x00a\x00\x00\x00")
	out["cut character"] = []byte("a;b\n1;\xc3")
	out["old workbook"] = append([]byte(magicOLE), encodeUTF16(long+"Workbook", binary.LittleEndian)...)
	return out
}

// Rows, problems, encoding and delimiter of a text do not depend on whether it is
// held in the memory, nor on how much of it is looked at at once.
func TestLongTextsReadAlike(t *testing.T) {
	for name, raw := range oddTexts(t) {
		t.Run(name, func(t *testing.T) {
			requireLongAlike(t, raw, Hints{}, Limits{Columns: 30}, 1, 2, 3, 4, 5, 7, 16, 33, 64, 1000, 1<<16)
		})
	}
	for _, encoding := range []string{"utf-8", "utf-16le", "windows-1250", "cp850", "shift_jis", "gb18030", "klingon"} {
		for _, name := range []string{"letters", "mixed", "quotes", "broken UTF-16", "windows-1252", "cut character"} {
			requireLongAlike(t, oddTexts(t)[name], Hints{Encoding: encoding}, Limits{}, 1, 3, 64, 1<<16)
		}
	}
	requireLongAlike(t, []byte("\x83\x5c;a\n1;2\xff\xff\n"), Hints{Encoding: "shift_jis", Delimiter: ";"}, Limits{}, 1, 3, 64)
}

// The same of texts at random.
func TestLongTextsAtRandomReadAlike(t *testing.T) {
	scraps := []string{"a", "1", ";", ";", ",", "\n", "\r\n", "\r", "\"", "\"\"", "\";", ";\"", " ", "ä", "\xe4", "\xc3", "\u0308", "\u200b", "𝟚", "24,5", "\t", "|"}
	for seed := range uint64(400) {
		rng := rand.New(rand.NewPCG(seed, 11))
		var text strings.Builder
		for range rng.IntN(200) {
			text.WriteString(scraps[rng.IntN(len(scraps))])
		}
		requireLongAlike(t, []byte(text.String()), Hints{}, Limits{}, 1+rng.IntN(8), 1+rng.IntN(100))
	}
}

// The same of every log of the corpus.
func TestLongTextsOfTheCorpusReadAlike(t *testing.T) {
	texts := 0
	corpus := os.DirFS("../testdata/corpus")
	require.NoError(t, fs.WalkDir(corpus, ".", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		raw, err := fs.ReadFile(corpus, path)
		if err == nil && len(raw) < 1<<20 {
			requireLongAlike(t, raw, Hints{}, Limits{}, 5, 997)
			texts++
		}
		return err
	}))
	require.Greater(t, texts, 50)
}

func FuzzLongText(f *testing.F) {
	for _, raw := range oddTexts(f) {
		f.Add(raw, uint16(3))
	}
	f.Fuzz(func(t *testing.T, raw []byte, step uint16) {
		requireLongAlike(t, raw, Hints{}, Limits{}, 1+int(step))
	})
}

// A copy that cannot be read again gives an error, and no row that is wrong.
func TestLongTextThatVanishes(t *testing.T) {
	raw := []byte(loggerText(1000))
	from := &vanishing{Reader: bytes.NewReader(raw)}
	f := File{Name: "log.csv", Bytes: int64(len(raw)), content: newContent(from, int64(len(raw)))}
	f.content.step = 1000
	f.read(Hints{}, Limits{}.filled())
	require.Len(t, f.Grids, 1)
	require.NoError(t, f.Err())
	from.left = 5
	whole := wholeRows(Read("log.csv", raw, Limits{}).Grids[0])
	part := wholeRows(f.Grids[0])
	require.ErrorContains(t, f.Err(), "gone")
	require.Less(t, len(part), len(whole))
	require.Equal(t, whole[:len(part)-1], part[:len(part)-1])
}

type vanishing struct {
	*bytes.Reader
	left int
}

func (v *vanishing) ReadAt(p []byte, at int64) (int, error) {
	if v.left > 0 {
		if v.left--; v.left == 0 {
			v.left = -1
		}
	}
	if v.left < 0 {
		return 0, fmt.Errorf("the disk is gone")
	}
	return v.Reader.ReadAt(p, at)
}

// Walking a long text costs no more memory than a few windows.
func TestLongTextIsNotHeld(t *testing.T) {
	raw := []byte(loggerText(400_000))
	f := readLong("log.csv", raw, Hints{}, Limits{}, stepBytes)
	require.Len(t, f.Grids, 1)
	rows, most := 0, uint64(0)
	var stats runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&stats)
	before := stats.HeapAlloc
	for range f.Grids[0].Each {
		if rows++; rows%100_000 == 0 {
			runtime.GC()
			runtime.ReadMemStats(&stats)
			most = max(most, stats.HeapAlloc)
		}
	}
	require.Equal(t, 400_001, rows)
	require.Less(t, int64(most)-int64(before), int64(4<<20), "of %d bytes", len(raw))
}

func TestLastLetter(t *testing.T) {
	for text, want := range map[string]int{"": -1, "12,5;\r\n\t 1": -1, "a": 0, "a123456789": 0, "12345678b": 8, "123456789012345;C1": 16, "1°": 2, "2024-03-04T1:00": 10} {
		require.Equal(t, want, lastLetter(text), "%q", text)
	}
	f := readLong("log.csv", []byte("Date;hPa\n1;2\n3;4\n"), Hints{}, Limits{}, 4)
	require.Equal(t, 2, f.Grids[0].Wordless)
}

func BenchmarkLongText(b *testing.B) {
	raw := []byte(loggerText(400_000))
	f := readLong("log.csv", raw, Hints{}, Limits{}, stepBytes)
	if len(f.Grids) != 1 {
		b.Fatal(problem.Count(f.Problems, problem.Error))
	}
	b.SetBytes(int64(len(raw)))
	b.ReportAllocs()
	for b.Loop() {
		rows := 0
		for range f.Grids[0].Each {
			rows++
		}
		if rows != 400_001 {
			b.Fatal(rows)
		}
	}
}
