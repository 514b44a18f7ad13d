package duration

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
)

// wild makes small sets of observations of every kind that may be, in odd
// mixtures and sizes.
func wild(r *rand.Rand, n int) []Observation {
	size := []float64{1e-3, 1, 60, 1e6}[r.IntN(4)]
	obs := make([]Observation, n)
	for i := range obs {
		at := size * math.Round(20*r.ExpFloat64()+1) / 10
		o := Observation{Span: Span{at, at}, Cause: 1}
		switch r.IntN(6) {
		case 0:
			o.Hi, o.Cause = math.Inf(1), 0
		case 1:
			o.Lo = 0
		case 2:
			o.Lo, o.Hi = at/2, at+size
		case 3:
			o.Origin = Span{0, at / 2}
			o.Hi = at + size
		case 4:
			o.Entry = at / 3
		}
		if r.IntN(3) == 0 {
			o.Weight = float64(r.IntN(40)) / 4
		}
		obs[i] = o
	}
	return obs
}

// sound demands of an estimate a status, numbers in order where it is usable,
// and a reason wherever a number is missing.
func sound(t *testing.T, e stats.Estimate) {
	t.Helper()
	require.NotEqual(t, stats.NotComputed, e.Status)
	require.NotEmpty(t, e.Method)
	if math.IsNaN(e.Value) || math.IsNaN(e.Lo) || math.IsNaN(e.Hi) || math.IsInf(e.Hi, 0) {
		require.NotEmpty(t, e.Warnings, "%+v", e)
	}
	if e.Status.Usable() {
		require.False(t, e.Lo > e.Value+1e-9*math.Abs(e.Value) || e.Value > e.Hi+1e-9*math.Abs(e.Hi), "%+v", e)
	} else {
		require.True(t, math.IsNaN(e.Value) && math.IsNaN(e.Lo) && math.IsNaN(e.Hi), "%+v", e)
	}
}

func TestWildInputIsAnswered(t *testing.T) {
	r := rand.New(rand.NewPCG(99, 1))
	statuses := map[stats.Status]int{}
	for round := range 150 {
		obs := wild(r, r.IntN(9))
		x := Covariate{"x", make([]float64, len(obs))}
		for i := range obs {
			require.NoError(t, obs[i].Check())
			x.Values[i] = float64(r.IntN(3))
		}
		var plain, spans []Observation
		for _, o := range obs {
			if o.Origin.Exact() && (o.Exact() || o.RightCensored()) {
				plain = append(plain, o)
			}
			o.Origin, o.Entry = Span{}, 0
			spans = append(spans, o)
		}
		km, err := KaplanMeier(plain, Settings{Interval: Interval(r.IntN(6))})
		require.NoError(t, err)
		aj, err := AalenJohansen(plain, Settings{})
		require.NoError(t, err)
		h, err := NelsonAalen(plain, Settings{})
		require.NoError(t, err)
		tb, err := Turnbull(spans, Settings{})
		require.NoError(t, err)
		require.NotEqual(t, stats.NotConverged, tb.Status)
		for _, at := range []float64{0, 1, 60, 1e6} {
			for _, e := range []stats.Estimate{km.At(at), aj.At(1, at), aj.EventFree(at), h.At(at), tb.At(at)} {
				sound(t, e)
			}
		}
		sound(t, km.Quantile(0.5))
		sound(t, km.RestrictedMean(60))
		sound(t, tb.Quantile(0.5))
		settings := []AFTSettings{{}, {PenaliseSpread: true}, {Family: Weibull}, {Family: LogLogistic, PenaliseSpread: true}, {Family: Exponential}}
		if round%30 == 0 { // as it takes longer
			settings = append(settings, AFTSettings{Family: Gamma})
		}
		for _, s := range settings {
			for _, covariates := range [][]Covariate{nil, {x}} {
				m, err := FitAFT(obs, covariates, s)
				require.NoError(t, err)
				statuses[m.Status]++
				at := make([]float64, len(covariates))
				for _, e := range []stats.Estimate{m.Coefficient(0), m.TimeRatio(0), m.Spread(), m.Quantile(at, 0.5), m.Survival(at, 60)} {
					sound(t, e)
				}
				p, err := m.Predict(at, 0.9)
				require.NoError(t, err)
				sound(t, p)
			}
		}
	}
	t.Log(statuses)
	require.Greater(t, statuses[stats.OK], 500)
	require.Less(t, statuses[stats.NotConverged], 30, "nearly every failure should have a name")
}
