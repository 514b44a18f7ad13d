package ingest

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"gravid/ingest/cell"
	"gravid/ingest/cell/word"
	"gravid/ingest/heading"
	"gravid/ingest/problem"
	"gravid/ingest/source"
)

// otherDays are parts of words by which a heading names a day that is neither that of
// setting up nor that of the end: bought, born, planned, written down, the one before.
var otherDays = strings.Fields(`bought buy purchas acquir received arriv born birth record entered entry logged log note plan due expect next last prev fed feed clean water change treat photo weigh test sold
	gekauft kauf erhalten angekommen geboren eingetragen eintrag notiert geplant erwartet nachst letzt vorig gefuttert wechsel behandelt foto
	achet recu arriv naissance ne saisi note prevu attendu prochain dernier dernier precedent nourri changement photo
	compra recibid llegad nacid anotad apunt previst esperad proxim ultim anterior aliment cambio foto
	egg ei eier oeuf huevo hatch schlupf eclos nac swim schwimm nage nado nada lost verlust perdu perdid spawn laich ponte puesta desov fry jung larv alevin cria`)

// setUpByDates takes dates under a heading nobody knows for those of setting up, and a
// second such column for the end, where the rows themselves say so: filled with and
// without a spawning, never after the day of spawning and at most two months before
// it; or never before the setting up, and later than it. Both are told as warnings.
func (t *table) setUpByDates() {
	var laid *column
	var open []*column
	for _, c := range t.columns {
		switch {
		case c.field == heading.Began:
			return
		case c.field == heading.SpawnedAt, c.field == heading.Date && laid == nil:
			laid = c
		case c.undated && c.field == heading.None && !namesOtherDay(c.head):
			open = append(open, c)
		}
	}
	if laid == nil || len(open) == 0 || len(open) > 2 || open[0].at > laid.at {
		return
	}
	days := t.daysOf(append(slices.Clone(open), laid))
	if days == nil || !before(days[0], days[len(days)-1], len(t.rows)) {
		return
	}
	t.takeDates(open[0], heading.Began, "set up", "they stand in every row, and never after the day of spawning")
	if len(open) == 2 && after(days[1], days[0]) {
		t.takeDates(open[1], heading.Ended, "taken apart", "they stand in rows with and without a spawning, always after the day of setting up")
	}
}

func (t *table) takeDates(c *column, f heading.Field, what, why string) {
	c.field = f
	t.problem(problem.Problem{Severity: problem.Warning, Code: problem.HeadingGuessed, Place: c.place(t.grid, t.header.Row), Value: c.head,
		Message: fmt.Sprintf("the dates under %q are taken for the days on which the fish were %s: %s", c.head, what, why), Fix: fmt.Sprintf("look whether that is right, or write is = %q or is = \"notes\" for it in the mapping", string(f))})
}

func namesOtherDay(head string) bool {
	for _, w := range strings.Fields(word.Fold(head)) {
		if slices.ContainsFunc(otherDays, func(part string) bool { return strings.HasPrefix(w, part) }) {
			return true
		}
	}
	return false
}

// daysOf reads columns of dates row by row, with the zero time where a cell is none; nil
// where the order of day and month is open.
func (t *table) daysOf(columns []*column) [][]time.Time {
	var list []string
	for _, c := range columns {
		list = slices.AppendSeq(list, texts(t.rows, c.at))
	}
	window := cell.WindowUntil(t.reader.today)
	found := cell.SolveDates(list, window)
	if o, ok := cell.ParseOrder(t.mapping.Dates); ok {
		found.Order = o
	} else if found.Status == cell.OrderAmbiguous || found.Status == cell.OrderConflict {
		return nil
	}
	out := make([][]time.Time, len(columns))
	for i, c := range columns {
		for _, r := range t.rows {
			day := time.Time{}
			if c.at < len(r.Cells) && r.Cells[c.at].Kind != source.Blank {
				if d, fault := cell.DateOf(r.Cells[c.at], found.Order, cell.DateOptions{Window: window, Year: t.year()}); fault == nil && d.OK && d.V.Precision <= cell.Day {
					day, _, _ = d.V.In(time.UTC)
				}
			}
			out[i] = append(out[i], day)
		}
	}
	return out
}

// before reports whether days stand in nearly all rows, and never after those of
// another column nor more than two months before them, in two rows at least, and stand
// in rows without the other as well.
func before(days, laid []time.Time, rows int) bool {
	const most, fewest = 62 * 24 * time.Hour, 2
	stand, both := 0, 0
	for i, d := range days {
		if d.IsZero() {
			continue
		}
		stand++
		if laid[i].IsZero() {
			continue
		}
		both++
		if gap := laid[i].Sub(d); gap < 0 || gap > most {
			return false
		}
	}
	return both >= fewest && stand > both && 10*stand >= 9*rows
}

// after reports whether days, in two rows at least, are all later than those of another
// column, and stand in most of its rows.
func after(days, began []time.Time) bool {
	const fewest = 2
	stand, rows := 0, 0
	for i, d := range days {
		if !began[i].IsZero() {
			rows++
		}
		if d.IsZero() || began[i].IsZero() {
			continue
		}
		if !d.After(began[i]) {
			return false
		}
		stand++
	}
	return stand >= fewest && 2*stand > rows
}
