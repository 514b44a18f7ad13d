package ingest

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"gravid/ingest/cell"
	"gravid/ingest/club"
	"gravid/ingest/entry"
	"gravid/ingest/heading"
	"gravid/ingest/problem"
	"gravid/ingest/source"
	"gravid/ingest/species"
	"gravid/ingest/unit"
)

// entriesFloor is the share of entries that must tell an event before a column of
// remarks is taken for a diary. The figure is a judgement.
const entriesFloor = 0.3

// diaryColumn is the column whose words tell the events of a diary, whatever its
// heading, or nil where
// the table is none: it has a date, and no column for the outcome of an attempt.
func (t *table) diaryColumn() *column {
	var words *column
	dated := false
	for _, c := range t.columns {
		switch c.field {
		case heading.Spawned, heading.Began, heading.SpawnedAt, heading.Eggs, heading.HatchDate, heading.Hatched:
			return nil
		case heading.Date, heading.Timestamp:
			dated = true
		case heading.ReadingOf:
			return nil
		case heading.Action:
			if words == nil || words.field != heading.Action {
				words = c
			}
		case heading.Notes:
			if words == nil {
				words = c
			}
		case heading.None:
			if words == nil && c.own == "" && t.tellsEvents(c) {
				words = c
			}
		}
	}
	if !dated || words == nil || words.field != heading.Action && !t.tellsEvents(words) {
		return nil
	}
	return words
}

// tellsEvents reports whether enough of the first entries of a column tell events.
func (t *table) tellsEvents(c *column) bool {
	rows, told := 0, 0
	for r := range t.grid.Each {
		if r.Number <= t.header.Row || blank(r.Cells) {
			continue
		}
		rows++
		if c.at < len(r.Cells) && r.Cells[c.at].Kind == source.Text && len(entry.Parse(r.Cells[c.at].Text, t.entryOptions(cell.Open)).Events) > 0 {
			told++
		}
		if rows == sampleRows {
			break
		}
	}
	return rows > 0 && float64(told) >= entriesFloor*float64(rows)
}

func (t *table) entryOptions(d cell.Decimal) entry.Options {
	return entry.Options{Decimal: d, Species: func(name string) bool {
		m := t.reader.resolve(name)
		return m.Accepted != "" && m.How != species.Misspelling || m.How == species.Ambiguous
	}}
}

// A diary is a table with one row an event, on its way into attempts, clutches,
// readings and actions.
type diary struct {
	*table
	words, amount, unit, when, clock, tank, keeperIn *column
	measured                                         []*column
	options                                          entry.Options
	lines                                            []diaryLine
	current                                          map[string]*diaryAttempt // of each keeper and tank
	all                                              []*diaryAttempt
}

// A diaryLine is one row whose date could be read.
type diaryLine struct {
	row            source.Row
	keeper, system string
	at             moment
	text           string
	entry          entry.Entry
}

func (l diaryLine) where() string { return l.keeper + "\x00" + l.system }

// A diaryAttempt is one attempt as its entries tell it.
type diaryAttempt struct {
	rec      record
	row      int
	ended    bool
	clutches []*diaryClutch
	changes  []*entry.Event // of water, before the fish spawned
	last     moment         // of the entries that belong to it
}

type diaryClutch struct {
	record
	row  int
	over bool // swimming or lost: nothing more can come of it
}

// readDiary reads a diary: first every row by itself, then the events of each tank
// in the order of their days.
func (t *table) readDiary() {
	d := &diary{table: t, current: map[string]*diaryAttempt{}}
	d.find()
	t.gather()
	t.fillMerged()
	t.fillDitto()
	t.decide()
	d.options = t.entryOptions(d.decimal())
	for _, r := range t.rows {
		d.readLine(r)
	}
	slices.SortStableFunc(d.lines, func(a, b diaryLine) int {
		return cmp.Or(strings.Compare(a.where(), b.where()), a.at.from.Compare(b.at.from), cmp.Compare(a.row.Number, b.row.Number))
	})
	for _, l := range d.lines {
		d.take(l)
	}
	slices.SortStableFunc(d.all, func(a, b *diaryAttempt) int { return cmp.Compare(a.row, b.row) })
	for _, a := range d.all {
		d.finish(a)
	}
}

