package workbook

import (
	"fmt"
	"math"

	"github.com/xuri/excelize/v2"

	"gravid/analyze/report"
	"gravid/analyze/report/format"
)

// A drawing is a native chart laid out on a sheet. Charts can only draw what
// stands in cells, and know neither intervals nor steps; so each has a block of
// cells, its aid, in which a figure's points are put into the form that the chart
// draws: floating bars as stacked pieces, steps as corners. The aid stands below
// everything else, is not printed, and holds no number that the figure does not.
type drawing struct {
	figure   report.Figure
	row      int // of its upper left cell, in column 1
	rows     int // that it lies over
	height   int // pixels, on the screen
	head     []string
	body     [][]value
	lines    []line        // the parts of the aid that are drawn
	at       int           // the row of the aid's header
	x, y     *format.Scale // nil for an axis of names
	names    int           // rows of names, for a chart with an axis of names
	explains string        // how to read it; shown above the plot
	log      bool
	lying    bool // bars that lie down
	days     bool // the X axis counts days
	bare     bool // the Y axis has no numbers
}

// A line is one series of a chart: a block of aid rows and how it looks.
type line struct {
	name       string
	from, to   int // aid rows, from 0, both inclusive
	column     int // of the values, from 0
	colour     string
	dash       excelize.LineDashType
	width      float64 // points; 0 draws no line
	marker     string  // a kind of marker, or "none"
	size       int
	hollow     bool   // a pale marker with an edge
	unlabelled bool   // has no place in the legend
	point      bool   // a single point with a name, which has no place in the legend
	beside     string // where the name stands: r, l, t or b; "" leaves it out
}

const tallestChart = 580 // pixels: what a printed page can hold besides a title

const chartWidth = 1000 // pixels as the library counts them; about an eighth less on the screen

var (
	colours = []string{accent, ink, "84919A", tone, soft}
	fills   = []string{accent, pale, soft, tone, paler}
	edges   = []string{tone, "84919A", rule, pale, "84919A"} // of the bands round lines
	dashes  = []excelize.LineDashType{excelize.LineDashSolid, excelize.LineDashDash, excelize.LineDashSysDot, excelize.LineDashLgDashDot, excelize.LineDashSysDash}
	markers = []string{"circle", "square", "diamond", "triangle"}
)

// figure lays out a figure: its title, room for the chart, its caption.
func (s *sheet) figure(f report.Figure) {
	s.next++
	all := draw(f)
	if len(all) > 0 {
		high := 0 // those of a calendar are read together
		for _, d := range all {
			high += d.height
		}
		s.keepTogether(high + 3*rowPixels)
	}
	s.prose(f.Title, look{role: heading}, 12)
	if len(all) == 0 {
		s.prose("No numbers to draw.", look{role: caption}, 9)
	}
	for _, d := range all {
		d.row, d.rows = s.next, (d.height+rowPixels-1)/rowPixels
		for r := range d.rows {
			s.heights[d.row+r] = rowSize
		}
		s.next += d.rows
		s.charts = append(s.charts, d)
	}
	s.prose(f.Caption, look{role: caption}, 9)
	if f.Records != "" {
		s.putLink(s.next, 1, text("The records of the season ›"), look{role: back}, f.Records)
		s.next++
	}
}

// keepTogether begins a printed page with the next row, where what comes, so many
// pixels high, would otherwise be cut by the end of a page. It reckons with A4,
// lying, and a sheet made to fit its width.
func (s *sheet) keepTogether(pixels int) {
	const across, down = 1026.0, 640.0 // pixels that the margins leave
	page := down * math.Max(float64(s.pixelsTo(s.lastColumn()))/across, 1)
	from := 1
	if len(s.breaks) > 0 {
		from = s.breaks[len(s.breaks)-1]
	}
	used := 0.0
	for r := from; r < s.next; r++ {
		used += max(s.heights[r], rowSize) * rowPixels / rowSize
	}
	// What lies on the page counts as it stands: tables that come later may widen the
	// sheet, which makes its pages hold more rows than are reckoned with here.
	if used+float64(pixels) > page && used > 0 {
		s.breaks = append(s.breaks, s.next)
	}
}

