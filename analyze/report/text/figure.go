package text

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gravid/analyze/report"
	"gravid/analyze/report/format"
)

const (
	narrowest = 20 // columns below which a plot says nothing
	widest    = 60
	listed    = 20 // points of a figure that are listed as numbers
	fewLimits = 6  // places at which the limits of a funnel are listed
)

// figure draws a Forest figure and lists the numbers of all others.
func (p *printer) figure(f report.Figure) {
	if f.Kind == report.Forest {
		if plot := p.forestOf(f); plot != nil {
			p.forest(f, plot)
			return
		}
	}
	below := f.Below
	f.Rug, f.Below = nil, nil // the rug is for the eye; counts are written as a line
	t := format.Numbers(f)
	t.Title, t.Note = f.Title, f.Caption
	defer p.below(f, below)
	if f.Kind == report.Calendar { // the days with a mark alone
		t.Rows = slices.DeleteFunc(t.Rows, func(row []report.Cell) bool { return row[1].Text == "" })
		p.listed(filled(t), listed)
		return
	}
	if f.Kind != report.Funnel || len(f.Series) < 2 {
		p.listed(t, listed)
		return
	}
	// Points and limits have no column in common but the first number.
	points, limits := t, t
	points.Rows, limits.Rows = t.Rows[:len(f.Series[0].Points)], t.Rows[len(f.Series[0].Points):]
	p.listed(filled(points), listed)
	p.line("")
	limits.Title, limits.Note = "Limits", ""
	limits = filled(limits)
	limits.Columns = limits.Columns[1:]
	for i := range limits.Rows {
		limits.Rows[i] = limits.Rows[i][1:]
	}
	p.listed(limits, fewLimits)
}

// below writes the rows of counts that stand below the X axis of a drawing.
func (p *printer) below(f report.Figure, rows []report.CountRow) {
	for _, r := range rows {
		parts := make([]string, len(r.X))
		for i, x := range r.X {
			parts[i] = fmt.Sprintf("%d at %s", r.N[i], strconv.FormatFloat(x, 'g', -1, 64))
		}
		p.dim(r.Name + ", by " + format.AxisLabel(f.X) + ": " + strings.Join(parts, ", "))
	}
}

// listed writes the numbers of a figure, or an even choice of at most so many.
func (p *printer) listed(t report.Table, most int) {
	all := len(t.Rows)
	t.Rows = spread(t.Rows, most)
	p.table(t)
	if len(t.Rows) < all {
		p.dim(fmt.Sprintf("%d of the figure's %d points are listed.", len(t.Rows), all))
	}
}

// filled leaves out the columns that no row fills.
func filled(t report.Table) report.Table {
	out := t
	out.Columns, out.Rows = nil, make([][]report.Cell, len(t.Rows))
	for j, c := range t.Columns {
		if len(t.Rows) > 0 && !slices.ContainsFunc(t.Rows, func(row []report.Cell) bool { return !row[j].Empty }) {
			continue
		}
		out.Columns = append(out.Columns, c)
		for i, row := range t.Rows {
			out.Rows[i] = append(out.Rows[i], row[j])
		}
	}
	return out
}

// spread picks n rows evenly, the first and the last among them.
func spread(rows [][]report.Cell, n int) [][]report.Cell {
	if len(rows) <= n {
		return rows
	}
	out := make([][]report.Cell, n)
	for i := range out {
		out[i] = rows[i*(len(rows)-1)/(n-1)]
	}
	return out
}

// A forest is the layout of a plot of intervals: names on the left, numbers on
// the right, both in the width given.
type forest struct {
	names, plot, numbers int
	scale                format.Scale
	unit                 report.Format
}

// forestOf lays the plot out; nil where the width is too small or there is no point.
func (p *printer) forestOf(f report.Figure) *forest {
	out := &forest{unit: format.AxisFormat(f.X)}
	points := 0
	for _, s := range f.Series {
		for _, q := range s.Points {
			points++
			out.names = max(out.names, width(p.clean(q.Label)))
			out.numbers = max(out.numbers, width(p.numbers(out, q)), width(p.clean(format.Remark(q))))
		}
	}
	room := p.o.Width - len(indent) - 2*gap
	out.names = min(out.names, room*30/100)
	out.numbers = min(out.numbers, max(room*36/100, 18))
	out.plot = min(room-out.names-out.numbers, widest)
	if points == 0 || out.plot < narrowest {
		return nil
	}
	out.scale = format.XScale(f, max(out.plot/5, 2))
	return out
}

func (p *printer) numbers(f *forest, q report.Point) string {
	return p.clean(format.Estimate(f.unit, q.X, q.XLo, q.XHi))
}

