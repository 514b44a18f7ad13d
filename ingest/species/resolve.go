package species

import (
	"regexp"
	"slices"
	"strings"
	"unicode"

	"gravid/ingest/cell/word"
)

// Resolve finds the species that a name means. In this order: the name as it
// stands; without authors, quotation marks, strain and locality; short forms of
// the genus; plurals of common names; the nearest name, one letter off in a
// short word and two in a long one, as long as only one species is that near.
//
// A question mark, "cf.", "aff.", a hybrid, a genus alone, and a name that more
// than one species goes by are Ambiguous.
func (l *List) Resolve(name string) Match {
	if e, ok := l.entries[word.Fold(name)]; ok && !doubtful(name) {
		return e.match("")
	}
	p := takeApart(name)
	m := l.plain(p)
	if p.doubt != "" {
		return l.doubted(m, p)
	}
	if m.How == Unknown && p.inner != "" {
		m = l.plain(takeApart(p.inner)) // our name (Scientific name)
	} else if inner := l.innerMatch(p); inner.Accepted != "" && m.Accepted != "" && inner.Accepted != m.Accepted {
		return Match{How: Ambiguous, Candidates: sorted(m.Accepted, inner.Accepted)}
	} else if p.inner != "" && inner.Accepted == "" && !looksLikeAuthor(p.inner) {
		m.Strain = joinStrain(m.Strain, p.inner)
	}
	if m.How == Unknown {
		m.Candidates = l.Nearest(name)
	}
	return m
}

func (e entry) match(strain string) Match {
	if e.ambiguous() {
		return Match{How: Ambiguous, Candidates: sorted(e.accepted...), Strain: strain}
	}
	return Match{Accepted: e.accepted[0], How: e.how, Strain: strain}
}

// doubted turns a match into a question, because the keeper was not sure.
func (l *List) doubted(m Match, p parts) Match {
	candidates := m.Candidates
	if m.Accepted != "" {
		candidates = []string{m.Accepted}
	}
	for _, mention := range l.Find(p.whole) {
		candidates = append(candidates, mention.Match.Accepted)
		candidates = append(candidates, mention.Match.Candidates...)
	}
	candidates = sorted(candidates...)
	if len(candidates) == 0 {
		return Match{How: Unknown, Candidates: l.Nearest(p.whole), Strain: p.strain}
	}
	return Match{How: Ambiguous, Candidates: candidates, Strain: p.strain}
}

func (l *List) innerMatch(p parts) Match {
	if p.inner == "" || looksLikeAuthor(p.inner) {
		return Match{}
	}
	return l.plain(takeApart(p.inner))
}

// plain resolves a name that was taken apart, doubts and brackets aside.
func (l *List) plain(p parts) Match {
	folded := word.Fold(p.name)
	if folded == "" {
		return Match{How: Unknown}
	}
	if e, ok := l.entries[folded]; ok {
		return e.match(p.strain)
	}
	for _, read := range []func(parts, string) (Match, bool){l.binomial, l.shortGenus, l.commonForms, l.alone, l.nearest} {
		if m, ok := read(p, folded); ok {
			return m
		}
	}
	return Match{How: Unknown, Strain: p.strain}
}

// binomial reads a scientific name that authors or a strain follow, or whose
// species name has another gender ending.
func (l *List) binomial(p parts, folded string) (Match, bool) {
	words := strings.Fields(p.name)
	for n := min(3, len(words)); n >= 2; n-- {
		key := word.Fold(strings.Join(words[:n], " "))
		e, ok := l.entries[key]
		if !ok || e.how != Accepted && e.how != Synonym && e.how != Misspelling && e.how != Abbreviation {
			if e, ok = l.otherEnding(key); !ok {
				continue
			}
		}
		rest := strings.Join(words[n:], " ")
		switch {
		case rest == "" || looksLikeAuthor(rest):
			return e.match(p.strain), true
		case namesAnother(rest) || l.mentions(rest):
			return Match{How: Ambiguous, Candidates: sorted(e.accepted...)}, true
		}
		return e.match(joinStrain(rest, p.strain)), true
	}
	return Match{}, false
}

func (l *List) mentions(text string) bool { return len(l.Find(text)) > 0 }

// otherEnding finds a scientific name whose last word differs in its ending:
// aequifasciata for aequifasciatus, leeri for leerii.
func (l *List) otherEnding(key string) (entry, bool) {
	var found entry
	for _, name := range l.names {
		e := l.entries[name]
		if (e.how == Accepted || e.how == Synonym) && strings.Contains(name, " ") && ending(name) == ending(key) {
			m := map[string]entry{"": found}
			if found.how == "" {
				delete(m, "")
			}
			join(m, "", entry{e.accepted, Misspelling})
			found = m[""]
		}
	}
	return found, found.how != ""
}

