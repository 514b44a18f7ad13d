package answer

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"gravid/analyze/catalogue"
	"gravid/ingest/club"
)

// Understood is what a question in words was taken to mean. A field with more
// than one entry is open: the question has to be put again.
type Understood struct {
	Species  []string
	Triggers []catalogue.Trigger
	Asks     Asks
}

// Asks says what a question is about.
type Asks string

const (
	AsksMatter Asks = "matter" // does this trigger matter?
	AsksWhich  Asks = "which"  // what helps?
	AsksSize   Asks = "size"   // how large must it be?
	AsksTiming Asks = "timing" // when will the fry swim?
	AsksEggs   Asks = "eggs"   // how many eggs?
	AsksPlan   Asks = "plan"   // what to try next season?
)

var (
	sizeWords  = regexp.MustCompile(`(?i)\b(?:how\s+(?:big|large|much|strong|deep|far|many|high|long|cool|cold|warm)|what\s+size|which\s+size|how\s+small)\b`)
	whichWords = regexp.MustCompile(`(?i)\b(?:what|which)\b.*\b(?:help|helps|helped|triggers?|matters?|works?|worked|makes?|goes\s+with|go\s+with|try|spawn)\b`)
	whenWords  = regexp.MustCompile(`(?i)\b(?:when|how\s+(?:long|soon|quickly|fast|many\s+days)|what\s+day|which\s+day)\b`)
	stageWords = regexp.MustCompile(`(?i)\b(?:swim|swims|swimming|free[- ]swimming|hatch|hatches|hatching|hatched|fry\s+be|first\s+food|fry\s+food|feed\s+the\s+fry)\b`)
	eggWords   = regexp.MustCompile(`(?i)\b(?:eggs|clutch\s+sizes?|size\s+of\s+(?:a|the)\s+clutch|(?:larger|bigger|smaller)\s+clutch(?:es)?)\b`)
	numbers    = regexp.MustCompile(`(?i)\b(?:how\s+(?:many|large|big)|more|fewer|normal|usual|number\s+of|larger|bigger|smaller|sizes?)\b`)
	planWords  = regexp.MustCompile(`(?i)\b(?:what|which)\b.*\b(?:try|do|test)\b.*\bnext\b|\bnext\s+season\b`)
	degrees    = regexp.MustCompile(`(?i)\b(\d{1,2}(?:\.\d+)?)\s*(?:°\s*c\b|°(?:\s|\?|$)|deg(?:rees)?\b)`)
)

// asks finds what a question is about; where no trigger is named, what helps is asked.
func asks(text string, triggers int) Asks {
	switch {
	case eggWords.MatchString(text) && numbers.MatchString(text):
		return AsksEggs
	case whenWords.MatchString(text) && stageWords.MatchString(text):
		return AsksTiming
	case triggers == 0 && planWords.MatchString(text):
		return AsksPlan
	case sizeWords.MatchString(text):
		return AsksSize
	case triggers == 0 && whichWords.MatchString(text):
		return AsksWhich
	}
	return AsksMatter
}

// Degrees returns the water temperature in °C that a question names, NaN where it names
// none: "when will they swim at 25 °C?".
func Degrees(text string) float64 {
	m := degrees.FindStringSubmatch(text)
	if m == nil {
		return math.NaN()
	}
	v, err := strconv.ParseFloat(m[1], 64)
	if err != nil { // the pattern holds digits only
		return math.NaN()
	}
	return v
}

// Ambiguous says in one sentence what is still open, with the readings that fit;
// empty when there is exactly one species and one trigger.
func (u Understood) Ambiguous() string {
	var open []string
	switch {
	case len(u.Species) == 0:
		open = append(open, "no species was recognised")
	case len(u.Species) > 1:
		open = append(open, "the species could be "+either(u.Species))
	}
	switch {
	case len(u.Triggers) == 0:
		open = append(open, "no trigger was recognised")
	case len(u.Triggers) > 1:
		codes := make([]string, len(u.Triggers))
		for i, t := range u.Triggers {
			codes[i] = t.Code
		}
		open = append(open, "the trigger could be "+either(codes))
	}
	return strings.Join(open, "; ")
}

func either(words []string) string {
	if len(words) < 3 {
		return strings.Join(words, " or ")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// Understand reads a question in English. species finds the accepted names that
// a text mentions. A word that several triggers go by, such as "drop", leaves all of them
// open.
func Understand(text string, triggers []catalogue.Trigger, species func(text string) []string) Understood {
	u := Understood{Species: species(text), Triggers: catalogue.Mention(triggers, text)}
	if len(u.Triggers) == 0 {
		u.Triggers = catalogue.Hinted(triggers, text)
	}
	u.Asks = asks(text, len(u.Triggers))
	return u
}

// NearestTrigger suggests the triggers whose code or words are closest to a word
// that nobody knows, best first, at most three.
func NearestTrigger(typed string, triggers []catalogue.Trigger) []string {
	codeOf := map[string]string{}
	var words []string
	for _, t := range triggers {
		for _, w := range append([]string{t.Code}, t.Words...) {
			codeOf[w] = t.Code
			words = append(words, w)
		}
	}
	var codes []string
	for _, w := range club.Nearest(strings.TrimSpace(typed), words, max(2, len(typed)/2)) {
		if !slices.Contains(codes, codeOf[w]) {
			codes = append(codes, codeOf[w])
		}
	}
	return codes
}

// UnknownTrigger is the message for a trigger that is not in the catalogue.
func UnknownTrigger(code string, triggers []catalogue.Trigger) string {
	near := NearestTrigger(code, triggers)
	if len(near) == 0 {
		return fmt.Sprintf("no trigger is called %q", code)
	}
	return fmt.Sprintf("no trigger is called %q; the nearest is %s", code, either(near))
}
