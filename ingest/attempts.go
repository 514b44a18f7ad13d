package ingest

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gravid/ingest/cell"
	"gravid/ingest/club"
	"gravid/ingest/entry"
	"gravid/ingest/heading"
	"gravid/ingest/problem"
	"gravid/ingest/source"
	"gravid/ingest/species"
	"gravid/ingest/unit"
)

// readAttempts reads a table with one row an attempt, the fields of its clutch on
// the same row.
func (t *table) readAttempts() {
	t.gather()
	t.fillMerged()
	t.fillDitto()
	t.setUpByDates()
	t.decide()
	t.findSlides()
	for i, r := range t.rows {
		t.readAttempt(r)
		t.rows[i].Cells = nil // of a log with very many rows only one copy is held
	}
}

// gather collects the rows of the body and accounts for all others.
func (t *table) gather() {
	t.legend = legend{}
	for r := range t.grid.Each {
		r.Cells = slices.Clone(r.Cells)
		t.ledger.Rows++
		switch {
		case t.before(r):
			t.legend.read(r.Cells)
		case blank(r.Cells):
			t.ledger.Blank++
		case t.repeatsHeadings(r):
			t.skip(r, "the headings again")
		case t.isTotal(r):
			t.skip(r, "a total or an average, not a record")
		case t.isFootnote(r) || isLegend(r):
			t.legend.read(r.Cells)
			t.ledger.Title++
			t.account(r.Cells, fateNotes)
			t.problem(problem.Problem{Severity: problem.Note, Code: problem.RowSkipped, Place: problem.Place{File: t.grid.File, Sheet: t.grid.Sheet, Row: r.Number},
				Value: strings.Join(asWritten(r.Cells), " "), Message: "a remark outside the table"})
		default:
			t.rows = append(t.rows, r)
		}
	}
}

// fillMerged gives the value of a block of merged cells one column wide to every row
// that the block covers. Of wider blocks the value stands for the first cell alone,
// and that is said.
func (t *table) fillMerged() {
	byNumber := map[int]int{}
	for i, r := range t.rows {
		byNumber[r.Number] = i
	}
	for _, m := range t.grid.Merges {
		top, inBody := byNumber[m.FirstRow]
		if !inBody || m.FirstColumn >= len(t.rows[top].Cells) || t.rows[top].Cells[m.FirstColumn].Kind == source.Blank {
			continue
		}
		place := problem.Place{File: t.grid.File, Sheet: t.grid.Sheet, Row: m.FirstRow, Column: source.ColumnName(m.FirstColumn)}
		value := t.rows[top].Cells[m.FirstColumn]
		if m.FirstColumn != m.LastColumn {
			t.problem(problem.Problem{Severity: problem.Warning, Code: problem.MergedCell, Place: place, Value: written(value),
				Message: "a value that covers several columns; it is used for the first of them only", Fix: "split the cells and write each value"})
			continue
		}
		filled := 0
		for row := m.FirstRow + 1; row <= m.LastRow; row++ {
			i, ok := byNumber[row]
			if !ok {
				continue
			}
			for len(t.rows[i].Cells) <= m.FirstColumn {
				t.rows[i].Cells = append(t.rows[i].Cells, source.Cell{})
			}
			t.rows[i].Cells[m.FirstColumn] = value
			filled++
		}
		if filled > 0 {
			t.problem(problem.Problem{Severity: problem.Note, Code: problem.MergedCell, Place: place, Value: written(value),
				Message: fmt.Sprintf("one value for %d rows, which the block of merged cells covers", filled+1), Fix: "nothing to do if that is right"})
		}
	}
}

// ditto are the signs and words by which keepers say "as above".
var ditto = map[string]bool{"\"": true, "\"\"": true, "''": true, "“": true, "”": true, "„": true, "〃": true, "»": true, "ditto": true, "do.": true, "dto": true, "dto.": true, "dito": true,
	"idem": true, "ídem": true, "id.": true, "same": true, "as above": true, "same as above": true, "wie oben": true, "s.o.": true, "s. o.": true, "comme ci-dessus": true, "igual": true}

