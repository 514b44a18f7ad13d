package cell

import (
	"iter"
	"regexp"
	"strings"

	"gravid/ingest/cell/word"
	"gravid/ingest/problem"
	"gravid/ingest/source"
)

// An Answer is what a cell says to a question of yes or no.
type Answer uint8

const (
	NoAnswer Answer = iota // not recorded
	Yes
	No
	Pending // not yet: still running
)

// String gives the answer as a word.
func (a Answer) String() string {
	return [...]string{"not recorded", "yes", "no", "pending"}[min(int(a), 3)]
}

// YesNo is what a column decides about its cells. The zero value reads the
// words that mean the same everywhere.
type YesNo struct {
	Language  string // "fr" makes o a yes, "es" makes s a yes; see DecideYesNo
	PlusMinus bool   // + and - stand for yes and no: the column holds both and, but for +- and (+), nothing else
	MarksOnly bool   // the column holds marks for yes and blanks: whether a blank is a no, nobody said
	Blanks    int    // cells without an answer
}

// DecideYesNo looks at all cells of a column, blanks among them. language is the
// language of the file's headings (en, de, fr, es), or empty.
func DecideYesNo(samples iter.Seq[string], language string) YesNo {
	d := YesNo{Language: language}
	plus, minus, yes, other := 0, 0, 0, 0
	for text := range samples {
		switch s := tidy(text); {
		case s == "+":
			plus++
		case s == "-":
			minus++
		case IsMissing(s):
			d.Blanks++
		case strings.Trim(s, "+-±()/ ") == "": // +- and (+) are no answer, but leave + and - the pair that they are
		default:
			if a, _ := ParseYesNo(s, d); a == Yes {
				yes++
			} else {
				other++
			}
		}
	}
	d.PlusMinus = plus > 0 && minus > 0 && yes+other == 0
	if !d.PlusMinus {
		d.Blanks += minus
	}
	d.MarksOnly = d.Blanks > 0 && yes > 0 && other+plus == 0
	return d
}

// ParseYesNo reads an answer from text. A token that is no answer is a Fault:
// it is never taken for a no.
func ParseYesNo(text string, column YesNo) (Answer, *Fault) {
	s := tidy(text)
	switch {
	case s == "+" && column.PlusMinus, s == "✓", s == "✔":
		return Yes, nil
	case s == "-" && column.PlusMinus, s == "✗", s == "✘":
		return No, nil
	}
	folded := word.Fold(s)
	switch {
	case strings.ContainsAny(s, "?¿"): // "yes?" asks
	case folded == "o" && column.Language == "fr", folded == "s" && column.Language == "es":
		return Yes, nil
	case answerWords[folded] != NoAnswer:
		return answerWords[folded], nil
	}
	return NoAnswer, faultf(problem.YesNoUnreadable, "write yes or no, or say in the mapping what it means: yes = ["+quote(s)+"] or no = ["+quote(s)+"]", "%s is neither yes nor no", quote(text))
}

var remarkBehind = regexp.MustCompile(`^\s*(\pL+)\s*(?:!+|[-–—,:;(/.])\s*(.*?)[)\s]*$`)

// AnswerBefore reads a yes or a no with a remark behind it: "yes - all eaten", "Yes!".
// Whether the remark takes the answer back is for the caller to see. It reports false
// for anything else, questions among them.
func AnswerBefore(text string, column YesNo) (answer Answer, remark string, ok bool) {
	m := remarkBehind.FindStringSubmatch(tidy(text))
	if m == nil || IsMissing(text) || strings.ContainsAny(text, "?¿") {
		return NoAnswer, "", false
	}
	answer, fault := ParseYesNo(m[1], column)
	if fault != nil || answer != Yes && answer != No {
		return NoAnswer, "", false
	}
	return answer, m[2], true
}

// AnswerOf reads a cell. The answer is NoAnswer, without a Fault, when nothing
// was recorded. Stored truth values, 1 and 0 are answers.
func AnswerOf(c source.Cell, column YesNo) (Answer, *Fault) {
	switch c.Kind {
	case source.Blank:
		return NoAnswer, nil
	case source.Text:
		if s := tidy(c.Text); IsMissing(s) && !(s == "-" && column.PlusMinus) {
			return NoAnswer, nil
		}
		return ParseYesNo(c.Text, column)
	case source.Bool, source.Number:
		switch {
		case c.Number == 1 && c.Unit == "":
			return Yes, nil
		case c.Number == 0 && c.Unit == "":
			return No, nil
		}
		return NoAnswer, faultf(problem.YesNoUnreadable, "write yes or no", "the number %s is neither yes nor no", plain(c.Number))
	case source.Date, source.Instant, source.Clock, source.Span:
		return NoAnswer, faultf(problem.YesNoUnreadable, "write yes or no, and the date in a column of its own", "a date or time is neither yes nor no")
	}
	return NoAnswer, unreadable(c)
}

// answerWords are the folded words for an answer. Words that mean yes in one
// language only (o, s) are decided by the column.
var answerWords = answers(map[Answer][]string{
	Yes: {"y", "yes", "true", "t", "1", "x", "ja", "j", "wahr", "oui", "vrai", "si", "verdadero", "da", "yep", "yeah", "done",
		"spawned", "gelaicht", "abgelaicht", "pondu", "ponte", "desovo"},
	No: {"n", "no", "false", "f", "0", "nein", "falsch", "non", "faux", "falso", "ne", "nope", "never",
		"nothing", "no luck", "did not spawn", "nichts", "nicht", "nicht gelaicht", "kein erfolg", "rien", "pas pondu", "pas de ponte", "nada", "no desovo", "sin puesta"},
	Pending: {"not yet", "pending", "ongoing", "running", "still running", "in progress", "waiting", "still waiting",
		"noch nicht", "lauft", "lauft noch", "laeuft", "laeuft noch", "laufend", "wartend", "offen",
		"pas encore", "en cours", "en attente",
		"todavia no", "aun no", "en curso", "en marcha", "esperando"},
})

func answers(lists map[Answer][]string) map[string]Answer {
	m := map[string]Answer{}
	for a, list := range lists {
		for _, w := range list {
			m[w] = a
		}
	}
	return m
}
