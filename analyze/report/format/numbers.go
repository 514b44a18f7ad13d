package format

import (
	"math"

	"gravid/analyze/report"
)

// Numbers lists what a figure draws, as a table: one row a point, in the order
// of the series. Columns that no point fills are left out. The table's ID is the
// figure's with "-numbers".
func Numbers(f report.Figure) report.Table {
	t := report.Table{ID: f.ID + "-numbers", Title: "Numbers behind: " + f.Title}
	points, series := flatten(f)
	x, y := AxisFormat(f.X), AxisFormat(f.Y)
	add := func(c report.Column, cell func(i int) report.Cell) {
		t.Columns = append(t.Columns, c)
		for i := range points {
			t.Rows[i] = append(t.Rows[i], cell(i))
		}
	}
	text := func(name string, key bool, of func(i int) string) {
		add(report.Column{Name: name, Key: key}, func(i int) report.Cell { return report.T(of(i)) })
	}
	number := func(name, unit string, fm report.Format, of func(p report.Point) float64) {
		add(report.Column{Name: name, Unit: unit, Format: fm}, func(i int) report.Cell { return report.N(fm, of(points[i])) })
	}
	known := func(of func(p report.Point) float64) bool {
		for _, p := range points {
			if !math.IsNaN(of(p)) {
				return true
			}
		}
		return false
	}
	bounds := func(of string, fm report.Format, lo, hi func(p report.Point) float64) {
		if known(lo) || known(hi) {
			low, high := "Low", "High"
			if of != "" {
				low, high = of+"low", of+"high"
			}
			number(low, "", fm, lo)
			number(high, "", fm, hi)
		}
	}

	t.Rows = make([][]report.Cell, len(points))
	if len(f.Series) > 1 {
		text("Series", true, func(i int) string { return series[i] })
	}
	switch f.Kind {
	case report.Forest:
		text(or(f.Y.Label, "What"), true, func(i int) string { return points[i].Label })
		number("Estimate", or(f.X.Unit, f.X.Label), x, xOf)
		bounds("", x, xLo, xHi)
	case report.Bars:
		text(or(f.X.Label, "What"), true, func(i int) string { return BarLabel(f, points[i]) })
		number(or(f.Y.Label, "Value"), f.Y.Unit, y, yOf)
		bounds("", y, yLo, yHi)
	default:
		number(or(f.X.Label, "Across"), f.X.Unit, x, xOf)
		if f.Kind == report.Dots {
			bounds("Across, ", x, xLo, xHi)
		}
		number(or(f.Y.Label, "Up"), f.Y.Unit, y, yOf)
		bounds("", y, yLo, yHi)
		if anyPoint(points, func(p report.Point) bool { return p.Label != "" }) {
			text("Label", false, func(i int) string { return points[i].Label })
		}
	}
	if anyPoint(points, func(p report.Point) bool { return p.N > 0 }) {
		number("Records", "", report.Whole, func(p report.Point) float64 {
			if p.N == 0 {
				return math.NaN()
			}
			return float64(p.N)
		})
	}
	if anyPoint(points, func(p report.Point) bool { return Remark(p) != "" }) {
		text("Remark", false, func(i int) string { return Remark(points[i]) })
	}
	return t
}

// Remark is what is written beside a point: its note, and for a hollow point
// without one, what hollow means.
func Remark(p report.Point) string {
	if p.Note == "" && p.Faint {
		return "the records can't tell"
	}
	return p.Note
}

// BarLabel names a bar: its label or, where it has none, its place on the X axis.
func BarLabel(f report.Figure, p report.Point) string {
	if p.Label != "" {
		return p.Label
	}
	return Cell(report.N(AxisFormat(f.X), p.X))
}

func flatten(f report.Figure) (points []report.Point, series []string) {
	for _, s := range f.Series {
		for _, p := range s.Points {
			points = append(points, p)
			series = append(series, s.Name)
		}
	}
	return points, series
}

func xOf(p report.Point) float64 { return p.X }
func yOf(p report.Point) float64 { return p.Y }
func xLo(p report.Point) float64 { return p.XLo }
func xHi(p report.Point) float64 { return p.XHi }
func yLo(p report.Point) float64 { return p.YLo }
func yHi(p report.Point) float64 { return p.YHi }

func anyPoint(points []report.Point, is func(report.Point) bool) bool {
	for _, p := range points {
		if is(p) {
			return true
		}
	}
	return false
}

func or(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

// Signs explains the signs that Number and Cell use, for a reader's guide.
func Signs() []report.Term {
	return []report.Term{
		{Word: Missing, Meaning: "nobody recorded it, or it can't be known from the records"},
		{Word: Unbounded, Meaning: "the records set no bound on this side"},
		{Word: "12 (2 to 21)", Meaning: "the best single number, and in brackets what the records leave plausible; the wider the brackets, the less is known"},
		{Word: "hollow dot", Meaning: "the records can't tell; don't read a direction into it"},
		{Word: "< and >", Meaning: "smaller, or larger, than rounding can show"},
	}
}
