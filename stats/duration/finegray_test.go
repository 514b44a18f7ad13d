package duration

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

func TestFineGrayReference(t *testing.T) {
	c := statstest.Load(t, "finegray_melanoma")
	d := statstest.LoadTable(t, c.Dataset()[0])
	m, err := FitFineGray(cifGroups(t, "cif_melanoma_all", d)["all"], []Covariate{column("sex", d.Floats("sex")), column("ulcer", d.Floats("ulcer")), column("thickness", d.Floats("thickness"))}, 1, CoxSettings{})
	require.NoError(t, err)
	require.Equal(t, stats.OK, m.Status)
	c.Near(float64(m.N), "n")
	c.Near(m.LogLik, "loglik")
	c.Near(m.LogLikNull, "loglik_null")
	for i, name := range m.Names {
		c.Near(m.Coef[i], "coef", name)
		c.Near(math.Sqrt(m.Covariance.At(i, i)), "se", name)
		for j, other := range m.Names {
			c.Near(m.Covariance.At(i, j), "vcov", name, other)
		}
		e := m.Coefficient(i)
		c.Near(e.Lo, "wald_ci", name, "lower")
		c.Near(e.Hi, "wald_ci", name, "upper")
		c.Near(m.HazardRatio(i).Value, "subdistribution_hr", name)
	}
}

func TestFineGrayTies(t *testing.T) {
	c := statstest.Load(t, "duration_finegray_bmt")
	d := statstest.LoadTable(t, c.Dataset()[0])
	var obs []Observation
	groups := cifGroups(t, "cif_bmt_by_group", d)
	obs, _ = flat(groups, []string{"1", "2", "3"}) // the data set is in order of the group
	x := []Covariate{{"g2", is1(d.Texts("group"), "2")}, {"g3", is1(d.Texts("group"), "3")}, column("age_donor", d.Floats("age_donor"))}
	for cause, key := range []string{"cause_1", "cause_2"} {
		m, err := FitFineGray(obs, x, cause+1, CoxSettings{})
		require.NoError(t, err)
		c.NearAll(m.Coef, key, "coef")
		c.NearMatrix(rows(m.Covariance), key, "var")
	}
}

// Without other causes it is Cox regression, with the variance that takes every
// observation for a cluster.
func TestFineGrayOneCause(t *testing.T) {
	obs, x, _ := wildCox(6, 60)
	for i := range obs {
		obs[i].Entry, obs[i].Weight, obs[i].Cause = 0, 0, 0
		if obs[i].Exact() {
			obs[i].Cause = 1
		}
	}
	m, err := FitFineGray(obs, x, 1, CoxSettings{})
	require.NoError(t, err)
	cox := fitCox(t, obs, x, CoxSettings{Ties: Breslow, Cluster: ordinals(len(obs)), NormalLimits: true})
	statstest.NearAll(t, cox.Coef, m.Coef, 1e-9, "coefficients")
	for i := range x {
		statstest.NearAll(t, rows(cox.Robust)[i], rows(m.Covariance)[i], 1e-8, "variance")
		statstest.Near(t, cox.PValue(i), m.PValue(i), 1e-7, "p")
	}
}

func TestFineGrayDegenerate(t *testing.T) {
	ended := func(cause int, times ...float64) []Observation {
		var out []Observation
		for _, time := range times {
			out = append(out, Observation{Span: Span{time, time}, Cause: cause})
		}
		return out
	}
	x := func(v ...float64) []Covariate { return []Covariate{{"x", v}} }
	for name, c := range map[string]struct {
		obs    []Observation
		x      []Covariate
		status stats.Status
	}{
		"nothing":        {nil, x(), stats.TooLittle},
		"one":            {ended(1, 2), x(1), stats.TooLittle},
		"none of it":     {ended(2, 2, 3), x(1, 2), stats.TooLittle},
		"constant":       {ended(1, 2, 3), x(1, 1), stats.NotIdentifiable},
		"in order":       {ended(1, 1, 2, 3), x(3, 2, 1), stats.Separated},
		"gone the other": {append(ended(1, 2, 4, 5), ended(2, 1, 3)...), x(1, 1, 1, 0, 0), stats.Separated},
	} {
		m, err := FitFineGray(c.obs, c.x, 1, CoxSettings{})
		require.NoError(t, err, name)
		require.Equal(t, c.status, m.Status, name)
		require.True(t, math.IsNaN(m.HazardRatio(0).Value) && math.IsNaN(m.PValue(0)) && math.IsNaN(m.LogLik), name)
		require.Nil(t, m.Covariance, name)
	}
	for _, bad := range []Observation{{Span: Span{3, 3}}, {Span: Span{3, 3}, Cause: 1, Weight: 2}, {Span: Span{3, 3}, Cause: 1, Entry: 1}, {Span: Span{3, 1}}} {
		_, err := FitFineGray([]Observation{bad}, nil, 1, CoxSettings{})
		require.Error(t, err)
	}
	_, err := FitFineGray(nil, nil, 0, CoxSettings{})
	require.Error(t, err)
	_, err = FitFineGray(nil, nil, 1, CoxSettings{Firth: true})
	require.Error(t, err)
}
