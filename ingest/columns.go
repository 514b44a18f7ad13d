package ingest

import (
	"fmt"
	"iter"
	"math"
	"slices"
	"strings"
	"time"

	"gravid/ingest/cell"
	"gravid/ingest/heading"
	"gravid/ingest/problem"
	"gravid/ingest/source"
	"gravid/ingest/unit"
)

// A column is one column of a table with all that was decided about it.
type column struct {
	at      int // from 0
	letter  string
	head    string // as written
	field   heading.Field
	unit    unit.Unit // unit of cells that state none; zero where the field has none
	decimal cell.Decimal
	order   cell.Order
	dates   cell.DateOptions
	yesNo   cell.YesNo
	mapped  ColumnMapping
	refused *problem.Problem // the column as a whole cannot be used
	own     string           // column of attempts of a club's own trigger
	again   bool             // a second column for the same measurement, in another unit
	day     *dayColumn       // of a table with its days across
	tank    string           // of a measurement whose heading names its tank
	falls   bool             // numbers count downwards: "refill cooler by"
}

func (c *column) place(g *source.Grid, row int) problem.Place {
	return problem.Place{File: g.File, Sheet: g.Sheet, Row: row, Column: c.letter, Head: c.head}
}

// cells returns the cells of a column over the rows of a table.
func cells(rows []source.Row, at int) iter.Seq[source.Cell] {
	return func(yield func(source.Cell) bool) {
		for _, r := range rows {
			if at < len(r.Cells) && !yield(r.Cells[at]) {
				return
			}
		}
	}
}

// texts returns the texts of a column that a file holds as text.
func texts(rows []source.Row, at int) iter.Seq[string] {
	return func(yield func(string) bool) {
		for c := range cells(rows, at) {
			if c.Kind == source.Text && !yield(c.Text) {
				return
			}
		}
	}
}

// decide settles, over all rows of a table, what single cells cannot tell: the
// decimal mark, the order of day and month, what marks mean, and the unit.
func (t *table) decide() {
	t.decideDecimals()
	t.decideDates()
	for _, c := range t.columns {
		switch c.field.Kind() {
		case heading.KindYesNo:
			t.decideYesNo(c)
		case heading.KindMeasure:
			t.decideUnit(c)
		}
	}
}

func numeric(f heading.Field) bool {
	return f.Kind() == heading.KindMeasure || f.Kind() == heading.KindCount
}

// decideDecimals asks each column for its decimal mark, and where one is open,
// all number columns of the table together.
func (t *table) decideDecimals() {
	stated, _ := cell.ParseDecimal(t.mapping.Decimal)
	all := func(yield func(string) bool) {
		for _, c := range t.columns {
			if !numeric(c.field) {
				continue
			}
			for s := range texts(t.rows, c.at) {
				if !yield(s) {
					return
				}
			}
		}
	}
	shared := cell.DecideDecimal(all)
	for _, c := range t.columns {
		if !numeric(c.field) {
			continue
		}
		c.decimal = stated
		if stated == cell.Open {
			c.decimal = cell.DecideDecimal(texts(t.rows, c.at))
		}
		if c.decimal == cell.Open {
			c.decimal = shared
		}
		if c.decimal == cell.Open && t.grid.Text && t.grid.Delimiter == "," {
			c.decimal = cell.Open // a comma could stand in quotes only, but nothing says that it does not group
		}
	}
}

