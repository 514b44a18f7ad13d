package ingest

import (
	"math"
	"strings"
	"time"

	"gravid/ingest/cell"
	"gravid/ingest/club"
	"gravid/ingest/source"
	"gravid/ingest/unit"
)

// readPlain reads a row of a logger by a short way: plain numbers and dates in the
// commonest forms. Where it reports false it has done nothing, and the row must be
// read by readRow; where it reports true it has done the same as readRow.
func (l *logger) readPlain(r source.Row) bool {
	if l.when.at >= len(r.Cells) || len(r.Cells) > len(l.roles) {
		return false
	}
	values := l.values
	keeper, system, clock := l.keeper, "", ""
	used, unread, named := 0, 0, false
	for i := range r.Cells {
		x := &r.Cells[i]
		switch what := l.roles[i]; {
		case x.Kind == source.Blank:
			if what >= 0 {
				values[what] = math.NaN()
			}
			continue
		case x.Kind != source.Text || what == roleNone:
			return false
		case what == roleKeeper:
			keeper, named = x.Text, true
			used++
		case what == roleSystem:
			system, named = x.Text, true
			used++
		case what == roleUnread:
			named = true
			unread++
		case what == roleTime:
			if l.clock != nil && i == l.clock.at {
				clock = x.Text
			}
			used++
		default:
			v, ok := l.gauges[what].plain(x.Text)
			if !ok {
				return false
			}
			values[what] = v
			used++
		}
	}
	if named && l.repeatsHeadings(r) {
		return false
	}
	at, ok := l.plainTime(&r.Cells[l.when.at], clock)
	if !ok {
		return false
	}
	l.ledger.Used++
	l.ledger.Cells += used + unread
	l.ledger.CellsUsed += used
	l.ledger.CellsProblem += unread
	l.textDates++
	l.reader.plain++
	if system == "" && len(l.gauges) > 0 {
		system = l.systemOf()
	}
	row := l.source(r.Number).Row
	for i, g := range l.gauges {
		if g.at >= len(r.Cells) || math.IsNaN(values[i]) {
			continue
		}
		l.checkStep(g, at, values[i], r)
		l.keep(g, keeper, system, club.Entry{At: at, Value: values[i], Row: row})
	}
	return true
}

// systemOf is the tank of rows that do not name it.
func (l *logger) systemOf() string {
	if !l.systemKnown {
		l.systemIs, l.systemKnown = l.system(), true
	}
	return l.systemIs
}

// plainTime is when a row was measured. Where the order of day and month could still
// matter, a form of date that was not seen before is looked at by showsOrder first.
func (l *logger) plainTime(x *source.Cell, clock string) (int64, bool) {
	if x.Kind != source.Text || l.clock != nil && clock == "" {
		return 0, false
	}
	if !l.times.knows(x.Text, clock) {
		if l.votes != nil && l.votes.Add(x.Text) {
			return 0, false
		}
		if !l.times.learn(x.Text, clock) {
			return 0, false
		}
	}
	return l.times.instant()
}

// plain reads a number that stands alone in a cell, as measure does, and gives it in
// the canonical unit.
func (g *gauge) plain(text string) (float64, bool) {
	v, ok := plainNumber(text, g.decimal)
	if !ok || v == 0 && !g.zero || g.refused != nil || unit.SensorFault(v, g.unit) {
		return 0, false
	}
	if v = unit.ToCanonical(v, g.unit); unit.SensorFault(v, g.canonical) {
		return 0, false
	}
	usual := v >= g.limits.SoftMin && v <= g.limits.SoftMax
	return v, !g.limited || usual || g.unusual >= mostUnusual && v >= g.limits.HardMin && v <= g.limits.HardMax
}

// plainNumber reads digits with at most one decimal mark, and a minus before them,
// where nothing else can be meant in a column that writes decimals with d.
func plainNumber(s string, d cell.Decimal) (float64, bool) {
	const most = 15 // digits that a number holds exactly
	if len(s) == 0 || len(s) > most {
		return 0, false
	}
	i, negative := 0, s[0] == '-'
	if negative {
		i = 1
	}
	start, mark := i, -1
	var n int64
	for ; i < len(s); i++ {
		switch c := s[i]; {
		case c >= '0' && c <= '9':
			n = n*10 + int64(c-'0')
		case (c == '.' && d != cell.Comma || c == ',' && d != cell.Point) && mark < 0:
			mark = i
		default:
			return 0, false
		}
	}
	whole, decimals := len(s)-start, 0
	if mark >= 0 {
		whole, decimals = mark-start, len(s)-mark-1
		if decimals == 0 || decimals == 3 && d == cell.Open {
			return 0, false
		}
	}
	if whole == 0 || whole > 1 && s[start] == '0' {
		return 0, false
	}
	v := float64(n) / tenTo[decimals] // both exact, so that the quotient is rounded once
	if negative {
		v = 0 - v
	}
	return v, true
}

