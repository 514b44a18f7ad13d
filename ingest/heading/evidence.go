package heading

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"gravid/ingest/cell"
	"gravid/ingest/source"
)

// Traits are the kinds that a cell can be. One cell can be of several: 1 is a
// count and an answer, 3-4 a range and a date without a year.
type traits uint8

const (
	isDate    traits = 1 << iota
	isInstant        // a date with a clock time
	isClock
	isNumber
	isCount // a number without decimals
	isAnswer
	isGroup // 2.3, trio; never a whole number alone
	isWords // letters that are none of the others
)

// shows are the traits of cells that speak for a field.
func (f Field) shows() traits {
	switch f {
	case Timestamp:
		return isInstant
	case AttemptID:
		return isWords | isNumber
	case Deaths, EggsEyed, Survivors:
		return isCount
	}
	switch f.Kind() {
	case KindDate:
		return isDate
	case KindClock:
		return isClock
	case KindMeasure:
		return isNumber
	case KindCount:
		return isCount
	case KindYesNo:
		return isAnswer
	case KindGroup:
		return isGroup
	}
	return isWords
}

// A sample is the kinds of the cells of a column; cells that say nothing are
// left out.
type sample []traits

// take looks at the cells of a column.
func take(rows []source.Row, at int, head, language string) sample {
	rows = slices.DeleteFunc(slices.Clone(rows), func(r source.Row) bool { // the heading again
		return at < len(r.Cells) && strings.EqualFold(strings.TrimSpace(r.Cells[at].Text), head)
	})
	texts := func(yield func(string) bool) {
		for _, r := range rows {
			if at < len(r.Cells) && !yield(r.Cells[at].Text) {
				return
			}
		}
	}
	marks := cell.DecideYesNo(texts, language)
	var out sample
	for _, r := range rows {
		if at >= len(r.Cells) {
			continue
		}
		if t, ok := traitsOf(r.Cells[at], marks); ok {
			out = append(out, t)
		}
	}
	return out
}

// Day numbers of a spreadsheet from 1980 to 2079.
const firstSerial, lastSerial = 29221, 65745

// traitsOf tells the kinds that a cell can be, and false where it says nothing.
func traitsOf(c source.Cell, marks cell.YesNo) (traits, bool) {
	switch c.Kind {
	case source.Blank, source.Fault, source.Formula:
		return 0, false
	case source.Date:
		return isDate, true
	case source.Instant:
		return isDate | isInstant, true
	case source.Clock, source.Span:
		return isClock, true
	case source.Bool:
		return isAnswer, true
	case source.Number:
		return traitsOfNumber(c.Number), true
	}
	return traitsOfText(c, marks)
}

func traitsOfNumber(v float64) traits {
	t := isNumber
	if v != float64(int64(v)) {
		return t | isGroup
	}
	t |= isCount
	if v == 0 || v == 1 {
		t |= isAnswer
	}
	if v >= firstSerial && v <= lastSerial {
		t |= isDate
	}
	return t
}

// anyTime is a window for dates whose shape alone matters here.
var anyTime = cell.Window{Earliest: time.Date(1950, 1, 1, 0, 0, 0, 0, time.UTC), Latest: time.Date(2049, 12, 31, 0, 0, 0, 0, time.UTC)}

// dayAndMonth is a date without a year, or something else.
var dayAndMonth = regexp.MustCompile(`^([0-3]?[0-9])[./-]([0-3]?[0-9])\.?$`)

// threeParts has the shape of a date, though it may name no day of the calendar: 30/02/2025.
var threeParts = regexp.MustCompile(`^(?:[0-3]?[0-9][./-][0-3]?[0-9][./-](?:19|20)?[0-9]{2}|(?:19|20)[0-9]{2}[./-][0-9]{1,2}[./-][0-9]{1,2})$`)

func traitsOfText(c source.Cell, marks cell.YesNo) (traits, bool) {
	text := strings.TrimSpace(c.Text)
	var t traits
	if a, fault := cell.AnswerOf(c, marks); fault == nil && a != cell.NoAnswer {
		t |= isAnswer
	} else if _, _, ok := cell.AnswerBefore(text, marks); ok {
		t |= isAnswer
	}
	if t == 0 && cell.IsMissing(text) {
		return 0, false
	}
	hasDigit := strings.ContainsFunc(text, unicode.IsDigit)
	if d, ok := dateIn(text); ok {
		t |= isDate
		if d.HasClock() {
			t |= isInstant
		}
	} else if m := dayAndMonth.FindStringSubmatch(text); m != nil && couldBeDay(m[1], m[2]) || threeParts.MatchString(text) {
		t |= isDate
	}
	if _, fault := cell.ParseClock(text); fault == nil {
		t |= isClock
	}
	if hasDigit {
		t |= traitsOfDigits(text, t)
	}
	if g, fault := cell.ParseGroup(text); fault == nil && (g.Males.OK || g.Females.OK || !plainNumber(text)) {
		t |= isGroup
	}
	if t&^isAnswer == 0 && !hasDigit && strings.ContainsFunc(text, unicode.IsLetter) {
		t |= isWords
	}
	return t, true
}