// fillDitto gives cells that say "as above" the value of the row above, in all
// columns but the remarks. Where nothing stands above, the sign stays and is read as
// it stands.
func (t *table) fillDitto() {
	for _, c := range t.columns {
		if c.field == heading.None && c.own == "" && c.day == nil || c.field == heading.Notes || c.day != nil {
			continue
		}
		var above source.Cell
		var filled []source.Row
		for i, r := range t.rows {
			if c.at >= len(r.Cells) || r.Cells[c.at].Kind == source.Blank {
				above = source.Cell{}
				continue
			}
			if x := r.Cells[c.at]; x.Kind == source.Text && ditto[strings.ToLower(strings.TrimSpace(x.Text))] && above.Kind != source.Blank {
				above.Comment = x.Comment
				t.rows[i].Cells[c.at] = above
				filled = append(filled, r)
			}
			above = t.rows[i].Cells[c.at]
		}
		if len(filled) > 0 {
			t.problem(problem.Problem{Severity: problem.Note, Code: problem.SameAsAbove, Place: c.place(t.grid, filled[0].Number), Value: written(above),
				Message: fmt.Sprintf("the value of the row above, in %d rows that say so", len(filled)), Fix: "nothing to do if that is right"})
		}
	}
}

func (t *table) repeatsHeadings(r source.Row) bool {
	same := 0
	for _, c := range t.columns {
		if c.at < len(r.Cells) && c.head != "" && strings.EqualFold(strings.TrimSpace(r.Cells[c.at].Text), strings.TrimSpace(c.head)) {
			same++
		}
	}
	return same >= 2 && same*2 > len(t.columns)
}

// isTotal reports whether the row adds up the columns: its first text is a word
// such as total, and it names no species.
func (t *table) isTotal(r source.Row) bool {
	for _, c := range r.Cells {
		if c.Kind == source.Blank {
			continue
		}
		return c.Kind == source.Text && heading.IsTotal(c.Text)
	}
	return false
}

// isFootnote reports whether a row is a remark: a single cell of text, longer than
// a word, where the table has several columns.
func (t *table) isFootnote(r source.Row) bool {
	n, text := 0, ""
	for _, c := range r.Cells {
		if c.Kind != source.Blank {
			n++
			text = c.Text
		}
	}
	return n == 1 && len(t.columns) > 3 && strings.Contains(strings.TrimSpace(text), " ") && t.reader.resolve(text).Accepted == ""
}

// duplicate reports whether the same row has been read before.
func (t *table) duplicate(r source.Row) (int, bool) {
	key := strings.Join(asWritten(r.Cells), "\x1f")
	first, twice := t.seen[strings.TrimRight(key, "\x1f")]
	if !twice {
		t.seen[strings.TrimRight(key, "\x1f")] = r.Number
	}
	return first, twice
}

func (t *table) readAttempt(r source.Row) {
	if first, twice := t.duplicate(r); twice {
		t.ledger.Duplicate++
		t.account(r.Cells, fateProblem)
		t.problem(problem.Problem{Severity: problem.Note, Code: problem.RowDuplicate, Place: problem.Place{File: t.grid.File, Sheet: t.grid.Sheet, Row: r.Number},
			Message: fmt.Sprintf("the same as row %d, which is used", first), Fix: "nothing to do, or change it if there were two"})
		return
	}
	if t.slid(r) {
		t.setAside(r, slidRow)
		return
	}
	rec := &record{}
	rec.attempt.Keeper, rec.attempt.System = t.keeper, t.system()
	if p, ok := t.nameSpecies(rec, r); !ok {
		t.setAside(r, p)
		return
	}
	if t.notLooked(r) {
		t.skip(r, "a day on which nothing was written down")
		return
	}
	if !t.hasDate(r) {
		t.setAside(r, problem.Problem{Code: problem.RowIncomplete, Message: "the row has no date of setting up or of spawning", Fix: "add a date, or move the remark to the notes of another row"})
		return
	}
	// From here on the row is used: every cell of it is a value, a note or a problem.
	for i, x := range r.Cells {
		if x.Kind == source.Blank {
			continue
		}
		t.take(rec, t.columnAt(i), x, r.Number, i)
	}
	t.blanksAsNo(rec, r)
	t.stagesOf(rec, r)
	if t.region.turned {
		rec.notes = append(rec.notes, "column "+source.ColumnName(r.Number-1)+" of the log")
	}
	t.ledger.Used++
	for _, p := range rec.finish(t.reader.rhythm, t.source(r.Number), t.beside(r.Number)) {
		if p.Place.Row == 0 {
			p.Place = problem.Place{File: t.grid.File, Sheet: t.grid.Sheet, Row: r.Number}
		}
		t.problem(p)
	}
	t.out.attempts = append(t.out.attempts, rec.attempt)
	if rec.written {
		t.out.clutches = append(t.out.clutches, rec.clutch)
	}
}

