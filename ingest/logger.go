package ingest

import (
	"fmt"
	"math"
	"slices"
	"time"

	"gravid/ingest/cell"
	"gravid/ingest/club"
	"gravid/ingest/heading"
	"gravid/ingest/problem"
	"gravid/ingest/source"
	"gravid/ingest/unit"
)

// sampleRows is how many rows of a logger are looked at to decide decimal marks
// and units. The order of day and month is decided over all rows.
const sampleRows = 5000

// readLogger reads the export of a logger: a time and measurements on every row.
// The rows are walked as they come and never held together.
func (t *table) readLogger() {
	if !t.sampleLogger() {
		return
	}
	var when, clock *column
	var measured []*column
	for _, c := range t.columns {
		_, isReading := readings[c.field]
		switch {
		case c.field == heading.Timestamp || c.field == heading.Date:
			when = c
		case c.field == heading.Time:
			clock = c
		case isReading && !c.again:
			measured = append(measured, c)
		}
	}
	t.sayUnread(measured, when, clock)
	for r := range t.grid.Each {
		t.ledger.Rows++
		switch {
		case t.before(r):
		case blank(r.Cells):
			t.ledger.Blank++
		case t.repeatsHeadings(r):
			t.skip(source.Row{Number: r.Number, Cells: slices.Clone(r.Cells)}, "the headings again")
		default:
			t.readMeasurements(r, when, clock, measured)
		}
	}
}

// sampleLogger decides what single cells cannot tell. The dates of all rows are
// needed for that, of the rest a sample.
func (t *table) sampleLogger() bool {
	var when *column
	for _, c := range t.columns {
		if c.field == heading.Timestamp || c.field == heading.Date {
			when = c
		}
	}
	var dates []string
	for r := range t.grid.Each {
		if r.Number < t.header.First || blank(r.Cells) {
			continue
		}
		if len(t.rows) < sampleRows {
			t.rows = append(t.rows, source.Row{Number: r.Number, Cells: slices.Clone(r.Cells)})
		}
		if when != nil && when.at < len(r.Cells) && r.Cells[when.at].Kind == source.Text {
			dates = append(dates, r.Cells[when.at].Text)
		}
	}
	t.decide()
	if when == nil || when.refused == nil && len(dates) <= len(t.rows) {
		return true
	}
	t.decideLoggerDates(when, dates)
	return true
}

// decideLoggerDates decides the order of day and month over all rows.
func (t *table) decideLoggerDates(when *column, dates []string) {
	if t.mapping.Dates != "" {
		return
	}
	found := cell.SolveDates(dates, when.dates.Window)
	when.order, when.refused = found.Order, nil
	switch found.Status {
	case cell.OrderAmbiguous:
		t.refuse(when, problem.DateAmbiguous, found.Why+", so none is used", `write dates = "dmy" or dates = "mdy" in the mapping`)
	case cell.OrderConflict:
		t.refuse(when, problem.DateConflict, "no single order of day and month reads all dates, so none is used", "mend the dates that are off")
	}
}

// sayUnread names the columns of a logger that go nowhere: their cells are kept in
// the source copy, and counted.
func (t *table) sayUnread(measured []*column, when, clock *column) {
	for _, c := range t.columns {
		if c == when || c == clock || slices.Contains(measured, c) || c.field == heading.Keeper || c.field == heading.System {
			continue
		}
		t.problem(problem.Problem{Severity: problem.Warning, Code: problem.HeadingUnknown, Place: c.place(t.grid, t.header.Row), Value: c.head,
			Message: "no table of readings has room for this column; its cells are not used", Fix: `write is = "…" for it in the mapping if it is a measurement`})
	}
}

func (t *table) readMeasurements(r source.Row, when, clock *column, measured []*column) {
	at, fault := t.instant(r, when, clock)
	if fault != nil {
		t.setAside(source.Row{Number: r.Number, Cells: slices.Clone(r.Cells)}, problem.Problem{Code: fault.Code, Message: fault.Message, Fix: fault.Fix})
		return
	}
	t.ledger.Used++
	src := t.source(r.Number)
	keeper, system := t.keeper, t.system()
	for i, x := range r.Cells {
		if x.Kind == source.Blank {
			continue
		}
		c := t.columnAt(i)
		switch {
		case c == nil:
			t.take(&record{}, nil, x, r.Number, i)
		case c == when || c == clock:
			t.ledger.cell(fateUsed)
		case c.field == heading.Keeper:
			keeper = x.Text
			t.ledger.cell(fateUsed)
		case c.field == heading.System:
			system = x.Text
			t.ledger.cell(fateUsed)
		case !slices.Contains(measured, c):
			t.ledger.cell(fateProblem) // named once for the column
		}
	}
	for i, c := range measured {
		if c.at >= len(r.Cells) || r.Cells[c.at].Kind == source.Blank {
			continue
		}
		v, fault := t.measure(c, r.Cells[c.at], r.Number)
		if fault != nil {
			t.fault(c, r.Cells[c.at], r.Number, fault)
			continue
		}
		t.ledger.cell(fateUsed)
		if !v.OK {
			continue
		}
		t.checkStep(i, c, at, v.V, r)
		reading := club.Reading{Keeper: keeper, At: club.Some(at.UTC()), Quantity: readings[c.field].quantity, Value: v, Source: src}
		if c.field == heading.AirPressure || c.field == heading.RoomTemp {
			reading.Place = t.placeOf(keeper)
		} else {
			reading.System = system
			if c.tank != "" {
				reading.System = c.tank
			}
		}
		t.out.readings = append(t.out.readings, reading)
	}
}

