package ingest

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"gravid/ingest/cell"
	"gravid/ingest/cell/word"
	"gravid/ingest/club"
	"gravid/ingest/entry"
	"gravid/ingest/heading"
	"gravid/ingest/problem"
	"gravid/ingest/source"
)

// fewestDays is how many columns of days make a table with its days across.
const fewestDays = 3

// dayHead is a heading that numbers a day after the fish were set up.
var dayHead = regexp.MustCompile(`^(?:d|day|days|tag|tage|t|j|jour|dia)\s?([0-9]{1,3})$`)

// A dayColumn says which day a column holds: so many days after the fish were set
// up, or a day of the calendar.
type dayColumn struct {
	number int
	date   time.Time // wall clock in UTC; zero for a number
}

// findDays marks the columns of days: unknown headings D0, D1, ... or dates.
func (t *table) findDays() {
	var found []*column
	window := cell.WindowUntil(t.reader.today)
	for _, c := range t.columns {
		if c.field != heading.None || c.own != "" || c.mapped.Is != "" {
			continue
		}
		if m := dayHead.FindStringSubmatch(word.Fold(c.head)); m != nil {
			n, _ := strconv.Atoi(m[1])
			c.day = &dayColumn{number: n}
		} else if d, fault := cell.ParseDate(c.head, cell.OrderUnknown, cell.DateOptions{Window: window, Year: t.year()}); fault == nil && d.Precision == cell.Day {
			c.day = &dayColumn{date: d.From}
		}
		if c.day != nil {
			found = append(found, c)
		}
	}
	rising := slices.IsSortedFunc(found, func(a, b *column) int {
		if a.day.date.IsZero() != b.day.date.IsZero() {
			return 1
		}
		return max(-1, min(1, a.day.number-b.day.number+int(a.day.date.Sub(b.day.date)/time.Hour)))
	})
	if len(found) < fewestDays || !rising {
		for _, c := range found {
			c.day = nil
		}
		return
	}
	t.days = found
	if first := found[0].day; first.date.IsZero() && first.number == 1 {
		t.problem(problem.Problem{Severity: problem.Warning, Code: problem.DateImplied, Place: found[0].place(t.grid, t.header.Row), Value: found[0].head,
			Message: fmt.Sprintf("%s is taken for the day on which the fish were set up: no column is day 0", found[0].head), Fix: "if it is the day after, number the days from 0, or write dates as headings"})
	}
}

// A legend says what the codes under the days mean. Codes that say that somebody
// looked and there was nothing mean entry.NoEggs.
type legend map[string]entry.Kind

var legendPair = regexp.MustCompile(`(?:^|[,;|(]\s*|\s{2,})([^\s=:,;]{1,4})\s*[=:]\s*(\pL[\pL' -]*)`)

// read takes over what a row outside the table says of the codes: "E = eggs, H =
// hatched, - = nothing".
func (l legend) read(cells []source.Cell) {
	for _, c := range cells {
		text := c.Text
		if name, pairs, ok := strings.Cut(text, ":"); ok && !strings.Contains(name, "=") && strings.Contains(pairs, "=") {
			text = pairs // "Key: E = eggs"
		}
		for _, m := range legendPair.FindAllStringSubmatch(strings.TrimSpace(text), -1) {
			e := entry.Parse(m[2], entry.Options{})
			switch {
			case len(e.Events) == 1 && e.Unsure == "":
				l[strings.ToLower(m[1])] = e.Events[0].Kind
			case e.Seen && len(e.Events) == 0: // nothing
				l[strings.ToLower(m[1])] = entry.NoEggs
			}
		}
	}
}

var legendCell = regexp.MustCompile(`^\s*[^\s=:,;]{1,4}\s*=\s*\pL`)

// isLegend reports whether every cell of a row explains a code.
func isLegend(r source.Row) bool {
	n := 0
	for _, c := range r.Cells {
		if c.Kind == source.Blank {
			continue
		}
		if n++; !legendCell.MatchString(c.Text) {
			return false
		}
	}
	return n > 0
}

// plainCodes are codes that stand for one stage in English logs without a legend.
// Single letters of other languages mean several things.
var plainCodes = legend{"e": entry.Eggs, "eggs": entry.Eggs, "h": entry.Hatched, "fs": entry.Swimming}

var codeAndCount = regexp.MustCompile(`^(\pL{1,3})\s*[:=]?\s*([0-9]{1,6})$`)