// notLooked reports whether a row of a table with one row a day names a day and
// nothing that was seen on it: such a day is no attempt.
func (t *table) notLooked(r source.Row) bool {
	daily := false
	for _, c := range t.columns {
		switch c.field {
		case heading.Began, heading.SpawnedAt, heading.Spawned:
			return false
		case heading.Date:
			daily = true
		case heading.None, heading.Notes, heading.Keeper, heading.System, heading.Species, heading.AttemptID:
			if c.own == "" && c.day == nil {
				continue
			}
			fallthrough
		default:
			if c.at < len(r.Cells) && r.Cells[c.at].Kind != source.Blank && !cell.IsMissing(r.Cells[c.at].Text) {
				return false
			}
		}
	}
	return daily
}

// blanksAsNo takes empty cells for a no in the columns of which the mapping says
// so.
func (t *table) blanksAsNo(rec *record, r source.Row) {
	for _, c := range t.columns {
		if c.mapped.Blank != "no" || c.at < len(r.Cells) && r.Cells[c.at].Kind != source.Blank {
			continue
		}
		switch p := puts[c.field]; {
		case c.own != "" && c.field.Kind() == heading.KindYesNo:
			rec.setOwn(c.own, 0)
		case p.truth != nil:
			*p.truth(rec) = club.Some(false)
		case c.field == heading.Spawned:
			rec.answer = cell.No
		case c.field == heading.MatesRemoved:
			rec.attempt.TankMates = club.Some(true)
		}
	}
}

func (t *table) columnAt(at int) *column {
	for _, c := range t.columns {
		if c.at == at {
			return c
		}
	}
	return nil
}

// nameSpecies settles the species of a row. Without one the row cannot be used.
func (t *table) nameSpecies(rec *record, r source.Row) (problem.Problem, bool) {
	text, place := t.writtenSpecies(r)
	return t.settleSpecies(rec, text, place)
}

// writtenSpecies is the species as a row, a title, the sheet's name or the mapping
// writes it, with the place of the cell where it is one.
func (t *table) writtenSpecies(r source.Row) (text string, place problem.Place) {
	text = t.file.Species
	if text == "" {
		text = t.header.Titles["species"]
	}
	if text == "" {
		text = t.sheetSpecies()
	}
	for _, c := range t.columns {
		if c.field == heading.Species && c.at < len(r.Cells) && r.Cells[c.at].Kind == source.Text && !cell.IsMissing(r.Cells[c.at].Text) {
			text, place = r.Cells[c.at].Text, c.place(t.grid, r.Number)
		}
	}
	return text, place
}

