package cell

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"gravid/ingest/cell/word"
	"gravid/ingest/problem"
)

// form is the shape in which a date was written.
type form uint8

const (
	yearFirst    form = iota + 1 // 2024-3-31, 20240331, 2024 Mar 31
	named                        // 31 March 2024, 31.Mär
	threeNumbers                 // 3.4.24, 03/04/2024: needs an order
	twoNumbers                   // 3/4: needs an order and a year
	wholeMonth                   // March 2024, 03/2024
	wholeYear                    // 2024
	wholeWeek                    // KW14 2024, 2024-W14
	monthOrDay                   // Mar 24: a day or a year
)

// written is a date as it stands in a cell, before order and missing year are
// known.
type written struct {
	form       form
	numbers    [3]int // threeNumbers, twoNumbers: as they come
	sep        byte   // threeNumbers: the sign between them
	year       int    // other forms; also the last number of threeNumbers
	hasYear    bool
	shortYear  bool // two digits
	month, day int
	weekday    int // as time.Weekday, -1 = none written
	clock      *Clock
}

// token is a run of digits, a run of letters, or one other sign.
type token struct {
	text   string
	kind   byte // 'n' number, 'w' word, 'p' sign
	start  int
	end    int
	spaced bool // a space stands before it
}

func tokenise(s string) []token {
	var tokens []token
	spaced := false
	for i := 0; i < len(s) && len(tokens) < 16; {
		r, size := utf8.DecodeRuneInString(s[i:])
		kind := kindOf(r)
		if kind == ' ' {
			spaced, i = true, i+size
			continue
		}
		end := i + size
		for kind != 'p' && end < len(s) {
			next, n := utf8.DecodeRuneInString(s[end:])
			if kindOf(next) != kind {
				break
			}
			end += n
		}
		tokens = append(tokens, token{s[i:end], kind, i, end, spaced})
		spaced, i = false, end
	}
	return tokens
}

func kindOf(r rune) byte {
	switch {
	case isDigit(r):
		return 'n'
	case unicode.IsLetter(r), unicode.Is(unicode.Mn, r):
		return 'w'
	case r == ' ':
		return ' '
	}
	return 'p'
}

// readWritten reads a date from text. Every way of reading that uses the whole
// text is tried; two different results are a Fault.
func readWritten(text string) (written, *Fault) {
	s := tidy(text)
	if w, ok := plainNumbers(s); ok {
		return w, nil
	}
	if len(s) > 80 {
		return written{}, notADate(text)
	}
	found, clockFault := readings(s)
	if len(found) == 0 {
		found = clockFirst(s)
	}
	switch {
	case len(found) == 0 && clockFault != nil:
		return written{}, clockFault
	case len(found) == 0:
		return written{}, notADate(text)
	case len(found) > 1:
		return written{}, faultf(problem.DateUnreadable, "write the date as 2024-03-31", "%s can be read as more than one date", quote(text))
	}
	return found[0], nil
}

// plainNumbers is the fast path for loggers: 31/03/2024 and 31.3.24 07:30:15,
// which no other pattern reads otherwise.
func plainNumbers(s string) (written, bool) {
	w := written{form: threeNumbers, hasYear: true, weekday: -1}
	i := 0
	for part := range w.numbers {
		start := i
		for i < len(s) && isDigit(rune(s[i])) {
			i++
		}
		width := i - start
		if width != 2 && !(width == 1 && part < 2) && !(width == 4 && part == 2) {
			return written{}, false
		}
		w.numbers[part], _ = digits(s[start:i])
		switch {
		case part == 2:
			w.year, w.shortYear = w.numbers[2], width == 2
		case i == len(s) || s[i] != '.' && s[i] != '/' && s[i] != '-' || part == 1 && s[i] != w.sep:
			return written{}, false
		default:
			w.sep = s[i]
			i++
		}
	}
	if !w.shortYear && (w.year < 1900 || w.year >= 2200) {
		return written{}, false
	}
	if i == len(s) {
		return w, true
	}
	c, ok := plainClock(s[i:])
	w.clock = &c
	return w, ok
}

