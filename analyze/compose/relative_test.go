package compose

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/analyze/answer"
	"gravid/analyze/report"
	"gravid/analyze/report/text"
)

func flat(t *testing.T, d *report.Document) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, text.Write(&b, d, text.Options{Width: 100, Technical: true}))
	out := strings.Join(strings.Fields(b.String()), " ")
	require.NotRegexp(t, banned, out)
	require.NotContains(t, out, "NaN")
	return out
}

// Records of spawnings alone give a ratio: the words promise no number in 100.
func TestWordsOfSpawningsAlone(t *testing.T) {
	for _, v := range []answer.Verdict{answer.Matters, answer.Leans, answer.NoDifference, answer.CannotTell} {
		a := sample(v)
		a.Design = answer.MatchedDays
		a.Per100 = answer.Per100{With: num(math.NaN()), Without: num(math.NaN()), Difference: answer.NoInterval()}
		a.OddsRatio = interval(2, 1.2, 3.3)
		out := flat(t, Trigger(a))
		require.Contains(t, out, capital(v.Words()))
		require.Contains(t, out, "nobody can say how many in 100")
		require.Contains(t, out, "2 times those on other days, plausible 1.2 to 3.3")
		require.NotContains(t, out, "of 100 attempts spawned")
	}
}

func TestWordsOfViewsAndSizes(t *testing.T) {
	a := sample(answer.Matters)
	a.Checks.Views = []answer.View{{Name: "season not held alike", OddsRatio: interval(2.9, 1.7, 5)}, {Name: "season 2025 alone", OddsRatio: answer.NoInterval(), Note: "too little on its own"}}
	a.Bands = []answer.Band{
		{Label: "2 to 5 hPa", From: num(2), To: num(5), Days: 100, Spawned: 8, Odds: interval(1.1, 0.5, 2.2)},
		{Label: "5 to 10 hPa", From: num(5), To: num(10), Days: 80, Spawned: 14, Odds: interval(2.8, 1.5, 5)},
		{Label: "15 hPa or more", From: num(15), To: num(math.Inf(1)), Days: 3, Odds: answer.NoInterval(), Note: "fewer than 20 days"},
	}
	out := flat(t, Trigger(a))
	require.Contains(t, out, "The same question looked at in other ways")
	require.Contains(t, out, "too little on its own")
	require.Contains(t, out, "went with another chance of spawning: 5 to 10 hPa. For these the records can't tell yet: 2 to 5 hPa.")
	a.Bands = a.Bands[:1]
	require.Contains(t, flat(t, Trigger(a)), "No size stands out")
	a.Question.Exploration = true
	require.Contains(t, flat(t, Trigger(a)), "Exploration, no answer to the fixed question")
}

func TestWordsOverSeveralSpecies(t *testing.T) {
	a := answer.Across{Trigger: "pressure-drop", TriggerName: "a fall in air pressure", Answers: []answer.Answer{sample(answer.Matters), sample(answer.CannotTell)},
		NotCompared: []answer.NotCounted{{Species: "Betta splendens", Status: answer.NeverVaried, Reason: "it never varied"}},
		Species:     2, Pooled: answer.NoInterval(), Next: answer.NoInterval(), Spread: answer.NoInterval(), I2: num(math.NaN()), Verdict: answer.CannotTell, Reason: "2 species could be compared; from 3 on they are taken together", Cautions: []string{}}
	require.Contains(t, flat(t, Across(a)), "2 species could be compared; from 3 on they are taken together.")
	a.Species, a.Pooled, a.Next, a.Reason, a.Verdict = 6, interval(1.8, 1.1, 3), interval(1.8, 0.5, 6), "", answer.Leans
	out := flat(t, Across(a))
	require.Contains(t, out, "look at the species, not at the average")
	require.Contains(t, out, "Betta splendens")
	require.NotContains(t, strings.ToLower(out), "all species")
}

func TestWordsOfGroups(t *testing.T) {
	nan := num(math.NaN())
	g := &answer.Grouped{By: "temperature", P: num(0.056), Method: "rank test", Groups: []answer.Group{{Name: "22 to 24 °C", N: 45, Events: 35, Median: interval(4.7, 4.4, 4.9), Mean: answer.Mean{Mean: nan, Low: nan, High: nan}}}}
	d := &report.Document{Title: "x", Sections: []report.Section{groupedSection(g, "by", "By temperature", false)}}
	out := flat(t, d)
	require.Contains(t, out, "5.6 of 100 such sets of records")
	require.Contains(t, out, "may differ between them as well")
	require.Equal(t, "To be in time, start brine shrimp (2 days ahead) on day 1 and infusoria (5 days ahead) 2 days before laying; the days ahead are common practice, without a source.", cultureStart(3))
}
