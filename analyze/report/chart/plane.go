package chart

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"gravid/analyze/report"
	"gravid/analyze/report/format"
)

const (
	tipped = 300 // points up to which each gets a text of its own
	dotted = 16  // points up to which a curve shows them
)

// frame is a plot with an X and a Y scale.
type frame struct {
	xs, ys                   format.Scale
	left, right, top, bottom float64
	inset                    float64 // kept free at either side, so that markers stand clear of the frame
}

func (f *frame) x(v float64) float64 {
	return f.left + f.inset + f.xs.At(v)*(f.right-f.left-2*f.inset)
}
func (f *frame) y(v float64) float64 { return f.bottom - f.ys.At(v)*(f.bottom-f.top) }

// plane draws Steps, Curve and Dots: Y against X.
func plane(c *canvas, f report.Figure) {
	p := &frame{}
	height := min(max(c.w*0.5, 220), 340)
	p.ys = format.YScale(f, int(height/48))
	named := len(f.Series) > 1
	beside := named && c.w >= wide && f.Kind != report.Dots
	p.left = yLabels(p.ys) + 8
	p.right = c.w - 16
	if beside {
		p.right -= min(seriesWidth(f), c.w*0.28)
	}
	if f.Kind == report.Dots {
		p.inset = 14
	}
	p.xs = format.XScale(f, max(int((p.right-p.left)/64), 5))

	y := 0.0
	if named && !beside {
		y = legend(c, f, y) + 6
	}
	y = yTitle(c, format.AxisLabel(f.Y), y)
	labels := markLabels(f.MarksX, p.xs, p.x, c.w)
	p.top = y + float64(labelRows(labels))*lead + 12
	p.bottom = p.top + height
	p.drawYAxis(c, f.MarksY)
	drawMarks(c, y, f.MarksX, labels, p.xs, func(v float64, class string) { c.line(p.x(v), p.top, p.x(v), p.bottom, class) })
	for i, s := range f.Series {
		p.area(c, f.Kind, i, s)
	}
	for i, s := range f.Series {
		p.series(c, f, i, s)
	}
	p.rug(c, f.Rug)
	p.markYLabels(c, f.MarksY)
	if beside {
		p.endLabels(c, f)
	}
	c.h = drawXAxis(c, p.xs, p.x, p.bottom, p.left, p.right, format.AxisLabel(f.X))
	for _, r := range f.Below {
		c.h = p.below(c, r, c.h)
	}
}

// rug draws a short line at the lower edge for each amount that has records without the
// outcome, and at the upper edge for each with it.
func (p *frame) rug(c *canvas, marks []report.RugMark) {
	const long = 8
	for _, m := range marks {
		if p.xs.Beyond(m.X) != 0 || math.IsNaN(m.X) {
			continue
		}
		if m.Without > 0 {
			c.line(p.x(m.X), p.bottom-long, p.x(m.X), p.bottom, "c-rug")
		}
		if m.With > 0 {
			c.line(p.x(m.X), p.top, p.x(m.X), p.top+long, "c-rug")
		}
	}
}

// below writes a row of counts under the X axis, leaving out those without room, and
// returns its foot.
func (p *frame) below(c *canvas, r report.CountRow, y float64) float64 {
	for _, l := range wrap(r.Name, c.w-4) {
		y += lead
		c.text(0, y, "start", "c-soft", l)
	}
	y += lead
	free := math.Inf(-1)
	for i, x := range r.X {
		text := strconv.Itoa(r.N[i])
		at, w := p.x(x), textWidth(text)
		if p.xs.Beyond(x) != 0 || math.IsNaN(x) || at-w/2 < free || at+w/2 > c.w {
			continue
		}
		c.text(at, y, "middle", "c-ink", text)
		free = at + w/2 + 8
	}
	return y + 8
}

// yLabels is the width of the widest tick label.
func yLabels(s format.Scale) (w float64) {
	for _, t := range s.Ticks {
		w = max(w, textWidth(s.Label(t)))
	}
	return w
}

// yTitle writes the Y axis's label above the plot, where it can be read without
// turning the head. It returns the foot of what it wrote.
func yTitle(c *canvas, label string, y float64) float64 {
	for _, l := range wrap(label, c.w-4) {
		y += lead
		c.text(0, y-4, "start", "c-ink", l)
	}
	return y
}