// plainClock reads " 07:30" and " 07:30:15".
func plainClock(s string) (Clock, bool) {
	if len(s) != 6 && len(s) != 9 || s[0] != ' ' || s[3] != ':' || len(s) == 9 && s[6] != ':' {
		return Clock{}, false
	}
	hour, okHour := digits(s[1:3])
	minute, okMinute := digits(s[4:6])
	second, okSecond, precision := 0, true, Minute
	if len(s) == 9 {
		second, okSecond = digits(s[7:9])
		precision = Second
	}
	if !okHour || !okMinute || !okSecond || hour > 23 || minute > 59 || second > 59 {
		return Clock{}, false
	}
	from := time.Duration(hour*3600+minute*60+second) * time.Second
	return Clock{From: from, To: from + precision.step(), Precision: precision}, true
}

// readings returns every date, with or without a clock time after it, that s as
// a whole can be. The Fault tells of a clock time that cannot be read after a
// date that can.
func readings(s string) ([]written, *Fault) {
	tokens := tokenise(s)
	var found []written
	var clockFault *Fault
	add := func(w written, rest string) {
		if rest != "" && !strings.ContainsRune(" ,Tt(", rune(rest[0])) {
			return // the number goes on: 3.4 of 3.4.2
		}
		if rest = clockText(rest); rest != "" {
			c, fault := ParseClock(rest)
			if fault != nil {
				clockFault = fault
				return
			}
			w.clock = &c
		}
		if !slices.ContainsFunc(found, w.equal) {
			found = append(found, w)
		}
	}
	read := func(tokens []token, weekday int) {
		for _, p := range patterns {
			if w, n, ok := p(tokens); ok {
				w.weekday = weekday
				add(w, s[tokens[n-1].end:])
			}
		}
	}
	tokens = skip(tokens, leadWords...)
	read(tokens, -1)
	if len(tokens) > 1 && tokens[0].kind == 'w' {
		if weekday, ok := weekdayNames[word.Fold(tokens[0].text)]; ok {
			read(skip(skip(tokens[1:], ".", ","), leadWords...), weekday)
		}
	}
	// 3. 4. 2024 is a date with a year, not a date at 20:24.
	if slices.ContainsFunc(found, func(w written) bool { return w.hasYear }) {
		found = slices.DeleteFunc(found, func(w written) bool { return !w.hasYear })
	}
	return found, clockFault
}

func (w written) equal(other written) bool {
	a, b := w.clock, other.clock
	w.clock, other.clock = nil, nil
	return w == other && (a == nil) == (b == nil) && (a == nil || *a == *b)
}

var leadWords = []string{"am", "den", "le", "el", "on", "the"}

// skip drops leading tokens that are one of the texts.
func skip(tokens []token, texts ...string) []token {
	for len(tokens) > 0 && slices.Contains(texts, strings.ToLower(tokens[0].text)) {
		tokens = tokens[1:]
	}
	return tokens
}

// clockText cuts what joins a date and a time.
func clockText(rest string) string {
	rest = strings.Trim(rest, " ,")
	if len(rest) > 1 && (rest[0] == 'T' || rest[0] == 't') && isDigit(rune(rest[1])) {
		return rest[1:]
	}
	if strings.HasPrefix(rest, "(") && strings.HasSuffix(rest, ")") {
		rest = rest[1 : len(rest)-1]
	}
	for _, lead := range []string{"at ", "um ", "à ", "a las ", "a la "} {
		if after, ok := strings.CutPrefix(rest, lead); ok {
			return after
		}
	}
	return rest
}

// clockFirst reads "07:30 03/04/2024".
func clockFirst(s string) []written {
	for i := 0; i < len(s); i++ {
		if s[i] != ' ' || !strings.Contains(s[:i], ":") {
			continue
		}
		c, fault := ParseClock(s[:i])
		if fault != nil {
			continue
		}
		found, _ := readings(s[i+1:])
		if len(found) > 0 && found[0].clock == nil {
			found[0].clock = &c
			return found
		}
	}
	return nil
}

// A pattern reads one form from the first tokens and returns how many it used.
type pattern func([]token) (written, int, bool)

var patterns = []pattern{compact, fourDigitsFirst, numbersThree, numbersTwo, numberMonth, dayName, nameDay, weekNumber}

// at returns a token, or an empty one beyond the end.
func at(tokens []token, i int) token {
	if i < len(tokens) {
		return tokens[i]
	}
	return token{}
}

func (t token) number(minDigits, maxDigits int) (int, bool) {
	if t.kind != 'n' || len(t.text) < minDigits || len(t.text) > maxDigits {
		return 0, false
	}
	n, _ := digits(t.text)
	return n, true
}

