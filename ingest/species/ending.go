package species

import "strings"

// genderless is an epithet without the ending that follows the gender of the
// genus (-us, -a, -um; -is, -e; -er, -ra, -rum) or that writers confuse (-i,
// -ii).
func genderless(epithet string) string {
	for _, e := range []struct{ ending, base string }{
		{"rum", "r"}, {"ra", "r"}, {"er", "r"}, {"us", ""}, {"um", ""}, {"a", ""}, {"ii", "i"}, {"is", ""}, {"e", ""},
	} {
		if stem, ok := strings.CutSuffix(epithet, e.ending); ok && len(stem) >= 3 {
			return stem + e.base
		}
	}
	return epithet
}

// withoutEnding is a scientific name with all its epithets genderless.
func withoutEnding(words []string) string {
	var b strings.Builder
	b.WriteString(words[0])
	for _, w := range words[1:] {
		b.WriteByte(' ')
		b.WriteString(genderless(w))
	}
	return b.String()
}

// stems is a common name without plural endings and spaces.
func stems(words []string) string {
	var b strings.Builder
	for _, w := range words {
		b.WriteString(singular(w))
	}
	return b.String()
}

// singular is a word without the endings that make the plural in English,
// German, French and Spanish. It is no word of its own: "cory", "corys" and
// "cories" all give "cori".
func singular(w string) string {
	for {
		n := len(w)
		if n < 4 {
			break
		}
		switch last := w[n-1]; {
		case last == 's', last == 'x', last == 'e' && n > 4, last == 'n' && n > 4 && strings.IndexByte("elr", w[n-2]) >= 0:
			w = w[:n-1]
			continue
		}
		break
	}
	if stem, ok := strings.CutSuffix(w, "y"); ok {
		return stem + "i"
	}
	if stem, ok := strings.CutSuffix(w, "z"); ok {
		return stem + "c"
	}
	return w
}