// find looks up the columns of a diary.
func (d *diary) find() {
	d.words = d.diaryColumn()
	for _, c := range d.columns {
		_, isReading := readings[c.field]
		switch {
		case c == d.words:
		case c.field == heading.Date, c.field == heading.Timestamp:
			d.when = c
		case c.field == heading.Time:
			d.clock = c
		case c.field == heading.System:
			d.tank = c
		case c.field == heading.Keeper:
			d.keeperIn = c
		case c.field == heading.Amount:
			d.amount = c
		case c.field == heading.AmountUnit:
			d.unit = c
		case isReading:
			d.measured = append(d.measured, c)
		}
	}
}

// decimal is the decimal mark of the numbers in the entries. Where they leave it
// open, it is that of the language.
func (d *diary) decimal() cell.Decimal {
	if stated, ok := cell.ParseDecimal(d.mapping.Decimal); ok {
		return stated
	}
	numbers := func(yield func(string) bool) {
		for s := range texts(d.rows, d.words.at) {
			for _, n := range entry.Numbers(s) {
				if !yield(n) {
					return
				}
			}
		}
	}
	return cell.DecideDecimal(numbers)
}

// text is what a row holds in a column, empty where it holds nothing.
func text(r source.Row, c *column) string {
	if c == nil || c.at >= len(r.Cells) || r.Cells[c.at].Kind == source.Blank || cell.IsMissing(r.Cells[c.at].Text) {
		return ""
	}
	return strings.TrimSpace(r.Cells[c.at].Text)
}

// readLine reads the date, the tank and the words of a row.
func (d *diary) readLine(r source.Row) {
	at, fault := d.day(r)
	if fault != nil {
		d.setAside(r, problem.Problem{Code: fault.Code, Message: fault.Message, Fix: fault.Fix})
		return
	}
	l := diaryLine{row: r, at: at, keeper: d.keeper, system: d.system(), text: text(r, d.words)}
	if k := text(r, d.keeperIn); k != "" {
		l.keeper = k
	}
	if s := text(r, d.tank); s != "" {
		l.system = s
	}
	l.entry = entry.Parse(l.text, d.options)
	switch {
	case l.system == "" && d.tank != nil && l.text != "":
		d.setAside(r, problem.Problem{Code: problem.RowIncomplete, Message: "the entry names no tank, so nobody can tell which fish it is about", Fix: "name the tank"})
		return
	case l.entry.Unsure != "" && len(l.entry.Events) == 0:
		d.setAside(r, problem.Problem{Code: problem.EntryUnsure, Place: d.words.place(d.grid, r.Number), Value: l.text, Message: l.entry.Unsure, Fix: "write what was seen: eggs, no eggs, hatched, free swimming"})
		return
	case d.amount != nil && len(l.entry.Events) == 0 && l.text != "":
		d.setAside(r, problem.Problem{Code: problem.EntryUnsure, Place: d.words.place(d.grid, r.Number), Value: l.text, Message: fmt.Sprintf("nobody knows the act %q", l.text), Fix: "write what was done in other words, such as water change, live food, rearranged"})
		return
	case d.duplicated(r):
		return
	}
	d.lines = append(d.lines, l)
}

// duplicated accounts for a row that stands twice.
func (d *diary) duplicated(r source.Row) bool {
	first, twice := d.duplicate(r)
	if twice {
		d.ledger.Duplicate++
		d.account(r.Cells, fateProblem)
		d.problem(problem.Problem{Severity: problem.Note, Code: problem.RowDuplicate, Place: problem.Place{File: d.grid.File, Sheet: d.grid.Sheet, Row: r.Number},
			Message: fmt.Sprintf("the same as row %d, which is used", first), Fix: "nothing to do, or change it if there were two"})
	}
	return twice
}

// day is the day of a row, with the clock time where there is one.
func (d *diary) day(r source.Row) (moment, *cell.Fault) {
	incomplete := &cell.Fault{Code: problem.RowIncomplete, Message: "the row has no date", Fix: "add the date"}
	if text(r, d.when) == "" {
		return moment{}, incomplete
	}
	if p := d.when.refused; p != nil {
		return moment{}, &cell.Fault{Code: p.Code, Message: p.Message, Fix: p.Fix}
	}
	date, fault := cell.DateOf(r.Cells[d.when.at], d.when.order, d.when.dates)
	switch {
	case fault != nil:
		return moment{}, fault
	case !date.OK:
		return moment{}, incomplete
	case date.V.Precision > cell.Day:
		return moment{}, &cell.Fault{Code: problem.DatePartial, Message: fmt.Sprintf("%s names a %s, not a day", written(r.Cells[d.when.at]), date.V.Precision), Fix: "write the day if you know it"}
	}
	if d.clock != nil && d.clock.at < len(r.Cells) && !date.V.HasClock() {
		c, fault := cell.ClockOf(r.Cells[d.clock.at])
		if fault != nil {
			return moment{}, fault
		}
		if c.OK {
			if date.V, fault = date.V.At(c.V); fault != nil {
				return moment{}, fault
			}
		}
	}
	from, to, fault := date.V.In(d.zone())
	if fault != nil {
		return moment{}, fault
	}
	return moment{ok: true, from: from, to: to, at: d.when.place(d.grid, r.Number), text: written(r.Cells[d.when.at])}, nil
}

