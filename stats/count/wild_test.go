package count

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
)

// sound demands of an estimate a status, numbers in order where it is usable,
// and a reason wherever a number is missing.
func sound(t *testing.T, e stats.Estimate) {
	t.Helper()
	require.NotEqual(t, stats.NotComputed, e.Status)
	require.NotEmpty(t, e.Method)
	if math.IsNaN(e.Value) || math.IsNaN(e.Lo) || math.IsNaN(e.Hi) || math.IsInf(e.Hi, 0) {
		require.NotEmpty(t, e.Warnings, "%+v", e)
	}
	if e.Status.Usable() {
		require.False(t, e.Lo > e.Value*(1+1e-9) || e.Value > e.Hi*(1+1e-9), "%+v", e)
	} else {
		require.True(t, math.IsNaN(e.Value) && math.IsNaN(e.Lo) && math.IsNaN(e.Hi), "%+v", e)
	}
}

// Small sets of every kind of count and clutch, in odd mixtures and sizes.
func TestWildInputIsAnswered(t *testing.T) {
	r := rand.New(rand.NewPCG(98, 1))
	statuses := map[stats.Status]int{}
	for range 150 {
		n := r.IntN(7)
		counts, clutches, parts, amounts := make([]Count, n), make([]Clutch, n), make([]Part, n), make([]float64, n)
		scale := []float64{1, 10, 300}[r.IntN(3)]
		for i := range n {
			y := math.Floor(scale * r.ExpFloat64())
			counts[i] = Exactly(int(y))
			switch r.IntN(5) {
			case 0:
				counts[i] = Count{Lo: math.Floor(y / 2), Hi: 2*y + 3}
			case 1:
				counts[i].Hi = inf
			case 2:
				counts[i].Exposure = 0.2
			}
			amounts[i] = y
			parts[i] = Part{Amount: y, Exposure: math.Floor(4*r.Float64()) + 1, Cluster: r.IntN(3)}
			trials := r.IntN(30)
			clutches[i] = Clutch{Hits: min(trials, r.IntN(40)), Trials: trials}
		}
		e, err := LogTMean(amounts, 0)
		require.NoError(t, err)
		sound(t, e)
		e, err = RatioOfTotals(parts, 0)
		require.NoError(t, err)
		sound(t, e)
		m, err := FitNegativeBinomial(counts, 0)
		require.NoError(t, err)
		statuses[m.Status]++
		p, err := m.Predict(1, 0.8)
		require.NoError(t, err)
		for _, e := range []stats.Estimate{m.Mean(Profile), m.Mean(ProfileF), m.Mean(Wald), m.Dispersion(), p} {
			sound(t, e)
		}
		b, err := FitBetaBinomial(clutches, 0)
		require.NoError(t, err)
		statuses[b.Status]++
		sound(t, b.Share(nil))
		sound(t, b.Correlation())
	}
	t.Log(statuses)
	require.Greater(t, statuses[stats.OK], 80)
	require.Less(t, statuses[stats.NotConverged], 5)
}