func (p *frame) drawYAxis(c *canvas, marks []report.Mark) {
	for _, t := range p.ys.Ticks {
		y := p.y(t)
		c.line(p.left, y, p.right, y, "c-grid")
		c.text(p.left-8, y+4.5, "end", "c-soft", p.ys.Label(t))
	}
	for _, m := range marks {
		if p.ys.Beyond(m.At) == 0 && !math.IsNaN(m.At) {
			c.line(p.left, p.y(m.At), p.right, p.y(m.At), markClass(m, p.ys))
		}
	}
}

// markYLabels writes the labels of level reference lines at their right end.
func (p *frame) markYLabels(c *canvas, marks []report.Mark) {
	free := math.Inf(1)
	order := byPlace(marks)
	for _, i := range order {
		m := marks[i]
		if m.Label == "" || p.ys.Beyond(m.At) != 0 || math.IsNaN(m.At) {
			continue
		}
		y := min(p.y(m.At)-5, free-lead)
		c.text(p.right-2, y, "end", "c-soft c-halo", format.Printable(m.Label))
		free = y
	}
}

// trail is a series' path from point to point; steps run right before they rise.
func (p *frame) trail(kind report.FigureKind, ps []report.Point, y func(report.Point) float64) []float64 {
	var xy []float64
	for i, q := range ps {
		if kind == report.Steps && i > 0 {
			xy = append(xy, p.x(q.X), p.y(y(ps[i-1])))
		}
		xy = append(xy, p.x(q.X), p.y(y(q)))
	}
	return xy
}

func pathData(xy []float64) string {
	var b strings.Builder
	for i := 0; i < len(xy); i += 2 {
		if i == 0 {
			b.WriteByte('M')
		} else {
			b.WriteByte('L')
		}
		b.WriteString(px(xy[i]) + " " + px(xy[i+1]))
	}
	return b.String()
}

// runs cuts points where a value is unknown.
func runs(ps []report.Point, known func(report.Point) bool) (out [][]report.Point) {
	var run []report.Point
	for _, q := range ps {
		if known(q) {
			run = append(run, q)
			continue
		}
		if len(run) > 0 {
			out = append(out, run)
		}
		run = nil
	}
	if len(run) > 0 {
		out = append(out, run)
	}
	return out
}

// area draws the band YLo..YHi of a Steps or Curve series.
func (p *frame) area(c *canvas, kind report.FigureKind, i int, s report.Series) {
	if kind == report.Dots {
		return
	}
	known := func(q report.Point) bool { return !math.IsNaN(q.X) && !math.IsNaN(q.YLo) && !math.IsNaN(q.YHi) }
	for _, run := range runs(s.Points, known) {
		if len(run) < 2 {
			continue
		}
		upper := p.trail(kind, run, func(q report.Point) float64 { return q.YHi })
		lower := p.trail(kind, run, func(q report.Point) float64 { return q.YLo })
		for k := len(lower) - 2; k >= 0; k -= 2 {
			upper = append(upper, lower[k], lower[k+1])
		}
		c.open(seriesClass(i, false), "")
		c.path(pathData(upper)+"Z", "c-area")
		c.close()
	}
}

func (p *frame) series(c *canvas, f report.Figure, i int, s report.Series) {
	known := func(q report.Point) bool { return !math.IsNaN(q.X) && !math.IsNaN(q.Y) }
	c.open(seriesClass(i, false), "")
	defer c.close()
	if f.Kind != report.Dots {
		for _, run := range runs(s.Points, known) {
			c.path(pathData(p.trail(f.Kind, run, func(q report.Point) float64 { return q.Y })), "c-path")
		}
		if f.Kind == report.Steps || len(s.Points) > dotted {
			return
		}
	}
	tips := points(f) <= tipped
	for _, run := range runs(s.Points, known) {
		for _, q := range run {
			p.point(c, f, i, s.Name, q, tips)
		}
	}
}

