package pool

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// R 4.2.2, metafor 3.8-1 (rma, confint, predict): see
// stats/testdata/reference/SOURCES.md.
func TestReference(t *testing.T) {
	methods := map[string]Spread{"DL": DerSimonianLaird, "REML": REML, "PM": PauleMandel, "EB": PauleMandel, "ML": MaximumLikelihood, "HE": Hedges, "HS": HunterSchmidt, "SJ": SidikJonkman}
	for _, id := range statstest.IDs(t, "meta_*") {
		c := statstest.Load(t, id)
		y, v := c.Floats("yi"), c.Floats("vi")
		require.Len(t, y, int(c.Float("k")))
		checked := 0
		for name, s := range methods {
			if !c.Has(name) {
				continue
			}
			checked++
			p, err := Random(y, v, Options{Spread: s, Level: c.Float("level")})
			require.NoError(t, err)
			c.Near(p.Tau2.Value, name, "tau2")
			c.Near(p.Wald.Value, name, "estimate")
			c.Near(p.Wald.SE, name, "se")
			c.NearAll([]float64{p.Wald.Lo, p.Wald.Hi}, name, "z_ci")
			c.Near(p.Wald.P, name, "p_z")
			hk := p.HartungKnapp
			c.Near(hk.SE, name, "hartung_knapp", "se")
			c.Near(hk.Value/hk.SE, name, "hartung_knapp", "t")
			c.Near(hk.DF, name, "hartung_knapp", "df")
			c.NearAll([]float64{hk.Lo, hk.Hi}, name, "hartung_knapp", "ci")
			c.Near(hk.P, name, "hartung_knapp", "p")
			c.Near(p.I2.Value, name, "I2_percent")
			c.Near(p.H2.Value, name, "H2")
			for key, e := range map[string]stats.Estimate{"z_metafor_default": p.Prediction.Normal, "t_km1_hartung_knapp_se_metafor": p.Prediction.HartungKnappT, "t_km2_higgins_thompson_spiegelhalter": p.Prediction.HigginsT} {
				c.NearAll([]float64{e.Lo, e.Hi}, name, "prediction_interval", key)
			}
			if c.Has(name, "loglik") {
				c.Near(p.LogLik, name, "loglik")
			}
			c.Near(p.Fixed.Value, "fixed", "estimate")
			c.Near(p.Fixed.SE, "fixed", "se")
			c.NearAll([]float64{p.Fixed.Lo, p.Fixed.Hi}, "fixed", "ci")
			c.Near(p.Q, "fixed", "Q")
			c.Near(p.QDF, "fixed", "Q_df")
			c.Near(p.QP, "fixed", "Q_p")
			c.NearAll([]float64{p.Tau2.Lo, p.Tau2.Hi}, "q_profile", "tau2")
			c.NearAll([]float64{p.I2.Lo, p.I2.Hi}, "q_profile", "I2_percent")
			c.NearAll([]float64{p.H2.Lo, p.H2.Hi}, "q_profile", "H2")
			c.Near(p.Within, "q_profile", "typical_within_variance")
			require.GreaterOrEqual(t, p.Modified.SE, p.Wald.SE)
			require.Equal(t, math.Max(p.HartungKnapp.SE, p.Wald.SE), p.Modified.SE)
		}
		require.GreaterOrEqual(t, checked, 4)
	}
}

func random(rng *rand.Rand, k int, tau float64) (y, v []float64) {
	for range k {
		s := 0.1 + rng.Float64()
		y, v = append(y, 1+tau*rng.NormFloat64()+s*rng.NormFloat64()), append(v, s*s)
	}
	return y, v
}

// Likelihood estimates are no worse than any point of a fine grid, and the slope is
// that of central differences.
func TestPeakIsTheHighest(t *testing.T) {
	rng := rand.New(rand.NewPCG(121, 122))
	for trial := range 60 {
		y, v := random(rng, 2+trial%9, []float64{0, 0.3, 3}[trial%3])
		p := pooling{y, v, 0.95}
		for _, s := range []Spread{REML, MaximumLikelihood} {
			at := p.peak(s)
			top := p.logLik(s, at)
			for g := 1e-6; g < 1e4; g *= 1.01 {
				require.LessOrEqual(t, p.logLik(s, g), top+1e-12)
			}
			require.LessOrEqual(t, p.logLik(s, 0), top+1e-12)
			x, h := 0.3+rng.Float64(), 1e-5
			statstest.Near(t, (p.logLik(s, x+h)-p.logLik(s, x-h))/(2*h), p.slope(s, x), 1e-6, "slope")
		}
	}
}

