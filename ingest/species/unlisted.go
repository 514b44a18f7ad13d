package species

import (
	"regexp"
	"slices"
	"strings"

	"gravid/ingest/cell/word"
)

var twoLatinWords = regexp.MustCompile(`^[A-Z][a-z]{3,} [a-z]{4,}$`)

// Unlisted reads a scientific name that the list does not have: two Latin words, the
// first of them a genus of the list, and nothing in the list that it could be a slip of
// the pen for. It returns the name as it stands.
func (n *Names) Unlisted(name string) (string, bool) {
	const slip = 2 // letters; as near as this, the other may be meant
	name = strings.Join(strings.Fields(name), " ")
	if !twoLatinWords.MatchString(name) {
		return "", false
	}
	genus, epithet, _ := strings.Cut(word.Fold(name), " ")
	same := n.genera[genus]
	if len(same) == 0 || !looksLatin(epithet) || slices.Contains(notEpithets, epithet) {
		return "", false
	}
	for _, s := range same {
		if word.Distance(word.Fold(s), word.Fold(name), slip) <= slip {
			return "", false
		}
	}
	return name, true
}

// notEpithets are words behind a genus that name no species.
var notEpithets = []string{"species", "hybrid", "wild", "mixed", "group", "pair", "trio", "unknown", "various", "albino", "gold", "blue"}
