package chart

import (
	"math"

	"gravid/analyze/report"
	"gravid/analyze/report/format"
)

const lying = 40 // bars up to which bars with long names lie down

// bars draws bars from 0: upright where their names fit below them, else lying.
func bars(c *canvas, f report.Figure) {
	names, order := groups(f)
	fits := true
	room := (c.w-60)/float64(max(len(names), 1)) - 6
	for _, n := range names {
		fits = fits && textWidth(n) <= room
	}
	if !fits && points(f) <= lying {
		lyingBars(c, f)
		return
	}
	uprightBars(c, f, names, order)
}

// groups are the names along the axis in order of their first appearance, and
// the place of each.
func groups(f report.Figure) (names []string, order map[string]int) {
	order = map[string]int{}
	for _, s := range f.Series {
		for _, p := range s.Points {
			n := format.Printable(format.BarLabel(f, p))
			if _, known := order[n]; !known {
				order[n] = len(names)
				names = append(names, n)
			}
		}
	}
	return names, order
}

func lyingBars(c *canvas, f report.Figure) {
	unit := format.AxisFormat(f.Y)
	name := func(p report.Point) string { return format.BarLabel(f, p) }
	number := func(p report.Point) string { return format.Estimate(unit, p.Y, p.YLo, p.YHi) }
	r := layRows(c, f, func(n int) format.Scale { return format.YScale(f, n) }, name, number)
	r.draw(c, f.Y, f.MarksY, name, number, func(series int, p report.Point, y float64) {
		if math.IsNaN(p.Y) {
			return
		}
		from, to := r.x(0), r.x(p.Y)
		c.rect(min(from, to), y-6, math.Abs(to-from), 12, "c-bar")
		r.interval(c, p.YLo, p.YHi, y)
	})
}

func uprightBars(c *canvas, f report.Figure, names []string, order map[string]int) {
	height := min(max(c.w*0.42, 200), 300)
	p := &frame{ys: format.YScale(f, int(height/48)), right: c.w - 8}
	p.left = yLabels(p.ys) + 10
	y := 0.0
	if len(f.Series) > 1 {
		y = legend(c, f, y) + 6
	}
	p.top = yTitle(c, format.AxisLabel(f.Y), y) + 22
	p.bottom = p.top + height
	p.drawYAxis(c, f.MarksY)

	slot := (p.right - p.left) / float64(len(names))
	bar := min(slot*0.76/float64(len(f.Series)), 56)
	zero := p.y(0)
	labelled := len(f.Series) == 1 && slot >= widestNumber(f)+2
	for i, s := range f.Series {
		for _, q := range s.Points {
			if math.IsNaN(q.Y) {
				continue
			}
			k := float64(order[format.Printable(format.BarLabel(f, q))])
			x := p.left + slot*(k+0.5) + bar*(float64(i)-float64(len(f.Series))/2)
			c.open(seriesClass(i, q.Faint), tip(f, s.Name, q))
			top := p.y(q.Y)
			c.rect(x+0.5, min(top, zero), bar-1, math.Abs(zero-top), "c-bar")
			hasInterval := !math.IsNaN(q.YLo) && !math.IsNaN(q.YHi)
			if hasInterval {
				p.whisker(c, x+bar/2, p.y(q.YLo), x+bar/2, p.y(q.YHi), p.ys.Beyond(q.YLo), p.ys.Beyond(q.YHi), 0, -1)
				top = min(top, p.y(q.YHi))
			}
			if labelled {
				c.text(x+bar/2, min(top, zero)-6, "middle", "c-strong c-halo", barNumber(f, q))
			}
			c.close()
		}
	}
	c.line(p.left, zero, p.right, zero, "c-null")
	p.markYLabels(c, f.MarksY)
	c.h = p.groupNames(c, f, names, slot)
}

func barNumber(f report.Figure, p report.Point) string {
	return format.Cell(report.N(format.AxisFormat(f.Y), p.Y))
}

func widestNumber(f report.Figure) (w float64) {
	for _, s := range f.Series {
		for _, p := range s.Points {
			w = max(w, boldWidth(barNumber(f, p)))
		}
	}
	return w
}

// groupNames writes the names below the bars, every second, third … where not
// all fit, and the axis's label.
func (p *frame) groupNames(c *canvas, f report.Figure, names []string, slot float64) float64 {
	every := 1
	for widestLine(names)+8 > slot*float64(every) && every < len(names) {
		every++
	}
	for i := 0; i < len(names); i += every {
		x := p.left + slot*(float64(i)+0.5)
		w := textWidth(names[i])
		c.text(min(max(x, w/2), c.w-w/2), p.bottom+lead, "middle", "c-soft", names[i])
	}
	y := p.bottom + lead
	for _, l := range wrap(format.AxisLabel(f.X), p.right-p.left) {
		y += lead + 2
		c.text((p.left+p.right)/2, y, "middle", "c-ink", l)
	}
	return y + 8
}
