package chart

import (
	"math"

	"gravid/analyze/report"
	"gravid/analyze/report/format"
)

// rows is the layout that forest plots and lying bars share: one row a point,
// its name on the left (on a narrow drawing: above), its number on the right
// (below), a common X scale.
type rows struct {
	f             report.Figure
	scale         format.Scale
	left, right   float64 // the plot's edges
	names, number float64 // widths of the columns beside it; 0 where text stands above and below
	top           float64 // of the first row
}

// layRows settles the columns for a drawing with the given scale.
func layRows(c *canvas, f report.Figure, scale func(n int) format.Scale, name, number func(report.Point) string) *rows {
	r := &rows{f: f, left: 12, right: c.w - 12}
	names, numbers := 0.0, 0.0
	for _, s := range f.Series {
		for _, p := range s.Points {
			names = max(names, textWidth(name(p)))
			numbers = max(numbers, boldWidth(number(p)), textWidth(format.Remark(p)))
		}
	}
	if c.w >= wide || names+numbers <= c.w*0.45 {
		r.names = max(min(names, c.w*0.3), 1)
		r.number = min(numbers, c.w*0.27)
		r.left = r.names + 20
		r.right = c.w - r.number - 20
	}
	r.scale = scale(max(int((r.right-r.left)/54), 2))
	return r
}

func (r *rows) x(v float64) float64 { return r.left + r.scale.At(v)*(r.right-r.left) }

// forest draws estimates with their intervals.
func forest(c *canvas, f report.Figure) {
	unit := format.AxisFormat(f.X)
	name := func(p report.Point) string { return p.Label }
	number := func(p report.Point) string { return format.Estimate(unit, p.X, p.XLo, p.XHi) }
	r := layRows(c, f, func(n int) format.Scale { return format.XScale(f, n) }, name, number)
	r.draw(c, f.X, f.MarksX, name, number, func(series int, p report.Point, y float64) {
		r.interval(c, p.XLo, p.XHi, y)
		if !math.IsNaN(p.X) {
			c.marker(0, r.x(p.X), y, radii, "c-dot")
		}
	})
}

// interval draws a lying interval with a stop at a finite end and an arrow at
// one beyond the plot.
func (r *rows) interval(c *canvas, lo, hi, y float64) {
	if math.IsNaN(lo) || math.IsNaN(hi) {
		return
	}
	x1, x2 := r.x(lo), r.x(hi)
	c.line(x1, y, x2, y, "c-range")
	for _, end := range []struct{ v, x, dir float64 }{{lo, x1, -1}, {hi, x2, 1}} {
		if r.scale.Beyond(end.v) != 0 {
			c.arrow(end.x+end.dir*3, y, end.dir, 0, "c-tip")
		} else {
			c.line(end.x, y-4, end.x, y+4, "c-range")
		}
	}
}

// draw draws marks, rows and axis. Each row's shape is drawn by shape at the
// height y.
func (r *rows) draw(c *canvas, axis report.Axis, marks []report.Mark, name, number func(report.Point) string, shape func(series int, p report.Point, y float64)) {
	type row struct {
		series               int
		p                    report.Point
		head                 []string // a series' name, where there are several
		names, number, below []string
		y, h                 float64
	}
	var list []row
	for i, s := range r.f.Series {
		for j, p := range s.Points {
			w := row{series: i, p: p}
			if j == 0 && len(r.f.Series) > 1 {
				w.head = wrap(s.Name, (c.w-8)/1.1)
			}
			if r.names > 0 {
				w.names = wrap(name(p), r.names+2)
				w.number = wrap(number(p), r.number/1.1+2)
				w.below = wrap(format.Remark(p), r.number+2)
			} else {
				w.names = wrap(name(p), c.w-8)
				w.below = wrap(joined(number(p), format.Remark(p)), c.w-8)
			}
			list = append(list, w)
		}
	}

	labels := markLabels(marks, r.scale, r.x, c.w)
	y := float64(labelRows(labels))*lead + 6
	r.top = y
	for i := range list {
		w := &list[i]
		if len(w.head) > 0 {
			y += lead*float64(len(w.head)) + 6
		}
		w.y = y
		if r.names > 0 {
			w.h = max(float64(len(w.names)), float64(len(w.number)+len(w.below)))*lead + 11
		} else {
			w.h = float64(len(w.names)+len(w.below))*lead + 28
		}
		y += w.h
	}
	bottom := y + 4
	r.band(c, marks, bottom)
	r.grid(c, bottom)
	drawMarks(c, 0, marks, labels, r.scale, func(v float64, class string) { c.line(r.x(v), r.top, r.x(v), bottom, class) })

	for _, w := range list {
		c.lines(0, w.y-6-lead*float64(len(w.head)-1), "c-strong c-halo", w.head)
		c.open(seriesClass(w.series, w.p.Faint), tip(r.f, r.f.Series[w.series].Name, w.p))
		middle := w.y + 4 + lead/2
		if r.names > 0 {
			c.lines(0, w.y+lead, "c-name", w.names)
			c.lines(r.right+18, w.y+lead, "c-strong", w.number)
			c.lines(r.right+18, w.y+lead*float64(1+len(w.number)), "c-soft", w.below)
		} else {
			c.lines(0, w.y+lead-2, "c-halo", w.names)
			middle = w.y + lead*float64(len(w.names)) + 10
			c.lines(0, middle+lead+4, "c-soft c-halo", w.below)
		}
		shape(w.series, w.p, middle)
		c.close()
	}
	c.h = drawXAxis(c, r.scale, r.x, bottom, r.left, r.right, format.AxisLabel(axis))
}

func joined(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + ", " + b
}

func (r *rows) grid(c *canvas, bottom float64) {
	for _, t := range r.scale.Ticks {
		c.line(r.x(t), r.top, r.x(t), bottom, "c-grid")
	}
}

// band shades the stretch between the nearest marks on either side of the null
// line: there a difference is not worth acting on.
func (r *rows) band(c *canvas, marks []report.Mark, bottom float64) {
	null := 0.0
	if r.scale.Log {
		null = 1
	}
	lo, hi := math.Inf(-1), math.Inf(1)
	for _, m := range marks {
		if m.At < null {
			lo = max(lo, m.At)
		}
		if m.At > null {
			hi = min(hi, m.At)
		}
	}
	if !math.IsInf(lo, 0) && !math.IsInf(hi, 0) {
		c.rect(r.x(lo), r.top, r.x(hi)-r.x(lo), bottom-r.top, "c-band")
	}
}

// seriesClass is the class of the i-th series, hollow where faint.
func seriesClass(i int, faint bool) string {
	class := "c-s" + px(float64(i%5))
	if faint {
		class += " c-faint"
	}
	return class
}
