package compose

import (
	"bytes"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/analyze/answer"
	"gravid/analyze/exposure"
	"gravid/analyze/report/text"
)

// banned words over-claim: records show links.
var banned = regexp.MustCompile(`(?i)\b(proves?|proof|confirms?|causes|caused|significant|significance|no effect|guaranteed|95% chance|times more likely)\b`)

func num(x float64) answer.Num { return answer.Num(x) }

func interval(value, lo, hi float64) answer.Interval {
	return answer.Interval{Estimate: num(value), Low: num(lo), High: num(hi), Level: 0.95, Method: "test", Unbounded: math.IsInf(lo, 0) || math.IsInf(hi, 0)}
}

func sample(v answer.Verdict) answer.Answer {
	nan := num(math.NaN())
	return answer.Answer{
		Question: answer.Question{Trigger: "pressure-drop", Species: "Corydoras paleatus", Window: "24 hours", TriggerName: "a fall in air pressure", With: "on days after a fall of 5 hPa or more", Without: "on other days"},
		Design:   answer.ByTankDay, Status: answer.OK, Verdict: v,
		OddsRatio: interval(3.1, 1.8, math.Inf(1)),
		Per100:    answer.Per100{With: num(80), Without: num(45), Difference: interval(35, 16, 48), Days: 12, PerDay: &answer.PerDay{With: num(14), Without: num(5)}},
		PValue:    num(0.001), PAdjusted: num(0.004), LookedAt: 4,
		Counts:     answer.Counts{Keepers: 9, Informative: 8, Total: 120, Attempts: 110, Spawned: 60, Rows: 900, With: 200, SpawnedWith: 25, LeftOut: []exposure.LeftOut{{Reason: "trigger not recorded", N: 10}}, Clusters: 120, ClusterOf: "weather episode of 5 days"},
		MoreNeeded: answer.MoreNeeded{Attempts: num(90), Low: num(40), High: num(300), Keepers: nan},
		Checks: answer.Checks{Placebo: &answer.Placebo{ShiftDays: 7, OddsRatio: interval(1.1, 0.6, 2), Passed: true}, LeaveOut: &answer.LeaveOut{Low: num(2.8), High: num(3.4), MostChanged: "Keeper A"},
			Missing: &answer.Bounds{Missing: 10, AllWith: num(30), AllWithout: num(33)}, EValue: &answer.EValue{Estimate: num(5.6), Limit: num(3)}},
		Cautions: []string{"only watch the weather"}, MarginPer100: 10, NextStep: "go on", Adjusted: []string{"keeper", "season"},
	}
}

func render(t *testing.T, a answer.Answer) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, text.Write(&b, Trigger(a), text.Options{Width: 100, Technical: true}))
	return b.String()
}

func TestWordsOfEveryVerdict(t *testing.T) {
	for _, v := range []answer.Verdict{answer.Matters, answer.Leans, answer.NoDifference, answer.CannotTell} {
		out := render(t, sample(v))
		require.NotRegexp(t, banned, out)
		lower := strings.ToLower(strings.Join(strings.Fields(out), " "))
		// A lay reader finds what was compared, how sure it is, what it stands on, what
		// would change it, what to do next, and the care to take.
		require.Contains(t, lower, strings.ToLower(v.Words()))
		require.Contains(t, lower, "after a fall of 5 hpa or more")
		require.Contains(t, lower, "plausible")
		require.Contains(t, lower, "what it stands on")
		require.Contains(t, lower, "what would change this")
		require.Contains(t, lower, "what to do next")
		require.Contains(t, lower, "vet")
	}
	require.Contains(t, strings.Join(strings.Fields(render(t, sample(answer.CannotTell))), " "), "90 more attempts")
}

func TestGateSaysWhy(t *testing.T) {
	a := sample(answer.CannotTell)
	a.Status, a.Reason, a.NextStep = answer.NotRecorded, "nobody wrote it down", "write it down next season"
	a.Per100.Difference, a.OddsRatio = answer.NoInterval(), answer.NoInterval()
	a.Per100.PerDay = nil
	out := strings.Join(strings.Fields(render(t, a)), " ")
	require.Contains(t, out, "Nobody wrote it down")
	require.Contains(t, out, "Write it down next season")
	require.NotContains(t, out, "NaN")
	require.NotRegexp(t, banned, out)
}

func TestNumber(t *testing.T) {
	for x, want := range map[float64]string{0: "0", 0.0004: "less than 0.001", 0.0123: "0.012", 1.25: "1.2", 9.96: "10", 12.4: "12", 312.6: "313", -3.14: "-3.1"} {
		require.Equal(t, want, number(x), x)
	}
	require.Equal(t, "no limit", number(math.Inf(1)))
	require.Equal(t, "unknown", number(math.NaN()))
}

func TestSpan(t *testing.T) {
	require.Equal(t, "9 fewer to 21 more", span(interval(5, -9, 21)))
	require.Equal(t, "4 more to 27 more", span(interval(16, 4, 27)))
}