// settleSpecies finds the accepted name of a species as written.
func (t *table) settleSpecies(rec *record, text string, place problem.Place) (problem.Problem, bool) {
	if text == "" {
		return problem.Problem{Code: problem.SpeciesMissing, Message: "the row names no species", Fix: `write the species, or species = "…" in the mapping`}, false
	}
	rec.attempt.SpeciesAsWritten = text
	m := t.reader.resolve(text)
	rec.attempt.Species = m.Accepted
	note := func(severity problem.Severity, code problem.Code, message, fix string) {
		t.problem(problem.Problem{Severity: severity, Code: code, Place: place, Value: text, Message: message, Fix: fix})
	}
	if name, ok := t.reader.names.Unlisted(text); ok && m.Accepted == "" && m.How == species.Unknown {
		rec.attempt.Species = name
		note(problem.Warning, problem.SpeciesGuessed, fmt.Sprintf("%q is not in the list of species, which knows the genus; the name is taken as it stands", text),
			"look whether it is spelt rightly; give it under [species] in club.toml to have it known")
		return problem.Problem{}, true
	}
	switch {
	case m.Accepted == "" && m.How == species.Ambiguous:
		return problem.Problem{Code: problem.SpeciesAmbiguous, Place: place, Value: text, Message: fmt.Sprintf("%q can be %s", text, few(m.Candidates)), Fix: "write the scientific name, or give it under [species] in club.toml"}, false
	case m.Accepted == "":
		fix := "mend the name, or give it under [species] in club.toml"
		if len(m.Candidates) > 0 {
			fix += "; the nearest is " + m.Candidates[0]
		}
		return problem.Problem{Code: problem.SpeciesUnknown, Place: place, Value: text, Message: fmt.Sprintf("no species is called %q", text), Fix: fix}, false
	case m.How == species.Misspelling:
		note(problem.Warning, problem.SpeciesGuessed, fmt.Sprintf("%q is taken for %s", text, m.Accepted), "look whether that is right")
	case m.How != species.Accepted:
		note(problem.Note, problem.SpeciesRenamed, fmt.Sprintf("%q is put to %s", text, m.Accepted), "nothing to do if that is right")
	}
	if m.Strain != "" {
		rec.notes = append(rec.notes, "strain: "+m.Strain)
	}
	return problem.Problem{}, true
}

// sheetSpecies is the species that the sheet's name is the name of, where no column
// and no title says more. A name that is only near one is none.
func (t *table) sheetSpecies() string {
	if t.grid.Sheet == "" || slices.ContainsFunc(t.columns, func(c *column) bool { return c.field == heading.Species }) {
		return ""
	}
	m := t.reader.resolve(t.grid.Sheet)
	if m.Accepted == "" || m.How == species.Misspelling {
		return ""
	}
	return t.grid.Sheet
}

// few joins the first few of a list of names.
func few(names []string) string {
	const most = 4
	if len(names) <= most {
		return strings.Join(names, " or ")
	}
	return strings.Join(names[:most], ", ") + fmt.Sprintf(" or one of %d others", len(names)-most)
}

// hasDate reports whether any date column of the row has something in it, be it one
// whose heading nobody knows.
func (t *table) hasDate(r source.Row) bool {
	return slices.ContainsFunc(t.columns, func(c *column) bool {
		p := puts[c.field]
		return (p.date != nil || c.day != nil && !c.day.date.IsZero() || c.undated && c.field == heading.None) && c.at < len(r.Cells) && r.Cells[c.at].Kind != source.Blank && !cell.IsMissing(r.Cells[c.at].Text)
	})
}

// take puts one cell where it belongs.
func (t *table) take(rec *record, c *column, x source.Cell, row, at int) {
	if x.Comment != "" {
		rec.notes = append(rec.notes, "comment: "+x.Comment)
	}
	if c == nil {
		t.ledger.cell(fateProblem)
		t.problem(problem.Problem{Severity: problem.Warning, Code: problem.RaggedRow, Place: problem.Place{File: t.grid.File, Sheet: t.grid.Sheet, Row: row, Column: source.ColumnName(at)}, Value: written(x),
			Message: "a cell without a heading; its text is not used", Fix: "give the column a heading, or put the cell into quotation marks if its text holds the delimiter"})
		return
	}
	if c.day != nil {
		t.takeDay(rec, c, x, row)
		return
	}
	if c.refused != nil && !cell.IsMissing(x.Text) {
		p := *c.refused
		p.Place, p.Value = c.place(t.grid, row), written(x)
		t.ledger.cell(fateProblem)
		t.problem(p)
		return
	}
	if f := t.put(rec, c, x, row); f != nil {
		t.fault(c, x, row, f)
		rec.eggsUnread = rec.eggsUnread || c.field == heading.Eggs
	}
}

