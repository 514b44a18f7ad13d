package species

import (
	"slices"
	"strings"

	"gravid/ingest/cell/word"
)

// Names knows the names of species. Make one with New; it does not change
// afterwards and may be used by several goroutines.
type Names struct {
	species  []string // accepted names, sorted
	exact    map[string]hit
	endings  map[string]hit // scientific names without gender endings
	plurals  map[string]hit // common names without plural endings
	genera   map[string][]string
	epithets map[string][]binomial // by epithet without gender ending
	spelt    []spelling            // what a slip of the pen is held against
	longest  int                   // words of the longest name
}

// A hit is what one spelling stands for.
type hit struct {
	how        How
	accepted   string   // empty where not sure
	candidates []string // sorted
	rank       int
	scientific bool
	own        bool // given by the club
}

// A binomial is a scientific name of two words.
type binomial struct {
	genus, epithet string // folded
	species        string // accepted name
	sure           bool
}

// New returns the names of the list with those of a club, which win over the
// list: extra holds a name of the club and the accepted name it stands for, and
// may be nil. An accepted name that is not in the list becomes a species of
// these Names. An accepted name of the list as a name of the club renames the
// species: "Corydoras aeneus" put to "Osteogaster aeneus" moves all its
// synonyms and common names along.
func New(extra map[string]string) *Names {
	n := &Names{
		exact: map[string]hit{}, endings: map[string]hit{}, plurals: map[string]hit{},
		genera: map[string][]string{}, epithets: map[string][]binomial{},
	}
	rows := rowsWith(extra)
	n.collectGenera(rows)
	for _, r := range rows {
		if r.kind == acceptedName {
			n.species = append(n.species, r.accepted)
		}
		n.add(r)
	}
	n.species = distinct(n.species)
	for genus, all := range n.genera {
		enter(n.exact, genus, hit{how: Ambiguous, candidates: all, rank: 9})
	}
	n.collectSpellings(rows)
	return n
}

// Species returns the accepted names, sorted.
func (n *Names) Species() []string { return slices.Clone(n.species) }

// collectGenera lists the species of each genus. Old synonyms count only for
// genera that hold no species today, such as Brachydanio.
func (n *Names) collectGenera(rows []row) {
	former := map[string][]string{}
	for _, r := range rows {
		words := strings.Fields(word.Fold(r.name))
		switch {
		case len(words) < 2:
		case r.kind == acceptedName || r.kind == newerGenus:
			n.genera[words[0]] = append(n.genera[words[0]], r.accepted)
		case r.kind == synonym:
			former[words[0]] = append(former[words[0]], r.accepted)
		}
	}
	for genus, all := range former {
		if n.genera[genus] == nil {
			n.genera[genus] = all
		}
	}
	for genus := range n.genera {
		n.genera[genus] = distinct(n.genera[genus])
	}
}

// add enters one name under all its spellings.
func (n *Names) add(r row) {
	h := hit{how: r.kind.how(), accepted: r.accepted, candidates: []string{r.accepted}, rank: r.kind.rank(), scientific: r.kind.scientific(), own: r.kind == ownName}
	if r.kind == genusWide {
		h.candidates = n.genera[word.Fold(r.accepted)]
	}
	if !r.kind.sure() {
		h.accepted = ""
	}
	words := strings.Fields(word.Fold(r.name))
	n.longest = max(n.longest, len(words)+1)
	if r.kind == abbreviation && isAbbreviated(words) && strings.HasPrefix(word.Fold(r.accepted), words[0]) {
		return // worked out from the scientific names, so that a second species that fits is seen
	}
	enter(n.exact, strings.Join(words, ""), h)
	digraphs := strings.Fields(word.Digraphs(r.name))
	enter(n.exact, strings.Join(digraphs, ""), h)
	if r.kind.scientific() {
		if !isOpenName(words) {
			n.addScientific(words, h, r)
		}
		return
	}
	enter(n.plurals, stems(words), h)
	enter(n.plurals, stems(digraphs), h)
}

func (n *Names) addScientific(words []string, h hit, r row) {
	if len(words) < 2 {
		return
	}
	if h.how == Accepted {
		h.how = Synonym
	}
	enter(n.endings, withoutEnding(words), h)
	last := words[len(words)-1]
	stem := genderless(last)
	n.epithets[stem] = append(n.epithets[stem], binomial{words[0], last, r.accepted, r.kind.sure()})
}

// enter adds a hit to an index. Of two hits with one spelling the lower rank
// counts; with equal ranks and different species, neither is sure.
func enter(index map[string]hit, key string, h hit) {
	if key == "" {
		return
	}
	old, ok := index[key]
	switch {
	case !ok || h.rank < old.rank:
		index[key] = h
	case h.rank == old.rank:
		old.candidates = distinct(append(slices.Clone(old.candidates), h.candidates...))
		if old.accepted != h.accepted {
			old.accepted, old.how = "", Ambiguous
		}
		index[key] = old
	}
}

// lookup finds a name by its folded words: as listed, with another gender
// ending, or in the plural. The plural of a club's own name wins over the list.
func (n *Names) lookup(words []string) (hit, bool) {
	exact, isExact := n.exact[strings.Join(words, "")]
	if isExact && exact.own {
		return exact, true
	}
	plural, isPlural := n.plurals[stems(words)]
	switch {
	case isPlural && plural.own:
		return plural, true
	case isExact:
		return exact, true
	case len(words) > 1:
		if h, ok := n.endings[withoutEnding(words)]; ok {
			return h, true
		}
	}
	return plural, isPlural
}

// isAbbreviated reports whether words are a shortened genus and an epithet.
func isAbbreviated(words []string) bool {
	return len(words) == 2 && len(words[0]) <= 4 && len(words[1]) >= 4 && isAlphabetic(words[0]) && isAlphabetic(words[1])
}

// isOpenName reports whether a name has a part such as sp. in place of an
// epithet, or no epithet.
func isOpenName(words []string) bool {
	return len(words) < 2 || slices.ContainsFunc(words, func(w string) bool { return w == "sp" || w == "agg" })
}

func isAlphabetic(s string) bool {
	return s != "" && strings.IndexFunc(s, func(r rune) bool { return r >= '0' && r <= '9' }) < 0
}

// distinct sorts names and drops repeats.
func distinct(names []string) []string {
	slices.Sort(names)
	return slices.Compact(names)
}
