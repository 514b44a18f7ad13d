// Package chart draws a report's figures as SVG: text stays text, colours are
// CSS classes that a page can set for light and dark, and what a colour says is
// also said by a dash, a marker or a label. The same figure gives the same bytes.
//
// It is not a plotting library: it draws the kinds of report.Figure and no
// more, and computes nothing but where things stand.
package chart

import (
	_ "embed"
	"fmt"
	"math"

	"gravid/analyze/report"
	"gravid/analyze/report/format"
)

// Options say how to draw. The zero value draws for a page 720 pixels wide.
type Options struct {
	Width      int    // CSS pixels the drawing is laid out for; 0 means 720, below 280 counts as 280
	ID         string // prefix of the drawing's XML IDs, which must be unique in a page; empty means the figure's ID
	Standalone bool   // a file of its own: put Style into it
}

// Style is the CSS of the drawings. A page that holds several includes it once.
//
//go:embed chart.css
var Style string

const wide = 560 // pixels from which names stand beside the plot instead of above it

// SVG draws a figure. Text sizes are in pixels at the width of the options, so
// that a narrow screen is served by a drawing of its own, not by a shrunken one.
func SVG(f report.Figure, o Options) string {
	if o.Width == 0 {
		o.Width = 720
	}
	if o.ID == "" {
		o.ID = f.ID
	}
	c := &canvas{w: float64(max(o.Width, 280))}
	switch {
	case points(f) == 0:
		c.text(0, 20, "start", "c-soft", "no numbers to draw")
		c.h = 30
	case f.Kind == report.Forest:
		forest(c, f)
	case f.Kind == report.Bars:
		bars(c, f)
	case f.Kind == report.Funnel:
		funnel(c, f)
	case f.Kind == report.Calendar:
		calendar(c, f)
	default:
		plane(c, f)
	}
	return c.svg(f, o)
}

// svg wraps what was drawn.
func (c *canvas) svg(f report.Figure, o Options) string {
	desc := f.Alt
	if desc == "" {
		desc = f.Caption
	}
	style := ""
	if o.Standalone {
		style = "<style>" + Style + "</style>"
	}
	id := escape(o.ID)
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" class="chart" role="img" viewBox="0 0 %s %s" width="%s" height="%s" aria-labelledby="%s-t %s-d"><title id="%s-t">%s</title><desc id="%s-d">%s</desc>%s%s</svg>`,
		px(c.w), px(c.h), px(c.w), px(c.h), id, id, id, escape(f.Title), id, escape(desc), style, c.b.String())
}

// points counts the points that have a place.
func points(f report.Figure) (n int) {
	placed := func(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
	for _, s := range f.Series {
		for _, p := range s.Points {
			x, y := placed(p.X), placed(p.Y)
			if f.Kind == report.Forest && (x || !math.IsNaN(p.XLo)) || f.Kind == report.Bars && y || f.Kind == report.Calendar && x || x && y {
				n++
			}
		}
	}
	return n
}

// tip is the text that appears over a point.
func tip(f report.Figure, name string, p report.Point) string {
	var s string
	x, y := format.AxisFormat(f.X), format.AxisFormat(f.Y)
	switch f.Kind {
	case report.Forest:
		s = p.Label + ": " + format.Estimate(x, p.X, p.XLo, p.XHi)
	case report.Bars:
		s = format.BarLabel(f, p) + ": " + format.Estimate(y, p.Y, p.YLo, p.YHi)
	case report.Calendar:
		s = report.DayOf(p.X).Format("2006-01-02")
		if !math.IsNaN(p.Y) {
			s += ": " + format.Estimate(report.Decimal, p.Y, p.YLo, p.YHi)
		}
	default:
		s = format.Number(x, p.X) + ": " + format.Estimate(y, p.Y, p.YLo, p.YHi)
		if p.Label != "" {
			s = p.Label + ", " + s
		}
	}
	if len(f.Series) > 1 {
		s = name + ", " + s
	}
	if p.N > 0 {
		s += fmt.Sprintf(", n = %d", p.N)
	}
	if r := format.Remark(p); r != "" {
		s += ", " + r
	}
	return s
}
