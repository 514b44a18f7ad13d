package ingest

import (
	"fmt"
	"slices"
	"strings"

	"gravid/ingest/cell"
	"gravid/ingest/club"
	"gravid/ingest/heading"
	"gravid/ingest/problem"
	"gravid/ingest/source"
	"gravid/ingest/unit"
)

// isLong reports whether each row of the table is one measurement that a cell names:
// date, parameter, value.
func (t *table) isLong() bool {
	has := func(fields ...heading.Field) bool {
		return slices.ContainsFunc(t.columns, func(c *column) bool { return slices.Contains(fields, c.field) })
	}
	return has(heading.Date, heading.Timestamp) && has(heading.ReadingOf) && has(heading.Amount)
}

// A measurement is one row of a table that is long.
type measurement struct {
	line  diaryLine
	field heading.Field
	value cell.Measure
	unit  unit.Unit // that the row states; zero where it states none
}

// readLong reads a table with one measurement a row. A unit that no row of a quantity
// states is settled over all its values, as in a column of its own.
func (t *table) readLong() {
	d := &diary{table: t}
	d.find()
	t.gather()
	t.fillMerged()
	t.decide()
	var named *column
	for _, c := range t.columns {
		if c.field == heading.ReadingOf {
			named = c
		}
	}
	var all []measurement
	bare := map[heading.Field][]float64{}
	for _, r := range t.rows {
		m, ok := d.readMeasurement(r, named)
		if !ok {
			continue
		}
		if m.unit == (unit.Unit{}) {
			bare[m.field] = append(bare[m.field], m.value.Value)
		}
		all = append(all, m)
	}
	units := map[heading.Field]unit.Unit{}
	for field, values := range bare {
		if all := unit.Units(field.Quantity()); len(all) == 1 {
			units[field] = all[0]
		} else if u, status := unit.Implied(values, field.Quantity()); status == unit.StatusSole || status == unit.StatusImplied {
			units[field] = u
		}
	}
	for _, m := range all {
		d.keepMeasurement(m, units[m.field], named)
	}
}

// readMeasurement reads date, quantity, value and unit of a row, or sets it aside.
func (d *diary) readMeasurement(r source.Row, named *column) (measurement, bool) {
	at, fault := d.day(r)
	if fault != nil {
		d.setAside(r, problem.Problem{Code: fault.Code, Message: fault.Message, Fix: fault.Fix})
		return measurement{}, false
	}
	m := measurement{line: diaryLine{row: r, at: at, keeper: d.keeper, system: d.system()}}
	if k := text(r, d.keeperIn); k != "" {
		m.line.keeper = k
	}
	if s := text(r, d.tank); s != "" {
		m.line.system = s
	}
	name := text(r, named)
	aside := func(code problem.Code, c *column, value, message, fix string) (measurement, bool) {
		d.setAside(r, problem.Problem{Code: code, Place: c.place(d.grid, r.Number), Value: value, Message: message, Fix: fix})
		return m, false
	}
	if name == "" {
		return aside(problem.RowIncomplete, named, "", "the row does not say what was measured", "name it: temperature, pH, air pressure")
	}
	match := heading.MatchRow([]string{name})[0]
	at1 := slices.IndexFunc(match.Fields, func(f heading.Field) bool { _, ok := readings[f]; return ok })
	if at1 < 0 {
		return aside(problem.HeadingUnknown, named, name, fmt.Sprintf("no table of readings has room for %q", name), "name a quantity that is kept: temperature, room temperature, pH, conductivity, air pressure, water level, light, nitrate, oxygen")
	}
	m.field = match.Fields[at1]
	m.unit = heading.UnitIn(name, m.field.Quantity())
	if stated := text(r, d.unit); stated != "" {
		u, ok := unit.Lookup(stated, m.field.Quantity())
		if !ok {
			return aside(problem.UnitUnknown, d.unit, stated, fmt.Sprintf("%q is no unit of %s", stated, m.field.Quantity()), "use one of "+strings.Join(unit.Names(m.field.Quantity()), ", "))
		}
		m.unit = u
	}
	var x source.Cell
	if d.amount.at < len(r.Cells) {
		x = r.Cells[d.amount.at]
	}
	v, fault := cell.MeasureOf(x, m.field.Quantity(), d.amount.decimal)
	switch {
	case fault != nil:
		return aside(fault.Code, d.amount, written(x), fault.Message, fault.Fix)
	case !v.OK:
		return aside(problem.RowIncomplete, d.amount, written(x), "the row has no value", "write the value, or delete the row")
	case v.V.Bound() || v.V.Range:
		return aside(problem.NumberBound, d.amount, written(x), "not one number", "write the number if you know it")
	case d.duplicated(r):
		return m, false
	}
	if v.V.In != (unit.Unit{}) {
		m.unit = v.V.In
	}
	m.value = v.V
	return m, true
}

// keepMeasurement makes a reading of a row whose unit is settled.
func (d *diary) keepMeasurement(m measurement, implied unit.Unit, named *column) {
	r := m.line.row
	u := m.unit
	if u == (unit.Unit{}) {
		u = implied
	}
	aside := func(code problem.Code, message, fix string) {
		d.setAside(r, problem.Problem{Code: code, Place: d.amount.place(d.grid, r.Number), Value: written(r.Cells[d.amount.at]), Message: message, Fix: fix})
	}
	if u == (unit.Unit{}) {
		aside(problem.UnitMissing, fmt.Sprintf("no unit is written, and the values of %q fit none of those known, or several", text(r, named)), "add a column with the unit")
		return
	}
	v := unit.ToCanonical(m.value.Value, u)
	if standing, l := judge(v, readings[m.field].limits); standing == unit.Impossible {
		aside(problem.Implausible, fmt.Sprintf("%.4g cannot be: it must lie between %.4g and %.4g %s", v, l.HardMin, l.HardMax, l.Unit), "look for a wrong unit or a lost decimal mark")
		return
	}
	if unit.SensorFault(m.value.Value, u) {
		aside(problem.SensorFault, fmt.Sprintf("%.4g is what a broken or unplugged sensor gives", m.value.Value), "check the sensor")
		return
	}
	d.ledger.Used++
	for i, x := range r.Cells {
		c := d.columnAt(i)
		switch {
		case x.Kind == source.Blank:
		case c == nil:
			d.table.take(&record{}, nil, x, r.Number, i)
		case c == d.when, c == d.clock, c == d.tank, c == d.keeperIn, c == d.amount, c == d.unit, c == named:
			d.ledger.cell(fateUsed)
		default:
			d.ledger.cell(fateProblem)
			d.problem(problem.Problem{Severity: problem.Note, Code: problem.RowSkipped, Place: c.place(d.grid, r.Number), Value: written(x), Message: "no table of readings has room for it; it is not used", Fix: "nothing to do"})
		}
	}
	reading := club.Reading{Keeper: m.line.keeper, At: m.line.at.first(), Quantity: readings[m.field].quantity, Value: club.Some(v), Source: d.source(r.Number)}
	if m.field == heading.AirPressure || m.field == heading.RoomTemp {
		reading.Place = d.placeOf(m.line.keeper)
	} else {
		reading.System = m.line.system
	}
	d.out.readings = append(d.out.readings, reading)
}