// decideDates finds one order of day and month for all date columns of a table.
func (t *table) decideDates() {
	var dates []*column
	var list []string
	var at []problem.Place
	for _, c := range t.columns {
		if c.field.Kind() != heading.KindDate {
			continue
		}
		dates = append(dates, c)
		for _, r := range t.rows {
			if c.at < len(r.Cells) && r.Cells[c.at].Kind == source.Text {
				list = append(list, r.Cells[c.at].Text)
				at = append(at, c.place(t.grid, r.Number))
			}
		}
	}
	if len(dates) == 0 {
		return
	}
	window := cell.WindowUntil(t.reader.today)
	for _, c := range dates {
		c.dates = cell.DateOptions{Window: window, Year: t.year()}
		t.checkSerials(c, window)
	}
	if o, ok := cell.ParseOrder(t.mapping.Dates); ok {
		for _, c := range dates {
			c.order = o
			t.checkSwapped(c)
		}
		return
	}
	found := cell.SolveDates(list, window)
	switch found.Status {
	case cell.OrderSure:
	case cell.OrderImplied:
		t.note(problem.DateImplied, dates[0], fmt.Sprintf("dates are read as %s: %s", found.Order, found.Why), fmt.Sprintf("nothing to do if that is right; otherwise write dates = %q in the mapping", other(found.Order)))
	case cell.OrderAmbiguous:
		if wider := cell.SolveDates(append(list, t.datesBeside()...), window); wider.Status == cell.OrderSure {
			found = wider
			t.note(problem.DateImplied, dates[0], fmt.Sprintf("dates are read as %s, as those of the other tables of this file must be", found.Order), fmt.Sprintf("nothing to do if that is right; otherwise write dates = %q in the mapping", other(found.Order)))
			break
		}
		t.refuseDates(dates, problem.DateAmbiguous, found.Why+", so none is used", `write dates = "dmy" or dates = "mdy" in the mapping`)
	case cell.OrderConflict:
		t.refuseDates(dates, problem.DateConflict, "no single order of day and month reads all dates ("+forces(found, at)+"), so none is used", "mend the rows named")
	}
	for _, c := range dates {
		c.order = found.Order
		t.checkSwapped(c)
	}
}

// datesBeside are the dates of the other tables of the file, by which the order of
// day and month may be told where a table leaves it open: one keeper writes one way.
func (t *table) datesBeside() []string {
	const most = 20000
	var out []string
	for _, o := range t.others {
		if o == t || o.layout == "" || o.mapping.Dates != "" {
			continue
		}
		for r := range o.grid.Each {
			if r.Number < o.header.First {
				continue
			}
			for _, c := range o.columns {
				if c.field.Kind() == heading.KindDate && c.at < len(r.Cells) && r.Cells[c.at].Kind == source.Text {
					out = append(out, r.Cells[c.at].Text)
				}
			}
			if len(out) > most {
				return out
			}
		}
	}
	return out
}

func other(o cell.Order) string {
	if o == cell.DMY {
		return "mdy"
	}
	return "dmy"
}

// forces names one date for each order that it forces.
func forces(d cell.DateOrder, at []problem.Place) string {
	var parts []string
	seen := map[cell.Order]bool{}
	for _, f := range d.Forces {
		if !seen[f.Order] {
			seen[f.Order] = true
			parts = append(parts, fmt.Sprintf("%s in %s%d is %s only", f.Text, at[f.Index].Column, at[f.Index].Row, f.Order))
		}
	}
	return strings.Join(parts, "; ")
}

func (t *table) refuseDates(dates []*column, code problem.Code, message, fix string) {
	for _, c := range dates {
		if slices.ContainsFunc(slices.Collect(texts(t.rows, c.at)), func(s string) bool { return !cell.IsMissing(s) }) {
			t.refuse(c, code, message, fix)
		}
	}
}

// checkSerials takes bare numbers under a heading of dates for the day numbers of a
// spreadsheet where every one of them lies between the window's ends.
func (t *table) checkSerials(c *column, w cell.Window) {
	numbers := 0
	for x := range cells(t.rows, c.at) {
		if x.Kind != source.Number {
			continue
		}
		numbers++
		day := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC).Add(time.Duration(x.Number * 24 * float64(time.Hour)))
		if day.Before(w.Earliest) || day.After(w.Latest) || x.Number != math.Trunc(x.Number) && x.Number < 20000 {
			return
		}
	}
	if numbers < 2 {
		return
	}
	c.dates.Serials = true
	t.note(problem.DateImplied, c, fmt.Sprintf("%d bare numbers are read as the day numbers of a spreadsheet: as such every one is a day between 1980 and today", numbers), "nothing to do if that is right; otherwise format the column as dates in the program it came from")
}

