package species

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"gravid/ingest/cell/word"
)

// A Mention is a name found inside a sentence.
type Mention struct {
	Start, End int // bytes of the sentence
	Text       string
	Match      Match
}

// Find returns the names that a sentence mentions, longest first where names
// overlap, in the order of the sentence. Plurals and inflected words are
// understood (peppered corys, Marmorierte Panzerwelse). A name of several
// species is a Mention that is Ambiguous.
func (l *List) Find(text string) []Mention {
	tokens := tokenise(text)
	var found []Mention
	for i := 0; i < len(tokens); {
		n, e := l.longestAt(tokens[i:])
		if n == 0 {
			i++
			continue
		}
		start, end := tokens[i].start, tokens[i+n-1].end
		found = append(found, Mention{Start: start, End: end, Text: text[start:end], Match: e.match("")})
		i += n
	}
	return found
}

// longestAt returns how many tokens the longest name at their start has.
func (l *List) longestAt(tokens []token) (int, entry) {
	for n := min(l.longest, len(tokens)); n > 0; n-- {
		var words []string
		for _, t := range tokens[:n] {
			words = append(words, t.folded)
		}
		name := strings.Join(words, " ")
		if e, ok := l.entries[name]; ok {
			return n, e
		}
		if e, ok := l.stems[stems(name)]; ok && e.how != Abbreviation {
			return n, e
		}
		if of := l.genera[name]; n == 1 && len(of) > 0 {
			return 1, entry{of, Ambiguous}
		}
	}
	return 0, entry{}
}

// token is one word of a sentence. Words joined by a hyphen are two, as they
// are in folded names.
type token struct {
	folded     string
	start, end int
}

func tokenise(text string) []token {
	var tokens []token
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRuneInString(text[i:])
		if !partOfWord(r) {
			i += size
			continue
		}
		end := i
		for end < len(text) {
			r, size := utf8.DecodeRuneInString(text[end:])
			if !partOfWord(r) {
				break
			}
			end += size
		}
		if folded := word.Fold(text[i:end]); folded != "" && !strings.Contains(folded, " ") {
			tokens = append(tokens, token{folded, i, end})
		}
		i = end
	}
	return tokens
}

func partOfWord(r rune) bool {
	return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.Is(unicode.Mn, r) || r == '\'' || r == '’'
}

// stems cuts plural and inflected endings from the words of a folded name. It
// is crude on purpose: names are compared with names that were cut in the same
// way, and a stem that two species share is ambiguous.
func stems(folded string) string {
	words := strings.Fields(folded)
	for i, w := range words {
		words[i] = stem(w)
	}
	return strings.Join(words, " ")
}

func stem(w string) string {
	if cut, ok := strings.CutSuffix(w, "ies"); ok && len(cut) >= 3 {
		return cut + "y"
	}
	if cut, ok := strings.CutSuffix(w, "s"); ok && len(cut) >= 3 {
		w = cut
	}
	for len(w) > 4 && strings.ContainsRune("esnr", rune(w[len(w)-1])) {
		w = w[:len(w)-1]
	}
	return w
}
