package cell

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"gravid/ingest/cell/word"
	"gravid/ingest/club"
	"gravid/ingest/problem"
	"gravid/ingest/source"
	"gravid/ingest/unit"
)

// A Number is a number as a keeper wrote it. Low, High and Value are the same
// unless Range is set; all are finite.
type Number struct {
	Low, High float64 // the ends of a range
	Value     float64 // the number, the middle of a range, or the bound
	Approx    bool    // written as about, ~, ca.
	AtLeast   bool    // a low bound only (>300, 200+): Value is the bound, not a value
	AtMost    bool    // a high bound only (<5): Value is the bound, not a value
	Range     bool    // 24-26, 24±1
	Unit      string  // the text after the number, as written; empty when there is none
	Remark    string  // text in brackets after the number
}

// Bound reports whether only a bound is known. A bound must never enter a mean
// as a value.
func (n Number) Bound() bool { return n.AtLeast || n.AtMost }

// String writes the number so that ParseNumber with Point reads the same again.
func (n Number) String() string {
	var b strings.Builder
	if n.Approx {
		b.WriteByte('~')
	}
	switch {
	case n.AtLeast:
		b.WriteString(">= ")
	case n.AtMost:
		b.WriteString("<= ")
	}
	if n.Range {
		b.WriteString(plain(n.Low) + " to " + plain(n.High))
	} else {
		b.WriteString(plain(n.Value))
	}
	if n.Unit != "" {
		b.WriteString(" " + n.Unit)
	}
	if n.Remark != "" {
		b.WriteString(" (" + n.Remark + ")")
	}
	return b.String()
}

func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// ParseNumber reads one number from text in a column with decimal mark d:
//
//	[about] [at least | at most] number [range to number | ± number] [+] [unit] [(remark)]
//
// The unit is any text that can be one; whether it is, MeasureOf and CountOf
// decide. 1.200 in an open column, ratios, clock times, lists of digits and
// digits of other scripts are refused.
func ParseNumber(text string, d Decimal) (Number, *Fault) {
	if v, ok := simpleNumber(text, d); ok {
		return Number{Low: v, High: v, Value: v}, nil
	}
	p := numberParser{decimal: d}
	return p.parse(text)
}

// NumberOf reads a cell. It is not OK, without a Fault, when nothing was
// recorded.
func NumberOf(c source.Cell, d Decimal) (club.Maybe[Number], *Fault) {
	return numberOf(c, numberParser{decimal: d})
}

func numberOf(c source.Cell, p numberParser) (club.Maybe[Number], *Fault) {
	var none club.Maybe[Number]
	switch c.Kind {
	case source.Blank:
		return none, nil
	case source.Text:
		if IsMissing(c.Text) {
			return none, nil
		}
		n, fault := p.parse(c.Text)
		return club.Maybe[Number]{V: n, OK: fault == nil}, fault
	case source.Number:
		if math.IsNaN(c.Number) || math.IsInf(c.Number, 0) {
			return none, faultf(problem.NumberUnreadable, "type the number again", "the stored number is not finite")
		}
		return club.Some(Number{Low: c.Number, High: c.Number, Value: c.Number, Unit: c.Unit}), nil
	case source.Date, source.Instant:
		return none, faultf(problem.NumberUnreadable, "write the number or range as text, with an apostrophe before it",
			"a number is needed, but the spreadsheet stored the date %s: it may have turned %d-%d or %d/%d into it", c.Time.Format("2006-01-02"), c.Time.Day(), int(c.Time.Month()), int(c.Time.Month()), c.Time.Day())
	case source.Clock, source.Span:
		return none, faultf(problem.NumberUnreadable, "write the number without a time format", "a number is needed, but the spreadsheet stored a time or duration")
	case source.Bool:
		return none, faultf(problem.NumberUnreadable, "write the number", "a number is needed, but the cell says true or false")
	}
	return none, unreadable(c)
}