// pixelsTo is how wide the columns up to one are.
func (s *sheet) pixelsTo(last int) (wide int) {
	for col := 1; col <= last; col++ {
		wide += s.pixels(col)
	}
	return wide
}

// draw puts a figure into the form of charts; none where it has nothing to draw.
func draw(f report.Figure) []*drawing {
	if f.Kind == report.Calendar {
		return calendars(f)
	}
	d := &drawing{figure: f, height: 360, log: f.X.Log || f.Y.Log}
	switch f.Kind {
	case report.Forest:
		d.forest()
	case report.Bars:
		d.bars()
	case report.Funnel:
		d.height = 440
		d.plane()
	default:
		d.plane()
	}
	if len(d.body) == 0 {
		return nil
	}
	return []*drawing{d}
}

// endPrint ends the printed part, where it has not ended yet, and writes what comes.
func (s *sheet) endPrint(what string) {
	if s.printed == 0 {
		s.printed = s.next - 1
	}
	s.next += 2
	s.put(s.next, 1, text(what), look{role: aid})
	s.next++
}

// aids lays the aids of all charts out below the printed part.
func (s *sheet) aids() {
	if len(s.charts) == 0 {
		return
	}
	s.endPrint("What the charts above are drawn from (not printed)")
	for _, d := range s.charts {
		s.next++
		d.at = s.next
		for j, h := range d.head {
			s.put(s.next, j+1, text(h), look{role: aid})
		}
		for _, row := range d.body {
			s.next++
			for j, v := range row {
				l := look{role: aid}
				if d.days && j == 1 {
					l.number = "yyyy-mm-dd"
				}
				s.put(s.next, j+1, v, l)
			}
		}
		s.next++
	}
}

func number(x float64) value { return value{number: x} }

// clip is x moved into a scale: where an infinite end is drawn to.
func clip(s *format.Scale, x float64) float64 {
	return math.Min(math.Max(x, s.Min), s.Max)
}

// forest makes floating bars from low to high, in two shades that meet at the
// estimate. Stacked pieces grow away from 0 on either side: first a gap that is
// not drawn, then the piece nearer to 0, then the other.
func (d *drawing) forest() {
	f := d.figure
	scale := format.XScale(f, 8)
	d.y = &scale
	if scale.Log {
		powers(&scale)
	}
	d.head = []string{format.AxisLabel(f.Y), "not drawn"}
	shades := []struct{ near, far, note string }{{accent, tone, ""}, {pale, paler, ", the records can't tell"}}
	for k, shade := range shades {
		d.head = append(d.head, "estimate to high"+shade.note, "low to estimate"+shade.note, "low to estimate"+shade.note, "estimate to high"+shade.note)
		for p, colour := range []string{shade.far, shade.near, shade.near, shade.far} {
			d.lines = append(d.lines, line{name: d.head[2+4*k+p], column: 2 + 4*k + p, colour: colour})
		}
	}
	faint := false
	for _, s := range f.Series {
		for _, p := range s.Points {
			if math.IsNaN(p.X) {
				continue
			}
			d.body = append(d.body, forestRow(&scale, rowName(f, s, p), p))
			faint = faint || p.Faint
		}
	}
	d.names, d.lying = len(d.body), true
	d.lines = append([]line{{column: 1}}, d.lines...)
	d.height = min(max(150+26*d.names, 200), tallestChart)
	d.explains = "Each bar runs from low to high; the shade changes at the estimate."
	if faint {
		d.explains += " ○ and pale: the records can't tell."
	}
	for _, m := range f.MarksX {
		if m.Label != "" {
			d.explains += fmt.Sprintf(" %s: %s.", scale.Label(m.At), m.Label)
		}
	}
}

