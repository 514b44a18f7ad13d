package source

import (
	"math"
	"strconv"
	"strings"
	"time"
)

const (
	// firstSureDay is 1 March 1900 as a day number. Before it, programs disagree:
	// some count a 29 February 1900, which never was.
	firstSureDay = 61
	// lastDay is 31 December 9999.
	lastDay = 2_958_465
	// macEpoch is the day number of 1 January 1904, from which some workbooks count.
	macEpoch = 1_462

	secondsOfDay = 86_400
)

// A serialCell is what a stored number means under its format.
type serialCell struct {
	kind   Kind
	number float64
	at     time.Time
	unit   string
	format string
	odd    bool // shown as a date, but no date that programs agree on
}

// readSerial gives the meaning of the stored number v. Days count from the epoch,
// which is itself a number of days after 30 December 1899.
func readSerial(v float64, f *numberFormat, epoch int) serialCell {
	s := f.section(v)
	cell := serialCell{kind: Number, number: v, format: f.code}
	switch s.kind {
	case boolFormat:
		cell.kind, cell.format = Bool, ""
		if v != 0 {
			cell.number = 1
		}
	case elapsedFormat:
		cell.kind = Span
	case clockFormat:
		cell.readClock(s, epoch)
	case dateFormat:
		cell.readDate(s, epoch)
	default:
		cell = plainNumber(v, s)
		if strings.Trim(f.code, "0.") == "" { // 2.1 under 0.00 is shown as 2.10, which may be a text's worth
			cell.format = f.code
		}
	}
	return cell
}

// plainNumber is a number that is no date or time, as its format shows it beside
// its unit.
func plainNumber(v float64, s *formatSection) serialCell {
	return serialCell{kind: Number, number: shiftDecimal(v, 2*s.percent-3*s.thousand), unit: s.unit}
}

// cell is the cell without its text.
func (s *serialCell) cell() Cell {
	return Cell{Kind: s.kind, Number: s.number, Time: s.at, Unit: s.unit, Format: s.format}
}

// readDate reads a day number, to the second, or to the millisecond where the
// format shows fractions of seconds.
func (c *serialCell) readDate(s *formatSection, epoch int) {
	at, ok := dayTime(c.number+float64(epoch), s.seconds)
	if !ok {
		c.odd = true
		return
	}
	c.at, c.kind, c.number = at, Date, 0
	if s.clock || !at.Equal(at.Truncate(24*time.Hour)) {
		c.kind = Instant
	}
}

// readClock reads a number shown as a time of day. With so many whole days that
// they make a date, it is an instant of which the format hides the date; with
// fewer, it is a stretch of time of which the format hides the days.
func (c *serialCell) readClock(s *formatSection, epoch int) {
	switch {
	case c.number >= 0 && c.number < 1:
		c.kind = Clock
	case c.number >= 1 && c.number < firstSureDay:
		c.kind = Span
	default:
		c.readDate(s, epoch)
	}
}

// dayTime is the time of a day number that counts from 30 December 1899, which
// is right from 1 March 1900 on.
func dayTime(days float64, fractions bool) (time.Time, bool) {
	if !(days >= firstSureDay && days < lastDay+1) {
		return time.Time{}, false
	}
	unit := time.Second
	if fractions {
		unit = time.Millisecond
	}
	perDay := float64(secondsOfDay) * float64(time.Second/unit)
	units := int64(math.Round(days * perDay))
	whole := units / int64(perDay)
	clock := time.Duration(units%int64(perDay)) * unit
	return time.Date(1899, time.December, 30, 0, 0, 0, 0, time.UTC).AddDate(0, 0, int(whole)).Add(clock), true
}

// shiftDecimal multiplies v by a power of ten without the error of binary
// multiplication: 0.07 times 100 is 7.
func shiftDecimal(v float64, places int) float64 {
	if places == 0 || v == 0 || math.IsInf(v, 0) || math.IsNaN(v) {
		return v
	}
	text := strconv.FormatFloat(v, 'e', -1, 64)
	e := len(text) - 1
	for text[e] != 'e' {
		e--
	}
	exponent, err := strconv.Atoi(text[e+1:])
	if err != nil {
		return v * math.Pow10(places)
	}
	shifted, err := strconv.ParseFloat(text[:e+1]+strconv.Itoa(exponent+places), 64)
	if err != nil {
		return v
	}
	return shifted
}

// appendNumber writes the shortest decimal that reads back as v.
func appendNumber(out []byte, v float64) []byte {
	if a := math.Abs(v); a != 0 && (a < 1e-7 || a >= 1e21) {
		return strconv.AppendFloat(out, v, 'e', -1, 64)
	}
	return strconv.AppendFloat(out, v, 'f', -1, 64)
}

// appendValue writes the cell's value: numbers as decimals, dates and times in
// the form of ISO 8601, stretches of time as hours, minutes and seconds.
func (c *serialCell) appendValue(out []byte) []byte {
	switch c.kind {
	case Date:
		return c.at.AppendFormat(out, "2006-01-02")
	case Instant:
		return c.at.AppendFormat(out, "2006-01-02T15:04:05.999")
	case Clock, Span:
		return appendHours(out, c.number)
	case Bool:
		return append(out, truthText(c.number != 0)...)
	}
	return appendNumber(out, c.number)
}

func truthText(truth bool) string {
	if truth {
		return "TRUE"
	}
	return "FALSE"
}

// appendHours writes days as h:mm:ss with at least two digits for the hours.
func appendHours(out []byte, days float64) []byte {
	if days < 0 {
		out, days = append(out, '-'), -days
	}
	milliseconds := math.Round(days * secondsOfDay * 1000)
	if milliseconds > 1e15 {
		return append(appendNumber(out, days), " days"...)
	}
	rest := int64(milliseconds)
	two := func(n int64) {
		if n < 10 {
			out = append(out, '0')
		}
		out = strconv.AppendInt(out, n, 10)
	}
	two(rest / 3_600_000)
	out = append(out, ':')
	two(rest / 60_000 % 60)
	out = append(out, ':')
	two(rest / 1000 % 60)
	if ms := rest % 1000; ms != 0 {
		out = append(out, '.', byte('0'+ms/100), byte('0'+ms/10%10), byte('0'+ms%10))
	}
	return out
}
