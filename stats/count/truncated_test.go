package count

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

func TestZeroTruncatedReference(t *testing.T) {
	c := statstest.Load(t, "count_zero_truncated")
	var positive []float64
	for _, d := range absences(t, "") {
		if d > 0 {
			positive = append(positive, d)
		}
	}
	for name, x := range map[string][]float64{"quine_positive": positive, "few": c.Floats("few", "counts")} {
		m, err := FitZeroTruncated(exactly(x), 0)
		require.NoError(t, err)
		require.Equal(t, stats.OK, m.Status)
		c.Near(m.LogLik, name, "loglik")
		statstest.Near(t, c.Float(name, "size"), m.Size, 1e-5, name+", size") // R's search stops at about six digits
		statstest.Near(t, c.Float(name, "log_mu"), m.logMean, 1e-5, name+", log mean before truncation")
		e := m.Mean(Profile)
		statstest.Near(t, sum(x)/float64(len(x)), e.Value, 1e-9, name+": the best mean is that of the counts (derivation)")
		c.NearAll([]float64{e.Lo, e.Hi}, name, "profile_mean")
		w := m.Mean(Wald)
		require.InDelta(t, math.Log(e.Hi/e.Lo), math.Log(w.Hi/w.Lo), 0.15*math.Log(e.Hi/e.Lo))
	}
	h, err := FitHurdle(exactly(absences(t, "")), 0)
	require.NoError(t, err)
	c.Near(h.LogLik, "hurdle", "loglik")
	c.Near(h.Share.Value, "hurdle", "share")
	c.Near(float64(h.Share.N), "hurdle", "n")
	e := h.Mean(Profile)
	c.Near(e.Value, "hurdle", "mean")
	require.True(t, e.Lo < e.Value && e.Value < e.Hi)
}

func TestTruncatedDerivatives(t *testing.T) {
	for _, p := range [][2]float64{{math.Log(0.4), -0.7}, {math.Log(12), 1.2}, {math.Log(300), -2}, {-3, -6}} {
		at := func(x []float64) partials { return negBinomial{math.Exp(x[0]), math.Exp(-x[1])}.logPositive(true) }
		got := at(p[:])
		what := fmt.Sprint(p)
		d := negBinomial{math.Exp(p[0]), math.Exp(-p[1])}
		statstest.Near(t, math.Log(1-math.Exp(d.logProb(0, false).value)), got.value, 1e-8, what+", probability of at least one")
		statstest.NearAll(t, fd.Gradient(nil, func(x []float64) float64 { return at(x).value }, p[:], &fd.Settings{Formula: fd.Central}), []float64{got.b, got.q}, 1e-5, what)
	}
	m := NegativeBinomial{N: 6, positive: true, rows: []tally{
		{Count{3, 3, 1}, 2, 0}, {Count{0, 4, 1}, 1, 0}, {Count{0, 0, 0.25}, 1, 0}, {Count{0, 5, 0.5}, 1, 0}, {Count{0, inf, 0.5}, 1, 0},
	}}
	for _, theta := range [][]float64{{1, 0.3}, {0.2, -1}, {2.5, 1}} {
		check := func(what string, value func(x []float64) float64, derive func(x []float64) (g []float64, h [][]float64)) {
			g, h := derive(theta)
			statstest.NearAll(t, fd.Gradient(nil, value, theta, &fd.Settings{Formula: fd.Central}), g, 1e-5, what)
			want := mat.NewDense(2, 2, nil)
			fd.Jacobian(want, func(y, x []float64) { g, _ := derive(x); copy(y, g) }, theta, &fd.JacobianSettings{Formula: fd.Central})
			for i := range 2 {
				for j := range 2 {
					statstest.Near(t, want.At(i, j), h[i][j], 1e-4, what+", second derivative")
				}
			}
		}
		check("likelihood", func(x []float64) float64 { return m.at(x[0], math.Exp(-x[1]), false).value }, func(x []float64) ([]float64, [][]float64) {
			p := m.at(x[0], math.Exp(-x[1]), true)
			return []float64{p.b, p.q}, [][]float64{{p.bb, p.bq}, {p.bq, p.qq}}
		})
		// Where the mean is held, by q only.
		at := func(x []float64) partials { return m.atMean(1.5, math.Exp(-x[0]), true) }
		got := at(theta[1:])
		statstest.NearAll(t, fd.Gradient(nil, func(x []float64) float64 { return at(x).value }, theta[1:], &fd.Settings{Formula: fd.Central}), []float64{got.q}, 1e-5, "mean held")
		statstest.NearAll(t, fd.Gradient(nil, func(x []float64) float64 { return at(x).q }, theta[1:], &fd.Settings{Formula: fd.Central}), []float64{got.qq}, 1e-4, "mean held, second derivative")
	}
}

