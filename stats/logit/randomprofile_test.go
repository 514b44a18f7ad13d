package logit

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// R 4.2.2, lme4 1.1-31: testdata/random_profile.R.
func TestRandomProfileReference(t *testing.T) {
	raw, err := os.ReadFile("testdata/random_profile.json")
	require.NoError(t, err)
	var wanted map[string]map[string][]float64
	require.NoError(t, json.Unmarshal(raw, &wanted))
	require.Len(t, wanted, 3)
	for name, setting := range map[string]struct {
		id    string
		nodes int
		level float64
	}{"cbpp1": {"glmm_cbpp_nagq1", 1, 0.95}, "cbpp15": {"glmm_cbpp_nagq15", 15, 0.95}, "bacteria25": {"glmm_bacteria_nagq25", 25, 0.9}} {
		c := statstest.Load(t, setting.id)
		d, group := clusterData(t, c, c.Texts("columns"))
		d.Group = group
		r, err := FitRandom(d, RandomOptions{Nodes: setting.nodes})
		require.NoError(t, err)
		near := func(key string, e stats.Estimate) {
			require.Equal(t, stats.OK, e.Status, "%s %s", name, key)
			require.Contains(t, wanted[name], key)
			statstest.NearAll(t, wanted[name][key][1:], []float64{e.Lo, e.Hi}, 2e-6, name+" "+key)
			statstest.Near(t, wanted[name][key][0], e.Value, 5e-5, name+" "+key) // nlminb stops a little short
		}
		near("sigma", r.ProfileSigma(setting.level))
		near("(Intercept)", r.ProfileIntercept(setting.level))
		for j, column := range r.Names {
			near(column, r.Profile(j, setting.level))
		}
		require.Len(t, wanted[name], len(r.Names)+2)
	}
}

// Groups that do not differ: the slopes have the intervals of a single intercept, and
// sigma may be 0 and is bounded above. The log-likelihood away from 0 is that of R.
func TestRandomProfileBoundary(t *testing.T) {
	c := statstest.Load(t, "glmm_lizards_boundary_sigma_zero")
	d := referenceData(t, c, c.Keys("coef"))
	d.Group = stretches(d.Rows(), d.Rows())
	r, err := FitRandom(d, RandomOptions{})
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, r.Status)
	pooled := d
	pooled.Group = nil
	m := requireFit(t, pooled, Options{})
	a, b := m.Profile(0, 0.95), r.Profile(0, 0.95)
	require.Equal(t, []float64{a.Value, a.Lo, a.Hi}, []float64{b.Value, b.Lo, b.Hi})
	require.Equal(t, stats.Boundary, b.Status)
	a, b = m.ProfileIntercept(0, 0.95), r.ProfileIntercept(0.95)
	require.Equal(t, []float64{a.Value, a.Lo, a.Hi}, []float64{b.Value, b.Lo, b.Hi})
	s := r.ProfileSigma(0.95)
	require.Equal(t, stats.Boundary, s.Status)
	require.Zero(t, s.Lo)
	require.Greater(t, s.Hi, 0.1)
	require.Less(t, s.Hi, 3.0)
	curve := r.top.curve(r.top.sigma())
	for k, sigma := range c.Floats("profile_loglik_away_from_0", "sigma") {
		want := c.Floats("profile_loglik_away_from_0", "loglik")[k]
		statstest.Near(t, want, curve.value(sigma), c.Tol("profile_loglik_away_from_0"), "profile of sigma")
	}
	statstest.Near(t, 3.841458820694124, 2*(r.Kernel-curve.value(s.Hi)), 1e-7, "drop at the end (R: qchisq(.95, 1))")
}

// A unit changes the interval by the unit, on any number of processors with the same
// bits.
func TestRandomProfileLaws(t *testing.T) {
	d := randomRecords(rand.New(rand.NewPCG(175, 176)))
	r, err := FitRandom(d, RandomOptions{Nodes: 7})
	require.NoError(t, err)
	moved := d
	moved.X = slices.Clone(d.X)
	moved.X[1] = make([]float64, d.Rows())
	for i, x := range d.X[1] {
		moved.X[1][i] = 32 - 1.8*x
	}
	m, err := FitRandom(moved, RandomOptions{Nodes: 7})
	require.NoError(t, err)
	a, b := r.Profile(1, 0.9), m.Profile(1, 0.9)
	statstest.NearAll(t, []float64{a.Value, a.Lo, a.Hi}, []float64{-1.8 * b.Value, -1.8 * b.Hi, -1.8 * b.Lo}, 1e-6, "unit")
	x, y := r.ProfileSigma(0.9), m.ProfileSigma(0.9)
	statstest.NearAll(t, []float64{x.Lo, x.Hi}, []float64{y.Lo, y.Hi}, 1e-6, "sigma")
	require.Panics(t, func() { r.Profile(0, 1) })

	run := func(procs int) []float64 {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(procs))
		r, err := FitRandom(d, RandomOptions{Nodes: 5})
		require.NoError(t, err)
		e, s := r.Profile(0, 0.95), r.ProfileSigma(0.95)
		return append([]float64{r.Sigma, r.SigmaSE, e.Lo, e.Hi, s.Lo, s.Hi}, r.Coef...)
	}
	one, eight := run(1), run(8)
	for i := range one {
		require.Equal(t, math.Float64bits(one[i]), math.Float64bits(eight[i]))
	}
}
