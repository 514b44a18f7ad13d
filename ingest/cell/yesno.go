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
		"spawned", "gelaicht", "abgelaicht", "pondu", "ponte", "desovo",
		"yup", "aye", "affirmative", "success", "successful", "succeeded", "spawn", "they spawned", "did spawn", "spawned ok", "laid", "laid eggs", "eggs", "eggs laid", "eggs found", "eggs seen", "got eggs", "bred",
		"jawohl", "jo", "erfolg", "erfolgreich", "hat geklappt", "geklappt", "laich", "haben gelaicht", "eier", "eier gelegt", "gelege", "mit erfolg", "positiv",
		"ok ponte", "ponte reussie", "ponte obtenue", "reussi", "reussie", "succes", "reussite", "ont pondu", "a pondu", "oeufs", "oeufs vus", "positif",
		"exito", "con exito", "desovaron", "desove", "puesta", "hubo puesta", "hubo desove", "pusieron", "huevos", "con puesta", "positivo", "logrado"},
	No: {"n", "no", "false", "f", "0", "nein", "falsch", "non", "faux", "falso", "ne", "nope", "never",
		"nothing", "no luck", "did not spawn", "nichts", "nicht", "nicht gelaicht", "kein erfolg", "rien", "pas pondu", "pas de ponte", "nada", "no desovo", "sin puesta",
		"nah", "nay", "negative", "no spawn", "no spawning", "not spawned", "didnt spawn", "didn t spawn", "did nt spawn", "no eggs", "no eggs found", "no eggs seen", "no eggs laid", "no success", "unsuccessful", "without success", "none laid", "zero", "zilch", "nil", "no joy", "no result", "no show",
		"nix", "negativ", "kein laich", "keine eier", "kein gelege", "keine eiablage", "nicht abgelaicht", "haben nicht gelaicht", "nicht gelegt", "ohne erfolg", "erfolglos", "ohne laich", "ohne eier", "ohne ergebnis", "kein ergebnis", "leer ausgegangen", "nie", "niemals", "nee", "noe",
		"negatif", "pas d oeufs", "pas d oeuf", "aucun oeuf", "aucune ponte", "sans ponte", "sans succes", "sans resultat", "n ont pas pondu", "n a pas pondu", "pas de resultat", "jamais", "ponte non", "non pondu", "sans oeufs", "pas de succes",
		"negativo", "sin desove", "sin huevos", "no hubo", "no hubo puesta", "no hubo desove", "no desovaron", "no pusieron", "no puso", "ninguna puesta", "ningun desove", "ningun huevo", "sin exito", "sin resultado", "nunca", "no hay", "no hay puesta", "no hay huevos"},
	Pending: {"not yet", "pending", "ongoing", "running", "still running", "in progress", "waiting", "still waiting", "still going", "still together", "still in", "not so far", "nothing yet", "no eggs yet", "none yet", "no spawn yet", "not finished", "on going", "open", "tbc", "wait and see",
		"noch nicht", "lauft", "lauft noch", "laeuft", "laeuft noch", "laufend", "wartend", "offen", "laufen noch", "noch offen", "abwarten", "warte noch", "noch im gange", "noch nichts", "bisher nicht", "bislang nicht",
		"pas encore", "en cours", "en attente", "toujours en cours", "toujours pas", "pas pour le moment", "a suivre", "pas pour l instant",
		"todavia no", "aun no", "en curso", "en marcha", "esperando", "todavia nada", "aun nada", "pendiente", "sigue", "sigue en curso", "en espera"},
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
