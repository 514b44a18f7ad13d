package source

import (
	"strconv"
	"strings"
)

// A numberFormat says how a spreadsheet program shows a stored number: ECMA-376
// part 1, 18.8.30 and 18.8.31. It decides what kind of value the number is.
type numberFormat struct {
	code     string
	sections []formatSection
}

// A formatSection is the part of a number format for some numbers: by default the
// first is for positive numbers, the second for negative ones, the third for 0.
type formatSection struct {
	operator string // "<", ">=" and so on; empty = the default use of its position
	operand  float64

	kind     formatKind
	percent  int    // how many times the number is shown times 100
	thousand int    // how many times it is shown divided by 1,000
	unit     string // text shown with the number
	seconds  bool   // shows fractions of a second
	year, month, day,
	clock bool // parts of dates that are shown
}

type formatKind uint8

const (
	plainFormat   formatKind = iota // a number, or text
	dateFormat                      // a date, with a clock time when section.clock
	clockFormat                     // a time of day
	elapsedFormat                   // hours, minutes or seconds beyond a day or an hour
	boolFormat                      // a number shown as TRUE or FALSE
)

func parseFormat(code string) *numberFormat {
	f := &numberFormat{code: code}
	const most = 4 // positive, negative, 0, text
	for rest, more := code, true; more && len(f.sections) < most; {
		var section formatSection
		section, rest, more = parseSection(rest)
		f.sections = append(f.sections, section)
	}
	if isTruthFormat(code) {
		f.sections[0].kind = boolFormat
	}
	return f
}

// isTruthFormat knows the way in which LibreOffice stores truth values that it
// shows as TRUE and FALSE.
func isTruthFormat(code string) bool {
	return strings.EqualFold(code, `"TRUE";"TRUE";"FALSE"`)
}

// section is the part of the format that applies to v.
func (f *numberFormat) section(v float64) *formatSection {
	n := len(f.sections)
	if n >= 2 && f.sections[0].operator != "" {
		first, second := &f.sections[0], &f.sections[1]
		switch {
		case first.admits(v):
			return first
		case n == 2 || second.admits(v):
			return second
		}
		return &f.sections[2]
	}
	switch {
	case v < 0 && n >= 2:
		return &f.sections[1]
	case v == 0 && n >= 3:
		return &f.sections[2]
	}
	return &f.sections[0]
}

func (s *formatSection) admits(v float64) bool {
	switch s.operator {
	case "<":
		return v < s.operand
	case "<=":
		return v <= s.operand
	case ">":
		return v > s.operand
	case ">=":
		return v >= s.operand
	case "=":
		return v == s.operand
	case "<>":
		return v != s.operand
	}
	return true
}

// sectionScan is a section of a format while it is read.
type sectionScan struct {
	formatSection
	letters []string // runs of the date letters y m d h s, in order
	date    bool     // some part of a date is shown
	digits  bool     // places for digits stand outside fractions of a second
	commas  int      // commas since the last place for a digit
	before  strings.Builder
	after   strings.Builder
}

// parseSection reads a section up to the next semicolon outside quotes.
func parseSection(code string) (section formatSection, rest string, more bool) {
	var s sectionScan
	for len(code) > 0 {
		used, separator := s.item(code)
		code = code[used:]
		if separator {
			return s.finished(), code, true
		}
	}
	return s.finished(), "", false
}

// item takes the first item of code, and gives its length.
func (s *sectionScan) item(code string) (used int, separator bool) {
	lower := strings.ToLower(code[:min(len(code), 8)])
	switch c := code[0]; {
	case c == ';':
		return 1, true
	case c == '"':
		text, _, _ := strings.Cut(code[1:], `"`)
		s.literal(text)
		return min(len(text)+2, len(code)), false
	case c == '\\' || c == '!':
		n := runeLen(code[1:])
		s.literal(code[1 : 1+n])
		return 1 + n, false
	case c == '_' || c == '*':
		return 1 + runeLen(code[1:]), false
	case c == '[':
		inside, _, _ := strings.Cut(code[1:], "]")
		s.bracket(inside)
		return min(len(inside)+2, len(code)), false
	case strings.HasPrefix(lower, "general"):
		s.digits = true
		return len("general"), false
	case strings.HasPrefix(lower, "am/pm"):
		s.letters = append(s.letters, "h")
		return len("am/pm"), false
	case strings.HasPrefix(lower, "a/p"):
		s.letters = append(s.letters, "h")
		return len("a/p"), false
	case c == '%':
		s.percent++
		return 1, false
	case s.digits && (strings.HasPrefix(lower, "e+") || strings.HasPrefix(lower, "e-")):
		return 2, false
	case strings.IndexByte("ymdhseg", lower[0]) >= 0:
		n := len(lower) - len(strings.TrimLeft(lower, lower[:1]))
		if s.digits {
			s.literal(code[:n]) // no date letter follows digits: "0 h" is a unit
		} else {
			s.letters = append(s.letters, lower[:n])
		}
		return n, false
	}
	return s.sign(code), false
}

