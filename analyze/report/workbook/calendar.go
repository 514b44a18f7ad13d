package workbook

import (
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"gravid/analyze/report"
	"gravid/analyze/report/format"
)

// A calendar becomes one chart of the rows of marks and one for each strip, all over the
// same days and all as wide. Spreadsheet programs have no axis of months for points, and
// some mistake one of dates; so lines stand where months begin, and points without a
// marker bear their names.
const namesShare = 0.25 // of the days: left free before the first of them, for the names of rows

// serialOf is a DayNumber as spreadsheets count days.
func serialOf(day float64) float64 {
	return day - report.DayNumber(time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC))
}

// calendars lays out the charts of a calendar.
func calendars(f report.Figure) (out []*drawing) {
	from, to := f.X.Min, f.X.Max
	if from >= to {
		from, to = math.Inf(1), math.Inf(-1)
		for _, s := range f.Series {
			for _, p := range s.Points {
				if !math.IsNaN(p.X) && !math.IsInf(p.X, 0) {
					from, to = min(from, p.X), max(to, p.X+1)
				}
			}
		}
		if from >= to {
			return nil
		}
	}
	if d := calendarRows(f, serialOf(from), serialOf(to)); d != nil {
		out = append(out, d)
	}
	axes, series := format.Strips(f)
	for i, a := range axes {
		if d := calendarStrip(f, a, series[i], serialOf(from), serialOf(to)); d != nil {
			out = append(out, d)
		}
	}
	return out
}

// calendarDrawing is a chart over the days, with room for names before the first.
func calendarDrawing(f report.Figure, from, to float64) *drawing {
	return &drawing{figure: f, x: &format.Scale{Min: from - math.Round(namesShare*(to-from)), Max: to}, days: true, head: []string{"Line", "day", ""}}
}

// months adds a line where each month begins, and its name at the foot of the chart:
// of the first letter where the calendar is longer than two years, that of the year.
func (d *drawing) months(from, to float64) {
	first := report.DayOf(from + report.DayNumber(time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)))
	step, form := 1, "Jan"
	if to-from > 2*366 {
		step, form = 12, "2006"
	}
	var lines [][2]float64
	for at := time.Date(first.Year(), first.Month(), 1, 0, 0, 0, 0, time.UTC); ; at = at.AddDate(0, step, 0) {
		x, next := serialOf(report.DayNumber(at)), serialOf(report.DayNumber(at.AddDate(0, step, 0)))
		if x >= to {
			break
		}
		if x >= from {
			lines = append(lines, [2]float64{x, d.y.Min}, [2]float64{x, d.y.Max}, [2]float64{x, math.NaN()})
		}
		d.add(line{name: at.Format(form), colour: soft, marker: "none", point: true, beside: "t"}, [][2]float64{{clip(d.x, (max(x, from)+min(next, to))/2), d.y.Min}})
	}
	if len(lines) > 0 {
		d.add(line{name: "months", colour: rule, width: 0.75, marker: "none", unlabelled: true}, lines[:len(lines)-1])
	}
}

func calendarRows(f report.Figure, from, to float64) *drawing {
	d := calendarDrawing(f, from, to)
	var rows []report.Series
	for _, s := range f.Series {
		if s.Strip.Label == "" && len(s.Points) > 0 {
			rows = append(rows, s)
		}
	}
	if len(rows) == 0 {
		return nil
	}
	d.y = &format.Scale{Min: -0.3, Max: float64(len(rows)) + 0.7, Step: 1}
	d.bare = true
	d.explains = "Each mark is a day."
	for i, s := range rows {
		y := float64(len(rows) - i)
		d.add(line{name: cut(s.Name, 60), colour: ink, marker: "none", point: true, beside: "r"}, [][2]float64{{d.x.Min + 1, y}})
		var xy [][2]float64
		for _, p := range s.Points {
			if !math.IsNaN(p.X) && !math.IsInf(p.X, 0) {
				xy = append(xy, [2]float64{clip(d.x, serialOf(p.X)), y})
			}
		}
		l := line{name: s.Name, colour: accent, marker: "square", size: 5, unlabelled: true}
		if s.Behind {
			l.colour, l.marker = soft, "diamond"
		}
		d.add(l, xy)
	}
	d.months(from, to)
	d.height = min(60+20*len(rows), tallestChart)
	return d
}

func calendarStrip(f report.Figure, a report.Axis, series []int, from, to float64) *drawing {
	scale := format.StripScale(f, a, 5)
	scale.Min -= scale.Step // room for the names of the months
	g := f
	g.Title = format.AxisLabel(a) + ", day by day"
	g.Y, g.Alt = a, ""
	d := calendarDrawing(g, from, to)
	d.y, d.height = &scale, 125
	d.head[2] = format.AxisLabel(a)
	var known []string // what stands for what: there is no room for a legend
	lowest, highest := math.Inf(1), math.Inf(-1)
	for k, i := range series {
		s := f.Series[i]
		var middle, ends, highs [][2]float64
		last := math.NaN()
		for _, p := range s.Points {
			if math.IsNaN(p.X) || math.IsInf(p.X, 0) || math.IsNaN(p.Y) {
				continue
			}
			lowest, highest = min(lowest, p.Y), max(highest, p.Y)
			x := clip(d.x, serialOf(p.X))
			if p.X-last > 1 && !s.Unjoined { // a day without readings breaks the lines
				gap := [2]float64{x, math.NaN()}
				middle, ends, highs = append(middle, gap), append(ends, gap), append(highs, gap)
			}
			last = p.X
			middle = append(middle, [2]float64{x, clip(&scale, p.Y)})
			if !math.IsNaN(p.YLo) && !math.IsNaN(p.YHi) {
				ends, highs = append(ends, [2]float64{x, clip(&scale, p.YLo)}), append(highs, [2]float64{x, clip(&scale, p.YHi)})
			}
		}
		colour := colours[k%len(colours)]
		if s.Unjoined {
			d.add(line{name: s.Name, colour: colour, marker: "diamond", size: 6, unlabelled: true}, middle)
			known = append(known, "diamonds: "+s.Name)
			continue
		}
		d.add(line{name: s.Name, colour: colour, width: 1.5, marker: "none", unlabelled: true}, middle)
		known = append(known, "line: "+s.Name)
		if len(ends) > 0 {
			ends = append(append(ends, [2]float64{ends[len(ends)-1][0], math.NaN()}), highs...)
			d.add(line{name: s.Name + ", lowest and highest", colour: colour, dash: excelize.LineDashSysDot, width: 0.5, marker: "none", unlabelled: true}, ends)
			known = append(known, "dotted: lowest and highest")
		}
	}
	if len(d.body) == 0 {
		return nil
	}
	d.months(from, to)
	fm := format.AxisFormat(a)
	d.figure.Alt = fmt.Sprintf("%s, day by day, between %s and %s.", format.AxisLabel(a), format.Number(fm, lowest), format.Number(fm, highest))
	d.explains = format.AxisLabel(a) + "; " + strings.Join(known, "; ")
	return d
}
