package entry

import (
	"regexp"
	"strings"

	"gravid/ingest/cell"
	"gravid/ingest/cell/word"
	"gravid/ingest/club"
)

// setUp reads a clause about fish put together. It reports false where the clause
// holds neither fish nor a word that says so by itself.
func (e *Entry) setUp(c clause, o Options) bool {
	if strings.Contains(c.text, "?") || c.tags.has(doubt, later, none) {
		e.unsure(c, "it is not said for certain that fish were set up")
		return true
	}
	words := withoutPhrases(strings.Fields(between.ReplaceAllString(elided(c.text), "$1")), setUp, began)
	words = trimmed(words)
	ev := Event{Kind: SetUp}
	group, species, ok := groupAndSpecies(words, o)
	switch {
	case ok:
		ev.Group, ev.Species = group, species
	case c.tags.has(waterChange, feedLive, feed, eggs, hatched, swimming, rearrange, medicine) || !c.tags[setUp]:
		return false
	case c.tags.has(filler) && len(c.unknown) == 0: // "set up the breeding tank"
	default:
		ev.Species = strings.Join(words, " ") // unknown to the list; the caller says so
	}
	if last := len(e.Events) - 1; last >= 0 && e.Events[last].Kind == SetUp && !e.Events[last].Group.OK && e.Events[last].Species == "" {
		e.Events[last] = ev // "new attempt: two pairs put in" is one
		return true
	}
	e.Events = append(e.Events, ev)
	return true
}

// between is what stands between the two halves of an expression for setting up.
var between = regexp.MustCompile(`(?i)\b(?:put|set|place[d]?|mis|puse)\s+(.*?)\s+(?:together|up|in|zusammen|ensemble|juntos)\b`)

// withoutPhrases drops the words of phrases with some meanings from a list of words
// as written.
func withoutPhrases(words []string, drop ...meaning) []string {
	folded := make([]string, len(words))
	for i, w := range words {
		folded[i] = fold(w)
	}
	var out []string
	for i := 0; i < len(words); {
		n := 0
		for k := min(known().longest, len(words)-i); k > 0 && n == 0; k-- {
			found := tags{}
			for _, m := range known().meanings[strings.Join(folded[i:i+k], " ")] {
				found[m] = true
			}
			if found.has(drop...) {
				n = k
			}
		}
		if n == 0 {
			out = append(out, words[i])
			n = 1
		}
		i += n
	}
	return out
}

// linking are words that stand between a group and its species, or around them.
var linking = map[string]bool{"of": true, "with": true, "the": true, "a": true, "an": true, "for": true, "in": true, "to": true, "mit": true, "von": true, "der": true, "die": true, "das": true, "fur": true,
	"im": true, "zur": true, "avec": true, "de": true, "des": true, "d": true, "du": true, "le": true, "la": true, "les": true, "pour": true, "con": true, "los": true, "las": true, "el": true, "para": true, "en": true, "my": true, "un": true, "une": true, "ein": true, "eine": true, "einen": true, "einem": true, "una": true, "l": true, "j": true, "je": true, "nous": true, "on": true, "ich": true, "wir": true, "i": true, "we": true, "new": true, "zucht": true}

func trimmed(words []string) []string {
	for len(words) > 0 && (linking[word.Fold(words[0])] || word.Fold(words[0]) == "") {
		words = words[1:]
	}
	for len(words) > 0 && (linking[word.Fold(words[len(words)-1])] || word.Fold(words[len(words)-1]) == "") {
		words = words[:len(words)-1]
	}
	return words
}

// groupAndSpecies takes words apart into a group of fish and the name of a species,
// in either order, either of which may be missing. It reports false where neither is
// found or words are left over.
func groupAndSpecies(words []string, o Options) (club.Maybe[cell.Group], string, bool) {
	var no club.Maybe[cell.Group]
	if len(words) == 0 {
		return no, "", false
	}
	names := func(list []string) (string, bool) {
		name := strings.Join(trimmed(list), " ")
		return name, name != "" && o.Species != nil && o.Species(name)
	}
	for n := len(words); n > 0; n-- {
		for _, half := range [][2][]string{{words[:n], words[n:]}, {words[len(words)-n:], words[:len(words)-n]}} {
			g, fault := cell.ParseGroup(strings.Trim(strings.Join(trimmed(half[0]), " "), "()"))
			if fault != nil {
				continue
			}
			if len(trimmed(half[1])) == 0 {
				return club.Some(g), "", true
			}
			if name, ok := names(half[1]); ok {
				return club.Some(g), name, true
			}
		}
	}
	name, ok := names(words) // last: a group before a name would pass for a strain
	return no, name, ok
}

// setUpWith gives the fish that a clause of their own names to a set-up before it:
// "new attempt: 2.3 Danio rerio".
func (e *Entry) setUpWith(c clause, o Options) bool {
	last := len(e.Events) - 1
	if last < 0 || e.Events[last].Kind != SetUp || e.Events[last].Group.OK || e.Events[last].Species != "" {
		return false
	}
	group, species, ok := groupAndSpecies(trimmed(strings.Fields(c.text)), o)
	if ok {
		e.Events[last].Group, e.Events[last].Species = group, species
	}
	return ok
}