// The probabilities of what may be seen in part of a clutch that has at least one
// add up to one.
func TestTruncatedPartsAddUp(t *testing.T) {
	whole, part := negBinomial{3, 1.5}, negBinomial{0.75, 1.5}
	positive := whole.logPositive(false).value
	total := math.Exp(part.notAllNone(Count{Lo: 0, Hi: 0}, 3, false).value - positive)
	for y := 1.0; y <= 200; y++ {
		total += math.Exp(part.logProb(y, false).value - positive)
	}
	statstest.Near(t, 1, total, 1e-12, "parts")
	statstest.Near(t, positive, part.notAllNone(Count{Lo: 0, Hi: inf}, 3, false).value, 1e-12, "a part of which nothing is known")
	statstest.Near(t, math.Log(math.Exp(whole.logProb(1, false).value)+math.Exp(whole.logProb(2, false).value)), whole.notAllNone(Count{Lo: 0, Hi: 2}, 3, false).value, 1e-12, "0 to 2 of a whole clutch is 1 or 2")
}

func TestTruncatedDegenerate(t *testing.T) {
	for code, counts := range map[string][]Count{
		"no-observations": nil, "one-observation": {Exactly(7)}, "all-one": {Exactly(1), Exactly(1), Exactly(1)}, "no-upper-limit": {{Lo: 3, Hi: inf}, {Lo: 9, Hi: inf}},
	} {
		m, err := FitZeroTruncated(counts, 0)
		require.NoError(t, err)
		require.Equal(t, code, m.Warnings[0].Code)
		noNumbers(t, stats.TooLittle, m.Mean(Profile))
		p, err := m.Predict(0, 0)
		require.NoError(t, err)
		noNumbers(t, stats.TooLittle, p)
	}
	for _, c := range []Count{Exactly(0), {Lo: 1, Hi: 1, Exposure: 2}, {Lo: 2, Hi: 1}} {
		_, err := FitZeroTruncated([]Count{Exactly(3), c}, 0)
		require.ErrorContains(t, err, "observation 2")
	}
	m, err := FitZeroTruncated([]Count{Exactly(3), Exactly(9), Exactly(4), Exactly(20)}, 0)
	require.NoError(t, err)
	_, err = m.Predict(2, 0)
	require.ErrorContains(t, err, "exposure")
	p, err := m.Predict(1, 0.9)
	require.NoError(t, err)
	require.True(t, p.Lo >= 1 && p.Hi > 20, "%v", p)
	// Large clutches never could have been empty: as without truncation.
	big := exactly([]float64{120, 300, 80, 410, 95, 210})
	a, err := FitNegativeBinomial(big, 0)
	require.NoError(t, err)
	b, err := FitZeroTruncated(big, 0)
	require.NoError(t, err)
	x, y := a.Mean(ProfileF), b.Mean(ProfileF)
	statstest.NearAll(t, []float64{x.Value, x.Lo, x.Hi}, []float64{y.Value, y.Lo, y.Hi}, 5e-3, "large clutches")
	// A heap of ones with a long tail: the likelihood rises towards a size of 0.
	series, err := FitZeroTruncated(exactly([]float64{1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 40, 3}), 0)
	require.NoError(t, err)
	require.Equal(t, stats.NotConverged, series.Status)
	noNumbers(t, stats.NotConverged, series.Mean(Profile))
}

