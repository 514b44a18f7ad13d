package cell

import (
	"math"
	"strconv"
	"strings"
	"time"

	"gravid/ingest/cell/word"
	"gravid/ingest/club"
	"gravid/ingest/problem"
	"gravid/ingest/source"
)

// A Clock is a time of day, or a part of the day. From belongs to it, To no
// longer: 7:30 is [7:30, 7:31), evening is [18:00, 24:00). Both count from
// midnight and may reach 24 hours and more.
type Clock struct {
	From, To  time.Duration
	Precision Precision // Second, Minute or PartOfDay
	Word      string    // the word that named the part of the day, as written
	Zoned     bool      // the cell states a zone
	Offset    time.Duration
}

// ParseClock reads a time of day: 7:30, 07:30:15, 7.30pm, 7:30 a.m., 19h05,
// 7 Uhr 30, 0730, 24:00 (midnight at the end of the day), or a word such as
// evening. A zone may follow: Z, UTC, +01:00. 7.3 and a bare 7 are refused.
func ParseClock(text string) (Clock, *Fault) {
	s := strings.ToLower(tidy(text))
	if part, ok := partsOfDay[word.Fold(s)]; ok {
		return Clock{From: part.from, To: part.to, Precision: PartOfDay, Word: tidy(text)}, nil
	}
	var c Clock
	s, c.Zoned, c.Offset = cutZone(s)
	s, half := cutHalf(s)
	numbers, precision, ok := clockNumbers(s, half != 0)
	hour, minute, second := numbers[0], numbers[1], numbers[2]
	switch {
	case !ok:
		return Clock{}, faultf(problem.TimeUnreadable, "write the time as 19:30", "%s is not a time of day", quote(text))
	case half != 0 && (hour < 1 || hour > 12), minute > 59, second > 59, hour > 24, hour == 24 && (minute > 0 || second > 0):
		return Clock{}, faultf(problem.TimeUnreadable, "write the time as 19:30", "there is no time %s on the clock", quote(text))
	}
	if half != 0 {
		hour %= 12
		if half == 'p' {
			hour += 12
		}
	}
	c.Precision = precision
	c.From = time.Duration(hour)*time.Hour + time.Duration(minute)*time.Minute + time.Duration(second)*time.Second
	c.To = c.From + precision.step()
	return c, nil
}

// ClockOf reads a cell. It is not OK, without a Fault, when nothing was
// recorded.
func ClockOf(c source.Cell) (club.Maybe[Clock], *Fault) {
	var none club.Maybe[Clock]
	switch c.Kind {
	case source.Blank:
		return none, nil
	case source.Text:
		if IsMissing(c.Text) {
			return none, nil
		}
		clock, fault := ParseClock(c.Text)
		return club.Maybe[Clock]{V: clock, OK: fault == nil}, fault
	case source.Clock:
		at := time.Duration(math.Round(c.Number*86400)) * time.Second
		if c.Number < 0 || c.Number > 1 {
			return none, faultf(problem.TimeUnreadable, "type the time again, from 00:00 to 24:00", "the stored time lies outside one day")
		}
		return club.Some(Clock{From: at, To: at + time.Second, Precision: Second}), nil
	case source.Number, source.Date, source.Instant, source.Span, source.Bool:
		return none, faultf(problem.TimeUnreadable, "write the time as 19:30", "a time of day is needed, but the cell holds %s", quote(c.Text))
	}
	return none, unreadable(c)
}

// partsOfDay are words for a stretch of the day. Midnight is not among them: it
// does not say whether a day begins or ends with it.
var partsOfDay = parts(map[[2]int][]string{
	{6, 12}:  {"morning", "in the morning", "am morning", "this morning", "fruh", "fruhmorgens", "morgens", "morgen", "am morgen", "vormittag", "vormittags", "matin", "le matin", "matinee", "manana", "por la manana"},
	{11, 13}: {"noon", "midday", "at noon", "mittag", "mittags", "midi", "mediodia", "a mediodia"},
	{12, 18}: {"afternoon", "in the afternoon", "nachmittag", "nachmittags", "apres midi", "lapres midi", "tarde", "por la tarde"},
	{18, 24}: {"evening", "in the evening", "abend", "abends", "am abend", "soir", "le soir", "soiree", "tarde noche", "anochecer"},
	{18, 30}: {"night", "at night", "overnight", "nacht", "nachts", "in der nacht", "nuit", "la nuit", "noche", "por la noche"},
})

