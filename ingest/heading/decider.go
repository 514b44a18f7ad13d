package heading

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"gravid/ingest/cell"
	"gravid/ingest/problem"
	"gravid/ingest/source"
	"gravid/ingest/unit"
)

// noMarks reads answers without anything decided about their column.
var noMarks = cell.YesNo{}

// A decider settles what the columns of a table mean, one after the other.
type decider struct {
	row      int // of the headings
	language string
	body     []source.Row
	units    []string // of the row of units, by column; nil = there is none
	options  Options
	problems []problem.Problem
	zone     zone // that the headings of dates and times state
}

func (d *decider) columns(matches []Match) []Column {
	var out []Column
	own := map[string]bool{}
	for i, m := range matches {
		if m.Text == "" {
			continue
		}
		c := Column{At: i, Text: m.Text}
		switch {
		case m.Own != "" && own[m.Own]:
			d.say(c, problem.Warning, problem.HeadingTwice, fmt.Sprintf("a second column for the club's own trigger %q; it is kept in the notes", m.Own), "name one of them otherwise")
		case m.Own != "":
			own[m.Own] = d.settleOwn(&c, m)
		case len(m.Fields) == 0:
			d.unknown(c, m)
		default:
			d.settle(&c, m)
		}
		out = append(out, c)
	}
	d.dropGuesses(out, matches)
	d.onlyDates(out)
	d.daysOrYoung(out, matches)
	nameSpecies(out)
	d.totalOfEggs(out)
	d.eggsFound(out)
	d.countsBeside(out)
	d.setUpPerhaps(out)
	return out
}

// countsBeside takes a column of counts whose heading says no more than "how many" for
// those of the event whose day stands in the column before it.
func (d *decider) countsBeside(columns []Column) {
	of := map[Field]Field{SpawnedAt: Eggs, HatchDate: Hatched, SwimDate: FreeSwimming}
	for i := 1; i < len(columns); i++ {
		c, f := &columns[i], of[columns[i-1].Field]
		if columns[i-1].Field == Date && i > 1 && columns[i-2].Field == Spawned {
			f = Eggs
		}
		if c.Field != None && (c.Field != AttemptID || !d.gaps(c.At)) || c.Own != "" || f == None || columns[i-1].At != c.At-1 || !onlyCounts(c.Text) ||
			slices.ContainsFunc(columns, func(o Column) bool { return o.Field == f }) || !d.mostlyCounts(c.At) {
			continue
		}
		c.Field = f
		d.forget(*c)
		d.say(*c, problem.Warning, problem.HeadingGuessed, fmt.Sprintf("%q beside %q is taken for %s", c.Text, columns[i-1].Text, f), "look whether that is right, or name the column in the mapping")
	}
}

// eggsFound takes a column of dates whose heading says no more than that something was
// seen ("found on") for the days of laying, in a table of eggs that has no other column
// for them.
func (d *decider) eggsFound(columns []Column) {
	has := func(f Field) bool { return slices.ContainsFunc(columns, func(c Column) bool { return c.Field == f }) }
	if has(SpawnedAt) || has(Date) || !has(Eggs) {
		return
	}
	for i := range columns {
		c := &columns[i]
		said, ok := partsOf(c.Text)
		if c.Field != None || c.Own != "" || !ok || !slices.Contains(said, partSeen) || slices.ContainsFunc(said, func(p part) bool { return p != partSeen && p != partDate && p != partFiller }) ||
			!take(d.body, c.At, c.Text, d.language).all(isDate) {
			continue
		}
		c.Field = SpawnedAt
		d.forget(*c)
		d.say(*c, problem.Warning, problem.HeadingGuessed, fmt.Sprintf("%q is taken for the days on which eggs were found", c.Text), "look whether that is right, or name the column in the mapping")
		return
	}
}

