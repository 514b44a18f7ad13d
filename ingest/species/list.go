package species

import (
	_ "embed"
	"encoding/csv"
	"slices"
	"strings"
	"sync"

	"gravid/ingest/cell/word"
)

// A kind says what a name in the list is to its species.
type kind string

const (
	ownName      kind = "own" // given by the club
	acceptedName kind = "accepted"
	synonym      kind = "synonym"
	newerGenus   kind = "synonym_newer_genus"
	misapplied   kind = "misapplied" // a name of one species used for another
	disputed     kind = "disputed"   // authors differ on whether it is the same species
	ambiguous    kind = "ambiguous"  // used for several species
	genusWide    kind = "genus"      // used for every species of a genus
	abbreviation kind = "abbreviation"
	misspelling  kind = "misspelling"
	commonPrefix      = "common_" // with the language: en, de, fr, es
)

// how is the road that a name of this kind takes.
func (k kind) how() How {
	switch {
	case k == acceptedName:
		return Accepted
	case k == synonym || k == newerGenus:
		return Synonym
	case k == abbreviation:
		return Abbreviation
	case k == misspelling:
		return Misspelling
	case k.sure():
		return Common
	}
	return Ambiguous
}

// rank orders kinds: where one spelling is in the list with two kinds, the
// lower rank counts.
func (k kind) rank() int {
	switch {
	case k == ownName:
		return 0
	case k == acceptedName:
		return 1
	case k == synonym || k == newerGenus:
		return 2
	case !k.sure():
		return 3
	case k == abbreviation:
		return 4
	case k == misspelling:
		return 6
	}
	return 5
}

// sure reports whether a name of this kind stands for its species alone.
func (k kind) sure() bool {
	return k != misapplied && k != disputed && k != ambiguous && k != genusWide
}

// scientific reports whether names of this kind are made of genus and epithet.
func (k kind) scientific() bool {
	return k == acceptedName || k == synonym || k == newerGenus || k == misapplied || k == disputed
}

// A row is one name of one species.
type row struct {
	accepted string // for genusWide, a genus
	name     string
	kind     kind
}

//go:embed names.csv
var listCSV string

// listed reads the embedded list. A fault in it is a fault of the program.
var listed = sync.OnceValue(func() []row {
	records, err := csv.NewReader(strings.NewReader(listCSV)).ReadAll()
	if err != nil {
		panic("species: names.csv: " + err.Error())
	}
	var all []row
	for _, r := range records[1:] {
		all = append(all, row{accepted: r[0], name: r[1], kind: kind(r[2])})
	}
	return all
})

// rowsWith is the list with the names of a club.
func rowsWith(extra map[string]string) []row {
	if len(extra) == 0 {
		return listed()
	}
	c := readClub(extra)
	rows := make([]row, 0, len(listed())+2*len(extra))
	for _, r := range listed() {
		if r.kind != genusWide {
			r.accepted = c.renamed(r.accepted)
		}
		if r.kind == acceptedName && word.Fold(r.name) != word.Fold(r.accepted) {
			r.kind = newerGenus // the club goes by another list
		}
		rows = append(rows, r)
	}
	for _, name := range c.names {
		accepted := c.accepted(name)
		rows = append(rows, row{accepted, accepted, acceptedName})
		if word.Fold(name) != word.Fold(accepted) {
			rows = append(rows, row{accepted, strings.TrimSpace(name), ownName})
		}
	}
	return rows
}

// A club holds the names that a club gave, by folded name.
type club struct {
	names []string          // as given, sorted
	given map[string]string // folded name to the name it stands for
	known map[string]string // folded scientific name of the list to the accepted one
}

func readClub(extra map[string]string) *club {
	c := &club{given: map[string]string{}, known: map[string]string{}}
	for name, accepted := range extra {
		if word.Fold(name) != "" && word.Fold(accepted) != "" {
			c.names = append(c.names, name)
		}
	}
	slices.Sort(c.names)
	for _, name := range c.names {
		c.given[word.Fold(name)] = strings.Join(strings.Fields(extra[name]), " ")
	}
	for _, r := range listed() {
		if r.kind.sure() && (r.kind.scientific() || r.kind == misspelling) {
			c.known[word.Fold(r.name)] = r.accepted
		}
	}
	return c
}

// renamed is the name that the club wants for an accepted name of the list.
func (c *club) renamed(accepted string) string {
	seen := map[string]bool{}
	for {
		key := word.Fold(accepted)
		to, ok := c.given[key]
		if !ok || seen[key] {
			return accepted
		}
		seen[key] = true
		accepted = to
	}
}

// accepted is the accepted name for a name that the club gave. Where the club
// answers with a synonym, its accepted name counts, so that one species keeps
// one name; unless the club put the accepted name to that synonym, or a name to
// itself.
func (c *club) accepted(name string) string {
	to := c.given[word.Fold(name)]
	if word.Fold(name) == word.Fold(to) {
		return to
	}
	if listed, ok := c.known[word.Fold(to)]; ok {
		return c.renamed(listed)
	}
	return c.renamed(to)
}

// CommonName returns the first common name of the list for an accepted name, in a language
// (en, de, fr, es); "" where the list has none.
func CommonName(accepted, language string) string {
	for _, r := range listed() {
		if r.accepted == accepted && r.kind == kind(commonPrefix+language) {
			return r.name
		}
	}
	return ""
}
