package entry

import (
	_ "embed"
	"encoding/csv"
	"regexp"
	"strings"
	"sync"

	"gravid/ingest/cell/word"
)

//go:embed words.csv
var list string

// A meaning is what a word, or several in a row, says.
type meaning string

// The meanings of words.csv.
const (
	setUp       meaning = "set_up"
	began       meaning = "began"
	eggs        meaning = "eggs"
	laid        meaning = "laid"
	hatched     meaning = "hatched"
	swimming    meaning = "swimming"
	swim        meaning = "swim"
	gone        meaning = "gone"
	ended       meaning = "ended"
	fry         meaning = "fry"
	female      meaning = "female"
	waterChange meaning = "water_change"
	changed     meaning = "changed"
	feedLive    meaning = "feed_live"
	feed        meaning = "feed"
	rearrange   meaning = "rearrange"
	levelLower  meaning = "level_lower"
	levelRaise  meaning = "level_raise"
	levelChange meaning = "level_change"
	addFish     meaning = "add_fish"
	removeFish  meaning = "remove_fish"
	medicine    meaning = "medicine"
	lightChange meaning = "light_change"
	flow        meaning = "flow"
	frozen      meaning = "frozen"
	cooler      meaning = "cooler"
	warmer      meaning = "warmer"
	doubt       meaning = "doubt"
	later       meaning = "later"
	other       meaning = "other"
	none        meaning = "none"
	notYet      meaning = "not_yet"
	part        meaning = "part"
	all         meaning = "all"
	handled     meaning = "handled"
	quiet       meaning = "quiet"
	filler      meaning = "filler"
)

var meanings = []meaning{setUp, began, eggs, laid, hatched, swimming, swim, gone, ended, fry, female, waterChange, changed, feedLive, feed, rearrange,
	levelLower, levelRaise, levelChange, addFish, removeFish, medicine, lightChange, flow, frozen, cooler, warmer, doubt, later, other, none, notYet,
	part, all, handled, quiet, filler}

// A tags set holds meanings.
type tags map[meaning]bool

// has reports whether any of some meanings is among them.
func (t tags) has(any ...meaning) bool {
	for _, m := range any {
		if t[m] {
			return true
		}
	}
	return false
}

// known are the phrases of words.csv by their folded words.
var known = sync.OnceValue(func() phrases { return newPhrases(list) })

type phrases struct {
	meanings map[string][]meaning
	longest  int // in words
}

func newPhrases(list string) phrases {
	p := phrases{meanings: map[string][]meaning{}}
	rows, err := csv.NewReader(strings.NewReader(list)).ReadAll()
	if err != nil {
		panic("entry: words.csv: " + err.Error())
	}
	valid := map[meaning]bool{}
	for _, m := range meanings {
		valid[m] = true
	}
	for _, r := range rows[1:] {
		m := meaning(r[0])
		if !valid[m] {
			panic("entry: words.csv names an unknown meaning " + r[0])
		}
		for _, k := range []string{fold(r[2]), word.Digraphs(elided(r[2]))} {
			p.add(k, m)
		}
	}
	return p
}

var elision = regexp.MustCompile(`(?i)\b(d|l|n|s|j|c|m|t|qu)['’](\pL)`)

// elided parts the French words that an apostrophe joins.
func elided(text string) string { return elision.ReplaceAllString(text, "$1 $2") }

func fold(text string) string { return word.Fold(elided(text)) }

func (p *phrases) add(key string, m meaning) {
	for _, have := range p.meanings[key] {
		if have == m {
			return
		}
	}
	p.meanings[key] = append(p.meanings[key], m)
	p.longest = max(p.longest, len(strings.Fields(key)))
}

// read tags words, the longest phrases first from the left. It returns the words
// that nobody knows as well. Fillers are tagged too; a phrase with a sense goes
// before them.
func (p phrases) read(words []string) (found tags, unknown []string) {
	found = tags{}
	for i := 0; i < len(words); {
		n := p.at(words[i:], found)
		if n == 0 {
			unknown = append(unknown, words[i])
			n = 1
		}
		i += n
	}
	return found, unknown
}

func (p phrases) at(words []string, found tags) int {
	for n := min(p.longest, len(words)); n > 0; n-- {
		if list, ok := p.meanings[strings.Join(words[:n], " ")]; ok {
			for _, m := range list {
				found[m] = true
			}
			return n
		}
	}
	return 0
}
