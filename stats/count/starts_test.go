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

// wildCounts draws a few counts of any spread, sometimes from two kinds of clutch that
// differ by much, and a covariate.
func wildCounts(r *rand.Rand) (counts []Count, rows []CountRow) {
	mean, size := math.Exp(1+2*r.NormFloat64()), math.Exp(2*r.NormFloat64())
	far := 1.0
	if r.IntN(3) == 0 {
		far = math.Exp(3 * r.NormFloat64())
	}
	for range 4 + r.IntN(12) {
		m := mean
		if r.IntN(2) == 0 {
			m *= far
		}
		rate := 0.0 // gamma of shape size up to rounding, as a sum of small parts
		for range 20 {
			rate += m / 20 * math.Exp(r.NormFloat64()/math.Sqrt(size))
		}
		c := Exactly(int(math.Min(rate*r.ExpFloat64(), 1e6)))
		if r.IntN(4) == 0 {
			c.Exposure = 0.1 + r.Float64()
		}
		counts = append(counts, c)
		rows = append(rows, CountRow{Count: c, X: []float64{float64(r.IntN(3))}})
	}
	return counts, rows
}

// The search from the one start that promises most ends where the best of the searches
// from all of them ends.
func TestOneStartIsEnough(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	alone, alike := 0, 0
	for k := range 400 {
		counts, rows := wildCounts(r)
		what := fmt.Sprintf("set %d", k)
		m, err := FitNegativeBinomial(counts, 0)
		require.NoError(t, err)
		if m.Status == stats.OK {
			all, _ := m.climb(m.roughMean(), starts)
			statstest.Near(t, all.Value, m.LogLik, 1e-9, what)
			statstest.NearRel(t, math.Exp(-all.Theta[1]), m.Size, 1e-8, what)
			alone++
		}
		f, err := FitCountRegression(rows, 0)
		require.NoError(t, err)
		if f.Status == stats.OK {
			poisson, _, _ := f.like.poisson()
			all, _ := f.climb(poisson, starts)
			statstest.Near(t, all.Value, f.LogLik, 1e-9, what+", regression")
			statstest.NearAll(t, all.Theta, f.peak.Theta, 1e-7, what+", regression")
			alike++
		}
	}
	require.Greater(t, alone, 200)
	require.Greater(t, alike, 200)
}