// take puts what a line tells where it belongs.
func (d *diary) take(l diaryLine) {
	for _, ev := range l.entry.Events {
		if p, ok := d.belongs(l, ev); !ok {
			d.table.setAside(l.row, p)
			return
		}
	}
	for i := range l.entry.Events {
		d.event(l, &l.entry.Events[i])
	}
	d.measurements(l)
	d.remark(l)
	d.cells(l)
}

// belongs reports whether there is an attempt that an event can belong to, and opens
// one where the entry, a column or a title names the fish.
func (d *diary) belongs(l diaryLine, ev entry.Event) (problem.Problem, bool) {
	a := d.current[l.where()]
	switch ev.Kind {
	case entry.Act, entry.Measured, entry.Ended, entry.NoEggs:
		return problem.Problem{}, true
	case entry.SetUp:
		text, place := ev.Species, d.words.place(d.grid, l.row.Number)
		if said, at := d.writtenSpecies(l.row); text == "" {
			text, place = said, at
		} else if said != "" && d.unnamed(text) {
			d.problem(problem.Problem{Severity: problem.Warning, Code: problem.EntryUnsure, Place: place, Value: l.text,
				Message: fmt.Sprintf("fish set up; %q is taken for words about them, and the species for %s", text, said), Fix: "name the species in the entry if it is another"})
			text, place = said, at
		}
		p, ok := d.open(l, text, place, l.at)
		if !ok {
			delete(d.current, l.where()) // what follows belongs to these fish, and not to those before
		}
		return p, ok
	case entry.Eggs:
		if a != nil && !a.ended {
			return problem.Problem{}, true
		}
		if text, place := d.writtenSpecies(l.row); text != "" {
			return d.open(l, text, place, moment{})
		}
	default:
		if a != nil {
			return problem.Problem{}, true
		}
	}
	return problem.Problem{Code: problem.RowIncomplete, Place: d.words.place(d.grid, l.row.Number), Value: l.text,
		Message: "no attempt in this tank that it can belong to: the diary does not say before it that fish were set up", Fix: "add a row such as: set up 2.3 Danio rerio"}, false
}

// unnamed reports whether words of a set-up are no name of a species: none that the
// list knows, and nothing like a scientific name.
func (d *diary) unnamed(text string) bool {
	m := d.reader.resolve(text)
	return m.Accepted == "" && m.How == species.Unknown && !strings.ContainsFunc(text, unicode.IsUpper)
}

// open begins an attempt.
func (d *diary) open(l diaryLine, text string, place problem.Place, began moment) (problem.Problem, bool) {
	a := &diaryAttempt{row: l.row.Number, last: l.at}
	a.rec.attempt.Keeper, a.rec.attempt.System, a.rec.began = l.keeper, l.system, began
	if p, ok := d.settleSpecies(&a.rec, text, place); !ok {
		return p, false
	}
	d.current[l.where()] = a
	d.all = append(d.all, a)
	return problem.Problem{}, true
}

// event takes one event of a line.
func (d *diary) event(l diaryLine, ev *entry.Event) {
	a := d.current[l.where()]
	if a != nil && !a.ended {
		a.last = l.at
	}
	switch ev.Kind {
	case entry.SetUp:
		if g := ev.Group.V; ev.Group.OK {
			a.rec.attempt.Males, a.rec.attempt.Females, a.rec.attempt.Unsexed = g.Males, g.Females, g.Unsexed
		}
	case entry.Eggs:
		d.eggs(l, a, ev)
	case entry.Hatched:
		c := a.clutch(l)
		if !c.hatch.ok {
			c.hatch = l.at
		}
		d.young(l, ev, &c.clutch.Hatched)
	case entry.Swimming:
		c := a.clutch(l)
		if !c.swim.ok {
			c.swim, c.over = l.at, true
		}
		d.young(l, ev, &c.clutch.FreeSwimming)
	case entry.Lost:
		c := a.clutch(l)
		c.lost, c.clutch.Loss, c.over = l.at, ev.Loss, true
	case entry.Ended:
		if a != nil && !a.ended {
			a.rec.ended, a.ended = l.at, true
		}
	case entry.Act:
		d.act(l, a, ev)
	case entry.Measured:
		d.reading(l, ev.Quantity, ev.Value.V)
		if a != nil && !a.ended && len(a.clutches) == 0 {
			a.measure(ev)
		}
	}
}

