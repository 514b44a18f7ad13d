package chart

import (
	"math"
	"strconv"
	"strings"
	"time"

	"gravid/analyze/report"
	"gravid/analyze/report/format"
)

const (
	dayWide   = 1.35 // pixels that a day takes at least; narrower drawings break the year into parts
	rowHigh   = 19.0 // pixels: a row of marks
	stripHigh = 92.0 // pixels: a strip with its own scale
)

// A days is the stretch of a calendar that one line of months shows, from the first day
// to before the second.
type days struct{ from, to time.Time }

// calendar draws rows of marks and strips of values above each other, one part of the
// year after another where the drawing is narrow.
func calendar(c *canvas, f report.Figure) {
	from, to := calendarEnds(f)
	axes, inStrip := format.Strips(f)
	scales := make([]format.Scale, len(axes))
	ticks := 0.0
	for i, a := range axes {
		scales[i] = format.StripScale(f, a, 3)
		ticks = max(ticks, yLabels(scales[i])+8)
	}
	p := &calendarPlot{f: f, axes: axes, inStrip: inStrip, scales: scales, right: c.w - 8}
	names := 0.0
	for _, s := range f.Series {
		if s.Strip.Label == "" {
			names = max(names, textWidth(format.Printable(s.Name)))
		}
	}
	p.beside = c.w >= wide
	p.left = max(ticks, 4)
	if p.beside {
		p.names = min(names, c.w*0.28)
		p.left = max(ticks, p.names+12)
	}
	months := (to.Year()-from.Year())*12 + int(to.Month()) - int(from.Month())
	if to.Day() > 1 {
		months++
	}
	parts := int(math.Ceil(to.Sub(from).Hours() / 24 * dayWide / (p.right - p.left)))
	each := (months + parts - 1) / max(parts, 1)
	y := 0.0
	for at := from; at.Before(to); {
		end := time.Date(at.Year(), at.Month(), 1, 0, 0, 0, 0, time.UTC).AddDate(0, each, 0)
		if end.After(to) {
			end = to
		}
		y = p.part(c, days{at, end}, months > 12, y)
		at = end
	}
	for _, l := range wrap(format.AxisLabel(f.X), c.w-4) {
		y += lead
		c.text((p.left+p.right)/2, y, "middle", "c-ink", l)
	}
	c.h = y + 8
}

// calendarEnds are the first day of a calendar and the day after the last: those of the
// axis, else of the points.
func calendarEnds(f report.Figure) (from, to time.Time) {
	lo, hi := f.X.Min, f.X.Max
	if lo >= hi {
		lo, hi = math.Inf(1), math.Inf(-1)
		for _, s := range f.Series {
			for _, q := range s.Points {
				if !math.IsNaN(q.X) && !math.IsInf(q.X, 0) {
					lo, hi = min(lo, q.X), max(hi, q.X+1)
				}
			}
		}
	}
	const years = 200 * 366.0 // no calendar is longer
	return report.DayOf(lo), report.DayOf(min(hi, lo+years))
}

type calendarPlot struct {
	f           report.Figure
	axes        []report.Axis
	inStrip     [][]int
	scales      []format.Scale
	left, right float64
	names       float64 // width of the names beside the rows
	beside      bool    // names stand beside the rows, else above them
	d           days
}

// x is where a day begins; without is whether it lies outside the part.
func (p *calendarPlot) x(day float64) float64 {
	from, to := report.DayNumber(p.d.from), report.DayNumber(p.d.to)
	return p.left + (day-from)/(to-from)*(p.right-p.left)
}

func (p *calendarPlot) has(q report.Point) bool {
	return q.X >= report.DayNumber(p.d.from) && q.X < report.DayNumber(p.d.to)
}

// part draws one part from y down and returns its foot.
func (p *calendarPlot) part(c *canvas, d days, years bool, y float64) float64 {
	p.d = d
	top := y + lead + 4
	// Heights first: what lies behind is drawn first.
	type row struct {
		series int
		y      float64 // of the foot of its marks
		name   []string
		nameY  float64
	}
	var rows []row
	y = top + 6
	for i, s := range p.f.Series {
		if s.Strip.Label != "" {
			continue
		}
		r := row{series: i}
		if p.beside {
			r.name = wrap(s.Name, p.names+2)
			r.nameY = y + 14
			y += max(rowHigh, lead*float64(len(r.name))+2)
			r.y = r.nameY + 1
		} else {
			r.name = wrap(s.Name, p.right-p.left)
			r.nameY = y + lead - 4
			y += lead*float64(len(r.name)) + rowHigh - 2
			r.y = y - 3
		}
		rows = append(rows, r)
	}
	strips := make([]float64, len(p.axes)) // their tops
	for i, a := range p.axes {
		y += 4 + lead*float64(len(p.heads(a)))
		strips[i] = y + 8
		y = strips[i] + stripHigh
	}
	bottom := y + 6

	dayWide := p.x(1) - p.x(0)
	for _, s := range p.f.Series {
		for _, q := range s.Points {
			if s.Behind && s.Strip.Label == "" && p.has(q) {
				c.rect(p.x(q.X), top, dayWide, bottom-top, "c-shade")
			}
		}
	}
	p.months(c, top, bottom, years)
	tips := points(p.f) <= 2*tipped
	for k, r := range rows {
		s := p.f.Series[r.series]
		if p.beside {
			c.lines(0, r.nameY, "c-name", r.name)
		} else {
			c.lines(p.left+2, r.nameY, "c-halo", r.name)
		}
		if k > 0 {
			c.line(p.left, r.y-rowHigh+3, p.right, r.y-rowHigh+3, "c-grid")
		}
		c.open(seriesClass(0, false), "")
		for _, q := range s.Points {
			if p.has(q) {
				p.mark(c, s, q, r.y, dayWide, tips)
			}
		}
		c.close()
	}
	for i := range p.axes {
		p.strip(c, i, strips[i])
	}
	c.line(p.left, bottom, p.right, bottom, "c-axis")
	return bottom + 10
}

