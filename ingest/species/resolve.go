package species

import (
	"slices"
	"strings"
	"unicode"

	"gravid/ingest/cell/word"
)

// Resolve says which species a name stands for: an accepted name, a synonym, an
// abbreviation that only one species of the list fits, a common name, or one of
// these with a slip of the pen, tried in this order. Crosses, unnamed species
// (sp.) and names followed by a question mark or aff. are never settled.
func (n *Names) Resolve(name string) Match { return n.ResolveIn(name, nil) }

// ResolveIn is Resolve for a name from a log that names these genera elsewhere:
// an abbreviation or a bare epithet that fits several species of the list is
// settled where only one of them belongs to one of the genera.
func (n *Names) ResolveIn(name string, genera []string) Match {
	as := strings.TrimSpace(name)
	if len(as) > longestName {
		return Match{How: Unknown, As: as}
	}
	words := strings.Fields(word.Fold(as))
	if h, ok := n.exact[strings.Join(words, "")]; ok && h.own {
		return h.match(as, "")
	}
	h, ok := n.lookup(words)
	if ok && isPlain(as, words) {
		return n.within(h, words, genera).match(as, "")
	}
	w := read(as)
	if w.hybrid {
		return Match{How: Unknown, Candidates: n.parents(as), Strain: w.strainOf(nil), As: as}
	}
	if ok && !w.doubt && len(w.strain) == 0 {
		return n.within(h, words, genera).match(as, "")
	}
	m := n.resolve(w, genera)
	m.As = as
	return m.doubted(w.doubt)
}

// isPlain reports whether a name has no sign that could make it other than its
// words: a cross, a question mark, brackets.
func isPlain(name string, words []string) bool {
	return !slices.Contains(words, "x") && strings.IndexFunc(name, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != ' ' && r != '.' && r != '-'
	}) < 0
}

// resolve settles a name taken to pieces.
func (n *Names) resolve(w written, genera []string) Match {
	if w.open {
		return n.openName(w)
	}
	for size := len(w.words); size > 0; size-- {
		if h, ok := n.named(w.words[:size], genera); ok {
			if m, ok := n.withRest(w, h, size); ok {
				return m
			}
		}
	}
	if h, skip, ok := n.behindStrain(w); ok {
		return n.aside(w, h.match("", w.strainOf(w.raw[:skip])))
	}
	if h, ok := n.misspelt(w.words); ok {
		return n.aside(w, h.match("", w.strainOf(nil)))
	}
	if len(w.words) > 2 {
		if h, ok := n.misspelt(w.words[:2]); ok && h.scientific {
			if m, ok := n.withRest(w, h, 2); ok {
				return m
			}
		}
	}
	if h, ok := n.commonInside(w); ok {
		return h.match("", w.strainOf(nil))
	}
	return Match{How: Unknown, Candidates: n.Nearest(strings.Join(w.words, " ")), Strain: w.strainOf(nil)}
}

// named finds words that are a whole name, an abbreviation or an epithet.
func (n *Names) named(words []string, genera []string) (hit, bool) {
	if h, ok := n.lookup(words); ok {
		return n.within(h, words, genera), true
	}
	if isAbbreviated(words) {
		return n.abbreviated(words[0], words[1], genera)
	}
	if len(words) == 1 && len(words[0]) >= shortest {
		return n.bareEpithet(words[0], genera)
	}
	return hit{}, false
}

// within narrows the name of a genus to the genera of a log.
func (n *Names) within(h hit, words, genera []string) hit {
	if h.accepted != "" || len(words) != 1 || len(genera) == 0 {
		return h
	}
	if e, ok := n.bareEpithet(words[0], genera); ok && e.accepted != "" && slices.Contains(h.candidates, e.accepted) {
		return e
	}
	return h
}

// abbreviated finds the species that fit a shortened genus and an epithet.
func (n *Names) abbreviated(genus, epithet string, genera []string) (hit, bool) {
	if fits := n.fitting(genus, genderless(epithet)); len(fits) > 0 {
		return settle(fits, genera, Abbreviation), true
	}
	if len(epithet) < shortest {
		return hit{}, false
	}
	var fits []binomial
	for _, stem := range keys(n.epithets) {
		for _, b := range n.fitting(genus, stem) {
			if limit := min(slips(epithet), slips(b.epithet)); word.Distance(epithet, b.epithet, limit) <= limit {
				fits = append(fits, b)
			}
		}
	}
	return settle(fits, genera, Misspelling), len(fits) > 0
}