// widestStep is how far air pressure moves between two readings at most three hours
// apart, in hPa, before somebody should look: a barometer that was moved, or set to
// another height or level of the sea, steps by about 12 hPa for every 100 m. The
// figure is a judgement.
const widestStep = 15

// checkStep warns where a barometer steps further than the air does.
func (t *table) checkStep(i int, c *column, at time.Time, v float64, r source.Row) {
	if c.field != heading.AirPressure {
		return
	}
	if t.last == nil {
		t.last = map[int]step{}
	}
	last, seen := t.last[i]
	t.last[i] = step{at, v}
	if !seen || at.Sub(last.at) > 3*time.Hour || at.Before(last.at) || math.Abs(v-last.value) <= widestStep {
		return
	}
	t.problem(problem.Problem{Severity: problem.Warning, Code: problem.Unusual, Place: c.place(t.grid, r.Number), Value: written(r.Cells[c.at]),
		Message: fmt.Sprintf("a step of %.1f hPa within %s; it is used", v-last.value, at.Sub(last.at)), Fix: "look whether the barometer was moved or set anew; changes across the step are no weather"})
}

// A step is the last reading of a column.
type step struct {
	at    time.Time
	value float64
}

// placeOf is where readings of the weather hold: the mapping, club.toml, a title
// row, or the name of the keeper.
func (t *table) placeOf(keeper string) string {
	switch {
	case t.file.Place != "":
		return t.file.Place
	case t.reader.config.Home[keeper] != "":
		return t.reader.config.Home[keeper]
	case t.header.Titles["place"] != "":
		return t.header.Titles["place"]
	}
	return keeper
}

func (t *table) zone() *time.Location {
	if t.file.TimeZone != "" {
		if zone, err := time.LoadLocation(t.file.TimeZone); err == nil { // checked with the mapping
			return zone
		}
	}
	if t.header.Titles["time_zone"] == "UTC" {
		return time.UTC
	}
	return t.reader.zone
}

// instant is when a row of a logger was measured.
func (t *table) instant(r source.Row, when, clock *column) (time.Time, *cell.Fault) {
	if when == nil || when.at >= len(r.Cells) {
		return time.Time{}, &cell.Fault{Code: problem.RowIncomplete, Message: "the row has no time", Fix: "complete the row or delete it"}
	}
	if when.refused != nil {
		return time.Time{}, &cell.Fault{Code: when.refused.Code, Message: when.refused.Message, Fix: when.refused.Fix}
	}
	d, fault := cell.DateOf(r.Cells[when.at], when.order, when.dates)
	switch {
	case fault != nil:
		return time.Time{}, fault
	case !d.OK:
		return time.Time{}, &cell.Fault{Code: problem.RowIncomplete, Message: "the row has no time", Fix: "complete the row or delete it"}
	}
	if clock != nil && clock.at < len(r.Cells) {
		c, fault := cell.ClockOf(r.Cells[clock.at])
		if fault != nil {
			return time.Time{}, fault
		}
		if c.OK {
			if d.V, fault = d.V.At(c.V); fault != nil {
				return time.Time{}, fault
			}
		}
	}
	if !d.V.HasClock() {
		return time.Time{}, &cell.Fault{Code: problem.TimeUnreadable, Message: "the row of a logger has a date but no clock time", Fix: "export the time as well"}
	}
	from, _, fault := d.V.In(t.zone())
	return from, fault
}

// measure reads one measurement in canonical units.
func (t *table) measure(c *column, x source.Cell, row int) (club.Number, *cell.Fault) {
	if c.refused != nil && !cell.IsMissing(x.Text) {
		return club.Number{}, &cell.Fault{Code: c.refused.Code, Message: c.refused.Message, Fix: c.refused.Fix}
	}
	m, fault := cell.MeasureOf(x, c.field.Quantity(), c.decimal)
	if fault != nil || !m.OK {
		return club.Number{}, fault
	}
	u := m.V.In
	if u == (unit.Unit{}) {
		u = c.unit
	}
	v := unit.ToCanonical(m.V.Value, u)
	if unit.SensorFault(m.V.Value, u) || unit.SensorFault(v, unit.Canonical(c.field.Quantity())) {
		return club.Number{}, &cell.Fault{Code: problem.SensorFault, Message: fmt.Sprintf("%s is what a broken or unplugged sensor gives", written(x)), Fix: "check the sensor"}
	}
	if m.V.Bound() || m.V.Range {
		return club.Number{}, &cell.Fault{Code: problem.NumberBound, Message: "a logger gives one number", Fix: "mend the cell"}
	}
	standing, l := judge(v, readings[c.field].limits)
	if standing == unit.Impossible {
		return club.Number{}, &cell.Fault{Code: problem.Implausible, Message: fmt.Sprintf("%s cannot be: it must lie between %.4g and %.4g %s", written(x), l.HardMin, l.HardMax, l.Unit), Fix: "look for a wrong unit or a broken sensor"}
	}
	return club.Some(v), nil
}