// clutch is the clutch that an event after laying belongs to, a new one where no eggs
// were written down.
func (a *diaryAttempt) clutch(l diaryLine) *diaryClutch {
	if n := len(a.clutches); n > 0 {
		return a.clutches[n-1]
	}
	a.clutches = append(a.clutches, &diaryClutch{row: l.row.Number})
	return a.clutches[0]
}

// eggs takes eggs that were seen: a new clutch, or the number of one seen before.
func (d *diary) eggs(l diaryLine, a *diaryAttempt, ev *entry.Event) {
	if n := len(a.clutches); n > 0 && !a.clutches[n-1].over {
		c := &a.clutches[n-1].clutch
		known := c.Eggs.OK || c.EggsLow.OK || c.EggsHigh.OK
		switch {
		case ev.Count.OK && !known:
			keepEggs(c, ev.Count.V)
		case ev.Count.OK:
			d.problem(problem.Problem{Severity: problem.Warning, Code: problem.Contradiction, Place: d.words.place(d.grid, l.row.Number), Value: l.text,
				Message: "eggs are counted again while the clutch before is not yet swimming or lost; the first number is used, and this entry kept in the notes", Fix: "say whether they are another clutch"})
		}
		return
	}
	c := &diaryClutch{row: l.row.Number}
	c.spawned = l.at
	if ev.Count.OK {
		keepEggs(&c.clutch, ev.Count.V)
	}
	a.clutches = append(a.clutches, c)
}

// young keeps a number of larvae or free-swimming young.
func (d *diary) young(l diaryLine, ev *entry.Event, to *club.Count) {
	switch n := ev.Count.V; {
	case !ev.Count.OK:
	case n.Bound() || n.Range || n.Approx:
		d.problem(problem.Problem{Severity: problem.Warning, Code: problem.NumberBound, Place: d.words.place(d.grid, l.row.Number), Value: l.text,
			Message: "not one number; kept in the notes", Fix: "write the number if you know it"})
	case !to.OK:
		*to = club.Some(n.Value)
	}
}

// act keeps an act of husbandry, with the amount from a column of its own.
func (d *diary) act(l diaryLine, a *diaryAttempt, ev *entry.Event) {
	d.amountOf(l, ev)
	d.judgeAmount(l, ev)
	d.out.actions = append(d.out.actions, club.Action{Keeper: l.keeper, System: l.system, At: l.at.first(), Action: ev.Action, Amount: ev.Amount, Unit: ev.Unit, Source: d.source(l.row.Number)})
	if a == nil || a.ended || len(a.clutches) > 0 {
		return
	}
	if ev.Action == "water_change" { // the others are told by the table of acts, day by day
		a.changes = append(a.changes, ev)
	}
}

// amountOf reads the column of amounts. An amount that cannot be read is a problem,
// and the act stays.
func (d *diary) amountOf(l diaryLine, ev *entry.Event) {
	written := text(l.row, d.amount)
	if written == "" {
		return
	}
	stated := strings.TrimSpace(written + " " + text(l.row, d.unit))
	v, code, ok := entry.Amount(ev.Action, stated, d.options.Decimal)
	if !ok {
		d.problem(problem.Problem{Severity: problem.Error, Code: problem.NumberUnreadable, Place: d.amount.place(d.grid, l.row.Number), Value: written,
			Message: fmt.Sprintf("%q is no amount of such an act; the act is used without it", stated), Fix: "write a number and its unit: 30 %, 20 L, 5 cm"})
		return
	}
	if ev.Action == "level_change" && entry.Lowers(l.text) {
		v = -max(v, -v)
	}
	ev.Amount, ev.Unit = club.Some(v), code
}

// amountLimits are the names in unit.LimitsOf for amounts in a unit.
var amountLimits = map[string]string{"water_change %": "water_change", "level_change cm": "water_level_change"}