// Order, origin and unit of the estimates, and their sign.
func TestLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(123, 124))
	y, v := random(rng, 7, 0.8)
	for s := REML; s <= SidikJonkman; s++ {
		base, err := Random(y, v, Options{Spread: s})
		require.NoError(t, err)
		var y2, v2 []float64
		for i := len(y) - 1; i >= 0; i-- {
			y2, v2 = append(y2, 5-100*y[i]), append(v2, 1e4*v[i])
		}
		moved, err := Random(y2, v2, Options{Spread: s})
		require.NoError(t, err)
		statstest.Near(t, 1e4*base.Tau2.Value, moved.Tau2.Value, 1e-8, "tau2")
		statstest.Near(t, 5-100*base.Modified.Lo, moved.Modified.Hi, 1e-9, "limits swap")
		statstest.Near(t, 5-100*base.Prediction.HigginsT.Hi, moved.Prediction.HigginsT.Lo, 1e-9, "prediction")
		statstest.Near(t, base.I2.Hi, moved.I2.Hi, 1e-8, "I2")
		statstest.Near(t, 5-100*base.Shrunk[0], moved.Shrunk[6], 1e-8, "shrunk")
		for i, b := range base.Shrunk { // between the mean and its own value
			require.True(t, slices.IsSorted([]float64{base.Wald.Value, b, y[i]}) || slices.IsSorted([]float64{y[i], b, base.Wald.Value}))
		}
	}
}

// Equal sources: no spread, and the intervals are those of one mean.
func TestNoSpread(t *testing.T) {
	p, err := Random([]float64{2, 2, 2, 2, 2, 2}, []float64{1, 1, 1, 1, 1, 1}, Options{})
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, p.Tau2.Status)
	require.Zero(t, p.Tau2.Value)
	require.Zero(t, p.HartungKnapp.SE)
	statstest.Near(t, 1/math.Sqrt(6), p.Modified.SE, 1e-12, "never below Wald's")
	// qt(.975, 5) = 2.5705818366147395 (R)
	statstest.Near(t, 2+2.5705818366147395/math.Sqrt(6), p.Modified.Hi, 1e-9, "upper end")
}

func TestFewAndBad(t *testing.T) {
	p, err := Random([]float64{2}, []float64{1}, Options{})
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, p.Modified.Status)
	require.True(t, math.IsNaN(p.Modified.Value) && math.IsNaN(p.Tau2.Value) && math.IsNaN(p.Q))
	p, err = Random(nil, nil, Options{})
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, p.Wald.Status)
	p, err = Random([]float64{2, 3}, []float64{1, 1}, Options{})
	require.NoError(t, err)
	require.Equal(t, "few-sources", p.Modified.Warnings[0].Code)
	require.Equal(t, stats.TooLittle, p.Prediction.HigginsT.Status)
	require.True(t, math.IsNaN(p.Prediction.Normal.Lo))
	p, err = Random([]float64{2, 3, 4}, []float64{1, 1, 1}, Options{})
	require.NoError(t, err)
	require.Equal(t, stats.OK, p.Prediction.HigginsT.Status)
	require.Equal(t, "few-sources", p.Prediction.HigginsT.Warnings[0].Code)

	_, err = Random([]float64{2, 3}, []float64{1}, Options{})
	require.EqualError(t, err, "there are 2 estimates but 1 variances")
	_, err = Random([]float64{2, math.NaN()}, []float64{1, 1}, Options{})
	var input *stats.InputError
	require.True(t, errors.As(err, &input))
	require.Equal(t, 1, input.Index)
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		_, err = Random([]float64{2, 3}, []float64{1, bad}, Options{})
		require.Error(t, err)
	}
	_, err = Random([]float64{2, 3}, []float64{1, 1}, Options{Spread: 40})
	require.EqualError(t, err, "there is no estimator of the spread numbered 40")
	_, err = Random([]float64{2, 3}, []float64{1, 1}, Options{Level: 1})
	require.Error(t, err)
}

// Huge and tiny scales.
func TestScales(t *testing.T) {
	y, v := random(rand.New(rand.NewPCG(125, 126)), 6, 1)
	base, err := Random(y, v, Options{})
	require.NoError(t, err)
	for _, f := range []float64{1e-60, 1e60} {
		var y2, v2 []float64
		for i := range y {
			y2, v2 = append(y2, f*y[i]), append(v2, f*f*v[i])
		}
		p, err := Random(y2, v2, Options{})
		require.NoError(t, err)
		statstest.NearRel(t, f*base.Modified.Hi, p.Modified.Hi, 1e-9, "upper end")
		statstest.NearRel(t, base.I2.Value, p.I2.Value, 1e-8, "I2")
		statstest.NearRel(t, f*f*base.Tau2.Hi, p.Tau2.Hi, 1e-8, "tau2")
	}
}

func BenchmarkRandom(b *testing.B) {
	y, v := random(rand.New(rand.NewPCG(1, 2)), 20, 0.5)
	for b.Loop() {
		if _, err := Random(y, v, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
