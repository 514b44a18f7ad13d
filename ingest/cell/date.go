package cell

import (
	"fmt"
	"math"
	"strings"
	"time"

	"gravid/ingest/club"
	"gravid/ingest/problem"
	"gravid/ingest/source"
)

// Precision says how much of a date or time was written.
type Precision uint8

const (
	Second Precision = iota + 1
	Minute
	PartOfDay // a word such as evening
	Day
	Week
	Month
	Year
	Between // from one written date to another
)

// String gives the precision as a word.
func (p Precision) String() string {
	names := []string{"none", "second", "minute", "part of the day", "day", "week", "month", "year", "stretch of time"}
	return names[min(int(p), len(names)-1)]
}

// step is the length of a clock time of this precision.
func (p Precision) step() time.Duration {
	if p == Second {
		return time.Second
	}
	return time.Minute
}

// A Date is a date as a keeper wrote it: the stretch of time that it names, and
// how precisely. March 2024 is all of March, never its first day.
type Date struct {
	// From belongs to the stretch, To no longer. Unless Zoned, both are what
	// calendar and clock of the keeper showed, kept as if in UTC; In turns
	// them into instants.
	From, To  time.Time
	Precision Precision
	Zoned     bool   // the cell states a zone: From and To are instants
	Word      string // the word that named a part of the day, as written
}

// HasClock reports whether more than the day was written.
func (d Date) HasClock() bool { return d.Precision <= PartOfDay && d.Precision > 0 }

// String writes the date so that ParseDate reads the same again, except for
// words, weeks and stretches, which it writes as an interval of ISO 8601.
func (d Date) String() string {
	zone := ""
	if d.Zoned {
		zone = "Z"
	}
	switch d.Precision {
	case Second:
		return d.From.Format("2006-01-02T15:04:05") + zone
	case Minute:
		return d.From.Format("2006-01-02T15:04") + zone
	case Day:
		return d.From.Format("2006-01-02")
	case Month:
		return d.From.Format("2006-01")
	case Year:
		return d.From.Format("2006")
	}
	return fmt.Sprintf("%s/%s", d.From.Format("2006-01-02T15:04"), d.To.Format("2006-01-02T15:04"))
}

// In returns the instants of a date whose keeper lives in loc. A clock time that
// was skipped or came twice when the clocks were changed is a Fault, not a
// guess.
func (d Date) In(loc *time.Location) (from, to time.Time, fault *Fault) {
	if d.Zoned {
		return d.From, d.To, nil
	}
	if d.Precision != Second && d.Precision != Minute {
		return firstInstant(d.From, loc), firstInstant(d.To, loc), nil
	}
	at := instants(d.From, loc)
	switch len(at) {
	case 0:
		return from, to, faultf(problem.TimeUnreadable, "state the zone, such as "+d.From.Format("2006-01-02T15:04")+"Z", "%s was skipped in %s when the clocks were put forward", d.From.Format("2006-01-02 15:04"), loc)
	case 1:
		return at[0], at[0].Add(d.To.Sub(d.From)), nil
	}
	return from, to, faultf(problem.TimeUnreadable, "state the zone, such as "+at[0].Format("2006-01-02T15:04-07:00"), "%s came twice in %s when the clocks were put back", d.From.Format("2006-01-02 15:04"), loc)
}

// instants returns every instant at which calendar and clock in loc show wall.
func instants(wall time.Time, loc *time.Location) []time.Time {
	var found []time.Time
	for _, hours := range []int{-26, 26} { // offsets before and after any change of clocks nearby
		_, offset := wall.Add(time.Duration(hours) * time.Hour).In(loc).Zone()
		t := wall.Add(-time.Duration(offset) * time.Second)
		if _, now := t.In(loc).Zone(); now == offset && (len(found) == 0 || !found[0].Equal(t)) {
			found = append(found, t.UTC())
		}
	}
	return found
}

// firstInstant returns the first instant at which loc shows wall or later.
func firstInstant(wall time.Time, loc *time.Location) time.Time {
	if at := instants(wall, loc); len(at) > 0 {
		return at[0]
	}
	// Skipped: the clocks jumped over it, so the stretch begins with the jump.
	t := time.Date(wall.Year(), wall.Month(), wall.Day(), wall.Hour(), wall.Minute(), wall.Second(), 0, loc)
	start, _ := t.ZoneBounds()
	if !start.IsZero() && t.Sub(start) < 3*time.Hour {
		return start.UTC()
	}
	_, end := t.ZoneBounds()
	return end.UTC()
}

// A Window is the stretch in which dates of a log can lie. Its zero value
// allows every date, but then years of two digits cannot be read.
type Window struct {
	Earliest, Latest time.Time
}

// WindowUntil is the window for logs read at now: from 1980 until a day later
// than now.
func WindowUntil(now time.Time) Window {
	return Window{Earliest: time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC), Latest: now.UTC().Add(24 * time.Hour)}
}