// mostlyCounts reports whether most cells of a column are counts, exact or not.
func (d *decider) mostlyCounts(at int) bool {
	all, counts := 0, 0
	for _, r := range d.body {
		if at >= len(r.Cells) || r.Cells[at].Kind == source.Blank {
			continue
		}
		all++
		if n, fault := cell.CountOf(r.Cells[at], cell.Open, cell.Eggs); fault == nil && n.OK {
			counts++
		}
	}
	return 2*counts > all
}

// gaps reports whether a column is blank in some rows, as numbers of records never are.
func (d *decider) gaps(at int) bool {
	return slices.ContainsFunc(d.body, func(r source.Row) bool {
		return slices.ContainsFunc(r.Cells, func(x source.Cell) bool { return x.Kind != source.Blank }) && (at >= len(r.Cells) || r.Cells[at].Kind == source.Blank)
	})
}

// onlyCounts reports whether a heading says that something is counted, and not what.
func onlyCounts(text string) bool {
	said, ok := partsOf(text)
	return ok && slices.Contains(said, partCount) && !slices.ContainsFunc(said, func(p part) bool { return p != partCount && p != partFiller })
}

// setUpPerhaps says of a column of dates under an unknown heading, in a table of
// attempts that names no day of setting up, what to write if it is that.
func (d *decider) setUpPerhaps(columns []Column) {
	has := func(fields ...Field) bool {
		return slices.ContainsFunc(columns, func(c Column) bool { return slices.Contains(fields, c.Field) })
	}
	if has(Began, Timestamp, Action) || has(Date) && !has(Spawned) || !has(Spawned, SpawnedAt, Eggs) {
		return
	}
	for i := range columns {
		c := &columns[i]
		if c.Field != None || c.Own != "" || !take(d.body, c.At, c.Text, d.language).all(isDate) {
			continue
		}
		c.Dates = true
		d.forget(*c)
		d.say(*c, problem.Warning, problem.HeadingUnknown, fmt.Sprintf("nobody knows the heading %q, which holds dates%s; the rows are read without a day of setting up, and the dates are kept in the notes", c.Text, d.examples(c.At)),
			`if the fish were put together on that day, write is = "began" for it in the mapping; if it is another day, is = "spawned_at", "ended", "hatch_to" or "notes"`)
	}
}

// forget takes back that nobody knows the heading of a column.
func (d *decider) forget(c Column) {
	d.problems = slices.DeleteFunc(d.problems, func(p problem.Problem) bool {
		return p.Code == problem.HeadingUnknown && p.Place.Column == source.ColumnName(c.At)
	})
}

// onlyDates takes the only column of dates of a table of measurements for the days on
// which they were made, whatever its heading.
func (d *decider) onlyDates(columns []Column) {
	const fewest = 2
	measured, at := 0, -1
	for i, c := range columns {
		switch kind := c.Field.Kind(); {
		case kind == KindDate, kind == KindCount, kind == KindYesNo, c.Field == Species, c.Own != "":
			return
		case kind == KindMeasure:
			measured++
		case c.Field != None:
		case take(d.body, c.At, c.Text, d.language).all(isDate):
			if at >= 0 {
				return
			}
			at = i
		}
	}
	if at < 0 || measured < fewest || len(take(d.body, columns[at].At, columns[at].Text, d.language)) < fewest {
		return
	}
	c := &columns[at]
	c.Field = Date
	d.forget(*c)
	d.say(*c, problem.Warning, problem.HeadingGuessed, fmt.Sprintf("%q holds the only dates of a table of measurements, and is taken for the days on which they were made", c.Text), "look whether that is right, or name the column in the mapping")
}

