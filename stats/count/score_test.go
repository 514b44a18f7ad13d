package count

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

type compareShares func(hits1, trials1, hits2, trials2 int, level float64) (stats.Estimate, error)

func oddsRatio(hits1, trials1, hits2, trials2 int, level float64) (stats.Estimate, error) {
	r, err := OddsRatio(hits1, trials1, hits2, trials2, level)
	return r.Estimate, err
}

func TestTwoSharesReference(t *testing.T) {
	c := statstest.Load(t, "count_two_shares")
	d := statstest.LoadTable(t, "proportions_newcombe_two_sample")
	x1, n1, x2, n2 := whole(d.Floats("x1")), whole(d.Floats("n1")), whole(d.Floats("x2")), whole(d.Floats("n2"))
	for key, compare := range map[string]compareShares{
		"difference_miettinen_nurminen": MiettinenNurminen, "ratio_miettinen_nurminen": MiettinenNurminenRatio,
		"ratio_koopman": Koopman, "odds_ratio_exact": oddsRatio,
	} {
		lower, upper := c.Floats(key, "lower"), c.Floats(key, "upper")
		require.Len(t, lower, len(x1))
		for i := range x1 {
			e, err := compare(x1[i], n1[i], x2[i], n2[i], 0.95)
			require.NoError(t, err)
			what := fmt.Sprintf("%s: %d/%d, %d/%d", key, x1[i], n1[i], x2[i], n2[i])
			if x1[i]+x2[i] == 0 && key != "difference_miettinen_nurminen" {
				noNumbers(t, stats.TooLittle, e) // R has 0 to Inf, or an odds ratio of 0
				continue
			}
			require.Equal(t, stats.OK, e.Status, what)
			statstest.Near(t, lower[i], e.Lo, c.Tol(key), what+", lower")
			statstest.Near(t, upper[i], e.Hi, c.Tol(key), what+", upper")
			if key == "odds_ratio_exact" {
				statstest.Near(t, c.Floats(key, "estimate")[i], e.Value, c.Tol(key), what+", value")
				require.Equal(t, 0.95, e.Attained)
			}
		}
	}
	// Newcombe (1998), table II, method 6, example (a), from memory: 0.0528 to 0.3382.
	e, err := MiettinenNurminen(56, 70, 48, 80, 0.95)
	require.NoError(t, err)
	require.InDelta(t, 0.0528, e.Lo, 5e-5)
	require.InDelta(t, 0.3382, e.Hi, 5e-5)
}

// Swapping the two turns the answer round, and so do misses for hits.
func TestComparisonsTurnRound(t *testing.T) {
	for n1 := 1; n1 <= 13; n1 += 4 {
		for n2 := 2; n2 <= 20; n2 += 6 {
			for x1 := 0; x1 <= n1; x1++ {
				for x2 := 0; x2 <= n2; x2 += 2 {
					what := fmt.Sprintf("%d/%d, %d/%d", x1, n1, x2, n2)
					a, err := MiettinenNurminen(x1, n1, x2, n2, 0.9)
					require.NoError(t, err)
					b, err := MiettinenNurminen(x2, n2, x1, n1, 0.9)
					require.NoError(t, err)
					require.True(t, -1 <= a.Lo && a.Lo <= a.Value && a.Value <= a.Hi && a.Hi <= 1, "%s: %v", what, a)
					statstest.NearAll(t, []float64{-a.Value, -a.Hi, -a.Lo}, []float64{b.Value, b.Lo, b.Hi}, 1e-8, what)
					m, err := MiettinenNurminen(n1-x1, n1, n2-x2, n2, 0.9)
					require.NoError(t, err)
					statstest.NearAll(t, []float64{-a.Value, -a.Hi, -a.Lo}, []float64{m.Value, m.Lo, m.Hi}, 1e-8, what+", misses")
					for name, compare := range map[string]compareShares{"ratio": MiettinenNurminenRatio, "Koopman": Koopman, "odds ratio": oddsRatio} {
						a, err := compare(x1, n1, x2, n2, 0.9)
						require.NoError(t, err)
						b, err := compare(x2, n2, x1, n1, 0.9)
						require.NoError(t, err)
						require.Equal(t, a.Status, b.Status, "%s of %s", name, what)
						if !a.Status.Usable() {
							noNumbers(t, stats.TooLittle, a)
							continue
						}
						require.True(t, 0 <= a.Lo && a.Lo <= a.Value && a.Value <= a.Hi, "%s of %s: %v", name, what, a)
						if math.IsInf(a.Hi, 1) {
							require.Equal(t, "no-upper-limit", a.Warnings[0].Code)
						}
						statstest.NearAll(t, []float64{1 / a.Value, 1 / a.Hi, 1 / a.Lo}, []float64{b.Value, b.Lo, b.Hi}, 1e-7, name+" of "+what)
					}
				}
			}
		}
	}
}