func TestHurdleDegenerate(t *testing.T) {
	_, err := FitHurdle([]Count{Exactly(3), {Lo: 0, Hi: 5}}, 0)
	require.ErrorContains(t, err, "observation 2: 0 to 5 leaves open")
	_, err = FitHurdle([]Count{Exactly(0), Exactly(3), {Lo: 2, Hi: 2, Exposure: 3}}, 0)
	require.ErrorContains(t, err, "observation 3")
	_, err = FitHurdle([]Count{Exactly(0), {Lo: 2, Hi: 1}}, 0)
	require.ErrorContains(t, err, "observation 2")
	h, err := FitHurdle(nil, 0)
	require.NoError(t, err)
	noNumbers(t, stats.TooLittle, h.Mean(Profile))
	h, err = FitHurdle([]Count{Exactly(0), Exactly(0), Exactly(0)}, 0)
	require.NoError(t, err)
	e := h.Mean(Profile)
	require.Equal(t, stats.Boundary, e.Status)
	require.True(t, e.Value == 0 && e.Lo == 0 && math.IsInf(e.Hi, 1))
	require.Equal(t, "no-clutch", e.Warnings[0].Code)
	require.InDelta(t, 0.56, h.Share.Hi, 0.01) // z^2/(3 + z^2)
	h, err = FitHurdle([]Count{Exactly(0), Exactly(50)}, 0)
	require.NoError(t, err)
	noNumbers(t, stats.TooLittle, h.Mean(Profile))
}

// Twenty attempts, 6 in 10 with a clutch, small clutches: the mean of all
// attempts and that of the clutches are covered; leaving the attempts without a
// clutch in with the clutches is another question with another answer.
func TestHurdleSimulation(t *testing.T) {
	const replicates, share, mean, size = 150, 0.6, 8.0, 2.0
	r := rand.New(rand.NewPCG(10, 8))
	truth := mean / (1 - math.Pow(1+mean/size, -size))
	zero := negBinomial{mean, size}.lower(0)
	var all, clutch, naive, next float64
	for range replicates {
		attempts, amounts := make([]Count, 20), make([]float64, 20)
		for i := range attempts {
			if r.Float64() < share {
				y := 0.0
				for y == 0 {
					y = draw(r, mean, size)
				}
				attempts[i], amounts[i] = Exactly(int(y)), y
				if i%4 == 0 && y > 1 { // a third of it looked through
					part := distuv.Binomial{N: y, P: 1.0 / 3, Src: r}.Rand()
					if part > 0 {
						attempts[i] = Count{Lo: part, Hi: part, Exposure: 1.0 / 3}
					}
				}
			}
		}
		h, err := FitHurdle(attempts, 0)
		require.NoError(t, err)
		all += covers(h.Mean(ProfileF), share*truth) / replicates
		clutch += covers(h.Clutch.Mean(ProfileF), truth) / replicates
		p, err := h.Clutch.Predict(1, 0.9)
		require.NoError(t, err)
		require.True(t, p.Status.Usable(), "%v", p)
		d := negBinomial{mean, size}
		next += (d.lower(p.Hi) - math.Max(d.lower(p.Lo-1), zero)) / (1 - zero) / replicates
		m, err := LogTMean(amounts, 0)
		require.NoError(t, err)
		naive += covers(m, truth) / replicates
	}
	t.Logf("coverage at 95%%: all attempts %.3f, clutches %.3f, zeros taken for clutches %.3f; next clutch within 90%% limits %.3f", all, clutch, naive, next)
	require.InDelta(t, 0.91, next, 0.04)
	require.InDelta(t, 0.95, all, 0.05)
	require.InDelta(t, 0.95, clutch, 0.05)
	require.Less(t, naive, 0.75, "the rival must fail visibly")
}
