package species

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"gravid/ingest/cell/word"
)

// A token is a word of a sentence.
type token struct {
	folded     string
	from, to   int  // bytes in the text
	dot, upper bool // a full stop follows; begins with a capital
	part       int  // number of the part of the sentence: no name crosses a comma
}

// A mention is a name found in a sentence.
type mention struct {
	first, words int // tokens
	m            Match
}

// notInSentences are names of the list, folded, that a sentence mostly means
// otherwise.
var notInSentences = []string{
	"yellow", "limon", "disco", "espada", "galaxy", "ojos azules", "cabeza roja", "ocho bandas", "angel", "zeus", "heros", "rocio", "australe", "combatiente",
}

// Find returns the species that a sentence mentions, in the order in which they
// stand there. Of names that overlap the one of most words counts. Names may
// stand in the plural. A name for several species comes back with its
// candidates; a genus with an epithet that is not in the list comes back as
// Unknown without any.
func (n *Names) Find(text string) []Match {
	tokens := tokenise(text)
	var all []mention
	for i := range tokens {
		for size := 1; size <= n.longest && i+size <= len(tokens) && tokens[i+size-1].part == tokens[i].part; size++ {
			if m, ok := n.mentioned(tokens[i : i+size]); ok {
				m.As = text[tokens[i].from:tokens[i+size-1].to]
				all = append(all, mention{i, size, m})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b mention) int { return cmp.Compare(b.words, a.words) })
	taken := make([]bool, len(tokens))
	var found []mention
	for _, c := range all {
		if slices.Contains(taken[c.first:c.first+c.words], true) {
			continue
		}
		for i := range c.words {
			taken[c.first+i] = true
		}
		found = append(found, c)
	}
	slices.SortFunc(found, func(a, b mention) int { return cmp.Compare(a.first, b.first) })
	var matches []Match
	for _, c := range found {
		matches = append(matches, c.m)
	}
	return matches
}

// mentioned reports what tokens stand for, if all of them are one name.
func (n *Names) mentioned(tokens []token) (Match, bool) {
	words := make([]string, len(tokens))
	for i, t := range tokens {
		words[i] = t.folded
	}
	if slices.Contains(notInSentences, strings.Join(words, " ")) {
		return Match{}, false
	}
	if h, ok := n.lookup(words); ok {
		return h.match("", ""), true
	}
	switch len(words) {
	case 1:
		if len(words[0]) > shortest {
			if h, ok := n.bareEpithet(words[0], nil); ok {
				return h.match("", ""), true
			}
		}
	case 2:
		return n.mentionedPair(tokens, words)
	}
	return Match{}, false
}

// mentionedPair judges two words: an abbreviation, a misspelt scientific name,
// or a species of a known genus that is not in the list.
func (n *Names) mentionedPair(tokens []token, words []string) (Match, bool) {
	if isAbbreviated(words) && (tokens[0].dot || tokens[0].upper && len(words[0]) == 1) {
		if h, ok := n.abbreviated(words[0], words[1], nil); ok {
			return h.match("", ""), true
		}
	}
	if len(words[0]) >= shortest && len(words[1]) >= 4 {
		if h, ok := n.misspelt(words); ok && h.scientific {
			return h.match("", ""), true
		}
	}
	if n.genera[words[0]] != nil && !tokens[1].upper && looksLatin(words[1]) {
		return Match{How: Unknown}, true
	}
	return Match{}, false
}

// tokenise splits a sentence into words. Signs other than spaces and hyphens,
// and full stops behind all but abbreviations, end a part of it.
func tokenise(text string) []token {
	var tokens []token
	part, start := 0, -1
	end := func(at int) {
		if start < 0 {
			return
		}
		if folded := word.Fold(text[start:at]); folded != "" && !strings.Contains(folded, " ") {
			first := []rune(text[start:at])[0]
			tokens = append(tokens, token{folded: folded, from: start, to: at, upper: unicode.IsUpper(first), part: part})
		} else {
			part++
		}
		start = -1
	}
	for at, r := range text {
		switch {
		case unicode.IsLetter(r), unicode.IsDigit(r), unicode.Is(unicode.Mn, r), (r == '\'' || r == '’') && start >= 0:
			if start < 0 {
				start = at
			}
		case r == '.':
			end(at)
			if last := len(tokens) - 1; last >= 0 && tokens[last].to == at {
				tokens[last].dot = true
				if len(tokens[last].folded) > 4 {
					part++
				}
			}
		case unicode.IsSpace(r), r == '-', r == '‐', r == '–':
			end(at)
		default:
			end(at)
			part++
		}
	}
	end(len(text))
	return tokens
}