// mark draws one mark of a row, its foot at y: taller where there were several.
func (p *calendarPlot) mark(c *canvas, s report.Series, q report.Point, y, dayWide float64, tips bool) {
	high, class, text := 8+3*float64(min(max(q.N, 1), 3)-1), "c-event", ""
	if s.Behind {
		class, high = "c-sky", 5
	}
	w := max(dayWide, 2.2)
	if tips {
		text = tip(p.f, s.Name, q)
		c.open("c-day", text)
		defer c.close()
	}
	c.rect(p.x(q.X)+dayWide/2-w/2, y-high, w, high, class)
}

// months draws a line at the beginning of each month and its name, every second, third
// … where not all fit; where the calendar is longer than a year January has its number.
func (p *calendarPlot) months(c *canvas, top, bottom float64, years bool) {
	c.line(p.left, top, p.right, top, "c-axis")
	free := math.Inf(-1)
	for at := p.d.from; at.Before(p.d.to); {
		next := time.Date(at.Year(), at.Month(), 1, 0, 0, 0, 0, time.UTC).AddDate(0, 1, 0)
		x := p.x(report.DayNumber(at))
		c.line(x, top, x, bottom, "c-month")
		name := at.Format("Jan")
		if years && at.Month() == time.January {
			name = strconv.Itoa(at.Year())
		}
		middle := (x + min(p.x(report.DayNumber(next)), p.right)) / 2
		if w := textWidth(name); middle-w/2 >= max(free, p.left-w/2) && middle+w/2 <= c.w {
			c.text(middle, top-6, "middle", "c-soft", name)
			free = middle + w/2 + 6
		}
		at = next
	}
}

// heads are the lines above a strip: what it shows, and by what each series is known
// where there are several.
func (p *calendarPlot) heads(a report.Axis) []string {
	text := format.AxisLabel(a)
	var known []string
	for _, s := range p.f.Series {
		switch {
		case s.Strip != a:
		case s.Unjoined:
			known = append(known, "diamonds: "+s.Name)
		default:
			known = append(known, "line: "+s.Name)
		}
	}
	if len(known) > 1 {
		text += "; " + strings.Join(known, "; ")
	}
	return wrap(text, (p.right-p.left)/1.1)
}

// strip draws the i-th strip with its scale, its plot's top at y.
func (p *calendarPlot) strip(c *canvas, i int, y float64) {
	s := p.scales[i]
	up := func(v float64) float64 { return y + stripHigh - s.At(v)*stripHigh }
	head := p.heads(p.axes[i])
	for _, t := range s.Ticks {
		c.line(p.left, up(t), p.right, up(t), "c-grid")
		c.text(p.left-6, up(t)+4.5, "end", "c-soft c-halo", s.Label(t))
	}
	c.lines(p.left, y-8-lead*float64(len(head)-1), "c-strong c-halo", head)
	for k, j := range p.inStrip[i] {
		series := p.f.Series[j]
		if series.Unjoined {
			c.open(seriesClass(1, false), "")
			for _, q := range series.Points {
				if p.has(q) && !math.IsNaN(q.Y) {
					c.marker(2, p.x(q.X+0.5), up(q.Y), small+0.6, "c-dot")
				}
			}
			c.close()
			continue
		}
		c.open(seriesClass(k, false), "")
		for _, run := range p.stretches(series.Points) {
			p.trace(c, run, up)
		}
		c.close()
	}
}

// stretches cuts the points of the part where a day is missing.
func (p *calendarPlot) stretches(ps []report.Point) (out [][]report.Point) {
	known := func(q report.Point) bool { return p.has(q) && !math.IsNaN(q.Y) }
	for _, run := range runs(ps, known) {
		from := 0
		for k := 1; k <= len(run); k++ {
			if k == len(run) || run[k].X-run[k-1].X > 1 {
				out = append(out, run[from:k])
				from = k
			}
		}
	}
	return out
}

// trace draws the band and the line of days that follow each other; a single day is a dot.
func (p *calendarPlot) trace(c *canvas, run []report.Point, up func(float64) float64) {
	if len(run) == 1 {
		c.marker(0, p.x(run[0].X+0.5), up(run[0].Y), small/2+0.4, "c-dot")
		return
	}
	var middle, upper, lower []float64
	for k := range run {
		x := p.x(run[k].X + 0.5)
		middle = append(middle, x, up(run[k].Y))
		if !math.IsNaN(run[k].YLo) && !math.IsNaN(run[k].YHi) {
			upper = append(upper, x, up(run[k].YHi))
			lower = append(lower, x, up(run[k].YLo))
		}
	}
	if len(upper) == len(middle) {
		for k := len(lower) - 2; k >= 0; k -= 2 {
			upper = append(upper, lower[k], lower[k+1])
		}
		c.path(pathData(upper)+"Z", "c-area")
	}
	c.path(pathData(middle), "c-fine")
}