// point draws a point with its intervals, where it has them and no band shows them.
func (p *frame) point(c *canvas, f report.Figure, i int, name string, q report.Point, tips bool) {
	class, text := "c-point", ""
	if q.Faint {
		class += " c-faint"
	}
	if tips {
		text = tip(f, name, q)
	}
	c.open(class, text)
	x, y := p.x(q.X), p.y(q.Y)
	if f.Kind == report.Dots {
		if !math.IsNaN(q.XLo) && !math.IsNaN(q.XHi) {
			p.whisker(c, p.x(q.XLo), y, p.x(q.XHi), y, p.xs.Beyond(q.XLo), p.xs.Beyond(q.XHi), 1, 0)
		}
		if !math.IsNaN(q.YLo) && !math.IsNaN(q.YHi) {
			p.whisker(c, x, p.y(q.YLo), x, p.y(q.YHi), p.ys.Beyond(q.YLo), p.ys.Beyond(q.YHi), 0, -1)
		}
	}
	r := radii
	if !tips {
		r = small
	}
	c.marker(i, x, y, r, "c-dot")
	c.close()
}

// whisker draws an interval from its low end to its high one, along dx, dy, with
// an arrow at an end that lies beyond the plot.
func (p *frame) whisker(c *canvas, x1, y1, x2, y2 float64, lo, hi int, dx, dy float64) {
	c.line(x1, y1, x2, y2, "c-range")
	if lo != 0 {
		c.arrow(x1, y1, -dx, -dy, "c-tip")
	}
	if hi != 0 {
		c.arrow(x2, y2, dx, dy, "c-tip")
	}
}

// legend writes the series' names above the plot, each with its line or marker,
// and returns its foot.
func legend(c *canvas, f report.Figure, y float64) float64 {
	x := 0.0
	y += lead
	for i, s := range f.Series {
		w := 34 + textWidth(format.Printable(s.Name))
		if x > 0 && x+w > c.w {
			x, y = 0, y+lead+3
		}
		c.open(seriesClass(i, allFaint(s)), "")
		switch {
		case f.Kind == report.Bars:
			c.rect(x+4, y-14, 18, 12, "c-bar")
		case f.Kind == report.Dots || f.Kind == report.Funnel && i == 0:
			c.marker(i, x+13, y-8.5, radii, "c-dot")
		default:
			c.line(x, y-8.5, x+26, y-8.5, "c-path")
		}
		c.close()
		name := wrap(s.Name, c.w-40)
		c.lines(x+32, y-4, "c-ink", name)
		y += lead * float64(max(len(name)-1, 0))
		x += w + 14
	}
	return y
}

func allFaint(s report.Series) bool {
	for _, p := range s.Points {
		if !p.Faint {
			return false
		}
	}
	return len(s.Points) > 0
}

func seriesWidth(f report.Figure) (w float64) {
	for _, s := range f.Series {
		w = max(w, boldWidth(format.Printable(s.Name)))
	}
	return w + 18
}

// endLabels names each series at the end of its line, pushed apart where lines
// end close together.
func (p *frame) endLabels(c *canvas, f report.Figure) {
	type label struct {
		i      int
		x, end float64 // where the line ends
		y      float64 // where the name stands
		lines  []string
	}
	var ls []label
	for i, s := range f.Series {
		known := runs(s.Points, func(q report.Point) bool { return !math.IsNaN(q.X) && !math.IsNaN(q.Y) })
		if len(known) == 0 {
			continue
		}
		run := known[len(known)-1]
		q := run[len(run)-1]
		ls = append(ls, label{i: i, x: p.x(q.X), end: p.y(q.Y), y: p.y(q.Y), lines: wrap(s.Name, (c.w-p.right-16)/1.1+2)})
	}
	slices.SortStableFunc(ls, func(a, b label) int {
		switch {
		case a.end < b.end:
			return -1
		case a.end > b.end:
			return 1
		}
		return 0
	})
	height := func(l label) float64 { return lead * float64(len(l.lines)) }
	for k := range ls {
		if k > 0 {
			ls[k].y = max(ls[k].y, ls[k-1].y+height(ls[k-1]))
		}
	}
	for k, floor := len(ls)-1, p.bottom+6; k >= 0; k-- {
		ls[k].y = min(ls[k].y, floor-height(ls[k])+lead/2)
		floor = ls[k].y - lead/2
	}
	for _, l := range ls {
		c.open(seriesClass(l.i, false), "")
		if math.Abs(l.y-l.end) > 3 || p.right-l.x > 4 {
			c.line(l.x+2, l.end, p.right+10, l.y, "c-axis")
		}
		c.lines(p.right+14, l.y+4.5, "c-strong", l.lines)
		c.close()
	}
}