// daysOrYoung refuses a column of larvae or young under a heading that can also be about
// the day ("Hatch", "Free swimming"), where its numbers are so small beside those of the
// eggs that they may count days: 3, 4, 3 of clutches of a hundred.
func (d *decider) daysOrYoung(columns []Column, matches []Match) {
	const mostDays, fewest, eggsPerDay = 14, 3, 10
	at := slices.IndexFunc(columns, func(c Column) bool { return c.Field == Eggs })
	if at < 0 {
		return
	}
	eggs := d.numbers(columns[at].At)
	for i := range columns {
		c := &columns[i]
		if c.Field != Hatched && c.Field != FreeSwimming || len(matches[c.At].Fields) < 2 {
			continue
		}
		young := d.numbers(c.At)
		if len(young) < fewest || len(eggs) < fewest || slices.Min(young) < 1 || slices.Max(young) > mostDays {
			continue
		}
		slices.Sort(eggs)
		if eggs[len(eggs)/2] < eggsPerDay*slices.Max(young) {
			continue
		}
		c.Field = None
		d.say(*c, problem.Warning, problem.HeadingUnknown, fmt.Sprintf("%q can mean how many there were, or after how many days, and its numbers are small enough for days; the column is kept in the notes%s", c.Text, d.examples(c.At)),
			`write is = "hatched", is = "free_swimming", is = "hatch_after_days" or is = "swim_after_hatch_days" for it in the mapping`)
	}
}

// numbers are the cells of a column that are plain numbers.
func (d *decider) numbers(at int) []float64 {
	var out []float64
	for _, r := range d.body {
		if at >= len(r.Cells) || r.Cells[at].Kind == source.Blank {
			continue
		}
		if x := r.Cells[at]; x.Kind == source.Number {
			out = append(out, x.Number)
		} else if v, err := strconv.ParseFloat(strings.TrimSpace(x.Text), 64); err == nil {
			out = append(out, v)
		}
	}
	return out
}

// dropGuesses takes back what was guessed for a misspelt heading where another column
// is known to hold the same.
func (d *decider) dropGuesses(columns []Column, matches []Match) {
	for i := range columns {
		c := &columns[i]
		if c.Field == None || matches[c.At].Guess == "" {
			continue
		}
		sure := func(o Column) bool { return o.At != c.At && o.Field == c.Field && matches[o.At].Guess == "" }
		if slices.ContainsFunc(columns, sure) {
			c.Field, c.Unit, c.Falls, c.System = None, unit.Unit{}, false, ""
			d.problems = slices.DeleteFunc(d.problems, func(p problem.Problem) bool {
				return p.Code == problem.HeadingGuessed && p.Place.Column == source.ColumnName(c.At)
			})
			d.unknown(*c, matches[c.At])
		}
	}
}

// totalOfEggs takes a column that says only "total" for the number of eggs, where
// columns of viable or unviable eggs stand beside it and none of all eggs.
func (d *decider) totalOfEggs(columns []Column) {
	has := func(fields ...Field) bool {
		return slices.ContainsFunc(columns, func(c Column) bool { return slices.Contains(fields, c.Field) })
	}
	if !has(Fertile, Unviable) || has(Eggs) {
		return
	}
	for i := range columns {
		c := &columns[i]
		if c.Field != None || !onlyCounts(c.Text) {
			continue
		}
		if take(d.body, c.At, c.Text, d.language).all(isCount) {
			c.Field = Eggs
			d.forget(*c)
			d.say(*c, problem.Note, problem.HeadingGuessed, fmt.Sprintf("%q is taken for the number of eggs, beside columns of viable or unviable ones", c.Text), "nothing to do if that is right; otherwise name the column in the mapping")
			return
		}
	}
}

// noNumbering reports whether the whole numbers of a column cannot number records:
// some are smaller than the one before, and none is small.
func (d *decider) noNumbering(at int) bool {
	const least = 10
	numbers := d.numbers(at)
	return len(numbers) > 1 && slices.Min(numbers) >= least && !slices.IsSorted(numbers)
}

// nameSpecies takes a column of common names for the species where the table has
// no other: a common name is a name.
func nameSpecies(columns []Column) {
	at := slices.IndexFunc(columns, func(c Column) bool { return c.Field == CommonName })
	if at >= 0 && !slices.ContainsFunc(columns, func(c Column) bool { return c.Field == Species }) {
		columns[at].Field = Species
	}
}

