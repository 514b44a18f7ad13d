package format

import (
	"fmt"
	"math"
	"slices"

	"gravid/analyze/report"
)

// Numbers lists what a figure draws, as a table: one row a point, in the order
// of the series. Columns that no point fills are left out. The table's ID is the
// figure's with "-numbers".
func Numbers(f report.Figure) report.Table {
	switch f.Kind {
	case report.Funnel:
		return funnelNumbers(f)
	case report.Calendar:
		return calendarNumbers(f)
	}
	t := report.Table{ID: f.ID + "-numbers", Title: "Numbers behind: " + f.Title}
	points, series := flatten(f)
	for _, p := range beside(f) {
		points, series = append(points, p), append(series, "")
	}
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

// beside are what a figure shows besides its series, as points: the records of a rug and
// the counts below the X axis.
func beside(f report.Figure) (points []report.Point) {
	for _, r := range f.Rug {
		p := report.At("", r.X, math.NaN())
		p.N, p.Note = r.Without+r.With, fmt.Sprintf("records: %d spawned", r.With)
		points = append(points, p)
	}
	for _, row := range f.Below {
		for i, x := range row.X {
			p := report.At("", x, math.NaN())
			p.N, p.Note = row.N[i], row.Name
			points = append(points, p)
		}
	}
	return points
}

// funnelNumbers lists the points of the first series, then the limits of the others
// side by side, one row a place on the X axis.
func funnelNumbers(f report.Figure) report.Table {
	x, y := AxisFormat(f.X), AxisFormat(f.Y)
	t := report.Table{ID: f.ID + "-numbers", Title: "Numbers behind: " + f.Title, Columns: []report.Column{
		{Name: "What", Key: true}, {Name: or(f.X.Label, "Across"), Unit: f.X.Unit, Format: x}, {Name: or(f.Y.Label, "Up"), Unit: f.Y.Unit, Format: y}}}
	if len(f.Series) == 0 {
		return t
	}
	for _, p := range f.Series[0].Points {
		t.Rows = append(t.Rows, []report.Cell{report.T(p.Label), report.N(x, p.X), report.N(y, p.Y)})
	}
	points := len(t.Rows)
	at := map[float64]int{}
	for k, s := range f.Series[1:] {
		t.Columns = append(t.Columns, report.Column{Name: s.Name + ", low", Format: y}, report.Column{Name: s.Name + ", high", Format: y})
		for i := range t.Rows {
			t.Rows[i] = append(t.Rows[i], report.N(y, math.NaN()), report.N(y, math.NaN()))
		}
		for _, p := range s.Points {
			i, known := at[p.X]
			if !known {
				i = len(t.Rows)
				at[p.X] = i
				row := []report.Cell{report.T("limits"), report.N(x, p.X), report.N(y, math.NaN())}
				for range 2 * (k + 1) {
					row = append(row, report.N(y, math.NaN()))
				}
				t.Rows = append(t.Rows, row)
			}
			t.Rows[i][3+2*k], t.Rows[i][4+2*k] = report.N(y, p.YLo), report.N(y, p.YHi)
		}
	}
	if anyPoint(f.Series[0].Points, func(p report.Point) bool { return Remark(p) != "" }) {
		t.Columns = append(t.Columns, report.Column{Name: "Remark"})
		for i := range t.Rows {
			remark := ""
			if i < points {
				remark = Remark(f.Series[0].Points[i])
			}
			t.Rows[i] = append(t.Rows[i], report.T(remark))
		}
	}
	return t
}

// calendarNumbers lists the days on which a calendar shows anything: the marks in one
// column, a column for each row that lies behind, and the values of the strips.
func calendarNumbers(f report.Figure) report.Table {
	t := report.Table{ID: f.ID + "-numbers", Title: "Numbers behind: " + f.Title,
		Columns: []report.Column{{Name: "Day", Format: report.Day, Key: true}, {Name: or(f.Y.Label, "What")}}}
	at := map[float64]int{}
	var days []float64
	for _, s := range f.Series {
		for _, p := range s.Points {
			if _, known := at[p.X]; !known && !math.IsNaN(p.X) {
				at[p.X] = 0
				days = append(days, p.X)
			}
		}
	}
	slices.Sort(days)
	for i, d := range days {
		at[d] = i
		t.Rows = append(t.Rows, []report.Cell{report.D(report.DayOf(d)), report.T("")})
	}
	column := func(c report.Column, s report.Series, of func(report.Point) report.Cell, nothing report.Cell) {
		t.Columns = append(t.Columns, c)
		for i := range t.Rows {
			t.Rows[i] = append(t.Rows[i], nothing)
		}
		for _, p := range s.Points {
			if !math.IsNaN(p.X) {
				t.Rows[at[p.X]][len(t.Columns)-1] = of(p)
			}
		}
	}
	for _, s := range f.Series {
		switch {
		case s.Behind:
			column(report.Column{Name: s.Name, Format: report.Yes}, s, func(report.Point) report.Cell { return report.N(report.Yes, 1) }, report.Cell{Format: report.Yes, Empty: true})
		case s.Strip.Label == "":
			for _, p := range s.Points {
				if math.IsNaN(p.X) {
					continue
				}
				name := s.Name
				if p.N > 1 {
					name = fmt.Sprintf("%s ×%d", name, p.N)
				}
				if c := &t.Rows[at[p.X]][1]; c.Text == "" {
					*c = report.T(name)
				} else {
					c.Text += ", " + name
				}
			}
		default:
			fm := AxisFormat(s.Strip)
			number := func(y float64) report.Cell { return report.N(fm, y) }
			name := s.Strip.Label + ", " + s.Name
			column(report.Column{Name: name, Unit: s.Strip.Unit, Format: fm}, s, func(p report.Point) report.Cell { return number(p.Y) }, number(math.NaN()))
			if anyPoint(s.Points, func(p report.Point) bool { return !math.IsNaN(p.YLo) || !math.IsNaN(p.YHi) }) {
				column(report.Column{Name: name + ", lowest", Unit: s.Strip.Unit, Format: fm}, s, func(p report.Point) report.Cell { return number(p.YLo) }, number(math.NaN()))
				column(report.Column{Name: name + ", highest", Unit: s.Strip.Unit, Format: fm}, s, func(p report.Point) report.Cell { return number(p.YHi) }, number(math.NaN()))
			}
		}
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
