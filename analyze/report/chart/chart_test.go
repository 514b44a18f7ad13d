package chart_test

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gravid/analyze/report"
	"gravid/analyze/report/chart"
	"gravid/analyze/report/internal/reporttest"
)

var sizes = []int{0, 280, 328, 560, 900}

func figures(t *testing.T, d *report.Document) (all []report.Figure) {
	t.Helper()
	for _, s := range d.Sections {
		all = append(all, s.Figures...)
	}
	require.NotEmpty(t, all)
	return all
}

func TestGolden(t *testing.T) {
	g := reporttest.OpenGoldens(t, "testdata")
	for _, f := range figures(t, reporttest.Season()) {
		for name, o := range map[string]chart.Options{"wide": {Standalone: true}, "narrow": {Width: 328, Standalone: true}} {
			t.Run(f.ID+"-"+name, func(t *testing.T) {
				got := chart.SVG(f, o)
				g.Equal(t, f.ID+"-"+name+".svg", []byte(strings.ReplaceAll(got, "><", ">\n<")))
				require.Equal(t, got, chart.SVG(f, o), "the same figure must give the same bytes")
			})
		}
	}
}

// A piece is one text of a drawing and about where it stands.
type piece struct {
	s                        string
	left, right, top, bottom float64
}

func (a piece) touches(b piece) bool {
	return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom
}

// texts reads the texts of a drawing; it fails where the SVG is not well-formed.
func texts(t *testing.T, svg string) (out []piece, width, height float64) {
	t.Helper()
	number := func(e xml.StartElement, name string) float64 {
		for _, a := range e.Attr {
			if a.Name.Local == name {
				x, err := strconv.ParseFloat(a.Value, 64)
				require.NoError(t, err, "%s=%q", name, a.Value)
				return x
			}
		}
		t.Fatalf("%s has no %s", e.Name.Local, name)
		return 0
	}
	dec := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return out, width, height
		}
		require.NoError(t, err)
		e, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		switch e.Name.Local {
		case "svg":
			width, height = number(e, "width"), number(e, "height")
		case "rect":
			require.GreaterOrEqual(t, number(e, "width"), 0.0)
			require.GreaterOrEqual(t, number(e, "height"), 0.0)
		case "script", "image", "a", "use", "foreignObject":
			t.Fatalf("the drawing holds a %s", e.Name.Local)
		case "text":
			var s string
			require.NoError(t, dec.DecodeElement(&s, &e))
			out = append(out, place(e, s, number(e, "x"), number(e, "y")))
		}
	}
}

// place reckons with letters 0.5 em wide and 13 pixels high, as common faces have
// them; the package itself reckons with wider ones.
func place(e xml.StartElement, s string, x, y float64) piece {
	w := 0.0
	for _, r := range s {
		switch {
		case unicode.In(r, unicode.Mn, unicode.Cf):
		case r >= 0x1100 && (r < 0x2000 || r > 0x22ff):
			w += 13
		case strings.ContainsRune("iljI.,:;'|! ()[]ftr-", r):
			w += 3.7
		default:
			w += 6.8
		}
	}
	p := piece{s: s, left: x, right: x + w, top: y - 9, bottom: y + 2}
	for _, a := range e.Attr {
		switch {
		case a.Name.Local == "text-anchor" && a.Value == "middle":
			p.left, p.right = x-w/2, x+w/2
		case a.Name.Local == "text-anchor" && a.Value == "end":
			p.left, p.right = x-w, x
		}
	}
	return p
}

func TestTextsNeverTouchAndStayInside(t *testing.T) {
	for _, d := range []*report.Document{reporttest.Season(), reporttest.Figures(), reporttest.Hostile()} {
		for _, f := range figures(t, d) {
			for _, w := range sizes {
				t.Run(fmt.Sprintf("%s-%d", f.ID, w), func(t *testing.T) {
					ps, width, height := texts(t, chart.SVG(f, chart.Options{Width: w}))
					require.NotEmpty(t, ps)
					for i, a := range ps {
						assert.True(t, a.left > -2 && a.right < width+2 && a.top > -2 && a.bottom < height+2, "%q stands outside: %+v of %v × %v", a.s, a, width, height)
						for _, b := range ps[i+1:] {
							assert.False(t, a.touches(b), "%+v touches %+v", a, b)
						}
					}
				})
			}
		}
	}
}