func (t token) fullYear() (int, bool) {
	y, ok := t.number(4, 4)
	return y, ok && y >= 1900 && y < 2200
}

func (t token) month() (int, bool) {
	if t.kind != 'w' {
		return 0, false
	}
	m, ok := monthNames[word.Fold(t.text)]
	return m, ok
}

// year reads a year of two or four digits at i. A number that a clock time
// begins with is none.
func yearAt(tokens []token, i int) (year int, short, ok bool) {
	if y, ok := at(tokens, i).fullYear(); ok {
		return y, false, true
	}
	y, ok := at(tokens, i).number(2, 2)
	next := at(tokens, i+1)
	if ok && !next.spaced && (next.text == ":" || next.text == "." && at(tokens, i+2).kind == 'n' || strings.EqualFold(next.text, "h") || strings.EqualFold(next.text, "uhr")) {
		return 0, false, false
	}
	if half := strings.ToLower(next.text); ok && (half == "am" || half == "pm" || half == "a" || half == "p" || half == "uhr") {
		return 0, false, false
	}
	return y, true, ok
}

func isSeparator(t token) bool {
	return !t.spaced && (t.text == "." || t.text == "/" || t.text == "-")
}

// compact reads 20240331.
func compact(t []token) (written, int, bool) {
	n, ok := at(t, 0).number(8, 8)
	y, m, d := n/10000, n/100%100, n%100
	if !ok || y < 1900 || y >= 2200 || !onCalendar(y, m, d) {
		return written{}, 0, false
	}
	return written{form: yearFirst, year: y, month: m, day: d, hasYear: true}, 1, true
}

// fourDigitsFirst reads 2024-3-31, 2024 Mar 31, 2024-03, 2024-W14 and 2024.
func fourDigitsFirst(t []token) (written, int, bool) {
	y, ok := at(t, 0).fullYear()
	if !ok {
		return written{}, 0, false
	}
	w := written{form: wholeYear, year: y, hasYear: true}
	if isSeparator(at(t, 1)) && !at(t, 2).spaced {
		if week, ok := at(t, 3).number(2, 2); ok && strings.EqualFold(at(t, 2).text, "w") {
			w.form, w.day = wholeWeek, week
			return w, 4, true
		}
		if m, ok := at(t, 2).number(1, 2); ok {
			if d, ok := at(t, 4).number(1, 2); ok && at(t, 3).text == at(t, 1).text && isSeparator(at(t, 3)) && !at(t, 4).spaced {
				w.form, w.month, w.day = yearFirst, m, d
				return w, 5, true
			}
			w.form, w.month = wholeMonth, m
			return w, 3, m >= 1 && m <= 12 && at(t, 1).text != "."
		}
	}
	i := 1
	if isSeparator(at(t, i)) {
		i++
	}
	if m, ok := at(t, i).month(); ok {
		if i++; isSeparator(at(t, i)) {
			i++
		}
		if d, ok := at(t, i).number(1, 2); ok {
			w.form, w.month, w.day = yearFirst, m, d
			return w, i + 1, true
		}
		return w, 0, false
	}
	return w, 1, len(t) == 1
}

// numbersThree reads 3.4.24, 03/04/2024 and 3. 4. 2024.
func numbersThree(t []token) (written, int, bool) {
	a, okA := at(t, 0).number(1, 2)
	b, okB := at(t, 2).number(1, 2)
	sep := at(t, 1)
	if !okA || !okB || !isSeparator(sep) || at(t, 3).text != sep.text || at(t, 3).spaced {
		return written{}, 0, false
	}
	if (at(t, 2).spaced || at(t, 4).spaced) && sep.text != "." {
		return written{}, 0, false
	}
	y, short, ok := yearAt(t, 4)
	return written{form: threeNumbers, numbers: [3]int{a, b, y}, sep: sep.text[0], year: y, shortYear: short, hasYear: true}, 5, ok
}

// numbersTwo reads 3/4 and 3.4. without a year.
func numbersTwo(t []token) (written, int, bool) {
	a, okA := at(t, 0).number(1, 2)
	b, okB := at(t, 2).number(1, 2)
	if !okA || !okB || !isSeparator(at(t, 1)) || at(t, 2).spaced && at(t, 1).text != "." {
		return written{}, 0, false
	}
	n := 3
	if at(t, 3).text == "." && !at(t, 3).spaced && (at(t, 4).spaced || len(t) == 4) {
		n = 4
	}
	return written{form: twoNumbers, numbers: [3]int{a, b}, sep: at(t, 1).text[0]}, n, true
}