// sign takes one character that is no item of its own.
func (s *sectionScan) sign(code string) int {
	switch c := code[0]; c {
	case '0', '#', '?':
		if s.afterSeconds() {
			s.seconds = true
		} else {
			s.digits = true
			s.commas = 0
		}
	case ',':
		if s.digits {
			s.commas++
		}
	case '.', '@', '+', '-', '(', ')', '/', ':', ' ':
	default:
		n := runeLen(code)
		s.literal(code[:n])
		return n
	}
	return 1
}

func (s *sectionScan) afterSeconds() bool {
	return len(s.letters) > 0 && s.letters[len(s.letters)-1][0] == 's'
}

func (s *sectionScan) literal(text string) {
	if s.digits {
		s.after.WriteString(text)
	} else {
		s.before.WriteString(text)
	}
}

// bracket takes what stands in square brackets: elapsed time, a condition, a
// currency, or things that change nothing, such as colours and languages.
func (s *sectionScan) bracket(inside string) {
	lower := strings.ToLower(inside)
	if lower != "" && strings.Trim(lower, lower[:1]) == "" && strings.Contains("hms", lower[:1]) {
		s.kind = elapsedFormat
		s.letters = append(s.letters, lower[:1])
		return
	}
	if currency, ok := strings.CutPrefix(inside, "$"); ok {
		sign, _, _ := strings.Cut(currency, "-")
		s.literal(sign)
		return
	}
	operand := strings.TrimLeft(inside, "<>=")
	if v, err := strconv.ParseFloat(operand, 64); err == nil && operand != inside {
		s.operator, s.operand = inside[:len(inside)-len(operand)], v
	}
}

func (s *sectionScan) finished() formatSection {
	s.dateParts()
	switch {
	case s.kind == elapsedFormat:
	case s.date:
		s.kind = dateFormat
	case s.clock:
		s.kind = clockFormat
	default:
		s.number()
	}
	return s.formatSection
}

// number settles unit and scale. The scale counts only where a unit goes with
// it: 1234 shown as "1.2 k" is 1.2 of that unit.
func (s *sectionScan) number() {
	if !s.digits {
		return
	}
	words := []string{shownText(&s.before)}
	if s.percent > 0 {
		words = append(words, "%")
	}
	words = append(words, shownText(&s.after))
	s.unit = oneSpelling(strings.TrimSpace(strings.Join(words, " ")))
	if s.unit != "" {
		s.thousand = s.commas
	}
}

// shownText is text shown beside a number, empty where it is but signs and
// brackets.
func shownText(b *strings.Builder) string {
	text := strings.TrimSpace(b.String())
	if strings.Trim(text, "+-−()") == "" {
		return ""
	}
	return text
}

// dateParts tells which parts of a date the letters show. An m is minutes beside
// hours or seconds, else months.
func (s *sectionScan) dateParts() {
	for i, run := range s.letters {
		switch run[0] {
		case 'y', 'e', 'g':
			s.year, s.date = true, true
		case 'd':
			s.day, s.date = s.day || len(run) <= 2, true // longer runs are weekdays
		case 'h', 's':
			s.clock = true
		case 'm':
			afterHours := i > 0 && s.letters[i-1][0] == 'h'
			beforeSeconds := i+1 < len(s.letters) && s.letters[i+1][0] == 's'
			if len(run) <= 2 && (afterHours || beforeSeconds) {
				s.clock = true
			} else if s.kind != elapsedFormat {
				s.month, s.date = true, true
			}
		}
	}
}

func runeLen(s string) int {
	for i := range s {
		if i > 0 {
			return i
		}
	}
	return len(s)
}

// FormatParts tells which parts of a date or time a number format shows, as in
// Cell.Format. A date stored for "March 2024" shows no day; one that a program
// made of "3-4" shows no year.
func FormatParts(format string) (year, month, day, clock bool) {
	s := parseFormat(format).sections[0]
	return s.year, s.month, s.day, s.clock
}

// builtinFormat is the code of a number format that a workbook need not spell
// out. Those of East Asian languages stand for their kind only. Numbers without a
// known meaning are general. The list is that of ECMA-376 part 1, 18.8.30.
func builtinFormat(id int) string {
	switch {
	case id >= 27 && id <= 31, id == 36, id >= 50 && id <= 54, id == 57, id == 58:
		return "yyyy-mm-dd"
	case id >= 32 && id <= 35:
		return "hh:mm:ss"
	}
	switch id {
	case 1:
		return "0"
	case 2:
		return "0.00"
	case 3, 37, 38:
		return "#,##0"
	case 4, 39, 40:
		return "#,##0.00"
	case 9:
		return "0%"
	case 10:
		return "0.00%"
	case 11:
		return "0.00E+00"
	case 12:
		return "# ?/?"
	case 13:
		return "# ??/??"
	case 14:
		return "mm-dd-yy"
	case 15:
		return "d-mmm-yy"
	case 16:
		return "d-mmm"
	case 17:
		return "mmm-yy"
	case 18:
		return "h:mm AM/PM"
	case 19:
		return "h:mm:ss AM/PM"
	case 20:
		return "h:mm"
	case 21:
		return "h:mm:ss"
	case 22:
		return "m/d/yy h:mm"
	case 45:
		return "mm:ss"
	case 46:
		return "[h]:mm:ss"
	case 47:
		return "mm:ss.0"
	case 48:
		return "##0.0E+0"
	case 49:
		return "@"
	}
	return "General"
}
