package count

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// The cases prop_*, poisson_*, rate_ratio_*, counts_*, nb_*, betabin_*, boot_*,
// gamma_lognormal_* and count_* under stats/testdata/reference were computed with R; each
// file names the call.

func whole(x []float64) []int {
	out := make([]int, len(x))
	for i, v := range x {
		out[i] = int(v)
	}
	return out
}

func TestOneShareReference(t *testing.T) {
	type method func(hits, trials int, level float64) (stats.Estimate, error)
	methods := map[string]method{
		"wilson": Wilson, "clopper_pearson": ClopperPearson, "mid_p": MidP, "jeffreys_modified_ends": Jeffreys,
	}
	for _, id := range statstest.IDs(t, "prop_one_sample_*") {
		c := statstest.Load(t, id)
		x, n, level := whole(c.Floats("x")), whole(c.Floats("n")), c.Float("level")
		for key, method := range methods {
			var value, lo, hi []float64
			for i := range x {
				e, err := method(x[i], n[i], level)
				require.NoError(t, err)
				require.Equal(t, stats.OK, e.Status)
				value, lo, hi = append(value, e.Value), append(lo, e.Lo), append(hi, e.Hi)
			}
			c.NearAll(value, "estimate")
			c.NearAll(lo, key, "lower")
			c.NearAll(hi, key, "upper")
		}
		for key, limits := range map[string]shareLimits{"agresti_coull": agrestiCoull, "jeffreys_equal_tailed": jeffreys} {
			var lo, hi []float64
			for i := range x {
				l, h := limits(float64(x[i]), float64(n[i]), level)
				lo, hi = append(lo, l), append(hi, h)
			}
			c.NearAll(lo, key, "lower")
			c.NearAll(hi, key, "upper")
		}
	}
}

func TestDifferenceReference(t *testing.T) {
	c := statstest.Load(t, "prop_difference_newcombe")
	x1, n1, x2, n2 := whole(c.Floats("x1")), whole(c.Floats("n1")), whole(c.Floats("x2")), whole(c.Floats("n2"))
	var value, lo, hi, p []float64
	for i := range x1 {
		e, err := Newcombe(x1[i], n1[i], x2[i], n2[i], c.Float("level"))
		require.NoError(t, err)
		value, lo, hi = append(value, e.Value), append(lo, e.Lo), append(hi, e.Hi)
		f, err := Fisher(x1[i], n1[i], x2[i], n2[i])
		require.NoError(t, err)
		p = append(p, f)
	}
	c.NearAll(value, "difference")
	c.NearAll(lo, "newcombe_hybrid_score", "lower")
	c.NearAll(hi, "newcombe_hybrid_score", "upper")
	c.NearAll(p, "fisher_exact_two_sided_p")
}

func TestPoissonRateReference(t *testing.T) {
	for _, id := range statstest.IDs(t, "poisson_rate_exact_*") {
		c := statstest.Load(t, id)
		exposure := c.Floats("exposure")
		var value, lo, hi []float64
		for i, x := range whole(c.Floats("x")) {
			e, err := PoissonRate(x, exposure[i], c.Float("level"))
			require.NoError(t, err)
			require.Equal(t, e.Level, e.Attained)
			value, lo, hi = append(value, e.Value), append(lo, e.Lo), append(hi, e.Hi)
		}
		c.NearAll(value, "rate")
		c.NearAll(lo, "exact_garwood", "lower")
		c.NearAll(hi, "exact_garwood", "upper")
	}
}

func TestRateRatioReference(t *testing.T) {
	c := statstest.Load(t, "rate_ratio_exact")
	t1, x2, t2 := c.Floats("t1"), whole(c.Floats("x2")), c.Floats("t2")
	var value, lo, hi, p []float64
	for i, x1 := range whole(c.Floats("x1")) {
		r, err := RateRatio(x1, t1[i], x2[i], t2[i], c.Float("level"))
		require.NoError(t, err)
		value, lo, hi, p = append(value, r.Value), append(lo, r.Lo), append(hi, r.Hi), append(p, r.P)
	}
	c.NearAll(value, "ratio")
	c.NearAll(lo, "exact_conditional", "lower")
	c.NearAll(hi, "exact_conditional", "upper")
	c.NearAll(p, "exact_p_two_sided")
}

// absences are the counts of the quine data, those of one group if it is named.
func absences(t *testing.T, ethnicity string) []float64 {
	d := statstest.LoadTable(t, "quine_absence")
	var out []float64
	group := d.Texts("Eth")
	for i, days := range d.Floats("Days") {
		if ethnicity == "" || group[i] == ethnicity {
			out = append(out, days)
		}
	}
	return out
}