// ending cuts the ending that changes with gender or fashion.
func ending(name string) string {
	for _, suffix := range []string{"us", "um", "a", "ii", "i", "is", "e"} {
		if cut, ok := strings.CutSuffix(name, suffix); ok && len(cut) > 6 {
			return cut
		}
	}
	return name
}

// shortGenus reads C. paleatus, Cory. paleatus and cory paleatus. A genus cut
// to one or two letters stands for an accepted name only.
func (l *List) shortGenus(p parts, folded string) (Match, bool) {
	words := strings.Fields(folded)
	if len(words) < 2 {
		return Match{}, false
	}
	short, rest := words[0], strings.Join(words[1:], " ")
	found := map[string]entry{}
	for _, name := range l.names {
		e := l.entries[name]
		genus, epithet, ok := strings.Cut(name, " ")
		if ok && epithet == rest && strings.HasPrefix(genus, short) && (e.how == Accepted || e.how == Synonym && len(short) >= 3) {
			join(found, "", entry{e.accepted, Abbreviation})
		}
	}
	e, ok := found[""]
	return e.match(p.strain), ok
}

// commonForms reads common names in the plural, and written in one word or in
// several.
func (l *List) commonForms(p parts, folded string) (Match, bool) {
	found := map[string]entry{}
	if e, ok := l.tight[strings.ReplaceAll(folded, " ", "")]; ok {
		join(found, "", e)
	}
	if e, ok := l.stems[stems(folded)]; ok && (e.how == Common || e.how == Ambiguous) {
		join(found, "", e)
	}
	e, ok := found[""]
	return e.match(p.strain), ok
}

// alone reads a genus or the second word of a scientific name alone. Neither
// names a species for certain.
func (l *List) alone(p parts, folded string) (Match, bool) {
	words := strings.Fields(folded)
	if of := l.genera[words[0]]; len(of) > 0 {
		return Match{How: Ambiguous, Candidates: slices.Clone(of), Strain: joinStrain(strings.Join(strings.Fields(p.name)[1:], " "), p.strain)}, len(words) == 1 || p.unnamed
	}
	if len(words) != 1 {
		return Match{}, false
	}
	var candidates []string
	for _, name := range l.names {
		if e := l.entries[name]; (e.how == Accepted || e.how == Synonym) && strings.HasSuffix(name, " "+folded) {
			candidates = append(candidates, e.accepted...)
		}
	}
	return Match{How: Ambiguous, Candidates: sorted(candidates...), Strain: p.strain}, len(candidates) > 0
}

// nearest reads a misspelt name. All names that are near enough must mean one
// species.
func (l *List) nearest(p parts, folded string) (Match, bool) {
	found := map[string]entry{}
	for _, name := range l.names {
		if e := l.entries[name]; e.how != Abbreviation && closeTo(folded, name, e.how) {
			join(found, "", entry{e.accepted, Misspelling})
			if e.ambiguous() {
				join(found, "", entry{e.accepted, Ambiguous})
			}
		}
	}
	e, ok := found[""]
	return e.match(p.strain), ok
}

// closeTo reports whether a is near enough to a known name. Words of fewer than
// five letters must be right; one letter may be off in a word of fewer than
// eight, two in a longer one, and two in all. Common names may be off by one
// letter in all: lemon tetra is not neon tetra.
func closeTo(a, name string, how How) bool {
	words, known := strings.Fields(a), strings.Fields(name)
	if len(words) != len(known) {
		return false
	}
	most := 1
	if how == Accepted || how == Synonym || how == Misspelling {
		most = 2
	}
	total := 0
	for i := range words {
		limit := 0
		switch n := len([]rune(known[i])); {
		case n >= 8:
			limit = min(2, most)
		case n >= 5:
			limit = 1
		}
		d := word.Distance(words[i], known[i], limit)
		if total += d; d > limit || total > most {
			return false
		}
	}
	return true
}