// numberMonth reads 03/2024.
func numberMonth(t []token) (written, int, bool) {
	m, okM := at(t, 0).number(1, 2)
	y, okY := at(t, 2).fullYear()
	return written{form: wholeMonth, month: m, year: y, hasYear: true}, 3, okM && okY && isSeparator(at(t, 1)) && m >= 1 && m <= 12
}

// dayName reads 31 March 2024, 31.Mär.24, 1er avril, 3 de abril de 2024.
func dayName(t []token) (written, int, bool) {
	d, ok := at(t, 0).number(1, 2)
	if !ok {
		return written{}, 0, false
	}
	i := 1
	for slices.Contains(ordinals, strings.ToLower(at(t, i).text)) {
		i++
	}
	m, ok := at(t, i).month()
	if !ok {
		return written{}, 0, false
	}
	w := written{form: named, month: m, day: d}
	end := i + 1
	if at(t, end).text == "." && !at(t, end).spaced {
		end++
	}
	i = end
	for slices.Contains([]string{"-", "/", ",", "de", "del", "'", "’"}, strings.ToLower(at(t, i).text)) {
		i++
	}
	if y, short, ok := yearAt(t, i); ok {
		w.year, w.shortYear, w.hasYear = y, short, true
		end = i + 1
	}
	return w, end, true
}

var ordinals = []string{".", "-", "/", "°", "º", "st", "nd", "rd", "th", "er", "ter", "de", "of"}

// nameDay reads March 31, 2024, March 2024, Mar '24 and March.
func nameDay(t []token) (written, int, bool) {
	m, ok := at(t, 0).month()
	if !ok {
		return written{}, 0, false
	}
	i := 1
	for slices.Contains([]string{".", "-", "/", "de"}, strings.ToLower(at(t, i).text)) {
		i++
	}
	if y, ok := at(t, i).fullYear(); ok {
		return written{form: wholeMonth, month: m, year: y, hasYear: true}, i + 1, true
	}
	if y, ok := at(t, i+1).number(2, 2); ok && (at(t, i).text == "'" || at(t, i).text == "’") {
		return written{form: wholeMonth, month: m, year: y, shortYear: true, hasYear: true}, i + 2, true
	}
	d, ok := at(t, i).number(1, 2)
	if !ok {
		return written{form: wholeMonth, month: m}, i, i == 1 || at(t, 1).text == "."
	}
	w, digits := written{form: named, month: m, day: d}, len(at(t, i).text)
	end := i + 1
	for slices.Contains([]string{"st", "nd", "rd", "th"}, strings.ToLower(at(t, end).text)) {
		end, digits = end+1, 1
	}
	i = end
	if at(t, i).text == "," || at(t, i).text == "-" || at(t, i).text == "/" {
		i++
	}
	if y, ok := at(t, i).fullYear(); ok {
		w.year, w.hasYear = y, true
		return w, i + 1, true
	}
	if digits == 2 {
		w.form = monthOrDay
	}
	return w, end, true
}

// weekNumber reads KW14, KW 14/2024 and week 14 2024.
func weekNumber(t []token) (written, int, bool) {
	if !slices.Contains([]string{"kw", "week", "wk", "cw", "woche", "semaine", "semana"}, strings.ToLower(at(t, 0).text)) {
		return written{}, 0, false
	}
	n, ok := at(t, 1).number(1, 2)
	w := written{form: wholeWeek, day: n}
	i := 2
	if at(t, i).text == "/" || at(t, i).text == "," || at(t, i).text == "-" {
		i++
	}
	if y, found := at(t, i).fullYear(); found {
		w.year, w.hasYear = y, true
		return w, i + 1, ok
	}
	return w, 2, ok
}