// simpleNumber is the fast path: digits with at most one point that no other
// reading fits.
func simpleNumber(s string, d Decimal) (float64, bool) {
	if len(s) == 0 || len(s) > 15 {
		return 0, false
	}
	i := 0
	if s[0] == '-' {
		i = 1
	}
	start, point := i, -1
	for ; i < len(s); i++ {
		switch c := s[i]; {
		case c >= '0' && c <= '9':
		case c == '.' && point < 0:
			point = i
		default:
			return 0, false
		}
	}
	lead := i - start
	if point >= 0 {
		lead = point - start
		decimals := len(s) - point - 1
		lone := lead == 1 && s[start] == '0'
		if d == Comma || decimals == 0 || (decimals == 3 && lead <= 3 && !lone && d == Open) {
			return 0, false
		}
	}
	if lead == 0 || (lead > 1 && s[start] == '0') {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil
}

// mostPrecise is the end of the numbers that are read: beyond it digits of a
// whole number would be lost.
const mostPrecise = 1e15

// A numberParser reads one number and notes which decimal mark it speaks for.
type numberParser struct {
	decimal Decimal
	names   []string // folded words that may stand before the number, such as "ph"
	votes   [3]bool
	between bool // a word before the number says that a range follows: between, entre
}

func (p *numberParser) parse(text string) (Number, *Fault) {
	s := tidy(text)
	for _, r := range s {
		if r >= 0x80 && unicode.IsDigit(r) {
			return Number{}, faultf(problem.NumberUnreadable, "write the number with the digits 0 to 9", "the digits of %s are not read", quote(text))
		}
	}
	var n Number
	s, n.Remark = cutRemark(s)
	s = p.cutName(s)
	s, n.Approx = cutPrefix(s, approxWords)
	s, p.between = cutPrefix(s, betweenWords)
	var more bool
	s, n.AtLeast = cutPrefix(s, atLeastWords)
	if !n.AtLeast {
		s, n.AtMost = cutPrefix(s, atMostWords)
	}
	s, more = cutPrefix(s, approxWords)
	n.Approx = n.Approx || more || saysAbout(n.Remark)

	low, rest, fault := p.figure(s, text)
	if fault != nil {
		return Number{}, fault
	}
	n.Low, n.High, n.Value = low, low, low
	if rest, fault = p.second(&n, rest, text); fault != nil {
		return Number{}, fault
	}
	if after, plus := strings.CutPrefix(strings.TrimLeft(rest, " "), "+"); plus {
		if n.Range || n.AtMost {
			return Number{}, faultf(problem.NumberUnreadable, "write one bound, or both ends of a range", "%s is bounded in two ways", quote(text))
		}
		n.AtLeast, rest = true, after
	}
	if fault := n.setUnit(strings.TrimSpace(rest), text); fault != nil {
		return Number{}, fault
	}
	switch {
	case p.between && (!n.Range || n.Approx):
		return Number{}, faultf(problem.NumberUnreadable, "", "%s names no two ends", quote(text))
	case n.Range && n.Bound():
		return Number{}, faultf(problem.NumberUnreadable, "write one bound, or both ends of a range", "%s is a bound and a range at once", quote(text))
	case max(math.Abs(n.Low), math.Abs(n.High)) >= mostPrecise:
		return Number{}, faultf(problem.NumberUnreadable, "write the number with no more than 15 digits", "%s has more digits than a number can hold", quote(text))
	}
	return n, nil
}

// second reads what may follow the first number: the other end of a range or a
// tolerance. It returns what is left.
func (p *numberParser) second(n *Number, rest, text string) (string, *Fault) {
	if after, ok := strings.CutPrefix(strings.TrimLeft(rest, " "), "±"); ok {
		tolerance, left, fault := p.figure(strings.TrimLeft(after, " "), text)
		if fault != nil {
			return "", fault
		}
		if tolerance < 0 {
			return "", faultf(problem.NumberUnreadable, "write the tolerance without a sign: 24 ± 0.5", "%s has a tolerance below zero", quote(text))
		}
		n.Low, n.High, n.Range = n.Value-tolerance, n.Value+tolerance, true
		return left, nil
	}
	unitText, after, ok := cutSeparator(rest)
	if !ok && p.between {
		after, ok = cutPrefix(strings.TrimLeft(rest, " "), andWords)
	}
	if !ok {
		return rest, nil
	}
	high, left, fault := p.figure(after, text)
	if fault != nil {
		return "", fault
	}
	if unitText != "" && word.Fold(unitText) != word.Fold(left) {
		return "", faultf(problem.NumberUnreadable, "write both ends in the same unit", "the two ends of %s have different units", quote(text))
	}
	if high < n.Low {
		return "", faultf(problem.NumberRange, "write the lower end first", "the range %s runs downwards", quote(text))
	}
	n.High, n.Range = high, true
	n.Value = (n.Low + n.High) / 2
	return left, nil
}

// setUnit takes what stands after the number as its unit, or says what it is
// instead.
func (n *Number) setUnit(rest, text string) *Fault {
	if rest == "" || rest == "°" { // a bare degree sign names no scale
		return nil
	}
	if saysAbout(rest) {
		n.Approx = true
		return nil
	}
	first, _ := utf8.DecodeRuneInString(rest)
	known := len(unit.Find(rest)) > 0
	switch {
	case first == '/' || first == ':' && strings.ContainsFunc(rest[1:], isDigit):
		return faultf(problem.NumberUnreadable, "write one number", "%s may be a ratio, a pair, a date or a clock time", quote(text))
	case strings.HasPrefix(rest, "->") || first == '→':
		return faultf(problem.NumberUnreadable, "write before and after in two columns", "%s holds two values", quote(text))
	case known:
	case !unicode.IsLetter(first) && !strings.ContainsRune("%°µ‰♀♂", first),
		strings.ContainsFunc(rest, isDigit):
		return faultf(problem.NumberUnreadable, "write one number, and remarks in brackets or in a column of their own", "%s is not one number", quote(text))
	}
	n.Unit = rest
	return nil
}

// saysAbout reports whether the text after a number says that it was estimated.
func saysAbout(s string) bool {
	return slices.Contains(approxAfter, strings.TrimRight(strings.ToLower(s), "."))
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

// cutRemark cuts a text in brackets from the end of s.
func cutRemark(s string) (string, string) {
	if !strings.HasSuffix(s, ")") {
		return s, ""
	}
	i := strings.LastIndexByte(s, '(')
	if i <= 0 {
		return s, ""
	}
	return strings.TrimRight(s[:i], " "), strings.TrimSpace(s[i+1 : len(s)-1])
}

// cutName cuts the name of the measured thing, where the column allows one.
func (p *numberParser) cutName(s string) string {
	for _, name := range p.names {
		if len(s) > len(name) && word.Fold(s[:len(name)]) == name {
			return strings.TrimLeft(s[len(name):], " :=")
		}
	}
	return s
}

// Words before a number, in small letters. A word that ends in a letter must be
// followed by something else than a letter.
var (
	approxWords  = words("~", "≈", "c.", "ca.", "ca", "circa", "about", "abt.", "abt", "approx.", "approx", "approximately", "est.", "est", "estimated", "roughly", "around", "etwa", "ungefähr", "rund", "zirka", "geschätzt", "env.", "env", "environ", "aprox.", "aprox", "aproximadamente", "unos", "unas")
	atLeastWords = words(">", "≥", ">=", "over", "above", "more than", "at least", "min.", "min", "mind.", "mind", "minimum", "mindestens", "not less than", "nicht weniger als", "mehr als", "über", "plus de", "au moins", "más de", "mas de", "al menos", "por lo menos")
	atMostWords  = words("<", "≤", "<=", "under", "below", "less than", "fewer than", "at most", "up to", "max.", "max", "höchstens", "weniger als", "unter", "bis zu", "moins de", "au plus", "jusqu'à", "menos de", "hasta", "como mucho")
	betweenWords = words("between", "from", "zwischen", "von", "entre", "de")
	andWords     = words("and", "und", "et", "y", "&")
	approxAfter  = []string{"ish", "-ish", "or so", "more or less", "approx", "est", "estimated", "about", "ca", "geschätzt", "gesch", "estimé", "estimado"}
)

// words sorts longest first, so that "at least" is found before "at".
func words(list ...string) []string {
	slices.SortFunc(list, func(a, b string) int { return len(b) - len(a) })
	return list
}

// cutPrefix cuts the first of words that s begins with.
func cutPrefix(s string, words []string) (string, bool) {
	if s == "" || isDigit(rune(s[0])) {
		return s, false
	}
	lower := strings.ToLower(s)
	if len(lower) != len(s) {
		lower = s
	}
	for _, w := range words {
		if !strings.HasPrefix(lower, w) {
			continue
		}
		last, _ := utf8.DecodeLastRuneInString(w)
		next, _ := utf8.DecodeRuneInString(s[len(w):])
		if unicode.IsLetter(last) && (unicode.IsLetter(next) || next == '.') {
			continue
		}
		return strings.TrimLeft(s[len(w):], " "), true
	}
	return s, false
}

var rangeWords = words("to", "bis", "à", "a", "until", "hasta")

// cutSeparator cuts the sign or word between the two ends of a range, together
// with a unit before it. It is false when what follows is no number.
func cutSeparator(s string) (unitText, after string, ok bool) {
	for i := 0; i < len(s) && i < 24; {
		r, size := utf8.DecodeRuneInString(s[i:])
		for _, sign := range []string{"..", "-", "–", "—"} {
			if rest, found := strings.CutPrefix(s[i:], sign); found && startsNumber(rest, sign != "-" || i > 0) {
				// "24 -26" may be two numbers: spaces on both sides or on none
				spaced := i > 0 && s[i-1] == ' '
				if before, ok := unitBefore(s[:i]); ok && (sign == ".." || spaced == strings.HasPrefix(rest, " ")) {
					return before, strings.TrimLeft(rest, " ."), true
				}
			}
		}
		if r == ' ' {
			if rest, found := cutPrefix(s[i+1:], rangeWords); found && startsNumber(rest, true) {
				if before, ok := unitBefore(s[:i]); ok {
					return before, rest, true
				}
			}
		}
		if isDigit(r) {
			return "", "", false
		}
		i += size
	}
	return "", "", false
}

// unitBefore returns the unit between a number and the separator after it. It
// is false for signs that no unit begins with.
func unitBefore(s string) (string, bool) {
	s = strings.TrimSpace(s)
	return s, s == "" || word.Fold(s) != ""
}

func startsNumber(s string, signed bool) bool {
	s = strings.TrimLeft(s, " .")
	if signed {
		s = strings.TrimPrefix(s, "-")
	}
	return s != "" && isDigit(rune(s[0]))
}

// figure reads a number with its sign from the start of s and returns what
// follows.
func (p *numberParser) figure(s, text string) (float64, string, *Fault) {
	negative := false
	for _, sign := range []string{"-", "–", "+"} {
		if after, ok := strings.CutPrefix(s, sign); ok {
			negative, s = sign != "+", after
			break
		}
	}
	end := figureEnd(s)
	if end == 0 {
		return 0, "", faultf(problem.NumberUnreadable, "write the number in digits, and remarks in another column", "%s is not a number", quote(text))
	}
	v, fault := p.interpret(s[:end], text)
	if fault != nil {
		return 0, "", fault
	}
	if negative {
		v = 0 - v
	}
	return v, s[end:], nil
}

// figureEnd returns the length of the digits and marks that s begins with. A
// mark belongs to the number when a digit follows; a space when exactly three
// digits do and a digit stands before it.
func figureEnd(s string) int {
	i := 0
	for i < len(s) {
		mark := markSize(s[i:])
		switch {
		case isDigit(rune(s[i])):
			i++
		case mark > 0 && i+mark < len(s) && isDigit(rune(s[i+mark])) && (s[i] != ' ' || i > 0 && threeDigits(s[i+1:])):
			i += mark
		default:
			return i
		}
	}
	return i
}

func markSize(s string) int {
	switch s[0] {
	case '.', ',', ' ', '\'':
		return 1
	}
	if strings.HasPrefix(s, "’") {
		return len("’")
	}
	return 0
}

func threeDigits(s string) bool {
	return len(s) >= 3 && isDigit(rune(s[0])) && isDigit(rune(s[1])) && isDigit(rune(s[2])) && (len(s) == 3 || !isDigit(rune(s[3])))
}

// interpret decides which of the marks in a figure are decimal and which group
// digits by threes.
func (p *numberParser) interpret(figure, text string) (float64, *Fault) {
	digits, marks := split(figure)
	whole, fraction, mark, fault := p.divide(digits, marks, text)
	if fault != nil {
		return 0, fault
	}
	if len(whole) > 1 && whole[0] == '0' && (len(whole) > 2 || mark != Open) {
		return 0, faultf(problem.NumberUnreadable, "leave the leading zero out if it is a number", "%s begins with a zero: it may be a clock time or a code", quote(text))
	}
	if mark != Open {
		if p.decimal != Open && p.decimal != mark {
			return 0, faultf(problem.NumberUnreadable, "write all decimals of a column with the same mark", "the column writes decimals with %q, but %s has %q", p.decimal, quote(text), mark)
		}
		p.votes[mark] = true
	}
	v, err := strconv.ParseFloat(whole+"."+fraction+"0", 64)
	if err != nil || v >= mostPrecise {
		return 0, faultf(problem.NumberUnreadable, "write the number with no more than 15 digits", "%s has more digits than a number can hold", quote(text))
	}
	return v, nil
}

// split takes a figure apart into runs of digits and the marks between them.
func split(figure string) (digits []string, marks []rune) {
	start := 0
	for i, r := range figure {
		if !isDigit(r) {
			digits, marks = append(digits, figure[start:i]), append(marks, r)
			start = i + utf8.RuneLen(r)
		}
	}
	for i, m := range marks {
		if m == '’' {
			marks[i] = '\''
		}
	}
	return append(digits, figure[start:]), marks
}

// divide finds the whole part and the fraction. The Decimal is the mark before
// the fraction, or Open when there is none.
func (p *numberParser) divide(digits []string, marks []rune, text string) (whole, fraction string, mark Decimal, fault *Fault) {
	notOne := func() *Fault {
		return faultf(problem.NumberUnreadable, "write one number with one decimal mark", "%s is not one number: its digits are not in groups of three", quote(text))
	}
	last := len(marks) - 1
	if last < 0 {
		return digits[0], "", Open, nil
	}
	single := marks[last] == '.' || marks[last] == ','
	for _, m := range marks[:last] {
		if m != marks[0] {
			return "", "", Open, notOne()
		}
		single = single && m != marks[last]
	}
	open := last == 0 && len(digits[1]) == 3 && len(digits[0]) >= 1 && len(digits[0]) <= 3 && digits[0][0] != '0'
	if single && open {
		switch {
		case p.decimal == Open:
			return "", "", Open, faultf(problem.NumberOpen, `say which mark the column writes decimals with, in the mapping: decimal = "." or decimal = ","`,
				"%s may be %s or %s", quote(text), digits[0]+digits[1], digits[0]+"."+strings.TrimRight(digits[1], "0"))
		case p.decimal != markOf(marks[0]):
			return digits[0] + digits[1], "", Open, nil
		}
		return digits[0], digits[1], markOf(marks[0]), nil
	}
	if single {
		if last > 0 && !grouped(digits[:last+1]) {
			return "", "", Open, notOne()
		}
		return strings.Join(digits[:last+1], ""), digits[last+1], markOf(marks[last]), nil
	}
	if !grouped(digits) || slices.ContainsFunc(marks, func(m rune) bool { return m != marks[0] }) {
		return "", "", Open, notOne()
	}
	switch marks[0] {
	case '.':
		p.votes[Comma] = true
	case ',':
		p.votes[Point] = true
	}
	return strings.Join(digits, ""), "", Open, nil
}

func markOf(r rune) Decimal {
	if r == '.' {
		return Point
	}
	return Comma
}

// grouped reports whether digits stand in groups of three, the first of one to
// three without a leading zero.
func grouped(digits []string) bool {
	if first := digits[0]; len(first) < 1 || len(first) > 3 || first[0] == '0' {
		return false
	}
	for _, d := range digits[1:] {
		if len(d) != 3 {
			return false
		}
	}
	return true
}