// Nearest returns up to three species whose names are nearest to a name that is
// not known, for messages. It is empty when none is near.
func (l *List) Nearest(name string) []string {
	folded := word.Fold(name)
	limit := max(2, len(folded)/3)
	best := map[string]int{}
	for _, known := range l.names {
		d := word.Distance(folded, known, limit)
		if d > limit {
			continue
		}
		for _, a := range l.entries[known].accepted {
			if old, seen := best[a]; !seen || d < old {
				best[a] = d
			}
		}
	}
	var near []string
	for _, a := range l.species {
		if _, ok := best[a]; ok {
			near = append(near, a)
		}
	}
	slices.SortStableFunc(near, func(a, b string) int { return best[a] - best[b] })
	return near[:min(3, len(near))]
}

// parts are the pieces of a name as written.
type parts struct {
	whole   string
	name    string // without what follows
	inner   string // text in brackets
	strain  string // in quotation marks, codes of locality, what follows var. and sp.
	doubt   string // the sign that the keeper was not sure
	unnamed bool   // sp. or spp.: the species was not named
}

var (
	brackets = regexp.MustCompile(`\s*\(([^()]*)\)\s*`)
	quoted   = regexp.MustCompile(`\s*(?:"([^"]+)"|“([^”]+)”|„([^“”"]+)[“”"]|«([^»]+)»|(?:^|\s)['‘]([^'’]+)['’](?:\s|$))\s*`)
	localeID = regexp.MustCompile(`(?i)^(L|LDA|CW|C)-?\d{1,4}[a-d]?$`)
)

// doubtful reports whether text holds a sign that the keeper was not sure.
func doubtful(text string) bool { return strings.ContainsAny(text, "?×") }

func takeApart(text string) parts {
	p := parts{whole: text}
	if doubtful(text) {
		p.doubt = "?"
	}
	for _, m := range quoted.FindAllStringSubmatch(text, -1) {
		p.strain = joinStrain(p.strain, strings.Join(m[1:], ""))
	}
	text = quoted.ReplaceAllString(text, " ")
	if m := brackets.FindStringSubmatch(text); m != nil {
		p.inner = strings.TrimSpace(m[1])
		text = brackets.ReplaceAllString(text, " ")
	}
	var kept []string
	words := strings.Fields(text)
	for i, w := range words {
		switch plain := strings.ToLower(strings.Trim(w, ".,;:")); {
		case plain == "cf" || plain == "aff" || plain == "x" && i > 0 && i < len(words)-1:
			p.doubt = plain
		case plain == "sp" || plain == "spp":
			p.unnamed = true
			p.strain = joinStrain(p.strain, strings.Join(words[i+1:], " "))
			p.name = strings.Join(kept, " ")
			return p
		case plain == "var" || plain == "ssp" || plain == "subsp":
			p.strain = joinStrain(p.strain, strings.Join(words[i+1:], " "))
			p.name = strings.Join(kept, " ")
			return p
		case plain == "agg":
		case localeID.MatchString(strings.Trim(w, ".,;:")):
			p.strain = joinStrain(p.strain, w)
		default:
			kept = append(kept, strings.Trim(w, ",;:"))
		}
	}
	p.name = strings.Join(kept, " ")
	return p
}

func joinStrain(a, b string) string {
	return strings.TrimSpace(strings.TrimSpace(a) + " " + strings.TrimSpace(b))
}

// looksLikeAuthor reports whether what follows a scientific name are its
// authors and year: Jenyns, 1842 or Cuvier & Valenciennes.
func looksLikeAuthor(rest string) bool {
	year := false
	for _, w := range strings.Fields(rest) {
		w = strings.Trim(w, ".,()")
		first, _ := firstRune(w)
		switch {
		case w == "", w == "&", w == "et", w == "al", w == "in", w == "ex", w == "and", w == "de", w == "von", w == "van":
		case len(w) == 4 && w >= "1735" && w <= "2100" && strings.Trim(w, "0123456789") == "":
			year = true
		case unicode.IsUpper(first) && len(w) > 1:
		default:
			return false
		}
	}
	return year
}

func firstRune(s string) (rune, bool) {
	for _, r := range s {
		return r, true
	}
	return 0, false
}

// namesAnother reports whether the words after a name speak of a second one.
func namesAnother(rest string) bool {
	for _, w := range strings.Fields(strings.NewReplacer("/", " / ", "+", " + ", "&", " & ").Replace(rest)) {
		switch strings.ToLower(w) {
		case "or", "and", "oder", "und", "ou", "et", "o", "y", "/", "+", "&":
			return true
		}
	}
	return false
}

// sorted returns the names once each, in order, without empty ones.
func sorted(names ...string) []string {
	list := slices.Clone(names)
	slices.Sort(list)
	list = slices.Compact(list)
	return slices.DeleteFunc(list, func(s string) bool { return s == "" })
}