// bombHits are the counts written out from a frequency table.
func bombHits(t *testing.T) []float64 {
	d := statstest.LoadTable(t, "v1_hits_frequency")
	var out []float64
	times := whole(d.Floats("ofreq"))
	for i, hits := range d.Floats("hits") {
		for range times[i] {
			out = append(out, hits)
		}
	}
	return out
}

func exactly(x []float64) []Count {
	out := make([]Count, len(x))
	for i, v := range x {
		out[i] = Exactly(int(v))
	}
	return out
}

func sum(x []float64) (s float64) {
	for _, v := range x {
		s += v
	}
	return s
}

func TestMeanReference(t *testing.T) {
	for id, x := range map[string][]float64{"counts_quine_basic": absences(t, ""), "counts_v1_basic_level90": bombHits(t)} {
		c := statstest.Load(t, id)
		e, err := LogTMean(x, c.Float("level"))
		require.NoError(t, err)
		c.Near(float64(e.N), "n")
		c.Near(e.Value, "mean")
		plain, err := TMean(x, c.Float("level"))
		require.NoError(t, err)
		c.Near(plain.Value, "mean")
		c.Near(plain.Lo, "t_ci", "lower")
		c.Near(plain.Hi, "t_ci", "upper")
		c.Near(e.Lo, "quasi_poisson", "t_ci_log", "lower")
		c.Near(e.Hi, "quasi_poisson", "t_ci_log", "upper")
		p, err := PoissonRate(int(sum(x)), float64(len(x)), c.Float("level"))
		require.NoError(t, err)
		c.Near(p.Lo, "poisson", "exact_garwood_ci_of_mean", "lower")
		c.Near(p.Hi, "poisson", "exact_garwood_ci_of_mean", "upper")
	}
	require.Len(t, statstest.IDs(t, "counts_*"), 2)
	// A log-link gamma quasi-likelihood has the same limits.
	for id, column := range map[string][2]string{"gamma_lognormal_abbey_level90": {"abbey_nickel", "nickel"}, "gamma_lognormal_aircondit7": {"aircondit7_hours", "hours"}} {
		c := statstest.Load(t, id)
		e, err := LogTMean(statstest.LoadTable(t, column[0]).Floats(column[1]), c.Float("level"))
		require.NoError(t, err)
		c.Near(e.Value, "mean")
		c.NearAll([]float64{e.Lo, e.Hi}, "gamma", "t_ci_pearson")
		x := statstest.LoadTable(t, column[0]).Floats(column[1])
		g, err := GeometricMean(x, c.Float("level"))
		require.NoError(t, err)
		c.Near(g.Value, "lognormal", "geometric_mean")
		c.NearAll([]float64{g.Lo, g.Hi}, "lognormal", "geometric_mean_t_ci")
		l, err := LogNormalMean(x, c.Float("level"))
		require.NoError(t, err)
		c.Near(l.Value, "lognormal", "mean_estimate")
		c.NearAll([]float64{l.Lo, l.Hi}, "lognormal", "cox_t_ci_olsson")
	}
	require.Len(t, statstest.IDs(t, "gamma_lognormal_*"), 2)
}

func TestNegativeBinomialReference(t *testing.T) {
	data := map[string][]float64{
		"nb_mean_quine_all": absences(t, ""), "nb_mean_quine_Eth_A": absences(t, "A"), "nb_mean_quine_Eth_N": absences(t, "N"),
		"nb_mean_v1": bombHits(t), "nb_mean_infert_parity_boundary": statstest.LoadTable(t, "infert").Floats("parity"),
	}
	ids := statstest.IDs(t, "nb_mean_*")
	require.Len(t, ids, len(data))
	for _, id := range ids {
		c := statstest.Load(t, id)
		x, known := data[id]
		require.True(t, known, id)
		if id == "nb_mean_infert_parity_boundary" {
			compareBoundary(t, c, x)
			continue
		}
		m, err := FitNegativeBinomial(exactly(x), c.Float("level"))
		require.NoError(t, err)
		require.Equal(t, stats.OK, m.Status)
		c.Near(float64(m.N), "n")
		c.Near(m.Size, "theta")
		c.Near(m.SizeSE(), "se_theta")
		c.Near(m.LogLik, "loglik")
		c.Near(math.Sqrt(m.variance), "log_mean_se")
		c.Near(2*(m.LogLik-m.PoissonLogLik), "lr_vs_poisson")
		for key, e := range map[string]stats.Estimate{"wald_log_ci": m.Mean(Wald), "profile_ci_mean": m.Mean(Profile), "profile_ci_theta": m.Dispersion()} {
			c.Near(e.Lo, key, "lower")
			c.Near(e.Hi, key, "upper")
		}
		mean := m.Mean(Profile).Value
		c.Near(mean, "mean")
		c.Near(mean+mean*mean/m.Size, "variance_function_at_mean")
	}
}