// judgeAmount takes an amount away that cannot be.
func (d *diary) judgeAmount(l diaryLine, ev *entry.Event) {
	limits := amountLimits[ev.Action+" "+ev.Unit]
	if limits == "" || !ev.Amount.OK {
		return
	}
	c := d.words
	if text(l.row, d.amount) != "" {
		c = d.amount
	}
	standing, lim := judge(ev.Amount.V, limits)
	p := problem.Problem{Place: c.place(d.grid, l.row.Number), Value: l.text}
	switch standing {
	case unit.Impossible:
		p.Severity, p.Code, p.Fix = problem.Error, problem.Implausible, "look for a wrong unit or a lost decimal mark"
		p.Message = fmt.Sprintf("%.4g %s cannot be: it must lie between %.4g and %.4g; the act is used without it", ev.Amount.V, ev.Unit, lim.HardMin, lim.HardMax)
		ev.Amount, ev.Unit = club.Number{}, ""
	case unit.Unusual:
		p.Severity, p.Code, p.Fix = problem.Warning, problem.Unusual, "look whether it is right"
		p.Message = fmt.Sprintf("unusual: mostly it lies between %.4g and %.4g %s; it is used", lim.SoftMin, lim.SoftMax, ev.Unit)
	default:
		return
	}
	d.problem(p)
}

// limitsOfQuantity are the limits of a quantity in the table of readings.
func limitsOfQuantity(quantity string) string {
	for _, r := range readings {
		if r.quantity == quantity {
			return r.limits
		}
	}
	return ""
}

// reading keeps a measurement that an entry tells.
func (d *diary) reading(l diaryLine, quantity string, v float64) {
	if standing, lim := judge(v, limitsOfQuantity(quantity)); standing == unit.Impossible {
		d.problem(problem.Problem{Severity: problem.Error, Code: problem.Implausible, Place: d.words.place(d.grid, l.row.Number), Value: l.text,
			Message: fmt.Sprintf("%.4g cannot be: it must lie between %.4g and %.4g %s; it is not used", v, lim.HardMin, lim.HardMax, lim.Unit), Fix: "look for a wrong unit or a lost decimal mark"})
		return
	}
	reading := club.Reading{Keeper: l.keeper, At: l.at.first(), Quantity: quantity, Value: club.Some(v), Source: d.source(l.row.Number)}
	if quantity == "air_pressure_hpa" || quantity == "room_temperature_c" {
		reading.Place = d.placeOf(l.keeper)
	} else {
		reading.System = l.system
	}
	d.out.readings = append(d.out.readings, reading)
}

// measure keeps the first temperature and pH of an attempt for the attempt itself.
func (a *diaryAttempt) measure(ev *entry.Event) {
	for quantity, to := range map[string]*club.Number{"temperature_c": &a.rec.attempt.TemperatureC, "ph": &a.rec.attempt.PH, "conductivity_us_cm": &a.rec.attempt.ConductivityUS} {
		if _, l := judge(ev.Value.V, limitsOfQuantity(quantity)); quantity == ev.Quantity && !to.OK && ev.Value.V >= l.HardMin && ev.Value.V <= l.HardMax {
			*to = ev.Value
		}
	}
}

// measurements reads the columns of numbers beside the words.
func (d *diary) measurements(l diaryLine) {
	for _, c := range d.measured {
		if c.at >= len(l.row.Cells) || l.row.Cells[c.at].Kind == source.Blank {
			continue
		}
		x := l.row.Cells[c.at]
		v, fault := d.table.measure(c, x, l.row.Number)
		if fault != nil {
			d.fault(c, x, l.row.Number, fault)
			continue
		}
		d.ledger.cell(fateUsed)
		if v.OK {
			of := l
			if c.tank != "" {
				of.system = c.tank
			}
			d.reading(of, readings[c.field].quantity, v.V)
		}
	}
}

// remark keeps the words of a line in the notes of its attempt, with its day. Where
// words were not understood beside those that were, that is said.
func (d *diary) remark(l diaryLine) {
	if l.text == "" {
		return
	}
	place := d.words.place(d.grid, l.row.Number)
	if l.entry.Unsure != "" {
		d.problem(problem.Problem{Severity: problem.Warning, Code: problem.EntryUnsure, Place: place, Value: l.text, Message: l.entry.Unsure + "; the rest of the entry is used", Fix: "write what was seen: eggs, no eggs, hatched, free swimming"})
	}
	if len(l.entry.Events) > 0 && len(l.entry.Unread) > 0 {
		d.problem(problem.Problem{Severity: problem.Note, Code: problem.EntryUnsure, Place: place, Value: l.text,
			Message: fmt.Sprintf("read as: %s; not understood: %s", told(l.entry.Events), strings.Join(l.entry.Unread, ", ")), Fix: "nothing to do if that is right"})
	}
	if a := d.current[l.where()]; a != nil {
		a.rec.notes = append(a.rec.notes, d.dayOf(l.at.from)+": "+l.text)
	} else if len(l.entry.Events) == 0 {
		d.problem(problem.Problem{Severity: problem.Note, Code: problem.RowSkipped, Place: place, Value: l.text, Message: "a remark that belongs to no attempt; it is not used", Fix: "nothing to do"})
	}
}