// rowName names a row of a chart; ○ says what pale says. A name that would leave
// the bars no room is cut: the table of the numbers has all of it.
func rowName(f report.Figure, s report.Series, p report.Point) string {
	name := p.Label
	if len(f.Series) > 1 {
		name = s.Name + ": " + name
	}
	if short := cut(name, 60); len(short) < len(name) {
		name = short + "…"
	}
	if p.Faint {
		name = "○ " + name
	}
	return name
}

func forestRow(scale *format.Scale, name string, p report.Point) []value {
	lo, hi := p.XLo, p.XHi
	if math.IsNaN(lo) || math.IsNaN(hi) { // no interval: a sliver, so that the estimate shows
		sliver := (scale.Max - scale.Min) / 200
		if scale.Log {
			sliver = p.X / 100
		}
		lo, hi = p.X-sliver, p.X+sliver
	}
	lo, hi = clip(scale, lo), clip(scale, hi)
	x := math.Min(math.Max(p.X, lo), hi)
	row := []value{text(name), number(math.NaN())}
	for range 8 {
		row = append(row, number(math.NaN()))
	}
	pieces := row[2:6]
	if p.Faint {
		pieces = row[6:10]
	}
	if lo > 0 {
		row[1] = number(lo)
	}
	if hi < 0 {
		row[1] = number(hi)
	}
	for k, length := range []float64{below(x, hi), below(lo, x), above(lo, x), above(x, hi)} {
		if length != 0 {
			pieces[k] = number(length)
		}
	}
	return row
}

// above is the length of the stretch from a to b that lies above 0; below is
// minus the length below 0.
func above(a, b float64) float64 { return math.Max(b, 0) - math.Max(a, 0) }
func below(a, b float64) float64 { return math.Min(a, 0) - math.Min(b, 0) }

// powers moves a log scale's ends to powers of ten: spreadsheet programs put
// ticks tenfold apart, from the end on, and not all know another base.
func powers(s *format.Scale) {
	s.Min = math.Pow(10, math.Floor(math.Log10(s.Min)+1e-9))
	s.Max = math.Pow(10, math.Ceil(math.Log10(s.Max)-1e-9))
}

// bars makes columns, or lying bars where names are long.
func (d *drawing) bars() {
	f := d.figure
	scale := format.YScale(f, 7)
	d.y = &scale
	d.head = []string{format.AxisLabel(f.X)}
	rows := map[string]int{}
	longest := 0
	for k, s := range f.Series {
		d.head = append(d.head, s.Name)
		d.lines = append(d.lines, line{name: s.Name, column: k + 1, colour: fills[k%len(fills)]})
		for _, p := range s.Points {
			name := format.BarLabel(f, p)
			if p.Faint {
				name = "○ " + name
			}
			i, known := rows[name]
			if !known {
				i = len(d.body)
				rows[name] = i
				row := []value{text(name)}
				for range f.Series {
					row = append(row, number(math.NaN()))
				}
				d.body = append(d.body, row)
				longest = max(longest, len([]rune(name)))
			}
			if !math.IsNaN(p.Y) {
				d.body[i][k+1] = number(clip(&scale, p.Y))
			}
		}
	}
	d.names = len(d.body)
	if longest*d.names > 110 && d.names <= 40 {
		d.lying = true
		d.height = min(max(120+24*d.names*min(len(f.Series), 2), 220), tallestChart)
	}
}

// plane makes lines and points in a plane: each line's points stand below each
// other, an interval's low ends first and, after a row without a value, its high
// ends.
func (d *drawing) plane() {
	f := d.figure
	xs, ys := format.XScale(f, 10), format.YScale(f, 7)
	if xs.Log {
		powers(&xs)
	}
	if ys.Log {
		powers(&ys)
	}
	d.x, d.y = &xs, &ys
	d.head = []string{"Line", format.AxisLabel(f.X), format.AxisLabel(f.Y)}
	drawn := false
	for i, s := range f.Series {
		if f.Kind == report.Funnel && i > 0 {
			d.limits(i, s)
			continue
		}
		drawn = d.series(i, s) || drawn
	}
	if !drawn {
		d.body = nil
		return
	}
	d.rug()
	for _, m := range f.MarksX {
		if xs.Beyond(m.At) == 0 && !math.IsNaN(m.At) {
			d.mark(m, [][2]float64{{m.At, ys.Min}, {m.At, ys.Max}})
		}
	}
	for _, m := range f.MarksY {
		if ys.Beyond(m.At) == 0 && !math.IsNaN(m.At) {
			d.mark(m, [][2]float64{{xs.Min, m.At}, {xs.Max, m.At}})
		}
	}
}

