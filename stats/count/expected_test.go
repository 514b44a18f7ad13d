package count

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

func repeated(p float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = p
	}
	return out
}

// Computed with R: binom.test, poisson.test, and the convolution of unequal
// trials (testdata/make.R).
func TestObservedExpectedReference(t *testing.T) {
	c := statstest.Load(t, "count_observed_expected")
	x, n, p := whole(c.Floats("alike", "x")), whole(c.Floats("alike", "n")), c.Floats("alike", "p")
	var lo, hi, least, most []float64
	for i := range x {
		e, err := ObservedExpected(x[i], repeated(p[i], n[i]), 0.95)
		require.NoError(t, err)
		require.Equal(t, stats.OK, e.Status)
		statstest.Near(t, float64(x[i])/(p[i]*float64(n[i])), e.Value, 1e-12, "ratio")
		lo, hi, least, most = append(lo, e.Lo), append(hi, e.Hi), append(least, e.AtLeast), append(most, e.AtMost)
	}
	c.NearAll(lo, "alike", "lower")
	c.NearAll(hi, "alike", "upper")
	c.NearAll(least, "alike", "at_least")
	c.NearAll(most, "alike", "at_most")

	for _, name := range []string{"two", "ladder", "none", "all"} {
		hits, chances := int(c.Float("mixed", name, "hits")), c.Floats("mixed", name, "chances")
		e, err := ObservedExpected(hits, chances, 0)
		require.NoError(t, err)
		for key, got := range map[string]float64{"ratio": e.Value, "lower": e.Lo, "upper": e.Hi, "expected": e.Expected, "at_least": e.AtLeast, "at_most": e.AtMost} {
			c.Near(got, "mixed", name, key)
		}
	}
	e, err := ObservedExpected(9, c.Floats("mixed", "two", "chances"), 0.998)
	require.NoError(t, err)
	c.Near(e.Lo, "level_998", "lower")
	c.Near(e.Hi, "level_998", "upper")

	// 2000 trials of 2 in 1000 are nearly a Poisson count of mean 4.
	e, err = ObservedExpected(7, repeated(0.002, 2000), 0.95)
	require.NoError(t, err)
	poisson, err := PoissonRate(7, 4, 0.95)
	require.NoError(t, err)
	c.Near(poisson.Lo, "rare", "lower")
	c.Near(poisson.Hi, "rare", "upper")
	statstest.Near(t, poisson.Lo, e.Lo, 3e-3, "nearly a Poisson count")
	statstest.Near(t, poisson.Hi, e.Hi, 3e-3, "nearly a Poisson count")
}

func TestFunnelLimitsReference(t *testing.T) {
	c := statstest.Load(t, "count_observed_expected")
	n, p, level := c.Floats("funnel", "n"), c.Floats("funnel", "p"), c.Floats("funnel", "level")
	low, high := c.Floats("funnel", "low"), c.Floats("funnel", "high")
	for i := range n {
		lo, hi, err := FunnelLimits(n[i], p[i], level[i])
		require.NoError(t, err)
		what := fmt.Sprintf("%v trials of %v, %v: %v to %v", n[i], p[i], level[i], lo, hi)
		// The smallest count that is not below the limit is that of R, and so on.
		if math.IsNaN(lo) {
			require.Zero(t, low[i], what)
		} else {
			require.Equal(t, low[i], math.Floor(lo)+1, what)
		}
		if math.IsNaN(hi) {
			require.Equal(t, n[i], high[i], what)
		} else {
			require.Equal(t, high[i], math.Ceil(hi)-1, what)
		}
	}
}

// A count lies on or outside the control limits exactly where the ratio's interval
// leaves 1 out, and the order of the trials does not matter.
func TestObservedExpectedLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	for range 200 {
		n, p := 1+rng.IntN(30), 0.05+0.9*rng.Float64()
		hits := rng.IntN(n + 1)
		e, err := ObservedExpected(hits, repeated(p, n), 0.95)
		require.NoError(t, err)
		lo, hi, err := FunnelLimits(float64(n), p, 0.95)
		require.NoError(t, err)
		require.Equal(t, float64(hits) >= hi || float64(hits) <= lo, e.Excludes(1), "%d of %d, %v: %v to %v", hits, n, p, lo, hi)
		require.Equal(t, e.AtLeast < 0.025 || e.AtMost < 0.025, e.Excludes(1))
		require.InDelta(t, float64(n)*p*(1-p), e.Variance, 1e-12)
	}
	chances := []float64{0.9, 0.1, 0.4, 0.4, 0.7}
	one, err := ObservedExpected(2, chances, 0)
	require.NoError(t, err)
	rng.Shuffle(len(chances), func(i, j int) { chances[i], chances[j] = chances[j], chances[i] })
	two, err := ObservedExpected(2, chances, 0)
	require.NoError(t, err)
	require.InDelta(t, one.Lo, two.Lo, 1e-12)
	require.InDelta(t, one.Hi, two.Hi, 1e-12)
}

// Nine in ten hits expected: the limits cover the true ratio at least so often as
// they say, and are not those of a Poisson count, which reach beyond all trials.
func TestObservedExpectedCovers(t *testing.T) {
	chances := append(repeated(0.85, 12), repeated(0.6, 8)...)
	at := distribution([]float64{logOdds(0.85)}, 0)
	require.InDelta(t, 0.85, at[1], 1e-12)
	odds := make([]float64, len(chances))
	for i, p := range chances {
		odds[i] = logOdds(p)
	}
	covered := 0.0
	for hits, chance := range distribution(odds, 0) {
		e, err := ObservedExpected(hits, chances, 0.95)
		require.NoError(t, err)
		require.LessOrEqual(t, e.Hi, 20/e.Expected+1e-12)
		if e.Lo <= 1 && e.Hi >= 1 {
			covered += chance
		}
	}
	require.GreaterOrEqual(t, covered, 0.95)
	require.Less(t, covered, 0.99)
}

func TestObservedExpectedRefuses(t *testing.T) {
	for _, p := range []float64{0, 1, -0.1, 1.1, math.NaN()} {
		_, err := ObservedExpected(1, []float64{0.5, p}, 0)
		var input *stats.InputError
		require.ErrorAs(t, err, &input)
		require.Equal(t, 1, input.Index)
		_, _, err = FunnelLimits(5, p, 0)
		require.Error(t, err)
	}
	_, err := ObservedExpected(3, []float64{0.5, 0.5}, 0)
	require.Error(t, err)
	_, err = ObservedExpected(1, []float64{0.5, 0.5}, 2)
	require.Error(t, err)
	_, _, err = FunnelLimits(0, 0.5, 0)
	require.Error(t, err)
	e, err := ObservedExpected(0, nil, 0)
	require.NoError(t, err)
	noNumbers(t, stats.TooLittle, e.Estimate)
}

func BenchmarkObservedExpected(b *testing.B) {
	chances := append(repeated(0.3, 60), repeated(0.7, 60)...)
	for b.Loop() {
		if _, err := ObservedExpected(50, chances, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}
