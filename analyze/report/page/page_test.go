package page_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gravid/analyze/report"
	"gravid/analyze/report/internal/reporttest"
	"gravid/analyze/report/page"
)

func write(t *testing.T, d *report.Document, o page.Options) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, page.Write(&b, d, o))
	return b.String()
}

func samples() map[string]*report.Document {
	return map[string]*report.Document{
		"season": reporttest.Season(), "hostile": reporttest.Hostile(), "figures": reporttest.Figures(), "empty": {}, "huge": reporttest.Huge(2000),
		"clash": {Title: "IDs like the page's own", Sections: []report.Section{{ID: "main", Lead: "a"}, {ID: "in-short", Lead: "b"}, {ID: "how-to-read"}, {ID: "how-to-read-title"}, {ID: "bear-in-mind"}}},
		"one":   {Title: "One answer", Sections: []report.Section{{ID: "answer", Title: "The answer", Lead: "It may."}}},
	}
}

func TestGolden(t *testing.T) {
	g := reporttest.OpenGoldens(t, "testdata")
	for _, name := range []string{"season", "empty", "one"} {
		t.Run(name, func(t *testing.T) {
			d := samples()[name]
			got := write(t, d, page.Options{MaxRows: 10})
			g.Equal(t, name+".html", []byte(got))
			require.Equal(t, got, write(t, d, page.Options{MaxRows: 10}), "the same document must give the same bytes")
		})
	}
}

type element struct {
	name string
	attr map[string]string
	text string // directly inside
}

// elements reads a page as elements in order; it fails where tags do not match.
func elements(t *testing.T, html string) (all []*element) {
	t.Helper()
	dec := xml.NewDecoder(strings.NewReader(html))
	dec.Strict, dec.AutoClose, dec.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	var open []*element
	for {
		token, err := dec.Token()
		if errors.Is(err, io.EOF) {
			require.Empty(t, open)
			return all
		}
		require.NoError(t, err)
		switch v := token.(type) {
		case xml.StartElement:
			e := &element{name: v.Name.Local, attr: map[string]string{}}
			for _, a := range v.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			open, all = append(open, e), append(all, e)
		case xml.EndElement:
			require.Equal(t, v.Name.Local, open[len(open)-1].name)
			open = open[:len(open)-1]
		case xml.CharData:
			if len(open) > 0 {
				open[len(open)-1].text += string(v)
			}
		}
	}
}

func TestEveryPageIsSoundAndAccessible(t *testing.T) {
	for name, d := range samples() {
		t.Run(name, func(t *testing.T) {
			checkPage(t, elements(t, write(t, d, page.Options{})))
		})
	}
}

func checkPage(t *testing.T, all []*element) {
	count, ids := map[string]int{}, map[string]bool{}
	level := 0
	for _, e := range all {
		count[e.name]++
		if id, ok := e.attr["id"]; ok {
			require.False(t, ids[id], "the id %q is used twice", id)
			ids[id] = true
		}
		if regexp.MustCompile(`^h[1-6]$`).MatchString(e.name) {
			now := int(e.name[1] - '0')
			require.LessOrEqual(t, now, level+1, "heading %q skips a level", e.text)
			level = now
		}
		switch e.name {
		case "script", "link", "img", "iframe", "object", "embed", "base", "form", "input", "button":
			t.Fatalf("the page holds a %s", e.name)
		case "svg":
			require.Equal(t, "img", e.attr["role"])
		}
		for a, v := range e.attr {
			require.False(t, strings.HasPrefix(a, "on"), "%s=%q", a, v)
			require.False(t, a == "src" || a == "srcset" || a == "action" || a == "style", "%s=%q", a, v)
		}
	}
	for _, e := range all {
		for _, a := range []string{"aria-labelledby", "href"} {
			for _, id := range strings.Fields(e.attr[a]) {
				if a == "href" && !strings.HasPrefix(id, "#") {
					continue
				}
				require.True(t, ids[strings.TrimPrefix(id, "#")], "%s=%q leads nowhere", a, e.attr[a])
			}
		}
	}
	require.Equal(t, 1, count["h1"])
	require.Equal(t, 1, count["main"])
	require.Equal(t, 1, count["header"])
	require.Equal(t, 1, count["nav"])
	require.Equal(t, count["figure"], count["figcaption"])
	require.Equal(t, "html", all[0].name)
	require.Equal(t, "en", all[0].attr["lang"])
}

func TestNothingIsFetched(t *testing.T) {
	html := write(t, reporttest.Season(), page.Options{})
	assert.Contains(t, html, `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:">`)
	for _, bad := range []string{"url(", "@import", "src=", "https:"} {
		assert.NotContains(t, html, bad)
	}
	assert.Equal(t, strings.Count(html, "http:"), strings.Count(html, `xmlns="http://www.w3.org/2000/svg"`))
}

func TestFirstScreen(t *testing.T) {
	html := write(t, reporttest.Season(), page.Options{})
	order := []string{"<h1>", "Logs read", "Not read", "rows set aside", "In short", "Cool refills went with about 27 more", "<nav", `<section id="glance"`}
	at := 0
	for _, s := range order {
		i := strings.Index(html[at:], s)
		require.GreaterOrEqual(t, i, 0, "%q must come after what stands before it", s)
		at += i
	}
	assert.NotContains(t, write(t, samples()["one"], page.Options{}), "In short", "one answer must not stand twice on a screen")
}