// rug adds the short lines of the records at the edges of the plot.
func (d *drawing) rug() {
	long := (d.y.Max - d.y.Min) / 30
	for _, edge := range []struct {
		name     string
		from, to float64
		has      func(report.RugMark) bool
	}{
		{"records without", d.y.Min, d.y.Min + long, func(m report.RugMark) bool { return m.Without > 0 }},
		{"records with", d.y.Max - long, d.y.Max, func(m report.RugMark) bool { return m.With > 0 }},
	} {
		var xy [][2]float64
		for _, m := range d.figure.Rug {
			if edge.has(m) && d.x.Beyond(m.X) == 0 && !math.IsNaN(m.X) {
				xy = append(xy, [2]float64{m.X, edge.from}, [2]float64{m.X, edge.to}, [2]float64{m.X, math.NaN()})
			}
		}
		if len(xy) > 0 {
			d.add(line{name: edge.name, colour: soft, width: 0.75, marker: "none", unlabelled: true}, xy[:len(xy)-1])
		}
	}
}

// series adds a series' lines to the aid; false where none of its points has a
// place.
func (d *drawing) series(i int, s report.Series) bool {
	var told, faint []report.Point
	for _, p := range s.Points {
		switch {
		case math.IsNaN(p.X) || math.IsInf(p.X, 0) || math.IsNaN(p.Y) || math.IsInf(p.Y, 0):
		case p.Faint && d.figure.Kind == report.Dots:
			faint = append(faint, p)
		default:
			told = append(told, p)
		}
	}
	colour, dash, marker := colours[i%len(colours)], dashes[i%len(dashes)], markers[i%len(markers)]
	y := func(p report.Point) float64 { return p.Y }
	switch d.figure.Kind {
	case report.Funnel:
		for k, side := range d.sides(told) {
			d.add(line{name: rowName(report.Figure{Series: d.figure.Series[:1]}, s, told[k]), colour: colour, marker: marker, size: 8, point: true, beside: side}, d.path(told[k:k+1], y))
		}
	case report.Dots:
		d.add(line{name: s.Name, colour: colour, marker: marker, size: 7}, d.path(told, y))
		d.add(line{name: s.Name + ", the records can't tell", colour: colour, marker: marker, size: 7, hollow: true}, d.path(faint, y))
		ends := append(d.path(withInterval(s.Points), yLow), d.path(withInterval(s.Points), yHigh)...)
		d.add(line{name: s.Name + ", low and high", colour: colour, marker: "dash", size: 6}, ends)
	default:
		l := line{name: s.Name, colour: colour, dash: dash, width: 2.25, marker: "none"}
		if len(told) <= 16 && d.figure.Kind == report.Curve {
			l.marker, l.size = marker, 6
		}
		d.add(l, d.path(told, y))
		if in := withInterval(told); len(in) > 1 {
			ends := append(d.path(in, yLow), [2]float64{in[len(in)-1].X, math.NaN()})
			ends = append(ends, d.path(in, yHigh)...)
			d.add(line{name: s.Name + ", low and high", colour: edges[i%len(edges)], dash: excelize.LineDashSysDash, width: 0.75, marker: "none"}, ends)
		}
	}
	return len(told)+len(faint) > 0
}

