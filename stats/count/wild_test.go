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
	for range 100 {
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
		wildRegression(t, r, counts, statuses)
		wildSamples(t, r, parts)
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

// wildRegression fits the counts with odd covariates, and the positive ones as
// clutches.
func wildRegression(t *testing.T, r *rand.Rand, counts []Count, statuses map[stats.Status]int) {
	var rows, exact []CountRow
	var attempts []Count
	for _, c := range counts {
		row := CountRow{Count: c, X: []float64{math.Floor(3 * r.Float64())}, Times: r.IntN(3), Cluster: r.IntN(3)}
		rows = append(rows, row)
		if c.exact() {
			exact = append(exact, row)
		}
		if c.exact() || c.Lo > 0 {
			attempts = append(attempts, c)
		}
	}
	m, err := FitCountRegression(rows, 0)
	require.NoError(t, err)
	statuses[m.Status]++
	for _, kind := range []MeanInterval{Profile, Wald} {
		sound(t, m.Ratio(0, kind))
		if len(rows) > 0 {
			sound(t, m.Mean([]float64{1}, kind))
		}
	}
	for _, byCluster := range []bool{false, true} {
		q, err := FitQuasiPoisson(exact, QuasiSettings{ByCluster: byCluster})
		require.NoError(t, err)
		sound(t, q.Ratio(0).Estimate)
		if len(exact) > 0 {
			sound(t, q.Mean([]float64{1}))
		}
	}
	for i, c := range attempts {
		if c.exact() && c.Exposure != 0 {
			attempts[i] = Exactly(int(c.Lo))
		}
	}
	h, err := FitHurdle(attempts, 0)
	require.NoError(t, err)
	for _, kind := range []MeanInterval{Profile, Wald} {
		sound(t, h.Mean(kind))
	}
}

// wildSamples takes the parts for aliquots, rows of eggs and clusters.
func wildSamples(t *testing.T, r *rand.Rand, parts []Part) {
	var aliquots, full []Aliquot
	for _, p := range parts {
		a := Aliquot{Counted: int(p.Amount), Amount: p.Exposure}
		aliquots = append(aliquots, a)
		if a.Counted > 0 {
			full = append(full, a)
		}
	}
	lot := Lot{Size: Measured{25 + 100*r.Float64(), r.Float64()}, Stirred: r.IntN(2) == 0}
	for _, f := range []func() (stats.Estimate, error){
		func() (stats.Estimate, error) { return AliquotTotal(aliquots, lot, 0) },
		func() (stats.Estimate, error) { return AliquotDensity(aliquots, 0) },
		func() (stats.Estimate, error) { return TroughTotal(full, Trough{Reading: r.Float64()}, lot.Size, 0) },
	} {
		e, err := f()
		require.NoError(t, err)
		sound(t, e)
	}
	b, err := BootstrapRatio(parts, BootstrapSettings{Draws: 99})
	require.NoError(t, err)
	for _, e := range []stats.Estimate{b.Percentile(), b.Basic(), b.BCa(), b.Normal()} {
		require.NotEqual(t, stats.NotComputed, e.Status)
		require.True(t, e.Status.Usable() || len(e.Warnings) > 0 && math.IsNaN(e.Value))
	}
}
