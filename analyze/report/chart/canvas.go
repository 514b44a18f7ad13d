package chart

import (
	"fmt"
	"html"
	"strconv"
	"strings"
	"unicode"

	"gravid/analyze/report/format"
)

const (
	size  = 13.0 // pixels: all text
	lead  = 17.0 // pixels from one line of text to the next
	radii = 4.5  // pixels: half a marker
	small = 2.2  // the same where there are very many
)

// A canvas collects SVG elements. Its height is known when the drawing is done.
type canvas struct {
	b    strings.Builder
	w, h float64
}

func (c *canvas) open(class, tip string) {
	fmt.Fprintf(&c.b, `<g class="%s">`, class)
	if tip != "" {
		fmt.Fprintf(&c.b, "<title>%s</title>", escape(tip))
	}
}

func (c *canvas) close() { c.b.WriteString("</g>") }

func (c *canvas) line(x1, y1, x2, y2 float64, class string) {
	fmt.Fprintf(&c.b, `<line class="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`, class, px(x1), px(y1), px(x2), px(y2))
}

func (c *canvas) rect(x, y, w, h float64, class string) {
	fmt.Fprintf(&c.b, `<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`, class, px(x), px(y), px(max(w, 0)), px(max(h, 0)))
}

func (c *canvas) path(d, class string) {
	fmt.Fprintf(&c.b, `<path class="%s" d="%s"/>`, class, d)
}

func (c *canvas) text(x, y float64, anchor, class, s string) {
	fmt.Fprintf(&c.b, `<text class="%s" x="%s" y="%s"`, class, px(x), px(y))
	if anchor != "start" {
		fmt.Fprintf(&c.b, ` text-anchor="%s"`, anchor)
	}
	fmt.Fprintf(&c.b, ">%s</text>", escape(s))
}

// lines writes lines of text below each other, the first with its foot at y.
func (c *canvas) lines(x, y float64, class string, ls []string) {
	for i, l := range ls {
		c.text(x, y+float64(i)*lead, "start", class, l)
	}
}

// marker draws the i-th kind of marker at x, y, half of it r.
func (c *canvas) marker(i int, x, y, r float64, class string) {
	switch i % 4 {
	case 0:
		fmt.Fprintf(&c.b, `<circle class="%s" cx="%s" cy="%s" r="%s"/>`, class, px(x), px(y), px(r))
	case 1:
		c.rect(x-r*0.9, y-r*0.9, 2*r*0.9, 2*r*0.9, class)
	case 2:
		c.path(join("M", x, y-1.3*r, "L", x+1.3*r, y, "L", x, y+1.3*r, "L", x-1.3*r, y, "Z"), class)
	case 3:
		c.path(join("M", x, y-1.2*r, "L", x+1.2*r, y+0.9*r, "L", x-1.2*r, y+0.9*r, "Z"), class)
	}
}

// arrow draws a head at x, y that points along dx, dy (each −1, 0 or 1).
func (c *canvas) arrow(x, y, dx, dy float64, class string) {
	const l, w = 8, 4.5
	c.path(join("M", x, y, "L", x-dx*l+dy*w, y-dy*l+dx*w, "L", x-dx*l-dy*w, y-dy*l-dx*w, "Z"), class)
}

// join writes path data.
func join(parts ...any) string {
	var b strings.Builder
	for i, p := range parts {
		if i > 0 {
			b.WriteByte(' ')
		}
		switch v := p.(type) {
		case string:
			b.WriteString(v)
		case float64:
			b.WriteString(px(v))
		}
	}
	return b.String()
}

// px is a length with at most one decimal.
func px(x float64) string {
	s := strconv.FormatFloat(x, 'f', 1, 64)
	s = strings.TrimSuffix(s, ".0")
	if s == "-0" {
		return "0"
	}
	return s
}

func escape(s string) string { return html.EscapeString(format.Printable(s)) }

// textWidth is about how many pixels s takes, reckoned for a face that runs wide
// among sans-serif ones, since the reader's own is not known.
func textWidth(s string) float64 {
	em := 0.0
	for _, r := range s {
		em += runeEm(r)
	}
	return em * size
}

// boldWidth is textWidth for letters of class c-strong.
func boldWidth(s string) float64 { return 1.1 * textWidth(s) }

func runeEm(r rune) float64 {
	switch {
	case strings.ContainsRune("iljI.,:;'|! -\u00a0\u202f", r):
		return 0.33
	case strings.ContainsRune("()[]{}ft\"r/", r):
		return 0.41
	case strings.ContainsRune("mwMW%@—", r):
		return 0.93
	case r < 0x80 && unicode.IsUpper(r):
		return 0.68
	case r < 0x300:
		return 0.61
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case r >= 0x1100 && (r < 0x2000 || r > 0x22ff):
		return 1.05
	}
	return 0.75
}

// wrap breaks s into lines of at most w pixels, at spaces where it can and
// inside a longer word where it must.
func wrap(s string, w float64) (out []string) {
	line := ""
	for word := range strings.FieldsSeq(format.Printable(s)) {
		if line != "" && textWidth(line+" "+word) <= w {
			line += " " + word
			continue
		}
		if line != "" {
			out = append(out, line)
		}
		for line = word; textWidth(line) > w && len([]rune(line)) > 1; {
			head := fitting(line, w)
			out = append(out, head)
			line = line[len(head):]
		}
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}

func fitting(word string, w float64) string {
	for i := range word {
		if i > 0 && textWidth(word[:i]) > w {
			// one character back, but never nothing
			r := []rune(word[:i])
			if len(r) > 1 {
				r = r[:len(r)-1]
			}
			return string(r)
		}
	}
	r := []rune(word)
	return string(r[:len(r)-1])
}

// widestLine is the width of the widest line.
func widestLine(ls []string) (w float64) {
	for _, l := range ls {
		w = max(w, textWidth(l))
	}
	return w
}
