// Package species turns the names that keepers write for a fish into the
// accepted scientific name: synonyms, common names in four languages,
// abbreviations and slips of the pen. A name that more than one species goes by
// stays ambiguous, with the species it can mean; it is never settled by guess.
//
// The list holds the species that its clubs keep, not all of the fishes, and
// takes no side in questions of taxonomy: a club can add names of its own.
package species

import (
	_ "embed"
	"encoding/csv"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"

	"gravid/ingest/cell/word"
)

// How says in which way a name was understood.
type How string

const (
	Accepted     How = "accepted"     // the accepted scientific name
	Synonym      How = "synonym"      // another scientific name of one species
	Common       How = "common"       // a common name of one species
	Abbreviation How = "abbreviation" // a short form, such as C. paleatus
	Misspelling  How = "misspelling"  // nearest to the names of one species
	Ambiguous    How = "ambiguous"    // several species go by it, or it names only a genus
	Unknown      How = "unknown"
)

// A Match is what a name was understood to mean.
type Match struct {
	Accepted   string   // accepted scientific name; empty when Ambiguous or Unknown
	How        How      //
	Candidates []string // accepted names that are possible (Ambiguous) or near (Unknown)
	Strain     string   // what the name says beyond the species: colour form, locality, L-number
}

// A List is a list of names. It does not change and can be shared.
type List struct {
	species []string         // accepted names, sorted
	entries map[string]entry // by folded name
	names   []string         // keys of entries, sorted: what misspellings are compared with
	tight   map[string]entry // entries by folded name without spaces
	stems   map[string]entry // entries by stems of their words
	genera  map[string][]string
	longest int // words in the longest name
}

// entry is what one name means. Several accepted names make it ambiguous.
type entry struct {
	accepted []string
	how      How
}

func (e entry) ambiguous() bool { return e.how == Ambiguous || len(e.accepted) != 1 }

// New returns the list with the names that a club adds, by name with the species
// that it means. A name of the list that was ambiguous becomes plain. A species
// that the list does not know is added to it. New fails where a name or species
// is empty, where two names that differ only in case or accents mean different
// species, and where the accepted name of one species is given to another.
func New(extra map[string]string) (*List, error) {
	l := &List{entries: maps.Clone(embedded())}
	added := map[string]string{}
	for _, name := range slices.Sorted(maps.Keys(extra)) {
		key, accepted, err := l.check(name, extra[name])
		if err != nil {
			return nil, err
		}
		if other, taken := added[key]; taken && other != accepted {
			return nil, fmt.Errorf("species: %q stands for both %s and %s", name, other, accepted)
		}
		added[key] = accepted
	}
	for key, accepted := range added {
		l.entries[key] = entry{[]string{accepted}, Common}
		l.entries[word.Fold(accepted)] = entry{[]string{accepted}, Accepted}
	}
	l.index()
	return l, nil
}

// check returns the key of a club's name and the accepted name it stands for.
func (l *List) check(name, target string) (key, accepted string, err error) {
	key = word.Fold(name)
	accepted = strings.Join(strings.Fields(target), " ")
	if key == "" || word.Fold(accepted) == "" {
		return "", "", errors.New("species: a name and a species are needed, not " + fmt.Sprintf("%q = %q", name, target))
	}
	if e, ok := l.entries[word.Fold(accepted)]; ok && !e.ambiguous() && (e.how == Accepted || e.how == Synonym) {
		accepted = e.accepted[0]
	}
	if e, ok := l.entries[key]; ok && e.how == Accepted && e.accepted[0] != accepted {
		return "", "", fmt.Errorf("species: %q is itself the accepted name of a species and cannot stand for %s", name, accepted)
	}
	return key, accepted, nil
}

// Species returns the accepted names, sorted. The caller may change the slice.
func (l *List) Species() []string { return slices.Clone(l.species) }

// index works out what is derived from entries.
func (l *List) index() {
	l.names = slices.Sorted(maps.Keys(l.entries))
	l.tight, l.stems, l.genera = map[string]entry{}, map[string]entry{}, map[string][]string{}
	for _, name := range l.names {
		e := l.entries[name]
		join(l.tight, strings.ReplaceAll(name, " ", ""), e)
		join(l.stems, stems(name), e)
		words := strings.Fields(name)
		l.longest = max(l.longest, len(words))
		switch e.how {
		case Accepted:
			l.species = append(l.species, e.accepted[0])
			l.addGenus(words[0], e)
		case Synonym:
			if len(words) > 1 {
				l.addGenus(words[0], e)
			}
		}
	}
	slices.Sort(l.species)
}

func (l *List) addGenus(genus string, e entry) {
	for _, a := range e.accepted {
		if !slices.Contains(l.genera[genus], a) {
			l.genera[genus] = append(l.genera[genus], a)
			slices.Sort(l.genera[genus])
		}
	}
}

// join adds an entry under a key that another name may have too. Two names of
// one species stay plain, names of two species make the key ambiguous.
func join(m map[string]entry, key string, e entry) {
	old, taken := m[key]
	if !taken {
		m[key] = e
		return
	}
	both := slices.Clone(old.accepted)
	for _, a := range e.accepted {
		if !slices.Contains(both, a) {
			both = append(both, a)
		}
	}
	how := old.how
	if e.ambiguous() || old.ambiguous() || len(both) > 1 {
		how = Ambiguous
	}
	m[key] = entry{both, how}
}

//go:embed species.csv
var speciesCSV string

// embedded reads the list that comes with the program. A fault in it is a fault
// of the program.
var embedded = sync.OnceValue(func() map[string]entry {
	records, err := csv.NewReader(strings.NewReader(speciesCSV)).ReadAll()
	if err != nil {
		panic("species: species.csv: " + err.Error())
	}
	entries := map[string]entry{}
	for _, r := range records[1:] {
		e := entry{strings.Split(r[0], "|"), hows[r[2]]}
		if e.how == "" {
			panic("species: species.csv: unknown kind " + r[2])
		}
		for _, key := range []string{word.Fold(r[1]), word.Digraphs(r[1])} {
			if old, taken := entries[key]; taken && old.how != Ambiguous && !slices.Equal(old.accepted, e.accepted) {
				panic("species: species.csv: " + r[1] + " stands for two species")
			} else if !taken || rank(e.how) < rank(old.how) {
				entries[key] = e
			}
		}
	}
	return entries
})

var hows = map[string]How{
	"accepted": Accepted, "synonym": Synonym, "misspelling": Misspelling, "abbreviation": Abbreviation, "ambiguous": Ambiguous,
	"common_en": Common, "common_de": Common, "common_fr": Common, "common_es": Common,
}

func rank(h How) int {
	return slices.Index([]How{Ambiguous, Accepted, Synonym, Common, Abbreviation, Misspelling}, h)
}
