package compose

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/analyze/answer"
	"gravid/analyze/exposure"
	"gravid/analyze/report"
	"gravid/analyze/report/text"
	"gravid/ingest/problem"
)

func sampleKeepers() answer.Keepers {
	nan := num(math.NaN())
	ok := func(name string, spawned int, expected, lo, hi float64, s answer.Standing, beyond float64) answer.KeeperRecord {
		r := answer.KeeperRecord{Keeper: name, Status: answer.OK, Total: 14, Attempts: 12, Spawned: spawned, Expected: num(expected), Ratio: interval(float64(spawned)/expected, lo, hi), Standing: s, Beyond: nan, CountsAs: 12,
			Others:  answer.OtherKeepers{Keepers: 3, Attempts: 60, Spawned: 30},
			Species: []answer.KeeperSpecies{{Species: "Corydoras paleatus", Attempts: 12, Spawned: spawned, Expected: num(expected), Others: answer.OtherKeepers{Keepers: 3, Attempts: 60, Spawned: 30}}},
			LeftOut: []exposure.LeftOut{{Reason: "outcome not recorded, or still running", N: 2}}}
		if beyond > 0 {
			r.Beyond = num(beyond)
		}
		return r
	}
	not := func(name string, s answer.Status, reason string) answer.KeeperRecord {
		return answer.KeeperRecord{Keeper: name, Status: s, Reason: reason, Total: 4, Attempts: 4, Expected: nan, Ratio: answer.NoInterval(), Beyond: nan, CountsAs: nan}
	}
	aside := answer.Aside{Logs: 1, Rows: 20, SetAside: 1, Errors: 1, Groups: []problem.Group{{Count: 2, Problem: problem.Problem{Severity: problem.Error, Code: problem.DateOrder,
		Place: problem.Place{File: "ana/secret name.csv", Row: 7, Column: "C", Head: "Laid"}, Value: "2024-01-01", Message: "spawned before it was set up", Fix: "mend one of the two dates"}}}}
	k := answer.Keepers{Floor: 5, Compared: 3, Outside: 2, FarOutside: 1, Adjusted: []string{"species", "season"}, Share: 0.5, Methods: []string{"Keepers are in order of name; nobody is ranked."},
		Cautions: []string{"a ratio is about records, not about people"},
		Keepers: []answer.KeeperRecord{
			ok("Keeper A", 6, 6, 0.5, 1.5, answer.AsExpected, 0), ok("Keeper B", 11, 6, 1.3, 2, answer.More, 0.95), ok("Keeper C", 0, 6, 0, 0.6, answer.Fewer, 0.998),
			not("Keeper D", answer.SpawningsOnly, "writes down spawnings only, so nothing can be compared"), not("Keeper E", answer.TooFewAttempts, "4 attempts with an outcome"), not("Keeper F", answer.TooFewOthers, "too few others"),
		}}
	k.Keepers[0].SetAside = aside
	for n := 2.0; n < 20; n *= 1.5 {
		k.Funnel = append(k.Funnel, answer.FunnelPoint{Attempts: num(n), Low95: num(1 - 1.4/n), High95: num(1 + 1.4/n), Low998: nan, High998: num(1 + 2/n)})
	}
	return k
}

// A lay reader finds what was seen and expected, how unsure it is, who is not compared
// and why, what to mend, and no blame, rank or name of a log.
func TestKeepersWords(t *testing.T) {
	d := Keepers(sampleKeepers(), SeasonOptions{})
	require.NoError(t, d.Validate())
	var b bytes.Buffer
	require.NoError(t, text.Write(&b, d, text.Options{Width: 100, Technical: true}))
	out := strings.Join(strings.Fields(b.String()), " ")
	require.NotRegexp(t, banned, out)
	for _, want := range []string{
		"3 of 6 keepers can be compared", "2 lie outside the 95 % limits, where chance alone puts about 1 in 20", "nobody is ranked",
		"write down spawnings only and their attempts that came to nothing are not known: Keeper D", "with fewer than 5 attempts: Keeper E", "too few others keep the same species: Keeper F",
		"6 of 12 attempts spawned; 6 would be expected if they had gone as the attempts of the club do, with species and season held alike (3 other keepers). That is 1.00 times as many (plausible 0.50 to 1.50): within what chance leaves.",
		"more than expected, outside the 95 % limits", "fewer than expected, outside the 99.8 % limits", "These are few attempts: only a large difference could show",
		"Left out: 2 attempts (outcome not recorded, or still running)", "20 rows in 1 log read, 1 of them set aside; 1 cell, row or column not used",
		"a log › C7 (Laid)", "mend one of the", "What would help: write down attempts that came to nothing as well", "It is about records",
	} {
		require.Contains(t, out, want)
	}
	for _, never := range []string{"NaN", "secret name", "best", "worst", "poor", "bad", "better", "blame", "fault", "skill"} {
		require.NotRegexp(t, `(?i)\b`+never+`\b`, out)
	}
	named := Keepers(sampleKeepers(), SeasonOptions{Logs: "../logs"})
	b.Reset()
	require.NoError(t, text.Write(&b, named, text.Options{Width: 100}))
	require.Contains(t, b.String(), "ana/secret")
}

func TestKeepersFunnelFigure(t *testing.T) {
	f, ok := funnelFigure(sampleKeepers())
	require.True(t, ok)
	require.Equal(t, report.Funnel, f.Kind)
	require.Len(t, f.Series, 3)
	require.Len(t, f.Series[0].Points, 3, "only those compared")
	require.Contains(t, f.Alt, "Keeper B (1.83 times as many as expected), Keeper C (0.00 times as many as expected)")
	require.Empty(t, f.Series[0].Points[0].Note)
	_, ok = funnelFigure(answer.Keepers{})
	require.False(t, ok)
}

func TestKeepersNobodyCompared(t *testing.T) {
	k := sampleKeepers()
	k.Keepers, k.Compared, k.Funnel = k.Keepers[3:], 0, nil
	d := Keepers(k, SeasonOptions{})
	require.NoError(t, d.Validate())
	require.Contains(t, d.Sections[0].Lead, "No keeper can be compared yet: that takes 5 attempts")
	require.Empty(t, d.Sections[0].Figures)
}