type partOfDay struct{ from, to time.Duration }

func parts(lists map[[2]int][]string) map[string]partOfDay {
	m := map[string]partOfDay{}
	for hours, list := range lists {
		for _, w := range list {
			m[w] = partOfDay{time.Duration(hours[0]) * time.Hour, time.Duration(hours[1]) * time.Hour}
		}
	}
	return m
}

// cutZone cuts Z, UTC, GMT or an offset from the end of a time with a colon.
func cutZone(s string) (string, bool, time.Duration) {
	for _, name := range []string{"utc", "gmt", "z"} {
		if rest, ok := strings.CutSuffix(s, name); ok && strings.ContainsFunc(rest, isDigit) {
			return strings.TrimRight(rest, " "), true, 0
		}
	}
	i := strings.LastIndexAny(s, "+-")
	if i < 1 || !strings.Contains(s[:i], ":") {
		return s, false, 0
	}
	offset, ok := parseOffset(s[i:])
	if !ok {
		return s, false, 0
	}
	return strings.TrimSuffix(strings.TrimRight(s[:i], " "), "utc"), true, offset
}

// parseOffset reads +01:00, +0100 or +01.
func parseOffset(s string) (time.Duration, bool) {
	digits := strings.Replace(s[1:], ":", "", 1)
	if len(digits) != 2 && len(digits) != 4 || len(s) > 6 || !allDigits(digits) {
		return 0, false
	}
	n, _ := strconv.Atoi((digits + "00")[:4])
	if n/100 > 14 || n%100 > 59 {
		return 0, false
	}
	offset := time.Duration(n/100)*time.Hour + time.Duration(n%100)*time.Minute
	if s[0] == '-' {
		offset = -offset
	}
	return offset, true
}

// cutHalf cuts am or pm and returns 'a', 'p' or 0.
func cutHalf(s string) (string, byte) {
	for _, suffix := range []string{"a.m.", "p.m.", "a. m.", "p. m.", "a.m", "p.m", "am", "pm"} {
		if rest, ok := strings.CutSuffix(s, suffix); ok {
			return strings.TrimRight(rest, " "), suffix[0]
		}
	}
	return s, 0
}

// clockNumbers splits 7:30:15, 7.30, 19h05, 7 uhr 30 and 0730 into hours,
// minutes and seconds. Minutes and seconds have two digits. A bare hour needs a
// word after it (7 Uhr, 19h) or am or pm.
func clockNumbers(s string, bareHour bool) (numbers [3]int, precision Precision, ok bool) {
	if rest, found := strings.CutSuffix(s, "uhr"); found {
		s, bareHour = strings.TrimRight(rest, " "), true
	} else if rest, found := strings.CutSuffix(s, "h"); found {
		s, bareHour = strings.TrimRight(rest, " "), true
	}
	for _, long := range []string{" uhr ", " h ", "uhr", "h"} {
		s = strings.Replace(s, long, ":", 1)
	}
	if len(s) == 4 && allDigits(s) && !bareHour {
		s = s[:2] + ":" + s[2:]
	}
	fields := strings.Split(s, ":")
	if len(fields) == 1 {
		fields = strings.Split(s, ".")
	}
	if len(fields) > 3 || len(fields) == 1 && !bareHour {
		return numbers, 0, false
	}
	precision = Minute
	for i, f := range fields {
		if i == 2 {
			precision = Second
			whole, fraction, _ := strings.Cut(f, ".") // fractions of a second are cut off
			if !allDigits("0" + fraction) {
				return numbers, 0, false
			}
			f = whole
		}
		if len(f) == 0 || len(f) > 2 || i > 0 && len(f) != 2 || !allDigits(f) {
			return numbers, 0, false
		}
		numbers[i], _ = strconv.Atoi(f)
	}
	return numbers, precision, true
}

func allDigits(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s != ""
}
