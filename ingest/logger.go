package ingest

import (
	"fmt"
	"math"
	"slices"
	"strings"
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

// A logger is the export of a logger on its way into the table of readings: a time
// and measurements on every row. The rows are walked as they come and never held
// together.
type logger struct {
	*table
	when, clock *column
	gauges      []*gauge
	roles       []role // by column
	values      []float64
	times       *plainTimes
	quick       bool // rows without surprises may be read by the short way

	// votes is asked, row by row, whether the order of day and month matters after
	// all, where none of the sampled dates depended on it; nil where that is known.
	votes     *cell.OrderVotes
	textDates int

	systemIs    string // see systemOf
	systemKnown bool
}

// A gauge is a column of measurements.
type gauge struct {
	*column
	quantity  string
	ofPlace   bool // weather: holds for a place and not for a tank
	zero      bool // 0 can be a value
	canonical unit.Unit
	limits    unit.Limits
	limited   bool

	last    step // the reading before
	unusual int  // readings outside what is usual

	keeper, system string // whose readings have the number series
	series         int    // -1 where none has it
}

// A step is a reading of a column.
type step struct {
	seen  bool
	at    int64 // seconds since 1970
	value float64
}

// A role is what a column is to a row of a logger: the place of its gauge, or one of
// those below 0.
type role int

const (
	roleNone   role = -1 - iota // no heading
	roleTime                    // of the row
	roleKeeper                  // the keeper
	roleSystem                  // the tank
	roleUnread                  // goes nowhere, which is said once for the column
)

// readLogger reads the table as the export of a logger.
func (t *table) readLogger() {
	t.reader.readings.takeAll(&t.out.readings) // those of tables before come first
	when := t.loggerDates()
	more := t.sampleLogger()
	t.decide()
	t.byDay = when != nil && t.hasDaysOnly(when)
	wait := false // whether rows beyond the sample could show an order of day and month
	if when != nil && t.mapping.Dates == "" && (more || when.refused != nil) {
		if wait = more && when.refused == nil && !t.sampleVotes(when); !wait {
			t.decideLoggerDates(when)
		}
	}
	l := t.newLogger(when)
	l.sayUnread()
	if !wait {
		l.rows()
		return
	}
	before := t.mark()
	l.votes = cell.NewOrderVotes(when.dates.Window)
	if l.rows() {
		if l.textDates > len(t.rows) {
			when.order = cell.OrderUnknown // none of the dates depends on one
		}
		return
	}
	t.backTo(before)
	t.decideLoggerDates(when)
	t.newLogger(when).rows()
}

// hasDaysOnly reports whether no date of the sample has a clock time, in its cell or
// beside it: somebody measured by hand and wrote the day, and the reading stands at
// its beginning.
func (t *table) hasDaysOnly(when *column) bool {
	if slices.ContainsFunc(t.columns, func(c *column) bool { return c.field == heading.Time }) {
		return false
	}
	days := 0
	for x := range cells(t.rows, when.at) {
		d, fault := cell.DateOf(x, when.order, when.dates)
		switch {
		case fault != nil || !d.OK:
		case d.V.HasClock():
			return false
		default:
			days++
		}
	}
	return days > 0
}

// loggerDates is the column with the dates of the rows.
func (t *table) loggerDates() *column {
	var when *column
	for _, c := range t.columns {
		if c.field == heading.Timestamp || c.field == heading.Date {
			when = c
		}
	}
	return when
}

func (t *table) newLogger(when *column) *logger {
	l := &logger{table: t, when: when, quick: !t.reader.longWay}
	for _, c := range t.columns {
		if c.field == heading.Time {
			l.clock = c
		}
	}
	for _, c := range t.columns {
		for len(l.roles) <= c.at {
			l.roles = append(l.roles, roleNone)
		}
		r := roleUnread
		q, isReading := readings[c.field]
		switch {
		case c == when:
			r = roleTime
		case c == l.clock:
			r = roleTime
		case c.field == heading.Keeper:
			r = roleKeeper
		case c.field == heading.System:
			r = roleSystem
		case isReading && !c.again:
			g := &gauge{column: c, quantity: q.quantity, ofPlace: c.field == heading.AirPressure || c.field == heading.RoomTemp, series: -1}
			g.canonical = unit.Canonical(c.field.Quantity())
			_, fault := cell.MeasureOf(source.Cell{Kind: source.Text, Text: "0"}, c.field.Quantity(), c.decimal)
			g.zero = fault == nil
			g.limits, g.limited = unit.LimitsOf(q.limits)
			r = role(len(l.gauges))
			l.gauges = append(l.gauges, g)
		}
		// A heading that could be a cell of a record makes every row look like the
		// headings again.
		if first := strings.TrimSpace(c.head); (r == roleTime || r >= 0) && first != "" && strings.IndexByte("-0123456789", first[0]) >= 0 {
			l.quick = false
		}
		l.roles[c.at] = r
	}
	l.values = make([]float64, len(l.gauges))
	if when == nil || when.refused != nil || t.byDay {
		l.quick = false
	} else {
		l.times = newPlainTimes(when.order, when.dates, t.zone())
	}
	return l
}

// rows reads all rows. It reports false, and leaves the rest, where a date depends on
// the order of day and month although none of the sample did.
func (l *logger) rows() bool {
	t := l.table
	for r := range t.grid.Each {
		t.ledger.Rows++
		switch {
		case r.Number >= t.header.First && l.quick && l.readPlain(r):
		case t.before(r):
		case blank(r.Cells):
			t.ledger.Blank++
		case l.showsOrder(r):
			return false
		case t.repeatsHeadings(r):
			t.skip(ownRow(r), "the headings again")
		default:
			l.readRow(r)
		}
	}
	return true
}

// showsOrder asks the date of a row whether it depends on the order of day and month.
func (l *logger) showsOrder(r source.Row) bool {
	if l.votes == nil || l.when.at >= len(r.Cells) || r.Cells[l.when.at].Kind != source.Text {
		return false
	}
	l.textDates++
	return l.votes.Add(r.Cells[l.when.at].Text)
}

// ownRow is a row that may be kept: the texts of a row that is walked lie in a large
// piece of the file.
func ownRow(r source.Row) source.Row {
	r.Cells = slices.Clone(r.Cells)
	for i := range r.Cells {
		r.Cells[i].Text = strings.Clone(r.Cells[i].Text)
	}
	return r
}

// sampleLogger takes the first rows, by which decimal marks and units are decided. It
// reports whether there are more.
func (t *table) sampleLogger() (more bool) {
	for r := range t.grid.Each {
		if r.Number < t.header.First || blank(r.Cells) {
			continue
		}
		if len(t.rows) == sampleRows {
			return true
		}
		t.rows = append(t.rows, ownRow(r))
	}
	return false
}

// sampleVotes reports whether a date of the sample depends on the order of day and
// month.
func (t *table) sampleVotes(when *column) bool {
	votes := cell.NewOrderVotes(when.dates.Window)
	for text := range texts(t.rows, when.at) {
		if votes.Add(text) {
			return true
		}
	}
	return false
}

// decideLoggerDates decides the order of day and month over all rows.
func (t *table) decideLoggerDates(when *column) {
	votes := cell.NewOrderVotes(when.dates.Window)
	dates := 0
	for r := range t.grid.Each {
		if r.Number < t.header.First || when.at >= len(r.Cells) || r.Cells[when.at].Kind != source.Text {
			continue
		}
		votes.Add(r.Cells[when.at].Text)
		dates++
	}
	if when.refused == nil && dates <= len(t.rows) {
		return // the sample holds them all
	}
	found := votes.Solve()
	when.order, when.refused = found.Order, nil
	switch found.Status {
	case cell.OrderAmbiguous:
		t.refuse(when, problem.DateAmbiguous, found.Why+", so none is used", `write dates = "dmy" or dates = "mdy" in the mapping`)
	case cell.OrderConflict:
		t.refuse(when, problem.DateConflict, "no single order of day and month reads all dates, so none is used", "mend the dates that are off")
	}
}

// A tableMark is how far a table was read.
type tableMark struct {
	ledger   Ledger
	problems problem.List
	aside    int
	readings readingMark
}

func (t *table) mark() tableMark {
	return tableMark{t.ledger, t.out.told.Mark(), len(t.aside.Rows), t.reader.readings.mark()}
}

// backTo forgets what was read since.
func (t *table) backTo(m tableMark) {
	t.ledger = m.ledger
	t.out.told.BackTo(m.problems)
	if t.aside.Rows = t.aside.Rows[:m.aside]; m.aside == 0 {
		t.aside = club.SetAside{}
	}
	t.reader.readings.backTo(m.readings)
}

// sayUnread names the columns of a logger that go nowhere: their cells are kept in
// the source copy, and counted.
func (l *logger) sayUnread() {
	for _, c := range l.columns {
		if l.roles[c.at] != roleUnread {
			continue
		}
		l.problem(problem.Problem{Severity: problem.Warning, Code: problem.HeadingUnknown, Place: c.place(l.grid, l.header.Row), Value: c.head,
			Message: "no table of readings has room for this column; its cells are not used", Fix: `write is = "…" for it in the mapping if it is a measurement`})
	}
}

// readRow reads a row of whatever kind.
func (l *logger) readRow(r source.Row) {
	t := l.table
	if more := t.beyond(r); t.grid.Text && slices.ContainsFunc(more, func(c source.Cell) bool { return bareValue.MatchString(strings.TrimSpace(c.Text)) }) {
		t.setAside(ownRow(r), slidRow)
		return
	}
	at, fault := t.instant(r, l.when, l.clock)
	if fault != nil {
		t.setAside(ownRow(r), problem.Problem{Code: fault.Code, Message: fault.Message, Fix: fault.Fix})
		return
	}
	t.ledger.Used++
	src := t.source(r.Number)
	keeper, system := t.keeper, t.system()
	for i, x := range r.Cells {
		if x.Kind == source.Blank {
			continue
		}
		what := roleNone
		if i < len(l.roles) {
			what = l.roles[i]
		}
		switch what {
		case roleNone:
			x.Text = strings.Clone(x.Text)
			t.take(&record{}, nil, x, r.Number, i)
		case roleTime:
			t.ledger.cell(fateUsed)
		case roleKeeper:
			keeper = x.Text
			t.ledger.cell(fateUsed)
		case roleSystem:
			system = x.Text
			t.ledger.cell(fateUsed)
		case roleUnread:
			t.ledger.cell(fateProblem) // named once for the column
		}
	}
	for _, g := range l.gauges {
		if g.at >= len(r.Cells) || r.Cells[g.at].Kind == source.Blank {
			continue
		}
		x := r.Cells[g.at]
		v, fault := t.measure(g.column, x, r.Number)
		if fault != nil {
			x.Text = strings.Clone(x.Text)
			t.fault(g.column, x, r.Number, fault)
			continue
		}
		t.ledger.cell(fateUsed)
		if v.OK {
			l.checkUsual(g, v.V, r)
			l.checkStep(g, at.Unix(), v.V, r)
			l.keep(g, keeper, system, club.Entry{At: at.Unix(), Value: v.V, Row: src.Row})
		}
	}
}

// keep adds a reading of a gauge.
func (l *logger) keep(g *gauge, keeper, system string, e club.Entry) {
	if g.series < 0 || g.keeper != keeper || g.system != system {
		g.keeper, g.system = strings.Clone(keeper), strings.Clone(system)
		s := club.Series{Keeper: g.keeper, Quantity: g.quantity, File: l.grid.File, Sheet: l.grid.Sheet}
		switch {
		case g.ofPlace:
			s.Place = l.placeOf(g.keeper)
		case g.tank != "":
			s.System = g.tank
		default:
			s.System = g.system
		}
		g.series = l.reader.readings.numberOf(s)
	}
	e.Series = g.series
	l.reader.readings.add(e)
}

// mostUnusual is how many unusual readings of one column are told. A tank that stands
// in the cold is unusual all winter, and its keeper need hear it only so often.
const mostUnusual = 20

// checkUsual warns of a reading that can be but hardly is, such as 2.19 °C in a tank.
func (l *logger) checkUsual(g *gauge, v float64, r source.Row) {
	if !g.limited || g.unusual >= mostUnusual || g.limits.Judge(v) == unit.Usual {
		return
	}
	g.unusual++
	p := problem.Problem{Severity: problem.Warning, Code: problem.Unusual, Place: g.place(l.grid, r.Number), Value: strings.Clone(written(r.Cells[g.at])),
		Message: fmt.Sprintf("unusual: most lie between %.4g and %.4g %s; it is used", g.limits.SoftMin, g.limits.SoftMax, g.limits.Unit), Fix: "look whether the decimal mark and the unit are right"}
	if g.unusual == mostUnusual {
		p.Message += "; no more of this column are told"
	}
	l.problem(p)
}

// widestStep is how far air pressure moves between two readings at most three hours
// apart, in hPa, before somebody should look: a barometer that was moved, or set to
// another height or level of the sea, steps by about 12 hPa for every 100 m. The
// figure is a judgement.
const widestStep = 15

// checkStep warns where a barometer steps further than the air does.
func (l *logger) checkStep(g *gauge, at int64, v float64, r source.Row) {
	last := g.last
	g.last = step{true, at, v}
	if g.field != heading.AirPressure || !last.seen || at < last.at || at-last.at > 3*60*60 || math.Abs(v-last.value) <= widestStep {
		return
	}
	within := time.Duration(at-last.at) * time.Second
	l.problem(problem.Problem{Severity: problem.Warning, Code: problem.Unusual, Place: g.place(l.grid, r.Number), Value: strings.Clone(written(r.Cells[g.at])),
		Message: fmt.Sprintf("a step of %.1f hPa within %s; it is used", v-last.value, within), Fix: "look whether the barometer was moved or set anew; changes across the step are no weather"})
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
	if !d.V.HasClock() && !t.byDay {
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
	if m.V.Bound() || m.V.Range && !t.byDay {
		return club.Number{}, &cell.Fault{Code: problem.NumberBound, Message: "a logger gives one number", Fix: "mend the cell"}
	}
	standing, l := judge(v, readings[c.field].limits)
	if standing == unit.Impossible {
		return club.Number{}, &cell.Fault{Code: problem.Implausible, Message: fmt.Sprintf("%s cannot be: it must lie between %.4g and %.4g %s", written(x), l.HardMin, l.HardMax, l.Unit), Fix: "look for a wrong unit or a broken sensor"}
	}
	return club.Some(v), nil
}
