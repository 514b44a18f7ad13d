package format

import (
	"strings"

	"gravid/analyze/report"
)

// Cell is a cell by itself, in characters: without needless trailing zeros, the
// cell's remark after its value. An empty text cell is "", any other empty cell
// Missing. The result is Printable.
func Cell(c report.Cell) string {
	return Column([]report.Cell{c})[0]
}

// Column is a column's cells in characters. Decimals are settled for the whole
// column: a decimal place that none of its numbers uses is dropped, and one that
// any number uses is kept in all that are small enough to have it.
func Column(cells []report.Cell) []string {
	places := Places(cells)
	out := make([]string, len(cells))
	for i, c := range cells {
		out[i] = withRemark(c, value(c, places))
	}
	return out
}

// Places is how many decimals the Decimal cells of a column need at most.
func Places(cells []report.Cell) (n int) {
	for _, c := range cells {
		if c.Format == report.Decimal && !c.Empty {
			n = max(n, used(c.Number))
		}
	}
	return n
}

// used is the number of decimals that x needs as a Decimal.
func used(x float64) int {
	_, frac, _ := strings.Cut(Number(report.Decimal, x), ".")
	return len(strings.TrimRight(frac, "0"))
}

func value(c report.Cell, places int) string {
	switch {
	case c.Format == report.Text:
		return ""
	case c.Empty:
		return Missing
	case c.Format == report.Day:
		return c.Time.Format("2006-01-02")
	case c.Format == report.Decimal:
		return number(c.Format, c.Number, min(places, decimals(c.Format, c.Number)))
	}
	return Number(c.Format, c.Number)
}

func withRemark(c report.Cell, v string) string {
	remark := Printable(c.Text)
	if v == "" || remark == "" {
		return v + remark
	}
	return v + " " + remark
}

// Heading is a column's name with its unit: "Temperature (°C)".
func Heading(c report.Column) string {
	return label(c.Name, c.Unit)
}

// AxisLabel is an axis's label with its unit.
func AxisLabel(a report.Axis) string {
	return label(a.Label, a.Unit)
}

func label(name, unit string) string {
	name, unit = Printable(name), Printable(unit)
	switch {
	case unit == "" || name == unit || strings.HasSuffix(name, "("+unit+")"):
		return name
	case name == "":
		return unit
	}
	return name + " (" + unit + ")"
}

// Numeric reports whether a format is aligned to the right.
func Numeric(f report.Format) bool {
	switch f {
	case report.Text, report.Day, report.Yes:
		return false
	}
	return true
}
