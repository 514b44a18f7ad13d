package pool

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// Worked by hand from the rules: estimates 1, 2, 3 with variance 1 each. Between is
// 1, total 1 + 4/3 = 7/3, lambda 4/7, Rubin's df 2 (7/4)^2 = 6.125, those observed
// (with 20 complete) 21/23 * 20 * 3/7 = 7.826087, joined 3.4360 by 1/(1/6.125 +
// 1/7.826087).
func TestImputeByHand(t *testing.T) {
	e := []float64{1, 2, 3}
	p, err := Impute(e, []float64{1, 1, 1}, 20, 0)
	require.NoError(t, err)
	require.Equal(t, stats.OK, p.Status)
	statstest.Near(t, 2, p.Value, 1e-12, "value")
	statstest.Near(t, math.Sqrt(7./3), p.SE, 1e-12, "standard error")
	statstest.Near(t, 6.125, p.RubinDF, 1e-12, "Rubin's df")
	statstest.Near(t, 1/(1/6.125+23/(21*20*3./7)), p.DF, 1e-12, "Barnard & Rubin's df")
	statstest.Near(t, (4./3+2/9.125)/(7./3), p.MissingShare, 1e-12, "share")
	statstest.Near(t, 1/(1+p.MissingShare/3), p.Efficiency, 1e-12, "efficiency")
	statstest.Near(t, 4-p.Lo, p.Hi, 1e-12, "symmetric")

	p, err = Impute(e, []float64{1, 1, 1}, math.Inf(1), 0.9)
	require.NoError(t, err)
	require.Equal(t, p.RubinDF, p.DF)
}

// Imputations that agree change nothing: the complete data's degrees of freedom
// (nearly, by Barnard & Rubin's factor) and variance.
func TestImputeNothingMissing(t *testing.T) {
	p, err := Impute([]float64{2, 2, 2}, []float64{0.25, 0.25, 0.25}, math.Inf(1), 0.95)
	require.NoError(t, err)
	require.True(t, math.IsInf(p.DF, 1))
	require.Zero(t, p.MissingShare)
	statstest.Near(t, 2+1.959963984540054*0.5, p.Hi, 1e-12, "qnorm(.975)")
	p, err = Impute([]float64{2, 2, 2}, []float64{0.25, 0.25, 0.25}, 10, 0.95)
	require.NoError(t, err)
	statstest.Near(t, 10*11./13, p.DF, 1e-12, "degrees of freedom")
}

// Intervals of the mean of 20 normal values, 8 of them missing at random and drawn
// from a proper posterior 20 times, cover the truth about as often as they say.
func TestImputeCoverage(t *testing.T) {
	rng := rand.New(rand.NewPCG(161, 162))
	const runs = 1500
	covered := 0
	for range runs {
		observed := make([]float64, 12)
		for i := range observed {
			observed[i] = rng.NormFloat64()
		}
		sum := mean(observed)
		squares := 0.0
		for _, x := range observed {
			squares += (x - sum) * (x - sum)
		}
		var e, v []float64
		for range 20 {
			chi := 0.0
			for range 11 {
				z := rng.NormFloat64()
				chi += z * z
			}
			sigma := math.Sqrt(squares / chi)
			mu := sum + sigma*rng.NormFloat64()/math.Sqrt(12)
			all := append([]float64{}, observed...)
			for range 8 {
				all = append(all, mu+sigma*rng.NormFloat64())
			}
			variance, _ := pooling{y: all, v: all}.plain()
			e, v = append(e, mean(all)), append(v, variance/20)
		}
		p, err := Impute(e, v, 19, 0.95)
		require.NoError(t, err)
		if p.Lo <= 0 && 0 <= p.Hi {
			covered++
		}
	}
	require.InDelta(t, 0.95, float64(covered)/runs, 0.017) // 3 standard errors
}

func TestImputeRefusals(t *testing.T) {
	p, err := Impute([]float64{1}, []float64{1}, 10, 0)
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, p.Status)
	require.True(t, math.IsNaN(p.Value) && math.IsNaN(p.SE))
	_, err = Impute([]float64{1, 2}, []float64{1, 1}, 0, 0)
	require.EqualError(t, err, "the degrees of freedom of the complete data must be above 0, not 0")
	_, err = Impute([]float64{1, 2}, []float64{1, -1}, 10, 0)
	require.EqualError(t, err, "observation 2: the variance -1 is not a positive finite number")
}
