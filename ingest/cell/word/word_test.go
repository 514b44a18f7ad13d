package word

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestFold(t *testing.T) {
	for text, want := range map[string]string{
		"Wassertemperatur":   "wassertemperatur",
		"  Spawned?  Y/N ":   "spawned y n",
		"Züchter":            "zuchter",
		"Größe":              "grosse",
		"nb œufs":            "nb oeufs",
		"Nombre d'œufs":      "nombre doeufs",
		"Sterba’s cory":      "sterbas cory",
		"# eggs":             "# eggs",
		"wc%":                "wc %",
		"T°":                 "t °",
		"temperatura (ºC)":   "temperatura ° c",
		"µS/cm":              "μs cm",
		"2♂ 3♀":              "2 ♂ 3 ♀",
		"pressure_hpa":       "pressure hpa",
		"½":                  "1 2",
		"":                   "",
		"---":                "",
		"Corydoras\u00a0sp.": "corydoras sp",
	} {
		require.Equal(t, want, Fold(text), text)
		require.Equal(t, want, Fold(want), "folding twice changes nothing: %s", text)
	}
	require.Equal(t, "zuechter", Digraphs("Züchter"))
	require.Equal(t, "zuechter", Digraphs("Zu\u0308chter"))
}

func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b  string
		limit int
		want  int
	}{
		{"spawned", "spawnd", 2, 1}, {"spawned", "spwaned", 2, 1}, {"paleatus", "palaetus", 2, 1}, {"same", "same", 2, 0},
		{"rerio", "reiro", 2, 1}, {"lemon", "neon", 3, 2}, {"kitten", "sitting", 5, 3}, {"abc", "", 5, 3}, {"abcdef", "uvwxyz", 2, 3}, {"a", "abcd", 2, 3},
	} {
		require.Equal(t, c.want, Distance(c.a, c.b, c.limit), "%s %s", c.a, c.b)
		require.Equal(t, c.want, Distance(c.b, c.a, c.limit), "%s %s", c.b, c.a)
	}
}

func BenchmarkFold(b *testing.B) {
	for b.Loop() {
		Fold("Wassertemperatur °C")
	}
}