// put reads a cell into the record, and says why where it cannot be read. The
// ledger is told here of cells that are used or kept.
func (t *table) put(rec *record, c *column, x source.Cell, row int) *cell.Fault {
	p, known := puts[c.field]
	switch {
	case c.own != "":
		return t.putOwn(rec, c, x)
	case known && p.number != nil:
		return t.putNumber(rec, c, p, x, row)
	case known && p.truth != nil:
		answer, fault := t.answer(c, x)
		if fault == nil && (answer == cell.Yes || answer == cell.No) {
			*p.truth(rec) = club.Some(answer == cell.Yes)
		}
		return t.used(fault)
	case known && p.count != nil:
		n, fault := cell.CountOf(t.zero(c, x), c.decimal, p.noun)
		if fault != nil || !n.OK {
			return t.used(fault)
		}
		rec.written = rec.written || p.clutch && n.V.Value > 0
		if n.V.Bound() || n.V.Range || n.V.Approx {
			return t.vague(rec, c, x, row)
		}
		*p.count(rec) = club.Some(n.V.Value)
		return t.used(nil)
	case known && p.date != nil:
		return t.putDate(rec, c, p, x, row)
	}
	return t.putOther(rec, c, x, row)
}

// used tells the ledger that a cell was used, unless it could not be read.
func (t *table) used(f *cell.Fault) *cell.Fault {
	if f == nil {
		t.ledger.cell(fateUsed)
	}
	return f
}

// keep puts a cell into the notes under its heading.
func (t *table) keep(rec *record, c *column, text string) *cell.Fault {
	t.ledger.cell(fateNotes)
	if c.field != heading.Notes && c.head != "" {
		text = c.head + ": " + text
	}
	rec.notes = append(rec.notes, text)
	return nil
}

// vague keeps a count that is a bound, a range or an estimate where a table has
// room for one number only: the text stays in the notes.
func (t *table) vague(rec *record, c *column, x source.Cell, row int) *cell.Fault {
	t.problem(problem.Problem{Severity: problem.Warning, Code: problem.NumberBound, Place: c.place(t.grid, row), Value: written(x),
		Message: "not one number; kept in the notes", Fix: "write the number if you know it"})
	return t.keep(rec, c, x.Text)
}

// zero turns words into 0 where the mapping says so.
func (t *table) zero(c *column, x source.Cell) source.Cell {
	if slices.ContainsFunc(c.mapped.Zero, func(w string) bool { return strings.EqualFold(w, strings.TrimSpace(x.Text)) }) {
		x.Text = "0"
	}
	return x
}

// answer reads yes or no, with the words of the mapping.
func (t *table) answer(c *column, x source.Cell) (cell.Answer, *cell.Fault) {
	same := func(w string) bool { return strings.EqualFold(w, strings.TrimSpace(x.Text)) }
	switch {
	case slices.ContainsFunc(c.mapped.Yes, same):
		return cell.Yes, nil
	case slices.ContainsFunc(c.mapped.No, same):
		return cell.No, nil
	}
	return cell.AnswerOf(x, c.yesNo)
}

// answerWithRemark reads yes or no with a remark behind it: "yes - all eaten" is a
// spawning and a loss. A remark that tells the contrary, or is unsure, leaves the cell
// unread.
func (t *table) answerWithRemark(rec *record, c *column, x source.Cell) bool {
	answer, remark, ok := cell.AnswerBefore(x.Text, c.yesNo)
	if x.Kind != source.Text || !ok {
		return false
	}
	told := entry.Parse(remark, t.entryOptions(c.decimal))
	if told.Unsure != "" && answer != cell.Yes {
		return false
	}
	loss := ""
	for _, ev := range told.Events {
		switch ev.Kind {
		case entry.Lost:
			loss = ev.Loss
		case entry.NoEggs:
			if answer == cell.Yes {
				return false
			}
		case entry.Eggs, entry.Hatched, entry.Swimming:
			if answer == cell.No {
				return false
			}
		}
	}
	if cause, fault := cell.ParseLoss(remark); fault == nil && cause != "" && loss == "" {
		loss = cause
	}
	if loss != "" && answer == cell.Yes && rec.clutch.Loss == "" {
		rec.clutch.Loss = loss
		rec.written = true
	}
	rec.answer = answer
	t.ledger.cell(fateNotes)
	if remark != "" {
		rec.notes = append(rec.notes, c.head+": "+x.Text)
	}
	return true
}