// fitting are the scientific names with one epithet, without its ending, whose
// genus begins with some letters. A name that was used for another species
// counts only for the species whose name it is, if that is in the list.
func (n *Names) fitting(genus, stem string) []binomial {
	var found []binomial
	for _, b := range n.epithets[stem] {
		if strings.HasPrefix(b.genus, genus) && (b.sure || n.exact[b.genus+b.epithet].accepted == "") {
			found = append(found, b)
		}
	}
	return found
}

// bareEpithet finds the species of an epithet without a genus. Only the genera
// of the log can make it sure.
func (n *Names) bareEpithet(epithet string, genera []string) (hit, bool) {
	fits := n.fitting("", genderless(epithet))
	h := settle(fits, genera, Abbreviation)
	if len(ofGenera(fits, genera)) == 0 {
		h.accepted, h.how = "", Ambiguous
	}
	return h, len(fits) > 0
}

// settle takes the one species that fits, or the one of the log's genera.
func settle(fits []binomial, genera []string, how How) hit {
	h := one(fits, how)
	if narrowed := one(ofGenera(fits, genera), how); h.accepted == "" && narrowed.accepted != "" {
		return narrowed
	}
	return h
}

func one(fits []binomial, how How) hit {
	h := hit{how: how, scientific: true}
	if len(fits) > 0 {
		h.accepted = fits[0].species
	}
	for _, b := range fits {
		h.candidates = append(h.candidates, b.species)
		if !b.sure || b.species != h.accepted {
			h.accepted = ""
		}
	}
	h.candidates = distinct(h.candidates)
	if h.accepted == "" {
		h.how = Ambiguous
	}
	return h
}

func ofGenera(fits []binomial, genera []string) []binomial {
	var found []binomial
	for _, b := range fits {
		if slices.ContainsFunc(genera, func(g string) bool { return word.Fold(g) == b.genus }) {
			found = append(found, b)
		}
	}
	return found
}

// withRest judges what stands behind a name. It declines where the rest may
// make the name that of another fish.
func (n *Names) withRest(w written, h hit, size int) (Match, bool) {
	rest, raw := w.words[size:], w.raw[size:]
	if !h.scientific && !isStrain(rest, strainWords) {
		return Match{}, false
	}
	if h.accepted == "" {
		return h.match("", w.strainOf(raw)), !h.scientific || len(rest) == 0
	}
	others := n.others(h.accepted, w.words[0], rest, strings.Join(raw, " "), w.joined)
	if len(others) > 0 {
		return hit{how: Ambiguous, candidates: distinct(append(others, h.accepted))}.match("", w.strainOf(nil)), true
	}
	for len(raw) > 0 && slices.Contains(describers, rest[0]) {
		rest, raw = rest[1:], raw[1:]
	}
	return n.aside(w, h.match("", w.strainOf(n.withoutSame(h.accepted, rest, raw)))), true
}

// withoutSame drops a rest that only names the species again.
func (n *Names) withoutSame(accepted string, rest, raw []string) []string {
	if h, ok := n.lookup(rest); ok && len(rest) > 0 && h.accepted == accepted {
		return nil
	}
	return raw
}

// others are species, other than the accepted one, that the rest of a name
// mentions: in full, or by an epithet of the same genus.
func (n *Names) others(accepted, genus string, rest []string, raw string, joined bool) []string {
	var found []string
	for _, m := range n.Find(raw) {
		if m.Accepted != "" || joined {
			found = append(found, m.Accepted)
			found = append(found, m.Candidates...)
		}
	}
	for _, w := range rest {
		found = append(found, n.congeners(genus, w)...)
	}
	return slices.DeleteFunc(distinct(found), func(s string) bool { return s == accepted || s == "" })
}