// checkSwapped refuses a column of which a spreadsheet seems to have exchanged day and
// month, unless the mapping says whether it has.
func (t *table) checkSwapped(c *column) {
	if said := t.mapping.SwappedDates; said != nil {
		c.dates.Swapped = *said
		return
	}
	if cell.SwappedDates(slices.Collect(cells(t.rows, c.at))) {
		t.refuse(c, problem.DateConflict, "stored dates all have days up to 12 while the dates left as text all have later ones: a month-first program seems to have exchanged day and month",
			"open the file in the program it came from, set the column to text, and export it again; or write swapped_dates = true in the mapping to exchange them back, false if they are right")
	}
}

// refuse gives up a whole column: its cells become problems, one for each.
func (t *table) refuse(c *column, code problem.Code, message, fix string) {
	if c.refused == nil {
		c.refused = &problem.Problem{Severity: problem.Error, Code: code, Message: message, Fix: fix}
	}
}

func (t *table) note(code problem.Code, c *column, message, fix string) {
	t.problem(problem.Problem{Severity: problem.Note, Code: code, Place: c.place(t.grid, 0), Message: message, Fix: fix})
}

func (t *table) decideYesNo(c *column) {
	every := func(yield func(string) bool) {
		for _, r := range t.rows {
			text := ""
			if c.at < len(r.Cells) {
				text = r.Cells[c.at].Text
			}
			if !yield(text) {
				return
			}
		}
	}
	c.yesNo = cell.DecideYesNo(every, t.language)
	if c.yesNo.MarksOnly && c.mapped.Blank != "no" {
		t.note(problem.BlankNotNo, c, fmt.Sprintf("the column holds marks and %d blanks; a blank is not taken for a no", c.yesNo.Blanks), `if a blank means no, write blank = "no" for it in the mapping`)
	}
}

// decideUnit settles the unit of cells that state none: that of the heading, of
// the mapping, of club.toml, or the only one that all values fit.
func (t *table) decideUnit(c *column) {
	q := c.field.Quantity()
	if c.unit != (unit.Unit{}) || q == unit.None {
		return
	}
	if code, ok := t.reader.config.Units[q]; ok {
		if u, ok := unit.Lookup(code, q); ok {
			c.unit = u
			return
		}
	}
	var bare []float64
	for x := range cells(t.rows, c.at) {
		m, fault := cell.MeasureOf(x, q, c.decimal)
		if fault == nil && m.OK && m.V.In == (unit.Unit{}) {
			bare = append(bare, m.V.Value)
		}
	}
	if len(bare) == 0 {
		c.unit = unit.Canonical(q)
		return
	}
	u, status := unit.Implied(bare, q)
	if (q == unit.GH || q == unit.KH) && status == unit.StatusAmbiguous && t.language == "de" {
		u, status = unit.Canonical(q), unit.StatusImplied
		t.note(problem.UnitImplied, c, "no unit is written; logs in German give hardness in German degrees", "nothing to do if that is right; otherwise write unit = \"…\" for it in the mapping")
		c.unit = u
		return
	}
	switch status {
	case unit.StatusSole:
		c.unit = u
	case unit.StatusImplied:
		c.unit = u
		t.note(problem.UnitImplied, c, fmt.Sprintf("no unit is written; all values fit %s and nothing else", u.Name), fmt.Sprintf("nothing to do if that is right; otherwise write unit = \"…\" for it in the mapping (%s)", strings.Join(unit.Names(q), ", ")))
	default:
		t.refuse(c, problem.UnitMissing, fmt.Sprintf("no unit is written, and the values fit %s", fits(status)), fmt.Sprintf("write the unit into the heading, or unit = \"…\" in the mapping (%s)", strings.Join(unit.Names(q), ", ")))
	}
}

func fits(s unit.Status) string {
	if s == unit.StatusNone {
		return "none of those known"
	}
	return "several"
}
