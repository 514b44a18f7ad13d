package duration

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
	"gravid/stats/tail"
)

// Fits by R's optim with dgamma and pgamma (testdata/make.R).
func TestGammaReference(t *testing.T) {
	c := statstest.Load(t, "duration_aft_gamma")
	obs, group := cosmesis(t)
	chemo := make([]float64, len(group))
	for i, g := range group {
		chemo[i] = float64(g)
	}
	gehan := statstest.LoadTable(t, "gehan_6mp")
	for name, data := range map[string]struct {
		obs []Observation
		x   []Covariate
	}{
		"cosmesis": {obs, []Covariate{{"chemo", chemo}}},
		"gehan":    {exits(gehan.Floats("time"), gehan.Floats("event")), []Covariate{{"mp6", is1(gehan.Texts("treat"), "mp6")}}},
	} {
		m, err := FitAFT(data.obs, data.x, AFTSettings{Family: Gamma})
		require.NoError(t, err)
		require.Equal(t, stats.OK, m.Status, m.Warnings)
		c.NearAll(m.Coef, name, "coef")
		c.Near(m.Scale, name, "scale")
		c.Near(m.LogLik, name, "loglik")
		for i := range 3 {
			c.Near(math.Sqrt(m.Covariance.At(i, i)), name, "se", []string{"0", "1", "2"}[i])
		}
		q := m.Quantile([]float64{1}, 0.5)
		c.Near(q.Value, name, "median")
		c.Near(q.Hi, name, "median_upper")
		c.Near(m.Survival([]float64{0}, 12).Value, name, "survival_12")
	}
}

// With the scale held at 1 the gamma distribution is the exponential one; with a small
// scale it is near the lognormal.
func TestGammaNextToOthers(t *testing.T) {
	obs := widened(world(4, 40))
	gamma, err := FitAFT(obs, nil, AFTSettings{Family: Gamma, FixedScale: 1})
	require.NoError(t, err)
	exponential, err := FitAFT(obs, nil, AFTSettings{Family: Exponential})
	require.NoError(t, err)
	statstest.Near(t, exponential.Coef[0], gamma.Coef[0], 1e-7, "location")
	statstest.Near(t, exponential.LogLik, gamma.LogLik, 1e-9, "log-likelihood")
	a, b := exponential.Quantile(nil, 0.3), gamma.Quantile(nil, 0.3)
	statstest.Near(t, a.Value, b.Value, 1e-6, "quantile")
	statstest.Near(t, a.Hi, b.Hi, 1e-6, "its limit")
	r := rand.New(rand.NewPCG(2, 2))
	near := dailyChecks(r, 60, 120, 0.05, 6, false)
	gamma, err = FitAFT(near, nil, AFTSettings{Family: Gamma})
	require.NoError(t, err)
	lognormal, err := FitAFT(near, nil, AFTSettings{})
	require.NoError(t, err)
	statstest.Near(t, lognormal.Quantile(nil, 0.5).Value, gamma.Quantile(nil, 0.5).Value, 2e-3, "median")
	statstest.Near(t, lognormal.Scale, gamma.Scale, 0.02, "scale")
	p, err := gamma.PredictLevels(nil, 0.8, 0.9)
	require.NoError(t, err)
	q, err := lognormal.PredictLevels(nil, 0.8, 0.9)
	require.NoError(t, err)
	for i := range p {
		statstest.Near(t, q[i].Lo, p[i].Lo, 0.02, "prediction")
		statstest.Near(t, q[i].Hi, p[i].Hi, 0.02, "prediction")
	}
	w, err := gamma.PredictCalibrated(nil, []float64{0.9}, CalibrationSettings{Replicates: 199, Seed: 1})
	require.NoError(t, err)
	statstest.Near(t, p[1].Hi, w[0].Hi, 0.03, "calibrated")
}

func TestGammaScores(t *testing.T) {
	for _, scale := range []float64{0.05, 0.5, 1, 2} {
		for _, z := range []float64{-4, -1, 0, 0.3, 3} {
			y := Gamma.unscore(z, 2, scale)
			require.InDelta(t, z, Gamma.score(y, 2, scale), 1e-7)
			k := 1 / (scale * scale)
			require.InDelta(t, tail.NormalLower(z), tail.GammaLower(k*math.Exp(y-2), k), 1e-9)
		}
	}
	require.Equal(t, math.Inf(1), Gamma.score(math.Inf(1), 0, 1))
	require.Equal(t, "gamma", Gamma.String())
}

// Exact values without covariates, as fitted by R (each file names the call): location
// and shape of the gamma distribution, mean and variance of the logs of the lognormal.
func TestGammaAndLognormalOfExactValues(t *testing.T) {
	for id, name := range map[string]string{"gamma_lognormal_abbey_level90": "nickel", "gamma_lognormal_aircondit7": "hours"} {
		c := statstest.Load(t, id)
		var obs []Observation
		for _, v := range statstest.LoadTable(t, c.Dataset()[0]).Floats(name) {
			obs = append(obs, Observation{Span: Span{v, v}})
		}
		m, err := FitAFT(obs, nil, AFTSettings{Family: Gamma, Level: c.Float("level")})
		require.NoError(t, err)
		c.Near(math.Exp(m.Coef[0]), "mean")
		c.Near(shape(m.Scale), "gamma", "shape_ml")
		c.Near(m.LogLik, "gamma", "loglik")
		c.Near(math.Sqrt(m.Covariance.At(0, 0)), "gamma", "log_mean_se_ml")
		mean := m.TimeRatio(0) // exp(intercept) is the mean
		c.Near(mean.Lo, "gamma", "z_ci_ml", "0")
		c.Near(mean.Hi, "gamma", "z_ci_ml", "1")
		m, err = FitAFT(obs, nil, AFTSettings{})
		require.NoError(t, err)
		n := float64(len(obs))
		c.Near(m.Coef[0], "lognormal", "mean_log")
		c.Near(m.Scale*m.Scale*n/(n-1), "lognormal", "var_log")
		c.Near(m.LogLik, "lognormal", "loglik_ml")
	}
}
