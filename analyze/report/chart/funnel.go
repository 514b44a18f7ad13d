package chart

import (
	"math"

	"gravid/analyze/report"
	"gravid/analyze/report/format"
)

// A box is the room that a text or a marker takes.
type box struct{ left, right, top, bottom float64 }

func (a box) touches(b box) bool {
	return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom
}

// funnel draws points among the limits within which chance leaves them.
func funnel(c *canvas, f report.Figure) {
	p := &frame{inset: 14}
	height := min(max(c.w*0.55, 240), 380)
	p.ys = format.YScale(f, int(height/48))
	p.left, p.right = yLabels(p.ys)+8, c.w-16
	p.xs = format.XScale(f, max(int((p.right-p.left)/64), 5))
	y := legend(c, f, 0) + 6
	y = yTitle(c, format.AxisLabel(f.Y), y)
	p.top = y + 12
	p.bottom = p.top + height
	p.drawYAxis(c, f.MarksY)
	for i, s := range f.Series[1:] {
		c.open(seriesClass(i+1, false), "")
		for _, end := range []func(report.Point) float64{func(q report.Point) float64 { return q.YLo }, func(q report.Point) float64 { return q.YHi }} {
			p.limit(c, s.Points, end)
		}
		c.close()
	}
	p.named(c, f)
	c.h = drawXAxis(c, p.xs, p.x, p.bottom, p.left, p.right, format.AxisLabel(f.X))
}

// limit draws one end of a pair of limits, where it lies on the plot.
func (p *frame) limit(c *canvas, ps []report.Point, end func(report.Point) float64) {
	on := func(q report.Point) bool {
		y := end(q)
		return !math.IsNaN(q.X) && !math.IsNaN(y) && p.xs.Beyond(q.X) == 0 && p.ys.Beyond(y) == 0
	}
	for _, run := range runs(ps, on) {
		if len(run) > 1 {
			c.path(pathData(p.trail(report.Curve, run, end)), "c-path")
		}
	}
}

// named draws the points of the first series, each with its label beside it where
// there is room, those with a note before the others, and the labels of the marks.
func (p *frame) named(c *canvas, f report.Figure) {
	s := f.Series[0]
	var taken []box
	var shown []report.Point
	for _, q := range s.Points {
		if math.IsNaN(q.X) || math.IsInf(q.X, 0) || math.IsNaN(q.Y) || math.IsInf(q.Y, 0) {
			continue
		}
		shown = append(shown, q)
		x, y := p.x(q.X), p.y(q.Y)
		taken = append(taken, box{x - radii - 1, x + radii + 1, y - radii - 1, y + radii + 1})
	}
	c.open(seriesClass(0, false), "")
	tips := len(shown) <= tipped
	for _, q := range shown {
		p.point(c, f, 0, s.Name, q, tips)
	}
	c.close()
	for _, first := range []bool{true, false} {
		for _, q := range shown {
			if (q.Note != "") == first {
				x, y := p.x(q.X), p.y(q.Y)
				p.label(c, q.Label, &taken, []spot{{x + 8, y + 4.5, "start"}, {x - 8, y + 4.5, "end"}, {x, y - 9, "middle"}, {x, y + 18, "middle"}, {x + 8, y - 8, "start"}, {x + 8, y + 17, "start"}, {x - 8, y - 8, "end"}})
			}
		}
	}
	for _, m := range f.MarksY {
		if y := p.y(m.At); p.ys.Beyond(m.At) == 0 && !math.IsNaN(m.At) {
			p.label(c, m.Label, &taken, []spot{{p.right - 4, y - 6, "end"}, {p.right - 4, y + 15, "end"}, {p.left + 4, y - 6, "start"}, {p.left + 4, y + 15, "start"}})
		}
	}
}

// A spot is where a text could stand.
type spot struct {
	x, y   float64
	anchor string
}

// label writes a text at the first of the spots where nothing stands yet; nowhere where
// all are taken: the tip and the table have it.
func (p *frame) label(c *canvas, text string, taken *[]box, spots []spot) {
	text = format.Printable(text)
	if text == "" {
		return
	}
	w := textWidth(text)
	for _, at := range spots {
		left := map[string]float64{"start": at.x, "middle": at.x - w/2, "end": at.x - w}[at.anchor]
		b := box{left, left + w, at.y - 12, at.y + 4}
		free := b.left >= p.left+2 && b.right <= p.right-2 && b.top >= p.top && b.bottom <= p.bottom-2
		for _, t := range *taken {
			free = free && !b.touches(t)
		}
		if free {
			c.text(at.x, at.y, at.anchor, "c-soft c-halo", text)
			*taken = append(*taken, b)
			return
		}
	}
}