func (p *printer) forest(f report.Figure, plot *forest) {
	for _, l := range wrap(p.clean(f.Title), p.o.Width) {
		p.line(p.paint(bold, l))
	}
	for _, s := range f.Series {
		if len(f.Series) > 1 {
			for _, l := range wrap(p.clean(s.Name), p.o.Width-len(indent)) {
				p.line(indent + p.paint(accent, l))
			}
		}
		for _, q := range s.Points {
			p.forestRow(f, plot, q)
		}
	}
	margin := strings.Repeat(" ", len(indent)+plot.names+gap)
	p.line(margin + string(p.axis(f, plot)))
	p.line(margin + string(p.tickLabels(plot)))
	if label := p.clean(format.AxisLabel(f.X)); label != "" {
		for _, l := range wrap(label, max(plot.plot+gap+plot.numbers, width(label)*2/3)) {
			p.line(margin + p.paint(faint, l))
		}
	}
	for _, m := range f.MarksX {
		if m.Label != "" {
			p.line(margin + p.paint(faint, p.clean(p.markGlyph(f, m)+" "+plot.scale.Label(m.At)+": "+m.Label)))
		}
	}
	if f.Caption != "" {
		p.dim(f.Caption)
	}
}

// forestRow writes one point: its interval, and as many lines below it as the
// name and the numbers need.
func (p *printer) forestRow(f report.Figure, plot *forest, q report.Point) {
	names := wrap(p.clean(q.Label), plot.names)
	numbers := wrap(p.numbers(plot, q), plot.numbers)
	if remark := p.clean(format.Remark(q)); remark != "" {
		numbers = append(numbers, wrap(remark, plot.numbers)...)
	}
	for i := range max(len(names), len(numbers)) {
		canvas := p.blank(f, plot)
		if i == 0 {
			p.interval(canvas, plot.scale, q)
		}
		number := at(numbers, i)
		if i > 0 {
			number = p.paint(faint, number)
		}
		p.line(indent + pad(at(names, i), plot.names) + strings.Repeat(" ", gap) + string(canvas) + strings.Repeat(" ", gap) + number)
	}
}

// blank is one line of the plot with its reference lines alone.
func (p *printer) blank(f report.Figure, plot *forest) []rune {
	canvas := slices.Repeat([]rune{' '}, plot.plot)
	for _, m := range f.MarksX {
		if plot.scale.Beyond(m.At) == 0 && !math.IsNaN(m.At) {
			canvas[column(plot.scale, m.At, plot.plot)] = []rune(p.markGlyph(f, m))[0]
		}
	}
	return canvas
}

// markGlyph is a full line for no difference (0, or 1 on a log axis), a broken one
// for every other mark.
func (p *printer) markGlyph(f report.Figure, m report.Mark) string {
	if m.At == 0 || f.X.Log && m.At == 1 {
		return string(p.glyphs.zero)
	}
	return string(p.glyphs.mark)
}

func (p *printer) interval(canvas []rune, s format.Scale, q report.Point) {
	n := len(canvas)
	if !math.IsNaN(q.XLo) && !math.IsNaN(q.XHi) {
		lo, hi := column(s, q.XLo, n), column(s, q.XHi, n)
		for i := lo; i <= hi; i++ {
			canvas[i] = p.glyphs.dash
		}
		canvas[lo], canvas[hi] = p.glyphs.left, p.glyphs.right
		if s.Beyond(q.XLo) < 0 {
			canvas[lo] = p.glyphs.less
		}
		if s.Beyond(q.XHi) > 0 {
			canvas[hi] = p.glyphs.more
		}
	}
	if math.IsNaN(q.X) {
		return
	}
	dot := p.glyphs.dot
	if q.Faint {
		dot = p.glyphs.hollow
	}
	canvas[column(s, q.X, n)] = dot
}

func column(s format.Scale, x float64, n int) int {
	return int(math.Round(s.At(x) * float64(n-1)))
}

func (p *printer) axis(f report.Figure, plot *forest) []rune {
	line := slices.Repeat([]rune{p.glyphs.axis}, plot.plot)
	for _, t := range plot.scale.Ticks {
		line[column(plot.scale, t, plot.plot)] = p.glyphs.tick
	}
	return line
}

// tickLabels writes the numbers under the ticks, leaving out those that would
// touch the one before.
func (p *printer) tickLabels(plot *forest) []rune {
	line := slices.Repeat([]rune{' '}, plot.plot+plot.numbers)
	free := 0
	for _, t := range plot.scale.Ticks {
		label := []rune(p.clean(plot.scale.Label(t)))
		at := max(column(plot.scale, t, plot.plot)-len(label)/2, 0)
		if at < free || at+len(label) > len(line) {
			continue
		}
		copy(line[at:], label)
		free = at + len(label) + 1
	}
	return line
}
