package species

import (
	"cmp"
	"math/bits"
	"slices"
	"strings"

	"gravid/ingest/cell/word"
)

// A spelling is a name against which misspelt names are held.
type spelling struct {
	words   []string
	joined  string // words without spaces
	letters uint32 // which of a–z occur
	h       hit
}

// shortest is the length of a name, in letters, from which slips of the pen are
// looked for: a shorter one is too near to other words.
const shortest = 5

// collectSpellings keeps every name long enough, each once, in the order of the
// list.
func (n *Names) collectSpellings(rows []row) {
	seen := map[string]bool{}
	keep := func(words []string) {
		joined := strings.Join(words, "")
		if h, ok := n.exact[joined]; ok && !seen[joined] && len(joined) >= shortest && isAlphabetic(joined) {
			seen[joined] = true
			n.spelt = append(n.spelt, spelling{words, joined, letters(joined), h})
		}
	}
	for _, r := range rows {
		keep(strings.Fields(word.Fold(r.name)))
	}
	for _, genus := range keys(n.genera) {
		keep([]string{genus})
	}
}

// slips is how many slips of the pen a word of some length may have: 1 below 8
// letters, 2 from there.
func slips(word string) int {
	if len(word) < 8 {
		return 1
	}
	return 2
}

// misspelt finds what a name with slips of the pen stands for. One name must be
// near, and it is sure only where no name of another species is within reach of
// as many slips, so that the slips cannot have been made in that one.
func (n *Names) misspelt(words []string) (hit, bool) {
	joined := strings.Join(words, "")
	if len(joined) < shortest-1 || !isAlphabetic(joined) {
		return hit{}, false
	}
	mask, limit := letters(joined), slips(joined)
	var near, rivals []spelling
	for _, s := range n.spelt {
		if bits.OnesCount32(mask^s.letters) > 2*limit || word.Distance(joined, s.joined, limit) > limit {
			continue
		}
		rivals = append(rivals, s)
		if s.isNear(words, joined) {
			near = append(near, s)
		}
	}
	if len(near) == 0 {
		return hit{}, false
	}
	return together(rivals), true
}

// isNear reports whether words are the spelling with few slips. Every word is
// held to its own length, so that two slips do not turn one short epithet into
// another, nor a lemon tetra into a neon tetra. A word of a common name may have
// one slip: such names are nearer to each other.
func (s spelling) isNear(words []string, joined string) bool {
	if len(words) != len(s.words) {
		return word.Distance(joined, s.joined, 1) <= 1
	}
	limit := min(slips(joined), slips(s.joined))
	total := 0
	for i, w := range words {
		most := 1
		if s.h.scientific {
			most = slips(s.words[i])
		}
		d := word.Distance(w, s.words[i], most)
		if d > most {
			return false
		}
		total += d
	}
	return total <= limit
}

// together is what several spellings say in common.
func together(near []spelling) hit {
	h := hit{how: Misspelling, accepted: near[0].h.accepted, scientific: near[0].h.scientific}
	for _, s := range near {
		h.candidates = append(h.candidates, s.h.candidates...)
		if s.h.accepted != h.accepted {
			h.accepted = ""
		}
		h.scientific = h.scientific || s.h.scientific
	}
	h.candidates = distinct(h.candidates)
	if h.accepted == "" {
		h.how = Ambiguous
	}
	return h
}

// Nearest returns up to three accepted names that have the nearest spellings
// among all their names, nearest first; none where nothing is near.
func (n *Names) Nearest(name string) []string {
	joined := strings.Join(strings.Fields(word.Fold(name)), "")
	if len(joined) > longestName {
		return nil
	}
	limit := max(2, min(5, len(joined)/4))
	mask, distance := letters(joined), map[string]int{}
	for _, s := range n.spelt {
		if bits.OnesCount32(mask^s.letters) > 2*limit {
			continue
		}
		d := word.Distance(joined, s.joined, limit)
		if d > limit || d >= len(joined) {
			continue
		}
		for _, accepted := range s.h.candidates {
			if old, ok := distance[accepted]; !ok || d < old {
				distance[accepted] = d
			}
		}
	}
	near := keys(distance)
	slices.SortStableFunc(near, func(a, b string) int { return cmp.Compare(distance[a], distance[b]) })
	return near[:min(3, len(near))]
}

// longestName is the length in bytes beyond which text is no name of a species.
const longestName = 200

// letters is the set of the letters a to z in a word. One slip of the pen
// changes at most two of its members.
func letters(word string) uint32 {
	var set uint32
	for i := range len(word) {
		if c := word[i]; c >= 'a' && c <= 'z' {
			set |= 1 << (c - 'a')
		}
	}
	return set
}

// keys returns the keys of a map, sorted.
func keys[V any](m map[string]V) []string {
	all := make([]string, 0, len(m))
	for k := range m {
		all = append(all, k)
	}
	slices.Sort(all)
	return all
}