// traitsOfDigits reads text with digits as a number. What is a date with a word
// or a clock time in it is no number.
func traitsOfDigits(text string, so traits) traits {
	n, fault := cell.ParseNumber(text, cell.Open)
	switch {
	case fault != nil:
		if plainNumber(text) && so&(isDate|isClock) == 0 { // 1.200: a number, though nobody knows which
			return isNumber | isCount
		}
		return 0
	case so&(isDate|isClock) != 0 && n.Unit != "":
		return 0
	case n.Value != float64(int64(n.Value)) && !n.Range:
		return isNumber
	}
	return isNumber | isCount
}

func dateIn(text string) (cell.Date, bool) {
	o := cell.DateOptions{Window: anyTime}
	if strings.ContainsFunc(text, unicode.IsLetter) {
		o.Year = 2000 // 4 March: a leap year, so that every day exists
	}
	for _, order := range []cell.Order{cell.DMY, cell.MDY, cell.YMD} {
		if d, fault := cell.ParseDate(text, order, o); fault == nil {
			return d, true
		}
	}
	return cell.Date{}, false
}

func couldBeDay(a, b string) bool {
	x, _ := strconv.Atoi(a) // digits only, by the pattern
	y, _ := strconv.Atoi(b)
	return min(x, y) >= 1 && min(x, y) <= 12 && max(x, y) <= 31
}

func plainNumber(text string) bool {
	return strings.Trim(text, "0123456789.,' ") == "" && strings.ContainsFunc(text, unicode.IsDigit)
}

// decide picks the one field of several that all cells speak for. Cells that
// speak for none of them do not count, as long as they are few.
func (s sample) decide(fields []Field) (Field, bool) {
	var all traits
	for _, f := range fields {
		all |= f.shows()
	}
	common, voters := all, 0
	for _, t := range s {
		if t&all != 0 {
			common &= t
			voters++
		}
	}
	if voters == 0 || (len(s)-voters)*4 > voters {
		return None, false
	}
	found := None
	for _, f := range fields {
		switch {
		case f.shows()&common == 0:
		case found != None:
			return None, false
		default:
			found = f
		}
	}
	return found, found != None
}

// all reports whether there are cells, and each can be of a kind.
func (s sample) all(t traits) bool {
	return len(s) > 0 && !slices.ContainsFunc(s, func(x traits) bool { return x&t == 0 })
}

// contradicts reports whether the cells of a column are clearly something else
// than a field holds, and what. Cells that are merely written wrongly (31/02) are
// no contradiction: they are told one by one where they are read.
func (s sample) contradicts(f Field) (string, bool) {
	own, other, least := f.shows(), traits(0), 1
	switch f.Kind() {
	case KindText:
		switch f {
		case Keeper, Species, CommonName:
			other = isDate | isClock | isNumber
		default:
			return "", false
		}
		own = isWords | isGroup
	case KindYesNo:
		other = isDate | isClock | isNumber | isWords
	case KindDate:
		own |= isDate
		other = isNumber | isClock | isAnswer
	case KindClock:
		own |= isInstant // a clock time can be taken from it
		other = isDate | isNumber | isAnswer | isWords
	case KindMeasure, KindCount:
		own |= isNumber | isDate
		other, least = isClock|isAnswer|isWords, 2
	case KindGroup:
		other = isCount | isDate | isClock | isAnswer | isWords
	}
	if len(s) < least {
		return "", false
	}
	var common = ^traits(0)
	for _, t := range s {
		if t&own != 0 || t&other == 0 {
			return "", false
		}
		common &= t
	}
	return holds(common), true
}

// holds says what cells of a kind are, for messages.
func holds(t traits) string {
	for _, k := range []struct {
		t    traits
		name string
	}{{isDate, "dates"}, {isClock, "clock times"}, {isCount, "whole numbers"}, {isNumber, "numbers"}, {isAnswer, "answers of yes or no"}, {isGroup, "groups of fish"}, {isWords, "words"}} {
		if t&k.t != 0 {
			return k.name
		}
	}
	return "cells of several kinds"
}

// wants says what cells a field needs, for messages.
func wants(f Field) string {
	switch f.Kind() {
	case KindDate:
		return "dates"
	case KindClock:
		return "clock times"
	case KindMeasure:
		return "numbers"
	case KindCount:
		return "counts"
	case KindYesNo:
		return "answers of yes or no"
	case KindGroup:
		return "groups of fish such as 2.3"
	}
	return "words"
}

// aboutWords are words in the heading of a count that make it an estimate.
var aboutWords = []string{"ca", "circa", "approx", "approximate", "est", "estimated", "estimate", "about", "env", "environ", "estime", "estimes", "aprox", "estimados", "geschatzt", "geschatzte"}

// SaysAbout reports whether a heading says that its numbers are estimates: "eggs (est.)".
func SaysAbout(text string) bool {
	return strings.ContainsAny(text, "~≈") || slices.ContainsFunc(strings.Fields(key(text)), func(w string) bool { return slices.Contains(aboutWords, w) })
}
