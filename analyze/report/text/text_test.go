package text_test

import (
	"bytes"
	"errors"
	"io"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	xwidth "golang.org/x/text/width"

	"gravid/analyze/report"
	"gravid/analyze/report/internal/reporttest"
	"gravid/analyze/report/text"
)

func write(t *testing.T, d *report.Document, o text.Options) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, text.Write(&b, d, o))
	return b.String()
}

func TestGolden(t *testing.T) {
	g := reporttest.OpenGoldens(t, "testdata")
	for name, c := range map[string]struct {
		d *report.Document
		o text.Options
	}{
		"season-80.txt":      {reporttest.Season(), text.Options{MaxRows: 12}},
		"season-120.txt":     {reporttest.Season(), text.Options{Width: 120, Technical: true, MaxRows: 12}},
		"season-40.txt":      {reporttest.Season(), text.Options{Width: 40, MaxRows: 5}},
		"season-ascii.txt":   {reporttest.Season(), text.Options{ASCII: true, MaxRows: 5}},
		"season-colour.txt":  {reporttest.Season(), text.Options{Color: true, MaxRows: 5}},
		"hostile.txt":        {short(reporttest.Hostile()), text.Options{Width: 100, MaxRows: 3}},
		"hostile-ascii.txt":  {short(reporttest.Hostile()), text.Options{Width: 100, MaxRows: 3, ASCII: true}},
		"figures.txt":        {reporttest.Figures(), text.Options{}},
		"empty.txt":          {&report.Document{}, text.Options{}},
		"empty-sections.txt": {&report.Document{Title: "Nothing yet", Sections: []report.Section{{ID: "a", Title: "A", Tables: []report.Table{{ID: "t", Title: "No rows", Columns: []report.Column{{Name: "x"}}}, {ID: "u"}}}}}, text.Options{}},
	} {
		t.Run(name, func(t *testing.T) {
			got := write(t, c.d, c.o)
			g.Equal(t, name, []byte(got))
			require.Equal(t, got, write(t, c.d, c.o), "the same document must give the same text")
		})
	}
}

// short leaves out the section of very long texts.
func short(d *report.Document) *report.Document {
	d.Sections = d.Sections[:len(d.Sections)-1]
	return d
}

// sgr are the colour codes that the renderer itself writes.
var sgr = regexp.MustCompile("\x1b\\[[0-9;]*m")

func TestNothingActsOnTheTerminal(t *testing.T) {
	for _, o := range []text.Options{{}, {Color: true}, {ASCII: true}, {Width: 40}} {
		got := write(t, reporttest.Hostile(), o)
		if o.Color {
			require.Regexp(t, sgr, got)
			got = sgr.ReplaceAllString(got, "")
		}
		for _, r := range got {
			acts := r != '\n' && unicode.IsControl(r) || strings.ContainsRune("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u2028\u2029", r)
			if acts || o.ASCII && r >= 0x80 {
				t.Fatalf("%U must not reach the terminal with %+v", r, o)
			}
		}
	}
}

func TestColourSaysNothingOfItsOwn(t *testing.T) {
	plain := write(t, reporttest.Season(), text.Options{Technical: true})
	assert.NotContains(t, plain, "\x1b")
	coloured := write(t, reporttest.Season(), text.Options{Technical: true, Color: true})
	stripped := regexp.MustCompile(`(?m) +$`).ReplaceAllString(sgr.ReplaceAllString(coloured, ""), "")
	assert.Equal(t, plain, stripped)
}

func TestLinesFitTheWidth(t *testing.T) {
	for _, d := range []*report.Document{reporttest.Season(), reporttest.Hostile(), reporttest.Figures()} {
		for _, w := range []int{40, 57, 80, 132, 200} {
			for line := range strings.Lines(write(t, d, text.Options{Width: w, Technical: true})) {
				line = strings.TrimSuffix(line, "\n")
				if columns(line) > w || strings.HasSuffix(line, " ") {
					t.Fatalf("at width %d: %q is too long or ends in blanks", w, line)
				}
			}
		}
	}
}

// columns counts as terminals do: wide East Asian characters and pictures take two.
func columns(s string) (n int) {
	for _, r := range s {
		kind := xwidth.LookupRune(r).Kind()
		switch {
		case r >= 0x300 && unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		case kind == xwidth.EastAsianWide || kind == xwidth.EastAsianFullwidth:
			n += 2
		default:
			n++
		}
	}
	return n
}

func TestLongTablesAreCutWithASentence(t *testing.T) {
	d := reporttest.Huge(500)
	assert.Contains(t, write(t, d, text.Options{Width: 160}), "200 of 500 rows are shown here")
	all := write(t, d, text.Options{Width: 160, MaxRows: -1})
	assert.NotContains(t, all, "rows are shown")
	assert.Contains(t, all, "A-500")
}

func TestTechnicalOnDemand(t *testing.T) {
	d := reporttest.Season()
	short := write(t, d, text.Options{})
	assert.NotContains(t, short, "Firth")
	assert.Contains(t, short, "Not shown here: Methods.")
	long := write(t, d, text.Options{Technical: true})
	assert.Contains(t, long, "Firth")
	assert.NotContains(t, long, "Not shown here")
}

func TestFaultsAreErrors(t *testing.T) {
	bad := &report.Document{Sections: []report.Section{{ID: "a"}, {ID: "a"}}}
	assert.ErrorContains(t, text.Write(io.Discard, bad, text.Options{}), "used twice")
	broken := errors.New("disk full")
	assert.ErrorIs(t, text.Write(failing{broken}, reporttest.Season(), text.Options{}), broken)
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

func BenchmarkWrite(b *testing.B) {
	d := reporttest.Huge(20000)
	for b.Loop() {
		require.NoError(b, text.Write(io.Discard, d, text.Options{Width: 160, MaxRows: -1}))
	}
}