func TestFiguresHaveTheirNumbers(t *testing.T) {
	html := write(t, reporttest.Season(), page.Options{})
	assert.Equal(t, 8, strings.Count(html, "<figure"), "the sample has 8 figures")
	assert.Equal(t, 16, strings.Count(html, "<svg"), "one drawing for wide and one for narrow screens")
	assert.Equal(t, 8, strings.Count(html, `<details class="numbers">`))
	assert.Contains(t, html, `id="triggers/differences-numbers"`)
}

func TestHostileTextStaysText(t *testing.T) {
	html := write(t, reporttest.Hostile(), page.Options{})
	for _, bad := range []string{"<script", "<img", "<b>bold", "\x1b", "\u202e", "\u2066", "\x00", "ZgotmplZ"} {
		assert.NotContains(t, html, bad)
	}
	hrefs := map[string]int{}
	for _, e := range elements(t, html) {
		if e.name == "a" && !strings.HasPrefix(e.attr["href"], "#") {
			hrefs[e.attr["href"]]++
		}
	}
	// of the sample's links only these may be followed: it also tries javascript:,
	// https:, an absolute path, a backslash, a share and a line break
	for href := range hrefs {
		assert.Contains(t, []string{"logs/=cmd.xlsx", "logs/a%20b%231.csv"}, href)
	}
	assert.Len(t, hrefs, 2)
}

func TestLongTablesAreCut(t *testing.T) {
	d := reporttest.Huge(20000)
	html := write(t, d, page.Options{Rest: "the workbook season-2026.xlsx"})
	assert.Contains(t, html, "500 of 20000 rows are shown; the rest is in the workbook season-2026.xlsx.")
	assert.Contains(t, html, "A-500<")
	assert.NotContains(t, html, "A-501<")
	assert.Less(t, len(html), 1<<20, "a page must stay small")
	assert.NotContains(t, write(t, reporttest.Huge(500), page.Options{}), "rows are shown")
}

var blocks = regexp.MustCompile(`(@media \((prefers-color-scheme:dark)\)\{|@media (print)\{)?\s*(?::root|\.chart)\{((?:--[a-z-]+:#[0-9a-f]+;?)+)`)

// TestContrast works the contrast out as WCAG 2.2 defines it: at least 4.5 to 1
// for text, 3 to 1 for what draws a graphic.
func TestContrast(t *testing.T) {
	html := write(t, reporttest.Season(), page.Options{})
	html = html[:strings.Index(html, "</style>")]
	found := blocks.FindAllStringSubmatch(html, -1)
	require.Len(t, found, 6, "light, dark and print, for the page and the charts")
	for _, block := range found {
		c := map[string]float64{}
		for _, v := range strings.Split(strings.Trim(block[4], ";"), ";") {
			name, hex, _ := strings.Cut(v, ":")
			c[name] = luminance(t, hex)
		}
		at := fmt.Sprintf("%s%s %.30s", block[2], block[3], block[4])
		if _, chart := c["--c-paper"]; chart {
			for _, on := range []string{"--c-paper", "--c-band"} {
				assert.GreaterOrEqual(t, contrast(c["--c-ink"], c[on]), 4.5, at)
				assert.GreaterOrEqual(t, contrast(c["--c-soft"], c[on]), 4.5, at)
			}
			for _, line := range []string{"--c-accent", "--c-tone", "--c-line"} {
				assert.GreaterOrEqual(t, contrast(c[line], c["--c-paper"]), 3.0, "%s %s", at, line)
			}
			continue
		}
		for _, on := range []string{"--paper", "--panel"} {
			for _, text := range []string{"--ink", "--soft", "--accent"} {
				assert.GreaterOrEqual(t, contrast(c[text], c[on]), 4.5, "%s: %s on %s", at, text, on)
			}
		}
	}
}

func contrast(a, b float64) float64 { return (math.Max(a, b) + 0.05) / (math.Min(a, b) + 0.05) }

func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	hex = strings.TrimPrefix(hex, "#")
	if len(hex) == 3 {
		hex = string([]byte{hex[0], hex[0], hex[1], hex[1], hex[2], hex[2]})
	}
	rgb, err := strconv.ParseUint(hex, 16, 32)
	require.NoError(t, err)
	linear := func(shift int) float64 {
		v := float64(rgb>>shift&0xff) / 255
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(16) + 0.7152*linear(8) + 0.0722*linear(0)
}

func TestFaultsAreErrors(t *testing.T) {
	bad := &report.Document{Sections: []report.Section{{ID: "a"}, {ID: "a"}}}
	assert.ErrorContains(t, page.Write(io.Discard, bad, page.Options{}), "used twice")
	broken := errors.New("disk full")
	assert.ErrorIs(t, page.Write(failing{broken}, reporttest.Season(), page.Options{}), broken)
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

func BenchmarkWrite(b *testing.B) {
	d := reporttest.Season()
	for b.Loop() {
		require.NoError(b, page.Write(io.Discard, d, page.Options{}))
	}
}

// A long table is folded under its title, and says how long it is; a short one stands open.
func TestLongTablesAreFolded(t *testing.T) {
	of := func(rows int) string {
		tab := report.Table{ID: "t", Title: "Every day", Columns: []report.Column{{Name: "Day", Key: true}}}
		for i := range rows {
			tab.Rows = append(tab.Rows, []report.Cell{report.T(fmt.Sprint("day ", i))})
		}
		return write(t, &report.Document{Title: "T", Sections: []report.Section{{ID: "s", Title: "S", Tables: []report.Table{tab}}}}, page.Options{})
	}
	require.NotContains(t, of(40), `<details class="rows">`)
	long := of(41)
	elements(t, long) // tags match
	require.Regexp(t, `(?s)<h3>Every day</h3>.*<details class="rows">\s*<summary>Show the 41 rows</summary>.*day 40.*</table>\s*</div>\s*</details>`, long)
}