// say adds a problem about a column.
func (d *decider) say(c Column, severity problem.Severity, code problem.Code, message, fix string) {
	if slices.Contains(d.options.Settled, c.Text) {
		return
	}
	d.problems = append(d.problems, problem.Problem{Severity: severity, Code: code, Value: c.Text, Message: message, Fix: fix,
		Place: problem.Place{Row: d.row, Column: source.ColumnName(c.At), Head: c.Text}})
}

// settleOwn takes a column for a club's own trigger, and reports whether it can.
func (d *decider) settleOwn(c *Column, m Match) bool {
	code, number := d.options.OwnUnits[m.Own]
	if stated := d.ownUnit(c.At, m.Text); number && stated != "" && !sameUnit(stated, code) {
		d.say(*c, problem.Error, problem.UnitUnknown, fmt.Sprintf("the heading states %q, while club.toml gives the trigger %q the unit %q; the column is kept in the notes", stated, m.Own, code),
			"state the same unit in both")
		return false
	}
	c.Own, c.Field = strings.ReplaceAll(m.Own, "-", "_"), OwnAnswer
	if number {
		c.Field = OwnNumber
	}
	return true
}

// ownUnit is the unit that the headings of a club's own trigger state.
func (d *decider) ownUnit(at int, text string) string {
	if at < len(d.units) && len(unit.Find(d.units[at])) > 0 {
		return d.units[at]
	}
	for _, r := range readings(text) {
		if r.bracket && len(unit.Find(r.rest)) > 0 {
			return r.rest
		}
	}
	return ""
}

func sameUnit(stated, code string) bool {
	return slices.ContainsFunc(unit.Find(stated), func(u unit.Unit) bool { return u.Code == code })
}

// unknown keeps a column that nobody knows.
func (d *decider) unknown(c Column, m Match) {
	if m.Foreign != "" {
		d.say(c, problem.Error, problem.UnitUnknown, fmt.Sprintf("%q is no unit of what %q measures; the column is kept in the notes", m.Foreign, c.Text), `mend the unit in the heading, or write is = "…" and unit = "…" for it in the mapping`)
		return
	}
	message := fmt.Sprintf("nobody knows the heading %q; its text is kept in the notes%s", c.Text, d.examples(c.At))
	fix := `write is = "…" for it in the mapping, or declare a trigger of your own in club.toml`
	if near := (matcher{language: d.language}).nearest(m); near != "" {
		message += fmt.Sprintf("; the nearest known heading is %q", near)
	}
	d.say(c, problem.Note, problem.HeadingUnknown, message, fix)
}

// examples are the first three different cells of a column, for messages.
func (d *decider) examples(at int) string {
	var out []string
	for _, r := range d.body {
		if at >= len(r.Cells) || r.Cells[at].Kind == source.Blank {
			continue
		}
		text := []rune(strings.TrimSpace(r.Cells[at].Text))
		if len(text) > 30 {
			text = append(text[:29], '…')
		}
		if q := strconv.Quote(string(text)); len(out) < 3 && !slices.Contains(out, q) {
			out = append(out, q)
		}
	}
	if len(out) == 0 {
		return ""
	}
	return " (it holds " + strings.Join(out, ", ") + ")"
}

// settle decides a column whose heading is known, by its unit and its cells.
func (d *decider) settle(c *Column, m Match) {
	fields := d.withUnit(c.At, m)
	s := take(d.body, c.At, c.Text, d.language)
	f, sure := fields[0], len(fields) == 1
	if !sure {
		f, sure = s.decide(fields)
	}
	if !sure && slices.Contains(fields, AttemptID) && slices.Contains(fields, Eggs) && d.noNumbering(c.At) {
		f, sure = Eggs, true
	}
	if !sure {
		d.refuse(*c, fields)
		return
	}
	if f == AttemptID && s.all(isDate) { // "Ansatz": named by the day on which it began
		f = Began
	}
	if has, contrary := s.contradicts(f); contrary {
		d.say(*c, problem.Warning, problem.HeadingUnknown, fmt.Sprintf("%q should hold %s, and its cells hold %s; the column is kept in the notes", c.Text, wants(f), has),
			`write is = "…" for it in the mapping`)
		return
	}
	if !d.settleZone(*c, f, m.zone) || !d.settleUnit(c, f, m) {
		return
	}
	c.Field, c.System, c.Falls = f, m.System, falls(f, m.Text)
	if m.Guess != "" {
		d.say(*c, problem.Warning, problem.HeadingGuessed, fmt.Sprintf("%q is taken for %q", c.Text, m.Guess), "look whether that is right; mend the heading, or name the column in the mapping")
	}
}