func (t *table) putNumber(rec *record, c *column, p put, x source.Cell, row int) *cell.Fault {
	m, fault := cell.MeasureOf(x, c.field.Quantity(), c.decimal)
	if fault != nil && c.field == heading.WaterChangePct { // 20 L, of how much the tank's volume says
		if v, other := cell.MeasureOf(x, unit.Volume, c.decimal); other == nil && v.OK && v.V.In != (unit.Unit{}) && !v.V.Bound() {
			rec.changed = club.Some(unit.ToCanonical(v.V.Value, v.V.In))
			return t.used(nil)
		}
	}
	if fault != nil || !m.OK {
		return t.used(fault)
	}
	if m.V.Bound() {
		return t.vague(rec, c, x, row)
	}
	u := m.V.In
	if u == (unit.Unit{}) {
		u = c.unit
	}
	v := unit.ToCanonical(m.V.Value, u)
	if c.falls && v < 0 {
		return &cell.Fault{Code: problem.Contradiction, Message: fmt.Sprintf("the heading says how far it fell, and %s is negative", written(x)), Fix: "write by how much it fell, or name the column otherwise"}
	}
	if c.falls {
		v = 0 - v
	}
	if fault := t.judge(c, p.limits, v*max(p.finer, 1), x, row); fault != nil {
		return fault
	}
	rec.written = rec.written || p.clutch
	if m.V.Range {
		t.problem(problem.Problem{Severity: problem.Note, Code: problem.NumberRange, Place: c.place(t.grid, row), Value: written(x),
			Message: fmt.Sprintf("a range; its middle, %.4g, is used", v), Fix: "nothing to do, or write one number"})
	}
	if to := p.number(rec); c.again && to.OK {
		t.compare(c, to.V, v, x, row)
	} else {
		*to = club.Some(v)
	}
	return t.used(nil)
}

// compare warns where a second column for the same measurement, in another unit, says
// otherwise than the first, by more than rounding explains.
func (t *table) compare(c *column, first, second float64, x source.Cell, row int) {
	if math.Abs(first-second) <= max(0.3, 0.02*math.Abs(first)) {
		return
	}
	t.problem(problem.Problem{Severity: problem.Warning, Code: problem.Contradiction, Place: c.place(t.grid, row), Value: written(x),
		Message: fmt.Sprintf("two columns for the same measurement disagree: %.4g and %.4g in %s; the first is used", first, second, unit.Canonical(c.field.Quantity()).Name), Fix: "mend one of the two"})
}

// judge refuses what cannot be and warns of what is unusual.
func (t *table) judge(c *column, limits string, v float64, x source.Cell, row int) *cell.Fault {
	if limits == "" {
		return nil
	}
	standing, l := judge(v, limits)
	switch standing {
	case unit.Impossible:
		return &cell.Fault{Code: problem.Implausible, Message: fmt.Sprintf("%s cannot be: it must lie between %.4g and %.4g %s", written(x), l.HardMin, l.HardMax, l.Unit),
			Fix: "look for a wrong unit or a lost decimal mark"}
	case unit.Unusual:
		t.problem(problem.Problem{Severity: problem.Warning, Code: problem.Unusual, Place: c.place(t.grid, row), Value: written(x),
			Message: fmt.Sprintf("unusual: mostly it lies between %.4g and %.4g %s; it is used", l.SoftMin, l.SoftMax, l.Unit), Fix: "look whether it is right"})
	}
	return nil
}