// date makes a Date of what was written, now that the order is known.
func (w written) date(order Order, o DateOptions, text string) (Date, *Fault) {
	if fault := w.fillYear(o, text); fault != nil {
		return Date{}, fault
	}
	var d Date
	switch w.form {
	case wholeYear:
		from := time.Date(w.year, 1, 1, 0, 0, 0, 0, time.UTC)
		d = Date{From: from, To: from.AddDate(1, 0, 0), Precision: Year}
	case wholeMonth:
		from := time.Date(w.year, time.Month(w.month), 1, 0, 0, 0, 0, time.UTC)
		d = Date{From: from, To: from.AddDate(0, 1, 0), Precision: Month}
	case wholeWeek:
		from, ok := isoWeek(w.year, w.day)
		if !ok {
			return Date{}, faultf(problem.DateUnreadable, "write the date as 2024-03-31", "%d has no week %d", w.year, w.day)
		}
		d = Date{From: from, To: from.AddDate(0, 0, 7), Precision: Week}
	case monthOrDay:
		return Date{}, faultf(problem.DateAmbiguous, "write the year with four digits", "%s may be a day of the month or a year", quote(text))
	default:
		var fault *Fault
		if d, fault = w.dayOf(order, o, text); fault != nil {
			return Date{}, fault
		}
	}
	if w.clock == nil {
		return d, nil
	}
	if d.Precision != Day {
		return Date{}, notADate(text)
	}
	return d.at(*w.clock), nil
}

// fillYear completes a missing year, and a year of two digits outside
// threeNumbers.
func (w *written) fillYear(o DateOptions, text string) *Fault {
	switch {
	case w.form == threeNumbers || w.form == monthOrDay:
		return nil
	case !w.hasYear && o.Year == 0:
		return faultf(problem.DatePartial, "write the year, or name the year of the sheet in the mapping: year = 2024", "%s has no year", quote(text))
	case !w.hasYear:
		w.year = o.Year
	case w.shortYear:
		y, ok := o.Window.century(w.year)
		if !ok {
			return faultf(problem.DateUnreadable, "write the year with four digits", "the year of %s has two digits", quote(text))
		}
		w.year = y
	}
	return nil
}

// century completes a year of two digits: of this century if it has begun, else
// of the last.
func (w Window) century(y int) (int, bool) {
	if w.open() {
		return 0, false
	}
	if y += 2000; y > w.Latest.Year() {
		y -= 100
	}
	return y, true
}

// dayOf makes the Day of a form that names one.
func (w written) dayOf(order Order, o DateOptions, text string) (Date, *Fault) {
	y, m, d := w.year, w.month, w.day
	if w.form == threeNumbers || w.form == twoNumbers {
		if order == OrderUnknown {
			order = w.onlyOrder(o)
		}
		if order == OrderUnknown {
			return Date{}, faultf(problem.DateAmbiguous, `name the order in the mapping: dates = "dmy" or dates = "mdy"`, "day and month of %s cannot be told apart", quote(text))
		}
		var ok bool
		if y, m, d, ok = w.ordered(order, o); !ok {
			return Date{}, faultf(problem.DateUnreadable, "write the date as 2024-03-31", "%s cannot be read in the order %s of its column", quote(text), order)
		}
	}
	if !onCalendar(y, m, d) {
		return Date{}, faultf(problem.DateUnreadable, "write the date as 2024-03-31", "%s is not a day of the calendar: %s", quote(text), whyNot(y, m, d))
	}
	t := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC)
	if w.weekday >= 0 && int(t.Weekday()) != w.weekday {
		return Date{}, faultf(problem.DateUnreadable, "mend the date or the day of the week", "%s was a %s, not a %s", t.Format("2006-01-02"), t.Weekday(), time.Weekday(w.weekday))
	}
	return day(t), nil
}

func whyNot(y, m, d int) string {
	switch {
	case m < 1 || m > 12:
		return fmt.Sprintf("there is no month %d", m)
	case m == 2 && d == 29:
		return fmt.Sprintf("%d is no leap year", y)
	}
	return fmt.Sprintf("%s %d has %d days", time.Month(m), y, daysIn(y, m))
}

// isoWeek returns the Monday of a week of ISO 8601.
func isoWeek(year, week int) (time.Time, bool) {
	fourth := time.Date(year, 1, 4, 0, 0, 0, 0, time.UTC)
	sinceMonday := (int(fourth.Weekday()) + 6) % 7
	monday := fourth.AddDate(0, 0, 7*(week-1)-sinceMonday)
	gotYear, gotWeek := monday.ISOWeek()
	return monday, gotYear == year && gotWeek == week
}
