package answer

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"gravid/analyze/catalogue"
)

// Understood is what a question in words was taken to mean. A field with more
// than one entry is open: the question has to be put again.
type Understood struct {
	Species  []string
	Triggers []catalogue.Trigger
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
// a text mentions.
func Understand(text string, triggers []catalogue.Trigger, species func(text string) []string) Understood {
	return Understood{Species: species(text), Triggers: catalogue.Mention(triggers, text)}
}

// NearestTrigger suggests the triggers whose code or words are closest to a word
// that nobody knows, best first, at most three.
func NearestTrigger(word string, triggers []catalogue.Trigger) []string {
	type candidate struct {
		code string
		far  int
	}
	word = strings.ToLower(strings.TrimSpace(word))
	var list []candidate
	for _, t := range triggers {
		best := distance(word, t.Code)
		for _, w := range t.Words {
			best = min(best, distance(word, w))
		}
		if best <= max(2, len(word)/2) {
			list = append(list, candidate{t.Code, best})
		}
	}
	slices.SortStableFunc(list, func(a, b candidate) int { return cmp.Compare(a.far, b.far) })
	var codes []string
	for _, c := range list[:min(3, len(list))] {
		codes = append(codes, c.code)
	}
	return codes
}

// distance is the number of insertions, deletions and substitutions between two
// words (Levenshtein).
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		diagonal := row[0]
		row[0] = i + 1
		for j := range y {
			change := diagonal
			if x[i] != y[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(y)]
}

// UnknownTrigger is the message for a trigger that is not in the catalogue.
func UnknownTrigger(code string, triggers []catalogue.Trigger) string {
	near := NearestTrigger(code, triggers)
	if len(near) == 0 {
		return fmt.Sprintf("no trigger is called %q", code)
	}
	return fmt.Sprintf("no trigger is called %q; the nearest is %s", code, either(near))
}