func (t *table) putOwn(rec *record, c *column, x source.Cell) *cell.Fault {
	if c.field.Kind() == heading.KindYesNo {
		answer, fault := t.answer(c, x)
		if fault == nil && answer == cell.Yes {
			rec.setOwn(c.own, 1)
		} else if fault == nil && answer == cell.No {
			rec.setOwn(c.own, 0)
		}
		return t.used(fault)
	}
	n, fault := cell.NumberOf(x, c.decimal)
	if fault == nil && n.OK {
		if n.V.Bound() {
			return t.keep(rec, c, x.Text)
		}
		v, fault := t.ownValue(c, n.V)
		if fault != nil {
			return fault
		}
		rec.setOwn(c.own, v)
	}
	return t.used(fault)
}

// ownValue is a number of a club's own trigger in the unit that club.toml states,
// whatever unit of the same quantity the cell has.
func (t *table) ownValue(c *column, n cell.Number) (float64, *cell.Fault) {
	if n.Unit == "" {
		return n.Value, nil
	}
	stated := ""
	for _, trigger := range t.reader.config.Triggers {
		if trigger.Column().Name == c.own {
			stated = trigger.Unit
		}
	}
	for _, want := range unit.Find(stated) {
		if have, ok := unit.Lookup(n.Unit, want.Quantity); ok {
			return unit.FromCanonical(unit.ToCanonical(n.Value, have), want), nil
		}
	}
	if n.Unit == stated {
		return n.Value, nil
	}
	return 0, &cell.Fault{Code: problem.UnitUnknown, Message: fmt.Sprintf("%q is no unit of this trigger, which club.toml gives the unit %q", n.Unit, stated), Fix: "write the number in that unit"}
}

func (t *table) putDate(rec *record, c *column, p put, x source.Cell, row int) *cell.Fault {
	d, fault := cell.DateOf(x, c.order, c.dates)
	if fault != nil || !d.OK {
		return t.used(fault)
	}
	if d.V.Precision > cell.Day {
		return &cell.Fault{Code: problem.DatePartial, Message: fmt.Sprintf("%s names a %s, not a day", written(x), d.V.Precision), Fix: "write the day if you know it"}
	}
	from, to, fault := d.V.In(t.zone())
	if fault != nil {
		return fault
	}
	*p.date(rec) = moment{ok: true, from: from, to: to, at: c.place(t.grid, row), text: written(x)}
	rec.written = rec.written || p.clutch
	return t.used(nil)
}

// putOther reads the fields that are neither number, count, date nor yes/no.
func (t *table) putOther(rec *record, c *column, x source.Cell, row int) *cell.Fault {
	switch c.field {
	case heading.Keeper:
		if !cell.IsMissing(x.Text) {
			rec.attempt.Keeper = strings.TrimSpace(x.Text)
		}
		return t.used(nil)
	case heading.System:
		if !cell.IsMissing(x.Text) {
			rec.attempt.System = strings.TrimSpace(x.Text)
		}
		return t.used(nil)
	case heading.Species:
		return t.used(nil) // read by nameSpecies
	case heading.Spawned:
		answer, fault := t.answer(c, x)
		if fault != nil && t.answerWithRemark(rec, c, x) {
			return nil
		}
		rec.answer = answer
		return t.used(fault)
	case heading.MatesRemoved:
		answer, fault := t.answer(c, x)
		if fault == nil && (answer == cell.Yes || answer == cell.No) {
			rec.attempt.TankMates = club.Some(answer == cell.No)
		}
		return t.used(fault)
	case heading.Group:
		return t.putGroup(rec, c, x, row)
	case heading.Eggs:
		return t.putEggs(rec, c, x)
	case heading.EggsMethod:
		method, fault := cell.EggsMethodOf(x)
		rec.clutch.EggsMethod = method
		return t.used(fault)
	case heading.Loss:
		cause, fault := cell.LossOf(x)
		if fault != nil {
			t.problem(problem.Problem{Severity: problem.Warning, Code: fault.Code, Place: c.place(t.grid, row), Value: written(x), Message: fault.Message + "; kept in the notes", Fix: fault.Fix})
			return t.keep(rec, c, x.Text)
		}
		rec.clutch.Loss = cause
		rec.written = rec.written || cause != ""
		return t.used(nil)
	case heading.AirPressure:
		if v, fault := t.measure(c, x, row); fault == nil && v.OK {
			rec.air = v
		}
	case heading.TankVolume:
		if u := heading.UnitIn(c.head, unit.Volume); !cell.IsMissing(x.Text) {
			if m, fault := cell.MeasureOf(x, unit.Volume, c.decimal); fault == nil && m.OK && !m.V.Bound() && !m.V.Range {
				if m.V.In != (unit.Unit{}) {
					u = m.V.In
				}
				if u != (unit.Unit{}) {
					rec.tank = club.Some(unit.ToCanonical(m.V.Value, u))
				}
			}
		}
	case heading.SampleFraction:
		m, fault := cell.MeasureOf(x, unit.Share, c.decimal)
		if fault == nil && m.OK && !m.V.Bound() && !m.V.Range {
			return t.putSample(rec, m.V, c, x)
		}
	case heading.HatchAid:
		rec.clutch.HatchAid = x.Text
		return t.used(nil)
	}
	if cell.IsMissing(x.Text) && x.Kind == source.Text {
		return t.used(nil)
	}
	return t.keep(rec, c, written(x))
}