// tenTo are the powers of ten that a float64 holds exactly, as far as needed.
var tenTo = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// plainTimes reads the dates and clock times of a logger in the forms that it has
// seen: the same characters of a date before another clock time are the same day.
type plainTimes struct {
	order cell.Order
	dates cell.DateOptions
	zone  *time.Location

	date   string // what stands before the clock time, with what parts the two
	day    int64  // its midnight, in seconds since 1970 as if in UTC
	second int64  // of that day, of the text looked at last

	// from here to there, in seconds as if in UTC, the zone is this much ahead
	from, to, ahead int64
}

func newPlainTimes(order cell.Order, dates cell.DateOptions, zone *time.Location) *plainTimes {
	return &plainTimes{order: order, dates: dates, zone: zone}
}

// knows reports whether a date was learnt, and the clock time is a plain one: of the
// same text, or, where that is not empty, of clock.
func (p *plainTimes) knows(text, clock string) bool {
	date, rest := text, clock
	if clock == "" {
		date, rest = cutClock(text)
	}
	if date == "" || date != p.date {
		return false
	}
	var ok bool
	p.second, ok = plainClock(rest)
	return ok
}

// learn looks at a date that was not seen before.
func (p *plainTimes) learn(text, clock string) bool {
	p.date = ""
	date, rest := text, clock
	if clock == "" {
		date, rest = cutClock(text)
	}
	second, ok := plainClock(rest)
	if !ok || !plainDate(date) {
		return false
	}
	d, fault := cell.ParseDate(text, p.order, p.dates)
	if fault != nil || d.Zoned || d.HasClock() != (clock == "") || clock != "" && d.Precision != cell.Day {
		return false
	}
	day := d.From.Unix()
	if clock == "" {
		day -= second
	}
	if day%(24*60*60) != 0 {
		return false
	}
	// A clock time of its own must not be held against the window: its day was.
	p.date, p.day, p.second = strings.Clone(date), day, second
	return true
}

// instant is the instant of the text looked at last. It is false near a change of
// clocks and near the ends of the window, where more must be asked.
func (p *plainTimes) instant() (int64, bool) {
	wall := p.day + p.second
	if w := p.dates.Window; !w.Latest.IsZero() && (p.day <= w.Earliest.Unix() || p.day >= w.Latest.Unix()-24*60*60) {
		return 0, false
	}
	if wall < p.from || wall >= p.to {
		p.from, p.to, p.ahead = steady(wall, p.zone)
		if wall < p.from || wall >= p.to {
			return 0, false
		}
	}
	return wall - p.ahead, true
}

// steady is a stretch of time, in seconds as if in UTC, around or near wall, in which
// clocks in a zone run ahead of UTC by so many seconds and by nothing else for more
// than a day to either side.
func steady(wall int64, zone *time.Location) (from, to, ahead int64) {
	const around = 26 * 60 * 60
	_, offset := time.Unix(wall, 0).In(zone).Zone()
	start, end := time.Unix(wall-int64(offset), 0).In(zone).ZoneBounds()
	from, to = math.MinInt64, math.MaxInt64
	if !start.IsZero() {
		from = start.Unix() + around
	}
	if !end.IsZero() {
		to = end.Unix() - around
	}
	_, offset = time.Unix(wall-int64(offset), 0).In(zone).Zone()
	return from, to, int64(offset)
}

// cutClock cuts a clock time such as 07:30 or 07:30:15 from the end of a text. date
// keeps the character before it; both are empty where there is none.
func cutClock(s string) (date, clock string) {
	n := len(s) - 5
	if n >= 4 && s[n-1] == ':' {
		n -= 3
	}
	if n < 2 || s[n-1] != ' ' && s[n-1] != 'T' {
		return "", ""
	}
	return s[:n], s[n:]
}

// plainClock reads 07:30 and 07:30:15, in seconds.
func plainClock(s string) (second int64, ok bool) {
	if len(s) != 5 && len(s) != 8 {
		return 0, false
	}
	two := func(i int) int64 {
		a, b := s[i]-'0', s[i+1]-'0'
		if a > 9 || b > 9 {
			return 99
		}
		return int64(10*a + b)
	}
	hour, minute := two(0), two(3)
	if len(s) == 8 {
		if second = two(6); s[5] != ':' {
			return 0, false
		}
	}
	return hour*3600 + minute*60 + second, s[2] == ':' && hour < 24 && minute < 60 && second < 60
}

// plainDate reports whether a text is three numbers with the same sign between them,
// and perhaps a space or T behind.
func plainDate(s string) bool {
	if last := len(s) - 1; last > 0 && (s[last] == ' ' || s[last] == 'T') {
		s = s[:last]
	}
	signs, sign := 0, byte(0)
	for i := range len(s) {
		switch c := s[i]; {
		case c >= '0' && c <= '9':
		case c == '-' || c == '/' || c == '.':
			if signs++; signs > 1 && c != sign {
				return false
			}
			sign = c
		default:
			return false
		}
	}
	return signs == 2
}
