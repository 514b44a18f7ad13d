package main

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestVerdicts(t *testing.T) {
	b := between(0.035, 0.065)
	for _, c := range []struct {
		e     estimate
		b     band
		ours  verdict
		rival verdict
	}{
		{estimate{value: 0.05, se: 0.01}, b, inBand, noFail},
		{estimate{value: 0.035, se: 0.01}, b, inBand, noFail}, // the edge belongs to the band
		{estimate{value: 0.09, se: 0.01}, b, nearBand, noFail},
		{estimate{value: 0.0911, se: 0.01}, b, outBand, failsAs}, // missed by 2.61 standard errors
		{estimate{value: 0.008, se: 0.01}, b, outBand, failsAs},
		{estimate{value: 0.001, se: 0.001}, exactly(0), outBand, noFail}, // exact bands allow ours nothing
		{estimate{value: 0, se: 0.001}, exactly(0), inBand, noFail},
		{estimate{value: math.NaN(), se: math.NaN()}, b, outBand, noFail}, // no number passes no check
		{estimate{value: math.Inf(1), se: 1}, atMost(1.35), outBand, failsAs},
		{estimate{value: 0.92, se: 0.005}, atLeast(0.94), outBand, failsAs},
	} {
		require.Equal(t, c.ours, c.e.ours("", "", c.b).Verdict, "%v", c)
		require.Equal(t, c.rival, c.e.rival("", "", c.b).Verdict, "%v", c)
	}
}

// Standard errors against their definition: the scatter of the figure over many
// simulations. Tolerances are about 4 standard errors of the comparison.
func TestMonteCarloErrors(t *testing.T) {
	const simulations, replicates = 2000, 100
	rng := rand.New(rand.NewPCG(3, 4))
	self := func(x float64) float64 { return x }
	type errs struct{ value, se float64 }
	got := map[string][]errs{}
	for range simulations {
		x := make([]float64, replicates)
		for i := range x {
			x[i] = rng.NormFloat64()
		}
		for name, e := range map[string]estimate{
			"share": share(x, func(v float64) bool { return v > 1.2 }), "mean": mean(x, self),
			"median": median(x, self), "spread": spread(x, self),
			"ratio": ratio(mean(x, func(v float64) float64 { return 10 + v }), spread(x, self)),
		} {
			got[name] = append(got[name], errs{e.value, e.se})
		}
	}
	for name, tolerance := range map[string]float64{"share": 0.07, "mean": 0.07, "median": 0.15, "spread": 0.07, "ratio": 0.07} {
		scatter := spread(got[name], func(e errs) float64 { return e.value }).value
		said := mean(got[name], func(e errs) float64 { return e.se }).value
		require.InEpsilon(t, scatter, said, tolerance, name)
	}
}

// By hand: 2 of 4, and the middle of 1, 2, 4, +Inf.
func TestEstimatesByHand(t *testing.T) {
	self := func(x float64) float64 { return x }
	x := []float64{4, 1, math.Inf(1), 2}
	require.Equal(t, 0.5, share(x, func(v float64) bool { return v > 3 }).value)
	require.Equal(t, 3.0, median(x, self).value)
	require.Equal(t, 2.0, median(x[:2], self).less(0.5).value)
	require.Equal(t, []float64{4, 1, math.Inf(1), 2}, x, "the results are left as they are")
	require.True(t, math.IsNaN(mean([]float64{}, self).value))
	require.True(t, math.IsNaN(share([]float64{}, func(float64) bool { return true }).value))
}
