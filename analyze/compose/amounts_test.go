package compose

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/analyze/answer"
)

// sampleAmounts is an answer about temperatures along a curve that is best between 24 and
// 26 °C.
func sampleAmounts(v answer.Verdict) answer.Answer {
	a := sample(v)
	a.Question = answer.Question{Trigger: "temperature", Species: "Danio rerio", Window: "the attempt", TriggerName: "water temperature", With: "at 25 °C", Without: "at 28.5 °C"}
	a.Design, a.Per100.PerDay, a.Per100.Days, a.Counts.With = answer.ByAttempt, nil, 0, 0
	nan := num(math.NaN())
	d := &answer.Dose{Unit: "°C", Step: 1, OddsRatio: answer.NoInterval(), From: 28.5, To: 25, At: nan, Low: 22, High: 29, Curved: true, CurveP: 0.001,
		Knots: []float64{22.5, 25, 28.5}, BestFrom: 24, BestTo: 26, DiffersFrom: nan,
		Contrasts: []answer.AmountContrast{
			{From: 22.5, To: 28.5, At: nan, Difference: interval(-3, -20, 15), OddsRatio: interval(0.9, 0.4, 2)},
			{From: 22.5, To: 28.5, At: 25, Difference: interval(22, 10, 34), OddsRatio: interval(3, 1.7, 5)},
		}}
	for i := range 25 {
		x := 22 + 7*float64(i)/24
		d.Curve = append(d.Curve, answer.DosePoint{Amount: num(x), Per100: num(60 - 3*(x-25)*(x-25)), Low: num(45 - 2*(x-25)*(x-25)), High: num(75 - 3*(x-25)*(x-25)), Records: 5})
	}
	a.Dose = d
	return a
}

func TestWordsOfAmounts(t *testing.T) {
	for _, v := range []answer.Verdict{answer.Matters, answer.Leans, answer.NoDifference, answer.CannotTell} {
		out := strings.Join(strings.Fields(render(t, sampleAmounts(v))), " ")
		require.NotRegexp(t, banned, out)
		require.NotContains(t, out, "NaN")
		require.Contains(t, out, "How much must it be?")
		require.Contains(t, out, "Amounts from 22 to 29 °C were seen")
		require.Contains(t, out, "25 against a straight line")
		best := v == answer.Matters || v == answer.Leans
		require.Equal(t, best, strings.Contains(out, "best between 24 and 26 °C"), "a best amount only where there is a link: %s", v)
	}
	require.Contains(t, amountsSentence(sampleAmounts(answer.CannotTell)), "the records can't tell yet how much it must be")
	require.Contains(t, amountsSentence(sampleAmounts(answer.NoDifference)), "hardly mattered how much")
}

// The stretch that can't be told from the best may reach an end of what was seen.
func TestBestAmounts(t *testing.T) {
	a := sampleAmounts(answer.Leans)
	a.Dose.BestFrom = a.Dose.Low
	require.Equal(t, "up to 26 °C", bestAmounts(a))
	a.Dose.BestFrom, a.Dose.BestTo = 24, a.Dose.High
	require.Equal(t, "from 24 °C on", bestAmounts(a))
	a.Dose.BestFrom, a.Dose.BestTo = num(math.NaN()), num(math.NaN())
	require.Empty(t, bestAmounts(a))
	require.Contains(t, amountsSentence(a), "can't tell yet which amount is best")
	require.Contains(t, compared(sampleAmounts(answer.Leans)), "at 25 °C, against 28.5 °C; best between 24 and 26 °C")
}

// A straight line says what a step went with, and from how much on.
func TestWordsOfAStraightLine(t *testing.T) {
	a := sampleAmounts(answer.Matters)
	a.Dose.Curved, a.Dose.CurveP, a.Dose.OddsRatio = false, 0.4, interval(1.3, 1.1, 1.6)
	a.Dose.DiffersFrom = 24.5
	a.Dose.Curve[24].Per100 = 90
	text := amountsSentence(a)
	require.Contains(t, text, "From about 24.5 °C on, more attempts spawned than at 22 °C")
	require.Contains(t, text, "each 1 °C more went with the odds of a spawning times 1.3, plausible 1.1 to 1.6")
	require.NotContains(t, text, "best")
	a.Dose.DiffersFrom = num(math.NaN())
	require.Contains(t, amountsSentence(a), "From how much on it makes a difference, the records can't tell yet")
	a.Dose.CurveNote = "a curve needs three different amounts at least"
	require.Contains(t, amountsSentence(a), "Each step is taken to count alike")
}

// "From how much on" of a change is where the linked sizes at the upper end begin.
func TestFromHowMuch(t *testing.T) {
	a := sample(answer.Matters)
	a.Dose = &answer.Dose{Unit: "hPa"}
	a.Bands = []answer.Band{
		{Label: "2 to 5 hPa", From: 2, Odds: interval(1.2, 0.8, 1.9)}, {Label: "5 to 10 hPa", From: 5, Odds: interval(2, 1.2, 3)},
		{Label: "10 to 15 hPa", From: 10, Odds: interval(3, 1.5, 7)}, {Label: "15 hPa or more", From: 15, Odds: answer.NoInterval()},
	}
	require.Contains(t, bandsSentence(a), "From 5 hPa on, every size seen often enough went with more spawning")
	a.Bands[2].Odds = interval(0.3, 0.1, 0.8) // the other way round
	require.Contains(t, bandsSentence(a), "From 10 hPa on, every size seen often enough went with less spawning")
	a.Bands[2].Odds = interval(3, 0.9, 9)
	require.NotContains(t, bandsSentence(a), "From")
}
