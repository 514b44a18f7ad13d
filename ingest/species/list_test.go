package species

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/cell/word"
)

// TestList holds the embedded list to its own rules.
func TestList(t *testing.T) {
	accepted, genera := map[string]bool{}, map[string]bool{}
	for _, r := range listed() {
		if r.kind == acceptedName {
			require.Equal(t, r.accepted, r.name)
			require.False(t, accepted[r.name], "%s is there twice", r.name)
			accepted[r.name] = true
			genera[strings.Fields(r.name)[0]] = true
		}
	}
	require.Greater(t, len(accepted), 130)
	kinds := []kind{acceptedName, synonym, newerGenus, misapplied, disputed, ambiguous, genusWide, abbreviation, misspelling, "common_en", "common_de", "common_fr", "common_es"}
	seen := map[row]bool{}
	for _, r := range listed() {
		require.Contains(t, kinds, r.kind, "%s", r.name)
		require.False(t, seen[r], "%v is there twice", r)
		seen[r] = true
		require.NotEmpty(t, word.Fold(r.name))
		if r.kind == genusWide {
			require.True(t, genera[r.accepted], "%s: no genus %s", r.name, r.accepted)
		} else {
			require.True(t, accepted[r.accepted], "%s: %s has no row of its own", r.name, r.accepted)
		}
	}
}

// TestEveryRowResolves wants every name of the list to give its species, and
// every name that is not sure to give none.
func TestEveryRowResolves(t *testing.T) {
	names := New(nil)
	unsure := map[string]bool{}
	for _, r := range listed() {
		if !r.kind.sure() {
			unsure[word.Fold(r.name)] = true
		}
	}
	count := map[bool]int{}
	for _, r := range listed() {
		for _, written := range []string{r.name, strings.ToUpper(r.name), "  " + strings.ReplaceAll(r.name, " ", "  ") + " ", word.Digraphs(r.name)} {
			m := names.Resolve(written)
			sure := !unsure[word.Fold(r.name)]
			count[sure]++
			switch {
			case sure:
				require.Equal(t, r.accepted, m.Accepted, "%q (%s): %+v", written, r.kind, m)
				require.Empty(t, m.Candidates)
			case r.kind == genusWide:
				require.Equal(t, Ambiguous, m.How, written)
				require.True(t, slices.ContainsFunc(m.Candidates, func(s string) bool { return strings.HasPrefix(s, r.accepted) }), "%q: %v", written, m.Candidates)
			default:
				require.Empty(t, m.Accepted, "%q is %s", written, r.kind)
				require.Equal(t, Ambiguous, m.How, written)
				require.Contains(t, m.Candidates, r.accepted, written)
			}
		}
	}
	require.Greater(t, count[true], 3000)
	require.Greater(t, count[false], 800)
}

// TestKinds: each road is named as it was gone.
func TestKinds(t *testing.T) {
	names := New(nil)
	for _, r := range listed() {
		m := names.Resolve(r.name)
		switch r.kind {
		case acceptedName:
			require.Equal(t, Accepted, m.How, r.name)
		case synonym, newerGenus:
			require.Equal(t, Synonym, m.How, r.name)
		case abbreviation:
			if strings.HasPrefix(r.name, "L") && strings.HasSuffix(r.name, "46") {
				continue // another spelling of L46, a synonym
			}
			require.Equal(t, Abbreviation, m.How, r.name)
		}
	}
}

func TestCommonName(t *testing.T) {
	require.Equal(t, "bronze corydoras", CommonName("Corydoras aeneus", "en"))
	names := New(nil)
	for _, accepted := range names.Species() {
		for _, language := range []string{"en", "de", "fr", "es"} {
			if name := CommonName(accepted, language); name != "" {
				m := names.Resolve(name)
				require.True(t, m.Accepted == accepted || len(m.Candidates) > 1, "%s, %s: %v", name, accepted, m)
			}
		}
	}
	require.Empty(t, CommonName("Unicornus vulgaris", "en"))
}
