package duration

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
)

// soundTest demands of a test a p-value where it is usable and a reason where not.
func soundTest(t *testing.T, status stats.Status, p, chiSquare float64, w []stats.Warning) {
	t.Helper()
	require.NotEqual(t, stats.NotComputed, status)
	if status.Usable() {
		require.True(t, p >= 0 && p <= 1 && chiSquare >= -1e-9, "p %v, chi-square %v", p, chiSquare)
		return
	}
	require.True(t, math.IsNaN(p) && math.IsNaN(chiSquare))
	require.NotEmpty(t, w)
}

func TestWildInputToRegressions(t *testing.T) {
	r := rand.New(rand.NewPCG(98, 1))
	statuses := map[stats.Status]int{}
	for range 400 {
		obs := wild(r, r.IntN(12))
		var late, plain, spans []Observation // exact or lost with weights; the same of weight 1 from the start; all as spans
		var lateX, plainX, spansX Covariate
		var lateG, plainG, spansG []int
		for _, o := range obs {
			v, g := float64(r.IntN(3)), r.IntN(3)
			o.Cause = 0
			if !o.RightCensored() {
				o.Cause = 1 + r.IntN(2)
			}
			if o.Origin.Exact() && (o.Exact() || o.RightCensored()) {
				late, lateX.Values, lateG = append(late, o), append(lateX.Values, v), append(lateG, g)
				o.Entry, o.Weight = 0, 0
				plain, plainX.Values, plainG = append(plain, o), append(plainX.Values, v), append(plainG, g)
			}
			o.Origin, o.Entry, o.Weight = Span{}, 0, 0
			spans, spansX.Values, spansG = append(spans, o), append(spansX.Values, v), append(spansG, g)
		}
		for _, s := range []CoxSettings{{}, {Ties: Breslow, Strata: lateG}, {Firth: true}, {Cluster: lateG}, {Cause: 1}} {
			m, err := FitCox(late, []Covariate{lateX}, s)
			require.NoError(t, err)
			statuses[m.Status]++
			for _, e := range []stats.Estimate{m.Coefficient(0), m.HazardRatio(0), m.Profile(0), m.Concordance(), m.Survival(0, []float64{1}, 1)} {
				if m.Settings.Strata != nil && e.Status == stats.NotComputed { // no stratum 0
					continue
				}
				sound(t, e)
			}
			for _, test := range []Test{m.LikelihoodRatio(), m.Wald(), m.Score(), m.Proportional(ShareGone).Global} {
				soundTest(t, test.Status, test.P, test.ChiSquare, test.Warnings)
			}
			if m.Status.Usable() {
				for _, v := range m.Residuals().Martingale {
					require.True(t, v <= 1 && !math.IsNaN(v))
				}
			}
		}
		m, err := FitCox(plain, []Covariate{plainX}, CoxSettings{Ties: Discrete})
		require.NoError(t, err)
		statuses[m.Status]++
		sound(t, m.HazardRatio(0))
		fg, err := FitFineGray(plain, []Covariate{plainX}, 1, CoxSettings{})
		require.NoError(t, err)
		statuses[fg.Status]++
		sound(t, fg.HazardRatio(0))
		gray, err := GrayTest(plain, plainG, 1, GraySettings{})
		require.NoError(t, err)
		soundTest(t, gray.Status, gray.P, gray.ChiSquare, gray.Warnings)
		rank, err := IntervalLogRank(spans, spansG, IntervalSettings{Scores: Scoring(r.IntN(3))})
		require.NoError(t, err)
		soundTest(t, rank.Status, rank.P, rank.ChiSquare, rank.Warnings)
		grouped, err := FitGrouped(spans, []Covariate{spansX}, GroupedSettings{Link: Link(r.IntN(2))})
		require.NoError(t, err)
		statuses[grouped.Status]++
		sound(t, grouped.Ratio(0))
		sound(t, grouped.Survival([]float64{1}, len(grouped.Cuts)))
		share, err := FitIntervalIncidence(spans, IntervalIncidenceSettings{Replicates: 99})
		require.NoError(t, err)
		for _, at := range []float64{1, 60} {
			if e := share.At(1, at); len(share.Causes) > 0 {
				sound(t, e)
			}
		}
		var in []Incubation
		for i, o := range spans {
			in = append(in, Incubation{o, Steady(20 + 3*spansX.Values[i])})
		}
		heat, err := FitDegreeDays(in, DegreeDaySettings{PenaliseSpread: true})
		require.NoError(t, err)
		statuses[heat.Status]++
		sound(t, heat.Base)
		sound(t, heat.Sum)
		next, err := heat.Predict(Steady(22), 0, 0.8)
		require.NoError(t, err)
		if next[0].Status != stats.NotComputed { // outside the temperatures seen
			sound(t, next[0])
		}
	}
	t.Log(statuses)
	require.Greater(t, statuses[stats.OK], 500)
	require.Less(t, statuses[stats.NotConverged], 30, "nearly every failure should have a name")
}