// putSample keeps the share of a clutch that was counted. A bare number up to 1 is a
// share; a larger one needs its sign of per cent.
func (t *table) putSample(rec *record, m cell.Measure, c *column, x source.Cell) *cell.Fault {
	u := m.In
	if u == (unit.Unit{}) {
		u = heading.UnitIn(c.head, unit.Share)
	}
	share := m.Value
	if u != (unit.Unit{}) {
		share = unit.ToCanonical(m.Value, u) / 100
	}
	if share <= 0 || share > 1 {
		return &cell.Fault{Code: problem.Implausible, Message: fmt.Sprintf("%s is no share of a clutch: it must lie above 0 and at most at 1, or be in per cent", written(x)), Fix: "write 0.25, 1/4 or 25 %"}
	}
	rec.clutch.SampleFraction = club.Some(share)
	return t.used(nil)
}

func (t *table) putGroup(rec *record, c *column, x source.Cell, row int) *cell.Fault {
	g, fault := cell.GroupOf(x)
	if fault != nil || !g.OK {
		return t.used(fault)
	}
	a := &rec.attempt
	a.Males, a.Females, a.Unsexed = g.V.Males, g.V.Females, g.V.Unsexed
	if g.V.Note != "" {
		t.problem(problem.Problem{Severity: problem.Note, Code: problem.SexRatio, Place: c.place(t.grid, row), Value: written(x), Message: g.V.Note, Fix: "nothing to do if that is right"})
	}
	return t.used(nil)
}

// putEggs reads the number of eggs with what is known of how sure it is.
func (t *table) putEggs(rec *record, c *column, x source.Cell) *cell.Fault {
	n, fault := cell.CountOf(t.zero(c, x), c.decimal, cell.Eggs)
	if fault != nil || !n.OK {
		return t.used(fault)
	}
	n.V.Approx = n.V.Approx || heading.SaysAbout(c.head)
	keepEggs(&rec.clutch, n.V)
	rec.written = rec.written || n.V.Value > 0
	return t.used(nil)
}

// keepEggs puts a number of eggs into a clutch with what is known of how sure it is.
func keepEggs(e *club.Clutch, n cell.Count) {
	switch {
	case n.AtLeast:
		e.EggsLow = club.Some(n.Value)
	case n.AtMost:
		e.EggsHigh = club.Some(n.Value)
	case n.Range:
		e.Eggs, e.EggsLow, e.EggsHigh = club.Some(n.Value), club.Some(n.Low), club.Some(n.High)
	default:
		e.Eggs = club.Some(n.Value)
	}
	if n.Range || n.Approx || n.Bound() {
		e.EggsMethod = "estimated"
	}
}