func TestCoordinatesAreNumbers(t *testing.T) {
	for _, d := range []*report.Document{reporttest.Season(), reporttest.Figures(), reporttest.Hostile()} {
		for _, f := range figures(t, d) {
			svg := chart.SVG(f, chart.Options{})
			for _, bad := range []string{`"NaN`, `"Inf`, `"+Inf`, `"-Inf`, " NaN", " Inf", "MNaN", "LNaN"} {
				require.NotContains(t, svg, bad, f.ID)
			}
		}
	}
}

func TestAccessible(t *testing.T) {
	for _, f := range figures(t, reporttest.Season()) {
		svg := chart.SVG(f, chart.Options{ID: "one"})
		assert.Contains(t, svg, `role="img"`)
		assert.Contains(t, svg, `aria-labelledby="one-t one-d"`)
		assert.Contains(t, svg, `<title id="one-t">`)
		assert.Contains(t, svg, `<desc id="one-d">`)
	}
}

func TestHollowAndArrowsForWhatIsNotKnown(t *testing.T) {
	f := figures(t, reporttest.Season())[1]
	require.Equal(t, report.Forest, f.Kind)
	svg := chart.SVG(f, chart.Options{})
	assert.Equal(t, 5, strings.Count(svg, "c-faint"), "5 of the 11 triggers are faint")
	assert.Equal(t, 2, strings.Count(svg, `class="c-tip"`), "one interval without limits: two arrows")
	assert.Contains(t, svg, "22 (no limit either way)")
	assert.Contains(t, svg, `class="c-band"`)
}

func TestHostileTextStaysText(t *testing.T) {
	for _, f := range figures(t, reporttest.Hostile()) {
		for _, w := range sizes {
			svg := chart.SVG(f, chart.Options{Width: w, ID: `x" onload="alert(1)`})
			texts(t, svg)
			for _, bad := range []string{"<script", "<img", "<b>", `onload="`, "\x1b", "\u202e", "\x00"} {
				assert.NotContains(t, svg, bad)
			}
		}
	}
}

func TestStyleHoldsNoAddress(t *testing.T) {
	require.NotEmpty(t, chart.Style)
	for _, bad := range []string{"url(", "@import", "http", "<"} {
		assert.NotContains(t, chart.Style, bad)
	}
}

func BenchmarkSVG(b *testing.B) {
	for _, s := range reporttest.Season().Sections {
		for _, f := range s.Figures {
			b.Run(f.ID, func(b *testing.B) {
				for b.Loop() {
					chart.SVG(f, chart.Options{})
				}
			})
		}
	}
}

// A funnel names its points where there is room, draws no limit beyond the plot, and
// says what lines mean by their dashes and the legend, not by colour alone.
func TestFunnel(t *testing.T) {
	var f report.Figure
	for _, x := range figures(t, reporttest.Season()) {
		if x.Kind == report.Funnel {
			f = x
		}
	}
	require.Equal(t, "funnel", f.ID)
	ps, _, _ := texts(t, chart.SVG(f, chart.Options{}))
	shown := map[string]int{}
	for _, p := range ps {
		shown[p.s]++
	}
	for _, q := range f.Series[0].Points {
		assert.Equal(t, 1, shown[q.Label], q.Label)
	}
	for _, s := range []string{"as expected", "keepers", "95 % limits", "99.8 % limits"} {
		assert.Equal(t, 1, shown[s], s)
	}
	svg := chart.SVG(f, chart.Options{})
	assert.Equal(t, 4, strings.Count(svg, "<path"), "two lines for each pair of limits")
	assert.Contains(t, svg, "fewer than expected")

	for i := range f.Series[2].Points { // the outer limits leave the plot
		f.Series[2].Points[i].YLo, f.Series[2].Points[i].YHi = -1, 9
	}
	assert.Equal(t, 2, strings.Count(chart.SVG(f, chart.Options{}), "<path"))
}
