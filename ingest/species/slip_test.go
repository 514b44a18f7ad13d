package species_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/species"
)

// TestSlipsNeverCross makes one or two slips of the pen in every accepted name.
// What comes back is the species that was meant, or none.
func TestSlipsNeverCross(t *testing.T) {
	names := species.New(nil)
	random := rand.New(rand.NewPCG(7, 11))
	for edits := 1; edits <= 2; edits++ {
		right, refused := 0, 0
		for _, accepted := range names.Species() {
			for range 40 {
				written := []rune(accepted)
				for range edits {
					written = slip(random, written)
				}
				m := names.Resolve(string(written))
				if m.Accepted == "" {
					refused++
					continue
				}
				require.Equal(t, accepted, m.Accepted, "%q", string(written))
				right++
			}
		}
		t.Logf("%d slips: %d right, %d refused, none wrong", edits, right, refused)
		require.Greater(t, right, refused, "a resolver that refuses everything is no use")
	}
}

// slip drops, adds, replaces or swaps a letter.
func slip(random *rand.Rand, s []rune) []rune {
	at := random.IntN(len(s) - 1)
	letter := 'a' + rune(random.IntN(26))
	out := append([]rune(nil), s[:at]...)
	switch random.IntN(4) {
	case 0:
		return append(out, s[at+1:]...)
	case 1:
		return append(append(out, letter), s[at:]...)
	case 2:
		return append(append(out, letter), s[at+1:]...)
	}
	return append(append(out, s[at+1], s[at]), s[at+2:]...)
}

func FuzzResolve(f *testing.F) {
	for _, s := range []string{"Corydoras paleatus", "C. paleatus", "neon", "", "x × x", "(((", "'a' \"b\"", "Corydoras sp. „Peru“ L046?", "\xff\xfe", "é́́", "aff. cf. sp.", "., 1842", "L 1"} {
		f.Add(s)
	}
	names := species.New(map[string]string{"our fish": "Corydoras gossei"})
	f.Fuzz(func(t *testing.T, s string) {
		m := names.Resolve(s)
		require.Equal(t, m, names.Resolve(s))
		require.Equal(t, m.Accepted == "", m.How == species.Ambiguous || m.How == species.Unknown)
		if m.How == species.Ambiguous {
			require.NotEmpty(t, m.Candidates)
		}
		require.NotContains(t, m.Candidates, "")
		names.ResolveIn(s, []string{s, "Corydoras"})
		require.LessOrEqual(t, len(names.Nearest(s)), 3)
		for _, m := range names.Find(s) {
			require.NotEmpty(t, m.As)
			require.Contains(t, s, m.As)
			require.NotContains(t, m.Candidates, "")
		}
		species.New(map[string]string{s: "Betta splendens", "Betta splendens": s})
	})
}

func BenchmarkResolve(b *testing.B) {
	names := species.New(nil)
	for name, written := range map[string]string{
		"accepted": "Corydoras paleatus", "common": "peppered corys", "abbreviation": "C. paleatus", "strain": "Corydoras aeneus \"Gold Laser\" CW010",
		"misspelling": "Coridoras paletuss", "unknown": "Synodontis multipunctatus",
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				names.Resolve(written)
			}
		})
	}
}

func BenchmarkFind(b *testing.B) {
	names := species.New(nil)
	for b.Loop() {
		names.Find("does a pressure drop matter for Corydoras paleatus?")
	}
}

func BenchmarkNew(b *testing.B) {
	for b.Loop() {
		species.New(nil)
	}
}