func (w Window) open() bool { return w.Latest.IsZero() }

// holds reports whether any of [from, to) lies in the window.
func (w Window) holds(from, to time.Time) bool {
	return w.open() || to.After(w.Earliest) && !from.After(w.Latest)
}

// DateOptions say what a cell alone cannot. The zero value reads dates that need
// none of it.
type DateOptions struct {
	Window  Window
	Year    int  // the year of dates without one; 0 = such dates are refused
	Serials bool // bare numbers are day numbers of a spreadsheet (1900 system); decided over the whole column
	Swapped bool // stored dates have day and month exchanged; see SwappedDates
}

// ParseDate reads a date, with or without a clock time, in a column whose dates
// have the given order (see SolveDates). Dates that begin with a year of four
// digits and dates with a month's name need no order.
func ParseDate(text string, order Order, o DateOptions) (Date, *Fault) {
	d, ok := parseISO(text)
	if !ok {
		var fault *Fault
		if d, fault = parseWritten(text, order, o); fault != nil {
			return Date{}, fault
		}
	}
	return o.inWindow(d, text)
}

// DateOf reads a cell. It is not OK, without a Fault, when nothing was
// recorded.
func DateOf(c source.Cell, order Order, o DateOptions) (club.Maybe[Date], *Fault) {
	var d Date
	var fault *Fault
	switch c.Kind {
	case source.Blank:
		return club.Maybe[Date]{}, nil
	case source.Text:
		if IsMissing(c.Text) {
			return club.Maybe[Date]{}, nil
		}
		d, fault = ParseDate(c.Text, order, o)
	case source.Date, source.Instant:
		d, fault = storedDate(c, o)
	case source.Number:
		d, fault = serialDate(c, o)
	case source.Clock, source.Span, source.Bool:
		fault = faultf(problem.DateUnreadable, "write the date as 2024-03-31", "a date is needed, but the cell holds %s", quote(c.Text))
	default:
		fault = unreadable(c)
	}
	return club.Maybe[Date]{V: d, OK: fault == nil}, fault
}

func storedDate(c source.Cell, o DateOptions) (Date, *Fault) {
	t := c.Time
	if o.Swapped {
		if t.Day() > 12 {
			return Date{}, faultf(problem.DateConflict, "write the date as 2024-03-31", "day and month of %s cannot be exchanged", t.Format("2006-01-02"))
		}
		t = time.Date(t.Year(), time.Month(t.Day()), int(t.Month()), t.Hour(), t.Minute(), t.Second(), 0, time.UTC)
	}
	d := day(t)
	if c.Kind == source.Instant {
		d = Date{From: t.Truncate(time.Second), To: t.Truncate(time.Second).Add(time.Second), Precision: Second}
	}
	return o.inWindow(d, c.Text)
}

// serialDate reads a day number of a spreadsheet: 45355 is 4 March 2024.
func serialDate(c source.Cell, o DateOptions) (Date, *Fault) {
	if !o.Serials || c.Number < 61 || c.Number > 100000 {
		return Date{}, faultf(problem.DateUnreadable, "format the column as dates, or write dates as 2024-03-31", "the number %s stands where a date is needed", plain(c.Number))
	}
	days, clock := math.Modf(c.Number)
	t := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC).AddDate(0, 0, int(days))
	d := day(t)
	if clock > 0 {
		t = t.Add(time.Duration(math.Round(clock*86400)) * time.Second)
		d = Date{From: t, To: t.Add(time.Second), Precision: Second}
	}
	return o.inWindow(d, c.Text)
}

func (o DateOptions) inWindow(d Date, text string) (Date, *Fault) {
	switch {
	case o.Window.holds(d.From, d.To):
		return d, nil
	case d.From.After(o.Window.Latest):
		return Date{}, faultf(problem.DateOutOfRange, "mend the year, or the order of day and month", "%s lies in the future", quote(text))
	}
	return Date{}, faultf(problem.DateOutOfRange, "mend the year", "%s lies before %d", quote(text), o.Window.Earliest.Year())
}

func day(t time.Time) Date {
	from := time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
	return Date{From: from, To: from.AddDate(0, 0, 1), Precision: Day}
}

// At puts a clock time from another cell on a date that has none.
func (d Date) At(c Clock) (Date, *Fault) {
	if d.Precision != Day {
		return Date{}, faultf(problem.TimeUnreadable, "write the whole date beside the time", "a time of day cannot be put on a date with the precision of a %s", d.Precision)
	}
	return d.at(c), nil
}

func (d Date) at(c Clock) Date {
	from := d.From
	return Date{From: from.Add(c.From - c.Offset), To: from.Add(c.To - c.Offset), Precision: c.Precision, Zoned: c.Zoned, Word: c.Word}
}