// sides chooses on which side of each point its name stands, so that names touch
// neither each other nor a point; "" where there is no room. It reckons with about the
// size that the plot has on the screen. Points with a note choose first.
func (d *drawing) sides(ps []report.Point) []string {
	const wide, high, letter, tall, dot = 800.0, 280.0, 6.5, 13.0, 6.0 // pixels
	type box struct{ left, right, top, bottom float64 }
	var taken []box
	x := func(p report.Point) float64 { return d.x.At(p.X) * wide }
	y := func(p report.Point) float64 { return (1 - d.y.At(p.Y)) * high }
	for _, p := range ps {
		taken = append(taken, box{x(p) - dot, x(p) + dot, y(p) - dot, y(p) + dot})
	}
	out := make([]string, len(ps))
	choose := func(i int) {
		p := ps[i]
		w := letter * float64(len([]rune(p.Label)))
		for _, at := range []struct {
			side       string
			left, down float64 // of the upper left corner, from the point
		}{{"r", dot + 1, -tall / 2}, {"l", -w - dot - 1, -tall / 2}, {"t", -w / 2, -tall - dot - 1}, {"b", -w / 2, dot + 1}} {
			b := box{x(p) + at.left, x(p) + at.left + w, y(p) + at.down, y(p) + at.down + tall}
			free := b.left >= 0 && b.right <= wide && b.top >= 0 && b.bottom <= high
			for _, t := range taken {
				free = free && !(b.left < t.right && t.left < b.right && b.top < t.bottom && t.top < b.bottom)
			}
			if free {
				out[i] = at.side
				taken = append(taken, b)
				return
			}
		}
	}
	for _, first := range []bool{true, false} {
		for i, p := range ps {
			if (p.Note != "") == first && p.Label != "" {
				choose(i)
			}
		}
	}
	return out
}

// limits adds the two lines of a pair of limits, as far as they lie on the plot, with
// a row without a value between them.
func (d *drawing) limits(i int, s report.Series) {
	on := func(y func(report.Point) float64) (ps []report.Point) {
		for _, p := range s.Points {
			if v := y(p); !math.IsNaN(p.X) && !math.IsNaN(v) && d.x.Beyond(p.X) == 0 && d.y.Beyond(v) == 0 {
				ps = append(ps, p)
			}
		}
		return ps
	}
	ends := d.path(on(yLow), yLow)
	if high := d.path(on(yHigh), yHigh); len(high) > 0 {
		if len(ends) > 0 {
			ends = append(ends, [2]float64{ends[len(ends)-1][0], math.NaN()})
		}
		ends = append(ends, high...)
	}
	d.add(line{name: s.Name, colour: colours[i%len(colours)], dash: dashes[i%len(dashes)], width: 1.5, marker: "none"}, ends)
}

func yLow(p report.Point) float64  { return p.YLo }
func yHigh(p report.Point) float64 { return p.YHi }

func withInterval(ps []report.Point) (out []report.Point) {
	for _, p := range ps {
		if !math.IsNaN(p.X) && !math.IsNaN(p.YLo) && !math.IsNaN(p.YHi) {
			out = append(out, p)
		}
	}
	return out
}

// path is the corners of a line through points.
func (d *drawing) path(ps []report.Point, y func(report.Point) float64) (xy [][2]float64) {
	for i, p := range ps {
		if d.figure.Kind == report.Steps && i > 0 {
			xy = append(xy, [2]float64{clip(d.x, p.X), clip(d.y, y(ps[i-1]))})
		}
		xy = append(xy, [2]float64{clip(d.x, p.X), clip(d.y, y(p))})
	}
	return xy
}

func (d *drawing) mark(m report.Mark, xy [][2]float64) {
	d.add(line{name: m.Label, colour: soft, dash: excelize.LineDashDash, width: 1, marker: "none", unlabelled: m.Label == ""}, xy)
}

// add adds a line and its rows.
func (d *drawing) add(l line, xy [][2]float64) {
	if len(xy) == 0 {
		return
	}
	l.from, l.column = len(d.body), 2
	for _, p := range xy {
		d.body = append(d.body, []value{text(l.name), number(p[0]), number(p[1])})
	}
	l.to = len(d.body) - 1
	d.lines = append(d.lines, l)
}