// Without sampling: the probability that the limits hold, summed over all
// outcomes of 8 and 12 trials. The exact odds ratio covers at least its level;
// score intervals do on average.
func TestComparisonsCover(t *testing.T) {
	const n1, n2 = 8, 12
	probability := func(x, n int, p float64) float64 {
		return math.Exp(logChoose(n, x) + xlogy(float64(x), p) + xlogy(float64(n-x), 1-p))
	}
	var difference, ratio, points float64
	for _, p1 := range []float64{0.1, 0.3, 0.5, 0.7, 0.9} {
		for _, p2 := range []float64{0.15, 0.4, 0.6, 0.85} {
			var d, r, o float64
			for x1 := 0; x1 <= n1; x1++ {
				for x2 := 0; x2 <= n2; x2++ {
					w := probability(x1, n1, p1) * probability(x2, n2, p2)
					e, err := MiettinenNurminen(x1, n1, x2, n2, 0)
					require.NoError(t, err)
					d += w * covers(e, p1-p2)
					if x1+x2 == 0 {
						r, o = r+w, o+w // unbounded
						continue
					}
					e, err = MiettinenNurminenRatio(x1, n1, x2, n2, 0)
					require.NoError(t, err)
					r += w * covers(e, p1/p2)
					e, err = oddsRatio(x1, n1, x2, n2, 0)
					require.NoError(t, err)
					if !e.Status.Usable() {
						o += w
					}
					o += w * covers(e, p1/(1-p1)/(p2/(1-p2)))
				}
			}
			require.GreaterOrEqual(t, o, 0.95, "odds ratio, %v and %v", p1, p2)
			require.Greater(t, math.Min(d, r), 0.92, "%v and %v", p1, p2)
			difference += d
			ratio += r
			points++
		}
	}
	t.Logf("mean coverage at 95%%: difference %.3f, ratio %.3f", difference/points, ratio/points)
	require.InDelta(t, 0.955, difference/points, 0.012)
	require.InDelta(t, 0.955, ratio/points, 0.015)
}

func TestComparisonInputs(t *testing.T) {
	for _, compare := range []compareShares{MiettinenNurminen, MiettinenNurminenRatio, Koopman, oddsRatio} {
		e, err := compare(0, 0, 3, 5, 0)
		require.NoError(t, err)
		noNumbers(t, stats.TooLittle, e)
		_, err = compare(1, 2, 6, 5, 0)
		require.ErrorContains(t, err, "6 hits in 5 trials")
		_, err = compare(1, 2, 3, 5, 3)
		require.ErrorContains(t, err, "level")
	}
	r, err := OddsRatio(5, 5, 7, 7, 0)
	require.NoError(t, err)
	require.Equal(t, "no-contrast", r.Warnings[0].Code)
	p, err := Fisher(9, 14, 3, 11)
	require.NoError(t, err)
	r, err = OddsRatio(9, 14, 3, 11, 0)
	require.NoError(t, err)
	require.Equal(t, p, r.P)
}

func TestQuantileTypesReference(t *testing.T) {
	c := statstest.Load(t, "count_quantile_types")
	for kind := 1; kind <= 9; kind++ {
		var got []float64
		for _, p := range c.Floats("p") {
			got = append(got, QuantileOfType(c.Floats("x"), p, kind))
		}
		c.NearAll(got, "types", fmt.Sprintf("type%d", kind))
	}
	require.Panics(t, func() { QuantileOfType([]float64{1}, 0.5, 10) })
}