func compareBoundary(t *testing.T, c *statstest.Case, x []float64) {
	m, err := FitNegativeBinomial(exactly(x), 0)
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, m.Status)
	require.NotEmpty(t, m.Warnings)
	c.Near(m.Size, "theta")
	c.Near(m.LogLik, "loglik_supremum_poisson")
	c.Near(m.Mean(Wald).Value, "mean")
	c.Near(math.Sqrt(m.variance), "log_mean_se_at_limit")
	sizes := c.Floats("loglik_at_log_theta", "log_theta")
	var at []float64
	for _, s := range sizes {
		at = append(at, m.at(m.logMean, math.Exp(s), false).value)
	}
	c.NearAll(at, "loglik_at_log_theta", "loglik")
	require.True(t, math.IsInf(m.Dispersion().Hi, 1))
	require.True(t, math.IsNaN(m.SizeSE()))
}

func TestBetaBinomialReference(t *testing.T) {
	for _, id := range statstest.IDs(t, "betabin_*") {
		c := statstest.Load(t, id)
		d := statstest.LoadTable(t, c.Dataset()[0])
		hitColumn, err := c.Options.Get("successes").Text()
		require.NoError(t, err)
		trialColumn, err := c.Options.Get("trials").Text()
		require.NoError(t, err)
		hits, trials := whole(d.Floats(hitColumn)), whole(d.Floats(trialColumn))
		clutches := make([]Clutch, len(hits))
		for i := range clutches {
			clutches[i] = Clutch{Hits: hits[i], Trials: trials[i]}
			if id == "betabin_lirat_by_group" {
				group := whole(d.Floats("grp"))[i]
				clutches[i].X = []float64{indicator(group == 2), indicator(group == 3), indicator(group == 4)}
			}
		}
		m, err := FitBetaBinomial(clutches, c.Float("level"))
		require.NoError(t, err)
		require.Equal(t, stats.OK, m.Status, m.Warnings)
		c.Near(float64(m.N), "n_rows")
		c.NearAll(m.Coef, "coef")
		c.Near(m.Rho, "rho")
		c.Near(m.LogLik, "loglik")
		c.Near(m.BinomialLogLik, "loglik_binomial")
		c.Near(m.LogLik-m.like.choose, "loglik_no_binomial_constant")
		names := c.Matrix("vcov").Rows
		for i, a := range names {
			for j, b := range names {
				c.Near(m.Covariance.At(i, j), "vcov", a, b)
			}
			for key, e := range map[string]stats.Estimate{"wald_ci": m.parameter(i, false), "profile_ci": m.parameter(i, true)} {
				c.Near(e.Lo, key, a, "lower")
				c.Near(e.Hi, key, a, "upper")
			}
		}
		r := m.Correlation()
		statstest.Near(t, c.Float("rho"), r.Value, 1e-6, "correlation")
		statstest.Near(t, expit(c.Matrix("profile_ci").Data[len(names)-1][0]), r.Lo, 1e-6, "lower limit of the correlation")
		if c.Has("mean_probability") {
			e := m.Share(nil)
			c.Near(e.Value, "mean_probability")
			ci := c.Matrix("profile_ci").Data[0]
			statstest.Near(t, expit(ci[0]), e.Lo, 1e-6, "lower limit of the share")
			statstest.Near(t, expit(ci[1]), e.Hi, 1e-6, "upper limit of the share")
		}
	}
}

func indicator(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// R 4.2.2: quantile(x, p, type = 7).
func TestQuantileType7(t *testing.T) {
	for _, c := range []struct {
		x    []float64
		p    float64
		want float64
	}{
		{[]float64{9, 2, 5, 3}, 0.5, 4}, // some libraries say 3
		{[]float64{9, 2, 5, 3}, 0.25, 2.75},
		{[]float64{9, 2, 5, 3}, 0.9, 7.8},
		{[]float64{9, 2, 5, 3}, 0, 2},
		{[]float64{9, 2, 5, 3}, 1, 9},
		{[]float64{7}, 0.3, 7},
		{[]float64{10, 20, 30, 40, 50, 60}, 0.1, 15},
		{[]float64{1, math.Inf(1), math.Inf(1)}, 0.75, math.Inf(1)},
	} {
		before := fmt.Sprint(c.x)
		statstest.Near(t, c.want, Quantile(c.x, c.p), 1e-12, fmt.Sprintf("%v of %v", c.p, c.x))
		require.Equal(t, before, fmt.Sprint(c.x), "the input must be left as it is")
	}
	require.Equal(t, 4.0, Median([]float64{9, 2, 5, 3}))
	for _, x := range []float64{Quantile(nil, 0.5), Quantile([]float64{1, math.NaN()}, 0.5), Quantile([]float64{1}, 1.1), Quantile([]float64{1}, math.NaN())} {
		require.True(t, math.IsNaN(x))
	}
}