// told names events for people.
func told(events []entry.Event) string {
	var parts []string
	for _, e := range events {
		s := string(e.Kind)
		if e.Kind == entry.Act {
			s = strings.ReplaceAll(e.Action, "_", " ")
		}
		if e.Count.OK {
			s += fmt.Sprintf(", %d", e.Count.V.Value)
		}
		parts = append(parts, s)
	}
	return strings.Join(parts, "; ")
}

// cells accounts for the cells of a line that were not told of yet.
func (d *diary) cells(l diaryLine) {
	d.ledger.Used++
	for i, x := range l.row.Cells {
		if x.Kind == source.Blank {
			continue
		}
		c := d.columnAt(i)
		switch {
		case c == nil:
			d.table.take(&record{}, nil, x, l.row.Number, i)
		case slices.Contains(d.measured, c):
		case c == d.when, c == d.clock, c == d.tank, c == d.keeperIn, c == d.words, c == d.amount, c == d.unit, c.field == heading.Species:
			d.ledger.cell(fateUsed)
		default:
			d.otherCell(l, c, x)
		}
	}
}

// otherCell keeps a cell of a column that a diary has no use for in the notes of the
// attempt, or says that it goes nowhere.
func (d *diary) otherCell(l diaryLine, c *column, x source.Cell) {
	if cell.IsMissing(x.Text) && x.Kind == source.Text {
		d.ledger.cell(fateUsed)
		return
	}
	if a := d.current[l.where()]; a != nil {
		d.ledger.cell(fateNotes)
		a.rec.notes = append(a.rec.notes, d.dayOf(l.at.from)+" "+c.head+": "+written(x))
		return
	}
	d.ledger.cell(fateProblem)
	d.problem(problem.Problem{Severity: problem.Note, Code: problem.RowSkipped, Place: c.place(d.grid, l.row.Number), Value: written(x), Message: "a remark that belongs to no attempt; it is not used", Fix: "nothing to do"})
}

// finish makes the rows of an attempt and its clutches.
func (d *diary) finish(a *diaryAttempt) {
	rec := &a.rec
	switch {
	case len(a.clutches) > 0:
		rec.answer = cell.Yes
		rec.spawned = a.clutches[0].spawned
	case a.ended:
		rec.answer = cell.No
	}
	if len(a.changes) == 1 { // one water change is the attempt's; of several none is
		if c := a.changes[0]; c.Amount.OK && c.Unit == "%" {
			rec.attempt.WaterChangePct = c.Amount
		}
		rec.attempt.RefillDeltaC = a.changes[0].Cooler
	}
	src := d.source(a.row)
	for _, p := range rec.finish(d.reader.rhythm, src, d.beside(a.row)) {
		if p.Place.Row == 0 {
			p.Place = problem.Place{File: d.grid.File, Sheet: d.grid.Sheet, Row: a.row}
		}
		d.problem(p)
	}
	d.out.attempts = append(d.out.attempts, rec.attempt)
	for i, c := range a.clutches {
		c.attempt = rec.attempt
		if i > 0 {
			c.attempt.SpawnedAt = c.spawned.first()
		}
		if !c.over && !c.lost.ok {
			c.seen = a.last
		}
		c.written = true
		var found []problem.Problem
		c.order(&found)
		c.shares(&found)
		c.lay(d.reader.rhythm, d.source(c.row), d.beside(c.row))
		for _, p := range found {
			if p.Place.Row == 0 {
				p.Place = problem.Place{File: d.grid.File, Sheet: d.grid.Sheet, Row: c.row}
			}
			d.problem(p)
		}
		d.out.clutches = append(d.out.clutches, c.clutch)
	}
}

// dayOf is the day of an instant at the keeper's place.
func (t *table) dayOf(at time.Time) string { return at.In(t.zone()).Format("2006-01-02") }