// aside compares a match with what stands in brackets: the same species again,
// a genus or a form change nothing, another species makes the name ambiguous.
func (n *Names) aside(w written, m Match) Match {
	for _, a := range w.asides {
		words := strings.Fields(word.Fold(a))
		h, ok := n.lookup(words)
		if !ok && isAbbreviated(words) {
			h, ok = n.abbreviated(words[0], words[1], nil)
		}
		switch {
		case ok && m.Accepted != "" && slices.Contains(h.candidates, m.Accepted):
		case ok && len(words) == 1 && n.genera[words[0]] != nil:
		case ok:
			m = hit{how: Ambiguous, candidates: distinct(slices.DeleteFunc(append(slices.Clone(h.candidates), m.Accepted), func(s string) bool { return s == "" }))}.match("", m.Strain)
		case a != "" && m.Strain == "":
			m.Strain = a
		case a != "":
			m.Strain += ", " + a
		}
	}
	return m
}

// openName judges a name with sp.: of a genus, but of no species.
func (n *Names) openName(w written) Match {
	var all []string
	left := w.raw
	if len(w.words) > 0 {
		if all = n.genera[w.words[0]]; all != nil {
			left = w.raw[1:]
		}
	}
	strain := w.strainOf(left)
	if len(all) > 0 && strain == "" {
		return hit{how: Ambiguous, candidates: all}.match("", "")
	}
	return Match{How: Unknown, Strain: strain} // a form without a name is near to none
}

// behindStrain finds a name behind words such as albino, and says how many
// they are.
func (n *Names) behindStrain(w written) (hit, int, bool) {
	for skip := 1; skip < len(w.words) && isStrain(w.words[:skip], plainStrainWords); skip++ {
		if h, ok := n.lookup(w.words[skip:]); ok {
			return h, skip, true
		}
	}
	return hit{}, 0, false
}

// commonInside finds a common name with words about it that may make it the
// name of another fish. It is never sure.
func (n *Names) commonInside(w written) (hit, bool) {
	if len(w.words) > 0 && n.genera[w.words[0]] != nil {
		return hit{}, false // a genus with an epithet that nobody knows
	}
	var all []string
	for _, m := range n.Find(w.text) {
		all = append(append(all, m.Candidates...), m.Accepted)
	}
	all = slices.DeleteFunc(distinct(all), func(s string) bool { return s == "" })
	return hit{how: Ambiguous, candidates: all}, len(all) > 0
}

// parents are the species that the name of a cross mentions: in full, or by an
// epithet behind a genus that stands for both.
func (n *Names) parents(name string) []string {
	var found []string
	words := strings.Fields(word.Fold(name))
	for _, m := range n.Find(name) {
		if m.Accepted != "" {
			found = append(found, m.Accepted)
		}
		for _, w := range words {
			found = append(found, n.congeners(firstWord(m.As), w)...)
		}
	}
	return distinct(found)
}

// congeners are the species of a genus that have an epithet.
func (n *Names) congeners(genus, epithet string) []string {
	var found []string
	for _, b := range n.epithets[genderless(epithet)] {
		if b.genus == genus {
			found = append(found, b.species)
		}
	}
	return found
}

func firstWord(name string) string {
	first, _, _ := strings.Cut(word.Fold(name), " ")
	return first
}

// isStrain reports whether all words name a strain or are numbers.
func isStrain(words, known []string) bool {
	return !slices.ContainsFunc(words, func(w string) bool {
		return !slices.Contains(known, w) && strings.Trim(w, "0123456789") != ""
	})
}

// match is the hit as callers see it.
func (h hit) match(as, strain string) Match {
	m := Match{Accepted: h.accepted, How: h.how, Strain: strain, As: as}
	if m.Accepted == "" {
		m.How, m.Candidates = Ambiguous, slices.Clone(h.candidates)
	}
	return m
}

// doubted makes a match ambiguous where its writer was in doubt.
func (m Match) doubted(doubt bool) Match {
	if doubt && m.Accepted != "" {
		m.Accepted, m.How, m.Candidates = "", Ambiguous, []string{m.Accepted}
	}
	return m
}

// looksLatin reports whether a word has the ending of an epithet.
func looksLatin(w string) bool {
	return len(w) >= shortest && strings.IndexFunc(w, func(r rune) bool { return !unicode.IsLower(r) }) < 0 &&
		slices.ContainsFunc([]string{"us", "um", "is", "i", "a", "ae", "oides", "ops", "ens", "or"}, func(e string) bool { return strings.HasSuffix(w, e) })
}