// withUnit narrows what a heading can mean by the row of units.
func (d *decider) withUnit(at int, m Match) []Field {
	if at >= len(d.units) || len(m.Fields) == 1 {
		return m.Fields
	}
	kind, _ := kindOf(d.units[at])
	fits := slices.DeleteFunc(slices.Clone(m.Fields), func(f Field) bool {
		_, ok := lookupUnit(d.units[at], f.Quantity())
		return !(ok && f.Quantity() != unit.None) && f.shows()&kind == 0
	})
	if len(fits) > 0 {
		return fits
	}
	return m.Fields
}

func (d *decider) refuse(c Column, fields []Field) {
	var names, kinds, fixes []string
	for _, f := range fields {
		names = append(names, string(f))
		fixes = append(fixes, fmt.Sprintf("is = %q", string(f)))
		if w := wants(f); !slices.Contains(kinds, w) {
			kinds = append(kinds, w)
		}
	}
	why := "its cells could be any of them"
	if len(kinds) > 1 {
		why = "its cells are not all " + strings.Join(kinds, ", or all ")
	}
	d.say(c, problem.Warning, problem.HeadingUnknown, fmt.Sprintf("%q can mean %s, and %s; the column is kept in the notes%s", c.Text, strings.Join(names, " or "), why, d.examples(c.At)),
		"write "+strings.Join(fixes, " or ")+" for it in the mapping")
}

// settleZone takes over the time zone that a heading of dates states.
func (d *decider) settleZone(c Column, f Field, z zone) bool {
	if z == noZone {
		return true
	}
	fix := fmt.Sprintf(`write is = %q for it and time_zone = "…" in the mapping`, string(f))
	if z == otherZone {
		d.say(c, problem.Error, problem.TimeUnreadable, fmt.Sprintf("%q states a time zone that does not say when the clocks change; the column is kept in the notes", c.Text), fix)
		return false
	}
	if d.zone != noZone && d.zone != z {
		d.say(c, problem.Warning, problem.HeadingUnknown, fmt.Sprintf("%q states another time zone than the dates before it; the column is kept in the notes", c.Text), "nothing to do, or delete one of the two columns")
		return false
	}
	d.zone = z
	return true
}

// settleUnit takes over the unit that the heading or the row of units states.
func (d *decider) settleUnit(c *Column, f Field, m Match) bool {
	u := unitIn(m.Text, f.Quantity())
	if named := canonicalName(f, m.Text); named != (unit.Unit{}) {
		u = named
	}
	if c.At < len(d.units) && f.Quantity() != unit.None {
		below, ok := lookupUnit(d.units[c.At], f.Quantity())
		if ok && u != (unit.Unit{}) && u != below {
			d.say(*c, problem.Error, problem.UnitUnknown, fmt.Sprintf("the heading states %s and the row below it %s; the column is kept in the notes", u.Name, below.Name), "state one unit")
			return false
		}
		if ok {
			u = below
		}
	}
	if all := unit.Units(f.Quantity()); u == (unit.Unit{}) && len(all) == 1 { // pH needs no unit in words
		u = all[0]
	}
	c.Unit = u
	return true
}

// canonicalName is the unit of a heading that is the name of a tables' column, as
// in an export of these tables.
func canonicalName(f Field, text string) unit.Unit {
	if strings.TrimSpace(text) == string(f) && strings.Contains(string(f), "_") {
		return unit.Canonical(f.Quantity())
	}
	return unit.Unit{}
}
