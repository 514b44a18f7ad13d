package count

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// The cases count_more_* come from testdata/more.R: data sets and options that the other
// cases leave out. They hold their data.

func TestMoreRegressions(t *testing.T) {
	c := statstest.Load(t, "count_more_regressions")
	for _, set := range c.Keys() {
		y, exposure := c.Floats(set, "y"), c.Floats(set, "exposure")
		rows := make([]CountRow, len(y))
		for i := range rows {
			rows[i].Count = Count{Lo: y[i], Hi: y[i], Exposure: exposure[i]}
			for j := range c.Keys(set, "x") {
				rows[i].X = append(rows[i].X, c.Floats(set, "x", fmt.Sprintf("x%d", j+1))[i])
			}
		}
		q, err := FitQuasiPoisson(rows, QuasiSettings{})
		require.NoError(t, err)
		require.Equal(t, stats.OK, q.Status, "%s: %v", set, q.Warnings)
		c.NearAll(q.Coef, set, "quasi", "coef")
		c.Near(q.Dispersion, set, "quasi", "dispersion")
		var se, p []float64
		for j := range q.Coef {
			se, p = append(se, math.Sqrt(q.Covariance.At(j, j))), append(p, q.Ratio(j).P)
		}
		c.NearAll(se, set, "quasi", "se")
		c.NearAll(p, set, "quasi", "p")

		m, err := FitCountRegression(rows, 0)
		require.NoError(t, err)
		if !c.Has(set, "negbin") {
			continue
		}
		require.Equal(t, stats.OK, m.Status, "%s: %v", set, m.Warnings)
		c.NearAll(m.Coef, set, "negbin", "coef")
		c.Near(m.Size, set, "negbin", "size")
		c.Near(m.LogLik, set, "negbin", "loglik")
	}
}

func TestMoreHurdle(t *testing.T) {
	c := statstest.Load(t, "count_more_hurdle")
	var all, positive []Count
	for _, n := range whole(c.Floats("y")) {
		all = append(all, Exactly(n))
		if n > 0 {
			positive = append(positive, Exactly(n))
		}
	}
	h, err := FitHurdle(all, 0)
	require.NoError(t, err)
	c.Near(h.LogLik, "loglik")
	c.Near(h.Clutch.Size, "size")
	c.Near(h.Mean(Profile).Value, "mean")
	m, err := FitZeroTruncated(positive, 0)
	require.NoError(t, err)
	c.Near(m.LogLik, "truncated", "loglik")
	c.Near(m.Size, "truncated", "size")
	c.Near(m.Mean(Profile).Value, "truncated", "mean")
}

func TestMoreBetaBinomial(t *testing.T) {
	c := statstest.Load(t, "count_more_betabinomial")
	var rows []Clutch
	for i, hits := range whole(c.Floats("hits")) {
		rows = append(rows, Clutch{Hits: hits, Trials: int(c.Floats("trials")[i]), X: []float64{c.Floats("x")[i]}})
	}
	m, err := FitBetaBinomial(rows, 0)
	require.NoError(t, err)
	require.Equal(t, stats.OK, m.Status, "%v", m.Warnings)
	c.NearAll(m.Coef, "coef")
	c.Near(m.Rho, "rho")
	c.Near(m.LogLik, "loglik")
}

func TestMoreLimits(t *testing.T) {
	c := statstest.Load(t, "count_more_limits")
	hits, trials, events, exposure := whole(c.Floats("hits")), whole(c.Floats("trials")), whole(c.Floats("events")), c.Floats("exposure")
	for _, at := range []string{"at_80", "at_99", "at_999"} {
		level := c.Float(at, "level")
		limits := func(key string, n int, of func(i int) (stats.Estimate, error)) {
			var lo, hi []float64
			for i := range n {
				e, err := of(i)
				require.NoError(t, err)
				lo, hi = append(lo, e.Lo), append(hi, e.Hi)
			}
			c.NearAll(lo, at, key, "lower")
			c.NearAll(hi, at, key, "upper")
		}
		limits("exact", len(hits), func(i int) (stats.Estimate, error) { return ClopperPearson(hits[i], trials[i], level) })
		limits("wilson", len(hits), func(i int) (stats.Estimate, error) { return Wilson(hits[i], trials[i], level) })
		limits("rate", len(events), func(i int) (stats.Estimate, error) { return PoissonRate(events[i], exposure[i], level) })
	}
	var lo, hi []float64
	first, second := whole(c.Floats("pairs", "events1")), whole(c.Floats("pairs", "events2"))
	for k := range first {
		r, err := RateRatio(first[k], c.Floats("pairs", "exposure1")[k], second[k], c.Floats("pairs", "exposure2")[k], 0.9)
		require.NoError(t, err)
		lo, hi = append(lo, r.Lo), append(hi, r.Hi)
	}
	c.NearAll(lo, "pair_lower")
	c.NearAll(hi, "pair_upper")
}