// parseISO is the fast path for loggers: 2024-03-31, 2024-03-31T07:30 and
// 2024-03-31 07:30:15.250+01:00, also with / between year, month and day.
func parseISO(s string) (Date, bool) {
	if len(s) < 10 || s[4] != s[7] || s[4] != '-' && s[4] != '/' {
		return Date{}, false
	}
	y, ok1 := digits(s[0:4])
	m, ok2 := digits(s[5:7])
	dd, ok3 := digits(s[8:10])
	if !ok1 || !ok2 || !ok3 || !onCalendar(y, m, dd) || y < 1000 {
		return Date{}, false
	}
	midnight := time.Date(y, time.Month(m), dd, 0, 0, 0, 0, time.UTC)
	if len(s) == 10 {
		return Date{From: midnight, To: midnight.AddDate(0, 0, 1), Precision: Day}, true
	}
	if len(s) < 16 || s[10] != 'T' && s[10] != ' ' && s[10] != 't' || s[13] != ':' {
		return Date{}, false
	}
	hour, ok1 := digits(s[11:13])
	minute, ok2 := digits(s[14:16])
	second, rest, precision := 0, s[16:], Minute
	if len(rest) >= 3 && rest[0] == ':' {
		second, ok3 = digits(rest[1:3])
		rest, precision = rest[3:], Second
		if len(rest) > 1 && (rest[0] == '.' || rest[0] == ',') {
			n := 1
			for n < len(rest) && rest[n] >= '0' && rest[n] <= '9' {
				n++
			}
			ok3 = ok3 && n > 1
			rest = rest[n:]
		}
	}
	if !ok1 || !ok2 || !ok3 || minute > 59 || second > 59 || hour > 24 || hour == 24 && minute+second > 0 {
		return Date{}, false
	}
	from := midnight.Add(time.Duration(hour*3600+minute*60+second) * time.Second)
	d := Date{From: from, To: from.Add(precision.step()), Precision: precision}
	if rest == "" {
		return d, true
	}
	offset, ok := time.Duration(0), rest == "Z" || rest == "z"
	if !ok && (rest[0] == '+' || rest[0] == '-') {
		offset, ok = parseOffset(rest)
	}
	d.From, d.To, d.Zoned = d.From.Add(-offset), d.To.Add(-offset), true
	return d, ok
}

// digits reads a short run of digits.
func digits(s string) (int, bool) {
	n := 0
	for i := 0; i < len(s); i++ {
		c := s[i] - '0'
		if c > 9 {
			return 0, false
		}
		n = n*10 + int(c)
	}
	return n, true
}

func onCalendar(y, m, d int) bool {
	return m >= 1 && m <= 12 && d >= 1 && d <= daysIn(y, m)
}

func daysIn(y, m int) int {
	switch m {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if y%4 == 0 && (y%100 != 0 || y%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

// parseWritten reads every form that is not ISO from the first character on.
func parseWritten(text string, order Order, o DateOptions) (Date, *Fault) {
	if first, second, ok := cutSpan(text); ok {
		from, fault := readOne(first, order, o)
		if fault != nil {
			return Date{}, fault
		}
		to, fault := readOne(second, order, o)
		if fault != nil {
			return Date{}, fault
		}
		if to.From.Before(from.From) {
			return Date{}, faultf(problem.DateOrder, "write the earlier date first", "%s ends before it begins", quote(text))
		}
		if from.Precision > Day || to.Precision > Day || from.Zoned != to.Zoned {
			return Date{}, notADate(text)
		}
		return Date{From: from.From, To: to.To, Precision: Between, Zoned: from.Zoned}, nil
	}
	return readOne(text, order, o)
}

func readOne(text string, order Order, o DateOptions) (Date, *Fault) {
	if d, ok := parseISO(tidy(text)); ok {
		return d, nil
	}
	w, fault := readWritten(text)
	if fault != nil {
		return Date{}, fault
	}
	return w.date(order, o, text)
}

// cutSpan splits "date - date", "date to date" and ISO's "date/date" where both
// sides are whole dates.
func cutSpan(text string) (first, second string, ok bool) {
	s := tidy(text)
	if _, ok := plainNumbers(s); ok {
		return "", "", false
	}
	for _, sep := range []string{" - ", " – ", " to ", " bis ", " au ", " al ", " until ", "/"} {
		first, second, found := strings.Cut(s, sep)
		if !found || sep == "/" && strings.Count(s, "/") != 1 {
			continue
		}
		if isWholeDate(first) && isWholeDate(second) {
			return first, second, true
		}
	}
	return "", "", false
}

func isWholeDate(s string) bool {
	if _, ok := parseISO(s); ok {
		return true
	}
	w, fault := readWritten(s)
	return fault == nil && w.hasYear && (w.form == threeNumbers || w.form == named)
}

func notADate(text string) *Fault {
	return faultf(problem.DateUnreadable, "write the date as 2024-03-31", "%s is not a date", quote(text))
}
