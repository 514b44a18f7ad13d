package answer

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/analyze/catalogue"
)

func TestJudge(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		want   Verdict
	}{
		{11, 30, Matters}, {-30, -11, Matters}, {4, 27, Leans}, {-27, -4, Leans}, {-9, 9, NoDifference}, {1, 9, NoDifference},
		{-9, 21, CannotTell}, {-40, 40, CannotTell}, {0, 12, CannotTell}, {math.NaN(), 3, CannotTell}, {5, math.Inf(1), Leans}, {11, math.Inf(1), Matters},
	} {
		require.Equal(t, c.want, Judge(c.lo, c.hi, 10), "%v to %v", c.lo, c.hi)
	}
}

func TestUnderstand(t *testing.T) {
	species := func(found ...string) func(string) []string { return func(string) []string { return found } }
	u := Understand("does a pressure drop matter for Corydoras paleatus?", catalogue.Triggers(), species("Corydoras paleatus"))
	require.Empty(t, u.Ambiguous())
	require.Equal(t, "pressure-drop", u.Triggers[0].Code)

	u = Understand("do live food and leaf litter help?", catalogue.Triggers(), species())
	require.Contains(t, u.Ambiguous(), "no species was recognised")
	require.Contains(t, u.Ambiguous(), "live-food or leaf-litter")

	u = Understand("does it matter?", catalogue.Triggers(), species("A", "B", "C"))
	require.Contains(t, u.Ambiguous(), "A, B or C")
	require.Contains(t, u.Ambiguous(), "no trigger was recognised")
}

func TestNearestTrigger(t *testing.T) {
	require.Equal(t, "pressure-drop", NearestTrigger("presure-drop", catalogue.Triggers())[0])
	require.Equal(t, "moon", NearestTrigger("mon", catalogue.Triggers())[0])
	require.Contains(t, UnknownTrigger("presure-drop", catalogue.Triggers()), "the nearest is pressure-drop")
	require.NotContains(t, UnknownTrigger("qqqqqqqqqqqqqqqqqq", catalogue.Triggers()), "nearest")
}

func TestWordsOfSeveralTriggers(t *testing.T) {
	species := func(string) []string { return []string{"Danio rerio"} }
	u := Understand("how big must the drop be?", catalogue.Triggers(), species)
	require.Contains(t, u.Ambiguous(), "pressure-drop, cool-refill, conductivity-fall or ph-fall")
	u = Understand("how big must the pressure drop be?", catalogue.Triggers(), species)
	require.Empty(t, u.Ambiguous())
	u = Understand("which food is best?", catalogue.Triggers(), species)
	require.Contains(t, u.Ambiguous(), "conditioning, live-food or microfauna")
}

func TestDegrees(t *testing.T) {
	require.Equal(t, 25.0, Degrees("when will they swim at 25 °C?"))
	require.Equal(t, 26.5, Degrees("at 26.5 degrees"))
	require.Equal(t, 24.0, Degrees("when do they hatch at 24°?"))
	require.True(t, math.IsNaN(Degrees("when will 12 pairs swim in 2025?")))
	require.True(t, math.IsNaN(Degrees("after 5 days")))
}

// Any question is understood as one of the kinds there are, of triggers of the catalogue.
func FuzzUnderstand(f *testing.F) {
	for _, q := range []string{
		"does a pressure drop matter for Corydoras paleatus?", "what helps Danio rerio?", "how big must the pressure drop be?",
		"when will the fry swim at 25 °C?", "how many eggs are normal?", "what should we try next season?", "",
	} {
		f.Add(q)
	}
	all := catalogue.Triggers()
	f.Fuzz(func(t *testing.T, question string) {
		u := Understand(question, all, func(string) []string { return nil })
		for _, x := range u.Triggers {
			require.True(t, slices.ContainsFunc(all, func(y catalogue.Trigger) bool { return x.Code == y.Code }))
		}
		require.Equal(t, u.Asks, Understand(question, all, func(string) []string { return nil }).Asks)
		Degrees(question)
	})
}
