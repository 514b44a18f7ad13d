package heading

import (
	_ "embed"
	"encoding/csv"
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"gravid/ingest/cell/word"
)

//go:embed headings.csv
var list string

// languages are those of the list.
var languages = [...]string{"en", "de", "fr", "es"}

// A meaning is a field that a heading names in one language; the language is
// empty for names of the tables' columns.
type meaning struct {
	field    Field
	language string
}

// A vocabulary is the list of headings, by folded text.
type vocabulary struct {
	meanings map[string][]meaning
	written  map[string]string // folded text -> a heading as the list writes it
	keys     []string          // of meanings, sorted, for those that are misspelt
	totals   map[string]bool
}

// known is made when it is first asked for: most verbs read no headings.
var known = sync.OnceValue(func() *vocabulary { return newVocabulary(list) })

func newVocabulary(list string) *vocabulary {
	v := &vocabulary{meanings: map[string][]meaning{}, written: map[string]string{}, totals: map[string]bool{}}
	rows, err := csv.NewReader(strings.NewReader(list)).ReadAll()
	if err != nil {
		panic("heading: headings.csv: " + err.Error())
	}
	for _, r := range rows[1:] {
		v.add(r[0], r[1], r[2])
	}
	for _, d := range declared { // the tables' own columns, unless people mean something else by the name
		if len(v.meanings[key(string(d.field))]) == 0 {
			v.add(string(d.field), "", string(d.field))
		}
	}
	for k := range v.meanings {
		v.keys = append(v.keys, k)
	}
	slices.Sort(v.keys)
	return v
}

func (v *vocabulary) add(name, language, text string) {
	if name == "total" {
		if k := key(text); len([]rune(k)) > 1 {
			v.totals[k] = true
		}
		return
	}
	f, ok := Lookup(name)
	if !ok {
		panic("heading: headings.csv names an unknown field " + name)
	}
	for _, k := range []string{asked(text), essence(asked(text)), asked(digraphs(text)), essence(asked(digraphs(text)))} {
		if m := (meaning{f, language}); k != "" && !slices.Contains(v.meanings[k], m) {
			v.meanings[k] = append(v.meanings[k], m)
		}
		if v.written[k] == "" {
			v.written[k] = text
		}
	}
}

// digraphs writes ae for ä and so on, as those do who have no such keys.
func digraphs(text string) string { return umlauts.Replace(text) }

var (
	umlauts = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "Ä", "Ae", "Ö", "Oe", "Ü", "Ue")
	symbols = strings.NewReplacer("Δ", "delta ", "∆", "delta ", "№", "no ", "&", " and ")
)

// key folds a heading, and writes the sign for a change as a word of its own.
func key(text string) string {
	return word.Fold(symbols.Replace(text))
}

// asked is key with a question mark at the end where the heading has one:
// "eggs?" asks whether there were any.
func asked(text string) string {
	k := key(text)
	if k != "" && strings.ContainsAny(text, "?¿") {
		k += "?"
	}
	return k
}

// filler are words without which a heading means the same. Words that tell a
// date from an event ("on", "am", "le", "el") are none.
var filler = []string{"the", "of", "der", "die", "das", "des", "du", "de", "del", "la", "les", "los", "las"}

// essence drops the filler from a key.
func essence(key string) string {
	words := strings.Fields(key)
	kept := slices.DeleteFunc(slices.Clone(words), func(w string) bool { return slices.Contains(filler, w) })
	if len(kept) == 0 {
		return key
	}
	return strings.Join(kept, " ")
}

// exact finds what a name means, in every language: as the list has it, or else by
// its words. A question mark counts only where it makes a difference.
func (v *vocabulary) exact(name string) []meaning {
	if m := v.listed(name); m != nil {
		return m
	}
	return compose(name)
}

// listed is exact for names that the list has.
func (v *vocabulary) listed(name string) []meaning {
	k := asked(name)
	bare := strings.TrimSuffix(k, "?")
	for _, k := range []string{k, bare, bare + "?", essence(k), essence(bare)} {
		if m := v.meanings[k]; len(m) > 0 {
			return m
		}
	}
	return nil
}

