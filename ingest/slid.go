package ingest

import (
	"regexp"
	"slices"
	"strings"

	"gravid/ingest/heading"
	"gravid/ingest/problem"
	"gravid/ingest/source"
)

// slidRow is what is said of a row whose cells may stand under the wrong headings.
var slidRow = problem.Problem{Code: problem.RaggedRow, Message: "a comma inside a cell, such as a decimal one, may have moved the cells behind it under the wrong headings; the row is not used",
	Fix: "put cells with commas into quotation marks, or save the file with semicolons"}

var (
	wholePart = regexp.MustCompile(`^-?[0-9]{1,4}$`)
	fraction  = regexp.MustCompile(`^[0-9]{1,2}$`)
	bareValue = regexp.MustCompile(`^[0-9][0-9.,:/-]*$`)
)

// beyond gives the cells of a row that lie beyond the last heading.
func (t *table) beyond(r source.Row) []source.Cell {
	last := 0
	for _, c := range t.columns {
		last = max(last, c.at)
	}
	if len(r.Cells) <= last+1 {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(r.Cells[last+1:]), func(c source.Cell) bool { return c.Kind == source.Blank })
}

// slid reports whether the cells of a row may have slid to the right, because a comma
// inside a cell was taken for the end of it: there are more cells than headings, and they
// are no words that go on with a remark; or, in a file where that happened, a measurement
// without decimals is followed by what can be its decimals.
func (t *table) slid(r source.Row) bool {
	if !t.grid.Text {
		return false
	}
	if more := t.beyond(r); len(more) > 0 {
		last := t.columns[len(t.columns)-1]
		remark := last.field == heading.Notes || last.field == heading.None && last.own == ""
		return !remark || slices.ContainsFunc(append(more, r.Cells[last.at]), func(c source.Cell) bool { return bareValue.MatchString(strings.TrimSpace(c.Text)) })
	}
	return t.slides && t.decimalsBehind(r)
}

// decimalsBehind reports whether a whole number of a measurement is followed by one or
// two digits that can be its decimals.
func (t *table) decimalsBehind(r source.Row) bool {
	return slices.ContainsFunc(t.columns, func(c *column) bool {
		return c.field.Kind() == heading.KindMeasure && c.at+1 < len(r.Cells) && wholePart.MatchString(strings.TrimSpace(r.Cells[c.at].Text)) && fraction.MatchString(strings.TrimSpace(r.Cells[c.at+1].Text))
	})
}

// findSlides looks whether decimal commas part the cells of a file: rows that are too
// long, or remarks that are bare numbers, with what can be decimals behind a measurement.
func (t *table) findSlides() {
	if !t.grid.Text || t.grid.Delimiter != "," {
		return
	}
	t.slides = slices.ContainsFunc(t.rows, func(r source.Row) bool {
		remark := slices.ContainsFunc(t.columns, func(c *column) bool {
			return c.field == heading.Notes && c.at < len(r.Cells) && bareValue.MatchString(strings.TrimSpace(r.Cells[c.at].Text))
		})
		return t.decimalsBehind(r) && (remark || len(t.beyond(r)) > 0)
	})
}