// stageOf reads a cell under a day. It reports false where nobody can tell.
func (t *table) stageOf(text string) (entry.Event, bool) {
	text = strings.TrimSpace(text)
	key := strings.ToLower(text)
	if kind, ok := t.legend[key]; ok {
		return entry.Event{Kind: kind}, true
	}
	english := t.language == "" || t.language == "en"
	if kind, ok := plainCodes[key]; ok && english && len(t.legend) == 0 {
		return entry.Event{Kind: kind}, true
	}
	if m := codeAndCount.FindStringSubmatch(text); m != nil {
		kind, ok := t.legend[strings.ToLower(m[1])]
		if !ok && english && len(t.legend) == 0 {
			kind, ok = plainCodes[strings.ToLower(m[1])]
		}
		n, fault := cell.ParseCount(m[2], cell.Open, cell.Things)
		if ok && fault == nil {
			return entry.Event{Kind: kind, Count: club.Some(n)}, true
		}
	}
	if len([]rune(key)) <= 2 {
		return entry.Event{}, false
	}
	if e := entry.Parse(text, t.entryOptions(cell.Open)); len(e.Events) == 1 && e.Unsure == "" && len(e.Unread) == 0 {
		return e.Events[0], true
	}
	return entry.Event{}, false
}

// A stage is what a row says of one of its days.
type stage struct {
	column *column
	event  entry.Event
}

// takeDay reads a cell under a day. What no legend explains is a problem, and leaves
// open whether the fish spawned.
func (t *table) takeDay(rec *record, c *column, x source.Cell, row int) {
	nothing := x.Kind == source.Text && cell.IsMissing(x.Text)
	if _, told := t.legend[strings.ToLower(strings.TrimSpace(x.Text))]; nothing && !told {
		t.ledger.cell(fateUsed)
		return
	}
	ev, ok := t.stageOf(x.Text)
	if x.Kind != source.Text || !ok {
		t.ledger.cell(fateProblem)
		rec.doubtful = true
		t.problem(problem.Problem{Severity: problem.Error, Code: problem.EntryUnsure, Place: c.place(t.grid, row), Value: written(x),
			Message: fmt.Sprintf("nobody can tell what %q under a day means; it is not used", written(x)), Fix: "explain the codes above or below the table: E = eggs, H = hatched, FS = free swimming, - = nothing"})
		return
	}
	t.ledger.cell(fateUsed)
	rec.stages = append(rec.stages, stage{c, ev})
}

// dayOfColumn is the day that a column stands for in a row.
func (t *table) dayOfColumn(rec *record, c *column) (moment, bool) {
	from := c.day.date
	if from.IsZero() {
		if !rec.began.ok {
			return moment{}, false
		}
		start := rec.began.from.In(t.zone())
		from = start.AddDate(0, 0, c.day.number-min(1, t.days[0].day.number))
	}
	y, m, d := from.Date()
	day := time.Date(y, m, d, 0, 0, 0, 0, t.zone())
	return moment{ok: true, from: day, to: day.AddDate(0, 0, 1)}, true
}

// stagesOf turns the codes of a row into its dates, when all its cells are read.
func (t *table) stagesOf(rec *record, r source.Row) {
	if len(t.days) == 0 {
		return
	}
	say := func(s stage, code problem.Code, message, fix string) {
		t.problem(problem.Problem{Severity: problem.Warning, Code: code, Place: s.column.place(t.grid, r.Number), Value: written(r.Cells[s.column.at]), Message: message, Fix: fix})
	}
	looked := 0
	var last moment
	for _, s := range rec.stages {
		day, ok := t.dayOfColumn(rec, s.column)
		if !ok {
			say(s, problem.RowIncomplete, "the row does not say when the fish were set up, so the days cannot be told", "add the date of setting up")
			return
		}
		if !rec.began.ok && !t.days[0].day.date.IsZero() {
			rec.began = day // the first day that somebody looked
		}
		switch last = day; s.event.Kind {
		case entry.NoEggs:
			looked++
		case entry.Eggs:
			switch {
			case rec.hatch.ok || rec.swim.ok || rec.lost.ok:
				say(s, problem.Contradiction, "eggs after a clutch that has hatched or is lost; a row holds one clutch, so this one is not used", "write the second clutch on a row of its own")
			case !rec.spawned.ok:
				rec.spawned = day
			}
			if s.event.Count.OK && !rec.clutch.Eggs.OK {
				keepEggs(&rec.clutch, s.event.Count.V)
			}
		case entry.Hatched:
			once(&rec.hatch, day)
			count(&rec.clutch.Hatched, s.event)
			rec.written = true
		case entry.Swimming:
			once(&rec.swim, day)
			count(&rec.clutch.FreeSwimming, s.event)
			rec.written = true
		case entry.Lost:
			once(&rec.lost, day)
			rec.clutch.Loss = s.event.Loss
			rec.written = true
		case entry.Ended:
			once(&rec.ended, day)
		default:
			say(s, problem.EntryUnsure, "no stage of a clutch; it is not used", "write it under the notes")
		}
	}
	if looked == len(t.days) && !rec.doubtful && rec.answer == cell.NoAnswer { // every day, and never anything
		rec.answer = cell.No
		once(&rec.ended, last)
	}
	if rec.doubtful && !rec.spawned.ok {
		rec.answer = cell.NoAnswer
	}
}

func once(to *moment, m moment) {
	if !to.ok {
		*to = m
	}
}

func count(to *club.Count, ev entry.Event) {
	if n := ev.Count.V; ev.Count.OK && !to.OK && !n.Bound() && !n.Range {
		*to = club.Some(n.Value)
	}
}