// misspelt finds the only known heading that lies one slip of the pen away from
// a name, or several that mean the same. The first letter is hardly ever the slip:
// "batch" is no "hatch". Names shorter than five letters, words
// shorter than four, digits and signs are never mended.
func (v *vocabulary) misspelt(name string) (m []meaning, taken string) {
	k := key(name)
	n := len([]rune(k))
	if n < 5 {
		return nil, ""
	}
	for _, other := range v.keys {
		bare := strings.TrimSuffix(other, "?")
		if !near(k, bare) || len([]rune(bare)) < 5 || word.Distance(k, bare, 1) != 1 || !mendable(k, bare) {
			continue
		}
		switch found := v.meanings[other]; {
		case taken == "":
			m, taken = found, v.written[other]
		case !sameFields(m, found):
			return nil, ""
		}
	}
	if taken != "" && key(taken)[0] != k[0] {
		return nil, ""
	}
	return m, taken
}

// shortened finds what a heading that ends in a full stop abbreviates: "Laichdat.",
// "abgel.". All known headings, or all known words, that begin so must mean the same.
func (v *vocabulary) shortened(name string) (m []meaning, taken string) {
	const fewest = 3 // letters; two begin too many words
	k := key(name)
	if !strings.HasSuffix(strings.TrimSpace(name), ".") || len([]rune(k)) < fewest || strings.Contains(k, " ") {
		return nil, ""
	}
	from, _ := slices.BinarySearch(v.keys, k)
	for _, other := range v.keys[from:] {
		if !strings.HasPrefix(other, k) {
			break
		}
		if strings.Contains(other, " ") || strings.Contains(other, "?") {
			continue
		}
		switch found := v.meanings[other]; {
		case taken == "":
			m, taken = found, v.written[other]
		case !sameFields(m, found):
			return nil, ""
		}
	}
	return m, taken
}

// near rules out, without counting letters, most texts that are more than one
// slip apart: between their common beginning and end lie two letters at most.
func near(a, b string) bool {
	const twoLetters = 2 * utf8.UTFMax
	if d := len(a) - len(b); d > utf8.UTFMax || -d > utf8.UTFMax {
		return false
	}
	short := min(len(a), len(b))
	start := 0
	for start < short && a[start] == b[start] {
		start++
	}
	end := 0
	for end < short-start && a[len(a)-1-end] == b[len(b)-1-end] {
		end++
	}
	return max(len(a), len(b))-start-end <= twoLetters
}

// mendable reports whether two keys one slip apart differ in letters of a word
// long enough to be misspelt.
func mendable(a, b string) bool {
	if signs(a) != signs(b) {
		return false
	}
	from, to := strings.Fields(a), strings.Fields(b)
	if len(from) != len(to) {
		return true // a space more or less
	}
	for i := range from {
		if from[i] != to[i] && (len([]rune(from[i])) < 4 || len([]rune(to[i])) < 4) {
			return false
		}
	}
	return true
}

// signs are the characters of a key that are no letters.
func signs(k string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || r == ' ' {
			return -1
		}
		return r
	}, k)
}

func sameFields(a, b []meaning) bool {
	in := func(x, y []meaning) bool {
		return !slices.ContainsFunc(x, func(m meaning) bool {
			return !slices.ContainsFunc(y, func(n meaning) bool { return n.field == m.field })
		})
	}
	return in(a, b) && in(b, a)
}

// nearest names the known heading most like a name, for messages, in the language
// where there is one; empty where none is much like it.
func (v *vocabulary) nearest(name, language string) string {
	k := key(name)
	limit := max(1, len([]rune(k))/3)
	best := ""
	for _, other := range v.keys {
		if limit < 0 || len([]rune(other)) < 3 || language != "" && !slices.ContainsFunc(v.meanings[other], func(m meaning) bool { return m.language == language }) {
			continue
		}
		if d := word.Distance(k, other, limit); d <= limit {
			best, limit = v.written[other], d-1
		}
	}
	if best == "" && language != "" {
		return v.nearest(name, "")
	}
	return best
}

// IsTotal reports whether text marks a row that adds up or averages others, such
// as "Total", "Summe 2024" or "Ø".
func IsTotal(text string) bool {
	t := strings.TrimRight(strings.TrimSpace(text), ":. ")
	if t == "Σ" || t == "∑" || t == "Ø" || t == "⌀" {
		return true
	}
	words := strings.Fields(key(t))
	for len(words) > 1 && strings.Trim(words[len(words)-1], "0123456789") == "" {
		words = words[:len(words)-1]
	}
	if known().totals[strings.Join(words, " ")] {
		return true
	}
	// "Week total", "Summe Monat": two words, one of which says so by itself.
	return len(words) == 2 && (sums[words[0]] || sums[words[1]])
}

// sums are the words for a total that mean nothing else beside another word.
var sums = map[string]bool{"total": true, "totals": true, "subtotal": true, "sum": true, "summe": true, "zwischensumme": true, "gesamt": true, "gesamtsumme": true, "somme": true, "suma": true}
