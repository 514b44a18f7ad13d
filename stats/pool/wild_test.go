package pool

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
)

// sound demands of an estimate a status, and numbers in order exactly where it is usable.
func sound(t *testing.T, e stats.Estimate, what any) {
	t.Helper()
	require.NotEqual(t, stats.NotComputed, e.Status)
	if !e.Status.Usable() {
		require.True(t, math.IsNaN(e.Value) && math.IsNaN(e.Lo) && math.IsNaN(e.Hi), "%+v of %v", e, what)
		return
	}
	require.False(t, math.IsNaN(e.Value) || math.IsNaN(e.Lo) || math.IsNaN(e.Hi), "%+v of %v", e, what)
	slack := 1e-9 * math.Abs(e.Value)
	require.True(t, e.Lo <= e.Value+slack && e.Value <= e.Hi+slack, "%+v of %v", e, what)
}

// Estimates and variances of all sizes: none, one, equal, far apart, in tiny and huge
// units. Tau^2 need not lie in its Q-profile interval, which is another method.
func TestWildSourcesAreAnswered(t *testing.T) {
	rng := rand.New(rand.NewPCG(211, 212))
	usable := 0
	for range 3000 {
		k := rng.IntN(7)
		unit := []float64{1, 1, 1e-30, 1e30}[rng.IntN(4)]
		y, v := make([]float64, k), make([]float64, k)
		for i := range y {
			y[i] = unit * []float64{0, 1, rng.NormFloat64(), 100 * rng.NormFloat64()}[rng.IntN(4)]
			v[i] = unit * unit * []float64{1, 1e-6, 1e6, rng.ExpFloat64()}[rng.IntN(4)]
		}
		for _, s := range []Spread{REML, DerSimonianLaird, PauleMandel, MaximumLikelihood, Hedges, HunterSchmidt, SidikJonkman} {
			p, err := Random(y, v, Options{Spread: s, Level: 0.9})
			require.NoError(t, err)
			what := []any{s, y, v}
			for _, m := range []Mean{p.Fixed, p.Wald, p.HartungKnapp, p.Modified} {
				sound(t, m.Estimate, what)
				if m.Status.Usable() {
					require.True(t, m.SE >= 0 && m.P >= 0 && m.P <= 1 || m.SE == 0, "%+v of %v", m, what)
				}
			}
			for _, e := range []stats.Estimate{p.Prediction.HigginsT, p.Prediction.HartungKnappT, p.Prediction.Normal} {
				sound(t, e, what)
			}
			if p.Tau2.Status.Usable() {
				usable++
				require.True(t, p.Tau2.Value >= 0 && p.Tau2.Lo >= 0 && p.Tau2.Lo <= p.Tau2.Hi, "%+v of %v", p.Tau2, what)
				require.True(t, p.I2.Value >= 0 && p.I2.Value <= 100, "%+v of %v", p.I2, what)
			}
		}
		level, df := 0.5+0.4*rng.Float64(), []float64{1, 20, math.Inf(1)}[rng.IntN(3)]
		m, err := Impute(y, v, df, level)
		require.NoError(t, err)
		sound(t, m.Estimate, []any{y, v})
	}
	require.Greater(t, usable, 10000)
}

// Nonsense is refused with its place.
func TestNonsenseIsRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for want, in := range map[string][2][]float64{
		"observation 2: the estimate NaN is not a finite number":           {{0, nan}, {1, 1}},
		"observation 1: the estimate -Inf is not a finite number":          {{-inf, 0}, {1, 1}},
		"observation 2: the variance 0 is not a positive finite number":    {{0, 1}, {1, 0}},
		"observation 1: the variance NaN is not a positive finite number":  {{0, 1}, {nan, 1}},
		"observation 2: the variance +Inf is not a positive finite number": {{0, 1}, {1, inf}},
		"there are 2 estimates but 1 variances":                            {{0, 1}, {1}},
	} {
		_, err := Random(in[0], in[1], Options{})
		require.EqualError(t, err, want)
		_, err = Impute(in[0], in[1], 10, 0)
		require.EqualError(t, err, want)
	}
	_, err := Random([]float64{1, 2}, []float64{1, 1}, Options{Level: 2})
	require.Error(t, err)
}
